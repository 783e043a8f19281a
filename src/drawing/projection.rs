//! From space to the plane of a view.
//!
//! The part's X runs aft from the gearbox face, Y to the right, Z up.

use solidwright::geometry::{P3, V3};
use solidwright::mesh::Mesh;

/// Where a part is looked at from. All views are parallel projections.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum View {
    /// From ahead of the gearbox face: the part's right is at the left.
    Front,
    /// From behind, as clock angles are told: the part's right is at the right.
    Rear,
    /// From the part's left: the gearbox face is at the left, the shaft runs to the right.
    Left,
    /// From the part's right: the gearbox face is at the right.
    Right,
    /// From above: the gearbox face is at the left, as in the left view below it.
    Top,
    /// From below: the gearbox face is at the left, as in the left view above it.
    Bottom,
    /// Isometric, from behind, right and above.
    RearRightAbove,
    /// Isometric, from ahead, left and below.
    FrontLeftBelow,
}

impl View {
    /// Every view.
    pub const ALL: [Self; 8] = [
        Self::Front,
        Self::Rear,
        Self::Left,
        Self::Right,
        Self::Top,
        Self::Bottom,
        Self::RearRightAbove,
        Self::FrontLeftBelow,
    ];

    /// Its name on the sheet.
    pub fn label(self) -> &'static str {
        match self {
            Self::Front => "FRONT",
            Self::Rear => "REAR",
            Self::Left => "LEFT",
            Self::Right => "RIGHT",
            Self::Top => "TOP",
            Self::Bottom => "BOTTOM",
            Self::RearRightAbove => "FROM REAR, RIGHT, ABOVE",
            Self::FrontLeftBelow => "FROM FRONT, LEFT, BELOW",
        }
    }

    /// The directions of the view.
    pub(super) fn axes(self) -> Axes {
        let (x, y, z) = (V3::x(), V3::y(), V3::z());
        let (toward, right) = match self {
            Self::Front => (-x, -y),
            Self::Rear => (x, y),
            Self::Left => (-y, x),
            Self::Right => (y, -x),
            Self::Top => (z, x),
            Self::Bottom => (-z, x),
            Self::RearRightAbove => (V3::repeat(1.0).normalize(), (y - x).normalize()),
            Self::FrontLeftBelow => (V3::repeat(-1.0).normalize(), (x - y).normalize()),
        };
        Axes { right, up: toward.cross(&right), toward }
    }
}

/// The directions of a view, unit vectors at right angles.
#[derive(Clone, Copy, Debug)]
pub(super) struct Axes {
    /// To the right on the paper.
    pub(super) right: V3,
    /// Up on the paper.
    pub(super) up: V3,
    /// Out of the paper, to the eye.
    pub(super) toward: V3,
}

impl Axes {
    /// The same view of what is turned about the shaft until a direction square to the shaft is up.
    pub(super) fn with_up(self, up: V3) -> Self {
        let turned = |v: V3| V3::x() * v.x + up.cross(&V3::x()) * v.y + up * v.z;
        Self { right: turned(self.right), up: turned(self.up), toward: turned(self.toward) }
    }

    /// Components along right, up, toward.
    pub(super) fn see(&self, v: V3) -> V3 {
        V3::new(v.dot(&self.right), v.dot(&self.up), v.dot(&self.toward))
    }

    /// Back from components along right, up, toward.
    pub(super) fn unsee(&self, v: V3) -> V3 {
        self.right * v.x + self.up * v.y + self.toward * v.z
    }

    /// Middle and size of what the mesh covers, along right and up, mm.
    pub(super) fn extent(&self, mesh: &Mesh) -> (V3, V3) {
        let (mut min, mut max) = (V3::repeat(f64::INFINITY), V3::repeat(f64::NEG_INFINITY));
        for p in &mesh.vertices {
            let q = self.see(p.coords);
            (min, max) = (min.inf(&q), max.sup(&q));
        }
        ((min + max) * 0.5, max - min)
    }
}

/// A view with its scale and the point in its middle.
#[derive(Clone, Copy, Debug)]
pub(super) struct Eye {
    pub(super) axes: Axes,
    /// What lies in the middle.
    pub(super) middle: P3,
    /// Pixels of the finished picture a millimetre.
    pub(super) scale: f64,
    /// Samples along the side of a pixel.
    pub(super) fine: usize,
}

impl Eye {
    /// Looks at the middle of the mesh.
    pub(super) fn new(axes: Axes, mesh: &Mesh, scale: f64, fine: usize) -> Self {
        let middle = axes.unsee(axes.extent(mesh).0).into();
        Self { axes, middle, scale, fine }
    }
}
