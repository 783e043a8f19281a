//! Meshes the solids of many random trees and prints what could not be meshed, and how fast the rest was.
//!
//! `cargo run --release --example mesh_random -- [COUNT] [FIRST_SEED]`

#[path = "../tests/common/random_tree.rs"]
#[allow(dead_code, unreachable_pub, clippy::expect_used, reason = "shared with the tests")]
mod random_tree;

use std::time::Instant;

use solidwright::mesh::{Mesh, triangulate};
use solidwright::solid::{Brep, Solid};

/// Greatest distance of a few points of each triangle from the surface of its face, mm.
fn worst(brep: &Brep, mesh: &Mesh) -> f64 {
    let weights = [[1.0, 1.0, 1.0], [1.0, 1.0, 0.0], [0.0, 1.0, 1.0], [1.0, 0.0, 1.0], [4.0, 1.0, 1.0]];
    let off = |t: usize| {
        let [a, b, c] = mesh.corners(t).map(|p| p.coords);
        let surface = &brep.faces[mesh.face_of[t] as usize].surface;
        let at = |[u, v, w]: [f64; 3]| surface.f(((a * u + b * v + c * w) / (u + v + w)).into()).abs();
        weights.into_iter().map(at).fold(0.0, f64::max)
    };
    (0..mesh.triangles.len()).map(off).fold(0.0, f64::max)
}

#[allow(clippy::print_stdout, reason = "an example prints")]
fn main() {
    let args: Vec<u64> = std::env::args().skip(1).filter_map(|a| a.parse().ok()).collect();
    let (count, first) = (args.first().copied().unwrap_or(2000), args.get(1).copied().unwrap_or(0));
    let (mut meshed, mut failed, mut triangles, mut spent) = (0, 0, 0, 0.0);
    let mut slowest = (0.0, 0);
    for seed in first..first + count {
        let Ok(solid) = Solid::of(random_tree::random_tree(seed)) else { continue };
        for chord in [0.5, 0.05] {
            let start = Instant::now();
            let result = triangulate(&solid, chord);
            let seconds = start.elapsed().as_secs_f64();
            if seconds > slowest.0 {
                slowest = (seconds, seed);
            }
            spent += seconds;
            let mesh = match result {
                Ok(mesh) => mesh,
                Err(e) => {
                    failed += 1;
                    println!("seed {seed} at {chord}: {e}");
                    continue;
                }
            };
            meshed += 1;
            triangles += mesh.triangles.len();
            let (mass, off) = (solid.mass(), worst(solid.brep(), &mesh));
            if off > 1.01 * chord || (mesh.volume() - mass.volume).abs() > chord * mass.area {
                println!("seed {seed} at {chord}: a triangle is {off} mm off, volume {}", mesh.volume());
            }
        }
    }
    println!(
        "{meshed} meshes, {failed} failed; {triangles} triangles, {:.2} µs each; slowest {:.1} ms (seed {})",
        1e6 * spent / f64::from(triangles.max(1) as u32),
        1e3 * slowest.0,
        slowest.1
    );
}
