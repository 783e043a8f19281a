//! Ribs of the shell: drafted prisms along it, turned rings around it.

use super::frames::{clock, shaft};
use super::{Parts, fillets};
use crate::design::{Design, LongitudinalRib, RingRib};
use crate::faces::{Feature, Role};
use solidwright::geometry::{Frame, P2, P3, V2, V3};
use solidwright::solid::{Primitive, PrimitiveError, polygon, rounded_rectangle};

const FEATURE: Feature = Feature::Ribs;

pub(super) fn make(design: &Design, parts: &mut Parts) -> Result<(), PrimitiveError> {
    let Some(ribs) = design.ribs() else { return Ok(()) };
    for (i, rib) in ribs.longitudinal().iter().enumerate() {
        parts.added.push(longitudinal(design, rib, i + 1)?);
    }
    for (i, ring) in ribs.rings().iter().enumerate() {
        parts.added.push(turned_ring(design, ring, i + 1)?);
    }
    Ok(())
}

/// Greatest rounding of a crest's edges, in half thicknesses: the ends' own roundness must take it.
const CREST: f64 = 0.2;

/// A prism from the crest inwards, so that draft widens the root; ends round as seen on the crest, and the crest's
/// edges rounded as casting asks.
fn longitudinal(design: &Design, rib: &LongitudinalRib, number: usize) -> Result<Primitive, PrimitiveError> {
    let outwards = clock(rib.clock);
    let at = |(x, r): (crate::units::Mm, crate::units::Mm)| P3::new(x.get(), 0.0, 0.0) + outwards * r.get();
    let (front, rear) = (at(rib.front), at(rib.rear));
    let along: V3 = rear - front;
    let inwards = along.normalize().dot(&outwards) * along.normalize() - outwards;
    let frame = Frame::from_zx(front + along * 0.5, inwards.normalize(), along.normalize());
    let name = |role| FEATURE.formed(role);
    let size = V2::new(along.norm(), rib.thickness.get());
    let half = 0.5 * rib.thickness.get();
    let edges = design.casting().fillets().edges().get().min(CREST * half);
    let (end, crest) = if edges > 0.0 { (half, edges) } else { (0.0, 0.0) };
    let outline = rounded_rectangle(P2::origin(), size, end, &name(Role::RibSide(number)));
    let ends = [name(Role::RibCrest(number)), name(Role::RibBase(number))];
    let (depth, draft) = (rib.depth.get(), -rib.draft.to_radians());
    Primitive::rounded_prism(FEATURE.name(), frame, outline, depth, draft, ends, [crest, 0.0])
}

fn turned_ring(design: &Design, ring: &RingRib, number: usize) -> Result<Primitive, PrimitiveError> {
    let (x, crest, root) = (ring.station.get(), ring.thickness.get() / 2.0, ring.inner_radius.get());
    let outer = ring.outer_radius.get();
    let foot = crest + (outer - root) * ring.draft.tan();
    let outline = [
        P2::new(root, x - foot),
        P2::new(outer, x - crest),
        P2::new(outer, x + crest),
        P2::new(root, x + foot),
    ];
    let side = Role::RingSide(number);
    let tags = [side, Role::RingCrest(number), side, Role::RingBase(number)].map(|role| FEATURE.formed(role));
    Primitive::revolve(FEATURE.name(), shaft(0.0), fillets::rounded(design, &polygon(&outline, &tags)))
}
