//! The formulas from which the tables of ISO 286-1 were rounded, for sizes up to 500 mm.
//!
//! `D` is the geometric mean of the ends of a step, mm; results are micrometres. Source: ISO 286-1:1988 annex A as reprinted in
//! Narayana, Kannaiah, Reddy, *Machine Drawing*, table 15.4 (read); the multipliers of the grades, and d, m, t and u, from memory.
//! The tables are what counts; these tell why a value is as it is and test it.

use super::limits_and_fits::{Grade, Letter};

/// Geometric mean of the ends of a step, in their unit.
pub(super) fn mean_of_step(over: f64, to: f64) -> f64 {
    (over * to).sqrt()
}

/// Standard tolerance unit `i`, µm, for a mean size in mm.
pub(super) fn tolerance_unit(mean: f64) -> f64 {
    0.45 * mean.cbrt() + 0.001 * mean
}

/// Standard tolerance, µm: a multiple of the unit, tenfold every five grades.
pub(super) fn standard_tolerance(mean: f64, grade: Grade) -> f64 {
    let multiple = match grade.number() {
        5 => 7.0,
        6 => 10.0,
        7 => 16.0,
        8 => 25.0,
        9 => 40.0,
        10 => 64.0,
        11 => 100.0,
        12 => 160.0,
        _ => 250.0,
    };
    multiple * tolerance_unit(mean)
}

