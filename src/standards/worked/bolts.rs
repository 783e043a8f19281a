//! Threads, bolts and holes.

use super::{Provenance, Worked};
use crate::standards::bolt_strength::{BoltClass, Rubbing, TIGHTENED, greatest_clamp, torque_for};
use crate::standards::bolts::{BOLTS, EDGE_DISTANCE};
use crate::standards::thread_engagement::{ThreadLimits, shear_area};
use crate::standards::threads::{THREADS, Thread, find};
use crate::units::Mm;

const METRIC: [&str; 4] = ["M6", "M8", "M10", "M12"];

fn threads(of: fn(&Thread) -> f64, metric: bool) -> Vec<f64> {
    THREADS.iter().filter(|t| t.is_metric() == metric).map(of).collect()
}

fn bolts(of: fn(&crate::standards::bolts::Bolt) -> Option<f64>, metric: bool) -> Option<Vec<f64>> {
    BOLTS.iter().filter(|b| METRIC.contains(&b.name) == metric).map(of).collect()
}

/// A fine thread of ISO 261, which files cannot name.
fn fine(diameter: f64, pitch: f64) -> Thread {
    let [diameter, pitch] = [diameter, pitch].map(Mm::new);
    Thread { name: "M", diameter, pitch, tap_drill: diameter - pitch, clearance: diameter, source: "ISO 261" }
}

/// Clamp loads of classes 8.8, 10.9 and 12.9, kN.
fn clamps(diameter: f64, pitch: f64, friction: f64) -> Vec<f64> {
    let classes = [BoltClass::C8_8, BoltClass::C10_9, BoltClass::C12_9];
    let one = |class: BoltClass| {
        greatest_clamp(&fine(diameter, pitch), class.strength().yields, friction, TIGHTENED) / 1000.0
    };
    classes.map(one).to_vec()
}

/// Torques of class 8.8 for frictions 0.10, 0.12 and 0.14, N m, with the printed clamp loads, kN.
fn torques(diameter: f64, pitch: f64, [flats, hole]: [f64; 2], clamp: [f64; 3]) -> Vec<f64> {
    let head = Mm::new(0.5 * (flats + hole));
    let one = |(friction, clamp): (f64, f64)| {
        torque_for(&fine(diameter, pitch), clamp * 1000.0, Rubbing { friction, head })
    };
    [0.10, 0.12, 0.14].into_iter().zip(clamp).map(one).collect()
}

const VDI: Provenance = Provenance::Through("VDI 2230:2001, table of fine threads");

macro_rules! clamp {
    ($d:literal, $p:literal, $friction:literal, $printed:expr) => {
        Worked {
            subject: "bolted joints",
            what: concat!(
                "M",
                $d,
                "x",
                $p,
                ", friction ",
                $friction,
                ": clamp load in classes 8.8, 10.9 and 12.9, kN"
            ),
            source: VDI,
            values: || Some(clamps($d, $p, $friction)),
            printed: &$printed,
            within: 0.2,
        }
    };
}

macro_rules! torque {
    ($d:literal, $p:literal, $head:expr, $clamp:expr, $printed:expr, $within:literal) => {
        Worked {
            subject: "bolted joints",
            what: concat!("M", $d, "x", $p, ", class 8.8: torque for frictions 0.10, 0.12 and 0.14, N m"),
            source: VDI,
            values: || Some(torques($d, $p, $head, $clamp)),
            printed: &$printed,
            within: $within,
        }
    };
}

macro_rules! table {
    ($subject:literal, $what:literal, $source:literal, $values:expr, $printed:expr, $within:literal) => {
        Worked {
            subject: $subject,
            what: $what,
            source: Provenance::Read($source),
            values: $values,
            printed: &$printed,
            within: $within,
        }
    };
}

