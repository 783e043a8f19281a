//! tailpattern: from a YAML parameter set to a shortened gearbox tail housing.
//!
//! The modules are listed in the order in which data flows; each may use only the modules above it
//! (`tests/layers.rs` reads this order and fails on an upward `use`).

pub mod words;

pub mod units;

pub mod finding;

pub mod standards;

pub mod params;

pub mod faces;

pub mod design;

pub mod housing;

pub mod forms;

pub mod cautions;

pub mod place;

pub mod checks;

pub mod rigging;

pub mod inspection;

pub mod drawing;

pub mod drafting;

pub mod export;

pub mod sweep;

pub mod report;

pub mod detail_drawing;

pub mod cli;

pub mod guide;
