//! Halves on the parting plane, and their dowels.

use super::{FormError, Piece, Settings, shape};
use crate::faces::{Feature, Role};
use solidwright::geometry::{Bounds, Frame, P2, P3, V2, V3};
use solidwright::solid::{Op, Primitive, PrimitiveError, SolidTree, Tag, cylinder, rounded_rectangle};

/// Length of a dowel's hole in each half, in its diameters.
pub(super) const DEPTH: f64 = 2.0;

/// How far pictures show each half from the parting plane, in the diagonal of both.
pub(super) const APART: f64 = 0.16;

/// A block about the shaft: from one station to another, half as wide as `half.x` across, from `half.y.0` to `half.y.1` up.
pub(super) fn block(
    settings: &Settings,
    (from, to): (f64, f64),
    half_width: f64,
    (low, high): (f64, f64),
    tag: &Tag,
) -> Result<Primitive, PrimitiveError> {
    let frame = Frame::from_zx(P3::new(from, 0.0, 0.0), V3::x(), settings.up);
    let center = P2::new(0.5 * (low + high), 0.0);
    let outline = rounded_rectangle(center, V2::new(high - low, 2.0 * half_width), 0.0, tag);
    Primitive::prism(&tag.feature, frame, outline, to - from, 0.0, [tag.clone(), tag.clone()])
}

/// Heights above the shaft axis at which halves are parted, mm: where the plane through the axis only just touches a
/// face, such as a fillet over the ridge that draft leaves there, a plane at an imperceptible distance from it is
/// used instead.
const LEVELS: [f64; 4] = [0.0, 0.011, -0.013, 0.029];

/// The two halves of a tree, with holes for dowels at some places of the parting plane.
pub(super) fn halves(
    name: &str,
    tree: &SolidTree,
    bounds: &Bounds,
    settings: &Settings,
    dowels: &[P3],
) -> Result<Vec<Piece>, FormError> {
    let at = |level: &f64| halves_at(*level, name, tree, bounds, settings, dowels);
    at(&LEVELS[0]).or_else(|error| match &error {
        FormError::Solid { .. } => LEVELS[1..].iter().find_map(|level| at(level).ok()).ok_or(error),
        _ => Err(error),
    })
}

fn halves_at(
    level: f64,
    name: &str,
    tree: &SolidTree,
    bounds: &Bounds,
    settings: &Settings,
    dowels: &[P3],
) -> Result<Vec<Piece>, FormError> {
    let reach = 2.0 * bounds.diagonal();
    let parting = Feature::Parting.formed(Role::PartingPlane);
    let span = (bounds.min.x - 10.0, bounds.max.x + 10.0);
    let mut out = Vec::new();
    let apart = settings.up * (APART * bounds.diagonal());
    for (side, range, apart) in
        [("upper half", (level, reach), apart), ("lower half", (-reach, level), -apart)]
    {
        let piece = format!("{name}, {side}");
        let mut half = tree.clone();
        half.push(Op::Keep, block(settings, span, reach, range, &parting).map_err(shape(&piece))?);
        for at in dowels {
            half.cut(dowel(settings, *at).map_err(shape(&piece))?);
        }
        out.push(Piece { apart, ..Piece::of(&piece, half, settings.scale)? });
    }
    Ok(out)
}

/// The hole of a dowel through the parting plane: the dowel itself does not grow with the pattern.
pub(super) fn dowel(settings: &Settings, at: P3) -> Result<Primitive, PrimitiveError> {
    let tag = Feature::Parting.cut(Role::PartingDowelHole);
    let radius = 0.5 * settings.dowel / settings.scale.radial();
    let depth = DEPTH * settings.dowel;
    let frame = Frame::from_zx(at - settings.up * depth, settings.up, V3::x());
    cylinder(Feature::Parting.name(), frame, radius, 2.0 * depth, &[tag.clone(), tag.clone(), tag])
}

