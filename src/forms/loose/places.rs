//! What holds the pattern, place by place: more than is dressed by hand, so that a loose piece or a core is needed, or less.

use super::super::undercuts::Traced;
use super::site::{groups, sites};
use super::{DRESSED, GRAIN, half_name, names};
use crate::faces::Feature;
use crate::units::Units;
use solidwright::geometry::V3;

/// A place at which a half of the pattern is held however it is rapped.
#[derive(Clone, Debug, PartialEq)]
pub struct HeldPlace {
    /// Whether it belongs to the upper half.
    pub upper: bool,
    /// The features that hold it, that of the largest area first.
    pub features: Vec<Feature>,
    /// The area by which they do, mm²: what rapping frees is left out.
    pub area: f64,
    /// A point of it, mm.
    pub at: V3,
    /// Whether it is so little that a pattern maker dresses it by hand: no more than [`DRESSED`].
    pub by_hand: bool,
}

/// What a pattern maker does where little holds the pattern (common practice).
pub const FILLED_BELOW: &str = "fill the pattern between it and the parting plane with wax or filler, until a straight edge held along the pull shows no gap";

impl HeldPlace {
    /// What is held there and where, in a unit.
    pub fn text(&self, units: Units) -> String {
        format!("{}, {}", names(&self.features), self.where_text(units))
    }

    /// The same without its features.
    pub fn where_text(&self, units: Units) -> String {
        let at = units.place([self.at.x, self.at.y, self.at.z]);
        format!("{} near {at}, {} half", units.area(self.area), half_name(self.upper))
    }
}

/// The places that hold the upper and the lower half, as loose pieces are looked for there.
pub(in crate::forms) fn held_places(halves: &[Traced; 2]) -> Vec<HeldPlace> {
    let mut out = Vec::new();
    for (traced, upper) in halves.iter().zip([true, false]) {
        let (boundary, half) = (&traced.boundary, &traced.half);
        for group in groups(sites(traced.held_parts(GRAIN)), boundary) {
            let mut features: Vec<Feature> = group.iter().flat_map(|site| site.features(boundary)).collect();
            let mut seen = Vec::new();
            features.retain(|f| {
                !seen.contains(f) && {
                    seen.push(*f);
                    true
                }
            });
            let area: f64 = group.iter().map(|site| site.area).sum();
            // What is less than a square millimetre has no feature, and is a sliver of the mesh.
            if let (Some(first), false) = (group.first(), features.is_empty()) {
                let at = half.vector(first.at());
                out.push(HeldPlace { upper, features, area, at, by_hand: area <= DRESSED });
            }
        }
    }
    out
}
