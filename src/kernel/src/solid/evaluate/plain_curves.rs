//! Which of thousands of lines, circles and ellipses may be the same as another one.

use crate::geometry::{Circle, Curve, Ellipse, P3, V3};
use crate::tolerance::{SAME, SAME_DIRECTION};

/// What is compared first of lines, and of circles and ellipses, with the numbers of their carriers.
#[derive(Default)]
pub(super) struct PlainCurves {
    lines: Vec<(V3, usize)>,
    rounds: Vec<(P3, usize)>,
}

impl PlainCurves {
    /// Notes a curve with the number of its carrier; numbers rise.
    pub(super) fn note(&mut self, curve: &Curve, number: usize) {
        match curve {
            Curve::Line(line) => self.lines.push((line.dir, number)),
            Curve::Circle(Circle { frame, .. }) | Curve::Ellipse(Ellipse { frame, .. }) => {
                self.rounds.push((frame.origin, number));
            }
            Curve::Spline(_) => {}
        }
    }

    /// The numbers of those that may be the same as one, in order.
    pub(super) fn like(&self, curve: &Curve) -> Vec<usize> {
        match curve {
            Curve::Line(line) => {
                let along = |dir: &V3| dir.cross(&line.dir).norm() <= SAME_DIRECTION;
                self.lines.iter().filter(|(dir, _)| along(dir)).map(|(_, number)| *number).collect()
            }
            Curve::Circle(Circle { frame, .. }) | Curve::Ellipse(Ellipse { frame, .. }) => {
                let there = |center: &P3| (center - frame.origin).norm() < SAME;
                self.rounds.iter().filter(|(center, _)| there(center)).map(|(_, number)| *number).collect()
            }
            Curve::Spline(_) => vec![],
        }
    }
}
