//! The side view, drawn to scale: gearbox, housing, yoke, the vehicle's hard points, the old housing dashed.

use super::Placed;
use super::drawn::{BOX, CENTRE, Drawn, NEW, OLD, POINT, WORKS};
use crate::design::Design;
use crate::housing::sender_seat;
use crate::units::{Mm, Units};

/// Size of text, mm of the part.
const TEXT: f64 = 9.0;

/// Rows of figures below the view, mm apart.
const ROW: f64 = 13.0;

/// The view as SVG; a unit of it is a millimetre.
pub fn side_view(design: &Design, placed: &Placed) -> String {
    let mut s = Drawn::new(TEXT);
    gearbox(design, &mut s);
    works(design, &mut s);
    housing(design, &mut s);
    old(design, &mut s);
    points(design, &mut s);
    let (left, right) = (s.low[0], s.high[0]);
    s.line([left, 0.0], [right, 0.0], CENTRE);
    figures(design, placed, &mut s);
    s.svg()
}

fn gearbox(design: &Design, s: &mut Drawn) {
    let radius = 0.5 * design.gearbox_face().flange_diameter().get();
    let length = design.vehicle().hard_points.as_ref().map_or(120.0, |p| p.gearbox_length.get());
    s.rectangle([-length, 0.0], [-radius, radius], BOX);
    s.text(-0.5 * length, 0.35 * radius, "middle", "gearbox");
}

fn housing(design: &Design, s: &mut Drawn) {
    let face = design.gearbox_face();
    let outside: Vec<[f64; 2]> =
        design.shell().outside().iter().map(|p| [p.x.get(), p.radius.get()]).collect();
    let mirrored = outside.iter().rev().map(|[x, r]| [*x, -r]);
    let shell: Vec<[f64; 2]> = outside.iter().copied().chain(mirrored).collect();
    let (end, tail) = (design.overall_length().get(), design.tail());
    let ring = 0.5 * tail.outside_diameter().get();
    if let Some(pad) = design.shift_box_pad() {
        let (x, z, half) = (pad.station().get(), pad.height().get(), 0.5 * pad.outline().length().get());
        s.rectangle([x - half, x + half], [0.0, z], NEW);
    }
    if let Some(pad) = design.mount_pad() {
        let (x, z, half) = (pad.station().get(), -pad.drop().get(), 0.5 * pad.outline().length.get());
        s.rectangle([x - half, x + half], [z, 0.0], NEW);
    }
    s.shape(&shell, NEW);
    let barrel = tail.barrel().map_or([end, ring], |b| [b.rear.get(), 0.5 * b.diameter.get()]);
    s.rectangle([tail.ring_front().get(), barrel[0]], [-barrel[1], barrel[1]], NEW);
    if let Some(barrel) = tail.barrel() {
        s.rectangle([barrel.rear.get(), end], [-ring, ring], NEW);
    }
    let flange = 0.5 * face.flange_diameter().get();
    s.rectangle([0.0, face.flange_thickness().get()], [-flange, flange], NEW);
    if let Some(boss) = design.sender_boss() {
        let (seat, axis) = sender_seat(boss);
        let (radius, foot) = (0.5 * boss.diameter().get(), seat - axis * boss.height().get());
        let across = [axis.z, -axis.x];
        let size = across[0].hypot(across[1]).max(1e-9);
        let at = |p: [f64; 2], k: f64| {
            [p[0] + k * radius * across[0] / size, p[1] + k * radius * across[1] / size]
        };
        let (a, b) = ([foot.x, foot.z], [seat.x, seat.z]);
        s.shape(&[at(a, -1.0), at(b, -1.0), at(b, 1.0), at(a, 1.0)], NEW);
    }
}

/// Yoke, joint and propeller shaft.
fn works(design: &Design, s: &mut Drawn) {
    let Some(yoke) = &design.mating().yoke else { return };
    let (front, back) = (yoke.front.get(), yoke.shoulder().get());
    let radius = 0.5 * yoke.barrel_diameter.get();
    s.rectangle([front, back], [-radius, radius], WORKS);
    let Some(joint) = yoke.joint() else { return };
    s.rectangle([back, joint.get() + radius], [-1.4 * radius, 1.4 * radius], WORKS);
    s.text(joint.get(), -1.4 * radius - 14.0, "end", "slip yoke");
    if let Some(shaft) = &design.vehicle().propshaft {
        // Only its beginning is drawn.
        let (x, z) = (shaft.rear_joint_station.get() - joint.get(), shaft.rear_joint_height.get());
        let share = 140.0 / x.max(1.0);
        let tube = 0.5 * shaft.tube_outside.map_or(60.0, Mm::get);
        let [a, b] = [[joint.get(), 0.0], [joint.get() + x * share, z * share]];
        s.shape(&[[a[0], a[1] - tube], [b[0], b[1] - tube], [b[0], b[1] + tube], [a[0], a[1] + tube]], WORKS);
    }
}

