//! Samples of the box that the axes span, each from the seed and its number alone.

use rand::rngs::ChaCha8Rng;
use rand::seq::SliceRandom;
use rand::{RngExt, SeedableRng};

use super::sobol;

/// How samples are drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Method {
    /// Latin hypercube: each axis in as many even slices as there are samples, one sample in each.
    Latin,
    /// Sobol sequence, scrambled by a digital shift from the seed; seed 0 shifts nothing.
    Sobol,
}

/// Samples of a number of axes.
#[derive(Clone, Debug)]
pub struct Samples {
    /// How they are drawn.
    pub method: Method,
    /// How many.
    pub count: u32,
    /// Seed of the random numbers.
    pub seed: u64,
    /// For each axis the slice of each sample.
    slices: Vec<Vec<u32>>,
}

/// The purposes for which an axis draws random numbers; each has its own stream under the seed.
#[derive(Clone, Copy)]
enum Purpose {
    /// To deal out the slices among the samples.
    Deal,
    /// To place a sample within its slice.
    Within,
    /// To shift the bits of the Sobol sequence.
    Turn,
}

/// The random numbers of an axis from the `n`th on, by `ChaCha`, which computes any of them without those before.
fn numbers_from(seed: u64, purpose: Purpose, axis: usize, n: u64) -> ChaCha8Rng {
    let mut random = ChaCha8Rng::seed_from_u64(seed);
    random.set_stream(((purpose as u64) << 32) | axis as u64);
    // A number of 64 bits is two of the generator's words.
    random.set_word_pos(2 * u128::from(n));
    random
}

impl Samples {
    /// Samples of a number of axes.
    pub fn new(method: Method, count: u32, seed: u64, axes: usize) -> Self {
        let deal = |axis: usize| {
            let mut slices: Vec<u32> = (0..count).collect();
            slices.shuffle(&mut numbers_from(seed, Purpose::Deal, axis, 0));
            slices
        };
        let slices = if method == Method::Latin { (0..axes).map(deal).collect() } else { Vec::new() };
        Self { method, count, seed, slices }
    }

    /// The share of an axis, 0 to 1, that a sample takes.
    pub fn share(&self, sample: u64, axis: usize) -> f64 {
        match self.method {
            Method::Latin => {
                let within: f64 = numbers_from(self.seed, Purpose::Within, axis, sample).random();
                (f64::from(self.slices[axis][sample as usize]) + within) / f64::from(self.count)
            }
            Method::Sobol => {
                let shift = numbers_from(self.seed, Purpose::Turn, axis, 0).random();
                sobol::coordinate(axis, sample as u32, if self.seed == 0 { 0 } else { shift })
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_latin_hypercube_has_one_sample_in_each_slice() {
        let samples = Samples::new(Method::Latin, 50, 9, 3);
        for axis in 0..3 {
            let mut seen = [0_u8; 50];
            (0..50).for_each(|s| seen[(samples.share(s, axis) * 50.0) as usize] += 1);
            assert!(seen.iter().all(|n| *n == 1), "axis {axis}: {seen:?}");
        }
        let other = Samples::new(Method::Latin, 50, 10, 3);
        assert!(
            (0..50).any(|s| samples.share(s, 0).to_bits() != other.share(s, 0).to_bits()),
            "the seed counts"
        );
    }
}
