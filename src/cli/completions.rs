//! `completions`: prints a script with which a shell completes commands, options, and keys of the parameter file.

use std::ffi::OsStr;

use clap::builder::{PossibleValue, StringValueParser, TypedValueParser};
use clap::{Arg, Args, Command, Error};
use clap_complete::Shell;

use super::{Exit, say};
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
        say(&String::from_utf8_lossy(&script));
        Exit::Done
    }
}

/// Takes any text, and offers the keys of the parameter file to the shell: what is no key is told by the command, with
/// the nearest one.
#[derive(Debug, Clone, Copy)]
pub(super) enum Keys {
    /// Every section and key.
    All,
    /// Numbers, with the sign that stands before their values.
    Numbers,
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
        };
        Some(Box::new(names.into_iter().map(PossibleValue::new)))
    }
}
