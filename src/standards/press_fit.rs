//! A bush pressed into a bore: pressure, closing of the bore, stresses, force, and the fit when hot.
//!
//! Thick rings by Lamé, without axial stress, the bush as long as its seat (Shigley, *Mechanical Engineering Design*, 9th ed.,
//! equations 7–39 and 7–44 to 7–47, p. 399, read). Interference is on the diameter.

use std::f64::consts::PI;

use super::mating_materials::Elastic;
use crate::units::{MPa, Mm};

/// Why nothing can be pressed.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum PressFitError {
    /// Not three diameters, each larger than the last.
    #[error(
        "a bush of {bore} bore, {seat} outside, in a ring of {outside}: each must be larger than the one before, the bore at least 0"
    )]
    Diameters {
        /// Bore of the bush.
        bore: Mm,
        /// Where they meet.
        seat: Mm,
        /// Outside of the housing.
        outside: Mm,
    },
    /// No elastic material.
    #[error("a modulus of elasticity of {0} is none; it is above 0, and Poisson's ratio from 0 to 0.5")]
    Material(MPa),
    /// A size without a tabled bush.
    #[error("wrapped bushings are tabled for seats over 30 up to 80 mm, not {0}")]
    WrappedBush(Mm),
}

/// A bush (or, with no bore, a solid shaft) in a ring.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PressFit {
    bore: f64,
    seat: f64,
    outside: f64,
    bush: Elastic,
    housing: Elastic,
}

/// State of a press fit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pressed {
    /// Between bush and housing.
    pub pressure: MPa,
    /// By how much the bush's bore is smaller than before, on the diameter.
    pub bore_closing: Mm,
    /// Tension around the housing's bore.
    pub housing_hoop: MPa,
    /// Stress around the bush's bore: compression, so below zero.
    pub bush_hoop: MPa,
    /// Equivalent stress (von Mises) at the housing's bore, where hoop tension and pressure act together.
    pub housing_equivalent: MPa,
    /// Equivalent stress at the bush's bore: only the hoop stress acts there. In a solid shaft, the pressure from all
    /// sides across.
    pub bush_equivalent: MPa,
    /// By how much the housing's outside is larger than before, on the diameter.
    pub housing_growth: Mm,
}

impl PressFit {
    /// Diameters of the bush's bore, of the seat, and of the housing around it.
    ///
    /// # Errors
    /// Diameters that do not rise; a modulus or ratio that no material has.
    pub fn new(
        [bore, seat, outside]: [Mm; 3],
        bush: Elastic,
        housing: Elastic,
    ) -> Result<Self, PressFitError> {
        if !(bore >= Mm::new(0.0) && bore < seat && seat < outside && outside.get().is_finite()) {
            return Err(PressFitError::Diameters { bore, seat, outside });
        }
        for part in [bush, housing] {
            let sound = part.elasticity > MPa::new(0.0) && (0.0..=0.5).contains(&part.poisson);
            if !sound {
                return Err(PressFitError::Material(part.elasticity));
            }
        }
        let [bore, seat, outside] = [bore, seat, outside].map(Mm::get);
        Ok(Self { bore, seat, outside, bush, housing })
    }

    /// Stress around the housing's bore for a pressure of one.
    fn housing_factor(&self) -> f64 {
        let (inner, outer) = (self.seat.powi(2), self.outside.powi(2));
        (outer + inner) / (outer - inner)
    }

