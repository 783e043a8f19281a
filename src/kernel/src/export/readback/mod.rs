//! Second looks at written text, by code that shares nothing with the writers.

mod census;

pub use census::{Census, CensusError, TextFault, census};
