//! Stress in the housing by plane sections: bending and torsion from the gearbox face to the mounts, and at the roots of the
//! mounts' pads.
//!
//! The housing is taken as a beam held at the gearbox face. Its sections are cut from the mesh at even distances, and the least
//! section counts that the exact solid may have there; what the walls bend by themselves is not computed. In bending the weaker of
//! the whole section and the shell's own tube counts ([`super::plain_tube`]). Bending and torsion are judged apart; where an opening
//! cuts the ring, the closed rings ahead and behind keep the section from warping ([`super::twisted`]).

use super::mating::{Case, Support, UNLOADED, load_cases, section_load, supports, weight};
use super::plain_tube::PlainTube;
use super::plane_section::{Cut, Piece, PlaneSection, pieces};
use super::stiffness::{self, Sections};
use super::twisted::{self, Twisted};
use super::{CHORD, Checks, Limit, Measurement, SectionStress, Sense, Table, Unit};
use crate::design::Design;
use crate::faces::Feature;
use crate::standards::notch::{ELSEWHERE, NOTCH_SOURCE, shoulder_in_bending};
use crate::standards::properties::{FATIGUE_SOURCE, fatigue_strength, of_alloy, strength_in_casting};
use crate::standards::torsion::{SHEAR_SHARE, TORSION_SOURCE};
use crate::units::Mm;
use solidwright::geometry::{P3, V3};
use solidwright::probe::Probe;

/// Distance of the sections, mm.
const STEP: f64 = 3.0;

/// How far below the shell the pad's root is cut, mm: below most of its fillet.
const FILLET: f64 = 5.0;

/// How far beyond the pad's outline its root may reach with its fillets, mm.
const MARGIN: f64 = 12.0;

/// What a factor is against.
#[derive(Clone, Copy)]
enum Against {
    /// The housing's section, yield.
    Yield,
    /// The housing's section, fatigue.
    Fatigue,
    /// The root of a mount's pad, yield.
    Root,
    /// The closed ring of the housing's section in torsion, yield.
    Torsion,
    /// A section in torsion whose ring an opening cuts, yield.
    OpenTorsion,
}

impl Against {
    const fn check(self) -> &'static str {
        match self {
            Self::Yield => "housing's section against yield, factor",
            Self::Fatigue => "housing's section against fatigue, factor",
            Self::Root => "root of the mount's pad against yield, factor",
            Self::Torsion => "housing's closed section in torsion, factor",
            Self::OpenTorsion => "housing's open section in torsion, factor",
        }
    }

    /// Least factor, if it can fail, and that below which a warning is given (common practice), with the source of the strength.
    fn limits(self) -> ([Option<f64>; 2], String) {
        match self {
            Self::Fatigue => ([Some(1.0), Some(1.5)], format!("{FATIGUE_SOURCE}; three quarters of it for the casting itself")),
            Self::OpenTorsion => ([Some(1.5), Some(2.5)], format!(
                "{TORSION_SOURCE}; yield in shear 0.577 of that in tension; finite elements on the demonstration find a peak of 2.2 \
                 times this stress at the opening's corners, which may yield below 2.5; factors: common practice")),
            Self::Torsion => ([Some(1.5), Some(2.0)], format!("{TORSION_SOURCE}; yield in shear 0.577 of that in tension; factors: common practice")),
            Self::Yield => ([Some(1.5), Some(2.0)],
                "three quarters of the bars' least yield strength (ASTM B26 10.3, read); factors: common practice".to_owned(),
            ),
            Self::Root => ([Some(2.5), Some(5.0)],
                "three quarters of the bars' least yield strength (ASTM B26 10.3, read); finite elements on the demonstration find \
                 peaks of 3.4 to 5.1 times this stress, since walls of the pad bend: below 5 they may yield, below 2.5 exceed \
                 twice the yield strength, beyond which each load deforms anew (Melan, from memory)".to_owned(),
            ),
        }
    }
}

pub(super) fn check(design: &Design, probe: &Probe, out: &mut Checks) {
    if let Err(because) = sections(design, probe, out) {
        out.not("stress in the housing's sections", because.clone());
        out.strength_unknown = Some(because);
    }
}

