//! Flat maps of a piece of a surface that spans at most half a turn.

use std::f64::consts::{PI, TAU};

use super::canal::NormalPlane;
use super::{Canal, Surface, Torus};
use crate::geometry::{Frame, P2, P3, V2, V3};
use crate::tolerance::FAR_POLE;

/// A one-to-one map between the plane and a piece of a surface, at most half a turn about each period.
///
/// Lengths are kept on planes, cylinders and cones (whose apex is an ordinary point), nearly so on tori;
/// spheres are mapped by stereographic projection, exact in angles. The map keeps orientation: counter-
/// clockwise in the plane is counter-clockwise seen against the surface normal.
#[derive(Clone, Debug, PartialEq)]
pub struct Chart {
    surface: Surface,
    u_mid: f64,
    v_mid: f64,
}

/// A point of an edge on the map, see [`Chart::integral_step`].
#[derive(Clone, Copy, Debug)]
pub struct ChartStep {
    /// Its integral parameters.
    pub at: P2,
    /// How fast they change.
    pub rate: V2,
    /// Of a canal: how far the point lies off it or beyond its ends, mm. It comes with the search for the place on the spine;
    /// other surfaces need none to tell it.
    pub missed: Option<f64>,
}

/// The points of one first integral parameter, see [`Chart::across`].
pub enum Across<'a> {
    /// Of a torus: the direction from its axis, and the middle of the map.
    Torus(&'a Torus, V3, f64),
    /// Of a canal: its section there, and the middle of the map.
    Canal(&'a Canal, Box<NormalPlane>, f64),
    /// Of a surface where nothing is gained by it.
    Other(&'a Chart, f64),
}

impl Across<'_> {
    /// As [`Chart::integral_point`], at a second parameter.
    pub fn point(&self, y: f64) -> (P3, V3) {
        match self {
            Self::Torus(s, radial, v_mid) => {
                let (sn, cs) = (v_mid + y).sin_cos();
                let n = radial * cs + s.frame.z * sn;
                let p = s.frame.origin + radial * s.major + n * s.minor;
                (p, n * (s.minor * (s.major + s.minor * cs)))
            }
            Self::Canal(s, section, v_mid) => {
                let (p, along, across) = s.jet_in(section, v_mid + y);
                (p, along.cross(&across))
            }
            Self::Other(chart, a) => chart.integral_point(P2::new(*a, y)),
        }
    }

    /// Whether the area vector at a point points into the tube: the sections of a canal cross beyond a fold, and its sheet is turned
    /// over there. Faces end before; integrals that begin behind one pass it, and stay smooth only with the sign.
    pub fn is_turned_over(&self, (p, n): (P3, V3)) -> bool {
        match self {
            Self::Canal(_, section, _) => section.outward(p).dot(&n) < 0.0,
            Self::Torus(..) | Self::Other(..) => false,
        }
    }
}

fn wrapped(angle: f64) -> f64 {
    let a = (angle + PI).rem_euclid(TAU) - PI;
    if a < -PI { -PI } else { a }
}

impl Chart {
    /// The map of `surface` whose middle is at (the foot of) `middle`. For spheres the map reaches all but
    /// the opposite point; else it reaches half a turn to either side.
    pub fn new(surface: Surface, middle: P3) -> Self {
        if let Surface::Sphere(mut s) = surface {
            let z = middle - s.frame.origin;
            s.frame = Frame::from_z(s.frame.origin, z);
            return Self { surface: Surface::Sphere(s), u_mid: 0.0, v_mid: 0.0 };
        }
        let (u_mid, v_mid) = match surface {
            Surface::Plane(_) => (0.0, 0.0),
            _ => surface.params(middle),
        };
        let v_mid = if matches!(surface, Surface::Torus(_) | Surface::Canal(_)) { v_mid } else { 0.0 };
        Self { surface, u_mid, v_mid }
    }

    /// The surface that is mapped.
    pub fn surface(&self) -> &Surface {
        &self.surface
    }

    /// Surface parameters of `p`, angles unwrapped about the middle (not for spheres).
    fn unwrapped(&self, p: P3) -> (f64, f64) {
        let (u, v) = self.surface.params(p);
        match self.surface {
            Surface::Plane(_) | Surface::Sphere(_) => (u, v),
            Surface::Torus(_) => (wrapped(u - self.u_mid), wrapped(v - self.v_mid)),
            Surface::Canal(_) => (u - self.u_mid, wrapped(v - self.v_mid)),
            _ => (wrapped(u - self.u_mid), v),
        }
    }

    /// The place of a surface point on the map, mm.
    pub fn to_flat(&self, p: P3) -> P2 {
        if let Surface::Sphere(s) = &self.surface {
            let d = s.frame.local(p).coords.normalize();
            let k = 2.0 * s.radius / (1.0 + d.z).max(FAR_POLE);
            return P2::new(d.x * k, d.y * k);
        }
        let (u, v) = self.unwrapped(p);
        match &self.surface {
            Surface::Plane(_) | Surface::Sphere(_) => P2::new(u, v),
            Surface::Cylinder(s) => P2::new(s.radius * u, v),
            Surface::Cone(s) => {
                let (sn, cs) = (u * s.half_angle.sin()).sin_cos();
                P2::new(v * sn, v * cs)
            }
            Surface::Torus(s) => P2::new((s.major + s.minor * self.v_mid.cos()) * u, s.minor * v),
            Surface::Canal(s) => P2::new(u, s.radius * v),
        }
    }

    /// The surface point at a place of the map.
    pub fn to_space(&self, q: P2) -> P3 {
        match &self.surface {
            Surface::Plane(s) => s.frame.point(q.x, q.y, 0.0),
            Surface::Cylinder(s) => self.surface.point(self.u_mid + q.x / s.radius, q.y),
            Surface::Cone(s) => {
                let v = q.x.hypot(q.y);
                let u = if v > 0.0 { q.x.atan2(q.y) / s.half_angle.sin() } else { 0.0 };
                self.surface.point(self.u_mid + u, v)
            }
            Surface::Torus(s) => {
                let u = q.x / (s.major + s.minor * self.v_mid.cos());
                self.surface.point(self.u_mid + u, self.v_mid + q.y / s.minor)
            }
            Surface::Canal(s) => s.point(self.u_mid + q.x, self.v_mid + q.y / s.radius),
            Surface::Sphere(s) => {
                let (x, y) = (q.x / (2.0 * s.radius), q.y / (2.0 * s.radius));
                let k = 1.0 / (1.0 + x * x + y * y);
                s.frame.point(2.0 * x * k * s.radius, 2.0 * y * k * s.radius, (2.0 * k - 1.0) * s.radius)
            }
        }
    }

    /// Parameters for integrals over the piece: as on the map for planes and spheres, else the surface's
    /// own angle and height, unwrapped. Unlike the map they stay smooth where a cone nears its apex.
    pub fn integral_params(&self, p: P3) -> P2 {
        if let Surface::Sphere(_) = self.surface {
            return self.to_flat(p);
        }
        let (u, v) = self.unwrapped(p);
        P2::new(u, v)
    }

    /// The surface's own first parameter where the first integral one is nought.
    pub fn first_middle(&self) -> f64 {
        self.u_mid
    }

    /// How fast the integral parameters of a point change when it moves from `p` with velocity `d` (the part
    /// of `d` across the surface does not count). Zero turning on the axis, where the angle is undefined.
    pub fn integral_rate(&self, p: P3, d: V3) -> V2 {
        if let Surface::Canal(s) = &self.surface {
            return s.step_after(p, d, &mut None).1;
        }
        let frame = self.surface.frame();
        let (q, d) = (frame.local(p), frame.local_vector(d));
        let rho = q.x.hypot(q.y);
        let turning = if rho > 0.0 { (q.x * d.y - q.y * d.x) / (rho * rho) } else { 0.0 };
        let outward = if rho > 0.0 { (q.x * d.x + q.y * d.y) / rho } else { 0.0 };
        match &self.surface {
            Surface::Plane(_) => V2::new(d.x, d.y),
            Surface::Cylinder(_) => V2::new(turning, d.z),
            Surface::Cone(s) => {
                let (sn, cs) = s.half_angle.sin_cos();
                V2::new(turning, outward * sn + d.z * cs)
            }
            Surface::Torus(s) => {
                let w = rho - s.major;
                V2::new(turning, (w * d.z - q.z * outward) / (w * w + q.z * q.z))
            }
            Surface::Sphere(s) => {
                let size = q.coords.norm();
                let unit = q.coords / size;
                let rate = (d - unit * unit.dot(&d)) / size;
                let k = 1.0 + unit.z;
                V2::new(rate.x * k - unit.x * rate.z, rate.y * k - unit.y * rate.z)
                    * (2.0 * s.radius / (k * k))
            }
            // Done above.
            Surface::Canal(_) => V2::zeros(),
        }
    }

    /// The integral parameters of `p` and how fast they change when it moves with velocity `d`. `last` is what this left for a
    /// point beside it: nothing for the first one of an edge.
    pub fn integral_step(&self, p: P3, d: V3, last: &mut Option<f64>) -> ChartStep {
        if let Surface::Canal(s) = &self.surface {
            // The foot on the spine takes long to find, and serves both.
            let ((u, v), rate, missed) = s.step_after(p, d, last);
            let at = P2::new(u - self.u_mid, wrapped(v - self.v_mid));
            return ChartStep { at, rate, missed: Some(missed) };
        }
        ChartStep { at: self.integral_params(p), rate: self.integral_rate(p, d), missed: None }
    }

    /// What all points of one first integral parameter share.
    pub fn across(&self, a: f64) -> Across<'_> {
        match &self.surface {
            Surface::Torus(s) => Across::Torus(s, s.frame.radial(self.u_mid + a), self.v_mid),
            Surface::Canal(s) => Across::Canal(s, Box::new(s.section(self.u_mid + a)), self.v_mid),
            _ => Across::Other(self, a),
        }
    }

    /// The point at integral parameters and the area vector (normal × area per unit of both parameters).
    pub fn integral_point(&self, q: P2) -> (P3, V3) {
        match &self.surface {
            Surface::Torus(_) | Surface::Canal(_) => self.across(q.x).point(q.y),
            Surface::Plane(s) => (s.frame.point(q.x, q.y, 0.0), s.frame.z),
            Surface::Cylinder(s) => {
                let radial = s.frame.radial(self.u_mid + q.x);
                (s.frame.origin + radial * s.radius + s.frame.z * q.y, radial * s.radius)
            }
            Surface::Cone(s) => {
                let (sn, cs) = s.half_angle.sin_cos();
                let radial = s.frame.radial(self.u_mid + q.x);
                let n = radial * cs - s.frame.z * sn;
                (s.frame.origin + (radial * sn + s.frame.z * cs) * q.y, n * (q.y * sn))
            }
            Surface::Sphere(s) => {
                let p = self.to_space(q);
                let k = 4.0 * s.radius * s.radius;
                let scale = k / (k + q.x * q.x + q.y * q.y);
                (p, (p - s.frame.origin) / s.radius * (scale * scale))
            }
        }
    }

    /// The second integral parameter from which inner integrals start: the apex for cones, so that a face
    /// with the apex on its edge needs no extra piece there.
    pub fn integral_floor(&self) -> f64 {
        0.0
    }
}
