//! Measuring sheets and judgements for people and for programs.

mod articles;
mod core;
mod judgement;
mod judgement_sheet;
mod plan;
mod plan_csv;
mod points_dxf;
mod run_charts;
mod scan;
mod set_up;

pub use articles::{ArticlesReport, ContractionReport, articles_figures, articles_text};
pub use core::{CoreReport, core_text};
pub use judgement::{faults, figures, text};
pub use judgement_sheet::judgement_sheet;
pub use plan::document;
pub use plan_csv::{characteristics_csv, points_csv};
pub use points_dxf::points_dxf;
pub use run_charts::run_charts;
pub use scan::{ScanReport, ScannedCasting, scan_figures, scan_page, scanned_casting_figures, whole_text};
pub use set_up::{set_up_figures, set_up_text};
