//! Seals, bushings, shafts, joints, speedometer, materials.

use super::{Provenance, Worked};
use crate::standards::bolt_group::{BoltGroup, JointLoad};
use crate::standards::cardan::acceleration;
use crate::standards::crossed_helical::CrossedPair;
use crate::standards::lip_seal::{Casing, bore_deviations, journal_deviations, outside};
use crate::standards::mating_materials::find;
use crate::standards::notch::shoulder_in_bending;
use crate::standards::plain_bearing::bushing_limits;
use crate::standards::propshaft::Tube;
use crate::standards::speedometer::{READS_LOW, legal_band, tyre_per_mile};
use crate::units::{Deg, KgPerM3, MPa, Mm};

const SEALS: Provenance = Provenance::Through("DIN 3760:1996, by seal pages");

/// Lower and upper deviation of a seal's outside, mm, up to 50, 80, 120, 180, 300 and 500 mm.
fn presses(casing: Casing) -> Option<Vec<f64>> {
    let mut out = Vec::new();
    for bore in [40.0, 70.0, 100.0, 150.0, 250.0, 400.0] {
        let found = outside(Mm::new(bore), casing).ok()?;
        out.extend([found.lower, found.upper].map(Mm::get));
    }
    Some(out)
}

fn strength(material: &str) -> Option<Vec<f64>> {
    Some(find(material).ok()?.strength?.map(|s| s.get() / 6.894_757).to_vec())
}

/// Pitch diameters, centre distance and shaft angle of 8 and 20 teeth of module 1.5, 65 and 25 degrees.
fn crossed() -> Option<Vec<f64>> {
    let pair = CrossedPair::new(Mm::new(1.5), [8, 20], [65.0, 25.0].map(Deg::new), true).ok()?;
    let [first, second] = pair.pitch_diameters();
    Some(vec![first.get(), second.get(), pair.centre_distance().get(), pair.shaft_angle().get()])
}

