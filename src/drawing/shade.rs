//! From samples to pixels: colour, light, lines.

use solidwright::geometry::{P3, V3};
use solidwright::mesh::Mesh;
use solidwright::solid::{Brep, Finish};

use super::canvas::{Canvas, PAPER, Rgb};
use super::lines::outward;
use super::projection::Eye;
use super::raster::{FINE, Ink, NOTHING, Raster};

/// Colour of lines and letters.
pub(super) const LINE: Rgb = [38, 40, 46];

/// How much of a faint line is ink.
const FAINT: f64 = 0.4;

/// Light that reaches everything.
const AMBIENT: f64 = 0.42;

/// Light from the upper left, over the eye's shoulder; and its direction (right, up, toward).
const KEY: f64 = 0.56;
const KEY_FROM: [f64; 3] = [-0.42, 0.58, 0.7];

/// Weak light from the lower right.
const FILL: f64 = 0.14;
const FILL_FROM: [f64; 3] = [0.75, -0.35, 0.56];

/// Colour of a finish in full light: warm grey as cast, pale blue where metal is cut.
pub(super) fn colour_of(finish: Finish) -> Rgb {
    match finish {
        Finish::Formed => [203, 194, 180],
        Finish::Cut => [172, 206, 240],
    }
}

/// Puts the samples on the paper, their middle at pixel `at`.
pub(super) fn resolve(
    raster: &Raster,
    brep: &Brep,
    mesh: &Mesh,
    eye: &Eye,
    canvas: &mut Canvas,
    at: (i64, i64),
) {
    let (width, height) = (raster.width / FINE, raster.height / FINE);
    let scene = Scene { raster, brep, mesh, eye };
    let corner = (at.0 - (width / 2).cast_signed() as i64, at.1 - (height / 2).cast_signed() as i64);
    for y in 0..height {
        for x in 0..width {
            if let Some(colour) = scene.pixel(x, y) {
                canvas.set(corner.0 + x.cast_signed() as i64, corner.1 + y.cast_signed() as i64, colour);
            }
        }
    }
}

struct Scene<'a> {
    raster: &'a Raster,
    brep: &'a Brep,
    mesh: &'a Mesh,
    eye: &'a Eye,
}

impl Scene<'_> {
    /// The mean of a pixel's samples; nothing where all of them are blank. Samples of one face share the
    /// colour of the first of them: within a pixel it hardly changes.
    fn pixel(&self, x: usize, y: usize) -> Option<Rgb> {
        let mut sum = V3::zeros();
        let mut last = (NOTHING, V3::zeros());
        let mut blank = true;
        for row in y * FINE..(y + 1) * FINE {
            for column in x * FINE..(x + 1) * FINE {
                let i = row * self.raster.width + column;
                let (triangle, ink) = (self.raster.seen[i], self.raster.ink[i]);
                let mut colour = vector(PAPER);
                if triangle != NOTHING {
                    let face = self.mesh.face_of[triangle as usize];
                    if last.0 != face {
                        last = (face, self.light(face as usize, column, row));
                    }
                    colour = last.1;
                }
                let share = [0.0, FAINT, 1.0][ink as usize];
                blank &= triangle == NOTHING && ink == Ink::None;
                sum += colour + (vector(LINE) - colour) * share;
            }
        }
        let mean = sum / (FINE * FINE) as f64;
        (!blank).then(|| [mean.x, mean.y, mean.z].map(|c| (c + 0.5).clamp(0.0, 255.0) as u8))
    }

    /// The lit colour of a face at a sample.
    fn light(&self, face: usize, column: usize, row: usize) -> V3 {
        let (axes, raster) = (&self.eye.axes, self.raster);
        let q = V3::new(
            (column as f64 + 0.5 - 0.5 * raster.width as f64) / raster.scale,
            (0.5 * raster.height as f64 - row as f64 - 0.5) / raster.scale,
            f64::from(raster.depth[row * raster.width + column]),
        );
        let p: P3 = self.eye.middle + axes.unsee(q);
        let normal = axes.see(outward(self.brep, face, p));
        let from = |direction: [f64; 3]| normal.dot(&V3::from(direction).normalize()).max(0.0);
        let light = AMBIENT + KEY * from(KEY_FROM) + FILL * from(FILL_FROM);
        let base = vector(colour_of(self.brep.faces[face].tag.finish));
        // A normal is missing only at the tip of a cone or the like.
        base * if light.is_finite() { light.min(1.2) } else { 1.0 }
    }
}

fn vector(colour: Rgb) -> V3 {
    V3::from(colour.map(f64::from))
}
