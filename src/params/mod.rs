//! Step 1: YAML text to raw values, each with its line and column.
//!
//! [`load`] reads a file, [`read`] a text. Everything wrong with single keys is found here, all at once: grammar,
//! unknown and missing keys, units, ranges. What is wrong between keys is found by `design`.
//!
//! Holds afterwards: every value in a [`Raw`] is finite and within its own range.
//! Does not promise: that values fit together.

pub mod codes;

pub mod json_schema;

pub mod kinds;

mod load;

pub mod parse;

pub mod reference;

pub mod reference_text;

pub mod schema;

pub mod sheet;

pub mod slot;

pub mod source;

pub mod tree;

pub mod vary;

pub use load::{Raw, entries, load, read};
pub use slot::{Assumed, ListSlot, Origin, Slot};
pub use source::Source;
