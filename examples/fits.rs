//! Prints lines, planes, circles and cylinders fitted to generated points as JSON, by least squares and touching (narrowest zone, largest
//! pin, smallest ring), with the points and the starts, for another library to fit again. Cones by least squares have an example of
//! their own; their narrowest zones are here.
//!
//! `cargo run --release --example fits`

#![allow(clippy::print_stdout, clippy::expect_used, reason = "an example prints and may stop")]

use rand::rngs::ChaCha8Rng;
use rand::{RngExt, SeedableRng};
use rand_distr::{Distribution, StandardNormal};
use serde_json::{Value, json};
use solidwright::geometry::{Frame, P3, V3};
use tailpattern::inspection::cone::{self, FittedCone};
use tailpattern::inspection::extremes::{self, Aim, Touching};
use tailpattern::inspection::least_squares::{self, FittedCylinder};

const SEED: u64 = 20_263;
const COUNT: usize = 8;

fn main() {
    let mut random = ChaCha8Rng::seed_from_u64(SEED);
    let cases: Vec<Value> = (0..COUNT).map(|k| case(k, &mut random)).collect();
    println!("{}", json!({"cases": cases}));
}

/// Points of one cylinder or cone lying anywhere, and of its axis and its end face.
fn case(case: usize, random: &mut ChaCha8Rng) -> Value {
    let scatter = [0.001, 0.01, 0.05, 0.2][case % 4];
    // A whole turn, and an arc of a third, on which an algebraic circle is too small.
    let share = [1.0, 0.33][case / 4];
    let count = [18, 40][case % 2];
    let mut draw = || 2.0 * random.random::<f64>() - 1.0;
    let origin = P3::new(300.0 * draw(), 300.0 * draw(), 300.0 * draw());
    let axis = V3::new(draw(), draw(), draw() + 1.5);
    let frame = Frame::from_zx(origin, axis, V3::new(1.0, draw(), 0.2));
    let radius = 20.0 + 30.0 * draw().abs();
    let half_angle = [15.0_f64, 45.0][case % 2].to_radians();
    let at: Vec<[f64; 2]> =
        (0..count).map(|_| [std::f64::consts::PI * share * draw(), 0.5 * radius * draw()]).collect();
    let near = Frame::from_zx(
        frame.point(0.03 * draw(), 0.03 * draw(), 0.0),
        frame.vector(0.001 * draw(), 0.001 * draw(), 1.0),
        frame.x,
    );
    let mut scattered = |place: &dyn Fn(f64, f64) -> P3| -> Vec<P3> {
        let mut off = || {
            let value: f64 = StandardNormal.sample(random);
            scatter * value
        };
        at.iter().map(|[turn, height]| place(*turn, *height) + V3::new(off(), off(), off())).collect()
    };
    let on_line = scattered(&|_, height| frame.point(0.0, 0.0, height));
    let on_plane = scattered(&|turn, height| frame.point(height * turn.cos(), height * turn.sin(), 0.0));
    let on_round = scattered(&|turn, height| frame.point(radius * turn.cos(), radius * turn.sin(), height));
    let on_cone = scattered(&|turn, height| {
        let wall = radius + height * half_angle.tan();
        frame.point(wall * turn.cos(), wall * turn.sin(), height)
    });
    json!({
        "scatter": scatter,
        "line": line(&on_line, frame.z),
        "plane": plane(&on_plane, frame.z),
        "circle": circle(&on_round, &near),
        "cylinder": cylinder(&on_round, &near, radius),
        "cone": narrowest_cone(&on_cone, FittedCone { frame: near, radius, half_angle }),
    })
}

fn line(points: &[P3], along: V3) -> Value {
    json!({"points": triples(points), "found": told(&least_squares::line(points, along).expect("a line"))})
}

fn plane(points: &[P3], outward: V3) -> Value {
    let squares = least_squares::plane(points, outward).expect("a plane");
    json!({"points": triples(points), "found": told(&squares), "zone": touching(&extremes::plane(points, squares))})
}

/// Circles are seen along the z of their start.
fn circle(points: &[P3], near: &Frame) -> Value {
    let found = least_squares::circle(points, near).expect("a circle");
    let of = |aim| touching(&extremes::axis_along(points, found.frame, aim));
    json!({
        "points": triples(points), "start": told(near), "found": told(&found.frame), "radius": found.radius,
        "pin": of(Aim::Inscribed), "ring": of(Aim::Circumscribed), "zone": of(Aim::Zone),
    })
}

fn cylinder(points: &[P3], near: &Frame, radius: f64) -> Value {
    let start = FittedCylinder { frame: *near, radius };
    let found = least_squares::cylinder(points, &start).expect("a cylinder");
    let of = |aim| touching(&extremes::axis(points, found.frame, aim));
    json!({
        "points": triples(points), "start": told(near), "found": told(&found.frame), "radius": found.radius,
        "pin": of(Aim::Inscribed), "ring": of(Aim::Circumscribed), "zone": of(Aim::Zone),
    })
}

fn narrowest_cone(points: &[P3], start: FittedCone) -> Value {
    let found = cone::cone(points, &start).expect("a cone");
    json!({
        "points": triples(points), "start": told(&found.frame), "half_angle": found.half_angle,
        "zone": touching(&extremes::cone(points, &found)),
    })
}

fn touching(t: &Touching) -> Value {
    json!({"frame": told(&t.frame), "least": t.least, "greatest": t.greatest})
}

fn triples(points: &[P3]) -> Vec<[f64; 3]> {
    points.iter().map(|p| [p.x, p.y, p.z]).collect()
}

fn told(frame: &Frame) -> Value {
    let (o, z) = (frame.origin, frame.z);
    json!({"origin": [o.x, o.y, o.z], "axis": [z.x, z.y, z.z]})
}
