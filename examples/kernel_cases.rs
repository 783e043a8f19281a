//! Writes the named solids of the kernel tests and some random ones for other programs to judge: of each
//! NAME.step, NAME.stl and NAME.json (what is known of it).
//!
//! `cargo run --release --example kernel_cases -- DIR [RANDOM]`

#![allow(clippy::print_stdout, clippy::unwrap_used, reason = "an example prints and may stop")]

#[path = "../tests/common/mod.rs"]
mod common;

use std::fs;
use std::path::{Path, PathBuf};

use common::cases::Cases;
use common::files::write_solid;
use common::random_tree::random_tree;
use common::{closed_forms, hard_cases};

use solidwright::export::stl;
use solidwright::geometry::Surface;
use solidwright::mesh::triangulate;
use solidwright::solid::{Brep, BrepFace, Solid};
use tailpattern::housing::Bore;

/// Random trees whose solids are written.
const RANDOM: usize = 40;

/// Chord error of the meshes, mm.
const CHORD: f64 = 0.05;

fn named() -> Cases {
    let mut all = Cases::default();
    for fill in [
        closed_forms::elementary_solids,
        closed_forms::equal_crossing_cylinders,
        closed_forms::drilled_sphere,
        closed_forms::torus_cut_by_planes_and_cylinders,
        closed_forms::prism_with_draft,
        closed_forms::cylinder_through_cone,
        hard_cases::small_cylinder_through_a_large_one_has_two_loops,
        hard_cases::plane_sections_of_a_torus,
        hard_cases::slab_as_wide_as_its_tube,
        hard_cases::walls_that_touch_the_flat_end_of_a_pocket,
        hard_cases::boss_flush_with_a_pad,
        hard_cases::holes_that_meet_or_nearly,
        hard_cases::hole_through_an_edge_and_through_a_corner,
        hard_cases::cone_apex_inside_and_on_a_face,
        hard_cases::counterbore_bottom_flush_with_a_step,
        hard_cases::equal_coaxial_bores_end_to_end,
        hard_cases::bosses_inside_and_voids,
        hard_cases::edges_through_corners_and_faces_in_planes,
        hard_cases::crossing_cylinders_nearly_equal,
        hard_cases::cylinders_that_touch_from_inside,
    ] {
        fill(&mut all);
    }
    for depth in [1.0, 0.1, 0.01, 1e-3, 1e-4] {
        all.counted(&format!("grazing by {depth}"), &hard_cases::a_grazing_cylinder(depth));
    }
    all
}

/// Letters and digits of a name, the rest as underscores.
fn file_name(name: &str) -> String {
    name.chars().map(|c| if c.is_ascii_alphanumeric() || c == '.' { c } else { '_' }).collect()
}

/// The cylindrical faces, each as a bore to be found again.
fn bores(brep: &Brep) -> Vec<Bore> {
    let bore = |f: &BrepFace| match &f.surface {
        Surface::Cylinder(c) => {
            Some(Bore { tag: f.tag.clone(), radius: c.radius, point: c.frame.origin, axis: c.frame.z })
        }
        _ => None,
    };
    brep.faces.iter().filter_map(bore).collect()
}

/// Writes the files of one solid; a volume known in closed form takes the place of the measured one.
fn write(folder: &Path, name: &str, solid: &Solid, volume: Option<f64>) -> Result<(), String> {
    let mut mass = *solid.mass();
    mass.volume = volume.unwrap_or(mass.volume);
    let stem = file_name(name);
    write_solid(folder, &stem, solid, &mass, &bores(solid.brep()))?;
    let mesh = triangulate(solid, CHORD).map_err(|e| e.to_string())?;
    let bytes = stl(&mesh, name).map_err(|e| e.to_string())?;
    fs::write(folder.join(format!("{stem}.stl")), bytes).map_err(|e| e.to_string())
}

fn main() {
    let mut args = std::env::args().skip(1);
    let folder = PathBuf::from(args.next().expect("the name of a folder for the files"));
    let wanted = args.next().map_or(RANDOM, |n| n.parse().expect("a number of random solids"));
    fs::create_dir_all(&folder).unwrap();
    let cases = named().0;
    for case in &cases {
        let solid = Solid::of(case.tree.clone()).unwrap_or_else(|e| panic!("{}: {e}", case.name));
        write(&folder, &case.name, &solid, case.volume).unwrap_or_else(|e| panic!("{}: {e}", case.name));
    }
    // Trees that give no solid, or more than one, are passed by.
    let sound = (1..).filter_map(|seed| Some((seed, Solid::of(random_tree(seed)).ok()?)));
    for (seed, solid) in sound.filter(|(_, solid)| solid.brep().bodies() == 1).take(wanted) {
        write(&folder, &format!("random {seed:04}"), &solid, None)
            .unwrap_or_else(|e| panic!("seed {seed}: {e}"));
    }
    println!("{} named and {wanted} random solids", cases.len());
}
