//! Strength of bolts, and the clamp load that a tightening torque gives.

use super::threads::Thread;
use crate::units::{MPa, Mm};

/// Strength class of a bolt.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BoltClass {
    /// 8.8, or grade 5 in inches.
    C8_8,
    /// 10.9, or grade 8 in inches.
    C10_9,
    /// 12.9.
    C12_9,
}

/// Least strengths of a bolt.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BoltStrength {
    /// Stress of the proof load.
    pub proof: MPa,
    /// Yield strength (0.2 %).
    pub yields: MPa,
    /// Tensile strength.
    pub breaks: MPa,
}

impl BoltClass {
    /// Its strengths up to M16: ISO 898-1:2013 table 3, from memory. Grades 5 and 8 of SAE J429 (85, 92, 120 and 120, 130,
    /// 150 ksi, from memory) lie no more than 2 % below classes 8.8 and 10.9 in tensile strength, and their stress areas are
    /// their own.
    pub const fn strength(self) -> BoltStrength {
        let [proof, yields, breaks] = match self {
            Self::C8_8 => [580.0, 640.0, 800.0],
            Self::C10_9 => [830.0, 940.0, 1040.0],
            Self::C12_9 => [970.0, 1100.0, 1220.0],
        };
        BoltStrength { proof: MPa::new(proof), yields: MPa::new(yields), breaks: MPa::new(breaks) }
    }

    /// Its name.
    pub const fn name(self) -> &'static str {
        match self {
            Self::C8_8 => "8.8",
            Self::C10_9 => "10.9",
            Self::C12_9 => "12.9",
        }
    }
}

/// Pitch diameter of a thread: `d − 0.6495 P` (ISO 724; geometry of the 60 degree thread).
pub fn pitch_diameter(thread: &Thread) -> Mm {
    thread.diameter - thread.pitch * 0.649_52
}

/// Diameter of the circle of the stress area, mm: mean of pitch and root diameter, `d − 0.9382 P` (ISO 898-1, read).
fn stress_diameter(thread: &Thread) -> f64 {
    (4.0 * thread.stress_area() / std::f64::consts::PI).sqrt()
}

/// Where a bolt rubs: the same friction in the thread and under the head.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rubbing {
    /// Coefficient of friction.
    pub friction: f64,
    /// Mean diameter of the ring under the head.
    pub head: Mm,
}

/// Torque, N m, for a clamp load, N: `F (0.16 P + 0.58 d2 μ + μ Dkm / 2)` (VDI 2230 part 1, from memory; 0.16 is 1 / 2π and 0.58
/// half of 1 / cos 30°).
pub fn torque_for(thread: &Thread, clamp: f64, rubbing: Rubbing) -> f64 {
    clamp * lever(thread, rubbing) / 1000.0
}

/// Clamp load, N, of a torque, N m.
pub fn clamp_of(thread: &Thread, torque: f64, rubbing: Rubbing) -> f64 {
    torque * 1000.0 / lever(thread, rubbing)
}

/// Torque over clamp load, mm: a metric thread's flanks lean by 30 degrees (VDI 2230, from memory).
fn lever(thread: &Thread, rubbing: Rubbing) -> f64 {
    let half_angle = 30.0_f64.to_radians().cos();
    thread.pitch.get() / (2.0 * std::f64::consts::PI)
        + pitch_diameter(thread).get() * rubbing.friction / (2.0 * half_angle)
        + 0.5 * rubbing.head.get() * rubbing.friction
}

/// Greatest clamp load, N, for which tension and the twist of tightening together use a share of the yield strength:
/// `ν Rp A / √(1 + 3 (3/2 · d2/d0 · (P/(π d2) + 1.155 μ))²)` (VDI 2230 part 1, from memory; agrees with its printed tables).
pub fn greatest_clamp(thread: &Thread, yields: MPa, friction: f64, share: f64) -> f64 {
    let pitch = pitch_diameter(thread).get();
    let climb = thread.pitch.get() / (std::f64::consts::PI * pitch);
    let twist = 1.5 * pitch / stress_diameter(thread) * (climb + 1.155 * friction);
    share * yields.get() * thread.stress_area() / (1.0 + 3.0 * twist * twist).sqrt()
}

/// Share of the yield strength that tightening uses (VDI 2230, read through a bolt maker's table).
pub const TIGHTENED: f64 = 0.9;

#[cfg(test)]
mod tests {
    use super::*;

    fn fine(name: &'static str, diameter: f64, pitch: f64) -> Thread {
        let [diameter, pitch] = [diameter, pitch].map(Mm::new);
        Thread { name, diameter, pitch, tap_drill: diameter - pitch, clearance: diameter, source: "ISO 261" }
    }

    /// VDI 2230:2001, table of greatest clamp loads of fine threads through a bolt maker's page, read: kN at 90 % of the yield
    /// strength, for frictions 0.10, 0.12 and 0.14, in classes 8.8, 10.9 and 12.9.
    #[test]
    fn clamp_loads_of_vdi_2230() {
        let classes = [BoltClass::C8_8, BoltClass::C10_9, BoltClass::C12_9];
        for (thread, rows) in [
            (fine("M8x1", 8.0, 1.0), [[20.7, 30.4, 35.6], [20.2, 29.7, 34.7], [19.7, 28.9, 33.9]]),
            (fine("M10x1.25", 10.0, 1.25), [[32.4, 47.5, 55.6], [31.6, 46.4, 54.3], [30.8, 45.2, 52.9]]),
            (fine("M12x1.25", 12.0, 1.25), [[49.1, 72.1, 84.4], [48.0, 70.5, 82.5], [46.8, 68.7, 80.4]]),
        ] {
            for (friction, row) in [0.10, 0.12, 0.14].into_iter().zip(rows) {
                for (class, printed) in classes.into_iter().zip(row) {
                    let clamp =
                        greatest_clamp(&thread, class.strength().yields, friction, TIGHTENED) / 1000.0;
                    assert!(
                        (clamp - printed).abs() < 0.01 * printed,
                        "{} {friction}: {clamp} for {printed}",
                        thread.name
                    );
                }
            }
        }
    }

    /// Torque and clamp load undo each other.
    ///
    /// No outside value: one formula undoes the other.
    #[test]
    fn torque_and_clamp_load_are_inverse() {
        let thread = super::super::threads::find("M10").expect("in the table");
        let rubbing = Rubbing { friction: 0.12, head: Mm::new(13.5) };
        let torque = torque_for(thread, 20_000.0, rubbing);
        assert!((clamp_of(thread, torque, rubbing) - 20_000.0).abs() < 1e-6, "{torque}");
    }

    /// The same page, M10x1.25, friction 0.12, class 8.8: 51 N m for 31.6 kN, under a head of 16 mm flats over a hole of 11.
    ///
    /// VDI 2230:2001 through a bolt maker's page, read.
    #[test]
    fn tightening_torque_of_vdi_2230() {
        let rubbing = Rubbing { friction: 0.12, head: Mm::new(0.5 * (16.0 + 11.0)) };
        let torque = torque_for(&fine("M10x1.25", 10.0, 1.25), 31_600.0, rubbing);
        assert!((torque - 51.0).abs() < 0.03 * 51.0, "{torque}");
    }
}
