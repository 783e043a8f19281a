//! The slip yoke: how far the suspension plunges it, and what must stay engaged, covered and clear.
//!
//! The gearbox's axis is x, rearward; the front joint slides on it, the rear joint rides with the axle. The rules are practice; only
//! the spline's 0.75 to 1.25 diameters are a handbook's (Machinery's Handbook, from memory).

use crate::units::Mm;

/// Why there is no plunge.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum PlungeError {
    /// The shaft cannot reach.
    #[error("a shaft of {length} does not reach a joint {height} off the gearbox's axis")]
    Short {
        /// Between the joints' centres.
        length: Mm,
        /// Of the rear joint above the axis.
        height: Mm,
    },
    /// The arm cannot reach.
    #[error("an arm of {radius} does not reach {height} above or below its pivot")]
    Arm {
        /// From pivot to joint.
        radius: Mm,
        /// Of the joint above the pivot.
        height: Mm,
    },
}

/// What carries the axle lengthwise.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Guide {
    /// The axle moves straight up and down.
    Vertical,
    /// It swings about a pivot ahead of it.
    Arm {
        /// From the pivot to the rear joint, seen from the side.
        radius: Mm,
        /// Height of the rear joint above the pivot at ride height.
        rise: Mm,
    },
}

/// Shaft and suspension seen from the side.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Driveline {
    /// Between the joints' centres.
    pub length: Mm,
    /// Height of the rear joint above the gearbox's axis at ride height.
    pub height: Mm,
    /// What carries the axle.
    pub guide: Guide,
}

impl Driveline {
    /// Distance of the joints along the gearbox's axis with the rear one lifted by this much.
    fn reach(&self, lift: f64) -> Result<f64, PlungeError> {
        let (l, z) = (self.length.get(), self.height.get() + lift);
        let square = l * l - z * z;
        if l > 0.0 && square > 0.0 {
            Ok(square.sqrt())
        } else {
            Err(PlungeError::Short { length: self.length, height: Mm::new(z) })
        }
    }

    /// How far the guide moves the rear joint rearward when it lifts it by this much.
    fn drift(&self, lift: f64) -> Result<f64, PlungeError> {
        let Guide::Arm { radius, rise } = self.guide else { return Ok(0.0) };
        let along = |height: f64| {
            let square = radius.get().powi(2) - height * height;
            let error = PlungeError::Arm { radius, height: Mm::new(height) };
            if radius.get() > 0.0 && square > 0.0 { Ok(square.sqrt()) } else { Err(error) }
        };
        Ok(along(rise.get() + lift)? - along(rise.get())?)
    }

    /// Travel of the front joint, rearward (the yoke comes out) above zero, when the axle lifts by this much (derived).
    ///
    /// # Errors
    /// A shaft or arm that does not reach.
    pub fn plunge(&self, lift: Mm) -> Result<Mm, PlungeError> {
        let moved = self.drift(lift.get())? - (self.reach(lift.get())? - self.reach(0.0)?);
        Ok(Mm::new(moved))
    }

    /// The lift at which the travel turns back: where shaft and arm are parallel, or the shaft lies along the axis. `None` for
    /// an arm as long as the shaft, which never turns it.
    pub fn turning_lift(&self) -> Option<Mm> {
        match self.guide {
            Guide::Vertical => Some(-self.height),
            Guide::Arm { radius, rise } => {
                let ratio = radius / self.length;
                // (rise + lift) / R = (height + lift) / L
                (ratio.is_finite() && (1.0 - ratio).abs() > 1e-9)
                    .then(|| (self.height * ratio - rise) / (1.0 - ratio))
            }
        }
    }

    /// Least and greatest travel of the front joint while the axle goes from this droop (lift below zero) to this bump.
    ///
    /// # Errors
    /// A shaft or arm that does not reach.
    pub fn plunge_range(&self, droop: Mm, bump: Mm) -> Result<[Mm; 2], PlungeError> {
        let (low, high) = (droop.min(bump), droop.max(bump));
        let turn = self.turning_lift().filter(|lift| low < *lift && *lift < high);
        let mut range = [self.plunge(low)?, self.plunge(low)?];
        for lift in turn.into_iter().chain([high]) {
            let plunge = self.plunge(lift)?;
            range = [range[0].min(plunge), range[1].max(plunge)];
        }
        Ok(range)
    }
}

/// Engaged spline over its pitch diameter at the worst extension: least, and enough (practice).
pub const ENGAGEMENT: [f64; 2] = [1.0, 1.5];

/// Distance of the yoke from its bottomed place at ride height, range: 3/4 to 1 in (practice).
pub const STAND_OFF: [Mm; 2] = [Mm::inches(0.75), Mm::inches(1.0)];

/// Least distance left at full bump, tolerances taken off (practice).
pub const BUMP_RESERVE: Mm = Mm::new(6.0);

/// Least share of the bush that the barrel covers at full droop (practice).
pub const BUSH_COVER: f64 = 0.75;

/// Least distance of the lip from either end of the ground journal (practice).
pub const LIP_MARGIN: Mm = Mm::new(3.0);

