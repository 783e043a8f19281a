//! Hollows that a ball can't reach from outside: the fillets around them have closed them off, so they are filled.
//!
//! Such a hollow is a void of the offset solid: places where the ball would fit, but to which it can't come. No mould makes
//! it either. Rods with round ends are put into it that leave no room for the ball's centre; what is left between them and the walls
//! is a narrow gap, and filled like any other.

use std::collections::BTreeSet;

use nalgebra::{Matrix3, Rotation3, SymmetricEigen};

use super::filled_places::rod;
use crate::geometry::{P3, V3};
use crate::solid::brep::{Brep, BrepShell};
use crate::solid::{Primitive, Tag};

/// Radius of a rod, in those of the ball.
const ROD: f64 = 0.15;

/// Greatest distance of a centre from a rod's axis that it takes the room from, in radii of the ball: less than its radius and the
/// rod's, because extents are told by points of edges.
const REACH: f64 = 1.0;

/// Odd angles by which rods lean off the axes of a hollow: walls like to lie along those, and what lies nearly along them, but not
/// just so, takes the evaluator long.
const LEAN: [f64; 3] = [0.021, -0.034, 0.027];

/// Greatest number of rods for one hollow: a larger one is left as it is.
const MOST: usize = 12;

/// Points taken from each edge.
const POINTS: u32 = 9;

/// What fills a hollow.
pub(super) struct Filling {
    /// The faces about it.
    pub(super) tags: BTreeSet<Tag>,
    pub(super) rods: Vec<Primitive>,
}

/// Bodies that leave no room for the ball's centre in the voids of an offset solid.
pub(super) fn fillings(offset: &Brep, radius: f64) -> Vec<Filling> {
    offset.shells.iter().filter(|s| s.void).filter_map(|s| filling(offset, s, radius)).collect()
}

/// Rods along the longest axis of a void, side by side over its section.
fn filling(offset: &Brep, void: &BrepShell, radius: f64) -> Option<Filling> {
    let halves = void.faces.iter().flat_map(|f| offset.faces[*f].loops.iter().flatten());
    let points: Vec<P3> = halves
        .flat_map(|h| (0..POINTS).map(|k| offset.edge_point(h.edge, f64::from(k) / f64::from(POINTS - 1))))
        .collect();
    let tag = &offset.faces[*void.faces.first()?].tag;
    let axes = turned(principal_axes(&points));
    let extent = axes.map(|a| {
        let along = points.iter().map(|p| p.coords.dot(&a));
        along.fold((f64::INFINITY, f64::NEG_INFINITY), |(lo, hi), x| (lo.min(x), hi.max(x)))
    });
    let size = extent.map(|(lo, hi)| hi - lo);
    // A tile of the section lies within reach of the rod along its middle.
    let across = std::f64::consts::SQRT_2 * REACH * radius;
    let count = [1, 2].map(|k| (size[k] / across).ceil().max(1.0) as usize);
    if count[0] * count[1] > MOST {
        return None;
    }
    let tile = [size[1] / count[0] as f64, size[2] / count[1] as f64];
    let aside = 0.5 * tile[0].hypot(tile[1]);
    let ahead = (REACH * REACH * radius * radius - aside * aside).max(0.0).sqrt();
    let half = (0.5 * size[0] - ahead).max(0.0);
    let mut out = Vec::new();
    for i in 0..count[0] {
        for j in 0..count[1] {
            let at = [
                0.5 * (extent[0].0 + extent[0].1),
                extent[1].0 + tile[0] * (i as f64 + 0.5),
                extent[2].0 + tile[1] * (j as f64 + 0.5),
            ];
            let middle = axes.iter().zip(at).fold(P3::origin(), |p, (a, x)| p + a * x);
            out.push(rod(middle, axes, half, ROD * radius, tag)?);
        }
    }
    let tags = void.faces.iter().map(|f| offset.faces[*f].tag.clone()).collect();
    Some(Filling { tags, rods: out })
}

/// Axes turned by odd angles.
fn turned(axes: [V3; 3]) -> [V3; 3] {
    let turn = Rotation3::from_euler_angles(LEAN[0], LEAN[1], LEAN[2]);
    axes.map(|a| turn * a)
}

/// The axes along which points spread, the longest first, as a right-handed frame.
fn principal_axes(points: &[P3]) -> [V3; 3] {
    let mean = points.iter().map(|p| p.coords).sum::<V3>() / points.len().max(1) as f64;
    let spread = points.iter().map(|p| p.coords - mean).map(|v| v * v.transpose()).sum::<Matrix3<f64>>();
    let eigen = SymmetricEigen::new(spread);
    let mut order = [0, 1, 2];
    order.sort_by(|a, b| eigen.eigenvalues[*b].total_cmp(&eigen.eigenvalues[*a]));
    let [x, y] = [0, 1].map(|k| V3::from(eigen.eigenvectors.column(order[k])).normalize());
    [x, y, x.cross(&y)]
}
