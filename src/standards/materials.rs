//! Casting alloys.

use crate::units::{KgPerM3, Mm};

/// A casting alloy.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Alloy {
    /// Name as written in a parameter file.
    pub name: &'static str,
    /// What it is.
    pub title: &'static str,
    /// Density at room temperature.
    pub density: KgPerM3,
    /// Thinnest wall that a sand mould fills with ease.
    pub minimum_wall: Mm,
    /// Where the numbers were taken from.
    pub source: &'static str,
}

const fn alloy(name: &'static str, title: &'static str, rho: f64, wall: f64, source: &'static str) -> Alloy {
    Alloy { name, title, density: KgPerM3::new(rho), minimum_wall: Mm::new(wall), source }
}

/// The alloy taken when a file names none.
pub const DEFAULT_ALLOY: &str = "aluminium_356_t6";

/// All alloys that a parameter file may name; the first is the default.
pub static ALLOYS: &[Alloy] = &[
    alloy(
        DEFAULT_ALLOY,
        "aluminium 356.0-T6, sand cast",
        2680.0,
        3.0,
        "density: data sheet of 356.0, read; wall: trade page quoting AFS, read",
    ),
    alloy(
        "aluminium_a356_t6",
        "aluminium A356.0-T6, sand cast",
        2670.0,
        3.0,
        "density: data sheet of A356.0, read; wall: trade page quoting AFS, read",
    ),
    alloy(
        "grey_iron",
        "grey cast iron",
        7150.0,
        4.0,
        "density: handbooks, from memory; wall: 3 to 4 mm, design-for-manufacture handbooks, from memory",
    ),
    alloy(
        "ductile_iron",
        "ductile (nodular) cast iron",
        7100.0,
        5.0,
        "density: handbooks, from memory; wall: 5 mm, design-for-manufacture handbooks, from memory",
    ),
];
