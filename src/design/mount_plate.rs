//! Alternatives to a mount pad that is a block with tapped holes: a plate tied to the shell, and slots.

use super::pads::{PadHoles, Position, placed_at};
use super::record::record;
use super::shell::Shell;
use crate::params::schema;
use crate::standards::drills::drill_point;
use crate::standards::threads::Thread;
use crate::units::Mm;

use crate::params::schema::RawTie;
pub use crate::params::schema::SlotDirection;

/// The tie between plate and shell.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Tie {
    /// A wall along each side.
    Walls {
        /// Radius of their upright edges; may be 0.
        edge_radius: Mm,
    },
    /// Plates across the shaft.
    Gussets {
        /// How many.
        count: u32,
        /// Half their width at the shaft axis, where they end inside the shell.
        top_half_width: Mm,
    },
}

record! {
    /// A mount pad made as a plate.
    pub struct MountPlate {
        /// Thickness, from the face up.
        thickness: Mm,
        /// Walls or gussets.
        tie: Tie,
        /// Thickness of each wall or gusset.
        tie_thickness: Mm,
        /// Diameter of the bosses behind tapped holes; none where there are no holes.
        boss_diameter: Option<Mm>,
        /// Metal between the drill's point and the boss's end.
        boss_floor: Mm,
    }
}

impl MountPlate {
    /// How far above the face the bosses behind a pad's tapped holes end; `None` where the plate is thick enough by itself.
    pub fn boss_end(&self, holes: &PadHoles) -> Option<Mm> {
        let end = holes.drill_depth() + drill_point(holes.thread().tap_drill) + self.boss_floor;
        (end > self.thickness).then_some(end)
    }
}

record! {
    /// Slots with round ends in a pad's face.
    pub struct PadSlots {
        /// Width.
        width: Mm,
        /// The thread of the bolt that goes through, where one is named.
        thread: Option<&'static Thread>,
        /// Distance between the centres of the round ends.
        travel: Mm,
        /// Their direction.
        direction: SlotDirection,
        /// Depth from the face.
        depth: Mm,
        /// Whether they go through a plate.
        through: bool,
    } lent {
        /// Their middles.
        positions: Vec<Position> => [Position],
    }
}

/// Width of gussets where they end inside the shell, as a share of its outside radius.
const TOP_SHARE: f64 = 0.8;

/// How far walls stand in from the plate's edge, but at most a tenth of its width.
const STEP: Mm = Mm::new(6.0);

/// How far the walls of a plate this wide stand in from its edge, so that their root fillets land on it.
pub fn wall_step(width: Mm) -> Mm {
    STEP.min(width * 0.1)
}

/// The plate of a pad around this station.
pub(super) fn plate(
    raw: &schema::RawMountPlate,
    station: Mm,
    outline: &schema::Outline,
    shell: &Shell,
) -> Option<MountPlate> {
    let tie_thickness = raw.tie_thickness.get()?;
    let tie = match raw.tie.get()? {
        RawTie::Walls => Tie::Walls { edge_radius: raw.edge_radius.get()? },
        RawTie::Gussets => {
            let half = outline.length.get()? / 2.0;
            let shell =
                narrowest(shell.outside().iter().map(|p| (p.x, p.radius)), station - half, station + half)?;
            let top_half_width = (shell * TOP_SHARE).min((outline.width.get()? - tie_thickness) / 2.0);
            Tie::Gussets { count: raw.gussets.get()?, top_half_width }
        }
    };
    Some(MountPlate {
        thickness: raw.thickness.get()?,
        tie,
        tie_thickness,
        boss_diameter: raw.boss_diameter.get(),
        boss_floor: raw.boss_floor.get()?,
    })
}

/// Least radius of a turned profile between two stations. Beyond its ends the profile goes on with the radius that it has
/// there; `None` only where it has no points.
pub(super) fn narrowest(profile: impl Iterator<Item = (Mm, Mm)>, from: Mm, to: Mm) -> Option<Mm> {
    let profile: Vec<_> = profile.collect();
    let (first, last) = (profile.first()?.0, profile.last()?.0);
    let within = |x: Mm| x.max(first).min(last);
    let ends = [from, to].map(within);
    let ends = ends.into_iter().filter_map(|x| super::shell::radius_at(profile.iter().copied(), x));
    let between = profile.iter().filter(|p| p.0 > from && p.0 < to).map(|p| p.1);
    ends.chain(between).reduce(Mm::min)
}

/// The slots of a pad; those as deep as its plate go through.
pub(super) fn slots(raw: &schema::RawPadSlots, plate: Option<Mm>) -> Option<PadSlots> {
    let through = plate.is_some_and(|plate| raw.depth.get().is_some_and(|depth| depth >= plate));
    Some(PadSlots {
        width: raw.size.get()?.diameter(),
        thread: raw.size.get()?.thread(),
        travel: raw.travel.get()?,
        direction: raw.direction.get()?,
        depth: raw.depth.get()?,
        through,
        positions: placed_at(raw.grid.as_ref(), &raw.positions).into_iter().map(|p| p.position).collect(),
    })
}
