//! Stress in the housing by plane sections: bending and torsion from the gearbox face to the mounts, and at the roots of the
//! mounts' pads.
//!
//! The housing is taken as a beam held at the gearbox face. Its sections are cut from the mesh at even distances, and the least
//! section counts that the exact solid may have there; what the walls bend by themselves is not computed. In bending the weaker of
//! the whole section and the shell's own tube counts ([`super::plain_tube`]). Bending and torsion are judged apart; where an opening
//! cuts the ring, the closed rings ahead and behind keep the section from warping ([`super::twisted`]).

use super::mating::{Case, Support, UNLOADED, at_mounts, load_cases, section_load, supports, weight};
use super::pad_root;
use super::plain_tube::PlainTube;
use super::plane_section::{Cut, Piece, PlaneSection, pieces};
use super::stiffness::{self, Sections};
use super::twisted::{self, Twisted};
use super::{CHORD, Checks, Limit, Measurement, SectionStress, Sense, Table, Unit};
use crate::design::Design;
use crate::faces::Feature;
use crate::standards::notch::{ELSEWHERE, NOTCH_SOURCE, shoulder_in_bending};
use crate::standards::properties::{fatigue_strength, of_alloy, strength_in_casting, strength_source};
use crate::standards::torsion::{SHEAR_SHARE, TORSION_SOURCE};
use crate::units::{Mm, Units};
use solidwright::geometry::{P3, V3};
use solidwright::probe::Probe;

/// Distance of the sections, mm.
const STEP: f64 = 3.0;

/// What a factor is against.
#[derive(Clone, Copy)]
pub(super) enum Against {
    /// The housing's section, yield.
    Yield,
    /// The housing's section, fatigue.
    Fatigue,
    /// The root of a mount's pad, yield; finite elements find peaks of so many times the section's stress on this form of pad.
    Root { peak: f64 },
    /// The closed ring of the housing's section in torsion, yield.
    Torsion,
    /// A section in torsion whose ring an opening cuts, yield.
    OpenTorsion,
}

impl Against {
    pub(super) const fn check(self) -> &'static str {
        match self {
            Self::Yield => "housing's section against yield, factor",
            Self::Fatigue => "housing's section against fatigue, factor",
            Self::Root { .. } => "root of the mount's pad against yield, factor",
            Self::Torsion => "housing's closed section in torsion, factor",
            Self::OpenTorsion => "housing's open section in torsion, factor",
        }
    }

    /// Least factor, and that below which a warning is given (common practice), with the source of the strength.
    fn limits(self, metal: &Metal) -> ([f64; 2], String) {
        let source = &metal.source;
        match self {
            Self::Fatigue => {
                ([1.0, 1.5], format!("{}; three quarters of it for the casting itself", metal.fatigue_source))
            }
            Self::OpenTorsion => (
                [1.5, 2.8],
                format!(
                    "{TORSION_SOURCE}; {source}; in shear 0.577 of that; finite elements on the demonstration find a peak of 2.5 times \
                 this stress at the opening's corners, which may yield below 2.8; factors: common practice"
                ),
            ),
            Self::Torsion => (
                [1.5, 2.0],
                format!("{TORSION_SOURCE}; {source}; in shear 0.577 of that; factors: common practice"),
            ),
            Self::Yield => ([1.5, 2.0], format!("{source}; factors: common practice")),
            Self::Root { peak } => metal.root_limits(peak),
        }
    }
}

/// Strength of the alloy in the casting itself.
pub(super) struct Metal {
    /// N/mm².
    pub(super) yields: f64,
    /// Amplitude that it stands for good, N/mm².
    endures: f64,
    /// Tensile strength over yield strength.
    reserve: f64,
    ductile: bool,
    source: String,
    /// In what stations are told.
    pub(super) units: Units,
    fatigue_source: &'static str,
}

impl Metal {
    fn of(design: &Design) -> Result<Self, String> {
        let alloy = design.casting().alloy();
        let row = of_alloy(alloy).map_err(|e| e.to_string())?;
        let (endures, fatigue_source) = fatigue_strength(row, alloy.family);
        Ok(Self {
            yields: strength_in_casting(row.strength[0]),
            endures: strength_in_casting(endures.get()),
            reserve: row.strength[1] / row.strength[0],
            ductile: row.ductile,
            source: strength_source(alloy, row),
            units: design.units(),
            fatigue_source,
        })
    }

    /// Where peaks at the root of a pad may yield, and where each load deforms anew; a brittle metal cracks instead.
    fn root_limits(&self, peak: f64) -> ([f64; 2], String) {
        let source = &self.source;
        let found = format!(
            "{source}; finite elements on a shell of a sixth of its radius find peaks of up to {peak} times this stress, since the walls \
             of pad and shell bend"
        );
        if self.ductile {
            let reason = "below half of that exceed twice the yield strength, beyond which each load deforms anew (Melan, from memory)";
            return ([0.5 * peak, peak], format!("{found}: below {peak} they may yield, {reason}"));
        }
        let reason = "below the limit that peak exceeds the tensile strength, and the metal cracks";
        ([peak / self.reserve, peak], format!("{found}: {reason}"))
    }
}

