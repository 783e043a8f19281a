//! Volume, area, centroid and inertia.
use super::brep::Brep;
use crate::geometry::{P3, V3};
/// Mass properties at unit density.
#[derive(Clone, Copy, Debug)]
pub struct MassProperties {
    /// Volume, mm³.
    pub volume: f64,
    /// Area, mm².
    pub area: f64,
    /// Centroid, mm.
    pub centroid: P3,
    /// Ixx, Iyy, Izz about the centroid, mm⁵ at unit density.
    pub inertia: V3,
    /// Ixy, Iyz, Izx (negative products), mm⁵.
    pub products: V3,
}
/// Mass properties of a boundary.
pub fn measure(_brep: &Brep) -> MassProperties {
    MassProperties {
        volume: 0.0,
        area: 0.0,
        centroid: P3::origin(),
        inertia: V3::zeros(),
        products: V3::zeros(),
    }
}
/// Signed share of a face in the volume.
pub(crate) fn face_volume(_brep: &Brep, _face: usize) -> f64 {
    1.0
}
