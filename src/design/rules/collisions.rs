//! Features that must not overlap: two mount pads, rail tube and shift-box pad.

use super::{Verdicts, above, error};
use crate::design::pad_face::PadFace;
use crate::design::pads::rectangle;
use crate::finding::Code;
use crate::params::schema::{File, RawMountPad};
use crate::units::Mm;

const MOUNTS: Code = Code::new("D045", "mount pads overlap");
const RAIL: Code = Code::new("D097", "rail tube as high as the shift-box pad");

pub(super) const CODES: &[Code] = &[MOUNTS, RAIL];

pub(super) fn check(file: &File, out: &mut Verdicts) {
    mounts(file, out);
    rail(file, out);
}

fn mounts(file: &File, out: &mut Verdicts) -> Option<()> {
    let (first, second) = (file.mount_pad.as_ref()?, file.second_mount_pad.as_ref()?);
    let (a, b) = (footprint(first)?, footprint(second)?);
    let gaps = [0, 1].map(|k| (a[k].0 - b[k].0).abs() - a[k].1 - b[k].1);
    if gaps.iter().all(|&gap| above(Mm::new(0.0), gap)) {
        let (own, limit) = (out.mm(-gaps[0]), out.mm(a[0].1 + b[0].1));
        out.add(
            error(MOUNTS, &second.base_station, format!("it overlaps the first mount pad by {own}"))
                .allowed(format!("centres {limit} apart or more"))
                .beside(first.base_station.place(), "the first pad's position")
                .because("each pad rests on its own mount"),
        );
    }
    Some(())
}

/// Middle and half size along and across, draft included.
fn footprint(pad: &RawMountPad) -> Option<[(Mm, Mm); 2]> {
    let outline = rectangle(&pad.outline)?;
    let station = pad.base_station.get()? + pad.offset.get()?;
    Some([(station, outline.length / 2.0), (pad.side_offset.get()?, outline.width / 2.0)])
}

fn rail(file: &File, out: &mut Verdicts) -> Option<()> {
    let (rail, pad) = (file.rail_tube.as_ref()?, file.shift_box_pad.as_ref()?);
    let (sin, cos) = pad.clock.get()?.sin_cos();
    let (y, z, radius) = (rail.y.get()?, rail.z.get()?, rail.outside_diameter.get()? / 2.0);
    let (top, side) = (y * sin + z * cos + radius, y * cos - z * sin - pad.side_offset.get()?);
    let (extent, tilt) = (PadFace::of(pad)?.extent(), pad.tilt.get()?);
    let (_, lean) = tilt.sin_cos();
    let station = pad.station.get()?;
    let from = rail.from.get()?.max(station + extent.along.0 * lean);
    let to = rail.to.get()?.min(station + extent.along.1 * lean);
    let beside = above(side - radius, extent.across.1) || above(extent.across.0, side + radius);
    if beside || above(from, to) {
        return None;
    }
    // The face falls aft when it is tipped aft.
    let face = |x: Mm| pad.height.get().map(|height| height - (x - station) * tilt.tan());
    let lowest = face(from)?.min(face(to)?);
    if !above(lowest, top) {
        let (own, limit) = (out.mm(top), out.mm(lowest));
        out.add(
            error(
                RAIL,
                &pad.height,
                format!("the rail tube reaches {own} from the shaft axis under the pad"),
            )
            .allowed(format!("a face above {own}; here it is at {limit}"))
            .beside(rail.z.place(), "the rail's height")
            .because("the shift box could not be bolted flat")
            .hint("raise the pad, lower the rail, or end the tube ahead of the pad"),
        );
    }
    Some(())
}
