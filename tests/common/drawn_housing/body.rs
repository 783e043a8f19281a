//! Cavity, wall and tail: what every other feature stands on.

use super::draw::{Draw, Page};

/// The cavity at one station, mm.
#[derive(Clone, Copy)]
pub struct Station {
    pub x: f64,
    pub diameter: f64,
    wall: Option<f64>,
}

/// The turned body, mm.
pub struct Body {
    pub length: f64,
    /// The file's wall, or the default it stands for.
    pub wall: f64,
    wall_given: bool,
    pub cavity: Vec<Station>,
    pub flange_thickness: f64,
    pub flange_diameter: f64,
    tail: Tail,
    /// Top of the rail's tube above the shaft axis, and where the tube ends.
    pub rail: Option<(f64, f64)>,
    /// Front and rear of each pad, and the direction in which it looks.
    pub pads: Vec<(f64, f64, f64)>,
}

struct Tail {
    outside: f64,
    length: Option<f64>,
    bore: f64,
    bushing: f64,
    stop: Option<f64>,
    counterbore: f64,
    /// Width of the seal, or depth of the counterbore.
    seal: Result<f64, f64>,
}

impl Tail {
    fn draw(d: &mut Draw, length: f64) -> Self {
        let stub = length < 220.0;
        let bore = d.length(30.0, if stub { 52.0 } else { 66.0 });
        let stop = if d.chance(0.4) { Some(d.length(bore - 5.0, bore - 1.5)) } else { None };
        let bushing = if stub { d.length(20.0, 36.0) } else { d.length(26.0, 62.0) };
        let counterbore = d.length(bore + 8.0, bore + 20.0);
        let seal = if d.chance(0.7) { Ok(d.length(7.0, 13.0)) } else { Err(d.length(8.0, 16.0)) };
        let outside = d.length(counterbore + 9.0, counterbore + 28.0);
        Self { outside, length: None, bore, bushing, stop, counterbore, seal }
    }

    fn depth(&self) -> f64 {
        match self.seal {
            Ok(width) => width + if width <= 10.0 { 0.9 } else { 1.2 },
            Err(depth) => depth,
        }
    }

    fn stop_bore(&self) -> f64 {
        self.stop.unwrap_or(self.bore - 3.0)
    }
}

impl Body {
    pub fn draw(d: &mut Draw) -> Self {
        let (least, most) = d.pick(&[(150.0, 220.0), (220.0, 420.0), (220.0, 420.0), (420.0, 600.0)]);
        let length = d.length(least, most);
        let mut tail = Tail::draw(d, length);
        let given = d.chance(0.8);
        let wall = if given { d.length(4.0, 10.0) } else { 6.5 };
        let cavity = cavity(d, length - tail.depth() - tail.bushing, tail.stop_bore());
        let flange_thickness = d.length(8.0, 20.0);
        if d.chance(0.4) {
            let seats = tail.depth() + tail.bushing;
            let most = (seats + 60.0).min(length - flange_thickness - 10.0);
            tail.length = Some(d.length(seats, most.max(seats + 1.0)));
        }
        Self {
            length,
            wall,
            wall_given: given,
            cavity,
            flange_thickness,
            flange_diameter: 0.0,
            tail,
            rail: None,
            pads: Vec::new(),
        }
    }

    /// Where the cavity ends.
    pub fn end(&self) -> f64 {
        self.cavity[self.cavity.len() - 1].x
    }

    /// Front of the tail's ring.
    pub fn ring_front(&self) -> f64 {
        let tail = &self.tail;
        let covers = tail.depth() + tail.bushing + 2.0 * self.wall;
        self.length - tail.length.unwrap_or(covers.max(self.length - self.end() + self.wall))
    }

