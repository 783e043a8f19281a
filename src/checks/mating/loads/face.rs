//! The joint with the gearbox: bearing pressure under the heads, separation, slip, and the gasket's least pressure.

use std::f64::consts::PI;

use super::super::limits::own;
use super::super::{CheckResult, Facts, because, least, most};
use super::{Case, FELT, JointFactors, SectionLoad, Support, cases, clamp, section_load, supports, worst};
use crate::checks::plain_tube::PlainTube;
use crate::checks::{Checks, Unit};
use crate::design::{BoltHole, GearboxFace};
use crate::faces::{Feature, Role};
use crate::standards::bolt_group::{BoltGroup, JointLoad};
use crate::standards::bolt_strength::BoltClass;
use crate::standards::bolts::{Bolt, of_thread};
use crate::standards::gasket::{BoltedFlange, GASKET_SOURCE};
use crate::standards::properties::{bearing_pressure, of_alloy};
use crate::standards::threads::Thread;
use crate::units::Mm;
use solidwright::geometry::P3;

/// Least pressure of a face that is not open, N/mm²: as good as nothing.
const LEAST_PRESSURE: f64 = 1e-3;

/// The bolts through the gearbox face.
struct FaceBolts {
    thread: &'static Thread,
    bolt: &'static Bolt,
    class: BoltClass,
    group: BoltGroup,
    /// Least and greatest clamp load of each, N.
    clamp: [f64; 2],
}

fn bolts(f: &Facts<'_>) -> Result<FaceBolts, String> {
    let with = f.fasteners()?;
    let holes = f.design.gearbox_face().bolt_holes();
    let mut threads = Vec::new();
    for hole in holes {
        threads.push(
            hole.size()
                .thread()
                .ok_or("the flange's holes are given as diameters: name their bolts (`size: M10`)")?,
        );
    }
    // The smallest bolt stands for all.
    let thread = threads.into_iter().min_by(|a, b| a.stress_area().total_cmp(&b.stress_area()));
    let thread = thread.ok_or("the gearbox face has no bolt holes")?;
    let places: Vec<[f64; 2]> = holes.iter().map(|h| [h.y().get(), h.z().get()]).collect();
    let group = BoltGroup::new(&places).ok_or("the gearbox face has no bolt holes")?;
    let bolt = of_thread(thread).map_err(because)?;
    let clamp = clamp(thread, bolt, with.face_class, with.face_torque, with);
    Ok(FaceBolts { thread, bolt, class: with.face_class, group, clamp })
}

/// Bearing pressure under the heads, as tightened; like all loads only where the file has `vehicle.loads`.
pub(in crate::checks::mating) fn tightened(f: &Facts<'_>, out: &mut Checks) -> CheckResult {
    f.loads()?;
    let bolts = bolts(f)?;
    let face = f.design.gearbox_face();
    let limit = bearing_pressure(f.design.casting().alloy());
    let hint = "put a larger washer under the head, take more or larger bolts, or tighten them less";
    let worst = face.bolt_holes().iter().enumerate().map(|(i, hole)| {
        let spread = bolts.bolt.washer.map_or(bolts.bolt.flats, |[outside, _]| outside).get();
        let spread = hole.spot_face().map_or(spread, |spot| spread.min(spot.diameter.get()));
        let area = 0.25 * PI * (spread.powi(2) - hole.diameter().get().powi(2));
        (if area > 0.0 { bolts.clamp[1] / area } else { f64::MAX }, i, hole)
    });
    let Some((pressure, i, hole)) = worst.max_by(|a, b| a.0.total_cmp(&b.0)) else { return Ok(()) };
    let what = format!("hole {}, {} of class {}", i + 1, bolts.thread.name, bolts.class.name());
    let at = P3::new(face.flange_thickness().get(), hole.y().get(), hole.z().get());
    let made = most("pressure under bolt heads", &what, pressure, Unit::MPa, hint)
        .at([at], [Feature::GearboxFace.face(Role::BoltHole(i + 1))]);
    out.measurements.push(made.of_loads().fails_by(&own(limit.0.get(), limit.1)));
    let note = "as tightened; scatter by `mating.fasteners.scatter`";
    out.driveline.between("gearbox face", "clamp load of each bolt", bolts.clamp, Unit::Newton, note);
    Ok(())
}

