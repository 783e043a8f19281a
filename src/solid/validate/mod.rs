//! Checks of a finished boundary.
