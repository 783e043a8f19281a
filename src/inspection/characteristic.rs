//! Numbered characteristics: what is measured, between which limits, from which datums.

use std::collections::BTreeMap;
use std::fmt;

use super::elements::MeasuredElement;
use super::wall_places::WallPlace;
use crate::design::Design;
use crate::faces::{Feature, Role};
use crate::words::fixed;
use solidwright::geometry::V3;

/// A tilt below this, degrees, is none.
const STRAIGHT: f64 = 1e-6;

/// A datum of the drawing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Datum {
    /// The gearbox face.
    A,
    /// The axis of the register.
    B,
    /// The first bolt hole: clocking.
    C,
    /// The axis of the bushing's seat.
    D,
}

impl fmt::Display for Datum {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Self::A => "A",
            Self::B => "B",
            Self::C => "C",
            Self::D => "D",
        })
    }
}

/// A kind of geometric tolerance (ISO 1101, ASME Y14.5).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ToleranceKind {
    /// Position of an axis.
    Position,
    /// Squareness of a face to an axis.
    Perpendicularity,
    /// One axis on another.
    Coaxiality,
    /// An axis or a face parallel to another one.
    Parallelism,
    /// A face between two parallel planes.
    Flatness,
    /// How far a face moves along an axis as the part turns about it.
    Runout,
}

impl ToleranceKind {
    /// Its name.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Position => "position",
            Self::Perpendicularity => "perpendicularity",
            Self::Coaxiality => "coaxiality",
            Self::Parallelism => "parallelism",
            Self::Flatness => "flatness",
            Self::Runout => "circular run-out",
        }
    }
}

/// Whether a tolerance grows with the size of its feature.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Material {
    /// It does not.
    Regardless,
    /// It grows by what the feature departs from its maximum material condition (ISO 2692, ASME Y14.5).
    Maximum,
}

/// A datum as a tolerance refers to it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct DatumReference {
    /// The datum.
    pub datum: Datum,
    /// Whether it is a size's maximum material boundary, so that the part may shift by what the datum feature departs from it
    /// (ISO 2692, ASME Y14.5).
    pub boundary: Material,
}

impl DatumReference {
    /// The datum as the feature's own surface gives it.
    const fn plain(datum: Datum) -> Self {
        Self { datum, boundary: Material::Regardless }
    }

    /// The datum at its maximum material boundary.
    const fn at_maximum(datum: Datum) -> Self {
        Self { datum, boundary: Material::Maximum }
    }
}

impl fmt::Display for DatumReference {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.boundary {
            Material::Regardless => write!(f, "{}", self.datum),
            Material::Maximum => write!(f, "{} at MMB", self.datum),
        }
    }
}

/// References that tolerances have.
const TO_A: &[DatumReference] = &[DatumReference::plain(Datum::A)];
const TO_A_B: &[DatumReference] = &[DatumReference::plain(Datum::A), DatumReference::plain(Datum::B)];
const TO_A_B_AT_MAXIMUM: &[DatumReference] =
    &[DatumReference::plain(Datum::A), DatumReference::at_maximum(Datum::B)];
const TO_A_B_C: &[DatumReference] =
    &[DatumReference::plain(Datum::A), DatumReference::plain(Datum::B), DatumReference::plain(Datum::C)];
const TO_D: &[DatumReference] = &[DatumReference::plain(Datum::D)];

/// A geometric tolerance, as the drawing's box has it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GeometricTolerance {
    /// Its kind.
    pub kind: ToleranceKind,
    /// Width or diameter of its zone, mm.
    pub zone: f64,
    /// Whether the zone is a cylinder.
    pub round: bool,
    /// Whether it grows with the feature's size.
    pub material: Material,
    /// The datums it refers to, in their order.
    pub datums: &'static [DatumReference],
}

impl GeometricTolerance {
    /// At which boundary it refers to a datum; regardless of its size where it does not refer to it.
    pub fn boundary_of(&self, datum: Datum) -> Material {
        let reference = self.datums.iter().find(|r| r.datum == datum);
        reference.map_or(Material::Regardless, |r| r.boundary)
    }
}

