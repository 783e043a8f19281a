//! The mould: a vent within its core, and holes that stock does not fill.

use super::{Verdicts, above, error, warning};
use crate::finding::{Code, Scope};
use crate::params::schema::{FedFeature, File};
use crate::params::{Origin, Parameter};
use crate::units::{Mm, Percent};

const VENT: Code = Code::new("D162", "vent as wide as the core").about(Scope::Core);
const FILLED: Code = Code::new("D163", "stock fills holes that are to be cored");

const TINY: Code = Code::new("D169", "contraction of less than a thousandth");

/// Least contraction of any alloy, per cent; a smaller value is most likely a fraction written as a bare number.
const LEAST_PERCENT: f64 = 0.1;

const FED: Code = Code::new("D164", "feeder agreed for a feature that the file does not have");

const HEAVY: Code = Code::new("D165", "density of another metal");

/// Alloys of one kind differ by less than this share of their density: aluminium casting alloys lie between 2,600 and 2,800 kg/m³, cast irons
/// between 6,900 and 7,400 (handbooks, from memory).
const OF_ONE_KIND: f64 = 0.1;

pub(super) const CODES: &[Code] = &[VENT, FILLED, TINY, FED, HEAVY];

pub(super) fn check(file: &File, out: &mut Verdicts) {
    vent(file, out);
    filled(file, out);
    fed(file, out);
    heavy(file, out);
    for slot in [&file.casting.contraction.axial, &file.casting.contraction.radial] {
        tiny(slot, out);
    }
}

/// Reports features that are to be fed and are not there: most likely another one is meant.
fn fed(file: &File, out: &mut Verdicts) -> Option<()> {
    let slot = &file.casting.fed;
    for feature in slot.get()? {
        let (there, key) = match feature {
            FedFeature::GearboxFace | FedFeature::Tail => (true, ""),
            FedFeature::ShiftBoxPad => (file.shift_box_pad.is_some(), "shift_box_pad"),
            FedFeature::MountPad => (file.mount_pad.is_some(), "mount_pad"),
            FedFeature::SecondMountPad => (file.second_mount_pad.is_some(), "second_mount_pad"),
            FedFeature::SenderBoss => (file.sender_boss.is_some(), "sender_boss"),
            FedFeature::Plugs => (!file.plugs.items.is_empty(), "plugs"),
        };
        if !there {
            out.add(
                warning(FED, slot, format!("the file has no `{key}` that a feeder could feed"))
                    .because("its thick places would be excused without being there")
                    .hint(format!("remove `{key}` from the list, or add its section")),
            );
        }
    }
    Some(())
}

/// Reports a density that no alloy of the kind has: most likely the alloy was changed, and the density stayed.
fn heavy(file: &File, out: &mut Verdicts) -> Option<()> {
    let slot = &file.casting.density;
    let density = slot.get().filter(|_| slot.origin() == Origin::Given)?;
    let alloy = file.casting.alloy.get()?;
    let off = (density.get() / alloy.density.get() - 1.0).abs();
    if off > OF_ONE_KIND {
        out.add(
            warning(HEAVY, slot, format!("it is {density}, and {} has {}", alloy.title, alloy.density))
                .beside(file.casting.alloy.place(), "the alloy")
                .because("masses, feeders and the metal poured are computed from it")
                .hint("leave `density` away for the alloy's own, or name the alloy that is poured"),
        );
    }
    Some(())
}

/// Reports a fraction where per cent is meant.
fn tiny(slot: &Parameter<Percent>, out: &mut Verdicts) -> Option<()> {
    let percent = slot.get().filter(|_| slot.origin() == Origin::Given)?.get();
    if percent > 0.0 && percent < LEAST_PERCENT {
        let meant = format!("{} %", (percent * 1e4).round() / 1e2);
        out.add(
            error(TINY, slot, format!("it is {percent} %, less than the contraction of any alloy"))
                .allowed(format!("0, or from {LEAST_PERCENT} %"))
                .because(format!("a bare number is in per cent: write the fraction {percent} as {meant}")),
        );
    }
    Some(())
}

/// The vent runs through the core from end to end.
fn vent(file: &File, out: &mut Verdicts) -> Option<()> {
    let (vent, least) = (&file.casting.prints.vent, file.casting.stock.cored_above.get()?);
    let cavity = file.shell.cavity.items.iter().filter_map(|station| station.diameter.get());
    let stop = file.tail.bushing.stop_bore.get().filter(|bore| !above(least, *bore));
    let narrowest = cavity.chain(stop).reduce(Mm::min)?;
    if !above(narrowest, vent.get()?) {
        let (own, limit) = (out.mm(vent.get()?), out.mm(narrowest));
        out.add(
            error(VENT, vent, format!("its diameter is {own}, the core's at its narrowest {limit}"))
                .allowed(format!("below {limit}"))
                .because("no sand would be left around it"),
        );
    }
    Some(())
}

/// A cored hole is smaller than the machined one by the stock on either side.
fn filled(file: &File, out: &mut Verdicts) -> Option<()> {
    let stock = &file.casting.stock;
    let (cored, both) = (&stock.cored_above, stock.all.get()? * 2.0);
    if !above(cored.get()?, both) {
        let (own, limit) = (out.mm(cored.get()?), out.mm(both));
        let place = if cored.origin() == Origin::Given { cored.place() } else { stock.all.place() };
        out.add(
            warning(FILLED, cored, format!("holes from {own} are cored, and stock fills them up to {limit}"))
                .at(place)
                .beside(stock.all.place(), "the stock on every machined face")
                .allowed(format!("above {limit}"))
                .because("a hole that stock fills is cast solid and drilled anyway"),
        );
    }
    Some(())
}
