//! Bodies with names, places and colours, and what is said about them: the matter of packed files.

use crate::geometry::{P3, Stretch, V3};
use crate::mesh::{Mesh, MeshError};
use crate::solid::{Brep, BrepFace, Solid, Tag};

use super::paint::Paint;

/// Names that 3MF knows besides title, description and application (core specification, table 3-1): written
/// without a prefix.
const WELL_KNOWN: [&str; 6] =
    ["Designer", "Copyright", "LicenseTerms", "Rating", "CreationDate", "ModificationDate"];

/// One body of a packed file.
#[derive(Clone, Debug)]
pub struct Body<'a> {
    /// What readers show. No two bodies of a file may share a name.
    pub name: String,
    /// Its surface, mm.
    pub mesh: &'a Mesh,
    /// The boundary that was meshed, for exact normals where a format holds normals.
    pub brep: Option<&'a Brep>,
    /// What the mesh has been stretched by since; the boundary has not.
    pub stretch: Stretch,
    /// The paint of each face, by the numbers in [`Mesh::face_of`].
    pub paints: Vec<Paint>,
    /// Where the body stands: added to all its vertices, mm.
    pub shift: V3,
}

impl<'a> Body<'a> {
    /// A body where it is, each face painted as its finish says ([`Paint::of`]).
    pub fn new(name: impl Into<String>, solid: &'a Solid, mesh: &'a Mesh) -> Self {
        Self::painted(name, solid, mesh, Paint::of)
    }

    /// A body where it is, each face painted by its tag.
    pub fn painted(
        name: impl Into<String>,
        solid: &'a Solid,
        mesh: &'a Mesh,
        paint: impl Fn(&Tag) -> Paint,
    ) -> Self {
        let brep = solid.brep();
        let paints = brep.faces.iter().map(|f| paint(&f.tag)).collect();
        Self { name: name.into(), mesh, brep: Some(brep), stretch: Stretch::NONE, paints, shift: V3::zeros() }
    }

    /// A body of one paint without exact surfaces.
    pub fn plain(name: impl Into<String>, mesh: &'a Mesh, paint: &Paint) -> Self {
        let faces = mesh.face_of.iter().max().map_or(0, |last| *last as usize + 1);
        Self {
            name: name.into(),
            mesh,
            brep: None,
            stretch: Stretch::NONE,
            paints: vec![paint.clone(); faces],
            shift: V3::zeros(),
        }
    }

    /// The body moved by so much further, mm.
    #[must_use]
    pub fn moved(mut self, by: V3) -> Self {
        self.shift += by;
        self
    }

    /// The body of a mesh that is the image of its boundary under a stretch ([`Mesh::stretched`]): normals are those of
    /// the image.
    #[must_use]
    pub fn of_stretched(mut self, by: Stretch) -> Self {
        self.stretch = by;
        self
    }

    /// The outward normal, of length 1, of the image of a face at a vertex of the mesh.
    pub(super) fn outward(&self, face: &BrepFace, vertex: P3) -> V3 {
        if self.stretch.is_none() {
            return face.outward(vertex);
        }
        self.stretch.normal(face.outward(self.stretch.source(vertex)))
    }

    fn check(&self) -> Result<(), PackError> {
        let mesh = self.mesh;
        let bad = |reason| Err(PackError::Faces { body: self.name.clone(), reason });
        if mesh.triangles.len() != mesh.face_of.len() {
            return bad("triangles and their faces differ in number");
        }
        let faces = self.brep.map_or(self.paints.len(), |b| b.faces.len().min(self.paints.len()));
        if mesh.face_of.iter().any(|f| *f as usize >= faces) {
            return bad("a triangle lies on a face that has no paint or no surface");
        }
        let finite = |v: &V3| v.iter().all(|x| x.is_finite());
        if mesh.triangles.iter().flatten().any(|v| *v as usize >= mesh.vertices.len()) {
            return bad("a triangle has a corner that is not there");
        }
        if !finite(&self.shift) || !mesh.vertices.iter().all(|p| finite(&p.coords)) {
            return Err(PackError::NotFinite { body: self.name.clone() });
        }
        let open = |source| PackError::Open { body: self.name.clone(), source };
        mesh.check_closed().map_err(open)?;
        let volume = mesh.volume();
        if volume > 0.0 { Ok(()) } else { Err(open(MeshError::Volume { volume })) }
    }
}

/// What a packed file says about itself.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Metadata {
    /// Title; left out when empty.
    pub title: String,
    /// Description; left out when empty.
    pub description: String,
    /// The program the data come from.
    pub application: String,
    /// Stands before further names, and names the caller's own namespace in 3MF: a plain word, such as the program's name.
    pub prefix: String,
    /// Further names with their values: revision, source, cautions … Names are written as `PREFIX:NAME`, but for those
    /// that 3MF knows (`Designer`, `Copyright`, `LicenseTerms` …).
    pub further: Vec<(String, String)>,
}

impl Default for Metadata {
    /// No texts; this library stands for the program.
    fn default() -> Self {
        Self {
            title: String::new(),
            description: String::new(),
            application: concat!("solidwright ", env!("CARGO_PKG_VERSION")).to_owned(),
            prefix: "solidwright".to_owned(),
            further: Vec::new(),
        }
    }
}

