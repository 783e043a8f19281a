//! Step 2: raw values to a [`Design`], the only way to a housing.
//!
//! Three small steps: trade defaults that follow from other values are filled in (`derive`), the rules between
//! values are checked (`rules`, one file each), and the valid values are combined.
//!
//! Holds afterwards: all values are present and within their ranges, and the only broken rules are those of narrow
//! scope, which the design carries (`scope`); later stages do not test the values again. Does not promise: that the
//! part can be built. Features may still run into each other in ways that only the solid can show.

mod casting;

mod derive;

mod flange_gussets;

mod gearbox_face;
mod keep_clear;
mod mating;

mod mount_plate;

mod pad_face;

mod pad_hollow;
mod pad_hollow_fit;

mod pads;
mod passage_fit;

mod plugs;

mod polygon;

mod rail_tube;

mod record;

mod ribs;

mod rounded;

pub mod rules;

mod scope;

mod sender_boss;

mod shell;
pub mod stl;
mod surroundings;

mod tail;

mod tail_passages;

mod trial_print;

pub use casting::{CastingDesign, Fillets, MARK_DRAFT, MOST_LEAN, Marks, Mould, Prints, Stock};
pub use flange_gussets::{FlangeGusset, Relief};
pub use gearbox_face::{BoltHole, GearboxFace, Lugs, Register, SpotFace};
pub use keep_clear::Turning;
pub use mating::{
    Axle, BushingPart, Donor, Fasteners, GearsPart, HardPoints, Instrument, Loads, Mating, Oil, Plain,
    Propshaft, PulseWheel, RailPart, RegisterMate, SealPart, Suspension, Tolerances, Vehicle, YokePart,
};
pub use mount_plate::{MountPlate, PadSlots, SlotDirection, Tie, wall_step};
pub use pad_face::PadFace;
pub use pad_hollow::{Boss, HollowLayer, HollowOpens, PadHollow};
pub use pads::{Dowel, MountPad, PadHoles, Position, Rectangle, ShiftBoxPad};
pub use plugs::{Plug, PlugKind};
pub use polygon::{PolygonCorner, Rounding, roundings};
pub use rail_tube::{RailForm, RailTube};
pub use ribs::{LongitudinalRib, Ribs, RingRib};
pub use rounded::rounded_polygon;
pub use scope::stops_form;
pub use sender_boss::{BoreStep, Ear, Fork, Neck, ORing, RetainingScrew, SenderBoss, SenderKind};
pub use shell::{ProfilePoint, Shell, Station};
pub use surroundings::{Along, Neighbour, NeighbourShape};
pub use tail::{Barrel, Bushing, Seal, Tail};
pub use tail_passages::{DrainBack, DustLip, DustLipKind, OilFeed};
pub use trial_print::TrialPrint;

pub use crate::params::schema::{Form, GivenLimits, RegisterKind};

use std::path::{Path, PathBuf};

use crate::finding::{Code, Finding, Findings, Outcome, Scope};
use crate::params::schema::File;
use crate::params::{Assumed, Raw};
use crate::units::{Mm, Units};

/// A tail housing whose values are complete and consistent.
///
/// Frame: origin at the centre of the gearbox face, X aft along the shaft, Y right, Z up. Clock angles are seen from
/// behind, 0 is up, clockwise: clock `c` is the direction `(0, sin c, cos c)`.
#[derive(Debug, Clone, PartialEq)]
pub struct Design {
    units: Units,
    name: String,
    description: Option<String>,
    invented: bool,
    overall_length: Mm,
    gearbox_face: GearboxFace,
    shell: Shell,
    tail: Tail,
    shift_box_pad: Option<ShiftBoxPad>,
    mount_pad: Option<MountPad>,
    second_mount_pad: Option<MountPad>,
    sender_boss: Option<SenderBoss>,
    rail_tube: Option<RailTube>,
    ribs: Option<Ribs>,
    plugs: Vec<Plug>,
    casting: CastingDesign,
    trial_print: TrialPrint,
    turning: Vec<Turning>,
    mating: Mating,
    vehicle: Vehicle,
    surroundings: Vec<Neighbour>,
    limits: GivenLimits,
    forms: Vec<Form>,
    assumed: Vec<Assumed>,
    against: Findings,
    folder: PathBuf,
}

/// A fault of the program: a file must never be refused without a reason.
const INCOMPLETE: Code = Code::new("D194", "the values do not make a part");

