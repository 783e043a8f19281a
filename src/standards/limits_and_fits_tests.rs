use super::*;

/// In whole µm; anything else fails.
fn whole(length: Mm) -> i32 {
    let value = length.get() * 1000.0;
    assert!((value - value.round()).abs() < 1e-9, "{value} µm");
    value.round() as i32
}

/// Deviations in µm.
fn of(class: &str, size: f64) -> [i32; 2] {
    let class: ToleranceClass = class.parse().expect("a class");
    let limits = class.deviations(Mm::new(size)).expect("in the table");
    [limits.lower, limits.upper].map(whole)
}

/// Least and greatest clearance in µm.
fn clearance(fit: &str, size: f64) -> [i32; 2] {
    let fit: FitClass = fit.parse().expect("a fit");
    let fit = fit.at(Mm::new(size)).expect("in the table");
    [fit.least_clearance, fit.greatest_clearance].map(whole)
}

/// Least and greatest interference in µm.
fn interference(fit: &str, size: f64) -> [i32; 2] {
    let [least, greatest] = clearance(fit, size);
    [-greatest, -least]
}

/// Catalogue tables and a textbook's reprint of the standard, read (reference table 2.1).
#[test]
fn t2_1_table_of_30_to_80() {
    for (class, rows) in [
        ("H7", [[0, 25], [0, 30], [0, 30]]),
        ("H8", [[0, 39], [0, 46], [0, 46]]),
        ("f7", [[-50, -25], [-60, -30], [-60, -30]]),
        ("g6", [[-25, -9], [-29, -10], [-29, -10]]),
        ("h6", [[-16, 0], [-19, 0], [-19, 0]]),
        ("n6", [[17, 33], [20, 39], [20, 39]]),
        ("p6", [[26, 42], [32, 51], [32, 51]]),
        ("r6", [[34, 50], [41, 60], [43, 62]]),
        ("s6", [[43, 59], [53, 72], [59, 78]]),
        ("H9", [[0, 62], [0, 74], [0, 74]]),
        ("h11", [[-160, 0], [-190, 0], [-190, 0]]),
    ] {
        for (size, want) in [45.0, 57.0, 72.0].into_iter().zip(rows) {
            assert_eq!(of(class, size), want, "{class} of {size}");
        }
    }
}

/// Derived from values read.
#[test]
fn t2_2_fits() {
    for (fit, size, want) in [
        ("H7/p6", 45.0, [1, 42]),
        ("H7/r6", 45.0, [9, 50]),
        ("H7/s6", 45.0, [18, 59]),
        ("H7/p6", 57.0, [2, 51]),
        ("H7/r6", 57.0, [11, 60]),
        ("H7/s6", 57.0, [23, 72]),
        ("H7/s6", 72.0, [29, 78]),
    ] {
        assert_eq!(interference(fit, size), want, "{fit} of {size}");
    }
    assert_eq!(clearance("H8/f7", 45.0), [25, 89], "H8/f7");
    assert_eq!(clearance("H8/f7", 57.0), [30, 106], "H8/f7");
}

/// "Over 30 up to and including 50" (read).
#[test]
fn t2_3_ends_of_steps() {
    assert_eq!(of("s6", 50.0), [43, 59], "the end belongs to the step");
    assert_eq!(of("s6", 50.001), [53, 72], "the next step");
}

/// ISO 286-2:1988 corrigendum 1 of 2006, read: E8 of 80 to 120 mm ends at +126, R10 of 18 to 30 mm begins at −28, f9 of
/// 250 to 315 mm ends at −186.
#[test]
fn values_of_the_corrigendum() {
    assert_eq!(of("E8", 100.0)[1], 126, "E8");
    assert_eq!(of("R10", 25.0)[1], -28, "R10");
    assert_eq!(of("f9", 300.0)[0], -186, "f9");
}

/// The textbook's note to table 15.3, read: P7 of 18 to 30 mm has a shift of 8, so ES = −14; M6 of 250 to 315 mm has ES = −9.
/// ISO 286-1's own examples, from memory: K7 of 18 to 30 mm −2 + 8 = +6; S6 −35 + 4 = −31.
#[test]
fn examples_of_the_standards_notes() {
    assert_eq!(of("P7", 25.0)[1], -14, "P7");
    assert_eq!(of("M6", 300.0), [-41, -9], "M6");
    assert_eq!(of("K7", 25.0), [-15, 6], "K7");
    assert_eq!(of("S6", 25.0), [-44, -31], "S6");
}

