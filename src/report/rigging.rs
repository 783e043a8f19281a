//! Feeders, chills and gating as they are placed, for the terminal, the casting's sheet and JSON.

use serde_json::{Value, json};

use super::document::{Column, TextCell, TextTable};
use super::feeding::{gating_figures, short};
use crate::checks::Feeding;
use crate::design::Design;
use crate::faces::plain_names;
use crate::rigging::{PlacedChaplet, PlacedChill, Rigging, StandingFeeder};
use crate::standards::gating::fall;
use crate::units::Units;
use crate::words::{counted, fixed};
use solidwright::geometry::P3;

/// Said where no gate has room.
const NO_GATE: &str = "no gate has room along the casting on the parting plane: turn `casting.mould.parting_clock`, or agree with the \
                       foundry on one at an end, beside the core's print";

/// Gates that have less of the area wanted than this share of it are told.
const ENOUGH: f64 = 0.98;

/// That the gates drawn are smaller than wanted, and how fast metal leaves them then (continuity; no faster than it falls).
fn small_gates(placed: &Rigging, units: Units) -> Option<String> {
    let (area, wanted) = (placed.gates.as_ref()?.gate_area(), placed.gating.areas[2]);
    let speed = (placed.gating.gate_speed * wanted / area).min(fall(placed.gating.heads[0]));
    (area < ENOUGH * wanted).then(|| {
        format!(
            "the gates that have room have {} together of {} wanted, and metal leaves them at {speed:.1} m/s: agree with the \
             foundry on more of them",
            units.area(area),
            units.area(wanted)
        )
    })
}

/// What stands about the casting and how much is poured, and that gates are small.
pub(super) fn placed(placed: &Rigging, units: Units) -> Vec<String> {
    let mut what = vec![format!(
        "placed: {} on the parting plane, {}",
        counted(placed.feeders.len(), "feeder"),
        counted(placed.chills.len(), "chill")
    )];
    what.push(match &placed.gates {
        Some(system) => {
            format!("{} on {}", counted(system.gates.len(), "gate"), counted(system.runners, "runner"))
        }
        None => NO_GATE.to_owned(),
    });
    if !placed.left.is_empty() {
        what.push(format!("no room at {}", counted(placed.left.len(), "lump")));
    }
    if !placed.chaplets.is_empty() {
        what.push(format!("{} for the core", counted(placed.chaplets.len(), "chaplet")));
    }
    let mut out = vec![what.join("; "), poured(placed, units)];
    out.extend(unheld(placed, units));
    out.extend(small_gates(placed, units));
    out
}

/// The metal of the solids drawn.
pub(super) fn poured(placed: &Rigging, units: Units) -> String {
    let (casting, fed) = (units.mass(placed.casting), units.mass(placed.fed));
    let (poured, share) = (units.mass(placed.poured()), 100.0 * placed.yielded());
    if placed.gates.is_none() {
        return format!(
            "casting {casting}, feeders and necks {fed}: {poured} poured without sprue, runners and gates, which come to it; yield {share:.0} % \
             at most"
        );
    }
    let gated = units.mass(placed.gated);
    format!(
        "casting {casting}, feeders and necks {fed}, sprue, runners and gates {gated}: {poured} poured; yield {share:.0} %"
    )
}

