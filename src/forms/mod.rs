//! Forms of the part other than the finished one, for foundry, pattern maker and printer.
//!
//! Each form is a list of [`Piece`]s, every one a valid solid, as large as the casting; the contraction is applied
//! when files are written ([`Piece::scale`]). Pieces are at their assembled positions in the part's frame.

mod built_up;
mod cast_solid;
mod casting;
mod core;
mod core_beam;
mod core_box;
mod datum_targets;
mod hold;
mod loose;
mod pattern;
mod print_sizes;
mod prints;
mod product;
mod settings;
mod split;
mod stock;
mod trial_print;
mod undercuts;

pub use self::core::{chaplets_needed, core, core_bearing, core_radius, core_volume};
pub use cast_solid::{CastSolid, CutSize, cast_solid};
pub use casting::{Casting, casting};
pub use core_beam::Chaplet;
pub use core_box::{BOX_WALL, core_box};
pub use datum_targets::{DatumTarget, NoTargets, TARGET_SIZE, TargetHolds, TargetsFound, datum_targets};
pub use hold::MissingMetal;
pub use loose::{
    DRESSED, Dovetail, FILLED_BELOW, FairedLips, HeldPlace, LoosePiece, NoPiece, SideCore, StillHeld,
    half_name, names, pattern_in_pieces,
};
pub use pattern::{beside_pattern, pattern, pattern_outside};
pub use print_sizes::{PrintPlace, PrintSize, print_sizes};
pub use product::{MadeForms, Product};
pub use settings::Settings;
pub use stock::StockRow;
pub use trial_print::{PROVES_GEOMETRY_ONLY, trial_print};
pub use undercuts::{Drawing, HELD_APART, Undercut, best_parting, drawing, undercuts};

use crate::design::Design;
use crate::finding::Hindrance;
use crate::housing::HousingError;
use solidwright::geometry::{Bounds, Frame, P3, Stretch, V3};
use solidwright::mesh::{Mesh, MeshError};
use solidwright::solid::evaluate::EvaluateError;
use solidwright::solid::{PrimitiveError, Solid, SolidError, SolidTree};

/// Why a form cannot be made.
#[derive(Clone, Debug, thiserror::Error)]
pub enum FormError {
    /// The casting itself cannot be made.
    #[error("as cast: {}{}", .0, remedy(.0))]
    Casting(Box<HousingError>),
    /// A body that the form adds is impossible.
    #[error("{piece}: {source}")]
    Shape {
        /// The piece.
        piece: String,
        /// What is wrong.
        source: Box<PrimitiveError>,
    },
    /// A piece has no valid boundary.
    #[error("{piece}: {source}")]
    Solid {
        /// The piece.
        piece: String,
        /// What is wrong.
        source: Box<SolidError>,
    },
    /// A piece is disconnected.
    #[error("{piece} is {bodies} disconnected bodies")]
    Apart {
        /// The piece.
        piece: String,
        /// How many.
        bodies: usize,
        /// Bounding boxes of all but the largest.
        smaller: Vec<Bounds>,
    },
    /// The hollows of the casting do not all hang together, so no one core forms them.
    #[error("the core comes in {} bodies that nothing joins; besides the largest: {}; let their hollows meet the cavity, or cast the holes solid (`casting.stock.cored_above`)", .apart.len() + 1, .apart.join(", "))]
    CoreApart {
        /// The features and the place of each body but the largest.
        apart: Vec<String>,
    },
    /// A piece cannot be meshed.
    #[error("{piece}: {message}")]
    Mesh {
        /// The piece.
        piece: String,
        /// What is wrong.
        message: String,
    },
    /// The part does not fit on the printer's bed, wherever it is cut across.
    #[error("trial print: {0}")]
    Bed(String),
}

/// What to do where draft leaves nothing of a feature's shape, which a design knows nothing of.
fn remedy(error: &HousingError) -> &'static str {
    if matches!(error, HousingError::Shape(PrimitiveError::Draft { .. })) {
        "; a wall that leans in the mould needs its lean and the draft: widen the feature's outline or its opening, set it more upright \
         (`tilt`, `clock`, or `casting.mould.parting_clock`), or ask for less draft (`draft` and `core_draft` in `casting.mould`)"
    } else {
        ""
    }
}

impl FormError {
    /// Whether nothing is left of a piece.
    pub(super) fn is_empty(&self) -> bool {
        matches!(self, Self::Solid { source, .. } if matches!(**source, SolidError::Boundary(EvaluateError::Empty)))
    }

