//! Binary glTF 2.0: what viewers and browsers show.
//!
//! glTF counts in metres with Y up. The vertices are left as they are, in millimetres with Z up, and the
//! matrix of each body's node turns and scales them: so the numbers stay those of the other files, and a
//! single-precision number keeps round millimetres exactly. Each body is one node with one mesh, which has one
//! primitive for each of its paints.
//!
//! A vertex is written once for each face that it lies on, with the exact normal of that face's surface:
//! curved faces look smooth and edges sharp, whatever the mesh. Bodies without exact surfaces have no normals;
//! a viewer must then shade them flat (glTF 2.0, section 3.7.2.1).
//!
//! The text is written with `gltf-json`: typed, no floating order, no clock. The container about it is a head of twelve bytes and
//! two chunks, written here; the one in `gltf` would bring that crate's reader of all of glTF into the program.
//!
//! Holds afterwards: equal input gives equal bytes.
//! Does not promise: watertight triangles. Single precision may make one of two points closer than about
//! 1e-5 mm, and vertices on edges stand once for each face; a reader that joins equal points closes the mesh.

mod corners;
mod document;
#[cfg(test)]
mod tests;

use super::body::{self, Body, Metadata, PackError};

/// Begins a binary glTF file; its version; the kinds of its two parts.
const MAGIC: &[u8; 4] = b"glTF";
const VERSION: u32 = 2;
const JSON: &[u8; 4] = b"JSON";
const BINARY: &[u8; 4] = b"BIN\0";

/// Bytes of the file's head, and of a part's head.
const HEAD: usize = 12;
const PART_HEAD: usize = 8;

/// One or several bodies as a binary glTF file, with the metadata in `asset.extras`.
///
/// Source: Khronos Group, glTF 2.0 Specification, sections 3.4 (units and axes), 3.7 (meshes), 4 (binary form).
///
/// # Errors
/// As for 3MF, but for characters, which JSON can all write; a coordinate beyond single precision; more than
/// 4 GB.
pub fn glb(bodies: &[Body], metadata: &Metadata) -> Result<Vec<u8>, PackError> {
    body::check(bodies)?;
    let (json, binary) = document::write(bodies, metadata)?;
    let length = HEAD + 2 * PART_HEAD + padded(json.len()) + padded(binary.len());
    // The whole is the longest: if its length can be written, so can those of the parts.
    let most = u32::MAX as usize;
    if length > most {
        return Err(PackError::TooLarge { bytes: length, most });
    }
    let mut out = Vec::with_capacity(length);
    out.extend(MAGIC);
    out.extend(VERSION.to_le_bytes());
    out.extend((length as u32).to_le_bytes());
    for (kind, bytes, filler) in [(JSON, json.as_bytes(), b' '), (BINARY, &binary, 0)] {
        out.extend((padded(bytes.len()) as u32).to_le_bytes());
        out.extend(kind);
        out.extend(bytes);
        out.resize(padded(out.len()), filler);
    }
    Ok(out)
}

/// The next multiple of four.
fn padded(length: usize) -> usize {
    length.next_multiple_of(4)
}
