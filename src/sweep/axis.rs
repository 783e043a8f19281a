//! The varied parameters: an axis as typed, and values linked to others.

use crate::params::vary::{KeyPath, PathError};

/// Greatest number of values of one axis.
const MOST: u64 = 10_000_000;

/// Significant digits of values: rounding noise beside a plain angle or length would be rejected by the reader.
const DIGITS: i32 = 12;

/// Why an axis or a link cannot be read.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum AxisError {
    /// The key.
    #[error(transparent)]
    Path(#[from] PathError),
    /// The shape of the text.
    #[error("`{0}` is not KEY=from..to/count or KEY=a,b,c; write for example mount_pad.offset=-20..20/41")]
    Shape(String),
    /// A value.
    #[error(
        "`{0}` is not a number; write for example -20..20/41, or a list such as 1,2.5,4, with a unit after it if needed"
    )]
    Number(String),
    /// A count.
    #[error("`{text}` has {count} as its number of values; a range takes 2 to {MOST}")]
    Count {
        /// As typed.
        text: String,
        /// As typed.
        count: String,
    },
    /// Both ends are equal.
    #[error("`{0}` begins and ends with the same value")]
    NoRange(String),
    /// A grid needs a count.
    #[error("`{0}` has no number of values: add /count, or draw samples with --sample")]
    NoCount(String),
    /// A sample needs none.
    #[error("`{0}` has a number of values, but --sample draws them: leave /count out")]
    SampledCount(String),
    /// A link's text.
    #[error(
        "`{0}` is not KEY=formula; write for example shift_box_pad.station=mount_pad.offset+40 or a=0.5*b-3"
    )]
    Link(String),
    /// A link to a key that is neither varied nor a plain number in the file.
    #[error("`{link}` depends on `{key}`, which is neither varied nor a plain number in the file")]
    NoSource {
        /// The link.
        link: String,
        /// The key on which it depends.
        key: String,
    },
    /// A value set twice.
    #[error("`{0}` is set twice; vary or link it once")]
    Twice(String),
}

/// The values of an axis.
#[derive(Clone, Debug, PartialEq)]
pub enum AxisValues {
    /// Evenly from one to the other, including both ends; without a count samples are drawn.
    Range {
        /// First value.
        from: f64,
        /// Last value.
        to: f64,
        /// How many.
        count: Option<u64>,
    },
    /// A list of values.
    List(Vec<f64>),
}

/// A parameter and the values it takes.
#[derive(Clone, Debug, PartialEq)]
pub struct Axis {
    /// As typed.
    pub text: String,
    /// Which parameter.
    pub key: KeyPath,
    /// Its values.
    pub spread: AxisValues,
    /// Their unit as typed; empty for the file's.
    pub unit: String,
    /// The unit they are in.
    pub shown: String,
}

impl Axis {
    /// Reads `KEY=from..to/count`, `KEY=from..to` or `KEY=a,b,c`, with a unit suffix if it differs from the file's.
    ///
    /// # Errors
    /// The error in the text.
    pub fn parse(text: &str) -> Result<Self, AxisError> {
        let shape = || AxisError::Shape(text.to_owned());
        let (key, values) = text.split_once('=').ok_or_else(shape)?;
        let key = KeyPath::parse(key)?;
        let values = values.trim();
        let end = values.rfind(|c: char| c.is_ascii_digit() || c == '.').map_or(0, |at| at + 1);
        let (values, unit) = values.split_at(end);
        let unit = unit.trim().to_owned();
        let number = |text: &str| {
            let value = text.trim().parse::<f64>().ok().filter(|x| x.is_finite());
            value.ok_or_else(|| AxisError::Number(text.trim().to_owned()))
        };
        let spread = if let Some((from, rest)) = values.split_once("..") {
            let (to, count) = match rest.split_once('/') {
                Some((to, count)) => (to, Some(count.trim())),
                None => (rest, None),
            };
            let count = count.map(|c| {
                let wrong = || AxisError::Count { text: text.to_owned(), count: c.to_owned() };
                c.parse().ok().filter(|n| (2..=MOST).contains(n)).ok_or_else(wrong)
            });
            let (from, to, count) = (number(from)?, number(to)?, count.transpose()?);
            if from.to_bits() == to.to_bits() {
                return Err(AxisError::NoRange(text.to_owned()));
            }
            AxisValues::Range { from, to, count }
        } else {
            AxisValues::List(values.split(',').map(number).collect::<Result<_, _>>()?)
        };
        Ok(Self { text: text.to_owned(), key, spread, shown: unit.clone(), unit })
    }

