//! Random trials of a chain of tolerances: the same seed gives the same figures to the last bit, on any number of threads.

use rand::rngs::ChaCha8Rng;
use rand::{RngExt, SeedableRng};
use rand_distr::StandardNormal;
use rayon::prelude::*;

use super::stack::{Dimension, Spread, Stack, StackError};
use crate::units::Mm;

/// What to run.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Trials {
    /// Any number; another one gives other trials.
    pub seed: u64,
    /// How many: 1 to 100 million. A reject rate of 0.27 % asks for at least 100 000 (derived).
    pub count: u64,
    /// Least and greatest gap that is still good.
    pub good: [Mm; 2],
}

/// What came out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GapDistribution {
    /// Mean gap.
    pub mean: Mm,
    /// Standard deviation of the gap.
    pub deviation: Mm,
    /// Least and greatest gap seen.
    pub seen: [Mm; 2],
    /// Share of gaps below the least good one, and above the greatest.
    pub rejected: [f64; 2],
    /// Standard error of the share of both together.
    pub standard_error: f64,
}

/// Standard error of a share found in so many trials (derived).
pub fn standard_error(share: f64, count: u64) -> f64 {
    (share * (1.0 - share) / count as f64).sqrt()
}

/// Trials that are made and summed up one after another, chosen. The split into blocks never depends on the threads.
pub(super) const BLOCK: u64 = 4096;
/// Greatest number of trials, chosen.
const MOST: u64 = 100_000_000;

/// Totals of one block; the gaps are counted from the chain's middle.
#[derive(Clone, Copy)]
struct Totals {
    count: f64,
    sum: f64,
    squares: f64,
    seen: [f64; 2],
    rejected: [u64; 2],
}

impl Totals {
    const NONE: Self = Self {
        count: 0.0,
        sum: 0.0,
        squares: 0.0,
        seen: [f64::INFINITY, f64::NEG_INFINITY],
        rejected: [0; 2],
    };

    fn add(&mut self, other: &Self) {
        self.count += other.count;
        self.sum += other.sum;
        self.squares += other.squares;
        self.seen = [self.seen[0].min(other.seen[0]), self.seen[1].max(other.seen[1])];
        self.rejected = [self.rejected[0] + other.rejected[0], self.rejected[1] + other.rejected[1]];
    }
}

/// The random numbers of a block: each block has a stream of its own under the seed, whoever makes it, and when.
pub(super) fn random_numbers(seed: u64, block: u64) -> ChaCha8Rng {
    let mut random = ChaCha8Rng::seed_from_u64(seed);
    random.set_stream(block);
    random
}

/// A dimension's deviation from its middle in one trial, in tolerances.
fn draw(spread: Spread, random: &mut ChaCha8Rng) -> f64 {
    match spread {
        Spread::Normal { capability } => random.sample::<f64, _>(StandardNormal) / (3.0 * capability),
        Spread::Uniform => 2.0 * random.random::<f64>() - 1.0,
        Spread::Triangular => random.random::<f64>() + random.random::<f64>() - 1.0,
    }
}

fn gap(parts: &[Dimension], random: &mut ChaCha8Rng) -> f64 {
    parts.iter().map(|d| d.factor * d.tolerance.get() * draw(d.spread, random)).sum()
}

/// Runs the trials of a chain.
///
/// # Errors
/// No trials, or more than 100 million.
pub fn run(stack: &Stack, trials: &Trials) -> Result<GapDistribution, StackError> {
    let count = trials.count;
    if !(1..=MOST).contains(&count) {
        return Err(StackError::Trials(count));
    }
    let middle = stack.middle();
    let good = trials.good.map(|limit| (limit - middle).get());
    let block = |number: u64| {
        let mut sums = Totals::NONE;
        let mut random = random_numbers(trials.seed, number);
        for _ in number * BLOCK..((number + 1) * BLOCK).min(count) {
            let g = gap(stack.dimensions(), &mut random);
            let rejected = [u64::from(g < good[0]), u64::from(g > good[1])];
            sums.add(&Totals { count: 1.0, sum: g, squares: g * g, seen: [g, g], rejected });
        }
        sums
    };
    let blocks: Vec<Totals> = (0..count.div_ceil(BLOCK)).into_par_iter().map(block).collect();
    // Added in their order, whoever made them: the sum is the same to the last bit.
    let mut all = Totals::NONE;
    for sums in &blocks {
        all.add(sums);
    }
    Ok(outcome(&all, middle, count))
}

