//! Places spread evenly over the surface.

use rand::{RngExt, SeedableRng};
use rand_xoshiro::SplitMix64;
use rayon::prelude::*;

use crate::geometry::{P3, V3};

use super::Probe;

/// A place of the surface.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sample {
    /// The place, on the exact surface, mm.
    pub point: P3,
    /// Its face.
    pub face: usize,
    /// The exact normal out of the metal, of length 1.
    pub outward: V3,
}

/// Tries to hit a face inside its loops before a place is left out; all fail only on slivers.
const TRIES: u64 = 16;

impl Probe<'_> {
    /// `n` places at random, as many per area everywhere. Same number and seed, same places.
    pub fn samples(&self, n: usize, seed: u64) -> Vec<Sample> {
        let mut sum = 0.0;
        let mut upto = Vec::with_capacity(self.mesh.triangles.len());
        for t in 0..self.mesh.triangles.len() {
            let [a, b, c] = self.corners(t as u32);
            sum += (b - a).cross(&(c - a)).norm();
            upto.push(sum);
        }
        let place = |i: usize| {
            (0..TRIES).find_map(|attempt| {
                let mut random = numbers_from(seed, ((i as u64) * TRIES + attempt) * 3);
                let share = random.random::<f64>();
                let t = upto.partition_point(|s| *s < share * sum).min(upto.len() - 1);
                let [a, b, c] = self.corners(t as u32);
                let (root, v) = (random.random::<f64>().sqrt(), random.random::<f64>());
                let flat = a + (b - a) * (root * (1.0 - v)) + (c - a) * (root * v);
                let face = self.face_of(t as u32);
                let point = self.brep.faces[face].surface.closest(flat);
                let outward = self.brep.faces[face].outward(point);
                self.trims[face].holds(self.brep, point).then_some(Sample { point, face, outward })
            })
        };
        if upto.is_empty() { Vec::new() } else { (0..n).into_par_iter().filter_map(place).collect() }
    }
}

/// What the state of [`SplitMix64`] grows by with each number.
const STEP: u64 = 0x9E37_79B9_7F4A_7C15;

/// A seed's random numbers from the `k`th on. The generator's state only counts, so every place can have numbers of its own
/// without those before it being drawn.
fn numbers_from(seed: u64, k: u64) -> SplitMix64 {
    let before = k.wrapping_sub(1).wrapping_mul(STEP);
    SplitMix64::seed_from_u64(seed.wrapping_mul(0xD134_2543_DE82_EF95).wrapping_add(before))
}
