//! Values for the examples of the parameter reference that fit together, where the example of a key alone would not.
//!
//! A key's own example shows how a value is written. Here stands what makes all of them one file that the rules accept.

/// Values by key path, one for each item of a list.
const TOGETHER: &[(&str, &[&str])] = &[
    ("gearbox_face.relief.inner_diameter", &["152"]),
    ("shell.cavity[].station", &["0", "260"]),
    ("shell.cavity[].diameter", &["127", "79.375"]),
    ("tail.drain_back.diameter", &["3.0"]),
    ("shift_box_pad.opening.length", &["76.2"]),
    ("shift_box_pad.opening.width", &["41.0"]),
    ("shift_box_pad.hollow.boss_diameter", &["15.0"]),
    ("shift_box_pad.dowels[].along", &["50.0"]),
    ("mount_pad.holes.positions[].along", &["0"]),
    ("mount_pad.holes.positions[].across", &["0"]),
    ("second_mount_pad.base_station", &["110"]),
    ("second_mount_pad.outline.length", &["60"]),
    ("second_mount_pad.holes.grid.length", &["34"]),
    ("second_mount_pad.holes.positions[].along", &["0"]),
    ("second_mount_pad.holes.positions[].across", &["0"]),
    ("sender_boss.bore_steps[].depth", &["42"]),
    ("ribs.longitudinal[].outer_radius", &["78"]),
    ("trial_print.bed_length", &["300"]),
    ("trial_print.bed_width", &["300"]),
];

/// Keys and sections that another one excludes: the reference shows them as comments.
const ALTERNATIVES: &[&str] = &[
    "gearbox_face.flange.lug",
    "tail.oil_feed.angle",
    "shift_box_pad.polygon[]",
    "shift_box_pad.holes.positions[]",
    "mount_pad.slots",
    "mount_pad.hollow",
    "mount_pad.plate.edge_radius",
    "second_mount_pad.slots",
    "second_mount_pad.hollow",
    "second_mount_pad.plate.edge_radius",
    "sender_boss.o_ring.diameter",
    "surroundings[].corners[]",
    "surroundings[].file",
    "vehicle.axle.tyre_turns_per_mile",
    "vehicle.instrument.turns_per_mile",
    "vehicle.instrument.pulses_per_mile",
];

/// Keys that are not required by themselves, but of which a file needs one or the other to be valid.
const NEEDED: &[&str] = &["gearbox_face.bolt_circles[]", "tail.seal.width"];

/// The value of a key in the reference: the one that fits the others, else the key's own example.
pub(super) fn value<'a>(path: &str, item: usize, own: &'a str) -> &'a str {
    let known = TOGETHER.iter().find(|(key, _)| *key == path);
    known.and_then(|(_, values)| values.get(item).or(values.last())).copied().unwrap_or(own)
}

/// Whether another key excludes it.
pub(super) fn is_alternative(path: &str) -> bool {
    ALTERNATIVES.contains(&path)
}

/// Whether a file needs it, or something in its place, though it is not required by itself.
pub(super) fn is_needed(path: &str) -> bool {
    NEEDED.contains(&path)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::params::entries;
    use crate::params::reference::paths;

    #[test]
    fn every_path_is_a_key() {
        let known = paths(&entries());
        let all = TOGETHER.iter().map(|(path, _)| *path).chain(ALTERNATIVES.iter().chain(NEEDED).copied());
        for path in all {
            assert!(known.iter().any(|key| key == path), "{path}");
        }
    }
}
