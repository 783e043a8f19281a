//! Pads on walls instead of blocks of solid metal: where their hollow lies, and how it leaves bosses around the holes.
//!
//! A hollow is made of layers. Each runs from its depth below the face to the other end of the hollow, and leaves the bosses
//! that reach deeper than that: so the hollow is nowhere wider at the face than below, and a core of it leaves its box.

use super::casting::MOST_LEAN;
use super::pad_face::PadFace;
use super::pads::{Dowel, PadHoles, Position};
use super::record::record;
use super::rounded::rounded_polygon;
use crate::params::schema;
use crate::standards::drills::drill_point;
use crate::units::{Deg, Mm};
use solidwright::geometry::{P2, V2};
use solidwright::solid::fillet::room_within;
use solidwright::solid::{Profile, Segment, Tag, circle, polygon, rounded_rectangle};

pub use crate::params::schema::HollowOpens;

record! {
    /// The hollow in a pad.
    pub struct PadHollow {
        /// Where it is open.
        opens: HollowOpens,
        /// Thickness of the walls.
        wall: Mm,
        /// Thickness of what closes it.
        floor: Mm,
        /// Diameter of the bosses around tapped holes; none where there are no holes.
        boss_diameter: Option<Mm>,
        /// Metal between the drill's point and the boss's end.
        boss_floor: Mm,
        /// Radius of the fillets at its end.
        fillet: Mm,
        /// Radius of its upright corners.
        upright: Mm,
    }
}

/// A boss that stands in a hollow.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Boss {
    /// Its centre on the pad's face.
    pub at: Position,
    /// Its diameter.
    pub diameter: Mm,
    /// How far below the face it ends.
    pub depth: Mm,
}

/// A layer of a hollow, in mm.
#[derive(Debug, Clone)]
pub struct HollowLayer {
    /// How far below the face it begins.
    pub depth: f64,
    /// Its outline: along, across.
    pub outline: Vec<Segment>,
}

/// Radius of a hollow's upright corners at its narrow end, in radii of the fillet there, which must pass round them.
const UPRIGHT: f64 = 1.25;

/// Diameter of a boss around a dowel, in diameters of the dowel, common practice.
const DOWEL_BOSS: f64 = 2.2;

/// How much narrower each layer is than the one below it, mm: their walls meet in an edge and never run on in one another.
const STEP: f64 = 0.4;

impl PadHollow {
    /// The hollow of a pad whose face lies a height from the shaft axis, and is drafted by an angle: that narrows the upright
    /// corners towards its end.
    pub(super) fn from_file(
        raw: &schema::RawPadHollow,
        opens: HollowOpens,
        height: Mm,
        draft: Deg,
    ) -> Option<Self> {
        Some(Self {
            opens,
            wall: raw.wall.get()?,
            floor: raw.floor.get()?,
            boss_diameter: raw.boss_diameter.get(),
            boss_floor: raw.boss_floor.get()?,
            fillet: raw.fillet.get()?,
            upright: raw.fillet.get()? * UPRIGHT + height * draft.tan(),
        })
    }

    /// The hollow of a shift-box pad.
    pub(super) fn of_shift_box(
        raw: &schema::RawPadHollow,
        pad: &schema::RawShiftBoxPad,
        mould: &schema::RawMould,
    ) -> Option<Self> {
        // A pad that leans a little in the mould leans its core as much, whose walls then need that much more draft.
        let aside = (pad.clock.get()? - mould.parting_clock.get()?).sin_cos().1;
        let lean = Deg::new((aside.abs() * pad.tilt.get()?.sin_cos().1).min(1.0).acos().to_degrees());
        let lean = if lean < MOST_LEAN { lean } else { Deg::new(0.0) };
        Self::from_file(raw, HollowOpens::Inside, pad.height.get()?, mould.core_draft.get()? + lean)
    }

    /// The hollow of a mount pad.
    pub(super) fn of_mount(
        raw: &schema::RawMountHollow,
        pad: &schema::RawMountPad,
        mould: &schema::RawMould,
    ) -> Option<Self> {
        let opens = raw.opens.get()?;
        let draft = match opens {
            HollowOpens::Inside => mould.core_draft.get()?,
            HollowOpens::Outside => mould.draft.get()?,
        };
        Self::from_file(&raw.sizes, opens, pad.drop.get()?, draft)
    }

