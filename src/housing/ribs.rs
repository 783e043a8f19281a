//! Ribs of the shell: drafted prisms along it, turned rings around it.

use super::Parts;
use super::frames::{clock, shaft};
use super::rounded::rounded_polygon;
use crate::design::{Design, LongitudinalRib, RingRib};
use crate::geometry::{Frame, P2, P3, V2, V3};
use crate::solid::{Primitive, PrimitiveError, Tag, rounded_rectangle};
use crate::tolerance::SNAP;

const FEATURE: &str = "ribs";

pub(super) fn make(design: &Design, parts: &mut Parts) -> Result<(), PrimitiveError> {
    let Some(ribs) = design.ribs() else { return Ok(()) };
    for (i, rib) in ribs.longitudinal().iter().enumerate() {
        parts.added.push(longitudinal(rib, i + 1)?);
    }
    for (i, ring) in ribs.rings().iter().enumerate() {
        parts.added.extend(turned_ring(ring, i + 1)?);
    }
    Ok(())
}

/// A prism from the crest inwards, so that draft widens the root.
fn longitudinal(rib: &LongitudinalRib, number: usize) -> Result<Primitive, PrimitiveError> {
    let outwards = clock(rib.clock);
    let at = |(x, r): (crate::units::Mm, crate::units::Mm)| P3::new(x.get(), 0.0, 0.0) + outwards * r.get();
    let (front, rear) = (at(rib.front), at(rib.rear));
    let along: V3 = rear - front;
    let inwards = along.normalize().dot(&outwards) * along.normalize() - outwards;
    let frame = Frame::from_zx(front + along * 0.5, inwards.normalize(), along.normalize());
    let name = |role: &str| Tag::cast(FEATURE, &format!("rib {number} {role}"));
    let size = V2::new(along.norm(), rib.thickness.get());
    let outline = rounded_rectangle(P2::origin(), size, rib.edge_radius.get(), &name("side"));
    let ends = [name("crest"), name("base")];
    Primitive::prism(FEATURE, frame, outline, rib.depth.get(), -rib.draft.to_radians(), ends)
}

/// A turned ring, its crest's edges rounded.
fn turned_ring(ring: &RingRib, number: usize) -> Result<Option<Primitive>, PrimitiveError> {
    let (x, crest, root) = (ring.station.get(), ring.thickness.get() / 2.0, ring.inner_radius.get());
    let outer = ring.outer_radius.get();
    let foot = crest + (outer - root) * ring.draft.tan();
    let name = |role: &str| Tag::cast(FEATURE, &format!("ring {number} {role}"));
    let radius = ring.edge_radius.get();
    let corners = [
        ([root, x - foot], 0.0),
        ([outer, x - crest], radius),
        ([outer, x + crest], radius),
        ([root, x + foot], 0.0),
    ];
    // A rule has made sure that the edges fit.
    let Some(mut outline) = rounded_polygon(&corners, &name("side")) else { return Ok(None) };
    for piece in &mut outline {
        let middle = piece.point(0.5).x;
        if piece.arc.is_some() {
            piece.tag = name("edge");
        } else if (middle - outer).abs() < SNAP {
            piece.tag = name("crest");
        } else if (middle - root).abs() < SNAP {
            piece.tag = name("base");
        }
    }
    Primitive::revolve(FEATURE, shaft(0.0), outline).map(Some)
}
