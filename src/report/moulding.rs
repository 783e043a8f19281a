//! Stock, undercuts and parting of a casting, for the terminal and for JSON.

use std::collections::BTreeSet;

use serde_json::{Value, json};

use super::columns::{self, Side};
use super::joints;
use crate::checks::Limits;
use crate::design::Design;
use crate::faces::Feature;
use crate::forms::{Casting, Drawing, MissingMetal, StockRow, Undercut};
use crate::units::Mm;
use crate::words::counted;

/// Greatest number of undercut faces in the list.
const MOST: usize = 12;

/// Stock of each machined face, features cast solid, faces that cannot be drawn, and the parting with the least such
/// area.
pub fn text(design: &Design, casting: &Casting, drawn: &Drawing, partings: &[(f64, f64)]) -> String {
    let mass = casting.moulded.casting.solid.mass().volume * 1e-9 * design.casting().density().get();
    let mut out = format!("  mass as cast {mass:.3} kg\n");
    let joints = &casting.moulded.casting.joints;
    let (whole, pieces) = joints::whole(joints);
    out.push_str(&format!("  fillets: {whole} of {pieces} joint segments at full radius\n"));
    out.push_str(&joints::table(joints, design.units(), false));
    out.push_str(&joints::rounder_edges(&casting.moulded.casting.rounder, design.units()));
    out.push_str(&joints::filled_hollows(&casting.moulded.casting.filled));
    for lacking in &casting.missing {
        out.push_str(&format!("  DOES NOT HOLD the finished part: {lacking}\n"));
    }
    out.push_str(&stock(design, &casting.stock));
    let solid = casting.stock.iter().filter(|r| r.stock.is_none()).count();
    if solid > 0 {
        out.push_str(&format!("  cast solid, to be drilled or cut: {}\n", counted(solid, "machined face")));
    }
    out.push_str(&drawing(casting, &drawn.undercuts, partings));
    for u in drawn.upright.iter().take(MOST) {
        out.push_str(&format!(
            "  no draft: {}, {:.0} mm2 parallel to the draw; dress them or turn the parting\n",
            u.tag, u.area
        ));
    }
    out
}

/// Headings of the stock table; their spaces keep the columns wide enough for most lengths, so that the tables of two
/// parts look alike.
const STOCK: [&str; 8] =
    ["machined face", "size     ", "  finished", "   casting", "   stock*", "  within*", "    left*", ""];

fn stock(design: &Design, rows: &[StockRow]) -> String {
    let (units, wanted) = (design.units(), Limits::of(design).stock_left.value);
    let show = |x: f64| units.show(Mm::new((x * 100.0).round() / 100.0));
    let kept: Vec<&StockRow> = rows.iter().filter(|r| r.stock.is_some()).collect();
    let row = |r: &&StockRow| {
        let [casting, stock, least] = [r.casting, r.stock, r.least].map(|x| x.map_or_else(String::new, show));
        let within = r.tolerance.map_or_else(String::new, |x| format!("±{}", show(x)));
        let verdict = match r.least {
            Some(least) if least < wanted => "MAY NOT CLEAN UP",
            Some(_) => "cleans up",
            None => "not known: no tolerance in the table",
        };
        let words = |text: &str| text.to_owned();
        [
            r.tag.to_string(),
            words(r.finished.what()),
            show(r.finished.get()),
            casting,
            stock,
            within,
            least,
            words(verdict),
        ]
    };
    let rows = std::iter::once(STOCK.map(str::to_owned)).chain(kept.iter().map(row));
    let mut out = columns::text(rows, 2, &[&[Side::Left; 2][..], &[Side::Right; 5], &[Side::Left]].concat());
    if !kept.is_empty() {
        out.push_str("  * per face: a bore or a cylinder has it on both sides of its diameter\n");
    }
    out
}

fn drawing(casting: &Casting, undercuts: &[Undercut], partings: &[(f64, f64)]) -> String {
    let mut out = String::new();
    if undercuts.is_empty() {
        out.push_str("  every face can be drawn from this parting\n");
    }
    for u in undercuts.iter().take(MOST) {
        let shadow = u.under.as_ref().map_or_else(String::new, |over| format!(" in the shadow of {over}"));
        out.push_str(&format!(
            "  cannot be drawn: {}, {:.0} mm2{shadow} near ({:.1}, {:.1}, {:.1}) mm\n",
            u.tag, u.area, u.at.x, u.at.y, u.at.z
        ));
    }
    if undercuts.len() > MOST {
        out.push_str(&format!("  ... and {}\n", counted(undercuts.len() - MOST, "more face")));
    }
    let loose = loose_pieces(undercuts);
    if !loose.is_empty() {
        out.push_str(&format!("  needs a loose piece or a core: {}\n", loose.join(", ")));
    }
    if let Some((clock, area)) = best(partings) {
        let here = casting.settings.up.y.atan2(casting.settings.up.z).to_degrees();
        let apart = (here - clock).rem_euclid(180.0);
        let same = !(0.5..=179.5).contains(&apart);
        let word = if same { "already set" } else { "set `casting.mould.parting_clock` to this" };
        out.push_str(&format!("  least area that cannot be drawn, before draft: {area:.0} mm2 at parting clock {clock} deg; {word}\n"));
    }
    out
}

/// Features that hold the pattern in the sand.
fn loose_pieces(undercuts: &[Undercut]) -> Vec<String> {
    let all: BTreeSet<Feature> = undercuts.iter().map(Undercut::holder).collect();
    all.iter().map(ToString::to_string).collect()
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

/// The report as data; lengths in mm, areas in mm².
pub fn figures(casting: &Casting, undercuts: &[Undercut], partings: &[(f64, f64)]) -> Value {
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
        "stock": casting.stock.iter().map(row).collect::<Vec<_>>(),
        "undercuts": undercuts.iter().map(undercut).collect::<Vec<_>>(),
        "loose_pieces": loose_pieces(undercuts),
        "partings": partings.iter().map(|(clock, area)| json!({ "clock_deg": clock, "area_mm2": area })).collect::<Vec<_>>(),
    })
}
