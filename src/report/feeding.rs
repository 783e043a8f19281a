//! The recommendation on feeders and gates, for the terminal and for JSON.

use serde_json::{Value, json};

use super::document::{Column, TextCell, TextTable, plain};
use super::rigging;
use crate::checks::{FedLump, Feeding, Gating};
use crate::design::Design;
use crate::rigging::Rigging;
use crate::standards::feeding::{EFFICIENCY, FEEDER, NECK, shrinkage};
use crate::standards::gating::{GATE_SPEED, SHARE};
use crate::standards::materials::Family;
use crate::units::Units;
use crate::words::counted;

/// Greatest number of lumps in the list; all of them count in the masses.
const MOST: usize = 12;

/// Headings of the table of lumps.
const LUMPS: [Column; 8] = [
    Column::words("lump"),
    Column::numbers("ball"),
    Column::numbers("modulus"),
    Column::numbers("feeds"),
    Column::numbers("feeder"),
    Column::numbers("high"),
    Column::numbers("neck"),
    Column::numbers("or chill"),
];

/// What this is.
pub(super) const RECOMMENDED: &str = "a recommendation; the foundry decides";

/// Feeders, chills and gates in a few lines; `all` also tells where each lump lies, and how the mould is poured.
/// With what is placed, the metal of that is told, and not an estimate of it ([`SHARE`]).
pub fn text(design: &Design, advised: &Feeding, placed: Option<&Rigging>, all: bool) -> String {
    let mut out = plain::lines(&[format!("feeding and gating: {RECOMMENDED}")]);
    if all {
        out.push_str(&plain::table(&lumps(design, advised)));
        out.push_str(&plain::lines(&feeders(design, advised)));
        let metal = placed
            .map_or_else(|| vec![poured(advised, design.units())], |p| rigging::placed(p, design.units()));
        out.push_str(&plain::lines(&metal));
        out.push_str(&plain::lines(&gating(design, placed.map_or(&advised.gating, |p| &p.gating))));
        return out;
    }
    out.push_str(&plain::table(&alike(design, advised)));
    if advised.lumps.is_empty() {
        out.push_str(&plain::lines(&[NO_LUMP.to_owned()]));
    }
    match placed {
        Some(placed) => {
            out.push_str(&plain::lines(&rigging::placed(placed, design.units())));
            out.push_str(&plain::lines(&[poured_in(design, &placed.gating)]));
        }
        None => out
            .push_str(&plain::lines(&[poured(advised, design.units()), poured_in(design, &advised.gating)])),
    }
    out
}

/// Lumps of a feature whose feeders differ by less than this share stand in one row.
const ALIKE: f64 = 0.03;

/// The lumps in short: those of a feature with nearly equal feeders in one row, with the figures of the largest and all the
/// metal that they feed.
fn alike(design: &Design, advised: &Feeding) -> TextTable {
    let mut groups: Vec<(usize, FedLump)> = Vec::new();
    for lump in &advised.lumps {
        let like = |first: &FedLump| {
            let (a, b) = (first.feeder.diameter, lump.feeder.diameter);
            first.feature == lump.feature && (a - b).abs() < ALIKE * a.max(b)
        };
        match groups.iter_mut().find(|(_, first)| like(first)) {
            Some((count, first)) => {
                *count += 1;
                first.volume += lump.volume;
            }
            None => groups.push((1, lump.clone())),
        }
    }
    let row = |(count, lump): &(usize, FedLump)| {
        let mut cells = row(lump, design.units());
        if *count > 1 {
            cells[0] = format!("{count} in {}", lump.feature).into();
        }
        cells
    };
    TextTable {
        caption: String::new(),
        columns: LUMPS.to_vec(),
        rows: groups.iter().take(MOST).map(row).collect(),
        notes: vec![],
    }
}

/// Said where nothing needs a feeder.
const NO_LUMP: &str = "no lump is 1.5 times as thick as the wall: no feeder is advised";

/// The lumps, and a feeder or a chill for each.
pub(super) fn lumps(design: &Design, advised: &Feeding) -> TextTable {
    TextTable {
        caption: "Lumps of metal, largest first, with a feeder or a chill for each".to_owned(),
        columns: LUMPS.to_vec(),
        rows: advised.lumps.iter().take(MOST).map(|l| row(l, design.units())).collect(),
        notes: vec![],
    }
}

/// How feeders are measured, and where each lump lies.
pub(super) fn feeders(design: &Design, advised: &Feeding) -> Vec<String> {
    if advised.lumps.is_empty() {
        return vec![NO_LUMP.to_owned()];
    }
    let (units, family) = (design.units(), design.casting().alloy().family);
    let mut out = vec![
        format!(
            "feeders: {FEEDER} times the lump's modulus, necks {NECK} times; {:.0} % of a feeder's metal leaves it, the melt \
             shrinks by {:.0} %",
            100.0 * EFFICIENCY,
            100.0 * shrinkage(family)
        ),
        format!("a feeder reaches {} along the wall", short(advised.reach, units)),
    ];
    out.extend(advised.lumps.iter().take(MOST).map(|lump| way(lump, advised.reach, units)));
    if advised.lumps.len() > MOST {
        out.push(format!("... and {}", counted(advised.lumps.len() - MOST, "smaller lump")));
    }
    out
}

