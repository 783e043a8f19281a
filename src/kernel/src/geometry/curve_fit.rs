//! Cubic B-splines of curves whose points are costly: more points only where the spline is off.

use super::{BSpline, P3, V3};
use crate::tolerance::SPLINE_FIT;

/// Stretches with which the fit begins, and into how many the curve is cut at most.
const FEWEST_STRETCHES: usize = 4;
const MOST_STRETCHES: usize = 2048;

/// A curve that runs so many times faster at an end than on the whole is taken to run off there like a root.
const FAST: f64 = 5.0;

/// Share of the curve over which its speed at an end is taken.
const BESIDE_AN_END: f64 = 1e-3;

/// A spline of the curve with the points `point` and the derivatives `slope` over a range of parameters, with the given ends, within [`SPLINE_FIT`]
/// of it where that is possible, else as near as it comes.
///
/// The foot of a ball on a wall that folds beside it (a canal, next to the end of a crease) runs off like a root of the parameter. No number
/// of even steps follows that; but taken at a pace that slows down there, it is a smooth curve.
pub(super) fn fitted(
    point: &dyn Fn(f64) -> P3,
    slope: &dyn Fn(f64) -> V3,
    (t0, t1): (f64, f64),
    ends: [P3; 2],
) -> BSpline {
    let (even, off) = fit(point, (t0, t1), ends, [slope(t0), slope(t1)]);
    if off < SPLINE_FIT {
        return even;
    }
    let length = t1 - t0;
    let mean = (ends[1] - ends[0]).norm() / length;
    let step = BESIDE_AN_END * length;
    let speeds = [(t0, t0 + step), (t1 - step, t1)].map(|(a, b)| (point(b) - point(a)).norm() / step);
    let slow = speeds.map(|s| s > FAST * mean);
    if !slow.contains(&true) {
        return even;
    }
    let at = |x: f64| point(paced(x / length, slow).mul_add(length, t0));
    // Where the pace is not slowed down at an end it is twice as fast there; elsewhere the slope is a difference.
    let start = if slow[0] { one_sided(&at, ends[0], 0.0, step) } else { slope(t0) * 2.0 };
    let end = if slow[1] { one_sided(&at, ends[1], length, -step) } else { slope(t1) * 2.0 };
    let (slowed, off_slowed) = fit(&at, (0.0, length), ends, [start, end]);
    if off_slowed < off { slowed } else { even }
}

/// The share of the parameter's range at a share of the way, at a pace that slows down to nothing at some of the ends.
fn paced(x: f64, slow: [bool; 2]) -> f64 {
    match slow {
        [true, true] => x * x * (3.0 - 2.0 * x),
        [true, false] => x * x,
        [false, true] => x * (2.0 - x),
        [false, false] => x,
    }
}

/// The derivative at an end, from the points one and two steps away.
fn one_sided(point: &dyn Fn(f64) -> P3, end: P3, at: f64, step: f64) -> V3 {
    ((point(at + step) - end) * 4.0 - (point(at + 2.0 * step) - end)) / (2.0 * step)
}

/// A spline with the given ends and slopes there, and how far off the curve it is at most, seen at the quarters of its stretches.
fn fit(
    point: &dyn Fn(f64) -> P3,
    (t0, t1): (f64, f64),
    ends: [P3; 2],
    directions: [V3; 2],
) -> (BSpline, f64) {
    let at = |k: usize| t0 + (t1 - t0) * k as f64 / FEWEST_STRETCHES as f64;
    let mut stretches: Vec<Stretch> = (0..FEWEST_STRETCHES)
        .map(|k| Stretch::of(point, at(k), at(k + 1), point(f64::midpoint(at(k), at(k + 1)))))
        .collect();
    let mut points: Vec<P3> = (0..=FEWEST_STRETCHES).map(|k| point(at(k))).collect();
    (points[0], points[FEWEST_STRETCHES]) = (ends[0], ends[1]);
    let least = (t1 - t0) / MOST_STRETCHES as f64 * 1.5;
    loop {
        let params: Vec<f64> = stretches.iter().map(|s| s.from).chain([t1]).collect();
        let spline = BSpline::through(&params, &points, directions[0], directions[1]);
        let offs: Vec<f64> = stretches.iter().map(|s| s.off(&spline)).collect();
        let halved: Vec<bool> =
            stretches.iter().zip(&offs).map(|(s, off)| s.to - s.from > least && *off >= SPLINE_FIT).collect();
        if !halved.contains(&true) {
            return (spline, offs.into_iter().fold(0.0, f64::max));
        }
        let (mut more, mut through) = (Vec::new(), vec![points[0]]);
        for ((s, halve), end) in stretches.into_iter().zip(halved).zip(&points[1..]) {
            if halve {
                through.push(s.inner[1]);
                let middle = f64::midpoint(s.from, s.to);
                more.push(Stretch::of(point, s.from, middle, s.inner[0]));
                more.push(Stretch::of(point, middle, s.to, s.inner[2]));
            } else {
                more.push(s);
            }
            through.push(*end);
        }
        (stretches, points) = (more, through);
    }
}

