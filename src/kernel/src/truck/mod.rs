//! Solids handed over to the `truck` crates, so that what is written for those can go on with them.
//!
//! Holds afterwards: the solid has one boundary shell for each shell here, in the same order, and in each shell the faces in the
//! same order; a vertex, an edge and a face of `truck` for each one here. Nothing is approximated but canals:
//!
//! | here | there |
//! |---|---|
//! | plane | `Plane` |
//! | cylinder, cone | `RevolutedCurve` of a `Line`, as long as the face and a little longer |
//! | torus | `RevolutedCurve` of a rational quadratic arc, likewise |
//! | sphere | `NurbsSurface`, the stereographic map of the face: a turned arc would have poles |
//! | canal | `NurbsSurface`, within 4e-7 mm of the canal (as in STEP files) |
//! | line | `Line` from vertex to vertex |
//! | circle, ellipse | `NurbsCurve`, the edge's own piece as rational quadratic arcs |
//! | spline | `BSplineCurve`, the edge's own piece |
//!
//! The normal of each surface of `truck` is that of the surface here, and the face is inverted where the solid lies on the
//! other side. Curves end within 2e-6 mm of their vertices and lie within 2e-6 mm of their surfaces, which is coarser than
//! `truck`'s own tolerance of 1e-6: mesh with `robust_triangulation`, which seeks nearest places. truck-meshalgo keeps the
//! chord error along edges, but not inside faces with holes: it never cuts a straight direction of a surface, and its triangles
//! run from edge to edge, on some cylinders more than a millimetre below the surface.
//!
//! What `truck` can't hold, and what [`to_truck`] refuses with the face and the place:
//!
//! - A loop that passes a corner twice, or two loops of a face with a common corner (a hole that reaches an edge in one
//!   point): [`TruckError::SharedCorner`]. Wires of a `truck_topology::Face` must be simple and disjoint.
//! - Splines shorter than `truck`'s tolerance, whose knots it takes for one: [`TruckError::Spline`].
//! - A shell that touches itself in a vertex: [`TruckError::Shell`]. `truck_topology::Solid` holds manifolds only.
//!
//! What gets lost, since `truck` has no place for it: the names of faces ([`crate::solid::Tag`]; look them up by order), which
//! shell is a void, and which void belongs to which body. Edges that close on their own vertex can't be held either; there
//! are none here, since full turns are always cut.

mod curves;
mod surfaces;

use truck_modeling::{Edge, Face, Point3, Shell, Solid as TruckSolid, Vertex, Wire};
use truck_topology::errors::Error;

use crate::geometry::P3;
use crate::solid::{Brep, BrepFace, HalfEdge, Solid};

/// Why `truck` can't hold a solid.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum TruckError {
    /// The loops of a face come to one corner more than once.
    #[error("{face}: its loops pass the corner at {:.4} {:.4} {:.4} more than once", .at.x, .at.y, .at.z)]
    SharedCorner {
        /// Name of the face.
        face: String,
        /// The corner, mm.
        at: P3,
    },
    /// A curve or surface that makes no spline of `truck`.
    #[error("no spline of truck near {:.4} {:.4} {:.4}: {reason}", .at.x, .at.y, .at.z)]
    Spline {
        /// A vertex of it, mm.
        at: P3,
        /// What `truck` says.
        reason: String,
    },
    /// An edge that `truck` refuses.
    #[error("an edge at {:.4} {:.4} {:.4}: {reason}", .at.x, .at.y, .at.z)]
    Edge {
        /// Its start, mm.
        at: P3,
        /// What `truck` says.
        reason: String,
    },
    /// A face that `truck` refuses for another reason than its corners.
    #[error("{face} at {:.4} {:.4} {:.4}: {reason}", .at.x, .at.y, .at.z)]
    Face {
        /// Name of the face.
        face: String,
        /// A vertex of it, mm.
        at: P3,
        /// What `truck` says.
        reason: String,
    },
    /// A shell that `truck` refuses.
    #[error("shell {shell} at {:.4} {:.4} {:.4}: {reason}", .at.x, .at.y, .at.z)]
    Shell {
        /// Its number.
        shell: usize,
        /// A vertex of it, mm.
        at: P3,
        /// What `truck` says.
        reason: String,
    },
}

