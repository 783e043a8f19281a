//! Sizes of core prints, for those who make or measure them.

use super::prints::{ROOT, prints};
use super::{Casting, FormError, shape};
use solidwright::solid::Primitive;
use solidwright::tolerance::SNAP;

/// A core print, before the contraction.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PrintSize {
    /// Where it is.
    pub place: PrintPlace,
    /// Diameter of a round one, mm.
    pub diameter: Option<f64>,
    /// How far its wall reaches from the casting, mm.
    pub wall: f64,
    /// How far it reaches with its end, mm.
    pub whole: f64,
    /// How much its end leans against a plane square to it, or its walls against its axis where it has no such end, radians.
    pub lean: f64,
}

/// Where a core print is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PrintPlace {
    /// Ahead of the casting.
    Front,
    /// Behind it.
    Rear,
    /// Over the opening of the shift-box pad.
    Opening,
}

/// The sizes of a casting's core prints: those of the pattern, which leave room about the core's, or the core's own.
///
/// # Errors
/// If a print is impossible.
pub fn print_sizes(casting: &Casting, of_pattern: bool) -> Result<Vec<PrintSize>, FormError> {
    let settings = &casting.settings;
    let clearance = if of_pattern { settings.print_clearance } else { 0.0 };
    let made = prints(&casting.moulded, settings, clearance).map_err(shape("core print"))?;
    let size = |p: &Primitive| {
        let (profile, prism) = p.shape()?;
        Some(if let Some((height, slope)) = prism {
            let reach = height - ROOT;
            let lean = slope.atan().abs();
            PrintSize { place: PrintPlace::Opening, diameter: None, wall: reach, whole: reach, lean }
        } else {
            let (_, far) = profile.extent();
            let walls = profile.segments().iter().filter(|s| s.from.x.min(s.to.x) > far.x - SNAP);
            let wall = walls.map(|s| s.from.y.max(s.to.y)).fold(0.0, f64::max);
            let place = if p.frame().z.x < 0.0 { PrintPlace::Front } else { PrintPlace::Rear };
            let diameter = Some(2.0 * far.x);
            PrintSize { place, diameter, wall, whole: far.y, lean: settings.print_taper }
        })
    };
    Ok(made.bodies.iter().filter_map(size).collect())
}
