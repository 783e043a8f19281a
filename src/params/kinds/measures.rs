//! Kinds of values that only the driveline figures need: temperatures, torques and the like, and named fits.

use super::{Fault, Kind, Range, shorten};
use crate::params::codes;
use crate::params::reference::About;
use crate::standards::fit_names::FitName;
use crate::units::{self, Scale, Units};

/// A number on a scale, with one of its units or bare in the first, within a range in the first.
#[derive(Debug, Clone, Copy)]
pub struct Measure(pub &'static Scale, pub Range);

impl Kind for Measure {
    type Value = f64;

    fn read(&self, text: &str, _: Option<Units>) -> Result<f64, Fault> {
        let base = self.0.base();
        let value = units::parse_measure(text, self.0).map_err(|e| {
            Fault::quantity(text, &e, &format!("120 or 120 {base}")).allowed(self.allowed(Units::Mm))
        })?;
        if self.1.holds(value) {
            return Ok(value);
        }
        let message = format!("{value} {base} is out of range");
        Err(Fault::new(codes::OUT_OF_RANGE, message).allowed(self.allowed(Units::Mm)).because(self.1.reason))
    }

    fn show(&self, value: &f64, _: Units) -> String {
        format!("{value} {}", self.0.base())
    }

    fn about(&self) -> About {
        About::Measure(self.0, self.1)
    }
}

/// A fit by name, such as `H7/s6` or `FN2`.
#[derive(Debug, Clone, Copy)]
pub struct Fits;

impl Kind for Fits {
    type Value = FitName;

    fn read(&self, text: &str, _: Option<Units>) -> Result<FitName, Fault> {
        text.parse().map_err(|_| {
            Fault::new(codes::NOT_A_CHOICE, format!("`{}` is not a fit", shorten(text)))
                .allowed(self.allowed(Units::Mm))
                .hint("the hole's class comes first, in capitals")
        })
    }

    fn show(&self, value: &FitName, _: Units) -> String {
        value.to_string()
    }

    fn about(&self) -> About {
        About::Fit
    }
}
