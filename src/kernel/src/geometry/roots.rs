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
    /// Second derivative; it counts only where `bend_change` is finite.
    pub bend: f64,
    /// Bound of the absolute third derivative over the interval; infinite where it is not known.
    pub bend_change: f64,
}

impl MidpointValues {
    /// Least and greatest second derivative within `half` of the middle.
    fn bends(&self, half: f64) -> (f64, f64) {
        let bound = self.bend_bound;
        if self.bend_change == f64::INFINITY {
            return (-bound, bound);
        }
        let change = self.bend_change * half;
        ((self.bend - change).max(-bound), (self.bend + change).min(bound))
    }
}

/// All roots in `[a, b]` in rising order.
///
/// `sample(t, half)` tells the function at `t` with bounds that hold on `[t − half, t + half]`. An interval
/// is dropped when the bounds prove it free of roots, solved when they prove it monotonic or bent to one side only, halved otherwise;
/// when the function can't leave `±flat` in what is left, a touching root is reported there.
pub fn isolate_roots(a: f64, b: f64, flat: f64, sample: &dyn Fn(f64, f64) -> MidpointValues) -> Vec<Root> {
    let mut out: Vec<Root> = Vec::new();
    let mut stack = vec![(a, b, 0)];
    let mut touches = Touches::default();
    while let Some((lo, hi, depth)) = stack.pop() {
        let (mid, half) = (0.5 * (lo + hi), 0.5 * (hi - lo));
        let s = sample(mid, half);
        let (least, most) = s.bends(half);
        if is_free(&s, half, least, most) {
            continue;
        }
        let bend = most.max(-least);
        if s.slope.abs() > bend * half {
            if let Some(t) = solve_monotonic(lo, hi, sample) {
                push(&mut out, crossing(t, flat, sample), half);
            }
            continue;
        }
        if least > 0.0 || most < 0.0 {
            about_extremum((lo, hi), flat, sample, &mut out, &mut touches);
            continue;
        }
        let room = s.slope_bound.min(s.slope.abs() + bend * half) * half;
        if s.value.abs() + room < flat || depth > 60 {
            touches.add((lo, hi), mid, s.value.abs(), half);
            continue;
        }
        stack.push((mid, hi, depth + 1));
        stack.push((lo, mid, depth + 1));
    }
    out.extend(touches.finished());
    out.sort_by(|p, q| p.t.total_cmp(&q.t));
    out
}

/// Whether the bounds prove that the function has no root within `half` of the middle.
fn is_free(s: &MidpointValues, half: f64, least: f64, most: f64) -> bool {
    let height = s.value.abs();
    if height > s.slope_bound * half {
        return true;
    }
    // How fast the function bends towards zero at the most.
    let towards = if s.value > 0.0 { -least } else { most };
    let slope = s.slope.abs();
    let dip = if towards < 0.0 && slope < -towards * half {
        // It bends away from zero, and comes nearest to it within.
        -0.5 * slope * slope / towards
    } else {
        slope * half + 0.5 * towards * half * half
    };
    height > dip
}

/// A root at which the function crosses zero, unless it dips by less than `flat` beyond: then it is a touch that rounding made a crossing.
fn crossing(t: f64, flat: f64, sample: &dyn Fn(f64, f64) -> MidpointValues) -> Root {
    let at = sample(t, 0.0);
    Root { t, crossing: at.slope * at.slope > 4.0 * at.bend_bound * flat }
}

/// The roots in an interval in which the function bends to one side only: two, a touch at its extremum, one or none.
fn about_extremum(
    (lo, hi): (f64, f64),
    flat: f64,
    sample: &dyn Fn(f64, f64) -> MidpointValues,
    out: &mut Vec<Root>,
    touches: &mut Touches,
) {
    let half = 0.5 * (hi - lo);
    let slope = |t: f64| sample(t, 0.0).slope;
    let (from, to) = (slope(lo), slope(hi));
    let top = if from == 0.0 {
        Some(lo)
    } else if to == 0.0 {
        Some(hi)
    } else if (from > 0.0) == (to > 0.0) {
        None
    } else {
        let bend = |t: f64| {
            let s = sample(t, 0.0);
            (s.slope, s.bend)
        };
        Some(in_bracket((lo, hi), from, 0.5 * (lo + hi), &bend))
    };
    let Some(top) = top else {
        if let Some(t) = solve_monotonic(lo, hi, sample) {
            push(out, crossing(t, flat, sample), half);
        }
        return;
    };
    let height = sample(top, 0.0).value.abs();
    if height <= flat {
        touches.add((top, top), top, height, 0.0);
        return;
    }
    for (a, b) in [(lo, top), (top, hi)] {
        if let Some(t) = solve_monotonic(a, b, sample) {
            push(out, crossing(t, flat, sample), half);
        }
    }
}

/// Touching roots: intervals that hang together hold one.
#[derive(Default)]
struct Touches {
    done: Vec<f64>,
    /// From, to, best place, its absolute value.
    open: Option<(f64, f64, f64, f64)>,
}

impl Touches {
    /// Takes an interval in which the function is nearly zero, known best at `t`; intervals come in rising order.
    fn add(&mut self, (lo, hi): (f64, f64), t: f64, height: f64, half: f64) {
        self.open = Some(match self.open {
            Some((from, to, at, best)) if lo <= to + half => {
                let (at, best) = if height < best { (t, height) } else { (at, best) };
                (from, hi, at, best)
            }
            other => {
                self.done.extend(other.map(|o| o.2));
                (lo, hi, t, height)
            }
        });
    }

