//! One row: the values set, and the result.

use serde_json::{Value, json};

/// The verdict on a variant.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum RowVerdict {
    /// Every check passes.
    Pass,
    /// None fails, some warn.
    Warn,
    /// The part can be built; no check was requested.
    Unchecked,
    /// A check fails.
    Fail,
    /// The values contradict each other, or one is out of its range.
    Refused,
    /// The part cannot be built.
    Impossible,
    /// A fault of the program: whether there is such a part, or whether it passes, is not known.
    ProgramFault,
}

impl RowVerdict {
    /// All, the best first.
    pub const ALL: [Self; 7] = [
        Self::Pass,
        Self::Warn,
        Self::Unchecked,
        Self::Fail,
        Self::Refused,
        Self::Impossible,
        Self::ProgramFault,
    ];

    /// Its word in files.
    pub fn word(self) -> &'static str {
        match self {
            Self::Pass => "pass",
            Self::Warn => "warn",
            Self::Unchecked => "unchecked",
            Self::Fail => "fail",
            Self::Refused => "refused",
            Self::Impossible => "impossible",
            Self::ProgramFault => "program fault",
        }
    }

    /// The verdict of a word.
    pub fn of(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|v| v.word() == word)
    }

    /// Whether the part is feasible: no check that was made fails.
    pub fn is_feasible(self) -> bool {
        self <= Self::Unchecked
    }
}

/// One measurement of a variant.
#[derive(Clone, Debug, PartialEq)]
pub struct Measured {
    /// Which check.
    pub check: String,
    /// What was measured.
    pub what: String,
    /// The value, where it is a finite number.
    pub value: Option<f64>,
    /// Its unit, as in the checks' own JSON.
    pub unit: String,
    /// `at least` or `at most`.
    pub sense: String,
    /// The deciding limit.
    pub limit: Option<f64>,
    /// How far inside it the value lies.
    pub margin: Option<f64>,
    /// `pass`, `warn` or `fail`.
    pub verdict: String,
    /// Margin to the limit beyond which the part fails, where there is one.
    pub to_fail: Option<f64>,
}

impl Measured {
    /// The margin to the same limit in every row: the limit beyond which the part fails, else the softer one. (`margin`
    /// jumps where a value passes the softer of two limits, because the other one decides from there.)
    pub fn room(&self) -> Option<f64> {
        self.to_fail.or(self.margin)
    }

    /// The margin to failing as a share of the limit; `None` without such a limit, or where it is zero.
    pub fn share(&self) -> Option<f64> {
        self.share_of(self.to_fail?)
    }

    /// [`Self::room`] as a share of its limit.
    pub fn room_share(&self) -> Option<f64> {
        self.share_of(self.room()?)
    }

    /// The margin to the limit that decides as a share of it.
    pub fn margin_share(&self) -> Option<f64> {
        self.share_of(self.margin?)
    }

    fn share_of(&self, margin: f64) -> Option<f64> {
        let value = self.value?;
        let limit = if self.sense == "at least" { value - margin } else { value + margin };
        // A limit of zero is recovered from the sum only to the value's last digit.
        (limit.abs() > 1e-9 * value.abs().max(1e-3)).then(|| margin / limit.abs())
    }
}

/// A variant.
#[derive(Clone, Debug, PartialEq)]
pub struct SweepRow {
    /// Its number, from 0.
    pub index: u64,
    /// The values set.
    pub values: Vec<f64>,
    /// The verdict.
    pub verdict: RowVerdict,
    /// Numbers of checks that fail, warn, pass, were not made.
    pub counts: [u32; 4],
    /// mm³.
    pub volume: Option<f64>,
    /// kg.
    pub mass: Option<f64>,
    /// Why there is no part, or what the program could not make or measure.
    pub fault: Option<String>,
    /// Its measurements.
    pub measured: Vec<Measured>,
}

impl SweepRow {
    /// The measurement that is nearest to failing the part, or farthest beyond, and its margin as a share of the
    /// limit, so that hundredths of a fit and millimetres of a wall are comparable. Limits of zero have no shares.
    pub fn least(&self) -> Option<(&Measured, f64)> {
        self.least_of(|_| true)
    }

    /// The same of some measurements only.
    pub fn least_of(&self, counts: impl Fn(&Measured) -> bool) -> Option<(&Measured, f64)> {
        let counting = self.measured.iter().filter(|m| counts(m));
        let shares = counting.filter_map(|m| Some((m, m.share()?)));
        shares.min_by(|a, b| a.1.total_cmp(&b.1))
    }

    /// The least room to a limit as a share of it, warnings included.
    pub fn least_room(&self, counts: impl Fn(&Measured) -> bool) -> Option<f64> {
        self.measured.iter().filter(|m| counts(m)).filter_map(Measured::room_share).min_by(f64::total_cmp)
    }

    /// Why the part is not feasible: the check that fails by the largest share of its limit; or the fault.
    pub fn reason(&self) -> Option<String> {
        self.failing().map(|m| format!("{}: {}", m.check, m.what)).or_else(|| self.fault.clone())
    }

    /// The measurement that fails by the largest share of its limit.
    pub fn failing(&self) -> Option<&Measured> {
        let failing = self.measured.iter().filter(|m| m.verdict == "fail");
        let by = |m: &Measured| m.share().or(m.to_fail).unwrap_or(0.0);
        failing.min_by(|a, b| by(a).total_cmp(&by(b)))
    }

    /// As a line of text.
    pub fn to_json(&self) -> Value {
        let one = |m: &Measured| {
            json!([m.check, m.what, m.value, m.unit, m.sense, m.limit, m.margin, m.verdict, m.to_fail])
        };
        json!({
            "index": self.index,
            "values": self.values,
            "verdict": self.verdict.word(),
            "counts": self.counts,
            "volume": self.volume,
            "mass": self.mass,
            "fault": self.fault,
            "measured": self.measured.iter().map(one).collect::<Vec<_>>(),
        })
    }

    /// From a line of text; `None` if it was not written by [`Self::to_json`].
    pub fn from_json(value: &Value) -> Option<Self> {
        let text = |v: &Value| v.as_str().map(str::to_owned);
        let counts: Vec<u32> = value["counts"]
            .as_array()?
            .iter()
            .map(|n| n.as_u64().map(|n| n as u32))
            .collect::<Option<_>>()?;
        let one = |v: &Value| {
            Some(Measured {
                check: text(&v[0])?,
                what: text(&v[1])?,
                value: v[2].as_f64(),
                unit: text(&v[3])?,
                sense: text(&v[4])?,
                limit: v[5].as_f64(),
                margin: v[6].as_f64(),
                verdict: text(&v[7])?,
                to_fail: v[8].as_f64(),
            })
        };
        Some(Self {
            index: value["index"].as_u64()?,
            values: value["values"].as_array()?.iter().map(Value::as_f64).collect::<Option<_>>()?,
            verdict: RowVerdict::of(value["verdict"].as_str()?)?,
            counts: counts.try_into().ok()?,
            volume: value["volume"].as_f64(),
            mass: value["mass"].as_f64(),
            fault: text(&value["fault"]),
            measured: value["measured"].as_array()?.iter().map(one).collect::<Option<_>>()?,
        })
    }
}
