//! Sections: what a plane leaves of a solid, and its cut faces.

use solidwright::geometry::{Frame, P2, P3, Surface, V2, V3};
use solidwright::mesh::MeshError;
use solidwright::probe::Probe;
use solidwright::solid::{
    Op, Primitive, PrimitiveError, Solid, SolidError, SolidTree, Tag, rounded_rectangle,
};

use super::hidden::{SeenLines, view};
use super::page;
use super::projection::Direction;
use super::webs::Webs;

/// A face counts as cut where its plane is nearer to the section's than this, mm.
const IN_PLANE: f64 = 1e-7;

/// Where the solid itself touches the plane the cut is moved by one of these, mm, and tried again: at half size
/// no more than half the width of a narrow line.
const ASIDE: [f64; 12] = [-0.004, 0.004, -0.011, 0.011, -0.03, 0.03, -0.07, 0.07, -0.15, 0.15, -0.24, 0.24];

/// Chord error of the mesh that finds silhouettes, mm.
pub const CHORD: f64 = 0.05;

/// A section as it is seen: mm on the part.
#[derive(Clone, Debug)]
pub struct CutView {
    /// Edges of what is left, seen towards the plane.
    pub view: SeenLines,
    /// The loops of the cut faces as corners of chords.
    pub cut: Vec<Vec<P2>>,
    /// Ribs and webs that are cut lengthwise, which are not hatched; none unless [`CutView::with_webs`] has looked for them.
    pub webs: Webs,
    /// Towards the eye.
    pub from: Direction,
}

impl CutView {
    /// With the webs that it cuts lengthwise: `bodies` are all of the solid without fillets, `is_web` tells which of them may be one.
    #[must_use]
    pub fn with_webs(
        mut self,
        solid: &Solid,
        bodies: &[Primitive],
        is_web: impl Fn(&Primitive) -> bool,
        at: P3,
        tag: &Tag,
    ) -> Self {
        self.webs = webs_of(solid, bodies, is_web, (at, self.from, tag));
        self
    }
}

