//! The kinds of values a parameter can have: how each is read from text, checked, shown and described.

mod holes;
mod measures;

pub use holes::{Hole, HoleSize, ThreadName};
pub use measures::{Fits, Measure};

use super::codes;
use super::reference::About;
use crate::finding::Code;
use crate::units::{self, Deg, KgPerM3, Mm, Percent, QuantityError, Units};

/// A closed range with the reason for its ends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Range {
    /// Smallest allowed number, in the kind's base unit.
    pub least: f64,
    /// Largest allowed number, in the kind's base unit.
    pub most: f64,
    /// Why.
    pub reason: &'static str,
}

impl Range {
    fn holds(&self, number: f64) -> bool {
        (self.least..=self.most).contains(&number)
    }
}

/// Why a text is not a valid value.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// The finding's code; `None` when another finding already covers the cause.
    pub code: Option<Code>,
    /// What is wrong.
    pub message: String,
    /// What would be allowed.
    pub allowed: Option<String>,
    /// Why.
    pub reason: Option<&'static str>,
    /// A hint on how to mend it.
    pub hint: Option<Box<str>>,
}

impl Fault {
    fn new(code: Code, message: impl Into<String>) -> Self {
        Self { code: Some(code), message: message.into(), allowed: None, reason: None, hint: None }
    }

    fn allowed(mut self, text: impl Into<String>) -> Self {
        self.allowed = Some(text.into());
        self
    }

    fn because(mut self, text: &'static str) -> Self {
        self.reason = Some(text);
        self
    }

    fn hint(mut self, text: impl Into<String>) -> Self {
        self.hint = Some(text.into().into_boxed_str());
        self
    }

    fn quantity(text: &str, error: &QuantityError, examples: &str) -> Self {
        let code = match error {
            QuantityError::UnitUnknown => None,
            QuantityError::NotFinite => Some(codes::NOT_FINITE),
            QuantityError::WrongUnit(_) => Some(codes::WRONG_UNIT),
            QuantityError::NotANumber | QuantityError::DecimalComma => Some(codes::UNREADABLE),
        };
        let message = format!("`{}` cannot be read: {error}", shorten(text));
        let hint = match error {
            QuantityError::DecimalComma => "write a decimal point".to_owned(),
            QuantityError::WrongUnit(unit) if is_fit_class(unit) => format!(
                "only the nominal size stands here, like {examples}; fits are keys of `mating` (`tailpattern describe mating`)"
            ),
            _ => format!("write it like {examples}"),
        };
        Self { code, message, allowed: None, reason: None, hint: Some(hint.into_boxed_str()) }
    }
}

/// Whether a word looks like a tolerance class of ISO 286, such as `g6` or `H7`.
fn is_fit_class(word: &str) -> bool {
    let grade = word.trim_start_matches(|c: char| c.is_ascii_alphabetic());
    let letters = word.len() - grade.len();
    (1..=2).contains(&letters) && (1..=2).contains(&grade.len()) && grade.bytes().all(|b| b.is_ascii_digit())
}

/// At most 40 characters of a text, for messages.
pub(super) fn shorten(text: &str) -> String {
    let mut short: String = text.chars().take(40).map(|c| if c.is_control() { ' ' } else { c }).collect();
    if text.chars().nth(40).is_some() {
        short.push_str("...");
    }
    short
}

/// A question about a value that is valid, and may still not be what was meant.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Doubt {
    /// How the value was taken.
    pub message: String,
    /// What else may have been meant.
    pub meant: String,
    /// How to write it so that nothing has to be asked.
    pub hint: String,
}

/// A kind of value.
pub trait Kind {
    /// The value that a valid text is read as.
    type Value: Clone;

    /// Reads and checks a text; `bare` is the unit of lengths without one of their own.
    ///
    /// # Errors
    /// When the text is not a valid value.
    fn read(&self, text: &str, bare: Option<Units>) -> Result<Self::Value, Fault>;

    /// A question about a valid value that may not be what was meant.
    fn doubt(&self, _text: &str, _value: &Self::Value) -> Option<Doubt> {
        None
    }

