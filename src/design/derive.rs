//! Trade defaults that follow from other values.
//!
//! Each is reported as assumed, with its rule as the reason.

use super::gearbox_face::placed_holes;
use super::{pad_hollow_fit as pad_hollow, passage_fit};
use crate::params::schema::{
    File, FlangeKind, GearsPartKeys, Placing, RawBushing, RawMountPad, RawPadHoles, RawSenderBoss, RawShell,
    RawTie, SenderKind,
};
use crate::params::{Assumed, Parameter, Raw};
use crate::standards::cast_letters::{LETTERS_SOURCE, raised};
use crate::standards::core_prints::lying_print_length;
use crate::standards::seals;
use crate::standards::threads::Thread;
use crate::units::{Deg, KgPerM3, MM_PER_INCH, Mm, Percent, Units};

pub(super) const PRACTICE: &str = "common practice";

/// Fills every absent value whose default depends on others, as far as those are there.
pub(super) fn fill(raw: &mut Raw) {
    let units = raw.file.units.get().unwrap_or(Units::Mm);
    let mut filler = Filler { units, assumed: &mut raw.assumed };
    let file = &mut raw.file;
    walls(file);
    lugs(file, &mut filler);
    gussets(file, &mut filler);
    tail(file, &mut filler);
    passage_fit::fill(file, &mut filler);
    for dowel in file.shift_box_pad.iter_mut().flat_map(|pad| &mut pad.dowels.items) {
        let depth = dowel.diameter.get().map(|diameter| diameter * 1.5);
        filler.length(&mut dowel.depth, depth, "1.5 x diameter: holds the dowel", PRACTICE);
    }
    if let Some(holes) = file.shift_box_pad.as_mut().and_then(|pad| pad.holes.as_mut()) {
        pad_holes(holes, &mut filler);
    }
    pad_hollow::fill(file, &mut filler);
    for pad in [&mut file.mount_pad, &mut file.second_mount_pad] {
        if let Some(holes) = pad.as_mut().and_then(|pad| pad.holes.as_mut()) {
            pad_holes(holes, &mut filler);
        }
        if let Some(pad) = pad {
            mount_pad(pad, file.shell.wall.get(), &mut filler);
        }
    }
    ribs(file, &mut filler);
    rail_tube(file, &mut filler);
    plugs(file, &mut filler);
    sender_place(file, &mut filler);
    sender(file, &mut filler);
    density(file, &mut filler);
    fillets(file, &mut filler);
    contraction(file, &mut filler);
    shrink(file, &mut filler);
    prints(file, &mut filler);
    marks(file, &mut filler);
}

pub(super) struct Filler<'a> {
    units: Units,
    assumed: &'a mut Vec<Assumed>,
}

impl Filler<'_> {
    fn note<T>(&mut self, slot: &Parameter<T>, value: String, reason: &str, source: &str) {
        self.assumed.push(slot.assumed(value, reason, source));
    }

    pub(super) fn length(&mut self, slot: &mut Parameter<Mm>, value: Option<Mm>, reason: &str, source: &str) {
        if let Some(value) = value.filter(|_| slot.is_absent()) {
            slot.assume(value);
            self.note(slot, self.units.show(value), reason, source);
        }
    }

    pub(super) fn angle(&mut self, slot: &mut Parameter<Deg>, value: Deg, reason: &str, source: &str) {
        if slot.is_absent() {
            slot.assume(value);
            self.note(slot, value.to_string(), reason, source);
        }
    }

    fn percent(&mut self, slot: &mut Parameter<Percent>, value: Option<Percent>, reason: &str, source: &str) {
        if let Some(value) = value.filter(|_| slot.is_absent()) {
            slot.assume(value);
            self.note(slot, value.to_string(), reason, source);
        }
    }

    fn threaded(
        &mut self,
        thread: Option<&Thread>,
        depth: &mut Parameter<Mm>,
        drill_depth: &mut Parameter<Mm>,
    ) {
        let diameter = thread.map(|t| t.diameter);
        let twice = diameter.map(|d| d * 2.0);
        self.length(
            depth,
            twice,
            "2 x thread diameter: 1.5 to 2 diameters of engagement in aluminium",
            PRACTICE,
        );
        let drill = diameter.and_then(|d| Some(depth.get()? + d * 0.5));
        self.length(
            drill_depth,
            drill,
            "thread depth + half the thread diameter, for the tap's lead",
            PRACTICE,
        );
    }
}

/// Stations take the general wall; since that is its purpose, it is not reported a second time.
fn walls(file: &mut File) {
    if let Some(wall) = file.shell.wall.get() {
        for station in &mut file.shell.cavity.items {
            station.wall.assume(wall);
        }
    }
}

