//! Common primitives in one call.

use std::f64::consts::FRAC_PI_2;

use crate::geometry::{Frame, P2, V2};

use super::primitive::Primitive;
use super::primitive_error::PrimitiveError;
use super::segment::Segment;
use super::tag::Tag;

/// A polygon profile; piece i runs from point i to the next and bears `tags[i]` (the last tag serves all
/// further ones).
pub fn polygon(points: &[P2], tags: &[Tag]) -> Vec<Segment> {
    let n = points.len();
    (0..n)
        .map(|i| Segment {
            from: points[i],
            to: points[(i + 1) % n],
            arc: None,
            tag: tags[i.min(tags.len() - 1)].clone(),
        })
        .collect()
}

/// A circle as two half arcs.
pub fn circle(center: P2, radius: f64, tag: &Tag) -> Vec<Segment> {
    let (a, b) = (center + V2::new(radius, 0.0), center - V2::new(radius, 0.0));
    [(a, b), (b, a)]
        .map(|(from, to)| Segment { from, to, arc: Some((center, true)), tag: tag.clone() })
        .to_vec()
}

/// A rectangle about `center` with rounded corners; `radius` zero gives sharp ones, half the lesser side a slot.
pub fn rounded_rectangle(center: P2, size: V2, radius: f64, tag: &Tag) -> Vec<Segment> {
    let half = size * 0.5;
    if radius <= 0.0 {
        let corner = |x: f64, y: f64| center + V2::new(x * half.x, y * half.y);
        let points = [corner(-1.0, -1.0), corner(1.0, -1.0), corner(1.0, 1.0), corner(-1.0, 1.0)];
        return polygon(&points, std::slice::from_ref(tag));
    }
    let mut out: Vec<Segment> = Vec::with_capacity(8);
    let inner = V2::new(half.x - radius, half.y - radius);
    for (k, (x, y)) in [(1.0, -1.0), (1.0, 1.0), (-1.0, 1.0), (-1.0, -1.0)].into_iter().enumerate() {
        let c = center + V2::new(x * inner.x, y * inner.y);
        let at = |turn: f64| c + V2::new(turn.cos(), turn.sin()) * radius;
        let start = FRAC_PI_2 * (k as f64 - 1.0);
        out.push(Segment {
            from: at(start),
            to: at(start + FRAC_PI_2),
            arc: Some((c, true)),
            tag: tag.clone(),
        });
    }
    let n = out.len();
    let mut all = Vec::with_capacity(2 * n);
    for i in 0..n {
        let (from, to) = (out[i].to, out[(i + 1) % n].from);
        all.push(out[i].clone());
        if (to - from).norm() > crate::tolerance::SNAP {
            all.push(Segment { from, to, arc: None, tag: tag.clone() });
        } else {
            out[(i + 1) % n].from = from;
        }
    }
    all
}

/// A turned profile of straight pieces through (radius, height) points, closed over the axis; piece i bears
/// `tags[i]`. The first and last point may lie on the axis or not.
///
/// # Errors
/// As [`Primitive::revolve`].
pub fn turned(
    feature: &str,
    frame: Frame,
    points: &[(f64, f64)],
    tags: &[Tag],
) -> Result<Primitive, PrimitiveError> {
    let points: Vec<P2> = points.iter().map(|(r, z)| P2::new(*r, *z)).collect();
    Primitive::revolve(feature, frame, polygon(&points, tags))
}

/// A cylinder along the frame's z from height 0 to `height`; tags for bottom, side, top.
///
/// # Errors
/// As [`Primitive::revolve`].
pub fn cylinder(
    feature: &str,
    frame: Frame,
    radius: f64,
    height: f64,
    tags: &[Tag; 3],
) -> Result<Primitive, PrimitiveError> {
    turned(feature, frame, &[(0.0, 0.0), (radius, 0.0), (radius, height), (0.0, height)], tags)
}
