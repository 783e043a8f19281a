//! The keys of the parameter file, one source file for each section, from front to back of the part.
//!
//! Each section is a struct of [`Parameter`]s and one [`Section::read`] that names its keys. To add a key, add it there:
//! reader, range check, suggestions, reference and schema follow.

mod casting;
mod fillets;
mod flange_gussets;
mod forms;
mod gearbox_face;
mod hard_points;
mod housing;
mod keep_clear;
mod limits;
mod marks;
mod mating;
mod mating_fasteners;
mod mating_gears;
mod mating_oil;
mod moulding;
mod mount_plate;
mod pad_hollow;
mod pad_polygon;
mod pads;
mod plugs;
mod rail_tube;
mod ribs;
mod section;
mod sender_boss;
mod sender_fittings;
mod shell;
mod surroundings;
mod tail;
mod tail_passages;
mod trial_print;
mod vehicle;
mod vehicle_loads;

pub use casting::{FedFeature, RawCasting};
pub use fillets::RawFillets;
pub use flange_gussets::{FlangeGussets, RawRelief};
pub use forms::Form;
pub use gearbox_face::{
    BoltCircle, Flange, FlangeKind, Lug, RawBolt, RawGearboxFace, RawRegister, RawSpotFace, RegisterKind,
};
pub use hard_points::{Donor, DonorKeys, HardPoints, HardPointsKeys, Plain, PlainKeys};
pub use housing::RawHousing;
pub use keep_clear::RawTurning;
pub use limits::{GivenLimits, LimitsKeys};
pub use marks::{MARK_SIGNS, RawMarks};
pub use mating::{
    BushingPart, BushingPartKeys, RawMating, RegisterMate, RegisterMateKeys, SealPart, SealPartKeys,
    YokePart, YokePartKeys,
};
pub use mating_fasteners::{Fasteners, FastenersKeys};
pub use mating_gears::{
    GearsPart, GearsPartKeys, PulseWheel, PulseWheelKeys, RailPart, RailPartKeys, Tolerances, TolerancesKeys,
};
pub use mating_oil::{Oil, OilKeys};
pub use moulding::{Contraction, RawMould, RawPrints, RawStock};
pub use mount_plate::{RawMountPlate, RawPadSlots, RawTie, SlotDirection};
pub use pad_hollow::{HollowOpens, LEAST_HOLLOW_WALL, RawMountHollow, RawPadHollow};
pub use pad_polygon::{RawDowel, RawPolygonCorner};
pub use pads::{Grid, HolePosition, Outline, RawMountPad, RawPadHoles, RawShiftBoxPad};
pub use plugs::{PlugKind, RawPlug};
pub use rail_tube::{RailForm, RawRailTube};
pub use ribs::{LongitudinalRibs, RawRibs, RawRingRib};
pub use sender_boss::{Placing, RawBoreStep, RawRetainingScrew, RawSenderBoss, SenderKind, SenderSpotFace};
pub use sender_fittings::{RawFork, RawNeck, RawORing};
pub use shell::{CavityStation, RawShell};
pub use surroundings::{NeighbourCorner, NeighbourKind, RawNeighbour};
pub use tail::{RawBushing, RawSeal, RawTail};
pub use tail_passages::{DustLipKind, OilFeedKind, RawDrainBack, RawDustLip, RawOilFeed};
pub(crate) use tail_passages::{FEED_ANGLE, PASSAGE};
pub use trial_print::RawTrialPrint;
pub use vehicle::{
    Axle, AxleKeys, Instrument, InstrumentKeys, Propshaft, PropshaftKeys, RawVehicle, Suspension,
    SuspensionKeys,
};
pub use vehicle_loads::{Loads, LoadsKeys};

use super::kinds::{Choice, Range};
use super::parameter::{Concern, Parameter, ParameterList};
use super::section_reader::{Section, SectionReader};
use crate::units::Units;

