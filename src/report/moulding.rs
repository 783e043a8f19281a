//! Stock, undercuts and parting of a casting, for the terminal and for JSON.

use std::collections::BTreeSet;

use serde_json::{Value, json};

use super::document::{Column, TextCell, TextTable, plain};
use super::joints;
use crate::checks::Limits;
use crate::design::Design;
use crate::export::form_files::FormFiles;
use crate::faces::{Feature, plain_names};
use crate::forms::{
    Casting, DRESSED, Drawing, FILLED_BELOW, HeldPlace, LoosePiece, MissingMetal, SideCore, StillHeld,
    StockRow, Undercut, half_name,
};
use crate::units::{Mm, Units};
use crate::words::counted;
use solidwright::geometry::{Stretch, V3};

/// Greatest number of undercut faces in the list.
const MOST: usize = 12;

/// What the foundry is told of a casting, in lines for the terminal; `fillets` lists all fillets, what was reduced, and what was laid on
/// where they leave metal of the finished part outside.
pub fn text(
    design: &Design,
    casting: &Casting,
    drawn: &Drawing,
    partings: &[(f64, f64)],
    fillets: bool,
) -> String {
    let mut out = plain::lines(&[format!("mass as cast {}", design.units().mass(mass(design, casting)))]);
    let joints = &casting.moulded.casting.joints;
    let (whole, pieces) = joints::whole(joints);
    out.push_str(&format!("  fillets: {whole} of {pieces} joint segments at full radius\n"));
    out.push_str(&joints::table(joints, design.units(), fillets));
    out.push_str(&joints::rounder_edges(&casting.moulded.casting.rounder, design.units()));
    out.push_str(&joints::filled_hollows(&casting.moulded.casting.filled));
    out.push_str(&joints::filled_places(&casting.moulded.casting, design.units()));
    if fillets {
        out.push_str(&joints::given_up(&casting.moulded.casting.demotions, design.units()));
        let laid_on = casting.laid_on.iter().map(|place| place.laid_on(design.units()));
        out.push_str(&plain::lines(&laid_on.collect::<Vec<_>>()));
    }
    out.push_str(&plain::lines(&lacking(casting)));
    out.push_str(&plain::table(&stock(design, &casting.stock)));
    let solid = casting.stock.iter().filter(|row| row.is_cast_solid()).count();
    if solid > 0 {
        out.push_str(&format!("  cast solid, to be drilled or cut: {}\n", counted(solid, "machined face")));
    }
    out.push_str(&plain::lines(&drawing(casting, drawn, design.units())));
    out.push_str(&plain::lines(&parting(casting, drawn, partings)));
    out.push_str(&plain::lines(&undrafted(drawn, design.units())));
    out
}

/// Mass as cast, kg.
pub(super) fn mass(design: &Design, casting: &Casting) -> f64 {
    design.casting().mass(casting.moulded.casting.solid.mass().volume)
}

/// Where the finished part reaches outside its casting.
pub(super) fn lacking(casting: &Casting) -> Vec<String> {
    let one = |metal: &MissingMetal| {
        format!("DOES NOT HOLD the finished part: {}", metal.named(casting.settings.units))
    };
    casting.missing.iter().map(one).collect()
}

/// Headings of the stock table; their spaces keep the columns of the terminal wide enough for most lengths, so that the
/// tables of two parts look alike.
const STOCK: [Column; 8] = [
    Column::words("machined face"),
    Column::words("size     "),
    Column::numbers("  finished"),
    Column::numbers("   casting"),
    Column::numbers("   stock*"),
    Column::numbers("  within*"),
    Column::numbers("    left*"),
    Column::words("result"),
];