/// Clearance of the barrel in the bush, on the diameter: range when new, and the limit (practice; H8/f7 of 45 mm has 0.025 to 0.089).
pub const CLEARANCE: ([Mm; 2], Mm) = ([Mm::new(0.05), Mm::new(0.13)], Mm::new(0.20));

/// Engaged spline over its pitch diameter, of the length engaged at ride height and the greatest travel outwards.
pub fn engagement(at_ride: Mm, most_plunge: Mm, pitch_diameter: Mm) -> f64 {
    (at_ride - most_plunge) / pitch_diameter
}

/// Distance left before the yoke bottoms at full bump, of its stand-off, the least travel (inwards, below zero) and the tolerance
/// of lengths.
pub fn bump_reserve(stand_off: Mm, least_plunge: Mm, tolerance: Mm) -> Mm {
    stand_off + least_plunge - tolerance
}

/// Share of a bush that the barrel covers, of the length it reaches past the bush's rear end at ride height and the greatest
/// travel outwards; 0 to 1.
pub fn bush_cover(past_rear_end: Mm, most_plunge: Mm, bush_length: Mm) -> f64 {
    ((past_rear_end - most_plunge) / bush_length).clamp(0.0, 1.0)
}

/// Distances of the lip from the journal's front and rear end at the worst travel. `ahead` and `behind` are the ground lengths
/// ahead of the lip and behind it at ride height.
pub fn lip_margins(ahead: Mm, behind: Mm, [least, most]: [Mm; 2]) -> [Mm; 2] {
    [ahead - most, behind + least]
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(value: Mm, want: f64, within: f64) {
        assert!((value.get() - want).abs() <= within, "{value} for {want}");
    }

    fn line(guide: Guide) -> Driveline {
        Driveline { length: Mm::new(1200.0), height: Mm::new(-60.0), guide }
    }

    fn arm() -> Guide {
        Guide::Arm { radius: Mm::new(650.0), rise: Mm::new(0.0) }
    }

    /// Derived.
    #[test]
    fn t6_8_plunge_of_75_to_either_side() {
        let plunge = |guide, lift| line(guide).plunge(Mm::new(lift)).expect("reaches");
        near(plunge(Guide::Vertical, 75.0), -1.407, 5e-4);
        near(plunge(Guide::Vertical, -75.0), 6.117, 5e-4);
        near(plunge(arm(), 75.0), -5.749, 5e-4);
        near(plunge(arm(), -75.0), 1.776, 5e-4);
        for lift in [75.0, -75.0] {
            near(Mm::new(line(arm()).drift(lift).expect("reaches")), -4.341, 5e-4);
        }
    }

    /// On the way to 75 mm of bump the shaft passes the axis at 60 mm: there the yoke stands farther in than at the end.
    ///
    /// Geometry, by hand.
    #[test]
    fn the_range_holds_the_turning_point() {
        let range = line(Guide::Vertical).plunge_range(Mm::new(-75.0), Mm::new(75.0)).expect("reaches");
        near(range[0], -1.501, 5e-4);
        near(range[1], 6.117, 5e-4);
        for guide in [Guide::Vertical, arm(), Guide::Arm { radius: Mm::new(1500.0), rise: Mm::new(40.0) }] {
            let line = line(guide);
            let [least, most] = line.plunge_range(Mm::new(-150.0), Mm::new(150.0)).expect("reaches");
            let all =
                (-1500..=1500).map(|i| line.plunge(Mm::new(0.1 * f64::from(i))).expect("reaches").get());
            let (low, high) = all.fold((f64::MAX, f64::MIN), |(a, b), x| (a.min(x), b.max(x)));
            near(least, low, 1e-5);
            near(most, high, 1e-5);
            near(line.plunge(Mm::new(0.0)).expect("reaches"), 0.0, 1e-12);
        }
    }

    /// No outside value: what is read, shown or refused.
    #[test]
    fn what_does_not_reach_is_told() {
        assert!(
            matches!(line(Guide::Vertical).plunge(Mm::new(1300.0)), Err(PlungeError::Short { .. })),
            "shaft"
        );
        assert!(matches!(line(arm()).plunge(Mm::new(700.0)), Err(PlungeError::Arm { .. })), "arm");
        assert!(line(Guide::Vertical).plunge(Mm::new(f64::NAN)).is_err(), "no number");
    }

    /// Geometry, by hand.
    #[test]
    fn engagement_cover_and_margins() {
        let range = [Mm::new(-6.0), Mm::new(10.0)];
        assert!((engagement(Mm::new(60.0), range[1], Mm::new(32.0)) - 1.5625).abs() < 1e-12, "spline");
        near(bump_reserve(Mm::new(20.0), range[0], Mm::new(2.0)), 12.0, 1e-12);
        assert!((bush_cover(Mm::new(40.0), range[1], Mm::new(40.0)) - 0.75).abs() < 1e-12, "bush");
        assert!(bush_cover(Mm::new(5.0), range[1], Mm::new(40.0)) < 1e-12, "out of the bush");
        let [front, rear] = lip_margins(Mm::new(15.0), Mm::new(12.0), range);
        near(front, 5.0, 1e-12);
        near(rear, 6.0, 1e-12);
    }
}
