//! Many variants of one parameter file: built on all cores, stored in tables, and summarised.
//!
//! Holds afterwards: the same rows, to the last byte of their files, whatever the number of threads, however often
//! the run was interrupted, and from however many shards it was merged. Does not promise: that a parameter's effect
//! between two rows is linear; `solve` examines that range.

pub mod answers;

pub mod axis;

pub mod cards;

pub mod effects;

pub mod goal;

pub mod keep;

pub mod merge;

pub mod moving;

pub mod pictures;

pub mod plan;

pub mod ranges;

pub mod row;

pub mod rows;

pub mod run;

pub mod sample;

pub mod sobol;

pub mod solve;

pub mod store;

pub mod table;

pub mod variant;