/// Sizes of the lugs, from the largest bolt hole and spot face.
fn lugs(file: &mut File, filler: &mut Filler<'_>) {
    let face = &mut file.gearbox_face;
    if face.flange.kind.get() != Some(FlangeKind::Lugs) {
        return;
    }
    let needed = placed_holes(face).into_iter().map(|placed| {
        let spot = placed.hole.spot_face().map_or(Mm::new(0.0), |spot| spot.diameter / 2.0 + Mm::new(1.0));
        spot.max(placed.hole.diameter() * 1.6)
    });
    let radius = needed.reduce(Mm::max);
    let lug = &mut face.flange.lug;
    filler.length(&mut lug.radius, radius, "enough metal around the largest hole and spot face", PRACTICE);
    let width = lug.radius.get().map(|radius| radius * 2.5);
    filler.length(&mut lug.root_width, width, "spreads the bolt's pull into the base ring", PRACTICE);
}

fn tail(file: &mut File, filler: &mut Filler<'_>) {
    let tail = &mut file.tail;
    let depth = tail.seal.width.get().map(seals::counterbore_depth);
    filler.length(&mut tail.seal.depth, depth, "follows from the seal's width", seals::DEPTH_SOURCE);
    let stop = tail.bushing.bore.get().map(|bore| bore - Mm::new(3.0));
    filler.length(
        &mut tail.bushing.stop_bore,
        stop,
        "a shoulder of 1.5 mm stops a bushing of common wall",
        PRACTICE,
    );
    let bores = tail.seal.depth.get().zip(tail.bushing.length.get()).map(|(seal, bushing)| seal + bushing);
    let seat = bores.zip(file.shell.wall.get()).map(|(bores, wall)| bores + wall * 2.0);
    if tail.barrel_diameter.get().is_some() {
        let collar = tail.seal.depth.get().zip(file.shell.wall.get()).map(|(depth, wall)| depth + wall);
        let reason = "a wall of one thickness about the seal";
        filler.length(&mut tail.collar_length, collar, reason, PRACTICE);
    }
    // From one wall ahead of the cavity's end: there the outside turns in towards the stop bore.
    let end = file.shell.cavity.items.last().and_then(|station| station.station.get());
    let cavity = file.housing.overall_length.get().zip(end).zip(file.shell.wall.get());
    let cavity = cavity.map(|((overall, end), wall)| overall - end + wall);
    let length = seat.map(|seat| cavity.map_or(seat, |cavity| seat.max(cavity)));
    filler.length(&mut tail.length, length, "covers the bushing seat and the end of the cavity", PRACTICE);
}

/// Radius of the bushing seat's mouth, lead-in included.
pub(super) fn lead_in_mouth(bushing: &RawBushing) -> Option<Mm> {
    let rise = bushing.lead_in.get()? * bushing.lead_in_angle.get()?.tan();
    Some(bushing.bore.get()? / 2.0 + rise)
}

fn pad_holes(holes: &mut RawPadHoles, filler: &mut Filler<'_>) {
    filler.threaded(holes.thread.get(), &mut holes.depth, &mut holes.drill_depth);
}

fn mount_pad(pad: &mut RawMountPad, wall: Option<Mm>, filler: &mut Filler<'_>) {
    let thread = pad.holes.as_ref().and_then(|holes| holes.thread.get());
    let thickness = pad.plate.as_ref().and_then(|plate| plate.thickness.get());
    if let Some(slots) = pad.slots.as_mut() {
        filler.length(&mut slots.depth, thickness, "through the plate", PRACTICE);
    }
    let Some(plate) = pad.plate.as_mut() else { return };
    filler.length(&mut plate.tie_thickness, wall, "freezes together with the shell", PRACTICE);
    match plate.tie.get() {
        Some(RawTie::Walls) => {
            let radius = Some(Mm::new(2.0));
            filler.length(&mut plate.edge_radius, radius, "a cast edge is never sharp", PRACTICE);
        }
        Some(RawTie::Gussets) if plate.gussets.is_absent() => {
            plate.gussets.assume(2);
            filler.note(&plate.gussets, "2".to_owned(), "one near each end", PRACTICE);
        }
        _ => {}
    }
    let boss = thread.map(|thread| thread.diameter * 2.2);
    filler.length(&mut plate.boss_diameter, boss, "enough metal around the thread", PRACTICE);
}

fn gussets(file: &mut File, filler: &mut Filler<'_>) {
    let wall = file.shell.wall.get();
    for set in &mut file.gearbox_face.gussets.items {
        filler.length(&mut set.thickness, wall, "freezes together with the shell", PRACTICE);
    }
}

