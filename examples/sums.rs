//! Prints sums of the standards as JSON, with what went into them, for other libraries to work out again: chains of tolerances
//! with random trials, plunge of the slip yoke, critical speed of tubes.
//!
//! `cargo run --release --example sums`

#![allow(clippy::print_stdout, clippy::unwrap_used, reason = "an example prints and may stop")]

use serde_json::{Value, json};
use tailpattern::standards::propshaft::Tube;
use tailpattern::standards::slip_yoke::{Driveline, Guide};
use tailpattern::standards::stack::{Dimension, Spread, Stack};
use tailpattern::standards::stack_trials::{Trials, run};
use tailpattern::units::{KgPerM3, MPa, Mm};

const SEED: u64 = 20_261;
const COUNT: u64 = 1_000_000;

const NORMAL: Spread = Spread::Normal { capability: 1.0 };

/// Factor, middle, tolerance and spread of each dimension.
type Chain = &'static [(f64, f64, f64, Spread)];

/// Chains with the distance from the middle at which a gap is bad.
const CHAINS: [(Chain, f64); 5] = [
    (
        &[
            (1.0, 10.0, 0.1, NORMAL),
            (-1.0, 4.0, 0.2, NORMAL),
            (1.0, 3.0, 0.05, NORMAL),
            (-1.0, 8.0, 0.1, NORMAL),
        ],
        0.25,
    ),
    (
        &[
            (1.0, 10.0, 0.1, Spread::Uniform),
            (-1.0, 4.0, 0.2, Spread::Uniform),
            (1.0, 3.0, 0.05, Spread::Uniform),
            (-1.0, 8.0, 0.1, Spread::Uniform),
        ],
        0.3,
    ),
    (&[(1.0, 50.0, 0.3, Spread::Triangular), (-2.0, 5.0, 0.1, Spread::Triangular)], 0.35),
    (
        &[
            (1.0, 0.0, 0.025, NORMAL),
            (1.0, 0.0, 0.045, Spread::Uniform),
            (0.4, 0.0, 0.1, Spread::Normal { capability: 1.33 }),
        ],
        0.05,
    ),
    (&[(1.0, 1.0, 0.1, Spread::Uniform)], 0.09),
];

fn spread(spread: Spread) -> Value {
    match spread {
        Spread::Normal { capability } => json!({"kind": "normal", "capability": capability}),
        Spread::Uniform => json!({"kind": "uniform"}),
        Spread::Triangular => json!({"kind": "triangular"}),
    }
}

fn chain((parts, good): (Chain, f64)) -> Value {
    let dimension = |&(factor, middle, t, spread): &(f64, f64, f64, Spread)| {
        Dimension::between("part", factor, [Mm::new(middle - t), Mm::new(middle + t)]).spread(spread)
    };
    let stack = Stack::new(parts.iter().map(dimension).collect()).unwrap();
    let limits = [stack.middle() - Mm::new(good), stack.middle() + Mm::new(good)];
    let found = run(&stack, &Trials { seed: SEED, count: COUNT, good: limits }).unwrap();
    let given = parts
        .iter()
        .map(|(factor, middle, t, s)| json!({"factor": factor, "middle": middle, "tolerance": t, "spread": spread(*s)}));
    json!({
        "dimensions": given.collect::<Vec<_>>(),
        "good": good,
        "count": COUNT,
        "middle": stack.middle().get(),
        "worst_case": stack.worst_case().get(),
        "root_sum_square": stack.root_sum_square().get(),
        "deviation": stack.standard_deviation().get(),
        "variance_shares": stack.contributions().iter().map(|c| c.of_variance).collect::<Vec<_>>(),
        "trial_mean": found.mean.get(),
        "trial_deviation": found.deviation.get(),
        "trial_rejected": found.rejected,
    })
}

/// Length, height, and radius and rise of the arm where there is one.
const LINES: [(f64, f64, Option<[f64; 2]>); 4] = [
    (1200.0, -60.0, None),
    (1200.0, -60.0, Some([650.0, 0.0])),
    (900.0, -110.0, Some([1400.0, 35.0])),
    (1350.0, 20.0, Some([500.0, -40.0])),
];

fn plunge((length, height, arm): (f64, f64, Option<[f64; 2]>)) -> Value {
    let guide = arm.map_or(Guide::Vertical, |[radius, rise]| Guide::Arm {
        radius: Mm::new(radius),
        rise: Mm::new(rise),
    });
    let line = Driveline { length: Mm::new(length), height: Mm::new(height), guide };
    let at = |lift: f64| json!({"lift": lift, "plunge": line.plunge(Mm::new(lift)).unwrap().get()});
    let plunges = [-100.0, -75.0, -20.0, 0.0, 33.0, 75.0, 100.0].map(at);
    let range = line.plunge_range(Mm::new(-100.0), Mm::new(100.0)).unwrap();
    json!({
        "length": length,
        "height": height,
        "arm": arm,
        "plunges": plunges,
        "range": range.map(Mm::get),
    })
}

/// Outside, wall, length, modulus of elasticity, density.
const TUBES: [[f64; 5]; 4] = [
    [76.2, 1.65, 1200.0, 205e3, 7850.0],
    [76.2, 1.65, 1350.0, 205e3, 7850.0],
    [88.9, 3.175, 1200.0, 68.9e3, 2700.0],
    [50.0, 25.0, 900.0, 205e3, 7850.0],
];

fn critical([outside, wall, length, e, rho]: [f64; 5]) -> Value {
    let tube = Tube::of_wall(Mm::new(outside), Mm::new(wall)).unwrap();
    let rpm = tube.critical_rpm(Mm::new(length), MPa::new(e), KgPerM3::new(rho)).unwrap();
    json!({"outside": outside, "wall": wall, "length": length, "elasticity": e, "density": rho, "rpm": rpm})
}

fn main() {
    let all = json!({
        "chains": CHAINS.map(chain),
        "plunges": LINES.map(plunge),
        "tubes": TUBES.map(critical),
    });
    println!("{all:#}");
}
