//! The trial print: flange and uncut ends on the printer.
//!
//! They concern the trial print only. They are errors where the file itself asks for a trial print, and warnings
//! where it only names a printer; a printer that is merely assumed gives no finding.

use super::{Verdicts, above, error, warning};
use crate::finding::{Code, Scope};
use crate::params::schema::{File, Form, RawTrialPrint, RegisterKind};
use crate::params::{Origin, Parameter};
use crate::standards::printing::drawn_length;
use crate::units::Mm;

const BED: Code = Code::new("D160", "flange larger than the printer's bed").about(Scope::TrialPrint);
const LOW: Code = Code::new("D161", "printer too low for an end that is not cut").about(Scope::TrialPrint);

pub(super) const CODES: &[Code] = &[BED, LOW];

pub(super) fn check(file: &File, out: &mut Verdicts) {
    flange_on_bed(file, out);
    ends(file, out);
}

/// Pieces stand on end, so that the flange, or its half, lies flat.
fn flange_on_bed(file: &File, out: &mut Verdicts) -> Option<()> {
    let print = &file.trial_print;
    let size = drawn(print, file.gearbox_face.flange.diameter.get()?)?;
    let (across, hint) = if print.half_section.get()? {
        (size / 2.0, "half a flange lies along the longer side; set a larger printer")
    } else {
        (size, "a disc fits no better when turned on the bed; set a larger printer, or print a half section")
    };
    let sides = (print.bed_length.get()?, print.bed_width.get()?);
    let (long, short) = if above(sides.1, sides.0) {
        (&print.bed_width, &print.bed_length)
    } else {
        (&print.bed_length, &print.bed_width)
    };
    for (side, size) in [(long, size), (short, across)] {
        let least = size + print.margin.get()? * 2.0;
        if above(least, side.get()?) {
            let (own, least) = (out.mm(side.get()?), out.mm(least));
            let message = format!("a bed of {own} does not hold the flange and its margins");
            report(file, BED, side, (message, least, hint), out);
            return Some(());
        }
    }
    Some(())
}

/// Register and flange stay in one piece, and so do bushing seat and seal.
fn ends(file: &File, out: &mut Verdicts) -> Option<()> {
    let (print, face, tail) = (&file.trial_print, &file.gearbox_face, &file.tail);
    let spigot = match face.register.kind.get()? {
        RegisterKind::Spigot => face.register.length.get()?,
        RegisterKind::Recess => Mm::new(0.0),
    };
    let front = face.flange.thickness.get()? + spigot;
    let rear = tail.bushing.length.get()? + tail.seal.depth.get()?;
    let least = drawn(print, front.max(rear))? + print.margin.get()? * 2.0;
    if above(least, print.bed_height.get()?) {
        let (own, least) = (out.mm(print.bed_height.get()?), out.mm(least));
        let which = if above(front, rear) { "register and flange" } else { "bushing seat and seal" };
        let message = format!("a height of {own} does not hold {which}, which are printed in one piece");
        report(
            file,
            LOW,
            &print.bed_height,
            (message, least, "set a taller printer, or a smaller margin"),
            out,
        );
    }
    Some(())
}

/// A length as printed: larger by the plastic's shrink.
fn drawn(print: &RawTrialPrint, length: Mm) -> Option<Mm> {
    drawn_length(length.get(), print.shrink.get()?.share()).ok().map(Mm::new)
}

/// A finding about the printer: its message, the least size that would do, and a hint.
fn report(
    file: &File,
    code: Code,
    slot: &Parameter<Mm>,
    (message, least, hint): (String, String, &str),
    out: &mut Verdicts,
) {
    let print = &file.trial_print;
    let sizes = [&print.bed_length, &print.bed_width, &print.bed_height, &print.margin];
    let asked = file.forms.get().is_some_and(|forms| forms.contains(&Form::TrialPrint));
    let finding = if asked {
        error(code, slot, message).hint(hint).hint("or leave `trial-print` out of `forms`")
    } else if sizes.iter().any(|size| size.origin() == Origin::Given) {
        warning(code, slot, message).hint(hint)
    } else {
        return;
    };
    let finding = finding.allowed(format!("{least} or more"));
    let place = if slot.origin() == Origin::Given { slot.place() } else { file.forms.place() };
    out.add(finding.at(place));
}
