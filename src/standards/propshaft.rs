//! The propeller shaft's tube: critical speed and torsion, and shear of the spline's teeth.

use std::f64::consts::PI;

use crate::units::{KgPerM3, MPa, Mm};

/// Why a tube has no critical speed.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum ShaftError {
    /// No tube.
    #[error("a tube of {outside} outside and {inside} inside is none; the inside is at least 0 and smaller")]
    Tube {
        /// As given.
        outside: Mm,
        /// As given.
        inside: Mm,
    },
    /// Not a length, a modulus or a density.
    #[error("length, modulus of elasticity and density must be above 0")]
    NotAbove,
}

/// A round tube, or a rod when there is no inside.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tube {
    outside: f64,
    inside: f64,
}

impl Tube {
    /// A tube of these diameters.
    ///
    /// # Errors
    /// An inside below zero or not smaller than the outside.
    pub fn new(outside: Mm, inside: Mm) -> Result<Self, ShaftError> {
        let sound = inside >= Mm::new(0.0) && inside < outside && outside.get().is_finite();
        let tube = Self { outside: outside.get(), inside: inside.get() };
        if sound { Ok(tube) } else { Err(ShaftError::Tube { outside, inside }) }
    }

    /// A tube of this outside and wall.
    ///
    /// # Errors
    /// A wall that is not above zero or more than half the outside.
    pub fn of_wall(outside: Mm, wall: Mm) -> Result<Self, ShaftError> {
        Self::new(outside, outside - wall * 2.0)
    }

    /// Revolutions per minute at which the tube whirls, pinned at both ends, by the length between the joints' centres:
    /// `(60 / 2π) (π / L)² √(E I / (ρ A))`, with `I / A = (D² + d²) / 16` (Euler and Bernoulli's beam; textbook, read).
    ///
    /// # Errors
    /// A length, modulus or density that is not above zero.
    pub fn critical_rpm(&self, length: Mm, elasticity: MPa, density: KgPerM3) -> Result<f64, ShaftError> {
        let (l, e, rho) = (length.get(), elasticity.get(), density.get());
        if !(l > 0.0 && e > 0.0 && rho > 0.0) {
            return Err(ShaftError::NotAbove);
        }
        // In metres, pascals, kilograms.
        let gyration = (self.outside.powi(2) + self.inside.powi(2)) / 16.0 * 1e-6;
        Ok(30.0 / PI * (1000.0 * PI / l).powi(2) * (e * 1e6 / rho * gyration).sqrt())
    }

    /// Area of its section, mm².
    pub fn area(&self) -> f64 {
        0.25 * PI * (self.outside.powi(2) - self.inside.powi(2))
    }

    /// Shear stress at the outside under a torque in newton metres: `16 T D / (π (D⁴ − d⁴))` (textbook). For a yoke's
    /// barrel, the inside is the spline's major diameter.
    pub fn torsion(&self, torque: f64) -> MPa {
        MPa::new(16_000.0 * torque * self.outside / (PI * (self.outside.powi(4) - self.inside.powi(4))))
    }
}

/// Greatest share of the critical speed to run at (read), and the careful one (practice, 0.65 to 0.7).
pub const SPEED_SHARE: [f64; 2] = [0.75, 0.65];

/// Speed at which the joints' angle shakes the shaft twice a turn: half the critical speed (SAE AE-7, from memory).
pub fn half_critical_rpm(critical: f64) -> f64 {
    critical / 2.0
}

/// What a spline carries.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spline {
    /// Diameter at which the teeth shear.
    pub diameter: Mm,
    /// How many teeth.
    pub teeth: u32,
    /// Length in engagement.
    pub length: Mm,
    /// Thickness of a tooth there.
    pub thickness: Mm,
}

/// Factors of a spline's service: application Ka, distribution Km, life Kf.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Service {
    /// Ka.
    pub application: f64,
    /// Km.
    pub distribution: f64,
    /// Kf.
    pub life: f64,
}

impl Service {
    /// All factors one.
    pub const PLAIN: Self = Self { application: 1.0, distribution: 1.0, life: 1.0 };
}

