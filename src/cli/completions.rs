//! `completions`: prints a script with which a shell completes commands, options, and keys of the parameter file.

use std::ffi::OsStr;

use clap::builder::{PossibleValue, StringValueParser, TypedValueParser};
use clap::{Arg, Args, Command, Error};
use clap_complete::Shell;

use super::{Exit, say};
use crate::checks::NAMES;
use crate::params::{entries, reference};

/// Print the completion script for a shell.
#[derive(Debug, Args)]
pub(super) struct Completions {
    /// The shell
    shell: Shell,
}

impl Completions {
    /// Prints the script.
    pub(super) fn run(&self, command: &mut Command) -> Exit {
        let mut script = Vec::new();
        clap_complete::generate(self.shell, command, "tailpattern", &mut script);
        let script = String::from_utf8_lossy(&script);
        match self.shell {
            Shell::Bash => say(&for_bash(&script)),
            Shell::Fish => say(&for_fish(&script)),
            Shell::Zsh => say(&for_zsh(&script)),
            _ => say(&script),
        }
        Exit::Done
    }
}

fn checks(end: &str) -> Vec<String> {
    NAMES.iter().map(|(name, _)| format!("{name}{end}")).collect()
}

/// In a list of fish, names with spaces and apostrophes are one word each only behind backslashes, which clap does not write there.
fn for_fish(script: &str) -> String {
    let names: Vec<String> = ["", "="].into_iter().flat_map(checks).collect();
    let mut out = String::with_capacity(script.len());
    for line in script.lines() {
        let (before, rest) = line
            .rfind('"')
            .filter(|at| line[*at..].contains(r"\t''"))
            .map_or(("", line), |at| line.split_at(at + 1));
        let name = rest.split(r"\t''").next().unwrap_or_default().replace(r"\,", ",").replace(r"\'", "'");
        if rest.contains(r"\t''") && names.contains(&name) {
            let word = name.replace('\'', r"\'").replace(' ', r"\ ");
            let end = if rest.ends_with('"') { "\"" } else { "" };
            out.push_str(&format!("{before}{word}\\t''{end}\n"));
        } else {
            out.push_str(&format!("{line}\n"));
        }
    }
    out
}

/// A list of zsh is read twice: apostrophes of names need a backslash of their own.
fn for_zsh(script: &str) -> String {
    let apart = checks("").into_iter().filter(|name| name.contains('\''));
    apart.fold(script.to_owned(), |script, name| {
        let written = |apostrophe: &str| name.replace(' ', r"\ ").replace('\'', apostrophe);
        script.replace(&written(r"'\''"), &written(r"\'\''"))
    })
}

/// A script for bash in which names of checks, which hold spaces, are offered as one word each: clap's own would break them up.
fn for_bash(script: &str) -> String {
    let names = |end: &str| checks(end).join("\n");
    let mut out = format!(
        "_tailpattern_names() {{\n    local name typed=${{2//\\\\/}}\n    COMPREPLY=()\n    while IFS= read -r name; do\n        \
         [[ $name == \"$typed\"* ]] && COMPREPLY+=(\"$(printf '%q' \"$name\")$1\")\n    done <<'END'\n{}\nEND\n}}\n\n",
        names("")
    );
    let mut of: Option<&str> = None;
    for line in script.lines() {
        let end = of.take().filter(|_| line.trim_start().starts_with("COMPREPLY="));
        match end {
            Some(end) => {
                out.push_str(&format!("                    _tailpattern_names \"{end}\" \"${{cur}}\"\n"));
            }
            None => out.push_str(&format!("{line}\n")),
        }
        of = match line.trim() {
            "--check)" => Some(""),
            "--until)" => Some("="),
            _ => None,
        };
    }
    out
}

/// Takes any text, and offers the keys of the parameter file to the shell: what is no key is told by the command, with
/// the nearest one.
#[derive(Debug, Clone, Copy)]
pub(super) enum Keys {
    /// Every section and key.
    All,
    /// Numbers, with the sign that stands before their values.
    Numbers,
    /// Names of checks.
    Checks,
    /// Names of checks, with the sign that stands before a margin.
    Margins,
}

impl TypedValueParser for Keys {
    type Value = String;

    fn parse_ref(&self, command: &Command, arg: Option<&Arg>, value: &OsStr) -> Result<String, Error> {
        StringValueParser::new().parse_ref(command, arg, value)
    }

    fn possible_values(&self) -> Option<Box<dyn Iterator<Item = PossibleValue> + '_>> {
        let known = entries();
        let names = match self {
            Self::All => {
                reference::paths(&known).iter().map(|path| path.replace("[]", "")).collect::<Vec<_>>()
            }
            Self::Numbers => {
                // The first item of a list stands for the others.
                reference::number_paths(&known).iter().map(|path| path.replace("[]", "[1]") + "=").collect()
            }
            Self::Checks => checks(""),
            Self::Margins => checks("="),
        };
        Some(Box::new(names.into_iter().map(PossibleValue::new)))
    }
}
