//! Rigid motions: how a part lies, and the best motion between two sets of places or onto surfaces.

use nalgebra::{Matrix3, Matrix6, Rotation3, Vector6};
use solidwright::geometry::{P3, V3};

/// A turn about the origin, then a shift.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Placement {
    /// The turn.
    pub turn: Rotation3<f64>,
    /// The shift, mm.
    pub shift: V3,
}

impl Placement {
    /// No motion.
    pub fn none() -> Self {
        Self { turn: Rotation3::identity(), shift: V3::zeros() }
    }

    /// A place after the motion.
    pub fn moved(&self, p: P3) -> P3 {
        self.turn * p + self.shift
    }

    /// The motion back.
    #[must_use]
    pub fn inverse(&self) -> Self {
        let back = self.turn.inverse();
        Self { turn: back, shift: -(back * self.shift) }
    }

    /// Turns about the fixed axes X, then Y, then Z, radians, that give the turn.
    pub fn turns(&self) -> [f64; 3] {
        let (x, y, z) = self.turn.euler_angles();
        [x, y, z]
    }

    /// The angle of the whole turn, radians.
    pub fn angle(&self) -> f64 {
        self.turn.angle()
    }

    /// The same followed by a small motion: a shift and a turn (axis times angle) about a centre.
    #[must_use]
    pub fn then(&self, shift: V3, turn: V3, centre: P3) -> Self {
        let by = Rotation3::from_scaled_axis(turn);
        let about = centre.coords - by * centre.coords;
        Self { turn: by * self.turn, shift: by * self.shift + about + shift }
    }
}

/// The best motion between places that belong together, and what it tells of mistakes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Paired {
    /// The motion.
    pub(super) by: Placement,
    /// By what the first places would have to be enlarged.
    pub(super) scale: f64,
    /// What is left, root mean square, mm.
    pub(super) rest: f64,
    /// The same if one axis is mirrored.
    pub(super) rest_mirrored: f64,
}

/// The motion with the least squares between pairs of places (W. Kabsch, Acta Cryst. A 32, 1976, p. 922, by the singular values;
/// from memory). `None` where the places lie on a line.
pub(super) fn paired(from: &[P3], to: &[P3]) -> Option<Paired> {
    let count = from.len().min(to.len());
    if count < 3 {
        return None;
    }
    let (a, b) = (super::least_squares::middle(from), super::least_squares::middle(to));
    let mut cross = Matrix3::zeros();
    let (mut own, mut other) = (0.0, 0.0);
    for (p, q) in from.iter().zip(to) {
        let (p, q) = (p - a, q - b);
        cross += p * q.transpose();
        own += p.norm_squared();
        other += q.norm_squared();
    }
    let svd = cross.svd(true, true);
    let (u, v) = (svd.u?, svd.v_t?.transpose());
    let mut order = [0, 1, 2];
    order.sort_by(|i, j| svd.singular_values[*j].total_cmp(&svd.singular_values[*i]));
    let [first, second, third] = order.map(|k| svd.singular_values[k]);
    if second <= 1e-6 * first || own <= 0.0 {
        return None;
    }
    let flipped = (v * u.transpose()).determinant() < 0.0;
    let mut sense = Matrix3::identity();
    if flipped {
        sense[(order[2], order[2])] = -1.0;
    }
    let turn = Rotation3::from_matrix_unchecked(v * sense * u.transpose());
    let rest = |s: f64| ((own + other - 2.0 * (first + second + s * third)).max(0.0) / count as f64).sqrt();
    let proper = if flipped { -1.0 } else { 1.0 };
    Some(Paired {
        by: Placement { turn, shift: b.coords - turn * a.coords },
        scale: (other / own).sqrt(),
        rest: rest(proper),
        rest_mirrored: rest(-proper),
    })
}

/// Improves a motion until places lie on their surfaces with the least sum of squared distances (Gauss-Newton). `distance` tells how
/// far the place of a number lies off its surface, along which direction, and with which weight.
///
/// What no place determines stays as it was.
pub(super) fn onto_surfaces(
    places: &[P3],
    start: Placement,
    distance: impl Fn(usize, P3) -> Option<(f64, V3, f64)>,
) -> Placement {
    const STEPS: usize = 60;
    const DONE: f64 = 1e-11;
    const UNDETERMINED: f64 = 1e-9;
    let mut by = start;
    for _ in 0..STEPS {
        let moved: Vec<P3> = places.iter().map(|p| by.moved(*p)).collect();
        let centre = super::least_squares::middle(&moved);
        let lever = moved.iter().map(|p| (p - centre).norm()).fold(1.0, f64::max);
        let (mut left, mut right) = (Matrix6::zeros(), Vector6::zeros());
        for (k, p) in moved.iter().enumerate() {
            let Some((off, along, weight)) = distance(k, *p) else { continue };
            let around = (p - centre).cross(&along) / lever;
            let row = Vector6::new(along.x, along.y, along.z, around.x, around.y, around.z);
            left += row * row.transpose() * weight;
            right -= row * off * weight;
        }
        let eigen = left.symmetric_eigen();
        let most = eigen.eigenvalues.max();
        let mut step = Vector6::zeros();
        for k in 0..6 {
            let (value, vector) = (eigen.eigenvalues[k], eigen.eigenvectors.column(k));
            if value > UNDETERMINED * most {
                step += vector * (vector.dot(&right) / value);
            }
        }
        by = by.then(V3::new(step[0], step[1], step[2]), V3::new(step[3], step[4], step[5]) / lever, centre);
        if step.norm() < DONE {
            break;
        }
    }
    by
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: a motion that is put on is found again; of mirrored places the mirror is told, of inches the scale.
    #[test]
    fn a_known_motion_is_found_again() {
        let from = [
            P3::new(0.0, 0.0, 0.0),
            P3::new(300.0, 10.0, 0.0),
            P3::new(40.0, 90.0, 20.0),
            P3::new(10.0, -30.0, 110.0),
        ];
        let by = Placement {
            turn: Rotation3::from_euler_angles(0.4, -1.0, 2.5),
            shift: V3::new(100.0, -50.0, 7.0),
        };
        let found = paired(&from, &from.map(|p| by.moved(p))).expect("a motion");
        for p in from {
            assert!((found.by.moved(p) - by.moved(p)).norm() < 1e-9, "{found:?}");
            assert!((by.inverse().moved(by.moved(p)) - p).norm() < 1e-12 * 1e3, "there and back");
        }
        let mirrored = paired(&from.map(|p| P3::new(p.x, -p.y, p.z)), &from).expect("a motion");
        assert!(mirrored.rest > 10.0 && mirrored.rest_mirrored < 1e-6, "{mirrored:?}");
        let inches = paired(&from.map(|p| P3::from(p.coords / 25.4)), &from).expect("a motion");
        assert!((inches.scale - 25.4).abs() < 1e-9, "{inches:?}");
    }
}
