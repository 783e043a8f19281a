//! All paths of one ball, with the fillet segments along them and the creases between those.

use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};

use rayon::prelude::*;

use super::convexity::{self, ClassifiedEdge, Convexity, RollingSide};
use super::corners::{Corners, OffsetSolid};
use super::crease_pieces::Crease;
use super::creases::{self, FoundCreases};
use super::failure::{FilletFailure, LocatedFailure};
use super::folds::{self, Folds};
use super::gaps;
use super::kept_creases::{KeptCrease, KeptPlaces};
use super::path;
use super::sheets::Sheets;
use super::spines::{self, EdgeChain};
use crate::geometry::P3;
use crate::solid::blend::FilletSegment;
use crate::solid::brep::{Brep, HalfEdge};

/// A ball, the side on which it rolls, and what to do where its path folds.
#[derive(Clone, Copy, Debug)]
pub(super) struct Ball<'a> {
    pub(super) radius: f64,
    pub(super) side: RollingSide,
    pub(super) folding: Folds<'a>,
    /// The radii of all balls that come along the same paths, over whose creases the paths are cut.
    pub(super) folds_at: &'a [f64],
}

impl Ball<'_> {
    fn on<'b>(&self, brep: &'b Brep) -> OffsetSolid<'b> {
        OffsetSolid { brep, radius: self.radius, side: self.side }
    }
}

/// How edges were cut where creases begin and end.
#[derive(Default)]
struct Cuts {
    /// The vertices at which chains end.
    stops: BTreeSet<usize>,
    /// The segments along chains of which no edge was cut.
    whole: BTreeMap<Vec<HalfEdge>, FilletSegment>,
}

/// The paths of a ball along the inward edges of an offset solid.
pub(super) struct Courses<'a> {
    /// The offset solid, its edges cut where creases begin and end.
    pub(super) offset: Cow<'a, Brep>,
    pub(super) classified: Vec<ClassifiedEdge>,
    pub(super) corners: Corners,
    pub(super) chains: Vec<EdgeChain>,
    /// One for each chain.
    pub(super) segments: Vec<FilletSegment>,
    pub(super) creases: Vec<Crease>,
    /// Where the creases of earlier balls are.
    pub(super) kept: KeptPlaces,
}

impl<'a> Courses<'a> {
    /// Finds them all.
    pub(super) fn find(
        offset: &'a Brep,
        ball: &Ball<'_>,
        kept: &[KeptCrease],
    ) -> Result<Self, Vec<LocatedFailure>> {
        let first = Self::along(Cow::Borrowed(offset), ball, kept, &Cuts::default())?;
        let folded = |r: &f64| first.segments.par_iter().any(|s| folds::folds(s, *r));
        let out = if ball.folding == Folds::Refuse || ball.side == RollingSide::Inside {
            let tight = first.tight(ball);
            if !tight.is_empty() {
                return Err(tight);
            }
            first
        } else if ball.folds_at.iter().any(folded) {
            first.creased(ball, kept)?
        } else {
            first
        };
        let gaps = if ball.side == RollingSide::Outside { out.gaps(ball.radius) } else { vec![] };
        if gaps.is_empty() { Ok(out) } else { Err(gaps) }
    }

    /// The same with the edges cut where creases begin and end, and with the creases. Where one is not found, the segments that
    /// fold there are too tight.
    fn creased(self, ball: &Ball<'_>, kept: &[KeptCrease]) -> Result<Self, Vec<LocatedFailure>> {
        let tight = self.tight(ball);
        let paths = path::paths(&self.offset, &self.chains, &self.segments);
        let mut cuts: Vec<(usize, f64)> = Vec::new();
        for radius in ball.folds_at {
            let folds: Vec<_> = paths.par_iter().map(|p| folds::of_path(p, *radius)).collect();
            for (path, folds) in paths.iter().zip(&folds) {
                creases::cuts(path, *radius, folds, &mut cuts);
            }
        }
        cuts.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
        let cut: BTreeSet<usize> = cuts.iter().map(|c| c.0).collect();
        let mut offset = self.offset.into_owned();
        let mut stops = BTreeSet::new();
        for (number, along) in cuts.into_iter().rev() {
            let (chain, segment) = (&self.chains[number], &self.segments[number]);
            let p = segment.spine.at(segment.range.0 + along / segment.spine.length_per_parameter()).0;
            stops.insert(split(&mut offset, chain, p).ok_or_else(|| tight.clone())?);
        }
        let both = self.chains.into_iter().zip(self.segments).enumerate().filter(|(i, _)| !cut.contains(i));
        let whole = both.map(|(_, (chain, segment))| (chain.edges, segment)).collect();
        let mut out = Self::along(Cow::Owned(offset), ball, kept, &Cuts { stops, whole })?;
        out.segments.par_iter_mut().for_each(|s| s.folded = folds::folds(s, ball.radius));
        let paths = path::paths(&out.offset, &out.chains, &out.segments);
        let sheets = Sheets::new(&out.offset, &out.chains, &out.segments, ball.radius);
        let FoundCreases { creases, lost } = FoundCreases::along(&paths, &sheets, ball.folding);
        if lost.is_empty() {
            out.creases = creases;
            return Ok(out);
        }
        let some = out.tight_of(|i| lost.contains(&i), ball);
        Err(if some.is_empty() { tight } else { some })
    }

