//! Numbers for trials, the same for the same seed.

use rand::{RngExt, SeedableRng};
use rand_xoshiro::SplitMix64;

/// Numbers that depend on the seed alone.
pub struct Random(SplitMix64);

impl Random {
    pub fn new(seed: u64) -> Self {
        Self(SplitMix64::seed_from_u64(seed))
    }

    /// From 0 to 1.
    pub fn unit(&mut self) -> f64 {
        self.0.random()
    }

    /// From 0 to `n` - 1.
    pub fn below(&mut self, n: usize) -> usize {
        (self.unit() * n as f64) as usize
    }
}