    /// The cavity's radius at a station, the larger one at a step.
    pub fn inside(&self, x: f64) -> f64 {
        let pieces = self.cavity.windows(2).filter(|w| x >= w[0].x && x <= w[1].x);
        let radius = |w: &[Station]| {
            let run = w[1].x - w[0].x;
            let share = if run > 0.0 { (x - w[0].x) / run } else { 0.0 };
            let [a, b] = [w[0].diameter / 2.0, w[1].diameter / 2.0];
            if run > 0.0 { a + (b - a) * share } else { a.max(b) }
        };
        pieces.map(radius).fold(self.tail.stop_bore() / 2.0, f64::max)
    }

    /// About the shell's outside radius at a station: cavity and wall, measured square to the slope.
    pub fn outside(&self, x: f64) -> f64 {
        let slope = self
            .cavity
            .windows(2)
            .find(|w| x >= w[0].x && x < w[1].x)
            .map_or(0.0, |w| (w[1].diameter - w[0].diameter) / 2.0 / (w[1].x - w[0].x).max(1.0));
        let thickest = self.cavity.iter().filter_map(|s| s.wall).fold(self.wall, f64::max);
        // Behind a step the thicker end of the piece ahead still counts.
        let radius = self.inside(x).max(self.inside((x - self.wall).max(0.0)) - 0.5 * self.wall);
        let shell = radius + thickest * (1.0 + slope * slope).sqrt();
        if x >= self.ring_front() { shell.max(self.tail.outside / 2.0) } else { shell }
    }

    /// The largest outside radius between two stations.
    pub fn widest(&self, from: f64, to: f64) -> f64 {
        self.over(from, to).map(|x| self.outside(x)).fold(0.0, f64::max)
    }

    /// The smallest one.
    pub fn narrowest(&self, from: f64, to: f64) -> f64 {
        self.over(from, to).map(|x| self.outside(x)).fold(f64::INFINITY, f64::min)
    }

    /// The largest cavity radius between two stations.
    pub fn hollow(&self, from: f64, to: f64) -> f64 {
        self.over(from, to).map(|x| self.inside(x)).fold(0.0, f64::max)
    }

    /// The smallest cavity radius between two stations; none where the cavity ends between them.
    pub fn least_hollow(&self, from: f64, to: f64) -> Option<f64> {
        let within = from >= 0.0 && to <= self.end();
        within.then(|| self.over(from, to).map(|x| self.inside(x)).fold(f64::INFINITY, f64::min))
    }

