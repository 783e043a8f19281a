//! Gating: how fast a mould is poured, and the areas of sprue, runner and gates.
//!
//! All of it is a first estimate for talks with a foundry, which decides.

use super::materials::Family;
use crate::units::STANDARD_GRAVITY;

/// Share of the speed of free fall with which metal leaves a tapered sprue (0.7 to 0.9, from memory).
pub const DISCHARGE: f64 = 0.8;

/// Height of the metal in the sprue over the highest place of the mould, mm (practice, no source).
pub const HEAD: f64 = 100.0;

/// Metal of sprue, runner and gates as a share of the casting and its feeders (practice, no source).
pub const SHARE: f64 = 0.15;

/// Greatest speed at the gates without folded oxide films, m/s (Campbell, *Castings*, for light metal, from memory).
pub const GATE_SPEED: f64 = 0.5;

/// Areas of sprue, runners and gates: their ratio, and where it comes from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ratio {
    /// Sprue, runners together, gates together.
    pub areas: [f64; 3],
    /// The source.
    pub source: &'static str,
}

impl Ratio {
    /// The same with gates that are at least so many times the sprue's foot.
    #[must_use]
    pub fn with_gates(self, least: f64) -> Self {
        let [foot, runners, gates] = self.areas;
        Self { areas: [foot, runners, gates.max(least * foot)], ..self }
    }

    /// The areas, mm², in which the narrowest is the choke.
    pub fn around(&self, choke: f64) -> [f64; 3] {
        let least = self.areas.into_iter().fold(f64::INFINITY, f64::min);
        self.areas.map(|area| choke * area / least)
    }
}

/// The ratio for an alloy: without pressure for light metal, which folds in its oxide, pressurized for iron.
///
/// For aluminium 1 : 2 : 2 (a page of examination questions on gating ratios, read; also P. N. Rao, *Manufacturing Technology*, from
/// memory). Anjo and Khan (*Gating System Design for Casting thin Aluminium Alloy (Al-Si) Plates*, read) take 1 : 4 : 4 for thin plates;
/// on a housing that gives runners which outweigh the casting. What gates need beyond it for their speed is added to them alone.
pub const fn ratio(family: Family) -> Ratio {
    match family {
        Family::Aluminium => Ratio {
            areas: [1.0, 2.0, 2.0],
            source: "a page of examination questions on gating ratios, read; gates widened for their speed",
        },
        Family::Iron => {
            Ratio { areas: [2.0, 1.5, 1.0], source: "P. N. Rao, Manufacturing Technology, from memory" }
        }
    }
}

/// Rate of pouring light metal, kg/s, by the poured mass in kg and the wall in mm: b √W. The constants are 0.99, 0.87 and 0.47 for
/// walls up to 6, to 12 and beyond (P. N. Rao, *Manufacturing Technology*, from memory); those for pounds, 1.48, 1.25 and 0.70,
/// were read on a page of foundry questions.
pub fn light_metal_rate(mass: f64, wall: f64) -> f64 {
    let b = if wall < 6.0 {
        0.99
    } else if wall <= 12.0 {
        0.87
    } else {
        0.47
    };
    b * mass.sqrt()
}

/// Fluidity of iron taken by [`pouring_time`], inches of a spiral (that of the worked example of P. N. Rao, *Manufacturing Technology*, from memory).
const FLUIDITY: f64 = 28.0;

/// Time of pouring grey iron of up to 450 kg, s: mass in kg, wall in mm, fluidity in inches
/// (P. N. Rao, *Manufacturing Technology*, from memory).
pub fn iron_time(mass: f64, wall: f64, fluidity: f64) -> f64 {
    fluidity / 40.0 * (1.41 + wall / 14.59) * mass.sqrt()
}

/// Time of pouring, s, by the poured mass in kg and the wall in mm.
pub fn pouring_time(family: Family, mass: f64, wall: f64) -> f64 {
    match family {
        Family::Aluminium => mass / light_metal_rate(mass, wall),
        Family::Iron => iron_time(mass, wall, FLUIDITY),
    }
}

/// Mean head while a mould fills through gates at its parting, mm: height of the sprue's metal over the gates, of the
/// cavity over them, and of the whole cavity (h − p²/2c; P. N. Rao, from memory: the mean of what the rising metal leaves).
pub fn mean_head(sprue: f64, over: f64, cavity: f64) -> f64 {
    if cavity > 0.0 { sprue - over * over / (2.0 * cavity) } else { sprue }
}

/// Ratio of the areas for a choke in mm² through which a volume in m³/s passes: in light metal the gates are so wide that it leaves them
/// at [`GATE_SPEED`] at most (Campbell, *Castings*, from memory; the area by continuity).
pub fn ratio_for(family: Family, choke: f64, rate: f64) -> Ratio {
    match family {
        Family::Aluminium => ratio(family).with_gates(1e6 * rate / GATE_SPEED / choke),
        Family::Iron => ratio(family),
    }
}

