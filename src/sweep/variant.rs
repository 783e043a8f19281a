//! Builds and checks the variant of a row number.

use std::any::Any;
use std::collections::{BTreeMap, BTreeSet};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;

use super::plan::Plan;
use super::row::{Measured, RowVerdict, SweepRow};
use crate::checks::{self, Measurement, Part};
use crate::design::Design;
use crate::finding::{Findings, Hindrance, Severity};
use crate::forms::{MadeForms, Product};
use crate::housing::{self, Housing};
use crate::params::tree::Node;

/// Intermediate results of a variant, for callers that write files of it.
pub struct Variant<'a> {
    /// The parameter file's tree with the row's values.
    pub tree: &'a Node,
    /// Its design.
    pub design: &'a Design,
    /// Its part.
    pub housing: &'a Housing,
}

/// Makes rows one after another; a part that the previous row had already is not built again, nor are its forms.
#[derive(Default)]
pub struct Maker {
    last: Option<Last>,
}

/// The part of the row before.
struct Last {
    /// A design of it, with the trial print that `forms` has or will have.
    design: Design,
    housing: Housing,
    forms: MadeForms,
}

impl Maker {
    /// The row with a number; any failure is recorded in it.
    pub fn row(&mut self, plan: &Plan, index: u64, look: &mut dyn FnMut(&SweepRow, &Variant)) -> SweepRow {
        let made = catch_unwind(AssertUnwindSafe(|| self.made(plan, index, &plan.values(index), look)));
        made.unwrap_or_else(|panic| {
            self.last = None;
            let fault = Hindrance::new(true, panic_text(&*panic));
            hindered(index, plan.values(index), &fault)
        })
    }

    /// A row for the file's values with some replaced, outside the sweep's numbering.
    pub fn at(&mut self, plan: &Plan, values: &[f64]) -> SweepRow {
        self.made(plan, 0, values, &mut |_, _| ())
    }

    fn made(
        &mut self,
        plan: &Plan,
        index: u64,
        values: &[f64],
        look: &mut dyn FnMut(&SweepRow, &Variant),
    ) -> SweepRow {
        let values = values.to_vec();
        let tree = match plan.tree(&values) {
            Ok(tree) => tree,
            Err(error) => return broken(index, values, RowVerdict::Refused, &error.to_string()),
        };
        let design = match design(plan, &tree) {
            Ok(design) => design,
            Err(findings) => return broken(index, values, RowVerdict::Refused, &told(&findings)),
        };
        if let Err(error) = self.build(&design) {
            return hindered(index, values, &Hindrance::from(&error));
        }
        let Some(Last { housing, forms, .. }) = &self.last else {
            return hindered(index, values, &Hindrance::new(true, "the part is lost"));
        };
        let row = match measured(plan, &Product::sharing(&design, housing, forms)) {
            Ok(measured) => row(index, values, measured, &design, housing),
            Err(fault) => return hindered(index, values, &fault),
        };
        look(&row, &Variant { tree: &tree, design: &design, housing });
        row
    }

    /// Makes sure that the last part belongs to this design.
    fn build(&mut self, design: &Design) -> Result<(), housing::HousingError> {
        if let Some(last) = &mut self.last
            && last.design.same_part(design)
        {
            if !last.design.same_print(design) {
                last.design = design.clone();
                last.forms.drop_trial_print();
            }
            return Ok(());
        }
        self.last = None;
        let housing = housing::build(design)?;
        self.last = Some(Last { design: design.clone(), housing, forms: MadeForms::default() });
        Ok(())
    }
}

/// The checks that the base part has, and the groups of checks that they belong to.
///
/// # Errors
/// Why the base part cannot be built.
pub fn known(plan: &Plan) -> Result<KnownChecks, String> {
    let tree = plan.tree(&[]).map_err(|e| e.to_string())?;
    let design = design(plan, &tree).map_err(|findings| told(&findings))?;
    let housing = housing::build(&design).map_err(|error| format!("{}: {error}", error.subject()))?;
    let mut known = KnownChecks::default();
    for (part, found) in
        checks::each(&Product::new(&design, &housing), &Part::ALL).map_err(|e| e.to_string())?
    {
        for one in found.measurements.iter().filter(|c| !c.is_fault()) {
            known.parts.entry(one.check).or_default().insert(part);
        }
        known.not_made.extend(found.not_checked.into_iter().map(|not| (not.check, not.because)));
    }
    Ok(known)
}

/// The checks of a part.
#[derive(Debug, Default)]
pub struct KnownChecks {
    /// Those that measure something, and the groups in which they do.
    pub parts: BTreeMap<&'static str, BTreeSet<Part>>,
    /// Those that are not made, and why.
    pub not_made: BTreeMap<&'static str, String>,
}

fn panic_text(panic: &(dyn Any + Send)) -> &str {
    let text = panic.downcast_ref::<String>().map(String::as_str);
    text.or_else(|| panic.downcast_ref::<&str>().copied()).unwrap_or("no message")
}

fn design(plan: &Plan, tree: &Node) -> Result<Design, Findings> {
    let outcome = Design::validate(plan.template().read(tree)?);
    let folder: &Path = &plan.folder;
    let design = outcome.value.ok_or(outcome.findings)?.in_folder(folder);
    let unread = design.test_named_files();
    if unread.has_errors() { Err(unread) } else { Ok(design) }
}

/// The first error and how many more there are.
fn told(findings: &Findings) -> String {
    let mut errors = findings.iter().filter(|f| f.severity() == Severity::Error);
    let Some(first) = errors.next() else { return "the values contradict each other".to_owned() };
    let more = match errors.count() {
        0 => String::new(),
        n => format!(" (and {n} more)"),
    };
    format!("{} {}: {}{more}", first.code().id(), first.subject(), first.message())
}