    /// The same hollow with the thinnest walls that a file may ask for.
    pub(super) fn with_thinnest_walls(&self) -> Self {
        Self { wall: schema::LEAST_HOLLOW_WALL, ..self.clone() }
    }

    /// The bosses around a pad's holes and dowels that reach into the hollow.
    pub fn bosses(&self, holes: Option<&PadHoles>, dowels: &[Dowel]) -> Vec<Boss> {
        // A boss that reaches into the hollow does so by more than the fillet about it.
        let least = self.floor + self.fillet * 1.2;
        let end = |drill: Mm, depth: Mm| {
            let end = depth + drill_point(drill) + self.boss_floor;
            if end > self.floor { end.max(least) } else { end }
        };
        let threads = holes.zip(self.boss_diameter).into_iter().flat_map(|(holes, diameter)| {
            let depth = end(holes.thread().tap_drill, holes.drill_depth());
            holes.positions().iter().map(move |at| Boss { at: *at, diameter, depth })
        });
        let dowels = dowels.iter().map(|dowel| Boss {
            at: dowel.position,
            diameter: dowel.diameter * DOWEL_BOSS,
            depth: end(dowel.diameter, dowel.depth),
        });
        let deep = |boss: &Boss| self.opens == HollowOpens::Outside || boss.depth > self.floor;
        threads.chain(dowels).filter(deep).collect()
    }

    /// The layers of a hollow that begins at a depth below the face, shallowest first; their walls bear the tag. `None` where
    /// walls and bosses leave none.
    pub fn layers(&self, face: &PadFace, bosses: &[Boss], from: Mm, tag: &Tag) -> Option<Vec<HollowLayer>> {
        let outside = Profile::new(outline(face, tag)?).ok()?;
        let mut depths = vec![from.get()];
        if self.opens == HollowOpens::Inside {
            depths.extend(bosses.iter().map(|boss| boss.depth.get()).filter(|depth| *depth > from.get()));
        }
        // Deepest first; bosses that end nearly in one plane end in one.
        depths.sort_by(|a, b| b.total_cmp(a));
        depths.dedup_by(|a, b| *b - *a < self.fillet.get() && *a > from.get());
        let room = |in_by: f64, islands: &[Profile]| {
            room_within(&outside, self.wall.get() + in_by, islands, self.upright.get())
        };
        let open = Profile::new(room(0.0, &[])?).ok()?;
        let layer = |(number, depth): (usize, f64)| {
            let in_by = STEP * number as f64;
            let deeper = |boss: &&Boss| self.opens == HollowOpens::Outside || boss.depth.get() > depth + 1e-6;
            let islands = bosses.iter().filter(deeper).map(|boss| self.islands(boss, in_by, &open, tag));
            let islands: Vec<Profile> = islands.collect::<Option<Vec<_>>>()?.concat();
            Some(HollowLayer { depth, outline: room(in_by, &islands)? })
        };
        let mut layers = depths.into_iter().enumerate().map(layer).collect::<Option<Vec<_>>>()?;
        layers.reverse();
        Some(layers)
    }

    /// A boss and, where it stands clear of the walls, the web that ties it to the nearest.
    fn islands(&self, boss: &Boss, in_by: f64, open: &Profile, tag: &Tag) -> Option<Vec<Profile>> {
        let at = P2::new(boss.at.along.get(), boss.at.across.get());
        let radius = boss.diameter.get() / 2.0 + in_by;
        let mut out = vec![Profile::new(circle(at, radius, tag)).ok()?];
        let gap = open.distance(at);
        if open.contains(at) && gap > radius {
            let near = open.segments().iter().map(|s| nearest(s, at));
            let foot = near.min_by(|a, b| (a - at).norm().total_cmp(&(b - at).norm()))?;
            let way = (foot - at).normalize();
            let (side, end) =
                (V2::new(-way.y, way.x) * (0.5 * self.wall.get() + in_by), foot + way * self.wall.get());
            let corners = [at - side, end - side, end + side, at + side];
            out.push(Profile::new(polygon(&corners, std::slice::from_ref(tag))).ok()?);
        }
        Some(out)
    }
}

