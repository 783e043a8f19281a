//! Probe points for a coordinate measuring machine: on the exact faces, with normals, reachable by a straight stylus.
//!
//! A stylus reaches a point if the ball's centre, one radius off the surface, is free, and a stem that runs from there in one
//! direction, as long as the stylus, meets nothing: rays along it and distances from places on it are asked of the exact
//! boundary. Directions are the six axes of the part, the element's own, and those between.
//! Does not promise: that the head itself has room; the sheet tells how long a stylus the point needs.

use super::characteristic::MeasuringSheet;
use super::core_places;
use super::elements::{ElementShape, MeasuredElement, axial_span};
use super::evaluation::DatumElements;
use super::finished::is_tapped;
use crate::faces::Role;
use solidwright::geometry::{Frame, P3, V3};
use solidwright::probe::Probe;

/// A straight stylus.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stylus {
    /// Radius of its ball, mm.
    pub ball: f64,
    /// Radius of its stem, mm.
    pub stem: f64,
    /// Its length from the ball's centre to the head, mm.
    pub length: f64,
}

/// The stylus that points are chosen for: a ball of 3 mm on a stem of 2 mm, 100 mm long (common practice).
pub const STYLUS: Stylus = Stylus { ball: 1.5, stem: 1.0, length: 100.0 };

/// Least distance of a point from the edges of its element, mm: clear of burrs, and the ball does not touch two faces.
pub(super) const FROM_EDGE: f64 = 2.0;

/// The same where the face is too narrow for that.
const FROM_EDGE_NARROW: f64 = 0.5;

/// A place to probe.
#[derive(Clone, Debug, PartialEq)]
pub struct ProbePoint {
    /// The element.
    pub element: usize,
    /// Its number within the element, from 1.
    pub number: usize,
    /// The place on the exact surface, mm.
    pub point: P3,
    /// The normal out of the metal.
    pub normal: V3,
    /// From the ball to the head: the direction in which the stylus points back.
    pub stylus: V3,
}

/// Probe points, and elements with too few that the stylus reaches.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ProbePlan {
    /// The points, element by element.
    pub points: Vec<ProbePoint>,
    /// Elements that a straight stylus cannot measure: fewer points reached than its shape needs.
    pub out_of_reach: Vec<usize>,
}

/// Least number of points that an element's fit needs: a plane three and one to judge by, a cylinder five and one, a cone six and one.
pub const fn least_points(shape: &ElementShape) -> usize {
    match shape {
        ElementShape::Plane { .. } | ElementShape::Drafted { .. } => 4,
        ElementShape::Cylinder { .. } => 6,
        ElementShape::Cone { .. } => 7,
    }
}

/// Whether an element is probed all over: for a characteristic, or because it is a datum.
pub(super) fn is_probed(sheet: &MeasuringSheet, element: usize) -> bool {
    let datums = DatumElements::of(sheet);
    let is_datum = [datums.a, datums.b, datums.c, datums.d].contains(&Some(element));
    is_datum || !sheet.numbers_of(element).is_empty()
}

/// Chooses points for every element that a characteristic or a datum needs.
pub fn probe_plan(sheet: &MeasuringSheet, probe: &Probe, stylus: Stylus) -> ProbePlan {
    let mut out = ProbePlan::default();
    for (index, element) in sheet.elements.iter().enumerate() {
        if !is_probed(sheet, index) {
            continue;
        }
        let wanted = candidates(element, probe);
        let mut reached = Vec::new();
        for point in wanted {
            let normal = normal(element, probe, point);
            let Some(stylus) = reach(element, probe, point, normal, stylus) else { continue };
            let number = reached.len() + 1;
            reached.push(ProbePoint { element: index, number, point, normal, stylus });
        }
        if reached.len() < least_points(&element.shape) {
            out.out_of_reach.push(index);
        } else {
            out.points.extend(reached);
        }
    }
    for wall in &sheet.walls {
        place(sheet, probe, stylus, (wall.element, wall.at), &mut out);
    }
    let reached = |element: &MeasuredElement, p: P3| {
        reach(element, probe, p, normal(element, probe, p), stylus).is_some()
    };
    for (index, point) in core_places::places(sheet, probe, reached) {
        place(sheet, probe, stylus, (index, point), &mut out);
    }
    out
}

/// Adds a single place of an element, once, if the stylus reaches it.
fn place(
    sheet: &MeasuringSheet,
    probe: &Probe,
    stylus: Stylus,
    (index, point): (usize, P3),
    out: &mut ProbePlan,
) {
    const SAME: f64 = 1e-6;
    let element = &sheet.elements[index];
    let of = out.points.iter().filter(|p| p.element == index);
    let number = of.clone().count() + 1;
    if of.clone().any(|p| (p.point - point).norm() < SAME) {
        return;
    }
    let normal = normal(element, probe, point);
    if let Some(stylus) = reach(element, probe, point, normal, stylus) {
        out.points.push(ProbePoint { element: index, number, point, normal, stylus });
    }
}

