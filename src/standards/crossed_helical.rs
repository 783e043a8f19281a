//! Crossed helical gears, as a speedometer's drive and driven gear are: sizes, centre distance, shaft angle, efficiency.
//!
//! Without profile shift. Elements of Metric Gear Technology, equations 7-2 to 7-6 (read); efficiency by the theory of machines (textbook).

use std::f64::consts::PI;

use crate::units::{Deg, Mm};

/// Which way a helix turns.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Hand {
    /// As a common screw.
    Right,
    /// The other way.
    Left,
}

/// Why two gears make no pair.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum GearError {
    /// No module.
    #[error("a normal module of {0} is none; it is above 0")]
    Module(Mm),
    /// No teeth.
    #[error("a gear without teeth turns nothing")]
    Teeth,
    /// No helix of a gear.
    #[error("a helix angle of {0} is none; it is above 0 and below 90 deg")]
    Helix(Deg),
}

/// Two gears of one normal module; the first drives.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CrossedPair {
    module: f64,
    teeth: [u32; 2],
    helix: [Deg; 2],
    same_hand: bool,
}

impl CrossedPair {
    /// Normal module, tooth counts, helix angles to the axis, and whether both helices have the same hand.
    ///
    /// # Errors
    /// No module, no teeth, or a helix angle that is not between 0 and 90 degrees.
    pub fn new(module: Mm, teeth: [u32; 2], helix: [Deg; 2], same_hand: bool) -> Result<Self, GearError> {
        if !(module > Mm::new(0.0) && module.get().is_finite()) {
            return Err(GearError::Module(module));
        }
        if teeth.contains(&0) {
            return Err(GearError::Teeth);
        }
        let odd = helix.into_iter().find(|b| !(*b > Deg::new(0.0) && *b < Deg::new(90.0)));
        odd.map_or(Ok(Self { module: module.get(), teeth, helix, same_hand }), |b| Err(GearError::Helix(b)))
    }

    fn cos(&self, gear: usize) -> f64 {
        self.helix[gear].sin_cos().1
    }

    /// Pitch diameters, `mn z / cos b`.
    pub fn pitch_diameters(&self) -> [Mm; 2] {
        [0, 1].map(|i| Mm::new(self.module * f64::from(self.teeth[i]) / self.cos(i)))
    }

    /// Outside diameters, two modules more.
    pub fn outside_diameters(&self) -> [Mm; 2] {
        self.pitch_diameters().map(|d| d + Mm::new(2.0 * self.module))
    }

    /// Between the axes.
    pub fn centre_distance(&self) -> Mm {
        let [first, second] = self.pitch_diameters();
        (first + second) / 2.0
    }

    /// Between the axes' directions: the helix angles' sum for the same hand, their difference for opposite ones.
    pub fn shaft_angle(&self) -> Deg {
        let [first, second] = self.helix;
        if self.same_hand { first + second } else { (first - second).abs() }
    }

    /// How far the driven gear's axis leans aft out of square to the shaft, for its place on this side of the shaft, −90 to 90 degrees.
    ///
    /// The drive gear turns about X; the driven gear's axis runs outwards along `cos τ d + sin τ X` and lies off the shaft along
    /// `± e`, with `d`, `e` and X square to each other and `d = X × e`. Teeth of both lie along one line where they touch, so
    /// `τ = ± (90° − b1 − b2)` up to half a turn, right hands above zero (derived).
    pub fn lean(&self, drive: Hand, towards_e: bool) -> Deg {
        let first = if drive == Hand::Right { self.helix[0] } else { -self.helix[0] };
        let same = (drive == Hand::Right) == self.same_hand;
        let second = if same { self.helix[1] } else { -self.helix[1] };
        let lean = 90.0 - (first + second).get();
        let lean = if towards_e { lean } else { -lean };
        Deg::new(lean - 180.0 * ((lean - 90.0) / 180.0).ceil())
    }

