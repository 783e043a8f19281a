//! What can be told of a mesh by itself, and its image under a stretch.

use super::{Mesh, MeshError};
use crate::geometry::{P3, Stretch};

impl Mesh {
    /// The image under a stretch, closed and oriented as before. No distance grows by more than the larger factor, so
    /// the chord error against the image of the boundary is at most the old one times [`Stretch::largest`].
    #[must_use]
    pub fn stretched(&self, by: &Stretch) -> Self {
        Self { vertices: self.vertices.iter().map(|p| by.point(*p)).collect(), ..self.clone() }
    }

    /// The corners of a triangle.
    pub fn corners(&self, triangle: usize) -> [P3; 3] {
        self.triangles[triangle].map(|v| self.vertices[v as usize])
    }

    /// Volume inside, mm³; negative when the mesh is inside out.
    pub fn volume(&self) -> f64 {
        // About a vertex of the mesh, so that no digits are lost far from the origin.
        let Some(&base) = self.vertices.first() else { return 0.0 };
        let sum: f64 = (0..self.triangles.len())
            .map(|t| {
                let [a, b, c] = self.corners(t).map(|p| p - base);
                a.dot(&b.cross(&c))
            })
            .sum();
        sum / 6.0
    }

    /// Area, mm².
    pub fn area(&self) -> f64 {
        let sum: f64 = (0..self.triangles.len())
            .map(|t| {
                let [a, b, c] = self.corners(t);
                (b - a).cross(&(c - a)).norm()
            })
            .sum();
        sum * 0.5
    }

    /// Whether each side of each triangle is matched by exactly one opposite side of another.
    ///
    /// # Errors
    /// A side that is not.
    pub fn check_closed(&self) -> Result<(), MeshError> {
        // Sides sorted by the vertex they leave, by counting.
        let mut first = vec![0usize; self.vertices.len() + 1];
        for &v in self.triangles.iter().flatten() {
            first[v as usize + 1] += 1;
        }
        for v in 0..self.vertices.len() {
            first[v + 1] += first[v];
        }
        let mut heads = vec![0u32; 3 * self.triangles.len()];
        let mut next = first.clone();
        for t in &self.triangles {
            for k in 0..3 {
                let slot = &mut next[t[k] as usize];
                heads[*slot] = t[(k + 1) % 3];
                *slot += 1;
            }
        }
        let sides = |from: u32, to: u32| {
            heads[first[from as usize]..first[from as usize + 1]].iter().filter(|h| **h == to).count()
        };
        for t in &self.triangles {
            for k in 0..3 {
                let (from, to) = (t[k], t[(k + 1) % 3]);
                if from == to || sides(from, to) != 1 || sides(to, from) != 1 {
                    return Err(MeshError::Open { from, to });
                }
            }
        }
        Ok(())
    }
}
