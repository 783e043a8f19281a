//! A half of a boundary as it is drawn: what of it leans against the pull or lies in a shadow, and what of that rapping does not free.
//!
//! Tracing shadows is most of the work, and several ask for them: the list of undercuts, the places that hold the pattern, loose pieces,
//! and pictures. So a half is traced once, and asked as often as is wanted.

use std::collections::BTreeMap;
use std::sync::{Arc, OnceLock};

use rayon::prelude::*;

use super::shadow::{Boundary, Covered, Grain, OFF, Overhangs, RAP};
use super::{Corner, Facet, HELD_APART, Half, LEAST_AREA, SLOPE, Undercut};
use solidwright::geometry::{P3, V3};
use solidwright::probe::TriangleColumns;
use solidwright::solid::Tag;

/// Directions in which a pattern is rapped.
const RAPS: u32 = 8;

/// How finely shadows are traced.
const GRAIN: Grain = Grain { coarse: 1.0, fine: 0.25 };

/// The same where partings are only compared.
const ROUGH_GRAIN: Grain = Grain { coarse: 3.0, fine: 1.0 };

/// Faces by their names and whether they lie in a shadow, with what was found of each.
pub(super) type FoundFaces = BTreeMap<(Tag, bool), Found>;

/// What was found of a face.
#[derive(Debug, Default)]
pub(super) struct Found {
    pub(super) area: f64,
    /// Area that rapping does not free; no longer added up once it is enough.
    held: f64,
    /// A point of that.
    pub(super) at: V3,
    /// Area in the shadow of each face.
    pub(super) under: BTreeMap<Tag, f64>,
}

impl Found {
    /// Adds what was found in the other half.
    pub(super) fn join(&mut self, other: Self) {
        if self.area < other.area {
            self.at = other.at;
        }
        self.area += other.area;
        self.held += other.held;
        for (tag, area) in other.under {
            *self.under.entry(tag).or_insert(0.0) += area;
        }
    }
}

/// A part of a half that holds it however it is rapped.
#[derive(Clone, Debug)]
pub(in crate::forms) struct Held {
    /// In the half's own coordinates.
    pub(in crate::forms) part: Facet,
    /// The face whose shadow it lies in.
    pub(in crate::forms) under: Option<u32>,
}

/// A part in pieces no longer than a length.
fn pieces((part, under): (&Facet, Option<u32>), length: f64) -> impl Iterator<Item = Held> + use<> {
    part.pieces(length).into_iter().map(move |part| Held { part, under })
}

/// A half, or all of a boundary, traced.
#[derive(Debug)]
pub(in crate::forms) struct Traced {
    /// The boundary.
    pub(in crate::forms) boundary: Arc<Boundary>,
    /// Its parts as they are drawn.
    pub(in crate::forms) half: Half,
    grain: Grain,
    covered: Vec<Covered>,
    /// The whole boundary over places of the half, made when it is first asked of: most halves that are only ranked are held nowhere.
    columns: OnceLock<TriangleColumns>,
}

impl Traced {
    /// The half that is drawn along `pull`, a direction square to the shaft.
    pub(in crate::forms) fn half(boundary: &Arc<Boundary>, pull: V3) -> Self {
        Self::of(boundary, Half::of(&boundary.facets, pull, SLOPE), GRAIN)
    }

    /// The same roughly.
    pub(super) fn rough(boundary: &Arc<Boundary>, pull: V3) -> Self {
        Self::of(boundary, Half::rough(&boundary.facets, pull, SLOPE), ROUGH_GRAIN)
    }

    /// All of a boundary, drawn along any direction.
    pub(in crate::forms) fn whole(boundary: &Arc<Boundary>, pull: V3) -> Self {
        Self::of(boundary, Half::whole(&boundary.facets, pull, SLOPE), GRAIN)
    }

    fn of(boundary: &Arc<Boundary>, half: Half, grain: Grain) -> Self {
        let covered = Overhangs::of(&half).covered(&half, grain);
        Self { boundary: Arc::clone(boundary), half, grain, covered, columns: OnceLock::new() }
    }

