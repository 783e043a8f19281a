//! `forms`: what is built.

use crate::params::kinds::Choice;

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

    /// The words of a parameter file.
    pub(super) const CHOICE: Choice<Self> = Choice(&[
        (Self::Finished.name(), Self::Finished, "the machined part"),
        (Self::Casting.name(), Self::Casting, "stock on machined faces, draft, small holes solid"),
        (Self::Pattern.name(), Self::Pattern, "in two halves, with prints, larger by the contraction"),
        (Self::Core.name(), Self::Core, "the cavity with its prints, larger by the contraction"),
        (Self::CoreBox.name(), Self::CoreBox, "in two halves"),
        (Self::TrialPrint.name(), Self::TrialPrint, "pieces for a 3D printer, to try the fit"),
    ]);
}
