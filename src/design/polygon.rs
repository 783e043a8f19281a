//! Plane polygons with rounded corners, in plain numbers: their arcs, their border, and distances inside it.

/// A corner: where it lies, and the radius of its rounding; 0 leaves it sharp.
pub type PolygonCorner = ([f64; 2], f64);

/// Where the rounding of a corner starts and ends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rounding {
    /// Start of the rounding; the corner itself when it is sharp.
    pub start: [f64; 2],
    /// End of the rounding.
    pub end: [f64; 2],
    /// Centre of its arc, and whether that runs counter-clockwise; none for a sharp corner.
    pub arc: Option<([f64; 2], bool)>,
}

/// Shorter lengths count as zero, mm.
const NOTHING: f64 = solidwright::tolerance::SNAP;

/// The roundings of all corners. None where a side has no length, or two roundings need more than the side between.
pub fn roundings(corners: &[PolygonCorner]) -> Option<Vec<Rounding>> {
    let n = corners.len();
    let round = |i: usize| rounding(corners[(i + n - 1) % n].0, corners[i], corners[(i + 1) % n].0);
    let out = (0..n).map(round).collect::<Option<Vec<_>>>()?;
    let fits = |i: usize| {
        let (from, to) = (out[i].end, out[(i + 1) % n].start);
        let side = minus(corners[(i + 1) % n].0, corners[i].0);
        dot(minus(to, from), side) >= -NOTHING * dot(side, side).sqrt()
    };
    (0..n).all(fits).then_some(out)
}

fn rounding(before: [f64; 2], (at, radius): PolygonCorner, after: [f64; 2]) -> Option<Rounding> {
    let (a, b) = (unit(minus(before, at))?, unit(minus(after, at))?);
    let half = 0.5 * dot(a, b).clamp(-1.0, 1.0).acos();
    // A straight joint has nothing to round.
    if radius <= 0.0 || half.cos() < solidwright::tolerance::PARALLEL {
        return Some(Rounding { start: at, end: at, arc: None });
    }
    let (tangent, middle) = (radius / half.tan(), unit([a[0] + b[0], a[1] + b[1]])?);
    let center = plus(at, middle, radius / half.sin());
    let left_turn = a[0] * b[1] - a[1] * b[0] < 0.0;
    Some(Rounding { start: plus(at, a, tangent), end: plus(at, b, tangent), arc: Some((center, left_turn)) })
}

/// The first two corners in one place.
pub(super) fn doubled(corners: &[[f64; 2]]) -> Option<(usize, usize)> {
    let near =
        |i: usize, j: usize| (corners[i][0] - corners[j][0]).hypot(corners[i][1] - corners[j][1]) < NOTHING;
    (0..corners.len()).find_map(|j| (0..j).find(|i| near(*i, j)).map(|i| (i, j)))
}

/// Whether all corners lie in a line.
pub(super) fn in_line(corners: &[[f64; 2]]) -> bool {
    let Some(first) = corners.first() else { return true };
    let ways = || corners.iter().map(|c| minus(*c, *first));
    let Some(far) = ways().max_by(|a, b| dot(*a, *a).total_cmp(&dot(*b, *b))) else { return true };
    let length = dot(far, far).sqrt();
    ways().all(|w| (far[0] * w[1] - far[1] * w[0]).abs() <= NOTHING * length)
}

/// The first two sides that cross or touch, by the numbers of their first corners.
pub(super) fn crossing(corners: &[[f64; 2]]) -> Option<(usize, usize)> {
    let n = corners.len();
    for i in 0..n {
        for j in i + 1..n {
            let neighbours = j == i + 1 || (j + 1) % n == i;
            let (a, b) = ([corners[i], corners[(i + 1) % n]], [corners[j], corners[(j + 1) % n]]);
            if !neighbours && meet(a, b) {
                return Some((i, j));
            }
        }
    }
    None
}

