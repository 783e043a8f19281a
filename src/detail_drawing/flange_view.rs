//! The view on the gearbox face: register, bolt holes, their datums and tolerances.

use solidwright::geometry::{P2, P3, V2, V3};

use super::details::{numbered_angle, sized};
use super::holes::holes;
use super::numbers::{degrees, diameter, length};
use super::subject::{OVER, Subject, Views, line, outside};
use super::symbols::{datum, tolerance};
use crate::design::{BoltHole, RegisterKind};
use crate::drafting::{
    Annotated, Arc, Callout, CalloutLine, Direction, Entity, Layer, LineAngle, Margin, Shape,
};
use crate::faces::{Feature, Role};
use crate::housing::sender_stand;
use crate::inspection::geometric_tolerance;
use crate::units::{Deg, Mm};
use crate::words::counted;

/// What leans from an axis by less than this sine has no angle from it.
const STEEP: f64 = 0.02;

/// Holes whose distances from the axis differ by less than this, mm, stand on one circle.
const ONE_CIRCLE: f64 = 1e-6;

/// The view with notes on the side that looks away from the section.
pub(super) fn flange_view(subject: &Subject, views: &Views, factor: f64, side: Margin) -> Option<Annotated> {
    let (from, view) = &views.front;
    let mut out = Annotated::new(outside(view, factor), factor)?;
    let bolts = subject.design.gearbox_face().bolt_holes();
    let frame = out.view.grown(OVER);
    let axes = [
        line(Layer::Centre, P2::new(frame.low.x, 0.0), P2::new(frame.high.x, 0.0)),
        line(Layer::Centre, P2::new(0.0, frame.low.y), P2::new(0.0, frame.high.y)),
    ];
    out.content.entities.extend(axes);
    out.content.entities.extend(subject.crosses(from, factor));
    let circle = common_circle(bolts);
    if let Some(radius) = circle {
        let arc =
            Arc { centre: P2::origin(), radius: radius * factor, start: 0.0, end: std::f64::consts::TAU };
        out.content.entities.push(Entity { layer: Layer::Centre, shape: Shape::Arc(arc) });
    }
    let mut notes = vec![register(subject, factor, side)];
    notes.extend(bolts.first().map(|_| bolt_note(subject, factor, side, from)));
    notes.extend(rail_note(subject, factor, side, from));
    out.notes(side, notes);
    clocks(subject, &mut out, from);
    for hole in holes(subject).iter().filter(|h| Feature::of(&h.bore.tag) == Feature::GearboxFace) {
        let at = P2::from(from.point(hole.bore.point).coords * factor);
        out.label(at, hole.bore.radius * factor, &hole.name);
    }
    Some(out)
}

/// The angles of the first bolt hole, which is datum C, and of the sender's axis, each from the axis of the view that is nearest.
fn clocks(subject: &Subject, out: &mut Annotated, from: &Direction) {
    let factor = out.factor;
    let view = out.view;
    let axes =
        [(V2::y(), view.high.y), (V2::x(), view.high.x), (-V2::y(), -view.low.y), (-V2::x(), -view.low.x)];
    let mut before: Option<(V2, f64)> = None;
    let first = subject.design.gearbox_face().bolt_holes().first().map(|b| {
        let at = from.vector(V3::new(0.0, b.y().get(), b.z().get())) * factor;
        (P2::origin(), at.normalize(), at.norm() + 0.5 * b.diameter().get() * factor + 1.5)
    });
    let sender = subject.design.sender_boss().and_then(|boss| {
        let stand = sender_stand(boss);
        let way = from.vector(stand.axis).try_normalize(0.1)?;
        let foot = from.vector(stand.foot.coords) * factor;
        Some((P2::from(foot), way, boss.height().get() * factor + 2.0))
    });
    for (vertex, way, start) in [first, sender].into_iter().flatten() {
        let nearest = axes.into_iter().max_by(|a, b| a.0.dot(&way).total_cmp(&b.0.dot(&way)));
        let Some((axis, edge)) = nearest.filter(|(axis, _)| axis.perp(&way).abs() > STEEP) else { continue };
        // Where the line crosses the axis through the middle of the view.
        let along = -axis.perp(&vertex.coords) / axis.perp(&way);
        let crossing = vertex + way * along;
        // Two arcs beside one axis stand one outside the other.
        let least = before.filter(|(other, _)| *other == axis).map_or(0.0, |(_, radius)| radius);
        let starts = [edge + OVER - axis.dot(&crossing.coords), start - along].map(|s| s.max(least));
        let value = axis.dot(&way).clamp(-1.0, 1.0).acos();
        let text = degrees(Deg::new(value.to_degrees()));
        let placed = out.angle(LineAngle { vertex: crossing, rays: [axis, way], starts, text, value });
        before = placed.map(|radius| (axis, radius)).or(before);
    }
}

/// The radius of the circle on which all holes stand.
fn common_circle(bolts: &[BoltHole]) -> Option<f64> {
    let radius = |b: &BoltHole| b.y().get().hypot(b.z().get());
    let first = radius(bolts.first()?);
    bolts.iter().all(|b| (radius(b) - first).abs() < ONE_CIRCLE).then_some(first)
}