/// Places in the parting plane that are deep enough in a tree for dowels: near its ends, one on either side where
/// there is room. Candidates are tried along the shaft from both ends inwards.
pub(super) fn dowel_places(tree: &SolidTree, bounds: &Bounds, settings: &Settings) -> Vec<P3> {
    let (depth, room) = (DEPTH * settings.dowel + 3.0, 0.5 * settings.dowel + 3.0);
    let fits = |p: P3| {
        let around = (0..8).map(|k| {
            let (s, c) = (std::f64::consts::FRAC_PI_4 * f64::from(k)).sin_cos();
            (V3::x() * c + settings.across() * s) * room
        });
        around.chain([V3::zeros()]).all(|d| {
            [-depth, -0.3 * depth, 0.3 * depth, depth].iter().all(|h| tree.contains(p + d + settings.up * *h))
        })
    };
    let length = bounds.max.x - bounds.min.x;
    let mut out: Vec<P3> = Vec::new();
    for from_front in [true, false] {
        let found = (0..60).find_map(|k| {
            let along = length * 0.5 * f64::from(k) / 60.0;
            let x = if from_front { bounds.min.x + along } else { bounds.max.x - along };
            let widest = 0.5 * (bounds.max - bounds.min).norm();
            let sides: Vec<P3> = [1.0, -1.0]
                .iter()
                .filter_map(|side| {
                    // From the outside inwards; the axis is the last place.
                    (0..=40).map(|j| widest * (1.0 - f64::from(j) / 40.0)).find_map(|w| {
                        let p = P3::new(x, 0.0, 0.0) + settings.across() * (w * side);
                        fits(p).then_some(p)
                    })
                })
                .collect();
            (!sides.is_empty()).then_some(sides)
        });
        for p in found.into_iter().flatten() {
            if out.iter().all(|q| (q - p).norm() > 4.0 * settings.dowel) {
                out.push(p);
            }
        }
    }
    one_way(out, 0.5 * length, settings.dowel, fits)
}

/// Dowels that find their holes again when a half is turned by 180 degrees about its pull are apart by more than this share of
/// their diameter afterwards.
const CLEARLY_OFF: f64 = 1.0;

/// Changes dowels so that a half goes on in one way only: one of them moves along the shaft, or a third comes beside two, since
/// any two places look the same turned round. Where there is no room for that they stay as they are.
fn one_way(dowels: Vec<P3>, reach: f64, dowel: f64, fits: impl Fn(P3) -> bool) -> Vec<P3> {
    if dowels.len() < 2 || !goes_on_turned(&dowels, dowel) {
        return dowels;
    }
    let steps = (3..).map(|k| 0.5 * dowel * f64::from(k)).take_while(|step| *step < reach);
    let apart = |at: &[P3]| (0..at.len()).all(|i| at[..i].iter().all(|q| (q - at[i]).norm() > 3.0 * dowel));
    for step in steps.flat_map(|step| [step, -step]) {
        for k in 0..dowels.len() {
            let moved = dowels[k] + V3::x() * step;
            let mut tried = dowels.clone();
            if tried.len() > 2 {
                tried[k] = moved;
            } else {
                tried.push(moved);
            }
            if fits(moved) && apart(&tried) && !goes_on_turned(&tried, dowel) {
                return tried;
            }
        }
    }
    dowels
}

/// Whether a half goes on its dowels turned by 180 degrees as well: turned about their middle, all meet one another.
pub(super) fn goes_on_turned(dowels: &[P3], dowel: f64) -> bool {
    let middle = dowels.iter().map(|p| p.coords).sum::<V3>() / dowels.len().max(1) as f64;
    let turned = dowels.iter().map(|p| P3::from(middle * 2.0 - p.coords));
    turned.into_iter().all(|p| dowels.iter().any(|q| (q - p).norm() <= CLEARLY_OFF * dowel))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Four at the corners of a rectangle, and two alone: turned round they are the same, until one moves or a third comes.
    #[test]
    fn halves_go_on_in_one_way_only() {
        let p = |x: f64, y: f64| P3::new(x, y, 0.0);
        let four = vec![p(0.0, 40.0), p(0.0, -40.0), p(300.0, 40.0), p(300.0, -40.0)];
        for dowels in [four, vec![p(0.0, 0.0), p(300.0, 0.0)]] {
            assert!(goes_on_turned(&dowels, 8.0), "as they were found");
            let made = one_way(dowels.clone(), 100.0, 8.0, |_| true);
            assert!(!goes_on_turned(&made, 8.0), "{made:?}");
            assert_eq!(one_way(dowels.clone(), 100.0, 8.0, |_| false), dowels, "no room");
        }
    }
}
