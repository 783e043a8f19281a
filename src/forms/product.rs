//! One design and everything made from it, each form built once.

use std::sync::OnceLock;

use super::{Casting, Drawing, FormError, FormPieces, MissingMetal, Piece, TargetsFound};
use crate::design::{Design, Form};
use crate::housing::Housing;
use solidwright::geometry::Stretch;

/// The forms of one part, each made on first use and only once.
#[derive(Debug, Default)]
pub struct MadeForms {
    casting: OnceLock<Result<Casting, FormError>>,
    drawing: OnceLock<Result<Drawing, FormError>>,
    partings: OnceLock<Result<Vec<(f64, f64)>, FormError>>,
    pattern: OnceLock<Result<FormPieces, FormError>>,
    core: OnceLock<Result<FormPieces, FormError>>,
    core_box: OnceLock<Result<FormPieces, FormError>>,
    trial_print: OnceLock<Result<FormPieces, FormError>>,
    targets: OnceLock<Result<TargetsFound, FormError>>,
}

impl MadeForms {
    /// Forms of a casting that is made already.
    #[cfg(test)]
    pub(crate) fn of_casting(casting: Casting) -> Self {
        Self { casting: OnceLock::from(Ok(casting)), ..Self::default() }
    }

    /// Drops the trial print, the only form that depends on more than the part and how it is cast.
    pub fn drop_trial_print(&mut self) {
        self.trial_print = OnceLock::new();
    }
}

/// Forms that belong to one product, or that several designs of the same part share.
#[derive(Debug)]
enum Forms<'a> {
    Own(Box<MadeForms>),
    Shared(&'a MadeForms),
}

/// A design, its finished part, and all its forms: each is made on first use, and only once. Building, checking and
/// sweeping share it, so that none of them makes a casting that exists already.
///
/// The kernel works on all cores, and a thread that waits for it may take up another task. Parallel tasks must
/// therefore not both be the first to use the same form: call [`Product::prepare`] before.
#[derive(Debug)]
pub struct Product<'a> {
    design: &'a Design,
    finished: &'a Housing,
    forms: Forms<'a>,
}

impl<'a> Product<'a> {
    /// A design with its finished part; no other form is made yet.
    pub fn new(design: &'a Design, finished: &'a Housing) -> Self {
        Self { design, finished, forms: Forms::Own(Box::default()) }
    }

    /// A design with its finished part and forms that another design has made, or will: both must have the same part
    /// ([`Design::same_part`]) and, but for a trial print that is dropped, the same print ([`Design::same_print`]).
    pub fn sharing(design: &'a Design, finished: &'a Housing, forms: &'a MadeForms) -> Self {
        Self { design, finished, forms: Forms::Shared(forms) }
    }

    fn forms(&self) -> &MadeForms {
        match &self.forms {
            Forms::Own(forms) => forms,
            Forms::Shared(forms) => forms,
        }
    }

    /// The design.
    pub fn design(&self) -> &'a Design {
        self.design
    }

    /// The finished part.
    pub fn finished(&self) -> &'a Housing {
        self.finished
    }

    /// The casting.
    ///
    /// # Errors
    /// Why it cannot be made.
    pub fn casting(&self) -> Result<&Casting, FormError> {
        once(&self.forms().casting, || super::casting(self.design, self.finished))
    }

    /// How the pattern leaves the sand.
    ///
    /// # Errors
    /// Why it cannot be determined.
    pub fn drawing(&self) -> Result<&Drawing, FormError> {
        once(&self.forms().drawing, || super::drawing(self.casting()?))
    }

    /// Area that cannot be drawn, mm², for clock angles of the parting: see [`super::best_parting`].
    ///
    /// # Errors
    /// Why it cannot be determined.
    pub fn partings(&self) -> Result<&[(f64, f64)], FormError> {
        once(&self.forms().partings, || super::best_parting(self.finished)).map(Vec::as_slice)
    }

    /// The pattern with its loose pieces.
    ///
    /// # Errors
    /// Why it cannot be made.
    pub fn pattern(&self) -> Result<&FormPieces, FormError> {
        once(&self.forms().pattern, || super::pattern_in_pieces(self.casting()?, &self.drawing()?.undercuts))
    }

    /// The datum targets of the casting's first set-up.
    ///
    /// # Errors
    /// Why they cannot be looked for.
    pub fn datum_targets(&self) -> Result<&TargetsFound, FormError> {
        once(&self.forms().targets, || super::datum_targets(self.casting()?))
    }

    /// The core box.
    ///
    /// # Errors
    /// Why it cannot be made.
    pub fn core_box(&self) -> Result<&FormPieces, FormError> {
        once(&self.forms().core_box, || super::core_box(self.casting()?))
    }

    /// Why the core is not of one body, so that neither it nor its box can be made, and the pattern is of no use.
    pub fn core_apart(&self) -> Option<FormError> {
        let error = super::core_bearing(self.casting().ok()?).err();
        error.filter(|error| matches!(error, FormError::CoreApart { .. }))
    }

    /// The trial print.
    ///
    /// # Errors
    /// Why it cannot be made.
    pub fn trial_print(&self) -> Result<&FormPieces, FormError> {
        once(&self.forms().trial_print, || super::trial_print(self.design, self.finished))
    }

    /// The pieces of a form.
    ///
    /// # Errors
    /// Why they cannot be made.
    pub fn pieces(&self, form: Form) -> Result<FormPieces, FormError> {
        Ok(match form {
            Form::Finished => {
                let piece = Piece::from_solid("finished", self.finished.solid.clone(), Stretch::NONE);
                FormPieces::new(vec![piece], self.finished.marks.lines(self.design.units()))
            }
            Form::Casting => self.with_marks(self.casting()?.pieces()),
            Form::Pattern => self.with_marks(self.pattern()?.clone()),
            Form::Core => once(&self.forms().core, || super::core(self.casting()?))?.clone(),
            Form::CoreBox => self.core_box()?.clone(),
            Form::TrialPrint => self.trial_print()?.clone(),
        })
    }

    /// Pieces with the remarks on what is cast on them.
    fn with_marks(&self, mut pieces: FormPieces) -> FormPieces {
        pieces.notes.extend(self.finished.marks.lines(self.design.units()));
        pieces
    }

    /// Metal of the finished part outside the casting, largest first; empty where no casting has been made.
    pub fn missing_metal(&self) -> &[MissingMetal] {
        match self.forms().casting.get() {
            Some(Ok(casting)) => &casting.missing,
            _ => &[],
        }
    }

    /// Makes everything that several of these forms share, before they are made in parallel.
    pub fn prepare(&self, forms: &[Form]) {
        if forms.iter().any(|f| !matches!(f, Form::Finished | Form::TrialPrint))
            && let Ok(casting) = self.casting()
        {
            // An error is reported by each form that needs the result.
            let _ = self.drawing();
            if forms.iter().any(|f| matches!(f, Form::Pattern | Form::Core | Form::CoreBox)) {
                let _ = super::core_bearing(casting);
            }
        }
    }
}

/// The value of a cell, computed first if it is empty.
fn once<T>(
    cell: &OnceLock<Result<T, FormError>>,
    make: impl FnOnce() -> Result<T, FormError>,
) -> Result<&T, FormError> {
    cell.get_or_init(make).as_ref().map_err(Clone::clone)
}