    /// Chains and segments, whatever their folds; chains end at the stops of the cuts.
    fn along(
        offset: Cow<'a, Brep>,
        ball: &Ball<'_>,
        kept: &[KeptCrease],
        cuts: &Cuts,
    ) -> Result<Self, Vec<LocatedFailure>> {
        let classified = convexity::classify(&offset);
        let paths = ball.side.paths();
        let fault = |e: usize, failure: FilletFailure| {
            LocatedFailure::between(&offset, &classified[e].faces, offset.edge_point(e, 0.5), failure)
        };
        let kept = match KeptPlaces::find(&offset, &classified, kept, ball.radius) {
            Ok(kept) => kept,
            Err(at) => {
                let failure = LocatedFailure::about(FilletFailure::NoWay, Some(at), vec![]);
                return Err(vec![LocatedFailure { creases: true, ..failure }]);
            }
        };
        // Where two bodies are as far apart as the ball is wide, they touch when they are grown: a ball changed slightly passes, or does not.
        let touching = |e: &usize| classified[*e].convexity == Convexity::Touch && !kept.edges.contains(e);
        let touching: Vec<LocatedFailure> =
            (0..classified.len()).filter(touching).map(|e| fault(e, FilletFailure::NoWay)).collect();
        if !touching.is_empty() {
            return Err(touching);
        }
        let sharp = |e: &usize| {
            !matches!(classified[*e].convexity, Convexity::Smooth)
                && classified[*e].convexity != paths
                && !kept.edges.contains(e)
        };
        let sharp: Vec<LocatedFailure> =
            (0..classified.len()).filter(sharp).map(|e| fault(e, FilletFailure::SharpEdge)).collect();
        if !sharp.is_empty() {
            return Err(sharp);
        }
        let corners = Corners::find(&ball.on(&offset), &classified, &kept.vertices).map_err(|f| vec![f])?;
        let wanted: Vec<usize> =
            (0..classified.len()).filter(|e| classified[*e].convexity == paths).collect();
        let chains = spines::chains(&offset, &classified, &wanted, &cuts.stops);
        let segment = |c: &EdgeChain| match cuts.whole.get(&c.edges) {
            Some(known) => Ok(known.clone()),
            None => spines::segment(&offset, c, ball.radius, ball.side),
        };
        let made: Vec<_> = chains.par_iter().map(segment).collect();
        let (mut segments, mut failures) = (Vec::new(), Vec::new());
        for (chain, made) in chains.iter().zip(made) {
            match made {
                Ok(segment) => segments.push(segment),
                Err(failure) => failures.push(fault(chain.edges[0].edge, failure)),
            }
        }
        if !failures.is_empty() {
            return Err(failures);
        }
        Ok(Self { offset, classified, corners, chains, segments, creases: vec![], kept })
    }

    /// Gaps in which fillets from both sides run through each other.
    fn gaps(&self, radius: f64) -> Vec<LocatedFailure> {
        let Self { offset, classified, chains, segments, creases, .. } = self;
        gaps::BallWays { offset, classified, chains, segments, creases, radius }.gaps()
    }

    /// Segments that fold, or nearly do.
    fn tight(&self, ball: &Ball<'_>) -> Vec<LocatedFailure> {
        self.tight_of(|_| true, ball)
    }

    /// Those of them that are asked for by number.
    fn tight_of(&self, wanted: impl Fn(usize) -> bool, ball: &Ball<'_>) -> Vec<LocatedFailure> {
        let both = self.chains.iter().zip(&self.segments).enumerate().filter(|(i, _)| wanted(*i));
        both.filter_map(|(_, (chain, segment))| {
            let edge = spines::tight_edge(&self.offset, chain, segment, ball.radius, ball.side)?;
            let failure = at_chain(&self.offset, &self.classified, chain, FilletFailure::Tight);
            Some(LocatedFailure {
                tight: edge.map(Box::new),
                corner: folds::corner(segment, ball.radius).map(Box::new),
                ..failure
            })
        })
        .collect()
    }
}

fn at_chain(
    offset: &Brep,
    classified: &[ClassifiedEdge],
    chain: &EdgeChain,
    failure: FilletFailure,
) -> LocatedFailure {
    let edge = chain.edges[0].edge;
    LocatedFailure::between(offset, &classified[edge].faces, offset.edge_point(edge, 0.5), failure)
}

/// Cuts that edge of a chain which passes `p`, and gives the vertex there.
fn split(brep: &mut Brep, chain: &EdgeChain, p: P3) -> Option<usize> {
    let off = |h: &HalfEdge| {
        let e = &brep.edges[h.edge];
        let t = e.curve.param(p);
        let period = e.curve.period();
        let t = if period > 0.0 { e.range.0 + (t - e.range.0).rem_euclid(period) } else { t };
        let inside = t > e.range.0 && t < e.range.1;
        inside.then(|| ((e.curve.point(t) - p).norm(), h.edge, t))
    };
    let nearest = chain.edges.iter().filter_map(off).min_by(|a, b| a.0.total_cmp(&b.0))?;
    let (_, edge, t) = nearest;
    let vertex = brep.vertices.len();
    brep.vertices.push(p);
    let mut rest = brep.edges[edge].clone();
    (rest.range.0, rest.start) = (t, vertex);
    (brep.edges[edge].range.1, brep.edges[edge].end) = (t, vertex);
    let new = brep.edges.len();
    brep.edges.push(rest);
    for l in brep.faces.iter_mut().flat_map(|f| &mut f.loops) {
        let halves = |h: &HalfEdge| {
            let both = [HalfEdge { edge, ..*h }, HalfEdge { edge: new, ..*h }];
            match (h.edge == edge, h.forward) {
                (false, _) => vec![*h],
                (true, true) => both.to_vec(),
                (true, false) => vec![both[1], both[0]],
            }
        };
        *l = l.iter().flat_map(halves).collect();
    }
    Some(vertex)
}
