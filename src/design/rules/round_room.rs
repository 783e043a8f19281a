//! The round room that something needs on its way into a boss: a plug with its key, a sender with its cutter.

use std::f64::consts::TAU;

/// Points around the room at each height.
const AROUND: u32 = 24;

/// How far above the face the lowest points lie, mm: the face itself belongs to both.
const ABOVE: f64 = 0.1;

/// A round room about an axis that goes out from the shaft.
pub(super) struct RoundRoom {
    /// Station where the axis starts, and its offset to the side there, mm.
    pub(super) start: [f64; 2],
    /// Sine and cosine of its clock about the shaft.
    pub(super) clock: (f64, f64),
    /// Sine and cosine of its tilt along the shaft.
    pub(super) tilt: (f64, f64),
    /// Radius of the room, mm.
    pub(super) radius: f64,
}

impl RoundRoom {
    /// Points at a distance along the axis: around the room, and last on the axis itself.
    pub(super) fn level(&self, along: f64) -> Vec<[f64; 3]> {
        let ([station, offset], (sc, cc), (st, ct)) = (self.start, self.clock, self.tilt);
        let turns = (0..AROUND).map(|k| TAU * f64::from(k) / f64::from(AROUND));
        let ring = turns.map(|turn| (self.radius * turn.cos(), self.radius * turn.sin())).chain([(0.0, 0.0)]);
        let at = |(aft, across): (f64, f64)| {
            let (out, side) = (along * ct - aft * st, offset + across);
            [station + along * st + aft * ct, out * sc + side * cc, out * cc - side * sc]
        };
        ring.map(at).collect()
    }

    /// Points of the room from a height up to `room` above it, one level a `step`, mm.
    pub(super) fn above(&self, height: f64, room: f64, step: f64) -> Vec<[f64; 3]> {
        let levels = 0..=(room / step) as u32;
        levels.flat_map(|i| self.level(height + ABOVE + step * f64::from(i))).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A room that leans aft by 30 degrees on the left side of the shaft (clock 0 is to the side, a quarter turn is up): by hand.
    #[test]
    fn points_lie_around_a_leaning_axis() {
        let tilt = 30.0_f64.to_radians().sin_cos();
        let room = RoundRoom { start: [100.0, 0.0], clock: (1.0, 0.0), tilt, radius: 10.0 };
        let level = room.level(40.0);
        let close = |a: [f64; 3], b: [f64; 3]| a.iter().zip(b).all(|(a, b)| (a - b).abs() < 1e-12);
        let on_axis = [100.0 + 20.0, 40.0 * 0.75_f64.sqrt(), 0.0];
        assert!(close(level[AROUND as usize], on_axis), "{:?}", level[AROUND as usize]);
        let aft = [on_axis[0] + 10.0 * 0.75_f64.sqrt(), on_axis[1] - 5.0, 0.0];
        assert!(close(level[0], aft), "{:?}", level[0]);
        assert_eq!(
            room.above(40.0, 20.0, 2.0).len(),
            11 * (AROUND as usize + 1),
            "a level at each end, and between"
        );
    }
}
