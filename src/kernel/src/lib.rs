//! Exact solids.

pub mod tolerance;

pub mod geometry;

pub mod solid;

pub mod mesh;

pub mod probe;

pub mod export;
