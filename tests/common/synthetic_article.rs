//! Articles whose errors are known: nominal points of every element, moved by what went wrong, in a frame that is turned and moved,
//! with the noise of a machine.

use std::collections::BTreeMap;

use rand::rngs::ChaCha8Rng;
use rand::{RngExt, SeedableRng};
use rand_distr::{Distribution, StandardNormal};
use solidwright::geometry::{Frame, P3, V3};
use tailpattern::inspection::{ArticleReadings, ElementShape, MeasuringSheet, ProbePlan, ProbedPlace};

/// What is wrong with an element.
#[derive(Clone, Copy, Debug, Default)]
pub struct Error {
    /// How it is shifted, mm.
    pub shift: V3,
    /// By how much its radius is larger, mm.
    pub radius: f64,
}

/// What is wrong with an article, by element.
pub type Errors = BTreeMap<usize, Error>;

/// A machine: where the part lies on it, and how its readings scatter.
#[derive(Clone, Copy, Debug)]
pub struct Machine {
    /// The part's axes, seen by the machine.
    pub lies: Frame,
    /// Standard deviation of each coordinate, mm.
    pub noise: f64,
    /// Seed of the noise.
    pub seed: u64,
}

/// A place on a machine, drawn at random.
pub fn anywhere(seed: u64) -> Frame {
    let mut random = ChaCha8Rng::seed_from_u64(seed);
    let mut draw = |reach: f64| reach * (2.0 * random.random::<f64>() - 1.0);
    let origin = P3::new(draw(400.0), draw(400.0), draw(400.0));
    let z = V3::new(draw(1.0), draw(1.0), 1.5);
    Frame::from_zx(origin, z, V3::new(1.0, draw(3.0), draw(1.0)))
}

/// The readings of an article.
pub fn readings(
    sheet: &MeasuringSheet,
    plan: &ProbePlan,
    errors: &Errors,
    machine: Machine,
) -> ArticleReadings {
    let mut random = ChaCha8Rng::seed_from_u64(machine.seed);
    let mut out = ArticleReadings::default();
    for (k, p) in plan.points.iter().enumerate() {
        let error = errors.get(&p.element).copied().unwrap_or_default();
        let outward = match sheet.elements[p.element].shape {
            ElementShape::Plane { .. } | ElementShape::Drafted { .. } | ElementShape::Cone { .. } => {
                V3::zeros()
            }
            ElementShape::Cylinder { hole: true, .. } => -p.normal,
            ElementShape::Cylinder { .. } => p.normal,
        };
        let at = p.point + error.shift + outward * error.radius;
        let mut draw = || {
            let value: f64 = StandardNormal.sample(&mut random);
            machine.noise * value
        };
        let at = machine.lies.point(at.x, at.y, at.z) + V3::new(draw(), draw(), draw());
        let place = ProbedPlace { at, line: k as u64 + 2, confirmed: false };
        out.places.entry(p.element).or_default().push(place);
    }
    out
}
