//! Draws the pictures for the README: the part from rear, right and above, and from the rear; and its forms side by side.
//!
//! `cargo run --release --example readme_picture -- [params/demo_mm.yaml] [examples/demo.png] [examples/forms.png]`

use std::error::Error;
use std::path::PathBuf;

use solidwright::mesh::triangulate;
use tailpattern::design::Design;
use tailpattern::drawing::{Shown, View, side_by_side};
use tailpattern::housing::Housing;
use tailpattern::{export, forms, housing, params};

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
    let mesh = triangulate(&housing.solid, 0.02)?;
    let bytes =
        side_by_side(&[Shown::new(housing.solid.brep(), &mesh)], &[View::RearRightAbove, View::Rear], SIZE)?;
    export::files::write_atomic(&picture, &bytes)?;
    let picture = names.next().unwrap_or_else(|| "examples/forms.png".into());
    export::files::write_atomic(&picture, &forms_sheet(&design, &housing)?)?;
    Ok(())
}

/// Width and height of one form, pixels.
const FORM: (u32, u32) = (400, 400);

/// The pattern's upper half, the core, the lower half of its box, and the first piece of the trial print.
fn forms_sheet(design: &Design, housing: &Housing) -> Result<Vec<u8>, Box<dyn Error>> {
    let cast = forms::casting(design, housing)?;
    let made = [
        (forms::pattern(&cast)?, 0, View::RearRightAbove),
        (forms::core(&cast)?, 0, View::RearRightAbove),
        (forms::core_box(&cast)?, 1, View::RearRightAbove),
        (forms::trial_print(design, housing)?, 0, View::RearRightAbove),
    ];
    let mut rows: Vec<Vec<u8>> = vec![Vec::new(); FORM.1 as usize];
    for (form, piece, view) in &made {
        let piece = &form.pieces[*piece];
        let mesh = triangulate(&piece.solid, 0.02)?;
        let bytes = side_by_side(&[Shown::new(piece.solid.brep(), &mesh)], &[*view], FORM)?;
        let mut reader = png::Decoder::new(std::io::Cursor::new(bytes)).read_info()?;
        let mut pixels = vec![0; reader.output_buffer_size().ok_or("a picture too large")?];
        reader.next_frame(&mut pixels)?;
        for (row, line) in rows.iter_mut().zip(pixels.chunks(FORM.0 as usize * 3)) {
            row.extend(line);
        }
    }
    let mut out = Vec::new();
    let mut encoder = png::Encoder::new(&mut out, FORM.0 * made.len() as u32, FORM.1);
    encoder.set_color(png::ColorType::Rgb);
    encoder.set_depth(png::BitDepth::Eight);
    encoder.write_header()?.write_image_data(&rows.concat())?;
    Ok(out)
}
