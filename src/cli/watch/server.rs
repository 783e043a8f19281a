//! The page's own server: on this machine only, one page and what it asks for, no file.

use std::io::{self, BufRead, BufReader, Read, Write};
use std::net::{SocketAddr, TcpListener, TcpStream};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::thread;
use std::time::Duration;

use serde_json::{Map, Value};

use crate::report::page::PageSection;

/// Greatest number of bytes of a request that is read.
const REQUEST: u64 = 16 * 1024;

/// How long a request may take to come, and an answer to be taken.
const PATIENCE: Duration = Duration::from_secs(10);

/// How often a listener is shown that the program still runs.
const PULSE: Duration = Duration::from_secs(5);

/// Something that is told, with its number: a later one is greater.
#[derive(Clone, Default)]
struct Told {
    number: u64,
    text: Arc<str>,
}

/// What the page is told.
#[derive(Default)]
struct State {
    last: u64,
    picture: Told,
    sections: Told,
    faults: Told,
    measuring: bool,
}

impl State {
    fn next(&mut self, text: &str) -> Told {
        self.last += 1;
        Told { number: self.last, text: text.into() }
    }
}

/// News for the pages that are open.
#[derive(Clone, Default)]
pub(super) struct News(Arc<(Mutex<State>, Condvar)>);

impl News {
    /// The state; a thread that failed leaves it as it was, which is whole.
    fn state(&self) -> MutexGuard<'_, State> {
        self.0.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn change(&self, change: impl FnOnce(&mut State)) {
        change(&mut self.state());
        self.0.1.notify_all();
    }

    /// A new picture of a good part.
    pub(super) fn picture(&self, scene: &Value) {
        let text = scene.to_string();
        self.change(|state| {
            state.picture = state.next(&text);
            state.faults = Told::default();
        });
    }

    /// New sections of the page.
    pub(super) fn sections(&self, sections: &[PageSection]) {
        let members = sections.iter().map(|s| (s.slot.id().to_owned(), Value::from(s.html.as_str())));
        let text = Value::from(members.collect::<Map<_, _>>()).to_string();
        self.change(|state| state.sections = state.next(&text));
    }

    /// What is wrong with the file.
    pub(super) fn faults(&self, html: &str) {
        self.change(|state| state.faults = state.next(html));
    }

    /// The file says again what the last picture shows.
    pub(super) fn good_again(&self) {
        self.change(|state| {
            let text = Arc::clone(&state.picture.text);
            state.picture = state.next(&text);
            state.faults = Told::default();
        });
    }

    /// The sections as the page gets them; none yet where empty.
    #[cfg(test)]
    pub(super) fn told_sections(&self) -> String {
        self.state().sections.text.to_string()
    }

    /// Whether the part is still being measured.
    pub(super) fn measuring(&self, measuring: bool) {
        self.change(|state| state.measuring = measuring);
    }
}

/// Serves a page in threads of its own; gives its address.
///
/// # Errors
/// The operating system's.
pub(super) fn start(listener: TcpListener, page: &str, news: News) -> io::Result<String> {
    let address = listener.local_addr()?;
    let page: Arc<str> = page.into();
    thread::Builder::new().name("page".to_owned()).spawn(move || {
        for stream in listener.incoming().flatten() {
            let (page, news) = (Arc::clone(&page), news.clone());
            // A page that goes away is no fault; one that finds no thread asks again.
            let answer = move || answer(stream, address, &page, &news).unwrap_or(());
            let _ = thread::Builder::new().spawn(answer);
        }
    })?;
    Ok(format!("http://{address}/"))
}

/// What may be asked for.
enum Asked {
    Page,
    Scene,
    Sections,
    Faults,
    News,
}

