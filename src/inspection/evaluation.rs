//! From probed points to values: elements are fitted, the datum frame is built from the datums' own points, and every
//! characteristic is taken in that frame.
//!
//! Datums are the surfaces that touch from outside the metal (ISO 5459; ASME Y14.5.1, both from memory): A the plane of the
//! narrowest zone moved to its outermost point, B the smallest ring about a spigot or the largest pin in a recess, square to A,
//! C the largest pin in the first bolt hole, square to A, D the largest pin in the bushing's seat. The axis of a hole that is
//! judged is the one by least squares (ISO 17450-3's default), or under ASME that of its envelope. Holes at maximum material are judged together ([`pattern`]). A diameter is judged by
//! the pin and the ring: between them lies every diameter that two points could show.

use std::collections::BTreeMap;

use super::characteristic::{
    Characteristic, CharacteristicKind, Datum, GeometricTolerance, MeasuringSheet, ToleranceKind,
};
use super::cone::{self, FittedCone};
use super::elements::{AxialSpan, ElementShape};
use super::extremes::{self, Aim, Touching};
use super::least_squares::{self, FittedCylinder};
use super::pattern::{self, PatternMove, bonus};
use crate::faces::{Feature, Role};
use crate::units::Units;
use solidwright::geometry::{Frame, P3, V3};

/// Probed points by element, mm.
pub type PointsOf = BTreeMap<usize, Vec<P3>>;

/// How the axis of a hole is taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum AxisRule {
    /// By least squares.
    LeastSquares,
    /// That of the largest pin, or the smallest ring.
    Envelope,
}

impl AxisRule {
    /// The rule of the standard that goes with a unit, as on the drawing: ISO or ASME.
    pub const fn of(units: Units) -> Self {
        match units {
            Units::Mm => Self::LeastSquares,
            Units::Inch => Self::Envelope,
        }
    }
}

/// Why points cannot be judged.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum FitFault {
    /// A datum has no points.
    #[error("datum {0} has no probed points ({1}): nothing that refers to it can be judged")]
    NoDatum(Datum, String),
    /// The points do not determine the element.
    #[error("{0}: its points do not determine it; spread them over the whole surface")]
    Undetermined(String),
}

/// What was found for a characteristic, mm. Of a geometric tolerance both ends are the zone that holds it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Found {
    /// What every way of measuring lies within: to accept by.
    pub outer: [f64; 2],
    /// What some way of measuring is known to reach: to reject by.
    pub inner: [f64; 2],
    /// By how much the tolerance grows with the feature's size.
    pub bonus: f64,
}

impl Found {
    pub(super) const fn one(value: f64) -> Self {
        Self::between([value; 2])
    }

    /// A value from one end to the other, whichever way it is measured.
    pub(super) const fn between(ends: [f64; 2]) -> Self {
        Self { outer: ends, inner: ends, bonus: 0.0 }
    }

    /// The same with what noise may have done to its ends: a pin is smaller and a zone wider for it. That errs on the safe side
    /// where a part is accepted; to reject one by it, the bias is taken off first.
    #[must_use]
    pub fn allowing_for(&self, bias: [f64; 2]) -> Self {
        let [low, high] = [0, 1].map(|k| self.inner[k] - bias[k]);
        // A low end rises by it at most to the high one, and the other way round.
        let inner = [low.max(self.inner[0]), high.min(self.inner[1])];
        Self { outer: self.outer, inner, bonus: self.bonus }
    }
}

/// A round element as fitted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FittedRound {
    /// By least squares.
    pub squares: FittedCylinder,
    /// The largest pin: axis and radius, mm.
    pub pin: FittedCylinder,
    /// The smallest ring.
    pub ring: FittedCylinder,
}

/// An element as fitted, in the part's axes.
#[derive(Clone, Debug, PartialEq)]
pub enum FittedElement {
    /// A plane.
    Plane {
        /// By least squares; normal out of the metal along z.
        frame: Frame,
        /// Width of the narrowest zone, mm.
        flatness: f64,
    },
    /// A cylinder.
    Round(Box<FittedRound>),
    /// A cone, by least squares.
    Cone(FittedCone),
}

impl FittedElement {
    /// A round element.
    pub fn round(&self) -> Option<&FittedRound> {
        match self {
            Self::Round(round) => Some(round),
            Self::Plane { .. } | Self::Cone(_) => None,
        }
    }
}

/// All that follows from an article's points.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Evaluation {
    /// Values, by the number of their characteristic.
    pub found: BTreeMap<usize, Found>,
    /// Elements as fitted, by their place in the sheet's list.
    pub fitted: BTreeMap<usize, FittedElement>,
    /// The points in the part's axes.
    pub points: PointsOf,
    /// How the bolt holes were moved together to lie best.
    pub pattern: PatternMove,
}

