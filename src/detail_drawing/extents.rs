//! How far pieces of patterns and core boxes reach.

use solidwright::geometry::{P2, V3};
use solidwright::mesh::{MeshError, triangulate};
use solidwright::solid::Solid;

use crate::forms::Piece;

/// What a round print may differ between both sides and along its length, mm: a tenth of what is printed.
pub(super) const ROUND: f64 = 0.01;

/// How low and how high chords reach at a station.
pub(super) fn heights(chords: &[[P2; 2]], x: f64) -> Option<[f64; 2]> {
    let met = chords.iter().filter(|[a, b]| (a.x > x) != (b.x > x));
    let heights = met.map(|[a, b]| a.y + (b.y - a.y) * (x - a.x) / (b.x - a.x));
    heights.map(|y| [y, y]).reduce(|[low, high], [y, _]| [low.min(y), high.max(y)])
}

/// Chord error by which sizes of pieces are taken, mm: a tenth of what is printed.
const SIZE_CHORD: f64 = 0.01;

/// How long a piece is along three directions, mm: by its mesh, since a round face reaches further than places on its edges.
pub(super) fn extent(piece: &Piece, along: &[V3; 3]) -> Result<V3, MeshError> {
    let mesh = triangulate(&piece.solid, SIZE_CHORD)?;
    let (mut low, mut high) = (V3::repeat(f64::INFINITY), V3::repeat(f64::NEG_INFINITY));
    for p in &mesh.vertices {
        let own = V3::from(along.map(|way| p.coords.dot(&way)));
        (low, high) = (low.inf(&own), high.sup(&own));
    }
    Ok(high - low)
}

/// Whether a solid lies on both sides of the plane through the origin square to a direction.
pub(super) fn meets(solid: &Solid, normal: V3) -> bool {
    let off = || solid.brep().vertices.iter().map(|p| p.coords.dot(&normal));
    off().any(|h| h < -0.01) && off().any(|h| h > 0.01)
}
