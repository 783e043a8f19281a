//! Feet on sheets: where a ball on its way is nearest to a point; and points at a radius from several ways at once.

use nalgebra::Matrix3;

use super::path::Place;
use super::sheets::{ArcId, Sheet, Sheets};
use crate::geometry::{P3, V3};
use crate::tolerance::{CREASE_CONVERGED, CREASE_NEARER, NOT_ZERO};

/// A place of the ball's centre on its way along a sheet, seen from a point to which none beside it is nearer.
#[derive(Clone, Copy, Debug)]
pub(super) struct Foot {
    pub(super) sheet: Sheet,
    /// On a canal, the length along its spine.
    pub(super) at: f64,
    pub(super) center: P3,
    /// Direction of the way, zero where the ball is at rest.
    pub(super) tangent: V3,
    pub(super) distance: f64,
    /// Unit vector from the centre to the point.
    pub(super) towards: V3,
    /// How fast the section moves on at the point, in shares of how fast its centre does: below zero the sheet is folded.
    pub(super) apart: f64,
}

/// What a point lies on.
#[derive(Clone, Copy, Debug)]
pub(super) enum Locus {
    /// A sheet, with a guess of the foot's place.
    Sheet(Sheet, f64),
    /// The plane through a point, with its unit normal.
    Plane(P3, V3),
}

/// Steps of Newton's method.
const MOST_STEPS: usize = 60;

/// Share of the radius by which a step may move a foot or a point.
const LONGEST_STEP: f64 = 0.2;

/// How far beyond a canal's end a foot may lie, in radii.
const BEYOND: f64 = 0.3;

/// Distance of places along a spine from which the nearest one is found, in radii.
const SAMPLE: f64 = 0.1;

impl Sheets<'_> {
    /// The foot of `p` near a place `at` of a sheet.
    pub(super) fn foot(&self, sheet: Sheet, at: f64, p: P3) -> Option<Foot> {
        let Sheet::Canal(i) = sheet else { return Some(self.ball_foot(sheet, p)) };
        let (lo, hi) = (-BEYOND * self.radius, self.end(i, 1) + BEYOND * self.radius);
        let mut at = at.clamp(lo, hi);
        let longest = LONGEST_STEP * self.radius;
        for _ in 0..MOST_STEPS {
            let place = self.place(i, at);
            let off = p - place.center;
            let (along, slope) = (off.dot(&place.tangent), 1.0 - off.dot(&place.bend));
            // Where the way bends round the point, the foot lies downhill at any rate.
            let step = if slope > NOT_ZERO { along / slope } else { along.signum() * longest };
            let next = (at + step.clamp(-longest, longest)).clamp(lo, hi);
            let done = (next - at).abs() < CREASE_CONVERGED * (1.0 + self.radius);
            at = next;
            if done {
                return Some(foot_at(sheet, at, &self.place(i, at), p));
            }
        }
        // Beside the end of a crease the foot is found no better than this.
        let foot = foot_at(sheet, at, &self.place(i, at), p);
        ((p - foot.center).dot(&foot.tangent).abs() < 1e-9).then_some(foot)
    }

    fn ball_foot(&self, sheet: Sheet, p: P3) -> Foot {
        let center = self.ball_center(sheet);
        foot_at(sheet, 0.0, &Place { center, tangent: V3::zeros(), bend: V3::zeros() }, p)
    }

    /// The point near `p` that lies on three loci, with its feet on those that are sheets.
    pub(super) fn meet(&self, mut p: P3, mut loci: [Locus; 3]) -> Option<(P3, [Option<Foot>; 3])> {
        let mut last = false;
        for _ in 0..MOST_STEPS {
            let mut feet = [None; 3];
            let (mut rows, mut rest) = (Matrix3::zeros(), V3::zeros());
            for (k, locus) in loci.iter_mut().enumerate() {
                let (row, off) = match locus {
                    Locus::Sheet(sheet, at) => {
                        let foot = self.foot(*sheet, *at, p)?;
                        *at = foot.at;
                        feet[k] = Some(foot);
                        (foot.towards, self.radius - foot.distance)
                    }
                    Locus::Plane(q, normal) => (*normal, (*q - p).dot(normal)),
                };
                rows.set_row(k, &row.transpose());
                rest[k] = off;
            }
            if last {
                return Some((p, feet));
            }
            let step = rows.lu().solve(&rest)?;
            let share = (LONGEST_STEP * self.radius / step.norm().max(NOT_ZERO)).min(1.0);
            p += step * share;
            last = step.norm() < CREASE_CONVERGED * (1.0 + self.radius);
        }
        None
    }

    /// How far a foot is from the borders of its sheet, in mm along the way or on the ball, and how fast that changes when its
    /// point moves `along`.
    pub(super) fn margins(&self, foot: &Foot, along: V3) -> Vec<(f64, f64)> {
        match foot.sheet {
            Sheet::Canal(i) => {
                let rate = along.dot(&foot.tangent) / foot.apart.max(NOT_ZERO);
                vec![(foot.at, rate), (self.length(i) - foot.at, -rate)]
            }
            Sheet::Ball(v) => {
                self.exits(v).map(|e| (-e.2.dot(&foot.towards) * self.radius, -e.2.dot(&along))).collect()
            }
        }
    }

    /// The foot of `p` on the canal along a segment that is nearest of all, if it is nearer than `within`.
    pub(super) fn nearest_foot(&self, segment: usize, p: P3, within: f64) -> Option<Foot> {
        if self.way(segment).distance(p) > within {
            return None;
        }
        let length = self.end(segment, 1);
        let n = (length / (SAMPLE * self.radius)).ceil().clamp(2.0, 4000.0) as usize;
        let at = |k: usize| length * k as f64 / n as f64;
        let off: Vec<f64> = (0..=n).map(|k| (self.place(segment, at(k)).center - p).norm()).collect();
        let least = |k: &usize| (*k == 0 || off[*k] <= off[k - 1]) && (*k == n || off[*k] <= off[k + 1]);
        let near = |k: &usize| off[*k] < within + SAMPLE * self.radius;
        let foot = |k: usize| {
            let found = self.foot(Sheet::Canal(segment), at(k), p)?;
            let on = found.at.clamp(0.0, length);
            Some(foot_at(found.sheet, on, &self.place(segment, on), p))
        };
        let all = (0..=n).filter(least).filter(near).filter_map(foot);
        all.min_by(|a, b| a.distance.total_cmp(&b.distance)).filter(|f| f.distance < within)
    }

    /// A foot that is nearer to a point than the radius, the nearest of all: of where the ball on its way comes over the point.
    pub(super) fn nearer(&self, p: P3) -> Option<Foot> {
        let within = self.radius - CREASE_NEARER;
        let feet = (0..self.segments.len()).filter_map(|i| self.nearest_foot(i, p, within));
        feet.min_by(|a, b| a.distance.total_cmp(&b.distance))
    }

    /// The plane of an arc: that across the canal's end there.
    pub(super) fn arc_plane(&self, arc: ArcId) -> Option<Locus> {
        let (canal, end) = self.canal_at(arc)?;
        let place = self.place(canal, self.end(canal, end));
        Some(Locus::Plane(place.center, place.tangent))
    }
}

fn foot_at(sheet: Sheet, at: f64, place: &Place, p: P3) -> Foot {
    let off = p - place.center;
    let distance = off.norm();
    let towards = off / distance.max(NOT_ZERO);
    let apart = 1.0 - off.dot(&place.bend);
    Foot { sheet, at, center: place.center, tangent: place.tangent, distance, towards, apart }
}
