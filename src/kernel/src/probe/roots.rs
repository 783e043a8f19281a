//! Where a line meets a surface.

use crate::geometry::{P3, Surface, V3};
use crate::tolerance::{
    GRAZING_RAY, NO_COEFFICIENT, PAST_ROOT, POLISH_REACH, POLISH_SLOPE, RAY_CONVERGED, RAY_FIT,
};

/// Most places in which a line may meet a torus.
const MOST: usize = 4;

/// Steps along a line towards a surface, and Newton's, at most.
const STEPS: u32 = 200;
const NEWTON: u32 = 12;

/// From here Newton's method takes over from careful steps, as a distance from the surface, mm.
const CLOSE: f64 = 0.05;

/// Lengths at which a line meets a surface, rising.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Roots {
    at: [f64; MOST],
    count: usize,
}

impl Roots {
    fn push(&mut self, t: f64) {
        if t.is_finite() && self.count < MOST {
            self.at[self.count] = t;
            self.count += 1;
        }
    }

    pub(super) fn iter(&self) -> impl Iterator<Item = f64> + '_ {
        self.at[..self.count].iter().copied()
    }
}

/// Lengths from `origin` along the unit vector `d`, between `span.0` and `span.1`, at which the line meets the surface.
pub(super) fn roots(surface: &Surface, origin: P3, d: V3, span: (f64, f64)) -> Roots {
    let mut out = Roots::default();
    let frame = surface.frame();
    let w = origin - frame.origin;
    let across = |v: V3| v - frame.z * v.dot(&frame.z);
    let (found, count) = match surface {
        Surface::Plane(_) => {
            let down = surface.grad(origin).dot(&d);
            ([-surface.f(origin) / if down == 0.0 { f64::NAN } else { down }, 0.0], 1)
        }
        Surface::Cylinder(s) => {
            let (w, e) = (across(w), across(d));
            quadratic(e.norm_squared(), w.dot(&e), w.norm_squared() - s.radius * s.radius)
        }
        Surface::Sphere(s) => quadratic(1.0, w.dot(&d), w.norm_squared() - s.radius * s.radius),
        Surface::Cone(s) => {
            let (sn, cs) = s.half_angle.sin_cos();
            let (wz, dz) = (w.dot(&frame.z) * sn, d.dot(&frame.z) * sn);
            let (w, e) = (across(w) * cs, across(d) * cs);
            quadratic(e.norm_squared() - dz * dz, w.dot(&e) - wz * dz, w.norm_squared() - wz * wz)
        }
        Surface::Torus(_) | Surface::Canal(_) => {
            march(surface, origin, d, span, &mut out);
            return out;
        }
    };
    let mut found = found;
    if count == 2 && found[0] > found[1] {
        found.swap(0, 1);
    }
    for &t in &found[..count] {
        if t >= span.0 && t <= span.1 {
            let t = polished(surface, origin, d, t);
            // The other nappe of a cone is none.
            if surface.f(origin + d * t).abs() < RAY_FIT {
                out.push(t);
            }
        }
    }
    out
}

/// Roots of `a t² + 2 b t + c`.
fn quadratic(a: f64, b: f64, c: f64) -> ([f64; 2], usize) {
    if a.abs() < NO_COEFFICIENT {
        return if b.abs() < NO_COEFFICIENT { ([0.0; 2], 0) } else { ([-0.5 * c / b, 0.0], 1) };
    }
    let inner = b * b - a * c;
    if inner < 0.0 {
        return ([0.0; 2], 0);
    }
    // The sum without cancellation.
    let q = -(b + inner.sqrt().copysign(b));
    if q == 0.0 { ([0.0; 2], 1) } else { ([q / a, c / q], 2) }
}

/// One step of Newton's takes the rounding off.
fn polished(surface: &Surface, origin: P3, d: V3, t: f64) -> f64 {
    let p = origin + d * t;
    let (f, down) = (surface.f(p), surface.grad(p).dot(&d));
    if down.abs() > POLISH_SLOPE && f.abs() < POLISH_REACH { t - f / down } else { t }
}

/// Steps along the line by the distance to the surface, which never overshoots, and by Newton's method near it.
fn march(surface: &Surface, origin: P3, d: V3, (lo, hi): (f64, f64), out: &mut Roots) {
    let mut t = lo.max(0.0) - PAST_ROOT;
    let mut reached = f64::NEG_INFINITY;
    for _ in 0..STEPS {
        if t > hi || out.count == MOST {
            return;
        }
        let f = surface.f(origin + d * t);
        if f.abs() < CLOSE
            && let Some(root) = newton(surface, origin, d, t, f)
            && root > reached
            && root <= hi + PAST_ROOT
        {
            out.push(root);
            reached = root + PAST_ROOT;
            t = reached;
            continue;
        }
        t += f.abs().max(PAST_ROOT);
    }
}

/// The first place after `t` that Newton's method runs into without turning back; a place before it does not count.
fn newton(surface: &Surface, origin: P3, d: V3, from: f64, value: f64) -> Option<f64> {
    let (mut t, mut f) = (from, value);
    for step in 0..NEWTON {
        let p = origin + d * t;
        if step > 0 {
            f = surface.f(p);
        }
        let down = surface.grad(p).dot(&d);
        if down.abs() < GRAZING_RAY {
            return None;
        }
        let by = -f / down;
        // Where the line comes away from the surface there is nothing ahead yet.
        if step == 0 && by < -RAY_CONVERGED {
            return None;
        }
        t += by;
        if t < from - PAST_ROOT || t > from + 50.0 * CLOSE {
            return None;
        }
        if by.abs() < RAY_CONVERGED {
            return (t >= from).then_some(t);
        }
    }
    None
}
