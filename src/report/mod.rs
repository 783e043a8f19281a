//! Findings and tables for people and programs. Nothing here prints; `cli` does.

pub mod build;
pub mod checks;
mod columns;
pub mod document;
pub mod driveline_report;
pub mod feeding;
pub mod inspection;
pub mod joints;
pub mod moulding;
pub mod page;
pub mod place;
mod rigging;
pub mod sheet;
pub mod sweep;
pub mod terminal;
