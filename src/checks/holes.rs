//! Holes: depth of thread, room below it, distance from edges.

use super::{Checks, Limit, Limits, Measurement, Sense, Unit, names};
use crate::design::{Design, PadHoles};
use crate::faces::{Feature, Role};
use crate::housing::{Bore, Housing};
use crate::standards::bolt_strength::BoltClass;
use crate::standards::properties::{of_alloy, strength_in_casting};
use crate::standards::thread_engagement::engagement;
use crate::standards::threads::Thread;
use crate::units::{MPa, Mm};
use solidwright::geometry::{P3, V3};
use solidwright::probe::{Near, Probe};
use solidwright::solid::{Finish, Primitive};

/// Greatest distance at which edges are searched for, mm.
const FAR: f64 = 60.0;

pub(super) fn check(design: &Design, housing: &Housing, probe: &Probe, limits: &Limits, out: &mut Checks) {
    let pads: [(Feature, Option<&PadHoles>); 3] = [
        (Feature::ShiftBoxPad, design.shift_box_pad().and_then(|p| p.holes())),
        (Feature::MountPad, design.mount_pad().and_then(|p| p.holes())),
        (Feature::SecondMountPad, design.second_mount_pad().and_then(|p| p.holes())),
    ];
    for (feature, holes) in pads.iter().filter_map(|(f, h)| h.map(|h| (*f, h))) {
        let what = format!("{feature}, {} tapped holes", holes.positions().len());
        thread(&what, holes.thread(), [holes.depth(), holes.drill_depth()], design, limits, out);
        let own =
            |b: &&Bore| Feature::of(&b.tag) == feature && matches!(Role::of(&b.tag), Role::TappedHole(_));
        let near = housing.bores.iter().filter(own).filter_map(|bore| edge(probe, bore, feature));
        push_edge(probe, &what, least(near), holes.thread().diameter.get(), &limits.edge_distance, out);
    }
    if let Some(screw) = design.sender_boss().and_then(|b| b.retaining_screw()) {
        let what = "sender_boss, retaining screw";
        thread(what, screw.thread(), [screw.depth(), screw.drill_depth()], design, limits, out);
        let hole = housing.bores.iter().find(|b| Role::of(&b.tag) == Role::ScrewHole);
        let near = hole.and_then(|bore| edge(probe, bore, Feature::SenderBoss));
        push_edge(probe, what, near, screw.thread().diameter.get(), &limits.edge_distance, out);
    }
    bolts(design, housing, probe, limits, out);
}

/// Depth of full thread, and the room for the tap below it.
fn thread(
    what: &str,
    thread: &Thread,
    [depth, drill]: [Mm; 2],
    design: &Design,
    limits: &Limits,
    out: &mut Checks,
) {
    let named = format!("{what}, {}", thread.name);
    let hint = "deepen the thread (`holes.depth`), take the next larger one, or a bolt of lower class";
    let limit = engagement_limit(design, thread, &named, limits, out);
    let ratio = (depth / thread.diameter, Unit::One);
    out.measurements.push(
        Measurement::new("thread engagement, diameters", named.clone(), ratio, Sense::AtLeast, hint)
            .fails_by(&limit),
    );
    let source = "thread depth and 2 to 3 pitches: common practice, no source".to_owned();
    let least = Limit { value: 2.0 * thread.pitch.get(), source, given: false };
    let hint = "drill deeper (`holes.drill_depth`) so that the tap has room";
    let room = ((drill - depth).get(), Unit::Mm);
    out.measurements
        .push(Measurement::new("room below the thread", named, room, Sense::AtLeast, hint).warns_by(&least));
}

/// Engagement at which the bolt breaks before the thread strips, in diameters: by the least strength of the alloy's bars. With
/// the strength that the casting itself must have it is a figure. Where the alloy's strength is not known, or the file has a
/// limit of its own, that limit or the shop's rule.
fn engagement_limit(
    design: &Design,
    thread: &Thread,
    named: &str,
    limits: &Limits,
    out: &mut Checks,
) -> Limit {
    const CHECK: &str = "stripping of threads";
    let rule = limits.engagement.clone();
    let class = design.mating().fasteners.as_ref().map_or(BoltClass::C8_8, |f| f.class);
    let row = match of_alloy(design.casting().alloy()) {
        Ok(row) => row,
        Err(error) => {
            out.not(CHECK, format!("{error}; the shop's rule is used"));
            return rule;
        }
    };
    let breaks = row.strength[1];
    let force = class.strength().breaks.get() * thread.stress_area();
    let length = |breaks: f64| engagement(thread, force, MPa::new(row.shear * breaks));
    let (bars, casting) = match (length(breaks), length(strength_in_casting(breaks))) {
        (Ok(bars), Ok(casting)) => (bars / thread.diameter, casting / thread.diameter),
        (Err(error), _) | (_, Err(error)) => {
            out.not(CHECK, error.to_string());
            return rule;
        }
    };
    let class = class.name();
    let note = format!(
        "diameters, for bolts of class {class}: by the bars of {}, and by three quarters of that for the casting itself; the shop's \
         rule is {}",
        row.grade, rule.value
    );
    out.driveline.between(
        "threads",
        &format!("engagement wanted, {named}"),
        [bars, casting],
        Unit::One,
        note,
    );
    if rule.given {
        return rule;
    }
    let source = format!(
        "a bolt of class {class} breaks before the thread strips: FED-STD-H28/2B through a handbook, read; limits of size from \
         memory; {casting:.2} by the strength of the casting itself; the shop's rule is {}",
        rule.value
    );
    Limit { value: bars, source, given: false }
}

