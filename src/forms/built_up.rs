//! Metal laid on a casting where its fillets leave out some of the finished part: thin plates over the places that lack it.
//!
//! A pattern maker does the same with wax or filler. The plates are plain bodies that lie across the surface by fractions of a millimetre,
//! so their faces touch no others and the solid closes where no ball could be rolled.

use rayon::prelude::*;

use super::hold::{BarePlace, MissingMetal};
use super::undercuts::CHORD;
use crate::faces::{Feature, Role};
use crate::housing::Housing;
use crate::units::Units;
use solidwright::geometry::{Frame, P2, P3, V2, V3};
use solidwright::mesh::{MeshError, triangulate};
use solidwright::solid::{Primitive, rounded_rectangle};

/// How far a plate reaches over the places that lack metal, along the surface: more than half their distance, mm.
const BESIDE: f64 = 1.3;

/// How far it stands out of the finished part, and how far it reaches into the casting, mm.
pub(super) const OVER: f64 = 0.15;
const UNDER: f64 = 0.4;

/// What is added to these where the solid does not close, mm, and by how much plates are turned about the way into the metal, radians.
const OTHERWISE: [(f64, f64); 8] = [
    (0.0, 0.0),
    (0.07, 0.0),
    (0.19, 0.0),
    (0.33, 0.0),
    (0.05, 0.35),
    (0.13, -0.35),
    (0.26, 0.75),
    (0.47, 0.1),
];

/// Places farther apart than this get plates of their own, mm.
const TOGETHER: f64 = 4.0;

/// How much thicker than the metal that lacks a plate may be before it is divided, mm: surfaces bend.
const BEND: f64 = 0.8;

/// Most plates on one casting.
const MOST: usize = 120;

/// How often a solid with plates is tried at most: each takes as long as the casting's own.
const MOST_TRIED: usize = 48;

/// A fault nearer than this to a plate is taken for the plate's, mm.
const AT_FAULT: f64 = 0.5;

/// Places beyond which no plates are laid on at all: so much lacks where the casting has lost most of its fillets, and each solid with
/// hundreds of plates takes seconds. On two drawn housings 8,700 and 40,000 places took 170 and 106 s, and the castings lacked metal all the same.
const MOST_PLACES: usize = 4_000;

/// What is still tried, and what was in vain.
#[derive(Default)]
pub(super) struct Tries {
    /// How many solids may be tried.
    left: usize,
    /// Places over which no plate goes on, however it lies: they are not tried again.
    refused: Vec<BarePlace>,
}

impl Tries {
    /// The solid with some plates, if another one may be tried; else the places at which it does not close.
    fn added<T>(
        &mut self,
        casting: &T,
        plates: &[Primitive],
        added: impl Fn(&T, &[Primitive]) -> Result<T, Vec<P3>>,
    ) -> Result<T, Vec<P3>> {
        self.left = self.left.checked_sub(1).ok_or_else(Vec::new)?;
        added(casting, plates)
    }

    /// Whether no plate went on over any of the places.
    fn knows(&self, places: &[&BarePlace]) -> bool {
        let near = |a: &BarePlace, b: &BarePlace| a.feature == b.feature && (a.at - b.at).norm() < TOGETHER;
        places.iter().all(|place| self.refused.iter().any(|known| near(known, place)))
    }
}

/// A casting's solid with plates over the places that lack metal, over as many of them as it closes with; `None` where it does not close
/// with any.
pub(super) fn laid_on(casting: &Housing, bare: &[BarePlace], tries: &mut Tries) -> Option<Housing> {
    if bare.len() > MOST_PLACES {
        return None;
    }
    let mut groups = groups(bare);
    groups.retain(|group| !tries.knows(group));
    tries.left = MOST_TRIED;
    laid(casting, groups, tries, |plates| casting.may_take(plates), &with_plates)
}

/// A casting with plates, if it closes with them and can be meshed; else the places at which it does not or can't.
fn with_plates(casting: &Housing, plates: &[Primitive]) -> Result<Housing, Vec<P3>> {
    let with = casting.with_added(plates)?;
    match triangulate(&with.solid, CHORD) {
        Ok(_) => Ok(with),
        Err(MeshError::Face { place, .. }) => Err(vec![place]),
        Err(_) => Err(vec![]),
    }
}

