//! The hollow in a pad that stands on walls.

use super::{CLEAR, Parts};
use crate::design::{HollowLayer, HollowOpens};
use crate::faces::{Feature, Role};
use solidwright::geometry::Frame;
use solidwright::solid::{Primitive, PrimitiveError, Segment, mirrored};

/// A hollow's place: the frame of its pad's face, x along, z into the pad, and how far it reaches from there.
pub(super) struct Seat {
    pub(super) feature: Feature,
    pub(super) inwards: Frame,
    /// Whether across runs against the frame's y.
    pub(super) mirrored: bool,
    /// From the face to where a hollow open to the cavity ends within it, mm.
    pub(super) reach: f64,
    /// Radius of the fillet around its closed end, mm.
    pub(super) fillet: f64,
}

/// Shares of the fillet's radius that are tried in turn where there is no room for the whole.
const SHARES: [f64; 3] = [0.7, 0.4, 0.0];

/// Cuts the layers: those open to the cavity for the core, a pocket for the mould.
pub(super) fn cut(
    seat: &Seat,
    opens: HollowOpens,
    layers: &[HollowLayer],
    parts: &mut Parts,
) -> Result<(), PrimitiveError> {
    for layer in layers {
        let outline = if seat.mirrored { mirrored(&layer.outline) } else { layer.outline.clone() };
        let of = |fillet: f64| one(seat, opens, layer.depth, outline.clone(), fillet);
        let mut made = of(seat.fillet);
        for share in SHARES {
            if made.is_err() {
                made = of(share * seat.fillet);
            }
        }
        let made = made?;
        match opens {
            HollowOpens::Inside => parts.cut.push(made),
            HollowOpens::Outside => parts.pockets.push(made),
        }
    }
    Ok(())
}

/// One layer, from its closed end to its open one.
fn one(
    seat: &Seat,
    opens: HollowOpens,
    depth: f64,
    outline: Vec<Segment>,
    fillet: f64,
) -> Result<Primitive, PrimitiveError> {
    let name = |role| seat.feature.formed(role);
    let place = |z: f64| seat.inwards.moved_to(seat.inwards.point(0.0, 0.0, z));
    let (frame, height, ends, rounds) = match opens {
        HollowOpens::Inside => {
            (place(depth), seat.reach - depth, [Role::HollowEnd, Role::HollowMouth], [fillet, 0.0])
        }
        HollowOpens::Outside => {
            (place(-CLEAR), depth + CLEAR, [Role::HollowMouth, Role::HollowEnd], [0.0, fillet])
        }
    };
    Primitive::rounded_prism(seat.feature.name(), frame, outline, height, 0.0, ends.map(name), rounds)
}
