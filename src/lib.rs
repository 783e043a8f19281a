//! tailpattern: from a YAML parameter set to a shortened gearbox tail housing.
//!
//! The modules stand in the order in which data flows; each may use only those above it
//! (`tests/cli/layers.rs` reads this order and fails on an upward `use`).

pub mod units;

pub mod finding;

pub mod standards;

pub mod params;

pub mod faces;

pub mod design;

pub mod housing;

pub mod forms;

pub mod place;

pub mod checks;

pub mod drawing;

pub mod export;

pub mod sweep;

pub mod report;

pub mod cli;

pub mod guide;
