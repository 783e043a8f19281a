//! Bodies around the housing: each has the keys that its kind needs.

use super::{Verdicts, error};
use crate::design::polygon::{crossing, doubled, in_line};
use crate::design::surroundings::UNREAD;
use crate::finding::{Code, Finding, Place};
use crate::params::Origin;
use crate::params::schema::{File, NeighbourKind, RawNeighbour};

const LACKS: Code = Code::new("D190", "shape not fully described");
const OTHER: Code = Code::new("D192", "key that belongs to another shape");
const CROSSING: Code = Code::new("D191", "profile encloses nothing or crosses itself");

pub(super) const CODES: &[Code] = &[LACKS, CROSSING, OTHER, UNREAD];

pub(super) fn check(file: &File, out: &mut Verdicts) {
    for thing in &file.surroundings.items {
        lacks(thing, out);
        others(thing, out);
        profile(thing, out);
    }
}

/// A kind in words, the keys that it needs, and all keys that it accepts.
fn keys(kind: NeighbourKind) -> (&'static str, &'static [&'static str], &'static [&'static str]) {
    const PLACED: &[&str] = &["from", "length", "side", "height", "width"];
    const PROFILE: &[&str] = &["from", "length", "corners"];
    match kind {
        NeighbourKind::Box => ("a box", PLACED, &["from", "length", "side", "height", "width", "tall"]),
        NeighbourKind::Pipe => ("a pipe", PLACED, PLACED),
        NeighbourKind::Profile => ("a profile", PROFILE, PROFILE),
        NeighbourKind::Stl => ("an STL", &["file"], &["file"]),
    }
}

/// The keys that only some kinds take.
fn given(thing: &RawNeighbour) -> impl Iterator<Item = Key<'_>> {
    let lengths = [
        ("from", &thing.from),
        ("length", &thing.length),
        ("side", &thing.side),
        ("height", &thing.height),
        ("width", &thing.width),
        ("tall", &thing.tall),
    ];
    let lengths = lengths.into_iter().map(|(name, s)| Key {
        name,
        path: s.path(),
        given: s.origin() == Origin::Given,
        absent: s.is_absent(),
        place: s.place(),
    });
    let (file, corners) = (&thing.file, &thing.corners);
    let file = Key {
        name: "file",
        path: file.path(),
        given: file.origin() == Origin::Given,
        absent: file.is_absent(),
        place: file.place(),
    };
    let corners = Key {
        name: "corners",
        path: &corners.path,
        given: corners.origin == Origin::Given,
        absent: corners.items.is_empty(),
        place: corners.place,
    };
    lengths.chain([corners, file])
}

/// A key of a body beside the housing.
struct Key<'a> {
    name: &'static str,
    path: &'a str,
    given: bool,
    absent: bool,
    place: Option<Place>,
}

fn lacks(thing: &RawNeighbour, out: &mut Verdicts) -> Option<()> {
    let (word, needed, _) = keys(thing.kind.get()?);
    let missing = given(thing).filter(|k| k.absent && needed.contains(&k.name));
    let missing: Vec<&str> = missing.map(|k| k.name).collect();
    if !missing.is_empty() {
        out.add(error(LACKS, &thing.kind, format!("{word} also needs {}", ticked(&missing))));
    }
    Some(())
}

/// A key that only another shape accepts is a mistake, because it contradicts the kind.
fn others(thing: &RawNeighbour, out: &mut Verdicts) -> Option<()> {
    let (word, _, takes) = keys(thing.kind.get()?);
    for key in given(thing).filter(|k| k.given && !takes.contains(&k.name)) {
        out.add(
            Finding::error(OTHER, key.path, format!("{word} takes no `{}`", key.name))
                .at(key.place)
                .allowed(format!("`name`, `kind`, `clearance`, {}", ticked(takes)))
                .hint("remove it, or change `kind`"),
        );
    }
    Some(())
}

fn ticked(names: &[&str]) -> String {
    names.iter().map(|name| format!("`{name}`")).collect::<Vec<_>>().join(", ")
}

fn profile(thing: &RawNeighbour, out: &mut Verdicts) -> Option<()> {
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
        let message = format!("corners {} and {} are at the same point", j + 1, i + 1);
        let at = &thing.corners.items.get(j)?.side;
        out.add(error(CROSSING, at, message).hint("remove one of them; the outline closes by itself"));
    } else if in_line(&corners) {
        let message = "the corners lie in a line and enclose no area".to_owned();
        out.add(error(CROSSING, slot, message).hint("add a corner beside the line"));
    } else if let Some((i, j)) = crossing(&corners) {
        let slot = &thing.corners.items.get(j)?.side;
        let message = format!("the side from corner {} meets the one from corner {}", j + 1, i + 1);
        out.add(error(CROSSING, slot, message).hint("list the corners in their order around the outline"));
    }
    Some(())
}
