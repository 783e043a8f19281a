//! Scans: a mesh of the whole part, put onto the exact faces, and how far it is off them.
//!
//! The way of the data: file → [`Scan`] → [`fitted`] (where it lies) → [`right_form`] (whether it is the form that was meant) → [`deviations`] (the map on the exact faces), walls, and places on
//! faces to be machined, as if they had been probed.

mod deviation;
mod fit;
mod places;
mod read;
mod strays;

pub use deviation::{Deviation, DeviationMap, FaceDeviation, ScannedWall, deviations, scanned_walls};
pub use fit::{Facing, ScanFault, ScanFit, fitted};
pub use places::{readings_of, right_form};
pub use read::{Scan, ScanError, read_scan};
