//! How far a parameter can go: bisection on the exact part.

use super::axis::tidy;
use super::plan::Plan;
use super::row::SweepRow;
use super::variant::Maker;

/// The condition to meet.
#[derive(Clone, Debug, PartialEq)]
pub enum Wanted {
    /// No check fails.
    Feasible,
    /// The part can be built, and the least margin of a check to failing (to warning, where it cannot fail) is at
    /// least this.
    Margin {
        /// The check.
        check: String,
        /// Its margin.
        at_least: f64,
    },
}

/// One value tried.
#[derive(Clone, Debug, PartialEq)]
pub struct Tried {
    /// The value.
    pub value: f64,
    /// The margin of the named check, or the least margin as a share of its limit.
    pub margin: Option<f64>,
    /// The unit of the named check's margin; empty for a share.
    pub unit: Option<String>,
    /// Why the condition is not met; `None` where it is.
    pub against: Option<String>,
}

/// How far the parameter can go in one direction.
#[derive(Clone, Debug, PartialEq)]
pub struct Extreme {
    /// The last value found that meets the condition.
    pub good: Tried,
    /// The first value found that does not; `None` where the range ends before.
    pub bad: Option<Tried>,
    /// How many parts were made.
    pub parts: u32,
}

impl Wanted {
    /// Judges a row.
    pub fn judge(&self, value: f64, row: &SweepRow) -> Tried {
        if let Some(fault) = &row.fault {
            return Tried { value, margin: None, unit: None, against: Some(fault.clone()) };
        }
        match self {
            Self::Feasible => Tried {
                value,
                // The value that limits it, if any.
                margin: row.failing().map_or_else(|| row.least().map(|l| l.1), super::row::Measured::share),
                unit: None,
                against: (!row.verdict.is_feasible()).then(|| row.reason().unwrap_or_default()),
            },
            Self::Margin { check, at_least } => {
                let own = row.measured.iter().filter(|m| m.check == *check);
                let all = own.filter_map(|m| m.room().map(|margin| (margin, m)));
                let least = all.min_by(|a, b| a.0.total_cmp(&b.0));
                let against = match least {
                    Some((margin, m)) if margin < *at_least => Some(format!("{check}: {}", m.what)),
                    Some(_) => None,
                    None => Some(format!("`{check}` is not among the part's checks")),
                };
                Tried { value, margin: least.map(|l| l.0), unit: least.map(|l| l.1.unit.clone()), against }
            }
        }
    }
}

/// Searches from a value that meets the condition towards another: in steps to the first value that does not, then by
/// bisection until both are closer than `within`, or no value lies between them. Whole-number parameters take whole
/// numbers only. A second good range farther on is not found, nor a failure that lies between two steps.
///
/// # Errors
/// Why the first value does not meet the condition.
pub fn extreme(
    plan: &Plan,
    wanted: &Wanted,
    (from, to): (f64, f64),
    whole: bool,
    steps: u32,
    within: f64,
    tell: &mut dyn FnMut(&Tried),
) -> Result<Extreme, Tried> {
    let mut maker = Maker::default();
    let mut parts = 0;
    let mut judge = |value: f64| {
        parts += 1;
        let tried = wanted.judge(value, &maker.at(plan, &plan.following(&[value])));
        tell(&tried);
        tried
    };
    let largest = from.abs().max(to.abs());
    let place = |value: f64| tidy(if whole { value.round() } else { value }, largest);
    let mut good = judge(from);
    if good.against.is_some() {
        return Err(good);
    }
    let mut bad = None;
    for k in 1..=steps {
        let next = place(from + (to - from) * f64::from(k) / f64::from(steps));
        if next.to_bits() == good.value.to_bits() {
            continue;
        }
        let tried = judge(next);
        if tried.against.is_some() {
            bad = Some(tried);
            break;
        }
        good = tried;
    }
    while let Some(last) = &bad {
        if (last.value - good.value).abs() <= within {
            break;
        }
        let middle = place(0.5 * (good.value + last.value));
        // No value lies between neighbours.
        if [good.value, last.value].iter().any(|end| end.to_bits() == middle.to_bits()) {
            break;
        }
        let tried = judge(middle);
        if tried.against.is_some() { bad = Some(tried) } else { good = tried }
    }
    Ok(Extreme { good, bad, parts })
}