    fn over(&self, from: f64, to: f64) -> impl Iterator<Item = f64> + '_ {
        let steps = 24;
        let even = (0..=steps).map(move |i| from + (to - from) * f64::from(i) / f64::from(steps));
        even.chain(self.cavity.iter().map(|s| s.x).filter(move |x| *x > from && *x < to))
    }

    /// The middle of something this long: anywhere between two stations or, as often happens, so that one of its ends or
    /// its middle falls on a place that is there already.
    pub fn station(&self, d: &mut Draw, long: f64, from: f64, to: f64) -> f64 {
        let (low, high) = (from + long / 2.0, to - long / 2.0);
        if d.chance(0.2) {
            let kinks = self.cavity.iter().map(|s| s.x);
            let places: Vec<f64> = kinks.chain([self.flange_thickness, self.ring_front()]).collect();
            let place = d.pick(&places) + d.pick(&[-0.5, 0.0, 0.5]) * long;
            if place >= low && place <= high {
                return place;
            }
        }
        if high > low { d.length(low, high) } else { d.near(0.5 * (low + high)) }
    }

    pub fn write_shell(&self, p: &mut Page) {
        p.section("shell", |p| {
            if self.wall_given {
                p.mm("wall", self.wall);
            }
            p.list("cavity", &self.cavity, |p, station| {
                p.mm("station", station.x);
                p.mm("diameter", station.diameter);
                p.some_mm("wall", station.wall);
            });
        });
    }

    pub fn write_tail(&self, d: &mut Draw, p: &mut Page) {
        let tail = &self.tail;
        p.section("tail", |p| {
            p.mm("outside_diameter", tail.outside);
            p.some_mm("length", tail.length);
            self.barrel(&mut d.aside(1), p);
            let mut mouth = tail.bore / 2.0 + 1.5 * 15.0_f64.to_radians().tan();
            p.section("bushing", |p| {
                p.mm("bore", tail.bore);
                p.mm("length", tail.bushing);
                p.some_mm("stop_bore", tail.stop);
                if d.chance(0.3) {
                    let (lead_in, angle) = (d.length(0.0, 2.5), d.pick(&[15.0, 20.0, 30.0]));
                    mouth = tail.bore / 2.0 + lead_in * f64::to_radians(angle).tan();
                    p.mm("lead_in", lead_in);
                    p.deg("lead_in_angle", angle);
                }
            });
            let mut rim = tail.counterbore / 2.0 + 20.0_f64.to_radians().tan();
            p.section("seal", |p| {
                p.mm("counterbore", tail.counterbore);
                match tail.seal {
                    Ok(width) => p.mm("width", width),
                    Err(depth) => p.mm("depth", depth),
                }
                if d.chance(0.3) {
                    let (lead_in, angle) = (d.length(0.0, 2.0), d.pick(&[15.0, 20.0, 30.0]));
                    rim = tail.counterbore / 2.0 + lead_in * f64::to_radians(angle).tan();
                    p.mm("lead_in", lead_in);
                    p.deg("lead_in_angle", angle);
                }
            });
            self.oil_feed(d, p);
            self.drain_back(d, p, mouth);
            dust_lip(d, p, tail, rim);
        });
    }

    /// Thinner over the bushing, where there is metal to spare.
    fn barrel(&self, d: &mut Draw, p: &mut Page) {
        let tail = &self.tail;
        let room = tail.outside - tail.bore - 12.0;
        let cone = 0.5 * tail.outside - 0.5 * tail.bore;
        if room < 4.0 || tail.bushing < cone || !d.chance(0.4) {
            return;
        }
        p.mm("barrel_diameter", d.length(tail.bore + 10.0, tail.outside - 2.0));
        if d.chance(0.3) {
            p.mm("collar_length", d.length(tail.depth() + 4.0, tail.depth() + 10.0));
        }
    }

    fn oil_feed(&self, d: &mut Draw, p: &mut Page) {
        let (tail, end) = (&self.tail, self.cavity[self.cavity.len() - 1].diameter / 2.0);
        let room = end - tail.bore / 2.0;
        if room < 2.5 || !d.chance(0.4) {
            return;
        }
        // A hole slants from the seat to the middle of the cavity's end: its mouth must lie in the seat.
        let seat_front = self.length - tail.depth() - tail.bushing;
        let width = d.length(3.0, 6.0);
        let rise =
            0.25 * self.cavity[self.cavity.len() - 1].diameter + 0.25 * tail.stop_bore() - 0.5 * tail.bore;
        let mouth = 0.5 * width * (seat_front + 0.5 * tail.bushing - self.end()) / rise;
        let hole = rise > 3.0 && mouth < 0.45 * tail.bushing && d.chance(0.5);
        p.section("oil_feed", |p| {
            if hole {
                p.word("kind", "hole");
                p.mm("width", width);
                if d.chance(0.2) {
                    p.deg("angle", d.between(8.0, 30.0).round());
                }
            } else {
                let width = d.length(3.0, (2.0 * room - 1.0).min(8.0));
                if d.chance(0.3) {
                    p.word("kind", "slot");
                }
                p.mm("width", width);
                if d.chance(0.3) {
                    p.mm("depth", d.length(1.0, (room - 0.5).min(4.0)));
                }
            }
            if d.chance(0.4) {
                p.deg("clock", d.clock(0.0));
            }
            if !hole && d.chance(0.3) {
                p.mm("reach", d.length(0.3 * tail.bushing, 0.8 * tail.bushing));
            }
        });
    }

    /// Where the shoulder has room for a drill that comes out in the cavity.
    fn drain_back(&self, d: &mut Draw, p: &mut Page, mouth: f64) {
        let (tail, end) = (&self.tail, self.cavity[self.cavity.len() - 1].diameter / 2.0);
        let shoulder = tail.counterbore / 2.0 - mouth;
        let middle = mouth + 0.5 * shoulder;
        if shoulder < 3.5 || middle + 1.5 > end || !d.chance(0.35) {
            return;
        }
        p.section("drain_back", |p| {
            p.mm("diameter", d.length(2.0, (shoulder - 1.0).min(2.0 * (end - middle) - 0.5).clamp(2.2, 6.0)));
            if d.chance(0.3) {
                p.deg("clock", d.clock(180.0));
            }
            if d.chance(0.2) {
                p.mm("distance", middle);
            }
            if d.chance(0.2) {
                p.deg("angle", d.pick(&[1.0, 2.0, 3.0]));
            }
        });
    }
}

