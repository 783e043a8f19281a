//! The least thickness of walls between groups of faces.

use std::collections::BTreeMap;

use rayon::prelude::*;

use crate::geometry::{P3, Surface, V3};
use crate::solid::BrepFace;
use crate::tolerance::{
    BETWEEN_NORMALS, CONVERGED, LAST_WALL_STEP, NEIGHBOUR_RAYS, NO_WAY, RAY_FIT, RAY_START, SNAP,
};

use super::least::{Start, thinned};
use super::pair::{FaceLocation, Place};
use super::roots::roots;
use super::{OPPOSED_COSINE, Probe};

/// Most steps of that search; a valley without an end is left where it is.
const MOST_STEPS: usize = 400;

/// First step of the search along the surface for a shorter ray, mm; the last is [`LAST_WALL_STEP`].
const FIRST_STEP: f64 = 1.0;

/// Where no ray a step away is shorter, shorter steps gain no more than this many times the step. A ray's length changes
/// by twice the way of its start on flat faces, and by its length over the radius of curvature more on bent ones.
const GAIN: f64 = 20.0;

/// How far the thinnest wall of all is sought at first, mm.
const FIRST_REACH: f64 = 2.0;

/// The thinnest place of the wall between two groups of faces.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wall {
    /// The groups, the lesser first.
    pub groups: [u32; 2],
    /// A face of each.
    pub faces: [usize; 2],
    /// A place on each, mm.
    pub points: [P3; 2],
    /// Their distance, measured through the material, mm.
    pub thickness: f64,
}

impl Wall {
    /// Whether it has no thickness, because the groups meet in an edge of less than 60° of material.
    pub fn is_sharp_edge(&self) -> bool {
        self.thickness < SNAP
    }
}

