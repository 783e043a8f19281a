//! Rules between values, one file for each subject. Each finds all its faults; none stops the others.
//!
//! A rule is skipped where a value it needs is bad or missing, since that has its own finding. Limits that rest on
//! shop practice alone warn; only what cannot be made, or breaks geometry, is an error. An error whose code names a
//! [`Scope`](crate::finding::Scope) stops only the forms or commands that the scope concerns.

mod bolt_holes;

mod cavity;

mod collisions;

mod ends;

mod flange_gussets;

mod lugs;
mod marks;

mod pad_holes;

mod pad_hollow;

mod pad_outline;

mod pad_polygon;

mod plugs;

mod rail_tube;

mod register;

mod ribs;

mod round_room;

mod mating;

mod moulding;

mod mount_plate;

mod necks;

mod mount_slots;

mod pads;

mod sender_access;

mod sender_bore;

mod sender_fittings;

mod sender_gears;

mod sender_screw;

mod surroundings;

mod tail_bores;

mod tail_lip;

mod tail_passages;

mod trial_print;

use super::shell;
use crate::finding::{Code, Finding, Findings, Place};
use crate::params::schema::File;
use crate::params::{Origin, Parameter};
use crate::units::{Mm, Units};
use solidwright::tolerance::SAME;

/// Codes of all rules, in the order of their numbers.
pub static CODES: &[&[Code]] = &[
    bolt_holes::CODES,
    lugs::CODES,
    marks::CODES,
    flange_gussets::CODES,
    register::CODES,
    cavity::CODES,
    tail_bores::CODES,
    tail_passages::CODES,
    tail_lip::CODES,
    pad_outline::CODES,
    pad_polygon::CODES,
    pad_holes::CODES,
    mount_plate::CODES,
    mount_slots::CODES,
    sender_bore::CODES,
    sender_screw::CODES,
    sender_access::CODES,
    sender_fittings::CODES,
    ribs::CODES,
    rail_tube::CODES,
    plugs::CODES,
    collisions::CODES,
    ends::CODES,
    trial_print::CODES,
    moulding::CODES,
    surroundings::CODES,
    sender_gears::CODES,
    mating::CODES,
    pad_hollow::CODES,
    necks::CODES,
];

/// Checks all rules.
pub(super) fn check(file: &File) -> Findings {
    let mut verdicts = Verdicts::new(file);
    bolt_holes::check(file, &mut verdicts);
    lugs::check(file, &mut verdicts);
    marks::check(file, &mut verdicts);
    flange_gussets::check(file, &mut verdicts);
    register::check(file, &mut verdicts);
    cavity::check(file, &mut verdicts);
    tail_bores::check(file, &mut verdicts);
    tail_passages::check(file, &mut verdicts);
    tail_lip::check(file, &mut verdicts);
    pad_outline::check(file, &mut verdicts);
    pad_polygon::check(file, &mut verdicts);
    pad_holes::check(file, &mut verdicts);
    mount_plate::check(file, &mut verdicts);
    mount_slots::check(file, &mut verdicts);
    sender_bore::check(file, &mut verdicts);
    sender_screw::check(file, &mut verdicts);
    sender_access::check(file, &mut verdicts);
    sender_fittings::check(file, &mut verdicts);
    ribs::check(file, &mut verdicts);
    rail_tube::check(file, &mut verdicts);
    plugs::check(file, &mut verdicts);
    collisions::check(file, &mut verdicts);
    ends::check(file, &mut verdicts);
    trial_print::check(file, &mut verdicts);
    moulding::check(file, &mut verdicts);
    surroundings::check(file, &mut verdicts);
    sender_gears::check(file, &mut verdicts);
    mating::check(file, &mut verdicts);
    pad_hollow::check(file, &mut verdicts);
    necks::check(file, &mut verdicts);
    verdicts.findings
}

/// What the rules share: findings so far, the file's unit, and the shell's inside and outside as far as known.
struct Verdicts {
    findings: Findings,
    units: Units,
    cavity: Vec<(Mm, Mm)>,
    outside: Vec<(Mm, Mm)>,
}

impl Verdicts {
    fn new(file: &File) -> Self {
        let stations = shell::stations(&file.shell).unwrap_or_default();
        let cavity: Vec<_> = stations.iter().map(|s| (s.x, s.radius)).collect();
        let outside = tail_values(file).map_or_else(Vec::new, |(stop_radius, seat_front)| {
            shell::outside(&stations, stop_radius, seat_front).iter().map(|p| (p.x, p.radius)).collect()
        });
        let units = file.units.get().unwrap_or(Units::Mm);
        Self { findings: Findings::default(), units, cavity, outside }
    }

    /// Adds a finding.
    fn add(&mut self, finding: Finding) {
        self.findings.push(finding);
    }

    /// A length in the file's unit.
    fn mm(&self, length: Mm) -> String {
        self.units.show(length)
    }

    /// Radius of the cavity at a station, when known.
    fn cavity_at(&self, x: Mm) -> Option<Mm> {
        shell::radius_at(self.cavity.iter().copied(), x)
    }

    /// Radius of the shell's outside at a station, when known.
    fn outside_at(&self, x: Mm) -> Option<Mm> {
        shell::radius_at(self.outside.iter().copied(), x)
    }
}

/// Radius of the stop bore and station of the bushing seat's front.
pub(super) fn tail_values(file: &File) -> Option<(Mm, Mm)> {
    let tail = &file.tail;
    let seat_front =
        file.housing.overall_length.get()? - tail.seal.depth.get()? - tail.bushing.length.get()?;
    Some((tail.bushing.stop_bore.get()? / 2.0, seat_front))
}

/// An error about one value.
fn error<T>(code: Code, slot: &Parameter<T>, message: String) -> Finding {
    Finding::error(code, slot.path(), message).at(slot.place())
}

/// Where an error about a value points.
struct Slot<'a> {
    path: &'a str,
    place: Option<Place>,
    given: bool,
}

impl<'a> Slot<'a> {
    fn of<T>(slot: &'a Parameter<T>) -> Self {
        Self { path: slot.path(), place: slot.place(), given: slot.origin() == Origin::Given }
    }
}

/// An error about the first of these values that the file gives: a default that does not fit is no fault of its own, but
/// of the values that leave it no room. The last one is a value that every file gives.
fn error_of_given(code: Code, slots: &[Slot], message: String) -> Finding {
    let to_blame = slots.iter().find(|slot| slot.given).or(slots.last());
    let (path, place) = to_blame.map_or(("", None), |slot| (slot.path, slot.place));
    Finding::error(code, path, message).at(place)
}

/// A warning about one value.
fn warning<T>(code: Code, slot: &Parameter<T>, message: String) -> Finding {
    Finding::warning(code, slot.path(), message).at(slot.place())
}

/// Whether one length is larger than another by more than the rounding of unit conversion.
fn above(a: Mm, b: Mm) -> bool {
    a.get() > b.get() + SAME
}

/// Distance between two points of a plane.
fn apart(a: (Mm, Mm), b: (Mm, Mm)) -> Mm {
    Mm::new((a.0 - b.0).get().hypot((a.1 - b.1).get()))
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::CODES;
    use crate::params::codes;

    #[test]
    fn no_code_stands_for_two_things() {
        let mut seen = BTreeSet::new();
        for code in CODES.iter().copied().flatten().chain(codes::ALL) {
            assert!(seen.insert(code.id()), "{code} twice");
            assert!(!code.title().is_empty(), "{code} has a title");
        }
    }
}
