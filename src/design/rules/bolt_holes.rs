//! Bolt holes: on the flange, clear of register, cavity and each other; spot faces fit hole and flange.

use super::{Verdicts, above, apart};
use crate::design::gearbox_face::{PlacedHole, placed_holes};
use crate::finding::{Code, Finding, Scope};
use crate::params::Origin;
use crate::params::kinds::HoleSize;
use crate::params::schema::{File, FlangeKind, RegisterKind};
use crate::standards::bolts::{EDGE_DISTANCE, EDGE_SOURCE};
use crate::units::Mm;

const NONE: Code = Code::new("D001", "no bolt holes");
const OFF_FLANGE: Code = Code::new("D002", "bolt hole runs off the flange");
const NEAR_EDGE: Code = Code::new("D003", "bolt hole close to the flange's edge").about(Scope::Limits);
const INTO_REGISTER: Code = Code::new("D004", "bolt hole runs into the register or the cavity");
const OVERLAP: Code = Code::new("D005", "bolt holes overlap");
const SPOT_INTO_SHELL: Code = Code::new("D006", "spot face cuts into the shell");
const SPOT_SMALL: Code = Code::new("D007", "spot face no larger than its hole");
const SPOT_DEEP: Code = Code::new("D008", "spot face through the flange");

pub(super) const CODES: &[Code] =
    &[NONE, OFF_FLANGE, NEAR_EDGE, INTO_REGISTER, OVERLAP, SPOT_INTO_SHELL, SPOT_SMALL, SPOT_DEEP];

pub(super) fn check(file: &File, out: &mut Verdicts) {
    let face = &file.gearbox_face;
    let none = face.bolt_circles.items.is_empty() && face.bolts.items.is_empty();
    if none && face.bolt_circles.origin != Origin::Bad && face.bolts.origin != Origin::Bad {
        out.add(
            Finding::error(NONE, "gearbox_face", "the flange has no bolt holes")
                .at(face.bolt_circles.place)
                .allowed("at least one hole in `bolt_circles` or `bolts`")
                .because("nothing would hold the housing to the gearbox"),
        );
    }
    let holes = placed_holes(face);
    let mut told: Vec<(Code, String)> = Vec::new();
    for hole in &holes {
        for finding in on_flange(file, hole, out).into_iter().chain(spot_face(file, hole, out)) {
            // One finding for each circle is enough, since its holes are all alike.
            let key = (finding.code(), finding.subject().to_owned());
            if !told.contains(&key) {
                told.push(key);
                out.add(finding);
            }
        }
    }
    overlaps(&holes, out);
}

fn on_flange(file: &File, placed: &PlacedHole, out: &Verdicts) -> Vec<Finding> {
    let hole = &placed.hole;
    let reach = apart((hole.y(), hole.z()), (Mm::new(0.0), Mm::new(0.0)));
    let radius = hole.diameter() / 2.0;
    let mut findings = Vec::new();
    let disc = file.gearbox_face.flange.kind.get() == Some(FlangeKind::Disc);
    if let Some(flange) = file.gearbox_face.flange.diameter.get().filter(|_| disc).map(|d| d / 2.0) {
        let screw = match hole.size() {
            HoleSize::Clearance(thread) => thread.diameter,
            HoleSize::Diameter(diameter) => diameter,
        };
        // The limit of the check of the same distance.
        let given = file.limits.edge_distance.get().map(|diameters| screw * diameters);
        let wanted = given.unwrap_or(hole.diameter() * EDGE_DISTANCE);
        let beside = file.gearbox_face.flange.diameter.place();
        if !above(flange, reach + radius) {
            let message = format!(
                "{} reaches {} from the axis, the flange {}",
                hole.name(),
                out.mm(reach + radius),
                out.mm(flange)
            );
            findings.push(
                Finding::error(OFF_FLANGE, &placed.path, message)
                    .at(placed.place)
                    .beside(beside, "the flange's diameter")
                    .because("the hole would be open at the rim")
                    .hint("enlarge `gearbox_face.flange.diameter` or move the hole inwards"),
            );
        } else if above(wanted, flange - reach) {
            let message = format!("{} lies {} from the flange's edge", hole.name(), out.mm(flange - reach));
            findings.push(
                Finding::error(NEAR_EDGE, &placed.path, message)
                    .at(placed.place)
                    .beside(beside, "the flange's diameter")
                    .allowed(format!("{} or more", out.mm(wanted)))
                    .because("the rim cracks when a hole is closer")
                    .from_source(EDGE_SOURCE),
            );
        }
    }
    findings.extend(clear_of_middle(file, placed, reach - radius, out));
    findings
}

