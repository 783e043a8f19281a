//! Gussets behind the flange and the relief of its face: on flange and shell, out of the bolts' way.

use super::{Verdicts, above, apart, error};
use crate::design::gearbox_face::placed_holes;
use crate::finding::Code;
use crate::params::schema::{File, FlangeGussets, RawRelief};
use crate::units::{Deg, Mm};

const OFF_SHELL: Code = Code::new("D140", "gusset does not end on the shell");
const OFF_FLANGE: Code = Code::new("D141", "gusset's crest off the flange's back");
const BEFORE_BOLT: Code = Code::new("D142", "gusset in the way of a bolt");
const TIP: Code = Code::new("D143", "gusset's tip cannot take its corner radius");
const RELIEF_PLACE: Code = Code::new("D144", "relief not between register and rim");
const RELIEF_BOLTS: Code = Code::new("D145", "relief under a bolt");
const RELIEF_DEEP: Code = Code::new("D146", "relief too deep for the flange");

pub(super) const CODES: &[Code] =
    &[OFF_SHELL, OFF_FLANGE, BEFORE_BOLT, TIP, RELIEF_PLACE, RELIEF_BOLTS, RELIEF_DEEP];

/// Least length of a gusset behind the flange; shorter, it stiffens nothing.
const SHORTEST: Mm = Mm::new(5.0);

/// Land that a gasket needs on each side of a relief, shop practice.
const LAND: Mm = Mm::new(2.0);

/// How far a gusset's crest stays inside the rim.
const RIM: Mm = Mm::new(1.0);

/// Largest share of the flange's thickness that a relief may take, shop practice.
const DEEPEST: f64 = 0.25;

pub(super) fn check(file: &File, out: &mut Verdicts) {
    for set in &file.gearbox_face.gussets.items {
        on_shell(file, set, out);
        on_flange(file, set, out);
        beside_bolts(file, set, out);
        tip(set, out);
    }
    if let Some(relief) = &file.gearbox_face.relief {
        between(file, relief, out);
        clear_of_bolts(file, relief, out);
        shallow(file, relief, out);
    }
}

fn on_shell(file: &File, set: &FlangeGussets, out: &mut Verdicts) -> Option<()> {
    let (to, flange) = (set.to.get()?, file.gearbox_face.flange.thickness.get()?);
    let end = out.outside.last()?.0;
    if above(flange + SHORTEST, to) || above(to, end) {
        let (own, from, to) = (out.mm(to), out.mm(flange + SHORTEST), out.mm(end));
        out.add(
            error(OFF_SHELL, &set.to, format!("the gusset's tip is at station {own}"))
                .allowed(format!("{from} to {to}, on the shell behind the flange")),
        );
    }
    Some(())
}

fn on_flange(file: &File, set: &FlangeGussets, out: &mut Verdicts) -> Option<()> {
    let (own, to) = (set.outer_radius.get()?, set.to.get()?);
    let flange = file.gearbox_face.flange.thickness.get()?;
    let inside = out.outside.iter().filter(|p| p.0 > flange && p.0 < to).map(|p| p.1);
    let ends = [flange, to].into_iter().filter_map(|x| out.outside_at(x));
    let least = ends.chain(inside).reduce(Mm::max)? + set.tip.get()?;
    let most = file.gearbox_face.flange.diameter.get()? / 2.0 - RIM;
    if !above(own, least) || above(own, most) {
        let (own, least, most) = (out.mm(own), out.mm(least), out.mm(most));
        out.add(
            error(OFF_FLANGE, &set.outer_radius, format!("the crest starts {own} from the shaft axis"))
                .allowed(format!("above {least}, at most {most}: outside the shell, inside the rim"))
                .because("a gusset ties the flange's back to the shell"),
        );
    }
    Some(())
}

