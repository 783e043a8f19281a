//! Seeded trials of a pattern of holes: how often one of all bolts does not go in.
//!
//! Each hole is off its true place by a bell-shaped error in two directions, three standard deviations to the edge of its zone;
//! the part lies anywhere within its register's play. Where one hole stands alone and nothing plays, the share is Rayleigh's
//! `exp(-r² / 2 s²)`.

use rand::RngExt;
use rand::rngs::ChaCha8Rng;
use rand_distr::{StandardNormal, UnitDisc};
use rayon::prelude::*;

use super::stack_trials::{BLOCK, random_numbers};
use crate::units::Mm;

/// A pattern of holes and what may be off.
#[derive(Clone, Debug, PartialEq)]
pub struct Pattern {
    /// How far each pair of holes may be off each other across before its bolt binds, as a diameter.
    pub rooms: Vec<Mm>,
    /// Zones of position of the holes of both parts, diameters.
    pub zones: [Mm; 2],
    /// Play of the register, a diameter.
    pub play: Mm,
}

/// One trial: where the part lies is drawn first, then how far each hole is off, until one binds. Positions scatter normally,
/// with six standard deviations across their zone (common practice).
fn binds(pattern: &Pattern, random: &mut ChaCha8Rng) -> bool {
    let reach = 0.5 * pattern.play.get().max(0.0);
    let lies: [f64; 2] = random.sample(UnitDisc);
    let [a, b] = pattern.zones.map(|zone| zone.get() / 6.0);
    let deviation = a.hypot(b);
    pattern.rooms.iter().any(|room| {
        let [y, z] = lies.map(|l| l * reach + deviation * random.sample::<f64, _>(StandardNormal));
        y.hypot(z) > 0.5 * room.get()
    })
}

/// The share of trials in which a bolt does not go in.
pub fn share_that_binds(pattern: &Pattern, seed: u64, trials: u64) -> f64 {
    let block = |number: u64| {
        let mut random = random_numbers(seed, number);
        let range = number * BLOCK..((number + 1) * BLOCK).min(trials);
        range.filter(|_| binds(pattern, &mut random)).count()
    };
    let bad: usize = (0..trials.div_ceil(BLOCK)).into_par_iter().map(block).sum();
    bad as f64 / trials.max(1) as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Rayleigh's distribution: n holes all go in with `(1 - exp(-r² / 2 s²))^n`.
    ///
    /// Textbook.
    #[test]
    fn shares_are_rayleighs() {
        let trials = 200_000;
        for (holes, zones, room) in [(1, [0.3, 0.4], 0.4), (6, [0.2, 0.2], 0.3), (8, [0.1, 0.35], 0.35)] {
            let pattern =
                Pattern { rooms: vec![Mm::new(room); holes], zones: zones.map(Mm::new), play: Mm::default() };
            let square = (zones[0] / 6.0_f64).powi(2) + (zones[1] / 6.0_f64).powi(2);
            let one = (-0.25 * room * room / (2.0 * square)).exp();
            let wanted = 1.0 - (1.0 - one).powi(holes as i32);
            let found = share_that_binds(&pattern, 7, trials);
            let error = (wanted * (1.0 - wanted) / trials as f64).sqrt();
            assert!((found - wanted).abs() < 4.0 * error, "{found}, by Rayleigh {wanted}");
        }
    }

    /// With true holes only the play counts: within a disc of half the play, the share beyond the room is one of areas.
    ///
    /// Geometry, derived.
    #[test]
    fn play_alone_is_a_disc() {
        let pattern = Pattern { rooms: vec![Mm::new(0.3)], zones: [Mm::new(1e-9); 2], play: Mm::new(0.5) };
        let wanted = 1.0 - (0.3_f64 / 0.5).powi(2);
        assert!((share_that_binds(&pattern, 3, 100_000) - wanted).abs() < 0.007);
        let within = Pattern { play: Mm::new(0.29), ..pattern };
        assert!(share_that_binds(&within, 3, 10_000) < 1e-9);
    }
}
