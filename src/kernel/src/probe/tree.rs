//! A tree of boxes.
//!
//! Written here: searches lower their own bound on the way and walk two trees side by side. Crates such as `bvh` and `rstar` answer
//! single rays, boxes and nearest items.

use crate::geometry::{Bounds, P3, V3};
use crate::tolerance::{NO_DIRECTION, NOT_ZERO, TURN_SLACK};

/// Items in a leaf at most.
const LEAF: usize = 4;

/// Depth that no tree of fewer than four thousand million items exceeds, halved at the middle.
const DEPTH: usize = 64;

#[derive(Clone, Copy, Debug)]
struct Node {
    bounds: Bounds,
    /// First item of a leaf; else the right child (the left one follows the node).
    first: u32,
    /// Items of a leaf, zero for an inner node.
    count: u32,
}

/// Boxes in a tree, each with the number of its item.
#[derive(Clone, Debug, Default)]
pub(super) struct Tree {
    nodes: Vec<Node>,
    items: Vec<(Bounds, u32)>,
}

impl Tree {
    /// Halves the items at the middle of the longest side, again and again.
    pub(super) fn new(mut items: Vec<(Bounds, u32)>) -> Self {
        let mut nodes = Vec::with_capacity(items.len());
        if !items.is_empty() {
            let n = items.len();
            split(&mut nodes, &mut items, 0, n);
        }
        Self { nodes, items }
    }

    /// Shows all items nearer than a reach that may shrink, near ones about first. `distance` bounds the distance to
    /// what a box holds from below; `visit` takes an item and the reach, and gives back the reach.
    pub(super) fn near(
        &self,
        reach: f64,
        distance: impl Fn(&Bounds) -> f64,
        visit: impl FnMut(u32, f64) -> f64,
    ) {
        self.near_where(reach, |_| true, distance, visit);
    }

    /// As [`Self::near`], passing over nodes that are not wanted, by their places.
    pub(super) fn near_where(
        &self,
        mut reach: f64,
        wanted: impl Fn(usize) -> bool,
        distance: impl Fn(&Bounds) -> f64,
        mut visit: impl FnMut(u32, f64) -> f64,
    ) {
        if self.nodes.is_empty() {
            return;
        }
        let mut stack = [(0_u32, 0.0_f64); DEPTH];
        let mut height = 1;
        while height > 0 {
            height -= 1;
            let (at, least) = stack[height];
            if least >= reach || !wanted(at as usize) {
                continue;
            }
            let node = &self.nodes[at as usize];
            if node.count > 0 {
                for (bounds, item) in self.items_of(node) {
                    if distance(bounds) < reach {
                        reach = visit(*item, reach);
                    }
                }
                continue;
            }
            let (left, right) = (at + 1, node.first);
            let (a, b) =
                (distance(&self.nodes[left as usize].bounds), distance(&self.nodes[right as usize].bounds));
            let order = if a <= b { [(right, b), (left, a)] } else { [(left, a), (right, b)] };
            for entry in order {
                if entry.1 < reach && height < DEPTH {
                    stack[height] = entry;
                    height += 1;
                }
            }
        }
    }

    /// Shows all pairs of items of two trees whose boxes are nearer than a reach that may shrink, near ones about first.
    pub(super) fn pairs(&self, other: &Self, mut reach: f64, mut visit: impl FnMut(u32, u32, f64) -> f64) {
        if self.nodes.is_empty() || other.nodes.is_empty() {
            return;
        }
        let mut stack = vec![(0_u32, 0_u32, apart(&self.nodes[0].bounds, &other.nodes[0].bounds))];
        while let Some((i, j, least)) = stack.pop() {
            if least >= reach {
                continue;
            }
            let (a, b) = (&self.nodes[i as usize], &other.nodes[j as usize]);
            if a.count > 0 && b.count > 0 {
                for (bounds, item) in self.items_of(a) {
                    for (others, with) in other.items_of(b) {
                        if apart(bounds, others) < reach {
                            reach = visit(*item, *with, reach);
                        }
                    }
                }
                continue;
            }
            // The larger is halved: boxes of one size tell most.
            let first = b.count > 0 || (a.count == 0 && a.bounds.diagonal() > b.bounds.diagonal());
            let halves = if first { [(i + 1, j), (a.first, j)] } else { [(i, j + 1), (i, b.first)] };
            let mut order = halves
                .map(|(i, j)| (i, j, apart(&self.nodes[i as usize].bounds, &other.nodes[j as usize].bounds)));
            if order[0].2 <= order[1].2 {
                order.swap(0, 1);
            }
            stack.extend(order.into_iter().filter(|half| half.2 < reach));
        }
    }

