//! `shift_box_pad`: a rectangle or a free outline, level or tipped, on top or off it.

use super::body::Body;
use super::draw::{Draw, Page, Screw};

/// What the parts of the pad share, mm.
struct Pad {
    length: f64,
    width: f64,
    station: f64,
    height: f64,
    screw: Screw,
    opening: Option<(f64, f64)>,
    tilt: f64,
}

pub fn write(d: &mut Draw, p: &mut Page, body: &mut Body) {
    let room = body.length - body.flange_thickness;
    let length = d.length(50.0, (0.55 * room).clamp(60.0, 130.0));
    let width = d.length(50.0, 110.0);
    let to = if d.chance(0.85) { body.end() } else { body.length };
    let station = body.station(d, length, body.flange_thickness, to.max(body.flange_thickness + length));
    let tilt = if d.chance(0.25) { d.pick(&[-6.0, -3.0, -2.0, 2.0, 3.0, 5.0, 8.0, 10.0]) } else { 0.0 };
    let slope = f64::to_radians(tilt).tan().abs() * length / 2.0;
    let rail = body.rail.filter(|r| r.1 > station - length / 2.0).map_or(0.0, |r| r.0);
    let shell = body.widest(station - length / 2.0, station + length / 2.0).max(rail) + slope;
    let height = d.above(shell + 2.0, 36.0);
    let screw = d.screw(6.0, 10.0);
    // A rim for the gasket and the screws.
    let rim = 2.0 * (3.2 * screw.1);
    let opening = if length - rim > 20.0 && width - rim > 16.0 && d.chance(0.85) {
        Some((d.length(0.6 * (length - rim), length - rim), d.length(0.6 * (width - rim), width - rim)))
    } else {
        None
    };
    let pad = Pad { length, width, station, height, screw, opening, tilt };
    let free = d.chance(0.25);
    body.pads.push((station - 0.5 * length, station + 0.5 * length, 0.0));
    p.section("shift_box_pad", |p| {
        p.mm("station", pad.station);
        p.mm("height", pad.height);
        let mut side = 0.0;
        if d.chance(0.3) {
            side = d.length(-25.0, 25.0);
            p.mm("side_offset", side);
        }
        if d.chance(0.3) {
            p.deg("clock", d.clock(0.0));
        }
        if pad.tilt != 0.0 {
            p.deg("tilt", pad.tilt);
        }
        if free {
            polygon(d, p, &pad);
        } else {
            rectangle(d, p, "outline", (pad.length, pad.width), 16.0);
        }
        if let Some(size) = pad.opening {
            rectangle(d, p, "opening", size, 10.0);
        }
        let gap = if d.chance(0.9) { Some(holes(d, p, body, &pad)) } else { None };
        hollow(&mut d.aside(pad.station.to_bits()), p, body, &pad, (side, gap));
        if d.chance(0.25) {
            dowels(d, p, &pad);
        }
        if d.chance(0.2) {
            p.deg("draft", d.pick(&[1.0, 1.5, 2.0, 3.0]));
        }
    });
}

pub fn rectangle(d: &mut Draw, p: &mut Page, key: &str, (length, width): (f64, f64), largest: f64) {
    p.section(key, |p| {
        p.mm("length", length);
        p.mm("width", width);
        if d.chance(0.75) {
            p.mm("corner_radius", d.length(3.0, largest.min(0.5 * length.min(width))));
        }
    });
}

/// A rectangle with a tongue behind, a narrower front, or corners cut off.
fn polygon(d: &mut Draw, p: &mut Page, pad: &Pad) {
    let (l, w) = (pad.length / 2.0, pad.width / 2.0);
    let cut = d.length(5.0, 0.3 * w.min(l));
    let mut corners = match d.count(0, 2) {
        0 => {
            let tongue = d.length(8.0, 16.0);
            let half = d.length(0.3 * w, 0.6 * w);
            vec![
                (-l, -w),
                (l, -w),
                (l, -half),
                (l + tongue, -half),
                (l + tongue, half),
                (l, half),
                (l, w),
                (-l, w),
            ]
        }
        1 => {
            let narrow = d.length(0.6 * w, 0.9 * w);
            vec![(-l, -narrow), (l, -w), (l, w), (-l, narrow)]
        }
        _ => vec![(-l + cut, -w), (l - cut, -w), (l, cut - w), (l, w), (-l, w), (-l, cut - w)],
    };
    if d.chance(0.3) {
        for c in &mut corners {
            c.1 = -c.1;
        }
        corners.reverse();
    }
    let radius = d.length(2.0, (0.3 * cut).max(2.5));
    p.list("polygon", &corners, |p, (along, across)| {
        p.mm("along", *along);
        p.mm("across", *across);
        p.mm("radius", radius);
    });
}

