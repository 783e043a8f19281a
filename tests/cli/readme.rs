//! The README and the pages of `src/guide`: every command in them runs, every line of output that they quote is
//! printed, and every link to a file of the repository or to a heading leads there.
//!
//! Commands are the lines of fenced blocks that start with `tailpattern `, `$ tailpattern ` or
//! `cargo run --release -- `; lines that start with `cp ` or `sed ` prepare files for them. The commands of one block
//! run in order in a folder of their own, which holds `params/`, `mine.yaml` and the readings of `examples/`; blocks run side by side. A command
//! ends with exit code 0 unless a remark behind it says `# exit code N`. A block marked `text` quotes the command before
//! it, one marked `console` the command above in the same block; `…` stands for what is left out.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::Mutex;
use std::{fs, thread};

/// A page: its path from the root of the repository, and its text.
struct Page {
    path: PathBuf,
    text: String,
}

/// A command of a page, with what the page quotes of its output, each with its place.
struct Line {
    place: String,
    command: String,
    runs_program: bool,
    quoted: Vec<(String, String)>,
}

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn pages() -> Vec<Page> {
    let guide = fs::read_dir(root().join("src/guide")).expect("the guide's folder");
    let names = guide.map(|entry| Path::new("src/guide").join(entry.expect("readable").file_name()));
    let mut paths: Vec<PathBuf> = names.filter(|p| p.extension().is_some_and(|e| e == "md")).collect();
    paths.push("README.md".into());
    paths.sort();
    assert!(paths.len() > 5, "the guide has pages: {paths:?}");
    let read =
        |path: PathBuf| Page { text: fs::read_to_string(root().join(&path)).expect("a readable page"), path };
    paths.into_iter().map(read).collect()
}

/// A line of a block as a command for a shell, and whether it runs the program itself.
fn command(line: &str) -> Option<(String, bool)> {
    let line = line.trim();
    let line = line.strip_prefix("$ ").unwrap_or(line);
    if let Some(rest) = line.strip_prefix("cargo run --release -- ") {
        return Some((format!("tailpattern {rest}"), true));
    }
    let runs_program = line.starts_with("tailpattern ");
    (runs_program || line.starts_with("cp ") || line.starts_with("sed "))
        .then(|| (line.to_owned(), runs_program))
}

/// The fenced blocks of a page that hold commands.
fn blocks(page: &Page) -> Vec<Vec<Line>> {
    let mut out: Vec<Vec<Line>> = Vec::new();
    let mut fence: Option<(&str, bool)> = None; // its mark, and whether the block has begun a list of commands
    for (number, line) in page.text.lines().enumerate() {
        let place = format!("{}:{}", page.path.display(), number + 1);
        if let Some(mark) = line.trim_start().strip_prefix("```") {
            fence = if fence.is_some() { None } else { Some((mark.trim(), false)) };
            continue;
        }
        let Some((mark, begun)) = fence.as_mut() else { continue };
        if let Some((command, runs_program)) = command(line) {
            if !*begun {
                out.push(Vec::new());
                *begun = true;
            }
            let block = out.last_mut().expect("pushed");
            block.push(Line { place, command, runs_program, quoted: vec![] });
        } else if matches!(*mark, "text" | "console") {
            let quoting = out.last_mut().and_then(|block| block.last_mut());
            let quoting = quoting.unwrap_or_else(|| panic!("{place}: no command stands before this output"));
            quoting.quoted.push((place, line.to_owned()));
        }
    }
    assert!(fence.is_none(), "{}: a block is not closed", page.path.display());
    out
}