    /// The number of values, if given.
    pub fn count(&self) -> Option<u64> {
        match &self.spread {
            AxisValues::Range { count, .. } => *count,
            AxisValues::List(values) => Some(values.len() as u64),
        }
    }

    /// Its least and its greatest value.
    pub fn ends(&self) -> (f64, f64) {
        let ordered = |values: &[f64]| {
            values.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), v| (a.min(*v), b.max(*v)))
        };
        match &self.spread {
            AxisValues::Range { from, to, .. } => ordered(&[*from, *to]),
            AxisValues::List(values) => ordered(values),
        }
    }

    /// The value at a place in the grid.
    pub fn value(&self, place: u64) -> f64 {
        match &self.spread {
            AxisValues::Range { from, to, count } => {
                let steps = count.unwrap_or(2).saturating_sub(1).max(1) as f64;
                self.tidied(from + (to - from) * place as f64 / steps)
            }
            AxisValues::List(values) => values.get(place as usize).copied().unwrap_or(0.0),
        }
    }

    /// The value at a fraction of the range, 0 to 1, as drawn by a sample.
    pub fn drawn(&self, share: f64) -> f64 {
        match &self.spread {
            AxisValues::Range { from, to, .. } if self.key.is_whole() => {
                let (low, high) = (from.min(*to), from.max(*to));
                (low + share * (high - low + 1.0)).floor().min(high)
            }
            AxisValues::Range { from, to, .. } => self.tidied(from + (to - from) * share),
            AxisValues::List(values) => {
                let at = (share * values.len() as f64) as usize;
                values.get(at.min(values.len() - 1)).copied().unwrap_or(0.0)
            }
        }
    }

    fn tidied(&self, value: f64) -> f64 {
        let (low, high) = self.ends();
        let rounded = tidy(value, low.abs().max(high.abs()));
        if self.key.is_whole() { rounded.round() } else { rounded }
    }
}

/// A value to [`DIGITS`] digits of the largest beside it.
pub(super) fn tidy(value: f64, largest: f64) -> f64 {
    let digits = DIGITS - 1 - largest.max(1e-12).log10().floor() as i32;
    let decimals = digits.clamp(0, 17) as usize;
    let rounded = format!("{value:.decimals$}").parse().unwrap_or(value);
    if rounded == 0.0 { 0.0 } else { rounded }
}

/// The place of a row of a grid on each axis; the last axis changes fastest.
pub fn places(axes: &[Axis], row: u64) -> Vec<u64> {
    let mut left = row;
    let mut places: Vec<u64> = axes
        .iter()
        .rev()
        .map(|axis| {
            let count = axis.count().unwrap_or(1).max(1);
            let place = left % count;
            left /= count;
            place
        })
        .collect();
    places.reverse();
    places
}

/// One term of a formula.
#[derive(Clone, Debug, PartialEq)]
struct Term {
    factor: f64,
    /// The key; `None` for a plain number.
    key: Option<String>,
}

/// A value computed from others: a sum of numbers, keys, and keys times numbers, in the file's units.
#[derive(Clone, Debug, PartialEq)]
pub struct Link {
    /// As typed.
    pub text: String,
    /// Which parameter.
    pub key: KeyPath,
    terms: Vec<Term>,
}

impl Link {
    /// Reads `KEY=formula`, such as `shift_box_pad.station=mount_pad.base_station+mount_pad.offset-100`.
    ///
    /// # Errors
    /// The error in the text.
    pub fn parse(text: &str) -> Result<Self, AxisError> {
        let shape = || AxisError::Link(text.to_owned());
        let (key, sum) = text.split_once('=').ok_or_else(shape)?;
        let key = KeyPath::parse(key)?;
        let mut terms = Vec::new();
        let mut rest = sum.trim();
        while !rest.is_empty() {
            let (sign, body) = match rest.strip_prefix(['+', '-']) {
                Some(body) => (if rest.starts_with('-') { -1.0 } else { 1.0 }, body.trim_start()),
                None if terms.is_empty() => (1.0, rest),
                None => return Err(shape()),
            };
            let end = body.find(['+', '-']).unwrap_or(body.len());
            terms.push(Term::parse(&body[..end], sign).ok_or_else(shape)?);
            rest = body[end..].trim_start();
        }
        if terms.is_empty() { Err(shape()) } else { Ok(Self { text: text.to_owned(), key, terms }) }
    }

