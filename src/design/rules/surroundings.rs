//! Things beside the housing: what their kind needs is there.

use super::{Verdicts, error};
use crate::design::polygon::{crossing, doubled, in_line};
use crate::design::surroundings::UNREAD;
use crate::finding::{Code, Finding};
use crate::params::Origin;
use crate::params::schema::{File, Neighbour, NeighbourKind};

const LACKS: Code = Code::new("D190", "shape not told in full");
const OTHER: Code = Code::new("D192", "key of another shape");
const CROSSING: Code = Code::new("D191", "profile encloses nothing or crosses itself");

pub(super) const CODES: &[Code] = &[LACKS, CROSSING, OTHER, UNREAD];

pub(super) fn check(file: &File, out: &mut Verdicts) {
    for thing in &file.surroundings.items {
        lacks(thing, out);
        others(thing, out);
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
        out.add(error(LACKS, &thing.kind, format!("{word} needs {} too", ticked(&missing))));
    }
    Some(())
}

/// Keys that only another shape takes are a slip: the shape is not what they say.
fn others(thing: &Neighbour, out: &mut Verdicts) -> Option<()> {
    let (word, takes): (_, &[&str]) = match thing.kind.get()? {
        NeighbourKind::Box => ("a box", &["from", "length", "side", "height", "width", "tall"]),
        NeighbourKind::Pipe => ("a pipe", &["from", "length", "side", "height", "width"]),
        NeighbourKind::Profile => ("a profile", &["from", "length", "corners"]),
        NeighbourKind::Stl => ("an STL", &["file"]),
    };
    let lengths = [
        ("from", &thing.from),
        ("length", &thing.length),
        ("side", &thing.side),
        ("height", &thing.height),
        ("width", &thing.width),
        ("tall", &thing.tall),
    ];
    let lengths = lengths.iter().map(|(name, slot)| (*name, slot.path(), slot.origin(), slot.place()));
    let file = ("file", thing.file.path(), thing.file.origin(), thing.file.place());
    let corners = ("corners", thing.corners.path.as_str(), thing.corners.origin, thing.corners.place);
    for (name, path, origin, place) in lengths.chain([file, corners]) {
        if origin == Origin::Given && !takes.contains(&name) {
            out.add(
                Finding::error(OTHER, path, format!("{word} takes no `{name}`"))
                    .at(place)
                    .allowed(format!("`name`, `kind`, `clearance`, {}", ticked(takes)))
                    .hint("remove it, or look at `kind`"),
            );
        }
    }
    Some(())
}

fn ticked(names: &[&str]) -> String {
    names.iter().map(|name| format!("`{name}`")).collect::<Vec<_>>().join(", ")
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
    } else if let Some((i, j)) = doubled(&corners) {
        let message = format!("corner {} stands where corner {} does", j + 1, i + 1);
        let at = &thing.corners.items.get(j)?.side;
        out.add(error(CROSSING, at, message).hint("remove one of them; the outline closes by itself"));
    } else if in_line(&corners) {
        let message = "the corners lie in a line and enclose no area".to_owned();
        out.add(error(CROSSING, slot, message).hint("add a corner beside the line"));
    } else if let Some((i, j)) = crossing(&corners) {
        let slot = &thing.corners.items.get(j)?.side;
        let message = format!("the side from corner {} meets the one from corner {}", j + 1, i + 1);
        out.add(error(CROSSING, slot, message).hint("name the corners in their order around the outline"));
    }
    Some(())
}
