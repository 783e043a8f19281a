//! Whether a place where a solid has no boundary is one of no thickness: metal or gap hangs together there only by a point or
//! a line. Asked of membership alone, on small spheres about the place.

use std::f64::consts::{PI, TAU};

use solidwright::geometry::{P3, V3};
use solidwright::solid::SolidTree;

/// Radii of the spheres, mm. On a small one a wedge between tangent faces is too narrow for the grid; a large one may
/// reach other features.
const RADII: [f64; 3] = [1.0, 0.3, 0.1];

/// Rings of points from pole to pole, and points on each.
const RINGS: usize = 240;
const AROUND: usize = 480;

/// Into how many parts metal and gap fall on each sphere about a place.
pub(crate) fn parts(tree: &SolidTree, at: P3) -> [[usize; 2]; 3] {
    RADII.map(|radius| on_sphere(tree, at, radius))
}

/// One part each: then nothing is nought thick there.
pub(crate) fn harmless(parts: &[[usize; 2]; 3]) -> bool {
    parts.iter().any(|[metal, gap]| *metal <= 1 && *gap <= 1)
}

fn on_sphere(tree: &SolidTree, at: P3, radius: f64) -> [usize; 2] {
    // The poles lie askew, so that no face of a housing runs along the grid.
    let pole = V3::new(0.36, 0.48, 0.8);
    let x = pole.cross(&V3::new(0.8, -0.6, 0.1)).normalize();
    let y = pole.cross(&x);
    let metal: Vec<bool> = (0..RINGS * AROUND)
        .map(|i| {
            let (ring, turn) = (i / AROUND, i % AROUND);
            let (st, ct) = (PI * (ring as f64 + 0.5) / RINGS as f64).sin_cos();
            let (su, cu) = (TAU * turn as f64 / AROUND as f64).sin_cos();
            tree.contains(at + (pole * ct + (x * cu + y * su) * st) * radius)
        })
        .collect();
    let mut seen = vec![false; metal.len()];
    let mut out = [0, 0];
    for start in 0..metal.len() {
        if !seen[start] {
            out[usize::from(!metal[start])] += 1;
            flood(&metal, &mut seen, start);
        }
    }
    out
}

fn flood(metal: &[bool], seen: &mut [bool], start: usize) {
    let mut stack = vec![start];
    seen[start] = true;
    while let Some(i) = stack.pop() {
        for k in neighbours(i) {
            if !seen[k] && metal[k] == metal[start] {
                seen[k] = true;
                stack.push(k);
            }
        }
    }
}

/// The points beside one on the grid, across the corners as well; about a pole all of its ring.
fn neighbours(i: usize) -> Vec<usize> {
    let (ring, turn) = (i / AROUND, i % AROUND);
    let turns = [turn + AROUND - 1, turn, turn + 1].map(|t| t % AROUND);
    let rings = ring.saturating_sub(1)..=(ring + 1).min(RINGS - 1);
    let mut out: Vec<usize> = rings.flat_map(|r| turns.map(|t| r * AROUND + t)).collect();
    if ring == 0 || ring == RINGS - 1 {
        out.push(ring * AROUND + (turn + AROUND / 2) % AROUND);
    }
    out
}
