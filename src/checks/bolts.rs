//! Bolts of the gearbox face: head and washer on their seat, room around them, and the straight path of a socket.

use super::access::swing;
use super::{Checks, Limits, Measurement, Sense, Unit, mount_bolts, names};
use crate::design::{BoltHole, Design};
use crate::faces::{Feature, Role};
use crate::standards::bolts::{Bolt, of_thread, socket_radius};
use crate::words::counted;
use solidwright::geometry::{P3, Surface, V3};
use solidwright::probe::{Near, Probe};
use solidwright::solid::BrepFace;

/// Length of a socket with its extension, mm (common practice, no source).
const TOOL: f64 = 75.0;

/// Thickness of a washer where the table has none, mm (common practice, no source).
const WASHER: f64 = 2.5;

/// Step along a bolt's axis, mm.
const STEP: f64 = 0.5;

/// Greatest distance at which obstacles are searched for, mm.
const FAR: f64 = 60.0;

pub(super) fn check(design: &Design, probe: &Probe, limits: &Limits, out: &mut Checks) {
    mount_bolts::check(design, probe, limits, out);
    let face = design.gearbox_face();
    let mut plain = 0;
    // The least free turn, and its bolt.
    let mut least: Option<(f64, usize)> = None;
    for (i, hole) in face.bolt_holes().iter().enumerate() {
        let bolt = hole.size().thread().and_then(|thread| of_thread(thread).ok());
        match bolt {
            Some(bolt) => {
                let turn = one(face.flange_thickness().get(), i + 1, hole, bolt, probe, limits, out);
                if least.is_none_or(|(known, _)| turn < known) {
                    least = Some((turn, i));
                }
            }
            None => plain += 1,
        }
    }
    if let Some((turn, i)) = least {
        let what = Feature::GearboxFace.face(Role::BoltHole(i + 1));
        let hint = "give the bolt room to one side, or sink its head less";
        let hole = &face.bolt_holes()[i];
        out.measurements.push(
            Measurement::new("swing of a spanner", what, (turn, Unit::Deg), Sense::AtLeast, hint)
                .warns_or_fails_by(&limits.swing)
                .at([P3::new(face.flange_thickness().get(), hole.y().get(), hole.z().get())], []),
        );
    }
    if plain > 0 {
        out.not(
            "bolt heads and sockets",
            format!(
                "{} of the gearbox face without a bolt, given by diameter: name the bolts (`size: M10`)",
                counted(plain, "hole")
            ),
        );
    }
}

/// Outside of what bears on a bolt's seat: its washer, or the head's corners, mm.
fn washer(bolt: &Bolt) -> f64 {
    bolt.washer.map_or(0.0, |[outside, _]| outside.get()).max(bolt.corners.get())
}

/// Where a bolt's head or nut bears.
pub(super) struct Seat<'a> {
    /// The bolt, for people.
    pub(super) what: String,
    /// Places of its axis on the seat: of a slot some along it.
    pub(super) places: Vec<P3>,
    /// Away from the seat.
    pub(super) up: V3,
    /// What stands there.
    pub(super) bolt: &'a Bolt,
}

impl Seat<'_> {
    /// Measures the room about head and washer, and beside a socket on its straight way; `hints` tell what to do where either is too little.
    pub(super) fn room(
        &self,
        probe: &Probe,
        counts: impl Fn(usize) -> bool,
        limits: &Limits,
        [head_hint, socket_hint]: [&'static str; 2],
        out: &mut Checks,
    ) {
        let Self { what, places, up, bolt } = self;
        let obstacle = |from: f64, to: f64| {
            let count = ((to - from) / STEP).ceil() as usize;
            let way = move |start: &P3| {
                let start = *start;
                (0..=count).map(move |k| start + up * (from + (to - from) * k as f64 / count as f64))
            };
            probe.nearest_of(places.iter().flat_map(way), &counts, FAR)
        };
        let make = |check, value, hint, near: &Near| {
            // The place of the axis nearest to what is in the way.
            let off = |p: &P3| (near.point - p).cross(up).norm();
            let start = places.iter().min_by(|a, b| off(a).total_cmp(&off(b)));
            let points = start.copied().into_iter().chain([near.point]);
            let made = Measurement::new(check, what.clone(), (value, Unit::Mm), Sense::AtLeast, hint);
            made.at(points, names(probe.brep(), [near.face]))
        };
        let head = bolt.head.get() + bolt.washer.map_or(WASHER, |[_, thick]| thick.get());
        if let Some(near) = obstacle(0.05, head) {
            let room = near.distance - 0.5 * washer(bolt);
            out.measurements
                .push(make("room about the bolt's head", room, head_hint, &near).fails_by(&limits.head_room));
        }
        if let Some(near) = obstacle(0.05, TOOL) {
            let room = near.distance - socket_radius(bolt.flats).get();
            let made = make("straight way of a socket", room, socket_hint, &near);
            out.measurements.push(made.warns_or_fails_by(&limits.socket_way));
        }
    }
}

/// Checks one bolt; returns the free turn of a spanner on it, degrees.
fn one(
    thickness: f64,
    number: usize,
    hole: &BoltHole,
    bolt: &Bolt,
    probe: &Probe,
    limits: &Limits,
    out: &mut Checks,
) -> f64 {
    let spot = hole.spot_face();
    let seat = thickness - spot.map_or(0.0, |s| s.depth.get());
    let what = format!("{}, {} bolt", Feature::GearboxFace.face(Role::BoltHole(number)), bolt.name);
    let start = P3::new(seat, hole.y().get(), hole.z().get());
    if let Some(spot) = spot {
        let over = 0.5 * (spot.diameter.get() - washer(bolt));
        let hint = "widen `spot_face.diameter`, or leave out the washer";
        let value = (over, Unit::Mm);
        let made = Measurement::new("washer on its spot face", what.clone(), value, Sense::AtLeast, hint);
        out.measurements.push(made.at([start], []).warns_by(&limits.head_room));
    }
    let counts = |face: &BrepFace| {
        let level = match &face.surface {
            Surface::Plane(p) => {
                p.frame.z.cross(&V3::x()).norm() < 1e-9 && p.frame.origin.x <= thickness + 1e-6
            }
            _ => false,
        };
        let role = Role::of(&face.tag);
        let hole = matches!(role, Role::BoltHole(_)) || role == Role::BoltSpotFace(number);
        !(level || hole || role.is_flange_edge())
    };
    // Asked for far more often than there are faces.
    let counting: Vec<bool> = probe.brep().faces.iter().map(counts).collect();
    let counts = |f: usize| counting[f];
    let seat = Seat { what, places: vec![start], up: V3::x(), bolt };
    let hints = [
        "move the bolt circle outwards, sink or widen the spot face, or make the fillet smaller",
        "no socket goes on straight: turn the bolt circle (`first_clock`), or plan for an open spanner",
    ];
    seat.room(probe, counts, limits, hints, out);
    swing(probe, bolt, start, counts)
}
