//! The best set-up of a raw casting: the three shifts and three turns that clean up every face to be machined with the most even stock,
//! and keep the walls behind them.
//!
//! What counts is the share of the planned stock that each probed place keeps: the least share is made as great as can be, then the
//! least of those that can still grow, until no freedom is left ([`even_out`]). Stock is the exact signed distance from the finished
//! surface; it is linearised about the present set-up and the step repeated until none is left, so the result holds for the exact
//! motion. Of planes and bores the stock is a concave function of small moves, so that the place found is the best of all; a
//! spigot's is not, but its radius is large against any move.
//!
//! Where no set-up cleans up every face, the weights of the places that bind are the proof: the mean of their shares, so weighted, is the
//! same in every set-up, and it is below zero.
//! Does not promise: anything between the probed places.

use nalgebra::Vector6;

use super::alignment::{Aligned, aligned};
use super::characteristic::MeasuringSheet;
use super::even_out::{Depth, Evened, LinearValue, even_out};
use super::machining::Machining;
use super::placement::Placement;
use super::readings::{ArticleReadings, ReadingFault};
use super::stock::stock;
use crate::forms::DatumTarget;
use solidwright::geometry::{P3, V3};

/// What is left after machining.
#[derive(Clone, Debug, PartialEq)]
pub struct LeftOver {
    /// The face, or the wall.
    pub name: String,
    /// Whether it is a wall that stays, not a stock that is cut.
    pub wall: bool,
    /// Planned stock or wall, mm.
    pub planned: f64,
    /// What there must be at least, mm: nothing of a stock.
    pub least: f64,
    /// Least and greatest of its places, mm.
    pub found: [f64; 2],
    /// Its share of what stands against a better set-up.
    pub against: f64,
}

/// How much a support must be packed.
#[derive(Clone, Debug, PartialEq)]
pub struct Packing {
    /// The target.
    pub name: &'static str,
    /// Packing under it, mm; below zero the support must be lower.
    pub by: f64,
}

/// The best set-up.
#[derive(Clone, Debug, PartialEq)]
pub struct BestShift {
    /// From the axes in which the casting was measured to the finished part's.
    pub by: Placement,
    /// The least share of the planned stock that a place keeps.
    pub share: f64,
    /// Whether every face cleans up and every wall stays.
    pub serves: bool,
    /// Faces and walls, in the order of the sheet.
    pub left_over: Vec<LeftOver>,
    /// From the axes in which the casting was measured to the part's, by the best fit onto the nominal casting.
    pub nominal: Placement,
    /// Packing at the targets, where the casting was measured standing on them.
    pub packing: Vec<Packing>,
    /// What the linear program could still gain at the end, as a share: nothing but rounding.
    pub gap: f64,
}

impl BestShift {
    /// Whether most faces have hardly any of their stock: then it is a machined part that was measured.
    pub fn is_machined(&self) -> bool {
        const HARDLY: f64 = 0.25;
        let stocks = || self.left_over.iter().filter(|l| !l.wall);
        let bare = stocks().filter(|l| l.found[1] < HARDLY * l.planned).count();
        2 * bare > stocks().count()
    }
}

/// A place with what it must keep.
struct Kept {
    group: usize,
    place: P3,
    shape: super::elements::ElementShape,
    /// The value that grows: stock over what is planned, or wall above the least over what is planned.
    wall: bool,
    least: f64,
    room: f64,
}

impl Kept {
    /// Stock or wall after a motion, mm, and how it changes with a shift.
    fn left(&self, by: &Placement) -> (f64, V3) {
        let (stock, outward) = stock(&self.shape, by.moved(self.place));
        if self.wall { (-stock, -outward) } else { (stock, outward) }
    }

    /// What it keeps above the least, as a share of what is planned.
    fn share(&self, by: &Placement) -> f64 {
        (self.left(by).0 - self.least) / self.room
    }

    fn linear(&self, by: &Placement, centre: P3, lever: f64) -> LinearValue {
        let (left, along) = self.left(by);
        let around = (by.moved(self.place) - centre).cross(&along) / lever;
        let slope = Vector6::new(along.x, along.y, along.z, around.x, around.y, around.z) / self.room;
        LinearValue { at_rest: (left - self.least) / self.room, slope }
    }
}

/// Finds the best set-up of a raw casting. It may lie anywhere on the machine; the targets tell packing where it was measured
/// standing on them, near the part's own axes.
///
/// # Errors
/// Readings that cannot be meant, or faces that do not stand against each other.
pub fn best_shift(
    casting: &MeasuringSheet,
    machining: &Machining,
    targets: &[DatumTarget],
    article: &ArticleReadings,
) -> Result<BestShift, Vec<ReadingFault>> {
    let placed = aligned(casting, machining, article)?;
    let (groups, kept) = kept(casting, machining, &placed);
    let stocks: Vec<&Kept> = kept.iter().filter(|k| !k.wall).collect();
    let walls: Vec<&Kept> = kept.iter().filter(|k| k.wall).collect();
    let all: Vec<&Kept> = kept.iter().collect();
    // First what serves best in all: below zero there is no set-up that serves.
    let mut settled = settle(&all, &[], placed.by, Depth::Least)?;
    let serves = settled.evened.least > 0.0;
    if serves {
        settled = settle(&stocks, &walls, settled.by, Depth::All)?;
    }
    // Places behind the stocks in the list of those that bind are walls.
    let order: Vec<&Kept> = if serves { stocks.iter().chain(&walls).copied().collect() } else { all };
    let mut left_over = groups;
    for k in &kept {
        let left = k.left(&settled.by).0;
        let found = &mut left_over[k.group].found;
        *found = [found[0].min(left), found[1].max(left)];
    }
    let total: f64 = settled.evened.against.iter().map(|(_, w)| w).sum::<f64>().max(f64::MIN_POSITIVE);
    for (k, weight) in &settled.evened.against {
        left_over[order[*k].group].against += weight / total;
    }
    let share = stocks.iter().map(|k| k.share(&settled.by)).fold(f64::INFINITY, f64::min);
    let packing = packing(&settled.by, targets);
    Ok(BestShift { by: settled.by, nominal: placed.by, share, serves, left_over, packing, gap: settled.gap })
}

