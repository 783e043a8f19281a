//! Positions at maximum material: holes that refer to A and B alone are judged together, since a bolt pattern meets its mate as one
//! (simultaneous requirement; ISO 2692 and ASME Y14.5, from memory).
//!
//! All of them may be turned together about B. Where they refer to B at its maximum material boundary, they may shift
//! together, too: the register may move in a mate of that boundary's size, so by half of what its ring or pin, square to A, departs
//! from it. They are judged at the move at which the worst of them lies best.
//!
//! Each hole's distance from its place is a convex function of the move, and so is the greatest of them: planes that touch it from
//! below close in on its least value (cutting planes; J. E. Kelley, Journal of SIAM 8 (1960), p. 703, from memory). What is told
//! is the value at a move that was tried, so it never flatters the part.

use super::characteristic::{
    Characteristic, CharacteristicKind, Datum, GeometricTolerance, Material, MeasuringSheet, ToleranceKind,
};
use super::elements::ElementShape;
use super::evaluation::{
    AxisRule, DatumElements, Evaluation, FittedElement, FittedRound, Found, axis_of, ends, pierced,
    square_touching,
};
use super::linear_program::LinearProgram;
use solidwright::geometry::{Frame, P3, V3};

/// How a pattern of holes was moved to lie best.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct PatternMove {
    /// How far it may shift from B's axis, mm: nothing if the tolerance does not refer to B at its boundary.
    pub play: f64,
    /// The shift along Y and Z, mm.
    pub shift: [f64; 2],
    /// The turn about B, radians.
    pub turn: f64,
}

impl PatternMove {
    /// By how much the holes' zones about B's own axis are wider at most than those about the shifted one, mm.
    pub fn widens(&self) -> f64 {
        2.0 * self.shift[0].hypot(self.shift[1])
    }
}

/// By how much a tolerance at maximum material grows: what the pin's or ring's diameter departs from the limit of size.
pub(super) fn bonus(
    sheet: &MeasuringSheet,
    out: &Evaluation,
    element: usize,
    t: &GeometricTolerance,
    hole: bool,
) -> f64 {
    if t.material == Material::Regardless {
        return 0.0;
    }
    let Some(FittedRound { pin, ring, .. }) = out.fitted.get(&element).and_then(FittedElement::round) else {
        return 0.0;
    };
    let radius = if hole { pin.radius } else { ring.radius };
    departure(sheet, element, hole, 2.0 * radius)
}

/// By how much a diameter departs from its element's limit of size at maximum material, mm.
fn departure(sheet: &MeasuringSheet, element: usize, hole: bool, diameter: f64) -> f64 {
    let is_size = |c: &&Characteristic| c.element == Some(element) && c.kind == CharacteristicKind::Diameter;
    let limits = sheet.characteristics.iter().find(is_size).map(|c| c.limits);
    let off = limits.and_then(|l| Some(if hole { diameter - l.least? } else { l.greatest? - diameter }));
    off.unwrap_or(0.0).max(0.0)
}

/// How far a pattern may shift from B's axis, mm.
fn play(sheet: &MeasuringSheet, out: &Evaluation, t: &GeometricTolerance) -> f64 {
    if t.boundary_of(Datum::B) == Material::Regardless {
        return 0.0;
    }
    let Some(b) = DatumElements::of(sheet).b else { return 0.0 };
    let (Some(points), ElementShape::Cylinder { hole, .. }) = (out.points.get(&b), sheet.elements[b].shape)
    else {
        return 0.0;
    };
    // B's axis is the x of the datum frame already.
    let touching = square_touching(sheet, b, points, Frame::from_zx(P3::origin(), V3::x(), V3::z()));
    let radius = if hole { touching.least } else { touching.greatest };
    0.5 * departure(sheet, b, hole, 2.0 * radius)
}

/// A hole of the pattern.
struct Hole {
    number: usize,
    /// Both ends of its true axis, and its measured one.
    ends: [P3; 2],
    axis: V3,
    measured: Frame,
    bonus: f64,
}

impl Hole {
    /// The zone that holds the hole after a move of the pattern, and how it changes with the shift along Y and Z and with the turn.
    fn zone(&self, to: &Move) -> (f64, [f64; 3]) {
        let (sin, cos) = to.turn.sin_cos();
        let at = |e: &P3| {
            let turned = V3::new(e.x, e.y * cos - e.z * sin, e.z * cos + e.y * sin);
            let place = P3::from(turned + V3::new(0.0, to.shift[0], to.shift[1]));
            (pierced(&self.measured, place, self.axis) - place, turned)
        };
        let [a, b] = self.ends.each_ref().map(at);
        let (off, turned) = if a.0.norm() >= b.0.norm() { a } else { b };
        let size = off.norm();
        if size <= 0.0 {
            return (0.0, [0.0; 3]);
        }
        let way = off / size;
        let around = way.dot(&V3::x().cross(&turned));
        (2.0 * size, [-2.0 * way.y, -2.0 * way.z, -2.0 * around])
    }
}