    /// How much nearer than their centre distance the gears may stand until the backlash square to the teeth is gone: `j / (2 sin αn)`
    /// (textbook).
    pub fn play(backlash: Mm, normal_pressure_angle: Deg) -> Mm {
        backlash / (2.0 * normal_pressure_angle.sin_cos().0)
    }

    /// Turns of the first gear for one of the second: by teeth, not by diameters.
    pub fn ratio(&self) -> f64 {
        f64::from(self.teeth[1]) / f64::from(self.teeth[0])
    }

    /// Axial pitch of the drive gear, as a worm is measured: `π mn / sin b`.
    pub fn axial_pitch(&self) -> Mm {
        Mm::new(PI * self.module / self.helix[0].sin_cos().0)
    }

    /// Lead of the drive gear: `π d / tan b`, its axial pitch times its teeth.
    pub fn lead(&self) -> Mm {
        self.axial_pitch() * f64::from(self.teeth[0])
    }

    /// By how much the centre distance grows with each tooth more on the driven gear: `mn / (2 cos b)`.
    pub fn step_of_driven_tooth(&self) -> Mm {
        Mm::new(0.5 * self.module / self.cos(1))
    }

    /// Sliding speed along the teeth for a pitch line speed of the first gear: `v1 sin S / cos b2`.
    pub fn sliding(&self, first_speed: f64) -> f64 {
        first_speed * self.shaft_angle().sin_cos().0 / self.cos(1)
    }