/// The point of a segment that is nearest to a place, of an arc its middle or an end.
fn nearest(s: &Segment, at: P2) -> P2 {
    let share = if s.arc.is_none() {
        let along = s.to - s.from;
        ((at - s.from).dot(&along) / along.norm_squared()).clamp(0.0, 1.0)
    } else {
        0.5
    };
    let ends = [0.0, share, 1.0].map(|share| s.point(share));
    ends.into_iter().fold(s.from, |best, p| if (p - at).norm() < (best - at).norm() { p } else { best })
}

/// The outline of a pad's face.
fn outline(face: &PadFace, tag: &Tag) -> Option<Vec<Segment>> {
    match face {
        PadFace::Rectangle(r) => {
            let size = V2::new(r.length.get(), r.width.get());
            Some(rounded_rectangle(P2::origin(), size, r.corner_radius.get(), tag))
        }
        PadFace::Polygon(corners) => rounded_polygon(corners, tag),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::pads::Rectangle;
    use crate::faces::{Feature, Role};
    use std::f64::consts::PI;

    fn tag() -> Tag {
        Feature::MountPad.formed(Role::Hollow)
    }

    fn hollow(opens: HollowOpens) -> PadHollow {
        let mm = Mm::new;
        PadHollow {
            opens,
            wall: mm(7.0),
            floor: mm(8.0),
            boss_diameter: Some(mm(18.0)),
            boss_floor: mm(4.0),
            fillet: mm(3.0),
            upright: mm(4.5),
        }
    }

    fn face() -> PadFace {
        let mm = Mm::new;
        PadFace::Rectangle(Rectangle { length: mm(80.0), width: mm(60.0), corner_radius: mm(10.0) })
    }

    fn area(layer: &HollowLayer) -> f64 {
        Profile::new(layer.outline.clone()).expect("an outline").area()
    }

    fn boss(along: f64, across: f64, depth: f64) -> Boss {
        let mm = Mm::new;
        Boss { at: Position { along: mm(along), across: mm(across) }, diameter: mm(18.0), depth: mm(depth) }
    }

    /// Without bosses there is one layer: the outline less the walls, with its own corners where they are rounder.
    #[test]
    fn walls_follow_the_outline() {
        let layers = hollow(HollowOpens::Inside).layers(&face(), &[], Mm::new(8.0), &tag()).expect("layers");
        let want = 66.0 * 46.0 - (4.0 - PI) * 4.5 * 4.5;
        assert!(
            layers.len() == 1 && (area(&layers[0]) - want).abs() < 1e-9,
            "{} for {want}",
            area(&layers[0])
        );
    }

    /// A boss that stands free takes its disc and a web of the wall's thickness: more than the disc, less than the square
    /// about it and the web with fillets as large as they can be.
    #[test]
    fn a_free_boss_is_tied_to_its_wall() {
        let bosses = [boss(0.0, 0.0, 30.0)];
        let layers =
            hollow(HollowOpens::Inside).layers(&face(), &bosses, Mm::new(8.0), &tag()).expect("layers");
        let depths: Vec<f64> = layers.iter().map(|l| l.depth).collect();
        assert_eq!(depths, [8.0, 30.0], "below the boss the hollow is whole");
        // The upper layer is narrower by the step all round.
        let taken = area(&layers[1]) - area(&layers[0]) - 0.4 * 2.0 * (66.0 + 46.0);
        let (disc, web) = (PI * 81.0, (23.0 - 9.0) * 7.0);
        assert!(taken > disc + web && taken < disc + web + 6.0 * 4.5 * 4.5, "{taken}");
    }

    #[test]
    fn walls_that_meet_leave_no_hollow() {
        let mut thick = hollow(HollowOpens::Inside);
        thick.wall = Mm::new(27.0);
        assert!(thick.layers(&face(), &[], Mm::new(8.0), &tag()).is_none(), "2 x 27 and fillets in 60 mm");
    }

    /// In a pocket that is open at the face the bosses stand from its floor to the face.
    #[test]
    fn bosses_of_a_pocket_reach_the_face() {
        let bosses = [boss(25.0, 15.0, 30.0), boss(-25.0, -15.0, 20.0)];
        let layers =
            hollow(HollowOpens::Outside).layers(&face(), &bosses, Mm::new(40.0), &tag()).expect("layers");
        assert!(layers.len() == 1 && layers[0].depth.to_bits() == 40.0f64.to_bits(), "one layer");
    }
}
