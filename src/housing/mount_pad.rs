//! The mount pads: a block or a plate tied to the shell, with tapped holes or slots.

use super::pad_hollow::{self, Seat};
use super::{CLEAR, Parts, fillets, pad};
use crate::design::{
    Design, MountPad, MountPlate, PadFace, PadSlots, Position, SlotDirection, Tie, wall_step,
};
use crate::faces::{Feature, Role, TieWall};
use crate::units::Mm;
use solidwright::geometry::{Frame, P2, P3, V2, V3};
use solidwright::solid::{Primitive, PrimitiveError, polygon, rounded_rectangle};

pub(super) fn make(design: &Design, parts: &mut Parts) -> Result<(), PrimitiveError> {
    let pads =
        [(Feature::MountPad, design.mount_pad()), (Feature::SecondMountPad, design.second_mount_pad())];
    for (feature, mount) in pads {
        if let Some(mount) = mount {
            one(design, feature, mount, parts)?;
        }
    }
    Ok(())
}

/// One pad.
pub(super) fn one(
    design: &Design,
    feature: Feature,
    mount: &MountPad,
    parts: &mut Parts,
) -> Result<(), PrimitiveError> {
    let drop = mount.drop().get();
    let center = P3::new(mount.station().get(), mount.side_offset().get(), -drop);
    let right_handed = Frame::from_zx(center, -V3::z(), V3::x());
    let depth = mount.plate().map_or(drop, |plate| plate.thickness().get());
    parts.added.push(pad::block(feature, &right_handed, &mount.outline(), depth, mount.draft())?);
    // z from the face up, x aft, y to the right.
    let up = Frame::from_zx(center, V3::z(), V3::x());
    if let Some(plate) = mount.plate() {
        tie(feature, mount, plate, &up, parts)?;
        bosses(design, feature, mount, plate, &up, parts)?;
    }
    if let Some(hollow) = mount.hollow() {
        let from = mount.pocket().copied().unwrap_or(hollow.floor());
        let face = PadFace::Rectangle(mount.outline());
        let bosses = hollow.bosses(mount.holes(), &[]);
        // A rule has made sure that there is room.
        let layers = hollow.layers(&face, &bosses, from, &feature.formed(Role::Hollow)).unwrap_or_default();
        let (reach, fillet) = (drop, hollow.fillet().get());
        let seat = Seat { feature, inwards: up, mirrored: false, reach, fillet };
        pad_hollow::cut(&seat, hollow.opens(), &layers, parts)?;
    }
    if let Some(slots) = mount.slots() {
        cut_slots(feature, slots, &up, parts)?;
    }
    if let Some(holes) = mount.holes() {
        let face = Frame { origin: center, x: V3::x(), y: V3::y(), z: -V3::z() };
        pad::tapped(feature, &face, holes, parts)?;
    }
    Ok(())
}

/// Walls or gussets from inside the plate up to the shaft axis; the cavity's cut takes what is too much.
fn tie(
    feature: Feature,
    mount: &MountPad,
    plate: &MountPlate,
    up: &Frame,
    parts: &mut Parts,
) -> Result<(), PrimitiveError> {
    let (outline, thickness) = (mount.outline(), plate.tie_thickness().get());
    let (length, width) = (outline.length.get(), outline.width.get());
    let (foot, drop) = (plate.thickness().get() / 2.0, mount.drop().get());
    let straight = length - 2.0 * outline.corner_radius.get();
    let step = wall_step(outline.width).get();
    match plate.tie() {
        Tie::Walls { edge_radius } => {
            for (wall, sign) in [(TieWall::Left, -1.0), (TieWall::Right, 1.0)] {
                let middle = P2::new(0.0, sign * ((width - thickness) / 2.0 - step));
                let size = V2::new(straight, thickness);
                let side = feature.formed(Role::WallSide(wall));
                let profile = rounded_rectangle(middle, size, edge_radius.get(), &side);
                let frame = up.moved_to(up.point(0.0, 0.0, foot));
                let (height, draft) = (drop - foot, -mount.draft().to_radians());
                let ends = [Role::WallFoot(wall), Role::WallTop(wall)].map(|role| feature.formed(role));
                parts.added.push(Primitive::prism(feature.name(), frame, profile, height, draft, ends)?);
            }
        }
        Tie::Gussets { count, top_half_width } => {
            let (room, half, top) = (straight - thickness, (width - thickness) / 2.0, top_half_width.get());
            // In the plane across the shaft: up, then to the left, from the plate's middle.
            let shaft = mount.side_offset().get();
            let points = [
                P2::new(foot, -half),
                P2::new(drop, shaft - top),
                P2::new(drop, shaft + top),
                P2::new(foot, half),
            ];
            for i in 0..count {
                let share = if count < 2 { 0.0 } else { f64::from(i) / f64::from(count - 1) - 0.5 };
                let number = i as usize + 1;
                let origin = up.point(room * share - thickness / 2.0, 0.0, 0.0);
                let frame = Frame::from_zx(origin, V3::x(), V3::z());
                let ends =
                    [Role::GussetFront(number), Role::GussetRear(number)].map(|role| feature.formed(role));
                let profile = polygon(&points, &[feature.formed(Role::GussetEdge(number))]);
                parts.added.push(Primitive::prism(feature.name(), frame, profile, thickness, 0.0, ends)?);
            }
        }
    }
    Ok(())
}

