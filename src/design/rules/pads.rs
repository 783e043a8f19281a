//! Pads as blocks of metal, for rules about features that run into them. This module has no rule of its own.

use crate::design::pad_face::{Extent, PadFace};
use crate::design::pads::rectangle;
use crate::finding::Place;
use crate::params::schema::{File, RawMountPad, RawShiftBoxPad};
use crate::units::Mm;

/// A pad's block from its face to its base, without draft and corner radii.
pub(super) struct Block {
    /// Its section in the file.
    pub(super) name: &'static str,
    /// The place in the file that sets its position.
    pub(super) place: Option<Place>,
    /// Centre of the face, mm.
    center: [f64; 3],
    /// Directions along, across and inwards.
    axes: [[f64; 3]; 3],
    /// How far it reaches from the centre along and across, and its depth from the face inwards.
    extent: Extent,
    depth: f64,
    /// How deep the metal under the face is: of a plate its thickness, else as deep as the block.
    metal: f64,
}

impl Block {
    /// Whether a point lies in it.
    pub(super) fn holds(&self, point: [f64; 3]) -> bool {
        self.holds_to(self.depth, point)
    }

    /// Whether a point lies in its metal; the room under a plate, between its ties, is free.
    pub(super) fn covers(&self, point: [f64; 3]) -> bool {
        self.holds_to(self.metal, point)
    }

    /// Whether a straight way out of the part comes through its face.
    pub(super) fn is_pierced(&self, from: [f64; 3], to: [f64; 3]) -> bool {
        let (start, end) = (self.own(from), self.own(to));
        if start[2] <= 0.0 || end[2] >= 0.0 {
            return false;
        }
        let share = start[2] / (start[2] - end[2]);
        let [along, across] = [0, 1].map(|k| start[k] + (end[k] - start[k]) * share);
        self.spans(along, across)
    }

    /// A point along, across and inwards from the middle of the face, mm.
    fn own(&self, point: [f64; 3]) -> [f64; 3] {
        let from = [0, 1, 2].map(|k| point[k] - self.center[k]);
        self.axes.map(|axis| from[0] * axis[0] + from[1] * axis[1] + from[2] * axis[2])
    }

    fn spans(&self, along: f64, across: f64) -> bool {
        let within = |(least, most): (Mm, Mm), at: f64| (least.get()..=most.get()).contains(&at);
        within(self.extent.along, along) && within(self.extent.across, across)
    }

    fn holds_to(&self, depth: f64, point: [f64; 3]) -> bool {
        let [along, across, inwards] = self.own(point);
        self.spans(along, across) && (0.0..=depth).contains(&inwards)
    }
}

/// All pads whose values are good.
pub(super) fn blocks(file: &File) -> Vec<Block> {
    let mounts = [("mount_pad", &file.mount_pad), ("second_mount_pad", &file.second_mount_pad)];
    let mounts = mounts.into_iter().filter_map(|(name, pad)| of_mount(name, pad.as_ref()?));
    file.shift_box_pad.as_ref().and_then(of_shift_box).into_iter().chain(mounts).collect()
}

fn of_shift_box(pad: &RawShiftBoxPad) -> Option<Block> {
    let ((sc, cc), (st, ct)) = (pad.clock.get()?.sin_cos(), pad.tilt.get()?.sin_cos());
    let (height, side) = (pad.height.get()?.get(), pad.side_offset.get()?.get());
    Some(Block {
        name: "shift_box_pad",
        place: pad.station.place(),
        center: [pad.station.get()?.get(), height * sc + side * cc, height * cc - side * sc],
        axes: [[ct, -st * sc, -st * cc], [0.0, cc, -sc], [-st, -ct * sc, -ct * cc]],
        extent: PadFace::of(pad)?.extent(),
        depth: height,
        metal: height,
    })
}

fn of_mount(name: &'static str, pad: &RawMountPad) -> Option<Block> {
    let drop = pad.drop.get()?.get();
    let station = (pad.base_station.get()? + pad.offset.get()?).get();
    Some(Block {
        name,
        place: pad.base_station.place(),
        center: [station, pad.side_offset.get()?.get(), -drop],
        axes: [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]],
        extent: Extent::of_rectangle(rectangle(&pad.outline)?),
        depth: drop,
        metal: pad.plate.as_ref().and_then(|plate| plate.thickness.get()).map_or(drop, Mm::get),
    })
}
