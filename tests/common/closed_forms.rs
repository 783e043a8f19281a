//! Solids whose volume is known in closed form. Each names its source.

use std::f64::consts::PI;

use solidwright::solid::{Primitive, SolidTree};

use super::cases::Cases;
use super::{X, Y, Z, block, cyl, frame, frustum, pad, sphere, torus, tree};

fn added(list: Vec<Primitive>) -> SolidTree {
    tree(list, vec![])
}

/// Bronshtein, Handbook of Mathematics, "Stereometry": elementary solids.
pub fn elementary_solids(out: &mut Cases) {
    out.closed("block", &added(vec![block([1.0, 2.0, 3.0], [4.0, 5.0, 6.0])]), 120.0, 0);
    out.closed(
        "cylinder",
        &added(vec![cyl(frame(1.0, 2.0, 3.0, [1.0, 2.0, 0.5]), 7.0, 11.0)]),
        PI * 49.0 * 11.0,
        0,
    );
    let (r, s, h) = (9.0, 4.0, 13.0);
    out.closed(
        "frustum",
        &added(vec![frustum(frame(0.0, 0.0, 0.0, X), r, s, h)]),
        PI * h / 3.0 * (r * r + r * s + s * s),
        0,
    );
    out.closed("cone", &added(vec![frustum(frame(0.0, 0.0, 0.0, Y), r, 0.0, h)]), PI * h / 3.0 * r * r, 0);
    out.closed("sphere", &added(vec![sphere(frame(3.0, 0.0, 0.0, Z), 5.0)]), 4.0 / 3.0 * PI * 125.0, 0);
    out.closed(
        "torus",
        &added(vec![torus(frame(0.0, 1.0, 0.0, Z), 10.0, 3.0)]),
        2.0 * PI * PI * 10.0 * 9.0,
        1,
    );
}

/// Two equal cylinders crossing at right angles share 16 r³/3 (Archimedes, "The Method"; the bicylinder of
/// calculus textbooks, e.g. Stewart, "Calculus", Volumes); at another angle that over the sine.
pub fn equal_crossing_cylinders(out: &mut Cases) {
    let r = 5.0;
    for angle in [90.0_f64, 60.0] {
        let (s, c) = angle.to_radians().sin_cos();
        let a = cyl(frame(-30.0, 0.0, 0.0, X), r, 60.0);
        let b = cyl(frame(-30.0 * c, -30.0 * s, 0.0, [c, s, 0.0]), r, 60.0);
        let shared = 16.0 * r * r * r / 3.0 / s;
        let mut both = SolidTree::new();
        both.add(a.clone());
        both.keep(b.clone());
        out.closed(&format!("common part at {angle}°"), &both, shared, 0);
        let sum = added(vec![a.clone(), b.clone()]);
        out.closed(&format!("cross at {angle}°"), &sum, 2.0 * PI * r * r * 60.0 - shared, 0);
        let mut block_with_ways = added(vec![block([-20.0, -20.0, -20.0], [40.0, 40.0, 40.0])]);
        block_with_ways.cut(a);
        block_with_ways.cut(b);
        if s > 0.999 {
            let ways = 2.0 * PI * r * r * 40.0 - shared;
            out.closed("oil ways", &block_with_ways, 64_000.0 - ways, 3);
        }
    }
}

/// The napkin ring: a sphere drilled through its centre keeps π h³/6 for a remaining height h
/// (the classical result; e.g. Gardner, "Hexaflexagons and Other Mathematical Diversions").
pub fn drilled_sphere(out: &mut Cases) {
    let (big, hole) = (10.0_f64, 6.0_f64);
    let h = 2.0 * (big * big - hole * hole).sqrt();
    let mut t = added(vec![sphere(frame(0.0, 0.0, 0.0, Z), big)]);
    t.cut(cyl(frame(0.0, 0.0, -20.0, Z), hole, 40.0));
    out.closed("napkin ring", &t, PI * h.powi(3) / 6.0, 1);
    // The same with the sphere's poles across the hole.
    let mut t = added(vec![sphere(frame(0.0, 0.0, 0.0, X), big)]);
    t.cut(cyl(frame(0.0, 0.0, -20.0, Z), hole, 40.0));
    out.closed("napkin ring across the poles", &t, PI * h.powi(3) / 6.0, 1);
}

