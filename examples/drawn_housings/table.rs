//! The rows as a table for people and as comma-separated values.

use std::collections::BTreeMap;

use crate::cast;
use crate::contact;
use crate::measure::{Row, STEPS, Step};
use crate::pieces::Pieces;

/// Seeds shown for each kind of failure.
const SEEDS: usize = 12;

fn share(n: usize, of: usize) -> f64 {
    100.0 * n as f64 / of.max(1) as f64
}

/// The value below which this share of all lie.
fn at(sorted: &[f64], share: f64) -> f64 {
    let last = sorted.len().saturating_sub(1) as f64;
    sorted.get((last * share).round() as usize).copied().unwrap_or(f64::NAN)
}

fn sorted(values: impl Iterator<Item = f64>) -> Vec<f64> {
    let mut values: Vec<f64> = values.collect();
    values.sort_by(f64::total_cmp);
    values
}

/// How often something was, with the seeds.
#[derive(Default)]
struct Kinds(BTreeMap<String, Vec<u64>>);

impl Kinds {
    fn add(&mut self, kind: &str, seed: u64) {
        self.0.entry(kind.to_owned()).or_default().push(seed);
    }

    fn show(&self) -> String {
        let mut rows: Vec<_> = self.0.iter().collect();
        rows.sort_by_key(|(_, seeds)| std::cmp::Reverse(seeds.len()));
        let line = |(kind, seeds): &(&String, &Vec<u64>)| {
            let mut own = (*seeds).clone();
            own.dedup();
            let some: Vec<String> = own.iter().take(SEEDS).map(ToString::to_string).collect();
            format!("    {:5}  {kind}; seeds {}\n", seeds.len(), some.join(" "))
        };
        rows.iter().map(line).collect()
    }
}

fn step(row: &Row, index: usize) -> Option<&Step> {
    row.steps.get(index).and_then(Option::as_ref)
}

/// The whole table.
pub(crate) fn table(rows: &[Row]) -> String {
    let accepted = rows.iter().filter(|r| r.accepted()).count();
    let mut out = format!(
        "accepted by the rules: {accepted} of {} ({:.1} %)\n",
        rows.len(),
        share(accepted, rows.len())
    );
    let mut codes = Kinds::default();
    for row in rows {
        row.refused.iter().for_each(|code| codes.add(code, row.seed));
    }
    out += &codes.show();
    let reached = rows.iter().map(|r| r.steps.len()).max().unwrap_or(0);
    for (index, name) in STEPS.iter().enumerate().take(reached) {
        out += &of_step(rows, index, name);
    }
    out += &contacts(rows);
    if reached > 1 {
        out += &ratios(rows);
        out += &joints(rows);
    }
    out += &cast::table(rows);
    if reached > 3 {
        out += &pieces(rows);
        out += &outside(rows);
    }
    out
}

fn of_step(rows: &[Row], index: usize, name: &str) -> String {
    let reached: Vec<(&Row, &Step)> = rows.iter().filter_map(|r| Some((r, step(r, index)?))).collect();
    let made = reached.iter().filter(|(_, s)| s.outcome.is_ok()).count();
    let times = sorted(reached.iter().filter(|(_, s)| s.outcome.is_ok()).map(|(_, s)| 1e3 * s.seconds));
    let mut out = format!(
        "{name}: {made} of {} made ({:.2} % not); median {:.0} ms, 90 % {:.0} ms, worst {:.0} ms\n",
        reached.len(),
        share(reached.len() - made, reached.len()),
        at(&times, 0.5),
        at(&times, 0.9),
        at(&times, 1.0)
    );
    let mut kinds = Kinds::default();
    for (row, step) in reached {
        if let Err(failure) = &step.outcome {
            let fault = if failure.fault { "FAULT, " } else { "" };
            kinds.add(&format!("{fault}{}", failure.kind), row.seed);
        }
    }
    out += &kinds.show();
    out
}

/// What membership says of the places at which sharp solids have no boundary.
fn contacts(rows: &[Row]) -> String {
    let mut kinds = Kinds::default();
    for row in rows {
        let Some(parts) = &row.contact else { continue };
        let failure = step(row, 0).and_then(|s| s.outcome.as_ref().err());
        let kind = failure.map_or("", |f| &f.kind);
        let verdict =
            if contact::harmless(parts) { "metal and gap hang together" } else { "of no thickness" };
        kinds.add(&format!("{kind}: {verdict}"), row.seed);
    }
    if kinds.0.is_empty() {
        return String::new();
    }
    format!("places without a boundary, by membership on small spheres:\n{}", kinds.show())
}

fn ratios(rows: &[Row]) -> String {
    let both = rows.iter().filter_map(|r| {
        let (sharp, filleted) = (step(r, 0)?, step(r, 1)?);
        (sharp.outcome.is_ok() && filleted.outcome.is_ok()).then_some(filleted.seconds / sharp.seconds)
    });
    let ratios = sorted(both);
    format!(
        "filleted over sharp: median {:.1} times, worst {:.1} times\n",
        at(&ratios, 0.5),
        at(&ratios, 1.0)
    )
}

