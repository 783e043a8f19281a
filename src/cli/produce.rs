//! From a valid design to files: builds the forms, writes their files, and prints a summary.

use std::path::{Path, PathBuf};
use std::time::Instant;

use rayon::prelude::*;
use serde_json::Value;

use super::files::{test_targets, write};
use super::working::Working;
use super::{Exit, colour, complain, say};
use crate::cautions;
use crate::checks::{self, Limits, Measurement, Part, Verdict};
use crate::design::{Design, Form};
use crate::export::form_files::{FileSettings, FormFiles, FormFilesError, Seconds, form_files};
use crate::export::{sidecar, stem};
use crate::faces::Feature;
use crate::finding::{Code, Finding, Findings, Hindrance};
use crate::forms::{Drawing, FormPieces, MissingMetal, Product, Undercut};
use crate::housing::{self, HousingError};
use crate::report::checks::{in_a_line, is_same};
use crate::report::{build, moulding, sheet, terminal};
use crate::units::Units;
use crate::words::counted;

/// The values are legal, but the part cannot be made.
const IMPOSSIBLE: Code = Code::new("G001", "the part cannot be made");

/// The program could not work it out.
const PROGRAM_FAULT: Code = Code::new("G005", "a fault of the program");

/// A writer or the mesher failed.
const UNWRITABLE: Code = Code::new("G002", "a file of the part cannot be made");

/// The finished part reaches outside its casting, so it cannot be machined from that casting.
const MISSING_METAL: Code = Code::new("G003", "the casting does not hold the finished part");

/// Areas hold the pattern in the sand, or the core in its box.
const UNDERCUT: Code = Code::new("G004", "a form cannot be withdrawn from the mould");

/// A limit by which `check` fails the part.
const BEYOND_LIMIT: Code = Code::new("G006", "a limit of `check` is not kept");

/// The last line of what is said of forms that were made: their checks take longer than the forms do, so `build` measures few of them.
const NOT_ALL_CHECKED: &str = "  not all that `check` measures is measured here: run `check` before anything is made from these files\n";

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
    /// Whether to draw each form in eight views.
    pub(super) picture: bool,
    pub(super) measured: Option<&'a Path>,
    pub(super) tree: Option<&'a Path>,
    pub(super) timing: Option<&'a Path>,
}

/// Reports that the finished part cannot be made.
pub(super) fn impossible(error: &HousingError, units: Units) -> Exit {
    let code = if error.is_internal() { PROGRAM_FAULT } else { IMPOSSIBLE };
    let mut findings = Findings::default();
    findings.push(Finding::error(code, error.subject(), error.to_string()));
    complain(&terminal::findings(&findings.in_units(units), None, colour()));
    Exit::before(&Hindrance::from(error))
}

/// Builds the design and writes its files. A form that cannot be made is reported and does not stop the others;
/// nothing is written if the finished part cannot be built.
pub(super) fn produce(design: &Design, order: &Order) -> Exit {
    if let Err(exit) = test_early(design, order) {
        return exit;
    }
    let start = Instant::now();
    let working = Working::on("making the solid of the finished part");
    let housing = match housing::build(design) {
        Ok(housing) => housing,
        Err(error) => {
            drop(working);
            return impossible(&error, design.units());
        }
    };
    let building = start.elapsed().as_secs_f64();
    let product = Product::new(design, &housing);
    let (outcomes, forms) = all_forms(&product, order, &working);
    drop(working);
    let (mut made, mut failed) = (Vec::new(), Vec::new());
    for (form, outcome) in outcomes {
        match outcome {
            Ok(files) => made.push(files),
            Err(failure) => failed.push((form, failure)),
        }
    }
    if let Err(exit) = written(&product, order, &made, &Times { building, forms }) {
        return exit;
    }
    report_missing_metal(product.missing_metal(), product.design().units());
    let flaws = [
        report_undercuts(&product, made.iter().map(|m| m.form)),
        report_limits(&product, made.iter().map(|m| m.form)),
    ];
    if failed.is_empty() {
        return flaws.into_iter().find(|exit| *exit != Exit::Done).unwrap_or(Exit::Done);
    }
    report_failed(&failed, &made, design.units())
}

/// What came of each form.
type Outcomes = Vec<(Form, Result<FormFiles, FormFilesError>)>;

