//! How far a scan is off the exact faces: the map in small triangles, each face's own figures, and walls between scanned outside and
//! inside.
//!
//! A deviation is where the line through a place of the exact face, along its normal, meets the scan: above zero there is more metal.
//! Where that line meets nothing within reach, nothing was scanned.

use std::collections::BTreeMap;

use rayon::prelude::*;

use super::fit::{Facing, ScanFit};
use super::read::Scan;
use crate::faces::plain_names;
use solidwright::geometry::{P3, V3};
use solidwright::probe::{Probe, Sample, TriangleTree};

/// How far the scan may lie off a face, mm, to belong to it.
const REACH: f64 = 6.0;

/// Longest side of the map's triangles, mm.
const SIDE: f64 = 4.0;

/// A small triangle of the exact face with its deviation, mm; none where nothing was scanned.
pub type Deviation = ([P3; 3], Option<f64>);

/// The deviations of a face.
#[derive(Clone, Debug, PartialEq)]
pub struct FaceDeviation {
    /// The face, in plain words.
    pub name: String,
    /// The share of it that was scanned.
    pub scanned: f64,
    /// Least, mean and greatest deviation, mm.
    pub range: [f64; 3],
}

/// The deviations of a scan.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct DeviationMap {
    /// Small triangles over the whole surface.
    pub map: Vec<Deviation>,
    /// By face, in the order of their names.
    pub faces: Vec<FaceDeviation>,
    /// Root mean square of all, mm.
    pub overall: f64,
    /// The share of the surface that was scanned.
    pub scanned: f64,
}

/// A wall between scanned outside and inside.
#[derive(Clone, Debug, PartialEq)]
pub struct ScannedWall {
    /// The face where it starts.
    pub name: String,
    /// The place, in the part's axes, mm.
    pub at: P3,
    /// The wall of the nominal part there, mm.
    pub planned: f64,
    /// The wall as scanned, mm.
    pub found: f64,
}

/// A scan in the part's axes, ready to be asked where lines meet it.
pub(super) struct PlacedScan {
    tree: TriangleTree,
    normals: Vec<V3>,
    facing: Facing,
}

impl PlacedScan {
    pub(super) fn of(scan: &Scan, fit: &ScanFit) -> Self {
        let by = &fit.by;
        let triangles: Vec<[P3; 3]> = scan.triangles.iter().map(|t| t.map(|p| by.moved(p))).collect();
        let normal = |t: &[P3; 3]| (t[1] - t[0]).cross(&(t[2] - t[0])).try_normalize(0.0);
        let normals = triangles.iter().map(|t| normal(t).unwrap_or_else(V3::zeros)).collect();
        Self { tree: TriangleTree::new(triangles), normals, facing: fit.facing }
    }

    /// Where the line through a place along its normal meets the scan, nearest to the place. Triangles that lean away from the
    /// face by more than 60 degrees belong to another one, and so do those that look the other way where the scan's look alike: a line
    /// that slips through a gap of the mesh does not end on the far side of the wall.
    pub(super) fn off(&self, at: P3, outward: V3) -> Option<f64> {
        // Each way begins a little behind the place, since the scan may pass through it.
        const BEHIND: f64 = 1e-3;
        const LEANS: f64 = 0.5;
        let looks = |k: usize| {
            let lean = self.normals[k].dot(&outward);
            match self.facing {
                Facing::Outward => lean,
                Facing::Inward => -lean,
                Facing::Mixed => lean.abs(),
            }
        };
        let beyond = |sense: f64| {
            let way = outward * sense;
            let alike = |k: usize| looks(k) > LEANS;
            let (_, far) = self.tree.first(at - way * BEHIND, way, 0.0, alike)?;
            (far <= REACH).then_some(sense * (far - BEHIND))
        };
        [beyond(1.0), beyond(-1.0)].into_iter().flatten().min_by(|a, b| a.abs().total_cmp(&b.abs()))
    }
}

