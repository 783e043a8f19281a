//! Angles between two lines of a view: an arc about their crossing, as near as its writing finds room.

use solidwright::geometry::{P2, V2};

use super::arrange::{ARROW, Annotated, BEYOND, LETTERS, arrow};
use super::entity::{Arc, Shape};
use super::lettering;
use super::page::{Anchor, DimensionKind, Lettering, Rect, SheetDimension, chords};

/// From one radius that is tried to the next, mm, and how many are tried.
const STEP: f64 = 2.5;
const RINGS: u32 = 16;

/// Room about writing, mm.
const CLEAR: f64 = 0.5;

/// Where writing is tried along the arc.
const SHARES: [f64; 5] = [0.5, 0.35, 0.65, 0.2, 0.8];

/// An angle to be dimensioned.
#[derive(Clone, Debug)]
pub struct LineAngle {
    /// Where its lines cross, on paper.
    pub vertex: P2,
    /// Their directions, of length 1.
    pub rays: [V2; 2],
    /// How far from the crossing each is drawn on from, mm.
    pub starts: [f64; 2],
    /// What is written.
    pub text: String,
    /// The angle, radians.
    pub value: f64,
}

impl Annotated {
    /// An angle beyond what is drawn already, with its radius; `None` where its writing finds no room.
    pub fn angle(&mut self, angle: LineAngle) -> Option<f64> {
        let angle = if angle.rays[0].perp(&angle.rays[1]) < 0.0 {
            let ([a, b], [c, d]) = (angle.rays, angle.starts);
            LineAngle { rays: [b, a], starts: [d, c], ..angle }
        } else {
            angle
        };
        let lines: Vec<(P2, P2)> = self.content.shapes().flat_map(|(_, s)| chords(s)).collect();
        let taken: Vec<Rect> = self.content.writing().map(|t| t.bounds().grown(CLEAR)).collect();
        let first = angle.starts[0].max(angle.starts[1]) + 2.0 * STEP;
        let tries = (0..RINGS).flat_map(|ring| SHARES.map(|share| (first + STEP * f64::from(ring), share)));
        for (radius, share) in tries {
            let made = drawn(&angle, radius, share, self.factor);
            let own: Vec<(P2, P2)> = made.lines.iter().flat_map(chords).collect();
            let writing = made.text.bounds().grown(CLEAR);
            let is_clear =
                !taken.iter().any(|t| t.overlaps(&writing) || own.iter().any(|(a, b)| t.is_crossed(*a, *b)))
                    && !lines.iter().chain(&own).any(|(a, b)| writing.is_crossed(*a, *b));
            if is_clear {
                self.content.dimensions.push(made);
                return Some(radius);
            }
        }
        None
    }
}

/// The dimension at a radius, its writing at a share of the arc.
fn drawn(angle: &LineAngle, radius: f64, share: f64, factor: f64) -> SheetDimension {
    let LineAngle { vertex, rays, starts, text, value } = angle;
    let start = rays[0].y.atan2(rays[0].x);
    let end = start + rays[0].perp(&rays[1]).atan2(rays[0].dot(&rays[1]));
    let way = |at: f64| V2::new(at.cos(), at.sin());
    let mut lines: Vec<Shape> = (0..2)
        .map(|k| Shape::Line(vertex + rays[k] * starts[k], vertex + rays[k] * (radius + BEYOND)))
        .collect();
    let inside = radius * (end - start) >= 3.0 * ARROW;
    // Arrows point outwards where the arc has room for them, else from outside, where the arc runs on.
    let beyond = if inside { 0.0 } else { 2.0 * ARROW / radius };
    lines.push(Shape::Arc(Arc { centre: *vertex, radius, start: start - beyond, end: end + beyond }));
    let onwards = if inside { 1.0 } else { -1.0 };
    let tip = |at: f64, sense: f64| {
        let out = way(at);
        arrow(vertex + out * radius, V2::new(-out.y, out.x) * (sense * onwards))
    };
    let arrows = vec![tip(start, -1.0), tip(end, 1.0)];
    let middle = way(start + (end - start) * share);
    let width = lettering::width(text, LETTERS);
    let reach = radius + 1.6 + 0.5 * (middle.x.abs() * width + middle.y.abs() * LETTERS);
    let at = vertex + middle * reach - V2::new(0.0, 0.5 * LETTERS);
    SheetDimension {
        measured: DimensionKind::Angular {
            vertex: *vertex,
            on: rays.map(|ray| vertex + ray * radius),
            arc: vertex + way(f64::midpoint(start, end)) * radius,
        },
        value: *value,
        lines,
        arrows,
        text: Lettering::level(at, LETTERS, Anchor::Middle, text.clone()),
        factor,
    }
}