/// Makes all forms with their files; also returns the seconds that all but the finished part took.
fn all_forms(product: &Product, order: &Order, working: &Working) -> (Outcomes, f64) {
    let settings = FileSettings { chord: order.chord, hash: &order.hash, picture: order.picture };
    let of_part = if order.forms.contains(&Form::Finished) { &[Form::Finished][..] } else { &[] };
    working.now("making the files of the finished part");
    let mut outcomes = form_files(product, of_part, &settings);
    let start = Instant::now();
    let others: Vec<Form> = order.forms.iter().copied().filter(|f| *f != Form::Finished).collect();
    if others.iter().any(|f| *f != Form::TrialPrint) {
        working.now("making the solid of the casting");
        // An error is reported by each form that needs the casting.
        let _ = product.casting();
    }
    let names: Vec<&str> = others.iter().map(|f| f.name()).collect();
    working.now(format!("making {}", names.join(", ")));
    outcomes.extend(form_files(product, &others, &settings));
    let forms = start.elapsed().as_secs_f64();
    working.now("writing the sheets");
    let sheeted = |(form, made): (Form, Result<FormFiles, FormFilesError>)| {
        (form, made.and_then(|made| with_sheet(product, made, &order.hash)))
    };
    (outcomes.into_par_iter().map(sheeted).collect(), forms)
}

/// The files of a form with those of its sheet.
pub(super) fn with_sheet(
    product: &Product,
    mut made: FormFiles,
    hash: &str,
) -> Result<FormFiles, FormFilesError> {
    let start = Instant::now();
    let sheet = sheet::files(product, &made, hash);
    made.files.extend(sheet.map_err(|error| FormFilesError::File {
        file: format!("{}.pdf", stem(made.form)),
        message: error.to_string(),
    })?);
    made.seconds.sheet += start.elapsed().as_secs_f64();
    Ok(made)
}

/// Seconds spent on building the finished part, and on all further forms with their files.
struct Times {
    building: f64,
    forms: f64,
}

/// Reports unusable targets before the work begins.
fn test_early(design: &Design, order: &Order) -> Result<(), Exit> {
    let asked: Vec<&Path> = [order.measured, order.tree, order.timing].into_iter().flatten().collect();
    let usual = order.folder.join("finished.step");
    let early: Vec<&Path> = std::iter::once(usual.as_path()).chain(asked).collect();
    test_targets(order.input, &design.named_files(), &early)
}

/// Writes all files and lists them.
fn written(product: &Product, order: &Order, made: &[FormFiles], times: &Times) -> Result<(), Exit> {
    let finished = made.iter().find(|m| m.form == Form::Finished).map(|m| m.seconds).unwrap_or_default();
    let sheets: f64 = made.iter().map(|m| m.seconds.sheet).sum();
    let timing = || build::timing(times.building, &finished, times.forms, sheets, peak_memory());
    let sidecars = [
        order.measured.map(|path| (path, text(&build::measured(product, made)))),
        order.tree.map(|path| (path, text(&sidecar::tree(product.finished().solid.tree())))),
        order.timing.map(|path| (path, text(&timing()))),
    ];
    let files = made.iter().flat_map(|m| &m.files);
    let files: Vec<(PathBuf, &[u8])> =
        files.map(|(name, bytes)| (order.folder.join(name), bytes.as_slice())).collect();
    let said: Vec<String> =
        made.iter().map(|m| build::text(product, m, order.chord, times.building, order.fillets)).collect();
    let mut all: Vec<(&Path, &[u8])> = files.iter().map(|(path, bytes)| (path.as_path(), *bytes)).collect();
    all.extend(sidecars.iter().flatten().map(|(path, bytes)| (*path, bytes.as_slice())));
    write(order.input, &product.design().named_files(), &all)?;
    for text in &said {
        say(text);
    }
    for (path, bytes) in &all {
        say(&format!("  {}  {}\n", path.display(), size(bytes.len())));
    }
    say(&taken(times, &finished, sheets, made.iter().filter(|m| m.form != Form::Finished).count()));
    let forms: Vec<Form> = made.iter().map(|m| m.form).collect();
    if !forms.is_empty() {
        say(NOT_ALL_CHECKED);
    }
    say(&cautions::lines(&cautions::of_build(&forms)));
    Ok(())
}

/// Warns where the finished part reaches outside the casting a little, one message for each feature and their number at the
/// end. Where it reaches out deeply, the forms are not written, and each says so.
fn report_missing_metal(missing: &[MissingMetal], units: Units) {
    let shallow = missing.iter().filter(|l| !l.is_deep());
    let one = |l: &MissingMetal| Finding::warning(MISSING_METAL, l.feature.name(), l.message(units));
    let findings: Findings = shallow.map(one).collect();
    complain(&terminal::findings(&findings, None, colour()));
}

