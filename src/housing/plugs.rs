//! Plug bosses with their tapped holes.

use super::bores::{Bore, through};
use super::frames::clock;
use super::{CLEAR, Parts};
use crate::design::Design;
use crate::faces::{Feature, PlugId, Role};
use solidwright::geometry::{Frame, P3, V3};
use solidwright::solid::{PrimitiveError, cylinder};

const FEATURE: Feature = Feature::Plugs;

pub(super) fn make(design: &Design, parts: &mut Parts) -> Result<(), PrimitiveError> {
    for (i, plug) in design.plugs().iter().enumerate() {
        let own = PlugId { kind: plug.kind(), number: i + 1 };
        let frame = Frame::from_zx(P3::new(plug.station().get(), 0.0, 0.0), clock(plug.clock()), V3::x());
        let (height, radius) = (plug.height().get(), plug.diameter().get() / 2.0);
        let tags = [
            FEATURE.formed(Role::PlugBase(own)),
            FEATURE.formed(Role::PlugSide(own)),
            FEATURE.cut(Role::PlugFace(own)),
        ];
        parts.added.push(cylinder(FEATURE.name(), frame, radius, height, &tags)?);
        let wall = FEATURE.cut(Role::PlugHole(own));
        let drill = plug.thread().tap_drill.get() / 2.0;
        parts.cut.push(through(frame, drill, 0.0, height + CLEAR, &wall, &wall)?);
        let face = Frame { origin: frame.origin + frame.z * height, ..frame };
        parts.bores.push(Bore::new(&wall, drill, &face));
    }
    Ok(())
}
