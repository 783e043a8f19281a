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
    /// Where the density was taken from.
    pub density_source: &'static str,
    /// Where the wall was taken from.
    pub wall_source: &'static str,
}

const fn alloy(
    name: &'static str,
    title: &'static str,
    (rho, density_source): (f64, &'static str),
    (wall, wall_source): (f64, &'static str),
) -> Alloy {
    let (density, minimum_wall) = (KgPerM3::new(rho), Mm::new(wall));
    Alloy { name, title, density, minimum_wall, density_source, wall_source }
}

const MEMORY: &str = "handbooks, from memory";
const MEMORY_WALL: &str = "design-for-manufacture handbooks, from memory";
const AFS: &str = "trade page quoting the American Foundry Society, read";

/// The alloy taken when a file names none.
pub const DEFAULT_ALLOY: &str = "aluminium_356_t6";

/// All alloys that a parameter file may name; the first is the default.
pub static ALLOYS: &[Alloy] = &[
    alloy(DEFAULT_ALLOY, "aluminium 356.0-T6, sand cast", (2680.0, "data sheet of 356.0, read"), (3.0, AFS)),
    alloy(
        "aluminium_a356_t6",
        "aluminium A356.0-T6, sand cast",
        (2670.0, "data sheet of A356.0, read"),
        (3.0, AFS),
    ),
    alloy("grey_iron", "grey cast iron", (7150.0, MEMORY), (4.0, MEMORY_WALL)),
    alloy("ductile_iron", "ductile (nodular) cast iron", (7100.0, MEMORY), (5.0, MEMORY_WALL)),
];
