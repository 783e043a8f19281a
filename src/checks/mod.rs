//! Checks of a part: each measures something and compares it with a limit that has a source.
//!
//! A check that lacks input is listed as not made, never as passed.

mod access;
mod bolts;
mod break_out;
mod cast_metal;
mod driveline_report;
mod facings;
mod feeding;
mod gaps;
mod holes;
mod keep_clear;
mod limits;
mod lost_holes;
mod lumps;
mod mating;
mod modulus;
mod moulding;
mod mount_bolts;
mod names;
mod not_computed;
mod open_section;
mod pad_root;
mod parts;
mod plain_tube;
mod plane_section;
mod prints;
mod ring_section;
mod sections;
mod stiffness;
mod strength;
mod twisted;
mod walls;

pub use driveline_report::{DrivelineReport, Figure, SectionStress, Table};
pub use feeding::{FedLump, Feeding, Gating, feeding, gating_for};
pub use limits::{Limit, Limits};
pub use mating::{
    MachinedFit, MeasuredBore, line_up_limit, machined_fit, machined_fits, measured_line_up, measured_play,
};
pub use moulding::{of_made, undercuts, undercuts_of_core_box};
pub use names::{NAMES, check_named, form_of};
pub use not_computed::NotComputed;
pub use parts::{Part, each, holes_cut_of};
pub use sections::{hot_spot_map, modulus_map};
pub use walls::{Histogram, WallShare, histogram, thickness_map, thickness_shares};

use std::borrow::Cow;

use crate::design::{Design, Form};
use crate::faces::Feature;
use crate::finding::Hindrance;
use crate::forms::{Product, Undercut};
use solidwright::geometry::P3;
use solidwright::mesh::MeshError;
use solidwright::solid::Brep;

/// The verdict of a check.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Verdict {
    /// Beyond the limit.
    Fail,
    /// Beyond what is usual or wanted.
    Warn,
    /// Within it.
    Pass,
}

impl Verdict {
    /// Its word in tables.
    pub fn word(self) -> &'static str {
        match self {
            Self::Fail => "fail",
            Self::Warn => "warn",
            Self::Pass => "pass",
        }
    }

    /// The verdict that [`Self::word`] writes so.
    pub fn of(word: &str) -> Option<Self> {
        [Self::Fail, Self::Warn, Self::Pass].into_iter().find(|v| v.word() == word)
    }
}

/// The unit of a value.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unit {
    /// Millimetres.
    Mm,
    /// Square millimetres.
    Mm2,
    /// Degrees.
    Deg,
    /// Megapascals.
    MPa,
    /// A ratio.
    One,
    /// A whole number.
    Count,
    /// Percent.
    Percent,
    /// Newtons.
    Newton,
    /// Newtons a millimetre.
    NewtonPerMm,
    /// Degrees Celsius.
    Celsius,
    /// Revolutions a minute.
    Rpm,
    /// Metres a second.
    MetrePerSecond,
    /// Radians a second, squared.
    PerSecond2,
    /// Hertz.
    Hertz,
    /// Hardness, Rockwell C.
    Rockwell,
}

impl Unit {
    /// Its symbol for people, and the number of decimals to show.
    pub const fn shown(self) -> (&'static str, usize) {
        match self {
            Self::Mm => ("mm", 3),
            Self::Mm2 => ("mm²", 0),
            Self::Deg => ("°", 2),
            Self::MPa => ("MPa", 4),
            Self::One => ("", 3),
            Self::Count => ("", 0),
            Self::Percent => ("%", 2),
            Self::Newton => ("N", 0),
            Self::NewtonPerMm => ("N/mm", 0),
            Self::Celsius => ("°C", 1),
            Self::Rpm => ("rev/min", 0),
            Self::MetrePerSecond => ("m/s", 2),
            Self::PerSecond2 => ("rad/s²", 1),
            Self::Hertz => ("Hz", 1),
            Self::Rockwell => ("HRC", 0),
        }
    }

    /// Its name in files, plain letters only.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Mm2 => "mm2",
            Self::Deg => "deg",
            Self::One | Self::Count => "1",
            Self::Celsius => "degC",
            Self::PerSecond2 => "rad/s2",
            Self::Rpm => "rpm",
            other => other.shown().0,
        }
    }
}

