//! Samples of the box that the axes span, each from the seed and its number alone.

use super::sobol;
use crate::standards::counter_random::{philox, uniform_pair};

/// How samples are drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Method {
    /// Latin hypercube: each axis in as many even slices as there are samples, one sample in each.
    Latin,
    /// Sobol's points, every bit turned alike by the seed; seed 0 turns none.
    Sobol,
}

/// Samples of a number of axes.
#[derive(Clone, Debug)]
pub struct Samples {
    /// How they are drawn.
    pub method: Method,
    /// How many.
    pub count: u32,
    /// What chance starts from.
    pub seed: u64,
    /// For each axis the slice of each sample.
    slices: Vec<Vec<u32>>,
}

/// Draws that place a sample in its slice; those that deal out the slices count on from here.
const WITHIN: u32 = 1 << 16;

impl Samples {
    /// Samples of a number of axes.
    pub fn new(method: Method, count: u32, seed: u64, axes: usize) -> Self {
        let deal = |axis: usize| {
            let mut slices: Vec<u32> = (0..count).collect();
            for i in (1..slices.len()).rev() {
                let [share, _] = uniform_pair(seed, i as u64, axis as u32);
                slices.swap(i, ((share * (i + 1) as f64) as usize).min(i));
            }
            slices
        };
        let slices = if method == Method::Latin { (0..axes).map(deal).collect() } else { Vec::new() };
        Self { method, count, seed, slices }
    }

    /// The share of an axis, 0 to 1, that a sample takes.
    pub fn share(&self, sample: u64, axis: usize) -> f64 {
        match self.method {
            Method::Latin => {
                let [within, _] = uniform_pair(self.seed, sample, WITHIN + axis as u32);
                (f64::from(self.slices[axis][sample as usize]) + within) / f64::from(self.count)
            }
            Method::Sobol => {
                let [shift, ..] =
                    philox([axis as u32, 0, 0, 1], [self.seed as u32, (self.seed >> 32) as u32]);
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
