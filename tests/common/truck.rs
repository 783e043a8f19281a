//! The boundary as a truck-topology solid: a second validator.

use solidwright::geometry::{Curve, P3, Surface};
use solidwright::solid::{Brep, HalfEdge};
use truck_topology::{Edge, Face, Shell, Solid, Vertex, Wire, errors::Error};

/// A truck-topology solid over the kernel's points, curves and surfaces.
pub(super) type TruckSolid = Solid<P3, Curve, Surface>;

/// Hands a boundary to truck-topology, which checks by itself that wires close and don't cross, that each
/// shell is closed, connected and manifold.
///
/// # Errors
/// truck-topology's own error where one of its checks fails.
pub(super) fn to_truck(brep: &Brep) -> Result<TruckSolid, Error> {
    let vertices: Vec<Vertex<P3>> = brep.vertices.iter().map(|p| Vertex::new(*p)).collect();
    let edges = brep
        .edges
        .iter()
        .map(|e| Edge::try_new(&vertices[e.start], &vertices[e.end], e.curve.clone()))
        .collect::<Result<Vec<_>, _>>()?;
    let wire = |half_edges: &Vec<HalfEdge>, along: bool| -> Wire<P3, Curve> {
        let oriented = half_edges
            .iter()
            .map(|h| if h.forward { edges[h.edge].clone() } else { edges[h.edge].inverse() });
        let wire: Wire<P3, Curve> = oriented.collect();
        if along { wire } else { wire.inverse() }
    };
    let mut shells = Vec::new();
    for shell in &brep.shells {
        let mut faces = Shell::new();
        for &f in &shell.faces {
            let face = &brep.faces[f];
            let wires = face.loops.iter().map(|l| wire(l, face.same_sense)).collect();
            let mut truck_face = Face::try_new(wires, face.surface.clone())?;
            if !face.same_sense {
                truck_face.invert();
            }
            faces.push(truck_face);
        }
        shells.push(faces);
    }
    Solid::try_new(shells)
}
