//! A piece of a clamped cubic B-spline as one of its own.

use crate::geometry::{BSpline, P3, V3};
use crate::tolerance::SPLINE_PIECE;

/// The piece of `spline` between two parameters, exactly: every new control point is the old polynomial's
/// polar form at three neighbouring new knots (Ramshaw, "Blossoms are polar forms", CAGD 6 (1989) 323-358).
pub(crate) fn piece(spline: &BSpline, (from, to): (f64, f64)) -> BSpline {
    let ends = (spline.knots[0], spline.knots[spline.knots.len() - 1]);
    let near = SPLINE_PIECE * (to - from);
    if (from - ends.0).abs() <= near && (to - ends.1).abs() <= near {
        return spline.clone();
    }
    let inner = spline.knots.iter().copied().filter(|k| *k > from + near && *k < to - near);
    let knots: Vec<f64> = std::iter::once(from).chain(inner).chain([to]).collect();
    let full = |i: usize| knots[i.saturating_sub(3).min(knots.len() - 1)];
    let last_span = knots.len() - 2;
    let control = (0..knots.len() + 2)
        .map(|i| {
            // The span in the middle of the control point's reach: the least extrapolation.
            let k = i.saturating_sub(2).min(last_span);
            let middle = f64::midpoint(knots[k], knots[k + 1]);
            polar(spline, middle, [full(i + 1), full(i + 2), full(i + 3)])
        })
        .collect();
    BSpline { knots, control }
}

/// The polar form, at three parameters, of the polynomial that the spline is around `inside`.
fn polar(spline: &BSpline, inside: f64, at: [f64; 3]) -> P3 {
    let last = spline.knots.len() - 1;
    let s = spline.knots.partition_point(|k| *k <= inside).clamp(1, last) - 1;
    let knot = |i: usize| spline.knots[i.saturating_sub(3).min(last)];
    let mut d: [V3; 4] = std::array::from_fn(|j| spline.control[s + j].coords);
    for (r, t) in at.into_iter().enumerate() {
        for j in (r + 1..4).rev() {
            // De Boor's step, with a parameter of its own at every level.
            let (lo, hi) = (knot(s + j), knot(s + j + 3 - r));
            let w = (t - lo) / (hi - lo);
            d[j] = d[j - 1] * (1.0 - w) + d[j] * w;
        }
    }
    P3::from(d[3])
}

#[cfg(test)]
mod tests {
    use super::*;

    fn wave() -> BSpline {
        let f = |t: f64| P3::new(3.0 * t.cos(), 2.0 * t.sin(), (2.0 * t).sin());
        let d = |t: f64| V3::new(-3.0 * t.sin(), 2.0 * t.cos(), 2.0 * (2.0 * t).cos());
        let params: Vec<f64> = (0..12).map(|i| 0.3 * f64::from(i) + 0.01 * f64::from(i * i)).collect();
        let points: Vec<P3> = params.iter().map(|t| f(*t)).collect();
        BSpline::through(&params, &points, d(params[0]), d(params[11]))
    }

    #[test]
    fn a_piece_runs_where_the_whole_runs() {
        let whole = wave();
        let k = &whole.knots;
        let ranges = [
            (k[0], k[11]),
            (k[0], 1.1),
            (1.1, k[11]),
            (0.9, 2.7),
            (k[3], k[7]),
            (k[3] + 1e-13, k[7]),
            (1.0, 1.01),
            (k[10] + 0.01, k[11]),
        ];
        for range in ranges {
            let part = piece(&whole, range);
            assert_eq!(part.control.len(), part.knots.len() + 2, "clamped cubic over {range:?}");
            for i in 0..=40 {
                let t = range.0 + (range.1 - range.0) * f64::from(i) / 40.0;
                let off = (part.point(t) - whole.point(t)).norm();
                assert!(off < 1e-12, "{off} mm off at {t} of {range:?}");
            }
        }
    }
}