/// A whole parameter file as read.
#[derive(Debug, Clone, PartialEq)]
pub struct File {
    /// Unit of lengths without their own unit.
    pub units: Parameter<Units>,
    /// The part as a whole.
    pub housing: RawHousing,
    /// The front face, bolted to the gearbox.
    pub gearbox_face: RawGearboxFace,
    /// The tapered tube between the two ends.
    pub shell: RawShell,
    /// The rear end with bushing and seal.
    pub tail: RawTail,
    /// The pad that carries the shift box.
    pub shift_box_pad: Option<RawShiftBoxPad>,
    /// The pad that rests on the crossmember's mount.
    pub mount_pad: Option<RawMountPad>,
    /// A second pad for a mount, further along.
    pub second_mount_pad: Option<RawMountPad>,
    /// The boss that takes the speedometer sender.
    pub sender_boss: Option<RawSenderBoss>,
    /// The tube or hump in which the shift rail slides.
    pub rail_tube: Option<RawRailTube>,
    /// Ribs that stiffen the shell.
    pub ribs: Option<RawRibs>,
    /// Plugs that fill, drain and vent the housing.
    pub plugs: ParameterList<RawPlug>,
    /// The alloy, and how it is cast.
    pub casting: RawCasting,
    /// A print for trying the fit.
    pub trial_print: RawTrialPrint,
    /// Parts that work in the housing.
    pub mating: RawMating,
    /// Bodies beside the housing.
    pub surroundings: ParameterList<RawNeighbour>,
    /// The vehicle.
    pub vehicle: Option<RawVehicle>,
    /// Limits of checks.
    pub limits: LimitsKeys,
    /// Forms that are built.
    pub forms: Parameter<Vec<Form>>,
}

impl Section for File {
    fn read(s: &mut SectionReader<'_>) -> Self {
        const UNITS: Choice<Units> = Choice(&[
            (Units::Mm.name(), Units::Mm, "millimetres"),
            (Units::Inch.name(), Units::Inch, "inches, 25.4 mm exactly"),
        ]);
        let units = s
            .key("units", "Unit of every length without its own unit. Angles are in degrees.")
            .value(UNITS, "mm")
            .required();
        s.set_units(units.get());
        Self {
            units,
            housing: s.key("housing", "The part as a whole.").section(),
            gearbox_face: s
                .key("gearbox_face", "The front face (station 0), bolted to the gearbox.")
                .section(),
            shell: s.key("shell", "The tapered tube between the two ends.").section(),
            tail: s.key("tail", "The rear end: bushing, seal, and the ring around them.").section(),
            shift_box_pad: s
                .key(
                    "shift_box_pad",
                    "The machined pad on top that carries the shift box. Leave it out for none.",
                )
                .optional_section(),
            mount_pad: s
                .key("mount_pad", "The machined pad below that rests on the mount. Leave it out for none.")
                .optional_section(),
            second_mount_pad: s
                .key(
                    "second_mount_pad",
                    "A second pad for a mount, with keys of its own. Leave it out for none.",
                )
                .optional_section(),
            sender_boss: s
                .key("sender_boss", "The boss that takes the speedometer sender. Leave it out for none.")
                .optional_section(),
            rail_tube: s
                .key("rail_tube", "The tube or hump in which the shift rail slides. Leave it out for none.")
                .optional_section(),
            ribs: s
                .key("ribs", "Cast ribs that stiffen the shell. Leave it out for none.")
                .optional_section(),
            plugs: s
                .key("plugs", "Bosses with a tapped hole into the cavity, to fill, drain and vent.")
                .list(0, 12),
            casting: s
                .key("casting", "The alloy, and how the part is cast.")
                .concerning(Concern::Mould)
                .default_section(),
            trial_print: s.key("trial_print", "The printer for a print that tries the fit.").default_section(),
            mating: s
                .key("mating", "Parts that work in the housing; `check` tests clearances to them and compares their fits with limits.")
                .default_section(),
            surroundings: s
                .key("surroundings", "Bodies beside the housing; `check` tests clearances to them.")
                .list(0, 60),
            vehicle: s
                .key("vehicle", "Data of the vehicle for the driveline report. Leave it out for none.")
                .optional_section(),
            limits: s
                .key("limits", "Limits that replace the built-in limits of `check`.")
                .default_section(),
            forms: s
                .key("forms", "Forms that `build` makes without `--form`.")
                .value(Form::CHOICE, "[finished, casting, pattern, core, core-box, trial-print]")
                .several_or_assume(Form::ALL.len(), vec![Form::Finished], "the part itself", PRACTICE),
        }
    }
}

/// A range with its reason.
const fn range(least: f64, most: f64, reason: &'static str) -> Range {
    Range { least, most, reason }
}

/// Source of defaults that rest on shop practice alone.
const PRACTICE: &str = "common practice";

/// Why no length of the part is larger than this.
const PART_SIZE: &str = "beyond the size of a gearbox tail housing";

/// Stations along the shaft, from the gearbox face aft.
const STATION: Range = range(0.0, 1200.0, "a station lies between the gearbox face and the tail");

/// Offsets sideways from the shaft axis.
const SIDE: Range = range(-200.0, 200.0, "further out it is no longer on a housing of this kind");

/// Clock angles.
const CLOCK: Range = range(-360.0, 360.0, "one full turn either way");
