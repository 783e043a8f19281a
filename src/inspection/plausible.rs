//! Whether readings can be what they say: wrong units, slips, swapped and mirrored axes, too few points. What is not plausible is
//! told with its line and is not judged.

use super::characteristic::{Characteristic, CharacteristicKind, Datum, MeasuringSheet};
use super::cone;
use super::datum_slips;
use super::elements::ElementShape;
use super::evaluation::{DatumElements, PointsOf, circle_centre};
use super::exchanged;
use super::extremes::range;
use super::least_squares;
use super::other_form;
use super::probing::{is_probed, least_points};
use super::readings::{ArticleReadings, CONFIRMED, ReadingFault, SizeReading};
use super::scale;
use crate::units::MM_PER_INCH;
use crate::words::fixed;
use solidwright::geometry::{Frame, P3, V3};

/// How far a reading may lie from its nominal value before it is taken for a slip, mm, and as a multiple of its tolerance.
const SLIP: f64 = 1.0;
const SLIP_TOLERANCES: f64 = 10.0;

/// The same of an angle, degrees: five times the widest general tolerance.
const SLIP_ANGLE: f64 = 5.0;

/// How far a probed place may lie from its nominal surface before it is taken for a slip, mm.
pub(super) const ASTRAY: f64 = 1.0;

/// How far a place may stand off the surface through its neighbours, mm, and as a multiple of their median distance.
const OUTLIER: f64 = 0.02;
const OUTLIER_MEDIANS: f64 = 12.0;

/// Whether two numbers are nearly one.
fn near(a: f64, b: f64) -> bool {
    (a - b).abs() < 0.02 * b.abs()
}

/// Faults of the sizes of an article.
pub(super) fn sizes(sheet: &MeasuringSheet, article: &ArticleReadings) -> Vec<ReadingFault> {
    let of = |number: &usize| sheet.characteristics.iter().find(|c| c.number == *number);
    article.sizes.iter().filter_map(|(number, reading)| slip(of(number)?, reading)).collect()
}

/// Why a size cannot be meant.
fn slip(c: &Characteristic, reading: &SizeReading) -> Option<ReadingFault> {
    if reading.confirmed {
        return None;
    }
    let told =
        |why: String| Some(ReadingFault::at(reading.line, format!("number {}, {}: {why}", c.number, c.what)));
    if let Some(uncertainty) = reading.uncertainty.filter(|u| *u > SLIP) {
        return told(format!(
            "an uncertainty of {} mm tells nothing: are two columns swapped?",
            fixed(uncertainty, 3)
        ));
    }
    let value = reading.value;
    if matches!(c.kind, CharacteristicKind::Geometric(_)) {
        if value < 0.0 {
            return told(format!("a {} cannot be below zero", c.words()));
        }
        let much = c.limits.greatest.is_some_and(|g| value > SLIP.max(SLIP_TOLERANCES * g));
        return if much { told(far(value, 0.0)) } else { None };
    }
    let nominal = c.nominal?;
    let off = (value - nominal).abs();
    if c.kind == CharacteristicKind::HalfAngle {
        return if off <= SLIP_ANGLE { None } else { told(far_angle(value, nominal)) };
    }
    let allowed = c
        .limits
        .width()
        .map_or(SLIP, |w| SLIP.max(SLIP_TOLERANCES * w))
        .min(0.5 * nominal.abs().max(4.0 * SLIP));
    if off <= allowed {
        return None;
    }
    if nominal != 0.0 && near(value * MM_PER_INCH, nominal) {
        return told("this is the value in inches under a column in millimetres".to_owned());
    }
    if nominal != 0.0 && near(value / MM_PER_INCH, nominal) {
        return told("this is the value in millimetres under a column in inches".to_owned());
    }
    if nominal != 0.0 && near(value / 1e3, nominal) {
        return told("this is the value in micrometres under a column in millimetres".to_owned());
    }
    if c.kind == CharacteristicKind::Diameter && value <= 0.0 {
        return told("a diameter is above zero".to_owned());
    }
    if c.kind == CharacteristicKind::Diameter && near(2.0 * value, nominal) {
        return told("this is half the nominal value: a radius?".to_owned());
    }
    if nominal.abs() > 4.0 * SLIP && value.abs() < SLIP {
        return told("this looks like a deviation; write the size itself".to_owned());
    }
    if matches!(c.kind, CharacteristicKind::Coordinate { .. }) && near(-value, nominal) {
        return told("this has the wrong sign: X runs aft, Y to the right, Z up".to_owned());
    }
    told(far(value, nominal))
}