    /// The state at an interference; none at all when there is clearance. Holds while nothing yields.
    pub fn pressed(&self, interference: Mm) -> Pressed {
        let (bore, seat, outer) = (self.bore.powi(2), self.seat.powi(2), self.outside.powi(2));
        let (of_bush, of_housing) = (self.bush.elasticity.get(), self.housing.elasticity.get());
        let give = (self.housing_factor() + self.housing.poisson) / of_housing
            + ((seat + bore) / (seat - bore) - self.bush.poisson) / of_bush;
        let p = interference.get().max(0.0) / (self.seat * give);
        // A solid shaft is pressed evenly; the smallest bore doubles the stress at its edge.
        let bush_hoop = if bore > 0.0 { -2.0 * p * seat / (seat - bore) } else { -p };
        Pressed {
            pressure: MPa::new(p),
            bore_closing: Mm::new(2.0 * p * seat * self.bore / (of_bush * (seat - bore))),
            housing_hoop: MPa::new(p * self.housing_factor()),
            bush_hoop: MPa::new(bush_hoop),
            housing_equivalent: MPa::new(equivalent(p * self.housing_factor(), -p)),
            bush_equivalent: MPa::new(bush_hoop.abs()),
            housing_growth: Mm::new(2.0 * p * seat * self.outside / (of_housing * (outer - seat))),
        }
    }

    /// Force to press the bush over this length of seat, N; `friction` 0.08 to 0.16 with oil (practice).
    pub fn press_force(&self, pressed: &Pressed, friction: f64, length: Mm) -> f64 {
        friction * pressed.pressure.get() * PI * self.seat * length.get()
    }

    /// Interference after both parts have warmed by so many kelvins.
    pub fn warmed(&self, interference: Mm, kelvins: f64) -> Mm {
        interference - Mm::new(self.loss_per_kelvin() * kelvins)
    }

    fn loss_per_kelvin(&self) -> f64 {
        (self.housing.expansion - self.bush.expansion) * self.seat
    }

    /// Rise of temperature at which the interference is gone, kelvins; `None` when the bush grows at least as fast as its seat.
    pub fn loosening_rise(&self, interference: Mm) -> Option<f64> {
        let loss = self.loss_per_kelvin();
        (loss > 0.0).then(|| interference.get() / loss)
    }

    /// Interference to ask for, so that 0.02 mm are left at the highest oil temperature, °C, assembled at 20 °C (practice; or pin
    /// the bush, and bore it to size after pressing).
    pub fn interference_for(&self, oil: f64) -> Mm {
        Mm::new(self.loss_per_kelvin() * (oil - 20.0) + 0.02)
    }
}

/// Equivalent stress (von Mises) of two principal stresses, the third being zero: `√(a² − a b + b²)` (textbook).
fn equivalent(a: f64, b: f64) -> f64 {
    (a * a - a * b + b * b).sqrt()
}

/// Interference that is lost when the peaks of both surfaces are pressed flat, on the diameter: 0.4 of the sum of both
/// roughnesses Rz (DIN 7190-1:2017 through a calculation program's manual, read). The edition before had 0.8.
pub fn smoothing(roughness: [Mm; 2]) -> Mm {
    (roughness[0] + roughness[1]) * 0.4
}