/// Which side of the limit is good.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sense {
    /// Values from the limit up.
    AtLeast,
    /// Values up to the limit.
    AtMost,
}

impl Sense {
    /// Its words in tables.
    pub fn words(self) -> &'static str {
        match self {
            Self::AtLeast => "at least",
            Self::AtMost => "at most",
        }
    }
}

/// One measurement with its limit.
#[derive(Clone, Debug, PartialEq)]
pub struct Measurement {
    /// Which check, such as `wall`.
    pub check: &'static str,
    /// What was measured: features, faces, a hole.
    pub what: String,
    /// The value, in `unit`.
    pub value: f64,
    /// Its unit.
    pub unit: Unit,
    /// Which side is good.
    pub sense: Sense,
    /// The limit beyond which the part fails, if there is one; otherwise only the softer one counts.
    pub limit: Option<Limit>,
    /// The limit beyond which a warning is given.
    pub soft: Option<Limit>,
    /// Position: a point, or both ends of a distance, mm.
    pub at: Vec<P3>,
    /// The faces there, `feature/role`.
    pub faces: Vec<String>,
    /// The area of each face, where the value is the area of undercuts.
    pub undercuts: Vec<Undercut>,
    /// What to change.
    pub hint: Cow<'static, str>,
    /// See [`Self::is_fault`].
    fault: bool,
    /// Whether it says that the part bears its loads.
    pub bears: bool,
    /// The check that tells of the same thing: then this is no finding of its own.
    pub same_as: Option<&'static str>,
}

/// A value this close to its limit is within it: values are exact to about this.
const NEAR: f64 = 1e-6;

impl Measurement {
    /// Whether it only reports that something is not available or cannot be measured, so that other checks are missing.
    pub fn is_fault(&self) -> bool {
        self.fault
    }

    fn new(
        check: &'static str,
        what: impl Into<String>,
        (value, unit): (f64, Unit),
        sense: Sense,
        hint: impl Into<Cow<'static, str>>,
    ) -> Self {
        let (what, hint) = (what.into(), hint.into());
        let (at, faces, undercuts) = (vec![], vec![], vec![]);
        Self {
            check,
            what,
            value,
            unit,
            sense,
            limit: None,
            soft: None,
            at,
            faces,
            undercuts,
            hint,
            fault: false,
            bears: false,
            same_as: None,
        }
    }

    /// With the limit beyond which the part fails.
    fn fails_by(mut self, limit: &Limit) -> Self {
        self.limit = Some(limit.clone());
        self
    }

    /// With the limit beyond which a warning is given.
    fn warns_by(mut self, limit: &Limit) -> Self {
        self.soft = Some(limit.clone());
        self
    }

    /// With a limit that warns, or that fails if the file sets it.
    fn warns_or_fails_by(self, limit: &Limit) -> Self {
        if limit.given { self.fails_by(limit) } else { self.warns_by(limit) }
    }

    /// With a softer limit beside the failing one, unless the file sets the failing one, which then alone counts.
    fn warns_too_by(self, soft: &Limit) -> Self {
        if self.limit.as_ref().is_some_and(|l| l.given) { self } else { self.warns_by(soft) }
    }

    /// One that says whether the part bears its loads.
    fn of_loads(self) -> Self {
        Self { bears: true, ..self }
    }

    /// By how much the value is better than the limit at which the part fails: above 1 within it. `None` without such a limit, or with
    /// one that is zero.
    pub fn reserve(&self) -> Option<f64> {
        let limit = self.limit.as_ref()?.value;
        let reserve = match self.sense {
            Sense::AtLeast => self.value / limit,
            Sense::AtMost => limit / self.value,
        };
        reserve.is_finite().then_some(reserve)
    }

    /// With its position.
    fn at(mut self, points: impl IntoIterator<Item = P3>, faces: impl IntoIterator<Item = String>) -> Self {
        (self.at, self.faces) = (points.into_iter().collect(), faces.into_iter().collect());
        self
    }