/// With plates over as many of the groups as it closes with. `may` tells from a look at the metal about plates whether they may go on, which is
/// no proof either way: where it says no, all ways are tried all the same, but after the others.
fn laid<T>(
    casting: &T,
    groups: Vec<Vec<&BarePlace>>,
    tries: &mut Tries,
    may: impl Fn(&[Primitive]) -> bool + Sync,
    added: &impl Fn(&T, &[Primitive]) -> Result<T, Vec<P3>>,
) -> Option<T> {
    let (covers, doubtful) = covers(groups, may);
    let mut best = lay(casting, &covers.iter().collect::<Vec<_>>(), tries, added);
    for places in doubtful {
        let from = best.as_ref().unwrap_or(casting);
        best = any_way(from, &places, tries, added).or(best);
    }
    best
}

/// Places that get their plates together, and these.
struct Cover<'a> {
    places: Vec<&'a BarePlace>,
    plates: Vec<Primitive>,
}

impl<'a> Cover<'a> {
    /// Plates laid over some places in one way; `None` where that would be none, or too many.
    fn of(places: &[&'a BarePlace], way: (f64, f64)) -> Option<Self> {
        let mut plates = Vec::new();
        divided(places.to_vec(), way, &mut plates);
        (1..=MOST).contains(&plates.len()).then(|| Self { places: places.to_vec(), plates })
    }

    /// Whether a fault of the solid may be one of its plates.
    fn is_near(&self, fault: P3) -> bool {
        self.plates.iter().any(|plate| plate.bounds().distance(fault) < AT_FAULT)
    }
}

/// The plates over each group of places, laid in the first way in which they may go on; and the groups over which they never may.
fn covers<'a>(
    groups: Vec<Vec<&'a BarePlace>>,
    may: impl Fn(&[Primitive]) -> bool + Sync,
) -> (Vec<Cover<'a>>, Vec<Vec<&'a BarePlace>>) {
    let cover = |places: Vec<&'a BarePlace>| {
        let mut all = OTHERWISE.iter().filter_map(|way| Cover::of(&places, *way));
        all.find(|cover| may(&cover.plates)).ok_or(places)
    };
    let all: Vec<Result<Cover, _>> = groups.into_par_iter().map(cover).collect();
    let (mut out, mut doubtful) = (vec![], vec![]);
    for cover in all {
        match cover {
            Ok(cover) => out.push(cover),
            Err(places) => doubtful.push(places),
        }
    }
    (out, doubtful)
}

/// With plates over some places, laid in whichever way the solid closes with; where it does with none, the places are refused.
fn any_way<T>(
    casting: &T,
    places: &[&BarePlace],
    tries: &mut Tries,
    added: &impl Fn(&T, &[Primitive]) -> Result<T, Vec<P3>>,
) -> Option<T> {
    let found = OTHERWISE.iter().find_map(|way| {
        let cover = Cover::of(places, *way)?;
        tries.added(casting, &cover.plates, added).ok()
    });
    if found.is_none() && tries.left > 0 {
        tries.refused.extend(places.iter().map(|place| **place));
    }
    found
}

/// With all plates; else with those of each part of the groups with which it closes, of what lies away from the places of the fault and then of
/// what lies there, or of either half where the places tell nothing. `added` makes the solid with some more.
fn lay<T>(
    casting: &T,
    covers: &[&Cover],
    tries: &mut Tries,
    added: &impl Fn(&T, &[Primitive]) -> Result<T, Vec<P3>>,
) -> Option<T> {
    let plates: Vec<Primitive> = covers.iter().flat_map(|cover| cover.plates.iter().cloned()).collect();
    if plates.is_empty() || tries.left == 0 {
        return None;
    }
    let mut faults = vec![];
    if plates.len() <= MOST {
        match tries.added(casting, &plates, added) {
            Ok(all) => return Some(all),
            Err(places) => faults = places,
        }
    }
    if let [only] = covers {
        return any_way(casting, &only.places, tries, added);
    }
    let (sound, at_fault): (Vec<&Cover>, Vec<&Cover>) =
        covers.iter().partition(|cover| !faults.iter().any(|p| cover.is_near(*p)));
    let (first, rest) = if sound.is_empty() || at_fault.is_empty() {
        covers.split_at(covers.len() / 2)
    } else {
        (&sound[..], &at_fault[..])
    };
    let with = lay(casting, first, tries, added);
    lay(with.as_ref().unwrap_or(casting), rest, tries, added).or(with)
}

/// What is told of it.
pub(super) fn told(built: &[MissingMetal], units: Units) -> Vec<String> {
    built.iter().map(|metal| metal.laid_on(units)).collect()
}