/// Stock on each machined face that is cast, and whether the worst casting still cleans up there.
pub(super) fn stock(design: &Design, rows: &[StockRow]) -> TextTable {
    let (units, wanted) = (design.units(), Limits::of(design).stock_left.value);
    let show = |x: f64| units.in_table(x, 2);
    let row = |r: &StockRow| {
        let [casting, stock, least] = [r.casting, r.stock, r.least].map(|x| x.map_or_else(String::new, show));
        let within = r.tolerance.map_or_else(String::new, |x| format!("±{}", show(x)));
        let verdict = match r.least {
            Some(least) if least < wanted => TextCell::alarm("MAY NOT CLEAN UP"),
            Some(_) => "cleans up".into(),
            None => TextCell::alarm("not known: no tolerance in the table"),
        };
        vec![
            r.tag.to_string().into(),
            r.finished.what().into(),
            show(r.finished.get()).into(),
            casting.into(),
            stock.into(),
            within.into(),
            least.into(),
            verdict,
        ]
    };
    TextTable {
        caption:
            "Machined faces, finished and on the casting; what is left of the stock on the worst casting"
                .to_owned(),
        columns: STOCK.to_vec(),
        rows: rows.iter().filter(|r| r.stock.is_some()).map(row).collect(),
        notes: std::iter::once(
            "* per face: a bore or a cylinder has it on both sides of its diameter".to_owned(),
        )
        .chain(put_out(rows, units))
        .collect(),
    }
}

/// Why faces of ends that stand askew have more stock than the others.
fn put_out(rows: &[StockRow], units: Units) -> Vec<String> {
    let more = rows.iter().filter(|r| r.put_out > 0.0);
    let one = |r: &StockRow| {
        format!(
            "{}: {} of its stock are there so that the end of the askew body stands upright in the mould, and its half draws without a \
             loose piece",
            r.tag,
            units.show(Mm::new((r.put_out * 100.0).round() / 100.0))
        )
    };
    let mut out: Vec<String> = more.map(one).collect();
    out.dedup();
    out
}

/// Faces that hold the pattern in the sand, the features that need a loose piece or a core, and what is dressed by hand.
pub(super) fn drawing(casting: &Casting, drawn: &Drawing, units: Units) -> Vec<String> {
    if drawn.undercuts.is_empty() {
        return vec!["no face holds the pattern at this parting".to_owned()];
    }
    let by_hand = |u: &Undercut| !drawn.needs_a_piece(u.holder());
    let mut out = held_faces(casting, &drawn.undercuts, by_hand);
    let loose = loose_pieces(drawn);
    if !loose.is_empty() {
        out.push(format!("needs a loose piece or a core: {}", loose.join(", ")));
    }
    out.extend(
        to_dress(drawn).map(|place| format!("to be dressed by hand: {}: {FILLED_BELOW}", place.text(units))),
    );
    out
}

/// Faces that cannot be drawn, or once some of them is dressed by hand, each in a line.
fn held_faces(casting: &Casting, undercuts: &[Undercut], by_hand: impl Fn(&Undercut) -> bool) -> Vec<String> {
    let units = casting.settings.units;
    let one = |u: &Undercut| {
        let [what, freed] = if by_hand(u) {
            ["can be drawn once dressed by hand", "; rapping frees most of it"]
        } else {
            ["cannot be drawn", ""]
        };
        let shadow = u.under.as_ref().map_or_else(String::new, |over| format!(" in the shadow of {over}"));
        let half = if u.at.dot(&casting.settings.up) >= 0.0 { "upper" } else { "lower" };
        format!(
            "{what}: {}, {}{shadow} near {}, {half} half{freed}",
            u.tag,
            units.area(u.area),
            units.place([u.at.x, u.at.y, u.at.z])
        )
    };
    let mut out: Vec<String> = undercuts.iter().take(MOST).map(one).collect();
    if undercuts.len() > MOST {
        out.push(format!("... and {}", counted(undercuts.len() - MOST, "more face")));
    }
    out
}

/// What holds the pattern as its files have it, with its loose pieces.
pub(super) fn left(casting: &Casting, drawn: &Drawing, files: &FormFiles) -> Vec<String> {
    let units = casting.settings.units;
    let freed_by: Vec<&str> =
        [(files.loose.is_empty(), "loose pieces"), (files.side_cores.is_empty(), "side cores")]
            .into_iter()
            .filter_map(|(none, what)| (!none).then_some(what))
            .collect();
    if freed_by.is_empty() && files.still_held.is_empty() {
        return drawing(casting, drawn, units);
    }
    let whole = units.area(drawn.undercuts.iter().map(|u| u.area).sum());
    let mut out = vec![if freed_by.is_empty() {
        format!(
            "the halves are held by {whole}; neither a loose piece that can be drawn nor a side core frees them"
        )
    } else {
        format!("in one piece the halves would be held by {whole}; the {} free them", freed_by.join(" and "))
    }];
    if !freed_by.is_empty() && !files.still_held.is_empty() {
        out[0].push_str(" of some of it only");
    }
    if !files.still_held.is_empty() {
        out.extend(held_faces(casting, &files.undrawn, |_| false));
        out.extend(files.still_held.iter().map(|held| held.text(units)));
    }
    out.extend(files.to_dress.iter().map(|u| {
        format!(
            "to be dressed by hand, at no one place more than {}: {}, {} in all with what rapping frees, as near {}: \
             {FILLED_BELOW}",
            units.area(DRESSED),
            plain_names::face(&u.tag),
            units.area(u.area),
            units.place([u.at.x, u.at.y, u.at.z])
        )
    }));
    out
}