    /// With the undercuts that it adds up.
    fn of_undercuts(mut self, undercuts: impl IntoIterator<Item = Undercut>) -> Self {
        self.undercuts = undercuts.into_iter().collect();
        self
    }

    /// The feature that it is about: what it names, or else that of its faces; [`Feature::Other`] if it is about none.
    pub fn feature(&self) -> Feature {
        let names = std::iter::once(self.what.as_str()).chain(self.faces.iter().map(String::as_str));
        names.map(Feature::of_face).find(|f| *f != Feature::Other).unwrap_or(Feature::Other)
    }

    /// How far the value is inside a limit; negative beyond it.
    pub fn within(&self, limit: &Limit) -> f64 {
        match self.sense {
            Sense::AtLeast => self.value - limit.value,
            Sense::AtMost => limit.value - self.value,
        }
    }

    /// The deciding limit: the failing one, or the softer one if only that is exceeded or there is no other.
    pub fn deciding(&self) -> Option<&Limit> {
        let passed = |l: &&Limit| self.within(l) < -NEAR;
        self.limit
            .as_ref()
            .filter(passed)
            .or_else(|| self.soft.as_ref().filter(passed))
            .or(self.limit.as_ref())
            .or(self.soft.as_ref())
    }

    /// How far inside the deciding limit the value lies.
    pub fn margin(&self) -> f64 {
        self.deciding().map_or(f64::INFINITY, |limit| self.within(limit))
    }

    /// Pass, warn or fail.
    pub fn verdict(&self) -> Verdict {
        // What is not a number, or endless, was not measured, and is within no limit.
        let beyond = |within: f64| !within.is_finite() || within < -NEAR;
        let passed = |l: &Option<Limit>| l.as_ref().is_some_and(|l| beyond(self.within(l)));
        if passed(&self.limit) {
            Verdict::Fail
        } else if passed(&self.soft) {
            Verdict::Warn
        } else {
            Verdict::Pass
        }
    }
}

/// A check that was not made.
#[derive(Clone, Debug, PartialEq)]
pub struct NotChecked {
    /// Which check.
    pub check: &'static str,
    /// Why.
    pub because: String,
}

/// Something that the program could not make or measure although it should: no verdict on the design.
#[derive(Clone, Debug, PartialEq)]
pub struct ProgramFault {
    /// Which check.
    pub check: &'static str,
    /// What could not be made or measured.
    pub what: String,
    /// What went wrong.
    pub because: String,
}

/// The result of all checks.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Checks {
    /// Measurements; failures first, then warnings, then passes, each by its share of the limit ([`order`]).
    pub measurements: Vec<Measurement>,
    /// What was not checked.
    pub not_checked: Vec<NotChecked>,
    /// What the program could not make or measure; nothing is known of what depends on it.
    pub program_faults: Vec<ProgramFault>,
    /// Report on fits and driveline.
    pub driveline: DrivelineReport,
    /// Why no stress in the part was computed, where the strength was to be checked; `None` where it was.
    pub strength_unknown: Option<String>,
}

impl Checks {
    /// The number of findings with a verdict; what tells of the same thing by another measure counts once.
    pub fn count(&self, verdict: Verdict) -> usize {
        self.measurements.iter().filter(|c| c.verdict() == verdict && c.same_as.is_none()).count()
    }

    /// Notes that something which other checks need is not available. Where the design is at fault this is a failure, and
    /// the reason is reported as the limit's source; a fault of the program is no verdict.
    fn cannot(&mut self, check: &'static str, what: &str, why: impl Into<Hindrance>) {
        let why = match why.into() {
            Hindrance::Design(why) => why,
            Hindrance::Program(because) => {
                self.program_faults.push(ProgramFault { check, what: what.to_owned(), because });
                return;
            }
        };
        let hint = "change what it names; without this nothing is known of what hangs on it";
        let limit = Limit { value: 1.0, source: why, given: false };
        let made = Measurement::new(check, what, (0.0, Unit::Count), Sense::AtLeast, hint).fails_by(&limit);
        self.measurements.push(Measurement { fault: true, ..made });
    }

