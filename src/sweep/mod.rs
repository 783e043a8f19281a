//! Many variants of one parameter file: made on all cores, kept in tables, and answered from.
//!
//! Holds afterwards: the same rows, to the last byte of their files, whatever the number of threads, however often the
//! run was cut off, and from however many shards it was put together.
//! Does not promise: that a parameter's effect between two rows is straight; `solve` looks there.

pub mod answers;

pub mod axis;

pub mod effects;

pub mod goal;

pub mod keep;

pub mod merge;

pub mod moving;

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
