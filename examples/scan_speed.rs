//! How long `inspect scan` works on a scan of a million triangles, made from the demonstration's own mesh and laid anywhere: writing and
//! reading it as STL, putting it onto the part, deviations and walls; and the memory that all took.
//!
//! `cargo run --release --example scan_speed -- [TRIANGLES]`

#![allow(clippy::print_stdout, reason = "an example prints")]

use std::error::Error as AnyError;
use std::io::{BufWriter, Write};
use std::time::Instant;

use nalgebra::Rotation3;
use solidwright::geometry::{P3, V3};
use solidwright::mesh::triangulate;
use solidwright::probe::Probe;
use tailpattern::design::Design;
use tailpattern::housing;
use tailpattern::inspection::{self, Placement};
use tailpattern::params::{self, Source};

fn main() -> Result<(), Box<dyn AnyError>> {
    let wanted: usize = std::env::args().nth(1).map_or(Ok(1_000_000), |n| n.parse())?;
    let text = include_str!("../params/demo_mm.yaml");
    let source = Source::from_bytes("demo_mm.yaml", text.as_bytes().to_vec()).map_err(|_| "no text")?;
    let raw = params::read(&source).map_err(|_| "no parameters")?;
    let design = Design::validate(raw).value.ok_or("no design")?;
    let housing = housing::build(&design)?;
    let mesh = triangulate(&housing.solid, 0.02)?;
    let lies = Placement {
        turn: Rotation3::from_euler_angles(0.8, -0.3, 2.0),
        shift: V3::new(300.0, -900.0, 120.0),
    };
    let mut triangles: Vec<[P3; 3]> = (0..mesh.triangles.len()).map(|t| mesh.corners(t)).collect();
    // Each triangle becomes four, as often as it takes: scanners make many small ones of flat walls too.
    while triangles.len() < wanted {
        triangles = triangles.iter().flat_map(quartered).collect();
    }
    let file = tempfile::Builder::new().suffix(".stl").tempfile()?;
    let mut out = BufWriter::new(file.as_file());
    out.write_all(&[0; 80])?;
    out.write_all(&u32::try_from(triangles.len())?.to_le_bytes())?;
    for t in &triangles {
        let cells = std::iter::repeat_n(0.0, 3).chain(t.iter().flat_map(|p| {
            let p = lies.moved(*p);
            [p.x, p.y, p.z]
        }));
        for value in cells {
            out.write_all(&(value as f32).to_le_bytes())?;
        }
        out.write_all(&[0; 2])?;
    }
    out.flush()?;
    drop(out);
    println!("{} triangles", triangles.len());
    drop(triangles);
    let whole = Instant::now();
    let timed = |what: &str, since: Instant| println!("{what}: {:.1} s", since.elapsed().as_secs_f64());
    let now = Instant::now();
    let scan = inspection::read_scan(file.path(), 1.0)?;
    let (scan, _) = scan.without_strays();
    timed("read, loose bits left out", now);
    let now = Instant::now();
    let probe = Probe::new(&housing.solid, 0.1)?;
    let fit = inspection::fitted(&scan, &probe)?;
    timed("put onto the part", now);
    let now = Instant::now();
    let map = inspection::deviations(&scan, &fit, &probe);
    timed("deviations", now);
    let now = Instant::now();
    let walls = inspection::scanned_walls(&scan, &fit, &probe);
    timed("walls", now);
    timed("together", whole);
    let back = [P3::origin(), P3::new(330.0, 40.0, 60.0)].map(|p| (fit.by.moved(lies.moved(p)) - p).norm());
    println!(
        "{:.4} mm off at most where it lies; {:.4} mm overall; {} walls",
        back[0].max(back[1]),
        map.overall,
        walls.len()
    );
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    if let Some(peak) = status.lines().find(|l| l.starts_with("VmHWM")) {
        println!("peak memory, the making of the scan with it: {}", peak.trim_start_matches("VmHWM:").trim());
    }
    Ok(())
}

/// A triangle cut at the middles of its sides.
fn quartered(t: &[P3; 3]) -> [[P3; 3]; 4] {
    let middle = |a: P3, b: P3| nalgebra::center(&a, &b);
    let [ab, bc, ca] = [middle(t[0], t[1]), middle(t[1], t[2]), middle(t[2], t[0])];
    [[t[0], ab, ca], [ab, t[1], bc], [ca, bc, t[2]], [ab, bc, ca]]
}
