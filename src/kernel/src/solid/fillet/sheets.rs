//! What one ball leaves, as sheets side by side: a canal for each fillet segment, a piece of the ball at each vertex where three
//! or more meet, with the arcs between them; and the lines in which planes cut the sheets.

use std::collections::BTreeMap;

use super::path::Place;
use super::spines::EdgeChain;
use crate::geometry::{Bounds, Frame, P3, V3};
use crate::solid::blend::FilletSegment;
use crate::solid::brep::Brep;
use crate::tolerance::NOT_ZERO;

/// A sheet: the canal along a segment, or the ball at rest at a vertex of the offset solid.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Sheet {
    Canal(usize),
    Ball(usize),
}

/// An arc between two sheets.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct ArcId {
    /// The vertex of the offset solid at its centre.
    pub(super) vertex: usize,
    /// The segment and which of its ends (0 or 1), where the other sheet is a ball; `None` between two canals.
    pub(super) of: Option<(usize, usize)>,
}

/// A place on the line in which a plane cuts a sheet. On a canal: the length along its spine. On a ball: the angle about the
/// plane's normal.
#[derive(Clone, Copy, Debug)]
pub(super) struct Spot {
    pub(super) sheet: Sheet,
    pub(super) at: f64,
}

/// Parallel planes, told by their distance from a point.
#[derive(Clone, Copy, Debug)]
pub(super) struct Planes {
    pub(super) from: P3,
    /// Unit normal.
    pub(super) normal: V3,
    /// Length of the chord from that point, near which the lines lie that are looked for.
    pub(super) length: f64,
}

/// A point of the line in which a plane cuts a sheet.
#[derive(Clone, Copy, Debug)]
pub(super) struct CutSection {
    pub(super) point: P3,
    /// Unit vector from the ball's centre.
    pub(super) towards: V3,
    /// Velocity of the point along the line.
    pub(super) along: V3,
}

/// All sheets of a ball.
pub(super) struct Sheets<'a> {
    offset: &'a Brep,
    pub(super) segments: &'a [FilletSegment],
    pub(super) radius: f64,
    /// Vertices at the ends of each segment.
    ends: Vec<[usize; 2]>,
    /// Ends of segments at each vertex.
    meeting: BTreeMap<usize, Vec<(usize, usize)>>,
    /// A box around each segment's spine.
    ways: Vec<Bounds>,
}

/// Least share of a plane's normal across a canal's spine, below which the plane cuts the canal too slantingly.
const LEAST_ACROSS: f64 = 0.05;

/// Cosine from which a plane only grazes a section.
const GRAZING: f64 = 0.9995;

/// Steps from an arc on that are shorter.
const FIRST_STEPS: f64 = 30.0;

/// Step along a line, in radii.
const STEP: f64 = 0.04;

impl<'a> Sheets<'a> {
    pub(super) fn new(
        offset: &'a Brep,
        chains: &[EdgeChain],
        segments: &'a [FilletSegment],
        radius: f64,
    ) -> Self {
        let ends: Vec<[usize; 2]> = chains.iter().map(|c| c.ends(offset)).collect();
        let mut meeting: BTreeMap<usize, Vec<(usize, usize)>> = BTreeMap::new();
        for (i, both) in ends.iter().enumerate() {
            (0..2).for_each(|k| meeting.entry(both[k]).or_default().push((i, k)));
        }
        let ways = segments.iter().map(|s| way(s, radius)).collect();
        Self { offset, segments, radius, ends, meeting, ways }
    }

    /// A box around a segment's spine.
    pub(super) fn way(&self, segment: usize) -> &Bounds {
        &self.ways[segment]
    }

    /// The centre of a ball at rest.
    pub(super) fn ball_center(&self, sheet: Sheet) -> P3 {
        match sheet {
            Sheet::Ball(v) => self.offset.vertices[v],
            Sheet::Canal(i) => self.place(i, 0.0).center,
        }
    }

    /// Length of a segment's spine.
    pub(super) fn length(&self, segment: usize) -> f64 {
        let s = &self.segments[segment];
        (s.range.1 - s.range.0) * s.spine.length_per_parameter()
    }

