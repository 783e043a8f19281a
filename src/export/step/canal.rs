//! A canal as a rational B-spline surface.

use std::f64::consts::PI;

use crate::geometry::{BSpline, Canal, P3};
use crate::solid::{Brep, BrepFace};

use super::geometry::Geometry;
use super::part21::{Id, List, Part21, Real};

/// Distance between the written surface and the exact one, mm.
const FIT: f64 = 4e-7;

/// Greatest angle of one arc of a section.
const ARC: f64 = 0.55 * PI;

/// How far the written piece runs on beyond the face, as an angle.
const MARGIN: f64 = 0.02;

/// Writes the piece of the canal that holds the face: arcs across, exact, cubic along the spine.
pub(super) fn write(
    geometry: &mut Geometry,
    file: &mut Part21,
    brep: &Brep,
    face: &BrepFace,
    canal: &Canal,
) -> Id {
    let (lo, hi) = angles(brep, face, canal);
    let arcs = ((hi - lo) / ARC).ceil().max(1.0);
    let half = 0.5 * (hi - lo) / arcs;
    // Poles across: on the tube at the ends of arcs, off it between them.
    let columns: Vec<(f64, f64)> = (0..=2 * arcs as usize)
        .map(|k| (lo + half * k as f64, if k % 2 == 0 { 1.0 } else { half.cos() }))
        .collect();
    let rows = rows(canal, &columns);
    let knots = &rows[0].knots;
    // Rows run along the spine (first parameter), columns across (second).
    let list: Vec<String> = (0..rows[0].control.len())
        .map(|i| {
            let ids: Vec<Id> = rows.iter().map(|r| geometry.point(file, &r.control[i])).collect();
            List(&ids).to_string()
        })
        .collect();
    let weights: Vec<Real> = columns.iter().map(|c| Real(c.1)).collect();
    let weights = vec![List(&weights).to_string(); list.len()];
    let mut along = vec![1; knots.len()];
    for end in [0, knots.len() - 1] {
        along[end] = 4;
    }
    let across: Vec<Real> = (0..=arcs as usize).map(|k| Real(lo + 2.0 * half * k as f64)).collect();
    let mut turns = vec![2; across.len()];
    for end in [0, across.len() - 1] {
        turns[end] = 3;
    }
    let knots: Vec<Real> = knots.iter().copied().map(Real).collect();
    file.add(format_args!(
        "(BOUNDED_SURFACE()B_SPLINE_SURFACE(3,2,({}),.UNSPECIFIED.,.F.,.F.,.F.)B_SPLINE_SURFACE_WITH_KNOTS({},{},{},{},.UNSPECIFIED.)GEOMETRIC_REPRESENTATION_ITEM()RATIONAL_B_SPLINE_SURFACE(({}))REPRESENTATION_ITEM('')SURFACE())",
        list.join(","),
        List(&along),
        List(&turns),
        List(&knots),
        List(&across),
        weights.join(",")
    ))
}

/// Range of the angle that the face's edges take.
fn angles(brep: &Brep, face: &BrepFace, canal: &Canal) -> (f64, f64) {
    let middle = canal.angle(face.chart.to_space(crate::geometry::P2::origin()));
    let (mut lo, mut hi) = (f64::INFINITY, f64::NEG_INFINITY);
    for h in face.loops.iter().flatten() {
        for k in 0..=32 {
            let v = canal.angle(brep.edge_point(h.edge, f64::from(k) / 32.0)) - middle;
            let v = middle + (v + PI).rem_euclid(2.0 * PI) - PI;
            (lo, hi) = (lo.min(v), hi.max(v));
        }
    }
    (lo - MARGIN, hi + MARGIN)
}

/// The paths of the poles as splines over common knots, as fine as the fit asks.
fn rows(canal: &Canal, columns: &[(f64, f64)]) -> Vec<BSpline> {
    let length = canal.spine.length();
    let mut n: usize = 8;
    loop {
        let params: Vec<f64> = (0..=n).map(|i| length * i as f64 / n as f64).collect();
        let rows: Vec<BSpline> = columns
            .iter()
            .map(|(angle, weight)| {
                let at = |t: f64| canal.pole(t, *angle, *weight);
                let points: Vec<P3> = params.iter().map(|t| at(*t).0).collect();
                BSpline::through(&params, &points, at(0.0).1, at(length).1)
            })
            .collect();
        let off = |row: &BSpline, (angle, weight): (f64, f64)| {
            let places = params.windows(2).flat_map(|w| [0.27, 0.5, 0.73].map(|k| w[0] + (w[1] - w[0]) * k));
            places.map(|t| (row.point(t) - canal.pole(t, angle, weight).0).norm()).fold(0.0, f64::max)
        };
        let worst = rows.iter().zip(columns).map(|(r, c)| off(r, *c)).fold(0.0, f64::max);
        if worst < FIT || n >= 2048 {
            return rows;
        }
        n *= 2;
    }
}
