//! Division of a surface's rectangle into cells that are empty, regular or undecided.

use super::TraceError;
use super::distance_along::{DistanceAlong, own_curvature};
use crate::geometry::roots::MidpointValues;
use crate::geometry::{Bounds, P3, Surface, V3, isolate_roots};
use crate::tolerance::{LEAST_SCALE, ON_SURFACE, SAME_ANGLE, SMALLEST_CELL, SURVEY_MARGIN};

/// A rectangle of a surface's parameters.
#[derive(Clone, Debug)]
pub struct Domain {
    /// The surface.
    pub surface: Surface,
    /// Range of u (a full turn has width 2π).
    pub u: (f64, f64),
    /// Range of v.
    pub v: (f64, f64),
}

/// What the division found.
pub(super) struct Survey {
    /// Points of branches on cell edges.
    pub(super) seeds: Vec<P3>,
    /// Middles and radii of the undecided cells.
    pub(super) undecided: Vec<(P3, f64)>,
}

/// How long two surfaces are looked at before they are taken to touch along a curve.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SurveyBudget {
    /// Cells looked at.
    cells: usize,
    /// Cells that are not decided down to the tolerance.
    undecided: usize,
}

impl SurveyBudget {
    /// For surfaces of which nothing is known.
    pub const FULL: Self = Self { cells: 60_000, undecided: 3_000 };

    /// For surfaces that are known to run on smoothly into each other somewhere: what they touch along most likely is known as well.
    pub const KNOWN_TOUCH: Self = Self { cells: 6_000, undecided: 300 };
}

impl Domain {
    /// Whether the rectangle covers the full turn in u.
    pub(super) fn full_turn(&self) -> bool {
        self.surface.periods().0 > 0.0 && self.u.1 - self.u.0 > std::f64::consts::TAU - SAME_ANGLE
    }

    /// A point of the surface and the outward normal there.
    fn point_and_normal(&self, (u, v): (f64, f64)) -> (P3, V3) {
        if let Surface::Canal(s) = &self.surface {
            return s.point_and_normal(u, v);
        }
        let point = self.surface.point(u, v);
        (point, self.surface.grad(point))
    }

    fn full_v(&self) -> bool {
        self.surface.periods().1 > 0.0 && self.v.1 - self.v.0 > std::f64::consts::TAU - SAME_ANGLE
    }

    /// Whether a surface point lies in the rectangle, grown by `margin` mm.
    pub(super) fn contains(&self, p: P3, margin: f64) -> bool {
        let (u, v) = self.surface.params(p);
        let (du, dv) = self.scale(v);
        let within = |x: f64, range: (f64, f64), period: f64, scale: f64| {
            let m = margin / scale.max(LEAST_SCALE);
            if period == 0.0 {
                return x > range.0 - m && x < range.1 + m;
            }
            let mid = 0.5 * (range.0 + range.1);
            let d = (x - mid + 0.5 * period).rem_euclid(period) - 0.5 * period;
            d.abs() < 0.5 * (range.1 - range.0) + m
        };
        let (pu, pv) = self.surface.periods();
        (self.full_turn() || within(u, self.u, pu, du)) && (self.full_v() || within(v, self.v, pv, dv))
    }

    /// The rectangle grown by a length on all sides, full turns and cone apexes kept.
    pub(super) fn grown(&self, by: f64) -> Self {
        let middle = self.scale(0.5 * (self.v.0 + self.v.1));
        let (du, dv) = (by / middle.0.max(by), by / middle.1);
        let mut out = self.clone();
        if !self.full_turn() {
            out.u = (self.u.0 - du, self.u.1 + du);
        }
        if !self.full_v() {
            out.v = (self.v.0 - dv, self.v.1 + dv);
        }
        if matches!(self.surface, Surface::Cone(_)) {
            out.v.0 = out.v.0.max(0.0);
        }
        out
    }