    fn not(&mut self, check: &'static str, because: impl Into<String>) {
        self.not_checked.push(NotChecked { check, because: because.into() });
    }
}

/// The names of some faces of a solid, `feature/role`.
fn names(brep: &Brep, faces: impl IntoIterator<Item = usize>) -> Vec<String> {
    faces.into_iter().map(|f| brep.faces[f].tag.to_string()).collect()
}

/// Chord error of the mesh that provides starting points, mm.
pub const CHORD: f64 = 0.15;

/// All checks of some forms: the finished part's, the casting's, the trial print's.
///
/// # Errors
/// If the finished part cannot be meshed.
pub fn check(product: &Product, wanted: &[Form]) -> Result<Checks, MeshError> {
    Ok(together(each(product, &Part::of(wanted))?))
}

/// All checks of some forms and, where the casting is one of them and can be made, the advice on feeding it.
///
/// # Errors
/// If the finished part or the casting cannot be meshed.
pub fn check_and_advise(product: &Product, wanted: &[Form]) -> Result<(Checks, Option<Feeding>), MeshError> {
    let (found, advice) = parts::advised(product, &Part::of(wanted))?;
    Ok((together(found), advice))
}

fn together(found: Vec<(Part, Checks)>) -> Checks {
    let mut out = Checks::default();
    for (_, more) in found {
        out.measurements.extend(more.measurements);
        out.not_checked.extend(more.not_checked);
        out.program_faults.extend(more.program_faults);
        out.driveline.figures.extend(more.driveline.figures);
        out.driveline.tables.extend(more.driveline.tables);
        out.driveline.stress.extend(more.driveline.stress);
        out.strength_unknown = out.strength_unknown.or(more.strength_unknown);
    }
    out.measurements.sort_by(order);
    out
}

/// The order of measurements: failures first, then warnings, then passes, each by its margin as a share of the limit,
/// so that different units are comparable. Where the limit is zero, the margin itself counts, in its own unit.
pub fn order(a: &Measurement, b: &Measurement) -> std::cmp::Ordering {
    let share = |c: &Measurement| {
        let size = c.deciding().map_or(1.0, |l| l.value.abs());
        c.margin() / if size > 0.0 { size } else { 1.0 }
    };
    let by = a.verdict().cmp(&b.verdict()).then(share(a).total_cmp(&share(b)));
    by.then_with(|| (a.check, &a.what).cmp(&(b.check, &b.what)))
}

/// The checks that need no solid: fits, seal, slip yoke, driveline, speedometer, line-up, shift rail.
pub fn fits_and_driveline(design: &Design) -> Checks {
    let mut out = Checks::default();
    mating::check(design, &mut out);
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::forms::FormError;
    use solidwright::solid::SolidError;
    use solidwright::solid::evaluate::EvaluateError;

    fn core(source: EvaluateError) -> FormError {
        FormError::Solid { piece: "core".to_owned(), source: Box::new(SolidError::Boundary(source)) }
    }

    /// No measurement ends in what is no number, and none that does may pass, on whichever side the limit lies.
    #[test]
    fn what_is_no_finite_number_passes_no_limit() {
        let limit = Limit { value: 3.0, source: String::new(), given: false };
        for sense in [Sense::AtLeast, Sense::AtMost] {
            for value in [f64::INFINITY, f64::NEG_INFINITY, f64::NAN] {
                let made = Measurement::new("wall", "tail", (value, Unit::Mm), sense, "").fails_by(&limit);
                assert_eq!(made.verdict(), Verdict::Fail, "{value}, {}", sense.words());
            }
        }
    }

    /// A boundary that does not close is the program's fault, a form of which nothing is left the design's.
    #[test]
    fn only_the_design_fails_the_design() {
        let mut found = Checks::default();
        found.cannot(
            "core can be made",
            "core",
            &core(EvaluateError::Open { tags: vec![], at: P3::origin() }),
        );
        assert_eq!((found.count(Verdict::Fail), found.program_faults.len()), (0, 1));
        found.cannot("core can be made", "core", &core(EvaluateError::Empty));
        assert_eq!((found.count(Verdict::Fail), found.program_faults.len()), (1, 1));
    }
}
