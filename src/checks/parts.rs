//! Groups of checks that are made together, the forms they examine, and how they are run.

use std::sync::OnceLock;

use super::cast_metal::CastMetal;
use super::{
    CHORD, Checks, Feeding, Limit, Limits, Measurement, Sense, Unit, access, bolts, break_out, facings,
    feeding, gaps, holes, keep_clear, lost_holes, mating, moulding, prints, sections, strength, walls,
};
use crate::design::{Design, Form};
use crate::finding::Hindrance;
use crate::forms::{FormError, Product};
use crate::housing::Housing;
use solidwright::mesh::MeshError;
use solidwright::probe::Probe;

/// A group of checks that are made together. Each check belongs to one group only.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Part {
    /// Thickness of walls, finished.
    Walls,
    /// Edges, floors and threads of holes.
    Holes,
    /// Room around bolts.
    Bolts,
    /// Path of the sender.
    SenderWay,
    /// Holes that break out, or of which nothing is left, and facings under other metal.
    BreakOut,
    /// Gaps between features.
    Gaps,
    /// Turning parts inside and surroundings.
    KeepClear,
    /// Fits, seal, slip yoke, driveline, speedometer, line-up, shift rail: needs no solid.
    FitsAndDriveline,
    /// Stress in the housing's sections.
    Strength,
    /// Draft and undercuts.
    Moulding,
    /// Remaining stock in the worst case, and pressure on the core's prints.
    StockAndPrints,
    /// Sections of the casting.
    Sections,
    /// The trial print.
    TrialPrint,
}

impl Part {
    /// All groups, in the order in which they are made.
    pub const ALL: [Self; 13] = [
        Self::Walls,
        Self::Holes,
        Self::Bolts,
        Self::SenderWay,
        Self::BreakOut,
        Self::Gaps,
        Self::KeepClear,
        Self::FitsAndDriveline,
        Self::Strength,
        Self::Moulding,
        Self::StockAndPrints,
        Self::Sections,
        Self::TrialPrint,
    ];

    /// The form that it examines.
    pub fn form(self) -> Form {
        match self {
            Self::Moulding | Self::StockAndPrints | Self::Sections => Form::Casting,
            Self::TrialPrint => Form::TrialPrint,
            _ => Form::Finished,
        }
    }

    /// The groups that examine some forms.
    pub fn of(forms: &[Form]) -> Vec<Self> {
        Self::ALL.into_iter().filter(|p| forms.contains(&p.form())).collect()
    }

    /// Its name in files.
    pub fn name(self) -> &'static str {
        match self {
            Self::Walls => "walls",
            Self::Holes => "holes",
            Self::Bolts => "bolts",
            Self::SenderWay => "sender way",
            Self::BreakOut => "break out",
            Self::Gaps => "gaps",
            Self::KeepClear => "keep clear",
            Self::FitsAndDriveline => "fits and driveline",
            Self::Strength => "strength",
            Self::Moulding => "moulding",
            Self::StockAndPrints => "stock and prints",
            Self::Sections => "sections",
            Self::TrialPrint => "trial print",
        }
    }
}

/// The results of some groups, separately, in the order of [`Part::ALL`].
///
/// # Errors
/// If the finished part cannot be meshed.
pub fn each(product: &Product, wanted: &[Part]) -> Result<Vec<(Part, Checks)>, MeshError> {
    measured(product, wanted, &OnceLock::new())
}

/// The results of some groups and, where a casting is examined and can be made, the advice on feeding it.
///
/// # Errors
/// If the finished part or the casting cannot be meshed.
pub(super) fn advised(product: &Product, wanted: &[Part]) -> Result<(Groups, Option<Feeding>), MeshError> {
    let metal = OnceLock::new();
    let found = measured(product, wanted, &metal)?;
    let examined = wanted.iter().any(|part| part.form() == Form::Casting);
    let Some(casting) = examined.then(|| product.casting().ok()).flatten() else { return Ok((found, None)) };
    let metal =
        metal.get_or_init(|| CastMetal::of(product.design(), casting)).as_ref().map_err(Clone::clone)?;
    Ok((found, Some(feeding::advice(product.design(), casting, metal))))
}

/// Groups with their results.
pub(super) type Groups = Vec<(Part, Checks)>;

/// The casting's metal, measured when it is first asked for.
type Measured<'a> = OnceLock<Result<CastMetal<'a>, MeshError>>;

fn measured<'p>(
    product: &'p Product,
    wanted: &[Part],
    metal: &Measured<'p>,
) -> Result<Vec<(Part, Checks)>, MeshError> {
    let limits = Limits::of(product.design());
    let of = |form: Form| -> Vec<Part> {
        Part::ALL.into_iter().filter(|p| p.form() == form && wanted.contains(p)).collect()
    };
    let part = || finished_part(product, &limits, &of(Form::Finished));
    let casting = || as_cast(product, &limits, &of(Form::Casting), metal);
    let print = || as_printed(product, &limits, &of(Form::TrialPrint));
    let (part, (casting, print)) = rayon::join(part, || rayon::join(casting, print));
    Ok(part?.into_iter().chain(casting).chain(print).collect())
}

