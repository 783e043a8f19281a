//! Bolts of the gearbox face: head and washer on their seat, room around them, and the straight path of a socket.

use super::access::swing;
use super::{Checks, Limits, Measurement, Sense, Unit, names};
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
    let washer = bolt.washer.map_or(0.0, |[outside, _]| outside.get()).max(bolt.corners.get());
    let start = P3::new(seat, hole.y().get(), hole.z().get());
    let make = |check, value, hint| {
        Measurement::new(check, what.clone(), (value, Unit::Mm), Sense::AtLeast, hint).at([start], [])
    };
    if let Some(spot) = spot {
        let over = 0.5 * (spot.diameter.get() - washer);
        let hint = "widen `spot_face.diameter`, or leave out the washer";
        out.measurements.push(make("washer on its spot face", over, hint).warns_by(&limits.head_room));
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
    let obstacle = |from: f64, to: f64| {
        let count = ((to - from) / STEP).ceil() as usize;
        let places = (0..=count).map(|k| start + V3::x() * (from + (to - from) * k as f64 / count as f64));
        probe.nearest_of(places, counts, FAR)
    };
    let place = |near: &Near| ([start, near.point], names(probe.brep(), [near.face]));
    let head = bolt.head.get() + bolt.washer.map_or(WASHER, |[_, thick]| thick.get());
    if let Some(near) = obstacle(0.05, head) {
        let room = near.distance - 0.5 * washer;
        let hint = "move the bolt circle outwards, sink or widen the spot face, or make the fillet smaller";
        let (points, faces) = place(&near);
        out.measurements.push(
            make("room about the bolt's head", room, hint).fails_by(&limits.head_room).at(points, faces),
        );
    }
    let socket = obstacle(0.05, TOOL);
    if let Some(near) = &socket {
        let room = near.distance - socket_radius(bolt.flats).get();
        let hint =
            "no socket goes on straight: turn the bolt circle (`first_clock`), or plan for an open spanner";
        let (points, faces) = place(near);
        out.measurements.push(
            make("straight way of a socket", room, hint)
                .warns_or_fails_by(&limits.socket_way)
                .at(points, faces),
        );
    }
    swing(probe, bolt, start, counts)
}
