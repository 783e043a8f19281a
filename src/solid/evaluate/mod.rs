//! Boundary evaluation.
