//! The bodies of a picture, put together as one mesh over one list of faces.

use std::collections::HashMap;

use crate::faces::{Feature, Role};
use solidwright::geometry::{P3, V3};
use solidwright::mesh::Mesh;
use solidwright::solid::{Brep, BrepFace, Finish, Tag};

/// A body to be drawn.
#[derive(Clone, Copy, Debug)]
pub struct Shown<'a> {
    /// Its boundary.
    pub brep: &'a Brep,
    /// The mesh of that boundary.
    pub mesh: &'a Mesh,
    /// How far it is drawn from its place, so that bodies stand apart.
    pub moved: V3,
    /// Names of faces that are drawn in a colour of their own.
    pub marked: &'a [Tag],
    /// Where they are: these faces are marked about these places only. `None`: everywhere.
    pub places: Option<&'a MarkedPlaces>,
}

/// Places of a body's boundary, found by the point.
#[derive(Debug)]
pub struct MarkedPlaces {
    reach: f64,
    cells: HashMap<[i64; 3], Vec<P3>>,
}

impl MarkedPlaces {
    /// Places of which each stands for all within `reach` of it, mm.
    pub fn new(places: impl IntoIterator<Item = P3>, reach: f64) -> Self {
        let mut out = Self { reach, cells: HashMap::new() };
        for p in places {
            out.cells.entry(out.cell(p)).or_default().push(p);
        }
        out
    }

    fn cell(&self, p: P3) -> [i64; 3] {
        [p.x, p.y, p.z].map(|c| (c / self.reach).floor() as i64)
    }

    /// Whether some place stands for a point.
    fn hold(&self, p: P3) -> bool {
        let [x, y, z] = self.cell(p);
        let around = (-1..=1).flat_map(|i| (-1..=1).flat_map(move |j| (-1..=1).map(move |k| [i, j, k])));
        let mut near = around.filter_map(|[i, j, k]| self.cells.get(&[x + i, y + j, z + k])).flatten();
        near.any(|q| (q - p).norm() <= self.reach)
    }
}

impl<'a> Shown<'a> {
    /// A body at its place, no face marked.
    pub fn new(brep: &'a Brep, mesh: &'a Mesh) -> Self {
        Self { brep, mesh, moved: V3::zeros(), marked: &[], places: None }
    }
}

/// What the colour of a face tells.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Look {
    /// Formed or cut.
    Finish(Finish),
    /// Marked.
    Marked,
    /// Poured about the casting: feeders and gating.
    Poured,
    /// A chill.
    Chill,
    /// A chaplet.
    Chaplet,
    /// A print: it forms no metal, but the seat of a core.
    Print,
}

impl Look {
    /// The look of a face that is not marked.
    fn of(tag: &Tag) -> Self {
        match (Feature::of(tag), Role::of(tag)) {
            (Feature::Rigging, Role::Chill(_)) => Self::Chill,
            (Feature::Rigging, Role::Chaplet(_)) => Self::Chaplet,
            (Feature::Rigging, _) => Self::Poured,
            (Feature::CorePrint, _) => Self::Print,
            _ => Self::Finish(tag.finish),
        }
    }
}

/// A face of a body.
struct Face<'a> {
    of: &'a BrepFace,
    moved: V3,
    look: Look,
    /// Where it is marked, if it is not everywhere.
    places: Option<&'a MarkedPlaces>,
}

/// The faces of all bodies, numbered as the common mesh numbers them.
pub(super) struct Faces<'a>(Vec<Face<'a>>);

impl Faces<'_> {
    /// The outward normal of a face at a point on or near it.
    pub(super) fn outward(&self, face: usize, p: P3) -> V3 {
        let f = &self.0[face];
        f.of.outward(p - f.moved)
    }

    /// What its colour tells at a point.
    pub(super) fn look_at(&self, face: usize, p: P3) -> Look {
        let f = &self.0[face];
        match f.places {
            Some(places) if f.look == Look::Marked && !places.hold(p - f.moved) => Look::of(&f.of.tag),
            _ => f.look,
        }
    }

    /// Whether any face has a look.
    pub(super) fn any(&self, look: Look) -> bool {
        self.0.iter().any(|f| f.look == look)
    }

    /// Whether two faces of one body are two halves of one surface with one name, about a point of both.
    pub(super) fn are_one(&self, [f, g]: [usize; 2], p: P3, reach: f64) -> bool {
        let [a, b] = [f, g].map(|k| &self.0[k]);
        a.of.tag == b.of.tag && a.of.surface.same_as(&b.of.surface, p - a.moved, reach).is_some()
    }
}

/// The faces of some bodies, and their common mesh.
pub(super) fn together<'a>(bodies: &[Shown<'a>]) -> (Faces<'a>, Mesh) {
    let (mut faces, mut mesh) = (Vec::new(), Mesh::default());
    for body in bodies {
        let (first_face, first_vertex) = (faces.len() as u32, mesh.vertices.len() as u32);
        faces.extend(body.brep.faces.iter().map(|face| {
            let marked = body.marked.contains(&face.tag);
            let look = if marked { Look::Marked } else { Look::of(&face.tag) };
            Face { of: face, moved: body.moved, look, places: body.places }
        }));
        mesh.vertices.extend(body.mesh.vertices.iter().map(|p| p + body.moved));
        mesh.triangles.extend(body.mesh.triangles.iter().map(|t| t.map(|v| v + first_vertex)));
        mesh.face_of.extend(body.mesh.face_of.iter().map(|f| f + first_face));
    }
    (Faces(faces), mesh)
}