/// Places spread over an element, clear of its edges where there is room.
fn candidates(element: &MeasuredElement, probe: &Probe) -> Vec<P3> {
    let clear = |inset: f64| -> Vec<P3> {
        let all = match element.shape {
            ElementShape::Cylinder { .. } => on_cylinder(element, inset),
            ElementShape::Plane { point, outward } => on_plane(element, probe, point, outward),
            ElementShape::Drafted { .. } | ElementShape::Cone { .. } => on_any(element, probe),
        };
        all.into_iter().filter(|p| is_clear(element, probe, *p, inset)).collect()
    };
    // A lead-in is too narrow to keep clear of its edges by a ball: it is probed on circles near both of them.
    if is_lead_in(element) {
        return on_lead_in(element, probe);
    }
    let mut found = clear(FROM_EDGE);
    if found.len() < least_points(&element.shape) + 2 {
        found = clear(FROM_EDGE_NARROW);
    }
    match element.shape {
        ElementShape::Plane { .. } | ElementShape::Drafted { .. } | ElementShape::Cone { .. } => {
            spread(found, 12)
        }
        ElementShape::Cylinder { .. } => found,
    }
}

/// Three rings of eight points each; two where the cylinder is short. Holes for taps take four points on two rings: a plug
/// gauge tells their size.
fn on_cylinder(element: &MeasuredElement, inset: f64) -> Vec<P3> {
    let ElementShape::Cylinder { point, axis, radius, span, .. } = element.shape else { return vec![] };
    let tapped = is_tapped(element.face_role());
    let around = if tapped { 4 } else { 8 };
    let frame = Frame::from_z(point, axis);
    let inset = inset.min(0.25 * span.length());
    let (low, high) = (span.from + inset, span.to - inset);
    let rings =
        if span.length() > 12.0 && !tapped { vec![low, 0.5 * (low + high), high] } else { vec![low, high] };
    let ring = |(k, z): (usize, f64)| {
        // Every other ring is turned by half a step, so that lobes of any number show.
        let turn = if k % 2 == 0 { 0.0 } else { 0.5 };
        (0..around).map(move |j| {
            let angle = std::f64::consts::TAU / f64::from(around) * (f64::from(j) + turn + 0.25);
            frame.origin + frame.radial(angle) * radius + frame.z * z
        })
    };
    rings.into_iter().enumerate().flat_map(ring).collect()
}

/// Whether an element is the cone that a part is led in by.
fn is_lead_in(element: &MeasuredElement) -> bool {
    matches!(element.face_role(), Role::RegisterLeadIn | Role::BushingLeadIn | Role::SealLeadIn)
        && matches!(element.shape, ElementShape::Cone { .. })
}

/// Two circles of eight points each, a fifth of the wall's length from its edges.
fn on_lead_in(element: &MeasuredElement, probe: &Probe) -> Vec<P3> {
    const INSET: f64 = 0.2;
    let ElementShape::Cone { point, axis, radius, half_angle, .. } = element.shape else { return vec![] };
    let span = axial_span(probe.brep(), &element.faces, point, axis);
    let frame = Frame::from_z(point, axis);
    let circle = |(share, turn): (f64, f64)| {
        let z = span.from + share * span.length();
        (0..8).map(move |k| {
            let angle = std::f64::consts::FRAC_PI_4 * (f64::from(k) + turn);
            frame.origin + frame.radial(angle) * (radius + z * half_angle.tan()) + frame.z * z
        })
    };
    [(INSET, 0.25), (1.0 - INSET, 0.75)].into_iter().flat_map(circle).collect()
}

/// Places of a square grid within the element's box.
fn on_plane(element: &MeasuredElement, probe: &Probe, point: P3, outward: V3) -> Vec<P3> {
    const STEPS: u32 = 24;
    let frame = Frame::from_z(point, outward);
    let bounds = probe.brep().bounds_of(element.faces.iter().copied());
    let corners = (0..8).map(|k| {
        let pick = |bit: u32, a: f64, b: f64| if k & bit == 0 { a } else { b };
        let (lo, hi) = (bounds.min, bounds.max);
        frame.local(P3::new(pick(1, lo.x, hi.x), pick(2, lo.y, hi.y), pick(4, lo.z, hi.z)))
    });
    let (mut low, mut high) = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
    for q in corners {
        for k in 0..2 {
            (low[k], high[k]) = (low[k].min(q[k]), high[k].max(q[k]));
        }
    }
    let at = |k: usize, step: u32| low[k] + (high[k] - low[k]) * (f64::from(step) + 0.5) / f64::from(STEPS);
    (0..STEPS)
        .flat_map(|i| (0..STEPS).map(move |j| (i, j)))
        .map(|(i, j)| frame.point(at(0, i), at(1, j), 0.0))
        .collect()
}