    /// Lengths (mm) of a unit of u and v at height v.
    fn scale(&self, v: f64) -> (f64, f64) {
        match &self.surface {
            Surface::Plane(_) => (1.0, 1.0),
            Surface::Cylinder(s) => (s.radius, 1.0),
            Surface::Cone(s) => (s.radius_at(v), 1.0),
            Surface::Sphere(s) => (s.radius * v.cos(), s.radius),
            Surface::Torus(s) => (s.major + s.minor * v.cos(), s.minor),
            Surface::Canal(s) => (1.0 + s.radius * s.stretch(), s.radius),
        }
    }
}

#[derive(Clone, Copy)]
struct Cell {
    u: (f64, f64),
    v: (f64, f64),
}

impl Cell {
    fn middle(&self) -> (f64, f64) {
        (0.5 * (self.u.0 + self.u.1), 0.5 * (self.v.0 + self.v.1))
    }

    /// Half widths in mm (upper bounds) along u and v.
    fn half_widths(&self, domain: &Domain) -> (f64, f64) {
        let (du, dv) = (0.5 * (self.u.1 - self.u.0), 0.5 * (self.v.1 - self.v.0));
        let (a, b) = (domain.scale(self.v.0), domain.scale(self.v.1));
        let middle = domain.scale(self.middle().1);
        // cos v on a torus or sphere may peak inside the cell: bound it by one there.
        let widest = match &domain.surface {
            Surface::Torus(s) => (middle.0 + s.minor * dv).min(s.major + s.minor),
            Surface::Sphere(s) => (middle.0 + s.radius * dv).min(s.radius),
            _ => a.0.max(b.0),
        };
        (du * widest, dv * a.1)
    }

    /// A bound of the surface's normal curvature in the cell, in whose middle the outward normal is `normal`.
    fn own_bend(&self, surface: &Surface, normal: V3) -> f64 {
        let Surface::Canal(s) = surface else { return own_curvature(surface, self.v) };
        s.bend_about((self.middle().0, normal), 0.5 * (self.u.1 - self.u.0), 0.5 * (self.v.1 - self.v.0))
    }

    fn halves(&self, along_u: bool) -> [Self; 2] {
        let (mu, mv) = self.middle();
        if along_u {
            [Self { u: (self.u.0, mu), ..*self }, Self { u: (mu, self.u.1), ..*self }]
        } else {
            [Self { v: (self.v.0, mv), ..*self }, Self { v: (mv, self.v.1), ..*self }]
        }
    }
}

/// Divides the rectangle; see the module's head for what the answer proves.
pub(super) fn survey(
    domain: &Domain,
    other: &Surface,
    boxes: &[Bounds],
    other_boxes: &[Bounds],
    budget: SurveyBudget,
) -> Result<Survey, TraceError> {
    let mut out = Survey { seeds: vec![], undecided: vec![] };
    let far = |c: P3, r: f64, set: &[Bounds]| set.iter().all(|b| b.distance(c) > r + SURVEY_MARGIN);
    let mut stack = first_cells(domain);
    let mut looked = 0;
    while let Some(cell) = stack.pop() {
        looked += 1;
        let (c, own) = domain.point_and_normal(cell.middle());
        let (wu, wv) = cell.half_widths(domain);
        let radius = wu.hypot(wv);
        // The boxes first: the distance from a canal costs a search along its spine.
        if far(c, radius, boxes) || far(c, radius, other_boxes) {
            continue;
        }
        let jet = other.distance_jet(c);
        let g = jet.value;
        if g.abs() > radius {
            continue;
        }
        let slope = (jet.gradient - own * jet.gradient.dot(&own)).norm();
        let bend = jet.second_bound(radius) + cell.own_bend(&domain.surface, own);
        if g.abs() > slope * radius + 0.5 * bend * radius * radius {
            continue;
        }
        if slope > bend * radius {
            edge_roots(domain, other, &cell, &mut out.seeds);
            continue;
        }
        // Where the surfaces bend alike, their distance bends far less than either of them.
        if let Some(along) = DistanceAlong::of(&domain.surface, cell.v, (c, own), &jet, radius) {
            if g.abs() > along.greatest_change(slope, radius) {
                continue;
            }
            if slope > along.greatest_turn(radius) {
                edge_roots(domain, other, &cell, &mut out.seeds);
                continue;
            }
        }
        let apex_cell = radius < SMALLEST_CELL;
        if 0.5 * bend * radius * radius < ON_SURFACE || apex_cell {
            out.undecided.push((c, radius));
            if out.undecided.len() > budget.undecided {
                return Err(TraceError::TouchAlong { at: c });
            }
            continue;
        }
        if looked > budget.cells {
            return Err(TraceError::TouchAlong { at: c });
        }
        stack.extend(cell.halves(wu > wv));
    }
    Ok(out)
}

