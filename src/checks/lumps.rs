//! The lumps of a casting: places thicker than all metal about them, and the metal that each has to feed.
//!
//! On the grid of [`Modulus`], each cell of metal knows its distance from the surface. Flooded from the thickest place down,
//! peaks of thickness meet; the smaller is fed through the larger if the metal between them is thick enough, and stays a
//! lump of its own if it is not. All other metal belongs to the lump with the shortest way through metal. The thickest place
//! of each lump is found on the exact faces.

use super::modulus::{CELL, Modulus};
use crate::faces::Feature;
use solidwright::geometry::{P3, V3};
use solidwright::probe::Probe;
use std::cmp::Reverse;
use std::collections::{BTreeMap, BinaryHeap};

/// A lump.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Lump {
    /// Centre of the largest ball in it.
    pub(super) center: P3,
    /// Radius of that ball, mm.
    pub(super) radius: f64,
    /// The face that the ball touches first.
    pub(super) face: usize,
    /// Volume of the metal to which the way through metal is shortest from it, its own with it, mm³.
    pub(super) volume: f64,
    /// The longest of these ways, mm.
    pub(super) farthest: f64,
    /// The larger lump that it meets by the thickest metal, and the radius of the ball that passes there, mm.
    pub(super) towards: Option<(usize, f64)>,
}

/// What becomes of a small peak of thickness.
#[derive(Clone, Copy, Debug)]
pub(super) struct Threshold {
    /// Peaks of less than this radius are no lumps, mm.
    pub(super) least: f64,
    /// Two peaks are one if the metal between them is at least this share of the smaller one's radius.
    pub(super) together: f64,
}

/// What the grid may miss of the thickness between two peaks, in cells.
const GRAIN: f64 = 0.6;

/// A lump's own metal is at least this share of its radius from the surface; the way of feeding begins there.
const CORE: f64 = 0.5;

/// The lumps of a casting of some volume, mm³, largest ball first.
pub(super) fn lumps(grid: &Modulus, probe: &Probe, solid: f64, bounds: Threshold) -> Vec<Lump> {
    let depth = depths(grid);
    let flood = Flood::of(grid, &depth, bounds);
    let mut found: Vec<(usize, Lump)> = Vec::new();
    for root in flood.lone() {
        let peak = flood.basins[root].peak;
        let (center, radius, face) = centered(probe, grid.middle(peak), 2.0 * depth[peak] * CELL);
        if radius >= bounds.least {
            found.push((root, Lump { center, radius, face, volume: 0.0, farthest: 0.0, towards: None }));
        }
    }
    found.sort_by(|a, b| b.1.radius.total_cmp(&a.1.radius));
    let roots: Vec<usize> = found.iter().map(|(root, _)| *root).collect();
    let at = |root: usize| roots.iter().position(|r| *r == root);
    for (pair, (_, saddle)) in flood.saddles() {
        let (Some(a), Some(b)) = (at(pair.0), at(pair.1)) else { continue };
        let (large, small) = (a.min(b), a.max(b));
        // The middle of the metal between them lies within a cell of the saddle's.
        let (_, radius, _) = centered(probe, grid.middle(saddle), 0.75 * CELL);
        let known = &mut found[small].1.towards;
        if known.is_none_or(|(_, best)| radius > best) {
            *known = Some((large, radius));
        }
    }
    let reached =
        Reached::of(grid, &depth, |cell| flood.of[cell].map(|b| flood.root(b)).and_then(at), &flood);
    // Cells at the surface hold metal too: the whole is the solid's.
    let share =
        solid / (0..grid.cells()).filter(|c| reached.of[*c].is_some()).map(|c| grid.volume(c)).sum::<f64>();
    for cell in 0..grid.cells() {
        let Some(lump) = reached.of[cell] else { continue };
        let lump = &mut found[lump].1;
        lump.volume += share * grid.volume(cell);
        lump.farthest = lump.farthest.max(reached.way[cell] * CELL);
    }
    found.into_iter().map(|(_, lump)| lump).collect()
}

