//! Several solids side by side.

use std::ops::Range;

use crate::solid::{Brep, Solid};

/// Several solids in one boundary, so that one probe knows all distances between them. They may cross each other: the
/// boundary is asked for distances, never for what is metal.
#[derive(Clone, Debug, Default)]
pub struct Assembly {
    brep: Brep,
    faces: Vec<Range<usize>>,
}

impl Assembly {
    /// Puts solids beside each other, in order.
    pub fn of<'a>(solids: impl IntoIterator<Item = &'a Solid>) -> Self {
        let mut out = Self::default();
        for solid in solids {
            out.faces.push(out.brep.put_beside(solid.brep()));
        }
        out
    }

    /// All their faces.
    pub fn brep(&self) -> &Brep {
        &self.brep
    }

    /// The numbers of the faces of each solid, in order.
    pub fn faces(&self) -> &[Range<usize>] {
        &self.faces
    }
}
