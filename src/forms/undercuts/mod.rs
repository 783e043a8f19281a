//! Faces that hold the pattern in the sand, and the parting angle with the least such area.
//!
//! The boundary is cut at the parting plane; each half is drawn along its own pull. A part of a face can't be drawn where
//! its exact normal leans against the pull, or where metal of the same half hangs over it. What rapping frees does not
//! count.

mod facets;
mod shadow;
#[cfg(test)]
mod tests;
mod upright;

use std::collections::BTreeMap;

use rayon::prelude::*;

pub(super) use self::facets::{Facet, Half};
use self::shadow::{Above, Covered, Grain, Overhangs};
pub(super) use self::shadow::{Boundary, RAP};
use super::loose::{HeldPlace, held_places};
use super::{Casting, FormError, Settings, unmeshed, unsound};
use crate::faces::Feature;
use crate::housing::Housing;
use solidwright::geometry::{P3, V3};
use solidwright::mesh::{Mesh, MeshError, triangulate};
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

/// How finely shadows are traced.
const GRAIN: Grain = Grain { coarse: 1.0, fine: 0.25, hollows: true };

/// The same where partings are only compared.
const ROUGH_GRAIN: Grain = Grain { coarse: 3.0, fine: 1.0, hollows: false };

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

/// Examines every face of the pattern.
///
/// # Errors
/// The pattern's error, if it cannot be made.
pub fn drawing(casting: &Casting) -> Result<Drawing, FormError> {
    // Both halves are the pattern's whole boundary, once their common plane is left out.
    let whole: Vec<Solid>;
    let solids: Vec<&Solid> = if let Ok(pattern) = &casting.pattern {
        pattern.pieces.iter().map(|piece| &piece.solid).collect()
    } else {
        let tree = super::pattern::whole(&casting.moulded, &casting.settings)?;
        whole = vec![Solid::of(tree).map_err(unsound("pattern"))?];
        whole.iter().collect()
    };
    let mesh = |solid: &&Solid| triangulate(solid, CHORD).map_err(unmeshed("pattern"));
    let meshes = solids.iter().map(mesh).collect::<Result<Vec<_>, _>>()?;
    let all = || solids.iter().map(|solid| solid.brep()).zip(&meshes);
    let undercuts = against(&Boundary::of(all()), casting.settings.up, GRAIN);
    let places = if undercuts.is_empty() {
        vec![]
    } else {
        // Each half by itself where there are two: as loose pieces are looked for.
        let own: Vec<Boundary> = all().map(|solid| Boundary::of([solid])).collect();
        held_places([&own[0], &own[own.len() - 1]], casting.settings.up)
    };
    Ok(Drawing { undercuts, upright: upright::upright(all(), &casting.settings), places })
}

/// Faces of a solid that can't be drawn from a mould that parts in the plane through the shaft across `up`, a direction
/// square to the shaft; largest area first. Areas of curved faces are within 2 %, the outlines of shadows within
/// 0.25 mm.
///
/// # Errors
/// Where the solid can't be meshed.
pub fn undercuts(solid: &Solid, up: V3) -> Result<Vec<Undercut>, MeshError> {
    let mesh = triangulate(solid, CHORD)?;
    Ok(against(&Boundary::of([(solid.brep(), &mesh)]), up, GRAIN))
}

/// What was found of a face.
#[derive(Default)]
struct Found {
    area: f64,
    /// Area that rapping does not free; no longer added up once it is enough.
    held: f64,
    /// A point of that.
    at: V3,
    /// Area in the shadow of each face.
    under: BTreeMap<Tag, f64>,
}

impl Found {
    /// Adds what was found in the other half.
    fn join(&mut self, other: Self) {
        if self.area < other.area {
            self.at = other.at;
        }
        self.area += other.area;
        self.held += other.held;
        for (tag, area) in other.under {
            *self.under.entry(tag).or_insert(0.0) += area;
        }
    }

    /// Adds a part of the face, asked in pieces of a length whether rapping frees it.
    fn add(&mut self, half: &Half, above: &Above, part: &Facet, under: Option<&Tag>, length: f64) {
        let area = part.area();
        self.area += area;
        if let Some(tag) = under {
            *self.under.entry(tag.clone()).or_insert(0.0) += area;
        }
        if self.held > LEAST_AREA {
            return;
        }
        for piece in part.pieces(length) {
            let middle = piece.middle();
            if above.holds(&middle) {
                if self.held <= 0.0 {
                    self.at = half.place(middle.p);
                }
                self.held += piece.area();
                if self.held > LEAST_AREA {
                    break;
                }
            }
        }
    }
}

/// Faces that face the parting plane from either side of it, and those in their shadow. Each half is drawn by itself: what
/// rapping frees in one half does not count there, though the other half holds the same face.
fn against(boundary: &Boundary, up: V3, grain: Grain) -> Vec<Undercut> {
    let mut all: BTreeMap<(&Tag, bool), Found> = BTreeMap::new();
    for pull in [up, -up] {
        let half = if grain.hollows {
            Half::of(&boundary.facets, pull, SLOPE)
        } else {
            Half::rough(&boundary.facets, pull, SLOPE)
        };
        for (key, found) in in_half(boundary, &half, grain) {
            all.entry(key).or_default().join(found);
        }
    }
    told(all)
}

