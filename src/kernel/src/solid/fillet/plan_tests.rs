//! Tests of what a plan gives up, and in which order.

use super::*;
use crate::geometry::Frame;
use crate::solid::cylinder;

fn body(name: &str, x: f64, radius: f64, ball: f64) -> FilletRequest {
    let tags = ["bottom", "side", "top"].map(|role| Tag::formed(name, role));
    let frame = Frame::world().moved_to(P3::new(x, 0.0, 0.0));
    let made = cylinder(name, frame, radius, 20.0, &tags).expect("a body");
    FilletRequest::new(made.clone(), made, ball)
}

/// All bodies that take the ball of the one at fault take the changed one, by shares of the ball asked for; then there is
/// none left.
#[test]
fn a_nudge_changes_all_of_one_ball() {
    let bodies =
        vec![body("small", 0.0, 5.0, 8.0), body("large", 30.0, 20.0, 8.0), body("other", 90.0, 5.0, 6.0)];
    let mut plan = FilletPlan::new(bodies);
    let balls = |plan: &FilletPlan| -> Vec<f64> { plan.bodies().iter().map(|b| b.radius).collect() };
    assert!(plan.nudge(P3::new(8.0, 0.0, 5.0), &[0.99, 0.98]));
    assert_eq!(balls(&plan), [0.99 * 8.0, 0.99 * 8.0, 6.0]);
    assert!(plan.nudge(P3::new(8.0, 0.0, 5.0), &[0.99, 0.98]));
    assert!(balls(&plan).iter().zip([0.98 * 8.0, 0.98 * 8.0, 6.0]).all(|(a, b)| (a - b).abs() < 1e-12));
    assert!(!plan.nudge(P3::new(8.0, 0.0, 5.0), &[0.99, 0.98]), "none left");
    assert!(!plan.nudge(P3::new(0.0, 500.0, 0.0), &[0.99]), "no body there");
    assert!(plan.demotions().is_empty(), "nothing was given up");
}
