//! Findings: what is wrong, or worth knowing, about an input, a part or a file.
//!
//! A finding has a stable code, an address (the key in the parameter file or the feature of the part, and
//! the text it came from), what is allowed and why, and a hint. Nothing here prints.

use std::fmt;

use crate::units::Units;

/// How serious a finding is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// The input or the part cannot be used.
    Error,
    /// It can be used, but common practice says otherwise.
    Warning,
    /// A check could not run, so nothing is known.
    NotChecked,
}

impl fmt::Display for Severity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Error => "error",
            Self::Warning => "warning",
            Self::NotChecked => "not checked",
        })
    }
}

/// What an error makes impossible. A user of a design decides by the scope which errors stop it, and sets the others
/// aside.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Scope {
    /// Everything: the input is malformed, or no solid can be built from it.
    Everything,
    /// The core with its vent, which no other form has.
    Core,
    /// The trial print.
    TrialPrint,
    /// The parts that work in the housing or are fitted to it.
    Mating,
    /// The vehicle's driveline, and the old housing.
    Vehicle,
    /// The surroundings of the housing.
    Surroundings,
    /// A limit by which `check` fails the part, measured on the solid.
    Limits,
}

impl Scope {
    /// The scope in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Everything => "the whole part",
            Self::Core => "the core",
            Self::TrialPrint => "the trial print",
            Self::Mating => "the parts that work in the housing or are fitted to it",
            Self::Vehicle => "the vehicle's driveline and the old housing",
            Self::Surroundings => "the surroundings of the housing",
            Self::Limits => "a limit of `check`",
        }
    }
}

/// A stable name for one kind of finding, such as `D012`.
///
/// `P` codes come from reading a parameter file, `D` codes from its values taken together.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Code {
    id: &'static str,
    title: &'static str,
    scope: Scope,
}

impl Code {
    /// A code with a one-line title. Its scope is [`Scope::Everything`].
    pub const fn new(id: &'static str, title: &'static str) -> Self {
        Self { id, title, scope: Scope::Everything }
    }

    /// The same code with a narrower scope.
    #[must_use]
    pub const fn about(self, scope: Scope) -> Self {
        Self { scope, ..self }
    }

    /// The scope of an error with this code.
    pub const fn scope(self) -> Scope {
        self.scope
    }

    /// The code itself, such as `D012`.
    pub const fn id(self) -> &'static str {
        self.id
    }

    /// The meaning of the code, in one line.
    pub const fn title(self) -> &'static str {
        self.title
    }
}

impl fmt::Display for Code {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.id)
    }
}

/// Why something cannot be made or measured, and who is at fault. Only the first kind says anything about a design.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Hindrance {
    /// The design: its values describe something that does not exist.
    Design(String),
    /// The program: a design with these values may be sound, but the program could not work it out.
    Program(String),
}

impl Hindrance {
    /// A hindrance of either kind.
    pub fn new(program: bool, why: impl fmt::Display) -> Self {
        if program { Self::Program(why.to_string()) } else { Self::Design(why.to_string()) }
    }

    /// Whether the program is at fault.
    pub fn is_program_fault(&self) -> bool {
        matches!(self, Self::Program(_))
    }

    /// What stands in the way.
    pub fn why(&self) -> &str {
        match self {
            Self::Design(why) | Self::Program(why) => why,
        }
    }
}

impl fmt::Display for Hindrance {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Design(why) => f.write_str(why),
            Self::Program(why) => {
                write!(f, "fault of the program, which says nothing about the design: {why}")
            }
        }
    }
}

/// A stretch of a parameter file, in bytes from its start; `end` is not part of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Place {
    /// First byte.
    pub start: usize,
    /// One past the last byte.
    pub end: usize,
}

/// One thing found.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    severity: Severity,
    code: Code,
    subject: String,
    message: String,
    allowed: Option<String>,
    reason: Option<String>,
    source: Option<String>,
    hints: Vec<String>,
    place: Option<Place>,
    related: Vec<(Place, String)>,
}

impl Finding {
    /// An error about `subject` (a key path or a feature name).
    pub fn error(code: Code, subject: impl Into<String>, message: impl Into<String>) -> Self {
        Self::new(Severity::Error, code, subject.into(), message.into())
    }

    /// A warning about `subject` (a key path or a feature name).
    pub fn warning(code: Code, subject: impl Into<String>, message: impl Into<String>) -> Self {
        Self::new(Severity::Warning, code, subject.into(), message.into())
    }

    fn new(severity: Severity, code: Code, subject: String, message: String) -> Self {
        Self {
            severity,
            code,
            subject,
            message,
            allowed: None,
            reason: None,
            source: None,
            hints: Vec::new(),
            place: None,
            related: Vec::new(),
        }
    }

    /// Adds its place in the parameter file.
    #[must_use]
    pub fn at(mut self, place: Option<Place>) -> Self {
        self.place = place;
        self
    }

    /// Adds what would be allowed.
    #[must_use]
    pub fn allowed(mut self, text: impl Into<String>) -> Self {
        self.allowed = Some(text.into());
        self
    }

    /// Adds why that is the limit.
    #[must_use]
    pub fn because(mut self, text: impl Into<String>) -> Self {
        self.reason = Some(text.into());
        self
    }

    /// Adds the published source of the limit.
    #[must_use]
    pub fn from_source(mut self, text: impl Into<String>) -> Self {
        self.source = Some(text.into());
        self
    }

    /// Adds a hint on how to mend it.
    #[must_use]
    pub fn hint(mut self, text: impl Into<String>) -> Self {
        self.hints.push(text.into());
        self
    }

    /// Adds a related place in the file, with a short note on it.
    #[must_use]
    pub fn beside(mut self, place: Option<Place>, note: impl Into<String>) -> Self {
        if let Some(place) = place {
            self.related.push((place, note.into()));
        }
        self
    }