/// The middle of the largest ball within some reach of a place, on the exact faces: it moves away from the nearest face by ever
/// smaller steps.
fn centered(probe: &Probe, from: P3, reach: f64) -> (P3, f64, usize) {
    let near = |p: P3| probe.nearest(p, |_| true, f64::INFINITY);
    let (mut at, mut step) = (from, 0.25 * reach.max(1.0));
    let Some(mut best) = near(at) else { return (at, 0.0, 0) };
    while step > 0.01 {
        let away = (at - best.point).try_normalize(1e-9).unwrap_or_else(V3::zeros);
        let ways = [away, V3::x(), -V3::x(), V3::y(), -V3::y(), V3::z(), -V3::z()];
        let tried = ways.into_iter().map(|way| at + way * step).filter_map(|p| Some((p, near(p)?)));
        match tried.max_by(|a, b| a.1.distance.total_cmp(&b.1.distance)) {
            Some((p, found)) if found.distance > best.distance + 1e-6 && (p - from).norm() < reach => {
                (at, best) = (p, found);
            }
            _ => step *= 0.5,
        }
    }
    // A lump beside the cavity is named by what is outside it.
    let faces = &probe.brep().faces;
    let outside = |f: usize| Feature::of(&faces[f].tag) != Feature::Cavity;
    let named = probe.nearest(at, outside, 2.0 * best.distance + 1.0).unwrap_or(best);
    (at, best.distance, named.face)
}

/// Distance of each cell's middle from the nearest cell without metal, in cells, less the half cell to its near side; zero without
/// metal. Exact on the grid: squares of distances are least sums along one axis after the other.
fn depths(grid: &Modulus) -> Vec<f64> {
    let size = grid.size();
    let mut square: Vec<f64> =
        (0..grid.cells()).map(|i| if grid.is_metal(i) { f64::INFINITY } else { 0.0 }).collect();
    let strides = [size[1] * size[2], size[2], 1];
    for axis in 0..3 {
        let others = [(axis + 1) % 3, (axis + 2) % 3];
        for i in 0..size[others[0]] {
            for j in 0..size[others[1]] {
                let first = i * strides[others[0]] + j * strides[others[1]];
                let line: Vec<f64> = (0..size[axis]).map(|k| square[first + k * strides[axis]]).collect();
                for (k, value) in nearest_on_line(&line).into_iter().enumerate() {
                    square[first + k * strides[axis]] = value;
                }
            }
        }
    }
    square.into_iter().map(|s| if s > 0.0 { s.sqrt() - 0.5 } else { 0.0 }).collect()
}

/// For each place of a line the least of value and squared distance over all its places: the lower hull of parabolas
/// (Felzenszwalb and Huttenlocher, *Distance Transforms of Sampled Functions*, 2012).
fn nearest_on_line(line: &[f64]) -> Vec<f64> {
    let (mut hull, mut starts): (Vec<usize>, Vec<f64>) = (Vec::new(), Vec::new());
    for (q, value) in line.iter().enumerate().filter(|(_, value)| value.is_finite()) {
        let meets = |p: usize| {
            let (a, b) = (p as f64, q as f64);
            (value + b * b - line[p] - a * a) / (2.0 * (b - a))
        };
        while let (Some(p), Some(start)) = (hull.last(), starts.last()) {
            if meets(*p) > *start {
                break;
            }
            hull.pop();
            starts.pop();
        }
        starts.push(hull.last().map_or(f64::NEG_INFINITY, |p| meets(*p)));
        hull.push(q);
    }
    let mut at = 0;
    let value = |x: usize, at: &mut usize| {
        while *at + 1 < hull.len() && starts[*at + 1] <= x as f64 {
            *at += 1;
        }
        hull.get(*at).map_or(f64::INFINITY, |p| line[*p] + (x as f64 - *p as f64).powi(2))
    };
    (0..line.len()).map(|x| value(x, &mut at)).collect()
}

/// The metal about one peak of thickness.
struct Basin {
    /// The cell of the peak.
    peak: usize,
    /// The basin that it was joined with; itself where it stands alone.
    joined: usize,
}

/// All basins: each cell of metal belongs to one.
struct Flood {
    basins: Vec<Basin>,
    /// The basin of each cell.
    of: Vec<Option<usize>>,
    /// The depth and the cell of the thickest metal between two basins.
    between: BTreeMap<(usize, usize), (f64, usize)>,
}

