//! Bending at the root of a mount's pad, by plane sections of the pad standing alone: block, hollow leg, plate on walls or gussets.
//!
//! The pad is built without shell, fillets and neighbours, so that its section is known whatever stands beside it, and none of their
//! metal counts. It is cut at even heights from where its bolts or its plate end to the shell; the weakest section counts. What its
//! walls bend by themselves is not computed: `tests/reference/cases/stresses.py` tells how much that adds.

use super::mating::{Case, Support, UNLOADED};
use super::plane_section::{Cut, PlaneSection, pieces};
use super::strength::{Against, Metal, push, stress};
use super::{CHORD, Checks, Unit};
use crate::design::{Design, MountPad};
use crate::housing::mount_alone;
use crate::units::Mm;
use solidwright::geometry::{P3, V3};
use solidwright::mesh::{Mesh, triangulate};
use solidwright::solid::Solid;

/// Distance of the sections, mm.
const STEP: f64 = 2.0;

/// How far off a face the first section is cut, mm, so that the face itself does not lie in it.
const OFF: f64 = 0.1;

/// Greatest stress at the root of a pad, in pad or shell, over that of its section by itself: finite elements on the demonstration with
/// each form under torque, braking and cornering (`tests/reference/cases/pad_roots.py`; measured: hollow leg 4.8, plate 4.6, pocket 6.4,
/// block 6.5, and 11.6 on the first draft's thinner shell). The stiffer the pad, the less of the bending is its own and the more the
/// shell's.
fn peak(pad: &MountPad) -> f64 {
    match (pad.plate(), pad.hollow(), pad.pocket()) {
        (Some(_), ..) | (None, Some(_), None) => 5.0,
        (None, _, Some(_)) => 7.0,
        (None, None, None) => 12.0,
    }
}

/// Heights of the sections above the pad's face, mm, the last at the shell.
struct Heights {
    first: f64,
    last: f64,
}

impl Heights {
    /// From the end of the plate or of the threads, which bring the load in, to the shell where it is thinnest beside the pad: there
    /// the lever is longest. A pad whose face lies at the shell is cut just above its face.
    fn of(design: &Design, pad: &MountPad) -> Self {
        let half = pad.outline().length / 2.0;
        let radii = [pad.station() - half, pad.station(), pad.station() + half];
        // Behind the shell stands the ring around the bushing.
        let around = design.tail().around_bushing() / 2.0;
        let radius = |x: Mm| design.shell().outside_radius(x).unwrap_or(around);
        let thinnest = radii.into_iter().map(radius).reduce(Mm::min).unwrap_or(around);
        let last = (pad.drop() - thinnest).get().max(0.0) + OFF;
        let plate = pad.plate().map_or(0.0, |plate| plate.thickness().get());
        let threads = if pad.plate().is_some() || pad.hollow().is_some() { None } else { pad.holes() };
        let brought_in = threads.map_or(plate, |holes| holes.depth().get()) + OFF;
        Self { first: brought_in.min(last), last }
    }

    fn all(&self) -> impl Iterator<Item = f64> {
        let count = ((self.last - self.first) / STEP).ceil().max(0.0) as usize;
        let (first, step) = (self.first, (self.last - self.first) / (count.max(1)) as f64);
        (0..=count).map(move |i| first + step * i as f64)
    }
}

fn mesh(design: &Design, support: &Support<'_>) -> Result<Mesh, String> {
    let because = |error: &dyn std::fmt::Display| format!("{} alone has no solid: {error}", support.feature);
    let tree = mount_alone(design, support.feature, support.pad).map_err(|e| because(&e))?;
    let solid = Solid::of(tree).map_err(|e| because(&e))?;
    triangulate(&solid, CHORD).map_err(|e| because(&e))
}

/// The least factor of all sections and cases.
pub(super) fn check(design: &Design, support: &Support<'_>, cases: &[Case], metal: &Metal, out: &mut Checks) {
    let (pad, share) = (support.pad, support.share);
    let against = Against::Root { peak: peak(pad) };
    let mesh = match mesh(design, support) {
        Ok(mesh) => mesh,
        Err(because) => return out.not(against.check(), because),
    };
    let [x, y, drop] = [pad.station(), pad.side_offset(), pad.drop()].map(Mm::get);
    let lever = support.drop - drop;
    let section = |height: f64| {
        let cut = Cut { origin: P3::new(x, y, height - drop), axes: [V3::x(), V3::y()] };
        let triangles = (0..mesh.triangles.len()).map(|t| mesh.corners(t));
        PlaneSection::of(&pieces(triangles, &cut)).map(|section| section.least(CHORD))
    };
    let mut worst: Option<(f64, f64, &str)> = None;
    for height in Heights::of(design, pad).all() {
        let Some(section) = section(height) else {
            let because = format!(
                "{} has no closed section {} above its face",
                support.feature,
                metal.units.near(height)
            );
            return out.not(against.check(), because);
        };
        let arm = lever + height;
        for case in cases {
            let bending = [case.along * arm, case.across * arm + case.couple].map(|m| share * m);
            let found = stress(&section, share * case.up, bending);
            if found > worst.map_or(0.0, |known| known.0) {
                worst = Some((found, height, case.name));
            }
        }
    }
    let Some((stress, height, case)) = worst else {
        return out.not(against.check(), UNLOADED);
    };
    let what = format!("{}, {case}", support.feature);
    let hint = "widen the pad or thicken its walls, or lower the mount's lever";
    push(out, against, metal, &what, metal.yields / stress, x, hint);
    let note = format!(
        "{} above its face, {case}, of the pad's section by itself, without notches",
        metal.units.near(height)
    );
    out.driveline.add("mount", &format!("stress at the root, {}", support.feature), stress, Unit::MPa, note);
}
