//! Enlarged sections: the tail at bushing and seal, and the sender's boss along its axis.

use solidwright::geometry::{P2, V2};

use super::holes::last_step;
use super::numbers::{
    degrees, deviations, diameter, length, limited_diameter, plain, roughness, round_span, span, stop,
};
use super::subject::{OVER, Subject, Views, cut_and_hatched, line};
use super::symbols::{beside, datum, texture};
use crate::checks::machined_fit;
use crate::design::SenderBoss;
use crate::drafting::{
    Annotated, Callout, CalloutLine, CutView, Entity, Layer, LineAngle, Margin, Rect, Shape, chords,
};
use crate::faces::{Feature, Role};
use crate::housing::sender_stand;
use crate::inspection::{Characteristic, CharacteristicKind};
use crate::units::{Deg, Mm, Units};

/// A sine of tilt below which there is no angle to dimension.
const STEEP: f64 = 1e-3;

/// From one hatching line to the next on paper, mm; wider than in the main section, as the scale is larger.
const HATCHING: f64 = 3.0;

/// The tail at bushing and seal.
pub(super) fn tail(subject: &Subject, views: &Views, factor: f64) -> Option<Annotated> {
    let tail = subject.design.tail();
    let (front, rear) = (tail.bushing().front().get(), tail.rear().get());
    let reach = 0.5 * tail.outside_diameter().get() + 4.0;
    let window = Rect::new(P2::new(front - 14.0, -reach), P2::new(rear + 4.0, reach));
    let mut out = Annotated::new(clipped(&views.main, window, factor), factor)?;
    let ends = [out.view.low.x, out.view.high.x + OVER].map(|x| P2::new(x, 0.0));
    out.content.entities.push(line(Layer::Centre, ends[0], ends[1]));
    let mark = |x: f64, r: f64| stop(subject.units, P2::new(x, r) * factor, x);
    let (bushing, seal) = (tail.bushing(), tail.seal());
    let mut stops = vec![
        mark(front, 0.5 * bushing.bore().get()),
        mark(bushing.rear().get(), 0.5 * seal.counterbore().get()),
        mark(rear, 0.5 * tail.outside_diameter().get()),
    ];
    if bushing.lead_in().get() > 0.0 {
        stops.push(mark(bushing.rear().get() - bushing.lead_in().get(), 0.5 * bushing.bore().get()));
    }
    out.ordinates(Margin::Top, P2::origin(), stops);
    let depth = seal.depth().get();
    let ends = [rear - depth, rear].map(|x| P2::new(x, -0.5 * tail.outside_diameter().get()) * factor);
    out.distances(Margin::Bottom, vec![span(subject.units, ends, depth)]);
    // On the left, where it is cut off: a line from the notes would run through the whole view.
    let stop_bore = bushing.stop_bore().get();
    let across = [-0.5, 0.5].map(|half| P2::new(window.low.x, half * stop_bore) * factor);
    out.distances(Margin::Left, vec![round_span(subject.units, across, stop_bore)]);
    out.notes(Margin::Right, tail_notes(subject, views, factor));
    Some(out)
}

fn tail_notes(subject: &Subject, views: &Views, factor: f64) -> Vec<Callout> {
    let (design, units) = (subject.design, subject.units);
    let tail = design.tail();
    let (bushing, seal) = (tail.bushing(), tail.seal());
    let at = |x: f64, z: f64| P2::new(x, z) * factor;
    let rear = tail.rear().get();
    let counterbore = vec![
        CalloutLine::Words(sized(subject, seal.counterbore(), Role::SealCounterbore)),
        CalloutLine::Words(lead_in(
            "seal counterbore",
            seal.lead_in(),
            seal.lead_in_angle(),
            (subject, Role::SealLeadIn),
        )),
    ];
    let mut notes = vec![Callout {
        at: at(
            rear - 0.4 * (seal.depth().get() - seal.lead_in().get()) - seal.lead_in().get(),
            0.5 * seal.counterbore().get(),
        ),
        lines: with_zone(counterbore, subject.boxes(Feature::Tail, Role::SealCounterbore)),
    }];
    let mut seat = vec![
        CalloutLine::Words(sized(subject, bushing.bore(), Role::BushingSeat)),
        CalloutLine::Words(lead_in(
            "bushing seat",
            bushing.lead_in(),
            bushing.lead_in_angle(),
            (subject, Role::BushingLeadIn),
        )),
    ];
    if let Some(part) = &design.mating().bushing {
        seat.push(CalloutLine::Boxes(texture(&format!("Rz {}", roughness(units, part.seat_roughness)))));
    }
    let boxes = subject.boxes(Feature::Tail, Role::BushingSeat);
    seat.push(CalloutLine::Boxes(boxes.map_or_else(|| datum("D"), |b| beside(b, datum("D")))));
    // Notes stand behind the rear face: they point at the near end of what they tell of.
    let end = bushing.rear().get() - bushing.lead_in().get();
    let near = end - 0.15 * (end - bushing.front().get());
    notes.push(Callout { at: at(near, 0.5 * bushing.bore().get()), lines: seat });
    let shoulder = 0.25 * (bushing.bore().get() + seal.counterbore().get());
    let rim = 0.25 * (seal.counterbore().get() + tail.outside_diameter().get());
    for (what, role, place) in [
        ("seal shoulder", Role::SealShoulder, at(bushing.rear().get(), -shoulder)),
        ("rear face", Role::RearFace, at(rear, rim)),
    ] {
        let boxes = subject.further_boxes(Feature::Tail, role);
        if !boxes.is_empty() {
            let words = std::iter::once(CalloutLine::Words(what.to_owned()));
            let lines = words.chain(boxes.into_iter().map(CalloutLine::Boxes)).collect();
            notes.push(Callout { at: place, lines });
        }
    }
    let around = diameter(units, tail.around_bushing().get());
    let lines = vec![CalloutLine::Words(format!("{around} around the bushing"))];
    let low = -0.5 * tail.around_bushing().get();
    let within = [bushing.front().get(), rear];
    let x = rearmost(views, low, within).unwrap_or(0.5 * (bushing.front().get() + bushing.rear().get()));
    notes.push(Callout { at: at(x, low), lines });
    notes
}

