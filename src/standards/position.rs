//! Position of holes and bolts: deviation from coordinates, bonus by size, and what clearance the pattern needs.
//!
//! ASME Y14.5-2018, ISO 1101:2017, 2692:2021 (from memory); floating and fixed fasteners by ASME Y14.5M-1994 appendix B through a
//! tutorial (read).

use crate::units::Mm;

/// Line-up of bores and faces, 0.005 in (common practice, no source).
pub const LINE_UP: Mm = Mm::new(0.127);

/// Whether material lies around a feature or within it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Feature {
    /// Has most material when smallest.
    Hole,
    /// Has most material when largest.
    Shaft,
}

/// Deviation of position, a diameter, of a centre that is off by these coordinates.
pub fn position_deviation(dx: Mm, dy: Mm) -> Mm {
    Mm::new(2.0 * dx.get().hypot(dy.get()))
}

/// What a feature's actual size adds to its tolerance of position at maximum material; below zero for a feature out of its limit.
pub fn bonus(feature: Feature, most_material: Mm, actual: Mm) -> Mm {
    match feature {
        Feature::Hole => actual - most_material,
        Feature::Shaft => most_material - actual,
    }
}

/// Size that the mating part may count on: of a hole what its position leaves free, of a shaft what it may fill.
pub fn virtual_condition(feature: Feature, most_material: Mm, position: Mm) -> Mm {
    match feature {
        Feature::Hole => most_material - position,
        Feature::Shaft => most_material + position,
    }
}

/// Tolerance of position of each part through which a bolt passes with clearance in both: smallest hole less largest bolt.
pub fn floating_fastener(hole: Mm, bolt: Mm) -> Mm {
    hole - bolt
}

/// Tolerance of position to share out among the clearance hole and the tapped hole: smallest hole less largest bolt. The
/// tapped hole's must be projected by the thickness of the clamped part.
pub fn fixed_fastener(hole: Mm, bolt: Mm) -> Mm {
    hole - bolt
}

/// Smallest clearance hole for a bolt held in one part, without a projected zone: `F + T1 + T2 (1 + 2 P / D)` (Y14.5 appendix B,
/// from memory), with T2 that of the tapped hole, P the thickness of the clamped part and D the depth of the thread.
pub fn fixed_fastener_hole_unprojected(
    bolt: Mm,
    [of_hole, of_thread]: [Mm; 2],
    thickness: Mm,
    thread_depth: Mm,
) -> Mm {
    bolt + of_hole + of_thread * (1.0 + 2.0 * (thickness / thread_depth))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(value: Mm, want: f64, within: f64) {
        assert!((value.get() - want).abs() <= within, "{value} for {want}");
    }

    /// Derived.
    #[test]
    fn t5_1_position_from_coordinates() {
        near(position_deviation(Mm::new(0.10), Mm::new(0.15)), 0.36056, 5e-6);
    }

    /// M8 in a hole of 9.0 (formulas read; derived).
    #[test]
    fn t5_2_m8_in_9() {
        let (hole, bolt) = (Mm::new(9.0), Mm::new(8.0));
        near(floating_fastener(hole, bolt), 1.0, 1e-12);
        near(fixed_fastener(hole, bolt) / 2.0, 0.5, 1e-12);
        near(bonus(Feature::Hole, hole, Mm::new(9.15)), 0.15, 1e-9);
    }

    /// ASME Y14.5M-1994 appendix B, from memory: bolts of 6 mm at most, holes of 6.44 mm at least; 0.44 for each part when
    /// floating, 0.22 when fixed.
    #[test]
    fn appendix_b_example() {
        let (hole, bolt) = (Mm::new(6.44), Mm::new(6.0));
        near(floating_fastener(hole, bolt), 0.44, 1e-9);
        near(fixed_fastener(hole, bolt) / 2.0, 0.22, 1e-9);
    }

    #[test]
    fn worst_bolts_just_pass() {
        // A hole at its smallest, off by half its tolerance, and a bolt off by half its own the other way.
        let (bolt, t1, t2) = (Mm::new(10.0), Mm::new(0.3), Mm::new(0.2));
        let hole = bolt + t1 + t2;
        near(virtual_condition(Feature::Hole, hole, t1), 10.2, 1e-9);
        near(virtual_condition(Feature::Shaft, bolt, t2), 10.2, 1e-9);
        near(bonus(Feature::Shaft, bolt, Mm::new(9.8)), 0.2, 1e-9);
    }

    #[test]
    fn without_a_projected_zone_the_hole_is_larger() {
        let wide = fixed_fastener_hole_unprojected(
            Mm::new(8.0),
            [0.5, 0.5].map(Mm::new),
            Mm::new(10.0),
            Mm::new(20.0),
        );
        near(wide, 9.5, 1e-12);
    }
}
