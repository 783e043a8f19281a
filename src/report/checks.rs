//! The result of `check`: a table for the terminal, JSON for programs.

use serde_json::{Value, json};

use super::columns::{self, Align};
use crate::checks::{Checks, Histogram, Measurement, NotChecked, NotComputed, Sense, Unit, Verdict};
use crate::faces::Feature;
use crate::units::Units;
use crate::words::{self, counted};
use solidwright::geometry::P3;

/// Greatest number of findings on the first screen, each in two lines: with headings they fill half a screen.
const WORST: usize = 8;

/// A failure is written in capitals.
fn word(verdict: Verdict) -> &'static str {
    if verdict == Verdict::Fail { "FAIL" } else { verdict.word() }
}

fn painted(verdict: Verdict, text: &str, colour: bool) -> String {
    let code = match verdict {
        Verdict::Fail => "31;1",
        Verdict::Warn => "33",
        Verdict::Pass => "32",
    };
    if colour { format!("\x1b[{code}m{text}\x1b[0m") } else { text.to_owned() }
}

/// A value with its unit; lengths in the file's unit.
pub(super) fn show(value: f64, unit: Unit, units: Units) -> String {
    if unit == Unit::Mm {
        return units.rounded(value, 3);
    }
    if unit == Unit::Mm2 && units == Units::Inch {
        return format!("{} ({value:.0} mm²)", units.area(value));
    }
    let (symbol, decimals) = unit.shown();
    // Pressures on sand are small, stresses large.
    let decimals = if unit == Unit::MPa && value.abs() >= 1.0 { 1 } else { decimals };
    let gap = if symbol.is_empty() || unit == Unit::Deg { "" } else { " " };
    format!("{value:.decimals$}{gap}{symbol}")
}

/// A measurement beside its limit: `wall 2.1 mm, at least 3 mm`.
pub fn in_a_line(c: &Measurement, units: Units) -> String {
    if c.is_fault() {
        return format!("{}: no: {}", c.check, c.deciding().map_or("", |l| l.source.as_str()));
    }
    let limit = c.deciding().map_or_else(String::new, |l| {
        format!(", {} {}: {}", c.sense.words(), show(l.value, c.unit, units), l.source)
    });
    format!("{} {}{limit}", c.check, show(c.value, c.unit, units))
}

/// Whether two measurements tell the same of two places: one check with one verdict, limit and value.
pub fn is_same(a: &Measurement, b: &Measurement, units: Units) -> bool {
    let limit = |c: &Measurement| c.deciding().map(|l| l.value.to_bits());
    a.check == b.check
        && a.verdict() == b.verdict()
        && limit(a) == limit(b)
        && show(a.value, a.unit, units) == show(b.value, b.unit, units)
}

/// Three checks that measure how thick a feature is cast; they are reported in one line.
const THICK: [&str; 3] = ["hot spot, walls", "heavy lump, modulus in walls", "change of section, ratio"];

/// A line of the table: a measurement and those reported with it.
pub(super) struct Line<'a> {
    /// The measurement itself.
    pub(super) first: &'a Measurement,
    /// The same feature by other checks.
    pub(super) others: Vec<&'a Measurement>,
    /// The same check with the same value elsewhere.
    pub(super) alike: Vec<&'a Measurement>,
    /// The same value against its limit on the other side.
    other_side: Option<&'a Measurement>,
}

/// The feature of a thickness check that fails or warns.
fn thick(c: &Measurement) -> Option<&str> {
    let ours = c.verdict() != Verdict::Pass && THICK.contains(&c.check);
    ours.then(|| c.what.rsplit(" to ").next().unwrap_or(&c.what))
}

/// Measurements in their order, with those that report the same combined.
pub(super) fn lines<'a>(checked: impl Iterator<Item = &'a Measurement>, units: Units) -> Vec<Line<'a>> {
    let mut out: Vec<Line<'a>> = Vec::new();
    for c in checked {
        let feature = thick(c);
        let same = |l: &Line<'_>| c.verdict() != Verdict::Pass && is_same(l.first, c, units);
        let across = |l: &Line<'_>| {
            let f = l.first;
            let same = (f.check, &f.what, f.value.to_bits(), f.verdict())
                == (c.check, &c.what, c.value.to_bits(), c.verdict());
            same && c.verdict() == Verdict::Pass && f.sense != c.sense && l.other_side.is_none()
        };
        if let Some(line) = out.iter_mut().find(|l| across(l)) {
            line.other_side = Some(c);
        } else if let Some(line) = feature.and_then(|f| out.iter_mut().find(|l| thick(l.first) == Some(f))) {
            line.others.push(c);
        } else if let Some(line) = out.iter_mut().find(|l| same(l)) {
            line.alike.push(c);
        } else {
            out.push(Line { first: c, others: vec![], alike: vec![], other_side: None });
        }
    }
    out
}

