//! A sender boss takes side offset and tilt from the file or from its gears, not from both.

use super::{Verdicts, error};
use crate::finding::Code;
use crate::params::parameter::Origin;
use crate::params::schema::{File, Placing, SenderKind};

const NO_OFFSET: Code = Code::new("D170", "sender boss without a side offset");
const TWICE: Code = Code::new("D171", "sender boss placed twice");
const NO_GEARS: Code = Code::new("D172", "no gears to place the sender boss by");
const STEEP: Code = Code::new("D173", "gears tilt the sender boss too far");

pub(super) const CODES: &[Code] = &[NO_OFFSET, TWICE, NO_GEARS, STEEP];

pub(super) fn check(file: &File, out: &mut Verdicts) -> Option<()> {
    let boss = file.sender_boss.as_ref()?;
    let (offset, tilt) = (&boss.side_offset, &boss.tilt);
    if boss.placed_by.get()? == Placing::Given {
        if offset.is_absent() {
            // Only gears need a distance: what counts teeth of a wheel usually points at the shaft.
            let hint = match boss.kind.get() {
                Some(SenderKind::Pulse) => "a pulse sender usually points at the shaft: `side_offset: 0`",
                _ => "give half the sum of the gears' pitch diameters: `side_offset: 25.4`",
            };
            out.add(
                error(
                    NO_OFFSET,
                    offset,
                    "the sender's axis has no distance from the shaft's axis".to_owned(),
                )
                .allowed("a length, or `placed_by: gears`")
                .hint(hint),
            );
        }
        return None;
    }
    for (given, path, place) in [
        (offset.origin() == Origin::Given, offset.path(), offset.place()),
        (tilt.origin() == Origin::Given, tilt.path(), tilt.place()),
    ] {
        if given {
            out.add(
                crate::finding::Finding::error(TWICE, path, "the gears give this value already")
                    .at(place)
                    .beside(boss.placed_by.place(), "placed by its gears")
                    .hint("leave it out, or set `placed_by: offset`"),
            );
        }
    }
    let gears = file.mating.speedometer.as_ref();
    if gears.is_none_or(|g| g.values().is_some_and(|g| g.pair().is_none())) {
        let message = "`mating.speedometer` does not give module, helix angles and hands".to_owned();
        out.add(
            error(NO_GEARS, &boss.placed_by, message)
                .hint("give module, drive_helix, driven_helix, drive_hand and driven_hand there"),
        );
    }
    let (_, lean) = gears?.values()?.place(true)?;
    if lean.get().abs() > 45.0 {
        out.add(
            error(STEEP, &boss.placed_by, format!("the gears' shaft angle tilts the boss by {lean}"))
                .allowed("up to 45 deg from square to the shaft")
                .because("at a larger tilt the boss would lie along the shell")
                .hint(
                    "check both hands: helix angles of the same hand add up, those of opposite hands do not",
                ),
        );
    }
    Some(())
}
