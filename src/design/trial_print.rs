//! The printer for a trial of the fit, and the forms that are built.

use super::record::record;
use crate::params::schema;
use crate::units::Mm;

record! {
    /// The printer for a trial of the fit.
    pub struct TrialPrint {
        /// Bed one way, the other way, and height.
        bed: [Mm; 3],
        /// Kept free at the bed's edges and at the top.
        margin: Mm,
        /// Linear shrink of the plastic: 0.002 for 0.2 %.
        shrink: f64,
        /// Thinnest wall that prints.
        wall: Mm,
        /// Diameter of pegs between pieces.
        peg: Mm,
        /// Room about a peg, per side.
        clearance: Mm,
        /// Whether only the left half is printed.
        half_section: bool,
    }
}

impl TrialPrint {
    pub(super) fn from_file(raw: &schema::TrialPrint) -> Option<Self> {
        Some(Self {
            bed: [raw.bed_length.get()?, raw.bed_width.get()?, raw.bed_height.get()?],
            margin: raw.margin.get()?,
            shrink: raw.shrink.get()? / 100.0,
            wall: raw.wall.get()?,
            peg: raw.peg.get()?,
            clearance: raw.clearance.get()?,
            half_section: raw.half_section.get()?,
        })
    }
}

/// A form of the part.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Form {
    /// The machined part.
    Finished,
    /// As it leaves the mould.
    Casting,
    /// What the mould is made around.
    Pattern,
    /// What keeps the cavity free.
    Core,
    /// What the core is made in.
    CoreBox,
    /// Pieces for a 3D printer.
    TrialPrint,
}

impl Form {
    /// All forms.
    pub const ALL: [Self; 6] =
        [Self::Finished, Self::Casting, Self::Pattern, Self::Core, Self::CoreBox, Self::TrialPrint];

    /// Its name on the command line and in files.
    pub fn name(self) -> &'static str {
        match self {
            Self::Finished => "finished",
            Self::Casting => "casting",
            Self::Pattern => "pattern",
            Self::Core => "core",
            Self::CoreBox => "core-box",
            Self::TrialPrint => "trial-print",
        }
    }

    /// What it is, in a line.
    pub fn about(self) -> &'static str {
        match self {
            Self::Finished => "The machined part",
            Self::Casting => "As it leaves the mould: stock, draft, small holes solid",
            Self::Pattern => "The pattern in two halves, with prints, larger by the contraction",
            Self::Core => "The core with its prints",
            Self::CoreBox => "The core box in two halves",
            Self::TrialPrint => "Pieces for a 3D printer, to try the fit",
        }
    }

    /// The finished part and those that a file asks for.
    pub(super) fn wanted(raw: &schema::Forms) -> Vec<Self> {
        let asked = [
            (Self::Casting, &raw.casting),
            (Self::Pattern, &raw.pattern),
            (Self::Core, &raw.core),
            (Self::CoreBox, &raw.core_box),
            (Self::TrialPrint, &raw.trial_print),
        ];
        let others = asked.into_iter().filter(|(_, slot)| slot.get() == Some(true)).map(|(form, _)| form);
        std::iter::once(Self::Finished).chain(others).collect()
    }
}
