//! Defaults of the passages in the tail that fit between the bores around them: drain-back, oil feed, dust lip.
//!
//! A default follows the sizes that the file gives, so that it breaks no rule of its own. Where nothing fits, the usual
//! size stands, and the rule names the value of the file that leaves no room.

use super::derive::{Filler, PRACTICE, lead_in_mouth};
use super::rules::tail_values;
use crate::params::schema::{
    DustLipKind, FEED_ANGLE, File, OilFeedKind, PASSAGE, RawDrainBack, RawDustLip, RawOilFeed, RawTail,
};
use crate::units::{Deg, Mm};

/// Metal that a default leaves to a machined face beside it, mm: what `check` asks for, and a little more.
const METAL: f64 = 1.54;

/// Least play to a limit, mm.
const PLAY: f64 = 0.1;

/// Usual diameter of a drain-back, mm.
const DRAIN: f64 = 4.0;

/// Usual width of an oil feed, mm.
const FEED: f64 = 6.0;

/// The rear end of the cavity: its station and radius.
fn cavity_end(file: &File) -> Option<(f64, f64)> {
    let last = file.shell.cavity.items.last()?;
    Some((last.station.get()?.get(), last.diameter.get()?.get() / 2.0))
}

/// Fills what the file leaves out.
pub(super) fn fill(file: &mut File, filler: &mut Filler<'_>) {
    let end = cavity_end(file);
    let front = tail_values(file).map(|(_, front)| front.get());
    let shoulder = file.housing.overall_length.get().zip(file.tail.seal.depth.get());
    let shoulder = shoulder.map(|(overall, depth)| (overall - depth).get());
    let metal = file.limits.machined_wall.get().map_or(METAL, |wall| wall.get().max(METAL));
    let tail = &mut file.tail;
    if let Some(mut feed) = tail.oil_feed.take() {
        oil_feed(tail, &mut feed, (end, front, metal), filler);
        tail.oil_feed = Some(feed);
    }
    if let Some(mut drain) = tail.drain_back.take() {
        drain_back(tail, &mut drain, (end, shoulder, metal), filler);
        tail.drain_back = Some(drain);
    }
    if let Some(mut lip) = tail.dust_lip.take() {
        dust_lip(tail, &mut lip, filler);
        tail.dust_lip = Some(lip);
    }
}

/// A tenth of a millimetre below, so that defaults are round.
fn tenths(x: f64) -> f64 {
    (x * 10.0 + 1e-6).floor() / 10.0
}

/// Diameter and distance of the drain-back: in the middle of the shoulder where that leaves metal to the seat and comes
/// out in the cavity, with the usual diameter or the largest for which there is room.
fn drain_back(
    tail: &RawTail,
    drain: &mut RawDrainBack,
    (end, shoulder, metal): (Option<(f64, f64)>, Option<f64>, f64),
    filler: &mut Filler<'_>,
) -> Option<()> {
    let angle = drain.angle.get()?;
    let (_, cos) = angle.sin_cos();
    let mouth = lead_in_mouth(&tail.bushing)?.get();
    let outer = tail.seal.counterbore.get()?.get() / 2.0;
    let near = mouth + metal;
    let cavity = end.zip(shoulder).map(|((end, radius), shoulder)| radius - (shoulder - end) * angle.tan());
    let far = cavity.map_or(outer, |cavity| cavity.min(outer)) - PLAY;
    // With a distance of its own, the hole has room on its nearer side.
    let room = drain.distance.get().map_or(far - near, |at| 2.0 * (at.get() - near).min(far - at.get()));
    let diameter = tenths(room * cos).clamp(PASSAGE.least, DRAIN);
    let reason = "passes warm oil, and fits the shoulder";
    filler.length(&mut drain.diameter, Some(Mm::new(diameter)), reason, PRACTICE);
    let half = drain.diameter.get()?.get() / 2.0 / cos;
    let middle = f64::midpoint(mouth, outer);
    let fits = near + half <= far - half;
    let at = if fits { middle.clamp(near + half, far - half) } else { middle };
    let reason = "the middle of the seal shoulder, with metal to the bushing's seat";
    filler.length(&mut drain.distance, Some(Mm::new(at)), reason, PRACTICE);
    Some(())
}

