//! The alloy, and how the part is cast.

use super::record::record;
use crate::faces::Feature;
use crate::params::schema::{self, FedFeature};
use crate::standards::casting_tolerance::AllowanceGrade;
use crate::standards::materials::Alloy;
use crate::units::{Deg, KgPerM3, Mm};

/// Greatest lean of an axis from upright that more draft on all sides makes up for: beyond it that draft would cost more metal
/// and more of an opening than a loose piece costs the pattern maker.
pub const MOST_LEAN: Deg = Deg::new(5.0);

record! {
    /// The alloy, and how the part is cast.
    pub struct CastingDesign {
        /// The alloy.
        alloy: &'static Alloy,
        /// Its density.
        density: KgPerM3,
    }
    lent {
        /// Radii where cast faces meet.
        fillets: Fillets => Fillets,
        /// How it lies in the mould.
        mould: Mould => Mould,
        /// Metal left for machining.
        stock: Stock => Stock,
        /// Core prints, vent, dowels.
        prints: Prints => Prints,
        /// Features with an agreed feeder or chill.
        fed: Vec<Feature> => [Feature],
    } optional {
        /// Marks cast on.
        marks: Marks,
    }
}

/// Draft of the walls of letters: more than of other walls, since their corners tear the sand (common practice, from memory).
pub const MARK_DRAFT: Deg = Deg::new(10.0);

/// Marks cast on the shell.
#[derive(Debug, Clone, PartialEq)]
pub struct Marks {
    /// The part's number.
    pub part_number: String,
    /// Whether the alloy's short name is cast on.
    pub alloy: bool,
    /// Whether an arrow to the front is cast on.
    pub arrow: bool,
    /// Height of the letters.
    pub height: Mm,
    /// Width of a stroke, at its face.
    pub stroke: Mm,
    /// How far they stand out.
    pub raised: Mm,
}

impl Marks {
    fn from_file(raw: &schema::RawMarks) -> Option<Self> {
        Some(Self {
            part_number: raw.part_number.get()?,
            alloy: raw.alloy.get()?,
            arrow: raw.arrow.get()?,
            height: raw.height.get()?,
            stroke: raw.stroke.get()?,
            raised: raw.raised.get()?,
        })
    }
}

record! {
    /// How the part lies in the mould, and how it shrinks.
    pub struct Mould {
        /// Clock angle of the direction in which the upper half is lifted.
        parting_clock: Deg,
        /// Draft outside.
        draft: Deg,
        /// Draft of core boxes.
        core_draft: Deg,
        /// Whether loose pieces are parted off the pattern's halves.
        loose_pieces: bool,
        /// Room between a loose piece and its half, on each side.
        loose_clearance: Mm,
        /// Whether feeders and gating come with the pattern.
        feeders_and_gates: bool,
        /// Contraction along the shaft: 0.013 for 1.3 %.
        axial_contraction: f64,
        /// Contraction across the shaft.
        radial_contraction: f64,
    }
}

record! {
    /// Metal left for machining.
    pub struct Stock {
        /// Allowance grade.
        grade: AllowanceGrade,
        /// Further stock on faces that lie uppermost.
        top: Mm,
        /// Casting tolerance grade.
        tolerance_grade: u8,
        /// Machined holes below this diameter are cast solid.
        cored_above: Mm,
        /// Stock on every machined face, in place of the grade's.
        all: Option<Mm>,
    }
}

record! {
    /// Core prints, vent, dowels.
    pub struct Prints {
        /// Length of the front print.
        front_length: Mm,
        /// Length of the rear print.
        rear_length: Mm,
        /// Taper of print ends.
        taper: Deg,
        /// Room around the core's print, on each side.
        clearance: Mm,
        /// Diameter of the vent, zero for none.
        vent: Mm,
        /// Diameter of dowels between halves.
        dowels: Mm,
    }
}

