//! `forms`: the forms to build.

use crate::params::kinds::Choice;

/// A form of the part.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Form {
    /// The machined part.
    Finished,
    /// The part as it leaves the mould.
    Casting,
    /// The pattern around which the mould is made.
    Pattern,
    /// The core that forms the cavity.
    Core,
    /// The box in which the core is made.
    CoreBox,
    /// Pieces for a 3D printer.
    TrialPrint,
}

impl Form {
    /// All forms.
    pub const ALL: [Self; 6] =
        [Self::Finished, Self::Casting, Self::Pattern, Self::Core, Self::CoreBox, Self::TrialPrint];

    /// Its name on the command line and in files.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Finished => "finished",
            Self::Casting => "casting",
            Self::Pattern => "pattern",
            Self::Core => "core",
            Self::CoreBox => "core-box",
            Self::TrialPrint => "trial-print",
        }
    }

    /// A one-line description.
    pub const fn about(self) -> &'static str {
        match self {
            Self::Finished => "The machined part",
            Self::Casting => "As it leaves the mould: stock, draft, small holes solid",
            Self::Pattern => "The pattern in two halves, with prints, larger by the contraction",
            Self::Core => "The core with its prints, larger by the contraction",
            Self::CoreBox => "The core box in two halves",
            Self::TrialPrint => "Pieces for a 3D printer, to try the fit",
        }
    }

    const fn word(self) -> (&'static str, Self, &'static str) {
        (self.name(), self, self.about())
    }

    /// The words of a parameter file.
    pub(super) const CHOICE: Choice<Self> = Choice(&[
        Self::Finished.word(),
        Self::Casting.word(),
        Self::Pattern.word(),
        Self::Core.word(),
        Self::CoreBox.word(),
        Self::TrialPrint.word(),
    ]);
}
