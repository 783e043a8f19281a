//! The `tailpattern` program: reads the command line, runs one command, sets the exit code.

use std::process::ExitCode;

fn main() -> ExitCode {
    tailpattern::cli::run().into()
}