/// The solid as one of `truck-modeling`, whose own checks have been run on it: wires close and don't cross, each shell is
/// closed, connected and manifold.
///
/// # Errors
/// [`TruckError`] where `truck` can't hold it.
pub fn to_truck(solid: &Solid) -> Result<TruckSolid, TruckError> {
    of_boundary(solid.brep())
}

/// A boundary as a solid of `truck-modeling`, sound or not.
///
/// # Errors
/// As [`to_truck`].
fn of_boundary(brep: &Brep) -> Result<TruckSolid, TruckError> {
    let vertices: Vec<Vertex> = brep.vertices.iter().map(|p| Vertex::new(point(*p))).collect();
    let edge = |e: usize| {
        let (start, end) = (brep.edges[e].start, brep.edges[e].end);
        let refused = |error: Error| TruckError::Edge { at: brep.vertices[start], reason: error.to_string() };
        Edge::try_new(&vertices[start], &vertices[end], curves::curve(brep, e)?).map_err(refused)
    };
    let edges = (0..brep.edges.len()).map(edge).collect::<Result<Vec<_>, _>>()?;
    let mut shells = Vec::with_capacity(brep.shells.len());
    for (number, shell) in brep.shells.iter().enumerate() {
        let faces = shell.faces.iter().map(|f| face(brep, &brep.faces[*f], &edges));
        let faces: Shell = faces.collect::<Result<Vec<_>, _>>()?.into();
        let at = shell.faces.first().map_or(P3::origin(), |f| place(brep, &brep.faces[*f]));
        let refused = |error: Error| TruckError::Shell { shell: number, at, reason: error.to_string() };
        shells.extend(TruckSolid::try_new(vec![faces]).map_err(refused)?.into_boundaries());
    }
    Ok(TruckSolid::new_unchecked(shells))
}

/// A face over edges that are made already.
fn face(brep: &Brep, face: &BrepFace, edges: &[Edge]) -> Result<Face, TruckError> {
    if let Some(at) = shared_corner(brep, face) {
        return Err(TruckError::SharedCorner { face: face.tag.to_string(), at });
    }
    let wire = |half_edges: &Vec<HalfEdge>| -> Wire {
        let along = |h: &HalfEdge| if h.forward { edges[h.edge].clone() } else { edges[h.edge].inverse() };
        let wire: Wire = half_edges.iter().map(along).collect();
        // Wires run counter-clockwise about the surface's normal, not the face's.
        if face.same_sense { wire } else { wire.inverse() }
    };
    let surface = surfaces::surface(brep, face)?;
    let mut out = Face::try_new(face.loops.iter().map(wire).collect(), surface).map_err(|error| {
        TruckError::Face { face: face.tag.to_string(), at: place(brep, face), reason: error.to_string() }
    })?;
    if !face.same_sense {
        out.invert();
    }
    Ok(out)
}

/// A corner that the loops of a face come to more than once.
fn shared_corner(brep: &Brep, face: &BrepFace) -> Option<P3> {
    let mut corners: Vec<usize> = face.loops.iter().flatten().map(|h| brep.tail(*h)).collect();
    corners.sort_unstable();
    corners.windows(2).find(|pair| pair[0] == pair[1]).map(|pair| brep.vertices[pair[0]])
}

/// A vertex of a face.
fn place(brep: &Brep, face: &BrepFace) -> P3 {
    face.loops.iter().flatten().next().map_or(P3::origin(), |h| brep.vertices[brep.tail(*h)])
}

fn point(p: P3) -> Point3 {
    Point3::new(p.x, p.y, p.z)
}
