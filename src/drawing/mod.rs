//! Pictures of a part: shaded views with hidden surfaces and lines left out, as the bytes of a PNG file.
//!
//! The mesh is drawn into a depth buffer at some times the resolution ([`raster::FINE`], [`raster::QUICK`]); normals come from the exact
//! surfaces, so curved faces are shaded smoothly whatever the mesh. Lines are the sides of triangles between
//! two faces, or between a side seen and a side turned away.
//!
//! Holds afterwards: equal input gives equal bytes.
//! Does not promise: dimensions to be read off to better than a pixel.

mod bodies;
mod canvas;
mod lines;
mod projection;
mod raster;
mod shade;
mod sheet;
#[cfg(test)]
mod tests;
mod text;

pub use bodies::{MarkedPlaces, Shown};
pub use lines::{EdgeLines, edge_lines};
use projection::Axes;
pub use projection::View;
pub use sheet::Captions;

use std::collections::BTreeSet;

use solidwright::geometry::V3;
use solidwright::mesh::Mesh;

use bodies::{Faces, together};
use canvas::{Canvas, PAPER, Rgb};
use lines::{Stroke, strokes};
use projection::Eye;
use raster::Raster;
use shade::resolve;

/// Size of [`eight_views`], pixels.
pub const SHEET_SIZE: (u32, u32) = (sheet::WIDTH, sheet::HEIGHT);

/// Why a picture can't be made.
#[derive(Debug, thiserror::Error)]
pub enum PictureError {
    /// A part without any surface.
    #[error("there is nothing to draw")]
    Empty,
    /// The encoder refused.
    #[error("the picture can't be encoded: {0}")]
    Encode(#[from] png::EncodingError),
}

/// What is drawn: the faces of all bodies, their mesh, and the lines in it.
struct Subject<'a> {
    faces: Faces<'a>,
    mesh: Mesh,
    strokes: Vec<Stroke>,
    /// Samples along the side of a pixel.
    fine: usize,
}

