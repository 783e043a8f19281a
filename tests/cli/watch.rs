//! `watch`, as a browser sees it: what its page is told when the file is saved, goes away, or is saved while it works.

use std::fs;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::sync::mpsc::{self, Receiver};
use std::thread;
use std::time::Duration;

use super::{err, file, tailpattern};

/// How long something may take that comes within a second or two.
const PATIENCE: Duration = Duration::from_secs(60);

struct Watching {
    process: Child,
    host: String,
    lines: Receiver<String>,
}

impl Watching {
    fn on(parameters: &Path) -> Self {
        let mut process = Command::new(env!("CARGO_BIN_EXE_tailpattern"))
            .arg("watch")
            .arg(parameters)
            .stdout(Stdio::piped())
            .spawn()
            .expect("the program runs");
        let out = BufReader::new(process.stdout.take().expect("its output"));
        let (tell, lines) = mpsc::channel();
        thread::spawn(move || out.lines().map_while(Result::ok).all(|line| tell.send(line).is_ok()));
        let address = lines.recv_timeout(PATIENCE).expect("an address");
        let host = address.trim_start_matches("http://").trim_end_matches('/').to_owned();
        Self { process, host, lines }
    }

    /// Waits for a line with these words.
    fn until(&self, words: &str) {
        loop {
            let line = self.lines.recv_timeout(PATIENCE);
            if line.expect(words).contains(words) {
                return;
            }
        }
    }

    /// The body of an answer.
    fn get(&self, path: &str) -> String {
        let mut stream = TcpStream::connect(&self.host).expect("a connection");
        write!(stream, "GET {path} HTTP/1.1\r\nHost: {}\r\n\r\n", self.host).expect("asked");
        let mut text = String::new();
        stream.read_to_string(&mut text).expect("an answer");
        assert!(text.starts_with("HTTP/1.1 200 "), "{text}");
        text.split_once("\r\n\r\n").expect("a head").1.to_owned()
    }
}

impl Drop for Watching {
    fn drop(&mut self) {
        // It runs until it is stopped.
        let _ = self.process.kill();
        let _ = self.process.wait();
    }
}

/// A file that goes away and comes back as it was: the fault goes with it.
#[test]
fn a_file_that_comes_back_is_good_again() {
    let folder = tempfile::tempdir().expect("a folder");
    let [here, away] = ["part.yaml", "away"].map(|name| folder.path().join(name));
    fs::copy(file("params/minimal.yaml"), &here).expect("a copy");
    let watching = Watching::on(&here);
    watching.until("all in");
    fs::rename(&here, &away).expect("moved");
    watching.until("the file has errors");
    assert!(watching.get("/faults").contains("cannot be read"), "the page is told");
    fs::rename(&away, &here).expect("moved back");
    watching.until("the file is good again");
    assert_eq!(watching.get("/faults"), "", "nothing is wrong any more");
}

/// Saves of the same text while the part is made: the page has all of it in the end.
#[test]
fn saves_while_it_works_leave_nothing_out() {
    let folder = tempfile::tempdir().expect("a folder");
    let here = folder.path().join("part.yaml");
    let text = fs::read(file("params/minimal.yaml")).expect("a file");
    fs::write(&here, &text).expect("written");
    let watching = Watching::on(&here);
    for _ in 0..10 {
        fs::write(&here, &text).expect("written");
        thread::sleep(Duration::from_millis(30));
    }
    watching.until("all in");
    assert!(watching.get("/sections").contains("Dimensioned drawing of the"), "the drawings are there");
}

/// A save with an error in the midst of the work, taken back.
#[test]
fn an_error_taken_back_at_once_leaves_nothing_out() {
    let folder = tempfile::tempdir().expect("a folder");
    let here = folder.path().join("part.yaml");
    let text = fs::read(file("params/minimal.yaml")).expect("a file");
    fs::write(&here, &text).expect("written");
    let watching = Watching::on(&here);
    fs::write(&here, "units: mm\nshell: [").expect("written");
    watching.until("the file has errors");
    fs::write(&here, &text).expect("written");
    watching.until("all in");
    assert_eq!(watching.get("/faults"), "", "nothing is wrong any more");
    assert!(watching.get("/sections").contains("Dimensioned drawing of the"), "the drawings are there");
}

/// Exit code 4 and the reason, instead of a page that waits.
#[test]
fn a_mistyped_name_is_told_at_once() {
    let folder = tempfile::tempdir().expect("a folder");
    for name in
        [folder.path().join("none.yaml"), folder.path().join("no/none.yaml"), folder.path().to_owned()]
    {
        let output = tailpattern(&["watch", name.to_str().expect("a path")]);
        assert_eq!(output.status.code(), Some(4), "{}", err(&output));
        assert!(err(&output).contains(&name.display().to_string()), "{}", err(&output));
    }
}