    /// With all lengths of its texts in the unit of the file.
    fn in_units(self, units: Units) -> Self {
        let told = |text: String| units.sentence(&text);
        Self {
            message: told(self.message),
            allowed: self.allowed.map(told),
            reason: self.reason.map(told),
            source: self.source.map(told),
            hints: self.hints.into_iter().map(told).collect(),
            related: self.related.into_iter().map(|(place, note)| (place, told(note))).collect(),
            ..self
        }
    }

    /// Whether it is an error of a scope for which `stopping` returns true.
    pub fn stops(&self, stopping: impl Fn(Scope) -> bool) -> bool {
        self.severity == Severity::Error && stopping(self.code.scope())
    }

    /// Turns an error that does not stop the current command into a warning.
    #[must_use]
    pub fn set_aside(self) -> Self {
        let scope = self.code.scope();
        let hint = if scope == Scope::Limits {
            "set aside here: the part can be made, but `check` fails it".to_owned()
        } else {
            format!("set aside here: it concerns {} only", scope.words())
        };
        Self { severity: Severity::Warning, ..self }.hint(hint)
    }

    /// The whole finding in one line.
    pub fn in_a_line(&self) -> String {
        let allowed = self.allowed.as_ref().map(|a| format!("; allowed: {a}")).unwrap_or_default();
        let reason = self.reason.as_ref().map(|r| format!("; {r}")).unwrap_or_default();
        format!("{} {}: {}{allowed}{reason}", self.code, self.subject, self.message)
    }

    /// How serious it is.
    pub fn severity(&self) -> Severity {
        self.severity
    }

    /// Its stable code.
    pub fn code(&self) -> Code {
        self.code
    }

    /// The key path or feature it is about.
    pub fn subject(&self) -> &str {
        &self.subject
    }

    /// What is wrong, without the subject.
    pub fn message(&self) -> &str {
        &self.message
    }

    /// What would be allowed.
    pub fn allowed_text(&self) -> Option<&str> {
        self.allowed.as_deref()
    }

    /// Why that is the limit.
    pub fn reason(&self) -> Option<&str> {
        self.reason.as_deref()
    }

    /// The published source of the limit.
    pub fn source(&self) -> Option<&str> {
        self.source.as_deref()
    }

    /// Hints on how to mend it.
    pub fn hints(&self) -> &[String] {
        &self.hints
    }

    /// Its place in the parameter file, if it came from one.
    pub fn place(&self) -> Option<Place> {
        self.place
    }

    /// Related places in the file, each with a note.
    pub fn related(&self) -> &[(Place, String)] {
        &self.related
    }
}

/// All findings of one step, in the order of the file once sorted.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Findings(Vec<Finding>);

impl Findings {
    /// Adds one.
    pub fn push(&mut self, finding: Finding) {
        self.0.push(finding);
    }

    /// Adds all of another set.
    pub fn append(&mut self, other: Self) {
        self.0.extend(other.0);
    }

    /// Whether any of them is an error.
    pub fn has_errors(&self) -> bool {
        self.0.iter().any(|f| f.severity == Severity::Error)
    }

    /// Whether any of them is an error of a scope for which `stopping` returns true.
    pub fn stop(&self, stopping: impl Fn(Scope) -> bool) -> bool {
        self.0.iter().any(|f| f.stops(&stopping))
    }

    /// The same findings, with errors of all other scopes turned into warnings.
    #[must_use]
    pub fn setting_aside(&self, stopping: impl Fn(Scope) -> bool) -> Self {
        let one = |f: &Finding| {
            let aside = f.severity == Severity::Error && !f.stops(&stopping);
            if aside { f.clone().set_aside() } else { f.clone() }
        };
        Self(self.0.iter().map(one).collect())
    }

    /// The same findings, with all lengths of their texts in the unit of the file.
    #[must_use]
    pub fn in_units(self, units: Units) -> Self {
        Self(self.0.into_iter().map(|finding| finding.in_units(units)).collect())
    }

    /// How many have this severity.
    pub fn count(&self, severity: Severity) -> usize {
        self.0.iter().filter(|f| f.severity == severity).count()
    }

    /// How many there are.
    pub fn len(&self) -> usize {
        self.0.len()
    }

    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// Each of them.
    pub fn iter(&self) -> std::slice::Iter<'_, Finding> {
        self.0.iter()
    }

    /// Puts them in the order of the parameter file; those without a place come last.
    pub fn sort_by_place(&mut self) {
        self.0.sort_by_key(|f| (f.place.is_none(), f.place, f.code));
    }
}

impl FromIterator<Finding> for Findings {
    fn from_iter<I: IntoIterator<Item = Finding>>(findings: I) -> Self {
        Self(findings.into_iter().collect())
    }
}

impl<'a> IntoIterator for &'a Findings {
    type Item = &'a Finding;
    type IntoIter = std::slice::Iter<'a, Finding>;

    fn into_iter(self) -> Self::IntoIter {
        self.0.iter()
    }
}

/// A result together with everything found on the way to it.
///
/// `value` is present exactly when no finding is an error of scope [`Scope::Everything`].
#[derive(Debug, Clone)]
pub struct Outcome<T> {
    /// The result, unless an error prevents it.
    pub value: Option<T>,
    /// Everything found, errors and warnings.
    pub findings: Findings,
}

impl<T> Outcome<T> {
    /// Keeps the value only when no finding is an error of scope [`Scope::Everything`].
    pub fn new(value: Option<T>, findings: Findings) -> Self {
        let value = if findings.stop(|scope| scope == Scope::Everything) { None } else { value };
        Self { value, findings }
    }
}