pub(super) fn check(design: &Design, probe: &Probe, out: &mut Checks) {
    if let Err(because) = sections(design, probe, out) {
        out.not("stress in the housing's sections", because.clone());
        out.strength_unknown = Some(because);
    }
}

fn sections(design: &Design, probe: &Probe, out: &mut Checks) -> Result<(), String> {
    let loads = design.vehicle().loads.as_ref().ok_or("`vehicle.loads` is not given")?;
    let supports = supports(design, loads.lever)?;
    let cases = load_cases(design)?;
    let metal = Metal::of(design)?;
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
    bending(&sections, &supports, &cases, &metal, out);
    tired(&sections, &supports, [weight(loads), notch(design, loads.notch_factor, out)], &metal, out);
    let poisson = of_alloy(design.casting().alloy()).map_err(|e| e.to_string())?.poisson;
    let rings = twisted::sections(&cuts, STEP, CHORD, 0.5 / (1.0 + poisson), last);
    torsion(&rings, &supports, &cases, &metal, out);
    out.driveline.stress = along(&sections, &rings, &supports, &cases);
    out.driveline.tables.push(by_station(&out.driveline.stress, metal.units));
    let unknown = loaded - sections.len();
    if unknown > 0 {
        out.not(Against::Yield.check(), format!("{unknown} of {loaded} sections are not closed on the mesh"));
    }
    if let Err(because) =
        stiffness::figures(design, &supports, &Sections { held, step: STEP, all: &all }, out)
    {
        out.not("stiffness of the housing", because);
    }
    let felt = at_mounts(&cases, &supports, loads.engine_mounts_ahead.get());
    for support in &supports {
        pad_root::check(design, support, &felt, &metal, out);
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
    metal: &Metal,
    out: &mut Checks,
) {
    let stress = |x: f64, section: &Weaker, case: &Case| {
        let load = section_load(case, x, supports);
        Some(section.stress(load.pull, load.bending))
    };
    let Some((stress, station, case)) = worst(sections, cases, stress) else {
        return out.not(Against::Yield.check(), UNLOADED);
    };
    let what = format!("at station {}, {case}", metal.units.near(station));
    push(out, Against::Yield, metal, &what, metal.yields / stress, station, THICKER);
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
    metal: &Metal,
    out: &mut Checks,
) {
    let swing = Case { name: "its weight up and down", up: weight, ..Case::NONE };
    let of = |x: f64, section: &Weaker, case: &Case| {
        Some(notch * section.stress(0.0, section_load(case, x, supports).bending))
    };
    let Some((swing, station, case)) = worst(sections, &[swing], of) else { return };
    let what = format!("at station {}, {case}, notch {notch:.1}", metal.units.near(station));
    push(out, Against::Fatigue, metal, &what, metal.endures / swing, station, THICKER);
}

/// Torsion of closed rings, and of those that an opening cuts.
fn torsion(
    rings: &[(f64, Twisted)],
    supports: &[Support<'_>],
    cases: &[Case],
    metal: &Metal,
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
        let what = format!("at station {}, {case}", metal.units.near(station));
        push(out, against, metal, &what, SHEAR_SHARE * metal.yields / stress, station, THICKER);
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
fn by_station(stress: &[SectionStress], units: Units) -> Table {
    let row = |s: &SectionStress| {
        (units.alone(Mm::new((s.station * 10.0).round() / 10.0)), vec![s.bending, s.torsion])
    };
    Table {
        subject: "housing",
        title: "greatest stress of all cases by station, without notches".to_owned(),
        columns: vec![("bending", Unit::MPa), ("torsion", Unit::MPa)],
        rows: stress.iter().step_by(TOLD).map(row).collect(),
    }
}

/// Greatest tension, N/mm²: pull over area, and bending about both axes at the corner of the section's box, so above the true one.
pub(super) fn stress(section: &PlaneSection, pull: f64, bending: [f64; 2]) -> f64 {
    let bent = |k: usize| bending[k].abs() * section.reach[k] / section.second[k];
    pull.abs() / section.area + bent(0) + bent(1)
}

/// Tells a factor: it fails below the first limit and warns below the second.
pub(super) fn push(
    out: &mut Checks,
    against: Against,
    metal: &Metal,
    what: &str,
    factor: f64,
    station: f64,
    hint: &'static str,
) {
    let (limits, source) = against.limits(metal);
    let [least, soft] = limits;
    let limit = |value: f64| Limit { value, source: source.clone(), given: false };
    let made = Measurement::new(against.check(), what, (factor, Unit::One), Sense::AtLeast, hint);
    let made = Measurement { limit: Some(limit(least)), soft: Some(limit(soft)), ..made };
    out.measurements.push(made.of_loads().at([P3::new(station, 0.0, 0.0)], []));
}
