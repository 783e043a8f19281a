//! Edges at which faces of the offset solid run on smoothly into each other, with what creases of larger balls leave of them.

use super::boundary::BoundaryBuilder;
use super::convexity::Convexity;
use super::edges;
use super::failure::{FilletFailure, LocatedFailure};
use super::kept_creases::{CutCircle, KeptCrease, KeptPlaces};
use crate::geometry::Curve;
use crate::solid::patch::PrimitiveCurve;

impl BoundaryBuilder<'_> {
    /// The edges of creases that earlier balls have left. Gives the ends of what they cut out of arcs, with their vertices.
    pub(super) fn kept(&mut self, places: &KeptPlaces, kept: &[KeptCrease]) -> Vec<[usize; 2]> {
        let mut gone = Vec::new();
        for (crease, faces) in kept.iter().zip(&places.faces) {
            let Some(faces) = faces else { continue };
            let first = self.corners.points.len();
            for p in &crease.nodes {
                self.corners.push(*p);
            }
            for (piece, faces) in crease.pieces.iter().zip(faces) {
                let curve = (PrimitiveCurve::Crease(piece.curve.clone()), piece.curve.range());
                self.push(curve, *faces, piece.forward, piece.nodes.map(|n| first + n));
            }
            gone.extend(crease.cuts.iter().map(|nodes| nodes.map(|n| first + n)));
        }
        gone
    }

    pub(super) fn smooth_edges(
        &mut self,
        kept: &KeptPlaces,
        gone: &[[usize; 2]],
    ) -> Result<(), LocatedFailure> {
        for e in 0..self.classified.len() {
            if self.classified[e].convexity != Convexity::Smooth {
                continue;
            }
            let edge = &self.solid.brep.edges[e];
            let open = [edge.start, edge.end].iter().any(|v| kept.vertices.contains(v));
            if matches!(edge.curve, Curve::Circle(_)) && !gone.is_empty() {
                match self.cut_arc(e, kept, gone) {
                    Some(true) => continue,
                    Some(false) => {}
                    None => return Err(self.lost_crease(e)),
                }
            }
            if open {
                return Err(self.lost_crease(e));
            }
            self.smooth_edge(e)?;
        }
        Ok(())
    }

    /// What earlier balls' creases leave of an arc; `false` where they leave it whole, `None` where it can't be told.
    fn cut_arc(&mut self, e: usize, kept: &KeptPlaces, gone: &[[usize; 2]]) -> Option<bool> {
        let faces = self.classified[e].faces;
        let edge = &self.solid.brep.edges[e];
        let Curve::Circle(c) = &edge.curve else { return Some(false) };
        let m = self.solid.foot(faces[0], self.solid.brep.edge_point(e, 0.5));
        let circle = edges::moved_circle(c, m);
        let ends = [edge.start, edge.end].map(|v| self.corners.of.get(&(v, faces[0])).copied());
        let arc = CutCircle { circle: &circle, range: edge.range, ends };
        let mut own = Vec::new();
        for nodes in gone {
            let points = nodes.map(|n| self.corners.points[n]);
            if let Some(angles) = arc.cut(points) {
                own.push(angles.map(|(at, first)| (at, nodes[usize::from(!first)])));
            }
        }
        let open = [edge.start, edge.end].iter().any(|v| kept.vertices.contains(v));
        if own.is_empty() && !open {
            return Some(false);
        }
        let forward = self.senses(e, faces);
        for (range, vertices) in arc.left(own)? {
            let piece = (PrimitiveCurve::Plain(Curve::Circle(circle)), range);
            self.push(piece, faces, forward, vertices);
        }
        Some(true)
    }

    fn smooth_edge(&mut self, e: usize) -> Result<(), LocatedFailure> {
        let faces = self.classified[e].faces;
        let edge = &self.solid.brep.edges[e];
        let ends = self.under(e, faces[0], [edge.start, edge.end])?;
        let middle = self.solid.foot(faces[0], self.solid.brep.edge_point(e, 0.5));
        let feet = [self.corners.points[ends[0]], middle, self.corners.points[ends[1]]];
        let surfaces = faces.map(|f| &self.surfaces[f]);
        let Some(mut piece) = edges::moved(edge, feet, surfaces, &mut self.contacts) else {
            return Err(self.fail(e, FilletFailure::NoWay));
        };
        let mut forward = self.senses(e, faces);
        if faces[0] == faces[1] {
            forward = [true, false];
        }
        // Contact curves have a sense of their own.
        if piece.1.0 > piece.1.1 {
            piece.1 = (piece.1.1, piece.1.0);
            forward = forward.map(|f| !f);
        }
        self.push(piece, faces, forward, ends);
        Ok(())
    }

    /// The result's vertices under a face at the ends of an edge. There is none where the edge runs into a crease of an earlier ball.
    pub(super) fn under(
        &self,
        edge: usize,
        face: usize,
        ends: [usize; 2],
    ) -> Result<[usize; 2], LocatedFailure> {
        match ends.map(|v| self.corners.of.get(&(v, face)).copied()) {
            [Some(a), Some(b)] => Ok([a, b]),
            _ => Err(self.lost_crease(edge)),
        }
    }

    fn lost_crease(&self, edge: usize) -> LocatedFailure {
        LocatedFailure { creases: true, ..self.fail(edge, FilletFailure::NoWay) }
    }
}
