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

/// A part has the bodies near a place only. What they come to there is taken over, a changed ball for all bodies that take it; what
/// they give up elsewhere is not.
#[test]
fn a_part_of_a_plan_is_taken_over() {
    let bodies = (0..5).map(|k| body(&format!("post {k}"), 100.0 * f64::from(k), 5.0, 8.0)).collect();
    let mut plan = FilletPlan::new(bodies);
    let at = P3::new(8.0, 0.0, 5.0);
    let part = |plan: &FilletPlan| plan.part_about(&[at], 20.0, 0.0).expect("a part");
    let mut first = part(&plan);
    assert_eq!((first.numbers.as_slice(), first.plan.bodies().len()), ([0].as_slice(), 1));
    assert!(first.plan.part_about(&[at], 1.0, 0.0).is_none(), "a part has no parts");
    assert!(plan.part_about(&[at], 250.0, 0.0).is_none(), "three of five bodies");
    assert!(first.plan.nudge(at, &[0.99]) && plan.take_over(first));
    assert!(plan.bodies().iter().all(|b| (b.radius - 0.99 * 8.0).abs() < 1e-12), "all of one ball");
    let mut second = part(&plan);
    assert!(second.plan.give_way(at, |_| 2.0) && plan.take_over(second));
    assert!((plan.bodies()[0].radius - 2.0).abs() < 1e-12 && plan.demotions().len() == 1);
    let mut third = part(&plan);
    assert!(third.plan.give_way(P3::new(-2.0, 0.0, 21.0), |_| 1.0));
    let far = FilletPlan { scope: third.plan.scope.clone(), ..plan.clone() };
    assert!(far.fails_elsewhere(&[LocatedFailure::about(
        FilletFailure::NoWay,
        Some(P3::new(90.0, 0.0, 0.0)),
        vec![]
    )]));
    assert!(!far.fails_elsewhere(&[LocatedFailure::about(FilletFailure::NoWay, Some(at), vec![])]));
    assert!(plan.part_about(&[at], 10.0, 0.0).is_some_and(|mut small| {
        small.plan.give_way(P3::new(-2.0, 0.0, 21.0), |_| 1.0) && !plan.take_over(small)
    }));
    assert!((plan.bodies()[0].radius - 2.0).abs() < 1e-12, "given up elsewhere");
}
