//! Pads on walls: room for the hollow, bosses that hold their threads, a way to the cavity or a floor below it.

use super::pad_holes::shift_box_point;
use super::{Slot, Verdicts, above, error, error_of_given};
use crate::design::pad_face::PadFace;
use crate::design::pad_hollow::{HollowOpens, PadHollow};
use crate::design::pad_hollow_fit::{BESIDE_OPENING, BOSS_WALL};
use crate::design::pads::{Position, dowel, pad_holes, placed, pocket_depth, rectangle};
use crate::faces::{Feature, Role};
use crate::finding::Code;
use crate::params::Parameter;
use crate::params::schema::{File, RawMould, RawMountPad, RawPadHoles, RawPadHollow, RawShiftBoxPad};
use crate::units::Mm;
use solidwright::solid::Tag;

const TWO_KINDS: Code = Code::new("D200", "pad that is both hollow and a plate, or hollow and slotted");
const NO_ROOM: Code = Code::new("D201", "walls and bosses leave no hollow");
const SMALL_BOSS: Code = Code::new("D202", "boss in a hollow too small for its thread");
const IN_OPENING: Code = Code::new("D203", "boss in a hollow runs into the opening");
const OFF_CAVITY: Code = Code::new("D204", "hollow wider than the cavity that it opens to");
const SHALLOW: Code = Code::new("D205", "no depth left for a hollow");

pub(super) const CODES: &[Code] = &[TWO_KINDS, NO_ROOM, SMALL_BOSS, IN_OPENING, OFF_CAVITY, SHALLOW];

/// The smallest boss that a file may ask for.
const LEAST_BOSS: Mm = Mm::new(8.0);

/// Least depth of a hollow, in radii of the fillet around its end.
const LEAST_DEPTH: f64 = 1.5;

pub(super) fn check(file: &File, out: &mut Verdicts) {
    if let Some(pad) = &file.shift_box_pad
        && let Some(hollow) = &pad.hollow
    {
        shift_box(pad, hollow, &file.casting.mould, out);
        small_boss(hollow, pad.holes.as_ref(), out);
        beside_opening(pad, hollow, out);
    }
    for (feature, pad) in
        [(Feature::MountPad, &file.mount_pad), (Feature::SecondMountPad, &file.second_mount_pad)]
    {
        let Some(pad) = pad else { continue };
        let Some(hollow) = &pad.hollow else { continue };
        one_kind(pad, &hollow.sizes, out);
        mount(feature, pad, &file.casting.mould, out);
        small_boss(&hollow.sizes, pad.holes.as_ref(), out);
    }
}

fn one_kind(pad: &RawMountPad, hollow: &RawPadHollow, out: &mut Verdicts) {
    let other = match (&pad.plate, &pad.slots) {
        (Some(plate), _) => (plate.thickness.place(), "a `plate`"),
        (None, Some(slots)) => (slots.size.place(), "`slots`"),
        (None, None) => return,
    };
    out.add(
        error(TWO_KINDS, &hollow.wall, format!("the pad has a `hollow` and {}", other.1))
            .beside(other.0, other.1)
            .because("slots need a solid pad or a plate, and a plate has walls of its own")
            .hint("leave one of them out"),
    );
}

fn small_boss(hollow: &RawPadHollow, holes: Option<&RawPadHoles>, out: &mut Verdicts) -> Option<()> {
    let needed = holes?.thread.get()?.diameter + BOSS_WALL * 2.0;
    let own = hollow.boss_diameter.get()?;
    if above(needed, own) {
        let (own, limit) = (out.mm(own), out.mm(needed));
        out.add(
            error(SMALL_BOSS, &hollow.boss_diameter, format!("the boss is {own} in diameter"))
                .allowed(format!("{limit} or more: the thread and 2.5 mm around it"))
                .because("the boss would split"),
        );
    }
    Some(())
}

fn beside_opening(pad: &RawShiftBoxPad, hollow: &RawPadHollow, out: &mut Verdicts) -> Option<()> {
    let opening = rectangle(pad.opening.as_ref()?)?;
    let diameter = hollow.boss_diameter.get()?;
    let gaps = placed(pad.holes.as_ref()?).into_iter().map(|hole| -opening.depth_inside(hole.position));
    let gap = gaps.reduce(Mm::min)?;
    if above(diameter / 2.0 + BESIDE_OPENING, gap) {
        let most = (gap - BESIDE_OPENING) * 2.0;
        let raw = pad.opening.as_ref()?;
        let thread = pad.holes.as_ref().and_then(|holes| holes.thread.get());
        let least = thread.map_or(LEAST_BOSS, |t| (t.diameter + BOSS_WALL * 2.0).max(LEAST_BOSS));
        let message = format!("a boss of {} runs into the opening", out.mm(diameter));
        let fault = if above(least, most) {
            // No boss that holds its thread fits there: only the hole or the opening can give way.
            let apart = out.mm(least / 2.0 + BESIDE_OPENING);
            error_of_given(IN_OPENING, &[Slot::of(&raw.width)], message)
                .allowed(format!("holes with their middle at least {apart} beside the opening"))
                .hint("make the `opening` smaller, or move the hole outwards; a boss that fits would split at its thread")
        } else {
            let most = out.mm(most);
            error_of_given(IN_OPENING, &[Slot::of(&hollow.boss_diameter), Slot::of(&raw.width)], message)
                .allowed(format!("`hollow.boss_diameter` of at most {most}: 1 mm clear of the opening"))
                .hint("make the boss or the `opening` smaller, or move the hole outwards")
        };
        out.add(fault.because("the core would have a feather's edge there"));
    }
    Some(())
}

