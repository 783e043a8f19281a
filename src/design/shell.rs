//! Cavity and outside of the tapered tube.

use super::record::record;
use super::tail::Tail;
use crate::params::schema;
use crate::units::Mm;

record! {
    /// The tapered tube between the two ends.
    pub struct Shell {
    } lent {
        /// The cavity, front to back; the first station is 0, two at one place make a step.
        cavity: Vec<Station> => [Station],
        /// The outside, front to back, from station 0: the cavity's profile and the stop bore's, moved outwards by the
        /// wall square to the surface, with mitred corners. It ends inside the tail ring or, where the cavity's end
        /// wall reaches further, at that wall's rear face.
        outside: Vec<ProfilePoint> => [ProfilePoint],
    }
}

/// The cavity at one station.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Station {
    /// Distance aft of the gearbox face.
    pub x: Mm,
    /// Cavity radius.
    pub radius: Mm,
    /// Wall thickness.
    pub wall: Mm,
}

/// A corner of a turned profile.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ProfilePoint {
    /// Distance aft of the gearbox face.
    pub x: Mm,
    /// Distance from the shaft axis.
    pub radius: Mm,
}

impl Shell {
    pub(super) fn from_file(raw: &schema::RawShell, tail: &Tail) -> Option<Self> {
        let cavity = stations(raw)?;
        let outside = outside(&cavity, tail.bushing().stop_bore() / 2.0, tail.bushing().front());
        Some(Self { cavity, outside })
    }

    /// The thinnest wall of its stations.
    pub fn thinnest(&self) -> Mm {
        self.cavity.iter().map(|s| s.wall).fold(Mm::new(f64::INFINITY), Mm::min)
    }

    /// The thickest wall of its stations.
    pub fn thickest(&self) -> Mm {
        self.cavity.iter().map(|s| s.wall).fold(Mm::default(), Mm::max)
    }

    /// Cavity radius at a station between the first and the last; the larger one at a step.
    pub fn cavity_radius(&self, x: Mm) -> Option<Mm> {
        radius_at(self.cavity.iter().map(|s| (s.x, s.radius)), x)
    }

    /// Outside radius at a station; the larger one at a step.
    pub fn outside_radius(&self, x: Mm) -> Option<Mm> {
        radius_at(self.outside.iter().map(|p| (p.x, p.radius)), x)
    }
}

/// All cavity stations, if all are valid.
pub(super) fn stations(raw: &schema::RawShell) -> Option<Vec<Station>> {
    let station = |item: &schema::CavityStation| {
        Some(Station { x: item.station.get()?, radius: item.diameter.get()? / 2.0, wall: item.wall.get()? })
    };
    raw.cavity.items.iter().map(station).collect()
}

/// The radius of a turned profile at a station, the larger one at a step.
pub(super) fn radius_at(points: impl Iterator<Item = (Mm, Mm)>, x: Mm) -> Option<Mm> {
    let points: Vec<_> = points.collect();
    let between = |pair: &[(Mm, Mm)]| {
        let ((x0, r0), (x1, r1)) = (pair[0], pair[1]);
        if x < x0 || x > x1 {
            return None;
        }
        Some(if x1 > x0 { r0 + (r1 - r0) * ((x - x0) / (x1 - x0)) } else { r0.max(r1) })
    };
    points.windows(2).filter_map(between).reduce(Mm::max)
}

/// A straight piece of the outside, as two points in plain numbers.
type Piece = ([f64; 2], [f64; 2]);

/// The outside that follows from the cavity, a stop bore ahead of `seat_front`, and the walls.
///
/// Every piece of the inner profile is moved outwards, square to itself, by the walls at its ends; neighbours meet
/// where their lines cross. Pieces of one line meet at the moved corner itself.
pub(super) fn outside(cavity: &[Station], stop_radius: Mm, seat_front: Mm) -> Vec<ProfilePoint> {
    let Some(last) = cavity.last() else { return Vec::new() };
    let mut inner = cavity.to_vec();
    inner.push(Station { radius: stop_radius, ..*last });
    inner.push(Station { x: seat_front, radius: stop_radius, wall: last.wall });
    let pieces: Vec<Piece> = inner.windows(2).filter_map(|pair| moved(&pair[0], &pair[1])).collect();

    let mut points = Vec::with_capacity(pieces.len() + 1);
    if let Some(&(from, to)) = pieces.first() {
        points.push(at_station(from, to, 0.0));
    }
    for pair in pieces.windows(2) {
        points.push(meeting(pair[0], pair[1]));
    }
    if let Some(&(_, end)) = pieces.last() {
        // A thick end wall may reach past the stop: then its rear face closes the outside.
        let furthest = points.last().map_or(0.0, |p| p[0]);
        if end[0] > furthest {
            points.push(end);
        }
    }
    points.into_iter().map(|[x, r]| ProfilePoint { x: Mm::new(x), radius: Mm::new(r) }).collect()
}

