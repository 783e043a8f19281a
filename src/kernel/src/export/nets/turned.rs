//! Pieces of cylinders, cones and tori as rational B-spline surfaces: exact, and still exact under a stretch that leaves
//! no surface of these kinds.

use std::f64::consts::{PI, TAU};

use crate::geometry::{Cone, Cylinder, P2, Surface, Torus};
use crate::solid::{Brep, BrepFace};
use crate::tolerance::VERTEX_FIT;

use super::{Direction, Net, edge_points};

/// How far the written piece runs on beyond the face, as an angle or as a share of the face's height.
const MARGIN: f64 = 0.02;

/// A line, or an arc, that turns about the z axis.
pub(crate) struct Meridian {
    /// Degree and knots.
    pub(crate) direction: Direction,
    /// Distance from the axis and height of each pole, mm, and its weight.
    pub(crate) poles: Vec<(f64, f64, f64)>,
}

/// A surface turned about an axis.
pub(crate) trait Turned {
    /// The piece of its meridian between two values of the second parameter.
    fn meridian(&self, along: (f64, f64)) -> Meridian;
}

impl Turned for Cylinder {
    fn meridian(&self, along: (f64, f64)) -> Meridian {
        straight(along, |v| (self.radius, v))
    }
}

impl Turned for Cone {
    fn meridian(&self, along: (f64, f64)) -> Meridian {
        let (s, c) = self.half_angle.sin_cos();
        straight(along, |v| (v * s, v * c))
    }
}

impl Turned for Torus {
    fn meridian(&self, along: (f64, f64)) -> Meridian {
        let (direction, poles) = Direction::arcs(along.0, along.1);
        let pole = |(angle, weight): (f64, f64)| {
            let (s, c) = angle.sin_cos();
            (self.major + self.minor * c / weight, self.minor * s / weight, weight)
        };
        Meridian { direction, poles: poles.into_iter().map(pole).collect() }
    }
}

/// The piece of a face's turned surface that holds the face; angle and height, or the two angles, are its parameters.
pub(crate) fn net(brep: &Brep, face: &BrepFace, turned: &impl Turned) -> Net {
    let (around, along) = ranges(brep, face);
    let meridian = turned.meridian(along);
    let frame = face.surface.frame();
    let (u, columns) = Direction::arcs(around.0, around.1);
    let row = |(angle, share): (f64, f64)| {
        let out = frame.radial(angle) / share;
        let pole =
            |(r, z, weight): &(f64, f64, f64)| (frame.origin + out * *r + frame.z * *z, share * weight);
        meridian.poles.iter().map(pole).collect()
    };
    Net { u, v: meridian.direction, poles: columns.into_iter().map(row).collect() }
}

/// A line along which distance from the axis and height are as given.
fn straight((from, to): (f64, f64), at: impl Fn(f64) -> (f64, f64)) -> Meridian {
    let pole = |v: f64| (at(v).0, at(v).1, 1.0);
    Meridian { direction: Direction::straight(from, to), poles: vec![pole(from), pole(to)] }
}

/// Ranges of both parameters over the face, and a little more, but never beyond an apex. Neither parameter has an extreme
/// inside a face, so the edges tell.
pub(crate) fn ranges(brep: &Brep, face: &BrepFace) -> ((f64, f64), (f64, f64)) {
    let surface = &face.surface;
    let (is_cone, is_torus) = (matches!(surface, Surface::Cone(_)), matches!(surface, Surface::Torus(_)));
    // On a cone the middle of the map is the apex, which has no angle: go up the wall.
    let middle = if is_cone { P2::new(0.0, 1.0) } else { P2::origin() };
    let middle = surface.params(face.chart.to_space(middle));
    let near = |angle: f64, middle: f64| middle + (angle - middle + PI).rem_euclid(TAU) - PI;
    let (mut around, mut along) = ([f64::INFINITY, f64::NEG_INFINITY], [f64::INFINITY, f64::NEG_INFINITY]);
    for p in edge_points(brep, face) {
        let (u, v) = surface.params(p);
        if is_cone && (p - surface.frame().origin).norm() < VERTEX_FIT {
            // The apex: the angle is noise here.
            along = [0.0, along[1].max(0.0)];
            continue;
        }
        let (u, v) = (near(u, middle.0), if is_torus { near(v, middle.1) } else { v });
        around = [around[0].min(u), around[1].max(u)];
        along = [along[0].min(v), along[1].max(v)];
    }
    let margin = if is_torus { MARGIN } else { MARGIN * (along[1] - along[0]) };
    let low = if is_cone { (along[0] - margin).max(0.5 * along[0]) } else { along[0] - margin };
    ((around[0] - MARGIN, around[1] + MARGIN), (low, along[1] + margin))
}
