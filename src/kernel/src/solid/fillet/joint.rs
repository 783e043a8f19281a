//! What became of the joints between bodies.

use super::failure::FilletFailure;
use crate::geometry::P3;
use crate::solid::tag::Tag;
use crate::tolerance::SAME_RADIUS;

/// How one joint came out.
#[derive(Clone, Debug)]
pub struct Joint {
    /// The two faces.
    pub faces: [Tag; 2],
    /// Radius asked for, mm.
    pub asked: f64,
    /// Radius made, mm; zero where the joint stays sharp.
    pub made: f64,
    /// Length of the ball's path, mm.
    pub length: f64,
    /// A point of the joint.
    pub at: P3,
    /// Why it was not made as asked.
    pub failure: Option<FilletFailure>,
}

/// How a joint came out, worst first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum JointState {
    /// Not made.
    Sharp,
    /// Made with a smaller radius.
    Smaller,
    /// Made as asked.
    Whole,
}

impl Joint {
    /// How it came out.
    pub fn state(&self) -> JointState {
        if self.made == 0.0 {
            JointState::Sharp
        } else if self.made < self.asked - SAME_RADIUS * self.asked {
            JointState::Smaller
        } else {
            JointState::Whole
        }
    }
}