/// The elements that are datums.
#[derive(Clone, Copy, Debug)]
pub(super) struct DatumElements {
    pub(super) a: Option<usize>,
    pub(super) b: Option<usize>,
    pub(super) c: Option<usize>,
    pub(super) d: Option<usize>,
}

impl DatumElements {
    pub(super) fn of(sheet: &MeasuringSheet) -> Self {
        Self {
            a: sheet.element_of(Feature::GearboxFace, Role::Face),
            b: sheet.element_of(Feature::GearboxFace, Role::Register),
            c: sheet.element_of(Feature::GearboxFace, Role::BoltHole(1)),
            d: sheet.element_of(Feature::Tail, Role::BushingSeat),
        }
    }
}

/// Evaluates points that stand near the part's own axes already. Characteristics whose element has no points have no value.
///
/// # Errors
/// [`FitFault`].
pub fn evaluate(sheet: &MeasuringSheet, rule: AxisRule, measured: &PointsOf) -> Result<Evaluation, FitFault> {
    let frame = datum_frame(sheet, measured)?;
    let local = |points: &Vec<P3>| points.iter().map(|p| frame.local(*p)).collect::<Vec<_>>();
    let points: PointsOf = measured.iter().map(|(e, points)| (*e, local(points))).collect();
    let mut fitted = BTreeMap::new();
    for (element, points) in &points {
        fitted.insert(*element, fit(sheet, *element, points)?);
    }
    let mut out = Evaluation { found: BTreeMap::new(), fitted, points, pattern: PatternMove::default() };
    for c in sheet.characteristics.iter().chain(&sheet.line_up) {
        if let Some(found) = found(sheet, rule, &out, c)? {
            out.found.insert(c.number, found);
        }
    }
    pattern::judge_together(sheet, rule, &mut out);
    Ok(out)
}

/// The datum frame: origin where B's axis passes through A, x aft along it, turned by C where that is measured.
fn datum_frame(sheet: &MeasuringSheet, measured: &PointsOf) -> Result<Frame, FitFault> {
    let datums = DatumElements::of(sheet);
    let of = |datum: Datum, element: Option<usize>| {
        let missing = || FitFault::NoDatum(datum, name(sheet, element));
        let element = element.ok_or_else(missing)?;
        let points = measured.get(&element).ok_or_else(missing)?;
        Ok::<_, FitFault>((element, points))
    };
    let (a, on_a) = of(Datum::A, datums.a)?;
    let undetermined = |e: usize| FitFault::Undetermined(sheet.elements[e].name.clone());
    let start = least_squares::plane(on_a, -V3::x()).ok_or_else(|| undetermined(a))?;
    let plane = extremes::plane(on_a, start);
    let aft = -plane.frame.z;
    let on_plane = plane.frame.origin + plane.frame.z * plane.greatest;
    let (b, on_b) = of(Datum::B, datums.b)?;
    let axis = square_axis(sheet, b, on_b, Frame::from_zx(P3::origin(), aft, V3::z()));
    let origin = axis + aft * (on_plane - axis).dot(&aft);
    // x aft, z up: y = z × x.
    let up = (V3::z() - aft * aft.z).normalize();
    let mut frame = Frame { origin, x: aft, y: up.cross(&aft), z: up };
    if let Some((c, on_c)) = datums.c.and_then(|c| Some((c, measured.get(&c)?))) {
        let ElementShape::Cylinder { point, .. } = sheet.elements[c].shape else { return Ok(frame) };
        let start = Frame::from_zx(frame.point(0.0, point.y, point.z), aft, up);
        let found = frame.local(square_axis(sheet, c, on_c, start));
        let turn = found.z.atan2(found.y) - point.z.atan2(point.y);
        let (sin, cos) = turn.sin_cos();
        (frame.y, frame.z) = (frame.y * cos + frame.z * sin, frame.z * cos - frame.y * sin);
    }
    Ok(frame)
}

fn name(sheet: &MeasuringSheet, element: Option<usize>) -> String {
    element.map_or_else(|| "not on this part".to_owned(), |e| sheet.elements[e].name.clone())
}

/// Where the touching axis of an element, square to datum A, stands.
fn square_axis(sheet: &MeasuringSheet, element: usize, points: &[P3], start: Frame) -> P3 {
    square_touching(sheet, element, points, start).frame.origin
}

/// The largest pin in an element, or the smallest ring about it, along the z of a frame.
pub(super) fn square_touching(
    sheet: &MeasuringSheet,
    element: usize,
    points: &[P3],
    start: Frame,
) -> Touching {
    let aim = match sheet.elements[element].shape {
        ElementShape::Cylinder { hole: true, .. } => Aim::Inscribed,
        _ => Aim::Circumscribed,
    };
    // The middle of all directions is near enough for the linear programs.
    let centre = circle_centre(points, &start).unwrap_or(start.origin);
    extremes::axis_along(points, start.moved_to(centre), aim)
}

