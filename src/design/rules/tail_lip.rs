//! The dust recess or lip: around the seal's mouth, inside the ring, shallower than the seal.

use super::{Slot, Verdicts, above, error, error_of_given};
use crate::finding::Code;
use crate::params::schema::{DustLipKind, File};
use crate::units::Mm;

const OFF_MOUTH: Code = Code::new("D118", "dust lip not between seal and ring");
const DEEP: Code = Code::new("D119", "dust lip as deep as the seal");

pub(super) const CODES: &[Code] = &[OFF_MOUTH, DEEP];

/// Least width of a lip or of the rim around a recess; thinner breaks off, shop practice.
const RIM: Mm = Mm::new(1.5);

pub(super) fn check(file: &File, out: &mut Verdicts) {
    around_mouth(file, out);
    shallow(file, out);
}

fn around_mouth(file: &File, out: &mut Verdicts) -> Option<()> {
    let (lip, seal) = (file.tail.dust_lip.as_ref()?, &file.tail.seal);
    let mouth = seal.counterbore.get()? + seal.lead_in.get()? * seal.lead_in_angle.get()?.tan() * 2.0;
    let least = match lip.kind.get()? {
        DustLipKind::Recess => mouth,
        DustLipKind::Lip => mouth + RIM * 2.0,
    };
    let (own, most) = (lip.diameter.get()?, file.tail.outside_diameter.get()? - RIM * 2.0);
    if !above(own, least) || above(own, most) {
        let (own, least, most) = (out.mm(own), out.mm(least), out.mm(most));
        out.add(
            error(OFF_MOUTH, &lip.diameter, format!("its diameter is {own}"))
                .allowed(format!("above {least}, at most {most}"))
                .because("it lies between the seal's mouth and the ring's outside, with a rim that holds"),
        );
    }
    Some(())
}

fn shallow(file: &File, out: &mut Verdicts) -> Option<()> {
    let (lip, seal) = (file.tail.dust_lip.as_ref()?, &file.tail.seal);
    let room = match lip.kind.get()? {
        DustLipKind::Recess => seal.depth.get()? - seal.lead_in.get()?,
        DustLipKind::Lip => seal.depth.get()?,
    };
    if !above(room, lip.depth.get()?) {
        let (own, limit) = (out.mm(lip.depth.get()?), out.mm(room));
        let slots =
            [Slot::of(&lip.depth), Slot::of(&seal.depth), Slot::of(&seal.lead_in), Slot::of(&seal.width)];
        out.add(
            error_of_given(DEEP, &slots, format!("it is {own} deep"))
                .allowed(format!("below {limit}, what the seal counterbore leaves"))
                .because("the seal needs its seat"),
        );
    }
    Some(())
}
