//! The pattern and the core box, which both come in two halves: for the pattern maker.

use std::collections::BTreeSet;

use super::{Facts, core, shared};
use crate::faces::{Feature, plain_names};
use crate::forms::{self, Casting, Dovetail, LoosePiece, SideCore, StillHeld, core_volume};
use crate::report::document::{Block, Chapter, Column, Fact, TextCell, TextTable};
use crate::report::moulding;
use crate::words::in_a_row;
use solidwright::geometry::V3;

/// What the pattern's sheet says, and its sections.
pub(super) fn pattern(facts: &Facts) -> (&'static str, Vec<Chapter>) {
    let lead = "The pattern in two halves, with its core prints. For the pattern maker, and for the moulder who works with it.";
    let (Ok(casting), Ok(drawing)) = (facts.product.casting(), facts.product.drawing()) else {
        // There are no files of a pattern without a casting.
        return (lead, vec![]);
    };
    let mut held = moulding::left(casting, drawing, facts.files);
    if !drawing.undercuts.is_empty() {
        held.push("places and areas here are those of the casting's model: what is measured on the pattern is larger by the contraction".to_owned());
    }
    held.extend(moulding::undrafted(drawing, facts.units));
    let by_hand = moulding::to_dress(drawing).next().is_some() || !facts.files.to_dress.is_empty();
    let glance = vec![
        shared::scale(facts),
        shared::alloy(facts),
        Fact::new("Weight as cast", facts.metal(casting.moulded.casting.solid.mass().volume)),
        Fact::new("Machining stock", "in this file; the casting's sheet lists it face by face"),
        shared::draft(facts),
        shared::parting(facts, casting),
        core::prints(facts, casting),
        core::room(facts, casting),
        shared::loose(drawing, facts.units),
        shared::fillets(casting),
    ];
    // What the table and the order of drawing tell is no further note.
    let cores = facts.files.side_cores.iter().map(|core| core.text(facts.units));
    let told: Vec<String> = held.iter().cloned().chain(cores).collect();
    let loose = if facts.files.loose.is_empty() { vec![] } else { vec![loose_table(facts)] };
    let sections = vec![
        Chapter::new("At a glance", [Block::Facts(glance), Block::Cautions(held_fast(facts))]),
        Chapter::new("The pattern", [shared::picture(facts, "The pattern's halves")]),
        Chapter::new("Loose pieces", loose),
        Chapter::new("Side cores", side_cores(facts, casting)),
        Chapter::new(
            "Order of drawing",
            [order(facts, casting, by_hand), vec![Block::List(held.clone())]].concat(),
        ),
        Chapter::new("Dowels", shared::dowels(facts, casting)),
        Chapter::new("Fillets", [shared::short_fillets(facts, casting)]),
        shared::notes(facts, &told),
    ];
    (lead, sections)
}

/// That the halves cannot be drawn even with their loose pieces: who makes the pattern must know that before anything else.
fn held_fast(facts: &Facts) -> Vec<String> {
    let held: Vec<Feature> = facts.files.still_held.iter().flat_map(|held| held.features.clone()).collect();
    if held.is_empty() {
        return vec![];
    }
    vec![format!(
        "The halves do not leave the sand: neither a loose piece that can be drawn nor a side core frees {}. Form it with a core, or change the shape, before the pattern is made; the order of drawing tells the places.",
        plain(&held)
    )]
}

/// How a moulder works with the pattern (common practice). Where a place gets no loose piece, the steps end with it: what would follow is told
/// without numbers.
fn order(facts: &Facts, casting: &Casting, by_hand: bool) -> Vec<Block> {
    let (loose, held) = (&facts.files.loose, &facts.files.still_held);
    let mut out = vec![
        "Mould the lower half with its flat side on the board, ram it up and turn it over.".to_owned(),
        "Set the upper half on its dowels, dust the parting, ram up the upper box and lift it off straight, square to the parting \
         plane."
            .to_owned(),
    ];
    if !loose.is_empty() {
        out[0].push_str(" Its loose pieces hang in it.");
    }
    if loose.iter().any(|piece| piece.dovetail.is_none()) {
        out[0].push_str(
            " A loose piece without a dovetail is held by a pin through it; draw the pin once enough sand holds the piece.",
        );
    }
    if by_hand {
        out.insert(0, "Before the first mould, dress by hand what is told below.".to_owned());
    }
    let stay = if loose.is_empty() { "" } else { " The loose pieces stay in the sand." };
    let pieces = loose.iter().enumerate().map(|(k, piece)| drawing_of(facts, casting, k, piece));
    let side_cores = facts.files.side_cores.iter().enumerate().map(|(k, core)| side_core(k, core));
    let core =
        "Lay the core into its prints with its vent free at both ends, and close the mould.".to_owned();
    if held.is_empty() {
        out.push(format!("Rap each half and draw it, square to the parting plane.{stay}"));
        out.extend(pieces.chain(side_cores).chain([core]));
        return vec![Block::Steps(out)];
    }
    // A half that nothing holds is drawn as ever.
    let free = [true, false].into_iter().filter(|upper| held.iter().all(|held| held.upper != *upper));
    out.extend(free.map(|upper| {
        format!("Rap the {} half and draw it, square to the parting plane.{stay}", forms::half_name(upper))
    }));
    out.extend(held.iter().map(|held| stopped(held, facts)));
    let after = "No step follows: the mould does not open at these places. Once they are changed and the pattern is made anew, its \
                 other loose pieces are drawn like this, if its sheet still tells them:"
        .to_owned();
    let after =
        if loose.is_empty() { vec![] } else { vec![Block::Text(after), Block::List(pieces.collect())] };
    [vec![Block::Steps(out)], after].concat()
}