impl Flood {
    fn of(grid: &Modulus, depth: &[f64], bounds: Threshold) -> Self {
        let mut order: Vec<usize> = (0..depth.len()).filter(|i| depth[*i] > 0.0).collect();
        order.sort_by(|a, b| depth[*b].total_cmp(&depth[*a]).then(a.cmp(b)));
        let mut out = Self { basins: vec![], of: vec![None; depth.len()], between: BTreeMap::new() };
        let (neighbors, mut around) = (grid.neighbors(), Vec::new());
        for cell in order {
            around.clear();
            let mut steepest: Option<(f64, usize)> = None;
            for (next, apart) in neighbors.of(cell) {
                let Some(basin) = out.of.get(next).copied().flatten().map(|b| out.root(b)) else { continue };
                let slope = (depth[next] - depth[cell]) / apart;
                if steepest.is_none_or(|(most, _)| slope > most) {
                    steepest = Some((slope, basin));
                }
                if !around.contains(&basin) {
                    around.push(basin);
                }
            }
            around.sort_by(|a, b| {
                let peak = |b: &usize| depth[out.basins[*b].peak];
                peak(b).total_cmp(&peak(a)).then(a.cmp(b))
            });
            // Metal between two peaks belongs to the one towards which it gets thicker faster, not always to the larger.
            let (Some((_, nearer)), Some(own)) = (steepest, around.first().copied()) else {
                out.of[cell] = Some(out.basins.len());
                out.basins.push(Basin { peak: cell, joined: out.basins.len() });
                continue;
            };
            out.of[cell] = Some(nearer);
            for small in &around[1..] {
                let peak = depth[out.basins[*small].peak];
                if peak * CELL < bounds.least || depth[cell] + GRAIN >= bounds.together * peak {
                    out.basins[*small].joined = own;
                } else {
                    out.between.entry((own.min(*small), own.max(*small))).or_insert((depth[cell], cell));
                }
            }
        }
        out
    }

    /// The basin that holds a basin.
    fn root(&self, mut basin: usize) -> usize {
        while self.basins[basin].joined != basin {
            basin = self.basins[basin].joined;
        }
        basin
    }

    /// The basins that stand alone.
    fn lone(&self) -> Vec<usize> {
        (0..self.basins.len()).filter(|b| self.basins[*b].joined == *b).collect()
    }

    /// The depth and the cell of the thickest metal between two basins that stand alone.
    fn saddles(&self) -> BTreeMap<(usize, usize), (f64, usize)> {
        let mut out: BTreeMap<(usize, usize), (f64, usize)> = BTreeMap::new();
        for ((a, b), at) in &self.between {
            let (a, b) = (self.root(*a), self.root(*b));
            if a != b {
                let entry = out.entry((a.min(b), a.max(b))).or_insert(*at);
                if at.0 > entry.0 {
                    *entry = *at;
                }
            }
        }
        out
    }
}

/// The lump with the shortest way through metal to each cell.
struct Reached {
    /// The lump of each cell of metal.
    of: Vec<Option<usize>>,
    /// The length of the way, in cells.
    way: Vec<f64>,
}

