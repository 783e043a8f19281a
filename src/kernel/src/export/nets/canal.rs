//! A canal as a rational B-spline surface.

use crate::tolerance::CANAL_FILE_FIT;
use std::f64::consts::PI;

use crate::geometry::{BSpline, Canal, P2, P3};
use crate::solid::{Brep, BrepFace};

use super::{Direction, Net};

/// How far the written piece runs on beyond the face, as an angle.
const MARGIN: f64 = 0.02;

/// The piece of the canal that holds the face: cubic along the spine, arcs across, exact.
pub(crate) fn net(brep: &Brep, face: &BrepFace, canal: &Canal) -> Net {
    let (lo, hi) = angles(brep, face, canal);
    let (across, columns) = Direction::arcs(lo, hi);
    let paths = paths(canal, &columns);
    let along = Direction::cubic(&paths[0].knots);
    let row = |i: usize| paths.iter().zip(&columns).map(|(path, c)| (path.control[i], c.1)).collect();
    let poles = (0..along.poles()).map(row).collect();
    Net { u: along, v: across, poles }
}

/// Range of the angle that the face's edges take.
fn angles(brep: &Brep, face: &BrepFace, canal: &Canal) -> (f64, f64) {
    let middle = canal.angle(face.chart.to_space(P2::origin()));
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
fn paths(canal: &Canal, columns: &[(f64, f64)]) -> Vec<BSpline> {
    let length = canal.spine.length();
    let mut n: usize = 8;
    loop {
        let params: Vec<f64> = (0..=n).map(|i| length * i as f64 / n as f64).collect();
        let paths: Vec<BSpline> = columns
            .iter()
            .map(|(angle, weight)| {
                let at = |t: f64| canal.pole(t, *angle, *weight);
                let points: Vec<P3> = params.iter().map(|t| at(*t).0).collect();
                BSpline::through(&params, &points, at(0.0).1, at(length).1)
            })
            .collect();
        let off = |path: &BSpline, (angle, weight): (f64, f64)| {
            let places = params.windows(2).flat_map(|w| [0.27, 0.5, 0.73].map(|k| w[0] + (w[1] - w[0]) * k));
            places.map(|t| (path.point(t) - canal.pole(t, angle, weight).0).norm()).fold(0.0, f64::max)
        };
        let worst = paths.iter().zip(columns).map(|(p, c)| off(p, *c)).fold(0.0, f64::max);
        if worst < CANAL_FILE_FIT || n >= 2048 {
            return paths;
        }
        n *= 2;
    }
}
