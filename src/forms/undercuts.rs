//! Faces that hold the pattern in the sand, and the parting that leaves fewest of them.

use std::collections::BTreeMap;

use super::{Casting, FormError, boundary};
use crate::geometry::V3;
use crate::housing::Housing;
use crate::mesh::{Mesh, triangulate};
use crate::solid::evaluate::evaluate;
use crate::solid::{Brep, Tag};

/// A face that can't be drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct Undercut {
    /// The face.
    pub face: String,
    /// Its feature.
    pub feature: String,
    /// Area that looks the wrong way, mm².
    pub area: f64,
    /// A point of it, mm.
    pub at: V3,
}

impl Undercut {
    fn new(tag: &Tag, area: f64, at: V3) -> Self {
        Self { face: tag.to_string(), feature: tag.feature.to_string(), area, at }
    }
}

/// A face counts from this slope against the pull on, as a sine: about a degree, which a rapped pattern forgives.
const SLOPE: f64 = 0.02;

/// Areas below this are slivers of the mesh, mm².
const LEAST_AREA: f64 = 1.0;

/// Upright is what leans less than this, as a sine: a quarter of a degree.
const UPRIGHT: f64 = 0.0044;

/// Upright faces below this stand so low that they need no draft, mm².
const LEAST_UPRIGHT: f64 = 50.0;

/// Chord of the mesh that is looked at, mm.
pub(super) const CHORD: f64 = 0.2;

/// Step of the parting's clock angle, degrees.
const STEP: usize = 5;

/// How the pattern leaves the sand.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Drawing {
    /// Faces that can't be drawn from their half of the mould, largest area first.
    pub undercuts: Vec<Undercut>,
    /// Faces that stand upright in the mould, without draft.
    pub upright: Vec<Undercut>,
}

/// Looks at every face of the pattern.
///
/// # Errors
/// The pattern's own, where it can't be made.
pub fn drawing(casting: &Casting) -> Result<Drawing, FormError> {
    let tree = super::pattern::whole(&casting.moulded, &casting.settings)?;
    let brep = evaluate(&tree).map_err(boundary("pattern"))?;
    let Ok(mesh) = triangulate(&brep, CHORD) else { return Ok(Drawing::default()) };
    let up = casting.settings.up;
    Ok(Drawing { undercuts: against(&brep, &mesh, up), upright: upright(&brep, &mesh, up) })
}

/// Faces most of whose area looks square to the pull.
fn upright(brep: &Brep, mesh: &Mesh, up: V3) -> Vec<Undercut> {
    // Of each face: all its area, what is upright of it, and where.
    let mut found: BTreeMap<usize, (f64, f64, V3)> = BTreeMap::new();
    for (t, face) in mesh.face_of.iter().enumerate() {
        let [a, b, c] = mesh.corners(t);
        let normal = (b - a).cross(&(c - a));
        let middle = (a.coords + b.coords + c.coords) / 3.0;
        let entry = found.entry(*face as usize).or_insert((0.0, 0.0, middle));
        entry.0 += 0.5 * normal.norm();
        if normal.dot(&up).abs() < UPRIGHT * normal.norm() {
            entry.1 += 0.5 * normal.norm();
        }
    }
    let mut named: BTreeMap<&Tag, (f64, V3)> = BTreeMap::new();
    for (face, (all, upright, at)) in found {
        if upright > 0.5 * all && upright > LEAST_UPRIGHT {
            named.entry(&brep.faces[face].tag).or_insert((0.0, at)).0 += upright;
        }
    }
    let named = named.into_iter().filter(|(tag, _)| tag.feature.as_ref() != "print");
    named.map(|(tag, (area, at))| Undercut::new(tag, area, at)).collect()
}

/// Faces that look towards the parting plane from either side of it.
pub(super) fn against(brep: &Brep, mesh: &Mesh, up: V3) -> Vec<Undercut> {
    let mut found: BTreeMap<&Tag, (f64, V3, f64)> = BTreeMap::new();
    for (t, face) in mesh.face_of.iter().enumerate() {
        let [a, b, c] = mesh.corners(t);
        let normal = (b - a).cross(&(c - a));
        let middle = (a.coords + b.coords + c.coords) / 3.0;
        let pull = up * middle.dot(&up).signum();
        let area = 0.5 * normal.norm();
        if normal.dot(&pull) < -SLOPE * normal.norm() {
            let entry = found.entry(&brep.faces[*face as usize].tag).or_insert((0.0, middle, 0.0));
            entry.0 += area;
            if area > entry.2 {
                (entry.1, entry.2) = (middle, area);
            }
        }
    }
    let mut out: Vec<Undercut> = found
        .into_iter()
        .filter(|(_, (area, ..))| *area > LEAST_AREA)
        .map(|(tag, (area, at, _))| Undercut::new(tag, area, at))
        .collect();
    out.sort_by(|a, b| b.area.total_cmp(&a.area).then_with(|| a.face.cmp(&b.face)));
    out
}

/// Area that can't be drawn, mm², for clock angles of the parting from 0 to 175 degrees, measured on the finished part's
/// outside, before any draft.
///
/// # Errors
/// Where that outside has no proper boundary without the cavity.
pub fn best_parting(finished: &Housing) -> Result<Vec<(f64, f64)>, FormError> {
    let brep = evaluate(&finished.tree.added()).map_err(boundary("pattern"))?;
    let Ok(mesh) = triangulate(&brep, CHORD) else { return Ok(vec![]) };
    let angles = (0..180).step_by(STEP).map(f64::from);
    Ok(angles
        .map(|angle| {
            let (s, c) = angle.to_radians().sin_cos();
            let area: f64 = against(&brep, &mesh, V3::new(0.0, s, c)).iter().map(|u| u.area).sum();
            (angle, area)
        })
        .collect())
}