impl Reached {
    /// Ways begin in the cells near the middle of each lump.
    fn of(grid: &Modulus, depth: &[f64], lump: impl Fn(usize) -> Option<usize>, flood: &Flood) -> Self {
        let mut out = Self { of: vec![None; depth.len()], way: vec![f64::INFINITY; depth.len()] };
        let mut next: BinaryHeap<Reverse<(u64, usize)>> = BinaryHeap::new();
        // Lengths are not negative, so that their bits are in their order.
        for cell in (0..depth.len()).filter(|c| depth[*c] > 0.0) {
            let Some((number, basin)) = lump(cell).zip(flood.of[cell]) else { continue };
            if depth[cell] >= CORE * depth[flood.basins[flood.root(basin)].peak] {
                (out.of[cell], out.way[cell]) = (Some(number), 0.0);
                next.push(Reverse((0.0f64.to_bits(), cell)));
            }
        }
        let neighbors = grid.neighbors();
        while let Some(Reverse((bits, cell))) = next.pop() {
            let way = f64::from_bits(bits);
            if way > out.way[cell] {
                continue; // a shorter way was found since
            }
            for (other, apart) in neighbors.of(cell).filter(|(i, _)| depth.get(*i) > Some(&0.0)) {
                let length = way + apart;
                if length < out.way[other] - 1e-9 {
                    (out.of[other], out.way[other]) = (out.of[cell], length);
                    next.push(Reverse((length.to_bits(), other)));
                }
            }
        }
        out
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use solidwright::geometry::{Frame, P2, V2};
    use solidwright::solid::{Primitive, Solid, SolidTree, Tag, cylinder, rounded_rectangle};

    fn bar(x: f64, radius: f64, length: f64) -> Primitive {
        let tag = Tag::formed("bar", "side");
        let frame = Frame::from_zx(P3::new(x, 0.0, 0.0), V3::x(), V3::z());
        cylinder("bar", frame, radius, length, &[tag.clone(), tag.clone(), tag]).expect("a bar")
    }

    fn found(bodies: Vec<Primitive>, least: f64) -> (Vec<Lump>, f64) {
        let mut tree = SolidTree::new();
        for p in bodies {
            tree.add(p);
        }
        let solid = Solid::of(tree).expect("a solid");
        let probe = Probe::new(&solid, 0.1).expect("a probe");
        let grid = Modulus::new(probe.mesh());
        let volume = solid.mass().volume;
        (lumps(&grid, &probe, volume, Threshold { least, together: 1.0 / 1.1 }), volume)
    }

    /// Two thick bars joined by a thin one: two lumps, each with its half of the metal, and the neck between them.
    #[test]
    fn a_dumbbell_is_two_lumps() {
        let (found, volume) =
            found(vec![bar(0.0, 20.0, 50.0), bar(49.0, 8.0, 62.0), bar(110.0, 18.0, 50.0)], 10.0);
        assert_eq!(found.len(), 2, "{found:?}");
        assert!((found[0].radius - 20.0).abs() < 0.05 && (found[1].radius - 18.0).abs() < 0.05, "{found:?}");
        let all: f64 = found.iter().map(|l| l.volume).sum();
        assert!((all - volume).abs() < 1e-6 * volume, "{all} of {volume}");
        let (towards, neck) = found[1].towards.expect("a neck");
        assert!(towards == 0 && (neck - 8.0).abs() < 0.3, "{neck}");
    }

    /// A thick neck joins them: the smaller is fed through the larger.
    #[test]
    fn a_thick_neck_feeds() {
        let (found, _) = found(vec![bar(0.0, 20.0, 50.0), bar(49.0, 18.0, 120.0)], 10.0);
        assert_eq!(found.len(), 1, "{found:?}");
        assert!((found[0].center - P3::new(25.0, 0.0, 0.0)).norm() < 6.0, "{found:?}");
    }

    /// Two equal bars on either side of the shaft, and a thin one on one side only, which takes the middle of all metal off the
    /// shaft: the lumps of both are equal (by symmetry; nothing is fed through the air).
    #[test]
    fn both_sides_of_a_symmetric_part_are_fed_alike() {
        let tag = Tag::formed("bar", "side");
        let bar = |y: f64, radius: f64| {
            let frame = Frame::from_zx(P3::new(0.7, y, 3.1), V3::x(), V3::z());
            cylinder("bar", frame, radius, 61.0, &[tag.clone(), tag.clone(), tag.clone()]).expect("a bar")
        };
        let mut tree = SolidTree::new();
        for p in [bar(33.3, 12.0), bar(-33.3, 12.0), bar(71.9, 4.0)] {
            tree.add(p);
        }
        let solid = Solid::of(tree).expect("a solid");
        let probe = Probe::new(&solid, 0.1).expect("a probe");
        let grid = Modulus::new(probe.mesh());
        let bounds = Threshold { least: 10.0, together: 1.0 / 1.1 };
        let found = lumps(&grid, &probe, solid.mass().volume, bounds);
        assert_eq!(found.len(), 2, "{found:?}");
        let moduli = [0, 1].map(|k| grid.of_lump(found[k].center, found[k].radius));
        assert!((moduli[0] - moduli[1]).abs() < 0.02, "{moduli:?}");
        let volumes = [found[0].volume, found[1].volume];
        assert!((volumes[0] - volumes[1]).abs() < 0.01 * volumes[0], "{volumes:?}");
    }

    #[test]
    fn an_even_plate_has_no_lump() {
        let tag = Tag::formed("plate", "side");
        let outline = rounded_rectangle(P2::origin(), V2::new(120.0, 120.0), 0.0, &tag);
        let plate = Primitive::prism("plate", Frame::world(), outline, 10.0, 0.0, [tag.clone(), tag.clone()]);
        assert_eq!(found(vec![plate.expect("a plate")], 7.5).0, vec![]);
    }
}
