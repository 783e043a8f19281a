//! Rational B-spline surfaces as text.

use crate::export::nets::Net;

use super::geometry::Geometry;
use super::part21::{Id, List, Part21, Real};

impl Net {
    /// Writes the image of the surface under the file's stretch: the surface of the poles' images, exactly, since the
    /// points of a rational B-spline are weighted means of its poles.
    pub(super) fn write(&self, geometry: &mut Geometry, file: &mut Part21) -> Id {
        let (mut rows, mut weights) = (Vec::new(), Vec::new());
        for row in &self.poles {
            let ids: Vec<Id> = row.iter().map(|(p, _)| geometry.image(file, *p)).collect();
            rows.push(List(&ids).to_string());
            weights.push(List(&reals(row.iter().map(|(_, w)| *w))).to_string());
        }
        file.add(format_args!(
            "(BOUNDED_SURFACE()B_SPLINE_SURFACE({},{},({}),.UNSPECIFIED.,.F.,.F.,.F.)B_SPLINE_SURFACE_WITH_KNOTS({},{},{},{},.UNSPECIFIED.)GEOMETRIC_REPRESENTATION_ITEM()RATIONAL_B_SPLINE_SURFACE(({}))REPRESENTATION_ITEM('')SURFACE())",
            self.u.degree,
            self.v.degree,
            rows.join(","),
            List(&self.u.multiplicities()),
            List(&self.v.multiplicities()),
            List(&reals(self.u.knots.iter().copied())),
            List(&reals(self.v.knots.iter().copied())),
            weights.join(",")
        ))
    }
}

fn reals(numbers: impl Iterator<Item = f64>) -> Vec<Real> {
    numbers.map(Real).collect()
}