    /// The ball's centre at a length along a segment's spine.
    pub(super) fn place(&self, segment: usize, at: f64) -> Place {
        let s = &self.segments[segment];
        Place::on(s, s.range.0 + at / s.spine.length_per_parameter())
    }

    /// The end of a segment's spine, as a length along it.
    pub(super) fn end(&self, segment: usize, end: usize) -> f64 {
        if end == 0 { 0.0 } else { self.length(segment) }
    }

    /// The arc at the end of a segment, and the sheet behind it.
    pub(super) fn behind(&self, segment: usize, end: usize) -> (ArcId, Sheet) {
        let vertex = self.ends[segment][end];
        match self.meeting[&vertex][..] {
            [a, b] => {
                let other = if a == (segment, end) { b } else { a };
                (ArcId { vertex, of: None }, Sheet::Canal(other.0))
            }
            _ => (ArcId { vertex, of: Some((segment, end)) }, Sheet::Ball(vertex)),
        }
    }

    /// The arc between two sheets.
    pub(super) fn arc_between(&self, a: Sheet, b: Sheet) -> Option<ArcId> {
        let of_canal = |i: usize, other: Sheet| {
            let mut both = (0..2).map(|k| self.behind(i, k));
            both.find(|(_, sheet)| *sheet == other).map(|(arc, _)| arc)
        };
        match (a, b) {
            (Sheet::Canal(i), other) | (other, Sheet::Canal(i)) => of_canal(i, other),
            _ => None,
        }
    }

    /// Which end of a segment lies at an arc.
    pub(super) fn end_at(&self, segment: usize, arc: ArcId) -> Option<usize> {
        match arc.of {
            Some((own, end)) => (own == segment).then_some(end),
            None => self.meeting.get(&arc.vertex)?.iter().find(|m| m.0 == segment).map(|m| m.1),
        }
    }

    /// A canal at an arc, with its end there: it tells the arc's plane.
    pub(super) fn canal_at(&self, arc: ArcId) -> Option<(usize, usize)> {
        arc.of.or_else(|| self.meeting.get(&arc.vertex)?.first().copied())
    }

    /// The two sheets beside an arc.
    pub(super) fn beside(&self, arc: ArcId) -> [Sheet; 2] {
        match (arc.of, self.meeting.get(&arc.vertex).map(Vec::as_slice)) {
            (Some((i, _)), _) => [Sheet::Canal(i), Sheet::Ball(arc.vertex)],
            (None, Some([a, b])) => [Sheet::Canal(a.0), Sheet::Canal(b.0)],
            (None, _) => [Sheet::Ball(arc.vertex); 2],
        }
    }

    /// The angle of a point along an arc, from the first support of the canal at it.
    pub(super) fn angle_on(&self, arc: ArcId, p: P3) -> Option<f64> {
        let (canal, end) = self.canal_at(arc)?;
        let place = self.place(canal, self.end(canal, end));
        let [x, to] = [0, 1].map(|k| self.segments[canal].supports[k].towards(place.center));
        let y = place.tangent.cross(&x);
        let y = if y.dot(&to) < 0.0 { -y } else { y };
        let off = p - place.center;
        Some(off.dot(&y).atan2(off.dot(&x)))
    }

    /// Directions in which segments leave the ball at a vertex.
    pub(super) fn exits(&self, vertex: usize) -> impl Iterator<Item = (usize, usize, V3)> {
        self.meeting.get(&vertex).into_iter().flatten().map(|&(i, k)| {
            let tangent = self.place(i, self.end(i, k)).tangent;
            (i, k, if k == 0 { tangent } else { -tangent })
        })
    }

