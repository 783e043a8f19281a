//! Vertices: where carriers pierce further surfaces.

use std::collections::BTreeMap;

use rayon::prelude::*;

use super::carrier::{Carrier, Carriers, lie_on, uneven_places};
use super::piercings::{pieces, piercings};
use super::surface_set::SurfaceSet;
use crate::geometry::P3;
use crate::tolerance::SNAP;

/// Points made one when nearer than [`SNAP`], each with the surfaces known to pass through it.
#[derive(Default)]
pub(super) struct VertexSet {
    pub(super) points: Vec<P3>,
    pub(super) surfaces: Vec<Vec<usize>>,
    grid: BTreeMap<[i64; 3], Vec<usize>>,
    /// Vertices on each surface.
    on: BTreeMap<usize, Vec<usize>>,
    /// Places where a carrier touches a surface without crossing it.
    pub(super) touches: Vec<CurveTangency>,
}

/// A place where a carrier touches a surface.
pub(super) struct CurveTangency {
    pub(super) carrier: usize,
    pub(super) surface: usize,
    pub(super) at: P3,
}

/// Width of the look-up grid, mm; any width above [`SNAP`] does.
const GRID: f64 = 0.01;

impl VertexSet {
    fn key(p: P3) -> [i64; 3] {
        [p.x, p.y, p.z].map(|x| (x / GRID).floor() as i64)
    }

    pub(super) fn find(&self, p: P3) -> Option<usize> {
        let (lo, hi) = (
            Self::key(p - crate::geometry::V3::repeat(SNAP)),
            Self::key(p + crate::geometry::V3::repeat(SNAP)),
        );
        let mut best: Option<(f64, usize)> = None;
        for x in lo[0]..=hi[0] {
            for y in lo[1]..=hi[1] {
                for z in lo[2]..=hi[2] {
                    for &i in self.grid.get(&[x, y, z]).into_iter().flatten() {
                        let d = (self.points[i] - p).norm();
                        if d < SNAP && best.is_none_or(|b| d < b.0) {
                            best = Some((d, i));
                        }
                    }
                }
            }
        }
        best.map(|b| b.1)
    }

    /// Whether a vertex on a surface lies within `reach` (at most the grid's width) of `p`.
    pub(super) fn on_within(&self, p: P3, reach: f64, surface: usize) -> bool {
        let [x, y, z] = Self::key(p);
        let cells =
            (-1..=1).flat_map(|i| (-1..=1).flat_map(move |j| (-1..=1).map(move |k| [x + i, y + j, z + k])));
        let near = |i: &usize| (self.points[*i] - p).norm() < reach && self.surfaces[*i].contains(&surface);
        cells.filter_map(|key| self.grid.get(&key)).flatten().any(near)
    }

    /// Adds a point on some surfaces, or the surfaces to the point that is there.
    pub(super) fn add(&mut self, p: P3, surfaces: &[usize]) -> usize {
        let i = self.find(p).unwrap_or_else(|| {
            self.points.push(p);
            self.surfaces.push(vec![]);
            let i = self.points.len() - 1;
            self.grid.entry(Self::key(p)).or_default().push(i);
            i
        });
        for s in surfaces {
            if !self.surfaces[i].contains(s) {
                self.surfaces[i].push(*s);
                self.on.entry(*s).or_default().push(i);
            }
        }
        i
    }

    /// Vertices that share a surface with the list, each once, in rising order.
    pub(super) fn on_any(&self, surfaces: &[usize]) -> Vec<usize> {
        let mut out: Vec<usize> =
            surfaces.iter().flat_map(|s| self.on.get(s).into_iter().flatten().copied()).collect();
        out.sort_unstable();
        out.dedup();
        out
    }
}

/// Finds all vertices, and completes each carrier's list of surfaces with those that it lies on unasked.
pub(super) fn find(set: &SurfaceSet, carriers: &mut Carriers) -> VertexSet {
    let mut out = VertexSet::default();
    for (p, surfaces) in &carriers.vertices {
        out.add(*p, surfaces);
    }
    let found: Vec<Vec<Piercing>> = carriers.list.par_iter_mut().map(|c| on_carrier(set, c)).collect();
    for (i, (c, list)) in carriers.list.iter().zip(found).enumerate() {
        for Piercing { surface: k, at: p, crossing } in list {
            if !crossing {
                out.touches.push(CurveTangency { carrier: i, surface: k, at: p });
                continue;
            }
            let on = c.surfaces.iter().filter(|s| set.reaches(**s, p)).count();
            if set.reaches(k, p) && on >= c.surfaces.len().min(2) {
                let mut all = c.surfaces.clone();
                all.push(k);
                out.add(p, &all);
            }
        }
    }
    out
}

/// A point where a carrier meets a further surface.
struct Piercing {
    surface: usize,
    at: P3,
    crossing: bool,
}

/// Completes a carrier's surfaces and finds where the others meet it.
fn on_carrier(set: &SurfaceSet, c: &mut Carrier) -> Vec<Piercing> {
    let near = crossing_surfaces(set, c);
    if near.is_empty() {
        return vec![];
    }
    let places = uneven_places(c);
    let (lying, crossing): (Vec<usize>, Vec<usize>) =
        near.into_iter().partition(|k| lie_on(&places, &set.entries[*k].surface));
    c.surfaces.extend(lying);
    c.surfaces.sort_unstable();
    let mut out = Vec::new();
    let pieces = if crossing.is_empty() { vec![] } else { pieces(set, c) };
    for surface in crossing {
        let found = piercings(set, c, &set.entries[surface], &pieces);
        out.extend(found.into_iter().map(|(at, crossing)| Piercing { surface, at, crossing }));
    }
    out
}

/// Surfaces that may pierce the carrier: near it, not containing it, not known to have no vertex with it.
fn crossing_surfaces(set: &SurfaceSet, c: &Carrier) -> Vec<usize> {
    let real = |s: &&usize| set.entries[**s].seam_of.is_none();
    set.meeting(&c.bounds)
        .filter(|k| {
            let e = &set.entries[*k];
            if c.surfaces.contains(k) || !e.meets(&c.bounds) {
                return false;
            }
            if let Some(host) = e.seam_of {
                return c.surfaces.contains(&host);
            }
            if c.surfaces.iter().filter(real).any(|s| set.meet_known(*s, *k)) {
                return false;
            }
            let hosts = c.surfaces.iter().filter(real).copied();
            c.surfaces.iter().any(|s| set.entries[*s].seam_of.is_some())
                || !set.one_primitive(hosts.chain([*k]))
        })
        .collect()
}