fn marks(file: &mut File, filler: &mut Filler<'_>) {
    let Some(marks) = file.casting.marks.as_mut() else { return };
    let stroke = marks.height.get().map(|height| height * 0.2);
    filler.length(&mut marks.stroke, stroke, "fills, and leaves sand within a letter", PRACTICE);
    let raised = marks.height.get().map(raised);
    filler.length(&mut marks.raised, raised, "plain to read after blasting and paint", LETTERS_SOURCE);
}

fn ribs(file: &mut File, filler: &mut Filler<'_>) {
    let (wall, Some(ribs)) = (file.shell.wall.get(), file.ribs.as_mut()) else { return };
    let along = ribs.longitudinal.items.iter_mut().map(|set| &mut set.thickness);
    for thickness in along.chain(ribs.rings.items.iter_mut().map(|ring| &mut ring.thickness)) {
        filler.length(thickness, wall, "no thicker than the wall, so that it freezes no later", PRACTICE);
    }
}

fn rail_tube(file: &mut File, filler: &mut Filler<'_>) {
    let (Some(wall), Some(rail)) = (file.shell.wall.get(), file.rail_tube.as_mut()) else { return };
    let outside = rail.bore.get().map(|bore| bore + wall * 2.0);
    filler.length(&mut rail.outside_diameter, outside, "the shell's wall around the bore", PRACTICE);
    filler.length(&mut rail.bore_from, rail.from.get(), "open to the front end", PRACTICE);
    let end = rail.to.get().map(|to| to - wall);
    filler.length(&mut rail.bore_to, end, "closed at the rear by the shell's wall", PRACTICE);
}

fn plugs(file: &mut File, filler: &mut Filler<'_>) {
    for plug in &mut file.plugs.items {
        let diameter = plug.thread.get().map(|thread| thread.diameter * 2.2);
        filler.length(&mut plug.diameter, diameter, "carries the plug's head and its sealing ring", PRACTICE);
    }
}

/// Side offset and tilt from the gears; otherwise the boss is square to the shaft.
fn sender_place(file: &mut File, filler: &mut Filler<'_>) {
    let Some(boss) = file.sender_boss.as_mut() else { return };
    let side = match boss.placed_by.get() {
        Some(Placing::Gears) => true,
        Some(Placing::GearsMirrored) => false,
        _ => return filler.angle(&mut boss.tilt, Deg::new(0.0), "square to the shaft", PRACTICE),
    };
    let gears = file.mating.speedometer.as_ref().and_then(GearsPartKeys::values);
    if let Some((offset, tilt)) = gears.and_then(|gears| gears.place(side)) {
        let source = "gear handbook, equations 7-2 to 7-6, read";
        filler.length(
            &mut boss.side_offset,
            Some(offset),
            "centre distance of the speedometer's gears",
            source,
        );
        filler.angle(&mut boss.tilt, tilt, "shaft angle of the speedometer's gears", source);
    }
}

fn sender(file: &mut File, filler: &mut Filler<'_>) {
    let Some(boss) = file.sender_boss.as_mut() else { return };
    let pulse = boss.kind.get() == Some(SenderKind::Pulse);
    if pulse {
        let insertion = pulse_insertion(&file.shell, boss);
        filler.length(&mut boss.insertion, insertion, "to 3 mm inside the cavity's wall", PRACTICE);
    }
    let (height, insertion) = (boss.height.get(), boss.insertion.get());
    if let Some(last) = boss.bore_steps.items.last_mut() {
        if pulse {
            let depth = insertion.map(|insertion| insertion + Mm::new(2.0));
            filler.length(&mut last.depth, depth, "a little room below the sender's tip", PRACTICE);
        } else {
            let reason = "the last step ends at the point closest to the shaft axis";
            filler.length(&mut last.depth, height, reason, PRACTICE);
        }
    }
    if let Some(screw) = boss.retaining_screw.as_mut() {
        let twice = screw.thread.get().zip(height).map(|(thread, height)| {
            let (d, most) = (thread.diameter, height - thread.diameter * 0.5 - Mm::new(1.0));
            if most < d * 2.0 && most > d * 1.5 { most } else { d * 2.0 }
        });
        let reason = "2 x thread diameter, or what the boss has room for: 1.5 to 2 diameters of engagement";
        filler.length(&mut screw.depth, twice, reason, PRACTICE);
        filler.threaded(screw.thread.get(), &mut screw.depth, &mut screw.drill_depth);
        if screw.ear_radius.get().is_some() {
            let depth = screw.drill_depth.get().zip(screw.thread.get()).map(|(d, t)| d + t.diameter);
            filler.length(&mut screw.ear_depth, depth, "metal below the drill's point", PRACTICE);
        }
    }
    neck(boss, filler);
}

