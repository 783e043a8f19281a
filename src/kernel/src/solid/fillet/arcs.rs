//! Arcs across the ends of fillet segments, balls at rest, and creases between segments.

use std::collections::BTreeMap;

use super::boundary::BoundaryBuilder;
use super::crease_pieces::{Crease, CreasePiece};
use super::edges;
use super::failure::{FilletFailure, LocatedFailure};
use super::kept_creases::{KeptCrease, KeptPiece, KeptSheet};
use super::sheets::{ArcId, Sheet};
use super::spines::EdgeChain;
use crate::solid::blend::{Support, VertexBlend};
use crate::solid::patch::PrimitiveCurve;
use crate::tolerance::DISTINCT_VERTICES;

impl BoundaryBuilder<'_> {
    /// Arcs across the ends of segments: between two segments, or between segments and the ball at rest.
    pub(super) fn ends(&mut self) -> Result<(), LocatedFailure> {
        let mut meeting: BTreeMap<usize, Vec<(usize, usize)>> = BTreeMap::new();
        for (i, chain) in self.chains.iter().enumerate() {
            for (end, v) in chain.ends(self.solid.brep).into_iter().enumerate() {
                meeting.entry(v).or_default().push((i, end));
            }
        }
        let mut vertex_blends = Vec::new();
        let balls: Vec<usize> = meeting.iter().filter(|m| m.1.len() > 2).map(|m| *m.0).collect();
        let gone = self.creases(&balls)?;
        self.balls = balls;
        for (v, list) in meeting {
            let fault = |failure| {
                let faces = self.classified[self.chains[list[0].0].edges[0].edge].faces;
                LocatedFailure::between(self.solid.brep, &faces, self.solid.brep.vertices[v], failure)
            };
            match list.as_slice() {
                [_] => return Err(fault(FilletFailure::Flat)),
                [a, b] => {
                    let (from, to) = self.arc_of(*a);
                    if self.arc_of(*b) != (to, from) {
                        return Err(fault(FilletFailure::NoWay));
                    }
                    let patches = [self.canal_patch(a.0), self.canal_patch(b.0)];
                    self.arc(ArcId { vertex: v, of: None }, [from, to], patches, &gone);
                }
                _ => vertex_blends.push((v, list)),
            }
        }
        for (v, list) in vertex_blends {
            self.ball(v, &list, &gone)?;
        }
        Ok(())
    }

    fn apart(&self, a: usize, b: usize) -> f64 {
        (self.corners.points[a] - self.corners.points[b]).norm()
    }

    /// Two vertices of an arc, the one nearer to its start first.
    fn in_order(&self, from: usize, [a, b]: [usize; 2]) -> [usize; 2] {
        if self.apart(from, a) <= self.apart(from, b) { [a, b] } else { [b, a] }
    }

    /// The edges and vertices of creases; `balls` are the vertices with a ball at rest, in order. Gives what they cut out of
    /// arcs: two vertices between which the arc is gone.
    fn creases(&mut self, balls: &[usize]) -> Result<Vec<(ArcId, [usize; 2])>, LocatedFailure> {
        let (canals, blends) = (self.canal_patch(0), self.canal_patch(self.chains.len()));
        let patch = |sheet: Sheet| match sheet {
            Sheet::Canal(i) => canals + i,
            Sheet::Ball(v) => blends + balls.binary_search(&v).unwrap_or(0),
        };
        let mut gone = Vec::new();
        let mut made = Vec::new();
        for crease in self.creases {
            let first = self.corners.points.len();
            self.apart_from_walls(crease)?;
            for piece in &crease.pieces {
                let curve = (PrimitiveCurve::Crease(piece.curve.clone()), piece.curve.range());
                made.push((curve, piece.sheets.map(patch), piece.forward, piece.nodes.map(|n| first + n)));
            }
            gone.extend(crease.cuts.iter().map(|(arc, nodes)| (*arc, nodes.map(|n| first + n))));
            self.made.push(self.kept_of(crease));
            self.corners.points.extend(&crease.nodes);
            self.corners.touching.extend(crease.nodes.iter().map(|_| vec![]));
        }
        for (curve, patches, forward, ends) in made {
            self.push(curve, patches, forward, ends);
        }
        Ok(gone)
    }

    /// Refuses a crease that runs into the end of an arc, on a wall.
    fn apart_from_walls(&self, crease: &Crease) -> Result<(), LocatedFailure> {
        for (arc, nodes) in &crease.cuts {
            let on = |(i, chain): (usize, &EdgeChain)| {
                let ends = chain.ends(self.solid.brep);
                (0..2).find(|k| ends[*k] == arc.vertex).map(|k| (i, k))
            };
            let Some(end) = arc.of.or_else(|| self.chains.iter().enumerate().find_map(on)) else { continue };
            let (from, to) = self.arc_of(end);
            let near = |n: &usize| {
                let off = |v: usize| (self.corners.points[v] - crease.nodes[*n]).norm();
                off(from).min(off(to)) < DISTINCT_VERTICES
            };
            if let Some(n) = nodes.iter().find(|n| near(n)) {
                let faces = self.classified[self.chains[end.0].edges[0].edge].faces;
                let at = crease.nodes[*n];
                return Err(LocatedFailure::between(self.solid.brep, &faces, at, FilletFailure::NoWay));
            }
        }
        Ok(())
    }

    /// A crease as it is kept for smaller balls.
    fn kept_of(&self, crease: &Crease) -> KeptCrease {
        let number = |s: &Sheet| crease.sheets.binary_search(s).unwrap_or(0);
        let sheet = |s: &Sheet| match s {
            Sheet::Canal(i) => KeptSheet::Canal(Box::new(self.segments[*i].segment.clone())),
            Sheet::Ball(v) => KeptSheet::Ball(self.solid.brep.vertices[*v]),
        };
        let piece = |p: &CreasePiece| KeptPiece {
            curve: p.curve.clone(),
            nodes: p.nodes,
            sheets: [0, 1].map(|k| number(&p.sheets[k])),
            forward: p.forward,
        };
        KeptCrease {
            radius: self.solid.radius,
            nodes: crease.nodes.clone(),
            pieces: crease.pieces.iter().map(piece).collect(),
            cuts: crease.cuts.iter().map(|c| c.1).collect(),
            sheets: crease.sheets.iter().map(sheet).collect(),
        }
    }

    /// The arc about a vertex of the offset solid between two vertices, but for what creases cut out of it. The first of the
    /// patches is that about which the loop runs forwards.
    fn arc(&mut self, arc: ArcId, [from, to]: [usize; 2], patches: [usize; 2], gone: &[(ArcId, [usize; 2])]) {
        let own = gone.iter().filter(|g| g.0 == arc);
        let mut cuts: Vec<[usize; 2]> = own.map(|g| self.in_order(from, g.1)).collect();
        cuts.sort_by(|x, y| self.apart(from, x[0]).total_cmp(&self.apart(from, y[0])));
        let mut last = from;
        for [leave, enter] in cuts.into_iter().chain([[to, to]]) {
            let piece = edges::arc(
                self.solid.brep.vertices[arc.vertex],
                self.corners.points[last],
                self.corners.points[leave],
            );
            self.push(piece, patches, [true, false], [last, leave]);
            last = enter;
        }
    }

    /// The piece of the ball that rests on three supports or more.
    fn ball(
        &mut self,
        v: usize,
        list: &[(usize, usize)],
        gone: &[(ArcId, [usize; 2])],
    ) -> Result<(), LocatedFailure> {
        let center = self.solid.brep.vertices[v];
        let arcs: Vec<(usize, usize)> = list.iter().map(|l| self.arc_of(*l)).collect();
        // The loop about the ball runs against those about the fillet segments.
        let mut order = vec![0];
        while order.len() < arcs.len() {
            let from = arcs[order[order.len() - 1]].0;
            let next = (0..arcs.len()).find(|k| !order.contains(k) && arcs[*k].1 == from);
            let Some(next) = next else {
                let faces = self.classified[self.chains[list[0].0].edges[0].edge].faces;
                return Err(LocatedFailure::between(self.solid.brep, &faces, center, FilletFailure::NoWay));
            };
            order.push(next);
        }
        let patch = self.solid.brep.faces.len() + self.chains.len() + self.vertex_blends.len();
        let mut feet = Vec::new();
        let mut supports: Vec<Support> = Vec::new();
        for k in order {
            let (segment, end) = list[k];
            let (from, to) = arcs[k];
            let arc = ArcId { vertex: v, of: Some((segment, end)) };
            self.arc(arc, [from, to], [self.canal_patch(segment), patch], gone);
            feet.push((self.corners.points[to] - center).normalize());
            let r = &self.segments[segment];
            let side = usize::from(r.ends[end][1] == to);
            supports.push(r.segment.supports[side].clone());
        }
        self.vertex_blends.push(VertexBlend::new(center, self.solid.radius, feet, supports));
        Ok(())
    }
}
