//! Broken rules of narrow scope: they concern only a form, the parts in the housing, or the vehicle.
//!
//! The design still exists and carries their errors. Code that makes the forms or checks they concern looks them up
//! here, and refuses or fails; they stop nothing else.

use super::{Design, Form};
use crate::finding::{Finding, Scope};

/// Whether an error of a scope prevents a form.
pub fn stops_form(scope: Scope, form: Form) -> bool {
    match scope {
        Scope::Everything => true,
        Scope::Core => form == Form::Core,
        Scope::TrialPrint => form == Form::TrialPrint,
        Scope::Mating | Scope::Vehicle | Scope::Surroundings | Scope::Limits => false,
    }
}

impl Design {
    /// Errors that prevent a form.
    pub fn against_form(&self, form: Form) -> impl Iterator<Item = &Finding> {
        self.against.iter().filter(move |f| f.stops(|scope| stops_form(scope, form)))
    }

    /// Whether a rule found something that `check` measures on the solid, so that only the measurement is a verdict.
    pub fn may_break_limits(&self) -> bool {
        self.against.iter().any(|f| f.code().scope() == Scope::Limits)
    }

    /// Errors that concern fits and driveline.
    pub fn against_fits(&self) -> impl Iterator<Item = &Finding> {
        self.against.iter().filter(|f| f.stops(|scope| matches!(scope, Scope::Mating | Scope::Vehicle)))
    }
}