/// Reports what holds the pattern and the core box among the forms made, as `check` judges it: one message for each
/// feature and their number at the end. The forms are written in either case.
fn report_undercuts(product: &Product, made: impl Iterator<Item = Form>) -> Exit {
    let made: Vec<Form> = made.collect();
    let any = |forms: &[Form]| forms.iter().any(|f| made.contains(f));
    let limits = Limits::of(product.design());
    let units = product.design().units();
    let mut measured = Vec::new();
    if any(&[Form::Casting, Form::Pattern])
        && let Ok(drawing) = product.drawing()
    {
        let pattern = if any(&[Form::Pattern]) { product.pattern().ok() } else { None };
        // To rank all partings takes long: asked only where it is said.
        let turning = || match (product.casting(), product.partings()) {
            (Ok(casting), Ok(partings)) => moulding::would_turning_help(casting, partings),
            _ => false,
        };
        let found = checks::undercuts(drawing, &limits, units);
        measured.extend(found.into_iter().map(|m| {
            // What casts a shadow holds, not what lies in it.
            let feature = m.undercuts.first().map_or_else(|| m.feature(), Undercut::holder);
            let remedy = remedy(&m, feature, drawing, pattern, &turning);
            let holds = match &remedy {
                Remedy::Written(_) => "would hold a half in one piece",
                Remedy::Advice(_) if drawing.needs_a_piece(feature) => "cannot be drawn",
                Remedy::Advice(_) => "cannot be drawn before it is dressed by hand",
            };
            (remedy.text(), holds, m)
        }));
    }
    if any(&[Form::CoreBox])
        && let Ok(made) = product.core_box()
    {
        let found = checks::undercuts_of_core_box(made, &limits);
        measured.extend(found.into_iter().map(|m| (m.hint.to_string(), "cannot be drawn", m)));
    }
    let mut findings = Findings::default();
    for (remedy, holds, measured) in measured {
        let finding = match measured.verdict() {
            Verdict::Pass => continue,
            Verdict::Warn => Finding::warning,
            Verdict::Fail => Finding::error,
        };
        let allowed = match measured.deciding() {
            Some(limit) if limit.given => {
                format!(", where `limits.undercut` allows {}", units.area(limit.value))
            }
            _ => String::new(),
        };
        let message = format!("{} {holds}{allowed}: {remedy}", units.area(measured.value));
        findings.push(finding(UNDERCUT, &measured.what, message));
    }
    complain(&terminal::findings(&findings, None, colour()));
    if findings.has_errors() { Exit::Failed } else { Exit::Done }
}

/// What to do about an undercut.
enum Remedy {
    /// It is among the files written.
    Written(String),
    /// It is left to the one who reads it.
    Advice(String),
}

impl Remedy {
    fn text(self) -> String {
        let (Self::Written(text) | Self::Advice(text)) = self;
        text
    }
}

/// What to do about an undercut, given the pattern with its loose pieces where that is among the forms made, and whether another parting
/// angle holds less.
fn remedy(
    measured: &Measurement,
    feature: Feature,
    drawing: &Drawing,
    pattern: Option<&FormPieces>,
    turning: &dyn Fn() -> bool,
) -> Remedy {
    let turn = |advice: &'static str| if turning() { advice } else { "" };
    let Some(pattern) = pattern.filter(|_| drawing.needs_a_piece(feature)) else {
        return Remedy::Advice(measured.hint.to_string());
    };
    let concerns = |features: &[Feature]| features.contains(&feature);
    if pattern.still_held.iter().any(|held| concerns(&held.features)) {
        Remedy::Advice(format!(
            "the notes say why neither a loose piece nor a side core frees all of it; {}form it with a core, or change the shape",
            turn("turn `casting.mould.parting_clock`, ")
        ))
    } else if pattern.loose.iter().any(|piece| concerns(&piece.features)) {
        Remedy::Written(format!(
            "the loose pieces written with the pattern free it{}",
            turn("; turn `casting.mould.parting_clock` to need none")
        ))
    } else if pattern.side_cores.iter().any(|core| concerns(&core.features)) {
        Remedy::Written(format!(
            "the side cores written with the pattern form it{}",
            turn("; turn `casting.mould.parting_clock` to need none")
        ))
    } else {
        Remedy::Advice(measured.hint.to_string())
    }
}

