//! Examples with printed answers, read where they were published; each within the rounding of its print.

use super::limits_and_fits::{FitClass, ToleranceClass};
use super::mating_materials::Elastic;
use super::press_fit::PressFit;
use super::propshaft::Tube;
use super::speedometer::{Drive, PerMile, tyre_per_mile};
use super::stack::{Dimension, Stack};
use crate::units::{MPa, Mm};

fn near(what: &str, value: f64, printed: f64, within: f64) {
    assert!((value - printed).abs() <= within, "{what}: {value}, printed {printed}");
}

/// Two pages' worked press fits, read: steel on steel, a solid shaft. 50 in 80 mm, 0.04 mm, E 200 000, 40 mm long, friction 0.15:
/// 48.75 N/mm², 45 950 N, 111.3 N/mm². 25 in 50 mm, 0.02 mm, E 210 000, 20 mm long, friction 0.1: about 63 N/mm², 105 N/mm², 9900 N.
#[test]
fn solid_shafts_in_hubs() {
    for (sizes, interference, elasticity, friction, length, printed, within) in [
        ([50.0, 80.0], 0.04, 200_000.0, 0.15, 40.0, [48.75, 111.3, 45_950.0], [0.005, 0.2, 10.0]),
        ([25.0, 50.0], 0.02, 210_000.0, 0.1, 20.0, [63.0, 105.0, 9900.0], [0.5, 0.5, 50.0]),
    ] {
        let steel = Elastic { elasticity: MPa::new(elasticity), poisson: 0.3, expansion: 11.7e-6 };
        let sizes = [Mm::new(0.0), Mm::new(sizes[0]), Mm::new(sizes[1])];
        let fit = PressFit::new(sizes, steel, steel).expect("a press fit");
        let pressed = fit.pressed(Mm::new(interference));
        near("pressure", pressed.pressure.get(), printed[0], within[0]);
        near("hoop stress", pressed.housing_hoop.get(), printed[1], within[1]);
        near("force", fit.press_force(&pressed, friction, Mm::new(length)), printed[2], within[2]);
    }
}

/// A course on mechanics of materials, read: 5 kN m on a tube of 114 by 102 mm gives 47.86 N/mm².
#[test]
fn torsion_of_a_tube() {
    let tube = Tube::new(Mm::new(114.0), Mm::new(102.0)).expect("a tube");
    near("shear", tube.torsion(5000.0).get(), 47.86, 0.005);
}

/// Pages on the speedometer's gears, read: a tyre of 20 in turns 1008.4 times a mile; with an axle of 3, 40 drive teeth and 1001
/// turns, 121 driven teeth.
#[test]
fn driven_teeth_of_a_large_drive_gear() {
    let turns = tyre_per_mile(Mm::inches(20.0));
    near("turns", turns, 1008.4, 0.05);
    let drive = Drive::new(3.0, turns, PerMile::miles(1001.0)).expect("a drive");
    near("teeth", drive.driven_wanted(40), 121.0, 0.5);
}

/// Pages on tolerance chains, read: five or ten dimensions of ±0.1 give 0.5 and 1.0 at worst, 0.224 and 0.316 by squares; a bore
/// of 40 ± 0.10 less 25 ± 0.05, 2 ± 0.03 and 10 ± 0.05 leaves 3.00.
#[test]
fn chains_of_equal_and_of_four_dimensions() {
    let part = |factor: f64, size: f64, tolerance: f64| {
        Dimension::between("part", factor, [Mm::new(size - tolerance), Mm::new(size + tolerance)])
    };
    for (count, worst, squares) in [(5, 0.5, 0.224), (10, 1.0, 0.316)] {
        let chain = Stack::new((0..count).map(|_| part(1.0, 1.0, 0.1)).collect()).expect("a chain");
        near("worst case", chain.worst_case().get(), worst, 1e-12);
        near("root sum of squares", chain.root_sum_square().get(), squares, 0.0005);
    }
    let parts =
        vec![part(1.0, 40.0, 0.1), part(-1.0, 25.0, 0.05), part(-1.0, 2.0, 0.03), part(-1.0, 10.0, 0.05)];
    near("gap", Stack::new(parts).expect("a chain").middle().get(), 3.0, 1e-12);
}

/// Tables and examples of ISO 286 on open pages, read: H7 of every step from 3 to 80 mm; at 50 mm H8 +39, f7 −25 to −50, g6 −9 to
/// −25, and 25 to 89 of clearance in H8/f7 (an encyclopedia's example); at 10 mm h6 −9.
#[test]
fn limits_on_open_pages() {
    let zone = |class: &str, size: f64| {
        let class: ToleranceClass = class.parse().expect("a class");
        let zone = class.deviations(Mm::new(size)).expect("tabled");
        [zone.lower, zone.upper].map(|d| (d.get() * 1000.0).round())
    };
    for (class, size, printed) in [
        ("H7", 4.0, [0.0, 12.0]),
        ("H7", 8.0, [0.0, 15.0]),
        ("H7", 14.0, [0.0, 18.0]),
        ("H7", 24.0, [0.0, 21.0]),
        ("H7", 40.0, [0.0, 25.0]),
        ("H7", 65.0, [0.0, 30.0]),
        ("H8", 50.0, [0.0, 39.0]),
        ("f7", 50.0, [-50.0, -25.0]),
        ("g6", 50.0, [-25.0, -9.0]),
        ("h6", 10.0, [-9.0, 0.0]),
    ] {
        for (value, printed) in zone(class, size).into_iter().zip(printed) {
            near(class, value, printed, 1e-9);
        }
    }
    let fit = "H8/f7".parse::<FitClass>().expect("a fit").at(Mm::new(50.0)).expect("tabled");
    near("least", fit.least_clearance.get(), 0.025, 1e-9);
    near("greatest", fit.greatest_clearance.get(), 0.089, 1e-9);
}
