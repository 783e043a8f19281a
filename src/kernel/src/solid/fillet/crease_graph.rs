//! The creases of one ball as a graph: nodes, and the runs between them.

use super::crease_ends::CreasePoint;
use super::feet::Foot;
use super::sheets::{ArcId, Sheet};
use crate::geometry::{P3, V3};

/// A node of the graph.
#[derive(Clone, Debug)]
pub(super) struct Node {
    pub(super) point: P3,
    /// The arcs that it lies on.
    pub(super) arcs: Vec<ArcId>,
    /// Direction in which the crease sets out from its end; none of other nodes.
    pub(super) end: Option<V3>,
    /// The feet of a point in which three sheets meet.
    pub(super) triple: Option<[Foot; 3]>,
}

impl Node {
    /// A node that is no end, and in which no three sheets meet.
    pub(super) fn plain(point: P3, arcs: Vec<ArcId>) -> Self {
        Self { point, arcs, end: None, triple: None }
    }
}

/// A piece of a crease between two nodes, on one pair of sheets.
#[derive(Clone, Debug)]
pub(super) struct Run {
    pub(super) nodes: [usize; 2],
    pub(super) sheets: [Sheet; 2],
    /// Points along it, with those at nodes that are no ends.
    pub(super) points: Vec<CreasePoint>,
}

/// Creases that hang together.
#[derive(Clone, Debug, Default)]
pub(super) struct CreaseGraph {
    pub(super) nodes: Vec<Node>,
    pub(super) runs: Vec<Run>,
    /// Numbers of the ends that it has reached.
    pub(super) ends: Vec<usize>,
}

impl CreaseGraph {
    /// Whether both have nodes on one arc.
    pub(super) fn shares_an_arc(&self, other: &Self) -> bool {
        let arcs = |g: &Self| g.nodes.iter().flat_map(|n| n.arcs.clone()).collect::<Vec<ArcId>>();
        let own = arcs(self);
        arcs(other).iter().any(|a| own.contains(a))
    }

    /// Whether both have reached one end.
    pub(super) fn shares_an_end(&self, other: &Self) -> bool {
        self.ends.iter().any(|e| other.ends.contains(e))
    }

    /// Whether one of its nodes lies near one of some places.
    pub(super) fn passes_near(&self, places: &[P3], within: f64) -> bool {
        let near = |n: &Node| places.iter().any(|p| (p - n.point).norm() < within);
        self.nodes.iter().any(near)
    }

    /// Cuts runs between two ends, and turns those round that begin at one. Readers of files that put an edge on its faces point by
    /// point, each beside the one before, lose their way where it begins in the fold, and not where it ceases there.
    pub(super) fn lead_to_ends(&mut self) {
        let mut runs = std::mem::take(&mut self.runs);
        for run in &mut runs {
            let [first, last] = run.nodes.map(|n| self.nodes[n].end.is_some());
            if first && last && run.points.len() > 2 {
                let middle = run.points.len() / 2;
                let at = run.points[middle];
                let node = self.push(Node::plain(at.p, vec![]));
                let points = run.points.split_off(middle);
                self.runs.push(Run { nodes: [node, run.nodes[1]], sheets: run.sheets, points });
                run.points.push(at);
                run.nodes[1] = node;
            }
            if first {
                run.nodes.swap(0, 1);
                run.points.reverse();
            }
        }
        self.runs.extend(runs);
    }

    /// Adds a node; gives its number.
    pub(super) fn push(&mut self, node: Node) -> usize {
        self.nodes.push(node);
        self.nodes.len() - 1
    }

    /// Takes in another one.
    pub(super) fn join(&mut self, other: Self) {
        let first = self.nodes.len();
        self.nodes.extend(other.nodes);
        self.runs.extend(other.runs.into_iter().map(|r| Run { nodes: r.nodes.map(|n| first + n), ..r }));
        self.ends.extend(other.ends);
    }
}