/// The feeders, each with what it feeds.
pub(super) fn feeders(design: &Design, advised: &Feeding, placed: &Rigging) -> TextTable {
    let units = design.units();
    let row = |(k, feeder): (usize, &StandingFeeder)| {
        let show = |x: f64| units.in_table(x, 1);
        let cells = [
            (k + 1).to_string(),
            if feeder.feeds.is_empty() {
                format!("wall by {}", named(advised, &feeder.counted))
            } else {
                named(advised, &feeder.feeds)
            },
            show(feeder.feeder.diameter),
            show(feeder.feeder.height),
            show(feeder.feeder.neck),
            show(feeder.neck),
            at(feeder.at, units),
            at(feeder.contact, units),
        ];
        cells.into_iter().map(TextCell::from).collect()
    };
    let short_of = placed.feeders.iter().any(|f| !f.whole);
    let mut notes = vec![
        "each stands over the casting's highest place, so it is higher and slimmer than the lump alone asks for; the metal of lumps with a chill \
         is counted to the nearest feeder"
            .to_owned(),
    ];
    if short_of {
        notes.push(
            "where there is no room for all of that metal, a feeder is sized for the lumps at its neck only"
                .to_owned(),
        );
    }
    TextTable {
        caption: "Feeders as drawn: places of the axis and of the neck on the parting plane, aft, to the right and up from the middle of the \
                  finished gearbox face"
            .to_owned(),
        columns: vec![
            Column::numbers("feeder"),
            Column::words("at"),
            Column::numbers("diameter"),
            Column::numbers("high"),
            Column::numbers("neck Ø"),
            Column::numbers("neck long"),
            Column::numbers("axis"),
            Column::numbers("neck at"),
        ],
        rows: placed.feeders.iter().enumerate().map(row).collect(),
        notes,
    }
}

/// The chills.
pub(super) fn chills(design: &Design, advised: &Feeding, placed: &Rigging) -> TextTable {
    let units = design.units();
    let row = |(k, chill): (usize, &PlacedChill)| {
        let lump = &advised.lumps[chill.lump];
        let cells = [
            (k + 1).to_string(),
            plain_names::feature(lump.feature).to_owned(),
            units.in_table(chill.diameter, 1),
            units.in_table(chill.thickness, 1),
            at(chill.at, units),
        ];
        cells.into_iter().map(TextCell::from).collect()
    };
    TextTable {
        caption: "Chills as drawn: iron, dressed to the casting's face".to_owned(),
        columns: vec![
            Column::numbers("chill"),
            Column::words("at"),
            Column::numbers("diameter"),
            Column::numbers("thick"),
            Column::numbers("middle of its face"),
        ],
        rows: placed.chills.iter().enumerate().map(row).collect(),
        notes: vec![],
    }
}

/// Where a chaplet is needed and has no place, and what to do; `None` where all have one.
pub(super) fn unheld(placed: &Rigging, units: Units) -> Option<String> {
    let stations: Vec<String> = placed.unheld.iter().map(|x| short(*x, units)).collect();
    (!stations.is_empty()).then(|| {
        format!(
            "no plain cast wall for a needed chaplet near station {}: support the core there with wires or a longer print, and agree it \
             with the foundry",
            stations.join(", ")
        )
    })
}

/// The chaplets with what is told of those without a place; `None` where none is placed.
pub(super) fn chaplets(design: &Design, placed: &Rigging) -> Option<TextTable> {
    let units = design.units();
    let row = |(k, chaplet): (usize, &PlacedChaplet)| {
        let cells = [
            (k + 1).to_string(),
            if chaplet.on_top { "on the core" } else { "under the core" }.to_owned(),
            format!("{:.0} N", chaplet.force),
            units.in_table(chaplet.wall, 1),
            units.in_table(chaplet.head, 1),
            at(chaplet.at, units),
        ];
        cells.into_iter().map(TextCell::from).collect()
    };
    let caption = "Chaplets as drawn: they hold the core where it would bend or float more than its prints bear, and stay in the casting. Sizes are \
                   practice; the foundry takes its own, of a metal that fuses with the casting, clean and dry";
    let notes = unheld(placed, units).into_iter().collect();
    (!placed.chaplets.is_empty()).then(|| TextTable {
        caption: caption.to_owned(),
        columns: vec![
            Column::numbers("chaplet"),
            Column::words("where"),
            Column::numbers("bears"),
            Column::numbers("stem long"),
            Column::numbers("heads Ø"),
            Column::numbers("on the core at"),
        ],
        rows: placed.chaplets.iter().enumerate().map(row).collect(),
        notes,
    })
}

