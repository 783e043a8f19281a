//! What the part must bear: mount, gearbox face and bushing, under the loads of `vehicle.loads`.
//!
//! The part is taken as stiff against its bolts. Each case stands alone; the weight at rest presses the pad on its mount and
//! relieves the bolts, so it is left out.

mod bushing;
mod face;
mod mount;
mod supports;

pub(super) use bushing::bushing;
pub(super) use face::{face, tightened};
pub(super) use mount::mount;
pub(in crate::checks) use supports::{SectionLoad, Support, at_mounts, section_load, supports};

use super::limits::own;
use super::{Facts, least};
use crate::checks::{Checks, Unit};
use crate::design::{Fasteners, Loads};
use crate::faces::Feature;
use crate::standards::bolt_strength::{BoltClass, Rubbing, TIGHTENED, clamp_of, greatest_clamp};
use crate::standards::bolts::Bolt;
use crate::standards::threads::Thread;
use crate::units::STANDARD_GRAVITY;
use solidwright::geometry::P3;

/// Share of a pull on the joint that the bolt feels, while the rest relieves the clamped parts; for short bolts in stiff parts
/// 0.2 to 0.3 (VDI 2230, from memory).
const FELT: f64 = 0.3;

/// Why there is no factor against a load that is zero.
pub(in crate::checks) const UNLOADED: &str = "all loads of `vehicle.loads` on it are zero";

/// Where the limits of bolted joints come from.
const JOINT: &str = "VDI 2230 part 1, from memory";

/// A load case: its name, forces on the mount as the vehicle sees them, N, and the couple about the shaft, N mm.
#[derive(Clone, Copy, Debug)]
pub(in crate::checks) struct Case {
    pub(in crate::checks) name: &'static str,
    pub(in crate::checks) along: f64,
    pub(in crate::checks) across: f64,
    pub(in crate::checks) up: f64,
    pub(in crate::checks) couple: f64,
    /// Station of the bushing, mm, and the joint's force on it, N, in any direction across the shaft.
    pub(in crate::checks) bushing: [f64; 2],
    /// Whether `up` or `across` is the joint's force as the mounts bear it.
    pub(in crate::checks) is_joint: bool,
}

impl Case {
    /// No load.
    pub(in crate::checks) const NONE: Self =
        Self { name: "", along: 0.0, across: 0.0, up: 0.0, couple: 0.0, bushing: [0.0; 2], is_joint: false };
}

/// Weight that rests on the mounts, N.
pub(in crate::checks) fn weight(loads: &Loads) -> f64 {
    loads.carried_mass * STANDARD_GRAVITY
}

/// All cases of the mount.
pub(super) fn cases(f: &Facts<'_>) -> Result<Vec<Case>, String> {
    let loads = f.loads()?;
    let weight = weight(loads);
    let mut out = vec![
        Case { name: "thrown up and down", up: loads.vertical * weight, ..Case::NONE },
        Case { name: "braking", along: loads.longitudinal * weight, ..Case::NONE },
        Case { name: "cornering", across: loads.lateral * weight, ..Case::NONE },
    ];
    if let Some((yoke, torque)) = f.mating.yoke.as_ref().and_then(|yoke| Some((yoke, yoke.torque?))) {
        let couple = 1000.0 * torque * yoke.shock_factor * loads.torque_share;
        // Where the joint is not known, its couple is left out; the load on the bushing tells the missing key.
        let bushing = bushing::worst_force(f).unwrap_or_default();
        out.push(Case { name: "clutch let in", couple, bushing, ..Case::NONE });
    }
    Ok(out)
}

/// Least and greatest clamp load of a bolt, N: from its torque, or from nine tenths of its yield strength.
fn clamp(thread: &Thread, bolt: &Bolt, class: BoltClass, torque: Option<f64>, with: &Fasteners) -> [f64; 2] {
    let rubbing = Rubbing { friction: with.friction, head: (bolt.flats + bolt.clearance[1]) / 2.0 };
    let yields = class.strength().yields;
    let greatest = torque.map_or_else(
        || greatest_clamp(thread, yields, with.friction, TIGHTENED),
        |torque| clamp_of(thread, torque, rubbing),
    );
    [greatest / with.scatter, greatest]
}

/// A bolted joint whose factors are told.
struct JointFactors<'a> {
    out: &'a mut Checks,
    /// What stands before the case's name, if anything.
    of: Option<Feature>,
    at: P3,
}

impl JointFactors<'_> {
    /// Tells the least factor with its case: it fails below one, and warns below `soft`. Where no case loads the joint there is
    /// none.
    fn push(
        &mut self,
        check: &'static str,
        found: Option<(f64, &'static str)>,
        soft: f64,
        hint: &'static str,
    ) {
        let Some((factor, case)) = found else {
            return self.out.not(check, UNLOADED);
        };
        let what = self.of.map_or_else(|| case.to_owned(), |feature| format!("{feature}, {case}"));
        let made = least(check, &what, factor, Unit::One, hint).at([self.at], []);
        self.out
            .measurements
            .push(made.of_loads().fails_by(&own(1.0, JOINT)).warns_too_by(&own(soft, JOINT)));
    }
}

/// The case with the least factor.
fn worst(cases: &[Case], factor: impl Fn(&Case) -> f64) -> Option<(f64, &'static str)> {
    let all = cases.iter().map(|case| (factor(case), case.name));
    all.filter(|(factor, _)| factor.is_finite()).min_by(|a, b| a.0.total_cmp(&b.0))
}
