//! The shift rail's tube: the right way round, on the housing and the shell, its bore inside it.

use super::{Verdicts, above, apart, error, warning};
use crate::finding::{Code, Scope};
use crate::params::schema::{File, RailForm, RawRailTube};
use crate::units::Mm;

const ORDER: Code = Code::new("D090", "rail tube ends ahead of its start");
const OFF_HOUSING: Code = Code::new("D091", "rail tube beyond the end of the housing");
const NO_WALL: Code = Code::new("D092", "rail bore as large as its tube");
const THIN_WALL: Code = Code::new("D093", "thin wall around the rail bore").about(Scope::Limits);
const BORE_ENDS: Code = Code::new("D094", "rail bore beyond its tube");
const BURIED: Code = Code::new("D095", "rail tube inside the shell");
const APART: Code = Code::new("D096", "rail tube stands clear of the shell");

pub(super) const CODES: &[Code] = &[ORDER, OFF_HOUSING, NO_WALL, THIN_WALL, BORE_ENDS, BURIED, APART];

/// Wall around a bore below which a sand casting comes out porous, shop practice.
const THIN: Mm = Mm::new(4.0);

/// Shortest bore and tube.
const SHORTEST: Mm = Mm::new(5.0);

pub(super) fn check(file: &File, out: &mut Verdicts) {
    let Some(rail) = &file.rail_tube else { return };
    wall(rail, out);
    bore_ends(rail, out);
    if lengthwise(file, rail, out).is_some() {
        beside_shell(rail, out);
    }
}

fn wall(rail: &RawRailTube, out: &mut Verdicts) -> Option<()> {
    let (bore, outside) = (rail.bore.get()?, rail.outside_diameter.get()?);
    let (own, limit) = (out.mm(bore), out.mm(outside));
    if !above(outside, bore) {
        out.add(
            error(NO_WALL, &rail.bore, format!("the bore's {own} leaves nothing of a tube of {limit}"))
                .allowed(format!("below {limit}"))
                .beside(rail.outside_diameter.place(), "the tube's diameter"),
        );
    } else if above(THIN, (outside - bore) / 2.0) {
        let wall = out.mm((outside - bore) / 2.0);
        out.add(
            warning(THIN_WALL, &rail.bore, format!("only {wall} of wall is left around the bore"))
                .allowed(format!("{} or more", out.mm(THIN)))
                .because("a thin wall around a bored hole comes out porous")
                .from_source("common practice"),
        );
    }
    Some(())
}

fn bore_ends(rail: &RawRailTube, out: &mut Verdicts) -> Option<()> {
    let (from, to) = (rail.from.get()?, rail.to.get()?);
    let (start, end) = (rail.bore_from.get()?, rail.bore_to.get()?);
    let faults = [
        (above(from, start), &rail.bore_from, start, format!("{} or more", out.mm(from))),
        (above(end, to), &rail.bore_to, end, format!("at most {}", out.mm(to))),
        (
            above(start + SHORTEST, end) && !above(end, to) && above(to, from),
            &rail.bore_to,
            end,
            format!("{} or more", out.mm(start + SHORTEST)),
        ),
    ];
    for (_, slot, own, allowed) in faults.into_iter().filter(|fault| fault.0) {
        let own = out.mm(own);
        out.add(
            error(BORE_ENDS, slot, format!("the bore's end is at {own}"))
                .allowed(allowed)
                .because("the bore runs from front to back inside the tube"),
        );
    }
    Some(())
}

fn lengthwise(file: &File, rail: &RawRailTube, out: &mut Verdicts) -> Option<()> {
    let (from, to) = (rail.from.get()?, rail.to.get()?);
    if above(from + SHORTEST, to) {
        let (own, limit) = (out.mm(to), out.mm(from + SHORTEST));
        out.add(
            error(ORDER, &rail.to, format!("the tube ends at {own}"))
                .allowed(format!("{limit} or more"))
                .beside(rail.from.place(), "where it starts"),
        );
        return None;
    }
    let rear = file.housing.overall_length.get()?;
    if above(to, rear) {
        let (own, limit) = (out.mm(to), out.mm(rear));
        out.add(
            error(OFF_HOUSING, &rail.to, format!("the tube reaches station {own}"))
                .allowed(format!("at most {limit}, the overall length")),
        );
        return None;
    }
    Some(())
}

fn beside_shell(rail: &RawRailTube, out: &mut Verdicts) -> Option<()> {
    let zero = Mm::new(0.0);
    let distance = apart((rail.y.get()?, rail.z.get()?), (zero, zero));
    let radius = rail.outside_diameter.get()? / 2.0;
    let ends = [rail.from.get()?, rail.to.get()?];
    let shell: Vec<Mm> = ends.into_iter().filter_map(|x| out.outside_at(x)).collect();
    let narrowest = shell.iter().copied().reduce(Mm::min)?;
    let widest = shell.iter().copied().reduce(Mm::max)?;
    if !above(distance + radius, narrowest) {
        let (own, limit) = (out.mm(distance + radius), out.mm(narrowest));
        out.add(
            error(BURIED, &rail.z, format!("the tube reaches {own} from the shaft axis"))
                .allowed(format!("above {limit}, the shell's outside radius"))
                .because("the tube would lie entirely inside the shell"),
        );
    }
    if rail.form.get()? == RailForm::Tube && !above(widest, distance - radius) {
        let (own, limit) = (out.mm(distance - radius), out.mm(widest));
        out.add(
            error(APART, &rail.z, format!("the tube's near side lies {own} from the shaft axis"))
                .allowed(format!("below {limit}, the shell's outside radius"))
                .because("nothing would hold the tube along the shell")
                .hint("move it inwards, or set `rail_tube.form: hump`"),
        );
    }
    Some(())
}
