//! Ribs: on the housing, the right way round, out of the shell, no thicker than sand casting allows.

use super::{Verdicts, above, error, warning};
use crate::finding::Code;
use crate::params::Parameter;
use crate::params::schema::{File, LongitudinalRibs, RawRingRib};
use crate::units::Mm;

const ORDER: Code = Code::new("D080", "rib ends ahead of its start");
const OFF_SHELL: Code = Code::new("D081", "rib beyond the shell");
const BURIED: Code = Code::new("D082", "rib inside the shell");
const THICK: Code = Code::new("D083", "rib thicker than the wall");

pub(super) const CODES: &[Code] = &[ORDER, OFF_SHELL, BURIED, THICK];

/// Shortest rib; anything shorter is a boss rather than a rib.
const SHORTEST: Mm = Mm::new(5.0);

/// How far a rib may be thicker than the wall before its root shrinks hollow; handbooks, from memory: ribs of 0.6 to
/// 1.0 walls.
const THICKEST: f64 = 1.5;

pub(super) fn check(file: &File, out: &mut Verdicts) {
    let Some(ribs) = &file.ribs else { return };
    for set in &ribs.longitudinal.items {
        along(set, out);
        thick(file, &set.thickness, out);
    }
    for ring in &ribs.rings.items {
        around(ring, out);
        thick(file, &ring.thickness, out);
    }
}

fn along(set: &LongitudinalRibs, out: &mut Verdicts) -> Option<()> {
    let (from, to) = (set.from.get()?, set.to.get()?);
    if above(from + SHORTEST, to) {
        let (own, limit) = (out.mm(to), out.mm(from + SHORTEST));
        out.add(
            error(ORDER, &set.to, format!("the rib ends at {own}"))
                .allowed(format!("{limit} or more"))
                .beside(set.from.place(), "where it starts")
                .because("a rib runs from front to back, and has some length"),
        );
        return None;
    }
    on_shell(&set.from, from, out)?;
    on_shell(&set.to, to, out)?;
    let inside = out.outside.iter().map(|&(x, _)| x).filter(|&x| x > from && x < to);
    let shell = [from, to].into_iter().chain(inside).filter_map(|x| out.outside_at(x)).reduce(Mm::max)?;
    clear(&set.outer_radius, shell, out)
}

fn around(ring: &RawRingRib, out: &mut Verdicts) -> Option<()> {
    let station = ring.station.get()?;
    on_shell(&ring.station, station - ring.thickness.get()?, out)?;
    on_shell(&ring.station, station + ring.thickness.get()?, out)?;
    clear(&ring.outer_radius, out.outside_at(station)?, out)
}

/// An end at this station has shell under it.
fn on_shell(slot: &Parameter<Mm>, x: Mm, out: &mut Verdicts) -> Option<()> {
    let end = out.outside.last()?.0;
    if above(Mm::new(0.0), x) || above(x, end) {
        let (own, limit) = (out.mm(x), out.mm(end));
        out.add(
            error(OFF_SHELL, slot, format!("the rib reaches station {own}"))
                .allowed(format!("0 to {limit}, where the shell ends"))
                .because("a rib stands on the shell"),
        );
        return None;
    }
    Some(())
}

fn clear(outer: &Parameter<Mm>, shell: Mm, out: &mut Verdicts) -> Option<()> {
    let radius = outer.get()?;
    if !above(radius, shell) {
        let (own, limit) = (out.mm(radius), out.mm(shell));
        out.add(
            error(BURIED, outer, format!("the rib's crest lies {own} from the axis"))
                .allowed(format!("above {limit}, the shell's outside radius under it"))
                .because("the rib would lie entirely inside the shell"),
        );
    }
    Some(())
}

fn thick(file: &File, thickness: &Parameter<Mm>, out: &mut Verdicts) -> Option<()> {
    let limit = file.shell.wall.get()? * THICKEST;
    if above(thickness.get()?, limit) {
        let (own, limit) = (out.mm(thickness.get()?), out.mm(limit));
        out.add(
            warning(THICK, thickness, format!("the rib is {own} thick"))
                .allowed(format!("up to {limit}: 1.5 walls"))
                .because("a thick root freezes last and shrinks hollow")
                .from_source("common practice"),
        );
    }
    Some(())
}