/// ISO 286-2 tables, from memory.
#[test]
fn holes_of_30_to_80_from_memory() {
    for (class, low, high) in [
        ("D9", [80, 142], [100, 174]),
        ("E9", [50, 112], [60, 134]),
        ("F8", [25, 64], [30, 76]),
        ("G7", [9, 34], [10, 40]),
        ("K6", [-13, 3], [-15, 4]),
        ("K7", [-18, 7], [-21, 9]),
        ("M7", [-25, 0], [-30, 0]),
        ("N7", [-33, -8], [-39, -9]),
        ("N9", [-62, 0], [-74, 0]),
        ("P7", [-42, -17], [-51, -21]),
        ("R7", [-50, -25], [-60, -30]),
        ("S7", [-59, -34], [-72, -42]),
        ("P9", [-88, -26], [-106, -32]),
    ] {
        assert_eq!(of(class, 40.0), low, "{class} of 40");
        assert_eq!(of(class, 60.0), high, "{class} of 60");
    }
    let js: ToleranceClass = "JS7".parse().expect("a class");
    let even = Deviations { lower: Mm::new(-0.0125), upper: Mm::new(0.0125) };
    assert_eq!(js.deviations(Mm::new(40.0)), Ok(even), "JS7 lies evenly");
    assert_eq!(of("k6", 40.0), [2, 18], "k6");
    assert_eq!(of("k9", 40.0), [0, 62], "k above grade 7 begins at zero");
    assert_eq!(of("N9", 2.0), [-29, -4], "N of the smallest sizes");
}

/// ANSI B4.2 preferred fits of 40 mm as tabled in Machinery's Handbook, from memory.
#[test]
fn preferred_fits_of_40_from_memory() {
    for (fit, want) in [
        ("H11/c11", [120, 440]),
        ("H9/d9", [80, 204]),
        ("H8/f7", [25, 89]),
        ("H7/g6", [9, 50]),
        ("H7/h6", [0, 41]),
        ("H7/k6", [-18, 23]),
        ("H7/n6", [-33, 8]),
        ("H7/p6", [-42, -1]),
        ("H7/s6", [-59, -18]),
        ("H7/u6", [-76, -35]),
    ] {
        assert_eq!(clearance(fit, 40.0), want, "{fit}");
    }
}

/// The rule behind the holes' shift: a fit on the shaft basis is as tight as its twin on the hole basis.
///
/// ISO 286-1, from memory.
#[test]
fn hole_basis_and_shaft_basis_fit_alike() {
    for size in [5.0, 8.0, 15.0, 22.0, 40.0, 57.0, 72.0, 100.0, 170.0, 240.0, 350.0, 480.0] {
        for (hole, shaft) in [
            ("H7/k6", "K7/h6"),
            ("H7/n6", "N7/h6"),
            ("H7/p6", "P7/h6"),
            ("H7/s6", "S7/h6"),
            ("H8/f7", "F8/h7"),
        ] {
            assert_eq!(clearance(hole, size), clearance(shaft, size), "{hole} and {shaft} of {size}");
        }
    }
}

/// Definitions of ISO 286-1, from memory.
#[test]
fn kinds_of_fit() {
    let kind =
        |fit: &str| fit.parse::<FitClass>().expect("a fit").at(Mm::new(40.0)).expect("in the table").kind();
    assert_eq!(kind("H7/h6"), FitKind::Clearance, "none at the limit");
    assert_eq!(kind("H7/k6"), FitKind::Transition, "either");
    assert_eq!(kind("H7/s6"), FitKind::Interference, "always tight");
}

/// No outside value: a property of the table itself.
#[test]
fn zones_are_as_wide_as_their_grade() {
    for side in [Side::Hole, Side::Shaft] {
        for letter in Letter::ALL {
            for grade in Grade::all() {
                let class = ToleranceClass { side, letter, grade };
                let Ok(d) = class.deviations(Mm::new(45.0)) else { continue };
                let width = standard_tolerance(Mm::new(45.0), grade).expect("in the table");
                assert!((d.upper - d.lower - width).abs() < Mm::new(1e-12), "{class}");
            }
        }
    }
}

/// No outside value: what is read, shown or refused.
#[test]
fn classes_are_read_and_shown() {
    for text in ["H7", "JS6", "js6", "s6", "C11", "u13"] {
        let class: ToleranceClass = text.parse().expect("a class");
        assert_eq!(class.to_string(), text, "there and back");
    }
    for bad in ["", "H", "7", "Js7", "H4", "H14", "J7", "x6", "H7.5", "H-7", "h+6"] {
        assert!(bad.parse::<ToleranceClass>().is_err(), "{bad}");
    }
    for bad in ["H7", "s6/H7", "H7/H7", "H7/s6/s6"] {
        assert!(bad.parse::<FitClass>().is_err(), "{bad}");
    }
    assert_eq!(" H7 / s6 ".parse::<FitClass>().map(|f| f.to_string()), Ok("H7/s6".into()), "blanks");
}

/// No outside value: what is read, shown or refused.
#[test]
fn outside_the_tables_the_range_is_told() {
    let class: ToleranceClass = "H7".parse().expect("a class");
    for size in [0.0, -1.0, 500.001, f64::NAN] {
        let text = class.deviations(Mm::new(size)).expect_err("outside").to_string();
        assert!(text.contains("over 0 up to 500 mm"), "{text}");
    }
    for (class, size) in [("K9", 40.0), ("t6", 20.0), ("T7", 24.0)] {
        let class: ToleranceClass = class.parse().expect("a class");
        let error = class.deviations(Mm::new(size)).expect_err("not given");
        assert_eq!(error, FitError::Blank { class, size: Mm::new(size) }, "{class}");
    }
}
