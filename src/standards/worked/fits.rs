//! Fits: ISO 286, ANSI B4.1, press fits.

use super::{Provenance, Worked};
use crate::standards::inch_fits;
use crate::standards::limits_and_fits::ToleranceClass;
use crate::standards::mating_materials::Elastic;
use crate::standards::press_fit::{PressFit, smoothing, wrapped_bush_outside};
use crate::units::{MPa, Mm};

const PAGES: Provenance = Provenance::Through("ISO 286-2, as open tables print it");
const REPRINT: Provenance =
    Provenance::Through("ISO 286-1:1988, reprinted in Narayana, Kannaiah, Reddy, Machine Drawing, p. 216");

const SHIGLEY_3_69: &str = "Shigley's Mechanical Engineering Design, 8th ed., solution of problem 3-69";
const SHIGLEY_5_35: &str = "Shigley's Mechanical Engineering Design, 8th ed., solution of problem 5-35";

/// Pounds on the square inch, N/mm².
const PSI: f64 = 0.006_894_757;

/// Lower and upper deviation at 40, 60 and 70 mm, µm.
fn deviations(class: &str) -> Option<Vec<f64>> {
    let class: ToleranceClass = class.parse().ok()?;
    let mut out = Vec::new();
    for size in [40.0, 60.0, 70.0] {
        let found = class.deviations(Mm::new(size)).ok()?;
        out.extend([found.lower, found.upper].map(|d| d.get() * 1000.0));
    }
    Some(out)
}

/// Lower and upper deviation of hole and shaft at a size in inches, thousandths.
fn inch(class: &str, size: f64) -> Option<Vec<f64>> {
    let row = inch_fits::find(class, Mm::inches(size)).ok()?;
    let [hole, shaft] = [row.hole_deviations(), row.shaft_deviations()];
    Some([hole.lower, hole.upper, shaft.lower, shaft.upper].map(|d| d.to_inches() * 1000.0).to_vec())
}

macro_rules! class {
    ($class:literal, $source:expr, $printed:expr) => {
        Worked {
            subject: "ISO fits",
            what: concat!($class, " over 30, 50 and 65 mm, lower and upper, µm"),
            source: $source,
            values: || deviations($class),
            printed: &$printed,
            within: 1e-6,
        }
    };
}

macro_rules! inches {
    ($class:literal, $size:literal, $document:literal, $printed:expr) => {
        Worked {
            subject: "inch fits",
            what: concat!($class, " at ", $size, " in, hole and shaft, lower and upper, 0.001 in"),
            source: Provenance::Read($document),
            values: || inch($class, $size),
            printed: &$printed,
            within: 1e-9,
        }
    };
}

/// Two hollow rings of different metals: pressure, hoop stress of hub and bushing.
fn bronze_in_steel() -> Option<Vec<f64>> {
    let metal = |e: f64| Elastic { elasticity: MPa::new(e), poisson: 0.3, expansion: 0.0 };
    let fit = PressFit::new([40.0, 60.0, 120.0].map(Mm::new), metal(105e3), metal(210e3)).ok()?;
    let pressed = fit.pressed(Mm::new(0.1));
    Some([pressed.pressure, pressed.housing_hoop, pressed.bush_hoop].map(MPa::get).to_vec())
}

