//! Instruments: what they measure, how well, and which one a tolerance asks for.
//!
//! Uncertainties are expanded ones (k = 2) of careful work with a calibrated instrument in a workshop at 20 ± 2 °C: common
//! practice, no source. A shop that has its own figures writes them beside its readings.

use super::characteristic::{Characteristic, CharacteristicKind, MeasuringSheet, ToleranceKind};
use super::elements::ElementShape;
use solidwright::geometry::V3;

/// An instrument.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Gauge {
    /// Sliding calliper.
    Calliper,
    /// Outside micrometer, set by a gauge block.
    Micrometer,
    /// Inside micrometer with three points.
    InsideMicrometer,
    /// Bore gauge, set by a ring.
    BoreGauge,
    /// Depth micrometer.
    DepthMicrometer,
    /// Height gauge with a dial indicator, on a surface plate.
    HeightGauge,
    /// Dial indicator, the part turned about a datum axis.
    Indicator,
    /// Contour tracer, for angles of short walls inside too.
    ContourTracer,
    /// Coordinate measuring machine.
    CoordinateMachine,
    /// Thread plug gauge.
    ThreadGauge,
}

impl Gauge {
    /// Its name.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Calliper => "calliper",
            Self::Micrometer => "micrometer",
            Self::InsideMicrometer => "inside micrometer",
            Self::BoreGauge => "bore gauge, set by ring",
            Self::DepthMicrometer => "depth micrometer",
            Self::HeightGauge => "height gauge on plate",
            Self::Indicator => "dial indicator, part turned",
            Self::ContourTracer => "contour tracer",
            Self::CoordinateMachine => "coordinate machine",
            Self::ThreadGauge => "thread plug gauge",
        }
    }

    /// Expanded uncertainty (k = 2) of a reading at a length, mm, of the contour tracer in degrees; see the head of this file.
    pub fn uncertainty(self, length: f64) -> f64 {
        let per_length = length.abs() * 1e-5;
        match self {
            Self::Calliper => 0.04 + per_length,
            Self::Micrometer => 0.003 + per_length,
            Self::InsideMicrometer => 0.005 + per_length,
            Self::BoreGauge => 0.002 + per_length,
            Self::DepthMicrometer => 0.01 + per_length,
            Self::HeightGauge => 0.015 + per_length,
            Self::Indicator => 0.002,
            Self::ContourTracer => 0.08,
            Self::CoordinateMachine => 0.0025 + 0.4 * per_length,
            Self::ThreadGauge => 0.0,
        }
    }
}

/// How a tolerance compares with an instrument's uncertainty.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RuleOfTen {
    /// Ten to one or better.
    Ten,
    /// Four to one or better.
    Four,
    /// Worse: the guard band takes a large part of the tolerance.
    Less,
}

/// The instrument that is suggested for a characteristic.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Suggestion {
    /// The instrument.
    pub gauge: Gauge,
    /// Its expanded uncertainty there, mm, of an angle degrees.
    pub uncertainty: f64,
    /// How that compares with the tolerance: its width over twice the uncertainty; none for a thread's gauge.
    pub ratio: Option<f64>,
}

impl Suggestion {
    /// Which rule it keeps.
    pub fn rule(&self) -> Option<RuleOfTen> {
        let ratio = self.ratio?;
        Some(if ratio >= 10.0 {
            RuleOfTen::Ten
        } else if ratio >= 4.0 {
            RuleOfTen::Four
        } else {
            RuleOfTen::Less
        })
    }
}

/// Lengths beyond which depth micrometers and height gauges are not at hand, mm (common practice).
const DEPTH: f64 = 150.0;
const HEIGHT: f64 = 600.0;

/// Whether a direction is one of the part's axes, so that a plate and a height gauge find it.
fn is_square(d: V3) -> bool {
    [V3::x(), V3::y(), V3::z()].iter().any(|axis| d.cross(axis).norm() < 1e-9)
}

/// The instruments that can measure a characteristic, simplest first.
fn fit(kind: &CharacteristicKind, shape: Option<ElementShape>, nominal: f64) -> &'static [Gauge] {
    use Gauge::{
        BoreGauge, Calliper, ContourTracer, CoordinateMachine, DepthMicrometer, HeightGauge, Indicator,
        InsideMicrometer, Micrometer, ThreadGauge,
    };
    match kind {
        CharacteristicKind::Thread => &[ThreadGauge],
        CharacteristicKind::HalfAngle => &[ContourTracer],
        CharacteristicKind::CastSize => &[Calliper],
        CharacteristicKind::Diameter => match shape {
            Some(ElementShape::Cylinder { hole: false, .. }) => &[Calliper, Micrometer],
            _ => &[Calliper, InsideMicrometer, BoreGauge],
        },
        CharacteristicKind::Distance => match shape {
            Some(ElementShape::Plane { outward, .. }) if !is_square(outward) => &[CoordinateMachine],
            _ if nominal.abs() <= DEPTH => &[DepthMicrometer, HeightGauge, CoordinateMachine],
            _ if nominal.abs() <= HEIGHT => &[HeightGauge, CoordinateMachine],
            _ => &[CoordinateMachine],
        },
        CharacteristicKind::Coordinate { along } if is_square(*along) && nominal.abs() <= HEIGHT => {
            &[HeightGauge, CoordinateMachine]
        }
        CharacteristicKind::Coordinate { .. } => &[CoordinateMachine],
        CharacteristicKind::Geometric(t) => match t.kind {
            ToleranceKind::Coaxiality
            | ToleranceKind::Perpendicularity
            | ToleranceKind::Flatness
            | ToleranceKind::Runout => &[Indicator],
            ToleranceKind::Parallelism if matches!(shape, Some(ElementShape::Plane { .. })) => &[Indicator],
            ToleranceKind::Position | ToleranceKind::Parallelism => &[CoordinateMachine],
        },
    }
}

/// The simplest instrument that keeps ten to one; else the simplest that keeps four to one; else the best there is.
pub fn suggestion(sheet: &MeasuringSheet, c: &Characteristic) -> Suggestion {
    let shape = c.element.map(|e| sheet.elements[e].shape);
    let nominal = c.nominal.unwrap_or(0.0);
    // A place is as uncertain as its distance from the datums makes it.
    let length = match (&c.kind, shape) {
        (
            CharacteristicKind::Geometric(_),
            Some(ElementShape::Cylinder { point, .. } | ElementShape::Plane { point, .. }),
        ) => point.coords.norm(),
        _ => nominal,
    };
    let of = |gauge: Gauge| {
        let uncertainty = gauge.uncertainty(length);
        let ratio = c.limits.width().filter(|_| uncertainty > 0.0).map(|w| w / (2.0 * uncertainty));
        Suggestion { gauge, uncertainty, ratio }
    };
    let all: Vec<Suggestion> = fit(&c.kind, shape, nominal).iter().map(|g| of(*g)).collect();
    let keeps = |least: f64| all.iter().find(|s| s.ratio.is_none_or(|r| r >= least)).copied();
    let best = || all.iter().copied().min_by(|a, b| a.uncertainty.total_cmp(&b.uncertainty));
    keeps(10.0).or_else(|| keeps(4.0)).or_else(best).unwrap_or_else(|| of(Gauge::CoordinateMachine))
}
