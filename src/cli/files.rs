//! Reads the design of a parameter file, and writes results: either all files or none.

use std::io;
use std::path::{Path, PathBuf};

use super::{Exit, colour, complain};
use crate::design::Design;
use crate::export::files::{self, FileError};
use crate::finding::{Finding, Findings, Scope};
use crate::params::{self, Source};
use crate::report::terminal;

/// How a command treats an error whose scope is narrower than the whole part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Hold {
    /// It ends the command.
    Stops,
    /// It is reported as an error, and the forms it concerns are not made.
    Reported,
    /// It is reported as a warning.
    Aside,
    /// It is not reported, because the command measures the same itself.
    Measured,
}

/// A parameter file that a command can use.
pub(super) struct Loaded {
    pub(super) design: Design,
    pub(super) source: Option<Source>,
    /// What is told of it: warnings, and errors that do not stop the command.
    pub(super) findings: Findings,
}

/// Why a command cannot use a parameter file.
pub(super) enum Unusable {
    /// It cannot be read.
    Unreadable(io::Error),
    /// It is wrong.
    Wrong { findings: Findings, source: Option<Source> },
}

/// Reads and validates a parameter file. `hold` decides how the command treats errors of narrow scope.
pub(super) fn load(file: &Path, hold: impl Fn(&Design, Scope) -> Hold) -> Result<Loaded, Unusable> {
    let (source, raw) = params::load(file).map_err(Unusable::Unreadable)?;
    let raw = match raw {
        Ok(raw) => raw,
        Err(findings) => return Err(Unusable::Wrong { findings, source }),
    };
    let outcome = Design::validate(raw);
    let Some(design) = outcome.value else {
        return Err(Unusable::Wrong { findings: outcome.findings, source });
    };
    let folder = file.parent().unwrap_or(Path::new(""));
    let design = design.in_folder(folder);
    let mut findings = outcome.findings;
    findings.append(design.test_named_files());
    let stops = findings.stop(|scope| hold(&design, scope) == Hold::Stops);
    let told = |f: &&Finding| !f.stops(|scope| hold(&design, scope) == Hold::Measured);
    let reported: Findings = findings.iter().filter(told).cloned().collect();
    let findings = reported.setting_aside(|scope| hold(&design, scope) != Hold::Aside);
    if stops {
        return Err(Unusable::Wrong { findings, source });
    }
    Ok(Loaded { design, source, findings })
}

/// The same, and prints its findings.
pub(super) fn loaded(file: &Path, hold: impl Fn(&Design, Scope) -> Hold) -> Result<Loaded, Exit> {
    match load(file, hold) {
        Ok(loaded) => {
            tell(&loaded.findings, loaded.source.as_ref());
            Ok(loaded)
        }
        Err(Unusable::Unreadable(error)) => Err(unreadable(file, &error)),
        Err(Unusable::Wrong { findings, source }) => {
            tell(&findings, source.as_ref());
            Err(Exit::BadInput)
        }
    }
}

/// The design of a parameter file with its text; its findings are printed.
pub(super) fn design(
    file: &Path,
    hold: impl Fn(&Design, Scope) -> Hold,
) -> Result<(Design, Option<Source>), Exit> {
    loaded(file, hold).map(|Loaded { design, source, .. }| (design, source))
}

/// Prints findings about a text.
pub(super) fn tell(findings: &Findings, source: Option<&Source>) {
    complain(&terminal::findings(findings, source, colour()));
}

/// Prints why a parameter file cannot be read.
pub(super) fn unreadable(file: &Path, error: &io::Error) -> Exit {
    let hint = if file.is_dir() { "; name a parameter file in this folder (`NAME.yaml`)" } else { "" };
    complain(&format!("error: {}: {error}{hint}\n", file.display()));
    Exit::FileTrouble
}

/// Tests before the work whether all results can be written, and that none replaces a file that was read or that the
/// parameter file names. Leaves no trace.
pub(super) fn test_targets(input: &Path, named: &[PathBuf], targets: &[&Path]) -> Result<(), Exit> {
    let told = |error: &FileError, exit: Exit| {
        complain(&format!("error: {error}\n"));
        exit
    };
    let inputs = named.iter().map(PathBuf::as_path).chain([input]);
    inputs
        .into_iter()
        .try_for_each(|read| files::test_distinct(read, targets))
        .map_err(|error| told(&error, Exit::BadInput))?;
    targets
        .iter()
        .try_for_each(|path| files::test_target(path))
        .map_err(|error| told(&error, Exit::FileTrouble))
}

/// The name of a file without its folder.
pub(super) fn file_name(path: &Path) -> String {
    path.file_name().unwrap_or(path.as_os_str()).to_string_lossy().into_owned()
}

/// Writes all files or none, and never over one that was read or that the parameter file names: all targets are
/// tested before the first is written.
pub(super) fn write(
    input: &Path,
    named: &[PathBuf],
    all: &[(impl AsRef<Path>, impl AsRef<[u8]>)],
) -> Result<(), Exit> {
    let all: Vec<(&Path, &[u8])> = all.iter().map(|(path, bytes)| (path.as_ref(), bytes.as_ref())).collect();
    let targets: Vec<&Path> = all.iter().map(|(path, _)| *path).collect();
    test_targets(input, named, &targets)?;
    files::write_all_atomic(&all).map_err(|error| {
        complain(&format!("error: {error}\n"));
        Exit::FileTrouble
    })
}
