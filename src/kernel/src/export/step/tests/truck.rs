//! The written text as truck-stepio's reader, an independent one, understands it.

use truck_geotrait::{BoundedCurve, ParametricCurve, ParametricSurface, SearchNearestParameter};
use truck_stepio::r#in::{
    Table,
    alias::{Curve3D, Surface},
};
use truck_topology::shell::ShellCondition;

use crate::geometry::{P3, Stretch};
use crate::solid::Brep;

use super::super::of_boundary;
use super::{info, samples};

/// Greatest distance allowed between what was written and what truck-stepio makes of it, mm. Its splines and
/// conics pass through matrices and are cut at the vertices, which costs some digits.
const REREAD: f64 = 1e-7;

type Shell = truck_topology::compress::CompressedShell<truck_stepio::r#in::alias::Point3, Curve3D, Surface>;

fn reread(brep: &Brep) -> Vec<Shell> {
    reread_stretched(brep, &Stretch::NONE)
}

fn reread_stretched(brep: &Brep, by: &Stretch) -> Vec<Shell> {
    let bytes = of_boundary(brep, by, &info()).expect("a file");
    let table = Table::from_step(&String::from_utf8(bytes).expect("plain ASCII")).expect("readable");
    let mut shells: Vec<_> = table.shell.iter().collect();
    shells.sort_by_key(|(id, _)| **id);
    shells.into_iter().map(|(_, s)| table.to_compressed_shell(s).expect("convertible")).collect()
}

fn middle(curve: &Curve3D) -> P3 {
    let (from, to) = curve.range_tuple();
    let p = curve.subs(f64::midpoint(from, to));
    P3::new(p.x, p.y, p.z)
}

#[test]
fn nothing_is_lost_and_shells_are_closed() {
    for (name, brep, _) in samples::all(samples::skew()) {
        let shells = reread(&brep);
        let count = |of: &dyn Fn(&Shell) -> usize| shells.iter().map(of).sum::<usize>();
        assert_eq!(shells.len(), brep.shells.len(), "{name}: shells");
        assert_eq!(count(&|s| s.faces.len()), brep.faces.len(), "{name}: faces");
        assert_eq!(count(&|s| s.edges.len()), brep.edges.len(), "{name}: edges");
        assert_eq!(count(&|s| s.vertices.len()), brep.vertices.len(), "{name}: vertices");
        for shell in shells {
            let shell = truck_topology::Shell::extract(shell).expect("sound topology");
            assert_eq!(shell.shell_condition(), ShellCondition::Closed, "{name}: closed");
        }
    }
}

#[test]
fn edges_run_where_they_should() {
    for (name, brep, _) in samples::all(samples::skew()) {
        for edge in reread(&brep).iter().flat_map(|s| &s.edges) {
            let p = middle(&edge.curve);
            let near = (0..brep.edges.len()).map(|e| (brep.edge_point(e, 0.5) - p).norm());
            let off = near.fold(f64::INFINITY, f64::min);
            assert!(off < REREAD, "{name}: {off} mm from every edge's middle: {p}");
        }
    }
}

#[test]
fn edges_lie_on_their_surfaces() {
    for (name, brep, _) in samples::all(samples::skew()) {
        edges_near_surfaces(name, &reread(&brep));
    }
}

#[test]
fn stretched_edges_lie_on_their_surfaces() {
    let by = Stretch::new(1.3, 0.9).expect("two factors");
    for (name, brep, _) in samples::all(samples::skew()) {
        edges_near_surfaces(name, &reread_stretched(&brep, &by));
    }
}

fn edges_near_surfaces(name: &str, shells: &[Shell]) {
    for shell in shells {
        for face in &shell.faces {
            for h in face.boundaries.iter().flatten() {
                let p = middle(&shell.edges[h.index].curve);
                let q = truck_stepio::r#in::alias::Point3::new(p.x, p.y, p.z);
                let (u, v) = face.surface.search_nearest_parameter(q, None, 100).expect("a foot point");
                let foot = face.surface.subs(u, v);
                let off = (P3::new(foot.x, foot.y, foot.z) - p).norm();
                assert!(off < 10.0 * REREAD, "{name}: {off} mm off a surface at {p}");
            }
        }
    }
}