/// Lower and upper deviation of a wrapped bush's outside, for a seat H7 (a bush maker's page that cites DIN 1494 and ISO 3547, read).
/// Its bore comes out at about H9.
///
/// # Errors
/// Seats outside 30 to 80 mm.
pub fn wrapped_bush_outside(seat: Mm) -> Result<[Mm; 2], PressFitError> {
    match seat.get() {
        d if d > 30.0 && d <= 50.0 => Ok([Mm::new(0.045), Mm::new(0.085)]),
        d if d > 50.0 && d <= 80.0 => Ok([Mm::new(0.055), Mm::new(0.100)]),
        _ => Err(PressFitError::WrappedBush(seat)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::standards::limits_and_fits::ToleranceClass;
    use crate::standards::mating_materials::find;
    use crate::standards::{materials::ALLOYS, properties};

    fn near(value: f64, want: f64, within: f64) {
        assert!((value - want).abs() <= within, "{value} for {want}");
    }

    fn alloy() -> Elastic {
        Elastic::from(properties::of_alloy(&ALLOYS[0]).expect("known"))
    }

    fn fit(bush: &str) -> PressFit {
        let bush = find(bush).expect("known").elastic;
        PressFit::new([46.0, 50.0, 66.0].map(Mm::new), bush, alloy()).expect("rises")
    }

    /// Steel bush 50/46 in 356 of 66 (derived by the textbook's formula, which is from memory).
    #[test]
    fn t2_4_bush_of_50_in_66() {
        let fit = fit("steel");
        let at = |delta| fit.pressed(Mm::new(delta));
        for (delta, p, close) in [(0.018, 3.191, 0.00932), (0.040, 7.092, 0.02072), (0.060, 10.638, 0.03108)]
        {
            near(at(delta).pressure.get(), p, 5e-4);
            near(at(delta).bore_closing.get(), close, 5e-6);
            near(at(delta).bore_closing.get() / delta, 0.5180, 5e-5);
        }
        near(at(0.018).housing_hoop.get(), 11.79, 5e-3);
        near(at(0.018).bush_hoop.get(), -41.6, 0.05);
        near(at(0.060).housing_hoop.get(), 39.30, 5e-3);
        near(at(0.060).bush_hoop.get(), -138.5, 0.05);
        near(at(0.060).housing_growth.get(), 0.02613, 5e-6);
        near(fit.press_force(&at(0.060), 0.12, Mm::new(30.0)), 6016.0, 0.5);
    }

    /// Expansion 21.4 (read) against 11.7 (from memory) and 18 (read); derived.
    #[test]
    fn t2_5_loosening() {
        let steel = fit("steel");
        near(0.06 - steel.warmed(Mm::new(0.06), 100.0).get(), 0.0485, 1e-9);
        let rise = |bush, delta| fit(bush).loosening_rise(Mm::new(delta)).expect("loosens");
        near(rise("steel", 0.060), 123.7, 0.05);
        near(rise("steel", 0.018), 37.1, 0.05);
        // Its steel back sets how it expands.
        near(rise("lead_bronze_on_steel", 0.060), 123.7, 0.05);
        near(rise("bronze_c93200", 0.060), 352.9, 0.05);
        let hot = steel.pressed(steel.warmed(Mm::new(0.060), 100.0));
        near(hot.pressure.get(), 2.039, 5e-4);
        let kept = steel.warmed(steel.interference_for(120.0), 100.0);
        near(kept.get(), 0.02, 1e-12);
    }

    /// A solid shaft in a hub of the same metal: p = E δ / (2 d) · (1 − (d/D)²), textbooks, from memory. Ø50 in Ø100, 0.05 mm,
    /// E = 207 kN/mm²: 77.6 N/mm², hub stress 129.4 N/mm².
    #[test]
    fn solid_shaft_and_hub_of_one_metal() {
        let steel = Elastic { elasticity: MPa::new(207e3), poisson: 0.29, expansion: 12e-6 };
        let fit = PressFit::new([0.0, 50.0, 100.0].map(Mm::new), steel, steel).expect("rises");
        let pressed = fit.pressed(Mm::new(0.05));
        near(pressed.pressure.get(), 207e3 * 0.05 / 100.0 * 0.75, 1e-9);
        near(pressed.pressure.get(), 77.625, 1e-9);
        near(pressed.housing_hoop.get(), 129.375, 1e-9);
        near(pressed.bush_hoop.get(), -77.625, 1e-9);
        assert_eq!(fit.loosening_rise(Mm::new(0.05)), None, "one metal never loosens");
    }

    /// A hollow bushing of bronze in a hub of alloy by Shigley, *Mechanical Engineering Design*, 9th ed., equations 7–39, 7–44 and 7–45,
    /// p. 399 (read): δ over d times the two brackets, each over its own modulus.
    #[test]
    fn a_hollow_bushing_in_a_hub_of_another_metal() {
        let fit = fit("bronze_c93200");
        let (d, inner, outer, delta) = (50.0_f64, 46.0_f64, 66.0_f64, 0.05);
        let bracket =
            |large: f64, small: f64| (large * large + small * small) / (large * large - small * small);
        let p =
            delta / (d / 72_400.0 * (bracket(outer, d) + 0.33) + d / 100_000.0 * (bracket(d, inner) - 0.34));
        let found = fit.pressed(Mm::new(delta));
        near(found.pressure.get(), p, 1e-9);
        near(found.housing_hoop.get(), p * bracket(outer, d), 1e-9);
        near(found.bush_hoop.get(), -2.0 * p * d * d / (d * d - inner * inner), 1e-9);
    }

    /// The seat's two sides move apart by the interference: closing of the bush's outside plus opening of the bore.
    ///
    /// Hooke's law, textbook.
    #[test]
    fn the_two_sides_share_the_interference() {
        let (fit, delta) = (fit("bronze_c93200"), 0.05);
        let p = fit.pressed(Mm::new(delta)).pressure.get();
        let (b2, s2, o2) = (46.0_f64.powi(2), 2500.0, 66.0_f64.powi(2));
        // Hooke: (hoop − ν radial) / E at the seat, the radial stress being −p in both.
        let ring = (p * (o2 + s2) / (o2 - s2) + 0.33 * p) / 72_400.0;
        let bush = (-p * (s2 + b2) / (s2 - b2) + 0.34 * p) / 100_000.0;
        near(50.0 * (ring - bush), delta, 1e-12);
    }

    /// A bush maker's page, read; derived against H7 (reference section 2.3).
    #[test]
    fn wrapped_bushes_in_h7() {
        let seat: ToleranceClass = "H7".parse().expect("a class");
        for (d, least, greatest) in [(45.0, 0.020, 0.085), (60.0, 0.025, 0.100)] {
            let [lower, upper] = wrapped_bush_outside(Mm::new(d)).expect("tabled");
            let bore = seat.deviations(Mm::new(d)).expect("in the table");
            near((lower - bore.upper).get(), least, 1e-12);
            near((upper - bore.lower).get(), greatest, 1e-12);
        }
        assert!(
            wrapped_bush_outside(Mm::new(30.0)).is_err() && wrapped_bush_outside(Mm::new(80.1)).is_err(),
            "ends"
        );
    }

    /// DIN 7190-1:2017 takes 0.4 of each Rz, the edition before 0.8 (read): 3 and 6 µm cost 3.6 µm.
    #[test]
    fn rough_surfaces_cost_interference() {
        near(smoothing([Mm::new(0.003), Mm::new(0.006)]).get(), 0.0036, 1e-12);
    }

    /// Lamé and von Mises by hand: at the bore of a ring twice as wide as its bore, the hoop tension is 5/3 of the
    /// pressure; with the pressure itself across it, √(25/9 + 5/3 + 1) = 7/3 of it.
    #[test]
    fn pressure_adds_to_the_hoop_tension() {
        let steel = find("steel").expect("known").elastic;
        let fit = PressFit::new([10.0, 30.0, 60.0].map(Mm::new), steel, steel).expect("rises");
        let pressed = fit.pressed(Mm::new(0.02));
        near(pressed.housing_hoop / pressed.pressure, 5.0 / 3.0, 1e-12);
        near(pressed.housing_equivalent / pressed.pressure, 7.0 / 3.0, 1e-12);
        near(pressed.bush_equivalent.get(), pressed.bush_hoop.get().abs(), 1e-12);
    }

    /// No outside value: nothing touches.
    #[test]
    fn clearance_presses_nothing() {
        let fit = fit("bronze_c93200");
        assert_eq!(fit.pressed(Mm::new(-0.01)).pressure, MPa::new(0.0), "loose");
    }

    /// No outside value: what is read, shown or refused.
    #[test]
    fn what_cannot_be_pressed_is_told() {
        let steel = find("steel").expect("known").elastic;
        for diameters in [[50.0, 50.0, 66.0], [46.0, 50.0, 50.0], [-1.0, 50.0, 66.0], [46.0, f64::NAN, 66.0]]
        {
            let error = PressFit::new(diameters.map(Mm::new), steel, steel).expect_err("no rings");
            assert!(error.to_string().contains("larger than the one before"), "{error}");
        }
        let soft = Elastic { elasticity: MPa::new(0.0), ..steel };
        assert!(PressFit::new([46.0, 50.0, 66.0].map(Mm::new), soft, steel).is_err(), "no modulus");
    }
}
