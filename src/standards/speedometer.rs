//! The speedometer drive: which pair of gears an axle, tyre and instrument ask for, what is left wrong, and pulses of a sender.

use std::f64::consts::PI;

use crate::units::Mm;

/// Least excess of a speedometer's reading over the true speed, percent, and its source.
pub const READS_LOW: (f64, &str) = (
    -1.0,
    "0.99 of true speed, SAE J2976:2022, through a page; UN Regulation 39, 5.3, lets no dial show too little, but a tyre's turns \
     are not known to 1 %: measure the vehicle's",
);

/// Kilometres in a mile, exact (by definition).
pub const KM_PER_MILE: f64 = 1.609_344;

/// Why there are no gears.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum SpeedometerError {
    /// A number that makes no drive.
    #[error("axle ratio, tyre and instrument constant must be finite and above 0")]
    NotAbove,
    /// No teeth to choose from.
    #[error(
        "there are no tooth counts to choose from; give each gear at least one, the smaller first, from 1 to 200"
    )]
    NoTeeth,
}

/// Revolutions of a tyre on a mile by its outside diameter alone, `63360 in / (π D)` (read). On the road it is about 3 % more,
/// since the tyre rolls on 0.96 to 0.97 of its radius (practice; measured by SAE J966).
pub fn tyre_per_mile(diameter: Mm) -> f64 {
    63_360.0 / (PI * diameter.to_inches())
}

/// An instrument's constant: turns of its cable on a mile.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PerMile(f64);

impl PerMile {
    /// Mechanical instruments of the United States (SAE J678, widely used; its clause was not seen).
    pub const US: Self = Self(1000.0);

    /// By turns on a mile.
    pub const fn miles(turns: f64) -> Self {
        Self(turns)
    }

    /// By turns on a kilometre, as dials state them: 637 by JIS D 5601 (from memory), 1000 and others.
    pub fn kilometres(turns: f64) -> Self {
        Self(turns * KM_PER_MILE)
    }

    /// Turns on a mile.
    pub const fn get(self) -> f64 {
        self.0
    }
}

/// What turns the drive.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drive {
    axle: f64,
    tyre_per_mile: f64,
    constant: PerMile,
}

/// A pair of tooth counts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pair {
    /// Of the gear on the output shaft (starts of a worm).
    pub drive: u32,
    /// Of the gear on the cable.
    pub driven: u32,
    /// Turns of the cable on a mile that they give.
    pub constant: PerMile,
    /// By what share that is more than the instrument's own; above zero it shows too much.
    pub error: f64,
}

/// Ratios, derived; how many teeth a gear may have is chosen.
impl Drive {
    /// Ratio of the axle, revolutions of the tyre on a mile, constant of the instrument.
    ///
    /// # Errors
    /// Numbers that are not above zero.
    pub fn new(axle: f64, tyre_per_mile: f64, constant: PerMile) -> Result<Self, SpeedometerError> {
        let sound = [axle, tyre_per_mile, constant.0].iter().all(|x| x.is_finite() && *x > 0.0);
        if sound { Ok(Self { axle, tyre_per_mile, constant }) } else { Err(SpeedometerError::NotAbove) }
    }

    /// Turns of the output shaft on a mile.
    pub fn shaft_per_mile(&self) -> f64 {
        self.axle * self.tyre_per_mile
    }

    /// Driven over drive teeth that would be right.
    pub fn ratio(&self) -> f64 {
        self.shaft_per_mile() / self.constant.0
    }

    /// Driven teeth that would be right for a drive gear, seldom whole.
    pub fn driven_wanted(&self, drive: u32) -> f64 {
        f64::from(drive) * self.ratio()
    }

    /// What a pair gives.
    pub fn pair(&self, drive: u32, driven: u32) -> Pair {
        let constant = PerMile(f64::from(drive) * self.shaft_per_mile() / f64::from(driven.max(1)));
        Pair { drive, driven, constant, error: constant.0 / self.constant.0 - 1.0 }
    }

    /// The whole pairs nearest to the right ratio within ranges of teeth, ends included, nearest first; of equal ones the smaller.
    ///
    /// # Errors
    /// Ranges without teeth, or beyond 200.
    pub fn pairs(
        &self,
        drive: [u32; 2],
        driven: [u32; 2],
        most: usize,
    ) -> Result<Vec<Pair>, SpeedometerError> {
        let sound = |[low, high]: [u32; 2]| 1 <= low && low <= high && high <= 200;
        if !(sound(drive) && sound(driven)) {
            return Err(SpeedometerError::NoTeeth);
        }
        let of_drive = |z1: u32| (driven[0]..=driven[1]).map(move |z2| self.pair(z1, z2));
        let mut pairs: Vec<Pair> = (drive[0]..=drive[1]).flat_map(of_drive).collect();
        let rank = |p: &Pair| (p.error.abs(), p.drive + p.driven);
        pairs.sort_by(|a, b| {
            let ((x, m), (y, n)) = (rank(a), rank(b));
            x.total_cmp(&y).then(m.cmp(&n)).then(a.drive.cmp(&b.drive))
        });
        pairs.truncate(most);
        Ok(pairs)
    }
}