/// Every probed place with what it must keep, and the faces and walls they belong to.
fn kept(casting: &MeasuringSheet, machining: &Machining, placed: &Aligned) -> (Vec<LeftOver>, Vec<Kept>) {
    let (mut groups, mut out): (Vec<LeftOver>, Vec<Kept>) = (vec![], vec![]);
    let group = |groups: &mut Vec<LeftOver>, name: String, wall: bool, planned: f64, least: f64| {
        let known = groups.iter().position(|g| g.name == name && g.wall == wall);
        let found = [f64::INFINITY, f64::NEG_INFINITY];
        known.unwrap_or_else(|| {
            groups.push(LeftOver { name, wall, planned, least, found, against: 0.0 });
            groups.len() - 1
        })
    };
    for face in &machining.faces {
        let Some(places) = placed.places.get(&face.element) else { continue };
        let name = casting.elements[face.element].shown.clone();
        let group = group(&mut groups, name, false, face.planned, 0.0);
        let kept = |p: &P3| Kept {
            group,
            place: *p,
            shape: face.shape,
            wall: false,
            least: 0.0,
            room: face.planned,
        };
        out.extend(places.iter().map(kept));
    }
    for (wall, place) in &placed.walls {
        let w = &casting.walls[*wall];
        let name = format!("wall from {} to {}", casting.elements[w.element].shown, w.machined_name);
        let group = group(&mut groups, name, true, w.planned, w.least);
        groups[group].planned = groups[group].planned.min(w.planned);
        let room = (w.planned - w.least).max(LEAST_ROOM);
        out.push(Kept { group, place: *place, shape: w.machined, wall: true, least: w.least, room });
    }
    (groups, out)
}

/// Room of a wall above its least, mm, that is taken where there is less.
const LEAST_ROOM: f64 = 0.2;

/// A set-up from which no step leads on.
struct Settled {
    by: Placement,
    evened: Evened,
    gap: f64,
}

/// Repeats the best small step until none is left.
fn settle(
    values: &[&Kept],
    floors: &[&Kept],
    start: Placement,
    depth: Depth,
) -> Result<Settled, Vec<ReadingFault>> {
    const STEPS: usize = 60;
    const DONE: f64 = 1e-8;
    const WORSE: f64 = 1e-3;
    let middle: V3 = values.iter().map(|k| start.moved(k.place).coords).sum();
    let centre = P3::from(middle / values.len().max(1) as f64);
    let lever = values.iter().map(|k| (start.moved(k.place) - centre).norm()).fold(1.0, f64::max);
    let least = |by: &Placement| values.iter().map(|k| k.share(by)).fold(f64::INFINITY, f64::min);
    let (mut by, mut reach) = (start, 20.0);
    let mut last: Option<Evened> = None;
    for _ in 0..STEPS {
        let linear = |all: &[&Kept]| all.iter().map(|k| k.linear(&by, centre, lever)).collect::<Vec<_>>();
        // Floors that the last step broke by its own curvature are met again within a wider reach.
        let Some(evened) = even_out(&linear(values), &linear(floors), reach, depth) else { break };
        let m = evened.motion;
        let next = by.then(V3::new(m[0], m[1], m[2]), V3::new(m[3], m[4], m[5]) / lever, centre);
        let done = m.norm() < DONE || (depth == Depth::Least && evened.least - least(&by) < DONE);
        if least(&next) < least(&by) - WORSE && !done {
            reach *= 0.3;
            continue;
        }
        by = next;
        last = Some(evened);
        if done {
            break;
        }
    }
    let Some(evened) = last else {
        return Err(vec![ReadingFault::whole("no set-up was found: the faces contradict each other")]);
    };
    if evened.unhindered {
        let text = "the probed faces do not stand against each other: with some move all of them would have more stock without end; probe the faces opposite, too";
        return Err(vec![ReadingFault::whole(text)]);
    }
    let gap = (evened.least - least(&by)).abs();
    Ok(Settled { by, evened, gap })
}

/// Packing under the casting at each target, if it was measured as it stands on them.
fn packing(by: &Placement, targets: &[DatumTarget]) -> Vec<Packing> {
    const NEAR: f64 = 15.0;
    const UPRIGHT: f64 = 0.06;
    if by.shift.norm() > NEAR || by.angle() > UPRIGHT {
        return vec![];
    }
    // A support stands against the metal: the casting moves away from it, into the metal's direction.
    targets.iter().map(|t| Packing { name: t.name, by: -(by.moved(t.at) - t.at).dot(&t.normal) }).collect()
}
