//! Vertices of what a ball leaves, under those of the offset solid.

use std::collections::{BTreeMap, BTreeSet};

use super::convexity::{ClassifiedEdge, Convexity, RollingSide};
use super::failure::{FilletFailure, LocatedFailure};
use crate::geometry::{P3, V3};
use crate::solid::brep::Brep;
use crate::solid::disjoint_sets::DisjointSets;
use crate::tolerance::{DISTINCT_VERTICES, VERTEX_FIT};

/// An offset solid with the ball that rolls about it.
#[derive(Clone, Copy)]
pub(super) struct OffsetSolid<'a> {
    pub(super) brep: &'a Brep,
    pub(super) radius: f64,
    pub(super) side: RollingSide,
}

impl OffsetSolid<'_> {
    /// The point of the result under a face of the offset solid.
    pub(super) fn foot(&self, face: usize, p: P3) -> P3 {
        p - self.rolling_normal(face, p) * self.radius
    }

    /// The normal of a face on the side from which the ball touches it.
    pub(super) fn rolling_normal(&self, face: usize, p: P3) -> V3 {
        let outward = self.brep.faces[face].outward(p);
        if self.side == RollingSide::Outside { outward } else { -outward }
    }
}

/// The vertices: one for all faces at a vertex of the offset solid that run on smoothly into each other.
#[derive(Default)]
pub(super) struct Corners {
    /// The result's vertex under a face of the offset solid at a vertex.
    pub(super) of: BTreeMap<(usize, usize), usize>,
    pub(super) points: Vec<P3>,
    /// Patches at each vertex.
    pub(super) touching: Vec<Vec<usize>>,
}

impl Corners {
    /// Finds them, but for vertices that are left out.
    pub(super) fn find(
        solid: &OffsetSolid<'_>,
        classified: &[ClassifiedEdge],
        left_out: &BTreeSet<usize>,
    ) -> Result<Self, LocatedFailure> {
        let mut out = Self::default();
        let mut at: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
        let mut smooth: BTreeMap<usize, Vec<[usize; 2]>> = BTreeMap::new();
        for (e, l) in classified.iter().enumerate() {
            let edge = &solid.brep.edges[e];
            for v in [edge.start, edge.end].into_iter().filter(|v| !left_out.contains(v)) {
                at.entry(v).or_default().extend(l.faces);
                if l.convexity == Convexity::Smooth {
                    smooth.entry(v).or_default().push(l.faces);
                }
            }
        }
        for (v, mut faces) in at {
            faces.sort_unstable();
            faces.dedup();
            out.at_vertex(solid, v, &faces, smooth.get(&v).map_or(&[], Vec::as_slice))?;
        }
        Ok(out)
    }

    /// Those under the faces at one vertex, of which some pairs meet smoothly.
    fn at_vertex(
        &mut self,
        solid: &OffsetSolid<'_>,
        v: usize,
        faces: &[usize],
        smooth: &[[usize; 2]],
    ) -> Result<(), LocatedFailure> {
        let mut groups = DisjointSets::new(faces.len());
        for pair in smooth {
            let [i, j] = pair.map(|f| faces.binary_search(&f).unwrap_or(0));
            groups.join(i, j);
        }
        let p = solid.brep.vertices[v];
        let first = self.points.len();
        for (i, f) in faces.iter().enumerate() {
            let least = groups.least(i);
            let foot = solid.foot(*f, p);
            let vertex = if least == i { self.push(foot) } else { self.of[&(v, faces[least])] };
            if (self.points[vertex] - foot).norm() > VERTEX_FIT {
                return Err(LocatedFailure::between(solid.brep, &[faces[least], *f], p, FilletFailure::Flat));
            }
            self.touching[vertex].push(*f);
            self.of.insert((v, *f), vertex);
        }
        let own = &self.points[first..];
        for i in 0..own.len() {
            if own[i + 1..].iter().any(|q| (q - own[i]).norm() < DISTINCT_VERTICES) {
                return Err(LocatedFailure::between(solid.brep, faces, p, FilletFailure::Flat));
            }
        }
        Ok(())
    }

    /// One more vertex; gives its number.
    pub(super) fn push(&mut self, point: P3) -> usize {
        self.points.push(point);
        self.touching.push(vec![]);
        self.points.len() - 1
    }
}
