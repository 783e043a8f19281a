//! Casting: tolerances, feeders, cores, and strength of castings.

use super::{Provenance, Worked};
use crate::standards::casting_tolerance::{Dctg, zone};
use crate::standards::core_prints::{SAND_CORE, buoyancy};
use crate::standards::feeding::{cylinder_modulus, diameter_of_modulus};
use crate::standards::materials::{ALLOYS, least_wall};
use crate::standards::properties::{bearing_pressure, of_alloy, strength_in_casting};
use crate::units::Mm;

const TOLERANCES: Provenance = Provenance::Read("ISO 8062-3:2007, table 2");

/// Middles of the rows up to 400 mm; the finest has no value up to 16 mm in grade 13.
fn column(grade: Dctg, sizes: &[f64]) -> Option<Vec<f64>> {
    sizes.iter().map(|size| zone(*size, grade).ok()).collect()
}

const SIZES: [f64; 9] = [5.0, 13.0, 20.0, 30.0, 50.0, 80.0, 130.0, 200.0, 300.0];

macro_rules! tolerance {
    ($grade:ident, $what:literal, $printed:expr) => {
        Worked {
            subject: "casting tolerances",
            what: $what,
            source: TOLERANCES,
            values: || column(Dctg::$grade, &SIZES),
            printed: &$printed,
            within: 1e-9,
        }
    };
}

pub(super) const WORKED: &[Worked] = &[
    tolerance!(G7, "column DCTG 7, 10 to 400 mm, mm", [0.74, 0.78, 0.82, 0.90, 1.0, 1.1, 1.2, 1.4, 1.6]),
    tolerance!(G8, "column DCTG 8", [1.0, 1.1, 1.2, 1.3, 1.4, 1.6, 1.8, 2.0, 2.2]),
    tolerance!(G9, "column DCTG 9", [1.5, 1.6, 1.7, 1.8, 2.0, 2.2, 2.5, 2.8, 3.2]),
    tolerance!(G10, "column DCTG 10", [2.0, 2.2, 2.4, 2.6, 2.8, 3.2, 3.6, 4.0, 4.4]),
    tolerance!(G11, "column DCTG 11", [2.8, 3.0, 3.2, 3.6, 4.0, 4.4, 5.0, 5.6, 6.2]),
    tolerance!(G12, "column DCTG 12", [4.2, 4.4, 4.6, 5.0, 5.6, 6.0, 7.0, 8.0, 9.0]),
    Worked {
        subject: "casting tolerances",
        what: "column DCTG 13, from 16 mm on",
        source: TOLERANCES,
        values: || column(Dctg::G13, &SIZES[2..]),
        printed: &[6.0, 7.0, 8.0, 9.0, 10.0, 11.0, 12.0],
        within: 1e-9,
    },
    Worked {
        subject: "contraction",
        what: "cast iron, inches a foot",
        source: Provenance::Through("Lineham, A Text-Book of Mechanical Engineering, p. 63"),
        values: || Some(vec![ALLOYS[2].contraction / 100.0 * 12.0]),
        printed: &[0.125],
        within: 0.0005,
    },
    Worked {
        subject: "contraction",
        what: "aluminium 356.0 and A356.0, pattern maker's, %",
        source: Provenance::Page("trade pages of foundries"),
        values: || Some(vec![ALLOYS[0].contraction, ALLOYS[1].contraction]),
        printed: &[1.3, 1.3],
        within: 1e-9,
    },
    Worked {
        subject: "core buoyancy",
        what: "volume of a sand core that lifts by 225.63 N in steel of 7820 kg/m³, cm³",
        source: Provenance::Through("Groover, Fundamentals of Modern Manufacturing, problem on cores"),
        values: || Some(vec![225.63 / (buoyancy(1000.0, 7820.0) - buoyancy(1000.0, SAND_CORE))]),
        printed: &[3698.0],
        within: 1.5, // printed with 9.81 m/s²
    },
    Worked {
        subject: "modulus",
        what: "diameter of a riser as high as wide, of modulus 8.645 mm, mm",
        source: Provenance::Through("GATE 2018, Mechanical Engineering, question on a riser"),
        values: || Some(vec![diameter_of_modulus(8.645, 1.0)]),
        printed: &[51.87],
        within: 0.005,
    },
    Worked {
        subject: "modulus",
        what: "cylinder of 10 by 10 cm, volume over surface, cm",
        source: Provenance::Memory("Groover, Fundamentals of Modern Manufacturing, problem on shapes"),
        values: || Some(vec![cylinder_modulus(10.0, 1.0)]),
        printed: &[1.667],
        within: 0.0005,
    },
    Worked {
        subject: "strength of castings",
        what: "share of the bars' strength that a casting must have",
        source: Provenance::Read("ASTM B26, 10.3"),
        values: || Some(vec![strength_in_casting(1.0)]),
        printed: &[0.75],
        within: 1e-12,
    },
    Worked {
        subject: "strength of castings",
        what: "356.0-T6 sand cast, least tensile strength, ksi",
        source: Provenance::Through("ASTM B26, table 2"),
        values: || Some(vec![of_alloy(&ALLOYS[0]).ok()?.strength[1] / 6.894_757]),
        printed: &[30.0],
        within: 0.05,
    },
    Worked {
        subject: "strength of castings",
        what: "A356.0-T6 sand cast, yield and tensile strength, MPa",
        source: Provenance::Through("Aluminum Association, typical sheet of A356.0-T6"),
        values: || Some(of_alloy(&ALLOYS[1]).ok()?.strength.to_vec()),
        printed: &[165.0, 234.0],
        within: 0.5,
    },
    Worked {
        subject: "strength of castings",
        what: "EN-GJS-400-15, least yield and tensile strength, and shear strength of EN-GJS-400-18, N/mm²",
        source: Provenance::Through("EN 1563:1997, tables of mechanical properties"),
        values: || {
            let row = of_alloy(&ALLOYS[3]).ok()?;
            Some(vec![row.strength[0], row.strength[1], row.shear * row.strength[1]])
        },
        printed: &[250.0, 400.0, 360.0],
        within: 1e-9,
    },
    Worked {
        subject: "strength of castings",
        what: "EN-GJL-200, least tensile strength of separately cast bars, N/mm²",
        source: Provenance::Through("EN 1561, table of separately cast samples"),
        values: || Some(vec![of_alloy(&ALLOYS[2]).ok()?.strength[1]]),
        printed: &[200.0],
        within: 1e-9,
    },
    Worked {
        subject: "least walls",
        what: "aluminium in sand, small casting, mm",
        source: Provenance::Through("American Foundry Society, as a trade page quotes it"),
        values: || Some(vec![least_wall(&ALLOYS[0], Mm::new(100.0)).get()]),
        printed: &[3.0],
        within: 1e-9,
    },
    Worked {
        subject: "pressure under bolt heads",
        what: "GK-AlSi9Cu3, MPa",
        source: Provenance::Through("VDI 2230:2003, table of limiting surface pressure"),
        values: || Some(vec![bearing_pressure(&ALLOYS[0]).0.get()]),
        printed: &[220.0],
        within: 1e-9,
    },
    Worked {
        subject: "pressure under bolt heads",
        what: "GGG 35.5, MPa",
        source: Provenance::Through("VDI 2230:1986, table of limiting surface pressure"),
        values: || Some(vec![bearing_pressure(&ALLOYS[2]).0.get()]),
        printed: &[480.0],
        within: 1e-9,
    },
];