/// A hole's centre and the edge nearest to it.
type Edge = (P3, Near);

fn least(edges: impl Iterator<Item = Edge>) -> Option<Edge> {
    edges.min_by(|a, b| a.1.distance.total_cmp(&b.1.distance))
}

/// The cast outer edge of its feature nearest to a hole's centre at its mouth; metal towards an opening or a hollow is
/// a wall, and is measured as one.
fn edge(probe: &Probe, bore: &Bore, feature: Feature) -> Option<Edge> {
    let faces = &probe.brep().faces;
    // Just inside the face; the axis points into the metal or out of it.
    let from = |sense: f64| bore.point + bore.axis * (sense * 0.5);
    let side = |face: usize| {
        let tag = &faces[face].tag;
        let straight = faces[face].outward(bore.point).dot(&bore.axis).abs() < 0.5;
        let inner = Role::of(tag).is_opening() || Role::of(tag).is_hollow();
        Feature::of(tag) == feature && tag.finish == Finish::Formed && straight && !inner
    };
    let near = [1.0, -1.0].into_iter().filter_map(|s| probe.nearest(from(s), side, FAR));
    // Measured across the axis, because beside a rounded edge the straight side begins farther down.
    let across = |near: Near| {
        let way = near.point - bore.point;
        let distance = (way - bore.axis * way.dot(&bore.axis)).norm();
        (bore.point, Near { distance, ..near })
    };
    least(near.map(across))
}

fn push_edge(probe: &Probe, what: &str, edge: Option<Edge>, diameter: f64, limit: &Limit, out: &mut Checks) {
    let Some((center, near)) = edge else { return };
    let hint = "move the hole inwards or make the pad or flange larger";
    let value = (near.distance / diameter, Unit::One);
    out.measurements.push(
        Measurement::new("hole's centre to edge, diameters", what, value, Sense::AtLeast, hint)
            .fails_by(limit)
            .at([center, near.point], names(probe.brep(), [near.face])),
    );
}

/// Distance across the shaft from a place to the outline of the gearbox face's body around it, before its edges are
/// rounded; of several bodies, the one that reaches farthest.
fn outline(housing: &Housing, center: P3) -> f64 {
    let along = |p: &Primitive| p.frame().z.cross(&V3::x()).norm() < 1e-9;
    let around = housing
        .bodies
        .iter()
        .filter(|p| Feature::of_body(p) == Feature::GearboxFace && along(p) && p.contains(center));
    around.filter_map(|p| p.outline_distance(center)).fold(0.0, f64::max)
}

/// Bolt holes of the gearbox face: centre to the flange's rim or the lug's side, as designed. The bolt is slightly
/// smaller than its hole; without a named bolt the hole's diameter is used.
fn bolts(design: &Design, housing: &Housing, probe: &Probe, limits: &Limits, out: &mut Checks) {
    let face = design.gearbox_face();
    let faces = &probe.brep().faces;
    let middle = 0.5 * face.flange_thickness().get();
    let rim = |f: usize| {
        let tag = &faces[f].tag;
        Feature::of(tag) == Feature::GearboxFace && Role::of(tag).is_flange_edge()
    };
    let all = face.bolt_holes().iter().filter_map(|hole| {
        let center = P3::new(middle, hole.y().get(), hole.z().get());
        let bolt = hole.size().thread().map_or(hole.diameter(), |thread| thread.diameter).get();
        let mut near = probe.nearest(center, rim, FAR)?;
        // The solid's rim may be rounded off beside the hole, so the distance is taken to the outline as designed.
        let designed = outline(housing, center);
        if designed > near.distance {
            let way = near.point - center;
            let out = V3::new(0.0, way.y, way.z).try_normalize(1e-9).unwrap_or_else(V3::zeros);
            near = Near { distance: designed, point: center + out * designed, ..near };
        }
        Some(((center, near), bolt, hole.diameter().get()))
    });
    let worst = all.min_by(|((_, a), d, _), ((_, b), e, _)| (a.distance / d).total_cmp(&(b.distance / e)));
    if let Some((edge, bolt, hole)) = worst {
        let what = format!("gearbox_face, {} bolt holes", face.bolt_holes().len());
        // The rule counts in diameters of the hole, what is shown in those of the bolt.
        let mut limit = limits.edge_distance.clone();
        limit.value *= if limit.given { 1.0 } else { hole / bolt };
        push_edge(probe, &what, Some(edge), bolt, &limit, out);
    }
}
