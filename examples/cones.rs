//! Prints cones fitted to generated points as JSON, with the points and the starts, for another library to fit again: drafted walls,
//! lead-ins and seats, whole and in part, with little scatter and with much.
//!
//! `cargo run --release --example cones`

#![allow(clippy::print_stdout, clippy::expect_used, reason = "an example prints and may stop")]

use rand::rngs::ChaCha8Rng;
use rand::{RngExt, SeedableRng};
use rand_distr::{Distribution, StandardNormal};
use serde_json::{Value, json};
use solidwright::geometry::{Frame, P3, V3};
use tailpattern::inspection::cone::{FittedCone, cone};

const SEED: u64 = 20_262;
const COUNT: usize = 20;

fn main() {
    let mut random = ChaCha8Rng::seed_from_u64(SEED);
    let cones: Vec<Value> = (0..COUNT).map(|k| fitted(k, &mut random)).collect();
    println!("{}", json!({"cones": cones}));
}

/// A cone lying anywhere, points about it, a start beside it and what is found from there.
fn fitted(case: usize, random: &mut ChaCha8Rng) -> Value {
    let mut draw = || 2.0 * random.random::<f64>() - 1.0;
    let origin = P3::new(500.0 * draw(), 500.0 * draw(), 500.0 * draw());
    let axis = V3::new(draw(), draw(), draw() + 1.5);
    let frame = Frame::from_zx(origin, axis, V3::new(1.0, draw(), 0.2));
    let half_angle = [0.5_f64, 15.0, 30.0, 45.0, -15.0][case % 5].to_radians();
    let radius = 20.0 + 40.0 * draw().abs();
    let count = [12, 30, 200, 1000][case % 4];
    let share = [1.0, 0.6, 1.0][case % 3];
    let scatter = [0.001, 0.02, 0.15, 0.3][case / 5];
    let at: Vec<[f64; 2]> =
        (0..count).map(|_| [std::f64::consts::PI * share * draw(), 0.4 * radius * draw()]).collect();
    let near = Frame::from_zx(
        frame.point(0.05 * draw(), 0.05 * draw(), 0.0),
        frame.vector(0.002 * draw(), 0.002 * draw(), 1.0),
        frame.x,
    );
    let (larger, steeper) = (0.1 * draw(), 0.003 * draw());
    let start = FittedCone { frame: near, radius: radius + larger, half_angle: half_angle + steeper };
    let points: Vec<P3> = at
        .iter()
        .map(|[turn, height]| {
            let wall = radius + height * half_angle.tan();
            let mut off = || {
                let value: f64 = StandardNormal.sample(random);
                scatter * value
            };
            frame.point(wall * turn.cos(), wall * turn.sin(), *height) + V3::new(off(), off(), off())
        })
        .collect();
    let found = cone(&points, &start).expect("a cone");
    let triples: Vec<[f64; 3]> = points.iter().map(|p| [p.x, p.y, p.z]).collect();
    json!({"points": triples, "scatter": scatter, "start": told(&start), "found": told(&found)})
}

fn told(cone: &FittedCone) -> Value {
    let (o, z) = (cone.frame.origin, cone.frame.z);
    json!({"origin": [o.x, o.y, o.z], "axis": [z.x, z.y, z.z], "radius": cone.radius, "half_angle": cone.half_angle})
}
