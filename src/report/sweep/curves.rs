//! Small curves of a margin along each parameter, for margins that a plane through all rows does not describe.

use super::cards::{Reach, linked};
use super::words::number;
use crate::report::document::html::escaped;
use crate::sweep::answers::Answers;
use crate::sweep::cards::RowCard;
use crate::sweep::effects::Effect;
use crate::sweep::ranges::Bins;

/// Size of a curve's drawing.
const WIDTH: f64 = 220.0;
const HEIGHT: f64 = 56.0;

/// Room around the points.
const EDGE: f64 = 5.0;

/// One curve for each parameter along which the margin is known at two values at least.
pub(super) fn curves(answers: &Answers, effect: &Effect, shown: &[RowCard]) -> String {
    let names = answers.moving.names();
    let found = names.iter().find(|(_, name)| **name == (effect.check.as_str(), effect.what.as_str()));
    let Some((key, _)) = found else { return String::new() };
    answers.ranges.iter().filter_map(|bins| curve(&points(bins, *key), bins, &effect.unit, shown)).collect()
}

/// Values of the parameter with the least margin at each, and the row that has it.
fn points(bins: &Bins, key: u32) -> Vec<(f64, f64, u64)> {
    let at = |bin: &crate::sweep::ranges::Bin| {
        let (low, high) = bin.values?;
        let worst = bin.worst.get(&key)?;
        Some((f64::midpoint(low, high), worst.room?, worst.row))
    };
    let mut all: Vec<(f64, f64, u64)> = bins.bins.iter().filter_map(at).collect();
    all.sort_by(|a, b| a.0.total_cmp(&b.0));
    all
}

/// The curve as a drawing: points, the line through them, and a dashed line at no margin where that is within.
fn curve(points: &[(f64, f64, u64)], bins: &Bins, unit: &str, shown: &[RowCard]) -> Option<String> {
    let (first, last) = (points.first()?, points.last()?);
    let low = points.iter().map(|p| p.1).fold(f64::INFINITY, f64::min);
    let high = points.iter().map(|p| p.1).fold(f64::NEG_INFINITY, f64::max);
    if points.len() < 2 || last.0 <= first.0 || high <= low {
        return None;
    }
    let x = |value: f64| EDGE + (WIDTH - 2.0 * EDGE) * (value - first.0) / (last.0 - first.0);
    let y = |margin: f64| EDGE + (HEIGHT - 2.0 * EDGE) * (high - margin) / (high - low);
    let line: Vec<String> = points.iter().map(|p| format!("{:.1},{:.1}", x(p.0), y(p.1))).collect();
    let unit = if unit == "1" { "" } else { unit };
    let dot = |p: &(f64, f64, u64)| {
        let told = format!("{} {}: margin {} {unit}", number(p.0), bins.axis.shown, number(p.1))
            .trim_end()
            .to_owned()
            + &format!(", row {}", p.2);
        let colour = if p.1 < 0.0 { "var(--fail)" } else { "var(--accent)" };
        let drawn = format!(
            "<circle cx=\"{:.1}\" cy=\"{:.1}\" r=\"3\" fill=\"{colour}\"><title>{}</title></circle>",
            x(p.0),
            y(p.1),
            escaped(&told)
        );
        linked(p.2, shown, &drawn, Reach::ByPointer)
    };
    let limit = if low < 0.0 && high > 0.0 {
        format!(
            "<line x1=\"0\" x2=\"{WIDTH}\" y1=\"{0:.1}\" y2=\"{0:.1}\" stroke=\"var(--fail)\" stroke-dasharray=\"4 3\"/>",
            y(0.0)
        )
    } else {
        String::new()
    };
    Some(format!(
        "<div>{} from {} to {} {}: margin {} to {} {unit}<br>\n\
         <svg viewBox=\"0 0 {WIDTH} {HEIGHT}\" width=\"{WIDTH}\" role=\"group\" aria-label=\"curve of the margin\">{limit}\
         <polyline points=\"{}\" fill=\"none\" stroke=\"var(--accent)\"/>{}</svg></div>\n",
        escaped(bins.axis.key.text()),
        number(first.0),
        number(last.0),
        escaped(&bins.axis.shown),
        number(low),
        number(high),
        line.join(" "),
        points.iter().map(dot).collect::<String>()
    ))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sweep::axis::Axis;

    /// The least margin stands lowest, the limit is drawn only where the curve passes it, and one value is no curve.
    #[test]
    fn a_curve_shows_where_a_margin_bends() {
        let axis = Axis::parse("shell.wall=4..8/3").expect("an axis");
        let bins = Bins::new(&[axis], 0, false);
        let drawn =
            curve(&[(4.0, -1.0, 0), (6.0, 1.0, 1), (8.0, 1.5, 2)], &bins, "mm", &[]).expect("a curve");
        assert!(drawn.contains("points=\"5.0,51.0 110.0,14.2 215.0,5.0\""), "{drawn}");
        assert!(drawn.contains("stroke-dasharray") && drawn.contains("margin -1 to 1.5 mm"), "{drawn}");
        let inside = curve(&[(4.0, 1.0, 0), (8.0, 2.0, 1)], &bins, "1", &[]).expect("a curve");
        assert!(!inside.contains("stroke-dasharray"), "{inside}");
        assert!(curve(&[(4.0, 1.0, 0)], &bins, "mm", &[]).is_none(), "one value");
        assert!(curve(&[(4.0, 1.0, 0), (8.0, 1.0, 1)], &bins, "mm", &[]).is_none(), "no change");
    }
}
