//! Plugs: over the cavity, out of the shell, with metal around the thread.

use super::{Verdicts, above, error};
use crate::finding::Code;
use crate::params::schema::{File, RawPlug};
use crate::units::Mm;

const OFF_CAVITY: Code = Code::new("D100", "plug beyond the cavity");
const BURIED: Code = Code::new("D101", "plug face inside the shell");
const NO_WALL: Code = Code::new("D102", "plug boss too small for its thread");

pub(super) const CODES: &[Code] = &[OFF_CAVITY, BURIED, NO_WALL];

/// Wall around a thread below which a boss splits when the plug is tightened, shop practice.
const WALL: Mm = Mm::new(2.5);

pub(super) fn check(file: &File, out: &mut Verdicts) {
    for plug in &file.plugs.items {
        over_cavity(plug, out);
        wall(plug, out);
    }
}

fn over_cavity(plug: &RawPlug, out: &mut Verdicts) -> Option<()> {
    let (x, hole) = (plug.station.get()?, plug.thread.get()?.tap_drill / 2.0);
    let end = out.cavity.last()?.0;
    if above(hole, x) || above(x + hole, end) {
        let (own, from, to) = (out.mm(x), out.mm(hole), out.mm(end - hole));
        out.add(
            error(OFF_CAVITY, &plug.station, format!("the plug's axis is at station {own}"))
                .allowed(format!("{from} to {to}, where its hole opens into the cavity")),
        );
        return None;
    }
    let half = plug.diameter.get()? / 2.0;
    let shell = [x - half, x, x + half].into_iter().filter_map(|x| out.outside_at(x)).reduce(Mm::max)?;
    if !above(plug.height.get()?, shell) {
        let (own, limit) = (out.mm(plug.height.get()?), out.mm(shell));
        out.add(
            error(BURIED, &plug.height, format!("the boss's end lies {own} from the axis"))
                .allowed(format!("above {limit}, the shell's outside radius under the boss"))
                .because("the end must stand clear of the shell to be machined"),
        );
    }
    Some(())
}

fn wall(plug: &RawPlug, out: &mut Verdicts) -> Option<()> {
    let needed = plug.thread.get()?.diameter + WALL * 2.0;
    if above(needed, plug.diameter.get()?) {
        let (own, limit) = (out.mm(plug.diameter.get()?), out.mm(needed));
        out.add(
            error(NO_WALL, &plug.diameter, format!("the boss is {own} in diameter"))
                .allowed(format!("{limit} or more: the thread and 2.5 mm around it"))
                .because("the boss would split when the plug is tightened"),
        );
    }
    Some(())
}