/// Why an angle cannot be meant.
fn far_angle(value: f64, nominal: f64) -> String {
    if near(value, 2.0 * nominal) {
        return "this is twice the nominal angle: write the angle of the wall to the axis, not that between both walls".to_owned();
    }
    if near(90.0 - value, nominal) {
        return "this is the angle to the face: write that of the wall to the axis".to_owned();
    }
    format!(
        "{} deg lies {} deg from the nominal angle: measure again, or write `{CONFIRMED}` as its remark to have it judged",
        fixed(value, 3),
        fixed((value - nominal).abs(), 2)
    )
}

fn far(value: f64, nominal: f64) -> String {
    format!(
        "{} mm lies {} mm from the nominal value: measure again, or write `{CONFIRMED}` as its remark to have it judged",
        fixed(value, 4),
        fixed((value - nominal).abs(), 3)
    )
}

/// Points of an article near the part's own axes, or why they cannot be judged.
///
/// Points may come in the machine's own axes: if the datums are there, all is turned by them first. Elements without a place
/// are left out.
pub(super) fn aligned(
    sheet: &MeasuringSheet,
    article: &ArticleReadings,
) -> Result<PointsOf, Vec<ReadingFault>> {
    let raw: PointsOf =
        article.places.iter().map(|(e, places)| (*e, places.iter().map(|p| p.at).collect())).collect();
    let few: Vec<ReadingFault> = raw
        .iter()
        .filter_map(|(e, points)| {
            let element = &sheet.elements[*e];
            let least = least_points(&element.shape);
            let line = article.places[e].first().map_or(0, |p| p.line);
            // Places that only tell walls are judged one by one.
            (points.len() < least && is_probed(sheet, *e)).then(|| {
                let text = format!(
                    "{}: {} points; it needs {least}, spread over the surface",
                    element.name,
                    points.len()
                );
                ReadingFault::at(line, text)
            })
        })
        .collect();
    let few = if few.is_empty() { on_one_line(sheet, article, &raw) } else { few };
    if !few.is_empty() {
        return Err(few);
    }
    let placed = near_part(sheet, &raw);
    let astray = astray(sheet, article, &placed, ASTRAY);
    let total: usize = raw.values().map(Vec::len).sum();
    if !astray.is_empty()
        && let Some(scale) = scale::found(sheet, article, &raw)
    {
        return Err(vec![ReadingFault::whole(scale.told())]);
    }
    // A single slip is told by itself; where a tenth of all points lies astray, something is wrong with the whole file.
    if astray.len() * 10 >= total
        && !astray.is_empty()
        && let Some(reason) = systematic(sheet, article, &raw)
    {
        return Err(vec![ReadingFault::whole(reason)]);
    }
    if let Some(faults) = exchanged::told(sheet, article, &raw, &placed) {
        return Err(faults);
    }
    if let Some(fault) = other_form::raw_points(sheet, article, &placed) {
        return Err(vec![fault]);
    }
    if astray.is_empty() {
        let outliers = outliers(sheet, article, &placed, OUTLIER);
        return if outliers.is_empty() { Ok(placed) } else { Err(outliers) };
    }
    if astray.len() * 10 >= total
        && let Some(fault) = missing_datum(sheet, &raw)
    {
        return Err(vec![fault]);
    }
    match datum_slips::told(sheet, article, &raw) {
        Some(few) if few.len() < astray.len() => Err(few),
        _ => Err(astray),
    }
}

/// Elements whose points all lie on one line, which determine neither a plane nor a cylinder.
fn on_one_line(sheet: &MeasuringSheet, article: &ArticleReadings, raw: &PointsOf) -> Vec<ReadingFault> {
    // Of the length of the line, whatever the unit is.
    const NARROW: f64 = 0.02;
    let fault = |(e, points): (&usize, &Vec<P3>)| {
        if !is_probed(sheet, *e) {
            return None;
        }
        let near = nearer_three_quarters(points)?;
        let line = least_squares::line(&near, V3::x())?;
        let local: Vec<P3> = near.iter().map(|p| line.local(*p)).collect();
        let width = local.iter().map(|q| q.x.hypot(q.y)).fold(0.0, f64::max);
        let [from, to] = range(local.iter().map(|q| q.z));
        (width < NARROW * (to - from)).then(|| {
            let text = format!(
                "{}: most of its {} points lie on one line within {} mm, which determines no surface; spread them over the whole of it",
                sheet.elements[*e].name,
                points.len(),
                fixed(width, 3)
            );
            ReadingFault::at(article.places[e].first().map_or(0, |p| p.line), text)
        })
    };
    raw.iter().filter_map(fault).collect()
}