impl Design {
    /// Checks raw values against each other and makes a design from them.
    ///
    /// The findings include those of the reader, in the order of the file; the design is absent when any of them is
    /// an error of scope [`Scope::Everything`](crate::finding::Scope::Everything). It carries the errors of narrower
    /// scope.
    pub fn validate(mut raw: Raw) -> Outcome<Self> {
        derive::fill(&mut raw);
        let mut findings = std::mem::take(&mut raw.findings);
        findings.append(rules::check(&raw.file));
        findings.sort_by_place();
        if let Some(units) = raw.file.units.get() {
            findings = findings.in_units(units);
            raw.assumed.iter_mut().for_each(|a| a.reason = units.sentence(&a.reason));
        }
        let nothing = findings.stop(|scope| scope == Scope::Everything);
        let design = if nothing { None } else { Self::put_together(&raw.file, raw.assumed) };
        if design.is_none() && !nothing {
            let what = "a value is missing, and no rule says which";
            let hint = "please report this with the parameter file: the program is at fault, not the file";
            findings.push(Finding::error(INCOMPLETE, "the file", what).hint(hint));
        }
        let kept = |f: &&Finding| f.stops(|_| true) || f.code().scope() == Scope::Limits;
        let less = findings.iter().filter(kept).cloned().collect();
        Outcome::new(design.map(|design| Self { against: less, ..design }), findings)
    }

    fn put_together(file: &File, assumed: Vec<Assumed>) -> Option<Self> {
        let overall_length = file.housing.overall_length.get()?;
        let tail = Tail::from_file(&file.tail, overall_length)?;
        let shell = Shell::from_file(&file.shell, &tail)?;
        let wall = file.shell.wall.get()?;
        let gearbox_face = GearboxFace::from_file(&file.gearbox_face, wall, &shell)?;
        let mould = &file.casting.mould;
        let mount = |pad: &crate::params::schema::RawMountPad| MountPad::from_file(pad, mould, &shell);
        Some(Self {
            mount_pad: absent_or(file.mount_pad.as_ref(), mount).ok()?,
            second_mount_pad: absent_or(file.second_mount_pad.as_ref(), mount).ok()?,
            plugs: file.plugs.items.iter().map(Plug::from_file).collect::<Option<_>>()?,
            rail_tube: absent_or(file.rail_tube.as_ref(), RailTube::from_file).ok()?,
            ribs: absent_or(file.ribs.as_ref(), |ribs| Ribs::from_file(ribs, wall, &shell)).ok()?,
            units: file.units.get()?,
            name: file.housing.name.get()?,
            description: file.housing.description.get(),
            invented: file.housing.invented.get()?,
            overall_length,
            gearbox_face,
            shell,
            tail,
            shift_box_pad: absent_or(file.shift_box_pad.as_ref(), |pad| ShiftBoxPad::from_file(pad, mould))
                .ok()?,
            sender_boss: absent_or(file.sender_boss.as_ref(), SenderBoss::from_file).ok()?,
            casting: CastingDesign::from_file(&file.casting)?,
            trial_print: TrialPrint::from_file(&file.trial_print)?,
            turning: file.mating.turning.items.iter().map(Turning::from_file).collect::<Option<_>>()?,
            mating: Mating::from_file(&file.mating),
            vehicle: file.vehicle.as_ref().map(Vehicle::from_file).unwrap_or_default(),
            surroundings: file.surroundings.items.iter().map(Neighbour::from_file).collect::<Option<_>>()?,
            limits: file.limits.values()?,
            forms: file.forms.get()?,
            assumed,
            against: Findings::default(),
            folder: PathBuf::new(),
        })
    }

    /// The design of a text that has no errors, for tests.
    #[cfg(test)]
    pub(crate) fn of_text(text: &str) -> Self {
        let source = crate::params::Source::from_bytes("a file", text.as_bytes().to_vec()).expect("text");
        Self::validate(crate::params::read(&source).expect("a tree")).value.expect("a design")
    }

    /// The same, with the folder relative to which files that it names are found.
    #[must_use]
    pub fn in_folder(mut self, folder: impl Into<PathBuf>) -> Self {
        self.folder = folder.into();
        self
    }