/// Whether a place and those about it at a distance lie on the element's faces.
pub(super) fn is_clear(element: &MeasuredElement, probe: &Probe, p: P3, inset: f64) -> bool {
    const ON: f64 = 1e-3;
    let surface = &probe.brep().faces[face_at(element, probe, p)].surface;
    let frame = Frame::from_z(p, surface.grad(p));
    let ring = (0..8).map(|k| {
        let angle = std::f64::consts::FRAC_PI_4 * f64::from(k);
        surface.closest(p + frame.radial(angle) * inset)
    });
    std::iter::once(p).chain(ring).all(|q| probe.nearest(q, |f| element.faces.contains(&f), ON).is_some())
}

/// Places on a surface of any shape: the middles of small triangles, put on the exact surface.
fn on_any(element: &MeasuredElement, probe: &Probe) -> Vec<P3> {
    const SIDE: f64 = 12.0;
    let all = probe.small_triangles(SIDE).into_iter().map(|(_, sample)| sample);
    all.filter(|s| element.faces.contains(&s.face)).map(|s| s.point).collect()
}

/// The element's face at a place.
fn face_at(element: &MeasuredElement, probe: &Probe, p: P3) -> usize {
    let near = probe.nearest(p, |f| element.faces.contains(&f), 1.0);
    near.map_or(element.faces[0], |n| n.face)
}

/// The exact normal out of the metal at a place of an element.
fn normal(element: &MeasuredElement, probe: &Probe, p: P3) -> V3 {
    probe.brep().faces[face_at(element, probe, p)].outward(p)
}

/// Some of the places, each as far from the others as can be (farthest point first), in their order.
fn spread(all: Vec<P3>, count: usize) -> Vec<P3> {
    if all.len() <= count {
        return all;
    }
    let middle = P3::from(all.iter().map(|p| p.coords).sum::<V3>() / all.len() as f64);
    let far =
        |p: &P3, from: &[usize]| from.iter().map(|k| (all[*k] - p).norm()).fold(f64::INFINITY, f64::min);
    let farthest = |of: &dyn Fn(&P3) -> f64| {
        (0..all.len()).fold(0, |best, k| if of(&all[k]) > of(&all[best]) + 1e-9 { k } else { best })
    };
    let mut chosen = vec![farthest(&|p| (p - middle).norm())];
    while chosen.len() < count {
        let next = farthest(&|p| far(p, &chosen));
        chosen.push(next);
    }
    chosen.sort_unstable();
    chosen.into_iter().map(|k| all[k]).collect()
}

/// The direction in which a stylus can point back from a place, if there is any.
fn reach(element: &MeasuredElement, probe: &Probe, point: P3, normal: V3, stylus: Stylus) -> Option<V3> {
    let own = match element.shape {
        ElementShape::Plane { outward, .. } => [outward, outward],
        ElementShape::Drafted { .. } => [normal, normal],
        ElementShape::Cylinder { axis, .. } | ElementShape::Cone { axis, .. } => [axis, -axis],
    };
    let axes = [V3::x(), -V3::x(), V3::y(), -V3::y(), V3::z(), -V3::z()];
    let mut ways: Vec<V3> = own.into_iter().chain(axes).collect();
    for a in axes {
        ways.extend(own.iter().filter_map(|o| (o + a).try_normalize(0.1)));
    }
    let centre = point + normal * (stylus.ball + 0.01);
    if probe.nearest(centre, |_| true, stylus.ball - 0.01).is_some() {
        return None;
    }
    // A stem that leans into the surface touches it before the ball does.
    ways.into_iter().filter(|way| way.dot(&normal) > -1e-6).find(|way| is_free(probe, centre, *way, stylus))
}

/// Whether a stem that runs this way from the ball's centre meets nothing: first by rays, then by balls one step apart, each
/// so large that no gap is left between them.
fn is_free(probe: &Probe, centre: P3, way: V3, stylus: Stylus) -> bool {
    const STEP: f64 = 1.0;
    let frame = Frame::from_z(centre, way);
    let around =
        (0..5).map(|k| centre + frame.radial(std::f64::consts::TAU * f64::from(k) / 5.0) * stylus.stem);
    let open = std::iter::once(centre).chain(around).all(|from| !probe.is_met(from, way, stylus.length));
    let reach = stylus.stem.hypot(0.5 * STEP);
    let steps = (2..).map(|k| STEP * f64::from(k)).take_while(|s| *s <= stylus.length);
    open && steps.into_iter().all(|s| probe.nearest(centre + way * s, |_| true, reach).is_none())
}