/// A move of the pattern.
#[derive(Clone, Copy, Debug, Default)]
struct Move {
    shift: [f64; 2],
    turn: f64,
}

/// Judges the positions at maximum material at the move of the pattern at which the worst of them lies best.
pub(super) fn judge_together(sheet: &MeasuringSheet, rule: AxisRule, out: &mut Evaluation) {
    let mut holes = Vec::new();
    let mut tolerance = None;
    for c in &sheet.characteristics {
        let CharacteristicKind::Geometric(t) = &c.kind else { continue };
        if t.kind != ToleranceKind::Position || t.material != Material::Maximum {
            continue;
        }
        tolerance = Some(*t);
        holes.extend(hole(sheet, rule, out, c));
    }
    let Some(t) = tolerance.filter(|_| !holes.is_empty()) else { return };
    let play = play(sheet, out, &t);
    let best = best_move(&holes, play);
    for hole in &holes {
        let found = Found { bonus: hole.bonus, ..Found::one(hole.zone(&best).0) };
        out.found.insert(hole.number, found);
    }
    out.pattern = PatternMove { play, shift: best.shift, turn: best.turn };
}

fn hole(sheet: &MeasuringSheet, rule: AxisRule, out: &Evaluation, c: &Characteristic) -> Option<Hole> {
    let (number, element) = (c.number, c.element?);
    let bonus = out.found.get(&number)?.bonus;
    let ElementShape::Cylinder { point, axis, span, hole, .. } = sheet.elements[element].shape else {
        return None;
    };
    let measured = axis_of(out.fitted.get(&element)?, hole, rule)?;
    Some(Hole { number, ends: ends(point, axis, span), axis, measured, bonus })
}

/// The move within the play at which the worst zone, less its bonus, is least.
fn best_move(holes: &[Hole], play: f64) -> Move {
    // Larger turns than any pattern within its tolerance needs; cuts far away would be off by the third power of the turn.
    const MOST_TURN: f64 = 0.005;
    const STEPS: usize = 80;
    const DONE: f64 = 1e-8;
    let lever = holes.iter().map(|h| h.ends[0].y.hypot(h.ends[0].z)).fold(1.0, f64::max);
    // The last unknown is the value itself.
    let mut program = LinearProgram::new(&[0.0, 0.0, 0.0, -1.0], &[play, play, MOST_TURN * lever, FAR]);
    let (mut best, mut least) = (Move::default(), f64::INFINITY);
    let mut now = best;
    for _ in 0..STEPS {
        let mut worst = f64::NEG_INFINITY;
        for hole in holes {
            let (zone, [y, z, turn]) = hole.zone(&now);
            let (value, turn) = (zone - hole.bonus, turn / lever);
            worst = worst.max(value);
            let here = y * now.shift[0] + z * now.shift[1] + turn * now.turn * lever;
            program.at_most(&[y, z, turn, -1.0], here - value);
        }
        if worst < least {
            (best, least) = (now, worst);
        }
        let Some(next) = program.best() else { break };
        if least - next.at[3] < DONE {
            break;
        }
        let (y, z) = (next.at[0], next.at[1]);
        let far = y.hypot(z);
        let within = if far > play { play / far } else { 1.0 };
        if far > play {
            // The play is round: its edge is met by its tangents.
            program.at_most(&[y / far, z / far, 0.0, 0.0], play);
        }
        now = Move { shift: [y * within, z * within], turn: next.at[2] / lever };
    }
    best
}

/// No zone is wider than this, mm.
const FAR: f64 = 1e4;

#[cfg(test)]
mod tests {
    use super::*;

    use crate::inspection::characteristic::SizeLimits;

    fn sized(limits: SizeLimits) -> MeasuringSheet {
        let mut sheet = MeasuringSheet::default();
        sheet.add("a hole", Some(0), CharacteristicKind::Diameter, None, (limits, String::new()));
        sheet
    }

    /// A textbook's drawing (a course's page on feature control frames, read at actdenver.com): holes of 10.25 at least have a zone of 0.5, at
    /// 10.5 one of 0.75. And one in inches (a tip of August 1997, read at dimcax.com): a hole of .499 at least that measures .502 and is square
    /// has a bonus of .003.
    #[test]
    fn a_textbooks_bonus() {
        let sheet = sized(SizeLimits::between(10.25, 10.75));
        for (size, wanted) in [(10.25, 0.5), (10.5, 0.75), (10.2, 0.5)] {
            let zone = 0.5 + departure(&sheet, 0, true, size);
            assert!((zone - wanted).abs() < 1e-12, "{size}: {zone}");
        }
        let inch = sized(SizeLimits::between(0.499 * 25.4, 0.505 * 25.4));
        assert!((departure(&inch, 0, true, 0.502 * 25.4) / 25.4 - 0.003).abs() < 1e-12, "in inches");
    }

