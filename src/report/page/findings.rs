//! Findings on the page: grouped by the feature they lie on, one line each, the worst first; the rest unfolds.

use std::fmt::Write as _;

use serde_json::json;

use super::PartReport;
use crate::checks::{Checks, Measurement, NotChecked, Part, Verdict, order};
use crate::design::Form;
use crate::faces::Feature;
use crate::report::checks::{Line, lines, place, reasons, row, show};
use crate::report::document::html::{escaped, marked};
use crate::units::Units;

/// What a group of findings is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Subject {
    /// A feature of the part.
    Feature(Feature),
    /// Nothing that is a place of the part: the kind of check.
    Kind(Part),
}

impl Subject {
    fn title(self) -> String {
        match self {
            Self::Feature(feature) => feature.name().replace('_', " "),
            Self::Kind(part) => part.name().to_owned(),
        }
    }
}

/// Why checks of a kind matter, in a sentence.
const fn why(part: Part) -> &'static str {
    match part {
        Part::Walls => "A wall that comes out thin leaks, cracks or does not fill in the mould.",
        Part::Holes => "Too little metal about a hole lets it tear out or break through.",
        Part::Bolts => "A bolt that no spanner reaches cannot be tightened.",
        Part::SenderWay => "The sender must go in and out past everything that stands around its boss.",
        Part::BreakOut => {
            "A hole that leaves the metal at an unplanned place opens the oil room or leaves a knife edge."
        }
        Part::Gaps => "A narrow gap fills with sand fins and cannot be fettled.",
        Part::KeepClear => "What turns or is fixed near by must not touch the part.",
        Part::FitsAndDriveline => "Fits and angles decide how long bushing, seal and joints last.",
        Part::Strength => "Stress beyond the limit breaks the housing, and the shaft drops.",
        Part::Moulding => "What holds the pattern or core tears the mould when it is drawn.",
        Part::StockAndPrints => "Without stock a face does not clean up; without bearing the core sinks.",
        Part::Sections => "Heavy places freeze last and draw pores from the metal around them.",
        Part::TrialPrint => "A wall that the printer cannot lay down is missing from the print.",
    }
}

/// A measurement with the group of checks that made it.
#[derive(Clone, Copy)]
struct Found<'a> {
    part: Part,
    of: &'a Measurement,
}

/// All measurements that count by themselves, the worst first.
fn found<'a>(groups: &'a [(Part, Checks)]) -> Vec<Found<'a>> {
    let of_group = |(part, checks): &'a (Part, Checks)| {
        let (part, own) = (*part, checks.measurements.iter().filter(|m| m.same_as.is_none()));
        own.map(move |of| Found { part, of })
    };
    let mut all: Vec<Found> = groups.iter().flat_map(of_group).collect();
    all.sort_by(|a, b| order(a.of, b.of));
    all
}

/// Where the page looks when a finding is chosen, as the value of an attribute.
fn look(form: Form, of: &Measurement) -> Option<String> {
    if of.at.is_empty() && of.faces.is_empty() {
        return None;
    }
    let at: Vec<[f64; 3]> = of.at.iter().map(|p| [p.x, p.y, p.z]).collect();
    Some(escaped(&json!({ "form": form.name(), "at": at, "faces": of.faces }).to_string()))
}

fn word(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Fail => "fails",
        Verdict::Warn => "warns",
        Verdict::Pass => "passes",
    }
}

/// A measurement in a line: its verdict, what it is, the value and its limit.
fn told(of: &Measurement, units: Units) -> String {
    let [check, what, value, ..] = row(of, units);
    let limit = of.deciding().map_or_else(String::new, |limit| {
        let yours = if limit.given { " (yours)" } else { "" };
        format!(", {} {}{yours}", of.sense.words(), show(limit.value, of.unit, units))
    });
    format!(
        "<span class=\"tag {0}\">{0}</span> <b>{1}</b>, {2}: <span class=\"figure\">{3}{4}</span>",
        word(of.verdict()),
        escaped(&check),
        escaped(&what.replace('_', " ")),
        escaped(&value),
        escaped(&limit)
    )
}

/// The three findings to look at first, as buttons; nothing where all pass.
pub(super) fn worst(report: &PartReport) -> String {
    let units = report.product.design().units();
    let all = found(report.groups);
    let bad = all.iter().filter(|f| f.of.verdict() != Verdict::Pass);
    let merged = lines(bad.map(|f| f.of), units);
    if merged.is_empty() {
        return "<p>No check that was made fails or warns.</p>\n".to_owned();
    }
    let mut out = String::from("<ul class=\"worst\">\n");
    for line in merged.iter().take(3) {
        let part = all.iter().find(|f| std::ptr::eq(f.of, line.first)).map(|f| f.part);
        let told = told(line.first, units);
        let reason = part.map_or("", why);
        let seen = part.and_then(|part| look(part.form(), line.first));
        let _ = match seen {
            Some(look) => writeln!(
                out,
                "<li><button type=\"button\" class=\"fly\" data-look=\"{look}\">{told}<small>{reason}</small></button></li>"
            ),
            None => writeln!(out, "<li>{told}<small>{reason}</small></li>"),
        };
    }
    out.push_str("</ul>\n");
    out
}

/// All findings in their groups, and what was not checked.
pub(super) fn section(report: &PartReport) -> String {
    let units = report.product.design().units();
    let mut groups: Vec<(Subject, Vec<Found>)> = Vec::new();
    for one in found(report.groups) {
        let subject = match one.of.feature() {
            Feature::Other => Subject::Kind(one.part),
            feature => Subject::Feature(feature),
        };
        match groups.iter_mut().find(|(known, _)| *known == subject) {
            Some((_, members)) => members.push(one),
            None => groups.push((subject, vec![one])),
        }
    }
    // Groups come in the order of their worst member, since measurements do.
    let mut out = faults(report);
    for (subject, members) in &groups {
        group(&mut out, *subject, members, units);
    }
    let not_checked: Vec<NotChecked> =
        report.groups.iter().flat_map(|(_, checks)| checks.not_checked.iter().cloned()).collect();
    out.push_str(&unmade(&not_checked));
    out
}