/// What a line is about, as a heading.
fn heading(line: &Line<'_>) -> &'static str {
    match line.first.feature() {
        Feature::Other => "fits, driveline and the part as a whole",
        feature => feature.name(),
    }
}

/// Lines by the feature that they are about, the feature with the worst line first.
fn by_feature<'l, 'a>(lines: &'l [Line<'a>]) -> Vec<(&'static str, Vec<&'l Line<'a>>)> {
    let mut out: Vec<(&'static str, Vec<&Line<'a>>)> = Vec::new();
    for line in lines {
        let name = heading(line);
        match out.iter_mut().find(|(known, _)| *known == name) {
            Some((_, lines)) => lines.push(line),
            None => out.push((name, vec![line])),
        }
    }
    out
}

/// Lines under headings of their features, each with details below it.
fn sections(lines: &[Line<'_>], units: Units, colour: bool, detail: impl Fn(&Line<'_>) -> String) -> String {
    let mut out = String::new();
    for (name, lines) in by_feature(lines) {
        out.push_str(&format!("\n{name}:\n"));
        let cells = lines.iter().map(|l| between(l, units));
        let rows = columns::lines(cells, 2, &[Align::Left, Align::Left, Align::Right]);
        for (line, row) in lines.iter().zip(rows) {
            let verdict = line.first.verdict();
            out.push_str(&format!("{}{row}\n{}", painted(verdict, word(verdict), colour), detail(line)));
        }
    }
    out
}

/// The verdict in words.
fn verdict(checks: &Checks) -> &'static str {
    let (fails, warns) = (checks.count(Verdict::Fail), checks.count(Verdict::Warn));
    match (fails, warns, checks.program_faults.is_empty()) {
        (0, 0, true) => "the part passes its checks",
        (0, _, true) => "the part passes its checks, with warnings",
        (0, _, false) => "not known: the program could not make or measure everything",
        _ => "the part fails its checks",
    }
}

/// How many checks of loads the first screen tells.
const NEAREST: usize = 4;

/// What the part bears: its least reserves; or what a pass does not say where no stress was computed.
fn strength(checks: &Checks) -> String {
    if let Some(because) = &checks.strength_unknown {
        return format!("no check says whether the part bears its loads: {because}\n");
    }
    let bears = nearest(&checks.measurements);
    if bears.is_empty() {
        return String::new();
    }
    let told = bears.into_iter().take(NEAREST).map(|told| format!("      {told}\n"));
    "what bears load, the nearest to its limit first:\n".to_owned() + &told.collect::<String>()
}

/// What says that the part bears its loads, the least reserve first, in words.
pub(crate) fn nearest<'a>(measurements: impl IntoIterator<Item = &'a Measurement>) -> Vec<String> {
    let bears = measurements.into_iter().filter(|c| c.bears);
    let mut bears: Vec<(f64, &Measurement)> = bears.filter_map(|c| Some((c.reserve()?, c))).collect();
    bears.sort_by(|a, b| a.0.total_cmp(&b.0));
    bears
        .into_iter()
        .map(|(reserve, c)| format!("{reserve:.2} times what is needed: {}, {}", c.check, c.what))
        .collect()
}

/// The first screen: verdict, counts, and the worst findings by feature, each with what to do.
pub fn screen(checks: &Checks, units: Units, colour: bool) -> String {
    let mut out = format!("{}{}\n{}", counts(checks), verdict(checks), strength(checks));
    out.push_str(&program_faults(checks, units, colour));
    let bad = lines(checks.measurements.iter().filter(|c| c.verdict() != Verdict::Pass), units);
    let shown = &bad[..bad.len().min(WORST)];
    let detail = |line: &Line<'_>| match line.first.verdict() {
        Verdict::Fail => why(line, units),
        _ => format!("      {}\n", units.sentence(&line.first.hint)),
    };
    out.push_str(&sections(shown, units, colour, detail));
    if bad.len() > shown.len() {
        out.push_str(&format!("... and {} more\n", bad.len() - shown.len()));
    }
    out.push_str("\nevery finding with its place and source, the passes, and what is not checked: --all\n");
    out
}

