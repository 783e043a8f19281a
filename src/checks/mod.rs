//! Checks of a part: each measures something and holds it against a limit that says where it comes from.
//!
//! What can't be checked for want of input is listed as such, never passed.

mod access;
mod bolts;
mod break_out;
mod gaps;
mod holes;
mod keep_clear;
mod limits;
mod mating;
mod modulus;
mod moulding;
mod parts;
mod prints;
mod sections;
mod sums;
mod walls;

pub use limits::{Limit, Limits};
pub use parts::{Part, each};
pub use sections::{hot_spot_map, modulus_map};
pub use sums::{Figure, Sums, Table};
pub use walls::{Histogram, histogram, thickness_map};

use crate::design::{Design, Form};
use crate::forms::Product;
use solidwright::geometry::P3;
use solidwright::mesh::MeshError;
use solidwright::solid::Brep;
use std::fmt;

/// What came of a check.
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
}

/// What a value is counted in.
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
    /// Its symbol for people, and decimals that are worth showing.
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
pub struct Checked {
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
    /// The limit whose passing fails the part, if there is one; else only the softer one counts.
    pub limit: Option<Limit>,
    /// The limit whose passing is worth a warning.
    pub soft: Option<Limit>,
    /// Where: a point, or both ends of a distance, mm.
    pub at: Vec<P3>,
    /// The faces there, `feature/role`.
    pub faces: Vec<String>,
    /// What to change.
    pub hint: &'static str,
    /// See [`Self::is_fault`].
    fault: bool,
}

/// A value this near its limit keeps it: values are exact to about this.
const NEAR: f64 = 1e-6;

impl Checked {
    /// Whether it only tells that something is not available or can't be measured, so that other checks are missing.
    pub fn is_fault(&self) -> bool {
        self.fault
    }

    fn new(
        check: &'static str,
        what: impl Into<String>,
        (value, unit): (f64, Unit),
        sense: Sense,
        hint: &'static str,
    ) -> Self {
        let what = what.into();
        let (at, faces) = (vec![], vec![]);
        Self { check, what, value, unit, sense, limit: None, soft: None, at, faces, hint, fault: false }
    }

    /// With the limit whose passing fails the part.
    fn fails_by(mut self, limit: &Limit) -> Self {
        self.limit = Some(limit.clone());
        self
    }

    /// With the limit whose passing is worth a warning.
    fn warns_by(mut self, limit: &Limit) -> Self {
        self.soft = Some(limit.clone());
        self
    }

    /// With a limit that warns; where the file itself gives it, it fails.
    fn warns_or_fails_by(self, limit: &Limit) -> Self {
        if limit.given { self.fails_by(limit) } else { self.warns_by(limit) }
    }

    /// With a softer limit beside the failing one, unless the file gives that one: then it alone counts.
    fn warns_too_by(self, soft: &Limit) -> Self {
        if self.limit.as_ref().is_some_and(|l| l.given) { self } else { self.warns_by(soft) }
    }

    /// With where it is.
    fn at(mut self, points: impl IntoIterator<Item = P3>, faces: impl IntoIterator<Item = String>) -> Self {
        (self.at, self.faces) = (points.into_iter().collect(), faces.into_iter().collect());
        self
    }

    /// How far inside a limit the value lies: negative beyond it.
    pub fn within(&self, limit: &Limit) -> f64 {
        match self.sense {
            Sense::AtLeast => self.value - limit.value,
            Sense::AtMost => limit.value - self.value,
        }
    }

    /// The limit that decides: the one that fails, or the softer one where only that is passed, or there is no other.
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
        let passed = |l: &Option<Limit>| l.as_ref().is_some_and(|l| self.within(l) < -NEAR);
        if passed(&self.limit) {
            Verdict::Fail
        } else if passed(&self.soft) {
            Verdict::Warn
        } else {
            Verdict::Pass
        }
    }
}

/// Something that was not checked.
#[derive(Clone, Debug, PartialEq)]
pub struct NotChecked {
    /// Which check.
    pub check: &'static str,
    /// Why.
    pub because: String,
}

/// All that was found.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Checks {
    /// Measurements; failures first, then warnings, then passes, each by its share of the limit ([`order`]).
    pub checked: Vec<Checked>,
    /// What was not checked.
    pub not_checked: Vec<NotChecked>,
    /// Figures of fits and driveline.
    pub sums: Sums,
}

impl Checks {
    /// How many came out so.
    pub fn count(&self, verdict: Verdict) -> usize {
        self.checked.iter().filter(|c| c.verdict() == verdict).count()
    }

    /// Something that other checks need is not available: that fails by itself, and the reason stands as the limit's source.
    fn cannot(&mut self, check: &'static str, what: &str, why: &dyn fmt::Display) {
        let hint = "change what it names; without this nothing is known of what hangs on it";
        let limit = Limit { value: 1.0, source: why.to_string(), given: false };
        let made = Checked::new(check, what, (0.0, Unit::Count), Sense::AtLeast, hint).fails_by(&limit);
        self.checked.push(Checked { fault: true, ..made });
    }

    fn not(&mut self, check: &'static str, because: impl Into<String>) {
        self.not_checked.push(NotChecked { check, because: because.into() });
    }
}

/// The names of some faces of a solid, `feature/role`.
fn names(brep: &Brep, faces: impl IntoIterator<Item = usize>) -> Vec<String> {
    faces.into_iter().map(|f| brep.faces[f].tag.to_string()).collect()
}

/// Chord of the mesh that finds where to look, mm.
pub const CHORD: f64 = 0.15;

/// All checks of some forms: the finished part's, the casting's, the trial print's.
///
/// # Errors
/// Where the finished part has no mesh.
pub fn check(product: &Product, wanted: &[Form]) -> Result<Checks, MeshError> {
    let mut out = Checks::default();
    for (_, more) in each(product, &Part::of(wanted))? {
        out.checked.extend(more.checked);
        out.not_checked.extend(more.not_checked);
        out.sums.figures.extend(more.sums.figures);
        out.sums.tables.extend(more.sums.tables);
    }
    out.checked.sort_by(order);
    Ok(out)
}

/// The order of findings: failures first, then warnings, then passes, each by its margin as a share of the limit, so that
/// different units compare. Where the limit is zero, the margin itself counts, in its own unit.
pub fn order(a: &Checked, b: &Checked) -> std::cmp::Ordering {
    let share = |c: &Checked| {
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