/// Least and greatest speed that may be shown at a true speed, km/h: `0 ≤ V1 − V2 ≤ V2 / 10 + 4` (UN Regulation 39, 5.3, read).
pub fn legal_band(true_kmh: f64) -> [f64; 2] {
    [true_kmh, true_kmh * 1.1 + 4.0]
}

/// Pulses of a sender on a mile, of the cable's constant and its pulses a turn.
pub fn pulses_per_mile(constant: PerMile, per_turn: u32) -> f64 {
    constant.0 * f64::from(per_turn)
}

/// Pulses on a mile of a toothed wheel on the output shaft.
pub fn wheel_pulses_per_mile(drive: &Drive, teeth: u32) -> f64 {
    drive.shaft_per_mile() * f64::from(teeth)
}

/// Frequency in hertz of pulses on a mile at a speed in miles an hour (by definition).
pub fn frequency(pulses_per_mile: f64, mph: f64) -> f64 {
    pulses_per_mile * mph / 3600.0
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(value: f64, want: f64, within: f64) {
        assert!((value - want).abs() <= within, "{value} for {want}");
    }

    fn drive(tyre: f64, constant: PerMile) -> Drive {
        Drive::new(3.73, tyre, constant).expect("above 0")
    }

    /// Read.
    #[test]
    fn t7_1_tyre_of_26_inches() {
        near(tyre_per_mile(Mm::inches(26.0)), 775.7, 0.05);
        near(tyre_per_mile(Mm::inches(1.0)), 20_168.0, 0.5);
    }

    /// Derived; 637 a kilometre from memory.
    #[test]
    fn t7_2_driven_gear() {
        let us = drive(776.0, PerMile::US);
        near(us.driven_wanted(8), 23.156, 5e-4);
        near(us.pair(8, 23).constant.get(), 1006.78, 0.005);
        near(us.pair(8, 23).error, 0.006_78, 5e-6);
        near(us.pair(8, 24).constant.get(), 964.83, 0.005);
        let jis = drive(776.0, PerMile::kilometres(637.0));
        near(776.0 / KM_PER_MILE, 482.18, 0.005);
        near(jis.driven_wanted(8), 22.588, 5e-4);
    }

    /// No outside value: an order.
    #[test]
    fn nearest_pairs_come_first() {
        let us = drive(776.0, PerMile::US);
        let pairs = us.pairs([6, 9], [16, 45], 5).expect("teeth");
        assert_eq!(pairs.len(), 5, "as many as asked");
        assert!(pairs.windows(2).all(|w| w[0].error.abs() <= w[1].error.abs()), "{pairs:?}");
        let all = us.pairs([6, 9], [16, 45], 1000).expect("teeth");
        assert_eq!(all.len(), 4 * 30, "every pair");
        assert_eq!((pairs[0].drive, pairs[0].driven), (9, 26), "26.05 wanted");
        // 8:24 and 7:21 are one ratio: the smaller gears go first.
        let same: Vec<u32> = all.iter().filter(|p| 3 * p.drive == p.driven).map(|p| p.drive).collect();
        assert_eq!(same, [6, 7, 8, 9], "in order");
    }

    /// Derived.
    #[test]
    fn t7_3_pulses() {
        near(8000.0 / KM_PER_MILE, 4970.97, 0.005);
        near(pulses_per_mile(PerMile::kilometres(637.0), 4) / KM_PER_MILE, 2548.0, 1e-9);
        near(PerMile::kilometres(637.0).get(), 1025.15, 0.005);
        near(frequency(8000.0, 60.0), 133.33, 0.005);
        let wheel = wheel_pulses_per_mile(&drive(776.0, PerMile::US), 17);
        near(wheel, 49_206.0, 0.5);
        near(frequency(wheel, 60.0), 820.1, 0.05);
        near(pulses_per_mile(PerMile::US, 8), 8000.0, 1e-9);
    }

    /// UN Regulation 39, read.
    #[test]
    fn t7_6_legal_band_at_100() {
        let [least, greatest] = legal_band(100.0);
        near(least, 100.0, 1e-12);
        near(greatest, 114.0, 1e-9);
    }

    /// No outside value: what is read, shown or refused.
    #[test]
    fn what_makes_no_drive_is_told() {
        assert_eq!(Drive::new(0.0, 776.0, PerMile::US), Err(SpeedometerError::NotAbove), "axle");
        assert!(Drive::new(3.73, f64::NAN, PerMile::US).is_err(), "tyre");
        let us = drive(776.0, PerMile::US);
        for range in [[0, 5], [6, 5], [1, 201]] {
            assert_eq!(us.pairs(range, [16, 45], 5), Err(SpeedometerError::NoTeeth), "{range:?}");
        }
    }
}