/// Faces of a boundary that can't be drawn from sand that leaves all of it along one direction.
pub(super) fn against_one_way(boundary: &Boundary, pull: V3) -> Vec<Undercut> {
    told(in_half(boundary, &Half::whole(&boundary.facets, pull, SLOPE), GRAIN))
}

/// Faces of a boundary that can't be drawn from a mould of two halves.
pub(super) fn against_halves(boundary: &Boundary, up: V3) -> Vec<Undercut> {
    against(boundary, up, GRAIN)
}

/// A part of a half that holds it however it is rapped.
#[derive(Clone)]
pub(super) struct Held {
    /// In the half's own coordinates.
    pub(super) part: Facet,
    /// The face whose shadow it lies in.
    pub(super) under: Option<u32>,
}

/// The parts that hold a half, none longer than a length.
pub(super) fn held_parts(boundary: &Boundary, half: &Half, length: f64) -> Vec<Held> {
    held_under(&Overhangs::of(half), boundary, half, length)
}

/// The same under what hangs over a half, which may be more of it.
fn held_under(over: &Overhangs, boundary: &Boundary, half: &Half, length: f64) -> Vec<Held> {
    let against = half.against.iter().map(|part| (*part, None));
    let covered = over.covered(half, GRAIN).into_iter().map(|c| (c.piece, Some(c.by)));
    let all: Vec<Held> = against
        .chain(covered)
        .flat_map(|(part, under)| part.pieces(length).into_iter().map(move |part| Held { part, under }))
        .collect();
    let above = Above::of(boundary, half);
    all.into_par_iter().filter(|held| above.holds(&held.part.middle())).collect()
}

/// Places on some faces of a solid that hold it in a mould of two halves however it is rapped, no farther apart than a length, mm. Of
/// faces that are not asked for nothing is looked at: all of a casting's cavity holds the mould, which a core forms.
pub fn held_points(solid: &Solid, mesh: &Mesh, up: V3, apart: f64, on: impl Fn(&Tag) -> bool) -> Vec<P3> {
    let boundary = Boundary::of([(solid.brep(), mesh)]);
    let of_half = |pull: V3| {
        let half = Half::of(&boundary.facets, pull, SLOPE);
        let over = Overhangs::of(&half);
        let half = half.only(|face| on(boundary.tag(face)));
        let parts = held_under(&over, &boundary, &half, apart);
        parts.into_iter().map(|held| P3::from(half.place(held.part.middle().p))).collect::<Vec<P3>>()
    };
    [up, -up].into_iter().flat_map(of_half).collect()
}

/// What was found, as a list: largest area first.
fn told(all: BTreeMap<(&Tag, bool), Found>) -> Vec<Undercut> {
    let mut out: Vec<Undercut> = all
        .into_iter()
        .map(|((tag, _), f)| {
            let under = f.under.into_iter().max_by(|a, b| a.1.total_cmp(&b.1)).map(|(tag, _)| tag);
            Undercut { tag: tag.clone(), area: f.area, at: f.at, under }
        })
        .collect();
    out.sort_by(|a, b| b.area.total_cmp(&a.area).then_with(|| (&a.tag, &a.under).cmp(&(&b.tag, &b.under))));
    out
}

/// The faces that hold one half, by their names and whether they lie in a shadow.
fn in_half<'b>(boundary: &'b Boundary, half: &Half, grain: Grain) -> BTreeMap<(&'b Tag, bool), Found> {
    let mut found: BTreeMap<(&Tag, bool), Found> = BTreeMap::new();
    let tag = |face: u32| boundary.tag(face);
    let above = Above::of(boundary, half);
    for part in &half.against {
        let entry = found.entry((tag(part.face), false)).or_default();
        entry.add(half, &above, part, None, grain.fine);
    }
    for Covered { piece, by } in Overhangs::of(half).covered(half, grain) {
        let entry = found.entry((tag(piece.face), true)).or_default();
        entry.add(half, &above, &piece, Some(tag(by)), grain.fine);
    }
    found.retain(|_, f| f.held > LEAST_AREA);
    found
}

/// Area that cannot be drawn, mm², for clock angles of the parting from 0 to 175 degrees, measured on the finished
/// part's outside, before any draft.
///
/// # Errors
/// If that outside has no proper boundary without the cavity.
pub fn best_parting(finished: &Housing) -> Result<Vec<(f64, f64)>, FormError> {
    let solid = Solid::of(finished.solid.tree().added()).map_err(unsound("pattern"))?;
    by_clock(&solid).map_err(unmeshed("pattern"))
}

/// Area of a solid that cannot be drawn from two halves, mm², for clock angles of their parting from 0 to 175 degrees.
///
/// # Errors
/// Where the solid can't be meshed.
pub(super) fn by_clock(solid: &Solid) -> Result<Vec<(f64, f64)>, MeshError> {
    let mesh = triangulate(solid, ROUGH_CHORD)?;
    let boundary = Boundary::of([(solid.brep(), &mesh)]);
    let angles: Vec<f64> = (0..180).step_by(STEP).map(f64::from).collect();
    let area = |angle: &f64| {
        let found = against(&boundary, upwards(*angle), ROUGH_GRAIN);
        (*angle, found.iter().map(|u| u.area).sum())
    };
    Ok(angles.par_iter().map(area).collect())
}

/// The direction of a clock angle, degrees.
pub(super) fn upwards(clock: f64) -> V3 {
    let (s, c) = clock.to_radians().sin_cos();
    V3::new(0.0, s, c)
}
