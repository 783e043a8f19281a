//! The map of one face on which its triangles are found.

use crate::geometry::{Chart, P2, P3, Surface};
use crate::solid::{Brep, BrepFace};
use crate::tolerance::SNAP;

use super::edge_points::{DOUBLE, SINGLE, STRETCH, step_angle};
use super::pace::Pace;

/// A face's map, stretched so that points one unit apart keep the chord error.
///
/// On cylinders and cones the error depends on the angle that a triangle spans and not on its length, so a
/// unit along the axis is [`STRETCH`] times as long. A cone whose apex is a vertex is unrolled instead, which
/// makes the apex a point; there triangles fan out from it.
pub(super) struct FaceMap {
    chart: Chart,
    /// Whether the map is the chart's own and not its integral parameters.
    flat: bool,
    /// What one unit is in the map's two directions.
    unit: (f64, f64),
    /// Along canals: how many units a place lies from the chart's middle.
    pace: Option<Pace>,
    pub(super) layout: PointLayout,
}

/// How inner points are laid out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum PointLayout {
    /// None needed.
    Bare,
    /// Rows and columns. `loose`: rows only bound the length of triangles, one more or less does no harm.
    Grid { loose: bool },
    /// Rings of points about the map's middle, the angle between rings in radians; the ball's radius in units.
    Rings { step: f64, radius: f64 },
}

impl FaceMap {
    pub(super) fn new(brep: &Brep, face: &BrepFace, chord: f64) -> Self {
        let chart = face.chart.clone();
        let range = || {
            let halves = face.loops.iter().flatten();
            halves.map(|h| chart.integral_params(brep.vertices[brep.tail(*h)]).y)
        };
        let mut pace = None;
        let (flat, unit, layout) = match chart.surface() {
            Surface::Plane(_) => (true, (1.0, 1.0), PointLayout::Bare),
            Surface::Cylinder(s) => {
                let step = step_angle(s.radius, SINGLE * chord);
                (false, (step, STRETCH * s.radius * step), PointLayout::Grid { loose: true })
            }
            Surface::Cone(s) => {
                let (near, far) = range().fold((f64::INFINITY, 0.0f64), |(a, b), v| (a.min(v), b.max(v)));
                let step = step_angle(s.radius_at(far), SINGLE * chord);
                if near < SNAP {
                    let width = s.radius_at(far) * step;
                    (true, (width, width), PointLayout::Bare)
                } else {
                    let length = STRETCH * s.radius_at(0.5 * (near + far)) * step;
                    (false, (step, length), PointLayout::Grid { loose: true })
                }
            }
            Surface::Torus(s) => {
                let around = step_angle(s.major + s.minor, DOUBLE * chord);
                let across = step_angle(s.minor, DOUBLE * chord);
                (false, (around, across), PointLayout::Grid { loose: false })
            }
            Surface::Canal(s) => {
                let across = step_angle(s.radius, DOUBLE * chord);
                pace =
                    Some(Pace::along(s, chart.first_middle(), DOUBLE * chord, STRETCH * s.radius * across));
                (false, (1.0, across), PointLayout::Grid { loose: false })
            }
            Surface::Sphere(s) => {
                let step = step_angle(s.radius, DOUBLE * chord);
                let width = s.radius * step;
                (true, (width, width), PointLayout::Rings { step, radius: 1.0 / step })
            }
        };
        Self { chart, flat, unit, pace, layout }
    }

    /// The face's surface.
    pub(super) fn surface(&self) -> &Surface {
        self.chart.surface()
    }

    /// The place of a surface point on the map, in units.
    pub(super) fn place(&self, p: P3) -> P2 {
        let q = if self.flat { self.chart.to_flat(p) } else { self.chart.integral_params(p) };
        let along = self.pace.as_ref().map_or(q.x / self.unit.0, |pace| pace.units(q.x));
        P2::new(along, q.y / self.unit.1)
    }

    /// The surface point at a place of the map.
    pub(super) fn point(&self, q: P2) -> P3 {
        let along = self.pace.as_ref().map_or(q.x * self.unit.0, |pace| pace.place(q.x));
        let q = P2::new(along, q.y * self.unit.1);
        if self.flat { self.chart.to_space(q) } else { self.chart.integral_point(q).0 }
    }

    /// How much the distance between two places counts when a triangle is to be split: the angle about the
    /// axis where only that makes the error, else their distance squared.
    pub(super) fn weight(&self, p: P2, q: P2) -> f64 {
        let d = p - q;
        if self.layout == (PointLayout::Grid { loose: true }) { d.x.abs() } else { d.norm_squared() }
    }

    /// Greatest distance of a triangle from the surface, mm, from its corners on the map and in space. An
    /// upper bound on cylinders, cones and spheres; the greatest of seven samples on tori.
    pub(super) fn error(&self, map: [P2; 3], space: [P3; 3]) -> f64 {
        match self.chart.surface() {
            Surface::Plane(_) => 0.0,
            Surface::Cylinder(s) => {
                let (lo, hi) = span(map.map(|q| q.x));
                s.radius * (1.0 - (0.5 * (hi - lo) * self.unit.0).cos())
            }
            // Seen from a middle direction every corner is at most this far inside, and so, the cone being
            // convex, is every point between them.
            Surface::Cone(s) => {
                let polar = space.map(|p| self.chart.integral_params(p));
                let turned = polar.iter().filter(|q| q.y > SNAP);
                let (lo, hi) = turned
                    .clone()
                    .fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), q| (a.min(q.x), b.max(q.x)));
                let middle = 0.5 * (lo + hi);
                let sag = turned.map(|q| s.radius_at(q.y) * (1.0 - (q.x - middle).cos()));
                s.half_angle.cos() * sag.fold(0.0, f64::max)
            }
            Surface::Sphere(s) => s.radius - ball_distance(space.map(|p| p - s.frame.origin)),
            Surface::Torus(_) | Surface::Canal(_) => {
                let [a, b, c] = space.map(|p| p.coords);
                let middle = (a + b + c) / 3.0;
                let samples = [a + b, b + c, c + a, middle * 2.0, a + middle, b + middle, c + middle];
                let off = |p| self.chart.surface().f(P3::from(p)).abs();
                samples.iter().map(|p| off(p * 0.5)).fold(0.0, f64::max)
            }
        }
    }
}

fn span(x: [f64; 3]) -> (f64, f64) {
    (x[0].min(x[1]).min(x[2]), x[0].max(x[1]).max(x[2]))
}

/// Distance of the origin from a triangle whose corners lie equally far from it: from the foot on its plane,
/// or, where the angle opposite is obtuse and the foot lies outside, from the middle of the longest side.
fn ball_distance([a, b, c]: [crate::geometry::V3; 3]) -> f64 {
    let sides = [(b - c).norm_squared(), (c - a).norm_squared(), (a - b).norm_squared()];
    let middles = [b + c, c + a, a + b];
    let total: f64 = sides.iter().sum();
    for k in 0..3 {
        if 2.0 * sides[k] >= total {
            return 0.5 * middles[k].norm();
        }
    }
    let n = (b - a).cross(&(c - a));
    (a.dot(&n) / n.norm()).abs()
}
