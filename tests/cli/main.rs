//! The real program, as a user runs it; what it makes of any text, of faulty files and of the commands in the README; the
//! layers of its code.

mod any_text;
mod build;
mod cautions;
mod check;
mod describe;
mod draw;
#[path = "../common/edit.rs"]
#[allow(unreachable_pub, reason = "shared with examples")]
mod edit;
mod inspect;
mod inspect_refusals;
mod layers;
mod output;
mod place;
mod readme;
mod rejects;
mod report;
mod scope;
mod sheets;
mod sources_told;
mod sweep;
mod watch;

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// Runs the program with these arguments.
fn tailpattern(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_tailpattern")).args(arguments).output().expect("the program runs")
}

/// A file of this repository.
fn file(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(path)
}

fn out(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).expect("text")
}

fn err(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).expect("text")
}

#[test]
fn help_fits_a_screen_and_names_the_exit_codes() {
    let help = tailpattern(&["--help"]);
    assert_eq!(help.status.code(), Some(0), "help is no fault");
    let text = out(&help);
    assert!(text.lines().count() < 30 && text.contains("3 geometry impossible"), "{text}");
}

#[test]
fn an_unknown_command_is_bad_input() {
    assert_eq!(tailpattern(&["bild"]).status.code(), Some(2), "mistyped command");
}

#[test]
fn completions_know_the_commands() {
    for shell in ["bash", "zsh", "fish", "elvish", "powershell"] {
        let text = out(&tailpattern(&["completions", shell]));
        assert!(text.contains("describe") && text.contains("chord"), "{shell}");
        let forms = !matches!(shell, "bash" | "zsh" | "fish") || text.contains("core-box");
        assert!(forms, "names of forms, in {shell}");
        // The scripts of the other shells hold no values of options.
        let keys = !matches!(shell, "bash" | "zsh" | "fish")
            || (text.contains("tail.oil_feed") && text.contains("mount_pad.offset="));
        assert!(keys, "keys, in {shell}");
        let checks = !matches!(shell, "bash" | "zsh" | "fish")
            || (text.contains("blind hole floor") || text.contains("blind\\ hole\\ floor"));
        assert!(checks, "names of checks, in {shell}");
    }
    let help = out(&tailpattern(&["describe", "--help"]));
    assert!(!help.contains("tail.oil_feed"), "the keys are not in the help: {help}");
}

/// What fish's own rules make of the list: a word ends at a space or an apostrophe unless a backslash stands before it. (Tried in fish 3.6
/// as well, which offers these names whole.)
#[test]
fn names_of_checks_are_single_words_in_fish() {
    let script = out(&tailpattern(&["completions", "fish"]));
    let named = |line: &&str| line.contains("below") && line.contains("bolts") && line.contains(r"\t''");
    let lines: Vec<&str> = script.lines().filter(named).collect();
    assert!(
        lines.iter().any(|line| line.starts_with(r"mount\'s\ bolts\ below\ their\ proof\ load,")),
        "{lines:?}"
    );
    for line in lines {
        let name = line.rsplit('"').find(|part| part.contains(r"\t''")).unwrap_or(line);
        let name = name.split(r"\t''").next().expect("a name");
        let bare = |at: usize| !name[..at].ends_with('\\');
        assert!(name.match_indices([' ', '\'']).all(|(at, _)| !bare(at)), "{line}");
    }
}
