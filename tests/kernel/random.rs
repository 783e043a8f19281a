//! Random solid trees: each sound, or refused for a reason that names the design, never wrong.
//!
//! A seeded share; `cargo run --release --example kernel_random -- 2000` does the full run and prints the tally.

use crate::common::random_tree::{counted_volume, random_tree};
use crate::truck::to_truck;
use solidwright::solid::Brep;
use solidwright::solid::evaluate::{EvaluateError, evaluate};
use solidwright::solid::validate::validate;

/// Trees tried here, odd ones on a coarse grid.
const COUNT: u64 = 300;

#[test]
fn random_trees_are_sound_or_refused_by_name() {
    let (mut sound, mut by_truck, mut own_fault) = (0, 0, Vec::new());
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
                // truck-topology holds no loop that passes a corner twice (a hole that reaches an edge in one point).
                if !pinched(&brep) {
                    to_truck(&brep).unwrap_or_else(|e| panic!("seed {seed}: truck-topology refuses it: {e}"));
                    by_truck += 1;
                }
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
    assert!(by_truck * 10 > sound * 9, "truck-topology could look at {by_truck} of {sound} only");
    assert!(own_fault.len() as u64 * 100 <= COUNT, "more than 1 % are beyond the kernel: {own_fault:#?}");
}

/// Whether some face's loops pass a corner twice.
fn pinched(brep: &Brep) -> bool {
    brep.faces.iter().any(|f| {
        let mut corners: Vec<usize> = f.loops.iter().flatten().map(|h| brep.tail(*h)).collect();
        let all = corners.len();
        corners.sort_unstable();
        corners.dedup();
        corners.len() < all
    })
}

#[test]
fn the_same_tree_gives_the_same_boundary() {
    for seed in [2, 3, 4, 9, 12] {
        let text = || format!("{:?}", evaluate(&random_tree(seed)));
        assert_eq!(text(), text(), "seed {seed}");
    }
}