/// Places by what a plate may lie over.
fn groups(bare: &[BarePlace]) -> Vec<Vec<&BarePlace>> {
    let mut left: Vec<&BarePlace> = bare.iter().collect();
    let mut out = Vec::new();
    while let Some(first) = left.pop() {
        let mut own = vec![first];
        let mut k = 0;
        while k < own.len() {
            let from = own[k];
            let near = |b: &&BarePlace| b.feature == from.feature && (b.at - from.at).norm() < TOGETHER;
            let (joined, others) = left.into_iter().partition::<Vec<_>, _>(near);
            own.extend(joined);
            left = others;
            k += 1;
        }
        out.push(own);
    }
    out
}

/// A plate over some places, or two and more where they bend.
fn divided(mut places: Vec<&BarePlace>, (more, turn): (f64, f64), out: &mut Vec<Primitive>) {
    let Some(laid) = Laid::over(&places, turn) else { return };
    let deepest = places.iter().map(|b| b.depth).fold(0.0, f64::max);
    if places.len() > 2 && laid.hi.z - laid.lo.z > deepest + BEND {
        let along = |b: &BarePlace| laid.frame.local(b.at).x;
        places.sort_by(|a, b| along(a).total_cmp(&along(b)));
        let rest = places.split_off(places.len() / 2);
        divided(places, (more, turn), out);
        divided(rest, (more, turn), out);
        return;
    }
    out.extend(laid.plate(places[0].feature, more));
}

/// Where a plate lies: z into the metal, x along its longer side.
struct Laid {
    frame: Frame,
    lo: P3,
    hi: P3,
}

impl Laid {
    fn over(places: &[&BarePlace], turn: f64) -> Option<Self> {
        let count = places.len() as f64;
        let middle = P3::from(places.iter().map(|b| b.at.coords).sum::<V3>() / count);
        let inwards = places.iter().map(|b| b.inwards).sum::<V3>().try_normalize(1e-6)?;
        let flat = Frame::from_z(middle, inwards);
        let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
        for q in places.iter().map(|b| flat.local(b.at)) {
            (xx, xy, yy) = (xx + q.x * q.x, xy + q.x * q.y, yy + q.y * q.y);
        }
        let (s, c) = (0.5 * (2.0 * xy).atan2(xx - yy) + turn).sin_cos();
        let frame = Frame::from_zx(middle, inwards, flat.x * c + flat.y * s);
        let (mut lo, mut hi) = (P3::from(V3::repeat(f64::INFINITY)), P3::from(V3::repeat(f64::NEG_INFINITY)));
        for q in places.iter().flat_map(|b| [b.at, b.at + b.inwards * b.depth]).map(|p| frame.local(p)) {
            for i in 0..3 {
                (lo[i], hi[i]) = (lo[i].min(q[i]), hi[i].max(q[i]));
            }
        }
        Some(Self { frame, lo, hi })
    }

