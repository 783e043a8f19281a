//! tailpattern: from a YAML parameter set to a shortened gearbox tail housing.
//!
//! The modules stand in the order in which data flows; each may use only those above it
//! (`tests/layers.rs` reads this order and fails on an upward `use`).

pub mod tolerance;

pub mod geometry;

pub mod solid;

pub mod export;
