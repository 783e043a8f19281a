//! Writes bodies with root fillets for Open CASCADE to judge: of each NAME.step (filleted), NAME.json (what is known
//! of it) and NAME.sharp.json (the bodies, the ball's radius, and what was made of the joints).
//!
//! `cargo run --release --example fillet_cases -- DIR`

#![allow(clippy::print_stdout, clippy::unwrap_used, reason = "an example prints and may stop")]

#[path = "../tests/common/mod.rs"]
mod common;

use std::fs;
use std::path::{Path, PathBuf};

use common::files::write_solid;
use common::fillet_cases::{FilletCase, Filleted, hard, leaning, leaning_bars, simple};
use serde_json::{Value, json};
use solidwright::solid::fillet::Joint;
use tailpattern::export::sidecar;

/// The bodies with the radii of their rounded ends, as Open CASCADE is to build them.
fn bodies(case: &FilletCase) -> Value {
    let mut tree = sidecar::tree(&case.plain_tree());
    for (step, body) in tree["steps"].as_array_mut().unwrap().iter_mut().zip(&case.plain) {
        step["rounds"] = json!(body.rounds());
    }
    tree
}

fn joint(j: &Joint) -> Value {
    json!({
        "faces": j.faces.each_ref().map(ToString::to_string),
        "asked_mm": j.asked,
        "made_mm": j.made,
        "trouble": j.failure.map(|t| format!("{t:?}")),
    })
}

fn facts(case: &FilletCase, made: &Filleted, hard: bool) -> Value {
    json!({
        "name": case.name,
        "hard": hard,
        "folded": made.plan.folded(),
        "radius_mm": case.radius,
        "sharp_volume_mm3": made.plain.mass().volume,
        "added_mm3": made.solid.mass().volume - made.sharp.mass().volume,
        "closed_form_mm3": case.added,
        "surfaces": case.surfaces,
        "fillet_faces": made.solid.brep().faces.iter().filter(|f| f.tag.role.starts_with("fillet")).count(),
        "joints": made.fillets.joints.iter().map(joint).collect::<Vec<_>>(),
        "tree": bodies(case),
    })
}

fn write(folder: &Path, case: &FilletCase, hard: bool) -> Result<(), String> {
    let made = case.build()?;
    let stem: String = case.name.chars().map(|c| if c == ' ' { '_' } else { c }).collect();
    write_solid(folder, &stem, &made.solid, made.solid.mass(), &[])?;
    let known = format!("{:#}\n", facts(case, &made, hard));
    fs::write(folder.join(format!("{stem}.sharp.json")), known).map_err(|e| e.to_string())
}

fn main() {
    let folder = PathBuf::from(std::env::args().nth(1).expect("the name of a folder for the files"));
    fs::create_dir_all(&folder).unwrap();
    let mut faulty = 0;
    let hard = hard().into_iter().chain(leaning()).chain(leaning_bars());
    let all = simple().into_iter().map(|c| (c, false)).chain(hard.map(|c| (c, true)));
    for (case, hard) in all {
        if let Err(fault) = write(&folder, &case, hard) {
            println!("{}: {fault}", case.name);
            faulty += 1;
        }
    }
    assert!(faulty == 0, "{faulty} cases could not be written");
}
