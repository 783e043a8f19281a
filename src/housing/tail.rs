//! The tail: the ring around bushing and seal, and its bore.

use super::bores::Bore;
use super::frames::shaft;
use super::{CLEAR, Parts, fillets};
use crate::design::{Design, DustLipKind};
use crate::faces::{Feature, Role};
use solidwright::geometry::P2;
use solidwright::solid::{Primitive, PrimitiveError, polygon};

const FEATURE: Feature = Feature::Tail;

pub(super) fn make(design: &Design, parts: &mut Parts) -> Result<(), PrimitiveError> {
    let tail = design.tail();
    let (radius, front, rear) =
        (tail.outside_diameter().get() / 2.0, tail.ring_front().get(), tail.rear().get());
    let side = FEATURE.formed(Role::Outside);
    let mut outline = vec![P2::new(0.0, front)];
    let mut tags = vec![FEATURE.formed(Role::RingFront)];
    match tail.barrel() {
        Some(barrel) => {
            let (thin, step) = (barrel.diameter.get() / 2.0, barrel.rear.get());
            outline.extend([
                P2::new(thin, front),
                P2::new(thin, step - (radius - thin)),
                P2::new(radius, step),
            ]);
            tags.extend([side.clone(), side.clone()]);
        }
        None => outline.push(P2::new(radius, front)),
    }
    outline.extend([P2::new(radius, rear), P2::new(0.0, rear)]);
    tags.extend([side, FEATURE.cut(Role::RearFace)]);
    let outline = fillets::rounded(design, &polygon(&outline, &tags));
    parts.added.push(Primitive::revolve(FEATURE.name(), shaft(0.0), outline)?);
    bore(design, parts)
}

/// Stop bore, bushing seat and seal counterbore with their lead-ins, turned in one.
fn bore(design: &Design, parts: &mut Parts) -> Result<(), PrimitiveError> {
    let tail = design.tail();
    let (bushing, seal) = (tail.bushing(), tail.seal());
    let stations = design.shell().cavity();
    let start = stations[stations.len() - 1].x.get();
    let (stop, seat, counterbore) =
        (bushing.stop_bore().get() / 2.0, bushing.bore().get() / 2.0, seal.counterbore().get() / 2.0);
    let (front, shoulder, rear) = (bushing.front().get(), bushing.rear().get(), tail.rear().get());
    let m = |role| FEATURE.cut(role);
    // Each row: a point, and the name of the piece that leads to it.
    let mut rows = vec![
        (P2::new(stop, start), m(Role::StopBoreStart)),
        (P2::new(stop, front), m(Role::StopBore)),
        (P2::new(seat, front), m(Role::BushingStop)),
    ];
    let lead = bushing.lead_in().get();
    rows.push((P2::new(seat, shoulder - lead), m(Role::BushingSeat)));
    if lead > 0.0 {
        let wide = seat + lead * bushing.lead_in_angle().tan();
        rows.push((P2::new(wide, shoulder), m(Role::BushingLeadIn)));
    }
    rows.push((P2::new(counterbore, shoulder), m(Role::SealShoulder)));
    let lead = seal.lead_in().get();
    let recess = tail.dust_lip().filter(|lip| lip.kind == DustLipKind::Recess);
    // The seal's mouth lies in the recess's floor, or in the rear face, which the cutter overruns.
    let (mouth, over) = recess.map_or((rear, CLEAR), |recess| (rear - recess.depth.get(), 0.0));
    rows.push((P2::new(counterbore, mouth - lead), m(Role::SealCounterbore)));
    let slope = seal.lead_in_angle().tan();
    if lead > 0.0 {
        rows.push((P2::new(counterbore + (lead + over) * slope, mouth + over), m(Role::SealLeadIn)));
    } else if let Some(last) = rows.last_mut() {
        last.0.y = mouth + over;
    }
    if let Some(recess) = recess {
        let wide = recess.diameter.get() / 2.0;
        rows.push((P2::new(wide, mouth), m(Role::DustRecessFloor)));
        rows.push((P2::new(wide, rear + CLEAR), m(Role::DustRecess)));
    }
    rows.push((P2::new(0.0, rear + CLEAR), m(Role::RearFace)));
    let mut points = vec![P2::new(0.0, start)];
    let mut tags = Vec::new();
    for (p, tag) in rows {
        // A stop bore as wide as the seat, or one of no length, leaves out its piece.
        if (p - points[points.len() - 1]).norm() > solidwright::tolerance::SNAP {
            points.push(p);
            tags.push(tag);
        }
    }
    parts.cut.push(Primitive::revolve(FEATURE.name(), shaft(0.0), polygon(&points, &tags))?);
    if front - start > solidwright::tolerance::SNAP {
        parts.bores.push(Bore::new(&m(Role::StopBore), stop, &shaft(0.0)));
    }
    parts.bores.push(Bore::new(&m(Role::BushingSeat), seat, &shaft(0.0)));
    parts.bores.push(Bore::new(&m(Role::SealCounterbore), counterbore, &shaft(0.0)));
    Ok(())
}
