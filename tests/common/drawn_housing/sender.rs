//! `sender_boss` of both kinds, square or leaning, with what holds and seals the sender.

use super::body::Body;
use super::draw::{Draw, Page};

/// What the parts of the boss share, mm.
struct Boss {
    diameter: f64,
    /// Diameter of the bore at its mouth and at its end.
    bores: (f64, f64),
    height: f64,
    spot: Option<f64>,
}

pub fn write(d: &mut Draw, p: &mut Page, body: &Body) {
    let pulse = d.chance(0.45);
    let bore = if pulse { d.length(14.0, 22.0) } else { d.length(15.0, 25.0) };
    let mouth = if !pulse && d.chance(0.6) { d.length(bore + 1.0, bore + 5.0) } else { bore };
    let diameter = d.length(mouth + 8.0, mouth + 30.0);
    let from = (0.4 * body.end()).max(0.5 * diameter);
    let room = if d.chance(0.8) { diameter } else { bore };
    let (station, about) = place(d, body, room, from);
    let hollow = body.inside(station);
    let gears = Gears::draw(d);
    let geared = !pulse && gears.distance() < 0.85 * hollow && d.chance(0.25);
    let side = match pulse {
        _ if geared => gears.distance(),
        true if d.chance(0.7) => 0.0,
        true => d.length(-0.3 * hollow, 0.3 * hollow),
        false => d.length(0.35 * hollow, 0.75 * hollow) * d.pick(&[1.0, 1.0, -1.0]),
    };
    let tilt =
        if d.chance(0.45) { d.pick(&[-15.0, -10.0, -5.0, 5.0, 8.0, 10.0, 12.0, 15.0, 20.0]) } else { 0.0 };
    let lean = f64::to_radians(tilt);
    let shell = body.widest(station - 0.5 * diameter, station + 0.5 * diameter);
    // The end stands clear of the shell, the shell's round counted where the boss stands beside its middle.
    let clear = (shell * shell - side * side).max(0.0).sqrt().max(0.4 * shell) / lean.cos();
    let height = d.above(clear + 3.0, 34.0);
    let spot = if d.chance(0.65) {
        Some(if d.chance(0.6) { diameter } else { d.length(mouth + 5.0, diameter + 4.0) })
    } else {
        None
    };
    let boss = Boss { diameter, bores: (mouth, bore), height, spot };
    p.section("sender_boss", |p| {
        if pulse || d.chance(0.5) {
            p.word("kind", if pulse { "pulse" } else { "gear" });
        }
        p.mm("station", station);
        if geared {
            p.word("placed_by", d.pick(&["gears", "gears_mirrored"]));
        } else {
            if d.chance(0.1) {
                p.word("placed_by", "offset");
            }
            p.mm("side_offset", side);
            if tilt != 0.0 {
                p.deg("tilt", tilt);
            }
        }
        p.deg("clock", about);
        p.mm("diameter", boss.diameter);
        p.mm("height", boss.height);
        neck(&mut d.aside(2), p, &boss);
        if pulse && d.chance(0.25) {
            let far = side.abs() + 0.5 * bore;
            let roof = (hollow * hollow - far * far).max(0.0).sqrt() / lean.cos();
            p.mm("insertion", d.above(height - roof + 2.0, 6.0).min(height - 2.0));
        }
        bores(d, p, &boss);
        if let Some(spot) = boss.spot {
            p.section("spot_face", |p| {
                p.mm("diameter", spot);
                if d.chance(0.4) {
                    p.mm("depth", d.length(0.5, 2.0));
                }
            });
        }
        if d.chance(0.4) {
            o_ring(d, p, &boss);
        }
        if d.chance(0.6) {
            screw(d, p, &boss);
        }
        if pulse && d.chance(0.25) && boss.diameter - mouth > 11.0 {
            fork(d, p, &boss);
        }
    });
    if geared {
        gears.write(d, p);
    }
}

/// Station and clock: where there is room between the pads or beside them, if that is soon found.
fn place(d: &mut Draw, body: &Body, room: f64, from: f64) -> (f64, f64) {
    for _ in 0..6 {
        let station = body.station(d, room, from, body.end());
        let about = d.pick(&[90.0, 270.0, 270.0, 250.0, 120.0, 300.0, 60.0, 0.0, 180.0]);
        let clock = d.clock(about);
        let apart = |looks: f64| ((clock - looks + 540.0).rem_euclid(360.0) - 180.0).abs();
        let over = |pad: &&(f64, f64, f64)| station + room / 2.0 > pad.0 && station - room / 2.0 < pad.1;
        if body.pads.iter().filter(over).all(|pad| apart(pad.2) > 100.0) {
            return (station, clock);
        }
    }
    (body.station(d, room, from, body.end()), d.clock(270.0))
}

