//! Places where a half of the pattern is held: what hangs together comes off together.

use std::collections::BTreeMap;
use std::sync::OnceLock;

use super::super::undercuts::{Boundary, Held};
use super::DRESSED;
use super::way::Ways;
use crate::faces::Feature;
use solidwright::geometry::{P3, V3};

/// Parts nearer to each other than this, seen along the pull, belong to one place, mm.
const NEAR: f64 = 4.0;

/// A place at which a half is held.
pub(super) struct Site {
    /// What holds there, in the half's own coordinates.
    pub(super) parts: Vec<Held>,
    /// Its area, mm².
    pub(super) area: f64,
    /// The ways for a piece there, found on first use.
    pub(super) ways: OnceLock<Ways>,
}

impl Site {
    /// The features that hold, that of the largest area first.
    pub(super) fn features(&self, boundary: &Boundary) -> Vec<Feature> {
        let mut areas: BTreeMap<Feature, f64> = BTreeMap::new();
        for held in &self.parts {
            let holder = Feature::of(boundary.tag(held.under.unwrap_or(held.part.face)));
            *areas.entry(holder).or_insert(0.0) += held.part.area();
        }
        let mut out: Vec<(Feature, f64)> = areas.into_iter().filter(|(_, area)| *area > 1.0).collect();
        out.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
        out.into_iter().map(|(feature, _)| feature).collect()
    }

    /// A point of it: the middle of its largest part, in the half's own coordinates.
    pub(super) fn at(&self) -> V3 {
        let largest = self.parts.iter().max_by(|a, b| a.part.area().total_cmp(&b.part.area()));
        largest.map_or_else(V3::zeros, |held| held.part.middle().p.coords)
    }

    /// Several places as one.
    pub(super) fn joined(sites: &[&Self]) -> Self {
        let parts = sites.iter().flat_map(|site| site.parts.iter().cloned()).collect();
        Self { parts, area: sites.iter().map(|site| site.area).sum(), ways: OnceLock::new() }
    }

    /// How far the rectangles about two places are apart, seen along the pull, mm.
    fn apart(&self, other: &Self) -> f64 {
        let [a, b] = [self.extent(), other.extent()];
        let gap = |i: usize| (a.0[i] - b.1[i]).max(b.0[i] - a.1[i]).max(0.0);
        gap(0).hypot(gap(1))
    }

    /// The rectangle about it, seen along the pull.
    pub(super) fn extent(&self) -> ([f64; 2], [f64; 2]) {
        let (mut lo, mut hi) = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
        for corner in self.parts.iter().flat_map(|held| held.part.corners) {
            for i in 0..2 {
                lo[i] = lo[i].min(corner.p[i]);
                hi[i] = hi[i].max(corner.p[i]);
            }
        }
        (lo, hi)
    }

    /// How far a place is from the nearest of its parts' middles, mm.
    pub(super) fn distance(&self, p: P3) -> f64 {
        self.parts.iter().map(|held| (held.part.middle().p - p).norm()).fold(f64::INFINITY, f64::min)
    }

    /// The least height over the parting plane of what faces against the pull, mm.
    pub(super) fn lowest(&self) -> f64 {
        let lips = self.parts.iter().filter(|held| held.under.is_none());
        lips.flat_map(|held| held.part.corners.map(|c| c.p.z)).fold(f64::INFINITY, f64::min)
    }
}

/// What holds a half, as places, the largest first.
pub(super) fn sites(held: Vec<Held>) -> Vec<Site> {
    let site = |parts: Vec<Held>| {
        let area = parts.iter().map(|held| held.part.area()).sum();
        Site { parts, area, ways: OnceLock::new() }
    };
    let mut out: Vec<Site> = together(held).into_iter().map(site).collect();
    out.sort_by(|a, b| b.area.total_cmp(&a.area));
    out
}

/// Those of some parts that may belong to a place at which a wanted face holds, whichever of them hold.
pub(super) fn beside(parts: Vec<Held>, wanted: impl Fn(u32) -> bool) -> Vec<Held> {
    let any = |parts: &Vec<Held>| parts.iter().any(|held| wanted(held.under.unwrap_or(held.part.face)));
    together(parts).into_iter().filter(any).flatten().collect()
}

/// Parts by what hangs together.
fn together(parts: Vec<Held>) -> Vec<Vec<Held>> {
    let mut cells: BTreeMap<(i64, i64), Vec<Held>> = BTreeMap::new();
    for part in parts {
        let middle = part.part.middle().p;
        let cell = ((middle.x / NEAR).floor() as i64, (middle.y / NEAR).floor() as i64);
        cells.entry(cell).or_default().push(part);
    }
    let mut out = Vec::new();
    while let Some((first, parts)) = cells.pop_first() {
        let (mut left, mut all) = (vec![first], parts);
        while let Some((i, j)) = left.pop() {
            for cell in (-1..=1).flat_map(|a| (-1..=1).map(move |b| (i + a, j + b))) {
                if let Some(more) = cells.remove(&cell) {
                    all.extend(more);
                    left.push(cell);
                }
            }
        }
        out.push(all);
    }
    out
}

/// Places of one feature nearer to each other than this can have one piece together, mm.
const TOGETHER: f64 = 40.0;

/// Places that one piece could free, by groups; the largest first. Groups that are dressed by hand are left out.
pub(super) fn grouped(sites: Vec<Site>, boundary: &Boundary) -> Vec<Vec<Site>> {
    let mut out = groups(sites, boundary);
    out.retain(|group| total(group) > DRESSED);
    out
}

fn total(group: &[Site]) -> f64 {
    group.iter().map(|site| site.area).sum()
}

/// The same with those that are dressed by hand.
pub(super) fn groups(sites: Vec<Site>, boundary: &Boundary) -> Vec<Vec<Site>> {
    let mut out: Vec<(Option<Feature>, Vec<Site>)> = Vec::new();
    for site in sites {
        let feature = site.features(boundary).first().copied();
        let near = |group: &(Option<Feature>, Vec<Site>)| {
            group.0 == feature && group.1.iter().any(|other| other.apart(&site) < TOGETHER)
        };
        match out.iter_mut().find(|group| near(group)) {
            Some(group) => group.1.push(site),
            None => out.push((feature, vec![site])),
        }
    }
    let mut out: Vec<Vec<Site>> = out.into_iter().map(|(_, group)| group).collect();
    out.sort_by(|a, b| total(b).total_cmp(&total(a)));
    out
}
