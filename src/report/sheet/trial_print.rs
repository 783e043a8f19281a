//! The trial print: for whoever owns the printer, and for the fitter.

use super::{Facts, shared};
use crate::report::document::{Block, Chapter, Fact};
use crate::words::counted;

/// What the sheet says, and its sections.
pub(super) fn sections(facts: &Facts) -> (&'static str, Vec<Chapter>) {
    let lead = "The finished part in pieces for a 3D printer, to try its fit in the vehicle before any metal is poured.";
    let print = facts.design.trial_print();
    let [length, width, height] = print.bed().map(|x| facts.long(x.get()));
    let volume: f64 = facts.files.pieces.iter().map(|p| p.mass.volume).sum();
    let pieces = counted(facts.files.pieces.len(), "piece");
    let part = if print.half_section() { ", the left half of the part only" } else { "" };
    let glance = vec![
        shared::scale(facts),
        Fact::new("Plastic", print.material().to_string()),
        Fact::new(
            "Pieces",
            format!("{pieces}{part}; {} of plastic if printed solid", facts.units.volume(volume)),
        ),
        Fact::new(
            "Bed",
            format!(
                "made for {length} by {width}, {height} high, {} kept free at the edges",
                facts.long(print.margin().get())
            ),
        ),
        Fact::new("On the bed", "each piece stands on its front end, as the STL and 3MF files have it"),
        Fact::new(
            "Pegs",
            format!(
                "up to {} across, with {} of room on each side of a peg",
                facts.length(print.peg().get()),
                facts.length(print.clearance().get())
            ),
        ),
        Fact::new("Thinnest wall that the printer must make", facts.length(print.wall().get())),
        Fact::new("Holes", "machined holes are wider than on the part, since printed holes come out small"),
    ];
    let sections = vec![
        Chapter::new("At a glance", [Block::Facts(glance)]),
        Chapter::new("The trial print", [shared::picture(facts, "The pieces of the trial print")]),
        shared::notes(facts, &[]),
    ];
    (lead, sections)
}
