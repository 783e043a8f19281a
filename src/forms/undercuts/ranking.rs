//! Partings ranked by the area that can't be drawn.
//!
//! To trace the shadows of all partings would take a third of a casting's time, though only the best one is asked for. So all are estimated
//! on a grid of heights seen along the pull, and the least ones traced, until the least of all is one that was traced.

use rayon::prelude::*;

use super::facets::{LEAST_LEAN, Spot};
use super::shadow::{Boundary, RAP};
use super::{LEAST_AREA, SLOPE};
use solidwright::geometry::{P2, P3, V3};
use solidwright::mesh::each_sample;

/// Side of a cell of the grid, mm: a lip no deeper is missed.
const CELL: f64 = 1.0;

/// Facets are cut to this length, mm.
const PIECE: f64 = 4.0;

/// How much higher than a place metal over it must be, mm: within a cell a face rises.
const CLEAR: f64 = 0.2;

/// A boundary whose halves are estimated.
pub(super) struct Ranking<'a> {
    boundary: &'a Boundary,
    pieces: Vec<Spot>,
    /// Number of its faces.
    faces: usize,
    /// Everything lies this near to the shaft's axis across it, mm, and between these stations.
    reach: f64,
    stations: (f64, f64),
}

impl<'a> Ranking<'a> {
    pub(super) fn of(boundary: &'a Boundary) -> Self {
        let pieces: Vec<Spot> =
            boundary.facets.par_iter().flat_map_iter(|facet| facet.spots(PIECE)).collect();
        let (mut stations, mut reach) = ((f64::INFINITY, f64::NEG_INFINITY), 0.0_f64);
        for p in boundary.facets.iter().flat_map(|f| f.corners).map(|c| c.p) {
            stations = (stations.0.min(p.x), stations.1.max(p.x));
            reach = reach.max(p.y.hypot(p.z));
        }
        let faces = pieces.iter().map(|spot| spot.face as usize + 1).max().unwrap_or(0);
        Self { boundary, pieces, faces, reach, stations }
    }

    /// Area that can't be drawn from two halves, mm², as estimated.
    pub(super) fn area(&self, up: V3) -> f64 {
        if self.pieces.is_empty() {
            return 0.0;
        }
        let mut held = vec![[(0.0, 0.0); 2]; self.faces];
        for pull in [up, -up] {
            self.take_half(pull, &mut held);
        }
        held.iter().flatten().filter(|(_, held)| *held > LEAST_AREA).map(|(area, _)| area).sum()
    }

    /// Adds what a half has of each face that leans against the pull, and of each that lies in a shadow: all of it, and what rapping does not free.
    fn take_half(&self, pull: V3, held: &mut [[(f64, f64); 2]]) {
        let side = V3::x().cross(&pull);
        let heights = Heights::of(self, pull, side);
        for spot in &self.pieces {
            let z = spot.p.coords.dot(&pull);
            if z <= 0.0 {
                continue;
            }
            let place = |p: P3| P2::new(p.x, p.coords.dot(&side));
            let leans = spot.n.dot(&pull) < -SLOPE;
            if !leans && heights.under(place(spot.p + spot.n * CELL)) <= z + CLEAR {
                continue;
            }
            let entry = &mut held[spot.face as usize][usize::from(!leans)];
            entry.0 += spot.area;
            if heights.hold(place(spot.p), z) {
                entry.1 += spot.area;
            }
        }
    }
}

/// Greatest heights of a half over the cells of a grid.
struct Heights {
    corner: P2,
    columns: usize,
    rows: usize,
    /// Of everything, and of what leans against the pull.
    tops: Vec<[f32; 2]>,
}

impl Heights {
    fn of(ranking: &Ranking, pull: V3, side: V3) -> Self {
        let (first, last) = ranking.stations;
        let corner = P2::new(first - 2.0 * CELL, -ranking.reach - 2.0 * CELL);
        let columns = ((last - first) / CELL) as usize + 5;
        let rows = (2.0 * ranking.reach / CELL) as usize + 5;
        let mut out = Self { corner, columns, rows, tops: vec![[f32::NEG_INFINITY; 2]; columns * rows] };
        for facet in &ranking.boundary.facets {
            let own = facet.corners.map(|c| V3::new(c.p.x, c.p.coords.dot(&side), c.p.coords.dot(&pull)));
            if own.iter().any(|p| p.z > 0.0) {
                let leans = facet.corners.iter().any(|c| c.n.dot(&pull) < -LEAST_LEAN);
                out.take(own, leans);
            }
        }
        out
    }

    /// A triangle over all cells whose middles it covers.
    fn take(&mut self, corners: [V3; 3], leans: bool) {
        let own = corners.map(|p| V3::new((p.x - self.corner.x) / CELL, (p.y - self.corner.y) / CELL, p.z));
        each_sample(own, [self.columns, self.rows], |column, row, z| {
            let cell = &mut self.tops[row * self.columns + column];
            cell[0] = cell[0].max(z as f32);
            if leans {
                cell[1] = cell[1].max(z as f32);
            }
        });
    }

    fn at(&self, p: P2) -> Option<&[f32; 2]> {
        let (x, y) = ((p.x - self.corner.x) / CELL, (p.y - self.corner.y) / CELL);
        let inside = x >= 0.0 && y >= 0.0 && x < self.columns as f64 && y < self.rows as f64;
        inside.then(|| &self.tops[y as usize * self.columns + x as usize])
    }

    /// The greatest height of what leans against the pull over a place.
    fn under(&self, p: P2) -> f64 {
        self.at(p).map_or(f64::NEG_INFINITY, |tops| f64::from(tops[1]))
    }

    /// Whether a place at a height stays held however the pattern is rapped.
    fn hold(&self, p: P2, z: f64) -> bool {
        let beside = RAP.max(0.5 * CELL);
        let ways = [(1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0)];
        ways.iter().all(|(x, y)| {
            let there = P2::new(p.x + x * beside, p.y + y * beside);
            self.at(there).is_some_and(|tops| f64::from(tops[0]) > z + CLEAR)
        })
    }
}
