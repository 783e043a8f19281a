//! What a casting does not show: machined faces that are cast solid, each with its finished size.

use std::mem::discriminant;

use super::StockRow;
use crate::faces::{Feature, Role};
use crate::housing::Bore;
use solidwright::geometry::{Circle, Curve, Frame, Surface, V3};
use solidwright::solid::{Brep, BrepEdge, Solid, Tag};
use solidwright::tolerance::SNAP;

/// Alike faces of a feature that are drilled, bored or milled from the solid.
#[derive(Clone, Debug, PartialEq)]
pub struct CastSolid<'a> {
    /// The face, or the first one of several by their numbers.
    pub first: &'a Tag,
    /// The last one of several.
    pub last: Option<&'a Tag>,
    /// How many they are.
    pub number: usize,
    /// The finished size of each.
    pub size: CutSize,
}

/// The finished size of what is cut, mm.
#[derive(Clone, Debug, PartialEq)]
pub enum CutSize {
    /// Diameter of what is turned about one axis.
    Diameter(f64),
    /// Sides of the box about it, the longest first.
    Sides(Vec<f64>),
}

impl CutSize {
    /// In words of a sheet, which has its own ways to write a diameter and a length.
    pub fn text(&self, diameter: impl Fn(f64) -> String, length: impl Fn(f64) -> String) -> String {
        match self {
            Self::Diameter(across) => diameter(*across),
            Self::Sides(sides) => sides.iter().map(|side| length(*side)).collect::<Vec<_>>().join(" by "),
        }
    }

    /// Whether both read the same to a micrometre.
    fn is_like(&self, other: &Self) -> bool {
        let alike = |a: f64, b: f64| (a - b).abs() < SNAP;
        match (self, other) {
            (Self::Diameter(a), Self::Diameter(b)) => alike(*a, *b),
            (Self::Sides(a), Self::Sides(b)) => {
                a.len() == b.len() && a.iter().zip(b).all(|(a, b)| alike(*a, *b))
            }
            _ => false,
        }
    }
}

/// Machined faces of the finished part, with its bores, that its casting does not show; alike ones of a feature together. Left out are points
/// of drills, and faces that another cut has taken away: the shoulder of a bore that ends in the cavity.
pub fn cast_solid<'a>(finished: &Solid, bores: &[Bore], stock: &'a [StockRow]) -> Vec<CastSolid<'a>> {
    let there = |tag: &Tag| finished.brep().faces.iter().any(|face| face.tag == *tag);
    let unseen = stock.iter().filter(|row| row.is_cast_solid()).map(|row| &row.tag);
    let mut tags: Vec<&Tag> = unseen.filter(|tag| !Role::of(tag).is_drill_point() && there(tag)).collect();
    tags.sort_by_cached_key(|tag| numbered(tag));
    let sized: Vec<(&Tag, CutSize)> = tags.into_iter().map(|tag| (tag, size(finished, bores, tag))).collect();
    let kind = |tag: &Tag| (Feature::of(tag), discriminant(&Role::of(tag)));
    let alike = |a: &(&Tag, CutSize), b: &(&Tag, CutSize)| kind(a.0) == kind(b.0) && a.1.is_like(&b.1);
    let together = |faces: &[(&'a Tag, CutSize)]| CastSolid {
        first: faces[0].0,
        last: faces[1..].last().map(|(tag, _)| *tag),
        number: faces.len(),
        size: faces[0].1.clone(),
    };
    sized.chunk_by(alike).map(together).collect()
}

/// A face's name and the number at its end, so that hole 10 follows hole 9.
fn numbered(tag: &Tag) -> (String, u32) {
    let name = tag.to_string();
    let bare = name.trim_end_matches(|c: char| c.is_ascii_digit()).to_owned();
    let number = name[bare.len()..].parse().unwrap_or(0);
    (bare, number)
}

/// The finished size of what is cut there: a diameter of what is round, else the sides of the box about it.
fn size(finished: &Solid, bores: &[Bore], tag: &Tag) -> CutSize {
    let bored = bores.iter().find(|bore| bore.tag == *tag).map(|bore| bore.radius);
    match bored.or_else(|| radius(finished.brep(), tag)) {
        Some(radius) => CutSize::Diameter(2.0 * radius),
        None => CutSize::Sides(sides(finished.brep(), tag).into_iter().filter(|side| *side > SNAP).collect()),
    }
}

/// Axes whose directions differ by less are parallel, radians.
const PARALLEL: f64 = 1e-6;

/// What is notched and shows less of its circle is not told by a diameter, radians.
const MOST_OF_A_TURN: f64 = std::f64::consts::PI;

/// Centres that lie nearer to an axis are on it, mm.
const ON_AXIS: f64 = 1e-3;