fn dust_lip(d: &mut Draw, p: &mut Page, tail: &Tail, rim: f64) {
    let most = tail.outside - 3.0;
    let lip = d.chance(0.4);
    let least = 2.0 * rim + if lip { 3.1 } else { 0.5 };
    if most - least < 1.0 || !d.chance(0.3) {
        return;
    }
    p.section("dust_lip", |p| {
        if lip {
            p.word("kind", "lip");
        } else if d.chance(0.3) {
            p.word("kind", "recess");
        }
        p.mm("diameter", d.length(least, most));
        if d.chance(0.5) {
            p.mm("depth", d.length(1.0, 4.0));
        }
    });
}

/// Stations from the gearbox face to a little ahead of the bushing's seat: a cone, a cone behind or ahead of a cylinder, a
/// step, a bulge; steep or shallow, now and then with another wall.
fn cavity(d: &mut Draw, seat: f64, stop: f64) -> Vec<Station> {
    let end = d.length((seat - 45.0).max(0.55 * seat), seat - 3.0);
    let last = d.length(stop + 3.0, stop + 44.0);
    let first = if d.chance(0.12) { last } else { d.length(last.max(70.0), (last + 75.0).max(90.0)) };
    let kink = |d: &mut Draw, from: f64, to: f64| d.length(from * end, to * end);
    let mut points = match d.count(0, 9) {
        0 | 1 => vec![(0.0, first), (end, last)],
        2 | 3 => vec![(0.0, first), (kink(d, 0.3, 0.9), last), (end, last)],
        4 | 5 => {
            let (from, to) = (kink(d, 0.1, 0.35), kink(d, 0.4, 0.9));
            vec![(0.0, first), (from, first), (to, last), (end, last)]
        }
        // Steep: from wide to narrow within a fifth of the length.
        6 => {
            let from = kink(d, 0.15, 0.5);
            let to = d.length(from + 5.0, from + 0.2 * end + 6.0);
            vec![(0.0, first), (from, first), (to, last), (end, last)]
        }
        7 => {
            let (at, middle) = (kink(d, 0.3, 0.8), d.near(0.5 * (first + last)));
            vec![(0.0, first), (at, middle), (at, last), (end, last)]
        }
        8 => {
            let at = kink(d, 0.35, 0.8);
            vec![(0.0, first), (at, first), (at, last), (end, last)]
        }
        // A wider room for the sender.
        _ => {
            let (from, to) = (kink(d, 0.45, 0.6), kink(d, 0.75, 0.9));
            let waist = d.near(last.max(0.5 * (first + last)));
            vec![(0.0, first), (from, waist), (to, waist), (to, last), (end, last)]
        }
    };
    points.dedup_by(|b, a| a == b);
    let odd = if d.chance(0.15) { Some(d.count(0, points.len() - 1)) } else { None };
    let station =
        |(i, (x, diameter))| Station { x, diameter, wall: None.or((odd == Some(i)).then_some(0.0)) };
    let mut stations: Vec<Station> = points.into_iter().enumerate().map(station).collect();
    for station in stations.iter_mut().filter(|s| s.wall.is_some()) {
        station.wall = Some(d.length(4.0, 10.0));
    }
    stations
}
