//! Faces that hold the pattern in the sand, and the parting angle with the least such area.

use std::collections::BTreeMap;

use super::{Casting, FormError, Settings, unmeshed, unsound};
use crate::faces::Feature;
use crate::housing::{Housing, LEAST_MOVED};
use solidwright::geometry::V3;
use solidwright::mesh::{Mesh, triangulate};
use solidwright::solid::{Brep, Solid, Tag};

/// A face that cannot be drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct Undercut {
    /// The face.
    pub tag: Tag,
    /// Area that faces against the draw, mm².
    pub area: f64,
    /// A point of it, mm.
    pub at: V3,
}

impl Undercut {
    fn new(tag: &Tag, area: f64, at: V3) -> Self {
        Self { tag: tag.clone(), area, at }
    }
}

/// A face counts from this slope against the draw, as a sine: about a degree, which a rapped pattern forgives.
const SLOPE: f64 = 0.02;

/// Areas below this are slivers of the mesh, mm².
const LEAST_AREA: f64 = 1.0;

/// A face is upright if it leans less than this, as a sine: a quarter of a degree.
const UPRIGHT: f64 = 0.0044;

/// Draft by which upright faces are judged where no draft is requested, radians: a degree.
const USUAL_DRAFT: f64 = 0.0175;

/// Chord error of the mesh that is examined, mm.
pub(super) const CHORD: f64 = 0.2;

/// Step of the parting's clock angle, degrees.
const STEP: usize = 5;

/// How the pattern leaves the sand.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Drawing {
    /// Faces that cannot be drawn from their half of the mould, largest area first.
    pub undercuts: Vec<Undercut>,
    /// Faces that stand upright in the mould, without draft.
    pub upright: Vec<Undercut>,
}

/// Examines every face of the pattern.
///
/// # Errors
/// The pattern's error, if it cannot be made.
pub fn drawing(casting: &Casting) -> Result<Drawing, FormError> {
    let tree = super::pattern::whole(&casting.moulded, &casting.settings)?;
    let solid = Solid::of(tree).map_err(unsound("pattern"))?;
    let mesh = triangulate(&solid, CHORD).map_err(unmeshed("pattern"))?;
    let (brep, settings) = (solid.brep(), &casting.settings);
    Ok(Drawing { undercuts: against(brep, &mesh, settings.up), upright: upright(brep, &mesh, settings) })
}

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
fn upright(brep: &Brep, mesh: &Mesh, settings: &Settings) -> Vec<Undercut> {
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
    let mut named: BTreeMap<&Tag, (f64, V3)> = BTreeMap::new();
    for (face, u) in found {
        if u.area > 0.5 * u.all && u.run() > least {
            named.entry(&brep.faces[face].tag).or_insert((0.0, u.at)).0 += u.area;
        }
    }
    let named = named
        .into_iter()
        .filter(|(tag, (area, _))| Feature::of(tag) != Feature::CorePrint && *area > LEAST_AREA);
    named.map(|(tag, (area, at))| Undercut::new(tag, area, at)).collect()
}

/// Faces that face the parting plane from either side of it.
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
    out.sort_by(|a, b| b.area.total_cmp(&a.area).then_with(|| a.tag.cmp(&b.tag)));
    out
}

/// Area that cannot be drawn, mm², for clock angles of the parting from 0 to 175 degrees, measured on the finished
/// part's outside, before any draft.
///
/// # Errors
/// If that outside has no proper boundary without the cavity.
pub fn best_parting(finished: &Housing) -> Result<Vec<(f64, f64)>, FormError> {
    let solid = Solid::of(finished.solid.tree().added()).map_err(unsound("pattern"))?;
    let mesh = triangulate(&solid, CHORD).map_err(unmeshed("pattern"))?;
    let angles = (0..180).step_by(STEP).map(f64::from);
    Ok(angles
        .map(|angle| {
            let (s, c) = angle.to_radians().sin_cos();
            let area: f64 = against(solid.brep(), &mesh, V3::new(0.0, s, c)).iter().map(|u| u.area).sum();
            (angle, area)
        })
        .collect())
}