pub(super) const WORKED: &[Worked] = &[
    table!(
        "threads",
        "M6 to M12: pitch, mm",
        "ISO 261",
        || Some(threads(|t| t.pitch.get(), true)),
        [1.0, 1.25, 1.5, 1.75],
        1e-9
    ),
    table!(
        "threads",
        "M6 to M12: tapping drill, mm",
        "ISO 262, drills as handbooks print them",
        || Some(threads(|t| t.tap_drill.get(), true)),
        [5.0, 6.8, 8.5, 10.2],
        1e-9
    ),
    table!(
        "threads",
        "M6 to M12: stress area, mm²",
        "ISO 898-1, table of stress areas",
        || Some(threads(Thread::stress_area, true)),
        [20.1, 36.6, 58.0, 84.3],
        0.05
    ),
    table!(
        "threads",
        "1/4 to 1/2, coarse and fine: stress area, in²",
        "Machinery's Handbook, 31st ed., p. 1741",
        || Some(threads(|t| t.stress_area() / 645.16, false)),
        [0.0318, 0.0364, 0.0524, 0.0580, 0.0775, 0.0878, 0.1063, 0.1187, 0.1419, 0.1599],
        1e-4
    ),
    table!(
        "threads",
        "1/4 to 1/2, coarse and fine: tapping drill, in",
        "ASME B1.1, tapping drill chart",
        || Some(threads(|t| t.tap_drill.to_inches(), false)),
        [0.201, 0.213, 0.257, 0.272, 0.3125, 0.332, 0.368, 0.390_625, 0.421_875, 0.453_125],
        1e-4
    ),
    table!(
        "holes",
        "M6 to M12: clearance hole, fine, mm",
        "ISO 273",
        || bolts(|b| Some(b.clearance[0].get()), true),
        [6.4, 8.4, 10.5, 13.0],
        1e-9
    ),
    table!(
        "holes",
        "M6 to M12: clearance hole, medium, mm",
        "ISO 273",
        || bolts(|b| Some(b.clearance[1].get()), true),
        [6.6, 9.0, 11.0, 13.5],
        1e-9
    ),
    table!(
        "holes",
        "M6 to M12: clearance hole, coarse, mm",
        "ISO 273",
        || bolts(|b| Some(b.clearance[2].get()), true),
        [7.0, 10.0, 12.0, 14.5],
        1e-9
    ),
    table!(
        "holes",
        "1/4 to 7/16: clearance hole, normal, in",
        "ASME B18.2.8",
        || bolts(|b| Some(b.clearance[1].to_inches()), false).map(|v| v[..4].to_vec()),
        [0.281_25, 0.343_75, 0.406_25, 0.468_75],
        1e-6
    ),
    table!(
        "heads",
        "M6 to M12: width across flats, mm",
        "ISO 4014",
        || bolts(|b| Some(b.flats.get()), true),
        [10.0, 13.0, 16.0, 18.0],
        1e-9
    ),
    table!(
        "heads",
        "M6 to M12: height of the head, mm",
        "ISO 4014",
        || bolts(|b| Some(b.head.get()), true),
        [4.0, 5.3, 6.4, 7.5],
        1e-9
    ),
    table!(
        "heads",
        "M6 to M12: head of a socket screw, mm",
        "ISO 4762",
        || bolts(|b| b.socket.map(|s| s[0].get()), true),
        [10.0, 13.0, 16.0, 18.0],
        1e-9
    ),
    table!(
        "heads",
        "1/4 to 1/2: width across flats, in",
        "ASME B18.2.1, Machinery's Handbook, 31st ed.",
        || bolts(|b| Some(b.flats.to_inches()), false),
        [0.438, 0.500, 0.562, 0.625, 0.750],
        1e-9
    ),
    table!(
        "heads",
        "1/4 to 1/2: greatest width across corners, in",
        "ASME B18.2.1, Machinery's Handbook, 31st ed.",
        || bolts(|b| Some(b.corners.to_inches()), false),
        [0.505, 0.577, 0.650, 0.722, 0.866],
        1e-9
    ),
    table!(
        "threads",
        "M10 in a hole of 8.5, M8 in one of 6.8: share of thread",
        "Machinery's Handbook, formula for percentage of thread",
        || Some(vec![find("M10")?.share(Mm::new(8.5)), find("M8")?.share(Mm::new(6.8))]),
        [0.77, 0.74],
        0.005
    ),
    Worked {
        subject: "thread stripping",
        what: "M10 whose bolt bears 69.6 kN, in aluminium of 130 MPa in shear, limits of size 9.968 and 9.206 mm: engagement, mm",
        source: Provenance::Through(
            "handbook of bolted joints, ISBN 978-1-4822-7378-6, chapter 10.1201/9781482273786-99",
        ),
        values: || {
            let limits = ThreadLimits { bolt_major: Mm::new(9.968), hole_pitch: Mm::new(9.206) };
            Some(vec![69_600.0 / 130.0 / shear_area(find("M10")?, limits)])
        },
        printed: &[21.6],
        within: 0.051,
    },
    Worked {
        subject: "holes",
        what: "least distance to an edge, in diameters of the hole",
        source: Provenance::Through("EN 1993-1-8, table 3.3"),
        values: || Some(vec![EDGE_DISTANCE]),
        printed: &[1.2],
        within: 1e-9,
    },
    clamp!(8.0, 1.0, 0.10, [20.7, 30.4, 35.6]),
    clamp!(8.0, 1.0, 0.12, [20.2, 29.7, 34.7]),
    clamp!(8.0, 1.0, 0.14, [19.7, 28.9, 33.9]),
    clamp!(10.0, 1.25, 0.10, [32.4, 47.5, 55.6]),
    clamp!(10.0, 1.25, 0.12, [31.6, 46.4, 54.3]),
    clamp!(10.0, 1.25, 0.14, [30.8, 45.2, 52.9]),
    clamp!(12.0, 1.25, 0.10, [49.1, 72.1, 84.4]),
    clamp!(12.0, 1.25, 0.12, [48.0, 70.5, 82.5]),
    clamp!(12.0, 1.25, 0.14, [46.8, 68.7, 80.4]),
    torque!(8.0, 1.0, [13.0, 9.0], [20.7, 20.2, 19.7], [22.8, 26.1, 29.2], 1.0),
    torque!(10.0, 1.25, [16.0, 11.0], [32.4, 31.6, 30.8], [44.0, 51.0, 57.0], 2.0),
    torque!(12.0, 1.25, [18.0, 13.5], [49.1, 48.0, 46.8], [79.0, 90.0, 101.0], 3.0),
];