/// The geometric tolerance of a feature's face of this role, if the file gives any: the one place where drawing and measuring
/// sheet have it from.
pub fn geometric_tolerance(design: &Design, feature: Feature, role: Role) -> Option<GeometricTolerance> {
    use ToleranceKind::{Coaxiality, Perpendicularity, Position};
    let t = design.mating().tolerances.as_ref()?;
    let of = |kind, zone: crate::units::Mm, round, material, datums| GeometricTolerance {
        kind,
        zone: zone.get(),
        round,
        material,
        datums,
    };
    Some(match role {
        Role::Face if feature == Feature::GearboxFace => {
            of(Perpendicularity, t.face_squareness, false, Material::Regardless, TO_D)
        }
        Role::BoltHole(_) => of(
            Position,
            t.flange_holes,
            true,
            Material::Maximum,
            if t.register_at_maximum { TO_A_B_AT_MAXIMUM } else { TO_A_B },
        ),
        Role::BushingSeat => of(Position, t.bushing_seat, true, Material::Regardless, TO_A_B),
        Role::SealCounterbore => of(Coaxiality, t.seal_bore, true, Material::Regardless, TO_D),
        Role::RailBore => of(Position, t.rail_bore, true, Material::Regardless, TO_A_B_C),
        Role::BoreStep(1) => of(Position, t.sender_bore, true, Material::Regardless, TO_A_B_C),
        _ => return None,
    })
}

/// The place of a bore about the register's axis, for the line-up: a zone without a limit of its own.
pub(super) const OF_LINE_UP: GeometricTolerance = GeometricTolerance {
    kind: ToleranceKind::Position,
    zone: 0.0,
    round: true,
    material: Material::Regardless,
    datums: TO_A_B,
};

/// Tolerances of form and direction that a face has besides, if the file gives any. Pads stand square to datum A where they lie
/// along the shaft; the rail's bore is parallel to the normal of datum A.
pub fn further_tolerances(design: &Design, feature: Feature, role: Role) -> Vec<GeometricTolerance> {
    use ToleranceKind::{Flatness, Parallelism, Perpendicularity, Runout};
    let Some(t) = design.mating().tolerances.as_ref() else { return vec![] };
    let of = |kind, zone: crate::units::Mm, datums| GeometricTolerance {
        kind,
        zone: zone.get(),
        round: false,
        material: Material::Regardless,
        datums,
    };
    let leans = feature == Feature::ShiftBoxPad
        && design.shift_box_pad().is_some_and(|pad| pad.tilt().get().abs() > STRAIGHT);
    match (feature, role) {
        (Feature::GearboxFace, Role::Face) => vec![of(Flatness, t.face_flatness, &[])],
        (Feature::ShiftBoxPad | Feature::MountPad | Feature::SecondMountPad, Role::Face) => {
            let mut out = vec![of(Flatness, t.pad_flatness, &[])];
            out.extend((!leans).then(|| of(Perpendicularity, t.pad_squareness, TO_A)));
            out
        }
        (Feature::Tail, Role::RearFace) => vec![of(Parallelism, t.rear_parallelism, TO_A)],
        (Feature::Tail, Role::SealShoulder) => vec![of(Runout, t.seal_shoulder_runout, TO_D)],
        (_, Role::RailBore) => {
            vec![GeometricTolerance { round: true, ..of(Parallelism, t.rail_parallelism, TO_A) }]
        }
        _ => vec![],
    }
}

/// What is measured.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum CharacteristicKind {
    /// The diameter of a hole or a spigot.
    Diameter,
    /// How far a plane lies from the origin of the datum frame, along its own normal.
    Distance,
    /// How far an axis lies from the origin of the datum frame, along a direction square to it.
    Coordinate {
        /// The direction, in the part's axes.
        along: V3,
    },
    /// A geometric tolerance.
    Geometric(GeometricTolerance),
    /// The angle between a cone's wall and its axis; nominal value, limits and readings in degrees.
    HalfAngle,
    /// A thread, by its gauge: go or no-go.
    Thread,
    /// A size of the casting, face to face or across.
    CastSize,
}

/// Least and greatest value, mm, of an angle degrees; none where there is no such limit.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct SizeLimits {
    /// The least.
    pub least: Option<f64>,
    /// The greatest.
    pub greatest: Option<f64>,
}

impl SizeLimits {
    /// Between two values.
    pub const fn between(least: f64, greatest: f64) -> Self {
        Self { least: Some(least), greatest: Some(greatest) }
    }

    /// From nothing to a value.
    pub const fn most(greatest: f64) -> Self {
        Self { least: None, greatest: Some(greatest) }
    }

    /// The width of the tolerance, mm: of a zone, its own.
    pub fn width(self) -> Option<f64> {
        Some(self.greatest? - self.least.unwrap_or(0.0))
    }
}

/// Something to measure, with its number on the drawing.
#[derive(Clone, Debug, PartialEq)]
pub struct Characteristic {
    /// Its number, from 1.
    pub number: usize,
    /// Where: the face or the hole.
    pub what: String,
    /// The element that is measured, by its place in the sheet's list; none where several are gauged as one.
    pub element: Option<usize>,
    /// What is measured there.
    pub kind: CharacteristicKind,
    /// The nominal value, mm, of an angle degrees; none for a gauge.
    pub nominal: Option<f64>,
    /// The limits.
    pub limits: SizeLimits,
    /// From where the limits are.
    pub source: String,
}

