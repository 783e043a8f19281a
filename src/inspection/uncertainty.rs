//! How uncertain evaluated values are: the points are moved at random by the machine's uncertainty, and all is evaluated again
//! (propagation of distributions by trials, JCGM 101:2008). This takes in the datums, the spread of the points over each
//! element and the fits.

use std::collections::BTreeMap;

use super::characteristic::MeasuringSheet;
use super::evaluation::{AxisRule, Evaluation, FitFault, PointsOf, evaluate};
use rand::SeedableRng;
use rand::rngs::ChaCha8Rng;
use rand_distr::{Distribution, StandardNormal};
use solidwright::geometry::V3;

/// Trials: the standard deviation is known to 5 % (1 / √(2 n)).
const TRIALS: u64 = 200;

/// Seed of the trials.
const SEED: u64 = 20;

/// Coverage factor of all expanded uncertainties.
pub const COVERAGE: f64 = 2.0;

/// How uncertain a value is, mm.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct ValueDoubt {
    /// What noise alone moves each end of the value by, on average: a pin gets smaller and a zone wider with it.
    pub bias: [f64; 2],
    /// Expanded uncertainty (k = 2), the larger of both ends.
    pub expanded: f64,
}

/// The doubts of values, by the number of their characteristic.
pub type Doubts = BTreeMap<usize, ValueDoubt>;

/// The doubts of an evaluation whose points have this expanded uncertainty, mm, in every direction.
///
/// # Errors
/// [`FitFault`].
pub fn doubts(
    sheet: &MeasuringSheet,
    rule: AxisRule,
    points: &PointsOf,
    found: &Evaluation,
    of_point: f64,
) -> Result<Doubts, FitFault> {
    let each = of_point / COVERAGE;
    // Sums of differences from what was found, and of their squares, for both ends.
    let mut sums: BTreeMap<usize, [[f64; 2]; 2]> = BTreeMap::new();
    for trial in 0..TRIALS {
        let mut random = ChaCha8Rng::seed_from_u64(SEED);
        random.set_stream(trial);
        let mut draw = || {
            let value: f64 = StandardNormal.sample(&mut random);
            each * value
        };
        let moved: PointsOf = points
            .iter()
            .map(|(e, all)| (*e, all.iter().map(|p| p + V3::new(draw(), draw(), draw())).collect()))
            .collect();
        let again = evaluate(sheet, rule, &moved)?;
        for (number, value) in &again.found {
            let Some(first) = found.found.get(number) else { continue };
            let sum = sums.entry(*number).or_default();
            for (end, sum) in sum.iter_mut().enumerate() {
                let off = (value.outer[end] - value.bonus) - (first.outer[end] - first.bonus);
                sum[0] += off;
                sum[1] += off * off;
            }
        }
    }
    let n = TRIALS as f64;
    let deviation = |[sum, squares]: [f64; 2]| ((squares - sum * sum / n) / (n - 1.0)).max(0.0).sqrt();
    let doubt = |ends: [[f64; 2]; 2]| ValueDoubt {
        bias: ends.map(|[sum, _]| sum / n),
        expanded: COVERAGE * deviation(ends[0]).max(deviation(ends[1])),
    };
    Ok(sums.into_iter().map(|(number, ends)| (number, doubt(ends))).collect())
}
