//! First article: what is measured on a part that comes back, what the readings say, and what they do to its function.
//!
//! The way of the data: design and solid → [`MeasuringSheet`] (elements and numbered characteristics) → probe points → readings →
//! fitted elements in a datum frame → values with their uncertainty → verdicts → effect on the function.
//!
//! Lengths in millimetres. Numbers of characteristics are those of the drawing.

mod alignment;
mod best_shift;
mod capability;
mod casting;
mod casting_fit;
mod characteristic;
pub mod cone;
mod contraction;
mod core_places;
mod core_shift;
mod correction;
mod datum_slips;
mod elements;
mod evaluation;
mod even_out;
mod exchanged;
pub mod extremes;
mod finished;
mod function;
mod hole_names;
mod instruments;
mod judging;
pub mod least_squares;
mod linear_program;
mod machining;
mod other_form;
mod overall;
mod pattern;
mod placement;
mod plausible;
mod probing;
mod readings;
mod scale;
mod scan;
mod set_up;
mod stock;
mod table_text;
mod told;
mod uncertainty;
mod verdict;
mod wall_places;

pub use best_shift::{BestShift, LeftOver, Packing, best_shift};
pub use capability::{
    CONFIDENCE, Capability, Index, LEAST_ARTICLES, capabilities, capability, of_moving_range,
};
pub use casting::casting;
pub use casting_fit::{CoreAt, Uncertain};
pub use characteristic::{
    Characteristic, CharacteristicKind, Datum, DatumReference, GeometricTolerance, Material, MeasuringSheet,
    SizeLimits, ToleranceKind, angles_to_axes, further_tolerances, geometric_tolerance,
};
pub use contraction::{ByAxis, FoundContraction, across, contraction, mean_contraction};
pub use core_shift::{CastWall, CoreShift, cast_walls, core_shift};
pub use correction::{Correction, corrected};
pub use elements::{AxialSpan, ElementShape, MeasuredElement};
pub use evaluation::{AxisRule, Evaluation, FitFault, FittedElement, FittedRound, Found, PointsOf, evaluate};
pub use finished::finished;
pub use function::{FunctionEffect, PartFunction, Served, effects};
pub use hole_names::{NamedHole, letter, named_holes};
pub use instruments::{Gauge, RuleOfTen, Suggestion, suggestion};
pub use judging::{JudgedArticle, JudgingRules, judge};
pub use machining::{FaceToMachine, Machining, machining};
pub use overall::{LineUp, OverallVerdict};
pub use pattern::PatternMove;
pub use placement::Placement;
pub use probing::{ProbePlan, ProbePoint, STYLUS, Stylus, least_points, probe_plan};
pub use readings::{
    ArticleReadings, Articles, CONFIRMED, ProbedPlace, ReadingFault, SizeReading, column, read,
};
pub use scan::{
    Deviation, DeviationMap, FaceDeviation, Facing, Scan, ScanError, ScanFault, ScanFit, ScannedWall,
    deviations, fitted, read_scan, readings_of, right_form, scanned_walls,
};
pub use set_up::{casting_steps, finished_steps};
pub use told::{ToldKind, ToldValue, told_values};
pub use uncertainty::{COVERAGE, Doubts, ValueDoubt, doubts};
pub use verdict::{ItemVerdict, JudgedItem, at_least, grown, verdict};
pub use wall_places::WallPlace;
