//! Things beside the housing: what their kind needs is there.

use super::{Verdicts, error};
use crate::design::polygon::crossing;
use crate::design::surroundings::UNREAD;
use crate::finding::Code;
use crate::params::schema::{File, Neighbour, NeighbourKind};

const LACKS: Code = Code::new("D190", "shape not told in full");
const CROSSING: Code = Code::new("D191", "profile encloses nothing or crosses itself");

pub(super) const CODES: &[Code] = &[LACKS, CROSSING, UNREAD];

pub(super) fn check(file: &File, out: &mut Verdicts) {
    for thing in &file.surroundings.items {
        lacks(thing, out);
        profile(thing, out);
    }
}

fn lacks(thing: &Neighbour, out: &mut Verdicts) -> Option<()> {
    let kind = thing.kind.get()?;
    let lengths = [
        ("from", &thing.from),
        ("length", &thing.length),
        ("side", &thing.side),
        ("height", &thing.height),
        ("width", &thing.width),
    ];
    let (word, needed) = match kind {
        NeighbourKind::Box => ("a box", 5),
        NeighbourKind::Pipe => ("a pipe", 5),
        NeighbourKind::Profile => ("a profile", 2),
        NeighbourKind::Stl => ("an STL", 0),
    };
    let mut missing: Vec<&str> =
        lengths.iter().take(needed).filter(|(_, slot)| slot.is_absent()).map(|(name, _)| *name).collect();
    if kind == NeighbourKind::Stl && thing.file.is_absent() {
        missing.push("file");
    }
    if kind == NeighbourKind::Profile && thing.corners.items.is_empty() {
        missing.push("corners");
    }
    if !missing.is_empty() {
        let named = missing.iter().map(|name| format!("`{name}`")).collect::<Vec<_>>().join(", ");
        out.add(error(LACKS, &thing.kind, format!("{word} needs {named} too")));
    }
    Some(())
}

fn profile(thing: &Neighbour, out: &mut Verdicts) -> Option<()> {
    if thing.kind.get()? != NeighbourKind::Profile || thing.corners.items.is_empty() {
        return None;
    }
    let corners: Option<Vec<_>> =
        thing.corners.items.iter().map(|c| Some([c.side.get()?.get(), c.height.get()?.get()])).collect();
    let corners = corners?;
    let slot = &thing.corners.items[0].side;
    if corners.len() < 3 {
        let message = format!("{} corners enclose no area", corners.len());
        out.add(error(CROSSING, slot, message).allowed("three corners or more"));
    } else if let Some((i, j)) = crossing(&corners) {
        let message = format!("the side from corner {} meets the one from corner {}", j + 1, i + 1);
        out.add(error(CROSSING, slot, message).hint("name the corners in their order around the outline"));
    }
    Some(())
}
