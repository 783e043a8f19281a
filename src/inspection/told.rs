//! What is told of an article without a limit of its own: how flat its planes are, how its surfaces of revolution run out about the
//! bushing's seat.

use super::characteristic::MeasuringSheet;
use super::elements::ElementShape;
use super::evaluation::{DatumElements, Evaluation, FittedElement};
use super::extremes::{self, Aim, range};
use solidwright::geometry::{Frame, P3};

/// What is told.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ToldKind {
    /// Width of the narrowest zone that holds a plane's points (ISO 1101).
    Flatness,
    /// Whole reading of an indicator on a round surface that turns about datum D, over all probed places (total runout).
    RadialRunout,
    /// The same on a plane square to the shaft.
    AxialRunout,
    /// Width of the narrowest zone between two cylinders of one axis that holds a cylinder's points (ISO 1101).
    Cylindricity,
    /// Width of the narrowest zone between two cones of one axis and angle that holds a cone's points.
    ConeForm,
}

impl ToldKind {
    /// Its words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Flatness => "flatness",
            Self::RadialRunout => "total runout about D",
            Self::AxialRunout => "total axial runout about D",
            Self::Cylindricity => "cylindricity",
            Self::ConeForm => "form of the cone",
        }
    }
}

/// A value without a limit.
#[derive(Clone, Debug, PartialEq)]
pub struct ToldValue {
    /// The element, by its place in the sheet's list.
    pub element: usize,
    /// What it is.
    pub kind: ToldKind,
    /// Its value, mm: with the machine's noise in it.
    pub value: f64,
}

/// Round surfaces whose axis lies nearer to the shaft's than this, mm, and planes whose normal is nearer to it, turn about it.
const ABOUT: f64 = 0.5;
const SQUARE: f64 = 1e-3;

/// What an evaluation tells, element by element.
pub fn told_values(sheet: &MeasuringSheet, evaluation: &Evaluation) -> Vec<ToldValue> {
    let d = DatumElements::of(sheet).d;
    let datum = d.and_then(|d| evaluation.fitted.get(&d)).and_then(FittedElement::round).map(|r| r.pin.frame);
    let mut out = Vec::new();
    for (element, fitted) in &evaluation.fitted {
        if let FittedElement::Plane { flatness, .. } = fitted {
            out.push(ToldValue { element: *element, kind: ToldKind::Flatness, value: *flatness });
        }
        if let (FittedElement::Round(round), Some(points)) = (fitted, evaluation.points.get(element))
            && sheet.elements[*element].shape.tells_direction()
        {
            let value = extremes::axis(points, round.squares.frame, Aim::Zone).width();
            out.push(ToldValue { element: *element, kind: ToldKind::Cylindricity, value });
        }
        if let (FittedElement::Cone(squares), Some(points)) = (fitted, evaluation.points.get(element)) {
            let value = extremes::cone(points, squares).width();
            out.push(ToldValue { element: *element, kind: ToldKind::ConeForm, value });
        }
        let (Some(datum), Some(points)) = (datum, evaluation.points.get(element)) else { continue };
        if d != Some(*element)
            && let Some((kind, value)) = runout(&sheet.elements[*element].shape, points, &datum)
        {
            out.push(ToldValue { element: *element, kind, value });
        }
    }
    out
}

/// The runout of a surface about the datum's axis, if it is one that turns about it.
fn runout(shape: &ElementShape, points: &[P3], datum: &Frame) -> Option<(ToldKind, f64)> {
    let width = |[low, high]: [f64; 2]| high - low;
    match *shape {
        ElementShape::Cylinder { point, axis, .. }
            if axis.cross(&datum.z).norm() < SQUARE && point.y.hypot(point.z) < ABOUT =>
        {
            let radii = points.iter().map(|p| datum.local(*p)).map(|q| q.x.hypot(q.y));
            Some((ToldKind::RadialRunout, width(range(radii))))
        }
        ElementShape::Plane { outward, .. } if outward.cross(&datum.z).norm() < SQUARE => {
            Some((ToldKind::AxialRunout, width(range(points.iter().map(|p| datum.local(*p).z)))))
        }
        _ => None,
    }
}
