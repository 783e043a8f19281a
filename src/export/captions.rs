//! What is written on a form's picture.

use crate::design::Form;
use crate::drawing::Captions;
use crate::units::Units;

/// A title, what the colours of a form's faces mean, and a bar in the unit of the file.
pub(super) fn captions(title: &str, form: Form, units: Units) -> Captions<'_> {
    let (formed, cut) = match form {
        Form::Finished | Form::TrialPrint => ("AS CAST", "MACHINED"),
        Form::Casting => ("AS CAST", "TO BE MACHINED"),
        Form::Pattern | Form::Core | Form::CoreBox => ("FORMS AS CAST", "FORMS MACHINED"),
    };
    let bar = match units {
        Units::Mm => (100.0, "100 MM"),
        Units::Inch => (4.0 * 25.4, "4 IN"),
    };
    Captions { title, formed, cut, bar }
}