    fn finished(self) -> impl Iterator<Item = Root> {
        self.done.into_iter().chain(self.open.map(|o| o.2)).map(|t| Root { t, crossing: false })
    }
}

/// A root exactly on the border of two intervals is found in both: keeps one.
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
fn solve_monotonic(lo: f64, hi: f64, sample: &dyn Fn(f64, f64) -> MidpointValues) -> Option<f64> {
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
    let value = |t: f64| {
        let s = sample(t, 0.0);
        (s.value, s.slope)
    };
    Some(in_bracket((lo, hi), f_lo, lo + (hi - lo) * f_lo / (f_lo - f_hi), &value))
}

/// Where a function of the sign of `from` at the lower end and of the other one at the upper end is zero: Newton from `t`, kept inside
/// the bracket. `at` gives value and slope.
fn in_bracket((mut lo, mut hi): (f64, f64), from: f64, mut t: f64, at: &dyn Fn(f64) -> (f64, f64)) -> f64 {
    for _ in 0..100 {
        let (value, slope) = at(t);
        if value == 0.0 {
            return t;
        }
        if (value > 0.0) == (from > 0.0) {
            lo = t;
        } else {
            hi = t;
        }
        let newton = t - value / slope;
        let next = if newton > lo && newton < hi { newton } else { 0.5 * (lo + hi) };
        if (next - t).abs() <= 4.0 * f64::EPSILON * (1.0 + t.abs()) {
            return next;
        }
        t = next;
    }
    t
}

#[cfg(test)]
mod tests {
    use super::*;

    fn poly(c: &[f64]) -> impl Fn(f64, f64) -> MidpointValues + use<> {
        let c = c.to_vec();
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
            MidpointValues {
                value: at(0, t),
                slope: at(1, t),
                slope_bound: bound(1),
                bend_bound: bound(2),
                bend: at(2, t),
                bend_change: bound(3),
            }
        }
    }

    /// The product of (x − r).
    fn product(roots: &[f64]) -> impl Fn(f64, f64) -> MidpointValues + use<> {
        let mut c = vec![1.0];
        for r in roots {
            let mut next = vec![0.0; c.len() + 1];
            for (k, a) in c.iter().enumerate() {
                next[k + 1] += a;
                next[k] -= r * a;
            }
            c = next;
        }
        poly(&c)
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

    /// A rounded edge runs into a wall as (x − 0.3)⁴: with bounds of the second derivative alone, thousands of intervals stay undecided.
    #[test]
    fn a_fourfold_root_is_a_touch_and_found_in_few_steps() {
        let f = poly(&[0.0081, -0.108, 0.54, -1.2, 1.0]);
        let asked = std::cell::Cell::new(0);
        let counted = |t: f64, half: f64| {
            asked.set(asked.get() + 1);
            f(t, half)
        };
        let roots = isolate_roots(-3.0, 3.7, 1e-9, &counted);
        assert_eq!(roots.len(), 1, "it touches once: {roots:?}");
        assert!(!roots[0].crossing && (roots[0].t - 0.3).abs() < 0.01, "{roots:?}");
        assert!(asked.get() < 400, "{} places were asked", asked.get());
    }

    /// (x − 1)² (x − 1.6)² (x − 2.1)²: places where a curve touches lie as near to each other as they like.
    #[test]
    fn touches_beside_each_other_are_all_told() {
        let f = product(&[1.0, 1.0, 1.6, 1.6, 2.1, 2.1]);
        let roots = isolate_roots(-3.0, 3.7, 1e-9, &f);
        let found: Vec<f64> = roots.iter().map(|r| r.t).collect();
        assert_eq!(found.len(), 3, "{roots:?}");
        for (t, want) in found.iter().zip([1.0, 1.6, 2.1]) {
            assert!((t - want).abs() < 1e-4, "{roots:?}");
        }
        assert!(roots.iter().all(|r| !r.crossing), "{roots:?}");
    }

    #[test]
    fn a_dip_that_stays_above_zero_is_no_root() {
        let roots = isolate_roots(-3.0, 3.7, 1e-9, &poly(&[1.0 + 1e-6, -2.0, 1.0]));
        assert!(roots.is_empty(), "(x−1)² + 1e-6 is never zero: {roots:?}");
    }

    /// Products of (x − r) for roots drawn at random: all are found, and the same with the third derivative unknown.
    #[test]
    fn all_roots_of_products_are_found() {
        let mut state = 7_u64;
        let mut draw = || {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (state >> 11) as f64 / (1_u64 << 53) as f64
        };
        for _ in 0..300 {
            let mut want: Vec<f64> = (0..5).map(|_| 4.0 * draw() - 2.0).collect();
            want.sort_by(f64::total_cmp);
            if want.windows(2).any(|w| w[1] - w[0] < 1e-3) {
                continue;
            }
            let f = product(&want);
            let found = |roots: Vec<Root>| roots.iter().map(|r| r.t).collect::<Vec<f64>>();
            let known = found(isolate_roots(-2.5, 2.5, 1e-13, &f));
            let unknown = |t: f64, half: f64| MidpointValues { bend_change: f64::INFINITY, ..f(t, half) };
            let plain = found(isolate_roots(-2.5, 2.5, 1e-13, &unknown));
            for got in [&known, &plain] {
                assert_eq!(got.len(), want.len(), "{got:?} for {want:?}");
                let off = got.iter().zip(&want).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
                assert!(off < 1e-7, "{got:?} for {want:?}");
            }
        }
    }
}