/// Reports what fails `check` among what is measured for the report of the forms made, and, where a rule of the parameter
/// file finds metal or edges too thin, what comes of it on the solid. The forms are written in either case.
fn report_limits(product: &Product, made: impl Iterator<Item = Form>) -> Exit {
    let made: Vec<Form> = made.collect();
    let mut measured = checks::of_made(product, &made);
    if made.contains(&Form::Finished) {
        measured.extend(checks::holes_cut_of(product.design(), product.finished()));
    }
    if product.design().may_break_limits() {
        match checks::each(product, &[Part::Walls, Part::Holes]) {
            Ok(found) => measured.extend(found.into_iter().flat_map(|(_, checks)| checks.measurements)),
            Err(error) => {
                complain(&format!("error: {}\n", Hindrance::from(&error)));
                return Exit::ProgramFault;
            }
        }
    }
    let units = product.design().units();
    let failed = measured.iter().filter(|m| m.verdict() == Verdict::Fail);
    let findings: Findings = alike(failed, units).iter().map(|alike| alike.finding(units)).collect();
    complain(&terminal::findings(&findings, None, colour()));
    if findings.has_errors() { Exit::Failed } else { Exit::Done }
}

/// Measurements that fail alike.
struct Alike<'a> {
    first: &'a Measurement,
    /// What they are about, each once.
    whats: Vec<&'a str>,
    /// How many they are.
    count: usize,
}

impl Alike<'_> {
    fn finding(&self, units: Units) -> Finding {
        let mut text = in_a_line(self.first, units);
        if self.whats.len() > 1 {
            text.push_str(&format!("; the same: {}", self.whats[1..].join("; ")));
        }
        if self.count > self.whats.len() {
            text.push_str(&format!("; {} places in all", self.count));
        }
        Finding::error(BEYOND_LIMIT, &self.first.what, text).hint(self.first.hint.as_ref())
    }
}

/// Measurements in their order, those that fail alike and are cured alike together.
fn alike<'a>(failed: impl Iterator<Item = &'a Measurement>, units: Units) -> Vec<Alike<'a>> {
    let mut out: Vec<Alike<'a>> = Vec::new();
    for m in failed {
        let what = m.what.as_str();
        let like = |known: &&mut Alike| is_same(known.first, m, units) && known.first.hint == m.hint;
        let Some(known) = out.iter_mut().find(like) else {
            out.push(Alike { first: m, whats: vec![what], count: 1 });
            continue;
        };
        known.count += 1;
        if !known.whats.contains(&what) {
            known.whats.push(what);
        }
    }
    out
}

/// Reports the forms that could not be made, with one message for all forms that failed for the same reason, and says
/// at the end which forms were written all the same.
fn report_failed(failed: &[(Form, FormFilesError)], made: &[FormFiles], units: Units) -> Exit {
    let mut reasons: Vec<(String, &FormFilesError, Vec<&str>)> = Vec::new();
    for (form, failure) in failed {
        let text = failure.to_string();
        match reasons.iter_mut().find(|(known, ..)| *known == text) {
            Some((.., forms)) => forms.push(form.name()),
            None => reasons.push((text, failure, vec![form.name()])),
        }
    }
    let one = |(text, failure, forms): (String, &FormFilesError, Vec<&str>)| {
        let code = match failure {
            FormFilesError::File { .. } => UNWRITABLE,
            FormFilesError::Form(error) if error.is_internal() => PROGRAM_FAULT,
            FormFilesError::NotHeld(..) => MISSING_METAL,
            FormFilesError::Form(_) | FormFilesError::Rule(_) => IMPOSSIBLE,
        };
        Finding::error(code, forms.join(", "), text)
    };
    let findings: Findings = reasons.into_iter().map(one).collect();
    let bad: Vec<&str> = failed.iter().map(|(form, _)| form.name()).collect();
    let good: Vec<&str> = made.iter().map(|files| files.form.name()).collect();
    let good = if good.is_empty() { "nothing".to_owned() } else { good.join(", ") };
    complain(&terminal::findings(&findings.in_units(units), None, colour()));
    let design = failed.iter().any(|(_, failure)| !failure.is_internal());
    let exit = if design { Exit::Impossible } else { Exit::ProgramFault };
    complain(&format!("not made: {}; written: {good} (exit code {})\n", bad.join(", "), exit.code()));
    exit
}

/// The total time and the peak memory.
fn taken(times: &Times, finished: &Seconds, sheets: f64, others: usize) -> String {
    let t = finished;
    let all = times.building + t.step + t.mesh + t.stl + t.packed + t.picture + times.forms + sheets;
    let memory = peak_memory().map_or_else(String::new, |mb| format!(", peak memory {mb:.0} MB"));
    let forms = if others > 0 {
        format!(", of which {:.2} s for {}", times.forms, counted(others, "further form"))
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
