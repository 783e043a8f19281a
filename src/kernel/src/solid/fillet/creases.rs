//! Creases: where a path turns more tightly than the ball, two sheets of what the ball leaves meet before they fold.
//!
//! A point of a crease lies a radius from the path at two places, and nearer to it nowhere. The crease runs from where the
//! section's arc begins to fold to where it ceases ([`folds`]); both lie on arcs between two sheets. Where one of the two
//! places passes from one sheet to the next, the crease crosses the arc between them, and of that arc only what lies outside
//! the crease is left.

use super::crease_pieces::Crease;
use super::crease_points::CreaseTracer;
use super::folds;
use super::path::SmoothPath;
use super::sheets::Sheets;
use crate::tolerance::CREASE_END;

/// Where segments of a path must be cut so that its creases begin and end between segments: numbers of segments and places
/// along their spines, as lengths from their start, added to those already known.
pub(super) fn cuts(path: &SmoothPath<'_>, radius: f64, out: &mut Vec<(usize, f64)>) {
    let creases = folds::creases(path, radius);
    if creases.is_empty() {
        return;
    }
    for [a, b] in creases {
        let within = CREASE_END * radius;
        let places = if (a.at - b.at).abs() < within { vec![0.5 * (a.at + b.at)] } else { vec![a.at, b.at] };
        for at in places {
            let k = &path.stretches[path.at(at)];
            let known = at - k.from < within || k.to - at < within;
            let along = if k.forward { at - k.from } else { k.to - at };
            if !known {
                add(out, (k.number, along), within);
            }
        }
    }
    // Of a closed path any two segments may meet at one end only, so that an arc tells where it lies between them.
    let own = path.own_stretches();
    if path.is_closed() && own.len() < 3 {
        for k in own {
            let length = k.to - k.from;
            add(out, (k.number, length / 3.0), 0.1 * length);
            add(out, (k.number, length / 1.5), 0.1 * length);
        }
    }
}

/// Adds a cut unless there is one so near.
fn add(out: &mut Vec<(usize, f64)>, cut: (usize, f64), within: f64) {
    if !out.iter().any(|c| c.0 == cut.0 && (c.1 - cut.1).abs() < within) {
        out.push(cut);
    }
}

/// All creases of a path whose segments have been cut; of those that are not found the numbers of the segments that fold there.
pub(super) fn creases(path: &SmoothPath<'_>, sheets: &Sheets<'_>) -> (Vec<Crease>, Vec<usize>) {
    let (mut out, mut lost) = (Vec::new(), Vec::new());
    for ends in folds::creases(path, sheets.radius) {
        if let Some(crease) = CreaseTracer::new(path, sheets, ends).and_then(|t| t.crease()) {
            out.push(crease);
        } else {
            let (lo, hi) = (ends[0].at.min(ends[1].at), ends[0].at.max(ends[1].at));
            let near = CREASE_END * sheets.radius;
            let own = path.stretches.iter().filter(|k| k.to > lo - near && k.from < hi + near);
            lost.extend(own.map(|k| k.number));
        }
    }
    (out, lost)
}
