//! Points along the visible lines of a part as seen from four sides, for comparison with another program's: the name of a view,
//! then its points, one a line. Points along edges at which faces run on smoothly into each other, which are not drawn, follow
//! after the view's name with `smooth`.
//!
//! `cargo run --release --example view_points -- params/demo_mm.yaml`

#![allow(clippy::print_stdout, clippy::unwrap_used, reason = "an example prints and may stop")]

use std::error::Error;
use std::path::Path;

use solidwright::geometry::{P2, V3};
use solidwright::probe::Probe;
use tailpattern::design::Design;
use tailpattern::drafting::{CHORD, Direction, SHARP, Shape, chords, edges, view};
use tailpattern::housing;
use tailpattern::params;

/// From one point to the next, mm.
const STEP: f64 = 0.25;

fn points(shape: &Shape) -> Vec<P2> {
    let mut out = Vec::new();
    for (a, b) in chords(shape) {
        let count = ((b - a).norm() / STEP).ceil().max(1.0);
        out.extend((0..=count as u32).map(|k| a + (b - a) * (f64::from(k) / count)));
    }
    out
}

/// Whether the faces of an edge run on smoothly into each other in its middle.
fn is_smooth(probe: &Probe, edge: usize) -> bool {
    let p = probe.brep().edge_point(edge, 0.5);
    let [a, b] = probe.sides()[edge].map(|face| probe.brep().faces[face].outward(p));
    a.cross(&b).norm() < SHARP && a.dot(&b) > 0.0
}

fn main() -> Result<(), Box<dyn Error>> {
    let file = std::env::args().nth(1).ok_or("a parameter file")?;
    let (_, raw) = params::load(Path::new(&file))?;
    let raw = raw.map_err(|_| "the file is not valid")?;
    let design = Design::validate(raw).value.ok_or("the file describes no part")?;
    let housing = housing::build(&design)?;
    let probe = Probe::new(&housing.solid, CHORD)?;
    let sides = [
        ("left", V3::x(), V3::z()),
        ("front", -V3::y(), V3::z()),
        ("above", V3::x(), V3::y()),
        ("below", V3::x(), -V3::y()),
    ];
    for (name, right, up) in sides {
        let from = Direction::new(right, up).ok_or("a direction")?;
        let seen = view(&probe, &from);
        println!("{name}");
        for p in seen.visible.iter().flat_map(points) {
            println!("{:.4} {:.4}", p.x, p.y);
        }
        println!("{name} smooth");
        let smooth = edges(probe.brep(), &from).into_iter().filter(|(edge, _)| is_smooth(&probe, *edge));
        for p in smooth.flat_map(|(_, shape)| points(&shape)) {
            println!("{:.4} {:.4}", p.x, p.y);
        }
    }
    Ok(())
}
