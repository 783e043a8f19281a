//! Dashes of hidden lines, fitted to each line: it begins and ends with a dash and has a gap, however short it is.

use super::entity::{Dashes, Layer, Shape};
use super::page::corners;

/// Shares of dash, gap and dash of a line too short for dashes as long as a gap is wide: more gap than dash, since round
/// ends reach half a width into it.
const SHORTEST: [f64; 3] = [0.2, 0.6, 0.2];

/// How long a shape is, mm.
fn length(shape: &Shape) -> f64 {
    match shape {
        Shape::Line(a, b) => (b - a).norm(),
        Shape::Arc(arc) => arc.radius * (arc.end - arc.start),
        Shape::Ellipse(_) | Shape::Chain(_) => corners(shape).windows(2).map(|w| (w[1] - w[0]).norm()).sum(),
    }
}

/// Whether a shape ends where it begins, so that its last gap lies before its first dash.
fn is_closed(shape: &Shape) -> bool {
    match shape {
        Shape::Line(..) => false,
        Shape::Arc(_) | Shape::Ellipse(_) | Shape::Chain(_) => {
            shape.point(0.0).zip(shape.point(1.0)).is_some_and(|(a, b)| (b - a).norm() < 1e-6)
        }
    }
}

/// Dash and gap of a shape on a layer of dashed lines, mm; `None` on other layers. Where the line has room, both are those of the
/// pattern within a third; a shorter one keeps the gap, since that is what tells it from a visible line (ISO 128-2, from memory: lines
/// of dashes meet and end with a dash).
pub fn fitted_dashes(layer: Layer, shape: &Shape) -> Option<[f64; 2]> {
    let stroke = layer.stroke();
    let (Dashes::Dashed, [dash, gap]) = (stroke.dashes, stroke.dashes.lengths()) else { return None };
    let [dash, gap] = [dash, gap].map(|widths| widths * stroke.weight.width());
    let long = length(shape);
    if is_closed(shape) {
        let count = (long / (dash + gap)).round().max(2.0);
        let share = long / (count * (dash + gap));
        return Some([dash * share, gap * share]);
    }
    let count = ((long + gap) / (dash + gap)).round();
    if count >= 2.0 {
        let share = long / (count * dash + (count - 1.0) * gap);
        return Some([dash * share, gap * share]);
    }
    let left = 0.5 * (long - gap);
    Some(if left >= SHORTEST[0] / SHORTEST[1] * gap {
        [left, gap]
    } else {
        [long * SHORTEST[0], long * SHORTEST[1]]
    })
}

/// By how much the pattern of a layer is made shorter so that two dashes find room on a shape, for files whose readers fit the
/// pattern to the line by themselves: 1 where there is room enough, and on other layers.
pub(super) fn shorter_pattern(layer: Layer, shape: &Shape) -> f64 {
    let stroke = layer.stroke();
    let (Dashes::Dashed, [dash, gap]) = (stroke.dashes, stroke.dashes.lengths()) else { return 1.0 };
    (length(shape) / ((2.0 * dash + gap) * stroke.weight.width())).min(1.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drafting::Arc;
    use solidwright::geometry::P2;

    /// What is drawn of a line: whether each place is, dashes and gaps in turn.
    fn is_drawn([dash, gap]: [f64; 2], at: f64) -> bool {
        at.rem_euclid(dash + gap) <= dash + 1e-9
    }

    /// ISO 128-2 (from memory): dashes of 12 widths with gaps of 3 between, 3 mm and 0.75 mm of narrow lines. Whatever the length, the line
    /// begins and ends with a dash, and has a gap between: before, each line shorter than 3 mm was a solid one.
    #[test]
    fn hidden_lines_of_any_length_have_a_gap() {
        for tenth in 2..400 {
            let long = 0.1 * f64::from(tenth);
            let line = Shape::Line(P2::origin(), P2::new(long, 0.0));
            let dashes = fitted_dashes(Layer::Hidden, &line).expect("dashes");
            assert!(dashes[0] + dashes[1] < long, "{long} mm with {dashes:?} has no second dash");
            assert!(is_drawn(dashes, 0.0) && is_drawn(dashes, long), "{long} mm with {dashes:?}");
            let gap = 0.5 * (dashes[0] + dashes[0] + dashes[1]);
            assert!(!is_drawn(dashes, gap), "{long} mm with {dashes:?}");
            if long > 6.0 {
                assert!((dashes[0] / 3.0 - 1.0).abs() < 0.34, "{long} mm with {dashes:?}");
            }
        }
        let short = Shape::Line(P2::origin(), P2::new(1.0, 0.0));
        assert!(
            (shorter_pattern(Layer::Hidden, &short) * (2.0 * 3.0 + 0.75) - 1.0).abs() < 1e-9,
            "two dashes of 1 mm"
        );
        assert_eq!(fitted_dashes(Layer::Visible, &Shape::Line(P2::origin(), P2::new(1.0, 0.0))), None);
    }

    /// A circle has as many gaps as dashes: its end is its beginning.
    #[test]
    fn dashes_of_a_circle_close() {
        let arc = Arc { centre: P2::origin(), radius: 4.0, start: 0.0, end: std::f64::consts::TAU };
        let [dash, gap] = fitted_dashes(Layer::Hidden, &Shape::Arc(arc)).expect("dashes");
        let count = std::f64::consts::TAU * 4.0 / (dash + gap);
        assert!((count - count.round()).abs() < 1e-9, "{count} dashes of {dash} and {gap}");
        assert!((dash / gap - 4.0).abs() < 1e-9, "{dash} {gap}");
    }
}
