//! Silhouettes: where the curved faces of a solid turn away from an eye at infinity.
//!
//! On a cylinder and a cone they are straight lines, on a torus seen along its axis circles, and are given as such. On
//! all other faces they are chains of points; each point lies on the exact surface where its normal is square to the
//! view. Which points belong together is told by a mesh, which also decides how close they stand.
//!
//! Holds afterwards: an end that lies on an edge of the face is found on that edge by halving.
//! Does not promise: closed silhouettes within a face that are smaller than a triangle of the mesh are lost; so are
//! silhouettes that fall together with edges of their face, where the edge itself shows them.

use std::collections::BTreeMap;

use crate::geometry::{Circle, Curve, Line, P3, Surface, V3};
use crate::mesh::Mesh;
use crate::solid::{Brep, BrepFace};

/// A normal whose cosine with the view is below this is square to it: the face is seen edge-on there.
pub const EDGE_ON_COSINE: f64 = 1e-7;

/// An end of a chain is moved to the place where an edge turns away if that is nearer than this many mm: a few chord
/// errors of any mesh that serves to draw.
const SNAP: f64 = 1.0;

/// Pieces into which each edge is cut to look for places where it turns away.
const STEPS: u32 = 24;

/// Halvings of such a piece.
const HALVINGS: u32 = 48;

/// Where a silhouette runs.
#[derive(Clone, Debug)]
pub enum SilhouetteCurve {
    /// A line or a circle, with the range of its parameter.
    Exact(Curve, (f64, f64)),
    /// Points in order; the last is the first where it is closed.
    Chain(Vec<P3>),
}

/// A silhouette of one face.
#[derive(Clone, Debug)]
pub struct Silhouette {
    /// The face.
    pub face: usize,
    /// Where it runs.
    pub curve: SilhouetteCurve,
}

/// All silhouettes of a boundary for a direction towards the eye. `mesh` is a mesh of it.
pub fn silhouettes(brep: &Brep, mesh: &Mesh, eye: V3) -> Vec<Silhouette> {
    let mut triangles = vec![Vec::new(); brep.faces.len()];
    for (corners, face) in mesh.triangles.iter().zip(&mesh.face_of) {
        triangles[*face as usize].push(*corners);
    }
    let mut out = Vec::new();
    for (face, own) in triangles.iter().enumerate() {
        if matches!(brep.faces[face].surface, Surface::Plane(_)) {
            continue;
        }
        let chains = Contour { face: &brep.faces[face], mesh, eye }.chains(own);
        if chains.is_empty() {
            continue;
        }
        let mut turns = turns(brep, face, eye);
        for chain in chains {
            if let Some(curve) = curve(&brep.faces[face].surface, snapped(chain, &mut turns), eye) {
                out.push(Silhouette { face, curve });
            }
        }
    }
    out
}

/// One face as it is seen.
struct Contour<'a> {
    face: &'a BrepFace,
    mesh: &'a Mesh,
    eye: V3,
}

