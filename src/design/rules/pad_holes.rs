//! Tapped holes of pads: on the pad, clear of its opening and of each other, with a floor above the cavity.

use super::{Verdicts, above, apart, error};
use crate::design::pad_face::PadFace;
use crate::design::pads::{PlacedPosition, Position, Rectangle, placed, rectangle};
use crate::finding::{Code, Finding, Scope};
use crate::params::Origin;
use crate::params::schema::{File, RawMountPad, RawPadHoles, RawShiftBoxPad};
use crate::standards::bolts::{EDGE_DISTANCE, EDGE_SOURCE};
use crate::standards::threads::Thread;
use crate::units::Mm;

const NONE: Code = Code::new("D050", "pad holes without position");
const OFF_PAD: Code = Code::new("D051", "tapped hole runs off the pad");
const NEAR_EDGE: Code = Code::new("D052", "tapped hole close to the pad's edge").about(Scope::Limits);
const INTO_OPENING: Code = Code::new("D053", "tapped hole runs into the opening");
const OVERLAP: Code = Code::new("D054", "tapped holes overlap");
const SHALLOW_DRILL: Code = Code::new("D055", "drilled hole shallower than its thread");
const INTO_CAVITY: Code = Code::new("D056", "blind hole breaks into the cavity");
const THIN_FLOOR: Code = Code::new("D057", "thin floor under a blind hole").about(Scope::Limits);

pub(super) const CODES: &[Code] =
    &[NONE, OFF_PAD, NEAR_EDGE, INTO_OPENING, OVERLAP, SHALLOW_DRILL, INTO_CAVITY, THIN_FLOOR];

/// Metal between a blind hole and the cavity below which oil may weep through, shop practice.
const FLOOR: Mm = Mm::new(3.0);

pub(super) fn check(file: &File, out: &mut Verdicts) {
    // The limit of the check of the same distance.
    let diameters = file.limits.edge_distance.get().unwrap_or(EDGE_DISTANCE);
    if let Some(pad) = &file.shift_box_pad
        && let Some(holes) = &pad.holes
    {
        let opening = pad.opening.as_ref().and_then(rectangle);
        on_pad(holes, PadFace::of(pad).as_ref(), opening, diameters, out);
        floors(holes, |at, depth| shift_box_point(pad, at, depth), out);
    }
    for pad in file.mount_pad.iter().chain(&file.second_mount_pad) {
        let Some(holes) = &pad.holes else { continue };
        let outline = rectangle(&pad.outline).map(PadFace::Rectangle);
        on_pad(holes, outline.as_ref(), None, diameters, out);
        floors(holes, |at, depth| mount_point(pad, at, depth), out);
    }
}

fn on_pad(
    raw: &RawPadHoles,
    outline: Option<&PadFace>,
    opening: Option<Rectangle>,
    diameters: f64,
    out: &mut Verdicts,
) {
    if raw.grid.is_none() && raw.positions.items.is_empty() && raw.positions.origin != Origin::Bad {
        out.add(
            error(NONE, &raw.thread, "the pad's holes have no position".to_owned())
                .allowed("a `grid`, or `positions`, or both"),
        );
    }
    if let (Some(depth), Some(drill)) = (raw.depth.get(), raw.drill_depth.get())
        && above(depth, drill)
    {
        let (own, limit) = (out.mm(drill), out.mm(depth));
        out.add(
            error(
                SHALLOW_DRILL,
                &raw.drill_depth,
                format!("the drilled hole of {own} ends within the thread"),
            )
            .allowed(format!("{limit} or more, the thread's depth")),
        );
    }
    let Some(thread) = raw.thread.get() else { return };
    let holes = placed(raw);
    let mut told = Vec::new();
    for hole in &holes {
        let at_edge = outline.and_then(|outline| edge(hole, outline, thread, diameters, out));
        let at_opening = opening.and_then(|opening| beside_opening(hole, opening, thread, out));
        for finding in at_edge.into_iter().chain(at_opening) {
            // All holes of a grid share one place in the file, so one finding is enough.
            let key = (finding.code(), finding.place());
            if !told.contains(&key) {
                told.push(key);
                out.add(finding);
            }
        }
    }
    overlaps(&holes, thread.diameter, out);
}