/// The points nearest to the middle one, without the far quarter: a single slip far away makes any points look like a line.
fn nearer_three_quarters(points: &[P3]) -> Option<Vec<P3>> {
    let middle = |k: usize| least_squares::median(points.iter().map(|p| p[k]).collect());
    let middle = P3::new(middle(0)?, middle(1)?, middle(2)?);
    let mut near = points.to_vec();
    near.sort_by(|a, b| (a - middle).norm().total_cmp(&(b - middle).norm()));
    near.truncate((3 * points.len()).div_ceil(4).max(3));
    Some(near)
}

/// The first datum without points: points that do not lie in the part's axes cannot be put there without it.
fn missing_datum(sheet: &MeasuringSheet, raw: &PointsOf) -> Option<ReadingFault> {
    let DatumElements { a, b, c, .. } = DatumElements::of(sheet);
    let all = [(Datum::A, a), (Datum::B, b), (Datum::C, c)];
    let (datum, element) = all.into_iter().find(|(_, e)| e.is_none_or(|e| !raw.contains_key(&e)))?;
    let name = element.map_or("not on this part", |e| &sheet.elements[e].name);
    Some(ReadingFault::whole(format!(
        "datum {datum} has no probed points ({name}), and the points do not lie in the part's own axes: they cannot be put there without it"
    )))
}

/// Turns points by their datums, where they do not lie near the part already.
pub(super) fn near_part(sheet: &MeasuringSheet, raw: &PointsOf) -> PointsOf {
    let Some(frame) = by_datums(sheet, raw) else { return raw.clone() };
    raw.iter().map(|(e, points)| (*e, points.iter().map(|p| frame.local(*p)).collect())).collect()
}

/// A rough datum frame that needs no nominal places: A by least squares, B and C by circles.
pub(super) fn by_datums(sheet: &MeasuringSheet, raw: &PointsOf) -> Option<Frame> {
    let datums = DatumElements::of(sheet);
    let of = |element: Option<usize>| raw.get(&element?);
    let all: Vec<P3> = raw.values().flatten().copied().collect();
    let on_a = of(datums.a)?;
    let towards = least_squares::middle(&all) - least_squares::middle(on_a);
    let plane = least_squares::plane(on_a, towards)?;
    let aft = plane.z;
    let on_axis = circle_centre(of(datums.b)?, &plane)?;
    let origin = on_axis - aft * (on_axis - plane.origin).dot(&aft);
    let c = circle_centre(of(datums.c)?, &plane)?;
    let ElementShape::Cylinder { point, .. } = sheet.elements[datums.c?].shape else { return None };
    let out = c - origin;
    let out = (out - aft * out.dot(&aft)).try_normalize(1e-9)?;
    // The hole's direction is (y, z) of its nominal place.
    let size = point.y.hypot(point.z);
    let (cos, sin) = (point.y / size, point.z / size);
    let square = aft.cross(&out);
    let (y, z) = (out * cos - square * sin, out * sin + square * cos);
    Some(Frame { origin, x: aft, y, z })
}

/// How far a point lies off its nominal surface, mm; along a cylinder's axis, how far beyond its ends.
pub(super) fn off(shape: &ElementShape, p: P3) -> f64 {
    match *shape {
        ElementShape::Plane { point, outward } | ElementShape::Drafted { point, outward } => {
            (p - point).dot(&outward).abs()
        }
        ElementShape::Cone { .. } => shape.cone().map_or(0.0, |cone| cone.distance(p).abs()),
        ElementShape::Cylinder { point, axis, radius, span, .. } => {
            let along = (p - point).dot(&axis);
            let from_axis = (p - point - axis * along).norm();
            let beyond = (span.from - along).max(along - span.to).max(0.0);
            (from_axis - radius).abs().max(beyond)
        }
    }
}

/// Points further than `most` mm from their nominal surface.
pub(super) fn astray(
    sheet: &MeasuringSheet,
    article: &ArticleReadings,
    placed: &PointsOf,
    most: f64,
) -> Vec<ReadingFault> {
    let mut out = Vec::new();
    for (e, points) in placed {
        let element = &sheet.elements[*e];
        for (place, p) in article.places[e].iter().zip(points) {
            let off = off(&element.shape, *p);
            if off > most && !place.confirmed {
                let text = format!(
                    "{}: this point lies {} mm from the nominal surface: probe it again, or write `{CONFIRMED}` as its remark",
                    element.name,
                    fixed(off, 2)
                );
                out.push(ReadingFault::at(place.line, text));
            }
        }
    }
    out
}