fn faults(report: &PartReport) -> String {
    let all = report.groups.iter().flat_map(|(_, checks)| &checks.program_faults);
    let one = |f: &crate::checks::ProgramFault| {
        format!(
            "<p class=\"fault\">Fault of the program, which says nothing about the design: {}, {}: {}</p>\n",
            escaped(f.check),
            escaped(&f.what),
            escaped(&f.because)
        )
    };
    all.map(one).collect()
}

fn group(out: &mut String, subject: Subject, members: &[Found], units: Units) {
    let of = |verdict: Verdict| members.iter().filter(|f| f.of.verdict() == verdict).count();
    let bad = members.iter().filter(|f| f.of.verdict() != Verdict::Pass);
    let merged = lines(bad.map(|f| f.of), units);
    let counts: Vec<String> = [Verdict::Fail, Verdict::Warn, Verdict::Pass]
        .into_iter()
        .filter(|v| of(*v) > 0)
        .map(|v| format!("{} {}", of(v), v.word()))
        .collect();
    let open = if merged.is_empty() { "" } else { " open" };
    let worst = members.first().map_or(Verdict::Pass, |f| f.of.verdict());
    let _ = write!(
        out,
        "<details class=\"group\"{open}>\n<summary><h3>{}</h3> <span class=\"count {}\">{}</span></summary>\n",
        escaped(&subject.title()),
        word(worst),
        counts.join(", ")
    );
    for line in &merged {
        let part = members.iter().find(|f| std::ptr::eq(f.of, line.first)).map(|f| f.part);
        if let Some(part) = part {
            finding(out, line, part, units);
        }
    }
    passes(out, members, units);
    out.push_str("</details>\n");
}

/// A finding that fails or warns: its line, and behind it where, why and what to do.
fn finding(out: &mut String, line: &Line, part: Part, units: Units) {
    let of = line.first;
    let [.., margin] = row(of, units);
    let _ = write!(
        out,
        "<details class=\"finding\">\n<summary>{} <small>{}</small></summary>\n<dl>\n",
        told(of, units),
        why(part)
    );
    let mut tell = |name: &str, told: String| {
        let _ = writeln!(out, "<dt>{name}</dt><dd>{told}</dd>");
    };
    tell("To do", marked(&units.sentence(&of.hint)));
    tell("Beyond the limit by", escaped(margin.trim_start_matches('-')));
    if let Some(limit) = of.deciding() {
        tell("Limit from", marked(&units.sentence(&limit.source)));
    }
    if let Some(at) = of.at.first() {
        tell("Place", escaped(&place(*at, units)));
    }
    if !of.faces.is_empty() {
        tell("Faces", escaped(&of.faces.join("; ")));
    }
    if !line.alike.is_empty() {
        let names: Vec<&str> = line.alike.iter().map(|m| m.what.as_str()).collect();
        tell("The same", escaped(&names.join("; ")));
    }
    for other in &line.others {
        let [check, _, value, limit, _] = row(other, units);
        tell("Also", escaped(&format!("{check} {value} {limit}")));
    }
    out.push_str("</dl>\n");
    if let Some(look) = look(part.form(), of) {
        let _ = writeln!(
            out,
            "<p><button type=\"button\" class=\"fly\" data-look=\"{look}\">Show in the 3D view</button></p>"
        );
    }
    out.push_str("</details>\n");
}

/// What passes, folded away.
fn passes(out: &mut String, members: &[Found], units: Units) {
    let good: Vec<&Found> = members.iter().filter(|f| f.of.verdict() == Verdict::Pass).collect();
    if good.is_empty() {
        return;
    }
    let _ = write!(
        out,
        "<details class=\"passing\">\n<summary>{}</summary>\n<div class=\"wide\" role=\"group\" aria-label=\"Checks that pass\" tabindex=\"0\"><table>\n<thead><tr><th scope=\"col\">check</th>\
         <th scope=\"col\">of</th><th scope=\"col\" class=\"r\">value</th><th scope=\"col\" class=\"r\">limit</th>\
         <th scope=\"col\">limit from</th></tr></thead>\n<tbody>\n",
        if good.len() == 1 { "1 check passes".to_owned() } else { format!("{} checks pass", good.len()) }
    );
    for Found { of, .. } in good {
        let [check, what, value, limit, _] = row(of, units);
        let source = of.deciding().map_or(String::new(), |l| marked(&units.sentence(&l.source)));
        let _ = writeln!(
            out,
            "<tr><th scope=\"row\">{}</th><td>{}</td><td class=\"r\">{}</td><td class=\"r\">{}</td><td>{source}</td></tr>",
            escaped(&check),
            escaped(&what),
            escaped(&value),
            escaped(&limit)
        );
    }
    out.push_str("</tbody>\n</table></div>\n</details>\n");
}

/// Checks that were not made, by reason; they never count as passed.
fn unmade(not_checked: &[NotChecked]) -> String {
    if not_checked.is_empty() {
        return String::new();
    }
    let mut out = format!(
        "<details class=\"group\">\n<summary><h3>not checked</h3> <span class=\"count\">{}</span></summary>\n<ul>\n",
        not_checked.len()
    );
    for (because, names) in reasons(not_checked) {
        let _ = writeln!(out, "<li><b>{}</b>, because {}</li>", escaped(&names.join("; ")), marked(because));
    }
    out.push_str("</ul>\n</details>\n");
    out
}
