//! Plug bosses with their tapped holes.

use super::bores::{Bore, through};
use super::frames::clock;
use super::{CLEAR, Parts};
use crate::design::{Design, PlugKind};
use solidwright::geometry::{Frame, P3, V3};
use solidwright::solid::{PrimitiveError, Tag, cylinder};

const FEATURE: &str = "plugs";

pub(super) fn make(design: &Design, parts: &mut Parts) -> Result<(), PrimitiveError> {
    for (i, plug) in design.plugs().iter().enumerate() {
        let kind = match plug.kind() {
            PlugKind::Fill => "fill",
            PlugKind::Drain => "drain",
            PlugKind::Vent => "vent",
        };
        let name = |role: &str| format!("{kind} plug {} {role}", i + 1);
        let frame = Frame::from_zx(P3::new(plug.station().get(), 0.0, 0.0), clock(plug.clock()), V3::x());
        let (height, radius) = (plug.height().get(), plug.diameter().get() / 2.0);
        let tags = [
            Tag::formed(FEATURE, &name("base")),
            Tag::formed(FEATURE, &name("side")),
            Tag::cut(FEATURE, &name("face")),
        ];
        parts.added.push(cylinder(FEATURE, frame, radius, height, &tags)?);
        let wall = Tag::cut(FEATURE, &name("tapped hole"));
        let drill = plug.thread().tap_drill.get() / 2.0;
        parts.cut.push(through(frame, drill, 0.0, height + CLEAR, &wall, &wall)?);
        parts.bores.push(Bore::new(&wall, drill, &frame));
    }
    Ok(())
}