fn clear_of_middle(file: &File, placed: &PlacedHole, inner: Mm, out: &Verdicts) -> Option<Finding> {
    let register = &file.gearbox_face.register;
    let register_radius = register.diameter.get().map(|d| d / 2.0);
    let cavity = out.cavity_at(Mm::new(0.0));
    let middle = register_radius.into_iter().chain(cavity).reduce(Mm::max)?;
    if above(inner, middle) {
        return None;
    }
    let what = match register.kind.get() {
        Some(RegisterKind::Recess) => "the register's recess",
        _ => "the register",
    };
    let message = format!(
        "{} comes within {} of the axis, {what} or the cavity reaches out to {}",
        placed.hole.name(),
        out.mm(inner),
        out.mm(middle)
    );
    Some(
        Finding::error(INTO_REGISTER, &placed.path, message)
            .at(placed.place)
            .beside(register.diameter.place(), "the register's diameter")
            .because("the hole would cut the register or leak")
            .hint("move the hole outwards"),
    )
}

fn spot_face(file: &File, placed: &PlacedHole, out: &Verdicts) -> Vec<Finding> {
    let (Some(spot), Some((path, place))) = (placed.hole.spot_face(), placed.spot_face.as_ref()) else {
        return Vec::new();
    };
    let mut findings = Vec::new();
    if !above(spot.diameter, placed.hole.diameter()) {
        let message =
            format!("the spot face is no larger than the hole of {}", out.mm(placed.hole.diameter()));
        findings.push(Finding::error(SPOT_SMALL, path, message).at(*place).because("no seat would be left"));
    }
    let thickness = file.gearbox_face.flange.thickness.get();
    if let Some(thickness) = thickness.filter(|&t| !above(t, spot.depth)) {
        let message =
            format!("the spot face goes {} deep into a flange of {}", out.mm(spot.depth), out.mm(thickness));
        findings.push(
            Finding::error(SPOT_DEEP, path, message).at(*place).because("no flange would be left under it"),
        );
    }
    let shell = thickness.and_then(|t| out.outside_at(t));
    let reach = apart((placed.hole.y(), placed.hole.z()), (Mm::new(0.0), Mm::new(0.0)));
    let inner = reach - spot.diameter / 2.0;
    if let Some(shell) = shell.filter(|&shell| above(shell, inner)) {
        let message = format!(
            "the spot face comes within {} of the axis, the shell reaches out to {}",
            out.mm(inner),
            out.mm(shell)
        );
        findings.push(
            Finding::warning(SPOT_INTO_SHELL, path, message)
                .at(*place)
                .because("the cutter takes metal off the shell's wall")
                .hint("move the bolts outwards or make the spot face smaller"),
        );
    }
    findings
}

fn overlaps(holes: &[PlacedHole], out: &mut Verdicts) {
    for (i, a) in holes.iter().enumerate() {
        for b in &holes[i + 1..] {
            let distance = apart((a.hole.y(), a.hole.z()), (b.hole.y(), b.hole.z()));
            let needed = (a.hole.diameter() + b.hole.diameter()) / 2.0;
            if above(distance, needed) {
                continue;
            }
            let message = format!("{} and {} are {} apart", a.hole.name(), b.hole.name(), out.mm(distance));
            out.add(
                Finding::error(OVERLAP, &b.path, message)
                    .at(b.place)
                    .allowed(format!("more than {}", out.mm(needed)))
                    .because("the holes would run into each other"),
            );
            return; // further pairs of a crowded circle would only repeat this
        }
    }
}
