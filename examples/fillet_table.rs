//! Builds every parameter file named (or all of `params/`) and lists each joint of cast faces with the fillet radius
//! asked for and made: `cargo run --release --example fillet_table -- [FILE…]`.

#![allow(clippy::print_stdout, reason = "an example prints")]

use std::path::PathBuf;
use std::time::Instant;

use tailpattern::design::Design;
use tailpattern::housing;
use tailpattern::params;
use tailpattern::report::joints;

fn files() -> Vec<PathBuf> {
    let named: Vec<PathBuf> = std::env::args().skip(1).map(PathBuf::from).collect();
    if !named.is_empty() {
        return named;
    }
    let mut all: Vec<PathBuf> = std::fs::read_dir("params")
        .into_iter()
        .flatten()
        .filter_map(|e| e.ok().map(|e| e.path()))
        .filter(|p| p.extension().is_some_and(|e| e == "yaml"))
        .collect();
    all.sort();
    all
}

fn main() {
    let (mut all, mut full) = (0, 0);
    for file in files() {
        let start = Instant::now();
        let good = params::load(&file)
            .ok()
            .and_then(|(_, raw)| raw.ok())
            .and_then(|raw| Design::validate(raw).value);
        let Some(design) = good else {
            println!("{}: not a good parameter file", file.display());
            continue;
        };
        match housing::build(&design) {
            Err(e) => {
                println!("{}: {e}", file.display());
            }
            Ok(housing) => {
                let time = start.elapsed().as_secs_f64();
                println!(
                    "{}: {} faces, {:.0} ms",
                    file.display(),
                    housing.solid.brep().faces.len(),
                    1e3 * time
                );
                let (whole, pieces) = joints::whole(&housing.joints);
                println!("  {whole} of {pieces} pieces whole");
                print!("{}", joints::table(&housing.joints, design.units(), false));
                all += pieces;
                full += whole;
            }
        }
    }
    println!(
        "{full} of {all} pieces of joint made whole: {:.1} %",
        100.0 * f64::from(full as u32) / f64::from(all.max(1) as u32)
    );
}
