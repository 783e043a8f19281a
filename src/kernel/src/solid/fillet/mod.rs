//! Root fillets: bodies joined, and their joints filled by a ball that rolls along them from outside.
//!
//! What a ball of radius r can't reach is the closing of the bodies' union. The ball's centre stays outside the union of
//! the bodies offset by r ([`offset_body`]), whose boundary the evaluator finds like any other. That boundary and the one of the
//! closing have the same pieces: a face of the offset solid lies r outside a face of the closing, an edge that points
//! inwards is the path of the ball's centre along two supports, over which lies a piece of a canal, and a corner where
//! such edges meet is a place where the ball rests on three supports, over which lies a piece of the ball itself
//! ([`rolling_ball`]). So the whole boundary of the filleted body follows from the offset one piece by piece, with its edges,
//! corners and sides; nothing is found a second time.
//!
//! Radii may differ from body to body: the largest ball rolls first, over the bodies that ask for it or more; what it
//! leaves is joined with the bodies of the next smaller radius, and so on. A smaller ball then rolls over the fillets of
//! the larger one like over any support.

// Level 1: edges told apart, plane outlines, extents, rods in places that are filled.
mod convexity;
mod extent;
mod filled_places;
mod parallel;

// Level 2: failures.
mod failure;

// Level 3: spines, curves and faces of one ball; joints; rounded edges made rounder; what parts of plans are about.
mod edge_radius;
mod edges;
mod faces;
mod joint;
mod part_scope;
mod spines;

// Level 4: vertices under those of the offset solid; creases of larger balls; smooth paths of spines; what bodies give up.
mod corners;
mod kept_creases;
mod path;
mod plan;

// Level 5: where what a ball leaves would fold, and its sheets there; parts of plans.
mod folds;
mod plan_part;
mod sheets;

// Level 6: feet of points on sheets.
mod feet;

// Level 7: ends of creases.
mod crease_ends;

// Level 8: the graph between them.
mod crease_graph;

// Level 9: how it is found, and its curves.
mod crease_pieces;
mod crease_tracer;

// Level 10: creases in place of folds; gaps in which fillets run through each other.
mod creases;
mod gaps;

// Level 11: all paths of one ball.
mod courses;

// Level 12: the boundary of what a ball leaves.
mod boundary;

// Level 13: its edges piece by piece.
mod arcs;
mod smooth_edges;

// Level 14: one ball along all joints.
mod rolling_ball;

// Level 15: where the centre may not go, or can't come.
mod hollows;
mod offset_body;

// Level 16: what balls have left so far.
mod level_store;

// Level 17: balls of several radii.
mod radius_levels;

// Level 18: ends that are cut afterwards.
mod ends;

// Level 19: what is cut off there.
mod trims;

pub use convexity::concave_edges;
pub use ends::{End, Lengthened, all_cut, eased, lengthened, trimmed, uncut};
pub use failure::FilletFailure;
pub use filled_places::FilledPlace;
pub use joint::{Joint, JointState};
pub use level_store::LevelStore;
pub use parallel::{joined_closing, room_within};
pub use plan::{Change, Demotion, FilletPlan, FilletRequest};
pub use plan_part::PlanPart;
pub use radius_levels::{FilletResult, Unrolled, filleted, filleted_from};
pub use trims::{Trim, cuts};