/// A station on the section's outline at a height, as far aft within two stations as there is a line, less a tenth of that line.
fn rearmost(views: &Views, height: f64, [from, to]: [f64; 2]) -> Option<f64> {
    let level = |shape: &Shape| match shape {
        Shape::Line(a, b) if (a.y - height).abs() < 1e-6 && (b.y - height).abs() < 1e-6 => {
            Some([a.x.min(b.x).max(from), a.x.max(b.x).min(to)])
        }
        _ => None,
    };
    let lines = views.main.view.visible.iter().filter_map(level).filter(|[a, b]| a < b);
    lines.max_by(|a, b| a[1].total_cmp(&b[1])).map(|[a, b]| b - 0.1 * (b - a))
}

/// A diameter with class and deviations where its fit is known.
pub(super) fn sized(subject: &Subject, nominal: Mm, role: Role) -> String {
    let units = subject.units;
    match machined_fit(subject.design, role) {
        Some(fit) => format!(
            "{} {} ({})",
            limited_diameter(units, nominal.get()),
            fit.own_class,
            deviations(units, nominal, fit.sizes)
        ),
        None => diameter(units, nominal.get()),
    }
}

/// A bore with its lead-in, and the number of the lead-in's angle.
fn lead_in(of: &str, along: Mm, angle: Deg, (subject, role): (&Subject, Role)) -> String {
    if along.get() <= 0.0 {
        return of.to_owned();
    }
    let [length, angle] = [length(subject.units, along.get()), length(Units::Mm, angle.get())];
    format!("{of}, lead-in {length} × {angle}°{}", numbered_angle(subject, Feature::Tail, role))
}

/// The number of a lead-in's angle, as it is written behind it.
pub(super) fn numbered_angle(subject: &Subject, feature: Feature, role: Role) -> String {
    let is_angle = |c: &&Characteristic| c.kind == CharacteristicKind::HalfAngle;
    subject.numbered(feature, role, is_angle).map_or(String::new(), |number| format!(" (no. {number})"))
}

fn with_zone(mut lines: Vec<CalloutLine>, boxes: Option<crate::drafting::SheetContent>) -> Vec<CalloutLine> {
    lines.extend(boxes.map(CalloutLine::Boxes));
    lines
}

