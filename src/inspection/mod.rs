//! First article: what is measured on a part that comes back, what the readings say, and what they do to its function.
//!
//! The way of the data: design and solid → [`MeasuringSheet`] (elements and numbered characteristics) → probe points → readings →
//! fitted elements in a datum frame → values with their uncertainty → verdicts → effect on the function.
//!
//! Lengths in millimetres. Numbers of characteristics are those of the drawing.

mod casting;
mod characteristic;
mod elements;
mod evaluation;
pub mod extremes;
mod finished;
mod function;
mod hole_names;
mod instruments;
mod judging;
pub mod least_squares;
mod linear_program;
mod plausible;
mod probing;
mod readings;
mod set_up;
mod uncertainty;
mod verdict;

pub use casting::casting;
pub use characteristic::{
    Characteristic, CharacteristicKind, Datum, GeometricTolerance, Material, MeasuringSheet, SizeLimits,
    ToleranceKind, geometric_tolerance,
};
pub use elements::{AxialSpan, ElementShape, MeasuredElement};
pub use evaluation::{AxisRule, Evaluation, FitFault, FittedElement, FittedRound, Found, PointsOf, evaluate};
pub use finished::finished;
pub use function::{FunctionEffect, Served, effects};
pub use hole_names::{NamedHole, letter, named_holes};
pub use instruments::{Gauge, RuleOfTen, Suggestion, suggestion};
pub use judging::{JudgedArticle, JudgingRules, judge};
pub use probing::{ProbePlan, ProbePoint, STYLUS, Stylus, least_points, probe_plan};
pub use readings::{
    ArticleReadings, Articles, CONFIRMED, ProbedPlace, ReadingFault, SizeReading, column, read,
};
pub use set_up::{casting_steps, finished_steps};
pub use uncertainty::{COVERAGE, Doubts, ValueDoubt, doubts};
pub use verdict::{ItemVerdict, JudgedItem, grown, verdict};
