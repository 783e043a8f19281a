//! The boundary of a filleted body, from that of the solid offset by the ball's radius.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::convexity::{self, ClassifiedEdge, Convexity, RollingSide};
use super::edges::{self, ContactCurves, EdgeCurve};
use super::faces;
use super::failure::{FilletFailure, LocatedFailure};
use super::joint::Joint;
use super::spines::{self, EdgeChain};
use crate::geometry::{Bounds, Canal, P3, Surface, V3};
use crate::solid::blend::{FilletSegment, SpineCurve, Support, VertexBlend};
use crate::solid::brep::{Brep, BrepFace, HalfEdge};
use crate::solid::disjoint_sets::DisjointSets;
use crate::solid::patch::{Patch, PrimitiveEdge, PrimitiveVertex};
use crate::solid::primitive::{FilletBody, Primitive};
use crate::solid::tag::Tag;
use crate::tolerance::{DISTINCT_VERTICES, SNAP, VERTEX_FIT};

/// A filleted body and its joints.
pub(super) struct RolledBody {
    pub(super) body: Primitive,
    pub(super) joints: Vec<Joint>,
}

/// The bodies that a filleted one is made of, as they are and offset by the ball's radius.
pub(super) struct RollingBase {
    pub(super) parts: Vec<Primitive>,
    pub(super) offset: Vec<Primitive>,
}

/// Rolls a ball along the inward edges of an offset solid's boundary: `bodies` are those that the result is made of.
pub(super) fn roll(
    offset: &Brep,
    radius: f64,
    side: RollingSide,
    bodies: RollingBase,
    name: &dyn Fn(&Tag, &Tag) -> Tag,
) -> Result<RolledBody, Vec<LocatedFailure>> {
    let classified = convexity::classify(offset);
    let sharp: Vec<LocatedFailure> = (0..classified.len())
        .filter(|e| {
            !matches!(classified[*e].convexity, Convexity::Smooth) && classified[*e].convexity != side.paths()
        })
        .map(|e| located(offset, &classified[e].faces, offset.edge_point(e, 0.5), FilletFailure::SharpEdge))
        .collect();
    if !sharp.is_empty() {
        return Err(sharp);
    }
    let wanted: Vec<usize> =
        (0..classified.len()).filter(|e| classified[*e].convexity == side.paths()).collect();
    let chains = spines::chains(offset, &classified, &wanted);
    let mut builder = BoundaryBuilder {
        offset,
        radius,
        side,
        classified: &classified,
        chains: &chains,
        surfaces: base_surfaces(offset, radius, side).map_err(|f| vec![f])?,
        vertex_of: BTreeMap::new(),
        points: vec![],
        touching: vec![],
        segments: vec![],
        canals: vec![],
        contacts: ContactCurves::default(),
        edges: vec![],
        vertex_blends: vec![],
    };
    let mut failures: Vec<LocatedFailure> = Vec::new();
    failures.extend(builder.vertices().err());
    if failures.is_empty() {
        failures.extend(chains.iter().filter_map(|c| builder.segment(c).err()));
    }
    if failures.is_empty() {
        failures.extend(builder.smooth_edges().and_then(|()| builder.ends()).err());
    }
    if !failures.is_empty() {
        return Err(failures);
    }
    Ok(builder.finish(bodies, name))
}

fn located(offset: &Brep, faces: &[usize], at: P3, failure: FilletFailure) -> LocatedFailure {
    let tags = faces.iter().map(|f| offset.faces[*f].tag.clone()).collect();
    LocatedFailure::about(failure, Some(at), tags)
}