/// What surrounds an oil feed that is drilled, mm.
#[derive(Clone, Copy, Debug)]
pub(super) struct FeedRoom {
    /// Length of the bushing's seat.
    pub(super) length: f64,
    /// Radius of the seat.
    pub(super) seat: f64,
    /// Radius of the stop bore.
    pub(super) stop: f64,
    /// From the cavity's end to the seat.
    pub(super) ahead: f64,
    /// Radius of the cavity's end.
    pub(super) cavity: f64,
    /// Depth and radius of the seal's counterbore.
    pub(super) counterbore: (f64, f64),
}

/// A drilled oil feed.
#[derive(Clone, Copy, Debug)]
pub(super) struct FeedHole {
    /// Radius of the hole, mm.
    pub(super) radius: f64,
    /// From the bushing's stop to the middle of its mouth, mm.
    pub(super) reach: f64,
    /// Angle to the shaft.
    pub(super) angle: Deg,
}

impl FeedHole {
    /// Half the length of the mouth in the seat.
    pub(super) fn half_mouth(&self) -> f64 {
        self.radius / self.angle.sin_cos().0
    }

    /// Half the height of the oval in a plane square to the shaft.
    pub(super) fn half_oval(&self) -> f64 {
        self.radius / self.angle.sin_cos().1
    }

    /// Distance from the shaft's axis at which it comes out in the plane of the cavity's end.
    pub(super) fn comes_out(&self, room: &FeedRoom) -> f64 {
        room.seat + (room.ahead + self.reach) * self.angle.tan()
    }

    /// How far the drill's other end passes from the axis at the seat's rear end and at the rear face, with the bore's
    /// radius there.
    pub(super) fn way_in(&self, room: &FeedRoom) -> [(f64, f64); 2] {
        let behind = room.length - self.reach;
        [(behind, room.seat), (behind + room.counterbore.0, room.counterbore.1)]
            .map(|(run, bore)| ((room.seat - run * self.angle.tan()).abs() + self.half_oval(), bore))
    }

    /// Whether it can be drilled from the seat into the cavity, with some metal to the edges beside it.
    fn fits(&self, room: &FeedRoom, metal: f64) -> bool {
        let (mouth, oval, out) = (self.half_mouth(), self.half_oval(), self.comes_out(room));
        self.reach - mouth >= metal
            && self.reach + mouth <= room.length - metal
            && out + oval <= room.cavity - PLAY
            && out - oval >= room.stop + PLAY
            && self.way_in(room).iter().all(|(passes, bore)| passes + PLAY <= *bore)
    }
}

/// Sizes of the oil feed that fit.
fn oil_feed(
    tail: &RawTail,
    feed: &mut RawOilFeed,
    (end, front, metal): (Option<(f64, f64)>, Option<f64>, f64),
    filler: &mut Filler<'_>,
) -> Option<()> {
    let wide = "wide enough not to clog";
    if feed.kind.get()? == OilFeedKind::Slot {
        let half = tail.bushing.stop_bore.get().map(|bore| tenths(bore.get() / 2.0));
        let width = half.map_or(FEED, |half| half.clamp(PASSAGE.least, FEED));
        filler.length(&mut feed.width, Some(Mm::new(width)), wide, PRACTICE);
        let half_round = feed.width.get()?.get() / 2.0;
        let room =
            end.zip(tail.bushing.bore.get()).map(|((_, cavity), bore)| cavity - bore.get() / 2.0 - 0.5);
        let depth =
            room.map(tenths).filter(|room| *room >= 0.5).map_or(half_round, |room| room.min(half_round));
        filler.length(
            &mut feed.depth,
            Some(Mm::new(depth)),
            "half a round, above the cavity's end",
            PRACTICE,
        );
        let middle = tail.bushing.length.get().map(|length| length / 2.0);
        filler.length(&mut feed.reach, middle, "the oil enters at the bushing's middle", PRACTICE);
        return Some(());
    }
    let hole = room_of(tail, end, front).map(|room| drilled(feed, &room, metal));
    let middle = tail.bushing.length.get().map(|length| length.get() / 2.0);
    filler.length(&mut feed.width, Some(Mm::new(hole.map_or(FEED, |h| h.radius * 2.0))), wide, PRACTICE);
    let reach = hole.map(|h| h.reach).or(middle).map(Mm::new);
    filler.length(&mut feed.reach, reach, "the oil enters at the bushing's middle, or near it", PRACTICE);
    filler.angle(&mut feed.angle, hole?.angle, "comes out in the cavity's rear end", PRACTICE);
    Some(())
}