/// Strength of the alloy in the casting itself, N/mm².
fn strength(design: &Design) -> Result<[f64; 2], String> {
    let row = of_alloy(design.casting().alloy()).map_err(|e| e.to_string())?;
    let [yields, _] = row.strength.ok_or("the alloy's name gives no grade of strength")?;
    let endures =
        fatigue_strength(design.casting().alloy()).ok_or("no fatigue strength is known for the alloy")?;
    Ok([yields, endures.get()].map(strength_in_casting))
}

fn sections(design: &Design, probe: &Probe, out: &mut Checks) -> Result<(), String> {
    let loads = design.vehicle().loads.as_ref().ok_or("`vehicle.loads` is not given")?;
    let supports = supports(design, loads.lever)?;
    let cases = load_cases(design)?;
    let [yields, endures] = strength(design)?;
    let mesh = probe.mesh();
    let triangles = || (0..mesh.triangles.len()).map(|t| mesh.corners(t));
    let last = supports.last().map_or(0.0, |s| s.station);
    let held = design.gearbox_face().flange_thickness().get();
    let count = ((design.overall_length().get() - held) / STEP).floor().max(0.0) as usize;
    let stations = (0..count).map(|i| held + STEP * (i as f64 + 0.5));
    let cut = |station: f64| Cut { origin: P3::new(station, 0.0, 0.0), axes: [V3::y(), V3::z()] };
    // Bending and torsion see the same cuts.
    let cuts: Vec<(f64, Vec<Piece>)> = stations.map(|x| (x, pieces(triangles(), &cut(x)))).collect();
    let all: Vec<(f64, PlaneSection)> =
        cuts.iter().filter_map(|(x, cut)| Some((*x, PlaneSection::of(cut)?))).collect();
    let tube = |x: f64| PlainTube::of(design.shell(), x);
    // The joint's force bends the housing as far as its bushing.
    let reached = cases.iter().map(|case| case.bushing[0]).fold(last, f64::max);
    let loaded = cuts.iter().filter(|(x, _)| *x < reached).count();
    let sections: Vec<(f64, Weaker)> = all
        .iter()
        .filter(|(x, _)| *x < reached)
        .map(|(x, whole)| (*x, Weaker { whole: whole.least(CHORD), tube: tube(*x) }))
        .collect();
    let greatest = |share: fn([f64; 3]) -> f64| {
        all.iter().map(|(_, section)| share(section.errors(CHORD))).fold(0.0, f64::max)
    };
    let note =
        "of a section's second moment by the mesh that it is cut from, at most; taken off in the factors";
    let off = greatest(|[_, first, second]| first.max(second));
    out.driveline.add("housing", "error of bending stress", 100.0 * off, Unit::Percent, note);
    bending(&sections, &supports, &cases, yields, out);
    tired(&sections, &supports, [weight(loads), notch(design, loads.notch_factor, out)], endures, out);
    let poisson = of_alloy(design.casting().alloy()).map_err(|e| e.to_string())?.poisson;
    let rings = twisted::sections(&cuts, STEP, CHORD, 0.5 / (1.0 + poisson), last);
    torsion(&rings, &supports, &cases, yields, out);
    out.driveline.stress = along(&sections, &rings, &supports, &cases);
    out.driveline.tables.push(by_station(&out.driveline.stress));
    let unknown = loaded - sections.len();
    if unknown > 0 {
        out.not(Against::Yield.check(), format!("{unknown} of {loaded} sections are not closed on the mesh"));
    }
    if let Err(because) =
        stiffness::figures(design, &supports, &Sections { held, step: STEP, all: &all }, out)
    {
        out.not("stiffness of the housing", because);
    }
    for support in &supports {
        root(design, support, &cases, yields, triangles(), out);
    }
    Ok(())
}

/// A section of the housing in bending: the metal of the solid there, and the shell's own tube.
struct Weaker {
    whole: PlaneSection,
    tube: Option<PlainTube>,
}

impl Weaker {
    /// Greatest tension of both, N/mm².
    fn stress(&self, pull: f64, bending: [f64; 2]) -> f64 {
        self.tube.map_or(0.0, |tube| tube.stress(pull, bending)).max(stress(&self.whole, pull, bending))
    }
}