/// The rectangle, a full turn cut in uneven thirds so that cell edges keep off the natural symmetries.
fn first_cells(domain: &Domain) -> Vec<Cell> {
    let cuts = |range: (f64, f64), full: bool| {
        if !full {
            return vec![range];
        }
        let w = range.1 - range.0;
        let at = [0.0137, 0.3413, 0.6789, 1.0137].map(|k| range.0 + k * w);
        at.windows(2).map(|p| (p[0], p[1])).collect()
    };
    let mut out = Vec::new();
    for u in cuts(domain.u, domain.full_turn()) {
        for v in cuts(domain.v, domain.full_v()) {
            out.push(Cell { u, v });
        }
    }
    out
}

/// Points of branches on the four edges of a cell.
fn edge_roots(domain: &Domain, other: &Surface, cell: &Cell, seeds: &mut Vec<P3>) {
    for v in [cell.v.0, cell.v.1] {
        let along = |u: f64| along_u(domain, u, v);
        let r = domain.scale(v).0;
        line_roots(other, cell.u, r, r, &along, seeds);
    }
    for u in [cell.u.0, cell.u.1] {
        let along = |v: f64| along_v(domain, u, v);
        let speed = domain.scale(0.0).1;
        let bend = match domain.surface {
            Surface::Torus(_) | Surface::Sphere(_) | Surface::Canal(_) => speed,
            _ => 0.0,
        };
        line_roots(other, cell.v, speed, bend, &along, seeds);
    }
}

/// The point, and its derivative when u grows.
fn along_u(domain: &Domain, u: f64, v: f64) -> (P3, V3) {
    let derivative = match &domain.surface {
        Surface::Canal(s) => {
            let (point, along, _) = s.jet(u, v);
            return (point, along);
        }
        Surface::Plane(s) => s.frame.x,
        s => s.frame().radial(u + std::f64::consts::FRAC_PI_2) * domain.scale(v).0,
    };
    (domain.surface.point(u, v), derivative)
}

/// The point, and its derivative when v grows.
fn along_v(domain: &Domain, u: f64, v: f64) -> (P3, V3) {
    let radial = |f: &crate::geometry::Frame| f.radial(u);
    let derivative = match &domain.surface {
        Surface::Canal(s) => {
            let (point, _, across) = s.jet(u, v);
            return (point, across);
        }
        Surface::Plane(s) => s.frame.y,
        Surface::Cylinder(s) => s.frame.z,
        Surface::Cone(s) => radial(&s.frame) * s.half_angle.sin() + s.frame.z * s.half_angle.cos(),
        Surface::Sphere(s) => (s.frame.z * v.cos() - radial(&s.frame) * v.sin()) * s.radius,
        Surface::Torus(s) => (s.frame.z * v.cos() - radial(&s.frame) * v.sin()) * s.minor,
    };
    (domain.surface.point(u, v), derivative)
}