impl Characteristic {
    /// The datums it refers to; distances and coordinates count from the whole frame.
    pub fn datums(&self) -> &'static [DatumReference] {
        match &self.kind {
            CharacteristicKind::Geometric(t) => t.datums,
            CharacteristicKind::Distance | CharacteristicKind::Coordinate { .. } => TO_A_B_C,
            CharacteristicKind::Diameter
            | CharacteristicKind::HalfAngle
            | CharacteristicKind::Thread
            | CharacteristicKind::CastSize => &[],
        }
    }

    /// Their letters in a row.
    pub fn datum_letters(&self) -> String {
        self.datums().iter().map(ToString::to_string).collect::<Vec<_>>().join(" ")
    }

    /// What is measured, in words.
    pub fn words(&self) -> String {
        match &self.kind {
            CharacteristicKind::Diameter => "diameter".to_owned(),
            CharacteristicKind::Distance => "distance along its normal".to_owned(),
            CharacteristicKind::Coordinate { along } => format!("place along {}", direction(*along)),
            CharacteristicKind::Geometric(t) => t.kind.word().to_owned(),
            CharacteristicKind::HalfAngle => "angle of the wall to its axis".to_owned(),
            CharacteristicKind::Thread => "thread".to_owned(),
            CharacteristicKind::CastSize => "cast size".to_owned(),
        }
    }
}

/// A direction in words: along an axis, else by its angles to all three.
fn direction(d: V3) -> String {
    let axes = [(V3::x(), "X"), (V3::y(), "Y"), (V3::z(), "Z")];
    let along = axes.into_iter().find(|(axis, _)| (d - axis).norm() < 1e-9);
    let angles = || {
        let [x, y, z] = angles_to_axes(d).map(|angle| fixed(angle, 2));
        format!("a direction {x}° to X, {y}° to Y, {z}° to Z")
    };
    along.map_or_else(angles, |(_, name)| name.to_owned())
}

/// The angles of a direction to the part's axes X, Y and Z, degrees: those that can be set on a machine's head or a sine table.
pub fn angles_to_axes(d: V3) -> [f64; 3] {
    let size = d.norm().max(f64::MIN_POSITIVE);
    [d.x, d.y, d.z].map(|part| (part / size).clamp(-1.0, 1.0).acos().to_degrees())
}

/// All that is measured on a form.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct MeasuringSheet {
    /// The surfaces that are measured.
    pub elements: Vec<MeasuredElement>,
    /// What is measured on them, in the order of their numbers.
    pub characteristics: Vec<Characteristic>,
    /// What the line-up needs where the file has no tolerance for it: numbered after the others, without limits, on no drawing.
    pub line_up: Vec<Characteristic>,
    /// On a casting: where walls that machining leaves are probed.
    pub walls: Vec<WallPlace>,
    /// On a casting: the elements whose places tell where the core lay, besides the faces to be machined.
    pub core: Vec<usize>,
    /// On a casting: the finished sizes, mm, by the numbers of the cast ones.
    pub finished_sizes: BTreeMap<usize, f64>,
}

impl MeasuringSheet {
    /// Adds a characteristic with the next number.
    pub(super) fn add(
        &mut self,
        what: impl Into<String>,
        element: Option<usize>,
        kind: CharacteristicKind,
        nominal: Option<f64>,
        (limits, source): (SizeLimits, String),
    ) {
        let number = self.characteristics.len() + 1;
        let what = what.into();
        self.characteristics.push(Characteristic { number, what, element, kind, nominal, limits, source });
    }

    /// The measured places of a bore whose line-up is needed and has no tolerance in the file.
    pub(super) fn add_line_up(&mut self, what: impl Into<String>, element: usize, zone: GeometricTolerance) {
        self.line_up.push(Characteristic {
            number: self.characteristics.len() + self.line_up.len() + 1,
            what: what.into(),
            element: Some(element),
            kind: CharacteristicKind::Geometric(zone),
            nominal: Some(0.0),
            limits: SizeLimits::default(),
            source: String::new(),
        });
    }

    /// The element of a feature's role.
    pub fn element_of(&self, feature: Feature, role: Role) -> Option<usize> {
        let is = |e: &MeasuredElement| Feature::of(&e.tag) == feature && e.face_role() == role;
        self.elements.iter().position(is)
    }

    /// The numbers of all characteristics of an element.
    pub fn numbers_of(&self, element: usize) -> Vec<usize> {
        let of = self.characteristics.iter().filter(|c| c.element == Some(element));
        of.map(|c| c.number).collect()
    }
}