/// What a case at the mounts asks of the gearbox face's bolts.
fn load(case: &Case, supports: &[Support<'_>]) -> JointLoad {
    let SectionLoad { pull, shear, bending, twist } = section_load(case, 0.0, supports);
    JointLoad { pull, shear, bending, twist }
}

/// Separation, slip, proof load, gasket.
pub(in crate::checks::mating) fn face(f: &Facts<'_>, out: &mut Checks) -> CheckResult {
    let (bolts, loads, with) = (bolts(f)?, f.loads()?, f.fasteners()?);
    let (cases, supports) = (cases(f)?, supports(f.design, loads.lever)?);
    let of = |case: &Case| load(case, &supports);
    let [low, high] = bolts.clamp;
    let mut told = JointFactors { out, of: None, at: P3::origin() };
    let hint = "take more or larger bolts on a larger circle, or tighten them more";
    let apart = worst(&cases, |c| low / bolts.group.greatest_pull(&of(c)));
    told.push("gearbox face held closed, factor", apart, 1.2, hint);
    let slip = worst(&cases, |c| {
        let load = of(c);
        let asked = load.shear[0].hypot(load.shear[1]) + load.twist.abs() / bolts.group.mean_radius();
        with.joint_friction * (bolts.group.count() * low - load.pull) / asked
    });
    let hint = "dowel the face, take more bolts, or tighten them more";
    told.push("gearbox face does not slip, factor", slip, 1.2, hint);
    let proof = bolts.class.strength().proof.get() * bolts.thread.stress_area();
    let taut = worst(&cases, |c| proof / (high + FELT * bolts.group.greatest_pull(&of(c))));
    let hint = "take a higher class or more bolts, or tighten them less";
    told.push("gearbox face's bolts below their proof load, factor", taut, 1.0, hint);
    gasket(f, &bolts, cases.iter().map(of), out)
}

/// Least mean pressure at the rim of the face: clamp load over area, less moment over section modulus. Between bolts it is
/// less than this ([`between`]).
fn gasket(
    f: &Facts<'_>,
    bolts: &FaceBolts,
    loads: impl Iterator<Item = JointLoad>,
    out: &mut Checks,
) -> CheckResult {
    let face = f.design.gearbox_face();
    let (outside, inside) = (face.flange_diameter().get(), face.register().diameter().get());
    let holes: f64 = face.bolt_holes().iter().map(|h| 0.25 * PI * h.diameter().get().powi(2)).sum();
    // The lugs are pressed besides the ring, but only the ring counts against the moment.
    let ring = 0.25 * PI * (outside.powi(2) - inside.powi(2));
    let area = if face.lugs().is_some() { ring + lug(face) * bolts.group.count() } else { ring - holes };
    let modulus = PI / 32.0 * (outside.powi(4) - inside.powi(4)) / outside;
    let rest = bolts.group.count() * bolts.clamp[0];
    let at_rim =
        |load: JointLoad| (rest - load.pull) / area - load.bending[0].hypot(load.bending[1]) / modulus;
    let pressure = loads.map(at_rim).fold(rest / area, f64::min);
    let hint = "take more bolts, tighten them more, or make the face narrower";
    // No joint pulls: where the sum is below zero it opens.
    let what = if pressure > 0.0 { "at its rim, worst case" } else { "opens at its rim, worst case" };
    let made = least("pressure on the gearbox face", what, pressure.max(0.0), Unit::MPa, hint);
    // A joint that opens fails even where no pressure is asked for.
    let limit = own(f.loads()?.gasket_pressure.max(LEAST_PRESSURE), "`vehicle.loads.gasket_pressure`");
    out.measurements.push(made.of_loads().at([P3::origin()], []).fails_by(&limit));
    if pressure > 0.0 {
        between(f, bolts, pressure, out)?;
    }
    Ok(())
}

/// Face of one lug beyond the ring, at most, mm²: its round end, and a strip as wide as its root from the ring to the bolt. Zero for a
/// disc. The more of it, the less pressure is left for the ring.
fn lug(face: &GearboxFace) -> f64 {
    let Some(lugs) = face.lugs() else { return 0.0 };
    let [ring, half, tip] =
        [face.flange_diameter() / 2.0, lugs.root_width() / 2.0, lugs.radius()].map(Mm::get);
    let within = (ring * ring - half * half).max(0.0).sqrt();
    let beyond = |hole: &BoltHole| hole.y().get().hypot(hole.z().get()) - within;
    let strip = face.bolt_holes().iter().map(beyond).fold(0.0, f64::max);
    0.5 * PI * tip * tip + strip * 2.0 * half.max(tip)
}

/// Least pressure between two bolts, where that at the rim is this on the mean between them.
fn between(f: &Facts<'_>, bolts: &FaceBolts, mean: f64, out: &mut Checks) -> CheckResult {
    let (face, loads) = (f.design.gearbox_face(), f.loads()?);
    let [outside, inside] = [face.flange_diameter(), face.register().diameter()].map(Mm::get);
    let (spacing, places) = bolts.group.widest_spacing();
    let flange = BoltedFlange {
        spacing,
        width: 0.5 * (outside - inside),
        thickness: face.flange_thickness().get(),
        shell: PlainTube::of(f.design.shell(), face.flange_thickness().get())
            .map_or(0.0, |t| t.outer - t.inner),
        elasticity: 1000.0 * of_alloy(f.design.casting().alloy()).map_err(because)?.elasticity,
        lug: lug(face),
    };
    let share = flange.between_bolts(loads.gasket_modulus, loads.gasket_thickness.get());
    let note = format!(
        "of the mean pressure there; a gasket of {}, {} MPa",
        f.design.units().alone(loads.gasket_thickness),
        loads.gasket_modulus
    );
    out.driveline.add("gearbox face", "pressure between bolts", 100.0 * share, Unit::Percent, note);
    let hint = "take more bolts, thicken the flange, or take a softer or thicker gasket or liquid sealant";
    let what = if share > 0.0 { "midway, worst case" } else { "opens midway, worst case" };
    let made =
        least("pressure on the gearbox face between bolts", what, mean * share.max(0.0), Unit::MPa, hint);
    let limit = own(loads.gasket_pressure, GASKET_SOURCE);
    out.measurements.push(made.at(places.map(|[y, z]| P3::new(0.0, y, z)), []).warns_by(&limit));
    Ok(())
}