/// What the program could not make or measure.
fn program_faults(checks: &Checks, units: Units, colour: bool) -> String {
    let mut out = String::new();
    for f in &checks.program_faults {
        let word = painted(Verdict::Fail, "fault of the program", colour);
        out.push_str(&format!("{word}  {}, {}: {}\n", f.check, f.what, units.sentence(&f.because)));
        out.push_str("      this says nothing about the design: please report the parameter file\n");
    }
    out
}

/// Everything: the counts, failures and warnings with hints and sources, then passes, each by feature; what is not
/// checked.
pub fn text(checks: &Checks, units: Units, colour: bool) -> String {
    let mut out = format!("{}{}\n{}", counts(checks), verdict(checks), strength(checks));
    out.push_str(&program_faults(checks, units, colour));
    let (good, bad): (Vec<_>, Vec<_>) =
        checks.measurements.iter().partition(|c| c.verdict() == Verdict::Pass);
    for measurements in [bad, good] {
        let detail = |line: &Line<'_>| {
            if line.first.verdict() == Verdict::Pass { String::new() } else { why(line, units) }
        };
        out.push_str(&sections(&lines(measurements.into_iter(), units), units, colour, detail));
    }
    for (because, names) in reasons(&checks.not_checked) {
        out.push_str(&format!("not checked: {}, because {}\n", names.join("; "), units.sentence(because)));
    }
    out
}

/// The number of checks with each verdict.
fn counts(checks: &Checks) -> String {
    let [fail, warn, pass] = [Verdict::Fail, Verdict::Warn, Verdict::Pass].map(|v| checks.count(v));
    let faults = match checks.program_faults.len() {
        0 => String::new(),
        n => format!(", {} of the program", counted(n, "fault")),
    };
    format!("{fail} failed, {warn} warned, {pass} passed, {} not checked{faults}\n", checks.not_checked.len())
}

/// Checks that were not made, grouped by reason, both in order of appearance.
pub(super) fn reasons(not_checked: &[NotChecked]) -> Vec<(&str, Vec<&str>)> {
    let mut out: Vec<(&str, Vec<&str>)> = Vec::new();
    for n in not_checked {
        match out.iter_mut().find(|(because, _)| *because == n.because) {
            Some((_, names)) => names.push(n.check),
            None => out.push((&n.because, vec![n.check])),
        }
    }
    out
}

/// The table row of a line; a value with a limit on each side shows both.
pub(super) fn between(line: &Line<'_>, units: Units) -> [String; 5] {
    let mut out = row(line.first, units);
    if let Some((a, b)) = line.first.deciding().zip(line.other_side.and_then(Measurement::deciding)) {
        let [low, high] =
            [a.value.min(b.value), a.value.max(b.value)].map(|v| show(v, line.first.unit, units));
        let given = if a.given || b.given { " (yours)" } else { "" };
        out[3] = format!("{low} to {high}{given}");
    }
    out
}

/// Check, what, value, limit, margin.
pub(super) fn row(c: &Measurement, units: Units) -> [String; 5] {
    // Whether something can be made or measured is no number.
    if c.is_fault() {
        return [c.check.to_owned(), c.what.clone(), "no".to_owned(), String::new(), String::new()];
    }
    let sense = if c.sense == Sense::AtLeast { "≥" } else { "≤" };
    let limit = c.deciding().map_or_else(String::new, |l| {
        let given = if l.given { " (yours)" } else { "" };
        format!("{sense} {}{given}", show(l.value, c.unit, units))
    });
    let margin = c.margin();
    let sign = if margin >= 0.0 { "+" } else { "" };
    let margin =
        if margin.is_finite() { format!("{sign}{}", show(margin, c.unit, units)) } else { String::new() };
    [c.check.to_owned(), c.what.clone(), show(c.value, c.unit, units), limit, margin]
}

/// Position, source of the limit, and hint.
fn why(line: &Line<'_>, units: Units) -> String {
    let c = line.first;
    let mut out = String::new();
    if let Some(p) = c.at.first() {
        let faces = if c.faces.is_empty() { String::new() } else { format!(", {}", c.faces.join(" to ")) };
        out.push_str(&format!("      at {}{faces}\n", place(*p, units)));
    }
    if !line.alike.is_empty() {
        let names: Vec<&str> = line.alike.iter().map(|c| c.what.as_str()).collect();
        out.push_str(&format!("      the same: {}\n", names.join("; ")));
    }
    for other in &line.others {
        let [check, _, value, limit, _] = row(other, units);
        out.push_str(&format!("      also {}: {check} {value} {limit}\n", word(other.verdict())));
    }
    if let Some(limit) = c.deciding() {
        out.push_str(&format!("      limit: {}\n", units.sentence(&limit.source)));
    }
    out.push_str(&format!("      {}\n", units.sentence(&c.hint)));
    out
}

