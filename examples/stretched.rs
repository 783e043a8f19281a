//! Writes solids as patterns are, larger by the metal's contraction, for Open CASCADE to judge: of each NAME.step,
//! NAME.json (what it must measure) and NAME.stretch.json (the factors, and what the solid measures without them).
//!
//! `cargo run --release --example stretched -- DIR PARAMETERS.yaml`

#![allow(clippy::print_stdout, clippy::unwrap_used, reason = "an example prints and may stop")]

#[path = "../tests/common/mod.rs"]
mod common;

use std::fs;
use std::path::{Path, PathBuf};

use common::cases::Cases;
use common::closed_forms::elementary_solids;
use common::{X, cyl, fillet_cases, frame, frustum, sphere, torus, tree};
use serde_json::json;
use solidwright::export::step::{StepInfo, step_stretched};
use solidwright::geometry::Stretch;
use solidwright::solid::{Solid, SolidTree};
use tailpattern::design::Design;
use tailpattern::export::{sidecar, step_info};
use tailpattern::{housing, params};

/// Factors along the axis and across it: an even one, that of a core that holds the diameters back, and one much
/// wilder than any pattern's.
const FACTORS: [(f64, f64); 3] = [(1.013, 1.013), (1.013, 1.009), (0.96, 1.05)];

/// How many of these are applied to a housing.
const OF_HOUSING: usize = 2;

/// Solids beside those of the kernel tests: about axes that lie askew, and along X off the X axis.
fn more() -> Vec<(&'static str, SolidTree)> {
    let askew = || frame(12.0, -30.0, 7.0, [0.6, 0.5, 0.4]);
    let beside = || frame(-20.0, 15.0, 40.0, X);
    let drilled = vec![cyl(frame(12.0, -30.0, 7.0, [-0.4, 0.5, 0.4]), 3.0, 60.0)];
    vec![
        ("cylinder askew", tree(vec![cyl(askew(), 9.0, 30.0)], vec![])),
        ("cone to its apex askew", tree(vec![frustum(askew(), 9.0, 0.0, 30.0)], vec![])),
        ("frustum askew", tree(vec![frustum(askew(), 9.0, 4.0, 30.0)], vec![])),
        ("ball askew", tree(vec![sphere(askew(), 9.0)], vec![])),
        ("drilled ball", tree(vec![sphere(askew(), 9.0)], drilled)),
        ("torus askew", tree(vec![torus(askew(), 20.0, 5.0)], vec![])),
        ("cylinder along X", tree(vec![cyl(beside(), 9.0, 30.0)], vec![])),
        ("frustum along X", tree(vec![frustum(beside(), 9.0, 4.0, 30.0)], vec![])),
        ("cone to its apex along X", tree(vec![frustum(beside(), 9.0, 0.0, 30.0)], vec![])),
        ("torus along X", tree(vec![torus(beside(), 20.0, 5.0)], vec![])),
        ("ball in a rod", tree(vec![cyl(beside(), 9.0, 30.0)], vec![sphere(frame(2.0, 17.0, 41.0, X), 5.0)])),
    ]
}

/// All solids by name.
fn solids() -> Vec<(String, Solid)> {
    let named = Cases::from(elementary_solids).0.into_iter().map(|c| (format!("plain {}", c.name), c.tree));
    let all = named.chain(more().into_iter().map(|(name, tree)| (name.to_owned(), tree)));
    let mut out: Vec<(String, Solid)> = all.map(|(name, tree)| (name, Solid::of(tree).unwrap())).collect();
    out.extend(fillet_cases::simple().iter().map(|c| (c.name.clone(), c.build().unwrap().solid)));
    out
}

fn write(folder: &Path, name: &str, solid: &Solid, by: &Stretch) {
    let (plain, mass) = (solid.mass(), solid.mass_stretched(by));
    let stem = format!("{name} {} {}", by.axial(), by.radial()).replace(' ', "_");
    let info = StepInfo {
        id: stem.clone(),
        name: stem.clone(),
        form: "pattern".to_owned(),
        file_stem: stem.clone(),
        properties: Some(mass),
        ..step_info()
    };
    let center = plain.centroid;
    let facts = json!({
        "axial": by.axial(),
        "radial": by.radial(),
        "volume_mm3": plain.volume,
        "area_mm2": plain.area,
        "centroid_mm": [center.x, center.y, center.z],
    });
    let figures = sidecar::figures(solid.brep(), &mass, &[], &format!("{stem}.step"), &stem);
    let save = |end: &str, bytes: Vec<u8>| fs::write(folder.join(format!("{stem}.{end}")), bytes).unwrap();
    save("step", step_stretched(solid, by, &info).unwrap());
    save("json", format!("{figures:#}\n").into_bytes());
    save("stretch.json", format!("{facts:#}\n").into_bytes());
}

fn demonstration(path: &Path) -> Solid {
    let (_, raw) = params::load(path).unwrap();
    let design = Design::validate(raw.unwrap()).value.unwrap();
    housing::build(&design).unwrap().solid
}

fn main() {
    let mut args = std::env::args().skip(1);
    let folder = PathBuf::from(args.next().expect("the name of a folder for the files"));
    let parameters = PathBuf::from(args.next().expect("a parameter file"));
    fs::create_dir_all(&folder).unwrap();
    let factors = FACTORS.map(|(axial, radial)| Stretch::new(axial, radial).unwrap());
    let all = solids();
    for (name, solid) in &all {
        for by in &factors {
            write(&folder, name, solid, by);
        }
    }
    let housing = demonstration(&parameters);
    for by in &factors[..OF_HOUSING] {
        write(&folder, "housing", &housing, by);
    }
    println!("{} solids and a housing, {} stretches", all.len(), factors.len());
}
