//! From a valid design to files: builds the forms, writes their files, and prints a summary.

use std::path::{Path, PathBuf};
use std::time::Instant;

use serde_json::Value;

use super::files::{bad_target, write};
use super::{Exit, colour, complain, say};
use crate::checks::{self, Limits, Verdict};
use crate::design::{Design, Form};
use crate::export::files;
use crate::export::form_files::{FileSettings, FormFiles, FormFilesError, Seconds, form_files};
use crate::export::sidecar;
use crate::finding::{Code, Finding, Findings};
use crate::forms::{MissingMetal, Product};
use crate::housing;
use crate::report::{build, terminal};

/// The values are legal, but the part cannot be made.
const IMPOSSIBLE: Code = Code::new("G001", "the part cannot be made");

/// A writer or the mesher failed.
const UNWRITABLE: Code = Code::new("G002", "a file of the part cannot be made");

/// The finished part reaches outside its casting, so it cannot be machined from that casting.
const MISSING_METAL: Code = Code::new("G003", "the casting does not hold the finished part");

/// Areas hold the pattern in the sand, or the core in its box.
const UNDERCUT: Code = Code::new("G004", "a form cannot be drawn");

/// What to produce and where.
#[derive(Debug)]
pub(super) struct Order<'a> {
    /// The parameter file, which no result may replace.
    pub(super) input: &'a Path,
    /// Folder that takes the files of this part.
    pub(super) folder: PathBuf,
    /// Greatest distance between mesh and exact surface, mm.
    pub(super) chord: f64,
    /// Forms to build.
    pub(super) forms: &'a [Form],
    /// SHA-256 of the parameter file.
    pub(super) hash: String,
    /// Whether to list all fillets.
    pub(super) fillets: bool,
    /// Whether to draw the part.
    pub(super) picture: bool,
    pub(super) measured: Option<&'a Path>,
    pub(super) tree: Option<&'a Path>,
    pub(super) timing: Option<&'a Path>,
}

fn impossible(code: Code, subject: &str, message: String) -> Exit {
    let mut findings = Findings::default();
    findings.push(Finding::error(code, subject, message));
    complain(&terminal::findings(&findings, None, colour()));
    Exit::Impossible
}

/// Builds the design and writes its files. A form that cannot be made is reported and does not stop the others;
/// nothing is written if the finished part cannot be built.
pub(super) fn produce(design: &Design, order: &Order) -> Exit {
    if let Err(exit) = test_targets(design, order) {
        return exit;
    }
    let start = Instant::now();
    let housing = match housing::build(design) {
        Ok(housing) => housing,
        Err(error) => return impossible(IMPOSSIBLE, &error.subject(), error.to_string()),
    };
    let building = start.elapsed().as_secs_f64();
    let product = Product::new(design, &housing);
    let settings = FileSettings { chord: order.chord, hash: &order.hash, picture: order.picture };
    let of_part =
        if order.picture || order.forms.contains(&Form::Finished) { &[Form::Finished][..] } else { &[] };
    let (mut made, mut failed) = (Vec::new(), Vec::new());
    for (form, outcome) in form_files(&product, of_part, &settings) {
        match outcome {
            Ok(files) => made.push(files),
            Err(FormFilesError::File { file, message }) => return impossible(UNWRITABLE, &file, message),
            Err(other) => return impossible(IMPOSSIBLE, form.name(), other.to_string()),
        }
    }
    let start = Instant::now();
    let others: Vec<Form> = order.forms.iter().copied().filter(|f| *f != Form::Finished).collect();
    for (form, outcome) in form_files(&product, &others, &settings) {
        match outcome {
            Ok(files) => made.push(files),
            Err(failure) => failed.push((form, failure)),
        }
    }
    let times = Times { building, forms: start.elapsed().as_secs_f64() };
    if let Err(exit) = written(&product, order, &made, &times) {
        return exit;
    }
    let outcomes = [
        report_failed(&failed),
        report_missing_metal(product.missing_metal()),
        report_undercuts(&product, made.iter().map(|m| m.form)),
    ];
    outcomes.into_iter().find(|exit| *exit != Exit::Done).unwrap_or(Exit::Done)
}

/// Seconds spent on building the finished part, and on all further forms with their files.
struct Times {
    building: f64,
    forms: f64,
}

/// Reports unusable targets before the work begins.
fn test_targets(design: &Design, order: &Order) -> Result<(), Exit> {
    let asked: Vec<&Path> = [order.measured, order.tree, order.timing].into_iter().flatten().collect();
    let usual = order.folder.join("finished.step");
    let early: Vec<&Path> = std::iter::once(usual.as_path()).chain(asked).collect();
    let named = design.named_files();
    let mut inputs = named.iter().map(PathBuf::as_path).chain([order.input]);
    inputs.try_for_each(|read| files::test_distinct(read, &early)).map_err(|error| bad_target(&error))
}

