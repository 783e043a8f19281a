//! Points, directions, placements, curves and surfaces, each written once.

use std::borrow::Cow;
use std::collections::BTreeMap;
use std::f64::consts::PI;

use crate::export::nets::spline::piece;
use crate::export::nets::{canal, sphere, turned};
use crate::geometry::{BSpline, Cone, Curve, Cylinder, Frame, P2, P3, Sphere, Stretch, Surface, Torus, V3};
use crate::solid::{Brep, BrepEdge, BrepFace};
use crate::tolerance::FILE_DIRECTION;

use super::part21::{Id, List, Part21, Real};

/// What has been written and can be shared.
#[derive(Default)]
pub(super) struct Geometry {
    stretch: Stretch,
    points: BTreeMap<[u64; 3], Id>,
    directions: BTreeMap<[u64; 3], Id>,
    placements: BTreeMap<[Id; 3], Id>,
    /// The context of paths on surfaces.
    parameters: Option<Id>,
}

/// Coordinates as a key; the sign of zero does not count.
fn bits(v: &V3) -> [u64; 3] {
    [v.x, v.y, v.z].map(|x| (x + 0.0).to_bits())
}

fn reals(v: &V3) -> [Real; 3] {
    [Real(v.x), Real(v.y), Real(v.z)]
}

impl Geometry {
    /// Nothing written yet, of a file that is stretched.
    pub(super) fn new(stretch: Stretch) -> Self {
        Self { stretch, ..Self::default() }
    }

    /// The image of a point under the file's stretch, mm.
    pub(super) fn image(&mut self, file: &mut Part21, p: P3) -> Id {
        let p = self.stretch.point(p);
        self.point(file, &p)
    }

    /// A point as it stands in the file, mm.
    fn point(&mut self, file: &mut Part21, p: &P3) -> Id {
        *self
            .points
            .entry(bits(&p.coords))
            .or_insert_with(|| file.add(format_args!("CARTESIAN_POINT('',{})", List(&reals(&p.coords)))))
    }

    /// A unit direction; components that are rounding noise become zero.
    fn direction(&mut self, file: &mut Part21, d: &V3) -> Id {
        let d = d.map(|x| if x.abs() < FILE_DIRECTION { 0.0 } else { x });
        *self
            .directions
            .entry(bits(&d))
            .or_insert_with(|| file.add(format_args!("DIRECTION('',{})", List(&reals(&d)))))
    }

    /// A placement: origin, z axis, x axis.
    pub(super) fn placement(&mut self, file: &mut Part21, frame: &Frame) -> Id {
        let origin = self.point(file, &frame.origin);
        let z = self.direction(file, &frame.z);
        let x = self.direction(file, &frame.x);
        *self
            .placements
            .entry([origin, z, x])
            .or_insert_with(|| file.add(format_args!("AXIS2_PLACEMENT_3D('',{origin},{z},{x})")))
    }

    /// The image of an edge's curve, running from the edge's start to its end.
    pub(super) fn curve(&mut self, file: &mut Part21, edge: &BrepEdge) -> Id {
        let curve = if self.stretch.is_none() {
            Cow::Borrowed(&edge.curve)
        } else {
            Cow::Owned(edge.curve.stretched(&self.stretch))
        };
        match curve.as_ref() {
            Curve::Line(c) => {
                let origin = self.point(file, &c.origin);
                let dir = self.direction(file, &c.dir);
                let vector = file.add(format_args!("VECTOR('',{dir},1.)"));
                file.add(format_args!("LINE('',{origin},{vector})"))
            }
            Curve::Circle(c) => {
                let at = self.placement(file, &c.frame);
                file.add(format_args!("CIRCLE('',{at},{})", Real(c.radius)))
            }
            Curve::Ellipse(c) => {
                let at = self.placement(file, &c.frame);
                file.add(format_args!("ELLIPSE('',{at},{},{})", Real(c.major), Real(c.minor)))
            }
            // Only the edge's own piece, so that no reader has to guess which way around a closed curve.
            Curve::Spline(c) => self.spline(file, &piece(c, edge.range)),
        }
    }

    fn spline(&mut self, file: &mut Part21, c: &BSpline) -> Id {
        let control: Vec<Id> = c.control.iter().map(|p| self.point(file, p)).collect();
        bspline(file, &control, &c.knots)
    }

