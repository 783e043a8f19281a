//! Machined pads raised from the shell, with their tapped holes placed one by one.

use super::mount_plate::{self, MountPlate, PadSlots};
use super::pad_face::PadFace;
use super::pad_hollow::{HollowOpens, PadHollow};
use super::record::record;
use super::shell::Shell;
use crate::finding::Place;
use crate::params::{ParameterList, schema};
use crate::standards::threads::Thread;
use crate::units::{Deg, Mm};

/// A rounded rectangle around a pad's centre.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rectangle {
    /// Along the shaft.
    pub length: Mm,
    /// Across the shaft.
    pub width: Mm,
    /// Radius of its four corners; may be 0, at most half the shorter side.
    pub corner_radius: Mm,
}

impl Rectangle {
    /// How far a point lies inside it; negative outside.
    pub(super) fn depth_inside(&self, at: Position) -> Mm {
        // A radius that does not fit has its own finding.
        let radius = self.corner_radius.min(self.length / 2.0).min(self.width / 2.0).get();
        let past_x = at.along.get().abs() - (self.length.get() / 2.0 - radius);
        let past_y = at.across.get().abs() - (self.width.get() / 2.0 - radius);
        let outside = past_x.max(0.0).hypot(past_y.max(0.0));
        Mm::new(radius - outside - past_x.max(past_y).min(0.0))
    }
}

/// A blind dowel hole, square to the pad's face.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Dowel {
    /// Its centre.
    pub position: Position,
    /// Diameter.
    pub diameter: Mm,
    /// Depth at full diameter.
    pub depth: Mm,
}

/// A point on a pad's face, from its centre.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Position {
    /// Aft of the centre.
    pub along: Mm,
    /// Towards clock + 90 degrees for the shift-box pad; to the right for the mount pad.
    pub across: Mm,
}

record! {
    /// Blind tapped holes, square to the pad's face.
    pub struct PadHoles {
        /// Thread of all holes; modelled at the tapping drill's diameter.
        thread: &'static Thread,
        /// Depth of full thread.
        depth: Mm,
        /// Depth of the drill's full diameter.
        drill_depth: Mm,
    } lent {
        /// Centres of the holes.
        positions: Vec<Position> => [Position],
    }
}

record! {
    /// The pad that carries the shift box.
    ///
    /// Centre: `(station, 0, 0) + height d + side_offset e`, with `d` the direction of `clock` and `e` that of
    /// clock + 90 degrees. Outward normal: `cos(tilt) d + sin(tilt) X`; across is `e`, along is
    /// `cos(tilt) X - sin(tilt) d`.
    pub struct ShiftBoxPad {
        /// Station of the centre.
        station: Mm,
        /// Distance of the centre from the shaft axis along `d`.
        height: Mm,
        /// Offset of the centre along `e`.
        side_offset: Mm,
        /// Direction in which the face looks.
        clock: Deg,
        /// Tip of the normal aft.
        tilt: Deg,
        /// Opening into the cavity.
        opening: Option<Rectangle>,
        /// Draft of the side walls.
        draft: Deg,
    } lent {
        /// Outline of the face.
        outline: PadFace => PadFace,
        /// Dowel holes.
        dowels: Vec<Dowel> => [Dowel],
    } optional {
        /// Tapped holes.
        holes: PadHoles,
        /// The hollow, when the pad is not solid.
        hollow: PadHollow,
    }
}

record! {
    /// The pad that rests on the mount.
    ///
    /// Centre: `(station, side_offset, -drop)`. Outward normal: straight down; along is X, across is Y.
    pub struct MountPad {
        /// Station of the centre: base station plus offset.
        station: Mm,
        /// Its offset from the base station.
        offset: Mm,
        /// Distance of the face below the shaft axis.
        drop: Mm,
        /// Offset of the centre to the right.
        side_offset: Mm,
        /// Outline of the face.
        outline: Rectangle,
        /// Draft of the side walls.
        draft: Deg,
    } optional {
        /// Tapped holes.
        holes: PadHoles,
        /// Slots.
        slots: PadSlots,
        /// The plate, when the pad is not a block from face to shaft axis.
        plate: MountPlate,
        /// The hollow, when the block is not solid.
        hollow: PadHollow,
        /// How deep a hollow is that opens at the face.
        pocket: Mm,
    }
}

impl ShiftBoxPad {
    pub(super) fn from_file(raw: &schema::RawShiftBoxPad, mould: &schema::RawMould) -> Option<Self> {
        let hollow = |h: &schema::RawPadHollow| PadHollow::of_shift_box(h, raw, mould);
        Some(Self {
            station: raw.station.get()?,
            height: raw.height.get()?,
            side_offset: raw.side_offset.get()?,
            clock: raw.clock.get()?,
            tilt: raw.tilt.get()?,
            outline: PadFace::of(raw)?,
            dowels: raw.dowels.items.iter().map(dowel).collect::<Option<_>>()?,
            opening: super::absent_or(raw.opening.as_ref(), rectangle).ok()?,
            draft: raw.draft.get()?,
            holes: super::absent_or(raw.holes.as_ref(), pad_holes).ok()?,
            hollow: super::absent_or(raw.hollow.as_ref(), hollow).ok()?,
        })
    }
}

