//! The boundary of a filleted body, from that of the solid offset by the ball's radius.

use std::sync::{Arc, OnceLock};

use rayon::prelude::*;

use super::boundary::{BoundaryBuilder, TrimmedSegment};
use super::convexity::RollingSide;
use super::corners::OffsetSolid;
use super::courses::{Ball, Courses};
use super::edges::{self, ContactCurves};
use super::faces;
use super::failure::{FilletFailure, LocatedFailure};
use super::joint::Joint;
use super::kept_creases::KeptCrease;
use super::sheets::Sheet;
use super::spines::EdgeChain;
use crate::geometry::{Bounds, Canal, P3, Surface};
use crate::solid::blend::{FilletSegment, SpineCurve};
use crate::solid::brep::{Brep, BrepFace, HalfEdge};
use crate::solid::patch::{Patch, PrimitiveEdge, PrimitiveVertex};
use crate::solid::primitive::{FilletBody, Primitive};
use crate::solid::tag::Tag;
use crate::tolerance::SNAP;

/// A filleted body and its joints.
pub(super) struct RolledBody {
    pub(super) body: Primitive,
    pub(super) joints: Vec<Joint>,
    /// Its creases but for those of earlier balls.
    pub(super) creases: Vec<KeptCrease>,
}

/// The bodies that a filleted one is made of, as they are and offset by the ball's radius.
pub(super) struct RollingBase {
    pub(super) parts: Vec<Primitive>,
    pub(super) offset: Vec<Primitive>,
}

/// Rolls a ball along the inward edges of an offset solid's boundary: `bodies` are those that the result is made of, `kept`
/// the creases of earlier balls.
pub(super) fn roll(
    offset: &Brep,
    ball: Ball<'_>,
    bodies: RollingBase,
    kept: &[KeptCrease],
    name: &dyn Fn(&Tag, &Tag) -> Tag,
) -> Result<RolledBody, Vec<LocatedFailure>> {
    let mut courses = Courses::find(offset, &ball, kept)?;
    let corners = std::mem::take(&mut courses.corners);
    let offset = courses.offset.as_ref();
    let mut builder = BoundaryBuilder {
        solid: OffsetSolid { brep: offset, radius: ball.radius, side: ball.side },
        classified: &courses.classified,
        chains: &courses.chains,
        creases: &courses.creases,
        surfaces: base_surfaces(&courses, &ball).map_err(|f| vec![f])?,
        corners,
        segments: vec![],
        canals: vec![],
        contacts: ContactCurves::default(),
        edges: vec![],
        vertex_blends: vec![],
        balls: vec![],
        made: vec![],
    };
    for (chain, segment) in courses.chains.iter().zip(&courses.segments) {
        builder.segment(chain, segment.clone()).map_err(|f| vec![f])?;
    }
    let gone = builder.kept(&courses.kept, kept);
    builder.smooth_edges(&courses.kept, &gone).and_then(|()| builder.ends()).map_err(|f| vec![f])?;
    Ok(builder.finish(bodies, name))
}

/// The surfaces of the result under the faces of the offset solid. Faces of one canal share theirs.
fn base_surfaces(courses: &Courses<'_>, ball: &Ball<'_>) -> Result<Vec<Surface>, LocatedFailure> {
    let offset = courses.offset.as_ref();
    let mut canals: Vec<(Arc<Canal>, Surface)> = Vec::new();
    let mut out = Vec::with_capacity(offset.faces.len());
    for (i, f) in offset.faces.iter().enumerate() {
        if let Surface::Canal(c) = &f.surface
            && let Some((_, known)) = canals.iter().find(|k| Arc::ptr_eq(&k.0, c))
        {
            out.push(known.clone());
            continue;
        }
        let inwards = f.same_sense == (ball.side == RollingSide::Outside);
        let moved = f.surface.offset(if inwards { -ball.radius } else { ball.radius });
        let Some(moved) = moved else {
            let at = f
                .loops
                .first()
                .and_then(|l| l.first())
                .map_or(P3::origin(), |h| offset.edge_point(h.edge, 0.5));
            return Err(LocatedFailure::between(offset, &[i], at, FilletFailure::SharpEdge));
        };
        let moved = match moved {
            Surface::Canal(c) if courses.kept.folded.contains(&i) => {
                Surface::Canal(Arc::new(c.as_ref().clone().folded()))
            }
            other => other,
        };
        if let Surface::Canal(c) = &f.surface {
            canals.push((c.clone(), moved.clone()));
        }
        out.push(moved);
    }
    Ok(out)
}