/// The surfaces of the result under the faces of the offset solid. Faces of one canal share theirs.
fn base_surfaces(offset: &Brep, radius: f64, side: RollingSide) -> Result<Vec<Surface>, LocatedFailure> {
    let mut canals: Vec<(Arc<Canal>, Surface)> = Vec::new();
    let mut out = Vec::with_capacity(offset.faces.len());
    for (i, f) in offset.faces.iter().enumerate() {
        if let Surface::Canal(c) = &f.surface
            && let Some((_, known)) = canals.iter().find(|k| Arc::ptr_eq(&k.0, c))
        {
            out.push(known.clone());
            continue;
        }
        let inwards = f.same_sense == (side == RollingSide::Outside);
        let moved = f.surface.offset(if inwards { -radius } else { radius });
        let Some(moved) = moved else {
            let at = f
                .loops
                .first()
                .and_then(|l| l.first())
                .map_or(P3::origin(), |h| offset.edge_point(h.edge, 0.5));
            return Err(located(offset, &[i], at, FilletFailure::SharpEdge));
        };
        if let Surface::Canal(c) = &f.surface {
            canals.push((c.clone(), moved.clone()));
        }
        out.push(moved);
    }
    Ok(out)
}

/// What the contact curves of a fillet segment bound, in the spine's sense.
struct TrimmedSegment {
    segment: FilletSegment,
    /// Vertices at both ends, on the first and the second support.
    ends: [[usize; 2]; 2],
    /// The support along whose contact curve the loop about the canal runs forwards.
    ahead: usize,
}

struct BoundaryBuilder<'a> {
    offset: &'a Brep,
    radius: f64,
    side: RollingSide,
    classified: &'a [ClassifiedEdge],
    chains: &'a [EdgeChain],
    surfaces: Vec<Surface>,
    /// The result's vertex under a face of the offset solid at a vertex.
    vertex_of: BTreeMap<(usize, usize), usize>,
    points: Vec<P3>,
    /// Patches at each vertex.
    touching: Vec<Vec<usize>>,
    segments: Vec<TrimmedSegment>,
    canals: Vec<Option<Arc<Canal>>>,
    contacts: ContactCurves,
    edges: Vec<PrimitiveEdge>,
    vertex_blends: Vec<VertexBlend>,
}

