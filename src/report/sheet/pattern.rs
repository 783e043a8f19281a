//! The pattern and the core box, which both come in two halves: for the pattern maker.

use super::{Facts, core, cubic, shared};
use crate::forms::{Casting, Drawing, core_volume};
use crate::report::document::{Block, Chapter, Fact};
use crate::report::moulding;

/// What the pattern's sheet says, and its sections.
pub(super) fn pattern(facts: &Facts) -> (&'static str, Vec<Chapter>) {
    let lead = "The pattern in two halves, with its core prints. For the pattern maker, and for the moulder who works with it.";
    let (Ok(casting), Ok(drawing)) = (facts.product.casting(), facts.product.drawing()) else {
        // There are no files of a pattern without a casting.
        return (lead, vec![]);
    };
    let mut held = moulding::drawing(casting, &drawing.undercuts);
    held.extend(moulding::undrafted(drawing));
    let glance = vec![
        shared::scale(facts),
        shared::alloy(facts),
        Fact::new("Weight as cast", facts.metal(casting.moulded.casting.solid.mass().volume)),
        Fact::new("Machining stock", "in this file; the casting's sheet lists it face by face"),
        shared::draft(facts),
        shared::parting(casting),
        core::prints(facts, casting),
        core::room(facts, casting),
        shared::loose(drawing),
        shared::fillets(casting),
    ];
    let sections = vec![
        Chapter::new("At a glance", [Block::Facts(glance)]),
        Chapter::new("The pattern", [shared::picture(facts, "The pattern's halves")]),
        Chapter::new("Order of drawing", [Block::Steps(order(drawing)), Block::List(held)]),
        Chapter::new("Dowels", shared::dowels(facts, casting)),
        Chapter::new("Fillets", [shared::short_fillets(facts, casting)]),
        shared::notes(facts),
    ];
    (lead, sections)
}

/// How a moulder works with the pattern (common practice).
fn order(drawing: &Drawing) -> Vec<String> {
    let loose = moulding::loose_pieces(&drawing.undercuts);
    let mut out = vec![
        "Mould the lower half with its flat side on the board, ram it up and turn it over.".to_owned(),
        "Set the upper half on its dowels, dust the parting, ram up the upper box and lift it off straight, square to the parting \
         plane."
            .to_owned(),
    ];
    if loose.is_empty() {
        out.push("Rap each half and draw it from its sand, square to the parting plane.".to_owned());
    } else {
        out.push(format!(
            "Rap each half and draw it, square to the parting plane. What would hold it is made loose and stays in the sand, or is \
             formed by a core: {}. The files have these features in one piece with their half; the pattern maker parts them off.",
            loose.join(", ")
        ));
        out.push("Draw each loose piece sideways into the room that its half has left, and out.".to_owned());
    }
    out.push("Lay the core into its prints with its vent free at both ends, and close the mould.".to_owned());
    out
}

/// What the core box's sheet says, and its sections.
pub(super) fn core_box(facts: &Facts) -> (&'static str, Vec<Chapter>) {
    let lead = "The box in which the core is made, in two halves. For the pattern maker and the core maker.";
    let Ok(casting) = facts.product.casting() else {
        // There are no files of a core box without a casting.
        return (lead, vec![]);
    };
    let mut glance = vec![shared::scale(facts)];
    glance.extend(sand(casting));
    glance.extend([
        Fact::new(
            "Draft",
            format!("{} on the walls of the core", facts.design.casting().mould().core_draft()),
        ),
        shared::parting(casting),
        core::prints(facts, casting),
        core::vent(facts, casting),
    ]);
    let sections = vec![
        Chapter::new("At a glance", [Block::Facts(glance)]),
        Chapter::new("The core box", [shared::picture(facts, "The core box's halves")]),
        Chapter::new("Dowels", shared::dowels(facts, casting)),
        shared::notes(facts),
    ];
    (lead, sections)
}

/// The sand that fills the box.
fn sand(casting: &Casting) -> Option<Fact> {
    let volume = core_volume(casting).ok()?;
    Some(Fact::new("Core sand", format!("{} to fill the box; {}", cubic(volume), core::weight(volume))))
}
