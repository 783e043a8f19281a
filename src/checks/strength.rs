//! Stress in the housing by plane sections: bending from the gearbox face to the mount, and at the root of the mount's pad.
//!
//! The housing is taken as a beam held at the gearbox face. Its sections are cut from the mesh at even distances; torsion and what
//! the walls bend by themselves are not computed.

use super::mating::{Case, UNLOADED, load_cases, weight};
use super::plane_section::{Cut, PlaneSection};
use super::{Checks, Limit, Measurement, Sense, Unit};
use crate::design::{Design, MountPad};
use crate::faces::Feature;
use crate::standards::properties::{FATIGUE_SOURCE, fatigue_strength, of_alloy, strength_in_casting};
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
    /// The root of the mount's pad, yield.
    Root,
}

impl Against {
    const fn check(self) -> &'static str {
        match self {
            Self::Yield => "housing's section against yield, factor",
            Self::Fatigue => "housing's section against fatigue, factor",
            Self::Root => "root of the mount's pad against yield, factor",
        }
    }

    /// Least factor, and that below which a warning is given (common practice), with the source of the strength.
    fn limits(self) -> ([f64; 2], String) {
        match self {
            Self::Fatigue => ([1.0, 1.5], format!("{FATIGUE_SOURCE}; three quarters of it for the casting itself")),
            Self::Yield | Self::Root => (
                [1.5, 2.0],
                "three quarters of the bars' least yield strength (ASTM B26 10.3, read); factors: common practice".to_owned(),
            ),
        }
    }
}

pub(super) fn check(design: &Design, probe: &Probe, out: &mut Checks) {
    if let Err(because) = sections(design, probe, out) {
        out.not("stress in the housing's sections", because);
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
    let pad = design.mount_pad().ok_or("the part has no `mount_pad`")?;
    let cases = load_cases(design)?;
    let [yields, endures] = strength(design)?;
    let mesh = probe.mesh();
    let triangles = || (0..mesh.triangles.len()).map(|t| mesh.corners(t));
    let (mount, drop) = (pad.station().get(), (pad.drop() + loads.lever).get());
    let first = design.gearbox_face().flange_thickness().get() + 0.5;
    let count = ((mount - first) / STEP).ceil().max(0.0) as usize;
    // Stress of each case at each section; the weight alone, up and down, for fatigue.
    let mut worst: Option<(f64, f64, &'static str)> = None;
    let mut tired: Option<(f64, f64)> = None;
    let mut unknown = 0;
    for station in (0..count).map(|i| first + STEP * i as f64) {
        let cut = Cut { origin: P3::new(station, 0.0, 0.0), axes: [V3::y(), V3::z()] };
        let Some(section) = PlaneSection::of(triangles(), &cut) else {
            unknown += 1;
            continue;
        };
        let arm = mount - station;
        for case in &cases {
            let bending = [case.across * arm, case.up * arm + case.along * drop];
            let stress = stress(&section, case.along, bending);
            if worst.is_none_or(|(known, ..)| stress > known) {
                worst = Some((stress, station, case.name));
            }
        }
        let swing = loads.notch_factor * stress(&section, 0.0, [0.0, weight(loads) * arm]);
        if tired.is_none_or(|(known, _)| swing > known) {
            tired = Some((swing, station));
        }
    }
    let hint = "thicken the shell there (`shell.wall`), or bring the mount nearer to the gearbox face";
    if let Some((stress, station, case)) = worst {
        if stress > 0.0 {
            let what = format!("at station {station:.0} mm, {case}");
            push(out, Against::Yield, &what, yields / stress, station, hint);
        } else {
            out.not(Against::Yield.check(), UNLOADED);
        }
    }
    if let Some((swing, station)) = tired {
        let what =
            format!("at station {station:.0} mm, its weight up and down, notch {}", loads.notch_factor);
        push(out, Against::Fatigue, &what, endures / swing, station, hint);
    }
    if unknown > 0 {
        out.not(Against::Yield.check(), format!("{unknown} of {count} sections are not closed on the mesh"));
    }
    root(design, pad, &cases, yields, triangles(), out);
    Ok(())
}

/// Greatest tension, N/mm²: pull over area, and bending about both axes at the corner of the section's box, so above the true one.
fn stress(section: &PlaneSection, pull: f64, bending: [f64; 2]) -> f64 {
    let bent = |k: usize| bending[k].abs() * section.reach[k] / section.second[k];
    pull.abs() / section.area + bent(0) + bent(1)
}

/// The pad's root: the plane just outside the shell, within the pad's outline.
fn root(
    design: &Design,
    pad: &MountPad,
    cases: &[Case],
    yields: f64,
    triangles: impl Iterator<Item = [P3; 3]>,
    out: &mut Checks,
) {
    let lever = design.vehicle().loads.as_ref().map_or(0.0, |l| l.lever.get());
    let (middle, half) = (pad.station(), pad.outline().length / 2.0);
    let outside = [middle - half, middle, middle + half]
        .into_iter()
        .filter_map(|x| design.shell().outside_radius(x))
        .fold(Mm::default(), Mm::max);
    let depth = outside.get() + FILLET;
    let arm = pad.drop().get() + lever - depth;
    if pad.drop().get() <= depth + 1.0 {
        out.not(Against::Root.check(), "the pad's face lies at the shell");
        return;
    }
    let reach = [half.get(), pad.outline().width.get() / 2.0].map(|r| r + MARGIN);
    let (x, y) = (middle.get(), pad.side_offset().get());
    let near = |p: [f64; 2]| p[0].abs() < reach[0] && p[1].abs() < reach[1];
    let cut = Cut { origin: P3::new(x, y, -depth), axes: [V3::x(), V3::y()] };
    let Some(section) = PlaneSection::within(triangles, &cut, near) else {
        out.not(Against::Root.check(), "its section runs into other features");
        return;
    };
    let of = |case: &Case| {
        let bending = [case.along * arm, case.across * arm + case.couple];
        (yields / stress(&section, case.up, bending), case.name)
    };
    let loaded = cases.iter().map(of).filter(|(factor, _)| factor.is_finite());
    if let Some((factor, case)) = loaded.min_by(|a, b| a.0.total_cmp(&b.0)) {
        let what = format!("{}, {case}", Feature::MountPad);
        let hint = "widen the pad or thicken its walls, or lower the mount's lever";
        push(out, Against::Root, &what, factor, x, hint);
    }
}

fn push(out: &mut Checks, against: Against, what: &str, factor: f64, station: f64, hint: &'static str) {
    let ([least, soft], source) = against.limits();
    let limit = |value: f64| Limit { value, source: source.clone(), given: false };
    let made = Measurement::new(against.check(), what, (factor, Unit::One), Sense::AtLeast, hint)
        .fails_by(&limit(least))
        .warns_too_by(&limit(soft));
    out.measurements.push(made.at([P3::new(station, 0.0, 0.0)], []));
}