impl MountPad {
    pub(super) fn from_file(
        raw: &schema::RawMountPad,
        mould: &schema::RawMould,
        shell: &Shell,
    ) -> Option<Self> {
        let station = raw.base_station.get()? + raw.offset.get()?;
        let thickness = raw.plate.as_ref().and_then(|plate| plate.thickness.get());
        let plate = |p: &schema::RawMountPlate| mount_plate::plate(p, station, &raw.outline, shell);
        let slots = |s: &schema::RawPadSlots| mount_plate::slots(s, thickness);
        let cavity: Vec<_> = shell.cavity().iter().map(|s| (s.x, s.radius)).collect();
        let hollow = super::absent_or(raw.hollow.as_ref(), |h| PadHollow::of_mount(h, raw, mould)).ok()?;
        Some(Self {
            pocket: hollow.as_ref().and_then(|hollow| pocket_depth(raw, hollow, &cavity)),
            hollow,
            plate: super::absent_or(raw.plate.as_ref(), plate).ok()?,
            slots: super::absent_or(raw.slots.as_ref(), slots).ok()?,
            station,
            drop: raw.drop.get()?,
            offset: raw.offset.get()?,
            side_offset: raw.side_offset.get()?,
            outline: rectangle(&raw.outline)?,
            draft: raw.draft.get()?,
            holes: super::absent_or(raw.holes.as_ref(), pad_holes).ok()?,
        })
    }
}

/// How deep a pocket is that leaves its floor below the widest place of the cavity over the pad; `None` for another hollow.
pub(super) fn pocket_depth(raw: &schema::RawMountPad, hollow: &PadHollow, cavity: &[(Mm, Mm)]) -> Option<Mm> {
    if hollow.opens() != HollowOpens::Outside {
        return None;
    }
    let (station, half) = (raw.base_station.get()? + raw.offset.get()?, raw.outline.length.get()? / 2.0);
    let (from, to) = (station - half, station + half);
    let ends = [from, to].into_iter().filter_map(|x| super::shell::radius_at(cavity.iter().copied(), x));
    let between = cavity.iter().filter(|p| p.0 > from && p.0 < to).map(|p| p.1);
    let widest = ends.chain(between).reduce(Mm::max)?;
    Some(raw.drop.get()? - widest - hollow.floor())
}

pub(super) fn rectangle(raw: &schema::Outline) -> Option<Rectangle> {
    Some(Rectangle {
        length: raw.length.get()?,
        width: raw.width.get()?,
        corner_radius: raw.corner_radius.get()?,
    })
}

pub(super) fn dowel(raw: &schema::RawDowel) -> Option<Dowel> {
    let position = Position { along: raw.along.get()?, across: raw.across.get()? };
    Some(Dowel { position, diameter: raw.diameter.get()?, depth: raw.depth.get()? })
}

pub(super) fn pad_holes(raw: &schema::RawPadHoles) -> Option<PadHoles> {
    Some(PadHoles {
        thread: raw.thread.get()?,
        depth: raw.depth.get()?,
        drill_depth: raw.drill_depth.get()?,
        positions: placed(raw).into_iter().map(|hole| hole.position).collect(),
    })
}

/// A tapped hole with the places in the file that set its position.
pub(super) struct PlacedPosition {
    pub(super) position: Position,
    pub(super) name: String,
    /// Place of its position along.
    pub(super) place: Option<Place>,
    /// Place of its position across.
    pub(super) across_place: Option<Place>,
}

/// All tapped holes with valid values, those of the grid first, row by row.
pub(super) fn placed(raw: &schema::RawPadHoles) -> Vec<PlacedPosition> {
    placed_at(raw.grid.as_ref(), &raw.positions)
}

/// All valid positions of a grid and a list, those of the grid first.
pub(super) fn placed_at(
    grid: Option<&schema::Grid>,
    positions: &ParameterList<schema::HolePosition>,
) -> Vec<PlacedPosition> {
    let mut out = grid.and_then(on_grid).unwrap_or_default();
    out.extend(positions.items.iter().filter_map(|item| {
        let position = Position { along: item.along.get()?, across: item.across.get()? };
        let name = item.along.path().trim_end_matches(".along").to_owned();
        Some(PlacedPosition { position, name, place: item.along.place(), across_place: item.across.place() })
    }));
    out
}

fn on_grid(grid: &schema::Grid) -> Option<Vec<PlacedPosition>> {
    let (columns, rows) = (grid.along.get()?, grid.across.get()?);
    let (length, width) = (grid.length.get()?, grid.width.get()?);
    let path = grid.along.path().trim_end_matches(".along").to_owned();
    let mut out = Vec::new();
    for row in 0..rows {
        for column in 0..columns {
            let position =
                Position { along: spread(length, columns, column), across: spread(width, rows, row) };
            let name = format!("{path} hole {}", row * columns + column + 1);
            out.push(PlacedPosition {
                position,
                name,
                place: grid.length.place(),
                across_place: grid.width.place(),
            });
        }
    }
    Some(out)
}

/// The offset of one of `count` points spread evenly over a length around 0.
fn spread(length: Mm, count: u32, index: u32) -> Mm {
    if count < 2 { Mm::new(0.0) } else { length * (f64::from(index) / f64::from(count - 1) - 0.5) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn depth_inside_a_rounded_rectangle() {
        let mm = Mm::new;
        let outline = Rectangle { length: mm(40.0), width: mm(20.0), corner_radius: mm(5.0) };
        for (along, across, expected) in
            [(0.0, 0.0, 10.0), (18.0, 0.0, 2.0), (25.0, 0.0, -5.0), (18.0, 9.0, 0.0), (15.0, 9.0, 1.0)]
        {
            let depth = outline.depth_inside(Position { along: mm(along), across: mm(across) });
            assert!((depth.get() - expected).abs() < 1e-12, "{along}, {across}: {depth}");
        }
    }
}
