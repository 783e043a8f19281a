//! Bodies beside the housing in the vehicle.

use std::path::PathBuf;

use super::{Design, stl};
use crate::finding::{Code, Finding, Findings, Place, Scope};
use crate::params::schema::{self, NeighbourKind};
use crate::units::Mm;

/// A body beside the housing.
#[derive(Debug, Clone, PartialEq)]
pub struct Neighbour {
    pub(super) name: String,
    pub(super) clearance: Mm,
    pub(super) shape: NeighbourShape,
    /// The place in the parameter file that names its file.
    place: Option<Place>,
}

/// An extent along the shaft.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Along {
    /// Station of its front end.
    pub from: Mm,
    /// Its length.
    pub length: Mm,
}

/// The shape of a body beside the housing; positions are to the right of the shaft and above it.
#[derive(Debug, Clone, PartialEq)]
pub enum NeighbourShape {
    /// A box: its middle, width and height.
    Box {
        /// Along the shaft.
        along: Along,
        /// Its middle.
        middle: (Mm, Mm),
        /// Across the shaft.
        width: Mm,
        /// Upwards.
        tall: Mm,
    },
    /// A cylinder.
    Pipe {
        /// Along the shaft.
        along: Along,
        /// Its middle.
        middle: (Mm, Mm),
        /// Across.
        diameter: Mm,
    },
    /// A closed outline along the shaft.
    Profile {
        /// Along the shaft.
        along: Along,
        /// Its corners in order.
        corners: Vec<(Mm, Mm)>,
    },
    /// Triangles of an STL file, mm.
    Stl {
        /// The file, as named.
        file: String,
    },
}

/// A file that the parameter file names cannot be used.
pub(super) const UNREAD: Code = Code::new("D193", "named file cannot be read").about(Scope::Surroundings);

impl Design {
    /// Files that the parameter file names.
    pub fn named_files(&self) -> Vec<PathBuf> {
        self.stls().map(|(_, path)| path).collect()
    }

    fn stls(&self) -> impl Iterator<Item = (&Neighbour, PathBuf)> {
        self.surroundings().iter().filter_map(|n| match &n.shape {
            NeighbourShape::Stl { file } => Some((n, self.folder().join(file))),
            _ => None,
        })
    }

    /// Findings about the files that the parameter file names.
    pub fn test_named_files(&self) -> Findings {
        let mut out = Findings::default();
        for (neighbour, path) in self.stls() {
            if let Err(error) = stl::triangles(&path) {
                let finding =
                    Finding::error(UNREAD, format!("surroundings, {}", neighbour.name), error.to_string());
                out.push(
                    finding
                        .at(neighbour.place)
                        .hint("relative paths start from the folder of the parameter file"),
                );
            }
        }
        out
    }
}

impl Neighbour {
    /// Its name.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Least clearance to the housing.
    pub fn clearance(&self) -> Mm {
        self.clearance
    }

    /// Its shape.
    pub fn shape(&self) -> &NeighbourShape {
        &self.shape
    }

    pub(super) fn from_file(raw: &schema::RawNeighbour) -> Option<Self> {
        let along = || Some(Along { from: raw.from.get()?, length: raw.length.get()? });
        let middle = || Some((raw.side.get()?, raw.height.get()?));
        let shape = match raw.kind.get()? {
            NeighbourKind::Box => {
                let width = raw.width.get()?;
                let tall = raw.tall.get().unwrap_or(width);
                NeighbourShape::Box { along: along()?, middle: middle()?, width, tall }
            }
            NeighbourKind::Pipe => {
                NeighbourShape::Pipe { along: along()?, middle: middle()?, diameter: raw.width.get()? }
            }
            NeighbourKind::Profile => {
                let corners = raw.corners.items.iter().map(|c| Some((c.side.get()?, c.height.get()?)));
                NeighbourShape::Profile { along: along()?, corners: corners.collect::<Option<_>>()? }
            }
            NeighbourKind::Stl => NeighbourShape::Stl { file: raw.file.get()? },
        };
        let place = raw.file.place();
        Some(Self { name: raw.name.get()?, clearance: raw.clearance.get()?, shape, place })
    }
}