/// A stretch of a curve between two points of its spline, and the points at its quarters.
struct Stretch {
    from: f64,
    to: f64,
    inner: [P3; 3],
}

impl Stretch {
    fn of(point: &dyn Fn(f64) -> P3, from: f64, to: f64, middle: P3) -> Self {
        let quarter = |k: f64| point(from + (to - from) * k);
        Self { from, to, inner: [quarter(0.25), middle, quarter(0.75)] }
    }

    /// How far off the curve a spline is at the quarters at most.
    fn off(&self, spline: &BSpline) -> f64 {
        let (from, length) = (self.from, self.to - self.from);
        let offs = [0.25, 0.5, 0.75].into_iter().zip(&self.inner);
        offs.map(|(k, p)| (spline.point(from + length * k) - p).norm()).fold(0.0, f64::max)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A parabola whose place runs like a root of the parameter at one end, at the other, and at both: x = √t, y = t and the like. Points of the
    /// spline lie on the parabola y = x² within the bound, which even steps miss by far.
    #[test]
    fn follows_a_curve_that_runs_off_like_a_root() {
        let parabola = |x: f64| P3::new(x, x * x, 0.0);
        let slope = |x: f64| V3::new(1.0, 2.0 * x, 0.0);
        let off = |s: &BSpline| {
            let last = s.knots[s.knots.len() - 1];
            let at = |k: u32| s.point(s.knots[0] + (last - s.knots[0]) * f64::from(k) / 997.0);
            (0..=997).map(|k| (at(k).y - at(k).x * at(k).x).abs()).fold(0.0, f64::max)
        };
        let start = |t: f64| t.max(1e-14).sqrt();
        let (even, _) = fit(
            &|t| parabola(start(t)),
            (0.0, 1.0),
            [0.0, 1.0].map(parabola),
            [V3::zeros(), slope(1.0) * 0.5],
        );
        assert!(even.knots.len() > 10 && off(&even) > 2.0 * SPLINE_FIT, "{}", off(&even));
        let at_start = fitted(
            &|t| parabola(start(t)),
            &|t| slope(start(t)) * (0.5 / start(t)),
            (0.0, 1.0),
            [0.0, 1.0].map(parabola),
        );
        assert!(off(&at_start) < SPLINE_FIT, "{}", off(&at_start));
        let end = |t: f64| 1.0 - start(1.0 - t);
        let at_end = fitted(
            &|t| parabola(end(t)),
            &|t| slope(end(t)) * (0.5 / start(1.0 - t)),
            (0.0, 1.0),
            [0.0, 1.0].map(parabola),
        );
        assert!(off(&at_end) < SPLINE_FIT, "{}", off(&at_end));
        let both = |t: f64| (2.0 * t.clamp(0.0, 1.0) - 1.0).asin() / std::f64::consts::PI;
        let fast = |t: f64| slope(both(t)) / (std::f64::consts::PI * (t * (1.0 - t)).max(1e-16).sqrt());
        let at_both = fitted(&|t| parabola(both(t)), &fast, (0.0, 1.0), [-0.5, 0.5].map(parabola));
        assert!(off(&at_both) < SPLINE_FIT, "{}", off(&at_both));
    }
}
