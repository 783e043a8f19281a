//! Dimensioned sheets as data, free of any file format: lines of known meaning on paper of known size; and their writer.
//!
//! Lines come from the exact edges of a solid: a circle seen from the side is a line, seen obliquely an ellipse, and is
//! kept as such. Lengths on paper are in millimetres, y upwards, from the lower left corner of the trimmed sheet.
//!
//! Holds afterwards: equal input gives equal data.
//! Does not promise: silhouettes of fillets and other free faces are chains of exact points, no curves.

mod angles;
mod arrange;
mod crossings;
mod dashes;
mod dxf;
mod entity;
mod hidden;
mod laid_on;
mod lettering;
mod overlaps;
mod page;
mod paper;
mod projection;
mod rounded_ends;
mod section;
mod seen_along;
mod svg;
#[cfg(test)]
mod tests;
mod webs;

pub use angles::LineAngle;
pub use arrange::{Annotated, Callout, CalloutLine, LEADING, LETTERS, Margin, Span, Stop, arrow, spread};
pub use dashes::fitted_dashes;
pub use dxf::dxf;
pub use entity::{Arc, Dashes, EllipseArc, Entity, Layer, Shape, Stroke, Weight};
pub use hidden::{SHARP, SeenLines, view};
pub use lettering::{font_size, width};
pub use page::{
    Anchor, DimensionKind, Flaw, Lettering, Page, Rect, SheetContent, SheetDimension, bounds, chords,
};
pub use paper::{Format, Sheet, SheetScale, Standard};
pub use projection::{Direction, edges};
pub use section::{CHORD, CutView, SectionError, cut_loops, section};
pub use svg::{page_svg, svg};
pub use webs::{Webs, hatching};
