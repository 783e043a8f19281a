//! Where faces end in roundings over which the solid falls off.
//!
//! A cast ring around a shell has a drafted side, a rounded crest and a fillet at its foot: seen across the shaft it has neither a sharp edge
//! nor a silhouette but at its ends. ISO 128-3 (from memory) shows imaginary intersections by narrow continuous lines; here the
//! line stands where the crest runs out.

use solidwright::geometry::{P3, Surface, V3};
use solidwright::probe::Probe;
use solidwright::solid::BrepFace;

/// A step into a face along which its bend is measured, mm.
const STEP: f64 = 0.05;

/// Radii of roundings, mm: what bends less is a face of its own, and a smaller one is not seen.
const LEAST_RADIUS: f64 = 0.2;
const GREATEST_RADIUS: f64 = 15.0;

/// The face that runs out bends less than this share of its rounding.
const BENDS_LESS: f64 = 0.2;

/// Cosine of the angle by which a rounding turns at least: sides of features, no blunt bends of a wall.
const TURNED: f64 = 0.7;

/// How far the other side of a rounding may be off, in its radii: a right angle has 1.4.
const ACROSS: f64 = 2.0;

/// Shares of an edge at which both ends of its rounding are compared.
const SHARES: [f64; 5] = [0.1, 0.3, 0.5, 0.7, 0.9];

/// Places on an edge at which the other side of a rounding is looked for.
const PLACES: u32 = 48;

/// Whether at an edge between faces that run on smoothly a flat face, cylinder or cone ends in a convex rounding, over which the solid turns away from
/// the eye: of both ends of a rounding the one whose face looks more at the eye.
pub(super) fn ends_round(probe: &Probe, edge: usize, eye: V3) -> bool {
    let brep = probe.brep();
    let sides = probe.sides()[edge];
    let of_feature = |face: usize| {
        matches!(brep.faces[face].surface, Surface::Plane(_) | Surface::Cylinder(_) | Surface::Cone(_))
    };
    let own = &brep.edges[edge];
    let middle = 0.5 * (own.range.0 + own.range.1);
    let (p, along) = own.curve.jet(middle);
    let Some(along) = along.try_normalize(f64::MIN_POSITIVE) else { return false };
    // The face of the forward half-edge lies to the left of it, seen from outside.
    let bend = |side: usize| {
        let face = &brep.faces[sides[side]];
        let normal = face.outward(p);
        let inwards = normal.cross(&along) * if side == 0 { 1.0 } else { -1.0 };
        // Positive where the solid falls off.
        face.outward(face.surface.closest(p + inwards * STEP)).dot(&inwards) / STEP
    };
    [(0, 1), (1, 0)].into_iter().any(|(flat, rounding)| {
        let bent = bend(rounding);
        of_feature(sides[flat])
            && (1.0 / GREATEST_RADIUS..=1.0 / LEAST_RADIUS).contains(&bent)
            && bend(flat).abs() < BENDS_LESS * bent
            && looks_more(probe, (edge, sides[rounding]), eye, ACROSS / bent)
    })
}

/// Whether at an edge of a rounding the solid looks more at the eye than at the rounding's other end: on the whole, where either does.
fn looks_more(probe: &Probe, (edge, face): (usize, usize), eye: V3, reach: f64) -> bool {
    let brep = probe.brep();
    let (own, face) = (&brep.edges[edge], &brep.faces[face]);
    let others = face.loops.iter().flatten().filter(|half| half.edge != edge);
    let places: Vec<P3> = others
        .flat_map(|half| {
            let other = &brep.edges[half.edge];
            let at =
                |k: u32| other.range.0 + (other.range.1 - other.range.0) * f64::from(k) / f64::from(PLACES);
            (0..=PLACES).map(move |k| other.curve.point(at(k)))
        })
        .collect();
    let more = |share: f64| {
        let p = own.curve.point(own.range.0 + (own.range.1 - own.range.0) * share);
        let here = face.outward(p);
        let there = opposite(face, &places, (p, here), reach)?;
        let looks = [here, there].map(|normal| normal.dot(&eye));
        looks.iter().any(|x| *x > 0.0).then(|| looks[0] - looks[1])
    };
    SHARES.into_iter().filter_map(more).sum::<f64>() > 0.0
}

/// The normal at the nearest of some places of a face to which it turns far from one of its points.
fn opposite(face: &BrepFace, places: &[P3], (p, normal): (P3, V3), reach: f64) -> Option<V3> {
    let near = places.iter().map(|q| ((q - p).norm(), q)).filter(|(off, _)| *off < reach);
    let turned = near.map(|(off, q)| (off, face.outward(*q))).filter(|(_, n)| n.dot(&normal) < TURNED);
    turned.min_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, n)| n)
}
