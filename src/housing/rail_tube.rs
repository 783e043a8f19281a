//! The shift rail's tube or hump with its bore.

use super::bores::{Bore, through};
use super::tab::tab;
use super::{CLEAR, Parts};
use crate::design::{Design, RailForm, RailTube};
use crate::faces::{Feature, Role};
use crate::params::schema::RegisterKind;
use solidwright::geometry::{Frame, P2, P3, V3};
use solidwright::solid::{Primitive, PrimitiveError, circle};
use solidwright::tolerance::SAME;

const FEATURE: Feature = Feature::RailTube;

pub(super) fn make(design: &Design, parts: &mut Parts) -> Result<(), PrimitiveError> {
    let Some(rail) = design.rail_tube() else { return Ok(()) };
    parts.added.push(outside(rail, design.tail().rear().get())?);
    let from = if (rail.bore_from() - rail.from()).get() > SAME {
        rail.bore_from().get()
    } else {
        // The rail comes out of the gearbox, so the bore is drilled from there: through all that stands before the tube, a spigot too. Where ribs
        // and their fillets stood before its mouth, it was a closed hollow.
        let register = design.gearbox_face().register();
        let ahead = if register.kind() == RegisterKind::Spigot { register.length().get() } else { 0.0 };
        -ahead - CLEAR
    };
    let open = (rail.to() - rail.bore_to()).get() <= SAME;
    let to = if open { rail.to().get() + CLEAR } else { rail.bore_to().get() };
    let wall = FEATURE.cut(Role::RailBore);
    let frame = Frame::from_zx(P3::new(0.0, rail.y().get(), rail.z().get()), V3::x(), V3::z());
    let radius = rail.bore().get() / 2.0;
    let ends = FEATURE.cut(Role::RailBoreEnd);
    parts.cut.push(through(frame, radius, from, to, &wall, &ends)?);
    parts.bores.push(Bore::new(&wall, radius, &frame));
    Ok(())
}

/// A prism along the shaft: a circle, or a tab rooted in the shaft axis. An end that is flush with a machined face, that of the gearbox or that
/// of the tail at `rear` mm, is faced with it: a fillet between a tube's cast end and the tail would stand out beyond the tail's face.
fn outside(rail: &RailTube, rear: f64) -> Result<Primitive, PrimitiveError> {
    let (radius, from) = (rail.outside_diameter().get() / 2.0, rail.from().get());
    let outwards = V3::new(0.0, rail.y().get(), rail.z().get());
    let distance = outwards.norm();
    let side = FEATURE.formed(Role::Outside);
    let (x, outline) = match tab(0.0, radius, distance, radius, &side) {
        Some(outline) if rail.form() == RailForm::Hump && distance > 0.0 => (outwards.normalize(), outline),
        _ => {
            let x = if distance > 0.0 { outwards.normalize() } else { V3::z() };
            (x, circle(P2::new(distance, 0.0), radius, &side))
        }
    };
    let front =
        if from > SAME { FEATURE.formed(Role::FrontEnd) } else { Feature::GearboxFace.cut(Role::Face) };
    let flush = (rail.to().get() - rear).abs() < SAME;
    let back = if flush { Feature::Tail.cut(Role::RearFace) } else { FEATURE.formed(Role::RearEnd) };
    let ends = [front, back];
    let frame = Frame::from_zx(P3::new(from, 0.0, 0.0), V3::x(), x);
    Primitive::prism(FEATURE.name(), frame, outline, rail.to().get() - from, 0.0, ends)
}
