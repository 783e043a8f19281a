//! Writes parameter files of housings drawn at random from the schema, for the reference checks.
//!
//! `cargo run --release --example drawn_files -- FOLDER [FIRST] [LAST]`: every second seed from FIRST to LAST (1 to 199), so that an odd
//! first seed gives odd ones only.

#![allow(clippy::expect_used, reason = "an example may stop")]

#[path = "../tests/common/drawn_housing.rs"]
#[allow(unreachable_pub, dead_code, reason = "shared with the tests")]
mod drawn_housing;

use std::fs;
use std::path::PathBuf;

fn main() {
    let mut args = std::env::args().skip(1);
    let folder: PathBuf = args.next().expect("a folder").into();
    let mut seed = |otherwise: u64| args.next().map_or(otherwise, |text| text.parse().expect("a seed"));
    let (first, last) = (seed(1), seed(199));
    fs::create_dir_all(&folder).expect("the folder");
    for seed in (first..=last).step_by(2) {
        fs::write(folder.join(format!("seed_{seed}.yaml")), drawn_housing::drawn(seed)).expect("a file");
    }
}