impl Metadata {
    /// Full names with their values, in order, the empty ones of the fixed three left out.
    pub(super) fn entries(&self) -> Result<Vec<(String, &str)>, PackError> {
        let fixed =
            [("Title", &self.title), ("Description", &self.description), ("Application", &self.application)];
        let mut out: Vec<(String, &str)> = fixed
            .into_iter()
            .filter(|(_, value)| !value.is_empty())
            .map(|(name, value)| (name.to_owned(), value.as_str()))
            .collect();
        if !is_plain_name(&self.prefix) {
            return Err(PackError::BadKey(self.prefix.clone()));
        }
        for (name, value) in &self.further {
            if !is_plain_name(name) {
                return Err(PackError::BadKey(name.clone()));
            }
            let full = if WELL_KNOWN.contains(&name.as_str()) {
                name.clone()
            } else {
                format!("{}:{name}", self.prefix)
            };
            if out.iter().any(|(other, _)| *other == full) {
                return Err(PackError::SameKey(name.clone()));
            }
            out.push((full, value));
        }
        Ok(out)
    }
}

/// Whether a name may stand behind a prefix in XML. Only ASCII, which no reader stumbles over.
fn is_plain_name(name: &str) -> bool {
    name.starts_with(|c: char| c.is_ascii_alphabetic() || c == '_')
        && name.chars().all(|c| c.is_ascii_alphanumeric() || matches!(c, '_' | '-' | '.'))
}

/// Why bodies can't be packed into a file.
#[derive(Debug, thiserror::Error)]
pub enum PackError {
    /// No body is given.
    #[error("there is no body to write")]
    Empty,
    /// Two bodies of one name.
    #[error("two bodies are called {0:?}; give each a name of its own")]
    SameName(String),
    /// A body without a name.
    #[error("a body has no name")]
    NoName,
    /// A mesh that encloses no metal.
    #[error("body {body:?}: {source}")]
    Open {
        /// The body.
        body: String,
        /// What the mesh lacks.
        source: MeshError,
    },
    /// Triangles, faces and paints that don't belong together.
    #[error("body {body:?}: {reason}")]
    Faces {
        /// The body.
        body: String,
        /// What does not fit.
        reason: &'static str,
    },
    /// A coordinate that is infinite or undefined, or too large for the format.
    #[error("body {body:?} has a coordinate that is not a finite number")]
    NotFinite {
        /// The body.
        body: String,
    },
    /// A metadata name or prefix that is no plain word.
    #[error(
        "the metadata name {0:?} must begin with a letter and hold only letters, digits, `_`, `-` and `.`"
    )]
    BadKey(String),
    /// A metadata name given twice.
    #[error("the metadata name {0:?} stands twice")]
    SameKey(String),
    /// A character that XML has no way to write.
    #[error("{text:?} holds the character U+{:04X}, which a 3MF file can't hold", u32::from(*character))]
    Character {
        /// The name or value.
        text: String,
        /// The character.
        character: char,
    },
    /// The file would be larger than its format can count.
    #[error("the file would have {bytes} bytes; the format ends at {most}")]
    TooLarge {
        /// Bytes needed.
        bytes: usize,
        /// Bytes possible.
        most: usize,
    },
    /// The archive writer refused; not expected when writing into memory.
    #[error("the archive can't be written: {0}")]
    Archive(#[from] rawzip::Error),
    /// The JSON writer refused; not expected when writing into memory.
    #[error("the JSON text can't be written: {0}")]
    Json(#[from] serde_json::Error),
}

/// Tests all that every format asks of the bodies.
pub(super) fn check(bodies: &[Body]) -> Result<(), PackError> {
    if bodies.is_empty() {
        return Err(PackError::Empty);
    }
    for (i, body) in bodies.iter().enumerate() {
        if body.name.trim().is_empty() {
            return Err(PackError::NoName);
        }
        if bodies[..i].iter().any(|other| other.name == body.name) {
            return Err(PackError::SameName(body.name.clone()));
        }
        body.check()?;
    }
    Ok(())
}

/// The different paints of some bodies, in the order in which their triangles first show them.
pub(super) struct Palette<'a>(pub(super) Vec<&'a Paint>);

impl<'a> Palette<'a> {
    pub(super) fn new(bodies: &'a [Body]) -> Self {
        let mut found: Vec<&Paint> = Vec::new();
        for body in bodies {
            let mut last = None;
            for &face in &body.mesh.face_of {
                // Triangles of a face mostly follow each other; the search is left to the first of them.
                if last.replace(face) == Some(face) {
                    continue;
                }
                let paint = &body.paints[face as usize];
                if !found.contains(&paint) {
                    found.push(paint);
                }
            }
        }
        Self(found)
    }

    /// Place in the palette of each face's paint; faces without triangles may have none.
    pub(super) fn of_faces(&self, body: &Body) -> Vec<Option<usize>> {
        body.paints.iter().map(|paint| self.0.iter().position(|p| *p == paint)).collect()
    }
}

#[cfg(test)]
mod tests;
