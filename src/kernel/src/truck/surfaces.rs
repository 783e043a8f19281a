//! Faces' surfaces as those of `truck-modeling`, each only the piece that holds the face.

use std::f64::consts::PI;

use truck_modeling::{
    BSplineSurface, Curve as TruckCurve, KnotVec, Line, NurbsSurface, Plane, Processor, RevolutedCurve,
    Surface as TruckSurface, Vector3,
};

use super::curves::{homogeneous, rational};
use super::{TruckError, place, point};
use crate::export::nets::turned::{Meridian, Turned, ranges};
use crate::export::nets::{Net, canal, sphere};
use crate::geometry::Surface;
use crate::solid::{Brep, BrepFace};

/// The surface of a face, with the same normal.
pub(super) fn surface(brep: &Brep, face: &BrepFace) -> Result<TruckSurface, TruckError> {
    let made = match &face.surface {
        Surface::Plane(s) => {
            let f = &s.frame;
            Ok(Plane::new(point(f.origin), point(f.origin + f.x), point(f.origin + f.y)).into())
        }
        Surface::Cylinder(s) => turned(brep, face, s),
        Surface::Cone(s) => turned(brep, face, s),
        Surface::Torus(s) => turned(brep, face, s),
        Surface::Sphere(s) => nurbs(sphere::net(brep, face, s)),
        Surface::Canal(s) => nurbs(canal::net(brep, face, s)),
    };
    made.map_err(|reason| TruckError::Spline { at: place(brep, face), reason })
}

/// A turned surface. Its meridian stands half a turn away from the face's middle: no face crosses it.
fn turned(brep: &Brep, face: &BrepFace, turned: &impl Turned) -> Result<TruckSurface, String> {
    let (around, along) = ranges(brep, face);
    let frame = face.surface.frame();
    let out = frame.radial(f64::midpoint(around.0, around.1) + PI);
    let Meridian { mut direction, poles } = turned.meridian(along);
    let place = |(r, z): (f64, f64)| frame.origin + out * r + frame.z * z;
    // Against its own sense: the normal of the turned curve is that along the curve times that around the axis.
    let curve: TruckCurve = if let [(r0, z0, _), (r1, z1, _)] = poles[..] {
        Line(point(place((r1, z1))), point(place((r0, z0)))).into()
    } else {
        let (first, last) = (direction.knots[0], direction.knots[direction.knots.len() - 1]);
        direction.knots = direction.knots.iter().rev().map(|k| first + last - k).collect();
        let poles = poles.iter().rev().map(|(r, z, weight)| homogeneous(place((*r, *z)), *weight));
        rational(&direction, poles.collect())?
    };
    let axis = Vector3::new(frame.z.x, frame.z.y, frame.z.z);
    let turned = RevolutedCurve::by_revolution(curve, point(frame.origin), axis);
    Ok(TruckSurface::RevolutedCurve(Processor::new(turned)))
}

/// A net of poles.
fn nurbs(net: Net) -> Result<TruckSurface, String> {
    let knots = (KnotVec::from(net.u.full_knots()), KnotVec::from(net.v.full_knots()));
    let row = |row: Vec<_>| row.into_iter().map(|(p, weight)| homogeneous(p, weight)).collect();
    let spline = BSplineSurface::try_new(knots, net.poles.into_iter().map(row).collect());
    spline.map(|s| NurbsSurface::new(s).into()).map_err(|e| e.to_string())
}
