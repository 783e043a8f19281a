//! Exact questions of distance about a finished solid: what a ray meets, what is nearest, how thick a wall is.
//!
//! A mesh in a tree of boxes finds which faces may answer; the answer itself comes from the exact surfaces and curves,
//! cut to the face by its own loops. Lengths in millimetres.
//!
//! Words. A *wall* is material between two places of the surface whose outward normals are opposed by more than
//! [`OPPOSED`] degrees. Its thickness *by ray* is the length of the inward normal from one place to the first place met;
//! *by ball* the diameter of the largest ball inside the material that touches the surface in the first place. A ball that
//! touches two sides of one outward corner measures how near the corner is, not a wall, and does not count: the normals
//! of such sides are less opposed.
//!
//! Holds afterwards: every place given lies on the exact boundary within 1e-6 mm and inside its face; the same question
//! gets the same answer, whatever the number of threads.
//! Does not promise: a ray that touches a face without crossing it meets it or not; [`Probe::least_walls`] and
//! [`Probe::least_distance`] refine from seeds on the mesh, so two valleys within one seed's spacing count as one.

mod assembly;
mod ball;
mod facing;
mod least;
mod nearest;
mod pair;
mod ray;
mod roots;
mod sample;
mod tree;
mod triangle;
mod triangle_columns;
mod triangle_tree;
mod triangles;
mod trim;
mod wall;

pub use assembly::Assembly;
pub use ball::Ball;
pub use least::Least;
pub use nearest::Near;
pub use ray::Hit;
pub use sample::Sample;
pub use triangle_columns::TriangleColumns;
pub use triangle_tree::TriangleTree;
pub use triangles::Stand;
pub use wall::Wall;

use std::ops::Range;
use std::sync::OnceLock;

use crate::geometry::{Bounds, P3, V3};
use crate::mesh::{Mesh, MeshError, triangulate};
use crate::solid::{Brep, Solid};
use crate::tolerance::{MESH_SLACK, NOT_ZERO, PIECE_SAG, WRAPPED_EDGE};

use tree::Tree;
pub use triangle::{halves, on_triangle};
use trim::Trim;

/// Normals opposed by more than this have a wall between them, degrees. Two sides of a corner with at least 60
/// degrees of material never do.
pub const OPPOSED: f64 = 120.0;

/// Cosine of [`OPPOSED`].
const OPPOSED_COSINE: f64 = -0.5;

/// A piece of an edge in the tree of edges.
#[derive(Clone, Copy, Debug)]
struct EdgePiece {
    edge: usize,
    range: (f64, f64),
    ends: [P3; 2],
}

/// A solid that can be asked for distances.
#[derive(Clone, Debug)]
pub struct Probe<'a> {
    brep: &'a Brep,
    mesh: Mesh,
    normals: Vec<V3>,
    /// How far the boundary may stray from the mesh, mm.
    slack: f64,
    tree: Tree,
    trims: Vec<Trim>,
    /// Triangles of each face.
    triangles: Vec<Vec<u32>>,
    /// The two faces of each edge.
    sides: Vec<[usize; 2]>,
    edge_pieces: Vec<EdgePiece>,
    /// Whether material wraps around an edge by more than half a turn.
    wraps: Vec<bool>,
    /// All edges, once they are asked for.
    edges: OnceLock<Tree>,
    /// Only edges that material wraps around: no other is nearest to a place in the material.
    inward: OnceLock<Tree>,
    /// Where the faces are those of several solids: each one's, and the tree of its triangles once it is asked for.
    solids: Vec<(Range<usize>, OnceLock<Tree>)>,
}

impl<'a> Probe<'a> {
    /// The triangles of the mesh, cut until no side is longer than a length in mm, and the middle of each on the exact
    /// surface.
    pub fn small_triangles(&self, side: f64) -> Vec<([P3; 3], Sample)> {
        let mut out = Vec::new();
        for t in 0..self.mesh.triangles.len() {
            let face = self.mesh.face_of[t] as usize;
            let mut left = vec![self.mesh.corners(t)];
            while let Some(whole) = left.pop() {
                if let Some(halves) = halves(whole, side) {
                    left.extend(halves);
                    continue;
                }
                let [a, b, c] = whole;
                let middle = P3::from((a.coords + b.coords + c.coords) / 3.0);
                let point = self.brep.faces[face].surface.closest(middle);
                let outward = self.brep.faces[face].outward(point);
                out.push(([a, b, c], Sample { point, face, outward }));
            }
        }
        out
    }

    /// Prepares the questions with a mesh of a chord error in mm; 0.1 to 0.2 mm serves best. Answers don't depend on it
    /// but for seeds.
    ///
    /// # Errors
    /// Where the solid can't be meshed.
    pub fn new(solid: &'a Solid, chord: f64) -> Result<Self, MeshError> {
        let mesh = triangulate(solid, chord)?;
        Ok(Self::of(solid.brep(), mesh, 1.1 * chord + MESH_SLACK, vec![]))
    }

