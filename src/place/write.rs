//! Writes values into the text of a parameter file; comments and layout are kept.

use super::Placed;
use crate::params::{Origin, Parameter, Source, rewrite, schema};
use crate::units::{Mm, Units};

/// The outcome for one value.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Edit {
    /// It was written.
    Written(String),
    /// The file has it already.
    Kept,
    /// The file has no such key; the line to add.
    Absent(String),
    /// A key with a station of its own that may have to move too.
    Beside(&'static str),
}

/// The text with all placed values, and the outcome for each.
pub fn written(source: &Source, file: &schema::File, placed: &Placed) -> (String, Vec<Edit>) {
    let units = file.units.get().unwrap_or(Units::Mm);
    let mut spots: Vec<(usize, usize, String)> = Vec::new();
    let mut edits = Vec::new();
    for m in &placed.moves {
        let text = units.bare(m.key_value());
        let slot = match m.key {
            "housing.overall_length" => Some(&file.housing.overall_length),
            "mating.yoke.front" => file.mating.yoke.as_ref().map(|y| &y.front),
            "shift_box_pad.station" => file.shift_box_pad.as_ref().map(|p| &p.station),
            "mount_pad.base_station" => file.mount_pad.as_ref().map(|p| &p.base_station),
            "mount_pad.drop" => file.mount_pad.as_ref().map(|p| &p.drop),
            "sender_boss.station" => file.sender_boss.as_ref().map(|p| &p.station),
            _ => None,
        };
        let given = slot.filter(|s| s.origin() == Origin::Given).and_then(Parameter::place);
        match given {
            Some(_) if m.key_now().is_some_and(|now| units.bare(now) == text) => edits.push(Edit::Kept),
            Some(place) => {
                spots.push((place.start, place.end, text.clone()));
                edits.push(Edit::Written(format!("{}: {text}", m.key)));
            }
            None => edits.push(Edit::Absent(format!("{}: {text}", m.key))),
        }
    }
    if !spots.is_empty() {
        edits.extend(beside(file).map(Edit::Beside));
    }
    (rewrite(source.text(), spots), edits)
}

/// Keys of the file with stations of turning parts: where features move, these may have to move too.
fn beside(file: &schema::File) -> impl Iterator<Item = &'static str> {
    let (yoke, gears) = (file.mating.yoke.as_ref(), file.mating.speedometer.as_ref());
    let given = |slot: Option<&Parameter<Mm>>| slot.is_some_and(|s| s.origin() == Origin::Given);
    let all = [
        ("mating.turning", !file.mating.turning.items.is_empty()),
        ("mating.speedometer.drive_from", given(gears.map(|g| &g.drive_from))),
        ("mating.yoke.bottoms_at", given(yoke.map(|y| &y.bottoms_at))),
        ("mating.yoke.shaft_spline_from", given(yoke.map(|y| &y.shaft_spline_from))),
        ("mating.yoke.shaft_spline_to", given(yoke.map(|y| &y.shaft_spline_to))),
    ];
    all.into_iter().filter(|(_, there)| *there).map(|(key, _)| key)
}