impl BoundaryBuilder<'_> {
    fn foot(&self, face: usize, p: P3) -> P3 {
        p - self.rolling_normal(face, p) * self.radius
    }

    /// The normal of a face on the side from which the ball touches it.
    fn rolling_normal(&self, face: usize, p: P3) -> V3 {
        let outward = self.offset.faces[face].outward(p);
        if self.side == RollingSide::Outside { outward } else { -outward }
    }

    fn fail(&self, edge: usize, failure: FilletFailure) -> LocatedFailure {
        located(self.offset, &self.classified[edge].faces, self.offset.edge_point(edge, 0.5), failure)
    }

    /// One vertex of the result for all faces at a vertex that run on smoothly into each other.
    fn vertices(&mut self) -> Result<(), LocatedFailure> {
        let mut at: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
        let mut smooth: BTreeMap<usize, Vec<[usize; 2]>> = BTreeMap::new();
        for (e, l) in self.classified.iter().enumerate() {
            let edge = &self.offset.edges[e];
            for v in [edge.start, edge.end] {
                at.entry(v).or_default().extend(l.faces);
                if l.convexity == Convexity::Smooth {
                    smooth.entry(v).or_default().push(l.faces);
                }
            }
        }
        for (v, mut faces) in at {
            faces.sort_unstable();
            faces.dedup();
            let mut groups = DisjointSets::new(faces.len());
            for pair in smooth.get(&v).into_iter().flatten() {
                let [i, j] = pair.map(|f| faces.binary_search(&f).unwrap_or(0));
                groups.join(i, j);
            }
            let p = self.offset.vertices[v];
            let first = self.points.len();
            for (i, f) in faces.iter().enumerate() {
                let least = groups.least(i);
                let foot = self.foot(*f, p);
                let vertex = if least == i {
                    self.points.push(foot);
                    self.touching.push(vec![]);
                    self.points.len() - 1
                } else {
                    self.vertex_of[&(v, faces[least])]
                };
                if (self.points[vertex] - foot).norm() > VERTEX_FIT {
                    return Err(located(self.offset, &[faces[least], *f], p, FilletFailure::Flat));
                }
                self.touching[vertex].push(*f);
                self.vertex_of.insert((v, *f), vertex);
            }
            let own = &self.points[first..];
            for i in 0..own.len() {
                if own[i + 1..].iter().any(|q| (q - own[i]).norm() < DISTINCT_VERTICES) {
                    return Err(located(self.offset, &faces, p, FilletFailure::Flat));
                }
            }
        }
        Ok(())
    }

    fn push(&mut self, (curve, range): EdgeCurve, patches: [usize; 2], forward: [bool; 2], ends: [usize; 2]) {
        for c in ends {
            self.touching[c].extend(patches);
        }
        self.edges.push(PrimitiveEdge { curve, range: Some(range), patches, forward: Some(forward) });
    }

    /// How the two faces' loops run along an edge of the offset solid.
    fn senses(&self, edge: usize, faces: [usize; 2]) -> [bool; 2] {
        faces.map(|f| {
            let mut all = self.offset.faces[f].loops.iter().flatten();
            all.find(|h| h.edge == edge).is_some_and(|h| h.forward)
        })
    }

    fn smooth_edges(&mut self) -> Result<(), LocatedFailure> {
        for e in 0..self.classified.len() {
            if self.classified[e].convexity != Convexity::Smooth {
                continue;
            }
            let faces = self.classified[e].faces;
            let edge = &self.offset.edges[e];
            let ends = [edge.start, edge.end].map(|v| self.vertex_of[&(v, faces[0])]);
            let middle = self.foot(faces[0], self.offset.edge_point(e, 0.5));
            let feet = [self.points[ends[0]], middle, self.points[ends[1]]];
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
        }
        Ok(())
    }

    /// The number of the patch of segment `i`; those of balls follow.
    fn canal_patch(&self, i: usize) -> usize {
        self.offset.faces.len() + i
    }

    fn segment(&mut self, chain: &EdgeChain) -> Result<(), LocatedFailure> {
        let first = chain.edges[0].edge;
        let segment = spines::segment(self.offset, chain, self.radius, self.side)
            .map_err(|(failure, tight)| LocatedFailure { tight, ..self.fail(first, failure) })?;
        let number = self.segments.len();
        let patch = self.canal_patch(number);
        let canal = match &segment.spine {
            SpineCurve::Spine(spine) => {
                Some(Arc::new(Canal::new(spine.clone(), self.radius, segment.supports[0].offset.clone())))
            }
            _ => None,
        };
        let stations: Vec<usize> = std::iter::once(self.offset.tail(chain.edges[0]))
            .chain(chain.edges.iter().map(|h| self.offset.head(*h)))
            .collect();
        let last = stations.len() - 1;
        let at: Vec<f64> = (0..=last)
            .map(|i| match i {
                0 => segment.range.0,
                i if i == last => segment.range.1,
                i => segment.spine.nearest(self.offset.vertices[stations[i]]),
            })
            .collect();
        let mut ends = [[0; 2]; 2];
        let mut ahead = 0;
        for (i, h) in chain.edges.iter().enumerate() {
            let faces = self.supports_of(h.edge, &segment);
            let senses = self.senses(h.edge, faces);
            for side in 0..2 {
                let vertices = [stations[i], stations[i + 1]].map(|v| self.vertex_of[&(v, faces[side])]);
                let along = senses[side] == h.forward;
                if !along {
                    ahead = side;
                }
                if i == 0 {
                    ends[0][side] = vertices[0];
                }
                if i + 1 == last {
                    ends[1][side] = vertices[1];
                }
                let points = vertices.map(|c| self.points[c]);
                let range = (at[i], at[i + 1]);
                let piece =
                    edges::contact_edge(&segment, side, range, points, canal.as_ref(), &mut self.contacts);
                self.push(piece, [faces[side], patch], [along, !along], vertices);
            }
        }
        self.segments.push(TrimmedSegment { segment, ends, ahead });
        self.canals.push(canal);
        Ok(())
    }

    /// The faces beside an edge of a chain, that on the fillet segment's first support first.
    fn supports_of(&self, edge: usize, segment: &FilletSegment) -> [usize; 2] {
        let [f, g] = self.classified[edge].faces;
        let c = self.offset.edge_point(edge, 0.5);
        let towards = segment.supports[0].towards(c);
        let near = |face: usize| -self.rolling_normal(face, c).dot(&towards);
        if near(f) >= near(g) { [f, g] } else { [g, f] }
    }

    /// Arcs across the ends of segments: between two segments, or between segments and the ball at rest.
    fn ends(&mut self) -> Result<(), LocatedFailure> {
        let mut meeting: BTreeMap<usize, Vec<(usize, usize)>> = BTreeMap::new();
        for (i, chain) in self.chains.iter().enumerate() {
            for (end, v) in chain.ends(self.offset).into_iter().enumerate() {
                meeting.entry(v).or_default().push((i, end));
            }
        }
        let mut vertex_blends = Vec::new();
        for (v, list) in meeting {
            let fault = |failure| {
                let faces = self.classified[self.chains[list[0].0].edges[0].edge].faces;
                located(self.offset, &faces, self.offset.vertices[v], failure)
            };
            match list.as_slice() {
                [_] => return Err(fault(FilletFailure::Flat)),
                [a, b] => {
                    let (from, to) = self.arc_of(*a);
                    if self.arc_of(*b) != (to, from) {
                        return Err(fault(FilletFailure::NoWay));
                    }
                    let piece = edges::arc(self.offset.vertices[v], self.points[from], self.points[to]);
                    let patches = [self.canal_patch(a.0), self.canal_patch(b.0)];
                    self.push(piece, patches, [true, false], [from, to]);
                }
                _ => vertex_blends.push((v, list)),
            }
        }
        for (v, list) in vertex_blends {
            self.ball(v, &list)?;
        }
        Ok(())
    }

    /// The vertices between which the loop about a fillet segment runs across its end (0: start, 1: end).
    fn arc_of(&self, (segment, end): (usize, usize)) -> (usize, usize) {
        let r = &self.segments[segment];
        let [a, b] = [r.ends[end][r.ahead], r.ends[end][1 - r.ahead]];
        if end == 1 { (a, b) } else { (b, a) }
    }

    /// The piece of the ball that rests on three supports or more.
    fn ball(&mut self, v: usize, list: &[(usize, usize)]) -> Result<(), LocatedFailure> {
        let center = self.offset.vertices[v];
        let arcs: Vec<(usize, usize)> = list.iter().map(|l| self.arc_of(*l)).collect();
        // The loop about the ball runs against those about the fillet segments.
        let mut order = vec![0];
        while order.len() < arcs.len() {
            let from = arcs[order[order.len() - 1]].0;
            let next = (0..arcs.len()).find(|k| !order.contains(k) && arcs[*k].1 == from);
            let Some(next) = next else {
                let faces = self.classified[self.chains[list[0].0].edges[0].edge].faces;
                return Err(located(self.offset, &faces, center, FilletFailure::NoWay));
            };
            order.push(next);
        }
        let patch = self.offset.faces.len() + self.chains.len() + self.vertex_blends.len();
        let mut feet = Vec::new();
        let mut supports: Vec<Support> = Vec::new();
        for k in order {
            let (segment, end) = list[k];
            let (from, to) = arcs[k];
            let piece = edges::arc(center, self.points[from], self.points[to]);
            self.push(piece, [self.canal_patch(segment), patch], [true, false], [from, to]);
            feet.push((self.points[to] - center).normalize());
            let r = &self.segments[segment];
            let side = usize::from(r.ends[end][1] == to);
            supports.push(r.segment.supports[side].clone());
        }
        self.vertex_blends.push(VertexBlend::new(center, self.radius, feet, supports));
        Ok(())
    }

    fn finish(
        self,
        RollingBase { parts, offset }: RollingBase,
        name: &dyn Fn(&Tag, &Tag) -> Tag,
    ) -> RolledBody {
        let mut patches = Vec::new();
        let mut same_sense = Vec::new();
        for (f, face) in self.offset.faces.iter().enumerate() {
            patches.push(self.support_patch(f, face));
            same_sense.push(face.same_sense);
        }
        let mut joints = Vec::new();
        let mut names = Vec::new();
        for (i, chain) in self.chains.iter().enumerate() {
            let [a, b] = chain.faces.map(|f| &self.offset.faces[f].tag);
            let tag = name(a, b);
            patches.push(faces::canal(&self.segments[i].segment, self.canals[i].as_ref(), &tag));
            same_sense.push(self.side == RollingSide::Inside);
            joints.push(self.joint(chain, [a, b]));
            names.push(tag);
        }
        let first_of = |ball: usize| {
            let patch = self.offset.faces.len() + self.chains.len() + ball;
            let of = |e: &&PrimitiveEdge| e.patches.contains(&patch);
            self.edges.iter().find(of).map_or(0, |e| e.patches[0].min(e.patches[1]) - self.offset.faces.len())
        };
        for (i, c) in self.vertex_blends.iter().enumerate() {
            // Of the feature and class of its first fillet.
            let first = names.get(first_of(i));
            let feature = first.map_or("fillet", |t| &t.feature);
            let tag = Tag { class: first.map_or(0, |t| t.class), ..Tag::formed(feature, "fillet corner") };
            patches.push(faces::vertex_blend(c, tag));
            same_sense.push(self.side == RollingSide::Inside);
        }
        let vertices = self
            .points
            .iter()
            .zip(&self.touching)
            .map(|(point, patches)| {
                let mut patches = patches.clone();
                patches.sort_unstable();
                patches.dedup();
                PrimitiveVertex { point: *point, patches }
            })
            .collect();
        // What a ball can't reach lies within the hull of the bodies; boxes of faces are only estimates.
        let bounds = parts.iter().fold(Bounds::empty(), |b, p| b.union(p.bounds())).grown(SNAP);
        for p in &mut patches {
            p.bounds = p.bounds.intersection(&bounds);
        }
        let segments = self.segments.into_iter().map(|r| r.segment).collect();
        let body = FilletBody {
            parts,
            offset_parts: offset,
            radius: self.radius,
            segments,
            vertex_blends: self.vertex_blends,
            same_sense,
            bounds,
            base_patches: self.offset.faces.len(),
            sharp: None,
        };
        RolledBody { body: Primitive::filleted(body, patches, self.edges, vertices), joints }
    }

    /// The face of the filleted body that a face of the offset one lies a radius from.
    fn support_patch(&self, number: usize, face: &BrepFace) -> Patch {
        let point = |h: &HalfEdge, f: f64| {
            self.foot(number, self.offset.edge_point(h.edge, if h.forward { f } else { 1.0 - f }))
        };
        let along = |h: &HalfEdge| faces::along(&|f| point(h, f));
        let loops: Vec<Vec<Vec<P3>>> = face.loops.iter().map(|l| l.iter().map(along).collect()).collect();
        faces::support(self.surfaces[number].clone(), &face.tag, &loops)
    }

    fn joint(&self, chain: &EdgeChain, tags: [&Tag; 2]) -> Joint {
        let faces = if tags[0] <= tags[1] { tags } else { [tags[1], tags[0]] }.map(Tag::clone);
        let length = chain.edges.iter().map(|h| self.offset.edge_length(h.edge)).sum();
        let at = self.offset.edge_point(chain.edges[chain.edges.len() / 2].edge, 0.5);
        Joint { faces, asked: self.radius, made: self.radius, length, at, failure: None }
    }
}
