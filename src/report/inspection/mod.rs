//! Measuring sheets and judgements for people and for programs.

mod articles;
mod judgement;
mod plan;
mod plan_csv;
mod run_charts;
mod set_up;

pub use articles::{ArticlesReport, ContractionReport, articles_figures, articles_text};
pub use judgement::{faults, figures, text};
pub use plan::document;
pub use plan_csv::{characteristics_csv, points_csv};
pub use run_charts::run_charts;
pub use set_up::{set_up_figures, set_up_text};