/// Roots of the other surface's distance along a parameter line of the given speed and second derivative.
fn line_roots(
    other: &Surface,
    range: (f64, f64),
    speed: f64,
    second: f64,
    along: &dyn Fn(f64) -> (P3, V3),
    seeds: &mut Vec<P3>,
) {
    let sample = |t: f64, half: f64| {
        let (p, d) = along(t);
        let jet = other.distance_jet(p);
        MidpointValues {
            value: jet.value,
            slope: jet.gradient.dot(&d),
            slope_bound: speed,
            bend_bound: jet.second_bound(speed * half) * speed * speed + second,
            bend: 0.0,
            bend_change: f64::INFINITY,
        }
    };
    for root in isolate_roots(range.0, range.1, ON_SURFACE, &sample) {
        // Where an edge only touches the curve the curve crosses a neighbouring edge as well.
        if root.crossing {
            seeds.push(along(root.t).0);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Canal, Cylinder, Frame, OffsetSurface, Plane, Spine};
    use std::f64::consts::FRAC_PI_2;
    use std::sync::Arc;

    const TUBE: f64 = 7.0;

    /// A ball's tube along half a circle in a level plane, counter-clockwise from a direction: a piece of a torus.
    fn tube(center: P3, radius: f64, from: f64) -> Canal {
        let frame = Frame::world().moved_to(center);
        let plane = Surface::Plane(Plane { frame });
        let wall = Surface::Cylinder(Cylinder { frame, radius });
        let marks: Vec<P3> =
            (0..=12).map(|k| center + frame.radial(from + f64::from(k) * 0.25) * radius).collect();
        let spine = Spine::along(&wall, &plane, &marks).expect("a circle");
        Canal::new(Arc::new(spine), TUBE, OffsetSurface { surface: plane, against: false })
    }

    /// Outside its bend a torus whose ring is narrower than its tube bends by `cos φ / (R + r cos φ)` and `1 / r` (a textbook's formula); the
    /// bound holds over each cell, and is no greater than twice that in small ones. Inside, sections cross.
    #[test]
    fn a_tube_that_turns_tightly_bends_little_outside() {
        let (center, ring) = (P3::new(105.0, 45.0, 0.3), 4.7);
        let canal = tube(center, ring, 0.0);
        let surface = Surface::Canal(Arc::new(canal.clone()));
        let (mut outside, mut inside) = (0, 0);
        for k in 0..40 {
            let v = -3.0 + 0.15 * f64::from(k);
            let cell = Cell { u: (5.0, 5.2), v: (v, v + 0.02) };
            let (u, middle) = cell.middle();
            let (p, normal) = canal.point_and_normal(u, middle);
            let w = p - center;
            let slope = (w.dot(&Frame::world().radial(u / ring)) - ring) / TUBE;
            let bound = cell.own_bend(&surface, normal);
            let exact = (slope / (ring + TUBE * slope)).abs().max(1.0 / TUBE);
            if ring + TUBE * slope < 0.3 {
                inside += 1;
                continue;
            }
            assert!(bound >= exact, "{bound} is less than {exact} at {v}");
            if slope > 0.0 {
                assert!(bound < 2.0 * exact, "{bound} is far more than {exact} at {v}");
                outside += 1;
            }
        }
        assert!(outside > 15 && inside > 3, "{outside} outside, {inside} inside");
    }

    /// Two such tubes that cross at about 60°, as rounded corners of drafted bodies do beside the parting plane, are told by few cells, and
    /// what is found lies on both by the formula of a torus.
    #[test]
    fn tubes_that_turn_tightly_are_told_by_few_cells() {
        let a = (P3::new(105.0, 45.0, 0.292), 4.7);
        let b = (P3::new(118.5, 39.0, -0.292), 10.7);
        let [first, second] = [a, b].map(|(center, ring)| tube(center, ring, 0.0));
        // Counted from the wall below: the outer sides of the tubes.
        let turned = first.angle(a.0 + V3::y() * (a.1 + TUBE));
        let v = (turned - FRAC_PI_2 + 0.1, turned + FRAC_PI_2 - 0.1);
        let length = first.spine.length();
        let domain = Domain { surface: Surface::Canal(Arc::new(first)), u: (0.0, length), v };
        let all = [Bounds::around([a.0 - V3::repeat(30.0), b.0 + V3::repeat(30.0)])];
        let other = Surface::Canal(Arc::new(second));
        let budget = SurveyBudget { cells: 3_000, undecided: 50 };
        let found = survey(&domain, &other, &all, &all, budget).expect("few cells");
        assert!(!found.seeds.is_empty(), "they cross");
        for seed in found.seeds {
            for (center, ring) in [a, b] {
                let w = seed - center;
                let off = (w.xy().norm() - ring).hypot(w.z) - TUBE;
                let within = w.y > 0.0;
                assert!(!within || off.abs() < 1e-6, "{seed} is {off} mm off");
            }
        }
    }
}