/// Pappus: the volume of a turned half disc, for the inner and outer half of a torus.
pub fn torus_cut_by_planes_and_cylinders(out: &mut Cases) {
    let (big, small) = (20.0, 6.0);
    let whole = 2.0 * PI * PI * big * small * small;
    let t = || added(vec![torus(frame(0.0, 0.0, 0.0, Z), big, small)]);
    let mut upper = t();
    upper.cut(block([-50.0, -50.0, -50.0], [100.0, 100.0, 50.0]));
    out.closed("upper half", &upper, whole / 2.0, 1);
    let mut side = t();
    side.cut(block([-50.0, -50.0, -50.0], [50.0, 100.0, 100.0]));
    out.closed("half ring", &side, whole / 2.0, 0);
    let mut quarter = side.clone();
    quarter.cut(block([-50.0, -50.0, -50.0], [100.0, 50.0, 100.0]));
    out.closed("quarter ring", &quarter, whole / 4.0, 0);
    let mut outer = t();
    outer.cut(cyl(frame(0.0, 0.0, -50.0, Z), big, 100.0));
    let half_disc = PI * small * small / 2.0;
    let centroid = 4.0 * small / (3.0 * PI);
    out.closed("outer half", &outer, 2.0 * PI * (big + centroid) * half_disc, 1);
}

/// Prismatoid formula (Bronshtein, "Stereometry"): h/6 (A₀ + 4 A½ + A₁), exact for drafted prisms with
/// rounded corners, whose section area is quadratic in height.
pub fn prism_with_draft(out: &mut Cases) {
    let (a, b, r, h, draft) = (40.0, 30.0, 6.0, 12.0, 5.0_f64);
    let area = |z: f64| {
        let d = z * draft.to_radians().tan();
        (a - 2.0 * d) * (b - 2.0 * d) - (4.0 - PI) * (r - d) * (r - d)
    };
    let v = h / 6.0 * (area(0.0) + 4.0 * area(h / 2.0) + area(h));
    out.closed("drafted pad", &added(vec![pad(frame(0.0, 0.0, 0.0, Z), a, b, r, h, draft)]), v, 0);
}

/// Cylinder through a cone against a numeric integral: at height z the section common to both is two circles'
/// lens (Bronshtein, "Planimetry": circular segment), integrated by Gauss-Legendre on fine panels.
pub fn cylinder_through_cone(out: &mut Cases) {
    let (big, h, r, off) = (20.0, 40.0, 4.0, 7.0);
    let mut t = added(vec![frustum(frame(0.0, 0.0, 0.0, Z), big, 0.0, h)]);
    t.keep(cyl(frame(off, 0.0, -1.0, Z), r, 60.0));
    let lens = |z: f64| -> f64 {
        let s: f64 = big * (1.0 - z / h);
        if s <= 0.0 || s + r <= off || off + s <= r {
            return if off + s <= r && s > 0.0 { PI * s * s } else { 0.0 };
        }
        if s >= off + r {
            return PI * r * r;
        }
        let a = ((off * off + s * s - r * r) / (2.0 * off * s)).acos();
        let b = ((off * off + r * r - s * s) / (2.0 * off * r)).acos();
        s * s * (a - a.sin() * a.cos()) + r * r * (b - b.sin() * b.cos())
    };
    // The kinks: the cone's circle touches the cylinder from inside and outside. Substituting with a square
    // at both ends of the middle part removes the root singularities there.
    let (z0, z1) = (h * (1.0 - (off + r) / big), h * (1.0 - (off - r) / big));
    let n = 4000;
    let mut v = PI * r * r * z0;
    for i in 0..n {
        let t = (f64::from(i) + 0.5) / f64::from(n);
        let (w, dw) = (t * t * (3.0 - 2.0 * t), 6.0 * t * (1.0 - t));
        v += lens(z0 + (z1 - z0) * w) * (z1 - z0) * dw / f64::from(n);
    }
    out.closed("cylinder through cone", &t, v, 0).within = 1e-7;
}
