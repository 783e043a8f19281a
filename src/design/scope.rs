//! Broken rules that concern only some of what is made of a design: a form, what works in the housing, the vehicle.
//!
//! The design is there all the same and carries their errors. Whoever makes what they concern asks for them here and
//! refuses it, or fails; nothing else is stopped by them.

use super::{Design, Form};
use crate::finding::{Finding, Scope};

/// Whether an error of a scope stands in the way of a form.
pub fn stops_form(scope: Scope, form: Form) -> bool {
    match scope {
        Scope::Everything => true,
        Scope::Core => form == Form::Core,
        Scope::TrialPrint => form == Form::TrialPrint,
        Scope::Mating | Scope::Vehicle | Scope::Surroundings => false,
    }
}

impl Design {
    /// Errors that stand in the way of a form.
    pub fn against_form(&self, form: Form) -> impl Iterator<Item = &Finding> {
        self.against.iter().filter(move |f| f.stops(|scope| stops_form(scope, form)))
    }

    /// Errors that stand in the way of fits and driveline.
    pub fn against_fits(&self) -> impl Iterator<Item = &Finding> {
        self.against.iter().filter(|f| f.stops(|scope| matches!(scope, Scope::Mating | Scope::Vehicle)))
    }
}