/// The sender's boss in the plane of its axis and the shaft's direction.
pub(super) fn sender(subject: &Subject, views: &Views, factor: f64) -> Option<Annotated> {
    let (boss, section) = (subject.design.sender_boss()?, views.sender.as_ref()?);
    let foot = section.from.point(sender_stand(boss).foot);
    let end = boss.height().get();
    let deepest =
        boss.bore_steps().iter().map(|s| s.depth.get()).filter(|d| d.is_finite()).fold(30.0, f64::max);
    let low = (end - 1.25 * deepest.min(0.8 * end)).max(0.0);
    let mut reach = 0.5 * boss.diameter().get() + 8.0;
    if let Some(screw) = boss.retaining_screw() {
        let ear = screw.ear().map_or(screw.thread().diameter.get(), |e| e.radius.get());
        reach = reach.max(screw.distance().get() + ear + 4.0);
    }
    let window = Rect::new(foot + V2::new(-reach, low), foot + V2::new(reach, end + 4.0));
    let mut out = Annotated::new(clipped(section, window, factor), factor)?;
    let x = foot.x * factor;
    let ends = [out.view.low.y, out.view.high.y + OVER].map(|y| P2::new(x, y));
    out.content.entities.push(line(Layer::Centre, ends[0], ends[1]));
    out.notes(Margin::Right, sender_notes(subject, boss, foot, factor));
    let (sin, cos) = boss.tilt().sin_cos();
    if sin.abs() > STEEP {
        let vertex = P2::new(foot.x, foot.y + end) * factor;
        let above = out.view.high.y + OVER - vertex.y;
        out.angle(LineAngle {
            vertex,
            rays: [V2::y(), V2::new(-sin, cos)],
            starts: [above, 1.5],
            text: format!("{} from square to the shaft", degrees(Deg::new(boss.tilt().get().abs()))),
            value: boss.tilt().get().abs().to_radians(),
        });
    }
    Some(out)
}

fn sender_notes(subject: &Subject, boss: &SenderBoss, foot: P2, factor: f64) -> Vec<Callout> {
    let units = subject.units;
    let at = |u: f64, depth: f64| P2::from((foot.coords + V2::new(u, boss.height().get() - depth)) * factor);
    let mut notes = Vec::new();
    let mut above = 0.0;
    for (k, step) in boss.bore_steps().iter().enumerate() {
        let depth = step.depth.get();
        let reach = if depth.is_finite() { depth.min(boss.height().get()) } else { above + 20.0 };
        let mut lines = vec![
            CalloutLine::Words(diameter(units, step.diameter.get())),
            CalloutLine::Words({
                let deep = format!("{} deep", length(units, depth));
                if k + 1 == boss.bore_steps().len() { last_step(subject, k + 1, deep) } else { deep }
            }),
        ];
        lines.extend(subject.boxes(Feature::SenderBoss, Role::BoreStep(k + 1)).map(CalloutLine::Boxes));
        notes.push(Callout {
            at: at(0.5 * step.diameter.get(), 0.5 * (above + reach.min(above + 24.0))),
            lines,
        });
        above = reach;
    }
    let lines = vec![
        CalloutLine::Words("spot face".to_owned()),
        CalloutLine::Words(format!("{} from the foot of the axis", length(units, boss.height().get()))),
    ];
    notes.push(Callout { at: at(0.42 * boss.diameter().get(), 0.0), lines });
    notes
}

/// Where the sender's axis lies, in words.
pub(super) fn sender_axis(subject: &Subject) -> Option<String> {
    let boss = subject.design.sender_boss()?;
    let units = subject.units;
    Some(format!(
        "foot at X {}, offset {}, clock {}°, tilt {}°",
        length(units, boss.station().get()),
        length(units, boss.side_offset().get()),
        plain(boss.clock().get(), 2),
        plain(boss.tilt().get(), 2)
    ))
}

/// What of a section lies within a window, mm on the part, on paper; the border is a narrow line.
fn clipped(section: &CutView, window: Rect, factor: f64) -> Vec<Entity> {
    let on_paper = Rect { low: window.low * factor, high: window.high * factor };
    let mut out = Vec::new();
    for entity in cut_and_hatched(section, factor, HATCHING) {
        out.extend(
            within(entity.shape, on_paper).into_iter().map(|shape| Entity { layer: entity.layer, shape }),
        );
    }
    out
}

/// The pieces of a shape within a rectangle: the shape itself where it lies inside, else lines.
fn within(shape: Shape, window: Rect) -> Vec<Shape> {
    let pieces = chords(&shape);
    let inside = |p: &P2| window.grown(1e-9).contains(*p);
    if pieces.iter().all(|(a, b)| inside(a) && inside(b)) {
        return vec![shape];
    }
    pieces.into_iter().filter_map(|(a, b)| clip(a, b, window)).map(|(a, b)| Shape::Line(a, b)).collect()
}

/// The piece of a line within a rectangle (Liang and Barsky's clipping).
fn clip(a: P2, b: P2, window: Rect) -> Option<(P2, P2)> {
    let d = b - a;
    let (mut from, mut to) = (0.0_f64, 1.0_f64);
    for k in 0..2 {
        let (low, high) = (window.low[k] - a[k], window.high[k] - a[k]);
        if d[k] == 0.0 {
            if low > 0.0 || high < 0.0 {
                return None;
            }
            continue;
        }
        let (s, t) = (low / d[k], high / d[k]);
        from = from.max(s.min(t));
        to = to.min(s.max(t));
    }
    (from < to).then(|| (a + d * from, a + d * to))
}
