//! Frames of the part: X aft along the shaft, Y right, Z up.

use crate::units::Deg;
use solidwright::geometry::{Frame, P3, V3};

/// The shaft frame at a station: z aft along the shaft, x up.
pub(super) fn shaft(station: f64) -> Frame {
    Frame::from_zx(P3::new(station, 0.0, 0.0), V3::x(), V3::z())
}

/// Direction of a clock angle: seen from behind, 0 is up, clockwise.
pub(super) fn clock(angle: Deg) -> V3 {
    let (s, c) = angle.sin_cos();
    V3::new(0.0, s, c)
}

/// The direction of clock + 90°.
pub(super) fn clock_across(angle: Deg) -> V3 {
    let (s, c) = angle.sin_cos();
    V3::new(0.0, c, -s)
}