fn edge(
    hole: &PlacedPosition,
    outline: &PadFace,
    thread: &Thread,
    diameters: f64,
    out: &Verdicts,
) -> Option<Finding> {
    let (edge, radius, wanted) =
        (outline.depth_inside(hole.position)?, thread.tap_drill / 2.0, thread.diameter * diameters);
    // The finding points at the coordinate without which the hole would lie deeper inside.
    let without = |along, across| outline.depth_inside(Position { along, across });
    let middle = Mm::new(0.0);
    let by_along = without(middle, hole.position.across)? >= without(hole.position.along, middle)?;
    let place = if by_along { hole.place } else { hole.across_place };
    if !above(edge, radius) {
        let message = if above(Mm::new(0.0), edge) {
            format!("the hole's centre lies {} outside the pad", out.mm(-edge))
        } else {
            format!("the hole's centre lies {} from the edge", out.mm(edge))
        };
        return Some(
            Finding::error(OFF_PAD, &hole.name, message)
                .at(place)
                .allowed(format!("more than {}, the drill's radius", out.mm(radius)))
                .because("the hole would be open at the side"),
        );
    }
    above(wanted, edge).then(|| {
        Finding::error(
            NEAR_EDGE,
            &hole.name,
            format!("the hole's centre lies {} from the edge", out.mm(edge)),
        )
        .at(place)
        .allowed(format!("{} or more", out.mm(wanted)))
        .because(format!("the edge cracks when a thread is closer than {diameters} screw diameters"))
        .from_source(EDGE_SOURCE)
    })
}

fn beside_opening(
    hole: &PlacedPosition,
    opening: Rectangle,
    thread: &Thread,
    out: &Verdicts,
) -> Option<Finding> {
    let (gap, radius) = (-opening.depth_inside(hole.position), thread.tap_drill / 2.0);
    if above(gap, radius) {
        return None;
    }
    let message = if above(Mm::new(0.0), gap) {
        "the hole's centre lies in the opening".to_owned()
    } else {
        format!("the hole's centre lies {} beside the opening", out.mm(gap))
    };
    Some(
        Finding::error(INTO_OPENING, &hole.name, message)
            .at(hole.place)
            .allowed(format!("more than {}, the drill's radius", out.mm(radius)))
            .because("the thread would be open to the oil"),
    )
}

fn overlaps(holes: &[PlacedPosition], diameter: Mm, out: &mut Verdicts) {
    for (i, a) in holes.iter().enumerate() {
        for b in &holes[i + 1..] {
            let pair = [a, b].map(|hole| (hole.position.along, hole.position.across));
            let distance = apart(pair[0], pair[1]);
            if above(distance, diameter) {
                continue;
            }
            out.add(
                Finding::error(OVERLAP, &b.name, format!("it lies {} from {}", out.mm(distance), a.name))
                    .at(b.place)
                    .allowed(format!("more than {}, the thread's diameter", out.mm(diameter)))
                    .because("the threads would run into each other"),
            );
            return; // further pairs of a crowded pattern would only repeat this
        }
    }
}

/// Warns or refuses where a hole's floor comes close to the cavity; one finding a pad.
fn floors(
    raw: &RawPadHoles,
    point: impl Fn(Position, Mm) -> Option<[Mm; 3]>,
    out: &mut Verdicts,
) -> Option<()> {
    let drill = raw.thread.get()?.tap_drill / 2.0;
    let depth = raw.drill_depth.get()?;
    let mut least: Option<(Mm, String)> = None;
    for hole in placed(raw) {
        let [x, y, z] = point(hole.position, depth)?;
        let Some(cavity) = out.cavity_at(x) else { continue };
        // The floor's corner nearest to the axis, at worst a drill radius closer than its centre.
        let floor = Mm::new(y.get().hypot(z.get())) - drill - cavity;
        if least.as_ref().is_none_or(|(thinnest, _)| floor < *thinnest) {
            least = Some((floor, hole.name));
        }
    }
    let (floor, name) = least?;
    if !above(floor, Mm::new(0.0)) {
        out.add(
            error(INTO_CAVITY, &raw.drill_depth, format!("{name} breaks into the cavity"))
                .allowed(format!("a depth smaller by at least {}", out.mm(-floor)))
                .because("oil leaks along the thread"),
        );
    } else if above(FLOOR, floor) {
        out.add(
            super::warning(
                THIN_FLOOR,
                &raw.drill_depth,
                format!("the floor under {name} is {} thick, above the cavity", out.mm(floor)),
            )
            .allowed(format!("a depth smaller by at least {}", out.mm(FLOOR - floor)))
            .because(format!("oil may weep through a floor thinner than {}", out.mm(FLOOR)))
            .from_source("common practice"),
        );
    }
    Some(())
}

/// The point `depth` below a position on the shift-box pad's face.
pub(super) fn shift_box_point(pad: &RawShiftBoxPad, at: Position, depth: Mm) -> Option<[Mm; 3]> {
    let ((sc, cc), (st, ct)) = (pad.clock.get()?.sin_cos(), pad.tilt.get()?.sin_cos());
    let x = pad.station.get()? + at.along * ct - depth * st;
    let out = pad.height.get()? - at.along * st - depth * ct;
    let side = pad.side_offset.get()? + at.across;
    Some([x, out * sc + side * cc, out * cc - side * sc])
}

/// The point `depth` above a position on the mount pad's face.
fn mount_point(pad: &RawMountPad, at: Position, depth: Mm) -> Option<[Mm; 3]> {
    let x = pad.base_station.get()? + pad.offset.get()? + at.along;
    Some([x, pad.side_offset.get()? + at.across, depth - pad.drop.get()?])
}
