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

/// A tube ends in the face of the flange that it is drilled from. It is of the feature of most of its faces, and its own radius decides
/// nothing about joints of the flange.
#[test]
fn a_body_that_ends_in_a_face_of_another_one() {
    let tags = [Tag::cut("flange", "face"), Tag::formed("tube", "side"), Tag::formed("tube", "end")];
    let made = cylinder("tube", Frame::world(), 4.0, 40.0, &tags).expect("a body");
    assert_eq!(made.feature(), "tube");
    let tube = FilletRequest::new(made.clone(), made, 5.0);
    let flange = [Tag::cut("flange", "face"), Tag::formed("flange", "rim"), Tag::formed("flange", "back")];
    let made = cylinder("flange", Frame::world(), 40.0, 8.0, &flange).expect("a body");
    let plan = FilletPlan::new(vec![tube, FilletRequest::new(made.clone(), made, 4.0)]);
    let between = |a: &Tag, b: &Tag| plan.asked(&[a.clone(), b.clone()], 1.0);
    assert!((between(&flange[0], &tags[1]) - 4.0).abs() < 1e-12, "the flange's face");
    assert!((between(&tags[1], &tags[2]) - 5.0).abs() < 1e-12, "the tube's own");
}
