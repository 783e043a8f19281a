//! Dimensioned sheets as data, free of any file format: lines of known meaning on paper of known size; and their writer.
//!
//! Lines come from the exact edges of a solid: a circle seen from the side is a line, seen obliquely an ellipse, and is
//! kept as such. Lengths on paper are in millimetres, y upwards, from the lower left corner of the trimmed sheet.
//!
//! Holds afterwards: equal input gives equal data.
//! Does not promise yet: hidden lines, silhouettes of curved faces, sections, dimensions. Edges alone are projected.

mod entity;
mod paper;
mod projection;
mod svg;
#[cfg(test)]
mod tests;

pub use entity::{Arc, Dashes, EllipseArc, Entity, Layer, Shape, Stroke, Weight};
pub use paper::{Format, Sheet, SheetScale, Standard};
pub use projection::{Direction, edges};
pub use svg::svg;