    /// Writes a value as the file would.
    fn show(&self, value: &Self::Value, units: Units) -> String;

    /// What is allowed, in words.
    fn allowed(&self, units: Units) -> String {
        self.about().allowed(units)
    }

    /// The kind as data, for the reference and the schema.
    fn about(&self) -> About;
}

/// A length within a range in millimetres.
#[derive(Debug, Clone, Copy)]
pub struct Length(pub Range);

impl Kind for Length {
    type Value = Mm;

    fn read(&self, text: &str, bare: Option<Units>) -> Result<Mm, Fault> {
        let length = units::parse_length(text, bare)
            .map_err(|e| Fault::quantity(text, &e, "12.5, 34.9 mm, 1.375 in or 3/8 in"))?;
        if length.get() != 0.0 && length.get().abs() < LEAST_LENGTH {
            return Err(Fault::new(codes::OUT_OF_RANGE, format!("{length} is almost zero"))
                .allowed(format!("0, or {LEAST_LENGTH} mm or more"))
                .because("no casting and no machine is more accurate"));
        }
        if self.0.holds(length.get()) {
            return Ok(length);
        }
        let units = bare.unwrap_or(Units::Mm);
        Err(Fault::new(codes::OUT_OF_RANGE, format!("{} is out of range", units.show(length)))
            .allowed(self.allowed(units))
            .because(self.0.reason))
    }

    fn show(&self, value: &Mm, units: Units) -> String {
        units.show(*value)
    }

    fn about(&self) -> About {
        About::Length(self.0)
    }
}

/// Smaller lengths are taken for a mistake, mm.
const LEAST_LENGTH: f64 = 0.01;

/// The least radius that a mould or a cutter makes, mm. Smaller ones only make a mesh of millions of triangles.
const LEAST_RADIUS: f64 = 0.2;

/// A corner's radius within a range in millimetres: 0 for a sharp corner, else large enough to be made.
#[derive(Debug, Clone, Copy)]
pub struct Radius(pub Range);

impl Kind for Radius {
    type Value = Mm;

    fn read(&self, text: &str, bare: Option<Units>) -> Result<Mm, Fault> {
        let radius = Length(self.0).read(text, bare)?;
        if radius.get() > 0.0 && radius.get() < LEAST_RADIUS {
            let units = bare.unwrap_or(Units::Mm);
            return Err(Fault::new(
                codes::OUT_OF_RANGE,
                format!("a radius of {} is too small", units.show(radius)),
            )
            .allowed(format!("0 for a sharp corner, or {} or more", units.show(Mm::new(LEAST_RADIUS))))
            .because("no mould and no cutter makes a rounding as small as that"));
        }
        Ok(radius)
    }

    fn show(&self, value: &Mm, units: Units) -> String {
        units.show(*value)
    }

    fn about(&self) -> About {
        About::Length(self.0)
    }
}

/// Angles are laid out from multiples of this, degrees.
const PLAIN_ANGLE: f64 = 15.0;

/// An angle nearer to a multiple of [`PLAIN_ANGLE`] than this is a mistake for it, degrees: 0.02 mm over a metre.
const LEAST_TURN: f64 = 0.001;

/// An angle within a range in degrees.
#[derive(Debug, Clone, Copy)]
pub struct Angle(pub Range);

impl Kind for Angle {
    type Value = Deg;

    fn read(&self, text: &str, _: Option<Units>) -> Result<Deg, Fault> {
        let angle = units::parse_angle(text).map_err(|e| Fault::quantity(text, &e, "15 or 15 deg"))?;
        let plain = (angle.get() / PLAIN_ANGLE).round() * PLAIN_ANGLE;
        let off = (angle.get() - plain).abs();
        if off > 0.0 && off < LEAST_TURN {
            return Err(Fault::new(
                codes::OUT_OF_RANGE,
                format!("{angle} is almost, but not exactly, {plain} deg"),
            )
            .allowed(format!("{plain} deg, or {LEAST_TURN} deg or more from it"))
            .because("so small an angle between faces is a mistake, and no machine makes it"));
        }
        if self.0.holds(angle.get()) {
            return Ok(angle);
        }
        Err(Fault::new(codes::OUT_OF_RANGE, format!("{angle} is out of range"))
            .allowed(self.allowed(Units::Mm))
            .because(self.0.reason))
    }

