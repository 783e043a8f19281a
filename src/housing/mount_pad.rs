//! The mount pad with its tapped holes.

use super::{Parts, pad};
use crate::design::Design;
use crate::geometry::{Frame, P3, V3};
use crate::solid::PrimitiveError;

const FEATURE: &str = "mount_pad";

pub(super) fn make(design: &Design, parts: &mut Parts) -> Result<(), PrimitiveError> {
    let Some(mount) = design.mount_pad() else { return Ok(()) };
    let drop = mount.drop().get();
    let center = P3::new(mount.station().get(), mount.side_offset().get(), -drop);
    let right_handed = Frame::from_zx(center, -V3::z(), V3::x());
    parts.added.push(pad::block(FEATURE, &right_handed, &mount.outline(), drop, mount.draft())?);
    if let Some(holes) = mount.holes() {
        let face = Frame { origin: center, x: V3::x(), y: V3::y(), z: -V3::z() };
        pad::tapped(FEATURE, &face, holes, parts)?;
    }
    Ok(())
}
