//! Prints how the times to evaluate, check and mesh a housing-like solid grow with its holes and bosses.
//!
//! `cargo run --release --example scaling`

#![allow(clippy::print_stdout, reason = "an example prints")]

#[path = "../tests/common/mod.rs"]
mod common;

use std::time::Instant;

use common::{Z, cyl, frame, pad, solid};
use solidwright::mesh::triangulate;
use solidwright::solid::SolidTree;
use solidwright::solid::evaluate::evaluate;
use solidwright::solid::validate::validate;

const COUNTS: [u32; 5] = [5, 10, 20, 40, 60];
const TRIES: u32 = 5;

/// Chord error of the mesh, mm.
const CHORD: f64 = 0.05;

/// Rows of features either side of the tube.
const COLUMNS: u32 = 10;

/// Distance between neighbours, mm.
const PITCH: f64 = 24.0;

/// A plate of one size with a bored tube in its middle and `n` features, each on its own place: by turns a through
/// hole, and a round boss with a blind hole.
fn housing(n: u32) -> SolidTree {
    let mut tree = SolidTree::new();
    tree.add(pad(frame(0.0, 0.0, 0.0, Z), 300.0, 260.0, 20.0, 15.0, 0.0));
    tree.add(cyl(frame(0.0, 0.0, 10.0, Z), 40.0, 80.0));
    tree.cut(cyl(frame(0.0, 0.0, -1.0, Z), 30.0, 100.0));
    for i in 0..n {
        let (row, column) = (i / COLUMNS, i % COLUMNS);
        let x = PITCH * (f64::from(column) - 0.5 * f64::from(COLUMNS - 1));
        // Rows alternate between the sides, outwards from the tube.
        let side = if row % 2 == 0 { 1.0 } else { -1.0 };
        let y = side * (56.0 + PITCH * f64::from(row / 2));
        if i % 2 == 0 {
            tree.cut(cyl(frame(x, y, -1.0, Z), 4.0, 17.0));
        } else {
            tree.add(cyl(frame(x, y, 10.0, Z), 9.0, 25.0));
            tree.cut(cyl(frame(x, y, 20.0, Z), 4.0, 16.0));
        }
    }
    tree
}

/// The exponent of growth that fits best: the slope of the straight line through the logarithms.
fn exponent(points: &[(f64, f64)]) -> f64 {
    let n = points.len() as f64;
    let logs: Vec<(f64, f64)> = points.iter().map(|(x, y)| (x.ln(), y.ln())).collect();
    let (mx, my) = (logs.iter().map(|l| l.0).sum::<f64>() / n, logs.iter().map(|l| l.1).sum::<f64>() / n);
    let across: f64 = logs.iter().map(|(x, y)| (x - mx) * (y - my)).sum();
    across / logs.iter().map(|(x, _)| (x - mx).powi(2)).sum::<f64>()
}

/// Seconds of the quickest of some tries; the work tells whether it went right.
fn best(work: &dyn Fn() -> bool) -> f64 {
    let once = |_| {
        let start = Instant::now();
        assert!(work(), "the same result again");
        start.elapsed().as_secs_f64()
    };
    (0..TRIES).map(once).fold(f64::INFINITY, f64::min)
}

fn main() {
    println!("features  faces  evaluate, ms  per feature, ms  validate, ms  mesh, ms");
    let mut by_features = Vec::new();
    let mut by_faces = Vec::new();
    for n in COUNTS {
        let tree = housing(n);
        let solid = solid(&tree).unwrap_or_else(|e| panic!("{n} features: {e}"));
        let faces = solid.brep().faces.len();
        let built = best(&|| evaluate(&tree).is_ok_and(|again| again.faces.len() == faces));
        let checked = best(&|| validate(solid.brep()).is_ok());
        let meshed = best(&|| triangulate(&solid, CHORD).is_ok());
        println!(
            "{n:8}  {faces:5}  {:12.2}  {:15.3}  {:12.2}  {:8.2}",
            built * 1e3,
            built * 1e3 / f64::from(n),
            checked * 1e3,
            meshed * 1e3
        );
        by_features.push((f64::from(n), built));
        by_faces.push((faces as f64, built));
    }
    println!(
        "time grows as features^{:.2}, as faces^{:.2} (1 is linear)",
        exponent(&by_features),
        exponent(&by_faces)
    );
}