fn meet(a: [[f64; 2]; 2], b: [[f64; 2]; 2]) -> bool {
    let touches = |side: [[f64; 2]; 2], p: [f64; 2]| distance(side, p) < NOTHING;
    if touches(a, b[0]) || touches(a, b[1]) || touches(b, a[0]) || touches(b, a[1]) {
        return true;
    }
    let side = |from: [f64; 2], to: [f64; 2], p: [f64; 2]| {
        let (d, q) = (minus(to, from), minus(p, from));
        d[0] * q[1] - d[1] * q[0] > 0.0
    };
    side(a[0], a[1], b[0]) != side(a[0], a[1], b[1]) && side(b[0], b[1], a[0]) != side(b[0], b[1], a[1])
}

/// The border as a closed line of points, arcs in short chords.
pub(super) fn border(corners: &[PolygonCorner]) -> Option<Vec<[f64; 2]>> {
    const CHORDS: u32 = 12;
    let mut out = Vec::new();
    for rounding in roundings(corners)? {
        let Some((center, left)) = rounding.arc else {
            out.push(rounding.start);
            continue;
        };
        let (from, to) = (minus(rounding.start, center), minus(rounding.end, center));
        let (start, radius) = (from[1].atan2(from[0]), dot(from, from).sqrt());
        let turn = to[1].atan2(to[0]) - start;
        let turn = if left {
            turn.rem_euclid(std::f64::consts::TAU)
        } else {
            -(-turn).rem_euclid(std::f64::consts::TAU)
        };
        out.extend((0..=CHORDS).map(|i| {
            let angle = start + turn * f64::from(i) / f64::from(CHORDS);
            plus(center, [angle.cos(), angle.sin()], radius)
        }));
    }
    Some(out)
}

/// How far a point lies inside a border; negative outside.
pub(super) fn depth_inside(border: &[[f64; 2]], p: [f64; 2]) -> f64 {
    let n = border.len();
    let sides = (0..n).map(|i| [border[i], border[(i + 1) % n]]);
    let crossings = sides.clone().filter(|[a, b]| {
        (a[1] > p[1]) != (b[1] > p[1]) && p[0] < a[0] + (b[0] - a[0]) * (p[1] - a[1]) / (b[1] - a[1])
    });
    let inside = crossings.count() % 2 == 1;
    let least = sides.map(|side| distance(side, p)).fold(f64::INFINITY, f64::min);
    if inside { least } else { -least }
}

/// Distance of a point from a side.
fn distance([a, b]: [[f64; 2]; 2], p: [f64; 2]) -> f64 {
    let (d, q) = (minus(b, a), minus(p, a));
    let length = dot(d, d);
    let t = if length > 0.0 { (dot(q, d) / length).clamp(0.0, 1.0) } else { 0.0 };
    (q[0] - d[0] * t).hypot(q[1] - d[1] * t)
}

fn minus(a: [f64; 2], b: [f64; 2]) -> [f64; 2] {
    [a[0] - b[0], a[1] - b[1]]
}

fn plus(a: [f64; 2], d: [f64; 2], by: f64) -> [f64; 2] {
    [a[0] + d[0] * by, a[1] + d[1] * by]
}

fn dot(a: [f64; 2], b: [f64; 2]) -> f64 {
    a[0] * b[0] + a[1] * b[1]
}

fn unit(a: [f64; 2]) -> Option<[f64; 2]> {
    let length = dot(a, a).sqrt();
    (length > NOTHING).then(|| [a[0] / length, a[1] / length])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn depth_inside_an_ell_with_a_rounded_corner() {
        let ell = [
            ([0.0, 0.0], 0.0),
            ([20.0, 0.0], 4.0),
            ([20.0, 8.0], 0.0),
            ([8.0, 8.0], 0.0),
            ([8.0, 20.0], 0.0),
            ([0.0, 20.0], 0.0),
        ];
        let border = border(&ell).expect("fits");
        for (p, expected) in [([4.0, 4.0], 4.0), ([12.0, 12.0], -4.0), ([16.0, 4.0], 4.0)] {
            let depth = depth_inside(&border, p);
            assert!((depth - expected).abs() < 0.05, "{p:?}: {depth}");
        }
    }

    #[test]
    fn a_bow_tie_crosses_itself() {
        assert_eq!(crossing(&[[0.0, 0.0], [10.0, 10.0], [10.0, 0.0], [0.0, 10.0]]), Some((0, 2)));
        assert_eq!(crossing(&[[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [0.0, 10.0]]), None);
    }
}