    /// The keys on which it depends.
    pub fn sources(&self) -> impl Iterator<Item = &str> {
        self.terms.iter().filter_map(|t| t.key.as_deref())
    }

    /// Its value, computed from the keys on which it depends.
    pub fn value(&self, of: impl Fn(&str) -> f64) -> f64 {
        let parts: Vec<f64> =
            self.terms.iter().map(|t| t.factor * t.key.as_deref().map_or(1.0, &of)).collect();
        let largest = parts.iter().fold(0.0_f64, |m, p| m.max(p.abs()));
        tidy(parts.iter().sum(), largest)
    }
}

impl Term {
    fn parse(text: &str, sign: f64) -> Option<Self> {
        let number = |t: &str| t.trim().parse::<f64>().ok().filter(|x| x.is_finite());
        if let Some(alone) = number(text) {
            return Some(Self { factor: sign * alone, key: None });
        }
        let (factor, key) = match text.split_once('*') {
            Some((a, b)) => number(a).map(|f| (f, b)).or_else(|| number(b).map(|f| (f, a)))?,
            None => (1.0, text),
        };
        let key = KeyPath::parse(key).ok()?;
        Some(Self { factor: sign * factor, key: Some(key.text().to_owned()) })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ranges_hold_both_ends_and_plain_values() {
        let axis = Axis::parse("mount_pad.offset=-20..20/41").expect("an axis");
        let values: Vec<String> = (0..41).map(|i| axis.value(i).to_string()).collect();
        let plain: Vec<String> = (-20..=20).map(|i: i32| i.to_string()).collect();
        assert_eq!(values, plain, "whole millimetres");
        let fine = Axis::parse("shift_box_pad.tilt=0..0.3/4").expect("an axis");
        let shown = [0, 1, 2, 3].map(|i| fine.value(i).to_string());
        assert_eq!(shown, ["0", "0.1", "0.2", "0.3"], "no hair beside them");
        let inch = Axis::parse("mount_pad.offset = 0.5, 1 in").expect("a list");
        assert_eq!(
            (inch.unit.as_str(), inch.value(1).to_string(), inch.count()),
            ("in", "1".to_owned(), Some(2)),
            "a unit"
        );
    }

    #[test]
    fn whole_numbers_are_drawn_evenly() {
        let axis = Axis::parse("mount_pad.holes.grid.along=2..4").expect("an axis");
        let drawn = [0.0, 0.33, 0.34, 0.66, 0.67, 0.999_999].map(|s| axis.drawn(s).to_string());
        assert_eq!(drawn, ["2", "2", "3", "3", "4", "4"], "a third each");
    }

    #[test]
    fn links_are_sums() {
        let link = Link::parse("shift_box_pad.station=mount_pad.base_station - 0.5*mount_pad.offset+40")
            .expect("a link");
        assert_eq!(link.sources().collect::<Vec<_>>(), ["mount_pad.base_station", "mount_pad.offset"]);
        let value = link.value(|key| if key.ends_with("offset") { 8.0 } else { 200.0 });
        assert!((value - 236.0).abs() < 1e-12, "{value}");
        for bad in ["shift_box_pad.station", "shift_box_pad.station=", "shift_box_pad.station=a+b"] {
            assert!(matches!(Link::parse(bad), Err(AxisError::Link(_))), "{bad}");
        }
    }

    #[test]
    fn faults_are_named() {
        let error = |text: &str| Axis::parse(text).expect_err("refused");
        assert!(matches!(error("mount_pad.offset"), AxisError::Shape(_)), "no values");
        assert!(matches!(error("mount_pad.offset=a..3/4"), AxisError::Number(_)), "no number");
        assert!(matches!(error("mount_pad.offset=1..3/1"), AxisError::Count { .. }), "too few");
        assert!(matches!(error("mount_pad.offset=3..3/5"), AxisError::NoRange(_)), "no range");
        assert!(matches!(error("mount_pad.offsett=1..3/5"), AxisError::Path(_)), "no key");
    }
}
