//! Where a casting stays hot longest: circles inscribed at junctions of walls, moduli, solidification times.

use std::f64::consts::SQRT_2;

/// Why there is no value.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum HotSpotError {
    /// A size that is none.
    #[error("{what} is {value}; it must be {range} and finite")]
    Size {
        /// Which size.
        what: &'static str,
        /// As asked.
        value: f64,
        /// What is allowed.
        range: &'static str,
    },
    /// An exponent outside Chvorinov's rule.
    #[error("{0} is no exponent of Chvorinov's rule; it is from 1.5 to 2")]
    Exponent(f64),
}

fn positive(what: &'static str, value: f64) -> Result<f64, HotSpotError> {
    if value > 0.0 && value.is_finite() {
        Ok(value)
    } else {
        Err(HotSpotError::Size { what, value, range: "above 0" })
    }
}

/// A circle this many times as wide as the walls wants a feeder in reach (practice: a warning).
pub const WARN_RATIO: f64 = 1.5;

/// How walls of one thickness meet, with fillets inside.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Junction {
    /// One ends in the other.
    Tee,
    /// Both end in one corner that is sharp outside.
    Ell,
    /// Both end in one corner whose outside radius is the fillet's and the wall together.
    Bend,
    /// Both run through.
    Cross,
}

/// Diameter of the circle inscribed where walls meet, in their unit: it touches the outside and the fillets (derived).
///
/// # Errors
/// For a wall that is not above 0 or a fillet below 0.
pub fn hot_spot(junction: Junction, wall: f64, fillet: f64) -> Result<f64, HotSpotError> {
    let t = positive("wall", wall)?;
    let r = fillet;
    if !(r >= 0.0 && r.is_finite()) {
        return Err(HotSpotError::Size { what: "fillet", value: r, range: "0 or more" });
    }
    Ok(match junction {
        Junction::Tee => ((0.5 * t + r).powi(2) + (t + r).powi(2) - r * r) / (t + 2.0 * r),
        Junction::Ell => 2.0 * (SQRT_2 * (t + r) - r) / (1.0 + SQRT_2),
        // Both arcs have one centre, so the wall keeps its thickness.
        Junction::Bend => t,
        Junction::Cross => 2.0 * (SQRT_2 * (0.5 * t + r) - r),
    })
}

/// A simple shape that cools on all its surface; any unit of length.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Shape {
    /// A wide plate, by its thickness: its rim is left out.
    Plate(f64),
    /// A long round bar, by its diameter: its ends are left out.
    LongBar(f64),
    /// A cube, by its edge.
    Cube(f64),
    /// A sphere, by its diameter.
    Sphere(f64),
    /// A block, by its edges.
    Block([f64; 3]),
    /// A cylinder with its ends.
    Cylinder {
        /// Diameter.
        diameter: f64,
        /// Length.
        length: f64,
    },
}

impl Shape {
    /// Modulus: volume over cooling surface, in the shape's unit of length (derived).
    ///
    /// # Errors
    /// For sizes that are not above 0.
    pub fn modulus(self) -> Result<f64, HotSpotError> {
        Ok(match self {
            Self::Plate(t) => positive("thickness", t)? / 2.0,
            Self::LongBar(d) => positive("diameter", d)? / 4.0,
            Self::Cube(a) => positive("edge", a)? / 6.0,
            Self::Sphere(d) => positive("diameter", d)? / 6.0,
            Self::Block([a, b, c]) => {
                let sum =
                    1.0 / positive("edge", a)? + 1.0 / positive("edge", b)? + 1.0 / positive("edge", c)?;
                0.5 / sum
            }
            Self::Cylinder { diameter, length } => {
                let (d, l) = (positive("diameter", diameter)?, positive("length", length)?);
                d * l / (4.0 * l + 2.0 * d)
            }
        })
    }
}

/// Modulus of any body: volume over cooling surface, mm from mm³ and mm².
///
/// # Errors
/// For a volume or surface that is not above 0.
pub fn modulus(volume: f64, surface: f64) -> Result<f64, HotSpotError> {
    Ok(positive("volume", volume)? / positive("surface", surface)?)
}

/// How many times longer the first of two moduli takes to solidify, by Chvorinov's rule `t = k Mⁿ`; the exponent is 1.5 to 2
/// (foundry lexicon, read).
///
/// # Errors
/// For moduli that are not above 0, and other exponents.
pub fn time_ratio(first: f64, second: f64, exponent: f64) -> Result<f64, HotSpotError> {
    if !(1.5..=2.0).contains(&exponent) {
        return Err(HotSpotError::Exponent(exponent));
    }
    Ok((positive("modulus", first)? / positive("modulus", second)?).powf(exponent))
}

