//! What is nearest to the eye, sample by sample, and where lines are seen.

use solidwright::geometry::V3;
use solidwright::mesh::{Mesh, each_sample};

use super::lines::{Kind, Stroke};
use super::projection::Eye;

/// Samples along the side of a pixel, for pictures that are looked at closely, and for small ones.
pub(super) const FINE: usize = 4;
pub(super) const QUICK: usize = 2;

/// No triangle is seen here.
pub(super) const NOTHING: u32 = u32::MAX;

/// Pixels of room around the part.
const ROOM: f64 = 3.0;

/// A line is seen when one of its faces is seen beside it, at most this many samples nearer to the eye than
/// the line: faces slope.
const NEARER: f64 = 16.0;

/// The same for outlines: just inside an outline a round face rises steeply.
const NEARER_OUTLINE: f64 = 80.0;

/// How far beside a line its faces are looked for, samples.
const REACH: f64 = 1.5;

/// Half the width of a line, pixels.
const PEN: f64 = 0.62;

/// Half the width of a faint line, pixels.
const FAINT_PEN: f64 = 0.45;

/// Places on the paper are rounded to this part of a sample: what lies on one upright line in space then does
/// so to the last bit, and the line is equally wide all along.
const GRID: f64 = 256.0;

/// Triangles that the eye sees at less than this sine count as turned away.
const EDGE_ON: f64 = 1e-7;

/// Ink of a sample.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Ink {
    /// No line here.
    None,
    /// A smooth joint.
    Faint,
    /// An edge or outline.
    Full,
}

/// A view's samples, rows from the top.
pub(super) struct Raster {
    /// Samples along the side of a pixel.
    pub(super) fine: usize,
    /// Size in samples, multiples of twice `fine`.
    pub(super) width: usize,
    pub(super) height: usize,
    /// Height of the nearest point towards the eye, mm.
    pub(super) depth: Vec<f32>,
    /// The triangle seen.
    pub(super) seen: Vec<u32>,
    pub(super) ink: Vec<Ink>,
    /// Samples a millimetre.
    pub(super) scale: f64,
    /// The mesh's vertices: sample coordinates (y down) and height towards the eye, mm.
    points: Vec<V3>,
    /// Whether the outside of each triangle is turned to the eye.
    facing: Vec<bool>,
}

impl Raster {
    /// An empty raster around the mesh as the eye sees it.
    pub(super) fn new(mesh: &Mesh, eye: &Eye) -> Self {
        let fine = eye.fine;
        let scale = eye.scale * fine as f64;
        let extent = eye.axes.extent(mesh).1 * eye.scale;
        let side = |length: f64| ((0.5 * length + ROOM).ceil() as usize) * 2 * fine;
        let (width, height) = (side(extent.x), side(extent.y));
        let place = |p: &solidwright::geometry::P3| {
            let q = eye.axes.see(p - eye.middle);
            let (x, y) = (0.5 * width as f64 + q.x * scale, 0.5 * height as f64 - q.y * scale);
            V3::new((x * GRID).round() / GRID, (y * GRID).round() / GRID, q.z)
        };
        let facing = |t: usize| {
            let [a, b, c] = mesh.corners(t);
            let normal = (b - a).cross(&(c - a));
            normal.dot(&eye.axes.toward) > EDGE_ON * normal.norm()
        };
        let n = width * height;
        Self {
            fine,
            width,
            height,
            depth: vec![f32::NEG_INFINITY; n],
            seen: vec![NOTHING; n],
            ink: vec![Ink::None; n],
            scale,
            points: mesh.vertices.iter().map(place).collect(),
            facing: (0..mesh.triangles.len()).map(facing).collect(),
        }
    }

    /// Draws every triangle turned to the eye.
    pub(super) fn fill(&mut self, mesh: &Mesh) {
        for t in 0..mesh.triangles.len() {
            if self.facing[t] {
                self.fill_triangle(mesh, t);
            }
        }
    }

    fn fill_triangle(&mut self, mesh: &Mesh, t: usize) {
        let corners = mesh.triangles[t].map(|v| self.points[v as usize]);
        each_sample(corners, [self.width, self.height], |column, row, z| {
            let (z, i) = (z as f32, row * self.width + column);
            if z > self.depth[i] {
                self.depth[i] = z;
                self.seen[i] = t as u32;
            }
        });
    }

    /// Draws the lines where they are seen.
    pub(super) fn ink(&mut self, mesh: &Mesh, strokes: &[Stroke]) {
        for stroke in strokes {
            let [a, b] = stroke.triangles.map(|t| self.facing[t as usize]);
            let (ink, outline) = match (stroke.kind, a, b) {
                (_, false, false) | (Kind::Inner, true, true) => continue,
                (Kind::Sharp, true, true) => (Ink::Full, false),
                (Kind::Smooth, true, true) => (Ink::Faint, false),
                _ => (Ink::Full, stroke.kind != Kind::Sharp),
            };
            self.draw(mesh, stroke, ink, outline);
        }
    }

    /// Draws a side where it is seen.
    fn draw(&mut self, mesh: &Mesh, stroke: &Stroke, ink: Ink, outline: bool) {
        let faces = stroke.triangles.map(|t| mesh.face_of[t as usize]);
        let [a, b] = stroke.ends.map(|v| self.points[v as usize]);
        let nearer = if outline { NEARER_OUTLINE } else { NEARER } / self.scale;
        let n = (b - a).xy().norm().ceil().max(1.0);
        for k in 0..=n as u32 {
            let p = a + (b - a) * (f64::from(k) / n);
            if self.is_seen(mesh, p, faces, nearer) {
                self.dot(p, ink);
            }
        }
    }

    /// Whether one of the faces is seen about the point, and not in front of it, or what is seen there lies behind it: a face that is
    /// narrower than a sample need not be seen anywhere, and its outline has nothing, or another body, on its far side.
    fn is_seen(&self, mesh: &Mesh, p: V3, faces: [u32; 2], nearer: f64) -> bool {
        let one_sample = 1.0 / self.scale;
        self.around(p, REACH).any(|i| {
            let (t, depth) = (self.seen[i], f64::from(self.depth[i]));
            // Where nothing is seen the depth is behind every point.
            let own = || faces.contains(&mesh.face_of[t as usize]);
            depth <= p.z + one_sample || depth <= p.z + nearer && own()
        })
    }

    /// A round dot of the pen.
    fn dot(&mut self, p: V3, ink: Ink) {
        let pen = if ink == Ink::Full { PEN } else { FAINT_PEN } * self.fine as f64;
        let width = self.width;
        let near = |i: &usize| {
            let (dx, dy) = ((i % width) as f64 + 0.5 - p.x, (i / width) as f64 + 0.5 - p.y);
            dx * dx + dy * dy <= pen * pen
        };
        let dots: Vec<usize> = self.around(p, pen).filter(near).collect();
        for i in dots {
            self.ink[i] = self.ink[i].max(ink);
        }
    }

    /// Samples in the square about a point.
    fn around(&self, p: V3, reach: f64) -> impl Iterator<Item = usize> + use<> {
        let span = |c: f64, size: usize| {
            let low = (c - reach).floor().max(0.0) as usize;
            low..((c + reach).floor().max(-1.0) as usize + 1).min(size)
        };
        let (columns, width) = (span(p.x, self.width), self.width);
        span(p.y, self.height).flat_map(move |row| columns.clone().map(move |column| row * width + column))
    }
}
