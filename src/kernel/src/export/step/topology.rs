//! Vertices, edges, loops, faces, shells and solids.

use std::collections::BTreeMap;

use crate::export::nets::canal::CanalMap;
use crate::export::nets::spline::piece;
use crate::geometry::{Bounds, Curve, P2, Surface};
use crate::solid::{Brep, HalfEdge};
use crate::tolerance::BOX_MARGIN;

use super::StepError;
use super::geometry::Geometry;
use super::part21::{Bool, Id, List, Part21, Text};

/// An outer shell and the voids inside it, by index.
pub(super) struct Body {
    outer: usize,
    voids: Vec<usize>,
}

/// Gives each void to the body that holds it. With one body there is no choice; else the boxes must leave
/// exactly one.
pub(super) fn bodies(brep: &Brep) -> Result<Vec<Body>, StepError> {
    let indices = || 0..brep.shells.len();
    let mut bodies: Vec<Body> =
        indices().filter(|s| !brep.shells[*s].void).map(|outer| Body { outer, voids: Vec::new() }).collect();
    for void in indices().filter(|s| brep.shells[*s].void) {
        if let [only] = bodies.as_mut_slice() {
            only.voids.push(void);
            continue;
        }
        let inner = shell_bounds(brep, void);
        let holders: Vec<usize> =
            (0..bodies.len()).filter(|b| holds(&shell_bounds(brep, bodies[*b].outer), &inner)).collect();
        let [holder] = holders.as_slice() else {
            return Err(StepError::HomelessVoid { at: inner.min, candidates: holders.len() });
        };
        bodies[*holder].voids.push(void);
    }
    Ok(bodies)
}

fn holds(outer: &Bounds, inner: &Bounds) -> bool {
    (0..3).all(|i| outer.min[i] <= inner.min[i] + BOX_MARGIN && inner.max[i] <= outer.max[i] + BOX_MARGIN)
}

/// A box around the edges of a shell and the middles of its faces.
fn shell_bounds(brep: &Brep, shell: usize) -> Bounds {
    let mut bounds = Bounds::empty();
    for f in &brep.shells[shell].faces {
        let face = &brep.faces[*f];
        if matches!(face.surface, Surface::Sphere(_)) {
            bounds.include(face.chart.to_space(P2::origin()));
        }
        for h in face.loops.iter().flatten() {
            for k in 0..8 {
                bounds.include(brep.edge_point(h.edge, f64::from(k) / 8.0));
            }
            bounds.include(brep.edge_point(h.edge, 1.0));
        }
    }
    bounds
}

/// Writes the topology of a boundary, each vertex, edge and face once.
pub(super) struct Topology<'a> {
    brep: &'a Brep,
    vertices: Vec<Option<Id>>,
    edges: Vec<Option<Id>>,
    faces: Vec<Option<Id>>,
    surfaces: Vec<Option<Id>>,
    /// Of each edge on a folded canal the canals beside it.
    folded: BTreeMap<usize, Vec<usize>>,
    /// The maps of those canals on which a path was asked for.
    maps: BTreeMap<usize, Option<CanalMap<'a>>>,
}

impl<'a> Topology<'a> {
    /// Nothing written yet.
    pub(super) fn new(brep: &'a Brep) -> Self {
        Self {
            brep,
            vertices: vec![None; brep.vertices.len()],
            edges: vec![None; brep.edges.len()],
            faces: vec![None; brep.faces.len()],
            surfaces: vec![None; brep.faces.len()],
            folded: beside_folds(brep),
            maps: BTreeMap::new(),
        }
    }

    /// The entities of the faces, by index; none for faces that belong to no shell.
    pub(super) fn faces(&self) -> &[Option<Id>] {
        &self.faces
    }

    /// Writes a body as a solid.
    pub(super) fn solid(
        &mut self,
        file: &mut Part21,
        geometry: &mut Geometry,
        body: &Body,
        name: &str,
    ) -> Id {
        let outer = self.shell(file, geometry, body.outer);
        let name = Text(name);
        if body.voids.is_empty() {
            return file.add(format_args!("MANIFOLD_SOLID_BREP({name},{outer})"));
        }
        let mut voids = Vec::with_capacity(body.voids.len());
        for void in &body.voids {
            let shell = self.shell(file, geometry, *void);
            voids.push(file.add(format_args!("ORIENTED_CLOSED_SHELL('',*,{shell},.F.)")));
        }
        file.add(format_args!("BREP_WITH_VOIDS({name},{outer},{})", List(&voids)))
    }

    /// Writes a shell. A void's faces are written looking out of the void, into the material: the oriented
    /// shell around it turns them back.
    fn shell(&mut self, file: &mut Part21, geometry: &mut Geometry, shell: usize) -> Id {
        let brep = self.brep;
        let shell = &brep.shells[shell];
        let mut faces = Vec::with_capacity(shell.faces.len());
        for f in &shell.faces {
            let id = self.face(file, geometry, *f, shell.void);
            self.faces[*f] = Some(id);
            faces.push(id);
        }
        file.add(format_args!("CLOSED_SHELL('',{})", List(&faces)))
    }

