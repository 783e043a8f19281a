//! The summary of a sweep: lines for the terminal, plots, and a page with both.

mod bands;
mod cards;
mod curves;
mod page;
mod plot;
mod words;

pub use page::page;
pub use plot::{Plot, PlotError, Spot, plots};
pub use words::text;
