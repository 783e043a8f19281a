//! Oil that lies in a turned hollow.

use std::f64::consts::PI;

use crate::units::STANDARD_GRAVITY;

/// Intervals, chosen, of a stretch for Simpson's rule.
const INTERVALS: u32 = 64;

/// Area of a circle below a level, by the level's height over its middle (geometry).
pub fn area_below(radius: f64, level: f64) -> f64 {
    let h = level.clamp(-radius, radius);
    if radius <= 0.0 {
        return 0.0;
    }
    let square = radius * radius;
    square * (PI - (h / radius).acos()) + h * (square - h * h).max(0.0).sqrt()
}

/// Volume below a level plane in a hollow turned about a level axis: corners along the axis and their radii, in one unit; its
/// cube. Stretches are integrated by Simpson's rule, which is exact where the level is at the axis.
pub fn volume_below(profile: &[[f64; 2]], level: f64) -> f64 {
    let stretch = |pair: &[[f64; 2]]| {
        let ([x0, r0], [x1, r1]) = (pair[0], pair[1]);
        let step = (x1 - x0) / f64::from(INTERVALS);
        let at = |i: u32| area_below(r0 + (r1 - r0) * f64::from(i) / f64::from(INTERVALS), level);
        let inner: f64 = (1..INTERVALS).map(|i| if i % 2 == 1 { 4.0 * at(i) } else { 2.0 * at(i) }).sum();
        step / 3.0 * (at(0) + inner + at(INTERVALS))
    };
    profile.windows(2).map(stretch).sum()
}

/// How much higher oil stands at a distance from the middle of its surface when that leans by an angle, degrees (geometry).
pub fn rise(distance: f64, angle: f64) -> f64 {
    distance * angle.to_radians().tan()
}

/// Density of gear oil, kg/m³ (880 to 900 at 15 °C; common practice, no source).
pub const DENSITY: f64 = 890.0;

/// Pressure below a column of gear oil, N/mm², by its height, mm (hydrostatics: density × gravity × height).
pub fn head_pressure(height: f64) -> f64 {
    DENSITY * STANDARD_GRAVITY * height * 1e-9
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Geometry, by hand: half a cylinder of 50 by 200; all of it; a quarter height leaves (2π/3 − √3/2) r² / 2 below it; half a frustum.
    #[test]
    fn lying_cylinders_and_cones() {
        let near =
            |value: f64, wanted: f64| assert!((value / wanted - 1.0).abs() < 1e-6, "{value} for {wanted}");
        let tube = [[0.0, 50.0], [200.0, 50.0]];
        near(volume_below(&tube, 0.0), 0.5 * PI * 2500.0 * 200.0);
        near(volume_below(&tube, 60.0), PI * 2500.0 * 200.0);
        near(volume_below(&tube, -25.0), (PI / 3.0 - 3.0_f64.sqrt() / 4.0) * 2500.0 * 200.0);
        let cone = [[0.0, 60.0], [90.0, 30.0]];
        near(volume_below(&cone, 0.0), 0.5 * PI / 3.0 * 90.0 * (3600.0 + 1800.0 + 900.0));
        assert!(volume_below(&tube, -51.0).abs() < 1e-9, "dry");
    }

    /// Geometry, by hand: 100 mm up a slope of 45 degrees.
    #[test]
    fn oil_rises_up_a_slope() {
        assert!((rise(100.0, 45.0) - 100.0).abs() < 1e-9);
    }

    /// Hydrostatics, by hand: a metre of oil of 890 kg/m³ presses with 890 · 9.80665 = 8727.9 Pa.
    #[test]
    fn a_metre_of_oil_presses_with_less_than_a_hundredth_of_a_megapascal() {
        assert!((head_pressure(1000.0) / 8.727_918_5e-3 - 1.0).abs() < 1e-9, "{}", head_pressure(1000.0));
    }
}
