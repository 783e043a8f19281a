//! STEP: an AP242 file (ISO 10303-21 text) of exact solids.
//!
//! Holds afterwards: planes, cylinders, cones, spheres, tori, lines, circles and ellipses are written as what
//! they are, intersection curves as cubic B-splines; millimetres and radians; every face carries its name
//! `feature/role` and the colour that [`StepInfo::paints`] gives it; equal input gives equal bytes, entities are numbered from 1
//! in the order of the text and refer only to earlier ones.
//! A stretched file tells of the boundary's image, point for point: where that is none of these kinds, its faces are
//! exact rational B-splines and its curves ellipses or B-splines.
//! Does not promise: a sound solid from an unsound boundary. Validate first.

mod geometry;
mod info;
mod net;
mod part21;
mod product;
mod properties;
mod style;
mod topology;

#[cfg(test)]
mod tests;

pub use info::{StepError, StepInfo};

use crate::geometry::Stretch;
use crate::solid::{Brep, Solid};

use geometry::Geometry;
use part21::Part21;
use topology::Topology;

/// Bytes of text per face of a usual part, to reserve room once.
const BYTES_PER_FACE: usize = 2_500;

/// The STEP file of a solid. Each outer shell becomes a solid of its own, with the voids inside it.
///
/// # Errors
/// [`StepError`] where the solid holds numbers that are not finite, or has a void that lies in no body or may lie in several.
pub fn step(solid: &Solid, info: &StepInfo) -> Result<Vec<u8>, StepError> {
    step_stretched(solid, &Stretch::NONE, info)
}

/// The STEP file of a solid's image under a stretch, with the same vertices, edges, faces and names. `info.properties`
/// must be those of the image: [`Solid::mass_stretched`].
///
/// A uniform stretch keeps the kinds of all surfaces and curves. Else planes, lines and what is turned about an axis
/// along X stay what they are, circles and ellipses become the ellipses that they are then; cylinders and cones about
/// other axes, spheres and tori become rational B-splines, exact too. What was fitted (canals, spline curves) is off by
/// its fit times the larger factor.
///
/// # Errors
/// As [`step`].
pub fn step_stretched(solid: &Solid, stretch: &Stretch, info: &StepInfo) -> Result<Vec<u8>, StepError> {
    of_boundary(solid.brep(), stretch, info)
}

/// The STEP file of a boundary's image under a stretch.
///
/// # Errors
/// As [`step`]; also where the boundary has no outer shell or refers to things that do not exist.
fn of_boundary(brep: &Brep, stretch: &Stretch, info: &StepInfo) -> Result<Vec<u8>, StepError> {
    info::check(brep, info)?;
    let bodies = topology::bodies(brep)?;
    let mut file = Part21::new(BYTES_PER_FACE * (brep.faces.len() + 4));
    file.header(info);
    let part = product::part(&mut file, info);
    let mut geometry = Geometry::new(*stretch);
    let mut topology = Topology::new(brep);
    let solids: Vec<_> =
        bodies.iter().map(|body| topology.solid(&mut file, &mut geometry, body, &info.form)).collect();
    product::shape(&mut file, &mut geometry, &part, &solids, info);
    style::colours(&mut file, brep, &info.paints, topology.faces(), part.context);
    if let Some(measured) = &info.properties {
        properties::validation(&mut file, measured, &part);
    }
    Ok(file.finish())
}
