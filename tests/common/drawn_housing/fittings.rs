//! `rail_tube`, `plugs`, `ribs`.

use super::body::Body;
use super::draw::{Draw, Page};

pub fn rail_tube(d: &mut Draw, p: &mut Page, body: &mut Body) {
    let bore = d.length(12.0, 19.0);
    let given = d.chance(0.6);
    let outside = if given { d.length(bore + 8.0, bore + 18.0) } else { bore + 2.0 * body.wall };
    let tube = d.chance(0.3);
    let from = if d.chance(0.7) { 0.0 } else { d.length(0.0, 0.3 * body.length) };
    let to = match d.count(0, 9) {
        0 => body.length,
        1 => body.ring_front(),
        _ => d.length(from + 40.0, (0.9 * body.length).max(from + 50.0)),
    };
    // Outside the cavity's widest place, its wall in the shell's; a tube's all along.
    let hollow = body.inside(from) + 0.5 * bore;
    let most = if tube { body.outside(to).min(body.outside(from)) + 0.45 * outside } else { hollow + 24.0 };
    let away = d.length(hollow.min(most - 2.0), most.min(hollow + 24.0));
    let clock = if d.chance(0.6) { 0.0 } else { d.between(-50.0, 50.0) };
    let (sin, cos) = f64::to_radians(clock).sin_cos();
    let (y, z) = if clock == 0.0 { (0.0, away) } else { (d.near(away * sin), d.near(away * cos)) };
    body.rail = Some((z + 0.5 * outside, to));
    p.section("rail_tube", |p| {
        if tube {
            p.word("form", "tube");
        } else if d.chance(0.3) {
            p.word("form", "hump");
        }
        if y != 0.0 {
            p.mm("y", y);
        }
        p.mm("z", z);
        p.mm("bore", bore);
        if given {
            p.mm("outside_diameter", outside);
        }
        if from != 0.0 {
            p.mm("from", from);
        }
        p.mm("to", to);
        if from != 0.0 && d.chance(0.3) {
            p.mm("bore_from", from + d.length(0.0, 10.0));
        }
        if d.chance(0.35) {
            p.mm("bore_to", if d.chance(0.4) { to } else { to - d.length(4.0, 15.0) });
        }
    });
}

pub fn plugs(d: &mut Draw, p: &mut Page, body: &Body) {
    let kinds = [("fill", 90.0), ("drain", 180.0), ("vent", 0.0)];
    let count = d.count(1, 3);
    let first = d.count(0, 2);
    let kinds: Vec<_> = (0..count).map(|i| kinds[(first + i) % 3]).collect();
    p.list("plugs", &kinds, |p, (kind, about)| {
        let screw = d.screw(7.9, 12.0);
        let given = d.chance(0.4);
        let diameter = if given { d.length(screw.1 + 8.0, screw.1 + 20.0) } else { 2.2 * screw.1 };
        let station = body.station(d, diameter, body.flange_thickness, body.end());
        let shell = body.widest(station - 0.5 * diameter, station + 0.5 * diameter);
        p.word("kind", kind);
        p.mm("station", station);
        p.deg("clock", d.clock(*about));
        p.mm("height", d.above(shell + 1.5, 16.0));
        p.word("thread", screw.0);
        if given {
            p.mm("diameter", diameter);
        }
    });
}

pub fn ribs(d: &mut Draw, p: &mut Page, body: &Body) {
    let (along, rings) = (d.count(0, 2), d.count(0, 2));
    p.section("ribs", |p| {
        p.list("longitudinal", &vec![(); along.max(usize::from(rings == 0))], |p, ()| {
            longitudinal(d, p, body);
        });
        p.list("rings", &vec![(); rings], |p, ()| ring(d, p, body));
    });
}

fn longitudinal(d: &mut Draw, p: &mut Page, body: &Body) {
    let within = body.flange_thickness;
    let from =
        if d.chance(0.6) { d.length(0.5 * within, within) } else { d.length(within, 0.4 * body.end()) };
    let to = match d.count(0, 9) {
        0 => body.end(),
        1 => body.ring_front().clamp(from + 20.0, body.end().max(from + 20.0)),
        _ => d.length(from + 20.0, body.end().max(from + 25.0)),
    };
    let count = d.pick(&[1, 2, 2, 3, 4, 4, 6, 8]);
    p.word("count", count);
    if d.chance(0.8) {
        p.deg("first_clock", d.clock(if count == 2 { 90.0 } else { 0.0 }));
    }
    p.mm("from", from);
    p.mm("to", to);
    profile(d, p, body.widest(from, to));
}

fn ring(d: &mut Draw, p: &mut Page, body: &Body) {
    let station = body.station(d, 24.0, body.flange_thickness, body.end());
    p.mm("station", station);
    profile(d, p, body.widest(station - 12.0, station + 12.0));
}

/// Thickness, height or crest, draft.
fn profile(d: &mut Draw, p: &mut Page, shell: f64) {
    if d.chance(0.6) {
        p.mm("thickness", d.length(4.0, 10.0));
    }
    if d.chance(0.2) {
        p.mm("outer_radius", d.above(shell + 2.0, 12.0));
    } else if d.chance(0.7) {
        p.mm("height", d.length(3.0, 14.0));
    }
    if d.chance(0.35) {
        p.deg("draft", d.pick(&[0.0, 1.0, 1.5, 3.0]));
    }
}
