//! Scans from files: STL by the reader of keep-outs, PLY by a crate; told apart by their first bytes.

use std::fs::File;
use std::io::{self, BufReader, Read};
use std::path::{Path, PathBuf};

use ply_rs_bw::parser::{Parser, Reader};
use ply_rs_bw::ply::{Property, PropertyAccess, PropertyAccessResult};

use crate::design::stl::{self, StlError};
use solidwright::geometry::P3;

/// A scanned surface: loose triangles, mm as far as the file is in millimetres.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Scan {
    /// The triangles, each by its corners.
    pub triangles: Vec<[P3; 3]>,
}

/// Why a scan cannot be read.
#[derive(Debug, thiserror::Error)]
pub enum ScanError {
    /// The file cannot be read.
    #[error("{path}: {source}")]
    Io {
        /// The file.
        path: PathBuf,
        /// Why.
        source: io::Error,
    },
    /// It is not a sound STL file.
    #[error("{0}")]
    Stl(#[from] StlError),
    /// It is not a sound PLY file.
    #[error("{path} is not a sound PLY file: {why}")]
    Ply {
        /// The file.
        path: PathBuf,
        /// Why.
        why: String,
    },
    /// It holds points only.
    #[error(
        "{0} holds no triangles: a cloud of points alone tells no surface; have the scanner's program make a mesh of it"
    )]
    NoTriangles(PathBuf),
    /// A corner is not a number.
    #[error("{path}: corner {number} is not a finite number")]
    NoNumber {
        /// The file.
        path: PathBuf,
        /// Counted from 1.
        number: usize,
    },
}

/// Reads a scan: STL, binary or text, or PLY of any encoding. Its corners are in a unit of so many millimetres.
///
/// # Errors
/// [`ScanError`].
pub fn read_scan(path: &Path, unit: f64) -> Result<Scan, ScanError> {
    let io = |source| ScanError::Io { path: path.to_owned(), source };
    let mut first = [0; 3];
    let file = File::open(path).map_err(io)?;
    let is_ply = (&file).read(&mut first).map_err(io)? == 3 && &first == b"ply";
    let mut scan = if is_ply {
        ply(path)?
    } else {
        let corner = |c: [f64; 3]| P3::new(c[0], c[1], c[2]);
        Scan { triangles: stl::triangles(path)?.into_iter().map(|t| t.map(corner)).collect() }
    };
    for corner in scan.triangles.iter_mut().flatten() {
        *corner *= unit;
    }
    Ok(scan)
}

/// A corner of a PLY file.
struct Corner([f64; 3]);

impl PropertyAccess for Corner {
    fn new() -> Self {
        Self([0.0; 3])
    }

    fn set_property(&mut self, key: &str, property: Property) -> PropertyAccessResult {
        let Some(k) = ["x", "y", "z"].iter().position(|name| *name == key) else {
            return PropertyAccessResult::Ignored;
        };
        self.0[k] = match property {
            Property::Float(v) => f64::from(v),
            Property::Double(v) => v,
            Property::Int(v) => f64::from(v),
            Property::Short(v) => f64::from(v),
            _ => f64::NAN,
        };
        PropertyAccessResult::Set
    }
}

/// A face of a PLY file, by the numbers of its corners.
struct Polygon(Vec<u32>);

impl PropertyAccess for Polygon {
    fn new() -> Self {
        Self(vec![])
    }

    fn set_property(&mut self, key: &str, property: Property) -> PropertyAccessResult {
        if !matches!(key, "vertex_index" | "vertex_indices") {
            return PropertyAccessResult::Ignored;
        }
        self.0 = property.to_u32_list().unwrap_or_default();
        PropertyAccessResult::Set
    }
}

/// Anything else in a PLY file.
struct Other;

impl PropertyAccess for Other {
    fn new() -> Self {
        Self
    }

    fn set_property(&mut self, _: &str, _: Property) -> PropertyAccessResult {
        PropertyAccessResult::Ignored
    }
}

fn ply(path: &Path) -> Result<Scan, ScanError> {
    let io = |source| ScanError::Io { path: path.to_owned(), source };
    let bad = |why: &dyn std::fmt::Display| ScanError::Ply { path: path.to_owned(), why: why.to_string() };
    let mut reader = Reader::new(BufReader::new(File::open(path).map_err(io)?));
    let (corners, faces, others) =
        (Parser::<Corner>::new(), Parser::<Polygon>::new(), Parser::<Other>::new());
    let header = corners.read_header(&mut reader).map_err(|e| bad(&e))?;
    let (mut at, mut polygons) = (Vec::new(), Vec::new());
    for (_, element) in &header.elements {
        match element.name.as_str() {
            "vertex" => {
                at = corners.read_payload_for_element(&mut reader, element, &header).map_err(|e| bad(&e))?;
            }
            "face" => {
                polygons =
                    faces.read_payload_for_element(&mut reader, element, &header).map_err(|e| bad(&e))?;
            }
            _ => {
                others.read_payload_for_element(&mut reader, element, &header).map_err(|e| bad(&e))?;
            }
        }
    }
    if let Some(k) = at.iter().position(|c| !c.0.iter().all(|x| x.is_finite())) {
        return Err(ScanError::NoNumber { path: path.to_owned(), number: k + 1 });
    }
    let corner = |k: u32| at.get(k as usize).map(|c| P3::new(c.0[0], c.0[1], c.0[2]));
    let mut triangles = Vec::new();
    for polygon in &polygons {
        // A polygon is a fan about its first corner.
        for pair in polygon.0.windows(2).skip(1) {
            match (corner(polygon.0[0]), corner(pair[0]), corner(pair[1])) {
                (Some(a), Some(b), Some(c)) => triangles.push([a, b, c]),
                _ => return Err(bad(&"a face names a corner that is not there")),
            }
        }
    }
    if triangles.is_empty() {
        return Err(ScanError::NoTriangles(path.to_owned()));
    }
    Ok(Scan { triangles })
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::Write as _;

    fn written(text: &str) -> Result<Scan, ScanError> {
        let mut file = tempfile::NamedTempFile::new().expect("a file");
        file.write_all(text.as_bytes()).expect("written");
        read_scan(file.path(), 1.0)
    }

    /// By hand: a square of one face is two triangles; colours and normals are passed over.
    #[test]
    fn a_square_is_two_triangles() {
        let text = "ply\nformat ascii 1.0\nelement vertex 4\nproperty float x\nproperty float y\nproperty float z\nproperty uchar red\n\
                    element face 1\nproperty list uchar int vertex_indices\nend_header\n0 0 0 9\n2 0 0 9\n2 2 0 9\n0 2 0 9\n4 0 1 2 3\n";
        let scan = written(text).expect("a scan");
        assert_eq!(scan.triangles.len(), 2, "{scan:?}");
        assert_eq!(scan.triangles[1][2], P3::new(0.0, 2.0, 0.0), "{scan:?}");
        assert!(
            matches!(written(&text.replace("0 1 2 3\n", "0 1 2 7\n")), Err(ScanError::Ply { .. })),
            "no corner 7"
        );
        let points = text.replace("element face 1", "element face 0").replace("4 0 1 2 3\n", "");
        assert!(matches!(written(&points), Err(ScanError::NoTriangles(_))), "points only");
        assert!(
            matches!(
                written(&text.replace("2 2 0 9", "2 nan 0 9")),
                Err(ScanError::NoNumber { .. } | ScanError::Ply { .. })
            ),
            "no number"
        );
    }
}
