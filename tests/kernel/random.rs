//! Random solid trees: each sound, or refused for a reason that names the design, never wrong.
//!
//! A seeded share; `cargo run --release --example kernel_random -- 2000` does the full run and prints the tally.

use crate::common::random_tree::{counted_volume, random_tree};
use solidwright::solid::evaluate::{EvaluateError, evaluate};
use solidwright::solid::validate::validate;

/// Trees tried here, odd ones on a coarse grid.
const COUNT: u64 = 300;

#[test]
fn random_trees_are_sound_or_refused_by_name() {
    let (mut sound, mut own_fault) = (0, Vec::new());
    for seed in 1..=COUNT {
        let tree = random_tree(seed);
        match evaluate(&tree) {
            Ok(brep) => {
                let report = validate(&brep).unwrap_or_else(|f| panic!("seed {seed}: {}", f[0]));
                let (volume, error) = counted_volume(&tree, seed, 8_000);
                let off = (volume - report.mass.volume).abs();
                assert!(
                    off < 4.5 * error,
                    "seed {seed}: {} but counted {volume} ± {error}",
                    report.mass.volume
                );
                sound += 1;
            }
            // Design faults: told by feature, rightly.
            Err(
                EvaluateError::Empty
                | EvaluateError::Touching { .. }
                | EvaluateError::TouchingEdge { .. }
                | EvaluateError::TouchingPoint { .. },
            ) => {}
            // What the kernel could not do.
            Err(e) => own_fault.push(format!("seed {seed}: {e}")),
        }
    }
    assert!(sound > COUNT * 8 / 10, "only {sound} of {COUNT} are sound");
    assert!(own_fault.len() as u64 * 100 <= COUNT, "more than 1 % are beyond the kernel: {own_fault:#?}");
}

#[test]
fn the_same_tree_gives_the_same_boundary() {
    for seed in [2, 3, 4, 9, 12] {
        let text = || format!("{:?}", evaluate(&random_tree(seed)));
        assert_eq!(text(), text(), "seed {seed}");
    }
}