/// What surrounds the oil feed.
pub(super) fn room_of(tail: &RawTail, end: Option<(f64, f64)>, front: Option<f64>) -> Option<FeedRoom> {
    let (station, cavity) = end?;
    Some(FeedRoom {
        length: tail.bushing.length.get()?.get(),
        seat: tail.bushing.bore.get()?.get() / 2.0,
        stop: tail.bushing.stop_bore.get()?.get() / 2.0,
        ahead: front? - station,
        cavity,
        counterbore: (tail.seal.depth.get()?.get(), tail.seal.counterbore.get()?.get() / 2.0),
    })
}

/// The hole that fits best: the widest; of these the one nearest to the bushing's middle; of these the one that is aimed
/// nearest to the middle of the cavity's end. What the file gives stays.
fn drilled(feed: &RawOilFeed, room: &FeedRoom, metal: f64) -> FeedHole {
    let aimed = |reach: f64| {
        let rise = f64::midpoint(room.cavity, room.stop) - room.seat;
        rise.atan2(room.ahead + reach).to_degrees().round().clamp(FEED_ANGLE.least, FEED_ANGLE.most)
    };
    let given = |width: f64, reach: f64| FeedHole {
        radius: feed.width.get().map_or(width, Mm::get) / 2.0,
        reach: feed.reach.get().map_or(reach, Mm::get),
        angle: feed.angle.get().unwrap_or(Deg::new(aimed(feed.reach.get().map_or(reach, Mm::get)))),
    };
    let usual = given(FEED, room.length / 2.0);
    let shares = [0.5, 0.45, 0.55, 0.4, 0.6, 0.35, 0.65, 0.3, 0.7, 0.25, 0.75, 0.2, 0.8];
    let holes = [6.0, 5.0, 4.0, 3.0, PASSAGE.least].into_iter().flat_map(|width| {
        shares.into_iter().flat_map(move |share| {
            let first = given(width, share * room.length);
            let turned = move |by: i32| {
                let angle = first.angle.get() + f64::from(by);
                let angle =
                    feed.angle.get().unwrap_or(Deg::new(angle.clamp(FEED_ANGLE.least, FEED_ANGLE.most)));
                FeedHole { angle, ..first }
            };
            (0..=57).flat_map(move |by| [turned(by), turned(-by)])
        })
    });
    let all: Vec<FeedHole> = std::iter::once(usual).chain(holes).collect();
    let best = [metal, PLAY].into_iter().find_map(|metal| all.iter().find(|hole| hole.fits(room, metal)));
    best.copied().unwrap_or(usual)
}

/// Depth of the dust lip: the usual one, or half of what the seal's counterbore has room for.
fn dust_lip(tail: &RawTail, lip: &mut RawDustLip, filler: &mut Filler<'_>) -> Option<()> {
    let depth = tail.seal.depth.get();
    let room = match lip.kind.get()? {
        DustLipKind::Recess => depth.zip(tail.seal.lead_in.get()).map(|(depth, lead_in)| depth - lead_in),
        DustLipKind::Lip => depth,
    };
    let half = room.map_or(2.0, |room| tenths(room.get() / 2.0)).clamp(0.5, 2.0);
    filler.length(&mut lip.depth, Some(Mm::new(half)), "holds a dust lip of common size", PRACTICE);
    Some(())
}