    /// Share of the power that arrives when this gear (0 or 1) drives, for a friction angle; same hand. Zero when it locks.
    pub fn efficiency(&self, driver: usize, friction: Deg) -> f64 {
        let (own, other) = if driver == 0 { (0, 1) } else { (1, 0) };
        let shifted = |i: usize, by: Deg| (self.helix[i] + by).sin_cos().1;
        let value = self.cos(own) * shifted(other, friction) / (self.cos(other) * shifted(own, -friction));
        value.max(0.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The lean is right when the teeth of both gears, as directions in space, lie along one line where they touch.
    ///
    /// Geometry, derived.
    #[test]
    fn teeth_lie_along_one_line_where_they_touch() {
        type V = [f64; 3];
        let cross =
            |a: V, b: V| [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
        let along = |a: V, p: f64, b: V, q: f64| [0, 1, 2].map(|i| p * a[i] + q * b[i]);
        for (b1, b2) in [(82.4, 19.6), (60.0, 18.0), (30.0, 50.0)] {
            for (first, second) in [
                (Hand::Right, Hand::Right),
                (Hand::Right, Hand::Left),
                (Hand::Left, Hand::Right),
                (Hand::Left, Hand::Left),
            ] {
                let pair =
                    CrossedPair::new(Mm::new(1.0), [6, 17], [Deg::new(b1), Deg::new(b2)], first == second);
                let pair = pair.expect("a pair");
                for side in [1.0, -1.0] {
                    let lean = pair.lean(first, side > 0.0).to_radians();
                    let (x, d, e): (V, V, V) = ([1.0, 0.0, 0.0], [0.0, 0.0, 1.0], [0.0, 1.0, 0.0]);
                    let axis = along(d, lean.cos(), x, lean.sin());
                    let tooth = |axis: V, outwards: V, helix: f64, hand: Hand| {
                        let turn = if hand == Hand::Right { helix } else { -helix };
                        along(axis, turn.to_radians().cos(), cross(axis, outwards), turn.to_radians().sin())
                    };
                    // d = X × e holds with e to the right and d up.
                    assert!(cross(x, e).iter().zip(d).all(|(a, b)| (a - b).abs() < 1e-15), "frame");
                    let one = tooth(x, e.map(|c| side * c), b1, first);
                    let other = tooth(axis, e.map(|c| -side * c), b2, second);
                    let off = cross(one, other).iter().map(|c| c * c).sum::<f64>().sqrt();
                    assert!(off < 1e-12, "{b1} {b2} {first:?} {second:?} {side}: {off}");
                }
            }
        }
    }

    fn near(value: f64, want: f64, within: f64) {
        assert!((value - want).abs() <= within, "{value} for {want}");
    }

    fn pair(helix: [f64; 2]) -> CrossedPair {
        CrossedPair::new(Mm::new(1.5), [8, 20], helix.map(Deg::new), true).expect("gears")
    }

    /// Formulas read; derived.
    #[test]
    fn t7_4_pair_of_8_and_20() {
        let pair = pair([65.0, 25.0]);
        let [first, second] = pair.pitch_diameters();
        near(first.get(), 28.394, 5e-4);
        near(second.get(), 33.101, 5e-4);
        near(pair.centre_distance().get(), 30.7479, 5e-5);
        near(pair.shaft_angle().get(), 90.0, 1e-12);
        near(pair.axial_pitch().get(), 5.1995, 5e-5);
        near(pair.lead().get(), 41.596, 5e-4);
        near(pair.lead().get(), PI * first.get() / Deg::new(65.0).tan(), 1e-9);
        near(pair.step_of_driven_tooth().get(), 0.8275, 5e-5);
        near(pair.outside_diameters()[0].get(), 31.394, 5e-4);
        let cos = |b: f64| Deg::new(b).sin_cos().1;
        near(pair.ratio(), second / first * cos(25.0) / cos(65.0), 1e-12);
    }

    /// Textbook; derived.
    #[test]
    fn t7_5_efficiency() {
        let rho = Deg::new(6.0744);
        near(pair([65.0, 25.0]).efficiency(0, rho), 0.7738, 5e-5);
        near(pair([45.0, 45.0]).efficiency(0, rho), 0.8076, 5e-5);
        near(pair([65.0, 25.0]).efficiency(1, rho), 0.7353, 5e-5);
        near(pair([89.0, 1.0]).efficiency(1, Deg::new(6.0)), 0.0, 1e-12);
    }

    /// A gear handbook's screw gears, from memory: mn 3, 15 and 24 teeth, 20° and 30°, shaft angle 50°: d 47.888 and 83.138.
    #[test]
    fn pair_of_15_and_24() {
        let pair = CrossedPair::new(Mm::new(3.0), [15, 24], [20.0, 30.0].map(Deg::new), true).expect("gears");
        let [first, second] = pair.pitch_diameters();
        near(first.get(), 47.8880, 5e-5);
        near(second.get(), 83.1384, 5e-5);
        near(pair.shaft_angle().get(), 50.0, 1e-12);
        near(pair.centre_distance().get(), 65.5132, 5e-5);
    }

    /// At right angles and 45° the teeth slide √2 times as fast as the pitch lines move.
    ///
    /// Geometry, derived.
    #[test]
    fn sliding_at_right_angles() {
        near(pair([45.0, 45.0]).sliding(2.0), 2.0 * 2.0_f64.sqrt(), 1e-12);
        let parallel =
            CrossedPair::new(Mm::new(1.5), [8, 20], [20.0, 20.0].map(Deg::new), false).expect("gears");
        near(parallel.sliding(2.0), 0.0, 1e-12);
    }

    /// No outside value: what is read, shown or refused.
    #[test]
    fn gears_that_are_none_are_told() {
        let make =
            |module, teeth, helix: f64| CrossedPair::new(Mm::new(module), teeth, [Deg::new(helix); 2], true);
        assert!(matches!(make(0.0, [8, 20], 45.0), Err(GearError::Module(_))), "module");
        assert_eq!(make(1.5, [8, 0], 45.0), Err(GearError::Teeth), "teeth");
        for helix in [0.0, 90.0, f64::NAN] {
            assert!(matches!(make(1.5, [8, 20], helix), Err(GearError::Helix(_))), "{helix}");
        }
    }
}
