//! The section along the shaft: stations from datum A, diameters of the outside, heights of the pads.

use solidwright::geometry::{P2, V2};

use super::numbers::{length, round_span, span, stop};
use super::subject::{OVER, Subject, Views, cut, line};
use super::symbols::datum_left;
use crate::design::RegisterKind;
use crate::drafting::{Annotated, Layer, Margin, Span, Stop};

/// A clock angle or tilt below this, degrees, is none.
const STRAIGHT: f64 = 1e-6;

/// How far above the flange the datum's triangle stands, mm on paper.
const DATUM: f64 = 3.6;

/// Whether the shift box's pad is seen square from above.
pub(super) fn pad_is_level(subject: &Subject) -> bool {
    let straight = |x: f64| x.abs() < STRAIGHT;
    subject
        .design
        .shift_box_pad()
        .is_some_and(|pad| straight(pad.clock().get()) && straight(pad.tilt().get()))
}

/// The section with its dimensions.
pub(super) fn main_section(subject: &Subject, views: &Views, factor: f64) -> Option<Annotated> {
    let mut out = Annotated::new(cut(&views.main, factor), factor)?;
    let axis = [out.view.low.x - OVER, out.view.high.x + OVER].map(|x| P2::new(x, 0.0));
    out.content.entities.push(line(Layer::Centre, axis[0], axis[1]));
    let on = Paper { factor };
    out.ordinates(Margin::Top, P2::origin(), outer_stops(subject, on));
    out.ordinates(Margin::Bottom, P2::origin(), inner_stops(subject, on));
    out.distances(Margin::Left, left_spans(subject, on));
    out.distances(Margin::Right, right_spans(subject, on));
    // On the extension line of the face, above the flange and clear of its diameter's.
    let flange = 0.5 * subject.design.gearbox_face().flange_diameter().get();
    out.content.put(datum_left(on.at(0.0, flange) + V2::new(0.0, DATUM), "A"), V2::zeros());
    Some(out)
}

/// From the part to paper.
#[derive(Clone, Copy)]
struct Paper {
    factor: f64,
}

impl Paper {
    fn at(self, x: f64, z: f64) -> P2 {
        P2::new(x, z) * self.factor
    }
}

/// Stations of the outside, counted from datum A.
fn outer_stops(subject: &Subject, on: Paper) -> Vec<Stop> {
    let design = subject.design;
    let mark = |x: f64, z: f64| stop(subject.units, on.at(x, z), x);
    let flange = 0.5 * design.gearbox_face().flange_diameter().get();
    let mut out = vec![mark(0.0, flange), mark(design.gearbox_face().flange_thickness().get(), flange)];
    if let Some(pad) = design.shift_box_pad().filter(|_| pad_is_level(subject)) {
        let (x, z) = (pad.station().get(), pad.height().get());
        out.push(mark(x, z));
        if let crate::design::PadFace::Rectangle(outline) = pad.outline() {
            let half = 0.5 * outline.length.get();
            out.extend([mark(x - half, z), mark(x + half, z)]);
        }
    }
    let tail = design.tail();
    if let Some(barrel) = tail.barrel() {
        out.push(mark(barrel.rear.get(), 0.5 * tail.outside_diameter().get()));
    }
    out.push(mark(tail.rear().get(), 0.5 * tail.outside_diameter().get()));
    out
}

/// Stations of the inside and of what hangs below, counted from datum A.
fn inner_stops(subject: &Subject, on: Paper) -> Vec<Stop> {
    let design = subject.design;
    let mark = |x: f64, z: f64| stop(subject.units, on.at(x, -z), x);
    let register = design.gearbox_face().register();
    let ahead = match register.kind() {
        RegisterKind::Spigot => -register.length().get(),
        RegisterKind::Recess => register.length().get(),
    };
    let mut out = vec![mark(0.0, 0.5 * design.gearbox_face().flange_diameter().get())];
    out.push(mark(ahead, 0.5 * register.diameter().get()));
    let cavity = design.shell().cavity();
    out.extend(cavity.iter().filter(|s| s.x.get() > 0.0).map(|s| mark(s.x.get(), s.radius.get())));
    for pad in [design.mount_pad(), design.second_mount_pad()].into_iter().flatten() {
        let (x, half) = (pad.station().get(), 0.5 * pad.outline().length.get());
        out.extend([x - half, x, x + half].map(|x| mark(x, pad.drop().get())));
    }
    let (bushing, tail) = (design.tail().bushing(), design.tail());
    out.push(mark(bushing.front().get(), 0.5 * bushing.bore().get()));
    out.push(mark(bushing.rear().get(), 0.5 * tail.seal().counterbore().get()));
    out.push(mark(tail.rear().get(), 0.5 * tail.outside_diameter().get()));
    out
}

/// Diameters at the gearbox face.
fn left_spans(subject: &Subject, on: Paper) -> Vec<Span> {
    let design = subject.design;
    let across = |x: f64, d: f64| round_span(subject.units, [on.at(x, -0.5 * d), on.at(x, 0.5 * d)], d);
    let mut out = vec![across(0.0, design.gearbox_face().flange_diameter().get())];
    if let Some(first) = design.shell().cavity().first() {
        out.push(across(first.x.get(), 2.0 * first.radius.get()));
    }
    out
}

/// Diameter of the rear end, and how far the pads stand off the axis.
fn right_spans(subject: &Subject, on: Paper) -> Vec<Span> {
    let design = subject.design;
    let (rear, d) = (design.tail().rear().get(), design.tail().outside_diameter().get());
    let mut out = vec![round_span(subject.units, [on.at(rear, -0.5 * d), on.at(rear, 0.5 * d)], d)];
    let off = |x: f64, z: f64| span(subject.units, [on.at(rear, 0.0), on.at(x, z)], z.abs());
    if let Some(pad) = design.shift_box_pad().filter(|_| pad_is_level(subject)) {
        let half = 0.5 * pad.outline().length().get();
        out.push(off(pad.station().get() + half, pad.height().get()));
    }
    for pad in [design.mount_pad(), design.second_mount_pad()].into_iter().flatten() {
        let half = 0.5 * pad.outline().length.get();
        let drop = pad.drop().get();
        let known = out.iter().any(|s| s.ends[1].y < 0.0 && s.text == length(subject.units, drop));
        if !known {
            out.push(off(pad.station().get() + half, -drop));
        }
    }
    out
}
