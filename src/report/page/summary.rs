//! The top of the page: what the part is, the verdict, what is not known, and what to look at first.

use std::collections::BTreeSet;
use std::fmt::Write as _;

use super::{PartReport, findings};
use crate::checks::{Checks, NotComputed, Part, Verdict};
use crate::faces::Feature;
use crate::forms::title;
use crate::report::checks::nearest;
use crate::report::document::html::escaped;
use crate::words::counted;

/// Name, what it is, and its leading figures.
pub(super) fn head(report: &PartReport) -> String {
    let design = report.product.design();
    let housing = report.product.finished();
    let weight = design.casting().mass(housing.solid.mass().volume);
    let faces = &housing.solid.brep().faces;
    let features: BTreeSet<Feature> = faces.iter().map(|f| Feature::of(&f.tag)).collect();
    let told = design.description().map(|d| format!(" {}.", escaped(d))).unwrap_or_default();
    let mut out = format!(
        "<h1>{}</h1>\n<p class=\"lead\">Tail housing of a gearbox, as one file of parameters describes it.{told}</p>\n<ul class=\"figures\">\n",
        escaped(&title(design))
    );
    let figures = [
        ("long", design.units().show(design.overall_length())),
        ("finished", design.units().mass(weight)),
        ("alloy", design.casting().alloy().title.to_owned()),
        ("wall", design.units().rounded(design.shell().thinnest().get(), 2)),
        ("features", features.len().to_string()),
    ];
    for (name, value) in figures {
        let _ = writeln!(out, "<li><b>{}</b> {name}</li>", escaped(&value));
    }
    out.push_str("</ul>\n");
    out
}

/// How many checks of all groups came to what.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Tally {
    /// Those that fail.
    pub fail: usize,
    /// Those that warn.
    pub warn: usize,
    /// Those that pass.
    pub pass: usize,
    /// Those that were not made.
    pub unmade: usize,
    /// Faults of the program.
    pub faults: usize,
}

impl Tally {
    /// Counts them.
    pub fn of(groups: &[(Part, Checks)]) -> Self {
        let sum = |of: &dyn Fn(&Checks) -> usize| groups.iter().map(|(_, checks)| of(checks)).sum();
        Self {
            fail: sum(&|c| c.count(Verdict::Fail)),
            warn: sum(&|c| c.count(Verdict::Warn)),
            pass: sum(&|c| c.count(Verdict::Pass)),
            unmade: sum(&|c| c.not_checked.len()),
            faults: sum(&|c| c.program_faults.len()),
        }
    }
}

/// The verdict with the number of checks behind it, what no check computes, and the worst findings.
pub(super) fn verdict(report: &PartReport) -> String {
    let Tally { fail, warn, pass, unmade, faults } = Tally::of(report.groups);
    let missing = report.forms.iter().filter(|(_, made)| made.is_err()).count();
    let (class, told) = if fail > 0 {
        ("fails", format!("Does not pass: {}", failed(fail)))
    } else if faults > 0 {
        ("fails", format!("No verdict: {} of the program", counted(faults, "fault")))
    } else if missing > 0 {
        ("fails", format!("{} cannot be made", counted(missing, "form")))
    } else if warn > 0 {
        ("warns", format!("Passes, with {}", counted(warn, "warning")))
    } else {
        ("passes", "Passes every check that was made".to_owned())
    };
    let unknown = report.groups.iter().find_map(|(_, checks)| checks.strength_unknown.as_deref());
    let strength = unknown.map_or_else(String::new, |because| {
        format!(" No check says whether it bears its loads: {}.", escaped(because))
    });
    let bears = nearest(report.groups.iter().flat_map(|(_, checks)| &checks.measurements));
    let bears = bears.first().filter(|_| unknown.is_none()).map_or_else(String::new, |told| {
        format!(" Of what bears its loads the nearest to its limit: {}.", escaped(&told.replace('_', " ")))
    });
    format!(
        "<div class=\"verdict {class}\">\n<h2>{told}</h2>\n<p>{fail} failed, {warn} warned, {pass} passed, <b>{unmade} not checked</b>. \
         A part within limits is a shape, not an approval.{strength}{bears}</p>\n</div>\n"
    )
}

/// The findings to look at first, and what no check computes.
pub(super) fn worst(report: &PartReport) -> String {
    let computed: String =
        NotComputed::ALL.iter().map(|n| format!("<li>{}</li>\n", escaped(n.words()))).collect();
    let warned = report.warnings.len();
    let file = if warned > 0 {
        format!(
            "<p>The parameter file itself has {}; the program prints them.</p>\n",
            counted(warned, "warning")
        )
    } else {
        String::new()
    };
    format!(
        "{}{file}<details class=\"uncomputed\">\n<summary>Not computed by any check: {}</summary>\n<ul>\n{computed}</ul>\n</details>\n",
        findings::worst(report),
        counted(NotComputed::ALL.len(), "subject")
    )
}

fn failed(count: usize) -> String {
    format!("{} failed", counted(count, "check"))
}
