//! A first prototype from the old housing: where to cut it, how much to remove, how to turn and hold the pieces.

use crate::design::{Design, Donor, Plain};
use crate::standards::position::LINE_UP;
use crate::units::{Deg, Mm};

/// One joint: the old housing is cut at both stations, the piece between is removed, and the ends are welded.
#[derive(Clone, Debug, PartialEq)]
pub struct Cut {
    /// Which joint.
    pub what: &'static str,
    /// Old station of the front piece's new end.
    pub front: Mm,
    /// Old station of the rear piece's new end, weld gap included.
    pub rear: Mm,
    /// How much shorter the housing gets there.
    pub removed: Mm,
    /// Outside diameters of both ends.
    pub diameters: [Mm; 2],
    /// Angle by which the rear piece is turned relative to the gearbox face, seen from behind, clockwise.
    pub turned: Deg,
}

/// The plan.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct WeldUp {
    /// Joints from front to rear.
    pub cuts: Vec<Cut>,
    /// Datums that the jig holds: name, and station or size in the welded housing.
    pub datums: Vec<(&'static str, Mm)>,
    /// Features that the cuts leave out of place: name, and by how much.
    pub left: Vec<(&'static str, Mm)>,
}

/// Why there is no plan.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum WeldUpError {
    /// A key is missing.
    #[error("the old housing is not fully described: set `{0}`")]
    Missing(&'static str),
    /// The new housing is longer there.
    #[error(
        "{what} the new housing is {by} longer than the old one: cutting cannot lengthen it, so weld in a piece of tube"
    )]
    Longer {
        /// Where.
        what: &'static str,
        /// By how much.
        by: Mm,
    },
    /// There is no plain stretch for it.
    #[error(
        "{what} {removed} must be removed, weld gap included, and no plain stretch of the old housing there is that long (`vehicle.donor_plain`; longest {longest})"
    )]
    NoStretch {
        /// Where.
        what: &'static str,
        /// How much must be removed, weld gap included.
        removed: Mm,
        /// The longest plain stretch there.
        longest: Mm,
    },
}

/// Shorter lengths are not cut out, mm: a weld shrinks more.
const LEAST: f64 = 0.5;

/// Gap of a weld where the file has none (common practice, no source).
const GAP: Mm = Mm::new(3.0);

const AHEAD: &str = "between gearbox face and shift box";
const BEHIND: &str = "between shift box and rear face";
const WHOLE: &str = "between gearbox face and rear face";

/// The plan for a design.
///
/// # Errors
/// A missing key, or a change that cannot be made by cutting.
pub fn weld_up(design: &Design) -> Result<WeldUp, WeldUpError> {
    let donor = design.vehicle().donor.as_ref().ok_or(WeldUpError::Missing("vehicle.donor"))?;
    let plain = &design.vehicle().donor_plain;
    if plain.is_empty() {
        return Err(WeldUpError::Missing("vehicle.donor_plain"));
    }
    // The short way round.
    let short = |turn: f64| (turn + 180.0).rem_euclid(360.0) - 180.0;
    let turn = |new: Deg, old: Option<Deg>| Deg::new(old.map_or(0.0, |old| short(new.get() - old.get())));
    let rear_turn = design.sender_boss().map_or(Deg::new(0.0), |b| turn(b.clock(), donor.sender_clock));
    let end = design.overall_length();
    let mut out = WeldUp::default();
    let mut joint = |what, old: [Mm; 2], new: [Mm; 2], turned| {
        let removed = (old[1] - old[0]) - (new[1] - new[0]);
        let cut = cut(what, old, removed, turned, donor, plain)?;
        out.cuts.extend(cut);
        Ok(())
    };
    let start = Mm::new(0.0);
    match design.shift_box_pad() {
        Some(pad) => {
            let shift = donor.shift_station.ok_or(WeldUpError::Missing("vehicle.donor.shift_station"))?;
            let pad_turn = turn(pad.clock(), donor.shift_clock);
            joint(AHEAD, [start, shift], [start, pad.station()], pad_turn)?;
            joint(BEHIND, [shift, donor.overall_length], [pad.station(), end], rear_turn)?;
        }
        None => joint(WHOLE, [start, donor.overall_length], [start, end], rear_turn)?,
    }
    datums(design, &mut out);
    left_over(design, donor, &mut out);
    Ok(out)
}