/// A point of a circle about the axis, on the side of the notes, at an angle above the level.
fn on_circle(radius: f64, side: Margin, degrees: f64) -> P2 {
    let (sin, cos) = degrees.to_radians().sin_cos();
    let way = if side == Margin::Left { -cos } else { cos };
    P2::new(way * radius, sin * radius)
}

/// The register: datum B.
fn register(subject: &Subject, factor: f64, side: Margin) -> Callout {
    let (design, units) = (subject.design, subject.units);
    let register = design.gearbox_face().register();
    let d = register.diameter();
    let size = sized(subject, d, Role::Register);
    let kind = match register.kind() {
        RegisterKind::Spigot => "register spigot",
        RegisterKind::Recess => "register recess",
    };
    let lead = format!(
        "{kind}, {} long, lead-in {} × {}°{}",
        length(units, register.length().get()),
        length(units, register.lead_in().get()),
        length(crate::units::Units::Mm, register.lead_in_angle().get()),
        numbered_angle(subject, Feature::GearboxFace, Role::RegisterLeadIn)
    );
    let mut lines = vec![CalloutLine::Words(size), CalloutLine::Words(lead)];
    lines.push(CalloutLine::Boxes(datum("B")));
    if let Some(boxes) = subject.boxes(Feature::GearboxFace, Role::Face) {
        lines.push(CalloutLine::Words("gearbox face, datum A:".to_owned()));
        lines.push(CalloutLine::Boxes(boxes));
        let further = subject.further_boxes(Feature::GearboxFace, Role::Face);
        lines.extend(further.into_iter().map(CalloutLine::Boxes));
    }
    Callout { at: on_circle(0.5 * d.get() * factor, side, 52.0), lines }
}

/// The shift rail's bore with its fit and the tolerance of its place.
fn rail_note(subject: &Subject, factor: f64, side: Margin, from: &Direction) -> Option<Callout> {
    let bore = subject.bores.iter().find(|bore| Role::of(&bore.tag) == Role::RailBore)?;
    let size = sized(subject, Mm::new(2.0 * bore.radius), Role::RailBore);
    let mut lines = vec![CalloutLine::Words(format!("{size} rail bore"))];
    lines.extend(subject.boxes(Feature::RailTube, Role::RailBore).map(CalloutLine::Boxes));
    let middle = P2::from(from.point(bore.point).coords * factor);
    Some(Callout { at: middle + on_circle(bore.radius * factor, side, 20.0).coords, lines })
}

/// The bolt holes, the first of which is datum C.
fn bolt_note(subject: &Subject, factor: f64, side: Margin, from: &Direction) -> Callout {
    let (design, units) = (subject.design, subject.units);
    let bolts = design.gearbox_face().bolt_holes();
    // Each size once, with its count, in the order of the holes.
    let mut sizes: Vec<(String, usize)> = Vec::new();
    for size in bolts.iter().map(|bolt| diameter(units, bolt.diameter().get())) {
        match sizes.iter_mut().find(|(known, _)| *known == size) {
            Some((_, count)) => *count += 1,
            None => sizes.push((size, 1)),
        }
    }
    let told: Vec<String> = sizes.iter().map(|(size, count)| format!("{count}× {size}")).collect();
    let mut lines = vec![CalloutLine::Words(format!("{} through", told.join(", ")))];
    if let Some(radius) = common_circle(bolts) {
        lines.push(CalloutLine::Words(format!("on a circle {}", diameter(units, 2.0 * radius))));
    }
    let seats: Vec<_> = bolts.iter().filter_map(|b| b.spot_face().map(|s| (s.diameter, s.depth))).collect();
    if let Some((d, depth)) = seats.first().filter(|first| seats.iter().all(|s| s == *first)) {
        lines.push(CalloutLine::Words(format!(
            "spot faces {} × {} deep, far side",
            diameter(units, d.get()),
            length(units, depth.get())
        )));
    } else if !seats.is_empty() {
        lines.push(CalloutLine::Words(counted(seats.len(), "spot face")));
    }
    // Each hole has its numbers in the table.
    let zone = geometric_tolerance(design, Feature::GearboxFace, Role::BoltHole(1));
    lines.extend(zone.map(|zone| CalloutLine::Boxes(tolerance(units, &zone))));
    lines.push(CalloutLine::Words("hole F1 is datum C (clocking)".to_owned()));
    // The hole that is lowest on the side of the notes.
    let seen = |b: &BoltHole| {
        let p = P3::origin() + V3::new(0.0, b.y().get(), b.z().get());
        (P2::from(from.point(p).coords * factor), 0.5 * b.diameter().get() * factor)
    };
    let reach = |p: &P2| p.y + if side == Margin::Left { p.x } else { -p.x };
    let lowest = bolts.iter().map(seen).min_by(|a, b| reach(&a.0).total_cmp(&reach(&b.0)));
    let (at, radius) = lowest.unwrap_or((P2::origin(), 0.0));
    let out = on_circle(radius, side, -20.0);
    Callout { at: at + out.coords, lines }
}