    /// Whether the finished part of another design is the same: they differ at most in values that shape no feature.
    pub fn same_part(&self, other: &Self) -> bool {
        // Listed by name, so that a new field is not forgotten here.
        let Self {
            units: _,
            name: _,
            description: _,
            invented: _,
            overall_length,
            gearbox_face,
            shell,
            tail,
            shift_box_pad,
            mount_pad,
            second_mount_pad,
            sender_boss,
            rail_tube,
            ribs,
            plugs,
            casting,
            trial_print: _,
            turning: _,
            mating: _,
            vehicle: _,
            surroundings: _,
            limits: _,
            forms: _,
            assumed: _,
            against: _,
            folder: _,
        } = self;
        *overall_length == other.overall_length
            && *gearbox_face == other.gearbox_face
            && *shell == other.shell
            && *tail == other.tail
            && *shift_box_pad == other.shift_box_pad
            && *mount_pad == other.mount_pad
            && *second_mount_pad == other.second_mount_pad
            && *sender_boss == other.sender_boss
            && *rail_tube == other.rail_tube
            && *ribs == other.ribs
            && *plugs == other.plugs
            && *casting == other.casting
    }

    /// Whether the trial print of another design of the same part is the same too.
    pub fn same_print(&self, other: &Self) -> bool {
        self.trial_print == other.trial_print
    }

    /// The folder relative to which files that it names are found.
    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// Unit of the parameter file, for showing values.
    pub fn units(&self) -> Units {
        self.units
    }

    /// Product name.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// A one-line description.
    pub fn description(&self) -> Option<&str> {
        self.description.as_deref()
    }

    /// Whether the vehicle and the numbers are invented.
    pub fn invented(&self) -> bool {
        self.invented
    }

    /// From the gearbox face to the rearmost tail face; a spigot projects ahead of it.
    pub fn overall_length(&self) -> Mm {
        self.overall_length
    }

    /// Flange, register, bolt holes.
    pub fn gearbox_face(&self) -> &GearboxFace {
        &self.gearbox_face
    }

    /// Cavity and outside of the tapered tube.
    pub fn shell(&self) -> &Shell {
        &self.shell
    }

    /// Bushing, seal, and the ring around them.
    pub fn tail(&self) -> &Tail {
        &self.tail
    }

    /// The pad that carries the shift box.
    pub fn shift_box_pad(&self) -> Option<&ShiftBoxPad> {
        self.shift_box_pad.as_ref()
    }

    /// The pad that rests on the mount.
    pub fn mount_pad(&self) -> Option<&MountPad> {
        self.mount_pad.as_ref()
    }

    /// The second pad for a mount.
    pub fn second_mount_pad(&self) -> Option<&MountPad> {
        self.second_mount_pad.as_ref()
    }

    /// The boss of the speedometer sender.
    pub fn sender_boss(&self) -> Option<&SenderBoss> {
        self.sender_boss.as_ref()
    }

    /// The tube or hump in which the shift rail slides.
    pub fn rail_tube(&self) -> Option<&RailTube> {
        self.rail_tube.as_ref()
    }

    /// Ribs that stiffen the shell.
    pub fn ribs(&self) -> Option<&Ribs> {
        self.ribs.as_ref()
    }

    /// Plugs that fill, drain and vent the housing.
    pub fn plugs(&self) -> &[Plug] {
        &self.plugs
    }

    /// The alloy, and how the part is cast.
    pub fn casting(&self) -> &CastingDesign {
        &self.casting
    }

    /// The printer for the trial print.
    pub fn trial_print(&self) -> &TrialPrint {
        &self.trial_print
    }

    /// Parts that turn about the shaft inside.
    pub fn turning(&self) -> &[Turning] {
        &self.turning
    }

    /// Parts that work in the housing, for fits and driveline.
    pub fn mating(&self) -> &Mating {
        &self.mating
    }

    /// The vehicle, for the driveline.
    pub fn vehicle(&self) -> &Vehicle {
        &self.vehicle
    }

    /// Bodies beside the housing.
    pub fn surroundings(&self) -> &[Neighbour] {
        &self.surroundings
    }

    /// Limits of checks from the file.
    pub fn limits(&self) -> &GivenLimits {
        &self.limits
    }

    /// The forms that the file lists, each once, in the order of [`Form::ALL`].
    pub fn forms(&self) -> &[Form] {
        &self.forms
    }

    /// Trade defaults used for keys that the file leaves out.
    pub fn assumed(&self) -> &[Assumed] {
        &self.assumed
    }
}

/// A section that is present but lacks a valid value.
struct NotGood;

/// `None` when the section is absent.
fn absent_or<R, T>(raw: Option<&R>, make: impl Fn(&R) -> Option<T>) -> Result<Option<T>, NotGood> {
    raw.map(|raw| make(raw).ok_or(NotGood)).transpose()
}