    fn show(&self, value: &Deg, _: Units) -> String {
        value.to_string()
    }

    fn about(&self) -> About {
        About::Angle(self.0)
    }
}

/// A density within a range in kg/m3.
#[derive(Debug, Clone, Copy)]
pub struct Density(pub Range);

impl Kind for Density {
    type Value = KgPerM3;

    fn read(&self, text: &str, _: Option<Units>) -> Result<KgPerM3, Fault> {
        let density =
            units::parse_density(text).map_err(|e| Fault::quantity(text, &e, "2680 or 2680 kg/m3"))?;
        if self.0.holds(density.get()) {
            return Ok(density);
        }
        Err(Fault::new(codes::OUT_OF_RANGE, format!("{density} is out of range"))
            .allowed(self.allowed(Units::Mm))
            .because(self.0.reason))
    }

    fn show(&self, value: &KgPerM3, _: Units) -> String {
        value.to_string()
    }

    fn about(&self) -> About {
        About::Density(self.0)
    }
}

/// A percentage within a range; `1.3` and `1.3 %` are the same.
#[derive(Debug, Clone, Copy)]
pub struct Percentage(pub Range);

impl Kind for Percentage {
    type Value = Percent;

    fn read(&self, text: &str, _: Option<Units>) -> Result<Percent, Fault> {
        let percent = units::parse_percent(text).map_err(|e| Fault::quantity(text, &e, "1.3 or 1.3 %"))?;
        if self.0.holds(percent.get()) {
            return Ok(percent);
        }
        Err(Fault::new(codes::OUT_OF_RANGE, format!("{percent} is out of range"))
            .allowed(self.allowed(Units::Mm))
            .because(self.0.reason))
    }

    fn show(&self, value: &Percent, _: Units) -> String {
        value.to_string()
    }

    fn about(&self) -> About {
        About::Percent(self.0)
    }
}

/// A plain number within a range: a ratio or a multiple.
#[derive(Debug, Clone, Copy)]
pub struct Factor(pub Range);

impl Kind for Factor {
    type Value = f64;

    fn read(&self, text: &str, _: Option<Units>) -> Result<f64, Fault> {
        let Some(factor) = text.trim().parse::<f64>().ok().filter(|x| x.is_finite()) else {
            let fault = match units::parse_plain(text) {
                Err(QuantityError::WrongUnit(unit)) => Fault::new(
                    codes::WRONG_UNIT,
                    format!(
                        "`{}` has the unit `{}`, and this is a plain number",
                        shorten(text),
                        shorten(&unit)
                    ),
                ),
                _ => Fault::new(codes::UNREADABLE, format!("`{}` is not a number", shorten(text))),
            };
            return Err(fault.allowed(self.allowed(Units::Mm)));
        };
        if self.0.holds(factor) {
            return Ok(factor);
        }
        Err(Fault::new(codes::OUT_OF_RANGE, format!("{factor} is out of range"))
            .allowed(self.allowed(Units::Mm))
            .because(self.0.reason))
    }

    fn show(&self, value: &f64, _: Units) -> String {
        value.to_string()
    }

    fn about(&self) -> About {
        About::Factor(self.0)
    }
}

/// A whole number within a range.
#[derive(Debug, Clone, Copy)]
pub struct Count(pub Range);

impl Kind for Count {
    type Value = u32;

    fn read(&self, text: &str, _: Option<Units>) -> Result<u32, Fault> {
        let Ok(count) = text.trim().parse::<i64>() else {
            return Err(Fault::new(codes::UNREADABLE, format!("`{}` is not a whole number", shorten(text)))
                .allowed(self.allowed(Units::Mm)));
        };
        match u32::try_from(count) {
            Ok(good) if self.0.holds(f64::from(good)) => Ok(good),
            _ => Err(Fault::new(codes::OUT_OF_RANGE, format!("{count} is out of range"))
                .allowed(self.allowed(Units::Mm))
                .because(self.0.reason)),
        }
    }