/// The metal that is poured.
pub(super) fn poured(advised: &Feeding, units: Units) -> String {
    format!(
        "casting {}, feeders {}, with sprue, runners and gates ({:.0} %) {} poured; yield {:.0} %",
        units.mass(advised.casting),
        units.mass(advised.feeders),
        100.0 * SHARE,
        units.mass(advised.poured),
        100.0 * advised.yielded()
    )
}

/// A length to a tenth of a millimetre, in the file's unit.
pub(super) fn short(x: f64, units: Units) -> String {
    units.rounded(x, 1)
}

fn row(lump: &FedLump, units: Units) -> Vec<TextCell> {
    let show = |x: f64| units.in_table(x, 1);
    let cells = [
        lump.feature.to_string(),
        show(lump.ball),
        show(lump.modulus),
        units.volume(lump.volume),
        format!("Ø {}", show(lump.feeder.diameter)),
        show(lump.feeder.height),
        format!("Ø {}", show(lump.feeder.neck)),
        format!("{} to {}", show(lump.chill[0]), show(lump.chill[1])),
    ];
    cells.into_iter().map(TextCell::from).collect()
}

/// Where a lump lies, what decides its feeder, and why nothing else feeds it.
fn way(lump: &FedLump, reach: f64, units: Units) -> String {
    let show = |x: f64| short(x, units);
    let by = if lump.feeder.by_feed_metal { "feed metal" } else { "modulus" };
    let path = lump.towards.map_or_else(String::new, |(other, neck)| {
        format!("; the metal towards {other} narrows to {}, so it is not fed from there", show(neck))
    });
    let far = if lump.farthest > reach {
        format!("; the longest way through metal that is fed from it is {}", show(lump.farthest))
    } else {
        String::new()
    };
    format!(
        "{} at {}, by {}: feeder by {by}{path}{far}",
        lump.feature,
        units.place([lump.at.x, lump.at.y, lump.at.z]),
        lump.face
    )
}

/// Pouring time and choke in a line.
fn poured_in(design: &Design, g: &Gating) -> String {
    let units = design.units();
    let [wall, choke] = [short(g.wall, units), units.area(g.choke)];
    format!("poured in {:.1} s for a wall of {wall}; narrowest area of the gating {choke}", g.time)
}

/// Pouring time, sprue, runners and gates.
pub(super) fn gating(design: &Design, g: &Gating) -> Vec<String> {
    let units = design.units();
    let show = |x: f64| short(x, units);
    let [a, b, c] = g.ratio.areas.map(|x| (x * 10.0).round() / 10.0);
    let [foot, runners, gates] = g.areas;
    let wanted = match design.casting().alloy().family {
        Family::Aluminium => format!(", at most {GATE_SPEED} wanted"),
        Family::Iron => String::new(),
    };
    vec![
        format!(
            "poured in {:.1} s for a wall of {}, through gates at the parting plane under a mean head of {} ({} over the gates); \
             choke {}",
            g.time,
            show(g.wall),
            show(g.heads[1]),
            show(g.heads[0]),
            units.area(g.choke)
        ),
        format!(
            "sprue : runners : gates {a} : {b} : {c} ({}): foot of the sprue {}, its top {}, runners {}, \
             gates {}; {:.2} m/s in the gates{wanted}",
            g.ratio.source,
            units.area(foot),
            units.area(g.top),
            units.area(runners),
            units.area(gates),
            g.gate_speed
        ),
    ]
}

/// The recommendation as data: masses and gating of what is placed, where it is, and else the estimate ([`SHARE`]).
pub fn figures(advised: &Feeding, placed: Option<&Rigging>) -> Value {
    let lump = |l: &FedLump| {
        json!({
            "feature": l.feature.name(),
            "face": l.face,
            "at_mm": [l.at.x, l.at.y, l.at.z],
            "ball_mm": l.ball,
            "modulus_mm": l.modulus,
            "volume_mm3": l.volume,
            "farthest_mm": l.farthest,
            "towards": l.towards.map(|(feature, neck)| json!({ "feature": feature.name(), "neck_mm": neck })),
            "feeder": {
                "diameter_mm": l.feeder.diameter,
                "height_mm": l.feeder.height,
                "neck_mm": l.feeder.neck,
                "volume_mm3": l.feeder.volume,
                "decided_by": if l.feeder.by_feed_metal { "feed metal" } else { "modulus" },
            },
            "chill_mm": l.chill,
        })
    };
    json!({
        "note": RECOMMENDED,
        "lumps": advised.lumps.iter().map(lump).collect::<Vec<_>>(),
        "reach_mm": advised.reach,
        "casting_kg": advised.casting,
        "feeders_kg": placed.map_or(advised.feeders, |p| p.fed),
        "poured_kg": placed.map_or(advised.poured, Rigging::poured),
        "yield": placed.map_or(advised.yielded(), Rigging::yielded),
        "gating": gating_figures(placed.map_or(&advised.gating, |p| &p.gating)),
    })
}

/// How a mould is poured, as data.
pub(super) fn gating_figures(g: &Gating) -> Value {
    json!({
        "time_s": g.time,
        "wall_mm": g.wall,
        "heights_mm": g.heights,
        "heads_mm": g.heads,
        "choke_mm2": g.choke,
        "ratio": g.ratio.areas,
        "ratio_source": g.ratio.source,
        "areas_mm2": g.areas,
        "sprue_top_mm2": g.top,
        "gate_speed_m_s": g.gate_speed,
    })
}