fn outcome(all: &Totals, middle: Mm, count: u64) -> GapDistribution {
    let mean = all.sum / all.count;
    let variance = (all.squares - all.count * mean * mean) / (all.count - 1.0).max(1.0);
    let rejected = all.rejected.map(|n| n as f64 / all.count);
    GapDistribution {
        mean: middle + Mm::new(mean),
        deviation: Mm::new(variance.max(0.0).sqrt()),
        seen: all.seen.map(|g| middle + Mm::new(g)),
        rejected,
        standard_error: standard_error(rejected[0] + rejected[1], count),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn chain(spread: Spread) -> Stack {
        let part = |t: f64| Dimension::coaxiality("part", Mm::new(2.0 * t)).spread(spread);
        Stack::new([0.1, 0.2, 0.05, 0.1].map(part).to_vec()).expect("sound")
    }

    fn trials(count: u64) -> Trials {
        Trials { seed: 20, count, good: [-0.25, 0.25].map(Mm::new) }
    }

    /// Derived.
    #[test]
    fn t5_4_standard_error() {
        assert!(
            (standard_error(0.0027, 100_000) - 1.641e-4).abs() < 5e-8,
            "{}",
            standard_error(0.0027, 100_000)
        );
    }

    /// The chain of T5.3 with three standard deviations on its limits: 0.27 % fall outside 0.25.
    ///
    /// The normal distribution, textbook.
    #[test]
    fn t5_3_trials_find_the_normal_reject_rate() {
        let found = run(&chain(Spread::Normal { capability: 1.0 }), &trials(400_000)).expect("runs");
        let rate = found.rejected[0] + found.rejected[1];
        assert!((rate - 0.002_699_8).abs() < 4.0 * standard_error(0.0027, 400_000), "{found:?}");
        assert!((found.deviation.get() - 0.25 / 3.0).abs() < 4e-4, "{found:?}");
        assert!(found.mean.abs() < Mm::new(6e-4), "{found:?}");
    }

    /// Textbook deviations of the normal, uniform and triangular distribution.
    #[test]
    fn trials_agree_with_the_sums_of_each_spread() {
        for spread in [Spread::Normal { capability: 1.33 }, Spread::Uniform, Spread::Triangular] {
            let stack = chain(spread);
            let found = run(&stack, &trials(200_000)).expect("runs");
            let want = stack.standard_deviation().get();
            // The standard error of a standard deviation is at most about σ / √(2 N).
            assert!(
                (found.deviation.get() / want - 1.0).abs() < 4.0 / 400_000.0_f64.sqrt(),
                "{spread:?}: {found:?}"
            );
            if !matches!(spread, Spread::Normal { .. }) {
                let [least, greatest] = stack.limits();
                assert!(least <= found.seen[0] && found.seen[1] <= greatest, "{found:?}");
            }
        }
    }

    /// No outside value: the same figures each time.
    #[test]
    fn figures_are_the_same_on_any_number_of_threads() {
        let stack = chain(Spread::Triangular);
        let on = |threads| {
            let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("a pool");
            pool.install(|| run(&stack, &trials(50_001)).expect("runs"))
        };
        let one = on(1);
        for threads in [2, 3, 8] {
            assert_eq!(on(threads), one, "{threads} threads");
        }
        let other = run(&stack, &Trials { seed: 21, ..trials(50_001) }).expect("runs");
        assert_ne!(other.mean, one.mean, "another seed");
    }

    /// No outside value: what is read, shown or refused.
    #[test]
    fn the_number_of_trials_has_limits() {
        let stack = chain(Spread::Uniform);
        for count in [0, MOST + 1] {
            assert_eq!(run(&stack, &trials(count)), Err(StackError::Trials(count)), "{count}");
        }
        let single = run(&stack, &trials(1)).expect("runs");
        assert_eq!(single.deviation, Mm::new(0.0), "one trial has no spread");
    }
}