/// A request that is not answered, as status of HTTP.
struct Refused(&'static str);

/// Answers one request and ends the connection.
fn answer(stream: TcpStream, own: SocketAddr, page: &str, news: &News) -> io::Result<()> {
    stream.set_read_timeout(Some(PATIENCE))?;
    stream.set_write_timeout(Some(PATIENCE))?;
    let head = head(&stream)?;
    let mut out = stream;
    let told = match asked(&head, own) {
        Ok(Asked::Page) => return send(&mut out, "200 OK", "text/html; charset=utf-8", 0, page),
        Ok(Asked::News) => return follow(&mut out, news),
        Ok(Asked::Scene) => ("application/json", news.state().picture.clone()),
        Ok(Asked::Sections) => ("application/json", news.state().sections.clone()),
        Ok(Asked::Faults) => ("text/html; charset=utf-8", news.state().faults.clone()),
        Err(Refused(status)) => return send(&mut out, status, "text/plain", 0, status),
    };
    let (kind, Told { number, text }) = told;
    send(&mut out, "200 OK", kind, number, &text)
}

/// The lines of a request's head.
fn head(stream: &TcpStream) -> io::Result<Vec<String>> {
    let mut lines = Vec::new();
    for line in BufReader::new(stream.take(REQUEST)).lines() {
        let line = line?;
        if line.is_empty() {
            break;
        }
        lines.push(line);
    }
    Ok(lines)
}

/// What a request asks for. Its host must be this server by its number or as `localhost`, so that no page of another name
/// reaches it.
fn asked(head: &[String], own: SocketAddr) -> Result<Asked, Refused> {
    let mut words = head.first().map(|line| line.split(' ')).ok_or(Refused("400 Bad Request"))?;
    let (method, path) = (words.next(), words.next());
    let header = |line: &String| {
        let (name, value) = line.split_once(':')?;
        name.eq_ignore_ascii_case("host").then(|| value.trim().to_owned())
    };
    let hosts: Vec<String> = head.iter().skip(1).filter_map(header).collect();
    let known = [own.to_string(), format!("localhost:{}", own.port())];
    if hosts.len() != 1 || !known.contains(&hosts[0]) {
        return Err(Refused("403 Forbidden"));
    }
    if method != Some("GET") {
        return Err(Refused("405 Method Not Allowed"));
    }
    match path {
        Some("/") => Ok(Asked::Page),
        Some("/scene") => Ok(Asked::Scene),
        Some("/sections") => Ok(Asked::Sections),
        Some("/faults") => Ok(Asked::Faults),
        Some("/news") => Ok(Asked::News),
        _ => Err(Refused("404 Not Found")),
    }
}

fn send(out: &mut TcpStream, status: &str, kind: &str, number: u64, body: &str) -> io::Result<()> {
    write!(
        out,
        "HTTP/1.1 {status}\r\nContent-Type: {kind}\r\nContent-Length: {}\r\nX-Version: {number}\r\nCache-Control: no-store\r\n\
         X-Content-Type-Options: nosniff\r\nX-Frame-Options: DENY\r\nCross-Origin-Resource-Policy: same-origin\r\nConnection: close\r\n\r\n",
        body.len()
    )?;
    out.write_all(body.as_bytes())?;
    out.flush()
}

/// Tells what is new, and what is not new to a page that has just been opened, as server-sent events.
fn follow(out: &mut TcpStream, news: &News) -> io::Result<()> {
    out.set_nodelay(true)?;
    out.write_all(
        b"HTTP/1.1 200 OK\r\nContent-Type: text/event-stream\r\nCache-Control: no-store\r\nConnection: close\r\n\r\n",
    )?;
    let (mut picture, mut sections, mut faults, mut measuring) = (0, 0, 0, false);
    loop {
        let mut told = String::new();
        {
            let state = news.state();
            let quiet = |s: &mut State| {
                (s.picture.number, s.sections.number, s.faults.number, s.measuring)
                    == (picture, sections, faults, measuring)
            };
            let (state, _) =
                news.0.1.wait_timeout_while(state, PULSE, quiet).unwrap_or_else(PoisonError::into_inner);
            let event = |name: &str, number: u64| format!("event: {name}\ndata: {number}\n\n");
            if state.picture.number != picture {
                told.push_str(&event("picture", state.picture.number));
            }
            if state.sections.number != sections {
                told.push_str(&event("sections", state.sections.number));
            }
            if state.faults.number != faults && state.faults.number > 0 {
                told.push_str(&event("faults", state.faults.number));
            }
            if state.measuring != measuring {
                told.push_str(&event(if state.measuring { "measuring" } else { "measured" }, 0));
            }
            (picture, sections, faults, measuring) =
                (state.picture.number, state.sections.number, state.faults.number, state.measuring);
        }
        if told.is_empty() {
            told.push_str(": still here\n\n");
        }
        out.write_all(told.as_bytes())?;
        out.flush()?;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn status(request: &str) -> &'static str {
        let own = SocketAddr::from(([127, 0, 0, 1], 4_000));
        let head: Vec<String> = request.lines().map(str::to_owned).collect();
        asked(&head, own).map_or_else(|Refused(status)| status, |_| "200 OK")
    }

    /// Host, method and path as RFC 9110 and 9112 have them.
    #[test]
    fn only_the_page_itself_is_answered() {
        assert_eq!(status("GET / HTTP/1.1\nHost: 127.0.0.1:4000"), "200 OK");
        assert_eq!(status("GET /scene HTTP/1.1\nhost: localhost:4000"), "200 OK");
        assert_eq!(status("GET / HTTP/1.1\nHost: elsewhere.example:4000"), "403 Forbidden", "another name");
        assert_eq!(status("GET / HTTP/1.1\nHost: 127.0.0.1:80"), "403 Forbidden", "another port");
        assert_eq!(status("GET / HTTP/1.1"), "403 Forbidden", "no host");
        assert_eq!(
            status("GET / HTTP/1.1\nHost: 127.0.0.1:4000\nHost: a.example"),
            "403 Forbidden",
            "two hosts"
        );
        assert_eq!(status("POST / HTTP/1.1\nHost: 127.0.0.1:4000"), "405 Method Not Allowed");
        assert_eq!(status("GET /../Cargo.toml HTTP/1.1\nHost: 127.0.0.1:4000"), "404 Not Found", "no file");
        assert_eq!(status(""), "400 Bad Request");
    }
}
