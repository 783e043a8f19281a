//! The command line: one file for each command. Only this module prints.

mod build;

mod check;

mod completions;

mod describe;

mod draw;

mod files;

mod inspect;

mod place;

mod produce;

mod report;

mod solve;

mod sweep;

mod watch;

mod working;

use std::io::{self, ErrorKind, IsTerminal, Write};
use std::process::ExitCode;
use std::sync::OnceLock;

use clap::{CommandFactory, Parser, Subcommand};

use crate::finding::Hindrance;

/// From a YAML parameter file to a shortened gearbox tail housing.
#[derive(Debug, Parser)]
#[command(name = "tailpattern", version, about, after_help = EXIT_CODES)]
struct Arguments {
    #[command(subcommand)]
    command: Command,
}

const EXIT_CODES: &str = "Exit codes: 0 done, 1 a check failed, or more of a form than `limits.undercut`\ncannot be withdrawn from the mould, 2 bad input, 3 geometry impossible, or a\ncasting that does not hold the part, 4 file trouble, 5 fault of the program, 130 stopped.";

#[derive(Debug, Subcommand)]
enum Command {
    Build(build::Build),
    Check(check::Check),
    Draw(draw::Draw),
    Inspect(inspect::Inspect),
    Place(place::Place),
    Report(report::Report),
    Watch(watch::Watch),
    Sweep(sweep::Sweep),
    Solve(solve::Solve),
    Describe(describe::Describe),
    Completions(completions::Completions),
}

/// How a command ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Exit {
    /// Everything that was asked for is done.
    Done,
    /// A check failed, or a sweep is not complete.
    Failed,
    /// The parameter file or the command line is at fault; nothing was written.
    BadInput,
    /// The values are legal, but the part they describe, or one of its forms, cannot be made; of such a form nothing was
    /// written.
    Impossible,
    /// A file or folder cannot be read or written.
    FileTrouble,
    /// The program could not work something out although it should: nothing is known of that about the design.
    ProgramFault,
    /// Interrupted by Ctrl-C before everything was done; finished work is kept.
    Stopped,
}

impl Exit {
    /// The end of a command before which something stood.
    fn before(hindrance: &Hindrance) -> Self {
        if hindrance.is_program_fault() { Self::ProgramFault } else { Self::Impossible }
    }

    /// The process's exit code.
    const fn code(self) -> u8 {
        match self {
            Self::Done => 0,
            Self::Failed => 1,
            Self::BadInput => 2,
            Self::Impossible => 3,
            Self::FileTrouble => 4,
            Self::ProgramFault => 5,
            Self::Stopped => 130,
        }
    }
}

impl From<Exit> for ExitCode {
    fn from(exit: Exit) -> Self {
        Self::from(exit.code())
    }
}

/// Reads the command line and runs its command.
pub fn run() -> Exit {
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(error) => {
            let exit = if error.use_stderr() { Exit::BadInput } else { Exit::Done };
            note(error.print());
            return output_trouble().unwrap_or(exit);
        }
    };
    let exit = match arguments.command {
        Command::Build(build) => build.run(),
        Command::Check(check) => check.run(),
        Command::Draw(draw) => draw.run(),
        Command::Inspect(inspect) => inspect.run(),
        Command::Place(place) => place.run(),
        Command::Report(report) => report.run(),
        Command::Watch(watch) => watch.run(),
        Command::Sweep(sweep) => sweep.run(),
        Command::Solve(solve) => solve.run(),
        Command::Describe(describe) => describe.run(),
        Command::Completions(completions) => completions.run(&mut Arguments::command()),
    };
    // A result that nobody could read is no result; other errors say more than this one.
    if matches!(exit, Exit::Done | Exit::Failed) { output_trouble().unwrap_or(exit) } else { exit }
}

/// Why the standard output could not be written, such as a full disk behind a redirection.
static OUTPUT: OnceLock<io::Error> = OnceLock::new();

/// Remembers why printing failed; a closed pipe is the reader's choice, not a fault.
fn note(printed: io::Result<()>) {
    if let Err(error) = printed
        && error.kind() != ErrorKind::BrokenPipe
    {
        // Only the first reason is of use.
        let _known = OUTPUT.set(error);
    }
}

/// Reports that the standard output could not be written, if so.
fn output_trouble() -> Option<Exit> {
    let error = OUTPUT.get()?;
    complain(&format!("error: the standard output cannot be written: {error}; check the free space\n"));
    Some(Exit::FileTrouble)
}

/// Prints a result.
fn say(text: &str) {
    let mut out = io::stdout().lock();
    note(out.write_all(text.as_bytes()).and_then(|()| out.flush()));
}

/// Prints an error or a warning.
fn complain(text: &str) {
    let _closed = io::stderr().lock().write_all(text.as_bytes());
}

/// Whether errors and warnings may be coloured: on a terminal, unless `NO_COLOR` is set.
fn colour() -> bool {
    io::stderr().is_terminal() && std::env::var_os("NO_COLOR").is_none_or(|value| value.is_empty())
}
