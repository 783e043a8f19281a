//! Faces that stand upright in the mould, without draft.

use std::collections::BTreeMap;

use super::{LEAST_AREA, Settings, Undercut};
use crate::faces::Feature;
use crate::housing::LEAST_MOVED;
use solidwright::geometry::V3;
use solidwright::mesh::Mesh;
use solidwright::solid::{Brep, Tag};

/// A face is upright if it leans less than this, as a sine: a quarter of a degree.
const UPRIGHT: f64 = 0.0044;

/// Draft by which upright faces are judged where no draft is requested, radians: a degree.
const USUAL_DRAFT: f64 = 0.0175;

/// The upright share of a face.
struct Upright {
    all: f64,
    area: f64,
    at: V3,
    /// Heights over the parting plane between which it lies.
    heights: (f64, f64),
}

impl Upright {
    /// How far draft works along it: from the parting plane where it passes through that.
    fn run(&self) -> f64 {
        let (lo, hi) = self.heights;
        if lo < 0.0 && hi > 0.0 { hi.max(-lo) } else { hi - lo }
    }
}

/// Faces whose normal is square to the draw over most of their area: on a ridge that draft leaves in the parting
/// plane this holds only in the middle. Faces so low that draft would hardly move them do not count.
pub(super) fn upright<'a>(
    solids: impl IntoIterator<Item = (&'a Brep, &'a Mesh)>,
    settings: &Settings,
) -> Vec<Undercut> {
    let mut named: BTreeMap<&Tag, (f64, V3)> = BTreeMap::new();
    for (brep, mesh) in solids {
        for (tag, area, at) in of_solid(brep, mesh, settings) {
            named.entry(tag).or_insert((0.0, at)).0 += area;
        }
    }
    let counts = |tag: &Tag| ![Feature::CorePrint, Feature::Parting].contains(&Feature::of(tag));
    let named = named.into_iter().filter(|(tag, (area, _))| counts(tag) && *area > LEAST_AREA);
    named.map(|(tag, (area, at))| Undercut { tag: tag.clone(), area, at, under: None }).collect()
}

/// The upright faces of a solid, each with its area and a place.
fn of_solid<'a>(brep: &'a Brep, mesh: &Mesh, settings: &Settings) -> Vec<(&'a Tag, f64, V3)> {
    let up = settings.up;
    let mut found: BTreeMap<usize, Upright> = BTreeMap::new();
    for (t, face) in mesh.face_of.iter().enumerate() {
        let corners = mesh.corners(t);
        let [a, b, c] = corners;
        let area = 0.5 * (b - a).cross(&(c - a)).norm();
        let at = (a.coords + b.coords + c.coords) / 3.0;
        let fresh = Upright { all: 0.0, area: 0.0, at, heights: (f64::INFINITY, f64::NEG_INFINITY) };
        let entry = found.entry(*face as usize).or_insert(fresh);
        entry.all += area;
        let surface = &brep.faces[*face as usize].surface;
        if corners.iter().all(|p| surface.grad(*p).normalize().dot(&up).abs() < UPRIGHT) {
            entry.area += area;
            for height in corners.map(|p| p.coords.dot(&up)) {
                entry.heights = (entry.heights.0.min(height), entry.heights.1.max(height));
            }
        }
    }
    let least = LEAST_MOVED / settings.draft.max(USUAL_DRAFT).tan();
    let upright = found.into_iter().filter(|(_, u)| u.area > 0.5 * u.all && u.run() > least);
    upright.map(|(face, u)| (&brep.faces[face].tag, u.area, u.at)).collect()
}
