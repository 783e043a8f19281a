//! The mount pads with their tapped holes.

use super::{Parts, pad};
use crate::design::{Design, MountPad};
use crate::geometry::{Frame, P3, V3};
use crate::solid::PrimitiveError;

pub(super) fn make(design: &Design, parts: &mut Parts) -> Result<(), PrimitiveError> {
    let pads = [("mount_pad", design.mount_pad()), ("second_mount_pad", design.second_mount_pad())];
    for (feature, mount) in pads {
        if let Some(mount) = mount {
            one(feature, mount, parts)?;
        }
    }
    Ok(())
}

fn one(feature: &str, mount: &MountPad, parts: &mut Parts) -> Result<(), PrimitiveError> {
    let drop = mount.drop().get();
    let center = P3::new(mount.station().get(), mount.side_offset().get(), -drop);
    let right_handed = Frame::from_zx(center, -V3::z(), V3::x());
    parts.added.push(pad::block(feature, &right_handed, &mount.outline(), drop, mount.draft())?);
    if let Some(holes) = mount.holes() {
        let face = Frame { origin: center, x: V3::x(), y: V3::y(), z: -V3::z() };
        pad::tapped(feature, &face, holes, parts)?;
    }
    Ok(())
}
