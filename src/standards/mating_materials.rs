//! Materials of what the housing meets: bushes, yokes, shafts, tubes. Those of the housing itself are in [`super::properties`].

use super::properties::Properties;
use crate::units::{KgPerM3, MPa};

/// What a part does under load and heat.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Elastic {
    /// Modulus of elasticity.
    pub elasticity: MPa,
    /// Poisson's ratio.
    pub poisson: f64,
    /// Linear expansion near room temperature, per kelvin.
    pub expansion: f64,
}

impl From<&Properties> for Elastic {
    fn from(row: &Properties) -> Self {
        Self { elasticity: MPa::new(row.elasticity * 1000.0), poisson: row.poisson, expansion: row.expansion }
    }
}

/// One material.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MatingMaterial {
    /// Name as asked for.
    pub name: &'static str,
    /// What it does under load and heat.
    pub elastic: Elastic,
    /// Density; `None` for strip of two metals.
    pub density: Option<KgPerM3>,
    /// Yield and tensile strength, least values; `None` where the sources give none.
    pub strength: Option<[MPa; 2]>,
    /// Where the row was taken from.
    pub source: &'static str,
}

/// A material that is not in the table.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("material {name} is not in the table; it has {}", names())]
pub struct UnknownMaterial {
    /// As asked.
    pub name: String,
}

fn names() -> String {
    MATING_MATERIALS.iter().map(|row| row.name).collect::<Vec<_>>().join(", ")
}

const fn elastic(elasticity: f64, poisson: f64, expansion: f64) -> Elastic {
    Elastic { elasticity: MPa::new(elasticity), poisson, expansion }
}

const fn row(
    name: &'static str,
    elastic: Elastic,
    density: Option<f64>,
    strength: Option<[f64; 2]>,
    source: &'static str,
) -> MatingMaterial {
    let density = match density {
        Some(rho) => Some(KgPerM3::new(rho)),
        None => None,
    };
    let strength = match strength {
        Some([yields, breaks]) => Some([MPa::new(yields), MPa::new(breaks)]),
        None => None,
    };
    MatingMaterial { name, elastic, density, strength, source }
}

/// The table.
pub static MATING_MATERIALS: &[MatingMaterial] = &[
    row(
        "steel",
        elastic(205_000.0, 0.29, 11.7e-6),
        Some(7850.0),
        None,
        "low-carbon steel: handbooks, from memory",
    ),
    row(
        "bronze_c93200",
        elastic(100_000.0, 0.34, 18.0e-6),
        Some(8910.0),
        Some([138.0, 241.0]),
        "C93200 (SAE 660): least yield 20 and tensile strength 35 ksi of continuously cast bar (ASTM B505), from which bushings \
         are turned, data sheet, read; centrifugal castings have 14 and 30; Poisson's ratio from memory",
    ),
    row(
        "lead_bronze_on_steel",
        elastic(205_000.0, 0.29, 11.7e-6),
        None,
        None,
        "steel-backed strip: the thin lining follows its steel back in all; low-carbon steel by handbooks, from memory",
    ),
    row(
        "aluminium_6061_t6",
        elastic(68_900.0, 0.33, 23.6e-6),
        Some(2700.0),
        Some([241.0, 262.0]),
        "6061-T6 extruded tube: least yield 35 and tensile strength 38 ksi, ASTM B241 table 1, read; the rest from handbooks, \
         from memory",
    ),
];

/// The row of this name.
///
/// # Errors
/// For a material that is not in the table.
pub fn find(name: &str) -> Result<&'static MatingMaterial, UnknownMaterial> {
    let found = MATING_MATERIALS.iter().find(|row| row.name == name);
    found.ok_or_else(|| UnknownMaterial { name: name.to_owned() })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::standards::{materials::ALLOYS, properties};

    /// Ranges of handbooks, from memory.
    #[test]
    fn values_are_those_of_metals() {
        for row in MATING_MATERIALS {
            let Elastic { elasticity, poisson, expansion } = row.elastic;
            assert!((MPa::new(6e4)..MPa::new(2.2e5)).contains(&elasticity), "{}", row.name);
            assert!((0.25..0.36).contains(&poisson) && (1e-5..3e-5).contains(&expansion), "{}", row.name);
            assert!(row.strength.is_none_or(|[yields, breaks]| yields < breaks), "{}", row.name);
        }
        assert!(find("steel").is_ok() && find("wood").is_err(), "by name");
    }

    /// No outside value: a property of the table itself.
    #[test]
    fn a_housing_alloy_is_elastic_too() {
        let alloy = Elastic::from(properties::of_alloy(&ALLOYS[0]).expect("known"));
        assert_eq!(alloy.elasticity, MPa::new(72_400.0), "kN to N");
    }
}