pub(super) const WORKED: &[Worked] = &[
    Worked {
        subject: "seals",
        what: "press of a metal casing, lower and upper, bores of 50 to 500 mm, mm",
        source: SEALS,
        values: || presses(Casing::Metal),
        printed: &[0.10, 0.20, 0.13, 0.23, 0.15, 0.25, 0.18, 0.28, 0.20, 0.30, 0.23, 0.35],
        within: 1e-9,
    },
    Worked {
        subject: "seals",
        what: "press of a rubber casing, lower and upper, bores of 50 to 500 mm, mm",
        source: SEALS,
        values: || presses(Casing::Rubber),
        printed: &[0.15, 0.30, 0.20, 0.35, 0.20, 0.35, 0.25, 0.45, 0.25, 0.45, 0.30, 0.55],
        within: 1e-9,
    },
    Worked {
        subject: "seals",
        what: "H8 of bores of 45, 60 and 100 mm, upper, mm",
        source: SEALS,
        values: || {
            [45.0, 60.0, 100.0]
                .map(|d| bore_deviations(Mm::new(d)).ok().map(|z| z.upper.get()))
                .into_iter()
                .collect()
        },
        printed: &[0.039, 0.046, 0.054],
        within: 1e-9,
    },
    Worked {
        subject: "seals",
        what: "h11 of shafts of 45, 60 and 100 mm, lower, mm",
        source: SEALS,
        values: || {
            [45.0, 60.0, 100.0]
                .map(|d| journal_deviations(Mm::new(d)).ok().map(|z| z.lower.get()))
                .into_iter()
                .collect()
        },
        printed: &[-0.160, -0.190, -0.220],
        within: 1e-9,
    },
    Worked {
        subject: "materials",
        what: "6061-T6 extruded tube, least yield and tensile strength, ksi",
        source: Provenance::Through("ASTM B241, table 1"),
        values: || strength("aluminium_6061_t6"),
        printed: &[35.0, 38.0],
        within: 0.05,
    },
    Worked {
        subject: "materials",
        what: "C93200 continuously cast, least yield and tensile strength, ksi",
        source: Provenance::Through("ASTM B505, by a data sheet"),
        values: || strength("bronze_c93200"),
        printed: &[20.0, 35.0],
        within: 0.05,
    },
    Worked {
        subject: "bushings",
        what: "C93200: pressure, psi; speed, ft/min; product, psi ft/min",
        source: Provenance::Page("a bronze maker's table"),
        values: || {
            let limits = bushing_limits(find("bronze_c93200").ok()?)?;
            let (psi, feet) = (0.006_894_757, 0.00508);
            Some(vec![limits.pressure.get() / psi, limits.speed / feet, limits.product / psi / feet])
        },
        printed: &[3000.0, 750.0, 75_000.0],
        within: 0.01,
    },
    Worked {
        subject: "joint angles",
        what: "acceleration at 1500, 1600 and 1700 rev/min and the greatest angles 7.3, 6.9 and 6.5 degrees, rad/s²",
        source: Provenance::Through("SAE AE-7, 3.1.1, by a chart"),
        values: || {
            let chart = [(1500.0, 7.3), (1600.0, 6.9), (1700.0, 6.5)];
            Some(chart.map(|(rpm, angle)| acceleration(Deg::new(angle), rpm)).to_vec())
        },
        printed: &[400.0, 400.0, 400.0],
        within: 10.0,
    },
    Worked {
        subject: "speedometer",
        what: "least and greatest reading at 100 km/h",
        source: Provenance::Read("UN Regulation 39, 5.3"),
        values: || Some(legal_band(100.0).to_vec()),
        printed: &[100.0, 114.0],
        within: 1e-9,
    },
    Worked {
        subject: "speedometer",
        what: "least reading over the true speed",
        source: Provenance::Through("SAE J2976:2022"),
        values: || Some(vec![1.0 + READS_LOW.0 / 100.0]),
        printed: &[0.99],
        within: 1e-9,
    },
    Worked {
        subject: "speedometer",
        what: "turns of a tyre of 20 in on a mile",
        source: Provenance::Page("page on the speedometer's gears"),
        values: || Some(vec![tyre_per_mile(Mm::inches(20.0))]),
        printed: &[1008.4],
        within: 0.06,
    },
    Worked {
        subject: "propeller shaft",
        what: "critical speed of 3.5 by 0.083 in, 45 in long, rev/min",
        source: Provenance::Page("page on propeller shafts"),
        values: || {
            let tube = Tube::of_wall(Mm::inches(3.5), Mm::inches(0.083)).ok()?;
            let (e, rho) = (MPa::new(30e6 * 0.006_894_757), KgPerM3::new(0.283 * 27_679.9));
            Some(vec![tube.critical_rpm(Mm::inches(45.0), e, rho).ok()?])
        },
        printed: &[11_390.0],
        within: 12.0,
    },
    Worked {
        subject: "propeller shaft",
        what: "shear of a tube of 114 by 102 mm under 5 kN m, MPa",
        source: Provenance::Page("course on mechanics of materials"),
        values: || Some(vec![Tube::new(Mm::new(114.0), Mm::new(102.0)).ok()?.torsion(5000.0).get()]),
        printed: &[47.86],
        within: 0.005,
    },
    Worked {
        subject: "bolted joints",
        what: "10 kN at 100 mm on four bolts 60 by 80 mm apart: force on the worst, kN",
        source: Provenance::Page("page of exam questions on steel structures"),
        values: || {
            let group = BoltGroup::new(&[[0.0, 0.0], [60.0, 0.0], [0.0, 80.0], [60.0, 80.0]])?;
            let load = JointLoad { shear: [10_000.0, 0.0], twist: 1e6, ..JointLoad::default() };
            Some(vec![group.greatest_shear(&load) / 1000.0])
        },
        printed: &[7.16],
        within: 0.005,
    },
    Worked {
        subject: "notches",
        what: "shaft of 32 mm with a fillet of 3 mm to 38 mm, bent",
        source: Provenance::Memory("Shigley, Mechanical Engineering Design, example with Peterson's chart"),
        values: || Some(vec![shoulder_in_bending(Mm::new(38.0), Mm::new(32.0), Mm::new(3.0))]),
        printed: &[1.65],
        within: 0.02, // read off a chart
    },
    Worked {
        subject: "crossed helical gears",
        what: "33 and 132 teeth of normal diametral pitch 8, 30 degrees each: shaft angle; teeth of the pinion for a centre distance of 12 in",
        source: Provenance::Read("Machinery's Handbook, 31st ed., p. 2281, shafts at any angle"),
        values: || {
            let pair =
                CrossedPair::new(Mm::inches(1.0 / 8.0), [33, 132], [30.0; 2].map(Deg::new), true).ok()?;
            // The handbook takes the whole number of teeth next to that which gives the distance.
            let teeth = 33.0 * (Mm::inches(12.0) / pair.centre_distance());
            Some(vec![pair.shaft_angle().get(), teeth.round()])
        },
        printed: &[60.0, 33.0],
        within: 1e-9,
    },
    Worked {
        subject: "crossed helical gears",
        what: "15 and 24 teeth of module 3, 20 and 30 degrees: pitch diameters, mm; shaft angle",
        source: Provenance::Memory("Elements of Metric Gear Technology, table 7-1"),
        values: || {
            let pair = CrossedPair::new(Mm::new(3.0), [15, 24], [20.0, 30.0].map(Deg::new), true).ok()?;
            let [first, second] = pair.pitch_diameters();
            Some(vec![first.get(), second.get(), pair.shaft_angle().get()])
        },
        printed: &[47.8880, 83.1384, 50.0],
        within: 0.000_06,
    },
    Worked {
        subject: "crossed helical gears",
        what: "8 and 20 teeth of module 1.5, 65 and 25 degrees: pitch diameters, centre distance, mm; shaft angle",
        source: Provenance::Memory("gear handbooks' formulas, worked by hand"),
        values: crossed,
        printed: &[28.394, 33.101, 30.748, 90.0],
        within: 0.0006,
    },
];