/// Edges of the faces of a name.
fn edges<'a>(brep: &'a Brep, tag: &Tag) -> impl Iterator<Item = &'a BrepEdge> + use<'a> {
    let own: Vec<_> = brep.faces.iter().filter(|face| face.tag == *tag).collect();
    own.into_iter().flat_map(|face| face.loops.iter().flatten()).map(|half| &brep.edges[half.edge])
}

/// Greatest radius of the faces of a name, mm, if all of them are turned about one axis: spot faces, shoulders, bores and recesses.
fn radius(brep: &Brep, tag: &Tag) -> Option<f64> {
    let arcs: Vec<(&Circle, f64)> = edges(brep, tag)
        .filter_map(|edge| match &edge.curve {
            Curve::Circle(circle) => Some((circle, edge.range.1 - edge.range.0)),
            _ => None,
        })
        .collect();
    let own: Vec<&Surface> =
        brep.faces.iter().filter(|face| face.tag == *tag).map(|face| &face.surface).collect();
    let of_wall = own.iter().find_map(|surface| match surface {
        Surface::Cylinder(c) => Some(c.frame),
        Surface::Cone(c) => Some(c.frame),
        _ => None,
    });
    let longest = arcs.iter().max_by(|a, b| (a.0.radius * a.1).total_cmp(&(b.0.radius * b.1)));
    let axis = of_wall.or_else(|| longest.map(|(circle, _)| circle.frame))?;
    let along = |frame: &Frame| frame.z.cross(&axis.z).norm() < PARALLEL;
    let coaxial = |frame: &Frame| {
        let off = frame.origin - axis.origin;
        along(frame) && (off - axis.z * off.dot(&axis.z)).norm() < ON_AXIS
    };
    let turned = own.iter().all(|surface| match surface {
        Surface::Plane(plane) => along(&plane.frame),
        Surface::Cylinder(c) => coaxial(&c.frame),
        Surface::Cone(c) => coaxial(&c.frame),
        _ => false,
    });
    if !turned {
        return None;
    }
    let walls = own.iter().filter_map(|surface| match surface {
        Surface::Cylinder(c) => Some(c.radius),
        _ => None,
    });
    // A notch in the rim makes a ring no less round, as long as it shows most of its circle and nothing of it lies farther out.
    let round = || arcs.iter().filter(|(circle, _)| coaxial(&circle.frame));
    let radius = round().map(|(circle, _)| circle.radius).chain(walls).reduce(f64::max)?;
    let shown: f64 = round().filter(|(c, _)| (c.radius - radius).abs() < SNAP).map(|(_, turn)| turn).sum();
    let off = |v: usize| {
        let from = brep.vertices[v] - axis.origin;
        (from - axis.z * from.dot(&axis.z)).norm()
    };
    let within = edges(brep, tag).all(|edge| off(edge.start).max(off(edge.end)) < radius + ON_AXIS);
    let plain = arcs.iter().all(|(circle, _)| coaxial(&circle.frame));
    (within && (plain || shown > MOST_OF_A_TURN)).then_some(radius)
}

/// Length, width and depth of the box about the faces of a name, along their longest straight edge and square to it, mm.
fn sides(brep: &Brep, tag: &Tag) -> Vec<f64> {
    let normal = brep.faces.iter().filter(|face| face.tag == *tag).find_map(|face| match &face.surface {
        Surface::Plane(plane) => Some(plane.frame),
        _ => None,
    });
    let Some(plane) = normal else { return vec![] };
    let chord = |edge: &BrepEdge| edge.curve.point(edge.range.1) - edge.curve.point(edge.range.0);
    let in_plane = |edge: &BrepEdge| chord(edge) - plane.z * chord(edge).dot(&plane.z);
    let straight = edges(brep, tag).filter(|edge| matches!(edge.curve, Curve::Line(_))).map(in_plane);
    let longest = straight.max_by(|a, b| a.norm().total_cmp(&b.norm()));
    let along: V3 = longest.filter(|way| way.norm() > SNAP).unwrap_or(plane.x);
    let frame = Frame::from_zx(plane.origin, plane.z, along);
    let (mut low, mut high) = (V3::repeat(f64::INFINITY), V3::repeat(f64::NEG_INFINITY));
    for edge in edges(brep, tag) {
        for k in 0..=16 {
            let share = f64::from(k) / 16.0;
            let p =
                frame.local(edge.curve.point(edge.range.0 + (edge.range.1 - edge.range.0) * share)).coords;
            (low, high) = (low.inf(&p), high.sup(&p));
        }
    }
    let mut out: Vec<f64> = (high - low).iter().copied().collect();
    out.sort_by(|a, b| b.total_cmp(a));
    out
}