    /// Writes a face; the loops run counter-clockwise about its own normal, which is the surface's one
    /// turned around where `same_sense` says so.
    fn face(&mut self, file: &mut Part21, geometry: &mut Geometry, number: usize, turned: bool) -> Id {
        let face = &self.brep.faces[number];
        let mut bounds = Vec::with_capacity(face.loops.len());
        for (i, half_edges) in face.loops.iter().enumerate() {
            let edges = self.edge_loop(file, geometry, half_edges, turned);
            let bound = if i == 0 { "FACE_OUTER_BOUND" } else { "FACE_BOUND" };
            bounds.push(file.add(format_args!("{bound}('',{edges},.T.)")));
        }
        let surface = self.surface(file, geometry, number);
        let name = face.tag.to_string();
        let (name, bounds, sense) = (Text(&name), List(&bounds), Bool(face.same_sense != turned));
        file.add(format_args!("ADVANCED_FACE({name},{bounds},{surface},{sense})"))
    }

    fn surface(&mut self, file: &mut Part21, geometry: &mut Geometry, face: usize) -> Id {
        let brep = self.brep;
        *self.surfaces[face].get_or_insert_with(|| geometry.surface(file, brep, &brep.faces[face]))
    }

    fn edge_loop(
        &mut self,
        file: &mut Part21,
        geometry: &mut Geometry,
        half_edges: &[HalfEdge],
        turned: bool,
    ) -> Id {
        let mut oriented = Vec::with_capacity(half_edges.len());
        for h in half_edges {
            let edge = self.edge(file, geometry, h.edge);
            let sense = Bool(h.forward != turned);
            oriented.push(file.add(format_args!("ORIENTED_EDGE('',*,*,{edge},{sense})")));
        }
        if turned {
            oriented.reverse();
        }
        file.add(format_args!("EDGE_LOOP('',{})", List(&oriented)))
    }

    fn edge(&mut self, file: &mut Part21, geometry: &mut Geometry, index: usize) -> Id {
        if let Some(id) = self.edges[index] {
            return id;
        }
        let edge = &self.brep.edges[index];
        let start = self.vertex(file, geometry, edge.start);
        let end = self.vertex(file, geometry, edge.end);
        let curve = geometry.curve(file, edge);
        let curve = self.with_paths(file, geometry, index, curve);
        let id = file.add(format_args!("EDGE_CURVE('',{start},{end},{curve},.T.)"));
        self.edges[index] = Some(id);
        id
    }

    /// The curve of an edge, with its paths on the folded canals beside it: near the end of a fold a reader that looks for them
    /// point by point takes the wrong one of two sheets, and calls the edge off its surface.
    fn with_paths(&mut self, file: &mut Part21, geometry: &mut Geometry, index: usize, curve: Id) -> Id {
        let brep = self.brep;
        let edge = &brep.edges[index];
        let (Curve::Spline(spline), Some(faces)) = (&edge.curve, self.folded.get(&index)) else {
            return curve;
        };
        let spline = piece(spline, edge.range);
        let maps = &mut self.maps;
        let on = |face: &usize| {
            let map = maps.entry(*face).or_insert_with(|| CanalMap::of(brep, &brep.faces[*face]));
            Some((*face, map.as_ref()?.path(&spline)?))
        };
        let paths: Vec<_> = faces.iter().filter_map(on).collect();
        if paths.is_empty() {
            return curve;
        }
        let mut written = Vec::with_capacity(paths.len());
        for (face, path) in paths {
            let surface = self.surface(file, geometry, face);
            written.push(geometry.path(file, surface, &path));
        }
        file.add(format_args!("SURFACE_CURVE('',{curve},{},.CURVE_3D.)", List(&written)))
    }

    fn vertex(&mut self, file: &mut Part21, geometry: &mut Geometry, index: usize) -> Id {
        if let Some(id) = self.vertices[index] {
            return id;
        }
        let point = geometry.image(file, self.brep.vertices[index]);
        let id = file.add(format_args!("VERTEX_POINT('',{point})"));
        self.vertices[index] = Some(id);
        id
    }
}

/// The edges of folded canals, and of each the canals beside it.
fn beside_folds(brep: &Brep) -> BTreeMap<usize, Vec<usize>> {
    let mut beside: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for (number, face) in brep.faces.iter().enumerate() {
        if matches!(face.surface, Surface::Canal(_)) {
            for h in face.loops.iter().flatten() {
                beside.entry(h.edge).or_default().push(number);
            }
        }
    }
    let folds = |f: &usize| matches!(&brep.faces[*f].surface, Surface::Canal(c) if c.is_folded());
    beside.retain(|_, faces| faces.iter().any(folds));
    beside
}
