//! Edges told apart: concave ones, along which a ball rolls outside a body, convex ones, and smooth ones.

use crate::geometry::{P3, V3};
use crate::solid::brep::{Brep, HalfEdge};
use crate::tolerance::{FILLED_JOINT, SMOOTH_EDGE};

/// On which side of the supports the ball rolls.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum RollingSide {
    /// In the open: its paths are the edges that point inwards, and it leaves fillets.
    Outside,
    /// In the material: its paths are the edges that point outwards, and it leaves rounded edges.
    Inside,
}

impl RollingSide {
    /// The edges that are paths.
    pub(super) fn paths(self) -> Convexity {
        match self {
            Self::Outside => Convexity::Concave,
            Self::Inside => Convexity::Convex,
        }
    }
}

/// How an edge of the offset solid looks from outside.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Convexity {
    /// The faces run on into each other.
    Smooth,
    /// The edge points outwards.
    Convex,
    /// The edge points inwards.
    Concave,
    /// The faces only touch there: their normals are opposite, and between them is no room, or no metal.
    Touch,
}

/// An edge of the offset solid with the two faces about it.
#[derive(Clone, Debug)]
pub(super) struct ClassifiedEdge {
    pub(super) faces: [usize; 2],
    pub(super) convexity: Convexity,
}

/// Edges of a solid at which two faces meet in an inward corner, with the faces.
pub fn concave_edges(brep: &Brep) -> Vec<(usize, [usize; 2])> {
    let sharp = |e: usize, l: &ClassifiedEdge| {
        let p = brep.edge_point(e, 0.5);
        let [n, m] = l.faces.map(|f| outward(brep, f, p));
        l.convexity == Convexity::Concave && n.cross(&m).norm() > FILLED_JOINT
    };
    let all = classify(brep);
    all.iter().enumerate().filter(|(e, l)| sharp(*e, l)).map(|(e, l)| (e, l.faces)).collect()
}

/// Edges of the offset solid, by index.
pub(super) fn classify(brep: &Brep) -> Vec<ClassifiedEdge> {
    let mut uses: Vec<Vec<(usize, HalfEdge)>> = vec![vec![]; brep.edges.len()];
    for (f, face) in brep.faces.iter().enumerate() {
        for h in face.loops.iter().flatten() {
            uses[h.edge].push((f, *h));
        }
    }
    let classified = |u: &Vec<(usize, HalfEdge)>| {
        let (f, h) = u[0];
        let g = u[1].0;
        let e = &brep.edges[h.edge];
        let t = f64::midpoint(e.range.0, e.range.1);
        let p = e.curve.point(t);
        let d = e.curve.derivative(t).normalize() * if h.forward { 1.0 } else { -1.0 };
        let (n, m) = (outward(brep, f, p), outward(brep, g, p));
        let inner = n.cross(&d);
        let convexity = if n.cross(&m).norm() < SMOOTH_EDGE {
            if n.dot(&m) > 0.0 { Convexity::Smooth } else { Convexity::Touch }
        } else if inner.dot(&m) > 0.0 {
            Convexity::Concave
        } else {
            Convexity::Convex
        };
        ClassifiedEdge { faces: [f, g], convexity }
    };
    uses.iter().map(classified).collect()
}

fn outward(brep: &Brep, face: usize, p: P3) -> V3 {
    let f = &brep.faces[face];
    f.surface.grad(p) * if f.same_sense { 1.0 } else { -1.0 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Frame, P2, V2};
    use crate::solid::evaluate::evaluate;
    use crate::solid::{Primitive, SolidTree, Tag, rounded_rectangle};

    /// Two blocks with round corners stand side by side: where the corners begin, their walls turn away from each other with opposite
    /// normals. Whether that edge points inwards or outwards is a matter of rounding, so it is neither.
    #[test]
    fn walls_that_turn_away_from_each_other_touch() {
        let mut tree = SolidTree::new();
        for (name, x) in [("left", 10.0), ("right", 30.0)] {
            let [side, end] = ["side", "end"].map(|role| Tag::formed(name, role));
            let outline = rounded_rectangle(P2::new(x, 10.0), V2::new(20.0, 20.0), 5.0, &side);
            let ends = [end.clone(), end];
            tree.add(Primitive::prism(name, Frame::world(), outline, 10.0, 0.0, ends).expect("a block"));
        }
        let brep = evaluate(&tree).expect("a solid");
        let touching: Vec<f64> = classify(&brep)
            .iter()
            .enumerate()
            .filter(|(_, e)| e.convexity == Convexity::Touch)
            .map(|(e, _)| brep.edge_point(e, 0.5))
            .inspect(|p| assert!((p.x - 20.0).abs() < 1e-9 && (p.z - 5.0).abs() < 1e-9, "{p}"))
            .map(|p| p.y.round())
            .collect();
        assert_eq!(touching.len(), 2, "{touching:?}");
        assert!(touching.contains(&5.0) && touching.contains(&15.0), "{touching:?}");
    }
}