/// A boss behind each tapped hole that would come out of the plate.
fn bosses(
    design: &Design,
    feature: Feature,
    mount: &MountPad,
    plate: &MountPlate,
    up: &Frame,
    parts: &mut Parts,
) -> Result<(), PrimitiveError> {
    let (Some(holes), Some(diameter)) = (mount.holes(), plate.boss_diameter()) else { return Ok(()) };
    let Some(end) = plate.boss_end(holes).map(Mm::get) else { return Ok(()) };
    let foot = BOSS_FOOT * plate.thickness().get();
    for (i, at) in holes.positions().iter().enumerate() {
        let frame = up.moved_to(up.point(at.along.get(), at.across.get(), foot));
        let roles = [Role::BossFoot(i + 1), Role::BossSide(i + 1), Role::BossEnd(i + 1)];
        let tags = roles.map(|role| feature.formed(role));
        let radius = diameter.get() / 2.0;
        let height = boss_top(design, feature, mount, up.point(at.along.get(), at.across.get(), end), radius);
        let height = height.unwrap_or(end) - foot;
        let outline =
            [(0.0, 0.0), (radius, 0.0), (radius, height), (0.0, height)].map(|(r, z)| P2::new(r, z));
        let outline = fillets::rounded(design, &polygon(&outline, &tags));
        parts.added.push(Primitive::revolve(feature.name(), frame, outline)?);
    }
    Ok(())
}

/// How high above the mount face a boss ends that would leave no more than a notch below the shell: in the shell, at the height
/// of the shaft. `None` where it ends clear of the shell, or would come out beside it. `end` is the middle of its end.
fn boss_top(design: &Design, feature: Feature, mount: &MountPad, end: P3, radius: f64) -> Option<f64> {
    let at = |x: f64| design.shell().outside_radius(Mm::new(x)).map(Mm::get);
    let [front, rear] = [-radius, radius].map(|dx| at(end.x + dx));
    let (widest, narrowest) = (front?.max(rear?), front?.min(rear?));
    let inner = (end.y.abs() - radius).max(0.0);
    let below = -(widest * widest - inner * inner).max(0.0).sqrt() - end.z;
    let fillets = design.casting().fillets();
    let ball = 2.0 * fillets.of(feature).unwrap_or(fillets.outside()).get();
    let within = end.y.abs() + radius < BURIED * narrowest;
    (within && below < ball).then(|| mount.drop().get() - LOWER * radius)
}

/// Where bosses begin within the plate, as a share of its thickness: walls and gussets begin in its middle. Bosses often stand flush with
/// their sides, and with ends at one height the rounded edges of both would touch each other all along a quarter of a turn.
const BOSS_FOOT: f64 = 0.37;

/// How much lower than walls and gussets bosses end within the shell, in their radii, for the same reason.
const LOWER: f64 = 0.23;

/// How far a boss may reach to the side within the shell, in radii of the shell.
const BURIED: f64 = 0.9;

fn cut_slots(
    feature: Feature,
    slots: &PadSlots,
    up: &Frame,
    parts: &mut Parts,
) -> Result<(), PrimitiveError> {
    let (width, long) = (slots.width().get(), slots.width().get() + slots.travel().get());
    let size = match slots.direction() {
        SlotDirection::Along => V2::new(long, width),
        SlotDirection::Across => V2::new(width, long),
    };
    // Through a plate, the cutter comes out on the other side.
    for (i, &Position { along, across }) in slots.positions().iter().enumerate() {
        let tag = feature.cut(Role::Slot(i + 1));
        let profile = rounded_rectangle(P2::new(along.get(), across.get()), size, width / 2.0, &tag);
        let frame = up.moved_to(up.point(0.0, 0.0, -CLEAR));
        let ends = [tag.clone(), feature.cut(Role::SlotFloor(i + 1))];
        let height = slots.depth().get() + CLEAR + if slots.through() { CLEAR } else { 0.0 };
        parts.drilled.push(Primitive::prism(feature.name(), frame, profile, height, 0.0, ends)?);
    }
    Ok(())
}
