//! All roots of a function of one variable, proved by bounds of its derivatives.

use crate::tolerance::{NOT_ZERO, SAME_ROOT};

/// A root found by [`isolate_roots`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Root {
    /// Where.
    pub t: f64,
    /// Whether the function changes sign there. If not, it touches zero (or comes closer to it than
    /// `flat`), and `t` is known only roughly.
    pub crossing: bool,
}

/// What is known of the function about the middle of an interval.
#[derive(Clone, Copy, Debug)]
pub struct MidpointValues {
    /// Value.
    pub value: f64,
    /// Slope.
    pub slope: f64,
    /// Bound of the absolute slope over the interval.
    pub slope_bound: f64,
    /// Bound of the absolute second derivative over the interval, may be infinite.
    pub bend_bound: f64,
}

/// All roots in `[a, b]` in rising order.
///
/// `sample(t, half)` tells the function at `t` with bounds that hold on `[t − half, t + half]`. An interval
/// is dropped when the bounds prove it free of roots, solved when they prove it monotonic, halved otherwise;
/// when the function can't leave `±flat` in what is left, a touching root is reported there.
pub fn isolate_roots(a: f64, b: f64, flat: f64, sample: &dyn Fn(f64, f64) -> MidpointValues) -> Vec<Root> {
    let mut out: Vec<Root> = Vec::new();
    let mut stack = vec![(a, b, 0)];
    let mut touch: Option<(f64, f64, f64, f64)> = None; // from, to, best t, best |value|
    while let Some((lo, hi, depth)) = stack.pop() {
        let (mid, half) = (0.5 * (lo + hi), 0.5 * (hi - lo));
        let s = sample(mid, half);
        let room = s.slope_bound.min(s.slope.abs() + s.bend_bound * half);
        if s.value.abs() > room * half {
            continue;
        }
        if s.slope.abs() > s.bend_bound * half {
            if let Some(t) = solve_monotonic(lo, hi, sample) {
                // A dip of less than `flat` beyond the root is a touch that rounding made a crossing.
                let at = sample(t, 0.0);
                let crossing = at.slope * at.slope > 4.0 * at.bend_bound * flat;
                push(&mut out, Root { t, crossing }, half);
            }
            continue;
        }
        if s.value.abs() + room * half < flat || depth > 60 {
            touch = Some(match touch {
                Some((from, to, t, v)) if lo <= to + half => {
                    let (t, v) = if s.value.abs() < v { (mid, s.value.abs()) } else { (t, v) };
                    (from, hi, t, v)
                }
                other => {
                    if let Some((_, _, t, _)) = other {
                        out.push(Root { t, crossing: false });
                    }
                    (lo, hi, mid, s.value.abs())
                }
            });
            continue;
        }
        stack.push((mid, hi, depth + 1));
        stack.push((lo, mid, depth + 1));
    }
    if let Some((_, _, t, _)) = touch {
        out.push(Root { t, crossing: false });
    }
    out.sort_by(|p, q| p.t.total_cmp(&q.t));
    out
}

/// A root exactly on the border of two intervals is found in both: keep one.
fn push(out: &mut Vec<Root>, root: Root, half: f64) {
    if let Some(last) = out.last()
        && last.crossing == root.crossing
        && (last.t - root.t).abs() <= SAME_ROOT * (1.0 + root.t.abs()).min(half.max(NOT_ZERO) * 1e13)
    {
        return;
    }
    out.push(root);
}

/// The root of a function known to be monotonic on `[lo, hi]`: Newton kept inside a bracket.
fn solve_monotonic(mut lo: f64, mut hi: f64, sample: &dyn Fn(f64, f64) -> MidpointValues) -> Option<f64> {
    let f_lo = sample(lo, 0.0).value;
    let f_hi = sample(hi, 0.0).value;
    if f_lo == 0.0 {
        return Some(lo);
    }
    if f_hi == 0.0 {
        return Some(hi);
    }
    if (f_lo > 0.0) == (f_hi > 0.0) {
        return None;
    }
    let mut t = lo + (hi - lo) * f_lo / (f_lo - f_hi);
    for _ in 0..100 {
        let s = sample(t, 0.0);
        if s.value == 0.0 {
            return Some(t);
        }
        if (s.value > 0.0) == (f_lo > 0.0) {
            lo = t;
        } else {
            hi = t;
        }
        let newton = t - s.value / s.slope;
        let next = if newton > lo && newton < hi { newton } else { 0.5 * (lo + hi) };
        if (next - t).abs() <= 4.0 * f64::EPSILON * (1.0 + t.abs()) {
            return Some(next);
        }
        t = next;
    }
    Some(t)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn poly(c: &'static [f64]) -> impl Fn(f64, f64) -> MidpointValues {
        move |t, half| {
            let at = |k: usize, t: f64| {
                c.iter().enumerate().skip(k).fold(0.0, |sum, (i, a)| {
                    let fall: f64 = (0..k).map(|j| (i - j) as f64).product();
                    sum + a * fall * t.powi(i32::try_from(i - k).unwrap_or(0))
                })
            };
            let bound = |k: usize| {
                c.iter().enumerate().skip(k).fold(0.0, |sum, (i, a)| {
                    let fall: f64 = (0..k).map(|j| (i - j) as f64).product();
                    sum + a.abs() * fall * (t.abs() + half).powi(i32::try_from(i - k).unwrap_or(0))
                })
            };
            MidpointValues { value: at(0, t), slope: at(1, t), slope_bound: bound(1), bend_bound: bound(2) }
        }
    }

    #[test]
    fn three_roots_of_a_cubic() {
        let roots = isolate_roots(-5.0, 5.0, 1e-12, &poly(&[-6.0, 11.0, -6.0, 1.0]));
        let t: Vec<f64> = roots.iter().map(|r| r.t).collect();
        assert_eq!(t.len(), 3, "x³−6x²+11x−6 has the roots 1, 2, 3");
        for (a, b) in t.iter().zip([1.0, 2.0, 3.0]) {
            assert!((a - b).abs() < 1e-12, "{a} is not {b}");
        }
    }

    #[test]
    fn a_double_root_is_a_touch() {
        let roots = isolate_roots(-3.0, 3.7, 1e-12, &poly(&[1.0, -2.0, 1.0]));
        assert_eq!(roots.len(), 1, "(x−1)² touches once: {roots:?}");
        assert!(!roots[0].crossing && (roots[0].t - 1.0).abs() < 1e-5, "{roots:?}");
    }

    #[test]
    fn roots_a_hair_apart_are_two() {
        // (x−1)² − 1e-10: roots 1 ± 1e-5
        let roots = isolate_roots(-3.0, 3.7, 1e-13, &poly(&[1.0 - 1e-10, -2.0, 1.0]));
        assert_eq!(roots.len(), 2, "{roots:?}");
        assert!((roots[1].t - roots[0].t - 2e-5).abs() < 1e-9, "{roots:?}");
    }
}
