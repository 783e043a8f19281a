//! Published tables, no logic: each row or column names where it was taken from.
//!
//! Tags in the source notes: *read* = the value was read in the named document or a page quoting it;
//! *practice* = common shop practice, so a value from it may be overridden and is never the cause of an error.

pub mod casting_tolerance;
pub mod foundry;
pub mod materials;
pub mod printing;

pub mod seals;

pub mod threads;
