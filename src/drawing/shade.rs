//! From samples to pixels: colour, light, lines.

use solidwright::geometry::{P3, V3};
use solidwright::mesh::Mesh;
use solidwright::solid::Finish;

use super::bodies::{Faces, Look};
use super::canvas::{Canvas, PAPER, Rgb};
use super::projection::Eye;
use super::raster::{Ink, NOTHING, Raster};

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

/// Colour of a face in full light: warm grey as cast, pale blue where metal is cut, red where it is marked.
pub(super) fn colour_of(look: Look) -> Rgb {
    match look {
        Look::Finish(Finish::Formed) => [203, 194, 180],
        Look::Finish(Finish::Cut) => [172, 206, 240],
        Look::Marked => [222, 96, 72],
        Look::Poured => [226, 178, 96],
        Look::Chill => [104, 112, 128],
        Look::Chaplet => [150, 84, 160],
        Look::Print => [150, 146, 138],
    }
}

/// Puts the samples on the paper, their middle at pixel `at`.
pub(super) fn resolve(
    raster: &Raster,
    faces: &Faces,
    mesh: &Mesh,
    eye: &Eye,
    canvas: &mut Canvas,
    at: (i64, i64),
) {
    let (width, height) = (raster.width / raster.fine, raster.height / raster.fine);
    let [key, fill] = [KEY_FROM, FILL_FROM].map(|from| V3::from(from).normalize());
    let scene = Scene { raster, faces, mesh, eye, key, fill, paper: vector(PAPER), line: vector(LINE) };
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
    faces: &'a Faces<'a>,
    mesh: &'a Mesh,
    eye: &'a Eye,
    /// Directions from which light comes.
    key: V3,
    fill: V3,
    /// Colours that most samples have.
    paper: V3,
    line: V3,
}

impl Scene<'_> {
    /// The mean of a pixel's samples; nothing where all of them are blank. Samples of one face share the
    /// colour of the first of them: within a pixel it hardly changes.
    fn pixel(&self, x: usize, y: usize) -> Option<Rgb> {
        let (raster, fine) = (self.raster, self.raster.fine);
        let first = y * fine * raster.width + x * fine;
        let (mut sum, mut blank) = (V3::zeros(), true);
        let mut last = (NOTHING, V3::zeros());
        let (paper, line) = (self.paper, self.line);
        for row in 0..fine {
            let from = first + row * raster.width;
            for i in from..from + fine {
                let (triangle, ink) = (raster.seen[i], raster.ink[i]);
                let mut colour = paper;
                if triangle != NOTHING {
                    let face = self.mesh.face_of[triangle as usize];
                    if last.0 != face {
                        last = (face, self.light(face as usize, i - from + x * fine, y * fine + row));
                    }
                    colour = last.1;
                }
                match ink {
                    Ink::None => blank &= triangle == NOTHING,
                    Ink::Faint => (blank, colour) = (false, colour + (line - colour) * FAINT),
                    Ink::Full => (blank, colour) = (false, line),
                }
                sum += colour;
            }
        }
        let mean = sum / (fine * fine) as f64;
        if blank {
            return None;
        }
        let byte = |c: f64| (c + 0.5).clamp(0.0, 255.0) as u8;
        Some([byte(mean.x), byte(mean.y), byte(mean.z)])
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
        let normal = axes.see(self.faces.outward(face, p));
        let from = |direction: &V3| normal.dot(direction).max(0.0);
        let light = AMBIENT + KEY * from(&self.key) + FILL * from(&self.fill);
        let base = vector(colour_of(self.faces.look_at(face, p)));
        // A normal is missing only at the tip of a cone or the like.
        base * if light.is_finite() { light.min(1.2) } else { 1.0 }
    }
}

fn vector([r, g, b]: Rgb) -> V3 {
    V3::new(f64::from(r), f64::from(g), f64::from(b))
}