fn beside_bolts(file: &File, set: &FlangeGussets, out: &mut Verdicts) -> Option<()> {
    let (outer, half) = (set.outer_radius.get()?, set.thickness.get()? / 2.0);
    let count = set.count.get()?;
    let holes = placed_holes(&file.gearbox_face);
    for i in 0..count {
        let clock = set.first_clock.get()? + Deg::new(360.0) * (f64::from(i) / f64::from(count));
        let (sin, cos) = clock.sin_cos();
        for hole in holes.iter().map(|placed| &placed.hole) {
            // A bolt head's radius is about two hole radii, unless a spot face gives it.
            let head = hole.spot_face().map_or(hole.diameter() * 0.9, |spot| spot.diameter / 2.0);
            let along = hole.y() * sin + hole.z() * cos;
            let across = (hole.y() * cos - hole.z() * sin).abs();
            if above(along, Mm::new(0.0)) && above(outer + head, along) && above(half + head, across) {
                let (own, limit) = (out.mm(across - half), out.mm(head));
                let message = format!("gusset {} comes within {own} of {}", i + 1, hole.name());
                out.add(
                    error(BEFORE_BOLT, &set.outer_radius, message)
                        .beside(set.first_clock.place(), "the set's first clock angle")
                        .allowed(format!("{limit} or more, half a bolt's head or its spot face"))
                        .because("the bolt could not be turned")
                        .hint("turn the set, or let the crest start further in"),
                );
                return None;
            }
        }
    }
    Some(())
}

fn tip(set: &FlangeGussets, out: &mut Verdicts) -> Option<()> {
    let (own, tip) = (set.tip_radius.get()?, set.tip.get()?);
    if above(own, tip) {
        let (own, limit) = (out.mm(own), out.mm(tip));
        out.add(
            error(TIP, &set.tip_radius, format!("a tip of {limit} cannot take a corner of {own}"))
                .allowed(format!("at most {limit}"))
                .beside(set.tip.place(), "the tip's height"),
        );
    }
    Some(())
}

fn between(file: &File, relief: &RawRelief, out: &mut Verdicts) -> Option<()> {
    let (inner, outer) = (relief.inner_diameter.get()?, relief.outer_diameter.get()?);
    let register = file.gearbox_face.register.diameter.get()?.max(out.cavity_at(Mm::new(0.0))? * 2.0);
    let least = register + LAND * 2.0;
    let most = file.gearbox_face.flange.diameter.get()? - LAND * 2.0;
    if above(least, inner) {
        let (own, limit) = (out.mm(inner), out.mm(least));
        out.add(
            error(RELIEF_PLACE, &relief.inner_diameter, format!("its inner diameter is {own}"))
                .allowed(format!("{limit} or more: 2 mm of face outside the register"))
                .because("the gasket seals there"),
        );
    } else if above(inner + LAND, outer) || above(outer, most) {
        let (own, least, most) = (out.mm(outer), out.mm(inner + LAND), out.mm(most));
        out.add(
            error(RELIEF_PLACE, &relief.outer_diameter, format!("its outer diameter is {own}"))
                .allowed(format!("{least} to {most}: 2 mm of face inside the rim"))
                .because("the flange bears on its rim"),
        );
    }
    Some(())
}

fn clear_of_bolts(file: &File, relief: &RawRelief, out: &mut Verdicts) -> Option<()> {
    let (inner, outer) = (relief.inner_diameter.get()? / 2.0, relief.outer_diameter.get()? / 2.0);
    let zero = Mm::new(0.0);
    for hole in placed_holes(&file.gearbox_face).iter().map(|placed| &placed.hole) {
        let (at, reach) = (apart((hole.y(), hole.z()), (zero, zero)), hole.diameter() / 2.0 + LAND);
        if above(outer, at - reach) && above(at + reach, inner) {
            let (from, to) = (out.mm(at - reach), out.mm(at + reach));
            out.add(
                error(RELIEF_BOLTS, &relief.outer_diameter, format!("it reaches {}", hole.name()))
                    .allowed(format!("radii below {from} or above {to}: 2 mm of face around each bolt"))
                    .because("the flange would bend over the recess when the bolt is drawn tight"),
            );
            return None;
        }
    }
    Some(())
}

fn shallow(file: &File, relief: &RawRelief, out: &mut Verdicts) -> Option<()> {
    let (own, limit) = (relief.depth.get()?, file.gearbox_face.flange.thickness.get()? * DEEPEST);
    if above(own, limit) {
        let (own, limit) = (out.mm(own), out.mm(limit));
        out.add(
            error(RELIEF_DEEP, &relief.depth, format!("it is {own} deep"))
                .allowed(format!("at most {limit}, a quarter of the flange's thickness"))
                .because("the flange must stay stiff"),
        );
    }
    Some(())
}