/// The greatest stress of all sections and cases, with its station and case; none where nothing loads them.
fn worst<T>(
    sections: &[(f64, T)],
    cases: &[Case],
    stress: impl Fn(f64, &T, &Case) -> Option<f64>,
) -> Option<(f64, f64, &'static str)> {
    let all = sections.iter().flat_map(|(x, section)| {
        let stress = &stress;
        cases.iter().filter_map(move |case| Some((stress(*x, section, case)?, *x, case.name)))
    });
    all.filter(|(stress, ..)| *stress > 0.0).max_by(|a, b| a.0.total_cmp(&b.0))
}

const THICKER: &str = "thicken the shell there (`shell.wall`), or bring the mount nearer to the gearbox face";

/// Bending of all sections under each case.
fn bending(
    sections: &[(f64, Weaker)],
    supports: &[Support<'_>],
    cases: &[Case],
    yields: f64,
    out: &mut Checks,
) {
    let stress = |x: f64, section: &Weaker, case: &Case| {
        let load = section_load(case, x, supports);
        Some(section.stress(load.pull, load.bending))
    };
    let Some((stress, station, case)) = worst(sections, cases, stress) else {
        return out.not(Against::Yield.check(), UNLOADED);
    };
    let what = format!("at station {station:.0} mm, {case}");
    push(out, Against::Yield, &what, yields / stress, station, THICKER);
    let note = format!("{what}, of the section without notches");
    out.driveline.add("housing", "stress in bending", stress, Unit::MPa, note);
}

/// The notch factor: the file's, else that of the flange's shoulder, and at least that of other notches. A gusset softens the shoulder;
/// that is not counted.
fn notch(design: &Design, given: Option<f64>, out: &mut Checks) -> f64 {
    let face = design.gearbox_face();
    let fillet = design.casting().fillets().of(Feature::GearboxFace).unwrap_or_default();
    let shell = design.shell().outside_radius(face.flange_thickness() + fillet).unwrap_or_default() * 2.0;
    let shoulder = shoulder_in_bending(face.flange_diameter(), shell, fillet);
    out.driveline.add("housing", "notch factor of the flange's fillet", shoulder, Unit::One, NOTCH_SOURCE);
    given.unwrap_or(shoulder.max(ELSEWHERE))
}

/// The weight alone, up and down, against fatigue; with the weight stands the notch factor.
fn tired(
    sections: &[(f64, Weaker)],
    supports: &[Support<'_>],
    [weight, notch]: [f64; 2],
    endures: f64,
    out: &mut Checks,
) {
    let swing = Case { name: "its weight up and down", up: weight, ..Case::NONE };
    let of = |x: f64, section: &Weaker, case: &Case| {
        Some(notch * section.stress(0.0, section_load(case, x, supports).bending))
    };
    let Some((swing, station, case)) = worst(sections, &[swing], of) else { return };
    let what = format!("at station {station:.0} mm, {case}, notch {notch:.1}");
    push(out, Against::Fatigue, &what, endures / swing, station, THICKER);
}

/// Torsion of closed rings, and of those that an opening cuts.
fn torsion(
    rings: &[(f64, Twisted)],
    supports: &[Support<'_>],
    cases: &[Case],
    yields: f64,
    out: &mut Checks,
) {
    for against in [Against::Torsion, Against::OpenTorsion] {
        let wanted = matches!(against, Against::OpenTorsion);
        if !rings.iter().any(|(_, ring)| ring.is_open() == wanted) {
            continue;
        }
        let stress = |x: f64, ring: &Twisted, case: &Case| {
            (ring.is_open() == wanted).then(|| ring.shear(&section_load(case, x, supports)))
        };
        let Some((stress, station, case)) = worst(rings, cases, stress) else {
            out.not(against.check(), UNLOADED);
            continue;
        };
        let what = format!("at station {station:.0} mm, {case}");
        push(out, against, &what, SHEAR_SHARE * yields / stress, station, THICKER);
        let name = if wanted { "shear stress, open section" } else { "shear stress, closed section" };
        out.driveline.add("housing", name, stress, Unit::MPa, format!("{what}, without notches"));
    }
}

/// Every so many sections are told in the table.
const TOLD: usize = 5;

/// The greatest stresses of all cases along the housing.
fn along(
    sections: &[(f64, Weaker)],
    rings: &[(f64, Twisted)],
    supports: &[Support<'_>],
    cases: &[Case],
) -> Vec<SectionStress> {
    let one = |(x, section): &(f64, Weaker)| {
        let loads = || cases.iter().map(|case| section_load(case, *x, supports));
        let bending = loads().map(|load| section.stress(load.pull, load.bending)).fold(0.0, f64::max);
        // Nothing twists the housing behind its last mount.
        let ring = rings.iter().find(|(at, _)| at.total_cmp(x).is_eq());
        if ring.is_none() && supports.last().is_some_and(|support| *x < support.station) {
            return None;
        }
        let torsion = ring.map_or(0.0, |(_, ring)| loads().map(|load| ring.shear(&load)).fold(0.0, f64::max));
        Some(SectionStress { station: *x, bending, torsion })
    };
    sections.iter().filter_map(one).collect()
}

/// Some of them as a table.
fn by_station(stress: &[SectionStress]) -> Table {
    let row = |s: &SectionStress| (format!("{:.1} mm", s.station), vec![s.bending, s.torsion]);
    Table {
        subject: "housing",
        title: "greatest stress of all cases by station, without notches".to_owned(),
        columns: vec![("bending", Unit::MPa), ("torsion", Unit::MPa)],
        rows: stress.iter().step_by(TOLD).map(row).collect(),
    }
}

/// Greatest tension, N/mm²: pull over area, and bending about both axes at the corner of the section's box, so above the true one.
fn stress(section: &PlaneSection, pull: f64, bending: [f64; 2]) -> f64 {
    let bent = |k: usize| bending[k].abs() * section.reach[k] / section.second[k];
    pull.abs() / section.area + bent(0) + bent(1)
}

/// A pad's root: the plane just outside the shell, within the pad's outline.
fn root(
    design: &Design,
    support: &Support<'_>,
    cases: &[Case],
    yields: f64,
    triangles: impl Iterator<Item = [P3; 3]>,
    out: &mut Checks,
) {
    let (pad, share) = (support.pad, support.share);
    let (middle, half) = (pad.station(), pad.outline().length / 2.0);
    let outside = [middle - half, middle, middle + half]
        .into_iter()
        .filter_map(|x| design.shell().outside_radius(x))
        .fold(Mm::default(), Mm::max);
    let depth = outside.get() + FILLET;
    let arm = support.drop - depth;
    if pad.drop().get() <= depth + 1.0 {
        out.not(Against::Root.check(), format!("the face of {} lies at the shell", support.feature));
        return;
    }
    let reach = [half.get(), pad.outline().width.get() / 2.0].map(|r| r + MARGIN);
    let (x, y) = (middle.get(), pad.side_offset().get());
    let near = |p: [f64; 2]| p[0].abs() < reach[0] && p[1].abs() < reach[1];
    let cut = Cut { origin: P3::new(x, y, -depth), axes: [V3::x(), V3::y()] };
    let Some(section) = PlaneSection::within(&pieces(triangles, &cut), near) else {
        out.not(
            Against::Root.check(),
            format!("the section of {} runs into other features", support.feature),
        );
        return;
    };
    let section = section.least(CHORD);
    let of = |case: &Case| {
        let bending = [case.along * arm, case.across * arm + case.couple].map(|m| share * m);
        (yields / stress(&section, share * case.up, bending), case.name)
    };
    let loaded = cases.iter().map(of).filter(|(factor, _)| factor.is_finite());
    if let Some((factor, case)) = loaded.min_by(|a, b| a.0.total_cmp(&b.0)) {
        let what = format!("{}, {case}", support.feature);
        let hint = "widen the pad or thicken its walls, or lower the mount's lever";
        push(out, Against::Root, &what, factor, x, hint);
    }
}

fn push(out: &mut Checks, against: Against, what: &str, factor: f64, station: f64, hint: &'static str) {
    let ([least, soft], source) = against.limits();
    let limit = |value: f64| Limit { value, source: source.clone(), given: false };
    let made = Measurement::new(against.check(), what, (factor, Unit::One), Sense::AtLeast, hint);
    let made = Measurement { limit: least.map(limit), soft: soft.map(limit), ..made };
    out.measurements.push(made.at([P3::new(station, 0.0, 0.0)], []));
}