    /// A published example of datum shift (a tip of November 1998, read at dimcax.com): the boundary is 19.6, the datum bore may be 20.2: it may
    /// shift by 0.6 in all, 0.3 to each side. It is no bonus: holes off the same way gain by it, holes off against each other do not.
    #[test]
    fn a_published_datum_shift_is_no_bonus() {
        let play = 0.5 * departure(&sized(SizeLimits::between(19.6, 20.2)), 0, true, 20.2);
        assert!((play - 0.3).abs() < 1e-12, "{play}");
        let places = [[20.0, 20.0], [-20.0, 20.0], [-20.0, -20.0], [20.0, -20.0]];
        let alike: Vec<Hole> = places.iter().map(|[y, z]| hole_at(*y, *z, [0.3, 0.0], 0.0)).collect();
        assert!(worst(&alike, &best_move(&alike, play)) < 1e-7, "all of it is shifted away");
        let apart: Vec<Hole> =
            places.iter().map(|[y, z]| hole_at(*y, *z, [0.3 * y.signum(), 0.0], 0.0)).collect();
        let left = worst(&apart, &best_move(&apart, play));
        assert!((left - 0.6).abs() < 1e-6, "nothing is gained: {left}");
    }

    fn hole_at(y: f64, z: f64, off: [f64; 2], bonus: f64) -> Hole {
        let place = P3::new(0.0, y, z);
        let measured = Frame::from_zx(place + V3::new(0.0, off[0], off[1]), V3::x(), V3::z());
        Hole { number: 1, ends: [place, place + V3::x() * 10.0], axis: V3::x(), measured, bonus }
    }

    fn worst(holes: &[Hole], to: &Move) -> f64 {
        holes.iter().map(|h| h.zone(to).0 - h.bonus).fold(f64::MIN, f64::max)
    }

    /// By hand: four holes on a circle of 60, all 0.1 off to the right, so 0.2 of zone. With a play of 0.03 they shift by it to the
    /// right, which leaves 0.14; with 0.5 nothing is left; without play the shift is nothing.
    #[test]
    fn a_pattern_shifts_as_far_as_its_play_goes() {
        let places = [[60.0, 0.0], [0.0, 60.0], [-60.0, 0.0], [0.0, -60.0]];
        let holes: Vec<Hole> = places.iter().map(|[y, z]| hole_at(*y, *z, [0.1, 0.0], 0.0)).collect();
        for (play, wanted) in [(0.0, 0.2), (0.03, 0.14), (0.5, 0.0)] {
            let found = best_move(&holes, play);
            assert!((worst(&holes, &found) - wanted).abs() < 1e-7, "play {play}: {found:?}");
            assert!(found.shift[0].hypot(found.shift[1]) <= play + 1e-12, "play {play}: {found:?}");
        }
    }

    /// By hand: the same holes turned by 0.002 about the middle come to their places by that turn, to a nanometre.
    #[test]
    fn a_pattern_turns_back() {
        let places = [[60.0, 0.0], [0.0, 60.0], [-60.0, 0.0], [0.0, -60.0]];
        let (sin, cos) = 0.002_f64.sin_cos();
        let turned = |[y, z]: [f64; 2]| [y * cos - z * sin - y, z * cos + y * sin - z];
        let holes: Vec<Hole> = places.iter().map(|p| hole_at(p[0], p[1], turned(*p), 0.0)).collect();
        let found = best_move(&holes, 0.0);
        assert!((found.turn - 0.002).abs() < 1e-8 && worst(&holes, &found) < 1e-6, "{found:?}");
    }

    /// Against a search of another kind: no move of a fine net over shift and turn lies better than the one found, for holes drawn
    /// off by up to 0.3 with bonuses up to 0.2.
    #[test]
    fn no_other_move_lies_better() {
        let mut state = 7_u64;
        let mut draw = || {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (state >> 40) as f64 / (1_u64 << 24) as f64 * 2.0 - 1.0
        };
        for case in 0..12 {
            let play = 0.02 * f64::from(case);
            let holes: Vec<Hole> = (0..6)
                .map(|k| {
                    let (s, c) = (f64::from(k) * std::f64::consts::FRAC_PI_3).sin_cos();
                    let off = [0.15 * draw(), 0.15 * draw()];
                    hole_at(90.0 * c, 90.0 * s, off, 0.1 + 0.1 * draw())
                })
                .collect();
            let found = worst(&holes, &best_move(&holes, play));
            let mut net = f64::INFINITY;
            for a in 0..36 {
                for r in 0..=10 {
                    for t in -20..=20 {
                        let (s, c) = (f64::from(a) * std::f64::consts::TAU / 36.0).sin_cos();
                        let r = play * f64::from(r) / 10.0;
                        let to = Move { shift: [r * c, r * s], turn: 1e-4 * f64::from(t) };
                        net = net.min(worst(&holes, &to));
                    }
                }
            }
            assert!(found <= net + 1e-6, "case {case}: {found}, by the net {net}");
            assert!(found > net - 0.02, "case {case}: the net is this fine: {found}, {net}");
        }
    }
}