/// Why there is no section.
#[derive(Debug, thiserror::Error)]
pub enum SectionError {
    /// The half space cannot be described.
    #[error("the cutting plane: {0}")]
    Plane(#[from] PrimitiveError),
    /// What is left has no sound boundary.
    #[error("the solid cannot be cut: {0}")]
    Cut(#[from] Box<SolidError>),
    /// What is left cannot be meshed.
    #[error("the cut solid: {0}")]
    Mesh(#[from] MeshError),
}

/// Cuts a solid by the plane through a point square to the view, and takes away what lies before it. `tag` names the cut.
///
/// # Errors
/// [`SectionError`], where the solid cannot be cut there, nor a hair to either side.
pub fn section(solid: &Solid, at: P3, from: Direction, tag: &Tag) -> Result<CutView, SectionError> {
    beside(at, from, |at| {
        let (left, cut) = cut_at(solid, at, from, tag)?;
        let probe = Probe::new(&left, CHORD)?;
        Ok(CutView { view: view(&probe, &from), cut, webs: Webs::default(), from })
    })
}

/// The loops of the cut faces alone, as [`CutView::cut`] has them: nothing is looked at.
///
/// # Errors
/// As [`section`].
pub fn cut_loops(solid: &Solid, at: P3, from: Direction, tag: &Tag) -> Result<Vec<Vec<P2>>, SectionError> {
    beside(at, from, |at| Ok(cut_at(solid, at, from, tag)?.1))
}

/// What is made at a plane, or at the first one a hair to either side where it can be made.
fn beside<T>(
    at: P3,
    from: Direction,
    made: impl Fn(P3) -> Result<T, SectionError>,
) -> Result<T, SectionError> {
    let aside = |by: f64| made(at + from.eye() * by);
    aside(0.0).or_else(|error| ASIDE.into_iter().find_map(|by| aside(by).ok()).ok_or(error))
}

/// An axis of a box is along a direction where their cosine is this near to 1.
const ALONG: f64 = 1e-9;

/// A plane this near to a web's side does not cut it lengthwise, mm.
const INSIDE: f64 = 0.05;

/// Whether a plane cuts a body lengthwise: it is thinnest across the plane, which runs between its sides. Only of planes along two axes is that
/// told by its box.
fn is_cut_lengthwise(body: &Primitive, at: P3, from: Direction) -> bool {
    let (bounds, eye) = (body.bounds(), from.eye());
    let size = bounds.max - bounds.min;
    let Some(axis) = (0..3).find(|k| eye[*k].abs() > 1.0 - ALONG) else { return false };
    let thinnest = (0..3).all(|k| size[axis] <= size[k]);
    thinnest && bounds.min[axis] + INSIDE < at[axis] && at[axis] < bounds.max[axis] - INSIDE
}

/// The webs of a solid in a section's plane; none where what is left without them has no sound boundary.
fn webs_of(
    solid: &Solid,
    bodies: &[Primitive],
    is_web: impl Fn(&Primitive) -> bool,
    (at, from, tag): (P3, Direction, &Tag),
) -> Webs {
    let (webs, rest): (Vec<&Primitive>, Vec<&Primitive>) =
        bodies.iter().partition(|body| is_web(body) && is_cut_lengthwise(body, at, from));
    let loops = |bodies: &[&Primitive], cut: bool| {
        let mut tree = SolidTree::new();
        for body in bodies {
            tree.add((*body).clone());
        }
        let cuts = solid.tree().steps().iter().filter(|s| cut && s.op == Op::Cut);
        for step in cuts {
            tree.cut(step.primitive.clone());
        }
        cut_loops(&Solid::of(tree).ok()?, at, from, tag).ok()
    };
    let each: Option<Vec<_>> = webs.iter().map(|web| loops(&[*web], false)).collect();
    let found = || Some(Webs::new(each?.concat(), loops(&rest, true)?));
    if webs.is_empty() { Webs::default() } else { found().unwrap_or_default() }
}

/// What is left behind a plane, and the loops of its cut faces.
fn cut_at(solid: &Solid, at: P3, from: Direction, tag: &Tag) -> Result<(Solid, Vec<Vec<P2>>), SectionError> {
    let eye = from.eye();
    let mut tree = solid.tree().clone();
    tree.push(Op::Keep, half_space(solid, at, from, tag)?);
    let left = Solid::of(tree).map_err(Box::new)?;
    let brep = left.brep();
    let mut cut = Vec::new();
    for face in &brep.faces {
        let Surface::Plane(plane) = &face.surface else { continue };
        let within = plane.f(at).abs() < IN_PLANE && plane.frame.z.cross(&eye).norm() < IN_PLANE;
        if within && face.tag.class == tag.class {
            for halves in &face.loops {
                cut.push(corners(brep, halves, &from));
            }
        }
    }
    Ok((left, cut))
}

/// All that lies behind the plane, as a block around the solid.
fn half_space(solid: &Solid, at: P3, from: Direction, tag: &Tag) -> Result<Primitive, PrimitiveError> {
    let bounds = solid.brep().bounds();
    let reach = 3.0 * bounds.diagonal();
    let eye = from.eye();
    let middle = bounds.center() - eye * (bounds.center() - at).dot(&eye);
    let up: V3 = from.up();
    let frame = Frame::from_zx(middle - eye * reach, eye, up);
    let outline = rounded_rectangle(P2::origin(), V2::new(reach, reach), 0.0, tag);
    Primitive::prism("section", frame, outline, reach, 0.0, [tag.clone(), tag.clone()])
}

/// A loop as chords.
fn corners(
    brep: &solidwright::solid::Brep,
    halves: &[solidwright::solid::HalfEdge],
    from: &Direction,
) -> Vec<P2> {
    let mut out = Vec::new();
    for half in halves {
        let edge = &brep.edges[half.edge];
        let Some(shape) = from.curve(&edge.curve, edge.range) else { continue };
        let mut points = page::corners(&shape);
        let start = from.point(brep.vertices[brep.tail(*half)]);
        if let (Some(first), Some(last)) = (points.first(), points.last())
            && (last - start).norm() < (first - start).norm()
        {
            points.reverse();
        }
        points.pop();
        out.extend(points);
    }
    out
}
