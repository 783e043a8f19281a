//! Gussets behind the flange, placed one by one, and the relief of the gearbox face.

use super::mount_plate::narrowest;
use super::shell::Shell;
use crate::params::schema;
use crate::units::{Deg, Mm};

/// A plate behind the flange, in the plane of the shaft axis and its clock angle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FlangeGusset {
    /// Direction from the shaft axis.
    pub clock: Deg,
    /// Distance of the crest's front end from the axis, at the flange's rear face.
    pub outer_radius: Mm,
    /// Station of the tip, and the tip's distance from the axis.
    pub tip: (Mm, Mm),
    /// Distance of the base from the axis: inside the shell all along.
    pub base: Mm,
    /// Thickness.
    pub thickness: Mm,
    /// Radius of the tip's outer corner; may be 0.
    pub tip_radius: Mm,
}

/// A shallow ring sunk into the gearbox face.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Relief {
    /// Inner diameter.
    pub inner_diameter: Mm,
    /// Outer diameter.
    pub outer_diameter: Mm,
    /// Depth below the face.
    pub depth: Mm,
}

/// How deep a gusset is rooted in the shell, in walls.
const ROOTED: f64 = 0.5;

/// All gussets of a set.
pub(super) fn gussets(raw: &schema::FlangeGussets, wall: Mm, shell: &Shell) -> Option<Vec<FlangeGusset>> {
    let (to, thickness, first) = (raw.to.get()?, raw.thickness.get()?, raw.first_clock.get()?);
    let profile = shell.outside().iter().map(|p| (p.x, p.radius));
    let base = narrowest(profile, Mm::new(0.0), to)? - wall * ROOTED;
    let tip = (to, shell.outside_radius(to)? + raw.tip.get()?);
    let (outer_radius, tip_radius) = (raw.outer_radius.get()?, raw.tip_radius.get()?);
    let count = raw.count.get()?;
    let gusset = |i: u32| {
        let clock = first + Deg::new(360.0) * (f64::from(i) / f64::from(count));
        FlangeGusset { clock, outer_radius, tip, base, thickness, tip_radius }
    };
    Some((0..count).map(gusset).collect())
}

pub(super) fn relief(raw: &schema::RawRelief) -> Option<Relief> {
    Some(Relief {
        inner_diameter: raw.inner_diameter.get()?,
        outer_diameter: raw.outer_diameter.get()?,
        depth: raw.depth.get()?,
    })
}