/// The parting with the least area that cannot be drawn; nothing where no more holds than is dressed by hand.
pub(super) fn parting(casting: &Casting, drawn: &Drawing, partings: &[(f64, f64)]) -> Vec<String> {
    let Some((clock, area)) = best(partings).filter(|_| !loose_pieces(drawn).is_empty()) else {
        return vec![];
    };
    let word =
        if is_at(casting, clock) { "already set" } else { "set `casting.mould.parting_clock` to this" };
    vec![format!(
        "least area that cannot be drawn, before draft: {} at parting clock {clock} deg; {word}",
        casting.settings.units.area(area)
    )]
}

/// Whether a casting parts at a clock angle, degrees.
fn is_at(casting: &Casting, clock: f64) -> bool {
    let apart = (clock_of(casting) - clock).rem_euclid(180.0);
    !(0.5..=179.5).contains(&apart)
}

/// Whether another parting angle holds less of the pattern.
pub fn would_turning_help(casting: &Casting, partings: &[(f64, f64)]) -> bool {
    best(partings).is_some_and(|(clock, _)| !is_at(casting, clock))
}

/// Clock angle of the direction in which the upper half is lifted, degrees.
pub(super) fn clock_of(casting: &Casting) -> f64 {
    clock_towards(casting.settings.up)
}

/// Clock angle of a direction square to the shaft, degrees.
pub(super) fn clock_towards(up: V3) -> f64 {
    up.y.atan2(up.z).to_degrees()
}

/// Faces without draft that are smaller than this are not told, mm²: rapping frees them, and in square inches they would read as nothing
/// (common practice, no source).
const LEAST_UPRIGHT: f64 = 5.0;

/// Faces that stand upright in the mould.
pub(super) fn undrafted(drawn: &Drawing, units: Units) -> Vec<String> {
    let one = |u: &Undercut| {
        format!(
            "no draft: {}, {} parallel to the draw; dress them or turn the parting",
            u.tag,
            units.area(u.area)
        )
    };
    let seen = |u: &&Undercut| u.area >= LEAST_UPRIGHT;
    drawn.upright.iter().filter(seen).take(MOST).map(one).collect()
}

/// Features that hold the pattern in the sand by more than is dressed by hand.
pub(super) fn holders(drawn: &Drawing) -> impl Iterator<Item = Feature> {
    let holders: BTreeSet<Feature> = drawn.undercuts.iter().map(Undercut::holder).collect();
    holders.into_iter().filter(|f| drawn.needs_a_piece(*f))
}

/// The names of these.
pub(super) fn loose_pieces(drawn: &Drawing) -> Vec<String> {
    holders(drawn).map(|f| f.to_string()).collect()
}

/// Places that are dressed by hand, at features that need no loose piece.
pub(super) fn to_dress(drawn: &Drawing) -> impl Iterator<Item = &HeldPlace> {
    drawn.places.iter().filter(|p| p.by_hand && !p.features.iter().any(|f| drawn.needs_a_piece(*f)))
}

/// The first of the partings with the least area.
fn best(partings: &[(f64, f64)]) -> Option<(f64, f64)> {
    partings.iter().copied().fold(None, |best, p| match best {
        Some((_, area)) if area <= p.1 + 1e-6 => best,
        _ => Some((p.0, p.1.max(0.0))),
    })
}

/// An undercut as data.
pub(super) fn undercut(u: &Undercut) -> Value {
    json!({
        "face": u.tag.to_string(), "area_mm2": u.area, "at_mm": [u.at.x, u.at.y, u.at.z],
        "under": u.under.as_ref().map(ToString::to_string),
    })
}

