//! Rounded edges around the ends of a prism, and what they and the draft make of its section.

/// The rounded edge around an end.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(in crate::solid) struct EndRounding {
    /// Radius of the rounding, zero for a sharp edge.
    pub(in crate::solid) radius: f64,
    /// How far inside the walls' own line the end's outline lies.
    pub(in crate::solid) inset: f64,
    /// Height over the end at which the wall begins.
    pub(in crate::solid) height: f64,
}

impl EndRounding {
    /// A rounding that touches the end and a wall of the slope (moving inwards away from the end).
    pub(in crate::solid) fn new(radius: f64, slope: f64) -> Self {
        let long = (1.0 + slope * slope).sqrt();
        Self { radius, inset: radius * (long + slope), height: radius * (1.0 + slope / long) }
    }

    /// How far inside the walls' line at the end the section lies at a height over it, within the rounding.
    fn inset_at(&self, z: f64) -> f64 {
        let below = self.radius - z;
        self.inset - (self.radius * self.radius - below * below).max(0.0).sqrt()
    }
}

/// How far inside the outline at the bottom the section at height `z` lies.
pub(in crate::solid) fn inset(height: f64, slope: f64, rounds: &[EndRounding; 2], z: f64) -> f64 {
    if z < rounds[0].height {
        rounds[0].inset_at(z)
    } else if height - z < rounds[1].height {
        slope * height + rounds[1].inset_at(height - z)
    } else {
        slope * z
    }
}
