//! A piece of a sphere as a rational B-spline surface: exact, and still exact under a stretch that makes it an ellipsoid.

use crate::geometry::Sphere;
use crate::solid::{Brep, BrepFace};

use super::{Direction, Net, edge_points};

/// How far the written piece runs on beyond the face, as a share of the radius.
const MARGIN: f64 = 0.02;

/// The piece of a sphere that holds the face. Its parameters are those of the stereographic projection on which the
/// face is mapped, over the diameter, not longitude and latitude: it has no poles in which all lines of longitude meet,
/// and readers lose their way there.
///
/// The point at (x, y) is (2x, 2y, 1 − x² − y²) · radius / (1 + x² + y²) in the map's frame: quadratic in both above and
/// below. In spans of at most 1 no weight comes below 1/2.
pub(crate) fn net(brep: &Brep, face: &BrepFace, sphere: &Sphere) -> Net {
    let frame = face.chart.surface().frame();
    let (mut lo, mut hi) = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
    for p in edge_points(brep, face) {
        let q = face.chart.to_flat(p) / (2.0 * sphere.radius);
        for k in 0..2 {
            (lo[k], hi[k]) = (lo[k].min(q[k] - MARGIN), hi[k].max(q[k] + MARGIN));
        }
    }
    let ((u, rows), (v, columns)) = (Direction::quadratic(lo[0], hi[0]), Direction::quadratic(lo[1], hi[1]));
    let pole = |a: &[f64; 2], b: &[f64; 2]| {
        let squares = a[0] * a[1] + b[0] * b[1];
        let (weight, above) = (1.0 + squares, 1.0 - squares);
        let scale = sphere.radius / weight;
        (frame.point((a[0] + a[1]) * scale, (b[0] + b[1]) * scale, above * scale), weight)
    };
    let poles = rows.iter().map(|a| columns.iter().map(|b| pole(a, b)).collect()).collect();
    Net { u, v, poles }
}
