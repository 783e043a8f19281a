//! Shapes for the kernel tests.

#![allow(
    dead_code,
    unreachable_pub,
    clippy::unwrap_used,
    clippy::missing_assert_message,
    reason = "shared by several test crates"
)]

pub mod cases;
pub mod closed_forms;
pub mod files;
pub mod fillet_cases;
pub mod hard_cases;
pub mod random_tree;

use solidwright::geometry::{Frame, P2, P3, V2, V3};
use solidwright::solid::{
    Primitive, Segment, Solid, SolidError, SolidTree, Tag, circle, polygon, rounded_rectangle, turned,
};

pub const X: [f64; 3] = [1.0, 0.0, 0.0];
pub const Y: [f64; 3] = [0.0, 1.0, 0.0];
pub const Z: [f64; 3] = [0.0, 0.0, 1.0];

pub fn tag(role: &str) -> Tag {
    Tag::formed("test", role)
}

pub fn frame(x: f64, y: f64, z: f64, axis: [f64; 3]) -> Frame {
    Frame::from_z(P3::new(x, y, z), V3::from(axis))
}

/// A cylinder from the frame's origin along z.
pub fn cyl(f: Frame, r: f64, h: f64) -> Primitive {
    turned("cylinder", f, &[(0.0, 0.0), (r, 0.0), (r, h), (0.0, h)], &[tag("cylinder")]).unwrap()
}

/// A frustum from radius r0 at z = 0 to r1 at z = h; either may be zero.
pub fn frustum(f: Frame, r0: f64, r1: f64, h: f64) -> Primitive {
    let mut points = vec![(0.0, 0.0)];
    if r0 > 0.0 {
        points.push((r0, 0.0));
    }
    if r1 > 0.0 {
        points.push((r1, h));
    }
    points.push((0.0, h));
    turned("cone", f, &points, &[tag("cone")]).unwrap()
}

pub fn sphere(f: Frame, r: f64) -> Primitive {
    let (a, b) = (P2::new(0.0, -r), P2::new(0.0, r));
    let arc = Segment { from: a, to: b, arc: Some((P2::origin(), true)), tag: tag("sphere") };
    let axis = Segment { from: b, to: a, arc: None, tag: tag("axis") };
    Primitive::revolve("sphere", f, vec![arc, axis]).unwrap()
}

pub fn torus(f: Frame, major: f64, minor: f64) -> Primitive {
    Primitive::revolve("torus", f, circle(P2::new(major, 0.0), minor, &tag("torus"))).unwrap()
}

/// A block with its least corner at (x, y, z).
pub fn block(at: [f64; 3], size: [f64; 3]) -> Primitive {
    let f = Frame::world().moved_to(P3::from(at));
    let (a, b) = (size[0], size[1]);
    let points = [P2::new(0.0, 0.0), P2::new(a, 0.0), P2::new(a, b), P2::new(0.0, b)];
    prism(f, polygon(&points, &[tag("block")]), size[2], 0.0)
}

pub fn prism(f: Frame, profile: Vec<Segment>, h: f64, draft_deg: f64) -> Primitive {
    Primitive::prism("prism", f, profile, h, draft_deg.to_radians(), [tag("bottom"), tag("top")]).unwrap()
}

/// A rounded rectangle about the frame's origin, extruded.
pub fn pad(f: Frame, a: f64, b: f64, r: f64, h: f64, draft_deg: f64) -> Primitive {
    prism(f, rounded_rectangle(P2::origin(), V2::new(a, b), r, &tag("pad")), h, draft_deg)
}

/// The sound solid of a tree.
pub fn solid(tree: &SolidTree) -> Result<Solid, SolidError> {
    Solid::of(tree.clone())
}

/// Some primitives added, then others cut.
pub fn tree(add: Vec<Primitive>, cut: Vec<Primitive>) -> SolidTree {
    let mut t = SolidTree::new();
    for p in add {
        t.add(p);
    }
    for p in cut {
        t.cut(p);
    }
    t
}
