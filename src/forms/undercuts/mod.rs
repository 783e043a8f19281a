//! Faces that hold the pattern in the sand, and the parting angle with the least such area.
//!
//! The boundary is cut at the parting plane; each half is drawn along its own pull. A part of a face can't be drawn where
//! its exact normal leans against the pull, or where metal of the same half hangs over it. What rapping frees does not
//! count.

mod facets;
mod ranking;
mod shadow;
#[cfg(test)]
mod tests;
mod traced;
mod upright;

use std::collections::BTreeSet;
use std::sync::Arc;

use rayon::prelude::*;

use self::facets::Corner;
pub(super) use self::facets::{Facet, Half, Spot};
use self::ranking::Ranking;
pub(super) use self::shadow::{Boundary, RAP};
use self::traced::FoundFaces;
pub(super) use self::traced::{Held, Traced};
use super::loose::{HeldPlace, held_places};
use super::{Casting, FormError, Settings, unmeshed, unsound};
use crate::faces::Feature;
use crate::housing::Housing;
use solidwright::geometry::{P3, V3};
use solidwright::mesh::{MeshError, triangulate};
use solidwright::solid::{Solid, Tag};

/// A face that cannot be drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct Undercut {
    /// The face.
    pub tag: Tag,
    /// Area that faces against the draw, or lies in the shadow of another face, mm².
    pub area: f64,
    /// A point of it, mm.
    pub at: V3,
    /// The face whose shadow it lies in, that of the largest share if there are several; `None` where the face itself
    /// faces against the draw.
    pub under: Option<Tag>,
}

impl Undercut {
    /// The feature that holds the pattern: that of the face, or of the face over it.
    pub fn holder(&self) -> Feature {
        Feature::of(self.under.as_ref().unwrap_or(&self.tag))
    }
}

/// A face counts from this slope against the draw, as a sine: about a degree, which a rapped pattern forgives.
pub(super) const SLOPE: f64 = 0.02;

/// Areas below this are slivers of the mesh, mm².
const LEAST_AREA: f64 = 1.0;

/// Chord error of the mesh that is examined, mm: on a steep wall a shadow ends higher or lower by this over the wall's lean.
pub(super) const CHORD: f64 = 0.03;

/// The same where partings are only compared.
const ROUGH_CHORD: f64 = 0.2;

/// Step of the parting's clock angle, degrees.
const STEP: usize = 5;

/// How the pattern leaves the sand.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Drawing {
    /// Faces that cannot be drawn from their half of the mould, largest area first.
    pub undercuts: Vec<Undercut>,
    /// Faces that stand upright in the mould, without draft.
    pub upright: Vec<Undercut>,
    /// The places at which they hold it however it is rapped, by half.
    pub places: Vec<HeldPlace>,
}

impl Drawing {
    /// Whether something holds the pattern at a feature by more than is dressed by hand.
    pub fn needs_a_piece(&self, feature: Feature) -> bool {
        self.places.iter().any(|place| !place.by_hand && place.features.contains(&feature))
    }

    /// The places at a feature that are dressed by hand.
    pub fn dressed_at(&self, feature: Feature) -> impl Iterator<Item = &HeldPlace> {
        self.places.iter().filter(move |place| place.by_hand && place.features.contains(&feature))
    }
}

/// Distance of the places by which pictures show what of a face holds the mould, mm.
pub const HELD_APART: f64 = 0.7;

/// The pattern as it is drawn from the sand.
#[derive(Debug)]
pub(super) struct TracedPattern {
    /// The upper half and the lower one.
    pub(super) halves: [Traced; 2],
    /// Faces that stand upright in the mould, without draft.
    upright: Vec<Undercut>,
}

impl TracedPattern {
    /// Traces both halves, each by itself where the pattern has halves.
    pub(super) fn of(casting: &Casting) -> Result<Self, FormError> {
        let settings = &casting.settings;
        let mut whole = Vec::new();
        if casting.pattern.is_err() {
            let tree = super::pattern::whole(&casting.moulded, settings)?;
            whole.push(Solid::of(tree).map_err(unsound("pattern"))?);
        }
        let pieces = casting.pattern.as_ref().map_or(&[][..], |pattern| &pattern.pieces);
        let solids: Vec<&Solid> = pieces.iter().map(|piece| &piece.solid).chain(&whole).collect();
        let mesh = |solid: &&Solid| triangulate(solid, CHORD).map_err(unmeshed("pattern"));
        let meshes = solids.par_iter().map(mesh).collect::<Result<Vec<_>, _>>()?;
        let all = || solids.iter().map(|solid| solid.brep()).zip(&meshes);
        let boundaries: Vec<Arc<Boundary>> = all().map(|solid| Arc::new(Boundary::of([solid]))).collect();
        let halves = [(settings.up, boundaries.first()), (-settings.up, boundaries.last())];
        let none = || Arc::new(Boundary::of([]));
        let halves = halves.map(|(pull, own)| Traced::half(&own.map_or_else(none, Arc::clone), pull));
        Ok(Self { halves, upright: upright::upright(all(), settings) })
    }