/// The outline of a hollow's mouth, as places on the pad's face.
fn mouth(hollow: &PadHollow, face: &PadFace) -> Option<Vec<Position>> {
    let tag = Feature::ShiftBoxPad.formed(Role::Hollow);
    let layers = hollow.layers(face, &[], hollow.floor(), &tag)?;
    let outline = &layers.first()?.outline;
    let at = |share: f64| outline.iter().map(move |s| s.point(share));
    let points = at(0.0).chain(at(0.25)).chain(at(0.5)).chain(at(0.75));
    Some(points.map(|p| Position { along: Mm::new(p.x), across: Mm::new(p.y) }).collect())
}

/// What leaves no room for a hollow.
#[derive(Clone, Copy)]
enum Taker {
    Bosses,
    Walls,
    Fillet,
}

impl Taker {
    /// What must give way: without bosses there is room, with the thinnest walls there is, or only the fillet is left.
    fn of(hollow: &PadHollow, face: &PadFace, from: Mm, tag: &Tag) -> Self {
        if hollow.layers(face, &[], from, tag).is_some() {
            Self::Bosses
        } else if hollow.with_thinnest_walls().layers(face, &[], from, tag).is_some() {
            Self::Walls
        } else {
            Self::Fillet
        }
    }
}

fn no_room(raw: &RawPadHollow, taker: Taker, out: &mut Verdicts) {
    let shown = |slot: &Parameter<Mm>, out: &Verdicts| out.mm(slot.get().unwrap_or_default());
    let (wall, fillet) = (shown(&raw.wall, out), shown(&raw.fillet, out));
    let (slots, message) = match taker {
        Taker::Bosses => (
            [Slot::of(&raw.boss_diameter), Slot::of(&raw.wall), Slot::of(&raw.fillet)],
            format!("bosses of {} leave no hollow between walls of {wall}", shown(&raw.boss_diameter, out)),
        ),
        Taker::Walls => (
            [Slot::of(&raw.wall), Slot::of(&raw.fillet), Slot::of(&raw.boss_diameter)],
            format!("walls of {wall} leave no hollow"),
        ),
        Taker::Fillet => (
            [Slot::of(&raw.fillet), Slot::of(&raw.wall), Slot::of(&raw.boss_diameter)],
            format!("a fillet of {fillet} leaves no hollow between walls of {wall}"),
        ),
    };
    out.add(
        error_of_given(NO_ROOM, &slots, message)
            .allowed(
                "room between the walls for a disc of 1.25 times the `fillet`, and the draft of the hollow",
            )
            .because("the core of the hollow would be too thin to hold its shape, or there is none")
            .hint(
                "thinner walls, a smaller `fillet` or `boss_diameter`, a larger `outline`, or a solid block",
            ),
    );
}

fn shift_box(pad: &RawShiftBoxPad, raw: &RawPadHollow, mould: &RawMould, out: &mut Verdicts) -> Option<()> {
    let hollow = PadHollow::of_shift_box(raw, pad, mould)?;
    let face = PadFace::of(pad)?;
    let height = pad.height.get()?;
    let holes = pad.holes.as_ref().and_then(pad_holes);
    let dowels: Vec<_> = pad.dowels.items.iter().filter_map(dowel).collect();
    let bosses = hollow.bosses(holes.as_ref(), &dowels);
    let tag = Feature::ShiftBoxPad.formed(Role::Hollow);
    let (Some(mouth), Some(_)) = (mouth(&hollow, &face), hollow.layers(&face, &bosses, hollow.floor(), &tag))
    else {
        no_room(raw, Taker::of(&hollow, &face, hollow.floor(), &tag), out);
        return None;
    };
    let place = |at: Position, depth: Mm| {
        let [x, y, z] = shift_box_point(pad, at, depth)?;
        Some((x, Mm::new(y.get().hypot(z.get()))))
    };
    within_cavity(&mouth, |at| place(at, height), raw, out);
    let middle = place(Position { along: Mm::new(0.0), across: Mm::new(0.0) }, hollow.floor())?;
    deep_enough(middle, raw, out)
}

