//! Root fillets: bodies joined, and their joints filled by a ball that rolls along them from outside.
//!
//! What a ball of radius r can't reach is the closing of the bodies' union. The ball's centre stays outside the union of
//! the bodies grown by r ([`grow`]), whose boundary the evaluator finds like any other. That boundary and the one of the
//! closing have the same pieces: a face of the grown solid lies r outside a face of the closing, an edge that points
//! inwards is the path of the ball's centre along two walls, over which lies a piece of a canal, and a corner where
//! such edges meet is a place where the ball rests on three walls, over which lies a piece of the ball itself
//! ([`roll`]). So the whole boundary of the filleted body follows from the grown one piece by piece, with its edges,
//! corners and sides; nothing is found a second time.
//!
//! Radii may differ from body to body: the largest ball rolls first, over the bodies that ask for it or more; what it
//! leaves is joined with the bodies of the next smaller radius, and so on. A smaller ball then rolls over the fillets of
//! the larger one like over any wall.

mod body;
mod easing;
mod edges;
mod ends;
mod extent;
mod grow;
mod level;
mod network;
mod parallel;
mod patches;
mod roll;
mod strip;

pub(crate) use body::{Filleted, Within};
pub use ends::{End, Lengthened, Trim, all_cut, cuts, lengthened, uncut};
pub use level::{Body, Filleting, filleted};
pub use network::inward_edges;
pub use parallel::joined_closing;

use crate::geometry::P3;
use crate::solid::Tag;

/// Why a joint has no fillet of its radius.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, thiserror::Error)]
pub enum Trouble {
    /// The ball would rest on a sharp edge, where no tangent fillet starts.
    #[error("the ball rests on a sharp edge")]
    SharpEdge,
    /// The walls run into each other so flatly that the ball's path can't be told.
    #[error("the walls meet too flatly")]
    Flat,
    /// The ball's path turns more tightly than the ball.
    #[error("the joint turns more tightly than the radius")]
    Tight,
    /// The grown solid has no proper boundary.
    #[error("the ball's path was not found")]
    NoWay,
}

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
    pub trouble: Option<Trouble>,
}

/// How a joint came out, worst first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum State {
    /// Not made.
    Sharp,
    /// Made with a smaller radius.
    Smaller,
    /// Made as asked.
    Whole,
}

impl Joint {
    /// How it came out.
    pub fn state(&self) -> State {
        if self.made == 0.0 {
            State::Sharp
        } else if self.made < self.asked - SAME_RADIUS * self.asked {
            State::Smaller
        } else {
            State::Whole
        }
    }
}

/// Share of a radius by which the ball may be smaller than asked without being another one. Round numbers of a design
/// can make the grown solid touch itself in a point; a radius smaller by this clears it. The value
/// is a choice without a source: enough to clear such a point, little enough for the joint to count as whole.
pub(in crate::solid) const SAME_RADIUS: f64 = 0.02;
