//! Flange, register and bolt holes, the holes of all circles placed one by one.

use super::flange_gussets::{self, FlangeGusset, Relief};
use super::record::record;
use super::shell::Shell;
use crate::finding::Place;
use crate::params::kinds::HoleSize;
use crate::params::schema;
use crate::units::{Deg, Mm};

use crate::params::schema::{FlangeKind, RegisterKind};

record! {
    /// The front face, bolted to the gearbox.
    pub struct GearboxFace {
        /// Outside diameter of the flange's disc or base ring.
        flange_diameter: Mm,
        /// Thickness of the flange, from the face aft.
        flange_thickness: Mm,
    } lent {
        /// The register that centres the housing.
        register: Register => Register,
        /// All bolt holes.
        bolt_holes: Vec<BoltHole> => [BoltHole],
        /// All gussets behind the flange.
        gussets: Vec<FlangeGusset> => [FlangeGusset],
    } optional {
        /// The relief of the face.
        relief: Relief,
        /// Sizes of the lugs; none for a disc.
        lugs: Lugs,
    }
}

record! {
    /// Lugs around a base ring, one for each bolt hole: a round end about the hole, and straight sides that touch it
    /// and run to the root. The root lies across the line from shaft axis to hole, halfway out to where it would leave
    /// the base ring.
    pub struct Lugs {
        /// Radius of the round end.
        radius: Mm,
        /// Width of the root.
        root_width: Mm,
    }
}

record! {
    /// The register: a cylinder about the shaft axis, ahead of the face (spigot) or sunk aft of it (recess).
    pub struct Register {
        /// Spigot or recess.
        kind: RegisterKind,
        /// Diameter of the locating cylinder.
        diameter: Mm,
        /// From the face to the register's end.
        length: Mm,
        /// Length of the lead-in along the axis: at a spigot's front end, at a recess's mouth. May be 0.
        lead_in: Mm,
        /// Angle of the lead-in to the axis.
        lead_in_angle: Deg,
    }
}

record! {
    /// A through hole in the flange, parallel to the shaft.
    pub struct BoltHole {
        /// Centre to the right of the shaft axis.
        y: Mm,
        /// Centre above the shaft axis.
        z: Mm,
        /// Size: a clearance hole or a plain diameter.
        size: HoleSize,
        /// The flat for the bolt head, sunk into the flange's rear face.
        spot_face: Option<SpotFace>,
    } lent {
        /// Name, such as `bolt_circles[1] hole 3`.
        name: String => str,
    }
}

impl BoltHole {
    /// Diameter of the hole.
    pub fn diameter(&self) -> Mm {
        self.size.diameter()
    }
}

/// A spot face around a hole.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpotFace {
    /// Diameter.
    pub diameter: Mm,
    /// Depth below the surface it is cut into.
    pub depth: Mm,
}

impl GearboxFace {
    pub(super) fn from_file(raw: &schema::RawGearboxFace, wall: Mm, shell: &Shell) -> Option<Self> {
        let sets: Option<Vec<_>> =
            raw.gussets.items.iter().map(|set| flange_gussets::gussets(set, wall, shell)).collect();
        let register = &raw.register;
        let lugs = match raw.flange.kind.get()? {
            FlangeKind::Disc => None,
            FlangeKind::Lugs => Some(Lugs {
                radius: raw.flange.lug.radius.get()?,
                root_width: raw.flange.lug.root_width.get()?,
            }),
        };
        Some(Self {
            lugs,
            gussets: sets?.into_iter().flatten().collect(),
            relief: super::absent_or(raw.relief.as_ref(), flange_gussets::relief).ok()?,
            flange_diameter: raw.flange.diameter.get()?,
            flange_thickness: raw.flange.thickness.get()?,
            register: Register {
                kind: register.kind.get()?,
                diameter: register.diameter.get()?,
                length: register.length.get()?,
                lead_in: register.lead_in.get()?,
                lead_in_angle: register.lead_in_angle.get()?,
            },
            bolt_holes: placed_holes(raw).into_iter().map(|placed| placed.hole).collect(),
        })
    }
}

/// A bolt hole with the place in the file that sets its position.
pub(super) struct PlacedHole {
    pub(super) hole: BoltHole,
    pub(super) path: String,
    pub(super) place: Option<Place>,
    pub(super) spot_face: Option<(String, Option<Place>)>,
}

/// All bolt holes with valid values.
pub(super) fn placed_holes(raw: &schema::RawGearboxFace) -> Vec<PlacedHole> {
    let circles = raw.bolt_circles.items.iter().enumerate().filter_map(|(i, circle)| on_circle(i, circle));
    let single = raw.bolts.items.iter().enumerate().filter_map(|(i, bolt)| {
        let hole = BoltHole {
            y: bolt.y.get()?,
            z: bolt.z.get()?,
            size: bolt.size.get()?,
            spot_face: bolt.spot_face.as_ref().and_then(spot_face),
            name: format!("bolts[{}]", i + 1),
        };
        let path = bolt.y.path().trim_end_matches(".y").to_owned();
        Some(PlacedHole {
            hole,
            path,
            place: bolt.y.place(),
            spot_face: spot_face_place(bolt.spot_face.as_ref()),
        })
    });
    circles.flatten().chain(single).collect()
}

fn on_circle(index: usize, circle: &schema::BoltCircle) -> Option<Vec<PlacedHole>> {
    let radius = circle.diameter.get()? / 2.0;
    let (count, first, size) = (circle.count.get()?, circle.first_clock.get()?, circle.size.get()?);
    let hole = |i: u32| {
        let clock = first + Deg::new(360.0) * (f64::from(i) / f64::from(count));
        let (sin, cos) = clock.sin_cos();
        let hole = BoltHole {
            y: radius * sin,
            z: radius * cos,
            size,
            spot_face: circle.spot_face.as_ref().and_then(spot_face),
            name: format!("bolt_circles[{}] hole {}", index + 1, i + 1),
        };
        PlacedHole {
            hole,
            path: circle.diameter.path().to_owned(),
            place: circle.diameter.place(),
            spot_face: spot_face_place(circle.spot_face.as_ref()),
        }
    };
    Some((0..count).map(hole).collect())
}

fn spot_face(raw: &schema::RawSpotFace) -> Option<SpotFace> {
    Some(SpotFace { diameter: raw.diameter.get()?, depth: raw.depth.get()? })
}

fn spot_face_place(raw: Option<&schema::RawSpotFace>) -> Option<(String, Option<Place>)> {
    raw.map(|spot| (spot.diameter.path().to_owned(), spot.diameter.place()))
}