/// Thinner below its head, where it is thick and long enough.
fn neck(d: &mut Draw, p: &mut Page, boss: &Boss) {
    let least = boss.bores.0 + 9.0;
    if boss.diameter - least < 5.0 || boss.height < 50.0 || !d.chance(0.5) {
        return;
    }
    p.section("neck", |p| {
        p.mm("diameter", d.length(least, boss.diameter - 2.0));
        if d.chance(0.2) {
            p.mm("head", d.length(0.5 * boss.height, 0.6 * boss.height));
        }
    });
}

fn bores(d: &mut Draw, p: &mut Page, boss: &Boss) {
    let (mouth, bore) = boss.bores;
    let steps = if mouth > bore { vec![(mouth, Some(())), (bore, None)] } else { vec![(bore, None)] };
    p.list("bore_steps", &steps, |p, (diameter, stepped)| {
        p.mm("diameter", *diameter);
        if stepped.is_some() {
            p.mm("depth", d.length(8.0, (0.4 * boss.height).min(30.0)));
        }
    });
}

/// A land at the mouth or a groove below it, by its depth or by its floor.
fn o_ring(d: &mut Draw, p: &mut Page, boss: &Boss) {
    let mouth = boss.bores.0;
    let land = d.chance(0.4);
    let width = d.length(2.4, 4.0);
    p.section("o_ring", |p| {
        if !land {
            p.mm("position", d.length(2.0, 4.0));
        }
        p.mm("width", width);
        let deep = d.length(1.0, (0.5 * (boss.diameter - mouth) - 2.0).clamp(1.2, 2.5));
        if d.chance(0.5) {
            p.mm("depth", deep);
        } else {
            p.mm("diameter", mouth + 2.0 * deep);
        }
    });
}

fn screw(d: &mut Draw, p: &mut Page, boss: &Boss) {
    let screw = d.screw(6.0, 8.0);
    let (least, most) = (0.5 * boss.bores.0 + 0.5 * screw.1 + 1.5, 0.5 * boss.diameter - 0.5 * screw.1 - 1.5);
    let wide = boss.spot.is_none_or(|spot| spot >= boss.diameter);
    let ear = most < least || (wide && d.chance(0.4));
    if ear && !wide {
        return;
    }
    p.section("retaining_screw", |p| {
        p.word("thread", screw.0);
        if ear {
            let radius = d.length(0.5 * screw.1 + 3.0, (0.5 * boss.diameter).min(screw.1 + 4.0));
            p.mm("distance", d.length(least, 0.5 * boss.diameter + radius));
            p.mm("ear_radius", radius);
            if d.chance(0.2) {
                p.mm("ear_depth", d.length(4.0 * screw.1, 5.0 * screw.1));
            }
        } else {
            p.mm("distance", d.length(least, most));
        }
        if d.chance(0.5) {
            let drilled = d.length(1.8 * screw.1, 2.6 * screw.1);
            p.mm("depth", d.length(1.2 * screw.1, 0.85 * drilled));
            p.mm("drill_depth", drilled);
        }
        if d.chance(0.75) {
            p.deg("clock", d.clock(180.0));
        }
    });
}

fn fork(d: &mut Draw, p: &mut Page, boss: &Boss) {
    p.section("fork", |p| {
        p.mm("depth", d.length(4.0, 10.0));
        if d.chance(0.4) {
            p.mm("thickness", d.length(2.0, 5.0));
        }
        p.mm("width", d.length(boss.bores.0 + 2.0, boss.diameter - 5.0));
        if d.chance(0.6) {
            p.deg("clock", d.clock(270.0));
        }
    });
}

/// The pair of gears by which a boss is placed.
struct Gears {
    teeth: [usize; 2],
    module: f64,
    helix: [f64; 2],
}

impl Gears {
    fn draw(d: &mut Draw) -> Self {
        Self {
            teeth: [d.count(4, 9), d.count(12, 22)],
            module: d.pick(&[0.8, 1.0, 1.25]),
            helix: [d.between(64.0, 84.0).round(), d.between(8.0, 24.0).round()],
        }
    }

    /// Half the sum of their pitch diameters, mm.
    fn distance(&self) -> f64 {
        let diameter = |k: usize| self.module * self.teeth[k] as f64 / f64::to_radians(self.helix[k]).cos();
        0.5 * (diameter(0) + diameter(1))
    }

    fn write(&self, d: &mut Draw, p: &mut Page) {
        p.section("mating", |p| {
            p.section("speedometer", |p| {
                p.word("drive_teeth", self.teeth[0]);
                p.word("driven_teeth", self.teeth[1]);
                p.word("module", format!("{} mm", self.module));
                p.deg("drive_helix", self.helix[0]);
                p.deg("driven_helix", self.helix[1]);
                let hand = d.pick(&["left", "right"]);
                p.word("drive_hand", hand);
                p.word("driven_hand", hand);
            });
        });
    }
}