impl Mould {
    fn from_file(raw: &schema::RawCasting) -> Option<Self> {
        Some(Self {
            parting_clock: raw.mould.parting_clock.get()?,
            draft: raw.mould.draft.get()?,
            core_draft: raw.mould.core_draft.get()?,
            loose_pieces: raw.mould.loose_pieces.get()?,
            loose_clearance: raw.mould.loose_clearance.get()?,
            feeders_and_gates: raw.mould.feeders_and_gates.get()?,
            axial_contraction: raw.contraction.axial.get()?.share(),
            radial_contraction: raw.contraction.radial.get()?.share(),
        })
    }
}

impl Stock {
    fn from_file(raw: &schema::RawStock) -> Option<Self> {
        Some(Self {
            grade: raw.grade.get()?,
            top: raw.top.get()?,
            tolerance_grade: u8::try_from(raw.tolerance_grade.get()?).ok()?,
            cored_above: raw.cored_above.get()?,
            all: raw.all.get(),
        })
    }
}

impl Prints {
    fn from_file(raw: &schema::RawPrints) -> Option<Self> {
        Some(Self {
            front_length: raw.front_length.get()?,
            rear_length: raw.rear_length.get()?,
            taper: raw.taper.get()?,
            clearance: raw.clearance.get()?,
            vent: raw.vent.get()?,
            dowels: raw.dowels.get()?,
        })
    }
}

record! {
    /// Radii where cast faces meet; zero for none.
    pub struct Fillets {
        /// Inward joints outside.
        outside: Mm,
        /// Joints inside the cavity.
        cavity: Mm,
        /// Outward edges.
        edges: Mm,
    }
    lent {
        /// Features with a radius of their own.
        own: Vec<(Feature, Mm)> => [(Feature, Mm)],
    }
}

impl Fillets {
    fn from_file(raw: &schema::RawFillets) -> Option<Self> {
        let own = [
            (Feature::GearboxFace, &raw.flange),
            (Feature::Tail, &raw.tail),
            (Feature::ShiftBoxPad, &raw.shift_box_pad),
            (Feature::MountPad, &raw.mount_pad),
            (Feature::SecondMountPad, &raw.second_mount_pad),
            (Feature::SenderBoss, &raw.sender_boss),
            (Feature::RailTube, &raw.rail_tube),
            (Feature::Ribs, &raw.ribs),
            (Feature::Plugs, &raw.plugs),
        ];
        let own = own
            .into_iter()
            .filter_map(|(feature, slot)| slot.get().map(|radius| (feature, radius)))
            .collect();
        Some(Self { outside: raw.outside.get()?, cavity: raw.cavity.get()?, edges: raw.edges.get()?, own })
    }

    /// The radius requested at a feature's foot; `None` for the shell, where the feature on it decides.
    pub fn of(&self, feature: Feature) -> Option<Mm> {
        if feature == Feature::Shell {
            return None;
        }
        if feature == Feature::Marks {
            return Some(Mm::default());
        }
        Some(self.own.iter().find(|(own, _)| *own == feature).map_or(self.outside, |(_, radius)| *radius))
    }
}

fn fed(feature: FedFeature) -> Feature {
    match feature {
        FedFeature::GearboxFace => Feature::GearboxFace,
        FedFeature::Tail => Feature::Tail,
        FedFeature::ShiftBoxPad => Feature::ShiftBoxPad,
        FedFeature::MountPad => Feature::MountPad,
        FedFeature::SecondMountPad => Feature::SecondMountPad,
        FedFeature::SenderBoss => Feature::SenderBoss,
        FedFeature::Plugs => Feature::Plugs,
    }
}

impl CastingDesign {
    /// The mass of a volume of its metal in mm³, kg.
    pub fn mass(&self, volume: f64) -> f64 {
        volume * 1e-9 * self.density().get()
    }

    pub(super) fn from_file(raw: &schema::RawCasting) -> Option<Self> {
        Some(Self {
            alloy: raw.alloy.get()?,
            density: raw.density.get()?,
            fillets: Fillets::from_file(&raw.fillets)?,
            mould: Mould::from_file(raw)?,
            stock: Stock::from_file(&raw.stock)?,
            prints: Prints::from_file(&raw.prints)?,
            marks: match &raw.marks {
                Some(marks) => Some(Marks::from_file(marks)?),
                None => None,
            },
            fed: raw.fed.get().unwrap_or_default().into_iter().map(fed).collect(),
        })
    }
}