impl Probe<'_> {
    /// The thinnest place between any two groups of faces (and within each) that share a wall thinner than `bound` mm;
    /// `group` gives the group of a face, or none if it does not matter. Sorted by groups; where two groups meet in a
    /// sharp edge, that comes after the thinnest wall apart from it.
    ///
    /// Thickness is the length of a straight way through the material between places whose normals are opposed by more
    /// than [`super::OPPOSED`] and each turned away from the way by less than 60°: a least distance of two faces, cut
    /// to their loops, or, where faces bulge away from each other so that their distance has no least, a least ray.
    /// Found from seeds: every two opposed triangles of the mesh nearer than the bound, and every triangle opposed to an
    /// edge around which material wraps, thinned to a few for each two faces. A wall that ends at such an edge is shared
    /// by both of the edge's faces. True to 1e-4 mm, mostly 1e-9.
    pub fn least_walls(&self, bound: f64, group: impl Fn(usize) -> Option<u32> + Sync) -> Vec<Wall> {
        let of_face: Vec<Option<u32>> = (0..self.brep.faces.len()).map(group).collect();
        let mut starts = self.facing(&self.by_direction(), bound, &of_face);
        starts.extend(self.brinks(bound, &of_face));
        let mut of_groups: BTreeMap<[u32; 2], Vec<Start>> = BTreeMap::new();
        for s in thinned(starts) {
            of_groups.entry(s.faces.map(|f| of_face[f].unwrap_or(0))).or_default().push(s);
        }
        let all: Vec<([u32; 2], Vec<Start>)> = of_groups.into_iter().collect();
        let found: Vec<[Option<Wall>; 2]> =
            all.into_par_iter().map(|(groups, starts)| self.thinnest_of(groups, starts, bound)).collect();
        found.into_iter().flatten().flatten().collect()
    }

    /// The thinnest wall of all, if one is thinner than `bound` mm, passing over sharp edges and what is not `wanted`.
    /// Every face is a group of its own. See [`Self::least_walls`].
    pub fn thinnest_wall(&self, bound: f64, mut wanted: impl FnMut(&Wall) -> bool) -> Option<Wall> {
        let each: Vec<Option<u32>> = (0..self.brep.faces.len() as u32).map(Some).collect();
        // What is near costs little to find, and mostly there is something.
        let mut reach = bound.min(FIRST_REACH);
        let by_direction = self.by_direction();
        loop {
            let mut starts = self.facing(&by_direction, reach, &each);
            starts.extend(self.brinks(reach, &each));
            let mut best: Option<Wall> = None;
            self.descend(thinned(starts), reach, |wall| {
                if !wall.is_sharp_edge() && best.is_none_or(|b| wall.thickness < b.thickness) && wanted(&wall)
                {
                    best = Some(wall);
                }
                best.map_or(reach, |b| b.thickness)
            });
            if best.is_some_and(|b| b.thickness < reach) || reach >= bound {
                return best.filter(|b| b.thickness < bound);
            }
            reach = (2.0 * reach).min(bound);
        }
    }

    /// The thinnest wall of two groups apart from a sharp edge, and the one at such an edge.
    fn thinnest_of(&self, groups: [u32; 2], starts: Vec<Start>, bound: f64) -> [Option<Wall>; 2] {
        let mut best: [Option<Wall>; 2] = [None; 2];
        self.descend(starts, bound, |wall| {
            let kept = best[usize::from(wall.is_sharp_edge())].get_or_insert(Wall { groups, ..wall });
            if wall.thickness < kept.thickness {
                *kept = Wall { groups, ..wall };
            }
            best[0].map_or(bound, |w| w.thickness)
        });
        best.map(|wall| wall.filter(|w| w.thickness < bound))
    }

    /// Shows the walls thinner than `bound` that starts lead to, the nearest start first, until none that is left can beat
    /// the least that `show` gives back; rays, which cost more, after all least distances. Groups are faces.
    fn descend(&self, mut starts: Vec<Start>, bound: f64, mut show: impl FnMut(Wall) -> f64) {
        starts.sort_by(|a, b| a.distance.total_cmp(&b.distance));
        let wall = |s: &Start, points: [P3; 2]| {
            let thickness = (points[1] - points[0]).norm();
            Wall { groups: s.faces.map(|f| f as u32), faces: s.faces, points, thickness }
        };
        let mut least = f64::INFINITY;
        let mut without = Vec::new();
        for start in starts {
            if start.distance - 4.0 * self.slack >= least {
                break;
            }
            let [a, b] = start.faces;
            let (places, distance) = self.closer(a, b, start.points);
            if self.is_wall(&places, distance) {
                least = show(wall(&start, places.map(|p| p.point)));
            } else {
                without.push(start);
            }
        }
        for start in without {
            if start.distance - 4.0 * self.slack >= least {
                break;
            }
            if let Some(points) = self.thinnest_ray(&start, least.min(bound)) {
                least = show(wall(&start, points));
            }
        }
    }

    /// Whether a wall is only the material beside an edge in which faces of its two names meet, nearer to it than a reach.
    pub fn is_wedge(&self, wall: &Wall, reach: f64) -> bool {
        let tag = |f: usize| &self.brep.faces[f].tag;
        let own = wall.faces.map(tag);
        let of_pair = |e: &usize| {
            let [a, b] = self.sides[*e];
            a != usize::MAX && b != usize::MAX && {
                let (a, b) = (tag(a), tag(b));
                a != b && own.contains(&a) && own.contains(&b)
            }
        };
        let points = |e: usize| (0..=16).map(move |k| self.brep.edge_point(e, f64::from(k) / 16.0));
        let near = |p: P3| wall.points.iter().any(|q| (p - q).norm() < reach);
        own[0] != own[1] && (0..self.sides.len()).filter(of_pair).any(|e| points(e).any(near))
    }

    /// The shorter of the least rays from either end of a start, if it may be shorter than `most`.
    fn thinnest_ray(&self, start: &Start, most: f64) -> Option<[P3; 2]> {
        let [a, b] = start.faces;
        let forth = self.shortest_ray(a, b, start.points[0], most);
        let back = self.shortest_ray(b, a, start.points[1], most).map(|[q, p]| [p, q]);
        let size = |w: &[P3; 2]| (w[1] - w[0]).norm();
        forth.into_iter().chain(back).min_by(|x, y| size(x).total_cmp(&size(y)))
    }

    /// Whether the way between two places at a least distance is a wall's.
    fn is_wall(&self, [p, q]: &[Place; 2], distance: f64) -> bool {
        let Some(d) = (q.point - p.point).try_normalize(NO_WAY) else {
            return self.outward(p).dot(&self.outward(q)) < OPPOSED_COSINE;
        };
        let (n, m) = (self.facing_normal(p, -d), self.facing_normal(q, d));
        n.dot(&m) < OPPOSED_COSINE
            && n.dot(&d) < -0.5
            && m.dot(&d) > 0.5
            && distance > 0.0
            && !self.leaves_metal(p.point, q.point)
    }

    fn outward(&self, p: &Place) -> V3 {
        self.brep.faces[p.face].outward(p.point)
    }

    /// The normal with which a place faces a direction: that of its face; at an edge around which material wraps the
    /// direction itself where it lies between the normals of both faces.
    fn facing_normal(&self, p: &Place, d: V3) -> V3 {
        let own = self.outward(p);
        let (FaceLocation::Edge(edge, t) | FaceLocation::Corner(edge, t)) = p.on else { return own };
        let along = self.brep.edges[edge].curve.derivative(t);
        let other = self.sides[edge].into_iter().find(|f| *f != p.face && *f != usize::MAX);
        let Some(other) = other.map(|f| self.brep.faces[f].outward(p.point)) else { return own };
        let turn = own.cross(&other).dot(&along).signum();
        let after = |a: &V3, b: &V3| a.cross(b).dot(&along) * turn >= -BETWEEN_NORMALS * along.norm();
        let between = after(&own, &d) && after(&d, &other);
        if between && d.dot(&(own + other)) > 0.0 { d } else { own }
    }

    /// Whether a ray may meet a face nearer than a length, when one a step beside it meets it there.
    fn may_be_nearer(&self, face: usize, from: P3, d: V3, length: f64, step: f64) -> bool {
        let BrepFace { surface, same_sense, .. } = &self.brep.faces[face];
        match surface {
            // These take long to search: where the rays lie close, the end shows whether the surface was crossed.
            Surface::Torus(_) | Surface::Canal(_) if step < NEIGHBOUR_RAYS => {
                let beyond = surface.f(from + d * length);
                if *same_sense { beyond > -RAY_FIT } else { beyond < RAY_FIT }
            }
            Surface::Torus(_) | Surface::Canal(_) => true,
            _ => roots(surface, from, d, (0.0, length)).iter().any(|t| t > RAY_START),
        }
    }

    /// The shortest inward ray from face `a` to face `b` near a start, by smaller and smaller steps on `a`; `None` as soon
    /// as it can't become shorter than `most`.
    fn shortest_ray(&self, a: usize, b: usize, start: P3, most: f64) -> Option<[P3; 2]> {
        let face = &self.brep.faces[a];
        let ray = |p: P3, length: f64| {
            let n = face.outward(p);
            let hit = self.first_on(p, -n, length, |_, t, _| t > RAY_START)?;
            let opposed = self.brep.faces[hit.face].outward(hit.point).dot(&n) < OPPOSED_COSINE;
            (hit.face == b && opposed).then_some((hit.distance, hit.point))
        };
        let around = |p: P3| {
            let n = face.surface.grad(p);
            let helper = if n.x.abs() < 0.6 { V3::x() } else { V3::y() };
            let x = n.cross(&helper).normalize();
            let y = n.cross(&x);
            [x, -x, y, -y, x + y, -x - y, x - y, y - x]
        };
        let first = self.nearest_of_face(a, start).point;
        // At the start itself the normals may not be opposed enough, or an edge is in the way.
        let (mut p, (mut length, mut q)) = [0.0, 0.05, 0.5, 2.0].iter().find_map(|far| {
            let by_direction = if *far > 0.0 { 8 } else { 1 };
            let tried = around(first).into_iter().take(by_direction).filter_map(|d| {
                let p = face.surface.closest(first + d * *far);
                self.trims[a].holds(self.brep, p).then(|| Some((p, ray(p, f64::INFINITY)?))).flatten()
            });
            tried.min_by(|x, y| x.1.0.total_cmp(&y.1.0))
        })?;
        let mut step = FIRST_STEP;
        for _ in 0..MOST_STEPS {
            if step <= LAST_WALL_STEP {
                break;
            }
            let next = around(p).into_iter().find_map(|d| {
                let to = face.surface.closest(p + d * step);
                // Most steps make it no shorter, and the other face alone tells so: what else the ray meets is asked later.
                let nearer = self.may_be_nearer(b, to, -face.outward(to), length, step);
                let open = nearer && self.trims[a].holds(self.brep, to);
                let shorter = open.then(|| ray(to, length)).flatten();
                shorter.filter(|r| r.0 < length - CONVERGED).map(|r| (to, r))
            });
            match next {
                // Along a valley steps grow again, or the way down it would be long.
                Some((to, r)) => (p, length, q, step) = (to, r.0, r.1, (2.0 * step).min(FIRST_STEP)),
                None if length - GAIN * step > most => return None,
                None => step *= 0.5,
            }
        }
        Some([p, q])
    }
}
