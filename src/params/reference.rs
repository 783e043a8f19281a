//! The parameters as data, from which the reference text and the schema for editors are made.

use std::collections::BTreeSet;

use super::kinds::Range;
use crate::standards::inch_fits::INCH_FITS;
use crate::standards::threads::THREADS;
use crate::units::{Mm, Scale, Units};

/// What a key holds.
#[derive(Debug, Clone, PartialEq)]
pub enum About {
    /// A length in millimetres.
    Length(Range),
    /// An angle in degrees.
    Angle(Range),
    /// A density in kg/m3.
    Density(Range),
    /// A percentage.
    Percent(Range),
    /// A plain number: a ratio or a multiple.
    Factor(Range),
    /// A whole number.
    Count(Range),
    /// A number on a scale of units, the range in the first.
    Measure(&'static Scale, Range),
    /// A named fit.
    Fit,
    /// `true` or `false`.
    Flag,
    /// One line of words.
    Text {
        /// Most characters.
        longest: usize,
    },
    /// One word out of these, each with a sentence.
    Choice(Vec<(&'static str, &'static str)>),
    /// A thread of the table.
    Thread,
    /// A thread, for its clearance hole, or a diameter in millimetres.
    Hole(Range),
    /// A list of one or more such values.
    Several {
        /// Most items.
        most: usize,
        /// What each item is.
        of: Box<About>,
    },
    /// A section of further keys.
    Section(Vec<Entry>),
    /// A list of sections.
    List {
        /// Fewest items.
        least: usize,
        /// Most items.
        most: usize,
        /// Keys of each item.
        of: Vec<Entry>,
    },
}

impl About {
    /// What is allowed, in words.
    pub fn allowed(&self, units: Units) -> String {
        match self {
            Self::Length(range) => {
                format!("{} to {}", units.show(Mm::new(range.least)), units.show(Mm::new(range.most)))
            }
            Self::Angle(range) => format!("{} to {} deg", range.least, range.most),
            Self::Density(range) => format!("{} to {} kg/m3", range.least, range.most),
            Self::Percent(range) => format!("{} to {} %", range.least, range.most),
            Self::Factor(range) => format!("{} to {}", range.least, range.most),
            Self::Count(range) => format!("a whole number, {} to {}", range.least, range.most),
            Self::Measure(scale, range) => {
                let units: Vec<_> = scale.units.iter().map(|unit| unit.0).collect();
                let article = if scale.name.starts_with(['a', 'e', 'i', 'o', 'u']) { "an" } else { "a" };
                format!(
                    "{article} {} of {} to {} {} ({})",
                    scale.name,
                    range.least,
                    range.most,
                    scale.base(),
                    units.join(", ")
                )
            }
            Self::Fit => {
                let inch: BTreeSet<_> = INCH_FITS.iter().map(|row| row.class).collect();
                let inch: Vec<_> = inch.into_iter().collect();
                format!(
                    "a hole's class and a shaft's of ISO 286, such as H7/s6, or {} of ANSI B4.1",
                    inch.join(", ")
                )
            }
            Self::Flag => "true or false".to_owned(),
            Self::Text { longest } => format!("one line of 1 to {longest} characters"),
            Self::Choice(rows) => rows.iter().map(|(name, _)| *name).collect::<Vec<_>>().join(", "),
            Self::Thread => thread_names(),
            Self::Hole(range) => format!(
                "a screw, for its clearance hole ({}), or a diameter, {}",
                thread_names(),
                Self::Length(*range).allowed(units)
            ),
            Self::Several { most, of } => format!("a list of 1 to {most} of these: {}", of.allowed(units)),
            Self::Section(_) => "a section of keys".to_owned(),
            Self::List { least, most, .. } => format!("a list of {least} to {most} items"),
        }
    }

    /// Why it is the limit, where there is one.
    pub fn reason(&self) -> Option<&'static str> {
        match self {
            Self::Length(range)
            | Self::Angle(range)
            | Self::Density(range)
            | Self::Percent(range)
            | Self::Factor(range)
            | Self::Count(range)
            | Self::Measure(_, range)
            | Self::Hole(range) => Some(range.reason),
            Self::Several { of, .. } => of.reason(),
            _ => None,
        }
    }

    /// Whether it holds one number.
    pub fn is_number(&self) -> bool {
        use About::{Angle, Count, Density, Factor, Hole, Length, Measure, Percent};
        matches!(
            self,
            Length(_) | Angle(_) | Density(_) | Percent(_) | Factor(_) | Count(_) | Measure(..) | Hole(_)
        )
    }

    /// Keys below this one.
    pub fn children(&self) -> &[Entry] {
        match self {
            Self::Section(entries) | Self::List { of: entries, .. } => entries,
            _ => &[],
        }
    }
}

fn thread_names() -> String {
    THREADS.iter().map(|t| t.name).collect::<Vec<_>>().join(", ")
}

/// What happens when the file leaves a key out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Need {
    /// It is an error.
    Required,
    /// The part does not need it.
    Optional,
    /// A trade default is taken and reported as assumed; if it depends on other values, `value` holds the rule.
    Default {
        /// The default as the file would write it, or the rule that gives it.
        value: String,
        /// Why.
        reason: String,
        /// Where it comes from.
        source: String,
    },
}

/// One key.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    /// The key.
    pub key: &'static str,
    /// What it is, in a sentence or two.
    pub doc: &'static str,
    /// What it holds.
    pub about: About,
    /// What happens without it.
    pub need: Need,
    /// A value as an example; empty for sections and lists.
    pub example: &'static str,
}

/// All key paths below some entries, sections before what is in them. Lists show as `bolt_circles[]`.
pub fn paths(entries: &[Entry]) -> Vec<String> {
    selected_paths(entries, |_| true)
}

/// The paths of all keys that hold one number.
pub fn number_paths(entries: &[Entry]) -> Vec<String> {
    selected_paths(entries, About::is_number)
}

fn selected_paths(entries: &[Entry], wanted: fn(&About) -> bool) -> Vec<String> {
    fn walk(entries: &[Entry], prefix: &str, wanted: fn(&About) -> bool, out: &mut Vec<String>) {
        for entry in entries {
            let mark = if matches!(entry.about, About::List { .. }) { "[]" } else { "" };
            let path = format!("{prefix}{}{mark}", entry.key);
            if wanted(&entry.about) {
                out.push(path.clone());
            }
            walk(entry.about.children(), &format!("{path}."), wanted, out);
        }
    }
    let mut out = Vec::new();
    walk(entries, "", wanted, &mut out);
    out
}