/// The centre of the circle through points seen along a frame's z, by least squares of the squared radii (Kåsa 1976, a
/// linear system). Only a start for fits by distances: on short arcs its circle is too small.
pub(super) fn circle_centre(points: &[P3], frame: &Frame) -> Option<P3> {
    let mut left = nalgebra::Matrix3::zeros();
    let mut right = V3::zeros();
    for p in points {
        let q = frame.local(*p);
        let row = V3::new(2.0 * q.x, 2.0 * q.y, 1.0);
        left += row * row.transpose();
        right += row * (q.x * q.x + q.y * q.y);
    }
    let solved = left.lu().solve(&right)?;
    solved.iter().all(|x| x.is_finite()).then(|| frame.point(solved.x, solved.y, 0.0))
}

/// A cylinder of known direction, by the circle of its points.
fn circle(points: &[P3], start: &FittedCylinder) -> Option<FittedCylinder> {
    let frame = start.frame.moved_to(circle_centre(points, &start.frame)?);
    least_squares::circle(points, &frame)
}

/// Fits an element, from its nominal place.
fn fit(sheet: &MeasuringSheet, element: usize, points: &[P3]) -> Result<FittedElement, FitFault> {
    let undetermined = || FitFault::Undetermined(sheet.elements[element].name.clone());
    match sheet.elements[element].shape {
        ElementShape::Plane { outward, .. } | ElementShape::Drafted { outward, .. } => {
            let frame = least_squares::plane(points, outward).ok_or_else(undetermined)?;
            Ok(FittedElement::Plane { frame, flatness: extremes::plane(points, frame).width() })
        }
        ElementShape::Cone { .. } => {
            let start = sheet.elements[element].shape.cone().ok_or_else(undetermined)?;
            let squares = cone::cone(points, &start).ok_or_else(undetermined)?;
            Ok(FittedElement::Cone(squares))
        }
        ElementShape::Cylinder { point, axis, radius, .. } => {
            let start = FittedCylinder { frame: Frame::from_z(point, axis), radius };
            let short = !sheet.elements[element].shape.tells_direction();
            let squares =
                if short { circle(points, &start) } else { least_squares::cylinder(points, &start) };
            let squares = squares.ok_or_else(undetermined)?;
            let touching = |aim: Aim| {
                let t = if short {
                    extremes::axis_along(points, squares.frame, aim)
                } else {
                    extremes::axis(points, squares.frame, aim)
                };
                let radius = if aim == Aim::Inscribed { t.least } else { t.greatest };
                FittedCylinder { frame: t.frame, radius }
            };
            let (pin, ring) = (touching(Aim::Inscribed), touching(Aim::Circumscribed));
            Ok(FittedElement::Round(Box::new(FittedRound { squares, pin, ring })))
        }
    }
}

/// The axis of a cylinder as a rule takes it.
pub(super) fn axis_of(fitted: &FittedElement, hole: bool, rule: AxisRule) -> Option<Frame> {
    let FittedRound { squares, pin, ring } = fitted.round()?;
    Some(match rule {
        AxisRule::LeastSquares => squares.frame,
        AxisRule::Envelope if hole => pin.frame,
        AxisRule::Envelope => ring.frame,
    })
}

/// Where an axis passes through the plane square to a direction at a place on it.
pub(super) fn pierced(axis: &Frame, at: P3, direction: V3) -> P3 {
    let along = (at - axis.origin).dot(&direction) / axis.z.dot(&direction);
    axis.origin + axis.z * along
}

/// Both ends of a cylinder's nominal axis.
pub(super) fn ends(point: P3, axis: V3, span: AxialSpan) -> [P3; 2] {
    [span.from, span.to].map(|t| point + axis * t)
}

/// The value of a characteristic; none where its points are not there.
fn found(
    sheet: &MeasuringSheet,
    rule: AxisRule,
    out: &Evaluation,
    c: &Characteristic,
) -> Result<Option<Found>, FitFault> {
    let Some(element) = c.element else { return Ok(None) };
    let Some(fitted) = out.fitted.get(&element) else { return Ok(None) };
    let shape = sheet.elements[element].shape;
    Ok(match (&c.kind, shape) {
        (CharacteristicKind::Diameter, ElementShape::Cylinder { hole, .. }) => diameter(fitted, hole),
        (CharacteristicKind::HalfAngle, ElementShape::Cone { .. }) => match fitted {
            FittedElement::Cone(squares) => Some(Found::one(squares.half_angle.abs().to_degrees())),
            FittedElement::Plane { .. } | FittedElement::Round(_) => None,
        },
        (CharacteristicKind::Distance, ElementShape::Plane { outward, .. }) => {
            Some(Found::between(range_along(&out.points[&element], outward)))
        }
        (
            CharacteristicKind::Coordinate { along },
            ElementShape::Cylinder { point, axis, hole, span, .. },
        ) => {
            let measured = axis_of(fitted, hole, rule);
            let values =
                measured.map(|m| ends(point, axis, span).map(|e| pierced(&m, e, axis).coords.dot(along)));
            values.map(|[a, b]| Found::between([a.min(b), a.max(b)]))
        }
        (CharacteristicKind::Geometric(t), shape) => geometric(sheet, rule, out, element, t, shape)?,
        _ => None,
    })
}

