//! Gussets behind the flange, and the relief of the gearbox face.

use super::frames::{clock, shaft};
use super::{CLEAR, Parts};
use crate::design::{Design, FlangeGusset, Relief, rounded_polygon};
use crate::faces::{Feature, Role};
use solidwright::geometry::{Frame, P2, P3, V3};
use solidwright::solid::{Primitive, PrimitiveError, polygon};

const FEATURE: Feature = Feature::GearboxFace;

pub(super) fn make(design: &Design, parts: &mut Parts) -> Result<(), PrimitiveError> {
    let face = design.gearbox_face();
    let (thickness, rim) = (face.flange_thickness().get(), face.flange_diameter().get() / 2.0);
    for (i, gusset) in face.gussets().iter().enumerate() {
        parts.added.extend(plate(gusset, (thickness, rim), i + 1)?);
    }
    if let Some(relief) = face.relief() {
        parts.cut.push(ring(relief)?);
    }
    Ok(())
}

/// Least distance of a gusset's hidden end from the flange's rim, mm.
const RIM: f64 = 1.0;

/// A plate rooted in flange and shell, the crest falling from the flange's back to the tip.
fn plate(
    gusset: &FlangeGusset,
    (flange, rim): (f64, f64),
    number: usize,
) -> Result<Option<Primitive>, PrimitiveError> {
    let (outwards, half) = (clock(gusset.clock), gusset.thickness.get() / 2.0);
    let ((end, tip), base, outer) =
        ((gusset.tip.0.get(), gusset.tip.1.get()), gusset.base.get(), gusset.outer_radius.get());
    // The crest runs on into the flange, so that it meets the flange's back with no corner there.
    let slope = (outer - tip) / (end - flange);
    let front = (flange / 2.0).max(flange - (rim - RIM - outer) / slope);
    let corners = [
        ([front, base], 0.0),
        ([end, base], 0.0),
        ([end, tip], gusset.tip_radius.get()),
        ([front, outer + slope * (flange - front)], 0.0),
    ];
    // A rule has made sure that the tip's corner fits.
    let Some(outline) = rounded_polygon(&corners, &FEATURE.formed(Role::GussetCrest(number))) else {
        return Ok(None);
    };
    let across = V3::x().cross(&outwards);
    let frame = Frame::from_zx(P3::origin() - across * half, across, V3::x());
    let ends = [Role::GussetLeftSide(number), Role::GussetRightSide(number)].map(|role| FEATURE.formed(role));
    Primitive::prism(FEATURE.name(), frame, outline, 2.0 * half, 0.0, ends).map(Some)
}

fn ring(relief: &Relief) -> Result<Primitive, PrimitiveError> {
    let (inner, outer) = (relief.inner_diameter.get() / 2.0, relief.outer_diameter.get() / 2.0);
    let depth = relief.depth.get();
    let outline =
        [P2::new(inner, -CLEAR), P2::new(outer, -CLEAR), P2::new(outer, depth), P2::new(inner, depth)];
    let side = FEATURE.cut(Role::ReliefSide);
    let tags = [side.clone(), side.clone(), FEATURE.cut(Role::Relief), side];
    Primitive::revolve(FEATURE.name(), shaft(0.0), polygon(&outline, &tags))
}
