//! Prints how long distance questions take on parameter files, and holds the least walls against samples: no sample
//! may show a wall thinner than the least of its pair of features.
//!
//! `cargo run --release --example probe_speed -- params/demo_mm.yaml …` (all of `params` where none is given). With
//! `--samples FILE.csv` the samples of the last file are written: place, outward normal, thickness by ray (or nothing), mm.

#![allow(clippy::print_stdout, reason = "an example prints")]

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::time::Instant;

use rayon::prelude::*;

use solidwright::probe::{Ball, Hit, Probe, Sample, Wall};
use solidwright::solid::{Brep, Solid};
use tailpattern::design::Design;
use tailpattern::{housing, params};

const SAMPLES: usize = 20_000;

/// Chord error of the mesh, mm.
const CHORD: f64 = 0.15;

/// Walls up to this thickness are sought, mm.
const BOUND: f64 = 12.0;

/// A wall of a sample may be thinner than the least by this, mm: what the search promises and more.
const ALLOWED: f64 = 0.001;

fn solid(path: &Path) -> Option<Solid> {
    let (_, raw) = params::load(path).ok()?;
    let design = Design::validate(raw.ok()?).value?;
    housing::build(&design).ok().map(|h| h.solid)
}

/// The number of the feature of each face.
fn features(brep: &Brep) -> Vec<u32> {
    let names: BTreeSet<&str> = brep.faces.iter().map(|f| &*f.tag.feature).collect();
    let place = |name: &str| names.iter().position(|n| *n == name).unwrap_or(0) as u32;
    brep.faces.iter().map(|f| place(&f.tag.feature)).collect()
}

fn ms(since: Instant) -> f64 {
    since.elapsed().as_secs_f64() * 1e3
}

fn main() {
    let mut paths: Vec<PathBuf> = std::env::args().skip(1).map(PathBuf::from).collect();
    let option = paths.iter().position(|p| p.as_os_str() == "--samples");
    let table =
        option.and_then(|i| (i + 1 < paths.len()).then(|| paths.drain(i..=i + 1).next_back())).flatten();
    if paths.is_empty() {
        let folder = std::fs::read_dir("params").into_iter().flatten().flatten();
        paths = folder.map(|e| e.path()).collect();
        paths.sort();
    }
    for path in paths {
        match solid(&path) {
            Some(solid) => one(&path, &solid, table.as_deref()),
            None => println!("{}: does not build", path.display()),
        }
    }
}

fn one(path: &Path, solid: &Solid, table: Option<&Path>) {
    let start = Instant::now();
    let probe = match Probe::new(solid, CHORD) {
        Ok(probe) => probe,
        Err(error) => return println!("{}: {error}", path.display()),
    };
    let brep = solid.brep();
    println!(
        "{}: {} faces, {} triangles; prepared in {:.1} ms",
        path.display(),
        brep.faces.len(),
        probe.mesh().triangles.len(),
        ms(start)
    );
    let start = Instant::now();
    let samples = probe.samples(SAMPLES, 1);
    println!("  {} samples {:.1} ms", samples.len(), ms(start));
    let start = Instant::now();
    let rays: Vec<Option<Hit>> = samples.par_iter().map(|s| probe.wall_by_ray(s)).collect();
    println!("  rays {:.1} ms, {} walls", ms(start), rays.iter().flatten().count());
    if let Some(table) = table
        && let Err(error) = std::fs::write(table, rows(&samples, &rays))
    {
        println!("  {}: {error}", table.display());
    }
    let start = Instant::now();
    let balls: Vec<Option<Ball>> = samples.par_iter().map(|s| probe.wall_by_ball(s)).collect();
    println!("  balls {:.1} ms, {} walls", ms(start), balls.iter().flatten().count());
    let group = features(brep);
    let start = Instant::now();
    let walls = probe.least_walls(BOUND, |f| Some(group[f]));
    println!("  least walls of {} pairs of features {:.1} ms", walls.len(), ms(start));
    let mut thinnest: Vec<&Wall> = walls.iter().collect();
    thinnest.sort_by(|a, b| a.thickness.total_cmp(&b.thickness));
    for w in thinnest.iter().take(3) {
        let [a, b] = w.faces.map(|f| &brep.faces[f].tag);
        println!("    {a} to {b}: {:.4} mm at {:.2}", w.thickness, w.points[0]);
    }
    let faces = Instant::now();
    let by_face = probe.least_walls(BOUND, |f| Some(f as u32));
    println!("  least walls of {} pairs of faces {:.1} ms", by_face.len(), ms(faces));
    compare("features", brep, &samples, (&rays, &balls), &walls, |f| group[f]);
    compare("faces", brep, &samples, (&rays, &balls), &by_face, |f| f as u32);
}

fn rows(samples: &[Sample], rays: &[Option<Hit>]) -> String {
    let row = |(s, ray): (&Sample, &Option<Hit>)| {
        let (p, n) = (s.point, s.outward);
        let wall = ray.map_or(String::new(), |hit| hit.distance.to_string());
        format!("{},{},{},{},{},{},{wall}\n", p.x, p.y, p.z, n.x, n.y, n.z)
    };
    samples.iter().zip(rays).map(row).collect()
}

/// Holds the walls of samples against the least of their pair of groups.
fn compare(
    what: &str,
    brep: &Brep,
    samples: &[Sample],
    (rays, balls): (&[Option<Hit>], &[Option<Ball>]),
    walls: &[Wall],
    group: impl Fn(usize) -> u32,
) {
    // A sharp edge stands after the wall apart from it, and replaces it here.
    let least: BTreeMap<[u32; 2], f64> = walls.iter().map(|w| (w.groups, w.thickness)).collect();
    let mut worst: BTreeMap<(&str, [u32; 2]), (f64, String)> = BTreeMap::new();
    for ((s, ray), ball) in samples.iter().zip(rays).zip(balls) {
        let found = [
            ray.map(|h| ("ray", h.face, h.distance)),
            ball.map(|b| ("ball", b.touches[1].0, 2.0 * b.radius)),
        ];
        for (how, face, size) in found.into_iter().flatten().filter(|f| f.2 < BOUND - ALLOWED) {
            let (a, b) = (group(s.face), group(face));
            let pair = [a.min(b), a.max(b)];
            let by = least.get(&pair).copied().unwrap_or(f64::INFINITY) - size;
            let seen = worst.get(&(how, pair)).map_or(ALLOWED, |w| w.0);
            if by > seen {
                let at = s.point;
                let text = format!(
                    "{how} {size:.4}, least {:.4}, {} to {}, near {:.2} {:.2} {:.2}",
                    size + by,
                    brep.faces[s.face].tag,
                    brep.faces[face].tag,
                    at.x,
                    at.y,
                    at.z
                );
                worst.insert((how, pair), (by, text));
            }
        }
    }
    println!("  pairs of {what} for which a sample is thinner than the least: {}", worst.len());
    for (_, text) in worst.values().take(12) {
        println!("    {text}");
    }
}