/// A place that is dressed by hand, as data.
fn held_place(place: &HeldPlace) -> Value {
    json!({
        "half": half_name(place.upper),
        "features": place.features.iter().map(|f| f.name()).collect::<Vec<_>>(),
        "area_mm2": place.area,
        "at_mm": [place.at.x, place.at.y, place.at.z],
    })
}

/// A loose piece as data: lengths as its files have them, areas as on the casting.
pub(super) fn loose_piece(piece: &LoosePiece, scale: Stretch) -> Value {
    json!({
        "name": piece.name,
        "half": half_name(piece.upper),
        "features": piece.features.iter().map(|f| f.name()).collect::<Vec<_>>(),
        "held_mm2": piece.held,
        "draw": [piece.draw.x, piece.draw.y, piece.draw.z],
        "travel_mm": piece.travel * scale.radial(),
        "dovetail_mm": piece.dovetail.map(|d| [d.width, d.depth]),
        "dressed": piece.dressed.iter().map(undercut).collect::<Vec<_>>(),
    })
}

/// A side core as data: lengths as its files have them, areas as on the casting.
pub(super) fn side_core(core: &SideCore, scale: Stretch) -> Value {
    json!({
        "name": core.name,
        "half": half_name(core.upper),
        "features": core.features.iter().map(|f| f.name()).collect::<Vec<_>>(),
        "held_mm2": core.held,
        "size_mm": core.size.map(|side| side * scale.radial()),
        "seat_mm2": core.seat,
    })
}

/// A place without a loose piece as data.
pub(super) fn still_held(held: &StillHeld) -> Value {
    json!({
        "half": half_name(held.upper),
        "features": held.features.iter().map(|f| f.name()).collect::<Vec<_>>(),
        "area_mm2": held.area,
        "at_mm": [held.at.x, held.at.y, held.at.z],
        "why": held.why.text(Units::Mm),
    })
}

/// The report as data; lengths in mm, areas in mm².
pub fn figures(casting: &Casting, drawn: &Drawing, partings: &[(f64, f64)]) -> Value {
    let row = |r: &StockRow| {
        json!({
            "face": r.tag.to_string(), "what": r.finished.what(), "finished_mm": r.finished.get(), "casting_mm": r.casting,
            "stock_mm": r.stock, "half_tolerance_mm": r.tolerance, "least_stock_mm": r.least,
        })
    };
    let lacking = |l: &MissingMetal| {
        json!({
            "feature": l.feature.name(), "faces": l.faces, "volume_mm3": l.volume, "depth_mm": l.depth,
            "at_mm": [l.at.x, l.at.y, l.at.z],
        })
    };
    json!({
        "fillets": joints::list(&casting.moulded.casting.joints),
        "lacking": casting.missing.iter().map(lacking).collect::<Vec<_>>(),
        "laid_on": casting.laid_on.iter().map(lacking).collect::<Vec<_>>(),
        "stock": casting.stock.iter().map(row).collect::<Vec<_>>(),
        "undercuts": drawn.undercuts.iter().map(undercut).collect::<Vec<_>>(),
        "loose_pieces": loose_pieces(drawn),
        "dressed_by_hand": to_dress(drawn).map(held_place).collect::<Vec<_>>(),
        "partings": partings.iter().map(|(clock, area)| json!({ "clock_deg": clock, "area_mm2": area })).collect::<Vec<_>>(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::faces::Role;

    /// 13 mm² of a fillet on the parting line are scraped off, not made as a loose piece.
    #[test]
    fn a_sliver_is_dressed_by_hand() {
        let held = |feature: Feature, area| Undercut {
            tag: feature.formed(Role::Side),
            area,
            at: V3::zeros(),
            under: None,
        };
        let place = |feature, area, by_hand| HeldPlace {
            upper: true,
            features: vec![feature],
            area,
            at: V3::zeros(),
            by_hand,
        };
        let all = Drawing {
            undercuts: vec![
                held(Feature::SenderBoss, 300.0),
                held(Feature::Ribs, 9.0),
                held(Feature::Ribs, 4.0),
            ],
            upright: vec![],
            places: vec![place(Feature::SenderBoss, 280.0, false), place(Feature::Ribs, 8.0, true)],
        };
        assert_eq!(loose_pieces(&all), ["sender_boss"], "a loose piece");
        assert_eq!(to_dress(&all).map(|p| p.area).collect::<Vec<_>>(), [8.0], "by hand");
    }
}
