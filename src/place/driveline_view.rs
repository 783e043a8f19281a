//! The driveline from the side, to scale: gearbox, housing, slip yoke and propeller shaft at ride height; where the shaft lies at
//! full bump and full droop.

use super::drawn::{BOX, CENTRE, Drawn, NEW, OLD, POINT, WORKS};
use crate::design::{Design, Propshaft, YokePart};
use crate::units::Mm;

/// Size of text, mm of the part.
const TEXT: f64 = 24.0;

/// Half the size of a joint's mark, mm.
const MARK: f64 = 14.0;

/// How far the pinion's axis is drawn behind the rear joint, mm.
const PINION: f64 = 220.0;

/// What stands for the gearbox's length and the tube's diameter where the file tells none, mm: only drawn, never computed with.
const BOX_LENGTH: f64 = 300.0;
const TUBE: f64 = 60.0;

/// Where the propeller shaft lies with the axle lifted by so much, seen from the side: centres of both joints as station and
/// height above the gearbox's axis, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ShaftPosition {
    /// Lift of the axle from ride height; below is negative.
    pub lift: Mm,
    /// The front joint.
    pub front: [f64; 2],
    /// The rear joint.
    pub rear: [f64; 2],
}

/// The shaft at ride height, then at full bump and full droop where the suspension is told. Empty where the file does not tell
/// yoke, joint or shaft. A sideways offset is not seen; it shortens the side view by a constant.
pub fn shaft_positions(design: &Design) -> Vec<ShaftPosition> {
    let (Some(yoke), Some(shaft)) = (&design.mating().yoke, &design.vehicle().propshaft) else {
        return vec![];
    };
    let (Some(joint), Some([along, _, up])) = (yoke.joint(), shaft.run(yoke)) else { return vec![] };
    let at = |lift: Mm, plunge: Mm| {
        let (length, height) = (along.get().hypot(up.get()), (up + lift).get());
        let front = (joint + plunge).get();
        let reach = (length * length - height * height).max(0.0).sqrt();
        ShaftPosition { lift, front: [front, 0.0], rear: [front + reach, height] }
    };
    let mut out = vec![at(Mm::default(), Mm::default())];
    if let Some(suspension) = &design.vehicle().suspension
        && let Some(driveline) = shaft.driveline(yoke, suspension)
    {
        // An axle that the shaft cannot follow is told by `check`.
        let ends = [suspension.bump, -suspension.droop].into_iter();
        out.extend(ends.filter_map(|lift| Some(at(lift, driveline.plunge(lift).ok()?))));
    }
    out
}

/// The view as SVG; a unit of it is a millimetre. None where the file does not tell yoke, joint or shaft.
pub fn driveline_view(design: &Design) -> Option<String> {
    let positions = shaft_positions(design);
    let ride = positions.first()?;
    let (yoke, shaft) = (design.mating().yoke.as_ref()?, design.vehicle().propshaft.as_ref()?);
    let mut s = Drawn::new(TEXT);
    housing(design, &mut s);
    works(yoke, shaft, ride, &mut s);
    for position in &positions[1..] {
        s.line(position.front, position.rear, OLD);
        mark(position.rear, &mut s);
        let (name, way) = if position.lift.get() > 0.0 { ("full bump", 1.0) } else { ("full droop", -1.0) };
        let z = position.rear[1] + way * (MARK + 0.9 * TEXT) - 0.4 * TEXT;
        s.text(position.rear[0], z, "middle", &format!("{name} {}", design.units().show(position.lift)));
    }
    let end = ride.rear[0] + PINION;
    s.line([s.low[0], 0.0], [end, 0.0], CENTRE);
    Some(s.svg())
}

fn housing(design: &Design, s: &mut Drawn) {
    let face = 0.5 * design.gearbox_face().flange_diameter().get();
    let length = design.vehicle().hard_points.as_ref().map_or(BOX_LENGTH, |p| p.gearbox_length.get());
    s.rectangle([-length, 0.0], [-face, face], BOX);
    s.text(-0.5 * length, 0.3 * face, "middle", "gearbox");
    let outside: Vec<[f64; 2]> =
        design.shell().outside().iter().map(|p| [p.x.get(), p.radius.get()]).collect();
    let mirrored = outside.iter().rev().map(|[x, r]| [*x, -r]);
    let shell: Vec<[f64; 2]> = outside.iter().copied().chain(mirrored).collect();
    s.shape(&shell, NEW);
    let ring = 0.5 * design.tail().outside_diameter().get();
    s.rectangle([design.tail().ring_front().get(), design.overall_length().get()], [-ring, ring], NEW);
}

fn works(yoke: &YokePart, shaft: &Propshaft, ride: &ShaftPosition, s: &mut Drawn) {
    let radius = 0.5 * yoke.barrel_diameter.get();
    s.rectangle([yoke.front.get(), yoke.shoulder().get()], [-radius, radius], WORKS);
    s.rectangle([yoke.shoulder().get(), ride.front[0]], [-1.4 * radius, 1.4 * radius], WORKS);
    let half = 0.5 * shaft.tube_outside.map_or(TUBE, Mm::get);
    let [dx, dz] = [ride.rear[0] - ride.front[0], ride.rear[1] - ride.front[1]];
    let size = dx.hypot(dz).max(1e-9);
    let across = [-dz / size * half, dx / size * half];
    let corner = |[x, z]: [f64; 2], k: f64| [x + k * across[0], z + k * across[1]];
    let (a, b) = (ride.front, ride.rear);
    s.shape(&[corner(a, -1.0), corner(b, -1.0), corner(b, 1.0), corner(a, 1.0)], WORKS);
    s.line(a, b, CENTRE);
    mark(a, s);
    mark(b, s);
    let fall = shaft.pinion_up.tan();
    s.line(b, [b[0] + PINION, b[1] - PINION * fall], CENTRE);
    s.text(b[0] + PINION, b[1] - PINION * fall + 0.4 * TEXT, "end", "pinion");
    s.text(
        0.5 * (a[0] + b[0]),
        0.5 * (a[1] + b[1]) + half + TEXT,
        "middle",
        "propeller shaft at ride height",
    );
}

/// A cross at a joint's centre.
fn mark([x, z]: [f64; 2], s: &mut Drawn) {
    s.line([x - MARK, z], [x + MARK, z], POINT);
    s.line([x, z - MARK], [x, z + MARK], POINT);
}
