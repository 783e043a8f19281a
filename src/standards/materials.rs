//! Casting alloys.

use crate::units::{KgPerM3, Mm};

/// The metal that an alloy is mostly made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Family {
    /// Aluminium.
    Aluminium,
    /// Iron.
    Iron,
}

impl Family {
    /// What it is called.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Aluminium => "aluminium",
            Self::Iron => "iron",
        }
    }
}

/// A casting alloy.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Alloy {
    /// Name as written in a parameter file.
    pub name: &'static str,
    /// What it is.
    pub title: &'static str,
    /// Its short name, as it is cast on a part.
    pub mark: &'static str,
    /// The metal that it is mostly made of.
    pub family: Family,
    /// Density at room temperature.
    pub density: KgPerM3,
    /// Thinnest wall that a sand mould fills with ease.
    pub minimum_wall: Mm,
    /// Contraction from the mould to room temperature, percent.
    pub contraction: f64,
    /// Where the contraction was taken from.
    pub contraction_source: &'static str,
    /// Where the density was taken from.
    pub density_source: &'static str,
    /// Where the wall was taken from.
    pub wall_source: &'static str,
}

const fn alloy(
    (name, title, mark): (&'static str, &'static str, &'static str),
    family: Family,
    (rho, density_source): (f64, &'static str),
    (wall, wall_source): (f64, &'static str),
    (contraction, contraction_source): (f64, &'static str),
) -> Alloy {
    let (density, minimum_wall) = (KgPerM3::new(rho), Mm::new(wall));
    Alloy {
        name,
        title,
        mark,
        family,
        density,
        minimum_wall,
        contraction,
        contraction_source,
        density_source,
        wall_source,
    }
}

const MEMORY: &str = "handbooks, from memory";
const MEMORY_WALL: &str = "design-for-manufacture handbooks, from memory";
const TRADE: &str = "foundry trade pages, read";

/// Aluminium: 5/32 in a foot; lists differ from 1.25 to 1.8 %, and a textbook of a century ago (Lineham) has 2.2 %: the foundry
/// says. Cast iron: 1/8 in a foot, by that textbook too.
const LIGHT: (f64, &str) = (1.3, TRADE);
const AFS: &str = "trade page quoting the American Foundry Society, read";

/// How the least wall grows with the casting's length.
pub const LONG_WALL: &str = "from 150 to 500 mm of length it rises by two thirds: between the trade page's 3 mm for small \
                             and 5 mm for large castings; common practice";

/// Least wall that a sand mould fills with ease in a casting of this length: the alloy's own up to 150 mm, two thirds more
/// from 500 mm on, evenly between. A trade page, read, has 2.5 to 3 mm for small, 3 to 5 for usual and 5 to 6 mm for large
/// castings of aluminium, without saying how large; the lengths are common practice.
pub fn least_wall(alloy: &Alloy, length: Mm) -> Mm {
    let along = ((length.get() - 150.0) / 350.0).clamp(0.0, 1.0);
    alloy.minimum_wall * (1.0 + along * 2.0 / 3.0)
}

/// The alloy taken when a file names none.
pub const DEFAULT_ALLOY: &str = "aluminium_356_t6";

/// All alloys that a parameter file may name; the first is the default.
pub static ALLOYS: &[Alloy] = &[
    alloy(
        (DEFAULT_ALLOY, "aluminium 356.0-T6, sand cast", "356"),
        Family::Aluminium,
        (2680.0, "data sheet of 356.0, read"),
        (3.0, AFS),
        LIGHT,
    ),
    alloy(
        ("aluminium_a356_t6", "aluminium A356.0-T6, sand cast", "A356"),
        Family::Aluminium,
        (2670.0, "data sheet of A356.0, read"),
        (3.0, AFS),
        LIGHT,
    ),
    alloy(
        ("grey_iron", "grey cast iron", "GI"),
        Family::Iron,
        (7150.0, MEMORY),
        (4.0, MEMORY_WALL),
        (1.04, TRADE),
    ),
    alloy(
        ("ductile_iron", "ductile (nodular) cast iron", "DI"),
        Family::Iron,
        (7100.0, MEMORY),
        (5.0, MEMORY_WALL),
        (0.9, MEMORY),
    ),
];

#[cfg(test)]
mod tests {
    use super::*;

    /// No outside value: a property of the table itself.
    #[test]
    fn names_tell_the_family() {
        for alloy in ALLOYS {
            assert!(alloy.name.split('_').any(|word| word == alloy.family.name()), "{}", alloy.name);
        }
    }

    /// The bands of the trade page: 3 mm for small, 5 for large castings.
    ///
    /// The bands read, the lengths common practice.
    #[test]
    fn long_castings_need_thicker_walls() {
        for (length, wall) in [(100.0, 3.0), (150.0, 3.0), (325.0, 4.0), (500.0, 5.0), (900.0, 5.0)] {
            let found = least_wall(&ALLOYS[0], Mm::new(length)).get();
            assert!((found - wall).abs() < 1e-9, "{length}: {found}");
        }
    }

    /// 100 cm³ of 356 weigh 0.268 kg (data sheet, read; derived).
    #[test]
    fn t10_1_weight() {
        assert!((100e-6 * ALLOYS[0].density.get() - 0.268).abs() < 1e-12, "{:?}", ALLOYS[0].density);
    }
}
