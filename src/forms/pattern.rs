//! The pattern: the casting's outside with core prints, in two halves, enlarged by the contraction.

use super::prints::{Prints, prints_of_pattern};
use super::split::{APART, block, dowel_places, halves};
use super::{Casting, FormError, FormPieces, Piece, Settings, shape};
use crate::faces::{Feature, Role};
use crate::housing::AsCastHousing;
use crate::units::Units;
use crate::words::counted;
use solidwright::geometry::{Bounds, P3};
use solidwright::solid::{Op, Solid, SolidTree, Step};

/// Both halves of the pattern.
///
/// # Errors
/// See [`FormError`].
pub fn pattern(casting: &Casting) -> Result<FormPieces, FormError> {
    casting.pattern.clone()
}

/// The whole pattern in one body, with its prints, before it is parted: no metal, and no core, is outside it.
///
/// # Errors
/// If a print is impossible.
pub fn pattern_outside(casting: &Casting) -> Result<SolidTree, FormError> {
    whole(&casting.moulded, &casting.settings)
}

/// A body that stands about the pattern, as pieces that go with its halves: what lies over the parting plane, and what lies under it, cut to
/// the pattern's outside. A part of which nothing lies outside the pattern is left out. Where the cut does not close, a piece keeps its end within the pattern, to be dressed by hand; the second value says so.
///
/// # Errors
/// If not even the uncut piece is sound.
pub fn beside_pattern(casting: &Casting, name: &str, body: &Solid) -> Result<(Vec<Piece>, bool), FormError> {
    let settings = &casting.settings;
    let outside = pattern_outside(casting)?;
    let cut = beside(body.tree().clone(), &outside);
    let reach = 2.0 * body.brep().bounds().union(&outside.bounds()).diagonal();
    let heights = body.brep().bounds().along(P3::origin(), settings.up);
    let mut out = (Vec::new(), true);
    for (part, range, apart) in [("upper part", (0.0, reach), 1.0), ("lower part", (-reach, 0.0), -1.0)] {
        if range.0.max(heights.0) >= range.1.min(heights.1) - 1e-6 {
            continue;
        }
        let piece = format!("pattern, {name}, {part}");
        let parted = |tree: &SolidTree| {
            let mut tree = tree.clone();
            let plane = Feature::Parting.formed(Role::PartingPlane);
            tree.push(
                Op::Keep,
                block(settings, (-reach, reach), reach, range, &plane).map_err(shape(&piece))?,
            );
            Piece::of(&piece, tree, settings.scale)?.whole()
        };
        let made = match parted(&cut) {
            Err(error) if !error.is_empty() => {
                out.1 = false;
                parted(body.tree())
            }
            made => made,
        };
        let made = match made {
            Err(error) if error.is_empty() => continue,
            made => made?,
        };
        out.0.push(Piece { apart: settings.up * (apart * APART * outside.bounds().diagonal()), ..made });
    }
    Ok(out)
}

/// What of a body lies outside the pattern: also what lies in the pattern's hollows, where the body is of one piece.
pub(super) fn beside(mut body: SolidTree, outside: &SolidTree) -> SolidTree {
    let bounds = body.bounds();
    let near: Vec<&Step> = outside.steps().iter().filter(|s| s.primitive.bounds().meets(&bounds)).collect();
    let alone = match body.steps() {
        [only] if near.iter().any(|s| s.op == Op::Trim) => Some(only.primitive.clone()),
        _ => None,
    };
    for step in near {
        match step.op {
            Op::Add | Op::Restore => body.cut(step.primitive.clone()),
            // A hollow of the pattern is sand again, as far as the body reaches.
            Op::Trim if alone.is_some() => body.add(step.primitive.clone()),
            _ => {}
        }
    }
    if let Some(block) = alone {
        body.push(Op::Keep, block);
    }
    body
}

/// Builds both halves.
pub(super) fn halved(moulded: &AsCastHousing, settings: &Settings) -> Result<FormPieces, FormError> {
    let tree = whole(moulded, settings)?;
    let bounds = tree.bounds();
    let dowels = dowel_places(&tree, &bounds, settings);
    let mut notes = Vec::new();
    if dowels.len() < 2 {
        notes.push(format!("room for {} only: pin the halves by hand", counted(dowels.len(), "dowel")));
    }
    let pieces = halves("pattern", &tree, &bounds, settings, &dowels)?;
    Ok(FormPieces { dowels, ..FormPieces::new(pieces, notes) })
}

/// Tells the lumps of both halves that stand apart from the rest, once the halves have their prints and what is drawn by itself is parted off.
pub(super) fn tell_lumps(made: &mut FormPieces, units: Units) {
    for (piece, other) in made.pieces.iter().take(2).zip(["lower", "upper"]) {
        for lump in piece.solid.smaller_bodies() {
            made.notes.push(lump_apart(piece, &lump, other, units));
        }
    }
}

/// A lump no longer than this cannot be pegged, mm (practice, no source).
const SMALL_LUMP: f64 = 5.0;

/// What is told of a lump that the parting plane cuts off its half: it stands on the other one, where the part goes on.
fn lump_apart(piece: &Piece, lump: &Bounds, other: &str, units: Units) -> String {
    let (size, middle) = (lump.max - lump.min, lump.center());
    let [along, across, tall] = [size.x, size.y, size.z].map(|side| units.to_places(side, 1));
    let cure = if size.max() <= SMALL_LUMP {
        format!("too small for a peg: leave it off, and dress the {other} half flush there")
    } else {
        format!("peg it to the {other} half, where the part continues, and pick it out of the sand by itself")
    };
    format!(
        "{}: a lump of {along} by {across} by {tall} near {} stands apart from the rest: {cure}",
        piece.name,
        units.place([middle.x, middle.y, middle.z])
    )
}

/// The whole pattern: the bodies that the casting's tree adds, without the cuts of its cores, and the prints.
pub(super) fn whole(moulded: &AsCastHousing, settings: &Settings) -> Result<SolidTree, FormError> {
    let mut tree = moulded.casting.solid.tree().added();
    let Prints { bodies, .. } = prints_of_pattern(moulded, settings, &tree).map_err(shape("pattern"))?;
    for p in bodies {
        tree.add(p);
    }
    Ok(tree)
}