/// Shear stress in the teeth of a spline under a torque in newton metres: `4 T Ka Km / (D N Le t Kf)`, for half of the teeth
/// carrying (Machinery's Handbook, 27th ed., p. 2173, read through a forum).
pub fn tooth_shear(spline: &Spline, torque: f64, service: Service) -> MPa {
    let area = spline.diameter.get() * f64::from(spline.teeth) * spline.length.get() * spline.thickness.get();
    MPa::new(4000.0 * torque * service.application * service.distribution / (area * service.life))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(value: f64, want: f64, within: f64) {
        assert!((value - want).abs() <= within, "{value} for {want}");
    }

    fn tube(outside: f64, wall: f64) -> Tube {
        Tube::of_wall(Mm::new(outside), Mm::new(wall)).expect("a tube")
    }

    fn steel(length: f64) -> f64 {
        tube(76.2, 1.65)
            .critical_rpm(Mm::new(length), MPa::new(205e3), KgPerM3::new(7850.0))
            .expect("above 0")
    }

    /// Formula read; derived.
    #[test]
    fn t6_1_steel_tube() {
        near(steel(1200.0), 8818.0, 0.5);
        near(steel(1200.0) * SPEED_SHARE[0], 6613.0, 0.6);
        near(steel(1350.0), 6967.0, 0.5);
        near(steel(600.0) / steel(1200.0), 4.0, 1e-12);
    }

    /// A driveline page prints 11 390 (read), the reference sheet 11 383; with the pound and the inch exact the formula gives 11 378.5, which is held.
    #[test]
    fn t6_2_inch_tube() {
        let tube = Tube::of_wall(Mm::inches(3.5), Mm::inches(0.083)).expect("a tube");
        let (e, rho) = (MPa::new(30e6 * 0.006_894_757), KgPerM3::new(0.283 * 27_679.9));
        let rpm = tube.critical_rpm(Mm::inches(45.0), e, rho).expect("above 0");
        near(rpm, 11_378.5, 0.06);
        near(rpm, 11_390.0, 0.0011 * rpm);
    }

    /// Formula read; derived.
    #[test]
    fn t6_3_aluminium_tube() {
        let rpm = tube(88.9, 3.175).critical_rpm(Mm::new(1200.0), MPa::new(68_900.0), KgPerM3::new(2700.0));
        near(rpm.expect("above 0"), 10_028.0, 0.5);
    }

    /// Textbook formulas; spline formula read; derived.
    #[test]
    fn t6_4_torsion_and_spline() {
        let barrel = |d, bore| Tube::new(Mm::new(d), Mm::new(bore)).expect("a tube").torsion(800.0).get();
        near(barrel(45.0, 33.0), 62.90, 5e-3);
        near(barrel(48.0, 36.0), 53.89, 5e-3);
        let spline =
            Spline { diameter: Mm::new(33.0), teeth: 27, length: Mm::new(60.0), thickness: Mm::new(1.8) };
        near(tooth_shear(&spline, 800.0, Service::PLAIN).get(), 33.25, 5e-3);
    }

    /// A solid rod: τ = 16 T / (π d³), textbooks, from memory. 1 kN m on 50 mm: 40.74 N/mm².
    #[test]
    fn solid_rod() {
        let rod = Tube::new(Mm::new(50.0), Mm::new(0.0)).expect("a rod");
        near(rod.torsion(1000.0).get(), 40.744, 5e-4);
    }

    /// No outside value: what is read, shown or refused.
    #[test]
    fn no_tube_is_told() {
        for (outside, wall) in [(76.2, 0.0), (76.2, 39.0), (0.0, 0.0), (f64::NAN, 1.0)] {
            assert!(Tube::of_wall(Mm::new(outside), Mm::new(wall)).is_err(), "{outside} {wall}");
        }
        let none = tube(76.2, 1.65).critical_rpm(Mm::new(0.0), MPa::new(1.0), KgPerM3::new(1.0));
        assert_eq!(none, Err(ShaftError::NotAbove), "no length");
        near(half_critical_rpm(8818.0), 4409.0, 1e-12);
    }
}
