//! Evaluates many random solid trees and prints how many came out sound.
//!
//! `cargo run --release --example kernel_random -- [COUNT] [FIRST_SEED]`

#[path = "../tests/common/random_tree.rs"]
#[allow(dead_code, unreachable_pub, clippy::expect_used, reason = "shared with the tests")]
mod random_tree;

use std::collections::BTreeMap;
use std::time::Instant;

use random_tree::{counted_volume, random_tree};
use solidwright::solid::evaluate::{EvaluateError, evaluate};
use solidwright::solid::validate::validate;

fn kind(e: &EvaluateError) -> &'static str {
    match e {
        EvaluateError::Empty => "nothing left",
        EvaluateError::Touching { .. } => "faces touch in a point",
        EvaluateError::TouchingEdge { .. } => "solid touches itself along an edge",
        EvaluateError::TouchingPoint { .. } => "solid touches itself in a point",
        EvaluateError::Tangent { .. } => "KERNEL tangent",
        EvaluateError::TooNear { .. } => "KERNEL too near",
        EvaluateError::Open { .. } => "KERNEL open",
    }
}

#[allow(clippy::print_stdout, reason = "an example prints")]
fn main() {
    let args: Vec<u64> = std::env::args().skip(1).filter_map(|a| a.parse().ok()).collect();
    let (count, first) = (args.first().copied().unwrap_or(2000), args.get(1).copied().unwrap_or(1));
    let mut tally: BTreeMap<&str, Vec<u64>> = BTreeMap::new();
    let (mut slowest, mut total) = ((0.0, 0), 0.0);
    for seed in first..first + count {
        let tree = random_tree(seed);
        let start = Instant::now();
        let result = evaluate(&tree);
        let spent = start.elapsed().as_secs_f64();
        total += spent;
        if spent > slowest.0 {
            slowest = (spent, seed);
        }
        let verdict = match result {
            Err(e) => {
                if kind(&e).starts_with("KERNEL") {
                    println!("seed {seed}: {e}");
                }
                kind(&e)
            }
            Ok(brep) => match validate(&brep) {
                Err(faults) => {
                    println!("seed {seed}: {}", faults[0]);
                    "KERNEL not valid"
                }
                Ok(report) => {
                    let (volume, error) = counted_volume(&tree, seed, 20_000);
                    if (volume - report.mass.volume).abs() > 4.0 * error {
                        println!("seed {seed}: volume {} but counted {volume} ± {error}", report.mass.volume);
                        "KERNEL volume off"
                    } else {
                        "sound"
                    }
                }
            },
        };
        tally.entry(verdict).or_default().push(seed);
    }
    println!("{count} random trees, seeds {first} to {}", first + count - 1);
    for (verdict, seeds) in &tally {
        let some: Vec<String> = seeds.iter().take(12).map(ToString::to_string).collect();
        println!(
            "{:6}  {:6.2} %  {verdict}  (seeds {}{})",
            seeds.len(),
            seeds.len() as f64 * 100.0 / count as f64,
            some.join(" "),
            if seeds.len() > 12 { " …" } else { "" }
        );
    }
    let bad: usize = tally.iter().filter(|t| t.0.starts_with("KERNEL")).map(|t| t.1.len()).sum();
    println!(
        "error share {:.3} % (design faults told by name are not counted)",
        bad as f64 * 100.0 / count as f64
    );
    println!(
        "mean {:.2} ms, slowest {:.1} ms (seed {})",
        total * 1e3 / count as f64,
        slowest.0 * 1e3,
        slowest.1
    );
}