/// What was done to all points alike, if undoing it makes them lie on the part.
fn systematic(sheet: &MeasuringSheet, article: &ArticleReadings, raw: &PointsOf) -> Option<String> {
    type Way = fn(P3) -> P3;
    let undone = |way: Way| -> PointsOf {
        raw.iter().map(|(e, points)| (*e, points.iter().map(|p| way(*p)).collect())).collect()
    };
    let lies = |points: &PointsOf| astray(sheet, article, points, ASTRAY).is_empty();
    let units: [(&str, Way); 5] = [
        ("the points are in inches under columns in millimetres", |p| p * MM_PER_INCH),
        ("the points are in millimetres under columns in inches", |p| p / MM_PER_INCH),
        ("the points are in centimetres under columns in millimetres", |p| p * 10.0),
        ("the points are in micrometres under columns in millimetres", |p| p / 1e3),
        ("the points are in metres under columns in millimetres", |p| p * 1e3),
    ];
    let flips: [(&str, Way); 6] = [
        ("x and y are swapped", |p| P3::new(p.y, p.x, p.z)),
        ("x and z are swapped", |p| P3::new(p.z, p.y, p.x)),
        ("y and z are swapped", |p| P3::new(p.x, p.z, p.y)),
        ("x is mirrored", |p| P3::new(-p.x, p.y, p.z)),
        ("y is mirrored", |p| P3::new(p.x, -p.y, p.z)),
        ("z is mirrored", |p| P3::new(p.x, p.y, -p.z)),
    ];
    let by_unit = units.iter().find(|(_, way)| lies(&near_part(sheet, &undone(*way))));
    // In the part's own axes one of them shows; on a machine, where the part lies anywhere, all of them look alike.
    let by_flip = || flips.iter().find(|(_, way)| lies(&undone(*way)));
    let left_handed = || {
        let mirrored = lies(&near_part(sheet, &undone(flips[3].1)));
        mirrored.then_some("the axes are left-handed: one of them is mirrored, or two are swapped")
    };
    let what = by_unit.or_else(by_flip).map(|(what, _)| *what).or_else(left_handed)?;
    Some(format!("{what}: put the columns right"))
}

/// Points that stand off the surface through the others of their element.
pub(super) fn outliers(
    sheet: &MeasuringSheet,
    article: &ArticleReadings,
    placed: &PointsOf,
    least: f64,
) -> Vec<ReadingFault> {
    let mut out = Vec::new();
    for (e, points) in placed {
        let element = &sheet.elements[*e];
        let distances = from_own_fit(&element.shape, points);
        let median = least_squares::median(distances.iter().map(|d| d.abs()).collect()).unwrap_or(0.0);
        for (place, d) in article.places[e].iter().zip(&distances) {
            if d.abs() > least.max(OUTLIER_MEDIANS * median) && !place.confirmed {
                let text = format!(
                    "{}: this point stands {} mm off the surface through its neighbours: probe it again, or write `{CONFIRMED}` as its remark",
                    element.name,
                    fixed(d.abs(), 3)
                );
                out.push(ReadingFault::at(place.line, text));
            }
        }
    }
    out
}

/// Distances of points from the surface that most of them agree on: fitted once to all, then to the better three quarters.
pub(super) fn from_own_fit(shape: &ElementShape, points: &[P3]) -> Vec<f64> {
    let fit = |chosen: &[P3]| -> Option<Box<dyn Fn(P3) -> f64>> {
        match *shape {
            ElementShape::Plane { outward, .. } | ElementShape::Drafted { outward, .. } => {
                let frame = least_squares::plane(chosen, outward)?;
                Some(Box::new(move |p: P3| frame.local(p).z))
            }
            ElementShape::Cone { .. } => {
                let fitted = cone::cone(chosen, &shape.cone()?)?;
                Some(Box::new(move |p: P3| fitted.distance(p)))
            }
            ElementShape::Cylinder { point, axis, radius, .. } => {
                let start = least_squares::FittedCylinder { frame: Frame::from_z(point, axis), radius };
                let fitted = least_squares::cylinder(chosen, &start)?;
                Some(Box::new(move |p: P3| {
                    let q = fitted.frame.local(p);
                    q.x.hypot(q.y) - fitted.radius
                }))
            }
        }
    };
    let Some(first) = fit(points) else { return vec![0.0; points.len()] };
    let mut order: Vec<usize> = (0..points.len()).collect();
    order.sort_by(|a, b| first(points[*a]).abs().total_cmp(&first(points[*b]).abs()));
    let least = least_points(shape);
    let kept = (points.len() * 3 / 4).max(least.min(points.len()));
    let better: Vec<P3> = order[..kept].iter().map(|k| points[*k]).collect();
    // Too few of them, or on one side only, tell less than all do.
    let second = fit(&better).filter(|_| kept > least);
    let by = second.unwrap_or(first);
    points.iter().map(|p| by(*p)).collect()
}