/// A row without a part, or whose part could not be measured.
fn hindered(index: u64, values: Vec<f64>, why: &Hindrance) -> SweepRow {
    let program = why.is_program_fault();
    let verdict = if program { RowVerdict::ProgramFault } else { RowVerdict::Impossible };
    broken(index, values, verdict, &why.to_string())
}

fn broken(index: u64, values: Vec<f64>, verdict: RowVerdict, fault: &str) -> SweepRow {
    let fault = Some(in_a_line(fault));
    SweepRow { index, values, verdict, counts: [0; 4], volume: None, mass: None, fault, measured: vec![] }
}

/// A text as one line of a table.
fn in_a_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// What the checks of a row gave.
#[derive(Default)]
struct Found {
    /// The measurements that the plan keeps.
    measured: Vec<Measured>,
    /// The number of checks that were not made.
    not: u32,
    /// What the program could not make or measure, first of all.
    fault: Option<String>,
}

fn measured(plan: &Plan, product: &Product) -> Result<Found, Hindrance> {
    let found = checks::each(product, &plan.parts).map_err(|e| Hindrance::from(&e))?;
    let asked = |check: &str| plan.checks.is_empty() || plan.checks.iter().any(|name| name == check);
    let not = found.iter().flat_map(|(_, c)| &c.not_checked).filter(|n| asked(n.check)).count();
    let mut kept: Vec<&Measurement> =
        found.iter().flat_map(|(_, c)| &c.measurements).filter(|c| asked(c.check) || c.is_fault()).collect();
    kept.sort_by(|a, b| checks::order(a, b));
    let faults = found.iter().flat_map(|(_, c)| &c.program_faults);
    let fault = faults.map(|f| Hindrance::new(true, format_args!("{}: {}: {}", f.check, f.what, f.because)));
    let fault = fault.map(|f| in_a_line(&f.to_string())).next();
    Ok(Found { measured: kept.into_iter().map(one).collect(), not: not as u32, fault })
}

fn one(c: &Measurement) -> Measured {
    let finite = |x: f64| Some(x).filter(|x| x.is_finite());
    Measured {
        check: c.check.to_owned(),
        what: c.what.clone(),
        value: finite(c.value),
        unit: c.unit.name().to_owned(),
        sense: c.sense.words().to_owned(),
        limit: c.deciding().and_then(|l| finite(l.value)),
        margin: finite(c.margin()),
        verdict: c.verdict().word().to_owned(),
        to_fail: c.limit.as_ref().and_then(|l| finite(c.within(l))),
    }
}

fn row(index: u64, values: Vec<f64>, found: Found, design: &Design, housing: &Housing) -> SweepRow {
    let (verdict, counts) = judged(&found);
    let Found { measured, fault, .. } = found;
    let volume = housing.solid.mass().volume;
    let mass = design.casting().mass(volume);
    SweepRow { index, values, verdict, counts, volume: Some(volume), mass: Some(mass), fault, measured }
}

/// The verdict on a part that was measured, and the numbers of checks that fail, warn, pass, were not made. A failure
/// stands whatever else is not known; nothing better does beside a fault of the program.
fn judged(found: &Found) -> (RowVerdict, [u32; 4]) {
    let count = |word: &str| found.measured.iter().filter(|m| m.verdict == word).count() as u32;
    let counts = [count("fail"), count("warn"), count("pass"), found.not];
    let verdict = match counts {
        [failures, ..] if failures > 0 => RowVerdict::Fail,
        _ if found.fault.is_some() => RowVerdict::ProgramFault,
        [0, 0, 0, _] => RowVerdict::Unchecked,
        [_, 0, ..] => RowVerdict::Pass,
        _ => RowVerdict::Warn,
    };
    (verdict, counts)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::Hindrance;

    fn measured(verdict: &str) -> Measured {
        let text = str::to_owned;
        Measured {
            check: text("wall"),
            what: text("shell"),
            value: Some(1.0),
            unit: text("mm"),
            sense: text("at least"),
            limit: Some(2.0),
            margin: Some(-1.0),
            verdict: text(verdict),
            to_fail: Some(-1.0),
        }
    }

    #[test]
    fn a_fault_of_the_program_is_no_failure_of_the_design() {
        let of = |verdicts: &[&str], fault: Option<&str>| {
            let measured = verdicts.iter().map(|v| measured(v)).collect();
            judged(&Found { measured, not: 0, fault: fault.map(str::to_owned) }).0
        };
        assert_eq!(of(&["pass", "warn"], None), RowVerdict::Warn);
        assert_eq!(of(&["pass", "warn"], Some("no mesh")), RowVerdict::ProgramFault);
        assert_eq!(of(&[], Some("no mesh")), RowVerdict::ProgramFault);
        assert_eq!(of(&["pass", "fail"], Some("no mesh")), RowVerdict::Fail);
        assert!(!RowVerdict::ProgramFault.is_feasible());
    }

    #[test]
    fn a_row_without_a_part_says_who_is_at_fault() {
        let of = |program| hindered(0, vec![], &Hindrance::new(program, "two\nlines"));
        assert_eq!(of(false).verdict, RowVerdict::Impossible);
        let row = of(true);
        assert_eq!(row.verdict, RowVerdict::ProgramFault);
        assert_eq!(
            row.reason().as_deref(),
            Some("fault of the program, which says nothing about the design: two lines")
        );
        assert_eq!(SweepRow::from_json(&row.to_json()), Some(row));
    }
}