/// The old housing: its length, its pads as marks.
fn old(design: &Design, s: &mut Drawn) {
    let Some(donor) = &design.vehicle().donor else { return };
    let end = donor.overall_length.get();
    let plain = &design.vehicle().donor_plain;
    let ring = 0.5 * design.tail().outside_diameter().get();
    let face = 0.5 * design.gearbox_face().flange_diameter().get();
    let mut top: Vec<[f64; 2]> = vec![[0.0, face]];
    for p in plain {
        top.push([p.from.get(), 0.5 * p.front_diameter.get()]);
        top.push([p.to.get(), 0.5 * p.rear_diameter.get()]);
    }
    top.push([end, ring]);
    let mirrored: Vec<[f64; 2]> = top.iter().rev().map(|[x, z]| [*x, -z]).collect();
    top.extend(mirrored);
    s.shape(&top, OLD);
    if let Some(x) = donor.shift_station {
        let height = design.shift_box_pad().map_or(face, |p| p.height().get());
        s.line([x.get() - 40.0, height], [x.get() + 40.0, height], OLD);
        s.text(x.get(), height + 4.0, "middle", "old shift box");
    }
    if let (Some(x), Some(drop)) = (donor.mount_station, donor.mount_drop) {
        s.line([x.get() - 30.0, -drop.get()], [x.get() + 30.0, -drop.get()], OLD);
        s.text(x.get(), -drop.get() - 12.0, "middle", "old mount");
    }
    s.text(end, ring + 6.0, "end", "old rear face");
}

fn points(design: &Design, s: &mut Drawn) {
    let Some(points) = &design.vehicle().hard_points else { return };
    let station = |v: Mm| points.from_face(v).get();
    if let Some(hole) = points.lever_hole {
        let x = station(hole);
        let z = points.lever_hole_height.map_or(150.0, Mm::get);
        let half = 0.5 * points.lever_hole_length.map_or(60.0, Mm::get);
        s.line([x - half - 60.0, z], [x - half, z], POINT);
        s.line([x + half, z], [x + half + 60.0, z], POINT);
        s.text(x, z + 4.0, "middle", "lever hole");
    }
    if let Some(crossmember) = points.crossmember {
        let x = station(crossmember);
        let z = points.crossmember_height.map_or(-120.0, Mm::get);
        s.rectangle([x - 30.0, x + 30.0], [z - 25.0, z], POINT);
        s.line([x, z - 32.0], [x, z + 8.0], POINT);
        s.text(x + 36.0, z - 18.0, "start", "crossmember");
    }
    if let Some(flange) = points.propshaft_flange {
        let x = station(flange);
        s.line([x, -55.0], [x, 55.0], POINT);
        s.text(x, 60.0, "middle", "shaft's front joint");
    }
    if let (Some(x), Some(z)) = (points.cable_end, points.cable_height) {
        let (x, z) = (station(x), z.get());
        s.line([x - 5.0, z - 5.0], [x + 5.0, z + 5.0], POINT);
        s.line([x - 5.0, z + 5.0], [x + 5.0, z - 5.0], POINT);
        s.text(x + 8.0, z - 3.0, "start", "cable's end");
    }
}

/// The text below the view.
fn figures(design: &Design, placed: &Placed, s: &mut Drawn) {
    let left = s.low[0];
    let mut z = s.low[1] - 2.0 * ROW;
    let mut row = |text: &str, s: &mut Drawn| {
        s.text(left, z, "start", text);
        z -= ROW;
    };
    let units = design.units();
    let short = |length: Mm| match units {
        Units::Mm => format!("{:.2} mm", length.get()),
        Units::Inch => format!("{:.4} in", length.to_inches()),
    };
    let invented = if design.invented() { " (invented)" } else { "" };
    row(
        &format!(
            "{}{invented}, side view, 1 : 1 in millimetres; the housing as the file has it, the old one dashed",
            design.name()
        ),
        s,
    );
    for m in &placed.moves {
        let now = m.now.map_or("not told".to_owned(), short);
        let against = m.donor.map_or(String::new(), |d| format!("; old {}", short(d)));
        row(&format!("{}: file {now}, wanted {}{against}", m.what, short(m.wanted)), s);
    }
    row(
        "A drawing of places, not of strength: guard and balance the shaft, follow local rules, ask a licensed engineer.",
        s,
    );
}