    /// Places of the halves at which some undercuts hold them, [`HELD_APART`] from each other.
    pub(super) fn held_points(&self, by: &[Undercut]) -> Vec<P3> {
        self.halves.iter().flat_map(|half| half.held_points(by)).collect()
    }
}

/// Examines every face of the pattern.
///
/// # Errors
/// The pattern's error, if it cannot be made.
pub fn drawing(casting: &Casting) -> Result<Drawing, FormError> {
    let traced = casting.traced()?;
    let undercuts = held_faces(&traced.halves);
    // Each half by itself: as loose pieces are looked for.
    let places = if undercuts.is_empty() { vec![] } else { held_places(&traced.halves) };
    Ok(Drawing { undercuts, upright: traced.upright.clone(), places })
}

/// Faces of a solid that can't be drawn from a mould that parts in the plane through the shaft across `up`, a direction
/// square to the shaft; largest area first. Areas of curved faces are within 2 %, the outlines of shadows within
/// 0.25 mm.
///
/// # Errors
/// Where the solid can't be meshed.
pub fn undercuts(solid: &Solid, up: V3) -> Result<Vec<Undercut>, MeshError> {
    let mesh = triangulate(solid, CHORD)?;
    let boundary = Arc::new(Boundary::of([(solid.brep(), &mesh)]));
    Ok(held_faces(&[up, -up].map(|pull| Traced::half(&boundary, pull))))
}

/// Faces that hold halves, largest area first. Each half is drawn by itself: what rapping frees in one half does not count there, though the
/// other half holds the same face.
pub(super) fn held_faces<'t>(halves: impl IntoIterator<Item = &'t Traced>) -> Vec<Undercut> {
    let mut all = FoundFaces::new();
    for (key, found) in halves.into_iter().flat_map(Traced::faces) {
        all.entry(key).or_default().join(found);
    }
    let mut out: Vec<Undercut> = all
        .into_iter()
        .map(|((tag, _), f)| {
            let under = f.under.into_iter().max_by(|a, b| a.1.total_cmp(&b.1)).map(|(tag, _)| tag);
            Undercut { tag, area: f.area, at: f.at, under }
        })
        .collect();
    out.sort_by(|a, b| b.area.total_cmp(&a.area).then_with(|| (&a.tag, &a.under).cmp(&(&b.tag, &b.under))));
    out
}

/// Area that cannot be drawn, mm², for clock angles of the parting from 0 to 175 degrees, measured on the finished
/// part's outside, before any draft. The least is traced; those of other angles may be estimates.
///
/// Where the part's bodies have no proper boundary without its cuts, the part itself is looked at, without the faces that the cuts have made.
///
/// # Errors
/// Where neither can be meshed.
pub fn best_parting(finished: &Housing) -> Result<Vec<(f64, f64)>, FormError> {
    let bodies = finished.solid.tree().added();
    if let Ok(solid) = Solid::of(bodies.clone()) {
        return by_clock(&solid).map_err(unmeshed("pattern"));
    }
    let own: BTreeSet<&Tag> =
        bodies.steps().iter().flat_map(|step| step.primitive.patches()).map(|patch| &patch.tag).collect();
    let mesh = triangulate(&finished.solid, ROUGH_CHORD).map_err(unmeshed("pattern"))?;
    let cut = |tag: &Tag| !own.contains(tag);
    Ok(ranked(&Arc::new(Boundary::without([(finished.solid.brep(), &mesh)], cut))))
}

/// Area of a solid that cannot be drawn from two halves, mm², for clock angles of their parting from 0 to 175 degrees. All are estimated;
/// those that seem least are traced, until the least of all is one that was traced.
///
/// # Errors
/// Where the solid can't be meshed.
pub(super) fn by_clock(solid: &Solid) -> Result<Vec<(f64, f64)>, MeshError> {
    let mesh = triangulate(solid, ROUGH_CHORD)?;
    Ok(ranked(&Arc::new(Boundary::of([(solid.brep(), &mesh)]))))
}

/// The same of a boundary.
fn ranked(boundary: &Arc<Boundary>) -> Vec<(f64, f64)> {
    let ranking = Ranking::of(boundary);
    let angles: Vec<f64> = (0..180).step_by(STEP).map(f64::from).collect();
    let estimate = |angle: &f64| (*angle, ranking.area(upwards(*angle)));
    let mut all: Vec<(f64, f64)> = angles.par_iter().map(estimate).collect();
    let mut traced = vec![false; all.len()];
    let least = |all: &[(f64, f64)]| (0..all.len()).min_by(|i, j| all[*i].1.total_cmp(&all[*j].1));
    while let Some(k) = least(&all).filter(|k| !traced[*k]) {
        let up = upwards(all[k].0);
        let found = held_faces(&[up, -up].map(|pull| Traced::rough(boundary, pull)));
        (all[k].1, traced[k]) = (found.iter().map(|u| u.area).sum(), true);
    }
    all
}

/// The direction of a clock angle, degrees.
pub(super) fn upwards(clock: f64) -> V3 {
    let (s, c) = clock.to_radians().sin_cos();
    V3::new(0.0, s, c)
}
