//! `gearbox_face`: flange, register, bolts, gussets, relief.

use super::body::Body;
use super::draw::{Draw, Page, Screw};

/// Sizes that the parts of the face share, mm.
struct Face {
    screw: Screw,
    /// Radius of a clearance hole.
    hole: f64,
    register: f64,
    circle: f64,
    count: usize,
    first: f64,
    flange: f64,
    lugs: bool,
    /// Outside radius of the shell at the flange.
    shell: f64,
}

impl Face {
    fn draw(d: &mut Draw, body: &Body) -> Self {
        let screw = d.screw(7.9, 12.0);
        let hole = 0.56 * screw.1;
        let cavity = body.cavity[0].diameter;
        let register = d.length(cavity + 6.0, cavity + 26.0);
        let shell = body.widest(0.0, body.flange_thickness + 1.0);
        // Bolts stand clear of the register and their heads, mostly, of the shell.
        let head = if d.chance(0.9) { screw.1 } else { 0.0 };
        let least = (0.5 * register + hole + 2.0).max(shell + head);
        let circle = d.above(2.0 * least, 24.0);
        let most = (std::f64::consts::PI * circle / (3.0 * screw.1)) as usize;
        let count = d.pick(&[4, 5, 6, 6, 6, 8, 8, 10, 12]).min(most);
        let first = match d.count(0, 3) {
            0 => 0.0,
            1 | 2 => 180.0 / count as f64,
            _ => d.clock(0.0),
        };
        let lugs = d.chance(0.3);
        let flange = if lugs {
            let least = (2.0 * shell + 2.0).max(register + 6.0);
            d.length(least, circle.max(least + 4.0))
        } else {
            d.length(circle + 2.6 * screw.1, circle + 4.2 * screw.1)
        };
        Self { screw, hole, register, circle, count, first, flange, lugs, shell }
    }
}

pub fn write(d: &mut Draw, p: &mut Page, body: &mut Body) {
    let face = Face::draw(d, body);
    body.flange_diameter = face.flange;
    let body = &*body;
    p.section("gearbox_face", |p| {
        flange(d, p, body, &face);
        register(d, p, body, &face);
        bolts(d, p, body, &face);
        if d.chance(0.25) {
            gussets(d, p, body, &face);
        }
        relief(d, p, body, &face);
    });
}

fn flange(d: &mut Draw, p: &mut Page, body: &Body, face: &Face) {
    p.section("flange", |p| {
        if face.lugs {
            p.word("kind", "lugs");
        } else if d.chance(0.2) {
            p.word("kind", "disc");
        }
        p.mm("diameter", face.flange);
        p.mm("thickness", body.flange_thickness);
        if face.lugs && d.chance(0.6) {
            p.section("lug", |p| {
                let radius = d.length(1.4 * face.screw.1, 2.2 * face.screw.1);
                p.mm("radius", radius);
                if d.chance(0.6) {
                    p.mm("root_width", d.length(1.6 * radius, (4.0 * radius).min(0.88 * face.flange)));
                }
            });
        }
    });
}

fn register(d: &mut Draw, p: &mut Page, body: &Body, face: &Face) {
    let recess = d.chance(0.35);
    p.section("register", |p| {
        p.word("kind", if recess { "recess" } else { "spigot" });
        p.mm("diameter", face.register);
        p.mm("length", d.length(3.0, if recess { 0.6 * body.flange_thickness } else { 8.0 }));
        if d.chance(0.3) {
            p.mm("lead_in", d.length(0.0, 2.0));
            p.deg("lead_in_angle", d.pick(&[15.0, 30.0, 45.0]));
        }
    });
}

fn spot_face(p: &mut Page, spot: Option<(f64, Option<f64>)>) {
    if let Some((diameter, depth)) = spot {
        p.section("spot_face", |p| {
            p.mm("diameter", diameter);
            p.some_mm("depth", depth);
        });
    }
}

