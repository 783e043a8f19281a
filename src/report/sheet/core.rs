//! The core: for the core maker and the moulder.

use super::{Facts, shared};
use crate::forms::Casting;
use crate::report::document::{Block, Chapter, Fact};
use crate::standards::core_prints::SAND_CORE;

/// What the sheet says, and its sections.
pub(super) fn sections(facts: &Facts) -> (&'static str, Vec<Chapter>) {
    let lead = "The core that forms the hollow of the casting, with its prints. For the core maker and the moulder; it can be \
                printed in sand as it is, or made in the core box.";
    let Ok(casting) = facts.product.casting() else {
        // There are no files of a core without a casting.
        return (lead, vec![]);
    };
    let volume: f64 = facts.files.pieces.iter().map(|p| p.mass.volume).sum();
    let glance = vec![
        shared::scale(facts),
        Fact::new("Core sand", format!("{}; {}", facts.units.volume(volume), weight(facts, volume))),
        Fact::new(
            "Draft",
            format!("{} on walls that a box forms", facts.design.casting().mould().core_draft()),
        ),
        prints(facts, casting),
        room(facts, casting),
        vent(facts, casting),
    ];
    let sections = vec![
        Chapter::new("At a glance", [Block::Facts(glance)]),
        Chapter::new("The core", [shared::picture(facts, "The core")]),
        shared::notes(facts, &[]),
    ];
    (lead, sections)
}

/// The weight of a volume of core sand in mm³.
pub(super) fn weight(facts: &Facts, volume: f64) -> String {
    format!("about {} at {SAND_CORE:.0} kg/m³", facts.units.mass(volume * 1e-9 * SAND_CORE))
}

/// Lengths and taper of the prints.
pub(super) fn prints(facts: &Facts, casting: &Casting) -> Fact {
    let settings = &casting.settings;
    let [front, rear] = settings.print_lengths.map(|l| facts.length(l * settings.scale.axial()));
    let taper = facts.design.casting().prints().taper();
    Fact::new("Core prints", format!("front {front} long, rear {rear}, as written; ends tapered by {taper}"))
}

/// The room about the core's prints.
pub(super) fn room(facts: &Facts, casting: &Casting) -> Fact {
    let room = facts.length(casting.settings.print_clearance);
    Fact::new(
        "Room about the prints",
        format!("{room} on each side, in the mould; it is in the pattern, not in the core"),
    )
}

/// The vent.
pub(super) fn vent(facts: &Facts, casting: &Casting) -> Fact {
    let vent = casting.settings.vent;
    let said = if vent > 0.0 {
        format!("{} along the shaft axis, open at both ends", facts.length(vent))
    } else {
        "none in this file".to_owned()
    };
    Fact::new("Vent", said)
}
