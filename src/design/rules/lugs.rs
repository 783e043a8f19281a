//! Lugs of the flange: around their holes, out beyond the base ring, rooted in it.

use super::{Verdicts, above, apart, error};
use crate::design::gearbox_face::{PlacedHole, placed_holes};
use crate::finding::{Code, Finding};
use crate::params::Origin;
use crate::params::schema::{File, FlangeKind};
use crate::units::Mm;

const NO_METAL: Code = Code::new("D014", "bolt hole as large as its lug");
const WITHIN: Code = Code::new("D015", "lug does not stand out from the base ring");
const WIDE: Code = Code::new("D016", "lug root wider than the base ring");
const OF_DISC: Code = Code::new("D017", "lug sizes given for a disc");

pub(super) const CODES: &[Code] = &[NO_METAL, WITHIN, WIDE, OF_DISC];

/// Least distance a lug stands out from the base ring. A lug that only grazes the ring leaves a sharp sliver of sand
/// in the mould; shop practice.
const STAND_OUT: Mm = Mm::new(0.5);

/// Largest width of a root in diameters of the base ring; wider, its corners come too near the rim.
const ROOT_SHARE: f64 = 0.9;

pub(super) fn check(file: &File, out: &mut Verdicts) {
    let flange = &file.gearbox_face.flange;
    match flange.kind.get() {
        Some(FlangeKind::Lugs) => {
            root(file, out);
            for placed in placed_holes(&file.gearbox_face) {
                if around(file, &placed, out).is_some() {
                    return; // the other holes would only repeat this
                }
            }
        }
        Some(FlangeKind::Disc) => {
            for slot in [&flange.lug.radius, &flange.lug.root_width] {
                if slot.origin() == Origin::Given {
                    out.add(
                        error(OF_DISC, slot, "the flange is a disc, which has no lugs".to_owned())
                            .beside(flange.kind.place(), "the flange's kind")
                            .hint("set `gearbox_face.flange.kind: lugs`, or remove this key"),
                    );
                }
            }
        }
        None => {}
    }
}

fn root(file: &File, out: &mut Verdicts) -> Option<()> {
    let flange = &file.gearbox_face.flange;
    let (width, ring) = (flange.lug.root_width.get()?, flange.diameter.get()?);
    if above(width, ring * ROOT_SHARE) {
        let (own, limit) = (out.mm(width), out.mm(ring * ROOT_SHARE));
        out.add(
            error(WIDE, &flange.lug.root_width, format!("the lug's root is {own} wide"))
                .allowed(format!("at most {limit}: 0.9 of the base ring's diameter"))
                .because("the lug's corners would stand out of the base ring"),
        );
    }
    Some(())
}

/// Adds the finding for one lug, if it has a fault.
fn around(file: &File, placed: &PlacedHole, out: &mut Verdicts) -> Option<()> {
    let flange = &file.gearbox_face.flange;
    let (radius, hole) = (flange.lug.radius.get()?, &placed.hole);
    if !above(radius * 2.0, hole.diameter()) {
        let (own, limit) = (out.mm(radius), out.mm(hole.diameter() / 2.0));
        out.add(
            error(
                NO_METAL,
                &flange.lug.radius,
                format!("the lug's radius is {own}, that of its hole {limit}"),
            )
            .allowed(format!("above {limit}"))
            .because("the hole would be open at the rim"),
        );
        return Some(());
    }
    let zero = Mm::new(0.0);
    let reach = apart((hole.y(), hole.z()), (zero, zero)) + radius;
    let needed = flange.diameter.get()? / 2.0 + STAND_OUT;
    if above(needed, reach) {
        let message = format!("the lug of {} reaches {} from the axis", hole.name(), out.mm(reach));
        let finding = Finding::error(WITHIN, &placed.path, message)
            .at(placed.place)
            .allowed(format!("{} or more", out.mm(needed)))
            .beside(flange.diameter.place(), "the base ring's diameter")
            .because("a lug must reach beyond the base ring")
            .hint("make the base ring smaller, or the flange a disc");
        out.add(finding);
        return Some(());
    }
    None
}