#[cfg(test)]
mod tests {
    use std::f64::consts::PI;

    use super::*;

    fn near(value: Result<f64, HotSpotError>, want: f64, within: f64) {
        let value = value.expect("in range");
        assert!((value - want).abs() <= within, "{value} for {want}");
    }

    /// Circles in wall thicknesses for fillets of 0, 1/3, 1/2, 1 wall (derived).
    #[test]
    #[allow(clippy::approx_constant, reason = "a table's own digits")]
    fn t1_7_inscribed_circles() {
        let rows = [
            (0.0, [1.2500, 1.1716, 1.4142]),
            (1.0 / 3.0, [1.4167, 1.2860, 1.6904]),
            (0.5, [1.5000, 1.3431, 1.8284]),
            (1.0, [1.7500, 1.5147, 2.2426]),
        ];
        for (r, want) in rows {
            for (junction, d) in [Junction::Tee, Junction::Ell, Junction::Cross].into_iter().zip(want) {
                near(hot_spot(junction, 1.0, r), d, 6e-5);
            }
        }
    }

    /// A tee of 6 mm walls with 3 mm fillets; a bend keeps its wall (derived).
    #[test]
    fn t1_7_tee_of_6_with_fillet_3() {
        near(hot_spot(Junction::Tee, 6.0, 3.0), 9.0, 1e-12);
        near(hot_spot(Junction::Bend, 6.0, 3.0), 6.0, 0.0);
    }

    /// Plate of 100 × 100 × 6 and cylinder of 30 by 40 mm, exponent 2 (derived).
    #[test]
    fn t1_8_plate_and_cylinder() {
        let plate = Shape::Block([100.0, 100.0, 6.0]).modulus();
        let cylinder = Shape::Cylinder { diameter: 30.0, length: 40.0 }.modulus();
        near(plate, 2.6786, 5e-5);
        near(cylinder, 5.4545, 5e-5);
        near(time_ratio(cylinder.expect("good"), plate.expect("good"), 2.0), 4.1468, 5e-5);
        near(modulus(60_000.0, 22_400.0), 2.6786, 5e-5);
        near(modulus(PI * 225.0 * 40.0, PI * (30.0 * 40.0 + 450.0)), 5.4545, 5e-5);
    }

    /// Limits of the bodies with all their surface (derived).
    #[test]
    fn thin_plates_and_long_bars_are_limits() {
        near(Shape::Block([1e9, 1e9, 6.0]).modulus(), 3.0, 1e-6);
        near(Shape::Plate(6.0).modulus(), 3.0, 0.0);
        near(Shape::Cylinder { diameter: 8.0, length: 1e9 }.modulus(), 2.0, 1e-6);
        near(Shape::LongBar(8.0).modulus(), 2.0, 0.0);
        near(Shape::Block([6.0; 3]).modulus(), 1.0, 1e-12);
        near(Shape::Cube(6.0).modulus(), 1.0, 0.0);
        near(Shape::Sphere(6.0).modulus(), 1.0, 0.0);
    }

    #[test]
    fn larger_fillets_stay_hot_longer() {
        for junction in [Junction::Tee, Junction::Ell, Junction::Cross] {
            let all: Vec<f64> =
                (0..20).map(|r| hot_spot(junction, 5.0, f64::from(r)).expect("good")).collect();
            assert!(all.windows(2).all(|w| w[0] < w[1]) && all[0] > 5.0, "{junction:?}: {all:?}");
        }
    }

    #[test]
    fn what_cannot_be_is_told_with_its_range() {
        let text = hot_spot(Junction::Tee, 0.0, 1.0).expect_err("no wall").to_string();
        assert_eq!(text, "wall is 0; it must be above 0 and finite");
        assert!(hot_spot(Junction::Tee, 6.0, -1.0).is_err(), "fillet");
        assert!(hot_spot(Junction::Tee, f64::NAN, 1.0).is_err(), "no number");
        assert!(modulus(1.0, 0.0).is_err() && Shape::Block([1.0, -1.0, 1.0]).modulus().is_err(), "sizes");
        let text = time_ratio(2.0, 1.0, 2.1).expect_err("exponent").to_string();
        assert!(text.contains("from 1.5 to 2"), "{text}");
    }
}
