//! Readings that are all too large or too small by one factor: a wrongly calibrated machine, a contraction allowance left in, a part
//! made to another scale. Point by point they would be told as slips far from the datums; one factor explains them all.

use super::characteristic::MeasuringSheet;
use super::evaluation::PointsOf;
use super::plausible::{ASTRAY, astray, near_part, off};
use super::readings::ArticleReadings;
use crate::words::fixed;
use solidwright::geometry::P3;

/// Factors that are looked for lie this far from one at least and at most. Less than the least is within what machining errors do, and
/// is judged; beyond the most are units.
const LEAST: f64 = 0.002;
const MOST: f64 = 0.12;

/// The factor must explain this share of the points' distances from their surfaces.
const LEFT: f64 = 0.2;

/// What a degree does to aluminium, as a share (21.4e-6 of common casting alloys, `standards`), to tell how far a temperature would
/// have to be off.
const PER_DEGREE: f64 = 21.4e-6;

/// A factor that explains readings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct ScaleFound {
    /// What the part's sizes are multiplied by.
    factor: f64,
}

impl ScaleFound {
    /// What is said of it.
    pub(super) fn told(self) -> String {
        let share = self.factor - 1.0;
        format!(
            "all points together are {} % too {}: they lie on the part once divided by {}. Likely causes: a scale or ruler with a contraction allowance in it, a machine or probe calibrated wrongly, a part or pattern made without or with its contraction. A temperature would have to be {} °C off. Check on a gauge block or ring, and measure again",
            fixed(100.0 * share.abs(), 2),
            if share > 0.0 { "large" } else { "small" },
            fixed(self.factor, 4),
            fixed((share / PER_DEGREE).abs(), 0)
        )
    }
}

/// The factor that puts all points onto the part, if one does that clearly.
pub(super) fn found(sheet: &MeasuringSheet, article: &ArticleReadings, raw: &PointsOf) -> Option<ScaleFound> {
    let by = |factor: f64| -> PointsOf {
        let scaled = |p: &P3| P3::from(p.coords / factor);
        let all = raw.iter().map(|(e, points)| (*e, points.iter().map(scaled).collect())).collect();
        near_part(sheet, &all)
    };
    let rest = |factor: f64| mean_off(sheet, &by(factor));
    let factor = least(rest);
    let explained = rest(factor) < LEFT * rest(1.0);
    ((factor - 1.0).abs() >= LEAST && explained && astray(sheet, article, &by(factor), ASTRAY).is_empty())
        .then_some(ScaleFound { factor })
}

/// The mean distance of points from their surfaces; one far astray counts as little as any.
fn mean_off(sheet: &MeasuringSheet, placed: &PointsOf) -> f64 {
    const CAP: f64 = 10.0 * ASTRAY;
    let each = |(e, points): (&usize, &Vec<P3>)| {
        points.iter().map(|p| off(&sheet.elements[*e].shape, *p).min(CAP)).collect::<Vec<_>>()
    };
    let all: Vec<f64> = placed.iter().flat_map(each).collect();
    all.iter().sum::<f64>() / all.len().max(1) as f64
}

/// The factor with the least rest: on a grid, then closed in on about the best of it.
fn least(rest: impl Fn(f64) -> f64) -> f64 {
    const STEP: f64 = 0.0025;
    const HALVINGS: usize = 12;
    let steps = (MOST / STEP) as i32;
    let grid = (-steps..=steps).map(|k| 1.0 + STEP * f64::from(k));
    let mut best = grid.map(|f| (rest(f), f)).min_by(|a, b| a.0.total_cmp(&b.0)).map_or(1.0, |(_, f)| f);
    let mut step = STEP;
    for _ in 0..HALVINGS {
        step *= 0.5;
        let beside = [best - step, best, best + step].map(|f| (rest(f), f));
        best = beside.into_iter().min_by(|a, b| a.0.total_cmp(&b.0)).map_or(best, |(_, f)| f);
    }
    best
}