/// One piece of the inner profile moved outwards; `None` when it has no length.
fn moved(from: &Station, to: &Station) -> Option<Piece> {
    let (x0, r0, x1, r1) = (from.x.get(), from.radius.get(), to.x.get(), to.radius.get());
    let length = (x1 - x0).hypot(r1 - r0);
    if length <= 0.0 {
        return None;
    }
    let (outward_x, outward_r) = (-(r1 - r0) / length, (x1 - x0) / length);
    let (w0, w1) = (from.wall.get(), to.wall.get());
    Some(([x0 + outward_x * w0, r0 + outward_r * w0], [x1 + outward_x * w1, r1 + outward_r * w1]))
}

/// The point of a piece's line at a station.
fn at_station(from: [f64; 2], to: [f64; 2], x: f64) -> [f64; 2] {
    let run = to[0] - from[0];
    if run.abs() <= 0.0 {
        return [x, from[1].max(to[1])];
    }
    [x, from[1] + (to[1] - from[1]) * (x - from[0]) / run]
}

/// Where the lines of two neighbouring pieces cross; for one and the same line, where the first one ends.
fn meeting((a, b): Piece, (c, d): Piece) -> [f64; 2] {
    let (first, second) = ([b[0] - a[0], b[1] - a[1]], [d[0] - c[0], d[1] - c[1]]);
    let cross = first[0] * second[1] - first[1] * second[0];
    if cross.abs() <= solidwright::tolerance::PARALLEL * first[0].hypot(first[1]) * second[0].hypot(second[1])
    {
        return b;
    }
    let t = ((c[0] - a[0]) * second[1] - (c[1] - a[1]) * second[0]) / cross;
    [a[0] + t * first[0], a[1] + t * first[1]]
}

#[cfg(test)]
mod tests {
    use super::*;

    fn station(x: f64, radius: f64) -> Station {
        Station { x: Mm::new(x), radius: Mm::new(radius), wall: Mm::new(5.0) }
    }

    fn corners(cavity: &[Station], stop: f64, seat: f64) -> Vec<(f64, f64)> {
        let points = outside(cavity, Mm::new(stop), Mm::new(seat));
        points.iter().map(|p| (p.x.get(), p.radius.get())).collect()
    }

    #[test]
    fn a_step_keeps_a_full_wall_behind_it() {
        let cavity = [station(0.0, 40.0), station(100.0, 40.0), station(100.0, 30.0), station(150.0, 30.0)];
        let expected =
            [(0.0, 45.0), (105.0, 45.0), (105.0, 35.0), (155.0, 35.0), (155.0, 25.0), (180.0, 25.0)];
        assert_eq!(corners(&cavity, 20.0, 180.0), expected, "each corner moved by the wall both ways");
    }

    #[test]
    fn a_taper_keeps_its_wall_square_to_the_surface() {
        // 3-4-5 slope: 30 along, 40 down would be too steep; 40 along, 30 down leans 3/5 and 4/5.
        let cavity = [station(0.0, 60.0), station(40.0, 30.0), station(80.0, 30.0)];
        let points = corners(&cavity, 20.0, 120.0);
        // The moved line passes through (0 + 5*0.6, 60 + 5*0.8) with slope -3/4; at station 0 that is 64 + 3*0.75.
        assert!((points[0].1 - 66.25).abs() < 1e-12, "front edge {points:?}");
        // It meets the cylinder of radius 35 where 66.25 - 0.75 x = 35.
        assert!(
            (points[1].0 - 31.25 / 0.75).abs() < 1e-12 && (points[1].1 - 35.0).abs() < 1e-12,
            "{points:?}"
        );
    }

    #[test]
    fn a_thick_end_wall_closes_the_outside() {
        let cavity = [station(0.0, 40.0), station(100.0, 40.0)];
        let points = corners(&cavity, 20.0, 103.0);
        assert_eq!(points.last(), Some(&(105.0, 25.0)), "{points:?}");
    }
}