    /// A path on a written surface, in its parameters (x and y).
    pub(super) fn path(&mut self, file: &mut Part21, surface: Id, path: &BSpline) -> Id {
        let context = *self.parameters.get_or_insert_with(|| {
            file.add(format_args!(
                "(GEOMETRIC_REPRESENTATION_CONTEXT(2)PARAMETRIC_REPRESENTATION_CONTEXT()\
                 REPRESENTATION_CONTEXT('','parameters of surfaces'))"
            ))
        });
        let point = |p: &P3| file.add(format_args!("CARTESIAN_POINT('',{})", List(&[Real(p.x), Real(p.y)])));
        let control: Vec<Id> = path.control.iter().map(point).collect();
        let curve = bspline(file, &control, &path.knots);
        let representation = file.add(format_args!("DEFINITIONAL_REPRESENTATION('',({curve}),{context})"));
        file.add(format_args!("PCURVE('',{surface},{representation})"))
    }

    /// The image of a face's surface, placed so that the face does not run over the surface's seam. Where the image is
    /// of none of the analytic kinds, only the piece that holds the face.
    pub(super) fn surface(&mut self, file: &mut Part21, brep: &Brep, face: &BrepFace) -> Id {
        let (frame, by) = (seam_behind(face), self.stretch);
        match &face.surface {
            Surface::Plane(s) => {
                let at = self.placement(file, &s.stretched(&by).frame);
                file.add(format_args!("PLANE('',{at})"))
            }
            Surface::Cylinder(s) => match (Cylinder { frame, ..*s }).stretched(&by) {
                Some(s) => {
                    let at = self.placement(file, &s.frame);
                    file.add(format_args!("CYLINDRICAL_SURFACE('',{at},{})", Real(s.radius)))
                }
                None => turned::net(brep, face, s).write(self, file),
            },
            Surface::Cone(s) => match (Cone { frame, ..*s }).stretched(&by) {
                Some(s) => {
                    let height = self.widest_height(brep, face, &s);
                    let at = self.placement(file, &s.frame.moved_to(s.frame.origin + s.frame.z * height));
                    let (radius, angle) = (Real(height * s.half_angle.tan()), Real(s.half_angle));
                    file.add(format_args!("CONICAL_SURFACE('',{at},{radius},{angle})"))
                }
                None => turned::net(brep, face, s).write(self, file),
            },
            Surface::Sphere(s) => match (Sphere { frame, ..*s }).stretched(&by) {
                Some(s) => {
                    let at = self.placement(file, &s.frame);
                    file.add(format_args!("SPHERICAL_SURFACE('',{at},{})", Real(s.radius)))
                }
                None => sphere::net(brep, face, s).write(self, file),
            },
            Surface::Torus(s) => match (Torus { frame, ..*s }).stretched(&by) {
                Some(s) => {
                    let at = self.placement(file, &s.frame);
                    file.add(format_args!("TOROIDAL_SURFACE('',{at},{},{})", Real(s.major), Real(s.minor)))
                }
                None => turned::net(brep, face, s).write(self, file),
            },
            Surface::Canal(s) => canal::net(brep, face, s).write(self, file),
        }
    }

    /// Height over the apex of the cone's image, mm, of the face's vertex farthest from it: there a cone is placed,
    /// because readers lose digits where the radius is small.
    fn widest_height(&self, brep: &Brep, face: &BrepFace, image: &Cone) -> f64 {
        let vertices = face.loops.iter().flatten().map(|h| brep.vertices[brep.tail(*h)]);
        vertices.map(|p| image.frame.local(self.stretch.point(p)).z).fold(0.0, f64::max)
    }
}

/// A clamped cubic B-spline curve over written control points.
fn bspline(file: &mut Part21, control: &[Id], knots: &[f64]) -> Id {
    let knots: Vec<Real> = knots.iter().copied().map(Real).collect();
    let mut multiplicities = vec![1; knots.len()];
    for end in [0, knots.len() - 1] {
        multiplicities[end] = 4;
    }
    file.add(format_args!(
        "B_SPLINE_CURVE_WITH_KNOTS('',3,{},.UNSPECIFIED.,.F.,.F.,{},{},.UNSPECIFIED.)",
        List(control),
        List(&multiplicities),
        List(&knots)
    ))
}

/// The frame of a turned surface with its seam (angle zero) half a turn away from the face's middle: a face
/// of at most half a turn then never touches it. A plane's frame as it is.
fn seam_behind(face: &BrepFace) -> Frame {
    let frame = face.surface.frame();
    if !face.surface.is_turned() {
        return *frame;
    }
    // On a cone the middle of the map is the apex, which has no angle: go up the wall.
    let middle = if matches!(face.surface, Surface::Cone(_)) { P2::new(0.0, 1.0) } else { P2::origin() };
    let (u, _) = face.surface.params(face.chart.to_space(middle));
    frame.turned(u + PI)
}