/// One joint in the plain stretch that has room for it, as far from both ends of the stretch as possible.
fn cut(
    what: &'static str,
    [from, to]: [Mm; 2],
    removed: Mm,
    turned: Deg,
    donor: &Donor,
    plain: &[Plain],
) -> Result<Option<Cut>, WeldUpError> {
    if removed.get() < -LEAST {
        return Err(WeldUpError::Longer { what, by: Mm::new(-removed.get()) });
    }
    if removed.get() < LEAST && turned.get().abs() < 0.1 {
        return Ok(None);
    }
    let apart = removed + donor.weld_gap.unwrap_or(GAP);
    let within = |p: &Plain| (Mm::max(p.from, from), Mm::min(p.to, to));
    let room = |p: &Plain| within(p).1 - within(p).0;
    let longest = plain.iter().max_by(|a, b| room(a).get().total_cmp(&room(b).get()));
    let Some(stretch) = longest.filter(|p| room(p) > apart) else {
        let longest = longest.map_or(Mm::new(0.0), |p| Mm::max(room(p), Mm::new(0.0)));
        return Err(WeldUpError::NoStretch { what, removed: apart, longest });
    };
    let (lo, _) = within(stretch);
    let front = lo + (room(stretch) - apart) / 2.0;
    let rear = front + apart;
    let at = |x: Mm| {
        let share = (x - stretch.from).get() / (stretch.to - stretch.from).get();
        stretch.front_diameter + (stretch.rear_diameter - stretch.front_diameter) * share
    };
    Ok(Some(Cut { what, front, rear, removed, diameters: [at(front), at(rear)], turned }))
}

/// What the jig must hold true, in the welded housing.
fn datums(design: &Design, out: &mut WeldUp) {
    let bushing = design.tail().bushing();
    out.datums = vec![
        ("gearbox face, flat on the jig's plate", Mm::new(0.0)),
        ("register in the plate's bore, its diameter", design.gearbox_face().register().diameter()),
        ("mandrel through the bushing's seat, its diameter", bushing.bore()),
        ("front end of the seat", bushing.front()),
        ("rear face", design.overall_length()),
    ];
    if let Some(pad) = design.shift_box_pad() {
        out.datums.push(("middle of the shift-box pad", pad.station()));
        out.datums.push(("height of its face above the shaft", pad.height()));
    }
    let line_up = design.limits().line_up.unwrap_or(LINE_UP);
    out.datums.push(("bores and faces true to each other within", line_up));
}

/// Features that the cuts do not bring to their positions.
fn left_over(design: &Design, donor: &Donor, out: &mut WeldUp) {
    let carried = |old: Mm| {
        let ahead = out.cuts.iter().filter(|c| c.rear <= old).map(|c| c.removed);
        ahead.fold(old, |x, removed| x - removed)
    };
    let mut left = Vec::new();
    if let (Some(pad), Some(old)) = (design.mount_pad(), donor.mount_station) {
        left.push(("mount, to be moved aft by (ahead is negative)", pad.station() - carried(old)));
    }
    if let (Some(pad), Some(old)) = (design.mount_pad(), donor.mount_drop) {
        left.push(("mount, to be lowered by", pad.drop() - old));
    }
    if let (Some(boss), Some(old)) = (design.sender_boss(), donor.sender_station) {
        left.push(("sender, to be moved aft by (ahead is negative)", boss.station() - carried(old)));
    }
    out.left = left;
}