pub(super) const WORKED: &[Worked] = &[
    class!("H7", PAGES, [0.0, 25.0, 0.0, 30.0, 0.0, 30.0]),
    class!("H8", PAGES, [0.0, 39.0, 0.0, 46.0, 0.0, 46.0]),
    class!("f7", PAGES, [-50.0, -25.0, -60.0, -30.0, -60.0, -30.0]),
    class!("g6", PAGES, [-25.0, -9.0, -29.0, -10.0, -29.0, -10.0]),
    class!("h6", PAGES, [-16.0, 0.0, -19.0, 0.0, -19.0, 0.0]),
    class!("n6", PAGES, [17.0, 33.0, 20.0, 39.0, 20.0, 39.0]),
    class!("p6", PAGES, [26.0, 42.0, 32.0, 51.0, 32.0, 51.0]),
    class!("r6", REPRINT, [34.0, 50.0, 41.0, 60.0, 43.0, 62.0]),
    class!("s6", REPRINT, [43.0, 59.0, 53.0, 72.0, 59.0, 78.0]),
    inches!("RC4", 1.5, "ANSI B4.1, Machinery's Handbook, 31st ed., table 8a", [0.0, 1.6, -2.0, -1.0]),
    inches!("RC4", 2.5, "ANSI B4.1, Machinery's Handbook, 31st ed., table 8a", [0.0, 1.8, -2.4, -1.2]),
    inches!("RC5", 1.5, "ANSI B4.1, Machinery's Handbook, 31st ed., table 8b", [0.0, 1.6, -3.0, -2.0]),
    inches!("RC5", 2.5, "ANSI B4.1, Machinery's Handbook, 31st ed., table 8b", [0.0, 1.8, -3.7, -2.5]),
    inches!("LN2", 1.5, "ANSI B4.1, Machinery's Handbook, 31st ed., table 12", [0.0, 1.0, 1.0, 1.6]),
    inches!("LN2", 2.5, "ANSI B4.1, Machinery's Handbook, 31st ed., table 12", [0.0, 1.2, 1.4, 2.1]),
    inches!("LN3", 1.5, "ANSI B4.1, Machinery's Handbook, 31st ed., table 12", [0.0, 1.0, 1.4, 2.0]),
    inches!("LN3", 2.5, "ANSI B4.1, Machinery's Handbook, 31st ed., table 12", [0.0, 1.2, 1.6, 2.3]),
    inches!("FN2", 1.5, "ANSI B4.1, Machinery's Handbook, 27th ed., p. 663", [0.0, 1.0, 1.8, 2.4]),
    inches!("FN2", 2.25, "ANSI B4.1, Machinery's Handbook, 27th ed., p. 663", [0.0, 1.2, 2.0, 2.7]),
    inches!("FN2", 2.75, "ANSI B4.1, Machinery's Handbook, 27th ed., p. 663", [0.0, 1.2, 2.2, 2.9]),
    Worked {
        subject: "press fits",
        what: "interference lost by Rz 3 and 6 µm, µm",
        source: Provenance::Through("DIN 7190-1:2017"),
        values: || Some(vec![smoothing([0.003, 0.006].map(Mm::new)).get() * 1000.0]),
        printed: &[3.6],
        within: 1e-9,
    },
    Worked {
        subject: "press fits",
        what: "outside of a wrapped bushing for a seat of 45 and 60 mm, lower and upper, mm",
        source: Provenance::Through("ISO 3547 (DIN 1494), by a bushing maker's page"),
        values: || {
            let both = [45.0, 60.0].map(|seat| wrapped_bush_outside(Mm::new(seat)).ok());
            Some(both.into_iter().collect::<Option<Vec<_>>>()?.concat().into_iter().map(Mm::get).collect())
        },
        printed: &[0.045, 0.085, 0.055, 0.100],
        within: 1e-9,
    },
    Worked {
        subject: "press fits",
        what: "bronze bushing 40/60 in a steel hub of 120 mm, 0.05 mm on the radius: pressure, hoop of hub and bushing, MPa",
        source: Provenance::Page("worked answer to a textbook's problem"),
        values: bronze_in_steel,
        printed: &[53.3, 88.8, -191.9],
        within: 0.06,
    },
    Worked {
        subject: "press fits",
        what: "steel shaft of 1 in in a cast iron hub of 2 in, 0.002 in: pressure and hoop of hub, psi",
        source: Provenance::Through(SHIGLEY_3_69),
        values: || {
            let steel = Elastic { elasticity: MPa::new(30e6 * PSI), poisson: 0.292, expansion: 0.0 };
            let iron = Elastic { elasticity: MPa::new(14.5e6 * PSI), poisson: 0.211, expansion: 0.0 };
            let sizes = [0.0, 1.0, 2.0].map(Mm::inches);
            let pressed = PressFit::new(sizes, steel, iron).ok()?.pressed(Mm::inches(0.002));
            Some([pressed.pressure, pressed.housing_hoop].map(|stress| stress.get() / PSI).to_vec())
        },
        printed: &[13_064.0, 21_770.0],
        within: 5.0,
    },
    Worked {
        subject: "press fits",
        what: "hollow steel shaft of 25/50 mm in a steel hub of 75 mm, 0.02 mm: pressure, hoop and equivalent stress of the hub, MPa",
        source: Provenance::Through(SHIGLEY_5_35),
        values: || {
            let steel = Elastic { elasticity: MPa::new(207e3), poisson: 0.292, expansion: 0.0 };
            let fit = PressFit::new([25.0, 50.0, 75.0].map(Mm::new), steel, steel).ok()?;
            let found = fit.pressed(Mm::new(0.02));
            Some([found.pressure, found.housing_hoop, found.housing_equivalent].map(MPa::get).to_vec())
        },
        printed: &[19.41, 50.47, 62.48],
        within: 0.02,
    },
];