    /// All parts that lean against the pull or lie in a shadow, with the face of that.
    fn against(&self) -> impl Iterator<Item = (&Facet, Option<u32>)> {
        let leaning = self.half.against.iter().map(|part| (part, None));
        leaning.chain(self.covered.iter().map(|covered| (&covered.piece, Some(covered.by))))
    }

    /// The faces that hold the half.
    pub(super) fn faces(&self) -> FoundFaces {
        let mut found: BTreeMap<(&Tag, bool), Found> = BTreeMap::new();
        // The widest first: slivers, and the small ones on outlines of shadows, would be poor places to tell.
        let mut parts: Vec<_> = self.against().map(|(part, under)| (part.width(), part, under)).collect();
        parts.sort_by(|a, b| b.0.total_cmp(&a.0));
        for (_, part, under) in parts {
            let entry = found.entry((self.boundary.tag(part.face), under.is_some())).or_default();
            self.add(entry, part, under);
        }
        found.retain(|_, f| f.held > LEAST_AREA);
        found.into_iter().map(|((tag, shadow), f)| ((tag.clone(), shadow), f)).collect()
    }

    /// Adds a part of a face, asked in small pieces whether rapping frees it.
    fn add(&self, found: &mut Found, part: &Facet, under: Option<u32>) {
        let area = part.area();
        found.area += area;
        if let Some(face) = under {
            *found.under.entry(self.boundary.tag(face).clone()).or_insert(0.0) += area;
        }
        if found.held > LEAST_AREA {
            return;
        }
        for piece in part.pieces(self.grain.fine) {
            let middle = piece.middle();
            if self.holds(&middle) {
                if found.held <= 0.0 {
                    found.at = self.half.place(middle.p);
                }
                found.held += piece.area();
                if found.held > LEAST_AREA {
                    break;
                }
            }
        }
    }

    /// The parts that hold the half, none longer than a length.
    pub(in crate::forms) fn held_parts(&self, length: f64) -> Vec<Held> {
        self.holding_on(length, |_| true, Held::clone)
    }

    /// Those of them that are `chosen` beforehand from all that lean against the pull or lie in a shadow.
    pub(in crate::forms) fn held_parts_of(
        &self,
        length: f64,
        chosen: impl FnOnce(Vec<Held>) -> Vec<Held>,
    ) -> Vec<Held> {
        let all = self.against().flat_map(|of| pieces(of, length)).collect();
        chosen(all).into_par_iter().filter(|held| self.holds(&held.part.middle())).collect()
    }

    /// What is told of each part that holds the half, none longer than a length, on some faces.
    fn holding_on<T: Send>(
        &self,
        length: f64,
        on: impl Fn(u32) -> bool,
        told: impl Fn(&Held) -> T + Sync,
    ) -> Vec<T> {
        let wanted: Vec<_> = self.against().filter(|(part, _)| on(part.face)).collect();
        let held = |held: Held| self.holds(&held.part.middle()).then(|| told(&held));
        wanted.into_par_iter().flat_map_iter(|of| pieces(of, length).filter_map(held)).collect()
    }

    /// Places of the half at which some undercuts hold it, [`HELD_APART`] from each other.
    pub(in crate::forms) fn held_points(&self, by: &[Undercut]) -> Vec<P3> {
        let wanted = self.boundary.faces(|tag| by.iter().any(|undercut| undercut.tag == *tag));
        let place = |held: &Held| P3::from(self.half.place(held.part.middle().p));
        self.holding_on(HELD_APART, |face| wanted[face as usize], place)
    }

    /// Whether sand at a place of the half stays held however the pattern is rapped: moved by the rapping to any side, it is
    /// in the metal or has some over it.
    fn holds(&self, at: &Corner) -> bool {
        let own = |f: &Facet| f.corners.map(|c| P3::from(self.half.own(c.p.coords)));
        let made = || TriangleColumns::new(self.boundary.facets.iter().map(own).collect());
        let columns = self.columns.get_or_init(made);
        let from = at.p + at.n * OFF;
        (0..RAPS).all(|k| {
            let (s, c) = (std::f64::consts::TAU * f64::from(k) / f64::from(RAPS)).sin_cos();
            columns.is_met(from + V3::new(c, s, 0.0) * RAP, |_| true)
        })
    }
}
