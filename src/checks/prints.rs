//! The trial print: walls that print, overhang, room on the bed.

use super::walls::SharedEdges;
use super::{CHORD, Checked, Checks, Limit, Limits, Sense, Unit};
use crate::design::Design;
use crate::forms::{Made, Piece};
use crate::mesh::{Mesh, triangulate};
use crate::probe::Probe;
use crate::units::Mm;
use std::collections::BTreeMap;

/// Faces that lean over more than this need support: the sine of 45 degrees, common practice.
const OVERHANG: f64 = 0.707;

/// Walls thicker than this are not looked at, mm.
const LOOKED: f64 = 6.0;

pub(super) fn check(design: &Design, made: &Made, limits: &Limits, out: &mut Checks) {
    for piece in &made.pieces {
        wall(piece, limits, out);
        match triangulate(&piece.brep, CHORD) {
            Ok(mesh) => {
                let lying = piece.on_bed(&mesh.stretched(&piece.scale));
                bed(design, piece, &lying, out);
                overhang(piece, &lying, limits, out);
            }
            Err(error) => out.not("print on its bed", format!("{}: {error}", piece.name)),
        }
    }
}

fn line(
    check: &'static str,
    what: &str,
    value: f64,
    unit: Unit,
    sense: Sense,
    hint: &'static str,
) -> Checked {
    let what = what.to_owned();
    Checked { check, what, value, unit, sense, limit: None, soft: None, at: vec![], faces: vec![], hint }
}

/// The thinnest wall of a piece.
fn wall(piece: &Piece, limits: &Limits, out: &mut Checks) {
    let Ok(probe) = Probe::new(&piece.brep, CHORD) else {
        out.not("walls of the print", format!("{}: no mesh", piece.name));
        return;
    };
    let names: BTreeMap<String, u32> =
        probe.brep().faces.iter().map(|f| f.tag.to_string()).zip(0..).collect();
    let groups: Vec<Option<u32>> =
        probe.brep().faces.iter().map(|f| names.get(&f.tag.to_string()).copied()).collect();
    let walls = probe.least_walls(LOOKED, |face| groups[face]);
    let edges = SharedEdges::of(&piece.brep);
    let thinnest = walls
        .iter()
        .filter(|w| !w.is_sharp_edge() && !edges.wedge(w))
        .min_by(|a, b| a.thickness.total_cmp(&b.thickness));
    let Some(wall) = thinnest else { return };
    let hint = "no nozzle prints it: thicken it, or name a finer `trial_print.wall`";
    let mut checked = line("wall of the print", &piece.name, wall.thickness, Unit::Mm, Sense::AtLeast, hint);
    checked.limit = Some(limits.print_wall.clone());
    checked.at = wall.points.to_vec();
    checked.faces = wall.faces.iter().map(|f| probe.brep().faces[*f].tag.to_string()).collect();
    out.checked.push(checked);
}

/// What is left of the bed, in the direction that has least.
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
    let mut checked = line("room on the bed", &piece.name, room, Unit::Mm, Sense::AtLeast, hint);
    // On both sides of the bed, at the top only once; the smaller demand is the safe one to fail on.
    let source = "`trial_print.margin`".to_owned();
    checked.limit = Some(Limit { value: p.margin().get(), source, given: false });
    out.checked.push(checked);
}

/// Share of the surface that hangs over.
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
    let mut checked =
        line("surface that overhangs, share", &piece.name, share, Unit::One, Sense::AtMost, hint);
    checked.soft = Some(limits.overhang.clone());
    out.checked.push(checked);
}