    /// All items, in parts that lie together and hold no more than some number, which is no less than a leaf's.
    pub(super) fn parts(&self, most: usize) -> Vec<&[(Bounds, u32)]> {
        let spans = self.spans();
        let mut out = Vec::new();
        let mut end = 0;
        // A node comes before its halves: the first one that is small enough stands for all that it holds.
        for (from, to) in spans {
            if from >= end && to - from <= most {
                out.push(&self.items[from..to]);
                end = to;
            }
        }
        out
    }

    fn items_of(&self, leaf: &Node) -> &[(Bounds, u32)] {
        &self.items[leaf.first as usize..(leaf.first + leaf.count) as usize]
    }

    /// For each node how far the directions of what it holds spread; `direction` gives that of an item.
    pub(super) fn cones(&self, direction: impl Fn(u32) -> V3) -> Vec<Cone> {
        let all: Vec<V3> = self.items.iter().map(|i| direction(i.1)).collect();
        self.spans().into_iter().map(|(from, to)| Cone::around(&all[from..to])).collect()
    }

    /// For each node from where to where its items reach.
    fn spans(&self) -> Vec<(usize, usize)> {
        let mut spans = vec![(0, 0); self.nodes.len()];
        // Children come after their parent, and hold its items one after the other.
        for at in (0..self.nodes.len()).rev() {
            let node = &self.nodes[at];
            let (first, count) = (node.first as usize, node.count as usize);
            spans[at] = if count > 0 { (first, first + count) } else { (spans[at + 1].0, spans[first].1) };
        }
        spans
    }

    /// Shows all items whose boxes a ray enters before a length that may shrink, near ones about first.
    pub(super) fn along(&self, origin: P3, direction: V3, length: f64, visit: impl FnMut(u32, f64) -> f64) {
        let inverse = direction.map(|x| 1.0 / if x.abs() < NOT_ZERO { NOT_ZERO } else { x });
        let entry = |b: &Bounds| {
            let (lo, hi) =
                ((b.min - origin).component_mul(&inverse), (b.max - origin).component_mul(&inverse));
            let (near, far) = (lo.inf(&hi), lo.sup(&hi));
            let (near, far) = (near.x.max(near.y).max(near.z).max(0.0), far.x.min(far.y).min(far.z));
            if near <= far { near } else { f64::INFINITY }
        };
        self.near(length, entry, visit);
    }
}

fn split(nodes: &mut Vec<Node>, items: &mut [(Bounds, u32)], from: usize, to: usize) {
    let part = &mut items[from..to];
    let bounds = part.iter().fold(Bounds::empty(), |b, i| b.union(&i.0));
    let at = nodes.len();
    nodes.push(Node { bounds, first: from as u32, count: part.len() as u32 });
    if part.len() <= LEAF {
        return;
    }
    let middles = Bounds::around(part.iter().map(|i| i.0.center()));
    let size = middles.max - middles.min;
    let axis = if size.x >= size.y && size.x >= size.z {
        0
    } else if size.y >= size.z {
        1
    } else {
        2
    };
    let half = part.len() / 2;
    let key = |i: &(Bounds, u32)| i.0.min[axis] + i.0.max[axis];
    part.select_nth_unstable_by(half, |a, b| key(a).total_cmp(&key(b)).then(a.1.cmp(&b.1)));
    split(nodes, items, from, from + half);
    nodes[at].count = 0;
    nodes[at].first = nodes.len() as u32;
    split(nodes, items, from + half, to);
}

/// Directions that lie about an axis.
#[derive(Clone, Copy, Debug)]
pub(super) struct Cone {
    axis: V3,
    /// Cosine and sine of the greatest angle between the axis and one of them.
    spread: (f64, f64),
}

impl Cone {
    fn around(directions: &[V3]) -> Self {
        let sum: V3 = directions.iter().sum();
        let axis = sum.try_normalize(NO_DIRECTION).unwrap_or_else(V3::z);
        let cosine = directions.iter().map(|d| d.dot(&axis)).fold(1.0, f64::min).max(-1.0);
        Self { axis, spread: (cosine, (1.0 - cosine * cosine).sqrt()) }
    }

    /// Whether the cosine of the angle between one of the directions and `d` may be no more than `most`.
    #[inline]
    pub(super) fn may_turn(&self, d: &V3, most: f64) -> bool {
        let along = self.axis.dot(d).clamp(-1.0, 1.0);
        let (cosine, sine) = self.spread;
        // Together beyond half a turn the angles reach the very opposite.
        along <= -cosine || along * cosine - (1.0 - along * along).sqrt() * sine <= most + TURN_SLACK
    }
}

/// Distance between two boxes, zero where they meet.
#[inline]
pub(super) fn apart(a: &Bounds, b: &Bounds) -> f64 {
    let gap = (b.min - a.max).sup(&(a.min - b.max)).sup(&V3::zeros());
    gap.norm()
}
