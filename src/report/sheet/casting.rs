//! The casting: for the foundry, and for the machinist who sets it up.

use super::{Facts, cast_solid, shared};
use crate::faces::plain_names;
use crate::forms::{self, Casting, DatumTarget, Drawing};
use crate::report::document::{Block, Chapter, Column, Fact, Picture, TextCell, TextTable};
use crate::report::{feeding, moulding, rigging};

/// What the sheet says, and its sections.
pub(super) fn sections(facts: &Facts) -> (&'static str, Vec<Chapter>) {
    let lead = "The part as it leaves the mould, with draft, fillets and stock on its machined faces. For the foundry, which \
                agrees alloy, feeders and stock, and for the machinist, who sets it up.";
    let (Ok(casting), Ok(drawing), Ok(partings)) =
        (facts.product.casting(), facts.product.drawing(), facts.product.partings())
    else {
        // There are no files of a casting that cannot be made.
        return (lead, vec![]);
    };
    let mut lines = moulding::drawing(casting, drawing, facts.units);
    lines.extend(moulding::parting(casting, drawing, partings));
    lines.extend(moulding::undrafted(drawing, facts.units));
    let sections = vec![
        Chapter::new(
            "At a glance",
            [Block::Facts(glance(facts, casting, drawing)), Block::Cautions(moulding::lacking(casting))],
        ),
        Chapter::new("The casting", [shared::picture(facts, "The casting")]),
        Chapter::new(
            "Machining stock",
            [
                Block::Table(moulding::stock(facts.design, &casting.stock)),
                Block::Table(cast_solid::table(facts, &casting.stock)),
            ],
        ),
        Chapter::new("First set-up", set_up(facts)),
        Chapter::new("Drawing from the sand", [Block::List(lines), shared::short_fillets(facts, casting)]),
        Chapter::new("Feeders, chills and gates", advice(facts)),
        shared::notes(facts, &[]),
    ];
    (lead, sections)
}

fn glance(facts: &Facts, casting: &Casting, drawing: &Drawing) -> Vec<Fact> {
    let (design, stock) = (facts.design, facts.design.casting().stock());
    let finished = facts.product.finished().solid.mass().volume;
    let mut out = vec![
        shared::scale(facts),
        shared::alloy(facts),
        Fact::new("Weight as cast", facts.units.mass(moulding::mass(design, casting))),
        Fact::new("Weight finished", facts.metal(finished)),
    ];
    if let Some(advised) = &facts.files.advised {
        let ([poured, share], gated) = match &facts.files.rigging {
            Some(Ok(placed)) => ([placed.poured(), placed.yielded()], placed.gates.is_some()),
            _ => ([advised.poured, advised.yielded()], true),
        };
        let without = if gated { "" } else { "; sprue, runners and gates come to it" };
        let share =
            format!("{}, of which the casting is {:.0} %{without}", facts.units.mass(poured), 100.0 * share);
        out.push(Fact::new("Metal poured, as advised below", share));
    }
    let given = match stock.all() {
        Some(all) => format!("{} on every machined face", facts.length(all.get())),
        None => format!("by machining allowance grade {} (ISO 8062-3)", stock.grade()),
    };
    out.extend([
        Fact::new(
            "Shell's thinnest wall",
            format!("{} nominal, before draft and stock", facts.length(design.shell().thinnest().get())),
        ),
        shared::draft(facts),
        shared::parting(facts, casting),
        shared::loose(drawing, facts.units),
        shared::fillets(casting),
        Fact::new(
            "Stock",
            if stock.top().get() > 0.0 {
                format!("{given}; {} more on faces that lie uppermost", facts.length(stock.top().get()))
            } else {
                given
            },
        ),
        Fact::new(
            "Tolerance",
            format!("casting tolerance grade DCTG {} (ISO 8062-3)", stock.tolerance_grade()),
        ),
    ]);
    out
}

/// The datum targets on which the casting is set up before anything is machined.
fn set_up(facts: &Facts) -> Vec<Block> {
    let targets = match facts.product.datum_targets() {
        Ok(Ok(targets)) => targets,
        Ok(Err(none)) => {
            return vec![Block::Text(format!(
                "No datum targets are proposed: {none}. Agree them with the machinist."
            ))];
        }
        Err(error) => return vec![Block::Text(format!("No datum targets are proposed: {error}."))],
    };
    let row = |t: &DatumTarget| {
        let [x, y, z] = [t.at.x, t.at.y, t.at.z].map(|v| facts.bare(v));
        vec![TextCell::from(t.name), plain_names::face(&t.tag).into(), x.into(), y.into(), z.into()]
    };
    let table = TextTable {
        caption: "Datum targets on faces that stay as cast, by the casting's model; aft, to the right and up from the middle of the finished \
                  gearbox face"
            .to_owned(),
        columns: vec![
            Column::words("target"),
            Column::words("on"),
            facts.head("X, mm", "X, in"),
            facts.head("Y, mm", "Y, in"),
            facts.head("Z, mm", "Z, in"),
        ],
        rows: targets.iter().map(row).collect(),
        notes: vec![format!(
            "each is plain over {} and free before it; A1 to A3 hold the casting along the shaft and square, B1 and B2 across the shaft, C1 against turning",
            facts.length(forms::TARGET_SIZE)
        )],
    };
    vec![Block::Table(table)]
}

fn advice(facts: &Facts) -> Vec<Block> {
    let Some(advised) = &facts.files.advised else { return vec![] };
    let mut out = vec![Block::Text(format!("This is {}.", feeding::RECOMMENDED))];
    let lumps = [
        Block::Table(feeding::lumps(facts.design, advised)),
        Block::List(feeding::feeders(facts.design, advised)),
    ];
    match &facts.files.rigging {
        Some(Ok(placed)) => {
            let mut told = vec![rigging::poured(placed, facts.units)];
            told.extend(rigging::gating(facts.design, advised, placed));
            told.extend(feeding::gating(facts.design, &placed.gating));
            out.push(Block::List(told));
            out.push(poured_picture(facts));
            out.push(Block::Table(rigging::feeders(facts.design, advised, placed)));
            out.push(Block::Table(rigging::chills(facts.design, advised, placed)));
            let chaplets = rigging::chaplets(facts.design, placed).map(Block::Table);
            // A table tells it of the others; without one it stands by itself.
            out.extend(
                chaplets.or_else(|| rigging::unheld(placed, facts.units).map(|told| Block::List(vec![told]))),
            );
            out.extend(lumps);
        }
        other => {
            out.extend(lumps);
            if let Some(Err(error)) = other {
                out.push(Block::Text(format!("Feeders and gates could not be placed: {error}.")));
            }
            let mut told = vec![feeding::poured(advised, facts.units)];
            told.extend(feeding::gating(facts.design, &advised.gating));
            out.push(Block::List(told));
        }
    }
    out
}

/// The casting with all that is poured about it.
fn poured_picture(facts: &Facts) -> Block {
    let placed = facts.files.rigging.as_ref().and_then(|placed| placed.as_ref().ok());
    let held = placed.is_some_and(|placed| !placed.chaplets.is_empty());
    let chaplets = if held { "; purple: chaplets under and on the core" } else { "" };
    Block::Picture(Picture {
        png: facts.files.poured_views.clone(),
        alt: "The casting with feeders, chills and gating, as the mould lies, seen from behind, right and above, and from ahead, left and below.".to_owned(),
        caption: format!(
            "As the mould lies. Yellow: feeders with their necks, sprue, runners and gates, not part of the pattern; dark: \
             chills{chaplets}. The foundry decides."
        ),
    })
}