    fn show(&self, value: &u32, _: Units) -> String {
        value.to_string()
    }

    fn about(&self) -> About {
        About::Count(self.0)
    }
}

/// `true` or `false`.
#[derive(Debug, Clone, Copy)]
pub struct Flag;

impl Kind for Flag {
    type Value = bool;

    fn read(&self, text: &str, _: Option<Units>) -> Result<bool, Fault> {
        match text {
            "true" | "True" | "yes" => Ok(true),
            "false" | "False" | "no" => Ok(false),
            _ => {
                Err(Fault::new(codes::NOT_A_CHOICE, format!("`{}` is neither true nor false", shorten(text)))
                    .allowed(self.allowed(Units::Mm)))
            }
        }
    }

    fn show(&self, value: &bool, _: Units) -> String {
        value.to_string()
    }

    fn about(&self) -> About {
        About::Flag
    }
}

/// Words: one line of at most this many characters.
#[derive(Debug, Clone, Copy)]
pub struct Text(pub usize);

impl Kind for Text {
    type Value = String;

    fn read(&self, text: &str, _: Option<Units>) -> Result<String, Fault> {
        let text = text.trim();
        let length = text.chars().count();
        if length == 0 || length > self.0 {
            return Err(Fault::new(codes::OUT_OF_RANGE, format!("the text has {length} characters"))
                .allowed(self.allowed(Units::Mm))
                .because("it goes into the head of every file that is written"));
        }
        // U+FFFE and U+FFFF are no characters of XML 1.0, so no 3MF file holds them.
        if text.chars().any(|c| c.is_control() || matches!(c, '\u{fffe}' | '\u{ffff}')) {
            return Err(Fault::new(
                codes::UNREADABLE,
                "the text has a line break or another character that files cannot hold",
            )
            .allowed(self.allowed(Units::Mm)));
        }
        Ok(text.to_owned())
    }

    fn show(&self, value: &String, _: Units) -> String {
        value.clone()
    }

    fn about(&self) -> About {
        About::Text { longest: self.0 }
    }
}

/// One row of a choice: the word in the file, what it means, and a sentence on it.
pub type Row<T> = (&'static str, T, &'static str);

/// One word out of a few.
#[derive(Debug, Clone, Copy)]
pub struct Choice<T: 'static>(pub &'static [Row<T>]);

impl<T: Clone + PartialEq> Kind for Choice<T> {
    type Value = T;

    fn read(&self, text: &str, _: Option<Units>) -> Result<T, Fault> {
        if let Some((_, value, _)) = self.0.iter().find(|(name, ..)| *name == text.trim()) {
            return Ok(value.clone());
        }
        let fault = Fault::new(codes::NOT_A_CHOICE, format!("`{}` is not one of the choices", shorten(text)))
            .allowed(self.allowed(Units::Mm));
        Err(match nearest(text, self.0.iter().map(|(name, ..)| *name)) {
            Some(name) => fault.hint(format!("did you mean `{name}`?")),
            None => fault,
        })
    }

    fn show(&self, value: &T, _: Units) -> String {
        self.0.iter().find(|(_, v, _)| v == value).map_or("", |(name, ..)| name).to_owned()
    }

    fn about(&self) -> About {
        About::Choice(self.0.iter().map(|&(name, _, doc)| (name, doc)).collect())
    }
}

/// The nearest of some names to a mistyped one, if any is near.
pub fn nearest<'n>(typed: &str, names: impl Iterator<Item = &'n str>) -> Option<&'n str> {
    const NEAR: f64 = 0.6; // share of letters in common below which a guess would mislead
    let typed: String = typed.trim().to_lowercase().replace([' ', '-'], "_").chars().take(60).collect();
    names
        .map(|name| (strsim::normalized_damerau_levenshtein(&typed, name), name))
        .filter(|(likeness, _)| *likeness >= NEAR)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, name)| name)
}
