//! What lies on the surface of a face, but beyond its rim: places between a piece of an edge and its chord.

use spade::{Point2, PositionInTriangulation, Triangulation};

use crate::geometry::P2;
use crate::solid::Brep;

use super::edge_points::EdgePoints;
use super::fill::{Cdt, Job};

impl Job {
    /// The pieces of edges that must be halved before points are put at these places: where an edge is hollow towards the face, the chords of its
    /// pieces reach beyond it, and what is put in between piece and chord would lie on the surface, but off the face.
    pub(super) fn beyond_rim(
        &self,
        cdt: &Cdt,
        places: &[P2],
        brep: &Brep,
        edge_points: &EdgePoints,
    ) -> Vec<usize> {
        let mut told = Vec::new();
        for place in places {
            let beside = match cdt.locate(Point2::new(place.x, place.y)) {
                PositionInTriangulation::OnFace(face) => vec![cdt.face(face)],
                PositionInTriangulation::OnEdge(edge) => {
                    let edge = cdt.directed_edge(edge);
                    [edge.face(), edge.rev().face()].into_iter().filter_map(|face| face.as_inner()).collect()
                }
                _ => vec![],
            };
            for edge in
                beside.into_iter().flat_map(|face| face.adjacent_edges()).filter(|e| e.is_constraint_edge())
            {
                let ends = [edge.from().data().number, edge.to().data().number];
                let piece = self.pieces_at(|a, b| [a, b] == ends || [b, a] == ends);
                told.extend(piece.into_iter().filter(|k| self.cut_off(*k, *place, brep, edge_points)));
            }
        }
        told.sort_unstable();
        told.dedup();
        told
    }

    /// Whether a place of the map lies between a piece of an edge and its chord.
    fn cut_off(&self, piece: usize, place: P2, brep: &Brep, edge_points: &EdgePoints) -> bool {
        let [from, to] = self.pieces[piece].map(|n| self.map[n as usize]);
        let along = edge_points.within(brep, self.names[piece]).into_iter();
        let mut outline: Vec<P2> = along.map(|p| self.face_map.place(p)).collect();
        if outline.first().is_some_and(|p| (p - from).norm() > (p - to).norm()) {
            outline.reverse();
        }
        outline.insert(0, from);
        outline.push(to);
        encloses(&outline, place)
    }
}

/// Whether an outline goes round a place: a line from there to one side crosses it an odd number of times.
fn encloses(outline: &[P2], place: P2) -> bool {
    let sides = outline.iter().zip(outline.iter().cycle().skip(1));
    let crossed = sides.filter(|(a, b)| {
        (a.y > place.y) != (b.y > place.y) && place.x < a.x + (place.y - a.y) / (b.y - a.y) * (b.x - a.x)
    });
    crossed.count() % 2 == 1
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::{Frame, P3, Surface, V3};
    use crate::solid::samples;

    /// Half a ball is bounded by great circles. A place between a piece of one and its chord is cut off by the chord, and one as far on the other side of
    /// the chord is not.
    #[test]
    fn a_place_between_a_piece_of_an_edge_and_its_chord_is_cut_off() {
        let brep = samples::sphere(&Frame::from_zx(P3::origin(), V3::z(), V3::x()), 12.0);
        let edge_points = EdgePoints::new(&brep, 0.05);
        let face = brep.faces.iter().find(|face| matches!(face.surface, Surface::Sphere(_))).expect("a half");
        let job = Job::new(&brep, &edge_points, face, 0.05);
        for piece in 0..job.pieces.len() {
            let [from, to] = job.pieces[piece].map(|n| job.map[n as usize]);
            let inner = edge_points.within(&brep, job.names[piece]);
            let crown = job.face_map.place(inner[inner.len() / 2]);
            let chord = nalgebra::center(&from, &to);
            let asked = |share: f64| job.cut_off(piece, chord + (crown - chord) * share, &brep, &edge_points);
            if (crown - chord).norm() > 1e-6 {
                assert!(asked(0.5) && asked(0.9), "piece {piece}: between chord and edge");
                assert!(!asked(-0.5) && !asked(1.1), "piece {piece}: on the other side of either");
            }
        }
    }

    #[test]
    fn an_outline_goes_round_what_lies_within_it() {
        let outline: Vec<P2> =
            (0..=16).map(|k| f64::from(k) / 16.0).map(|t| P2::new(t, 0.1 * 4.0 * t * (1.0 - t))).collect();
        assert!(encloses(&outline, P2::new(0.5, 0.09)), "below the crown of the arc");
        assert!(!encloses(&outline, P2::new(0.5, 0.11)), "above it");
        assert!(!encloses(&outline, P2::new(0.5, -0.01)), "beyond the chord");
    }
}