/// How a side core is set in.
fn side_core(number: usize, core: &SideCore) -> String {
    let hold =
        if core.upper { ", and paste or wire it in: it would fall out when the mould is closed" } else { "" };
    let half = forms::half_name(core.upper);
    format!("Set side core {} into its print in the {half} half{hold}.", number + 1)
}

/// That the mould does not open at a place, why, and what to change.
fn stopped(held: &StillHeld, facts: &Facts) -> String {
    format!(
        "STOP: the mould does not open here. The {} half stays in the sand at the {}, {} near {}: {}. To change before the pattern is \
         made: {}.",
        forms::half_name(held.upper),
        plain(&held.features),
        facts.units.area(held.area),
        facts.units.place(held.at.into()),
        held.why.text(facts.units),
        held.why.change()
    )
}

/// Features in a row, as people call them, each once.
fn plain(features: &[Feature]) -> String {
    let names: BTreeSet<&str> = features.iter().map(|feature| plain_names::feature(*feature)).collect();
    in_a_row(&names.into_iter().collect::<Vec<_>>())
}

/// How a loose piece is drawn.
fn drawing_of(facts: &Facts, casting: &Casting, number: usize, piece: &LoosePiece) -> String {
    let settings = &casting.settings;
    let pull = if piece.upper { settings.up } else { -settings.up };
    let dressed: f64 = piece.dressed.iter().map(|u| u.area).sum();
    let by_hand = if dressed >= 1.0 {
        format!(
            " Dress {} of it by hand: {}.",
            facts.units.area(dressed),
            plain_names::face(&piece.dressed[0].tag)
        )
    } else {
        String::new()
    };
    format!(
        "Draw loose piece {} of the {} half ({}) by {} {}, and then out through the hollow, square to the parting plane.{by_hand}",
        number + 1,
        forms::half_name(piece.upper),
        plain(&piece.features),
        facts.long(piece.travel * settings.scale.radial()),
        heading(piece.draw, settings.across(), pull),
    )
}

/// Directions along an axis that are less than this of a whole are left out of its name: 5 degrees.
const ASIDE: f64 = 0.087;

/// A direction in words, as a moulder sees it who looks at the box: along the shaft, across it, away from the parting plane.
fn heading(draw: V3, across: V3, pull: V3) -> String {
    let (side, deep) = (draw.dot(&across), draw.dot(&pull));
    let flat = draw.x.hypot(side);
    let mut out = Vec::new();
    if flat > ASIDE {
        let turn = side.abs().atan2(draw.x.abs()).to_degrees();
        let shaft = if draw.x > 0.0 { "aft" } else { "ahead" };
        out.push(if turn < 5.0 {
            format!("straight {shaft}")
        } else if turn > 85.0 {
            "square to the shaft".to_owned()
        } else {
            format!("{shaft}, {turn:.0} deg from the shaft")
        });
    }
    if deep.abs() > ASIDE {
        let rise = deep.abs().asin().to_degrees();
        let way = if deep > 0.0 { "deeper into the box" } else { "towards the parting plane" };
        out.push(format!("{rise:.0} deg {way}"));
    }
    out.join(" and ")
}