fn neck(boss: &mut RawSenderBoss, filler: &mut Filler<'_>) {
    let screw = boss.retaining_screw.as_ref().filter(|screw| screw.ear_radius.is_absent());
    let drilled = screw.and_then(|screw| Some(screw.drill_depth.get()? + screw.thread.get()?.diameter));
    let (head, reason) = match drilled {
        Some(depth) => (Some(depth), "metal below the drill's point"),
        None => (boss.diameter.get().map(|d| d * 0.3), "0.3 of the diameter: a seat that does not bend"),
    };
    if let Some(neck) = boss.neck.as_mut() {
        filler.length(&mut neck.head, head, reason, PRACTICE);
    }
}

fn fillets(file: &mut File, filler: &mut Filler<'_>) {
    let radius = file.shell.wall.get().map(|wall| Mm::new((0.6 * wall.get()).max(3.0)));
    let reason = "0.6 of the wall, and at least 3 mm: between 0.4 and 0.67 of equal walls, and sand does not hold a smaller radius";
    filler.length(&mut file.casting.fillets.outside, radius, reason, "foundry trade pages, read");
}

/// From a pulse sender's spot face to 3 mm inside the cavity's wall, on the far side of the bore.
fn pulse_insertion(shell: &RawShell, boss: &RawSenderBoss) -> Option<Mm> {
    let stations = super::shell::stations(shell)?;
    let cavity = super::shell::radius_at(stations.iter().map(|s| (s.x, s.radius)), boss.station.get()?)?;
    let radius = boss.bore_steps.items.last()?.diameter.get()? / 2.0;
    let far = (boss.side_offset.get()?.abs() + radius).get();
    let (_, cos) = boss.tilt.get()?.sin_cos();
    let entry = Mm::new((cavity.get().powi(2) - far * far).max(0.0).sqrt()) / cos;
    Some(boss.height.get()? - entry + radius * boss.tilt.get()?.tan().abs() + Mm::new(3.0))
}

fn contraction(file: &mut File, filler: &mut Filler<'_>) {
    let alloy = file.casting.alloy.get();
    let (own, source) =
        (alloy.map(|a| Percent::new(a.contraction)), alloy.map_or("", |a| a.contraction_source));
    let contraction = &mut file.casting.contraction;
    filler.percent(&mut contraction.axial, own, "the alloy's contraction", source);
    let along = contraction.axial.get();
    filler.percent(&mut contraction.radial, along, "as along the shaft", PRACTICE);
}

fn shrink(file: &mut File, filler: &mut Filler<'_>) {
    let print = &mut file.trial_print;
    let Some(plastic) = print.material.get() else { return };
    let [usual, least, most] = plastic.shrink_percent();
    let reason = format!("{plastic} shrinks by {least} to {most} %");
    filler.percent(&mut print.shrink, Some(Percent::new(usual)), &reason, "trade pages, read; they differ");
}

/// Three quarters of the core's diameter at either end, and at least 25 mm, up to a length that a pattern maker sets off with a rule: a whole
/// millimetre, or a sixteenth of an inch.
fn prints(file: &mut File, filler: &mut Filler<'_>) {
    let (step, reason) = match filler.units {
        Units::Mm => (1.0, "three quarters of the core's diameter there, at least 25 mm, up to a whole mm"),
        Units::Inch => (
            MM_PER_INCH / 16.0,
            "three quarters of the core's diameter there, at least 25 mm, up to a whole 1/16 in",
        ),
    };
    // What is whole already stays, whatever its last digit.
    let length = |diameter: Mm| Mm::new((lying_print_length(diameter.get()) / step - 1e-6).ceil() * step);
    let front = file.shell.cavity.items.first().and_then(|s| s.diameter.get());
    let rear = file.tail.seal.counterbore.get();
    filler.length(&mut file.casting.prints.front_length, front.map(length), reason, PRACTICE);
    filler.length(&mut file.casting.prints.rear_length, rear.map(length), reason, PRACTICE);
}

fn density(file: &mut File, filler: &mut Filler<'_>) {
    let casting = &mut file.casting;
    let Some(alloy) = casting.alloy.get().filter(|_| casting.density.is_absent()) else { return };
    let density: KgPerM3 = alloy.density;
    casting.density.assume(density);
    filler.note(&casting.density, density.to_string(), "the alloy's density", alloy.density_source);
}