/// Names of the checks that report whether the forms can be made at all.
const CASTING: &str = "casting can be made";
const CORE: &str = "core can be made";
pub(super) const PRINT: &str = "trial print can be made";

/// Holes that break out, and those of which nothing is left; facings with metal over them.
fn holes_cut(design: &Design, finished: &Housing, out: &mut Checks) {
    break_out::check(finished.solid.brep(), out);
    lost_holes::check(finished, out);
    facings::check(design, finished, out);
}

/// What [`Part::BreakOut`] measures: it needs no mesh, so that `build` can tell it as well.
pub fn holes_cut_of(design: &Design, finished: &Housing) -> Vec<Measurement> {
    let mut out = Checks::default();
    holes_cut(design, finished, &mut out);
    out.measurements
}

fn finished_part(
    product: &Product,
    limits: &Limits,
    parts: &[Part],
) -> Result<Vec<(Part, Checks)>, MeshError> {
    let (design, finished) = (product.design(), product.finished());
    let solid = parts.iter().any(|p| *p != Part::FitsAndDriveline);
    let probe = if solid { Some(Probe::new(&finished.solid, CHORD)?) } else { None };
    let one = |part: &Part| {
        let mut out = Checks::default();
        match (part, &probe) {
            (Part::Walls, Some(probe)) => walls::check(design, probe, limits, &mut out),
            (Part::Holes, Some(probe)) => holes::check(design, finished, probe, limits, &mut out),
            (Part::Bolts, Some(probe)) => bolts::check(design, probe, limits, &mut out),
            (Part::SenderWay, Some(probe)) => access::sender(design, finished, probe, limits, &mut out),
            (Part::BreakOut, _) => holes_cut(design, finished, &mut out),
            (Part::Gaps, Some(probe)) => gaps::check(probe, limits, &mut out),
            (Part::KeepClear, Some(probe)) => keep_clear::check(design, finished, probe, &mut out),
            (Part::Strength, Some(probe)) => strength::check(design, probe, &mut out),
            _ => mating::check(design, &mut out),
        }
        (*part, out)
    };
    Ok(parts.iter().map(one).collect())
}

fn as_cast<'p>(
    product: &'p Product,
    limits: &Limits,
    parts: &[Part],
    metal: &Measured<'p>,
) -> Vec<(Part, Checks)> {
    let Some(first) = parts.first() else { return vec![] };
    let design = product.design();
    let casting = match product.casting() {
        Ok(casting) => casting,
        Err(error) => {
            let mut out = Checks::default();
            out.cannot(CASTING, "casting", &error);
            return vec![(*first, out)];
        }
    };
    let one = |part: &Part| {
        let mut out = Checks::default();
        match part {
            Part::Moulding => moulding::check(product, casting, limits, &mut out),
            Part::StockAndPrints => {
                ruled_out(design, Form::Core, CORE, &mut out);
                moulding::stock_and_prints(casting, limits, &mut out);
            }
            _ => match metal.get_or_init(|| CastMetal::of(design, casting)) {
                Ok(metal) => sections::check(design, casting, metal, limits, &mut out),
                Err(error) => out.cannot(CASTING, "mesh of the casting", error),
            },
        }
        (*part, out)
    };
    parts.iter().map(one).collect()
}

/// Adds a failure for each rule that a form breaks.
fn ruled_out(design: &Design, form: Form, check: &'static str, out: &mut Checks) -> bool {
    for finding in design.against_form(form) {
        out.cannot(check, form.name(), Hindrance::Design(finding.in_a_line()));
    }
    design.against_form(form).next().is_some()
}

/// That the part does not fit on a bed of which the file says nothing: no fault of the part, for there may be no printer at all.
fn assumed_bed(why: &str) -> Measurement {
    let hint = "name your printer's `bed_length`, `bed_width` and `bed_height` in `trial_print`; without a trial print this means nothing";
    let limit = Limit {
        value: 1.0,
        source: format!("the file names no printer, so a bed is assumed: {why}"),
        given: false,
    };
    let made =
        Measurement::new(PRINT, "trial print", (0.0, Unit::Count), Sense::AtLeast, hint).warns_by(&limit);
    Measurement { fault: true, ..made }
}

fn as_printed(product: &Product, limits: &Limits, parts: &[Part]) -> Vec<(Part, Checks)> {
    let design = product.design();
    let one = |part: &Part| {
        let mut out = Checks::default();
        if ruled_out(design, Form::TrialPrint, PRINT, &mut out) {
            return (*part, out);
        }
        match product.trial_print() {
            Ok(made) => prints::check(design, made, limits, &mut out),
            Err(FormError::Bed(why)) if !design.trial_print().bed_named() => {
                out.measurements.push(assumed_bed(&why));
            }
            Err(error) => out.cannot(PRINT, "trial print", &error),
        }
        (*part, out)
    };
    parts.iter().map(one).collect()
}