    fn plate(&self, feature: Feature, more: f64) -> Option<Primitive> {
        let Self { frame, lo, hi } = self;
        let tag = feature.formed(Role::LaidOn);
        let center = P2::new(0.5 * (lo.x + hi.x), 0.5 * (lo.y + hi.y));
        let beside = 2.0 * (BESIDE + more);
        let size = V2::new(hi.x - lo.x + beside, hi.y - lo.y + beside);
        let base = frame.moved_to(frame.point(0.0, 0.0, lo.z - OVER - more));
        let height = hi.z - lo.z + OVER + UNDER + 2.0 * more;
        let outline = rounded_rectangle(center, size, 0.4 * BESIDE, &tag);
        Primitive::prism(feature.name(), base, outline, height, 0.0, [tag.clone(), tag]).ok()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::cell::Cell;

    /// Places along a line, each with a plate of its own.
    fn places(count: usize) -> Vec<BarePlace> {
        let at = |k: usize| P3::new(20.0 * k as f64, 0.0, 0.0);
        let place = |k: usize| BarePlace { feature: Feature::Ribs, at: at(k), inwards: -V3::z(), depth: 0.5 };
        (0..count).map(place).collect()
    }

    /// Which places plates lie over, by their numbers.
    fn over(plates: &[Primitive]) -> Vec<usize> {
        plates.iter().map(|plate| (plate.bounds().center().x / 20.0).round() as usize).collect()
    }

    fn none_tried() -> Tries {
        Tries { left: MOST_TRIED, ..Tries::default() }
    }

    /// Lays plates over eight places, of which those that are refused never close; (numbers laid on, solids tried). A look at the metal tells
    /// of those that are `seen`.
    fn laid(refused: &[usize], seen: &[usize]) -> (Option<Vec<usize>>, usize) {
        let (bare, tried) = (places(8), Cell::new(0));
        let added = |known: &Vec<usize>, plates: &[Primitive]| {
            tried.set(tried.get() + 1);
            let more = over(plates);
            let closes = more.iter().all(|k| !refused.contains(k));
            closes.then(|| known.iter().copied().chain(more).collect()).ok_or_else(Vec::new)
        };
        let mut tries = none_tried();
        let may = |plates: &[Primitive]| over(plates).iter().all(|k| !seen.contains(k));
        let mut found = super::laid(&vec![], groups(&bare), &mut tries, may, &added);
        if let Some(found) = &mut found {
            found.sort_unstable();
        }
        assert_eq!(tries.left, MOST_TRIED - tried.get(), "each solid is counted");
        (found, tried.get())
    }

    #[test]
    fn a_plate_that_does_not_close_costs_no_other() {
        assert_eq!(laid(&[], &[]), (Some((0..8).collect()), 1), "all go on at once");
        for refused in 0..8 {
            let others: Vec<usize> = (0..8).filter(|k| *k != refused).collect();
            let unseen = laid(&[refused], &[]);
            // All, four, two and one of those with it, then it in each way; and the other half of each.
            assert_eq!(unseen, (Some(others.clone()), 7 + OTHERWISE.len()), "without plate {refused}");
            // All others at once, then it alone in each way.
            assert_eq!(laid(&[refused], &[refused]), (Some(others), 1 + OTHERWISE.len()), "it was seen");
            assert_eq!(laid(&[], &[refused]), (Some((0..8).collect()), 2), "it was seen wrongly");
        }
        let all = [0, 1, 2, 3, 4, 5, 6, 7];
        assert_eq!(laid(&all, &[]).0, None, "where none closes, there is none");
        assert_eq!(laid(&all, &all).1, MOST_TRIED, "no more than so many solids are tried");
    }

    /// Where the solid tells its faults, the plate at one of them is tried by itself, and the others in one.
    #[test]
    fn the_place_of_a_fault_tells_the_plate() {
        let (bare, tried) = (places(64), Cell::new(0));
        let added = |known: &Vec<usize>, plates: &[Primitive]| {
            tried.set(tried.get() + 1);
            let more = over(plates);
            if more.contains(&37) {
                return Err(vec![P3::new(20.0 * 37.0, 0.2, 0.1)]);
            }
            Ok(known.iter().copied().chain(more).collect())
        };
        let found = super::laid(&vec![], groups(&bare), &mut none_tried(), |_| true, &added);
        assert_eq!(found.map(|found| found.len()), Some(63));
        // All, all others, and the one, which is then tried in each way.
        assert_eq!(tried.get(), 3 + OTHERWISE.len());
    }

    #[test]
    fn what_was_refused_is_not_tried_again() {
        let bare = places(4);
        let never =
            |plates: &[Primitive]| (!over(plates).contains(&2)).then_some(()).ok_or_else(Vec::<P3>::new);
        for seen in [false, true] {
            let mut tries = none_tried();
            let may = |plates: &[Primitive]| !seen || never(plates).is_ok();
            let laid = super::laid(&(), groups(&bare), &mut tries, may, &|(), plates| never(plates));
            assert!(laid.is_some());
            let known: Vec<bool> = groups(&bare).iter().map(|group| tries.knows(group)).collect();
            let expected: Vec<bool> =
                groups(&bare).iter().map(|group| (group[0].at - bare[2].at).norm() < 1e-9).collect();
            assert_eq!(known, expected, "only the third place");
        }
    }

    #[test]
    fn a_plate_that_does_not_close_is_turned() {
        let bare = places(1);
        let turned = |plates: &[Primitive]| {
            let x = plates[0].frame().x;
            x.x.abs() < 0.999 && x.y.abs() < 0.999
        };
        let (covers, doubtful) = covers(groups(&bare), turned);
        assert!(turned(&covers[0].plates) && doubtful.is_empty(), "turned by 0.35 radians it closes");
    }

    #[test]
    fn places_apart_get_plates_of_their_own() {
        let mut bare = places(3);
        bare[1].at = P3::new(3.0, 0.0, 0.0);
        assert_eq!(groups(&bare).len(), 2, "3 mm apart is one plate, 40 mm two");
        bare[1].feature = Feature::Tail;
        assert_eq!(groups(&bare).len(), 3, "each feature has its own");
    }
}