/// From where to where points lie along a direction, mm.
fn range_along(points: &[P3], direction: V3) -> [f64; 2] {
    extremes::range(points.iter().map(|p| p.coords.dot(&direction)))
}

fn diameter(fitted: &FittedElement, hole: bool) -> Option<Found> {
    let FittedRound { squares, pin, ring } = fitted.round()?;
    let [pin, ring, middle] = [pin, ring, squares].map(|c| 2.0 * c.radius);
    // The pin tells what goes in; by how much some diameter is larger than the mean, points do not tell for certain.
    let inner = if hole { [pin, middle] } else { [middle, ring] };
    Some(Found { outer: [pin, ring], inner, bonus: 0.0 })
}

fn geometric(
    sheet: &MeasuringSheet,
    rule: AxisRule,
    out: &Evaluation,
    element: usize,
    t: &GeometricTolerance,
    shape: ElementShape,
) -> Result<Option<Found>, FitFault> {
    let fitted = &out.fitted[&element];
    let datum = || -> Result<Frame, FitFault> {
        let d = DatumElements::of(sheet).d;
        let round = d.and_then(|d| out.fitted.get(&d)).and_then(FittedElement::round);
        round.map(|r| r.pin.frame).ok_or_else(|| FitFault::NoDatum(Datum::D, name(sheet, d)))
    };
    Ok(match (t.kind, shape) {
        (ToleranceKind::Flatness, ElementShape::Plane { outward, .. }) => {
            let points = &out.points[&element];
            least_squares::plane(points, outward)
                .map(|start| Found::one(extremes::plane(points, start).width()))
        }
        (ToleranceKind::Parallelism, ElementShape::Plane { .. }) => {
            let [least, greatest] = range_along(&out.points[&element], V3::x());
            Some(Found::one(greatest - least))
        }
        (ToleranceKind::Perpendicularity, ElementShape::Plane { outward, .. })
            if t.datums.iter().map(|r| r.datum).eq([Datum::A]) =>
        {
            Some(Found::one(width_square_to_shaft(&out.points[&element], outward)))
        }
        // The whole face moves at least as much as each of its circles.
        (ToleranceKind::Perpendicularity | ToleranceKind::Runout, ElementShape::Plane { .. }) => {
            let direction = datum()?.z;
            let [least, greatest] = range_along(&out.points[&element], direction);
            Some(Found::one(greatest - least))
        }
        (ToleranceKind::Coaxiality, ElementShape::Cylinder { point, axis, span, hole, .. }) => {
            let datum = datum()?;
            axis_of(fitted, hole, rule).map(|measured| {
                let off = ends(point, axis, span)
                    .map(|e| (pierced(&measured, e, axis) - pierced(&datum, e, axis)).norm());
                Found::one(2.0 * off[0].max(off[1]))
            })
        }
        (ToleranceKind::Parallelism, ElementShape::Cylinder { axis, span, hole, .. }) => {
            axis_of(fitted, hole, rule)
                .map(|m| Found::one(span.length() * m.z.cross(&V3::x()).norm() / m.z.dot(&axis).abs()))
        }
        (ToleranceKind::Position, ElementShape::Cylinder { point, axis, span, hole, .. }) => {
            axis_of(fitted, hole, rule).map(|measured| {
                let off = ends(point, axis, span).map(|e| (pierced(&measured, e, axis) - e).norm());
                let bonus = bonus(sheet, out, element, t, hole);
                Found { bonus, ..Found::one(2.0 * off[0].max(off[1])) }
            })
        }
        _ => None,
    })
}

/// The width of the narrowest pair of parallel planes about points that stand square to datum A: they may turn about the shaft.
fn width_square_to_shaft(points: &[P3], outward: V3) -> f64 {
    const MOST: f64 = 0.02;
    let across = V3::x().cross(&outward);
    let width = |turn: f64| {
        let [least, greatest] = range_along(points, outward * turn.cos() + across * turn.sin());
        greatest - least
    };
    // The width of a slab is convex in its slope: thirds close in on the least.
    let (mut low, mut high) = (-MOST, MOST);
    for _ in 0..80 {
        let third = (high - low) / 3.0;
        if width(low + third) <= width(high - third) { high -= third } else { low += third }
    }
    width(f64::midpoint(low, high))
}
