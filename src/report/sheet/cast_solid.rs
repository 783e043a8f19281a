//! What a casting does not show: machined faces that are cast solid, each with its finished size.

use super::Facts;
use crate::faces::{Feature, Role};
use crate::forms::StockRow;
use crate::report::document::{Column, TextCell, TextTable};
use crate::report::moulding;
use solidwright::geometry::{Circle, Curve, Frame, Surface, V3};
use solidwright::solid::{Brep, BrepEdge, Tag};
use solidwright::tolerance::SNAP;

/// The table of what is drilled or cut from the solid, alike faces of a feature in one row.
pub(super) fn table(facts: &Facts, rows: &[StockRow]) -> TextTable {
    // What another cut has taken away is not cut by itself: the shoulder of a bore that ends in the cavity.
    let there = |tag: &Tag| facts.product.finished().solid.brep().faces.iter().any(|face| face.tag == *tag);
    let mut rows: Vec<&StockRow> =
        moulding::cast_solid(rows).filter(|r| !Role::of(&r.tag).is_drill_point() && there(&r.tag)).collect();
    rows.sort_by_cached_key(|r| numbered(&r.tag));
    let sized: Vec<(&Tag, String)> = rows.into_iter().map(|r| (&r.tag, size(facts, &r.tag))).collect();
    let kind = |(tag, size): &(&Tag, String)| {
        (Feature::of(tag), std::mem::discriminant(&Role::of(tag)), size.clone())
    };
    let row = |alike: &[(&Tag, String)]| {
        let [first, last] = [alike[0].0, alike[alike.len() - 1].0];
        let name = if alike.len() > 1 { format!("{first} to {}", Role::of(last)) } else { first.to_string() };
        vec![TextCell::from(name), alike.len().to_string().into(), alike[0].1.clone().into()]
    };
    TextTable {
        caption: format!(
            "Cast solid, to be drilled or cut: machined holes smaller than {}, and those that no core reaches",
            facts.length(facts.design.casting().stock().cored_above().get())
        ),
        columns: vec![
            Column::words("machined face"),
            Column::numbers("number"),
            Column::numbers("finished size"),
        ],
        rows: sized.chunk_by(|a, b| kind(a) == kind(b)).map(row).collect(),
        notes: vec![],
    }
}

/// A face's name and the number at its end, so that hole 10 follows hole 9.
fn numbered(tag: &Tag) -> (String, u32) {
    let name = tag.to_string();
    let bare = name.trim_end_matches(|c: char| c.is_ascii_digit()).to_owned();
    let number = name[bare.len()..].parse().unwrap_or(0);
    (bare, number)
}

/// The finished size of what is cut there: a diameter of what is round, else the sides of the box about it.
fn size(facts: &Facts, tag: &Tag) -> String {
    let finished = facts.product.finished();
    let round = |radius: f64| format!("Ø {}", facts.length(2.0 * radius));
    if let Some(bore) = finished.bores.iter().find(|bore| bore.tag == *tag) {
        return round(bore.radius);
    }
    let brep = finished.solid.brep();
    if let Some(radius) = radius(brep, tag) {
        return round(radius);
    }
    let sides = sides(brep, tag).into_iter().filter(|side| *side > SNAP);
    sides.map(|side| facts.length(side)).collect::<Vec<_>>().join(" by ")
}

/// Axes whose directions differ by less are parallel, radians.
const PARALLEL: f64 = 1e-6;

/// Centres that lie nearer to an axis are on it, mm.
const ON_AXIS: f64 = 1e-3;

/// Edges of the faces of a name.
fn edges<'a>(brep: &'a Brep, tag: &Tag) -> impl Iterator<Item = &'a BrepEdge> + use<'a> {
    let own: Vec<_> = brep.faces.iter().filter(|face| face.tag == *tag).collect();
    own.into_iter().flat_map(|face| face.loops.iter().flatten()).map(|half| &brep.edges[half.edge])
}

/// Greatest radius of the faces of a name, mm, if all of them are turned about one axis: spot faces, shoulders, bores and recesses.
fn radius(brep: &Brep, tag: &Tag) -> Option<f64> {
    let circles: Vec<&Circle> = edges(brep, tag)
        .filter_map(|edge| match &edge.curve {
            Curve::Circle(circle) => Some(circle),
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
    let axis = of_wall.or_else(|| circles.first().map(|circle| circle.frame))?;
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
    if !turned || !circles.iter().all(|circle| coaxial(&circle.frame)) {
        return None;
    }
    let walls = own.iter().filter_map(|surface| match surface {
        Surface::Cylinder(c) => Some(c.radius),
        _ => None,
    });
    circles.iter().map(|circle| circle.radius).chain(walls).reduce(f64::max)
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
