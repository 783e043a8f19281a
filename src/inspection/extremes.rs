//! Elements that touch: minimum zone, maximum inscribed, minimum circumscribed.
//!
//! Distances of the points from a plane or an axis are linearised about the present place, and the best small move follows
//! from a linear program; the step is made shorter where the true distances do not follow, until none improves. At the end
//! as many points touch as there are unknowns, so the convergence is quadratic (sequential linear programming).
//! Does not promise: the best of all places far from the start; starts are least-squares fits.

use super::cone::FittedCone;
use super::linear_program::LinearProgram;
use solidwright::geometry::{Frame, P3};

/// What is sought.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Aim {
    /// The greatest least distance: the largest pin in a hole.
    Inscribed,
    /// The least greatest distance: the smallest ring about a spigot.
    Circumscribed,
    /// The least difference between greatest and least distance: flatness, roundness.
    Zone,
}

/// An element that touches its points.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Touching {
    /// The axis, or the plane's normal, along z.
    pub frame: Frame,
    /// Least distance of a point: from the axis, or along the normal, mm.
    pub least: f64,
    /// Greatest distance, mm.
    pub greatest: f64,
    /// Angle between a cone's axis and its wall, radians: distances are square to that wall. Nothing for others.
    pub half_angle: f64,
}

impl Touching {
    /// The width of the zone, mm.
    pub fn width(&self) -> f64 {
        self.greatest - self.least
    }
}

/// Which moves an element may make.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Moves {
    /// A plane tilts.
    Plane,
    /// An axis shifts and tilts.
    Axis,
    /// An axis of fixed direction shifts.
    Shift,
    /// A cone's axis shifts and tilts, and its half angle changes.
    Cone,
}

/// The plane whose points lie within the narrowest zone, from a plane near it.
pub fn plane(points: &[P3], start: Frame) -> Touching {
    improved(points, start, Moves::Plane, Aim::Zone)
}

/// The axis that is best for an aim, from one near it.
pub fn axis(points: &[P3], start: Frame, aim: Aim) -> Touching {
    improved(points, start, Moves::Axis, aim)
}

/// The same with a fixed direction.
pub fn axis_along(points: &[P3], start: Frame, aim: Aim) -> Touching {
    improved(points, start, Moves::Shift, aim)
}

/// The cone whose points lie within the narrowest zone between two cones of its axis and angle, from a cone near it.
pub fn cone(points: &[P3], start: &FittedCone) -> Touching {
    from(points, start.frame, start.half_angle, Moves::Cone, Aim::Zone)
}

/// The least and the greatest of some values.
pub(super) fn range(values: impl Iterator<Item = f64>) -> [f64; 2] {
    values.fold([f64::INFINITY, f64::NEG_INFINITY], |[least, greatest], x| [least.min(x), greatest.max(x)])
}

/// A distance, and how it changes with the unknowns.
fn distance(now: &Touching, p: &P3, moves: Moves) -> (f64, [f64; 5]) {
    let q = now.frame.local(*p);
    if moves == Moves::Plane {
        return (q.z, [q.x, q.y, 0.0, 0.0, 0.0]);
    }
    let radius = q.x.hypot(q.y);
    let (x, y) = if radius > 0.0 { (q.x / radius, q.y / radius) } else { (1.0, 0.0) };
    let (sin, cos) = now.half_angle.sin_cos();
    // A tilt moves a place across the axis by its height, and along it by how far it lies out.
    let tilted = |out: f64, across: f64| -out * q.z * cos - across * sin;
    let slopes = [-x * cos, -y * cos, tilted(x, q.x), tilted(y, q.y), -radius * sin - q.z * cos];
    (radius * cos - q.z * sin, slopes)
}

fn unknowns(moves: Moves) -> usize {
    match moves {
        Moves::Plane | Moves::Shift => 2,
        Moves::Axis => 4,
        Moves::Cone => 5,
    }
}

fn moved(frame: &Frame, moves: Moves, by: &[f64]) -> Frame {
    match moves {
        Moves::Plane => Frame::from_zx(frame.origin, frame.vector(by[0], by[1], 1.0), frame.x),
        Moves::Shift => frame.moved_to(frame.point(by[0], by[1], 0.0)),
        Moves::Axis | Moves::Cone => {
            Frame::from_zx(frame.point(by[0], by[1], 0.0), frame.vector(by[2], by[3], 1.0), frame.x)
        }
    }
}

fn at(points: &[P3], frame: Frame, half_angle: f64, moves: Moves) -> Touching {
    let now = Touching { frame, least: 0.0, greatest: 0.0, half_angle };
    let [least, greatest] = range(points.iter().map(|p| distance(&now, p, moves).0));
    Touching { least, greatest, ..now }
}

/// What is to grow.
fn merit(t: &Touching, aim: Aim) -> f64 {
    match aim {
        Aim::Inscribed => t.least,
        Aim::Circumscribed => -t.greatest,
        Aim::Zone => -t.width(),
    }
}

fn improved(points: &[P3], start: Frame, moves: Moves, aim: Aim) -> Touching {
    from(points, start, 0.0, moves, aim)
}