    /// The sheet into which a point has run on from its own, with the arc at its border; `None` where it is still there.
    pub(super) fn left(&self, sheet: Sheet, at: f64, towards: V3, slack: f64) -> Option<(ArcId, Sheet)> {
        match sheet {
            Sheet::Canal(i) if at < -slack => Some(self.behind(i, 0)),
            Sheet::Canal(i) if at > self.length(i) + slack => Some(self.behind(i, 1)),
            Sheet::Canal(_) => None,
            Sheet::Ball(v) => {
                let out = |e: &(usize, usize, V3)| e.2.dot(&towards);
                let farthest = self.exits(v).max_by(|a, b| out(a).total_cmp(&out(b)))?;
                let (i, k, _) = farthest;
                (out(&farthest) * self.radius > slack)
                    .then_some((ArcId { vertex: v, of: Some((i, k)) }, Sheet::Canal(i)))
            }
        }
    }

    /// The place on a sheet at an arc that borders it.
    pub(super) fn start(&self, sheet: Sheet, arc: ArcId) -> Option<f64> {
        match sheet {
            Sheet::Canal(i) => Some(self.end(i, self.end_at(i, arc)?)),
            Sheet::Ball(_) => Some(0.0),
        }
    }

    /// The spot on a sheet that an arc borders, where a plane cuts the arc near `p`.
    pub(super) fn enter(&self, sheet: Sheet, arc: ArcId, planes: &Planes, p: P3) -> Option<Spot> {
        let at = match sheet {
            Sheet::Canal(i) => self.end(i, self.end_at(i, arc)?),
            Sheet::Ball(v) => {
                let q = ball_frame(self.offset.vertices[v], planes.normal).local(p);
                q.y.atan2(q.x)
            }
        };
        Some(Spot { sheet, at })
    }

    /// Where the plane `t` cuts a sheet. Of the two points of a canal's section there that nearer to the chord.
    pub(super) fn cut(&self, spot: Spot, planes: &Planes, t: f64) -> Option<CutSection> {
        let chord = planes.from + planes.normal * t;
        let place = match spot.sheet {
            Sheet::Canal(i) => self.place(i, spot.at),
            Sheet::Ball(v) => return self.cut_ball(self.offset.vertices[v], spot.at, planes, t),
        };
        let flat = planes.normal - place.tangent * planes.normal.dot(&place.tangent);
        let size = flat.norm();
        let height = (chord - place.center).dot(&planes.normal);
        let cosine = height / (self.radius * size.max(NOT_ZERO));
        if size < LEAST_ACROSS || cosine.abs() > GRAZING {
            return None;
        }
        let x = flat / size;
        let y = place.tangent.cross(&x);
        let sine = (1.0 - cosine * cosine).sqrt();
        let towards = x * cosine + y * if (chord - place.center).dot(&y) < 0.0 { -sine } else { sine };
        let aside = place.tangent.cross(&towards);
        let slant = aside.dot(&planes.normal);
        let apart = 1.0 - self.radius * towards.dot(&place.bend);
        Some(CutSection {
            point: place.center + towards * self.radius,
            towards,
            along: (place.tangent - aside * (place.tangent.dot(&planes.normal) / slant)) * apart,
        })
    }

    fn cut_ball(&self, center: P3, at: f64, planes: &Planes, t: f64) -> Option<CutSection> {
        let frame = ball_frame(center, planes.normal);
        let height = t - (center - planes.from).dot(&planes.normal);
        let ring = (self.radius * self.radius - height * height).max(0.0).sqrt();
        if ring < 0.02 * self.radius {
            return None;
        }
        let (out, along) = (frame.radial(at), frame.radial(at + std::f64::consts::FRAC_PI_2));
        let towards = (out * ring + planes.normal * height) / self.radius;
        Some(CutSection { point: center + towards * self.radius, towards, along: along * ring })
    }

    /// Whether a point of a sheet, in a direction from the ball's centre, lies between the walls that the ball touches there.
    pub(super) fn between_walls(&self, sheet: Sheet, center: P3, towards: V3) -> bool {
        let Sheet::Canal(i) = sheet else { return true };
        is_between([0, 1].map(|k| self.segments[i].supports[k].towards(center)), towards)
    }