fn mount(feature: Feature, pad: &RawMountPad, mould: &RawMould, out: &mut Verdicts) -> Option<()> {
    let raw = &pad.hollow.as_ref()?.sizes;
    let hollow = PadHollow::of_mount(pad.hollow.as_ref()?, pad, mould)?;
    let face = PadFace::Rectangle(rectangle(&pad.outline)?);
    let holes = pad.holes.as_ref().and_then(pad_holes);
    let bosses = hollow.bosses(holes.as_ref(), &[]);
    let from = match hollow.opens() {
        HollowOpens::Inside => hollow.floor(),
        HollowOpens::Outside => {
            let depth = pocket_depth(pad, &hollow, &out.cavity)?;
            if !above(depth, hollow.fillet() * LEAST_DEPTH) {
                shallow(raw, depth, out);
                return None;
            }
            depth
        }
    };
    let tag = feature.formed(Role::Hollow);
    let (Some(mouth), Some(_)) = (mouth(&hollow, &face), hollow.layers(&face, &bosses, from, &tag)) else {
        no_room(raw, Taker::of(&hollow, &face, from, &tag), out);
        return None;
    };
    if hollow.opens() == HollowOpens::Outside {
        return Some(());
    }
    let (station, side, drop) =
        (pad.base_station.get()? + pad.offset.get()?, pad.side_offset.get()?, pad.drop.get()?);
    within_cavity(&mouth, |at| Some((station + at.along, (side + at.across).abs())), raw, out);
    deep_enough((station, Mm::new(side.get().hypot((drop - hollow.floor()).get()))), raw, out)
}

/// At the height of the shaft a hollow ends: its whole mouth must lie in the cavity there.
fn within_cavity(
    mouth: &[Position],
    place: impl Fn(Position) -> Option<(Mm, Mm)>,
    raw: &RawPadHollow,
    out: &mut Verdicts,
) -> Option<()> {
    if out.cavity.is_empty() {
        return None; // nothing is known of the shell
    }
    let (first, last) = (out.cavity.first()?.0, out.cavity.last()?.0);
    let mut worst: Option<(Mm, Mm, Mm)> = None;
    let mut beyond: Option<Mm> = None;
    for at in mouth {
        let (x, far) = place(*at)?;
        let Some(cavity) = out.cavity_at(x) else {
            let off = |x: Mm| (first - x).max(x - last);
            beyond = Some(beyond.map_or(x, |known| if off(x) > off(known) { x } else { known }));
            continue;
        };
        if worst.is_none_or(|(most, ..)| far - cavity > most) {
            worst = Some((far - cavity, far, cavity));
        }
    }
    if let Some(x) = beyond {
        let (x, first, last) = (out.mm(x), out.mm(first), out.mm(last));
        out.add(
            error(OFF_CAVITY, &raw.wall, format!("the hollow reaches to station {x}, where there is no cavity"))
                .allowed(format!("stations {first} to {last}, the cavity's ends"))
                .because("beyond the cavity its core would end in the metal")
                .hint("move the pad, make its `outline` shorter or the `wall` thicker; a mount pad's hollow may be open `outside`"),
        );
        return None;
    }
    let (over, far, cavity) = worst?;
    if !above(Mm::new(0.0), over) {
        let (far, cavity) = (out.mm(far), out.mm(cavity));
        out.add(
            error(OFF_CAVITY, &raw.wall, format!("the hollow reaches {far} from the shaft axis"))
                .allowed(format!("less than {cavity}, the cavity's radius there"))
                .because("beside the cavity its core would end in the metal")
                .hint("thicker `wall`, a smaller `outline`, another place; a mount pad's hollow may be open `outside`"),
        );
    }
    Some(())
}

/// What closes a hollow at the face must end above the cavity.
fn deep_enough((x, far): (Mm, Mm), raw: &RawPadHollow, out: &mut Verdicts) -> Option<()> {
    let depth = far - out.cavity_at(x)?;
    if !above(depth, raw.fillet.get()? * LEAST_DEPTH) {
        shallow(raw, depth, out);
    }
    Some(())
}

fn shallow(raw: &RawPadHollow, depth: Mm, out: &mut Verdicts) {
    let own = out.mm(depth);
    let slots = [Slot::of(&raw.floor), Slot::of(&raw.fillet), Slot::of(&raw.wall)];
    let message = if above(Mm::new(0.0), depth) {
        "the floor reaches into the cavity: nothing is left for the hollow".to_owned()
    } else {
        format!("between floor and cavity {own} are left for the hollow")
    };
    out.add(
        error_of_given(SHALLOW, &slots, message)
            .allowed("more than 1.5 times its `fillet`")
            .because("a shallower hollow is all fillet, and saves no metal")
            .hint("a thinner `floor`, a face farther out, or a solid block"),
    );
}