/// The deviations of a scan that lies so.
pub fn deviations(scan: &Scan, fit: &ScanFit, probe: &Probe) -> DeviationMap {
    let placed = PlacedScan::of(scan, fit);
    let all: Vec<([P3; 3], Sample, Option<f64>)> = probe
        .small_triangles(SIDE)
        .into_par_iter()
        .map(|(corners, s)| (corners, s, placed.off(s.point, s.outward)))
        .collect();
    let area = |t: &[P3; 3]| 0.5 * (t[1] - t[0]).cross(&(t[2] - t[0])).norm();
    let mut by_face: BTreeMap<String, FaceSum> = BTreeMap::new();
    let mut whole = FaceSum::default();
    for (corners, sample, deviation) in &all {
        let name = plain_names::face(&probe.brep().faces[sample.face].tag);
        by_face.entry(name).or_default().add(area(corners), *deviation);
        whole.add(area(corners), *deviation);
    }
    DeviationMap {
        faces: by_face.into_iter().map(|(name, sum)| sum.told(name)).collect(),
        overall: (whole.squares / whole.scanned.max(f64::MIN_POSITIVE)).sqrt(),
        scanned: whole.scanned / whole.area.max(f64::MIN_POSITIVE),
        map: all.into_iter().map(|(corners, _, deviation)| (corners, deviation)).collect(),
    }
}

/// Sums over a face, weighted by area.
#[derive(Clone, Copy, Default)]
struct FaceSum {
    area: f64,
    scanned: f64,
    sum: f64,
    squares: f64,
    range: Option<[f64; 2]>,
}

impl FaceSum {
    fn add(&mut self, area: f64, deviation: Option<f64>) {
        self.area += area;
        let Some(d) = deviation else { return };
        self.scanned += area;
        self.sum += area * d;
        self.squares += area * d * d;
        let [low, high] = self.range.unwrap_or([d, d]);
        self.range = Some([low.min(d), high.max(d)]);
    }

    fn told(self, name: String) -> FaceDeviation {
        let [low, high] = self.range.unwrap_or([0.0; 2]);
        let mean = self.sum / self.scanned.max(f64::MIN_POSITIVE);
        FaceDeviation {
            name,
            scanned: self.scanned / self.area.max(f64::MIN_POSITIVE),
            range: [low, mean, high],
        }
    }
}

/// Walls where both sides were scanned, thinnest against the plan first, one for each face.
pub fn scanned_walls(scan: &Scan, fit: &ScanFit, probe: &Probe) -> Vec<ScannedWall> {
    const THICK: f64 = 25.0;
    let placed = PlacedScan::of(scan, fit);
    let wall = |(_, s): &([P3; 3], Sample)| {
        let hit = probe.wall_by_ray(s).filter(|h| h.distance < THICK)?;
        let other = probe.brep().faces[hit.face].outward(hit.point);
        // The other side along the same line: a deviation along its own normal changes the wall by its slope.
        let (here, there) = (placed.off(s.point, s.outward)?, along(&placed, hit.point, -s.outward, other)?);
        let name = plain_names::face(&probe.brep().faces[s.face].tag);
        Some(ScannedWall { name, at: s.point, planned: hit.distance, found: hit.distance + here + there })
    };
    let all: Vec<ScannedWall> = probe.small_triangles(SIDE).par_iter().filter_map(wall).collect();
    let mut by_face: BTreeMap<String, Vec<ScannedWall>> = BTreeMap::new();
    for w in all {
        by_face.entry(w.name.clone()).or_default().push(w);
    }
    let thinnest = |mut walls: Vec<ScannedWall>| {
        walls.sort_by(|a, b| a.found.total_cmp(&b.found));
        let confirmed = walls.iter().position(|w| is_confirmed(w, &walls));
        confirmed.map(|k| walls.swap_remove(k))
    };
    let mut out: Vec<ScannedWall> = by_face.into_values().filter_map(thinnest).collect();
    out.sort_by(|a, b| a.found.total_cmp(&b.found));
    out
}

/// Whether places beside a wall show it too: a line that slipped through a gap of the mesh, or met something loose, stands alone. A wall
/// that has hardly a neighbour is believed.
fn is_confirmed(wall: &ScannedWall, all: &[ScannedWall]) -> bool {
    const BESIDE: f64 = 10.0;
    const ALIKE: f64 = 1.0;
    const FEW: usize = 2;
    let off = |w: &ScannedWall| w.found - w.planned;
    let beside = || all.iter().filter(|w| *w != wall && (w.at - wall.at).norm() < BESIDE);
    let alike = beside().filter(|w| off(w) < off(wall) + ALIKE).count();
    alike >= FEW.min(beside().count())
}

/// The same along a given line, if the face there looks that way.
fn along(placed: &PlacedScan, at: P3, line: V3, outward: V3) -> Option<f64> {
    const STEEP: f64 = 0.5;
    (line.dot(&outward) > STEEP).then(|| placed.off(at, line)).flatten()
}
