//! `completions`: prints a script with which a shell completes commands and options.

use clap::Args;
use clap_complete::Shell;

use super::{Exit, say};

/// Print the completion script for a shell.
#[derive(Debug, Args)]
pub(super) struct Completions {
    /// The shell
    shell: Shell,
}

impl Completions {
    /// Prints the script.
    pub(super) fn run(&self, command: &mut clap::Command) -> Exit {
        let mut script = Vec::new();
        clap_complete::generate(self.shell, command, "tailpattern", &mut script);
        say(&String::from_utf8_lossy(&script));
        Exit::Done
    }
}
