//! Measuring sheets and judgements for people and for programs.

mod judgement;
mod plan;
mod plan_csv;

pub use judgement::{faults, figures, text};
pub use plan::document;
pub use plan_csv::{characteristics_csv, points_csv};