/// A place in the file's unit.
pub(super) fn place(p: P3, units: Units) -> String {
    match units {
        Units::Mm => words::place([p.x, p.y, p.z], 2),
        Units::Inch => {
            let [x, y, z] = [p.x, p.y, p.z].map(|v| v / 25.4);
            format!("({x:.4}, {y:.4}, {z:.4}) in")
        }
    }
}

/// What no check computes, in one line.
pub fn not_computed() -> String {
    format!("not computed: {}\n", NotComputed::ALL.map(NotComputed::words).join("; "))
}

/// Shares of the surface by wall thickness, as bars.
pub fn histogram(h: &Histogram) -> String {
    let mut out = String::from("wall thickness over the surface, share\n  thickness   by ray   by ball\n");
    for (i, (ray, ball)) in h.ray.iter().zip(&h.ball).enumerate() {
        let range =
            if i + 1 == h.ray.len() { format!("{i:2} mm up ") } else { format!("{i:2} to {:2} mm", i + 1) };
        let bar = "#".repeat((ball * 60.0).round() as usize);
        out.push_str(&format!("  {range}  {:5.1} %   {:5.1} %  {bar}\n", ray * 100.0, ball * 100.0));
    }
    out.push_str(&format!("  no wall    {:5.1} %\n", h.none * 100.0));
    out
}

/// The JSON Schema of [`figures`].
pub const SCHEMA: &str = include_str!("checks.schema.json");

/// The complete result for programs, as described by [`SCHEMA`]; lengths in mm, areas in mm², angles in degrees,
/// pressures in megapascals.
pub fn figures(checks: &Checks, walls: Option<&Histogram>) -> Value {
    let one = |c: &Measurement| {
        json!({
            "check": c.check,
            "what": c.what,
            "verdict": c.verdict().word(),
            "value": c.value,
            "unit": c.unit.name(),
            "sense": c.sense.words(),
            "limit": c.deciding().map(|l| l.value),
            "margin": c.deciding().map(|_| c.margin()),
            "source": c.deciding().map(|l| l.source.clone()),
            "given": c.deciding().is_some_and(|l| l.given),
            "at": c.at.iter().map(|p| [p.x, p.y, p.z]).collect::<Vec<_>>(),
            "faces": c.faces,
            "undercuts": c.undercuts.iter().map(super::moulding::undercut).collect::<Vec<_>>(),
            "hint": c.hint,
            "same_as": c.same_as,
        })
    };
    json!({
        "checked": checks.measurements.iter().map(one).collect::<Vec<_>>(),
        "not_checked": checks.not_checked.iter()
            .map(|n| json!({ "check": n.check, "because": n.because })).collect::<Vec<_>>(),
        "program_faults": checks.program_faults.iter()
            .map(|f| json!({ "check": f.check, "what": f.what, "because": f.because })).collect::<Vec<_>>(),
        "not_computed": NotComputed::ALL.map(NotComputed::words),
        "sums": super::driveline_report::figures(&checks.driveline),
        "fail": checks.count(Verdict::Fail),
        "warn": checks.count(Verdict::Warn),
        "pass": checks.count(Verdict::Pass),
        "wall_shares": walls.map(|h| json!({
            "step_mm": 1.0,
            "by_ray": h.ray,
            "by_ball": h.ball,
            "no_wall": h.none,
        })),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::ProgramFault;

    #[test]
    fn a_fault_of_the_program_is_listed_apart_from_failures() {
        let mut found = Checks::default();
        let because = "the boundary does not close".to_owned();
        found.program_faults.push(ProgramFault {
            check: "casting can be made",
            what: "casting".to_owned(),
            because,
        });
        let told = screen(&found, Units::Mm, false);
        assert!(
            told.starts_with("0 failed, 0 warned, 0 passed, 0 not checked, 1 fault of the program\n"),
            "{told}"
        );
        assert!(told.contains("casting can be made, casting: the boundary does not close"), "{told}");
        assert!(!told.contains("bears its loads"), "{told}");
        found.strength_unknown = Some("`vehicle.loads` is not given".to_owned());
        let unloaded = screen(&found, Units::Mm, false);
        assert!(
            unloaded.contains("\nno check says whether the part bears its loads: `vehicle.loads`"),
            "{unloaded}"
        );
        let figures = figures(&found, None);
        assert_eq!(figures["fail"], 0);
        assert_eq!(figures["program_faults"][0]["check"], "casting can be made");
    }
}