/// Writes all files and lists them.
fn written(product: &Product, order: &Order, made: &[FormFiles], times: &Times) -> Result<(), Exit> {
    let finished = made.iter().find(|m| m.form == Form::Finished).map(|m| m.seconds).unwrap_or_default();
    let timing = || build::timing(times.building, &finished, times.forms, peak_memory());
    let sidecars = [
        order.measured.map(|path| (path, text(&build::measured(product, made)))),
        order.tree.map(|path| (path, text(&sidecar::tree(product.finished().solid.tree())))),
        order.timing.map(|path| (path, text(&timing()))),
    ];
    let files = made.iter().flat_map(|m| &m.files);
    let files: Vec<(PathBuf, &[u8])> =
        files.map(|(name, bytes)| (order.folder.join(name), bytes.as_slice())).collect();
    let mut all: Vec<(&Path, &[u8])> = files.iter().map(|(path, bytes)| (path.as_path(), *bytes)).collect();
    all.extend(sidecars.iter().flatten().map(|(path, bytes)| (*path, bytes.as_slice())));
    write(order.input, &product.design().named_files(), &all)?;
    for files in made {
        say(&build::text(product, files, order.chord, times.building, order.fillets));
    }
    for (path, bytes) in &all {
        say(&format!("  {}  {}\n", path.display(), size(bytes.len())));
    }
    say(&taken(times, &finished, made.iter().filter(|m| m.form != Form::Finished).count()));
    Ok(())
}

/// Reports where the finished part reaches outside the casting, one message for each feature; a shallow depth only
/// warns. The forms are written in either case.
fn report_missing_metal(missing: &[MissingMetal]) -> Exit {
    for l in missing {
        let mut findings = Findings::default();
        let finding = if l.depth > MissingMetal::DEEP { Finding::error } else { Finding::warning };
        findings.push(finding(MISSING_METAL, l.feature.name(), l.to_string()));
        complain(&terminal::findings(&findings, None, colour()));
    }
    if missing.iter().any(|l| l.depth > MissingMetal::DEEP) { Exit::Failed } else { Exit::Done }
}

/// Reports what holds the pattern and the core box among the forms made, as `check` judges it: one message for each
/// feature. The forms are written in either case.
fn report_undercuts(product: &Product, made: impl Iterator<Item = Form>) -> Exit {
    let made: Vec<Form> = made.collect();
    let any = |forms: &[Form]| forms.iter().any(|f| made.contains(f));
    let limits = Limits::of(product.design());
    let mut measured = Vec::new();
    if any(&[Form::Casting, Form::Pattern])
        && let Ok(drawing) = product.drawing()
    {
        measured.extend(checks::undercuts(&drawing.undercuts, "pattern", &limits));
    }
    if any(&[Form::CoreBox])
        && let Ok(made) = product.core_box()
    {
        measured.extend(checks::undercuts(&made.undrawn, "core box", &limits));
    }
    let mut exit = Exit::Done;
    for measured in measured {
        let finding = match measured.verdict() {
            Verdict::Pass => continue,
            Verdict::Warn => Finding::warning,
            Verdict::Fail => {
                exit = Exit::Failed;
                Finding::error
            }
        };
        let allowed = measured.deciding().map_or(0.0, |limit| limit.value);
        let message = format!(
            "{:.0} mm² cannot be drawn, where {allowed:.0} mm² are allowed: {}",
            measured.value, measured.hint
        );
        let mut findings = Findings::default();
        findings.push(finding(UNDERCUT, &measured.what, message));
        complain(&terminal::findings(&findings, None, colour()));
    }
    exit
}

/// Reports the forms that could not be made, with one message for all forms that failed for the same reason.
fn report_failed(failed: &[(Form, FormFilesError)]) -> Exit {
    let mut reasons: Vec<(String, &FormFilesError, Vec<&str>)> = Vec::new();
    for (form, failure) in failed {
        let text = failure.to_string();
        match reasons.iter_mut().find(|(known, ..)| *known == text) {
            Some((.., forms)) => forms.push(form.name()),
            None => reasons.push((text, failure, vec![form.name()])),
        }
    }
    for (text, failure, forms) in reasons {
        let code = if matches!(failure, FormFilesError::File { .. }) { UNWRITABLE } else { IMPOSSIBLE };
        impossible(code, &forms.join(", "), text);
    }
    if failed.is_empty() { Exit::Done } else { Exit::Impossible }
}

/// The total time and the peak memory.
fn taken(times: &Times, finished: &Seconds, others: usize) -> String {
    let t = finished;
    let all = times.building + t.step + t.mesh + t.stl + t.packed + t.picture + times.forms;
    let memory = peak_memory().map_or_else(String::new, |mb| format!(", peak memory {mb:.0} MB"));
    let forms = if others > 0 {
        format!(", of which {:.2} s for {others} further forms", times.forms)
    } else {
        String::new()
    };
    format!("  made in {all:.2} s{forms}{memory}\n")
}

fn text(value: &Value) -> Vec<u8> {
    format!("{value:#}\n").into_bytes()
}

/// Peak memory so far, MB (10⁶ bytes), where the system reports it.
fn peak_memory() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|l| l.starts_with("VmHWM:"))?;
    let kib: f64 = line.split_whitespace().nth(1)?.parse().ok()?;
    Some(kib * 1024.0 / 1e6)
}

fn size(bytes: usize) -> String {
    if bytes < 100_000 {
        format!("{:.1} kB", bytes as f64 / 1e3)
    } else {
        format!("{:.2} MB", bytes as f64 / 1e6)
    }
}