impl BoundaryBuilder<'_> {
    fn segment(&mut self, chain: &EdgeChain, segment: FilletSegment) -> Result<(), LocatedFailure> {
        let number = self.segments.len();
        let patch = self.canal_patch(number);
        let canal = match &segment.spine {
            SpineCurve::Spine(spine) => {
                let canal = Canal::new(spine.clone(), self.solid.radius, segment.supports[0].offset.clone());
                Some(Arc::new(if segment.folded { canal.folded() } else { canal }))
            }
            _ => None,
        };
        let stations: Vec<usize> = std::iter::once(self.solid.brep.tail(chain.edges[0]))
            .chain(chain.edges.iter().map(|h| self.solid.brep.head(*h)))
            .collect();
        let last = stations.len() - 1;
        let at: Vec<f64> = (0..=last)
            .map(|i| match i {
                0 => segment.range.0,
                i if i == last => segment.range.1,
                i => segment.spine.nearest(self.solid.brep.vertices[stations[i]]),
            })
            .collect();
        let mut ends = [[0; 2]; 2];
        let mut ahead = 0;
        for (i, h) in chain.edges.iter().enumerate() {
            let faces = self.supports_of(h.edge, &segment);
            let senses = self.senses(h.edge, faces);
            for side in 0..2 {
                let vertices = self.under(h.edge, faces[side], [stations[i], stations[i + 1]])?;
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
                let points = vertices.map(|c| self.corners.points[c]);
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
        let c = self.solid.brep.edge_point(edge, 0.5);
        let towards = segment.supports[0].towards(c);
        let near = |face: usize| -self.solid.rolling_normal(face, c).dot(&towards);
        if near(f) >= near(g) { [f, g] } else { [g, f] }
    }

    fn finish(
        self,
        RollingBase { parts, offset }: RollingBase,
        name: &dyn Fn(&Tag, &Tag) -> Tag,
    ) -> RolledBody {
        let mut same_sense: Vec<bool> = self.solid.brep.faces.iter().map(|f| f.same_sense).collect();
        let mut joints = Vec::new();
        let mut names = Vec::new();
        for chain in self.chains {
            let [a, b] = chain.faces.map(|f| &self.solid.brep.faces[f].tag);
            same_sense.push(self.solid.side == RollingSide::Inside);
            joints.push(self.joint(chain, [a, b]));
            names.push(name(a, b));
        }
        let mut patches = self.patches(&names);
        let first_of = |ball: usize| {
            let patch = self.solid.brep.faces.len() + self.chains.len() + ball;
            let of = |e: &&PrimitiveEdge| e.patches.contains(&patch);
            self.edges
                .iter()
                .find(of)
                .map_or(0, |e| e.patches[0].min(e.patches[1]) - self.solid.brep.faces.len())
        };
        for (i, c) in self.vertex_blends.iter().enumerate() {
            // Of the feature and class of its first fillet.
            let first = names.get(first_of(i));
            let feature = first.map_or("fillet", |t| &t.feature);
            let tag = Tag { class: first.map_or(0, |t| t.class), ..Tag::formed(feature, "fillet corner") };
            patches.push(faces::vertex_blend(c, tag));
            same_sense.push(self.solid.side == RollingSide::Inside);
        }
        let vertices = self
            .corners
            .points
            .iter()
            .zip(&self.corners.touching)
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
        let (rivals, blend_rivals) = self.rivals();
        let segments = self.segments.into_iter().map(|r| r.segment).collect();
        let body = FilletBody {
            parts,
            offset_parts: offset,
            radius: self.solid.radius,
            segments,
            rivals,
            blend_rivals,
            vertex_blends: self.vertex_blends,
            same_sense,
            bounds,
            base_patches: self.solid.brep.faces.len(),
            sharp: None,
            near: OnceLock::new(),
        };
        RolledBody {
            body: Primitive::filleted(body, patches, self.edges, vertices),
            joints,
            creases: self.made,
        }
    }

    /// The faces under those of the offset solid, then those along the segments, which have names.
    fn patches(&self, names: &[Tag]) -> Vec<Patch> {
        let supports =
            self.solid.brep.faces.par_iter().enumerate().map(|(f, face)| self.support_patch(f, face));
        let canal =
            |(i, tag): (usize, &Tag)| faces::canal(&self.segments[i].segment, self.canals[i].as_ref(), tag);
        supports.chain(names.par_iter().enumerate().map(canal)).collect()
    }

    /// Of each segment and each ball at rest the segments that it meets in a crease.
    fn rivals(&self) -> (Vec<Vec<usize>>, Vec<Vec<usize>>) {
        let mut rivals = vec![vec![]; self.segments.len()];
        let mut blend_rivals = vec![vec![]; self.vertex_blends.len()];
        for crease in self.creases {
            for s in &crease.segments {
                rivals[*s].extend(&crease.segments);
            }
            for sheet in &crease.sheets {
                if let Sheet::Ball(v) = sheet
                    && let Ok(ball) = self.balls.binary_search(v)
                {
                    blend_rivals[ball].extend(&crease.segments);
                }
            }
        }
        (rivals, blend_rivals)
    }

    /// The face of the filleted body that a face of the offset one lies a radius from.
    fn support_patch(&self, number: usize, face: &BrepFace) -> Patch {
        let point = |h: &HalfEdge, f: f64| {
            self.solid.foot(number, self.solid.brep.edge_point(h.edge, if h.forward { f } else { 1.0 - f }))
        };
        let along = |h: &HalfEdge| faces::along(&|f| point(h, f));
        let loops: Vec<Vec<Vec<P3>>> = face.loops.iter().map(|l| l.iter().map(along).collect()).collect();
        faces::support(self.surfaces[number].clone(), &face.tag, &loops)
    }

    fn joint(&self, chain: &EdgeChain, tags: [&Tag; 2]) -> Joint {
        let faces = if tags[0] <= tags[1] { tags } else { [tags[1], tags[0]] }.map(Tag::clone);
        let length = chain.edges.iter().map(|h| self.solid.brep.edge_length(h.edge)).sum();
        let at = self.solid.brep.edge_point(chain.edges[chain.edges.len() / 2].edge, 0.5);
        Joint { faces, asked: self.solid.radius, made: self.solid.radius, length, at, failure: None }
    }
}