fn bolts(d: &mut Draw, p: &mut Page, body: &Body, face: &Face) {
    let spot = if d.chance(0.4) {
        let depth = if d.chance(0.5) { Some(d.length(0.5, 0.15 * body.flange_thickness)) } else { None };
        Some((d.length(2.1 * face.screw.1, 2.6 * face.screw.1), depth))
    } else {
        None
    };
    // Two dowels, each midway between two bolts, if there is room.
    let gap = std::f64::consts::PI * face.circle / face.count as f64 / 2.0;
    let dowels = face.count.is_multiple_of(2) && gap > face.hole + 5.0 && d.chance(0.25);
    // Set out by hand: not quite even, on round coordinates.
    if d.chance(0.2) {
        let turn = 360.0 / face.count as f64;
        let places: Vec<(f64, f64)> = (0..face.count)
            .map(|i| {
                let off = d.between(-0.12, 0.12) * turn;
                let (sin, cos) = (face.first + turn * i as f64 + off).to_radians().sin_cos();
                (d.near(face.circle / 2.0 * sin), d.near(face.circle / 2.0 * cos))
            })
            .collect();
        p.list("bolts", &places, |p, (y, z)| {
            p.mm("y", *y);
            p.mm("z", *z);
            p.word("size", face.screw.0);
            spot_face(p, spot);
        });
        return;
    }
    let circles = [(face.count, face.first, true), (2, face.first + 180.0 / face.count as f64, false)];
    p.list("bolt_circles", &circles[..if dowels { 2 } else { 1 }], |p, (count, first, bolt)| {
        p.mm("diameter", face.circle);
        p.word("count", count);
        if *first != 0.0 {
            p.deg("first_clock", first.rem_euclid(360.0));
        }
        if *bolt {
            p.word("size", face.screw.0);
            spot_face(p, spot);
        } else {
            p.mm("size", if face.screw.0.starts_with('M') { 8.0 } else { 7.9375 });
        }
    });
}

fn gussets(d: &mut Draw, p: &mut Page, body: &Body, face: &Face) {
    let to = d.length(body.flange_thickness + 12.0, body.flange_thickness + 60.0);
    let tip = if d.chance(0.7) { Some(d.length(2.0, 10.0)) } else { None };
    let least = body.widest(body.flange_thickness, to).max(face.shell) + tip.unwrap_or(3.0) + 1.0;
    let most = 0.5 * face.flange - 1.0;
    if to > body.end() || most < least {
        return;
    }
    let outer = d.length(least, most);
    let every = d.pick(&[1, 1, 2]);
    let count = if face.count.is_multiple_of(every) { face.count / every } else { face.count };
    let turn = if d.chance(0.85) { 180.0 / face.count as f64 } else { d.clock(0.0) };
    p.list("gussets", &[()], |p, ()| {
        p.word("count", count);
        p.deg("first_clock", (face.first + turn).rem_euclid(360.0));
        p.mm("outer_radius", outer);
        p.mm("to", to);
        p.some_mm("tip", tip);
        if d.chance(0.6) {
            p.mm("thickness", d.length(4.0, 10.0));
        }
        if d.chance(0.5) {
            p.mm("tip_radius", d.length(0.0, tip.unwrap_or(3.0)));
        }
    });
}

fn relief(d: &mut Draw, p: &mut Page, body: &Body, face: &Face) {
    let most = (face.circle - 2.0 * face.hole - 4.0).min(face.flange - 4.0);
    let least = face.register.max(2.0 * body.inside(0.0)) + 4.0;
    if most - least < 4.0 || !d.chance(0.35) {
        return;
    }
    let inner = d.length(least, most - 4.0);
    let outer = d.length(inner + 4.0, most);
    p.section("relief", |p| {
        p.mm("inner_diameter", inner);
        p.mm("outer_diameter", outer);
        if d.chance(0.4) {
            p.mm("depth", d.length(0.5, 0.2 * body.flange_thickness));
        }
    });
}