/// Fundamental deviation of a shaft, µm, at a mean size in mm; `it` gives the tabled tolerances IT6, IT7 and IT8 of the step, µm.
/// `None` for js, which has none, and c, whose formula does not bear its table out.
pub(super) fn shaft_deviation(letter: Letter, mean: f64, it: [f64; 3]) -> Option<f64> {
    let [it6, it7, it8] = it;
    // p lies 0 to 5 above IT7, s 1 to 4 above IT8 up to 50 mm; the middle of these is taken.
    let p = it7 + 2.5;
    let s = if mean > 50.0 { it7 + 0.4 * mean } else { it8 + 2.5 };
    Some(match letter {
        Letter::D => -16.0 * mean.powf(0.44),
        Letter::E => -11.0 * mean.powf(0.41),
        Letter::F => -5.5 * mean.powf(0.41),
        Letter::G => -2.5 * mean.powf(0.34),
        Letter::H => 0.0,
        Letter::K => 0.6 * mean.cbrt(),
        Letter::M => it7 - it6,
        Letter::N => 5.0 * mean.powf(0.34),
        Letter::P => p,
        Letter::R => (p * s).sqrt(),
        Letter::S => s,
        Letter::T => it7 + 0.63 * mean,
        Letter::U => it7 + mean,
        Letter::C | Letter::Js => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::standards::limits_and_fits_tables::{FINE, MAIN};

    fn near(value: f64, want: f64, within: f64, what: &str) {
        assert!((value - want).abs() <= within, "{what}: {value} for {want}");
    }

    /// Formulas at 30 to 50 and 50 to 80 mm (derived; formulas read, multipliers from memory).
    #[test]
    fn t2_1_tolerances_by_formula() {
        let grade = |n| Grade::new(n).expect("a grade");
        for (over, to, mean, unit, want, table) in [
            (30.0, 50.0, 38.730, 1.5612, [15.6, 25.0, 39.0], [16.0, 25.0, 39.0]),
            (50.0, 80.0, 63.246, 1.8561, [18.6, 29.7, 46.4], [19.0, 30.0, 46.0]),
        ] {
            let d = mean_of_step(over, to);
            near(d, mean, 5e-4, "mean");
            near(tolerance_unit(d), unit, 5e-5, "unit");
            for ((n, want), table) in [6, 7, 8].into_iter().zip(want).zip(table) {
                near(standard_tolerance(d, grade(n)), want, 0.05, "by formula");
                near(standard_tolerance(d, grade(n)).round(), table, 1e-12, "rounded");
            }
        }
    }

    /// f, g, r, s at 30 to 80 mm (derived; formulas read). r of 30 to 50 mm: the formula gives 33.4, the table 34.
    #[test]
    fn t2_1_deviations_by_formula() {
        let of = |letter, over: f64, to: f64, it| {
            shaft_deviation(letter, mean_of_step(over, to), it).expect("has a formula")
        };
        let (low, high) = ([16.0, 25.0, 39.0], [19.0, 30.0, 46.0]);
        near(of(Letter::F, 30.0, 50.0, low), -24.63, 5e-3, "f");
        near(of(Letter::F, 50.0, 80.0, high), -30.12, 5e-3, "f");
        near(of(Letter::G, 30.0, 50.0, low), -8.67, 5e-3, "g");
        near(of(Letter::G, 50.0, 80.0, high), -10.24, 5e-3, "g");
        near(of(Letter::S, 50.0, 65.0, high), 52.8, 0.05, "s");
        near(of(Letter::S, 65.0, 80.0, high), 58.8, 0.05, "s");
        for (p, s, want) in [(26.0_f64, 43.0, 33.4), (32.0, 53.0, 41.2), (32.0, 59.0, 43.5)] {
            near((p * s).sqrt(), want, 0.05, "r is the mean of p and s");
        }
    }

    /// Every tabled tolerance over 3 mm lies within a step of rounding of its formula.
    ///
    /// Formulas of ISO 286-1:1988, read; their multipliers from memory.
    #[test]
    fn tabled_tolerances_follow_the_formula() {
        for pair in MAIN.windows(2) {
            let mean = mean_of_step(pair[0].end, pair[1].end);
            for grade in Grade::all() {
                let table = f64::from(pair[1].it[usize::from(grade.number()) - 4]);
                let within = f64::max(1.0, 0.05 * table);
                near(
                    table,
                    standard_tolerance(mean, grade),
                    within,
                    &format!("IT{} to {}", grade.number(), pair[1].end),
                );
            }
        }
    }

    /// Every tabled deviation over 3 mm that has a formula lies near it.
    ///
    /// Formulas of ISO 286-1:1988 in a reprint, read.
    #[test]
    fn tabled_deviations_follow_the_formulas() {
        for pair in MAIN.windows(2) {
            let (row, mean) = (&pair[1], mean_of_step(pair[0].end, pair[1].end));
            let it = [row.it[2], row.it[3], row.it[4]].map(f64::from);
            let check = |letter, table: i16, within| {
                let want = shaft_deviation(letter, mean, it).expect("has a formula").abs();
                near(f64::from(table), want, within, &format!("{letter:?} to {}", row.end));
            };
            for (letter, table) in [Letter::D, Letter::E, Letter::F, Letter::G].into_iter().zip(row.d_to_g) {
                check(letter, table, f64::max(0.8, 0.025 * f64::from(table)));
            }
            check(Letter::K, row.k_to_p[0], 0.65);
            check(Letter::M, row.k_to_p[1], 0.0);
            check(Letter::N, row.k_to_p[2], 0.9);
            check(Letter::P, row.k_to_p[3], 2.6);
        }
    }

    /// Formulas of ISO 286-1:1988 in a reprint, read.
    #[test]
    fn tabled_deviations_of_fine_steps_follow_the_formulas() {
        for pair in FINE.windows(2) {
            let (fine, mean) = (&pair[1], mean_of_step(pair[0].end, pair[1].end));
            let row = MAIN.iter().find(|row| fine.end <= row.end).expect("a main step");
            let it = [row.it[2], row.it[3], row.it[4]].map(f64::from);
            let of = |letter| shaft_deviation(letter, mean, it).expect("has a formula");
            let what = format!("to {}", fine.end);
            let [r, s] = fine.r_s.map(f64::from);
            near(r, (f64::from(row.k_to_p[3]) * s).sqrt(), f64::max(0.9, 0.015 * r), &what);
            near(s, of(Letter::S), f64::max(1.6, 0.01 * s), &what);
            if let Some(t) = fine.t {
                near(f64::from(t), of(Letter::T), 3.2, &what);
            }
            if fine.end > 18.0 {
                near(f64::from(fine.u), of(Letter::U), f64::max(1.0, 0.01 * f64::from(fine.u)), &what);
            }
        }
    }
}
