//! Forms of the part beside the finished one: what foundry, pattern maker and printer get.
//!
//! Each form is a list of [`Piece`]s, every one a sound solid of its own, as large as the casting; the contraction is
//! put on when files are written ([`Piece::scale`]). Pieces stand where they belong in the part's frame.

mod casting;
mod core;
mod hold;
mod pattern;
mod settings;
mod split;
mod stock;
mod trial_print;
mod undercuts;

pub use self::core::{core, core_bearing, core_box};
pub use casting::{Casting, casting};
pub use hold::Lacking;
pub use pattern::pattern;
pub use settings::Settings;
pub use stock::StockRow;
pub use trial_print::{PROVES_GEOMETRY_ONLY, trial_print};
pub use undercuts::{Drawing, Undercut, best_parting, drawing};

use crate::design::Design;
use crate::housing::HousingError;
use solidwright::geometry::{Bounds, Frame, Stretch};
use solidwright::mesh::Mesh;
use solidwright::solid::evaluate::{EvaluateError, evaluate};
use solidwright::solid::validate::{BoundaryFault, Report, validate};
use solidwright::solid::{Brep, PrimitiveError, SolidTree};

/// Why a form can't be made.
#[derive(Clone, Debug, thiserror::Error)]
pub enum FormError {
    /// The casting itself can't be made.
    #[error("as cast: {0}")]
    Casting(Box<HousingError>),
    /// A body that the form adds is impossible.
    #[error("{piece}: {source}")]
    Shape {
        /// The piece.
        piece: String,
        /// What is wrong.
        source: Box<PrimitiveError>,
    },
    /// A piece has no proper boundary.
    #[error("{piece}: {source}")]
    Boundary {
        /// The piece.
        piece: String,
        /// What is wrong.
        source: Box<EvaluateError>,
    },
    /// A piece's boundary failed a check.
    #[error("{piece}: the solid failed {} of its checks; the first: {}", .faults.len(), .faults[0])]
    Unsound {
        /// The piece.
        piece: String,
        /// The faults.
        faults: Vec<BoundaryFault>,
    },
    /// A piece hangs together nowhere.
    #[error("{piece} comes in {bodies} bodies that hang together nowhere")]
    Apart {
        /// The piece.
        piece: String,
        /// How many.
        bodies: usize,
        /// Boxes around all but the largest.
        smaller: Vec<Bounds>,
    },
    /// A piece has no mesh to look at.
    #[error("{piece}: {message}")]
    Mesh {
        /// The piece.
        piece: String,
        /// What is wrong.
        message: String,
    },
    /// The part does not fit on the printer's bed, however it is cut across.
    #[error("trial print: {0}")]
    Bed(String),
}

/// One solid of a form.
#[derive(Clone, Debug)]
pub struct Piece {
    /// For people: `pattern, upper half`.
    pub name: String,
    /// For files: `pattern_upper`.
    pub stem: String,
    /// How it was put together.
    pub tree: SolidTree,
    /// Its boundary, unscaled.
    pub brep: Brep,
    /// What the checks found.
    pub report: Report,
    /// Factors along the shaft and across it that files are written with.
    pub scale: Stretch,
    /// How it lies on the printer's bed: z up, origin on the bed. `None` where it stays in the part's frame.
    pub bed: Option<Frame>,
}

/// A form with what is to be said about it.
#[derive(Clone, Debug)]
pub struct Made {
    /// Its pieces.
    pub pieces: Vec<Piece>,
    /// Remarks for the one who makes it.
    pub notes: Vec<String>,
    /// Faces of its own that can't be drawn.
    pub undrawn: Vec<Undercut>,
}

impl Made {
    fn new(pieces: Vec<Piece>, notes: Vec<String>) -> Self {
        Self { pieces, notes, undrawn: vec![] }
    }
}

impl Piece {
    /// Evaluates and checks a tree.
    fn of(name: &str, tree: SolidTree, scale: Stretch) -> Result<Self, FormError> {
        let piece = || name.to_owned();
        let brep = evaluate(&tree).map_err(boundary(name))?;
        let report = validate(&brep).map_err(|faults| FormError::Unsound { piece: piece(), faults })?;
        let stem = name.replace(", ", "_").replace(' ', "_").replace("_half", "");
        Ok(Self { name: piece(), stem, tree, brep, report, scale, bed: None })
    }
}

impl Piece {
    /// The piece, if it is one body.
    fn whole(self) -> Result<Self, FormError> {
        let smaller = self.smaller_bodies();
        let (piece, bodies) = (self.name.clone(), smaller.len() + 1);
        if smaller.is_empty() { Ok(self) } else { Err(FormError::Apart { piece, bodies, smaller }) }
    }

    /// Boxes around all its bodies but the largest.
    fn smaller_bodies(&self) -> Vec<Bounds> {
        let shells = self.brep.shells.iter().zip(&self.report.shell_volumes).filter(|(s, _)| !s.void);
        let mut bodies: Vec<(f64, Bounds)> = shells
            .map(|(shell, volume)| (*volume, self.brep.bounds_of(shell.faces.iter().copied())))
            .collect();
        bodies.sort_by(|a, b| b.0.total_cmp(&a.0));
        bodies.into_iter().skip(1).map(|(_, bounds)| bounds).collect()
    }

    /// A mesh of the piece, as it is written: where it has a place on a bed, lowest point on the bed.
    pub fn on_bed(&self, mesh: &Mesh) -> Mesh {
        let Some(bed) = &self.bed else { return mesh.clone() };
        let mut out = mesh.clone();
        out.vertices.iter_mut().for_each(|p| *p = bed.local(*p));
        let lowest = out.vertices.iter().map(|p| p.z).fold(f64::INFINITY, f64::min);
        out.vertices.iter_mut().for_each(|p| p.z -= lowest);
        out
    }
}

/// Turns the errors of primitives into those of a piece.
fn shape(piece: &str) -> impl Fn(PrimitiveError) -> FormError + '_ {
    move |source| FormError::Shape { piece: piece.to_owned(), source: Box::new(source) }
}

/// Turns the errors of the evaluator into those of a piece.
fn boundary(piece: &str) -> impl Fn(EvaluateError) -> FormError + '_ {
    move |source| FormError::Boundary { piece: piece.to_owned(), source: Box::new(source) }
}

/// The finished part's name, for titles.
pub fn title(design: &Design) -> String {
    let invented = if design.invented() { " (invented)" } else { "" };
    format!("{}{invented}", design.name())
}
