//! Step 1: YAML text to raw values, each with its line and column.
//!
//! [`load`] reads a file, [`read`] a text. All faults of single keys are found here at once: grammar,
//! unknown and missing keys, units, ranges. Contradictions between keys are found by `design`.
//!
//! Holds afterwards: every value in a [`Raw`] is finite and within its own range.
//! Does not promise: that values fit together.

pub mod codes;

pub mod json_schema;

pub mod kinds;

mod example_values;

mod load;

pub mod parse;

pub mod reference;

pub mod reference_text;

pub mod schema;

pub mod section_reader;

pub mod parameter;

mod rewrite;

pub mod source;

pub mod tree;

pub mod vary;

pub use load::{Raw, entries, load, read};
pub use parameter::{Assumed, Concern, Origin, Parameter, ParameterList};
pub use rewrite::rewrite;
pub use source::Source;