    /// A probe of this solid and others beside it: `all` holds this one and then the others in turn. Only the others are
    /// meshed.
    ///
    /// # Errors
    /// Where one of the others can't be meshed.
    pub fn beside<'b>(
        &self,
        all: &'b Assembly,
        others: &[&Solid],
        chord: f64,
    ) -> Result<Probe<'b>, MeshError> {
        let mut mesh = self.mesh.clone();
        let mut faces = self.brep.faces.len() as u32;
        for other in others {
            let own = triangulate(other, chord)?;
            let first = mesh.vertices.len() as u32;
            mesh.vertices.extend(own.vertices);
            mesh.triangles.extend(own.triangles.iter().map(|t| t.map(|v| v + first)));
            mesh.face_of.extend(own.face_of.iter().map(|f| f + faces));
            faces += other.brep().faces.len() as u32;
        }
        let solids = all.faces().iter().map(|faces| (faces.clone(), OnceLock::new())).collect();
        let together =
            Probe::of(all.brep(), mesh, self.slack.max(1.1 * chord + MESH_SLACK), self.trims.clone());
        Ok(Probe { solids, ..together })
    }

    /// A probe of a mesh; `trims` holds the loops of the first faces where they are known.
    fn of(brep: &'a Brep, mesh: Mesh, slack: f64, mut trims: Vec<Trim>) -> Self {
        let mut triangles = vec![Vec::new(); brep.faces.len()];
        let mut normals = Vec::with_capacity(mesh.triangles.len());
        let mut boxes = Vec::with_capacity(mesh.triangles.len());
        for (t, corners) in mesh.triangles.iter().enumerate() {
            let [a, b, c] = corners.map(|v| mesh.vertices[v as usize]);
            normals.push((b - a).cross(&(c - a)).try_normalize(NOT_ZERO).unwrap_or_else(V3::zeros));
            triangles[mesh.face_of[t] as usize].push(t as u32);
            boxes.push((Bounds::around([a, b, c]).grown(slack), t as u32));
        }
        trims.extend((trims.len()..brep.faces.len()).map(|f| Trim::new(brep, f)));
        let sides = brep.sides();
        let mut edge_pieces = Vec::new();
        for trim in &trims {
            let forward = trim.pieces.iter().filter(|p| p.half.forward);
            edge_pieces.extend(forward.map(|p| EdgePiece {
                edge: p.half.edge,
                range: p.range,
                ends: p.ends,
            }));
        }
        let wraps: Vec<bool> = (0..brep.edges.len()).map(|e| wraps(brep, e, sides[e])).collect();
        Self {
            brep,
            mesh,
            normals,
            slack,
            tree: Tree::new(boxes),
            trims,
            triangles,
            sides,
            edges: OnceLock::new(),
            inward: OnceLock::new(),
            wraps,
            edge_pieces,
            solids: vec![],
        }
    }

    /// The solid.
    pub fn brep(&self) -> &'a Brep {
        self.brep
    }

    /// The two faces of each edge; `usize::MAX` where there is none.
    pub fn sides(&self) -> &[[usize; 2]] {
        &self.sides
    }

    /// The mesh that finds seeds.
    pub fn mesh(&self) -> &Mesh {
        &self.mesh
    }

    /// The pieces of all edges.
    fn edges(&self) -> &Tree {
        self.edges.get_or_init(|| self.edge_tree(|_| true))
    }

    /// Those of edges that material wraps around.
    fn inward(&self) -> &Tree {
        self.inward.get_or_init(|| self.edge_tree(|edge| self.wraps[edge]))
    }

    fn edge_tree(&self, wanted: impl Fn(usize) -> bool) -> Tree {
        let pieces = self.edge_pieces.iter().enumerate().filter(|(_, p)| wanted(p.edge));
        Tree::new(pieces.map(|(k, p)| (Bounds::around(p.ends).grown(PIECE_SAG), k as u32)).collect())
    }

    fn face_of(&self, triangle: u32) -> usize {
        self.mesh.face_of[triangle as usize] as usize
    }

    fn box_of(&self, triangle: u32) -> Bounds {
        Bounds::around(self.corners(triangle)).grown(self.slack)
    }

    #[inline]
    fn corners(&self, triangle: u32) -> [P3; 3] {
        let [a, b, c] = self.mesh.triangles[triangle as usize];
        [self.mesh.vertices[a as usize], self.mesh.vertices[b as usize], self.mesh.vertices[c as usize]]
    }
}

/// Whether material wraps around an edge by more than half a turn somewhere.
fn wraps(brep: &Brep, edge: usize, sides: [usize; 2]) -> bool {
    if sides.contains(&usize::MAX) {
        return false;
    }
    let e = &brep.edges[edge];
    (0..=8).any(|k| {
        let t = e.range.0 + (e.range.1 - e.range.0) * f64::from(k) / 8.0;
        let (p, d) = e.curve.jet(t);
        let [a, b] = sides.map(|f| brep.faces[f].outward(p));
        a.cross(&d).dot(&b) > WRAPPED_EDGE * d.norm()
    })
}
