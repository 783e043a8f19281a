//! How far apart sections stand along a canal.
//!
//! The path of a ball may be straight for a hand's breadth and turn within a millimetre at its end. Sections as far apart everywhere
//! as the sharpest turn asks for were thousands on faces of a few square millimetres.

use crate::geometry::Canal;

/// Places along a canal in units: sections one unit apart keep the chord error. Rises from stretch to stretch of the spine, linear in each,
/// and runs on beyond the ends.
pub(super) struct Pace {
    /// Places, mm along the spine from the chart's middle, rising; at least two.
    places: Vec<f64>,
    /// Units at them, rising.
    units: Vec<f64>,
}

impl Pace {
    /// That of a canal whose chart has its middle at a place of the spine. Flat pieces along the tube may stray by `sag` mm, and are at most
    /// `longest` mm long.
    pub(super) fn along(canal: &Canal, middle: f64, sag: f64, longest: f64) -> Self {
        let knots = canal.spine.knots();
        let mut out = Self { places: vec![knots[0] - middle], units: vec![0.0] };
        let mut sum = 0.0;
        for ends in knots.windows(2) {
            let step = (8.0 * sag / canal.path_bend(ends[0], ends[1])).sqrt();
            sum += (ends[1] - ends[0]) / step.min(longest).min(canal.spine.length());
            out.places.push(ends[1] - middle);
            out.units.push(sum);
        }
        out
    }

    /// The units of a place.
    pub(super) fn units(&self, place: f64) -> f64 {
        between(&self.places, &self.units, place)
    }

    /// The place of some units.
    pub(super) fn place(&self, units: f64) -> f64 {
        between(&self.units, &self.places, units)
    }
}

/// What stands beside a value in two rising lists; their first and last stretches run on.
fn between(of: &[f64], to: &[f64], value: f64) -> f64 {
    let i = of.partition_point(|v| *v <= value).clamp(1, of.len() - 1) - 1;
    to[i] + (to[i + 1] - to[i]) * ((value - of[i]) / (of[i + 1] - of[i]))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_and_units_are_each_other_s_inverse() {
        let pace = Pace { places: vec![-3.0, -1.0, 0.5, 9.0], units: vec![0.0, 4.0, 4.5, 5.5] };
        for place in [-7.0, -3.0, -1.2, 0.0, 0.5, 4.0, 30.0] {
            assert!((pace.place(pace.units(place)) - place).abs() < 1e-12, "{place}");
        }
        assert!((pace.units(-2.0) - 2.0).abs() < 1e-12, "halfway along the first stretch");
    }
}
