//! Ribs and webs that a section cuts lengthwise: they are not hatched (ISO 128-3, from memory), so that nobody takes a thin rib for
//! solid metal. What the section cuts is hatched as though they were not there, and a line shows where they stand on it.

use solidwright::geometry::{P2, V2};

use super::entity::Shape;

/// Webs in the plane of a section, as corners of chords.
#[derive(Clone, Debug, Default)]
pub struct Webs {
    /// The contours of the webs themselves.
    webs: Vec<Vec<P2>>,
    /// What the plane cuts of everything else, fillets left out.
    rest: Vec<Vec<P2>>,
}

impl Webs {
    /// Webs with their contours, and what the plane cuts of everything else.
    pub(super) fn new(webs: Vec<Vec<P2>>, rest: Vec<Vec<P2>>) -> Self {
        Self { webs, rest }
    }

    /// Their contours after a change of all places.
    #[must_use]
    pub fn moved(&self, place: impl Fn(&Vec<P2>) -> Vec<P2>) -> Self {
        let all = |loops: &[Vec<P2>]| loops.iter().map(&place).collect();
        Self { webs: all(&self.webs), rest: all(&self.rest) }
    }

    /// Lines along which they stand on the rest of a section whose contours are `cut`.
    pub fn roots(&self, cut: &[Vec<P2>]) -> Vec<Shape> {
        // Webs may run into each other: each is asked by itself. A line on the section's own contour is drawn already.
        let web = |p: P2| self.webs.iter().any(|web| within(std::slice::from_ref(web), p));
        let hidden = |p: P2, aside: V2| web(p) && within(cut, p + aside) && within(cut, p - aside);
        let mut out: Vec<Vec<P2>> = vec![];
        for [a, b] in self.rest.iter().flat_map(|points| chords(points)) {
            let mut ends = vec![0.0, 1.0];
            ends.extend(
                self.webs
                    .iter()
                    .chain(cut)
                    .flat_map(|points| chords(points))
                    .filter_map(|[c, d]| crossing([a, b], [c, d])),
            );
            ends.sort_by(f64::total_cmp);
            let at = |t: f64| a + (b - a) * t;
            let aside = V2::new(a.y - b.y, b.x - a.x).try_normalize(SAME).unwrap_or_default() * BESIDE;
            let length = (b - a).norm();
            let is_root = |pair: &&[f64]| {
                (pair[1] - pair[0]) * length > SAME && hidden(at(f64::midpoint(pair[0], pair[1])), aside)
            };
            for pair in ends.windows(2).filter(is_root) {
                let [from, to] = [pair[0], pair[1]].map(at);
                match out.last_mut() {
                    Some(chain) if chain.last().is_some_and(|p| (p - from).norm() < SAME) => chain.push(to),
                    _ => out.push(vec![from, to]),
                }
            }
        }
        out.into_iter().map(Shape::Chain).collect()
    }
}

/// Places nearer than this are one, mm on paper.
const SAME: f64 = 1e-6;

/// How far to either side of a line is asked whether it runs through what is cut, mm on paper.
const BESIDE: f64 = 0.05;

/// A loop's chords.
fn chords(points: &[P2]) -> impl Iterator<Item = [P2; 2]> {
    (0..points.len()).map(move |k| [points[k], points[(k + 1) % points.len()]])
}

/// Where a line is crossed by another, as a share of its length.
fn crossing([a, b]: [P2; 2], [c, d]: [P2; 2]) -> Option<f64> {
    let (own, other, to) = (b - a, d - c, c - a);
    let det = own.perp(&other);
    let (t, s) = (to.perp(&other) / det, to.perp(&own) / det);
    ((0.0..=1.0).contains(&t) && (0.0..=1.0).contains(&s)).then_some(t)
}

/// Whether a place lies within loops.
fn within(loops: &[Vec<P2>], p: P2) -> bool {
    let crosses =
        |[a, b]: &[P2; 2]| (a.y > p.y) != (b.y > p.y) && a.x + (b.x - a.x) * (p.y - a.y) / (b.y - a.y) > p.x;
    loops.iter().flat_map(|points| chords(points)).filter(crosses).count() % 2 == 1
}

/// A stretch of a hatching line.
type Stretch = (f64, f64);

/// Stretches of a line inside loops: points at `height` along `across`, told by how far they lie along the line.
fn inside(loops: &[Vec<P2>], along: V2, across: V2, height: f64) -> Vec<Stretch> {
    let mut places = Vec::new();
    for [a, b] in loops.iter().flat_map(|points| chords(points)) {
        let [ha, hb] = [a, b].map(|p| p.coords.dot(&across) - height);
        if (ha > 0.0) != (hb > 0.0) {
            places.push((a + (b - a) * (ha / (ha - hb))).coords.dot(&along));
        }
    }
    places.sort_by(f64::total_cmp);
    places.chunks_exact(2).map(|pair| (pair[0], pair[1])).collect()
}

/// What is left of stretches without others; both in order.
fn without(of: &[Stretch], others: &[Stretch]) -> Vec<Stretch> {
    let mut out = Vec::new();
    for (from, to) in of {
        let mut from = *from;
        for (a, b) in others {
            if *b <= from || a >= to {
                continue;
            }
            if *a > from {
                out.push((from, *a));
            }
            from = *b;
        }
        if from < *to {
            out.push((from, *to));
        }
    }
    out
}