impl Contour<'_> {
    fn towards(&self, p: P3) -> f64 {
        self.face.outward(p).dot(&self.eye)
    }

    /// The lines along which the normals are square to the view, as chains of points.
    fn chains(&self, triangles: &[[u32; 3]]) -> Vec<Vec<P3>> {
        let mut side: BTreeMap<u32, f64> = BTreeMap::new();
        for corner in triangles.iter().flatten() {
            side.entry(*corner).or_insert_with(|| self.towards(self.mesh.vertices[*corner as usize]));
        }
        // A corner that is seen edge-on counts to the side on which most of the face lies.
        let most = if side.values().sum::<f64>() >= 0.0 { 1.0 } else { -1.0 };
        side.values_mut().filter(|g| g.abs() < EDGE_ON_COSINE).for_each(|g| *g = most * EDGE_ON_COSINE);
        let mut links: BTreeMap<(u32, u32), Vec<(u32, u32)>> = BTreeMap::new();
        for t in triangles {
            let sides = [(t[0], t[1]), (t[1], t[2]), (t[2], t[0])].map(|(a, b)| (a.min(b), a.max(b)));
            let crossed: Vec<_> =
                sides.into_iter().filter(|(a, b)| (side[a] > 0.0) != (side[b] > 0.0)).collect();
            if let [a, b] = crossed[..] {
                links.entry(a).or_default().push(b);
                links.entry(b).or_default().push(a);
            }
        }
        let found = |(a, b): (u32, u32)| {
            self.crossing([a, b].map(|k| self.mesh.vertices[k as usize]), side[&a] > 0.0)
        };
        joined(links).into_iter().map(|chain| chain.into_iter().map(found).collect()).collect()
    }

    /// The place between two points, on the surface, where the normal is square to the view; `first` tells whether the
    /// first point looks towards the eye.
    fn crossing(&self, [a, b]: [P3; 2], first: bool) -> P3 {
        let at = |s: f64| self.face.surface.closest(a + (b - a) * s);
        let (mut low, mut high) = (0.0, 1.0);
        for _ in 0..HALVINGS {
            let middle = 0.5 * (low + high);
            if (self.towards(at(middle)) > 0.0) == first { low = middle } else { high = middle }
        }
        at(0.5 * (low + high))
    }
}

/// The place of a face where its normal is square to the view, next to a point near a silhouette of it: between two points of a chain
/// none is known. Looked for along the view within a reach in mm; where it is not found, the place of the surface nearest to the point.
pub fn turning_place(face: &BrepFace, near: P3, eye: V3, reach: f64) -> P3 {
    let at = |way: f64| face.surface.closest(near + eye * way);
    let looks = |way: f64| face.outward(at(way)).dot(&eye) > 0.0;
    let (mut low, mut high) = (-reach, reach);
    let first = looks(low);
    if first == looks(high) {
        return at(0.0);
    }
    for _ in 0..HALVINGS {
        let middle = 0.5 * (low + high);
        if looks(middle) == first { low = middle } else { high = middle }
    }
    at(0.5 * (low + high))
}

/// Links of neighbours as chains: open ones from end to end, closed ones with their first member again at the end.
fn joined(mut links: BTreeMap<(u32, u32), Vec<(u32, u32)>>) -> Vec<Vec<(u32, u32)>> {
    let mut out = Vec::new();
    while let Some(start) =
        links.iter().find(|(_, to)| to.len() == 1).or_else(|| links.iter().next()).map(|(at, _)| *at)
    {
        let mut chain = vec![start];
        let mut at = start;
        while let Some(next) = links.get_mut(&at).and_then(Vec::pop) {
            if let Some(back) = links.get_mut(&next)
                && let Some(k) = back.iter().position(|n| *n == at)
            {
                back.remove(k);
            }
            if links.get(&at).is_some_and(Vec::is_empty) {
                links.remove(&at);
            }
            chain.push(next);
            at = next;
        }
        links.retain(|_, to| !to.is_empty());
        if chain.len() > 1 {
            out.push(chain);
        }
    }
    out
}

/// The places of a face's edges where its normal is square to the view.
fn turns(brep: &Brep, face: usize, eye: V3) -> Vec<P3> {
    let owner = &brep.faces[face];
    let mut out = Vec::new();
    for half in owner.loops.iter().flatten() {
        let side = |t: f64| owner.outward(brep.edge_point(half.edge, t)).dot(&eye);
        for k in 0..STEPS {
            let [mut low, mut high] = [k, k + 1].map(|k| f64::from(k) / f64::from(STEPS));
            let first = side(low) > 0.0;
            if first == (side(high) > 0.0) {
                continue;
            }
            for _ in 0..HALVINGS {
                let middle = 0.5 * (low + high);
                if (side(middle) > 0.0) == first { low = middle } else { high = middle }
            }
            out.push(brep.edge_point(half.edge, 0.5 * (low + high)));
        }
    }
    out
}