fn joints(rows: &[Row]) -> String {
    let sum = |k: usize| rows.iter().map(|r| r.joints[k]).sum::<usize>();
    let all: usize = (0..3).map(sum).sum();
    let mut out = format!("joints: {all}");
    for (k, word) in ["whole", "smaller", "sharp"].iter().enumerate() {
        out += &format!(", {word} {} ({:.2} %)", sum(k), share(sum(k), all));
    }
    let built = rows.iter().filter(|r| step(r, 1).is_some_and(|s| s.outcome.is_ok()));
    let (mut parts, mut clean) = (0, 0);
    for row in built {
        parts += 1;
        clean += usize::from(row.joints[1..].iter().all(|n| *n == 0));
    }
    out += &format!("\nhousings with every joint whole: {clean} of {parts} ({:.1} %)\n", share(clean, parts));
    let filled: usize = rows.iter().map(|r| r.filled).sum();
    let some = rows.iter().filter(|r| r.filled > 0).count();
    out += &format!("corners filled with a little metal: {filled}, in {some} of {parts} housings\n");
    let mut kinds = Kinds::default();
    for row in rows {
        row.troubles.iter().for_each(|(kind, _)| kinds.add(kind, row.seed));
    }
    out += &kinds.show();
    out
}

fn outside(rows: &[Row]) -> String {
    let found: Vec<(u64, f64, f64)> =
        rows.iter().filter_map(|r| r.outside.as_ref().map(|o| (r.seed, o.volume, o.error))).collect();
    let mut some: Vec<_> = found.iter().filter(|(_, volume, _)| *volume > 0.0).collect();
    some.sort_by(|a, b| b.1.total_cmp(&a.1));
    let mut out = format!(
        "finished metal outside the casting: found in {} of {}, by about 200,000 points each\n",
        some.len(),
        found.len()
    );
    for (seed, volume, error) in some.iter().take(SEEDS) {
        out += &format!("    seed {seed}: {volume:.0} ± {error:.0} mm³\n");
    }
    let mut kinds = Kinds::default();
    for (seed, outside) in rows.iter().filter_map(|r| Some((r.seed, r.outside.as_ref()?))) {
        outside.causes.iter().for_each(|c| kinds.add(&c.what, seed));
    }
    out += "causes, each once a housing:\n";
    out + &kinds.show()
}

/// Halves of patterns with their loose pieces, and what is left.
fn pieces(rows: &[Row]) -> String {
    let all: Vec<(u64, &Pieces)> = rows.iter().filter_map(|r| Some((r.seed, r.pieces.as_ref()?))).collect();
    let held: Vec<_> = all.iter().filter(|(_, p)| p.held).collect();
    let sum = |what: fn(&Pieces) -> usize| held.iter().map(|(_, p)| what(p)).sum::<usize>();
    let (halves, free) = (sum(|p| p.halves), sum(|p| p.free));
    let mut out = format!(
        "patterns held in two pieces: {} of {}; of their {halves} halves {free} leave the sand with {} loose pieces ({:.1} %)\n",
        held.len(),
        all.len(),
        sum(|p| p.count),
        share(free, halves)
    );
    out += &format!("places left without a loose piece: {}\n", sum(|p| p.left.len()));
    let mut kinds = Kinds::default();
    for (seed, pieces) in held {
        pieces.left.iter().for_each(|left| kinds.add(left.why, *seed));
    }
    out + &kinds.show()
}

/// What one housing came to, in full.
pub(crate) fn one(row: &Row) -> String {
    let mut out = String::new();
    for (index, name) in STEPS.iter().enumerate() {
        if let Some(Step { outcome: Err(failure), .. }) = step(row, index) {
            out += &format!("{name}: {}\n", failure.text);
        }
    }
    if let Some(parts) = row.contact {
        out += &format!("parts of metal and gap on spheres about the place: {parts:?}\n");
    }
    for (kind, text) in &row.troubles {
        out += &format!("{kind}: {text}\n");
    }
    out += &row.given_up;
    out += &row.cast.as_ref().map_or_else(String::new, cast::Cast::in_full);
    for left in row.pieces.iter().flat_map(|p| &p.left) {
        out += &format!("no loose piece: {}\n", left.text);
    }
    for cause in row.outside.iter().flat_map(|o| &o.causes) {
        let at = cause.at;
        out += &format!(
            "outside the casting, {} points, {}, as at ({:.2}, {:.2}, {:.2})\n",
            cause.points, cause.what, at.x, at.y, at.z
        );
    }
    out
}

/// The names above [`csv_line`]'s values.
pub(crate) fn csv_head() -> String {
    let steps: String = STEPS.iter().map(|name| format!(",{name} s,{name}")).collect();
    format!(
        "seed,refused{steps},joints whole,joints smaller,joints sharp,outside mm3,outside error mm3,loose pieces,places left,casting written,casting lacks mm3,casting joints whole,casting joints smaller,casting joints sharp\n"
    )
}

/// One line a seed.
pub(crate) fn csv_line(row: &Row) -> String {
    let mut out = format!("{},{}", row.seed, row.refused.join(" "));
    for index in 0..STEPS.len() {
        out += &match step(row, index) {
            None => ",,".to_owned(),
            Some(Step { seconds, outcome: Ok(()) }) => format!(",{seconds:.4},made"),
            Some(Step { seconds, outcome: Err(failure) }) => {
                let text = failure.text.replace('"', "'").replace('\n', " ");
                format!(",{seconds:.4},\"{}: {text}\"", failure.kind)
            }
        };
    }
    let joints: Vec<String> = row.joints.iter().map(ToString::to_string).collect();
    let outside = row.outside.as_ref().map_or(",".to_owned(), |o| format!("{:.1},{:.1}", o.volume, o.error));
    let pieces = row.pieces.as_ref().map_or(",".to_owned(), |p| format!("{},{}", p.count, p.left.len()));
    let cast = row.cast.as_ref().map_or(",,,,".to_owned(), cast::Cast::csv);
    out + &format!(",{},{outside},{pieces},{cast}\n", joints.join(","))
}