/// Gives how far the holes' centres are from the opening.
fn holes(d: &mut Draw, p: &mut Page, body: &Body, pad: &Pad) -> f64 {
    let screw = pad.screw;
    let spread = |d: &mut Draw, side: f64, opening: Option<f64>| {
        let most = side - 3.0 * screw.1;
        let least = opening.map_or(0.4 * side, |o| o + 1.2 * screw.1).min(most);
        d.length(least, most)
    };
    let along = spread(d, pad.length, pad.opening.map(|o| o.0));
    let across = spread(d, pad.width, pad.opening.map(|o| o.1));
    let rows = if pad.opening.is_none_or(|o| o.1 < across - screw.1) { d.pick(&[2, 2, 3]) } else { 2 };
    p.section("holes", |p| {
        p.word("thread", screw.0);
        depth(d, p, body, screw, (pad.station, pad.length, pad.height, across / 2.0));
        if d.chance(0.85) {
            p.section("grid", |p| {
                p.word("along", rows);
                p.word("across", 2);
                p.mm("length", along);
                p.mm("width", across);
            });
        } else {
            let (l, w) = (along / 2.0, across / 2.0);
            p.list("positions", &[(-l, -w), (-l, w), (l, -w), (l, w)], |p, (along, across)| {
                p.mm("along", *along);
                p.mm("across", *across);
            });
        }
    });
    let [beside, ahead] = pad.opening.map_or([100.0; 2], |o| [0.5 * (across - o.1), 0.5 * (along - o.0)]);
    if rows > 2 { beside } else { beside.max(ahead) }
}

/// Walls instead of solid metal, where the cavity is wide enough and bosses stay clear of the opening.
fn hollow(d: &mut Draw, p: &mut Page, body: &Body, pad: &Pad, (side, gap): (f64, Option<f64>)) {
    let given = d.chance(0.5);
    let wall = if given { d.length(4.0, 10.0) } else { body.wall };
    let lean = pad.height * f64::to_radians(pad.tilt).tan().abs();
    let (front, rear) = (pad.station - 0.6 * pad.length - lean, pad.station + 0.6 * pad.length + lean);
    let wide = body
        .least_hollow(front, rear)
        .is_some_and(|least| 0.5 * pad.width + f64::abs(side) - wall < least - 1.0);
    let bosses = gap.is_none_or(|gap| gap > 0.5 * pad.screw.1 + 4.0);
    let high = pad.height - body.hollow(front, rear) - wall > 10.0;
    if !wide || !bosses || !high || !d.chance(0.85) {
        return;
    }
    p.section("hollow", |p| {
        if given {
            p.mm("wall", wall);
        }
        if d.chance(0.3) {
            p.mm("floor", d.length(5.0, 10.0));
        }
        if d.chance(0.25) {
            p.mm("boss_diameter", pad.screw.1 + 5.0);
        }
        if d.chance(0.25) {
            p.mm("boss_floor", d.length(3.0, 8.0));
        }
        p.mm("fillet", d.length(2.0, 5.0));
    });
}

/// Depths of blind holes: the default, or less where the cavity is near.
pub fn depth(d: &mut Draw, p: &mut Page, body: &Body, screw: Screw, at: (f64, f64, f64, f64)) {
    let (station, length, height, across) = at;
    let hollow = body.hollow(station - length / 2.0, station + length / 2.0) + 0.5 * screw.1;
    let roof = (hollow * hollow - across * across).max(0.0).sqrt();
    let room = height - roof - 2.0;
    if room < 2.5 * screw.1 || d.chance(0.4) {
        let drilled = d.length((0.6 * room).min(1.6 * screw.1), room.min(2.6 * screw.1)).max(5.0);
        p.mm("depth", d.length(0.6 * drilled, 0.85 * drilled));
        p.mm("drill_depth", drilled);
    }
}

fn dowels(d: &mut Draw, p: &mut Page, pad: &Pad) {
    let Some((long, _)) = pad.opening else { return };
    let diameter = d.length(5.0, 8.0);
    let at = 0.25 * (long + pad.length);
    if 0.5 * pad.length - at < 0.5 * diameter + 2.0 {
        return;
    }
    p.list("dowels", &[-at, at], |p, along| {
        p.mm("along", *along);
        p.mm("across", 0.0);
        p.mm("diameter", diameter);
        p.mm("depth", 1.5 * diameter);
    });
}