/// An open chain with its ends put on the edges.
fn snapped(mut chain: Vec<P3>, turns: &mut Vec<P3>) -> Vec<P3> {
    let closed = chain.first() == chain.last();
    let last = chain.len() - 1;
    for end in [0, last] {
        let near = |p: &P3| (p - chain[end]).norm();
        let nearest = (0..turns.len()).min_by(|a, b| near(&turns[*a]).total_cmp(&near(&turns[*b])));
        if let Some(k) = nearest.filter(|k| !closed && near(&turns[*k]) < SNAP) {
            chain[end] = turns.swap_remove(k);
        }
    }
    chain
}

/// A chain as the exact curve that it is, where it is a line or a circle.
fn curve(surface: &Surface, chain: Vec<P3>, eye: V3) -> Option<SilhouetteCurve> {
    let (first, last) = (*chain.first()?, *chain.last()?);
    match surface {
        Surface::Cylinder(_) | Surface::Cone(_) => {
            let length = (last - first).norm();
            let dir = (last - first).try_normalize(EDGE_ON_COSINE)?;
            Some(SilhouetteCurve::Exact(Curve::Line(Line { origin: first, dir }), (0.0, length)))
        }
        Surface::Torus(torus) if torus.frame.z.cross(&eye).norm() < EDGE_ON_COSINE => {
            let from_axis = |p: P3| {
                let q = torus.frame.local(p);
                q.x.hypot(q.y)
            };
            let outer = from_axis(first) > torus.major;
            let radius = if outer { torus.major + torus.minor } else { torus.major - torus.minor };
            let circle = Circle { frame: torus.frame, radius };
            Some(SilhouetteCurve::Exact(Curve::Circle(circle), turned(&circle, &chain)))
        }
        _ => Some(SilhouetteCurve::Chain(chain)),
    }
}

/// The range of a circle's angle over which a chain on it runs, rising.
fn turned(circle: &Circle, chain: &[P3]) -> (f64, f64) {
    use std::f64::consts::{PI, TAU};
    let angle = |p: &P3| {
        let q = circle.frame.local(*p);
        q.y.atan2(q.x)
    };
    let start = chain.first().map_or(0.0, angle);
    let mut at = start;
    for p in chain {
        at += (angle(p) - at + PI).rem_euclid(TAU) - PI;
    }
    (start.min(at), start.max(at))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Frame;
    use crate::mesh::triangulate;
    use crate::solid::{Finish, Solid, SolidTree, Tag, cylinder};

    fn tag() -> Tag {
        Tag { feature: "rod".into(), role: "side".into(), finish: Finish::Formed, class: 0 }
    }

    /// A cylinder is seen between two lines, one radius to each side of its axis (elementary geometry).
    #[test]
    fn a_rod_is_seen_between_two_lines() {
        let frame = Frame::from_zx(P3::new(1.0, 2.0, 3.0), V3::x(), V3::z());
        let mut tree = SolidTree::new();
        tree.add(cylinder("rod", frame, 4.0, 25.0, &[tag(), tag(), tag()]).expect("a rod"));
        let rod = Solid::of(tree).expect("a solid");
        let mesh = triangulate(&rod, 0.05).expect("a mesh");
        let seen = silhouettes(rod.brep(), &mesh, V3::z());
        assert_eq!(seen.len(), 2, "one at each side");
        for silhouette in seen {
            let SilhouetteCurve::Exact(Curve::Line(line), (from, to)) = silhouette.curve else {
                panic!("a line: {:?}", silhouette.curve)
            };
            let (a, b) = (line.origin + line.dir * from, line.origin + line.dir * to);
            assert!(((b - a).norm() - 25.0).abs() < 1e-9, "its length");
            for p in [a, b] {
                assert!(((p.y - 2.0).abs() - 4.0).abs() < 1e-9, "beside the axis: {p}");
                assert!((p.z - 3.0).abs() < 1e-9, "at the axis' height: {p}");
            }
        }
        assert!(silhouettes(rod.brep(), &mesh, V3::x()).is_empty(), "none along the axis");
    }
}
