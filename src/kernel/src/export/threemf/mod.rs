//! 3MF: a ZIP archive of XML parts, by the 3MF core specification 1.x and nothing beyond it.
//!
//! Written here, because the crates that write 3MF each lack something: `threemf` has no colours on
//! triangles, `threemf2` and `lib3mf` can't declare a namespace for metadata names of our own, and
//! `lib3mf-core` keeps metadata in hash maps, so that its bytes depend on chance. The archive comes from
//! `rawzip`, which has no clock and takes bytes already compressed; `miniz_oxide` compresses them, called by
//! itself rather than through `flate2`, whose results depend on the back end that some other crate may have
//! switched on. XML is written as plain text: five elements with fixed attributes, no reason for a library.
//!
//! Colours are base materials with a display colour: part of the core specification, so that a reader needs no
//! extension. Each body is an object of type `model` with a build item that places it.
//!
//! Holds afterwards: every edge has two triangles, opposite ways; volumes are positive; vertices that differ
//! keep different coordinates; equal input gives equal bytes.
//! Does not promise: that the bodies lie where all coordinates are positive, as printers like it; that is the
//! caller's by [`Body::shift`]. That a slicer shows the colours: some read only their own dialect.

mod archive;
mod model;
#[cfg(test)]
mod tests;

use super::body::{self, Body, Metadata, PackError};

/// One or several bodies as a 3MF file, millimetres.
///
/// Source: 3MF Consortium, 3D Manufacturing Format, Core Specification 1.3.0, sections 3.4, 4.1 and 5.1.
///
/// # Errors
/// No body; two of one name; a mesh that is not closed or of no volume; faces, paints and triangles that don't
/// fit together; a number that is not finite; a metadata name that is no plain word or stands twice; a control
/// character in a name or value.
pub fn threemf(bodies: &[Body], metadata: &Metadata) -> Result<Vec<u8>, PackError> {
    body::check(bodies)?;
    archive::pack(&model::text(bodies, metadata)?)
}
