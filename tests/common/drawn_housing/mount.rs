//! `mount_pad` and `second_mount_pad`: blocks and plates, threads and slots, under the shaft or beside it.

use super::body::Body;
use super::draw::{Draw, Page, Screw};
use super::shift_box::{depth, rectangle};

/// What the parts of a pad share, mm.
struct Mount {
    length: f64,
    width: f64,
    radius: f64,
    station: f64,
    drop: f64,
    side: f64,
    screw: Screw,
}

pub fn write(d: &mut Draw, p: &mut Page, body: &mut Body) {
    if !d.chance(0.8) {
        return;
    }
    let two = body.length > 260.0 && d.chance(0.25);
    // Most stand far back; with two, one each in its half.
    let half = 0.5 * body.length;
    let first = if two { (body.flange_thickness, half) } else { (0.35 * body.length, body.length) };
    pad(d, p, body, "mount_pad", first);
    if two {
        pad(d, p, body, "second_mount_pad", (half, body.length));
    }
}

fn pad(d: &mut Draw, p: &mut Page, body: &mut Body, key: &str, (from, to): (f64, f64)) {
    let length = d.length(30.0, (0.8 * (to - from)).min(100.0));
    let width = d.length(44.0, 130.0);
    let station = body.station(d, length, from, to);
    let widest = body.widest(station - length / 2.0, station + length / 2.0);
    let drop = d.above(widest + 3.0, 48.0);
    let side = if d.chance(0.25) { d.length(-30.0, 30.0) } else { 0.0 };
    let radius = d.length(4.0, 16.0_f64.min(0.4 * length.min(width)));
    let mount = Mount { length, width, radius, station, drop, side, screw: d.screw(7.9, 12.7) };
    body.pads.push((station - 0.5 * length, station + 0.5 * length, 180.0));
    let body = &*body;
    p.section(key, |p| {
        let offset = if d.chance(0.3) { d.length(-20.0, 20.0) } else { 0.0 };
        p.mm("base_station", mount.station - offset);
        if offset != 0.0 {
            p.mm("offset", offset);
        }
        p.mm("drop", mount.drop);
        if mount.side != 0.0 {
            p.mm("side_offset", mount.side);
        }
        if d.chance(0.1) {
            rectangle(d, p, "outline", (mount.length, mount.width), 6.0);
        } else {
            p.section("outline", |p| {
                p.mm("length", mount.length);
                p.mm("width", mount.width);
                p.mm("corner_radius", mount.radius);
            });
        }
        let slotted = d.chance(0.3);
        let plate = plate(d, p, body, &mount, slotted);
        if slotted {
            slots(d, p, body, &mount, plate.as_ref());
        } else if d.chance(0.93) {
            holes(d, p, body, &mount);
        }
        if !slotted && plate.is_none() {
            hollow(&mut d.aside(mount.station.to_bits()), p, body, &mount);
        }
        if d.chance(0.2) {
            p.deg("draft", d.pick(&[1.0, 1.5, 2.0, 3.0]));
        }
    });
}

/// What ties a plate to the shell: its thickness, and where gussets stand.
struct Plate {
    tie: f64,
    gussets: Option<usize>,
}

fn plate(d: &mut Draw, p: &mut Page, body: &Body, mount: &Mount, slotted: bool) -> Option<Plate> {
    let shell = body.narrowest(mount.station - mount.length / 2.0, mount.station + mount.length / 2.0);
    let room = mount.drop - shell;
    if room < 12.0 || !d.chance(0.45) {
        return None;
    }
    let thickness = d.length(8.0, (room - 2.0).min(16.0));
    let given = d.chance(0.5);
    let tie = if given { d.length(4.0, 10.0) } else { body.wall };
    let straight = mount.length - 2.0 * mount.radius;
    let walls = 0.5 * (mount.width - tie) + mount.side.abs() < shell - 1.0 && straight > tie;
    let most = ((straight + 6.0) / (tie + 6.0)) as usize;
    if !walls && most == 0 {
        return None;
    }
    // Slots lie between two gussets.
    let gussets = match most.min(3) {
        most if walls && (most < 2 || d.chance(0.6)) => None,
        most if slotted && most < 2 => return None,
        _ if slotted => Some(2),
        most => Some(d.count(1, most)),
    };
    p.section("plate", |p| {
        p.mm("thickness", thickness);
        if given {
            p.mm("tie_thickness", tie);
        }
        if let Some(count) = gussets {
            p.word("tie", "gussets");
            if count != 2 || d.chance(0.5) {
                p.word("gussets", count);
            }
        } else if d.chance(0.3) {
            p.word("tie", "walls");
            p.mm("edge_radius", d.length(0.0, 0.45 * tie));
        }
        if d.chance(0.25) {
            p.mm("boss_diameter", d.length(mount.screw.1 + 8.0, 2.6 * mount.screw.1));
        }
        if d.chance(0.2) {
            p.mm("boss_floor", d.length(3.0, 8.0));
        }
    });
    Some(Plate { tie, gussets })
}

