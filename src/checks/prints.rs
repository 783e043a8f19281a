//! The trial print: walls that print, overhang, room on the bed.

use super::parts::PRINT;
use super::walls::{WEDGE, is_of_letter};
use super::{CHORD, Checks, Limit, Limits, Measurement, Sense, Unit, names};
use crate::design::Design;
use crate::faces::Feature;
use crate::forms::{FormPieces, Piece};
use crate::units::Mm;
use solidwright::mesh::Mesh;
use solidwright::probe::{Probe, Wall};

/// Faces that lean over more than this need support: the sine of 45 degrees, common practice.
const OVERHANG: f64 = 0.707;

/// Walls thicker than this are not examined, mm.
const LOOKED: f64 = 6.0;

pub(super) fn check(design: &Design, made: &FormPieces, limits: &Limits, out: &mut Checks) {
    for piece in &made.pieces {
        match Probe::new(&piece.solid, CHORD) {
            Ok(probe) => {
                wall(piece, &probe, limits, out);
                let lying = piece.on_bed(&probe.mesh().stretched(&piece.scale));
                bed(design, piece, &lying, out);
                overhang(piece, &lying, limits, out);
            }
            Err(error) => out.cannot(PRINT, &piece.name, &error),
        }
    }
}

/// The thinnest wall of a piece, and separately a wall that is thin only because the print is cut there.
fn wall(piece: &Piece, probe: &Probe, limits: &Limits, out: &mut Checks) {
    let faces = &piece.solid.brep().faces;
    let cut = |w: &Wall| w.faces.iter().any(|f| Feature::of(&faces[*f].tag) == Feature::PrintCut);
    let mut sliver: Option<Wall> = None;
    let thinnest = probe.thinnest_wall(LOOKED, |w| {
        if probe.is_wedge(w, WEDGE) || is_of_letter(faces, w) {
            return false;
        }
        if cut(w) && sliver.is_none_or(|s| w.thickness < s.thickness) {
            sliver = Some(*w);
        }
        !cut(w)
    });
    let make = |check, wall: &Wall, hint| {
        let value = (wall.thickness, Unit::Mm);
        Measurement::new(check, piece.name.as_str(), value, Sense::AtLeast, hint)
            .at(wall.points, names(piece.solid.brep(), wall.faces))
    };
    if let Some(wall) = thinnest {
        let hint = "no nozzle prints it: thicken it, or name a finer `trial_print.wall`";
        out.measurements.push(make("wall of the print", &wall, hint).fails_by(&limits.print_wall));
    }
    if let Some(wall) = sliver.filter(|s| thinnest.is_none_or(|t| s.thickness < t.thickness)) {
        let hint = "the print is cut there, the part has no such wall: dress the edge, or name another bed";
        out.measurements
            .push(make("edge where the print is cut", &wall, hint).warns_or_fails_by(&limits.print_wall));
    }
}

/// The room left on the bed, in the direction with the least.
fn bed(design: &Design, piece: &Piece, lying: &Mesh, out: &mut Checks) {
    let p = design.trial_print();
    let size = |k: usize| {
        let all = || lying.vertices.iter().map(|v| v[k]);
        all().fold(f64::NEG_INFINITY, f64::max) - all().fold(f64::INFINITY, f64::min)
    };
    let bed = p.bed().map(Mm::get);
    let left = |a: usize, b: usize| (bed[0] - size(a)).min(bed[1] - size(b));
    let room = left(0, 1).max(left(1, 0)).min(bed[2] - size(2));
    let hint = "name the printer's true bed, or print the half section";
    // Two margins across the bed, one at the top; the smaller requirement is the safe one to fail on.
    let source = "`trial_print.margin`".to_owned();
    let margin = Limit { value: p.margin().get(), source, given: false };
    out.measurements.push(
        Measurement::new("room on the bed", piece.name.as_str(), (room, Unit::Mm), Sense::AtLeast, hint)
            .fails_by(&margin),
    );
}

/// Share of the surface that overhangs.
fn overhang(piece: &Piece, lying: &Mesh, limits: &Limits, out: &mut Checks) {
    let (mut over, mut all) = (0.0, 0.0);
    for t in 0..lying.triangles.len() {
        let [a, b, c] = lying.corners(t);
        let normal = (b - a).cross(&(c - a));
        let area = 0.5 * normal.norm();
        all += area;
        let low = a.z.max(b.z).max(c.z) < 0.05;
        if !low && normal.z < -OVERHANG * normal.norm() {
            over += area;
        }
    }
    let share = over / f64::max(all, 1e-9);
    let hint = "plan for support, or print the half section, which lies on its cut";
    out.measurements.push(
        Measurement::new(
            "surface that overhangs, share",
            piece.name.as_str(),
            (share, Unit::One),
            Sense::AtMost,
            hint,
        )
        .warns_or_fails_by(&limits.overhang),
    );
}