fn from(points: &[P3], start: Frame, half_angle: f64, moves: Moves, aim: Aim) -> Touching {
    const STEPS: usize = 60;
    const FINE: f64 = 1e-11;
    const NO_GAIN: f64 = 1e-10;
    // The frame stands in the middle of its points, so that tilts and shifts are of one size.
    let along = points.iter().map(|p| start.local(*p).z).sum::<f64>() / points.len().max(1) as f64;
    let start = if moves == Moves::Plane { start } else { start.moved_to(start.point(0.0, 0.0, along)) };
    let mut best = at(points, start, half_angle, moves);
    let lever = points.iter().map(|p| (p - best.frame.origin).norm()).fold(1.0, f64::max);
    let mut reach = best.width().max(1e-6);
    for _ in 0..STEPS {
        if reach < FINE {
            break;
        }
        let Some((by, promised)) = step(points, &best, moves, aim, reach, lever) else { break };
        // No small move helps any more: the place is a local best.
        if promised < NO_GAIN {
            break;
        }
        let wider = if moves == Moves::Cone { by[4] } else { 0.0 };
        let next = at(points, moved(&best.frame, moves, &by), best.half_angle + wider, moves);
        let gain = merit(&next, aim) - merit(&best, aim);
        if gain > 0.0 {
            best = next;
        } else {
            reach *= 0.2;
        }
    }
    best
}

/// The best small move, and what it would gain if distances were linear.
fn step(
    points: &[P3],
    now: &Touching,
    moves: Moves,
    aim: Aim,
    reach: f64,
    lever: f64,
) -> Option<(Vec<f64>, f64)> {
    let n = unknowns(moves);
    // Behind the move: by how much the least distance grows, and the greatest one.
    let (low, high) = match aim {
        Aim::Inscribed => (1.0, 0.0),
        Aim::Circumscribed => (0.0, -1.0),
        Aim::Zone => (1.0, -1.0),
    };
    let mut all = vec![0.0; n];
    all.extend([low, high]);
    let tilt = reach / lever;
    let mut box_ = match moves {
        Moves::Plane => vec![tilt; 2],
        Moves::Shift => vec![reach; 2],
        Moves::Axis => vec![reach, reach, tilt, tilt],
        Moves::Cone => vec![reach, reach, tilt, tilt, tilt],
    };
    let free = 10.0 * (reach * 4.0 + now.width());
    box_.extend([free, free]);
    let mut program = LinearProgram::new(&all, &box_);
    for p in points {
        let (d, slope) = distance(now, p, moves);
        let mut row = vec![0.0; n + 2];
        if low != 0.0 {
            (0..n).for_each(|k| row[k] = -slope[k]);
            row[n] = 1.0;
            program.at_most(&row, d - now.least);
        }
        if high != 0.0 {
            (0..n).for_each(|k| row[k] = slope[k]);
            (row[n], row[n + 1]) = (0.0, -1.0);
            program.at_most(&row, now.greatest - d);
        }
    }
    program.best().map(|best| (best.at[..n].to_vec(), best.value))
}

#[cfg(test)]
mod tests {
    use super::*;
    use solidwright::geometry::V3;

    /// By hand: the equilateral triangle about the origin, seen along z; the ring about it has the radius of its corners.
    #[test]
    fn a_triangles_ring_passes_through_its_corners() {
        let corner = |k: u32, z: f64| {
            let (s, c) = (std::f64::consts::TAU * f64::from(k) / 3.0).sin_cos();
            P3::new(10.0 * c, 10.0 * s, z)
        };
        let mut points: Vec<P3> = (0..3).map(|k| corner(k, 0.0)).collect();
        points.push(P3::new(1.0, 2.0, 3.0));
        let start = Frame::from_z(P3::new(0.3, -0.2, 0.0), V3::z());
        let ring = axis_along(&points, start, Aim::Circumscribed);
        assert!((ring.greatest - 10.0).abs() < 1e-9, "{ring:?}");
        assert!(ring.frame.origin.coords.xy().norm() < 1e-8, "{ring:?}");
    }

    /// By hand: four corners of a square of 2 on a plane, alternately 0 and 1 high: the narrowest zone is 1 wide and level
    /// by symmetry, and the plane by least squares gives the same; raised at one corner only, the zone is half as wide, since
    /// it tilts about the diagonal.
    #[test]
    fn flatness_of_four_corners() {
        let zone = |heights: [f64; 4]| {
            let at = [[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]];
            let points: Vec<P3> = at.iter().zip(heights).map(|([x, y], z)| P3::new(*x, *y, z)).collect();
            plane(&points, Frame::world()).width()
        };
        assert!((zone([0.0, 0.1, 0.0, 0.1]) - 0.1).abs() < 1e-9, "saddle: {}", zone([0.0, 0.1, 0.0, 0.1]));
        assert!((zone([0.1, 0.0, 0.0, 0.0]) - 0.05).abs() < 1e-4, "corner: {}", zone([0.1, 0.0, 0.0, 0.0]));
    }

    /// By hand: a hole of radius 20 with three lobes of 0.01: the pin has 19.99, the ring 20.01, both on the axis.
    #[test]
    fn three_lobes_leave_a_pin_and_a_ring() {
        let direction = V3::new(0.1, 0.2, 1.0).normalize();
        let frame = Frame::from_z(P3::new(3.0, 4.0, 5.0), direction);
        let mut points = Vec::new();
        for z in [0.0, 15.0, 30.0] {
            for k in 0..24 {
                let angle = std::f64::consts::TAU * f64::from(k) / 24.0;
                let r = 20.0 + 0.01 * (3.0 * angle).cos();
                points.push(frame.origin + frame.radial(angle) * r + frame.z * z);
            }
        }
        let start = Frame::from_z(P3::new(3.01, 3.99, 5.0), V3::new(0.1003, 0.1997, 1.0));
        for (aim, wanted) in [(Aim::Inscribed, 19.99), (Aim::Circumscribed, 20.01)] {
            let found = axis(&points, start, aim);
            let radius = if aim == Aim::Inscribed { found.least } else { found.greatest };
            assert!((radius - wanted).abs() < 1e-9, "{aim:?}: {radius}");
            assert!(found.frame.z.cross(&direction).norm() < 1e-8, "{aim:?}");
        }
    }
}