impl<'a> Subject<'a> {
    fn new(bodies: &[Shown<'a>], fine: usize) -> Result<Self, PictureError> {
        let (faces, mesh) = together(bodies);
        if mesh.triangles.is_empty() {
            return Err(PictureError::Empty);
        }
        let strokes = strokes(&faces, &mesh);
        Ok(Self { faces, mesh, strokes, fine })
    }

    /// Draws the part as the eye sees it, the eye's middle at pixel `(x, y)`.
    fn draw(&self, canvas: &mut Canvas, eye: &Eye, at: (i64, i64)) {
        let mut raster = Raster::new(&self.mesh, eye);
        raster.fill(&self.mesh);
        raster.ink(&self.mesh, &self.strokes);
        resolve(&raster, &self.faces, &self.mesh, eye, canvas, at);
    }
}

/// One sheet with eight named views of some bodies, to one scale but for the two isometric ones. The views stand
/// as if the part were rolled over the paper (third angle): the left view in the middle with the gearbox face at
/// its left, the front to the left of it, the rear to its right, the right side farther right, the top above, the
/// bottom below. These six show the bodies at their places, the isometric ones as far apart as they are to be drawn. All of them stand
/// with `up` upwards, a direction square to the shaft.
///
/// # Errors
/// Bodies without triangles, or a refusing encoder.
pub fn eight_views(bodies: &[Shown], up: V3, captions: Captions) -> Result<Vec<u8>, PictureError> {
    let at_place: Vec<Shown> = bodies.iter().map(|body| Shown { moved: V3::zeros(), ..*body }).collect();
    let [at_place, apart] = [at_place.as_slice(), bodies].map(|bodies| Subject::new(bodies, raster::FINE));
    encode(&sheet::eight_views(&at_place?, &apart?, up, captions), png::Compression::Balanced)
}

/// Some views side by side, each as large as fits into its share of a picture of `size` pixels (each view's
/// share of the width is as its own width).
///
/// # Errors
/// As [`eight_views`]; no views are as no triangles.
pub fn side_by_side(bodies: &[Shown], views: &[View], size: (u32, u32)) -> Result<Vec<u8>, PictureError> {
    if views.is_empty() || size.0 == 0 || size.1 == 0 {
        return Err(PictureError::Empty);
    }
    let subject = Subject::new(bodies, raster::FINE)?;
    encode(&sheet::side_by_side(&subject, &axes(views), size), png::Compression::Balanced)
}

/// As [`side_by_side`], a little less finely and in fewer colours, each a palette's: a third of the bytes, for pages with many pictures.
///
/// # Errors
/// As [`side_by_side`].
pub fn small(bodies: &[Shown], views: &[View], size: (u32, u32)) -> Result<Vec<u8>, PictureError> {
    if views.is_empty() || size.0 == 0 || size.1 == 0 {
        return Err(PictureError::Empty);
    }
    let subject = Subject::new(bodies, raster::QUICK)?;
    encode_indexed(&sheet::side_by_side(&subject, &axes(views), size))
}

/// The directions of some views.
fn axes(views: &[View]) -> Vec<Axes> {
    views.iter().map(|view| view.axes()).collect()
}

/// Two views side by side, from both ends of one diagonal, drawn a little less finely: for a sheet. The bodies stand with `up` upwards, a
/// direction square to the shaft.
///
/// # Errors
/// As [`eight_views`].
pub fn both_ways(bodies: &[Shown], up: V3, size: (u32, u32)) -> Result<Vec<u8>, PictureError> {
    let subject = Subject::new(bodies, raster::QUICK)?;
    let views = [View::RearRightAbove, View::FrontLeftBelow].map(|view| view.axes().with_up(up));
    encode(&sheet::side_by_side(&subject, &views, size), png::Compression::Fast)
}

/// Encodes with a palette. Channels are rounded to the finest steps that leave no more colours than a palette holds.
fn encode_indexed(canvas: &Canvas) -> Result<Vec<u8>, PictureError> {
    let rounded = |step: u8| -> Vec<Rgb> {
        let round = |c: u8| c / step * step + (c / step).min(step - 1);
        canvas
            .rgb
            .chunks_exact(3)
            .map(|p| if p == PAPER { PAPER } else { [round(p[0]), round(p[1]), round(p[2])] })
            .collect()
    };
    let distinct = |pixels: &[Rgb]| pixels.iter().copied().collect::<BTreeSet<Rgb>>();
    let mut pixels = rounded(8);
    for step in [16, 32, 64] {
        if distinct(&pixels).len() <= 256 {
            break;
        }
        pixels = rounded(step);
    }
    let palette: Vec<Rgb> = distinct(&pixels).into_iter().collect();
    let index = |p: &Rgb| palette.binary_search(p).unwrap_or_default() as u8;
    let mut bytes = Vec::new();
    let mut encoder = png::Encoder::new(&mut bytes, canvas.width, canvas.height);
    encoder.set_color(png::ColorType::Indexed);
    encoder.set_depth(png::BitDepth::Eight);
    encoder.set_palette(palette.concat());
    encoder.set_compression(png::Compression::Balanced);
    let mut writer = encoder.write_header()?;
    writer.write_image_data(&pixels.iter().map(index).collect::<Vec<u8>>())?;
    writer.finish()?;
    Ok(bytes)
}

fn encode(canvas: &Canvas, compression: png::Compression) -> Result<Vec<u8>, PictureError> {
    let mut bytes = Vec::new();
    let mut encoder = png::Encoder::new(&mut bytes, canvas.width, canvas.height);
    encoder.set_color(png::ColorType::Rgb);
    encoder.set_depth(png::BitDepth::Eight);
    encoder.set_compression(compression);
    let mut writer = encoder.write_header()?;
    writer.write_image_data(&canvas.rgb)?;
    writer.finish()?;
    Ok(bytes)
}
