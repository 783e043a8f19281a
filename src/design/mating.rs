//! Parts that work in the housing, and the vehicle: values for the checks of fits and driveline. They do not shape
//! the part, except for a sender boss that is placed by its gears.

use crate::params::schema;
use crate::standards::crossed_helical::{CrossedPair, Hand};
use crate::standards::slip_yoke::{Driveline, Guide};
use crate::units::{Deg, Mm};

pub use crate::params::schema::{
    Axle, BushingPart, Donor, Fasteners, GearsPart, HardPoints, Instrument, Loads, Oil, Plain, Propshaft,
    PulseWheel, RailPart, RegisterMate, SealPart, Suspension, Tolerances, YokePart,
};

/// Parts that work in the housing; those that the file leaves out are absent.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Mating {
    /// Highest temperature of the oil, °C.
    pub oil_temperature: Option<f64>,
    /// The bushing in its seat.
    pub bushing: Option<BushingPart>,
    /// The seal in its counterbore.
    pub seal: Option<SealPart>,
    /// The slip yoke.
    pub yoke: Option<YokePart>,
    /// The gearbox's side of the register.
    pub register: Option<RegisterMate>,
    /// The shift rail.
    pub rail: Option<RailPart>,
    /// The speedometer's gears.
    pub speedometer: Option<GearsPart>,
    /// The tooth wheel of a pulse sender.
    pub pulse_wheel: Option<PulseWheel>,
    /// Position errors.
    pub tolerances: Option<Tolerances>,
    /// The oil.
    pub oil: Option<Oil>,
    /// Bolts into the housing and through its gearbox face.
    pub fasteners: Option<Fasteners>,
}

/// The vehicle; values that the file leaves out are absent.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Vehicle {
    /// Final drive, tyre and speeds.
    pub axle: Option<Axle>,
    /// The speedometer in the dashboard.
    pub instrument: Option<Instrument>,
    /// The propeller shaft.
    pub propshaft: Option<Propshaft>,
    /// The rear axle's travel.
    pub suspension: Option<Suspension>,
    /// What the housing must bear.
    pub loads: Option<Loads>,
    /// Hard points.
    pub hard_points: Option<HardPoints>,
    /// The old housing.
    pub donor: Option<Donor>,
    /// Its plain stretches.
    pub donor_plain: Vec<Plain>,
}

impl Mating {
    pub(super) fn from_file(raw: &schema::RawMating) -> Self {
        Self {
            oil_temperature: raw.oil_temperature.get(),
            bushing: raw.bushing.as_ref().and_then(schema::BushingPartKeys::values),
            seal: raw.seal.as_ref().and_then(schema::SealPartKeys::values),
            yoke: raw.yoke.as_ref().and_then(schema::YokePartKeys::values),
            register: raw.register.as_ref().and_then(schema::RegisterMateKeys::values),
            rail: raw.rail.as_ref().and_then(schema::RailPartKeys::values),
            speedometer: raw.speedometer.as_ref().and_then(schema::GearsPartKeys::values),
            pulse_wheel: raw.pulse_wheel.as_ref().and_then(schema::PulseWheelKeys::values),
            tolerances: raw.tolerances.as_ref().and_then(schema::TolerancesKeys::values),
            oil: raw.oil.as_ref().and_then(schema::OilKeys::values),
            fasteners: raw.fasteners.values(),
        }
    }
}

impl Vehicle {
    pub(super) fn from_file(raw: &schema::RawVehicle) -> Self {
        Self {
            axle: raw.axle.as_ref().and_then(schema::AxleKeys::values),
            instrument: raw.instrument.as_ref().and_then(schema::InstrumentKeys::values),
            propshaft: raw.propshaft.as_ref().and_then(schema::PropshaftKeys::values),
            suspension: raw.suspension.as_ref().and_then(schema::SuspensionKeys::values),
            loads: raw.loads.as_ref().and_then(schema::LoadsKeys::values),
            hard_points: raw.hard_points.as_ref().and_then(schema::HardPointsKeys::values),
            donor: raw.donor.as_ref().and_then(schema::DonorKeys::values),
            donor_plain: raw.donor_plain.items.iter().filter_map(schema::PlainKeys::values).collect(),
        }
    }
}

impl BushingPart {
    /// Whether it is wrapped from strip: such bushings have a standard outside diameter. Their compound has no density in
    /// the table of materials.
    pub fn is_wrapped(&self) -> bool {
        self.material.density.is_none()
    }
}

impl GearsPart {
    /// The pair, where module and helices are known.
    pub fn pair(&self) -> Option<CrossedPair> {
        let helices = [self.drive_helix?, self.driven_helix?];
        let same_hand = self.drive_hand? == self.driven_hand?;
        // The ranges of the keys exclude impossible pairs.
        CrossedPair::new(self.module?, [self.drive_teeth, self.driven_teeth], helices, same_hand).ok()
    }

    /// Side offset and tilt of a sender boss placed by the pair, on this side of the shaft.
    pub fn place(&self, towards_e: bool) -> Option<(Mm, Deg)> {
        let (pair, hand): (_, Hand) = (self.pair()?, self.drive_hand?);
        let distance = pair.centre_distance();
        Some((if towards_e { distance } else { -distance }, pair.lean(hand, towards_e)))
    }
}

impl HardPoints {
    /// A station of the vehicle, from the gearbox face.
    pub fn from_face(&self, station: Mm) -> Mm {
        station - self.mounting_face - self.gearbox_length
    }

    /// From the lever, for a shift-box pad at a station, to the nearer end of its hole in the tunnel; below zero beyond it.
    pub fn lever_room(&self, pad: Mm) -> Option<Mm> {
        let off = pad - self.lever_ahead - self.from_face(self.lever_hole?);
        Some(self.lever_hole_length? / 2.0 - off.abs())
    }
}

impl RailPart {
    /// Its length for a shift-box pad at a station: shorter by as much as the box has moved ahead.
    pub fn new_length(&self, pad: Mm) -> Mm {
        self.old_length - (self.old_shift_station - pad)
    }
}

impl YokePart {
    /// Station of its shoulder at ride height.
    pub fn shoulder(&self) -> Mm {
        self.front + self.barrel_length
    }

    /// Station of its joint at ride height.
    pub fn joint(&self) -> Option<Mm> {
        Some(self.shoulder() + self.joint_behind?)
    }
}

impl Propshaft {
    /// From one joint's centre to the other's at ride height: along the shaft, to the right, up.
    pub fn run(&self, yoke: &YokePart) -> Option<[Mm; 3]> {
        Some([self.rear_joint_station - yoke.joint()?, self.rear_joint_side, self.rear_joint_height])
    }

    /// Shaft and suspension seen from the side; a sideways offset shortens the shaft by a constant.
    pub fn driveline(&self, yoke: &YokePart, suspension: &Suspension) -> Option<Driveline> {
        let [along, _, up] = self.run(yoke)?;
        let guide = suspension.arm.map_or(Guide::Vertical, |radius| Guide::Arm {
            radius,
            rise: suspension.arm_rise.unwrap_or_default(),
        });
        Some(Driveline { length: Mm::new(along.get().hypot(up.get())), height: up, guide })
    }
}