/// Speed of free fall, m/s, for a head in mm.
pub fn fall(head: f64) -> f64 {
    (2.0 * STANDARD_GRAVITY * head * 1e-3).sqrt()
}

/// Area of the choke, mm²: mass in kg, density of the melt in kg/m³, time in s, head in mm (continuity and Bernoulli: the rate
/// over density and speed, page of foundry questions, read).
pub fn choke_area(mass: f64, density: f64, time: f64, head: f64, discharge: f64) -> f64 {
    1e6 * mass / (density * time * discharge * fall(head))
}

/// Area at the top of a tapered sprue that does not draw in air: in proportion to the roots of the heads (page on sprues, read).
pub fn sprue_top(choke: f64, head_at_choke: f64, head_at_top: f64) -> f64 {
    choke * (head_at_choke / head_at_top).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(value: f64, want: f64, within: f64) {
        assert!((value - want).abs() <= within, "{value} for {want}");
    }

    /// Iron of 20 kg with walls of 15 mm and a fluidity of 28 in: 7.632 s (worked example in P. N. Rao, *Manufacturing
    /// Technology*, from memory).
    #[test]
    fn iron_of_20_kg() {
        near(iron_time(20.0, 15.0, 28.0), 7.632, 5e-4);
        near(pouring_time(Family::Iron, 20.0, 15.0), 7.632, 5e-4);
    }

    /// The constants for pounds that were read are those for kilograms times the root of 2.2046, within four hundredths.
    #[test]
    fn constants_of_light_metal_agree_in_both_units() {
        for (wall, pounds) in [(5.0, 1.48), (8.0, 1.25), (20.0, 0.70)] {
            let kilograms = light_metal_rate(1.0, wall);
            near(kilograms * 2.204_62f64.sqrt() / pounds, 1.0, 0.04);
        }
        near(pouring_time(Family::Aluminium, 9.0, 8.0), 3.0 / 0.87, 1e-12);
    }

    /// Torricelli's law: a choke lets pass at its speed what was poured in its time (derived).
    #[test]
    fn the_choke_passes_the_metal_in_its_time() {
        let area = choke_area(6.0, 2400.0, 4.0, 150.0, DISCHARGE);
        let rate = area * 1e-6 * DISCHARGE * fall(150.0) * 2400.0;
        near(rate * 4.0, 6.0, 1e-9);
        near(fall(1000.0 * STANDARD_GRAVITY / 2.0), STANDARD_GRAVITY, 1e-9);
    }

    /// A sprue of 250 mm with a foot of 10 mm diameter lets pass 173,942 mm³/s (examination question with its solution, read); one of 20 cm with
    /// a foot of 2.5 cm² fills 1560 cm³ at 198.1 cm/s and 495 cm³/s in 3.2 s (textbook problem, read; its answers from memory). Neither counts
    /// losses: a discharge of one. Both take 9.81 m/s².
    #[test]
    fn sprues_fill_cavities_as_in_worked_examples() {
        let foot = std::f64::consts::PI / 4.0 * 100.0;
        near(choke_area(173_942.0e-9 * 2400.0, 2400.0, 1.0, 250.0, 1.0), foot, 0.02);
        near(fall(200.0), 1.981, 5e-4);
        near(fall(200.0) * 250.0, 495.0, 0.5);
        near(choke_area(1560e-6 * 7000.0, 7000.0, 1560.0 / 495.0, 200.0, 1.0), 250.0, 0.3);
    }

    /// A cavity that lies wholly under its gates fills under the whole head; one wholly over them under the mean of its
    /// ends (derived).
    #[test]
    fn mean_heads() {
        near(mean_head(200.0, 0.0, 80.0), 200.0, 0.0);
        near(mean_head(200.0, 80.0, 80.0), 160.0, 1e-12);
        near(mean_head(200.0, 40.0, 80.0), 190.0, 1e-12);
    }

    /// Geometry, derived.
    #[test]
    fn the_narrowest_is_the_choke() {
        for (family, wanted) in
            [(Family::Aluminium, [100.0, 200.0, 200.0]), (Family::Iron, [200.0, 150.0, 100.0])]
        {
            let areas = ratio(family).around(100.0);
            areas.into_iter().zip(wanted).for_each(|(area, want)| near(area, want, 1e-9));
        }
        near(sprue_top(100.0, 200.0, 50.0), 200.0, 1e-12);
    }

    /// A litre a second leaves gates of 2,000 mm² at half a metre a second (continuity, derived); where the ratio gives more, it stays.
    #[test]
    fn gates_of_light_metal_are_wide_enough_for_their_speed() {
        let areas = |choke: f64| ratio_for(Family::Aluminium, choke, 1e-3).around(choke);
        near(areas(500.0)[2], 2000.0, 1e-9);
        near(areas(500.0)[1], 1000.0, 1e-9);
        near(areas(1200.0)[2], 2400.0, 1e-9);
        near(ratio_for(Family::Iron, 500.0, 1e-3).around(500.0)[2], 500.0, 1e-9);
    }
}