/// Without the width of spaces, which differs when columns are left out.
fn plain(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Whether one of the lines holds all parts of the quoted one that stand between `…`.
fn printed(lines: &[String], quoted: &str) -> bool {
    let parts: Vec<String> = quoted.split('…').map(plain).collect();
    lines.iter().any(|line| parts.iter().all(|part| line.contains(part)))
}

/// Runs the commands of a block, and tells what is wrong with them.
fn run(block: &[Line]) -> Vec<String> {
    let folder = tempfile::tempdir().expect("a folder");
    let params = folder.path().join("params");
    fs::create_dir(&params).expect("a folder");
    for entry in fs::read_dir(root().join("params")).expect("params") {
        let entry = entry.expect("readable");
        fs::copy(entry.path(), params.join(entry.file_name())).expect("a copy");
    }
    fs::copy(params.join("demo_mm.yaml"), folder.path().join("mine.yaml")).expect("a copy");
    let examples = folder.path().join("examples");
    fs::create_dir(&examples).expect("a folder");
    for name in ["first_article_points.csv", "first_article_sizes.csv", "raw_casting_points.csv"] {
        fs::copy(root().join("examples").join(name), examples.join(name)).expect("a copy");
    }
    let own = Path::new(env!("CARGO_BIN_EXE_tailpattern")).parent().expect("a folder").to_path_buf();
    let path = std::env::var_os("PATH").unwrap_or_default();
    let path = std::env::join_paths([own].into_iter().chain(std::env::split_paths(&path))).expect("a path");
    let mut faults = Vec::new();
    for Line { place, command, quoted, .. } in block {
        let shell =
            Command::new("sh").arg("-c").arg(command).current_dir(&folder).env("PATH", &path).output();
        let output = shell.expect("a shell");
        let told = [output.stdout, output.stderr].concat();
        let told = String::from_utf8(told).expect("text");
        let wanted = command.split_once("# exit code ").map_or("0", |(_, code)| code.trim());
        let code = output.status.code().map_or("none".to_owned(), |code| code.to_string());
        if code != wanted {
            faults.push(format!(
                "{place}: `{command}` ends with exit code {code} instead of {wanted}:\n{told}"
            ));
        }
        let lines: Vec<String> = told.lines().map(plain).collect();
        let stale = quoted.iter().filter(|(_, line)| !printed(&lines, line));
        faults.extend(stale.map(|(place, line)| format!("{place}: `{command}` does not print:\n{line}")));
    }
    faults
}

#[test]
fn every_command_runs_and_prints_what_is_quoted() {
    let all: Vec<Vec<Line>> = pages().iter().flat_map(blocks).collect();
    let commands = all.iter().flatten().filter(|line| line.runs_program).count();
    assert!(commands > 15, "the commands are found: {commands}");
    let faults = Mutex::new(Vec::new());
    let next = Mutex::new(all.iter());
    let one_after_another = || {
        while let Some(block) = { next.lock().expect("no panic").next() } {
            faults.lock().expect("no panic").extend(run(block));
        }
    };
    thread::scope(|scope| {
        for _ in 0..thread::available_parallelism().map_or(2, usize::from).min(8) {
            scope.spawn(one_after_another);
        }
    });
    let faults = faults.into_inner().expect("no panic");
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

/// What a heading is called in a link, as GitHub makes it.
fn anchor(heading: &str) -> String {
    let heading = heading.trim_start_matches('#').trim().to_lowercase();
    let kept = heading.chars().filter(|c| c.is_alphanumeric() || matches!(c, ' ' | '-' | '_'));
    kept.map(|c| if c == ' ' { '-' } else { c }).collect()
}

/// The targets of a page's links, from `](target)` and `[name]: target`.
fn targets(text: &str) -> BTreeSet<String> {
    let inline = text.split("](").skip(1).filter_map(|rest| rest.split_once(')')).map(|(target, _)| target);
    let named =
        text.lines().filter(|l| l.starts_with('[')).filter_map(|l| l.split_once("]: ")).map(|(_, t)| t);
    inline.chain(named).map(|target| target.trim().to_owned()).collect()
}

#[test]
fn no_link_is_broken() {
    let (mut links, mut faults) = (0, Vec::new());
    for page in pages() {
        let folder = page.path.parent().expect("a folder");
        for target in targets(&page.text).iter().filter(|t| !t.starts_with("http")) {
            links += 1;
            let (file, heading) = target.split_once('#').unwrap_or((target, ""));
            let path = if file.is_empty() { root().join(&page.path) } else { root().join(folder).join(file) };
            let headed = |text: String| text.lines().any(|l| l.starts_with('#') && anchor(l) == heading);
            let leads =
                if heading.is_empty() { path.exists() } else { fs::read_to_string(&path).is_ok_and(headed) };
            if !leads {
                faults.push(format!("{}: {target}", page.path.display()));
            }
        }
        let names = page.text.split('[').skip(1).filter_map(|rest| rest.split_once("][")).count();
        assert_eq!(names, 0, "{}: links are written [text](target) or [name]", page.path.display());
    }
    assert!(links > 10, "the links are found: {links}");
    assert!(faults.is_empty(), "links that lead nowhere:\n{}", faults.join("\n"));
}

#[test]
fn commands_and_quotes_are_told_apart() {
    let text = "```sh\ncp a b\ncargo run --release -- build b   # all of it\n```\n\n```text\n  made …\n```\n\n\
                ```yaml\nkey: 1\n```\n\n```console\n$ tailpattern check b # exit code 1\nfail\n```\n";
    let found = blocks(&Page { path: "page.md".into(), text: text.to_owned() });
    let short: Vec<Vec<(&str, usize)>> = found
        .iter()
        .map(|block| block.iter().map(|l| (l.command.as_str(), l.quoted.len())).collect())
        .collect();
    let wanted = [
        vec![("cp a b", 0), ("tailpattern build b   # all of it", 1)],
        vec![("tailpattern check b # exit code 1", 1)],
    ];
    assert_eq!(short, wanted, "two blocks with commands, one line of output each");
    let lines = ["a wall of 4 mm".to_owned()];
    assert!(printed(&lines, "  a   wall …"), "the beginning, other spaces");
    assert!(!printed(&lines, "a wall of 5 mm"), "another figure");
    assert_eq!(anchor("## What is checked, and how"), "what-is-checked-and-how", "a heading's anchor");
}

#[test]
fn the_page_of_parameters_names_every_section() {
    let page = fs::read_to_string(root().join("src/guide/parameters.md")).expect("the page");
    let missing: Vec<&str> = tailpattern::params::entries()
        .iter()
        .map(|entry| entry.key)
        .filter(|key| !page.contains(&format!("`{key}`")))
        .collect();
    assert!(missing.is_empty(), "not named in parameters.md: {missing:?}");
}
