//! Meshes the finished part of every shipped parameter file, and of one file with its numbers changed a little, at
//! chord errors down to 0.005 mm; prints what could not be meshed, and what each finest mesh costs.
//!
//! `cargo run --release --example mesh_housings -- [CHANGED] [FILE] [CHORD …]`

#![allow(clippy::print_stdout, clippy::expect_used, reason = "an example prints and may stop")]

#[path = "../tests/common/changed_params.rs"]
#[allow(unreachable_pub, dead_code, reason = "shared with the tests")]
mod changed_params;

use std::fs;
use std::path::{Path, PathBuf};
use std::time::Instant;

use changed_params::{Random, shaken};
use solidwright::mesh::{Mesh, triangulate};
use solidwright::solid::{Brep, Solid};
use tailpattern::design::Design;
use tailpattern::forms;
use tailpattern::housing;
use tailpattern::params::{self, Source};

/// By how much numbers are changed.
const SHARE: f64 = 0.02;

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

/// The process's peak of memory since the last call, MB; nothing where the system does not tell.
fn peak() -> Option<f64> {
    let text = fs::read_to_string("/proc/self/status").ok()?;
    let line = text.lines().find(|l| l.starts_with("VmHWM:"))?;
    let kilobytes: f64 = line.split_whitespace().nth(1)?.parse().ok()?;
    fs::write("/proc/self/clear_refs", "5").ok()?;
    Some(kilobytes / 1024.0)
}

#[derive(Default)]
struct Tally {
    meshed: usize,
    failed: usize,
    wrong: usize,
}

impl Tally {
    fn mesh(&mut self, name: &str, solid: &Solid, chord: f64, told: bool) {
        peak();
        let start = Instant::now();
        let result = triangulate(solid, chord);
        let seconds = start.elapsed().as_secs_f64();
        let memory = peak().map_or(String::new(), |m| format!(", peak {m:.0} MB"));
        let mesh = match result {
            Ok(mesh) => mesh,
            Err(e) => {
                self.failed += 1;
                println!("FAILED {name} at {chord}: {e} ({seconds:.2} s)");
                return;
            }
        };
        self.meshed += 1;
        let (mass, off) = (solid.mass(), worst(solid.brep(), &mesh));
        let missed = mesh.volume() - mass.volume;
        if off > 1.01 * chord || missed.abs() > chord * mass.area || mesh.check_closed().is_err() {
            self.wrong += 1;
            println!("WRONG {name} at {chord}: a triangle is {off} mm off, volume by {missed} mm³");
        }
        if told {
            let count = mesh.triangles.len();
            println!(
                "{name} at {chord}: {count} triangles, {seconds:.2} s{memory}, worst {off:.5} mm, \
                 volume {:+.2e}",
                missed / mass.volume
            );
        }
    }
}

fn design(text: &str) -> Option<Design> {
    let source = Source::from_bytes("random.yaml", text.as_bytes().to_vec()).ok()?;
    Design::validate(params::read(&source).ok()?).value
}

fn main() {
    let mut args = std::env::args().skip(1);
    let count: usize = args.next().map_or(40, |n| n.parse().expect("a number of changed sets"));
    let base = args.next().unwrap_or_else(|| "long_iron".to_owned());
    let chords: Vec<f64> = args.map(|c| c.parse().expect("a chord error")).collect();
    let chords = if chords.is_empty() { vec![0.2, 0.05, 0.02, 0.01, 0.005] } else { chords };
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("params");
    let mut paths: Vec<PathBuf> =
        fs::read_dir(&folder).expect("params").map(|e| e.expect("an entry").path()).collect();
    paths.sort();
    let (mut shipped, mut castings, mut changed) = (Tally::default(), Tally::default(), Tally::default());
    for path in paths {
        let name = path.file_stem().expect("a name").to_string_lossy().into_owned();
        let text = fs::read_to_string(&path).expect("a text");
        let design = design(&text).expect("shipped files are legal");
        let finished = housing::build(&design).expect("shipped files build");
        for &chord in &chords {
            shipped.mesh(&name, &finished.solid, chord, true);
        }
        if let Ok(casting) = forms::casting(&design, &finished) {
            for &chord in &chords {
                castings.mesh(&format!("{name}, casting"), &casting.moulded.casting.solid, chord, false);
            }
        }
    }
    let text = fs::read_to_string(folder.join(format!("{base}.yaml"))).expect("a file of params");
    let (mut built, mut refused) = (0, 0);
    let mut seed = 0;
    while built < count && seed < 20 * count as u64 {
        seed += 1;
        let Some(design) = design(&shaken(&text, SHARE, &mut Random::new(seed))) else {
            refused += 1;
            continue;
        };
        let Ok(finished) = housing::build(&design) else {
            refused += 1;
            continue;
        };
        built += 1;
        for &chord in &chords {
            changed.mesh(&format!("{base}, seed {seed}"), &finished.solid, chord, false);
        }
    }
    for (what, t) in [("shipped", &shipped), ("castings", &castings), ("changed", &changed)] {
        println!("{what}: {} meshed, {} failed, {} wrong", t.meshed, t.failed, t.wrong);
    }
    println!("{built} changed sets built, {refused} refused");
    std::process::exit(i32::from([shipped, castings, changed].iter().any(|t| t.failed + t.wrong > 0)));
}