fn holes(d: &mut Draw, p: &mut Page, body: &Body, mount: &Mount) {
    let screw = mount.screw;
    let (along, across) = (mount.length - 3.0 * screw.1, mount.width - 3.0 * screw.1);
    if across < 1.5 * screw.1 {
        return;
    }
    let width = d.length(0.5 * across, across).max(1.3 * screw.1);
    let two = along > 1.5 * screw.1 && d.chance(0.6);
    let length = if two { d.length((0.5 * along).max(1.3 * screw.1), along) } else { 0.0 };
    p.section("holes", |p| {
        p.word("thread", screw.0);
        let near = (0.5 * width - mount.side.abs()).max(0.0);
        depth(d, p, body, screw, (mount.station, mount.length, mount.drop, near));
        if d.chance(0.85) {
            p.section("grid", |p| grid(p, if two { 2 } else { 1 }, 2, (length, width)));
        } else {
            let places = [(-0.5 * length, -0.5 * width), (0.5 * length, 0.5 * width)];
            p.list("positions", &places, |p, (along, across)| {
                p.mm("along", *along);
                p.mm("across", *across);
            });
        }
    });
}

fn grid(p: &mut Page, along: usize, across: usize, (length, width): (f64, f64)) {
    p.word("along", along);
    p.word("across", across);
    p.mm("length", length);
    p.mm("width", width);
}

/// A hollow leg: open to the cavity where that is wide enough, else at the face.
fn hollow(d: &mut Draw, p: &mut Page, body: &Body, mount: &Mount) {
    let (front, rear) = (mount.station - 0.5 * mount.length, mount.station + 0.5 * mount.length);
    let given = d.chance(0.5);
    let wall = if given { d.length(4.0, 10.0) } else { body.wall };
    let reach = 0.5 * mount.width + mount.side.abs() - wall;
    let inside = body.least_hollow(front, rear).is_some_and(|least| reach < least - 1.0) && d.chance(0.6);
    let room = 0.5 * mount.length.min(mount.width) - wall;
    if mount.drop - body.hollow(front, rear) - wall < 12.0 || room < 12.0 || !d.chance(0.85) {
        return;
    }
    p.section("hollow", |p| {
        p.word("opens", if inside { "inside" } else { "outside" });
        if given {
            p.mm("wall", wall);
        }
        sizes(d, p, mount.screw);
    });
}

/// Floor, bosses and fillets of a hollow, now and then.
pub fn sizes(d: &mut Draw, p: &mut Page, screw: Screw) {
    if d.chance(0.3) {
        p.mm("floor", d.length(5.0, 10.0));
    }
    if d.chance(0.25) {
        p.mm("boss_diameter", d.length(screw.1 + 6.0, 2.4 * screw.1));
    }
    if d.chance(0.2) {
        p.mm("boss_floor", d.length(3.0, 8.0));
    }
    if d.chance(0.25) {
        p.mm("fillet", d.length(2.0, 5.0));
    }
}

fn slots(d: &mut Draw, p: &mut Page, body: &Body, mount: &Mount, plate: Option<&Plate>) {
    let (screw, across) = (mount.screw, d.chance(0.3));
    let edge = 0.62 * screw.1 + 3.5;
    // Clear of walls and gussets.
    let sides = plate.filter(|p| p.gussets.is_some()).map_or(0.0, |p| 2.0 * (p.tie + mount.radius));
    let wall = plate.filter(|p| p.gussets.is_none()).map_or(0.0, |p| (p.tie - 3.0).max(0.0));
    let most = [mount.length - sides - 2.0 * edge, 0.5 * mount.width - 2.0 * edge - wall];
    let travel = d.length(3.0, 0.8 * if across { most[1] } else { most[0] });
    if travel < 3.0 || most[0] < 3.0 {
        return;
    }
    let reach = edge + wall + if across { 0.5 * travel } else { 0.0 };
    let least = 2.0 * edge + if across { travel } else { 0.0 };
    let width = d.length(least, (mount.width - 2.0 * reach).max(least));
    p.section("slots", |p| {
        if d.chance(0.8) {
            p.word("size", screw.0);
        } else {
            p.mm("size", d.length(8.0, 14.0));
        }
        p.mm("travel", travel);
        if across {
            p.word("direction", "across");
        } else if d.chance(0.2) {
            p.word("direction", "along");
        }
        if plate.is_none() {
            let hollow = body.hollow(mount.station - mount.length / 2.0, mount.station + mount.length / 2.0);
            let room = mount.drop - hollow - 3.0;
            p.mm("depth", d.length(0.4 * room, room.min(25.0)));
        }
        if d.chance(0.85) {
            p.section("grid", |p| grid(p, 1, 2, (0.0, width)));
        } else {
            p.list("positions", &[-0.5 * width, 0.5 * width], |p, across| {
                p.mm("along", 0.0);
                p.mm("across", *across);
            });
        }
    });
}