/// The side cores, as a table; nothing where there are none.
fn side_cores(facts: &Facts, casting: &Casting) -> Vec<Block> {
    let scale = casting.settings.scale.radial();
    let cores = &facts.files.side_cores;
    if cores.is_empty() {
        return vec![];
    }
    let row = |(k, core): (usize, &SideCore)| {
        let file = facts.files.pieces.iter().find(|p| p.name == core.name);
        let size: Vec<String> = core.size.iter().map(|side| facts.cell(*side * scale)).collect();
        vec![
            TextCell::from((k + 1).to_string()),
            forms::half_name(core.upper).into(),
            plain(&core.features).into(),
            file.map_or_else(String::new, |p| facts.units.place(p.mass.centroid.coords.into())).into(),
            size.join(" x ").into(),
            file.map_or_else(String::new, |p| facts.units.volume(p.mass.volume)).into(),
        ]
    };
    vec![Block::Table(TextTable {
        caption: "Side cores, of core sand".to_owned(),
        columns: vec![
            Column::numbers("core"),
            Column::words("half"),
            Column::words("forms"),
            Column::words("its middle, as written"),
            Column::words("length x width x height"),
            Column::numbers("volume"),
        ],
        rows: cores.iter().enumerate().map(row).collect(),
        notes: vec![format!(
            "Each has a file of its own, with the contraction, from which its core box is made, or the core itself is printed in sand: no box is \
             written. The half has a print in its place, larger by {} on each side; the core's flat face lies in the parting plane. Where the \
             core meets the casting it forms the casting's wall.",
            facts.length(facts.design.casting().prints().clearance().get())
        )],
    })]
}

/// The loose pieces, as a table.
fn loose_table(facts: &Facts) -> Block {
    let row = |(k, piece): (usize, &LoosePiece)| {
        let file = facts.files.pieces.iter().find(|p| p.name == piece.name);
        let hung = match piece.dovetail {
            Some(Dovetail { width, depth }) => {
                format!("dovetail {} wide, {} deep", facts.cell(width), facts.cell(depth))
            }
            None => "held by a pin: no room for a dovetail".to_owned(),
        };
        vec![
            TextCell::from((k + 1).to_string()),
            forms::half_name(piece.upper).into(),
            plain(&piece.features).into(),
            // Pieces that look alike are told apart by where they belong.
            file.map_or_else(String::new, |p| facts.units.place(p.mass.centroid.coords.into())).into(),
            hung.into(),
            file.map_or_else(String::new, |p| facts.units.volume(p.mass.volume)).into(),
        ]
    };
    Block::Table(TextTable {
        caption: if facts.files.still_held.is_empty() {
            "Loose pieces, in the order in which they are drawn".to_owned()
        } else {
            "Loose pieces of a pattern that does not leave the sand as it is: see the order of drawing".to_owned()
        },
        columns: vec![
            Column::numbers("piece"),
            Column::words("half"),
            Column::words("for"),
            Column::words("its middle, as written"),
            Column::words("hangs by"),
            Column::numbers("volume"),
        ],
        rows: facts.files.loose.iter().enumerate().map(row).collect(),
        notes: vec![
            format!(
                "Walls between a piece and its half lean by 1.5 deg, so that the half leaves the piece, with {} of room on each side.",
                facts.length(facts.design.casting().mould().loose_clearance().get())
            ),
            "Middles are given aft, to the right and up from the middle of the finished gearbox face, with the contraction; mark each piece \
             and its seat with its number."
                .to_owned(),
        ],
    })
}

/// What the core box's sheet says, and its sections.
pub(super) fn core_box(facts: &Facts) -> (&'static str, Vec<Chapter>) {
    let lead = "The box in which the core is made, in two halves. For the pattern maker and the core maker.";
    let Ok(casting) = facts.product.casting() else {
        // There are no files of a core box without a casting.
        return (lead, vec![]);
    };
    let mut glance = vec![shared::scale(facts)];
    glance.extend(sand(facts, casting));
    glance.extend([
        Fact::new(
            "Draft",
            format!("{} on the walls of the core", facts.design.casting().mould().core_draft()),
        ),
        shared::parting(facts, casting),
        core::prints(facts, casting),
        core::vent(facts, casting),
    ]);
    let sections = vec![
        Chapter::new("At a glance", [Block::Facts(glance)]),
        Chapter::new("The core box", [shared::picture(facts, "The core box's halves")]),
        Chapter::new("Dowels", shared::dowels(facts, casting)),
        shared::notes(facts, &[]),
    ];
    (lead, sections)
}

/// The sand that fills the box.
fn sand(facts: &Facts, casting: &Casting) -> Option<Fact> {
    let volume = core_volume(casting).ok()?;
    Some(Fact::new(
        "Core sand",
        format!("{} to fill the box; {}", facts.units.volume(volume), core::weight(facts, volume)),
    ))
}