fn overlap(a: &Stretch, b: &Stretch) -> bool {
    a.0 < b.1 && b.0 < a.1
}

/// Hatching of the inside of loops but for webs: lines at 45 degrees, this far apart.
pub fn hatching(loops: &[Vec<P2>], webs: &Webs, apart: f64) -> Vec<Shape> {
    let across = V2::new(-1.0, 1.0).normalize();
    let along = V2::new(1.0, 1.0).normalize();
    let heights = || loops.iter().flatten().map(|p| p.coords.dot(&across));
    let (Some(low), Some(high)) = (heights().reduce(f64::min), heights().reduce(f64::max)) else {
        return vec![];
    };
    let (first, last) = ((low / apart).ceil() as i64, (high / apart).floor() as i64);
    // Half a step aside, so that no line runs through a corner of round numbers.
    let lines: Vec<f64> = (first..=last).map(|line| (line as f64 - 0.5) * apart).collect();
    let on = |loops: &[Vec<P2>]| -> Vec<Vec<Stretch>> {
        lines.iter().map(|height| inside(loops, along, across, *height)).collect()
    };
    let mut all = on(loops);
    if !webs.webs.is_empty() {
        let of_each = |height: &f64| -> Vec<Stretch> {
            let own = webs.webs.iter().map(std::slice::from_ref);
            own.flat_map(|web| inside(web, along, across, *height)).collect()
        };
        let left_out = of_webs(&all, &on(&webs.rest), &lines.iter().map(of_each).collect::<Vec<_>>());
        all = all.iter().zip(&left_out).map(|(own, webs)| without(own, webs)).collect();
    }
    let shape = |height: f64, stretch: &Stretch| {
        let [a, b] = [stretch.0, stretch.1].map(|s| P2::from(along * s + across * height));
        Shape::Line(a, b)
    };
    let drawn = lines.iter().zip(&all).flat_map(|(height, own)| own.iter().map(|s| shape(*height, s)));
    drawn.collect()
}

/// What belongs to webs on each line: what is cut beside the rest, as far as it holds a web or hangs together with one, as its fillets do. Fillets
/// elsewhere are hatched.
fn of_webs(cut: &[Vec<Stretch>], rest: &[Vec<Stretch>], webs: &[Vec<Stretch>]) -> Vec<Vec<Stretch>> {
    let beside: Vec<Vec<Stretch>> = cut.iter().zip(rest).map(|(own, rest)| without(own, rest)).collect();
    let holds = |k: usize, s: &Stretch| webs[k].iter().any(|web| overlap(web, s));
    let mut is_web: Vec<Vec<bool>> =
        beside.iter().enumerate().map(|(k, own)| own.iter().map(|s| holds(k, s)).collect()).collect();
    let next = (1..beside.len()).map(|k| (k, k - 1));
    let before = (1..beside.len()).rev().map(|k| (k - 1, k));
    for (own, known) in next.chain(before) {
        for (i, s) in beside[own].iter().enumerate() {
            let meets = beside[known].iter().zip(&is_web[known]).any(|(t, web)| *web && overlap(s, t));
            is_web[own][i] |= meets;
        }
    }
    let kept = |(own, web): (&Vec<Stretch>, &Vec<bool>)| {
        own.iter().zip(web).filter(|(_, web)| **web).map(|(s, _)| *s).collect()
    };
    beside.iter().zip(&is_web).map(kept).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rectangle(from: (f64, f64), to: (f64, f64)) -> Vec<P2> {
        vec![P2::new(from.0, from.1), P2::new(to.0, from.1), P2::new(to.0, to.1), P2::new(from.0, to.1)]
    }

    /// A rib of 20 by 10 on a wall of 100 by 10, with a triangle of 3 by 3 for its fillet: only the wall is hatched, and its upper side is drawn
    /// under the rib.
    #[test]
    fn a_rib_cut_lengthwise_is_not_hatched() {
        let wall = rectangle((0.0, 0.0), (100.0, 10.0));
        let rib = rectangle((40.0, -5.0), (60.0, 20.0));
        let contour = [
            (0., 0.),
            (100., 0.),
            (100., 10.),
            (63., 10.),
            (60., 13.),
            (60., 20.),
            (40., 20.),
            (40., 10.),
            (0., 10.),
        ];
        let cut = vec![contour.map(|(x, y)| P2::new(x, y)).to_vec()];
        let webs = Webs { webs: vec![rib], rest: vec![wall] };
        let length = |shapes: &[Shape]| -> f64 {
            let one = |s: &Shape| if let Shape::Line(a, b) = s { (b - a).norm() } else { 0.0 };
            shapes.iter().map(one).sum()
        };
        let apart = 0.5;
        let area = |webs: &Webs| length(&hatching(&cut, webs, apart)) * apart;
        assert!((area(&Webs::default()) - 1204.5).abs() < 5.0, "all: {}", area(&Webs::default()));
        assert!((area(&webs) - 1000.0).abs() < 5.0, "the wall: {}", area(&webs));
        let [Shape::Chain(root)] = &webs.roots(&cut)[..] else { panic!("one line") };
        assert!((root[0].x - 60.0).abs() + (root[1].x - 40.0).abs() < 1e-9 && root.len() == 2, "{root:?}");
        assert!(root.iter().all(|p| (p.y - 10.0).abs() < 1e-9), "{root:?}");
    }
}