    /// Spots along the line in which the plane `t` cuts the sheets, from an arc on into a sheet and those behind it, as far
    /// as `reach`.
    pub(super) fn walk(
        &self,
        first: Sheet,
        arc: ArcId,
        planes: &Planes,
        t: f64,
        reach: f64,
    ) -> Vec<(Spot, P3)> {
        let mut out = Vec::new();
        let (mut sheet, mut arc, mut gone) = (first, arc, 0.0);
        let Some((i, k)) = self.canal_at(arc) else { return out };
        let start = Spot { sheet: Sheet::Canal(i), at: self.end(i, k) };
        let Some(mut point) = self.cut(start, planes, t).map(|c| c.point) else { return out };
        while gone < reach && out.len() < 4000 {
            let Some(mut spot) = self.enter(sheet, arc, planes, point) else { return out };
            let Some((step, end)) = self.steps(spot, arc, planes, t) else { return out };
            out.push((spot, point));
            loop {
                // Short steps first: a fold that has just set in is narrow.
                spot.at += step * (out.len() as f64 / FIRST_STEPS).min(1.0);
                if end.is_some_and(|e| (e - spot.at) * step < 0.0) {
                    spot.at = end.unwrap_or(spot.at);
                }
                let Some(section) = self.cut(spot, planes, t) else { return out };
                gone += (section.point - point).norm();
                point = section.point;
                out.push((spot, point));
                let next = match sheet {
                    Sheet::Canal(i) if end == Some(spot.at) => Some(self.behind(i, usize::from(step > 0.0))),
                    Sheet::Canal(_) => None,
                    Sheet::Ball(_) => self.left(sheet, 0.0, section.towards, 0.0),
                };
                if let Some((at, behind)) = next {
                    (arc, sheet) = (at, behind);
                    break;
                }
                if gone >= reach || out.len() >= 4000 {
                    return out;
                }
            }
        }
        out
    }

    /// The step along a line from an arc on, and where it ends on a canal.
    fn steps(&self, spot: Spot, arc: ArcId, planes: &Planes, t: f64) -> Option<(f64, Option<f64>)> {
        match spot.sheet {
            Sheet::Canal(i) => {
                let length = self.length(i);
                let n = (length / (STEP * self.radius)).ceil().clamp(4.0, 400.0);
                let forward = self.end_at(i, arc)? == 0;
                Some(if forward { (length / n, Some(length)) } else { (-length / n, Some(0.0)) })
            }
            Sheet::Ball(v) => {
                let (own, k) = arc.of?;
                let leaving = self.exits(v).find(|e| (e.0, e.1) == (own, k))?.2;
                let section = self.cut(spot, planes, t)?;
                Some((if section.along.dot(&leaving) < 0.0 { STEP } else { -STEP }, None))
            }
        }
    }

    /// Numbers of the segments whose ball comes to a sheet.
    pub(super) fn segments_of(&self, sheet: Sheet) -> Vec<usize> {
        match sheet {
            Sheet::Canal(i) => vec![i],
            Sheet::Ball(v) => self.meeting.get(&v).into_iter().flatten().map(|m| m.0).collect(),
        }
    }
}

/// Whether a direction from the ball's centre lies between those to the two walls that the ball touches.
pub(super) fn is_between([x, y]: [V3; 2], towards: V3) -> bool {
    let z = x.cross(&y);
    x.cross(&towards).dot(&z) > 0.0 && towards.cross(&y).dot(&z) > 0.0
}

/// Places of a spine around which its box is drawn, and by how many radii it is grown for what lies between them.
const WAY_PLACES: usize = 48;
const WAY_SLACK: f64 = 0.1;

fn way(segment: &FilletSegment, radius: f64) -> Bounds {
    let (a, b) = segment.range;
    let at = |k: usize| segment.spine.at(a + (b - a) * k as f64 / WAY_PLACES as f64).0;
    let length = (b - a) * segment.spine.length_per_parameter();
    Bounds::around((0..=WAY_PLACES).map(at)).grown(WAY_SLACK * radius + length / WAY_PLACES as f64)
}

fn ball_frame(center: P3, normal: V3) -> Frame {
    Frame::from_z(center, normal)
}
