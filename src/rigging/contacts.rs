//! Places of the casting's rim in the parting plane at which a neck or a gate may stand.

use super::Parting;
use super::footprint::{CELL, Footprint};
use crate::faces::Feature;
use solidwright::geometry::{P2, P3, V2};
use solidwright::mesh::Mesh;
use solidwright::solid::{Brep, Finish};

/// Height over the parting plane at which the rim is looked for, mm: edges of faces lie in the plane itself.
const LEVEL: f64 = 0.31;

/// Spacing of places along the rim, mm.
const SPACING: f64 = 3.0;

/// Greatest share of a face's normal that points up or down, for a place on it.
const STEEP: f64 = 0.5;

/// A place on the rim.
#[derive(Clone, Copy, Debug)]
pub(super) struct Contact {
    /// On the parting plane.
    pub(super) at: P2,
    /// Away from the metal.
    pub(super) out: V2,
    /// The feature that it is on.
    pub(super) feature: Feature,
}

/// Places on faces that stay as cast, with free sand before them.
pub(super) fn contacts(mesh: &Mesh, brep: &Brep, parting: Parting, footprint: &Footprint) -> Vec<Contact> {
    let mut out = Vec::new();
    for (t, face) in mesh.face_of.iter().enumerate() {
        let corners = mesh.corners(t);
        let heights = corners.map(|p| parting.height(p) - LEVEL);
        if heights.iter().all(|h| *h > 0.0) || heights.iter().all(|h| *h < 0.0) {
            continue;
        }
        let tag = &brep.faces[*face as usize].tag;
        let feature = Feature::of(tag);
        if tag.finish == Finish::Cut || feature == Feature::Marks {
            continue;
        }
        let normal = (corners[1] - corners[0]).cross(&(corners[2] - corners[0]));
        let Some(normal) = normal.try_normalize(1e-12) else { continue };
        let way = parting.flat(P3::from(normal)).coords;
        let (Some(way), true) = (way.try_normalize(1e-9), normal.dot(&parting.up).abs() < STEEP) else {
            continue;
        };
        let ends: Vec<P2> = (0..3)
            .filter(|k| heights[*k] * heights[(k + 1) % 3] < 0.0)
            .map(|k| {
                let share = heights[k] / (heights[k] - heights[(k + 1) % 3]);
                parting.flat(corners[k] + (corners[(k + 1) % 3] - corners[k]) * share)
            })
            .collect();
        let [from, to] = ends[..] else { continue };
        let steps = ((to - from).norm() / SPACING).ceil().max(1.0) as usize;
        let along = (0..steps).map(|k| from + (to - from) * ((k as f64 + 0.5) / steps as f64));
        let open = |p: &P2| footprint.is_free(p + way * (2.0 * CELL));
        out.extend(along.filter(open).map(|at| Contact { at, out: way, feature }));
    }
    out
}