/// Sprue, runners and gates, and lumps without anything.
pub(super) fn gating(design: &Design, advised: &Feeding, placed: &Rigging) -> Vec<String> {
    let units = design.units();
    let show = |x: f64| short(x, units);
    let mut out = vec![];
    match &placed.gates {
        Some(system) => out.push(format!(
            "sprue at ({}), Ø {} at its foot and Ø {} at its top; runners {} wide and {} deep in the lower half of the \
             mould; {}, each {} wide and {} thick in the upper half",
            at(system.sprue, units),
            show(system.diameters[0]),
            show(system.diameters[1]),
            show(system.runner[0]),
            show(system.runner[1]),
            counted(system.gates.len(), "gate"),
            show(system.gate[0]),
            show(system.gate[1])
        )),
        None => out.push(NO_GATE.to_owned()),
    }
    out.extend(small_gates(placed, design.units()));
    if !placed.left.is_empty() {
        out.push(format!(
            "no feeder on the parting plane and no chill has room at: {}",
            named(advised, &placed.left)
        ));
    }
    out
}

/// Features of some lumps, each with its number where there are several.
fn named(advised: &Feeding, lumps: &[usize]) -> String {
    let mut out: Vec<(&str, usize)> = Vec::new();
    for k in lumps {
        let name = plain_names::feature(advised.lumps[*k].feature);
        match out.iter_mut().find(|(known, _)| *known == name) {
            Some((_, count)) => *count += 1,
            None => out.push((name, 1)),
        }
    }
    let told = |(name, count): &(&str, usize)| {
        if *count > 1 { format!("{name} ({})", counted(*count, "lump")) } else { (*name).to_owned() }
    };
    out.iter().map(told).collect::<Vec<_>>().join(", ")
}

/// A place in the file's unit, without its name.
fn at(p: P3, units: Units) -> String {
    let (factor, digits) = match units {
        Units::Mm => (1.0, 0),
        Units::Inch => (1.0 / 25.4, 2),
    };
    [p.x, p.y, p.z].map(|v| fixed(v * factor, digits)).join(", ")
}

/// What is placed, as data.
pub(super) fn figures(placed: &Rigging) -> Value {
    let p = |p: P3| json!([p.x, p.y, p.z]);
    let feeder = |f: &StandingFeeder| {
        json!({
            "lumps": f.feeds, "counted_lumps": f.counted, "whole": f.whole,
            "diameter_mm": f.feeder.diameter, "height_mm": f.feeder.height,
            "neck_mm": f.feeder.neck, "neck_length_mm": f.neck, "below_mm": f.below,
            "at_mm": p(f.at), "contact_mm": p(f.contact),
        })
    };
    let chill = |c: &PlacedChill| {
        json!({
            "lump": c.lump, "at_mm": p(c.at), "normal": [c.normal.x, c.normal.y, c.normal.z],
            "diameter_mm": c.diameter, "thickness_mm": c.thickness,
        })
    };
    let chaplet = |c: &PlacedChaplet| {
        json!({
            "at_mm": p(c.at), "outwards": [c.outwards.x, c.outwards.y, c.outwards.z], "on_top": c.on_top,
            "force_n": c.force, "wall_mm": c.wall, "head_mm": c.head,
        })
    };
    let gates = placed.gates.as_ref().map(|g| {
        json!({
            "sprue_mm": p(g.sprue), "sprue_diameters_mm": g.diameters, "runner_mm": g.runner,
            "gates_mm": g.gates.iter().map(|at| p(*at)).collect::<Vec<_>>(), "gate_mm": g.gate,
        })
    });
    let body = |b: &crate::rigging::RiggingBody| json!({ "name": b.name, "poured": b.poured, "volume_mm3": b.volume });
    json!({
        "feeders": placed.feeders.iter().map(feeder).collect::<Vec<_>>(),
        "chills": placed.chills.iter().map(chill).collect::<Vec<_>>(),
        "chaplets": placed.chaplets.iter().map(chaplet).collect::<Vec<_>>(),
        "stations_without_chaplet_mm": placed.unheld,
        "lumps_left": placed.left,
        "gates": gates,
        "gating": gating_figures(&placed.gating),
        "bodies": placed.bodies.iter().map(body).collect::<Vec<_>>(),
        "feeders_kg": placed.fed,
        "gating_kg": placed.gated,
        "poured_kg": placed.poured(),
        "yield": placed.yielded(),
    })
}
