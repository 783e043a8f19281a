//! Draws the picture for the README: the part from rear, right and above, and from the rear.
//!
//! `cargo run --release --example readme_picture -- [params/demo_mm.yaml] [examples/demo.png]`

use std::error::Error;
use std::path::PathBuf;

use tailpattern::design::Design;
use tailpattern::drawing::{View, side_by_side};
use tailpattern::mesh::triangulate;
use tailpattern::{export, housing, params};

/// Width and height, pixels.
const SIZE: (u32, u32) = (1200, 600);

fn main() -> Result<(), Box<dyn Error>> {
    let mut names = std::env::args_os().skip(1).map(PathBuf::from);
    let file = names.next().unwrap_or_else(|| "params/demo_mm.yaml".into());
    let picture = names.next().unwrap_or_else(|| "examples/demo.png".into());
    let (_, raw) = params::load(&file)?;
    let raw = raw.map_err(|_| "the parameter file has faults; `tailpattern build` tells them")?;
    let design =
        Design::validate(raw).value.ok_or("the design has faults; `tailpattern build` tells them")?;
    let housing = housing::build(&design)?;
    let mesh = triangulate(&housing.brep, 0.02)?;
    let bytes = side_by_side(&housing.brep, &mesh, &[View::RearRightAbove, View::Rear], SIZE)?;
    export::files::write_atomic(&picture, &bytes)?;
    Ok(())
}