    /// Whether the program is at fault, not the design.
    pub fn is_internal(&self) -> bool {
        match self {
            Self::Casting(error) => error.is_internal(),
            Self::Solid { source, .. } => source.is_internal(),
            Self::Mesh { .. } => true,
            Self::Shape { .. } | Self::Apart { .. } | Self::CoreApart { .. } | Self::Bed(_) => false,
        }
    }
}

impl From<&FormError> for Hindrance {
    fn from(error: &FormError) -> Self {
        Self::new(error.is_internal(), error)
    }
}

/// A sound solid that cannot be meshed is a fault of the program.
impl From<&MeshError> for Hindrance {
    fn from(error: &MeshError) -> Self {
        Self::new(true, error)
    }
}

/// One solid of a form.
#[derive(Clone, Debug)]
pub struct Piece {
    /// For people: `pattern, upper half`.
    pub name: String,
    /// For files: `pattern_upper`.
    pub stem: String,
    /// Its solid, unscaled.
    pub solid: Solid,
    /// Factors along the shaft and across it that files are written with.
    pub scale: Stretch,
    /// How it lies on the printer's bed: z up, origin on the bed. `None` where it stays in the part's frame.
    pub bed: Option<Frame>,
    /// How far pictures show it from its place, so that the pieces of a form stand apart, mm.
    pub apart: V3,
}

/// The pieces of a form, with remarks on them.
#[derive(Clone, Debug)]
pub struct FormPieces {
    /// Its pieces.
    pub pieces: Vec<Piece>,
    /// Remarks for the maker.
    pub notes: Vec<String>,
    /// The direction in which its halves come apart, where that is not the mould's.
    pub split: Option<V3>,
    /// Its faces that cannot be drawn.
    pub undrawn: Vec<Undercut>,
    /// Places of the pattern at which these hold it, [`HELD_APART`] from each other.
    pub held_at: Vec<P3>,
    /// Centres of the dowel holes between its halves, unscaled, mm.
    pub dowels: Vec<P3>,
    /// Its loose pieces, in the order in which they are drawn, each with the name of its piece.
    pub loose: Vec<LoosePiece>,
    /// Faces that hold it by so little that they are dressed by hand.
    pub to_dress: Vec<Undercut>,
    /// Places that hold a half, and get neither a loose piece nor a side core.
    pub still_held: Vec<StillHeld>,
    /// Its side cores, each with the name of its piece.
    pub side_cores: Vec<SideCore>,
}

impl FormPieces {
    fn new(pieces: Vec<Piece>, notes: Vec<String>) -> Self {
        Self {
            pieces,
            notes,
            split: None,
            undrawn: vec![],
            held_at: vec![],
            dowels: vec![],
            loose: vec![],
            to_dress: vec![],
            still_held: vec![],
            side_cores: vec![],
        }
    }
}

impl Piece {
    /// Evaluates and checks a tree.
    fn of(name: &str, tree: SolidTree, scale: Stretch) -> Result<Self, FormError> {
        Ok(Self::from_solid(name, Solid::of(tree).map_err(unsound(name))?, scale))
    }

    /// A piece of an existing solid.
    fn from_solid(name: &str, solid: Solid, scale: Stretch) -> Self {
        let stem = name.replace(", ", "_").replace(' ', "_").replace("_half", "");
        Self { name: name.to_owned(), stem, solid, scale, bed: None, apart: V3::zeros() }
    }

    /// The piece, if it is one body.
    fn whole(self) -> Result<Self, FormError> {
        let smaller = self.solid.smaller_bodies();
        let (piece, bodies) = (self.name.clone(), smaller.len() + 1);
        if smaller.is_empty() { Ok(self) } else { Err(FormError::Apart { piece, bodies, smaller }) }
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

/// Turns the errors of a solid into those of a piece.
fn unsound(piece: &str) -> impl Fn(SolidError) -> FormError + '_ {
    move |source| FormError::Solid { piece: piece.to_owned(), source: Box::new(source) }
}

/// Turns the errors of the mesher into those of a piece.
fn unmeshed(piece: &str) -> impl Fn(MeshError) -> FormError + '_ {
    move |error| FormError::Mesh { piece: piece.to_owned(), message: error.to_string() }
}

/// The finished part's name, for titles.
pub fn title(design: &Design) -> String {
    let invented = if design.invented() { " (invented)" } else { "" };
    format!("{}{invented}", design.name())
}
