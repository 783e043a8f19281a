//! Triangles of STL files that a parameter file names.

use std::fs;
use std::io::Cursor;
use std::path::{Path, PathBuf};

/// Three corners, mm.
pub type Triangle = [[f64; 3]; 3];

/// Largest file that is read, bytes: four million triangles.
const LARGEST: u64 = 200_000_000;

/// Corners farther away than this cannot be part of a vehicle, mm.
const FARTHEST: f64 = 1e5;

/// Bytes before a binary file's triangles: the header and the count.
const HEAD: usize = 84;

/// Bytes of a triangle: normal, three corners, and a two-byte attribute.
const TRIANGLE: usize = 50;

/// Why a file cannot be read as triangles.
#[derive(Debug, thiserror::Error)]
pub enum StlError {
    /// It cannot be read at all.
    #[error("{path}: {source}")]
    Io {
        /// The file.
        path: PathBuf,
        /// The operating system's error.
        source: std::io::Error,
    },
    /// A folder, a device.
    #[error("{0} is not an ordinary file")]
    NoFile(PathBuf),
    /// It is unreasonably large.
    #[error("{path} has {} MB, more than {} MB", .bytes / 1_000_000, LARGEST / 1_000_000)]
    Large {
        /// The file.
        path: PathBuf,
        /// Its size.
        bytes: u64,
    },
    /// Neither kind of STL.
    #[error("{path} is not an STL file: {why}")]
    Foreign {
        /// The file.
        path: PathBuf,
        /// Why it is not one.
        why: String,
    },
    /// It holds no triangle.
    #[error("{0} holds no triangle")]
    Empty(PathBuf),
    /// A coordinate is not finite, or probably in another unit.
    #[error("{path}: triangle {number} has a non-finite corner, or one farther than {} m away; corners are in mm", FARTHEST / 1e3)]
    NoNumber {
        /// The file.
        path: PathBuf,
        /// Counted from 1.
        number: usize,
    },
}

/// The triangles of an STL file, binary or text in any case.
///
/// # Errors
/// [`StlError`].
pub fn triangles(path: &Path) -> Result<Vec<Triangle>, StlError> {
    let io = |source| StlError::Io { path: path.to_owned(), source };
    let about = fs::metadata(path).map_err(io)?;
    if !about.is_file() {
        return Err(StlError::NoFile(path.to_owned()));
    }
    if about.len() > LARGEST {
        return Err(StlError::Large { path: path.to_owned(), bytes: about.len() });
    }
    let bytes = fs::read(path).map_err(io)?;
    let heap = read(&bytes).map_err(|why| StlError::Foreign { path: path.to_owned(), why })?;
    if heap.is_empty() {
        return Err(StlError::Empty(path.to_owned()));
    }
    let near = |x: &f64| x.abs() <= FARTHEST; // false for NaN
    let odd = heap.iter().position(|t| !t.iter().flatten().all(near));
    match odd {
        Some(at) => Err(StlError::NoNumber { path: path.to_owned(), number: at + 1 }),
        None => Ok(heap),
    }
}

fn read(bytes: &[u8]) -> Result<Vec<Triangle>, String> {
    // The length decides, because headers of binary files may also begin with `solid`.
    if let Some(heap) = binary(bytes) {
        return Ok(heap);
    }
    let start = bytes.trim_ascii_start();
    if !start.get(..5).is_some_and(|word| word.eq_ignore_ascii_case(b"solid")) {
        return Err(if bytes.len() < HEAD {
            format!("{} bytes are too few, and it does not begin with `solid`", bytes.len())
        } else {
            let count = count(bytes);
            format!(
                "its header counts {count} triangles, but it has {} bytes, and it does not begin with `solid`",
                bytes.len()
            )
        });
    }
    let mesh = stl_io::read_stl(&mut Cursor::new(start.to_ascii_lowercase()));
    let mesh =
        mesh.map_err(|_| "it begins with `solid`, but the rest is not the text of an STL file".to_owned())?;
    let corner = |i: usize| mesh.vertices[i].0.map(f64::from);
    Ok(mesh.faces.iter().map(|f| f.vertices.map(corner)).collect())
}

/// Number of triangles in a binary file's header.
fn count(bytes: &[u8]) -> u32 {
    bytes.get(80..HEAD).and_then(|b| b.try_into().ok()).map_or(0, u32::from_le_bytes)
}

/// The triangles of a binary file; `None` where its length does not match its count.
fn binary(bytes: &[u8]) -> Option<Vec<Triangle>> {
    let rest = bytes.get(HEAD..)?;
    if rest.len() != count(bytes) as usize * TRIANGLE {
        return None;
    }
    let number = |b: &[u8]| b.try_into().map_or(f64::NAN, |b| f64::from(f32::from_le_bytes(b)));
    let corner = |b: &[u8]| [number(&b[..4]), number(&b[4..8]), number(&b[8..12])];
    let one = |t: &[u8]| [12, 24, 36].map(|at| corner(&t[at..at + 12]));
    Some(rest.chunks_exact(TRIANGLE).map(one).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = "solid roof\nfacet normal 0 0 1\nouter loop\nvertex 0 0 7\nvertex 1.5 0 7\nvertex 0 2 7\n\
                        endloop\nendfacet\nendsolid roof\n";

    fn wanted() -> Vec<Triangle> {
        vec![[[0.0, 0.0, 7.0], [1.5, 0.0, 7.0], [0.0, 2.0, 7.0]]]
    }

    fn packed(head: &[u8]) -> Vec<u8> {
        let mut out = head.to_vec();
        out.resize(80, b' ');
        out.extend(1_u32.to_le_bytes());
        out.extend([0_u8; 12]);
        out.extend(wanted().iter().flatten().flatten().flat_map(|x| (*x as f32).to_le_bytes()));
        out.extend([0, 0]);
        out
    }

    #[test]
    fn text_in_any_case_and_binary_with_any_head() {
        assert_eq!(read(TEXT.as_bytes()), Ok(wanted()));
        assert_eq!(read(TEXT.to_uppercase().as_bytes()), Ok(wanted()));
        assert_eq!(read(&packed(b"made of sheet")), Ok(wanted()));
        assert_eq!(read(&packed(b"solid sheet")), Ok(wanted()));
    }

    #[test]
    fn what_is_none_says_why() {
        let cut = &packed(b"x")[..100];
        for (bytes, word) in
            [(&b"PK"[..], "too few"), (cut, "counts 1 triangles"), (b"solid x\nwall 3\n", "text")]
        {
            let why = read(bytes).expect_err("no STL");
            assert!(why.contains(word), "{why}");
        }
        let folder = std::env::temp_dir();
        assert!(matches!(triangles(&folder), Err(StlError::NoFile(_))));
        assert!(matches!(triangles(&folder.join("no such file.stl")), Err(StlError::Io { .. })));
    }

    #[cfg(unix)]
    #[test]
    fn a_device_is_not_read() {
        assert!(matches!(triangles(Path::new("/dev/zero")), Err(StlError::NoFile(_))));
    }
}
