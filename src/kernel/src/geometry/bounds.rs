//! Axis-aligned boxes.

use super::{P3, V3};
use crate::tolerance::NOT_ZERO;

/// An axis-aligned box, mm; empty when `min` exceeds `max`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bounds {
    /// Least corner.
    pub min: P3,
    /// Greatest corner.
    pub max: P3,
}

impl Bounds {
    /// The box that holds nothing.
    #[inline]
    pub fn empty() -> Self {
        Self { min: P3::from(V3::repeat(f64::INFINITY)), max: P3::from(V3::repeat(f64::NEG_INFINITY)) }
    }

    /// The least box around some points.
    #[inline]
    pub fn around(points: impl IntoIterator<Item = P3>) -> Self {
        let mut b = Self::empty();
        for p in points {
            b.include(p);
        }
        b
    }

    /// Grows the box to hold `p`.
    #[inline]
    pub fn include(&mut self, p: P3) {
        self.min = self.min.inf(&p);
        self.max = self.max.sup(&p);
    }

    /// The least box around both.
    #[must_use]
    #[inline]
    pub fn union(&self, other: &Self) -> Self {
        Self { min: self.min.inf(&other.min), max: self.max.sup(&other.max) }
    }

    /// The part common to both, maybe empty.
    #[must_use]
    pub fn intersection(&self, other: &Self) -> Self {
        Self { min: self.min.sup(&other.min), max: self.max.inf(&other.max) }
    }

    /// The box grown by `by` on all sides.
    #[must_use]
    #[inline]
    pub fn grown(&self, by: f64) -> Self {
        Self { min: self.min - V3::repeat(by), max: self.max + V3::repeat(by) }
    }

    /// Whether the box holds nothing.
    pub fn is_empty(&self) -> bool {
        (0..3).any(|k| self.min[k] > self.max[k])
    }

    /// Whether `p` is in the box, faces included.
    #[inline]
    pub fn contains(&self, p: P3) -> bool {
        (0..3).all(|k| self.min[k] <= p[k] && p[k] <= self.max[k])
    }

    /// Whether the boxes share a point.
    #[inline]
    pub fn meets(&self, other: &Self) -> bool {
        (0..3).all(|k| self.min[k] <= other.max[k] && other.min[k] <= self.max[k])
    }

    /// Distance from `p` to the box, zero inside.
    #[inline]
    pub fn distance(&self, p: P3) -> f64 {
        let mut sum = 0.0;
        for k in 0..3 {
            let d = (self.min[k] - p[k]).max(p[k] - self.max[k]).max(0.0);
            sum += d * d;
        }
        sum.sqrt()
    }

    /// Length of the diagonal, zero when empty.
    #[inline]
    pub fn diagonal(&self) -> f64 {
        if self.is_empty() { 0.0 } else { (self.max - self.min).norm() }
    }

    /// The middle of the box.
    #[inline]
    pub fn center(&self) -> P3 {
        P3::from((self.min.coords + self.max.coords) * 0.5)
    }

    /// From where to where the box reaches along a direction, mm from `origin`.
    #[inline]
    pub fn along(&self, origin: P3, direction: V3) -> (f64, f64) {
        let half = (self.max - self.min) * 0.5;
        let (at, reach) = ((self.min + half - origin).dot(&direction), direction.abs().dot(&half));
        (at - reach, at + reach)
    }

    /// The interval of `t` for which `origin + t·dir` lies in the box, if any.
    #[inline]
    pub fn clip_line(&self, origin: P3, dir: V3) -> Option<(f64, f64)> {
        let (mut lo, mut hi) = (f64::NEG_INFINITY, f64::INFINITY);
        for k in 0..3 {
            if dir[k].abs() < NOT_ZERO {
                if origin[k] < self.min[k] || origin[k] > self.max[k] {
                    return None;
                }
                continue;
            }
            let (a, b) = ((self.min[k] - origin[k]) / dir[k], (self.max[k] - origin[k]) / dir[k]);
            lo = lo.max(a.min(b));
            hi = hi.min(a.max(b));
        }
        (lo <= hi).then_some((lo, hi))
    }
}
