//! Chills: round blocks of iron against the casting, on the side of the mould.

use super::{PlacedChill, Site};
use crate::checks::FedLump;
use solidwright::geometry::{Frame, P3, V3};

/// Diameter of a chill, in balls of its lump.
const WIDE: f64 = 0.9;

/// How far from a lump's middle its chill may touch, in balls.
const NEAR: f64 = 1.0;

/// Places that are tried for one chill.
const TRIES: usize = 80;

/// How far apart they are, in diameters of the chill.
const APART: f64 = 0.12;

/// Points about the rim of a chill's face at which metal is asked for, and how many of them must have it.
const RIM: usize = 8;
const HELD: usize = 6;

/// How far below the face metal is asked for, mm: a cast face may bend away by so much under a chill that is dressed to it.
const UNDER: f64 = 3.0;

/// The nearest place where a chill of a lump lies on metal and is free in the sand, not in a core, nor in another chill.
pub(super) fn chill(
    site: &Site,
    number: usize,
    lump: &FedLump,
    others: &[PlacedChill],
) -> Option<PlacedChill> {
    let (diameter, thickness) = (WIDE * lump.ball, 0.5 * (lump.chill[0] + lump.chill[1]));
    let mut near: Vec<(f64, usize, P3)> = (0..site.mesh.triangles.len())
        .map(|t| (t, middle(site.mesh.corners(t))))
        .map(|(t, p)| ((p - lump.at).norm(), t, p))
        .filter(|(away, ..)| *away < NEAR * lump.ball)
        .collect();
    near.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut tried: Vec<P3> = Vec::new();
    for (_, t, at) in near {
        if tried.len() >= TRIES {
            break;
        }
        let [a, b, c] = site.mesh.corners(t);
        let Some(normal) = (b - a).cross(&(c - a)).try_normalize(1e-12) else { continue };
        if tried.iter().any(|p| (p - at).norm() < APART * diameter) {
            continue;
        }
        tried.push(at);
        let placed = PlacedChill { lump: number, at, normal, diameter, thickness };
        if fits(site, &placed) && others.iter().all(|other| apart(other, &placed)) {
            return Some(placed);
        }
    }
    None
}

fn middle([a, b, c]: [P3; 3]) -> P3 {
    P3::from((a.coords + b.coords + c.coords) / 3.0)
}

/// Whether most of its face lies on metal, and all of it beyond is sand.
fn fits(site: &Site, chill: &PlacedChill) -> bool {
    let frame = frame(chill);
    let rim = || {
        (0..RIM).map(|k| {
            let (s, c) = (std::f64::consts::TAU * k as f64 / RIM as f64).sin_cos();
            V3::new(c, s, 0.0) * (0.5 * chill.diameter)
        })
    };
    let at = |d: V3, height: f64| frame.point(d.x, d.y, height);
    let free = |p: P3| !site.pattern.contains(p);
    let levels = [1.5, 0.5 * chill.thickness, chill.thickness];
    levels.iter().all(|h| free(at(V3::zeros(), *h)))
        && rim().all(|d| levels.iter().all(|h| free(at(d, *h))))
        && rim().filter(|d| site.casting.contains(at(*d, -UNDER))).count() >= HELD
}

/// On the middle of its face, z away from the metal.
pub(super) fn frame(chill: &PlacedChill) -> Frame {
    let towards = if chill.normal.x.abs() < 0.8 { V3::x() } else { V3::y() };
    Frame::from_zx(chill.at, chill.normal, towards)
}

/// Whether two chills lie apart: by the balls about their middles.
fn apart(a: &PlacedChill, b: &PlacedChill) -> bool {
    let middle = |c: &PlacedChill| c.at + c.normal * (0.5 * c.thickness);
    (middle(a) - middle(b)).norm() > 0.5 * (a.diameter + b.diameter) + 2.0
}
