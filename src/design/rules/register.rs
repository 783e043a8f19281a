//! The register: inside the flange, with metal between it and the cavity, and room for its lead-in.

use super::{Verdicts, above, error};
use crate::finding::Code;
use crate::params::schema::{File, RegisterKind};
use crate::units::Mm;

const LARGE: Code = Code::new("D010", "register larger than the flange");
const NO_WALL: Code = Code::new("D011", "no metal between register and cavity");
const DEEP: Code = Code::new("D012", "recess through the flange");
const LEAD_IN: Code = Code::new("D013", "lead-in leaves nothing of the register");

pub(super) const CODES: &[Code] = &[LARGE, NO_WALL, DEEP, LEAD_IN];

pub(super) fn check(file: &File, out: &mut Verdicts) {
    inside_flange(file, out);
    around_cavity(file, out);
    shallow(file, out);
    lead_in(file, out);
}

fn inside_flange(file: &File, out: &mut Verdicts) -> Option<()> {
    let (register, flange) = (&file.gearbox_face.register.diameter, &file.gearbox_face.flange.diameter);
    if !above(flange.get()?, register.get()?) {
        let (own, limit) = (out.mm(register.get()?), out.mm(flange.get()?));
        out.add(
            error(LARGE, register, format!("the register's {own} is not smaller than the flange's {limit}"))
                .allowed(format!("below {limit}"))
                .beside(flange.place(), "the flange's diameter")
                .because("the face that takes the gasket lies between the two"),
        );
    }
    Some(())
}

fn around_cavity(file: &File, out: &mut Verdicts) -> Option<()> {
    let register = &file.gearbox_face.register.diameter;
    let cavity = out.cavity_at(Mm::new(0.0))?;
    if !above(register.get()? / 2.0, cavity) {
        let (own, limit) = (out.mm(register.get()?), out.mm(cavity * 2.0));
        let why = match file.gearbox_face.register.kind.get()? {
            RegisterKind::Spigot => "the spigot is a ring around the cavity",
            RegisterKind::Recess => "the recess needs a shoulder around the cavity",
        };
        out.add(
            error(NO_WALL, register, format!("the register's {own} is not larger than the cavity's {limit}"))
                .allowed(format!("above {limit}"))
                .because(why)
                .hint("enlarge the register or narrow the first cavity station"),
        );
    }
    Some(())
}

fn shallow(file: &File, out: &mut Verdicts) -> Option<()> {
    let register = &file.gearbox_face.register;
    let thickness = &file.gearbox_face.flange.thickness;
    if register.kind.get()? == RegisterKind::Recess && !above(thickness.get()?, register.length.get()?) {
        let (own, limit) = (out.mm(register.length.get()?), out.mm(thickness.get()?));
        out.add(
            error(DEEP, &register.length, format!("the recess is {own} deep in a flange of {limit}"))
                .allowed(format!("below {limit}"))
                .beside(thickness.place(), "the flange's thickness")
                .because("it would cut the shell loose from the flange"),
        );
    }
    Some(())
}

fn lead_in(file: &File, out: &mut Verdicts) -> Option<()> {
    let register = &file.gearbox_face.register;
    let (length, lead_in) = (register.length.get()?, register.lead_in.get()?);
    if !above(length, lead_in) {
        let (own, limit) = (out.mm(lead_in), out.mm(length));
        out.add(
            error(
                LEAD_IN,
                &register.lead_in,
                format!("the lead-in's {own} leaves nothing of a register of {limit}"),
            )
            .allowed(format!("below {limit}"))
            .because("the cylinder behind the lead-in does the centring"),
        );
    }
    let rise = lead_in * register.lead_in_angle.get()?.tan();
    let radius = register.diameter.get()? / 2.0;
    let limit = match register.kind.get()? {
        RegisterKind::Spigot => radius - out.cavity_at(Mm::new(0.0))?,
        RegisterKind::Recess => file.gearbox_face.flange.diameter.get()? / 2.0 - radius,
    };
    if above(limit, Mm::new(0.0)) && !above(limit, rise) {
        let (own, limit) = (out.mm(rise), out.mm(limit));
        out.add(
            error(LEAD_IN, &register.lead_in, format!("the lead-in is {own} high, the metal there {limit}"))
                .allowed(format!("a height below {limit}"))
                .because("it would leave no end face"),
        );
    }
    Some(())
}
