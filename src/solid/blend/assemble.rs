//! Strips linked at the vertices of the grown solid, and primitives of what hangs together.

use std::collections::BTreeMap;

use super::flush::Flush;
use super::metal::{self, End};
use super::network::{Chain, Kind, Link, Trouble};
use super::strip::{Corner, Strip};
use super::{Joint, inside};
use crate::geometry::P3;
use crate::solid::brep::Brep;
use crate::solid::groups::Groups;
use crate::solid::primitive::Primitive;
use crate::solid::tag::Tag;

/// How much an open end is shortened at a time, in radii, and how often.
const SHORTER: (f64, usize) = (0.5, 5);

/// What strips are linked by.
pub(super) struct Assembly<'a> {
    pub(super) bodies: &'a [Primitive],
    pub(super) radius: f64,
    pub(super) brep: &'a Brep,
    pub(super) links: &'a [Link],
    pub(super) chains: &'a [Chain],
    /// Flat faces in which strips end.
    pub(super) flats: &'a [[Option<Flush>; 2]],
}

/// Strip and end (0: start, 1: end).
type StripEnd = (usize, usize);

enum Meeting {
    Pair,
    Ball(Corner),
    None,
}

/// How strips go on at their ends.
#[derive(Default)]
struct Linked {
    ends: BTreeMap<StripEnd, End>,
    corners: Vec<Corner>,
    planes: Vec<Flush>,
    hang: Groups,
    open: Vec<StripEnd>,
}

impl Assembly<'_> {
    /// The primitives. Joints learn where their metal is, how many ends are open and what failed.
    pub(super) fn metal(
        &self,
        mut strips: Vec<Option<Strip>>,
        joints: &mut [Joint],
        name: &dyn Fn(usize) -> Tag,
    ) -> Vec<Primitive> {
        // An open end without sound walls costs its strip, which opens other ends.
        let (mut linked, closed) = loop {
            let linked = self.link(&strips);
            let mut closed = strips.clone();
            let lost: Vec<usize> =
                linked.open.iter().filter(|e| !self.close(&mut closed, **e)).map(|e| e.0).collect();
            if lost.is_empty() {
                break (linked, closed);
            }
            for i in lost {
                strips[i] = None;
                (joints[i].made, joints[i].trouble) = (0.0, Some(Trouble::OffWall));
            }
        };
        for (i, _) in &linked.open {
            joints[*i].open_ends += 1;
        }
        let mut groups: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
        for i in (0..closed.len()).filter(|i| closed[*i].is_some()) {
            groups.entry(linked.hang.least(i)).or_default().push(i);
        }
        let mut out = Vec::new();
        for members in groups.into_values() {
            if let Some(p) = joined(&members, &closed, &linked, name) {
                for i in &members {
                    joints[*i].metal = Some(out.len());
                }
                out.push(p);
            } else {
                for i in members {
                    (joints[i].made, joints[i].trouble) = (0.0, Some(Trouble::Tight));
                }
            }
        }
        out
    }

    /// Number of edges of the grown solid at each vertex where faces don't run on smoothly.
    fn sharp(&self) -> Vec<usize> {
        let mut out = vec![0; self.brep.vertices.len()];
        for (e, _) in self.links.iter().enumerate().filter(|(_, l)| l.kind != Kind::Smooth) {
            out[self.brep.edges[e].start] += 1;
            out[self.brep.edges[e].end] += 1;
        }
        out
    }

    fn link(&self, strips: &[Option<Strip>]) -> Linked {
        let mut at: BTreeMap<usize, Vec<StripEnd>> = BTreeMap::new();
        for (i, chain) in self.chains.iter().enumerate().filter(|(i, _)| strips[*i].is_some()) {
            for (k, v) in chain.ends(self.brep).into_iter().enumerate() {
                at.entry(v).or_default().push((i, k));
            }
        }
        let sharp = self.sharp();
        let mut out = Linked { hang: Groups::new(self.chains.len()), ..Linked::default() };
        for (v, list) in &at {
            match self.meet(self.brep.vertices[*v], list, sharp[*v], strips) {
                Meeting::Pair => {
                    out.ends.insert(list[0], End::Strip(list[1].0));
                    out.ends.insert(list[1], End::Strip(list[0].0));
                }
                Meeting::Ball(corner) => {
                    let end = End::Corner(out.corners.len());
                    out.ends.extend(list.iter().map(|l| (*l, end)));
                    out.corners.push(corner);
                }
                Meeting::None => {
                    for l in list {
                        out.end_alone(*l, self.flats[l.0][l.1].as_ref());
                    }
                    continue;
                }
            }
            for l in &list[1..] {
                out.hang.join(list[0].0, l.0);
            }
        }
        out
    }

    /// Puts the flat face that closes an open end where both walls are there from foot to joint.
    fn close(&self, strips: &mut [Option<Strip>], (i, end): StripEnd) -> bool {
        let Some(s) = strips[i].as_mut() else { return false };
        for _ in 0..SHORTER.1 {
            s.shorten(end, SHORTER.0 * self.radius);
            if self.sound_section(s, s.range_end(end)) {
                return true;
            }
        }
        false
    }

    /// Whether, across a strip, the skin of the solid runs along both walls from the feet to the joint.
    fn sound_section(&self, s: &Strip, t: f64) -> bool {
        const STEP: f64 = 1e-4;
        const PLACES: [f64; 5] = [0.0, 0.3, 0.6, 0.9, 0.99];
        let (c, _) = s.path.at(t);
        let Some(joint) = s.junction(t) else { return false };
        (0..2).all(|k| {
            let (wall, foot) = (&s.walls[k], s.triangle(t)[k]);
            let out = if wall.guide.against { 1.0 } else { -1.0 };
            PLACES.iter().all(|share| {
                let q = wall.surface.closest(foot + (joint - foot) * *share);
                let n = wall.surface.grad(q) * out;
                inside(self.bodies, q - n * STEP) && !inside(self.bodies, q + n * STEP)
            })
        }) && !inside(self.bodies, c)
    }

    /// How the strips that end in one vertex go on.
    fn meet(&self, p: P3, list: &[StripEnd], sharp: usize, strips: &[Option<Strip>]) -> Meeting {
        let ends: Vec<&Strip> = list.iter().filter_map(|(i, _)| strips[*i].as_ref()).collect();
        let feet: Vec<[P3; 2]> = list
            .iter()
            .zip(&ends)
            .map(|((_, k), s)| {
                let t = s.triangle(s.range_end(*k));
                [t[0], t[1]]
            })
            .collect();
        let near = |a: P3, b: P3| (a - b).norm() < 1e-5 * self.radius.max(1.0);
        if list.len() == 2 && sharp == 2 {
            let [[a, b], [c, d]] = [feet[0], feet[1]];
            let alike = (near(a, c) && near(b, d)) || (near(a, d) && near(b, c));
            return if alike { Meeting::Pair } else { Meeting::None };
        }
        if list.len() < 3 || sharp != list.len() {
            return Meeting::None;
        }
        // Feet in order around: each strip's arc leads from one to the next.
        let mut order = vec![feet[0][0], feet[0][1]];
        let mut walls = vec![ends[0].walls[0].clone(), ends[0].walls[1].clone()];
        let mut left: Vec<usize> = (1..list.len()).collect();
        while !left.is_empty() {
            let last = order[order.len() - 1];
            let Some(k) = left.iter().position(|i| feet[*i].iter().any(|f| near(*f, last))) else {
                return Meeting::None;
            };
            let i = left.remove(k);
            let far = usize::from(near(feet[i][0], last));
            order.push(feet[i][far]);
            walls.push(ends[i].walls[far].clone());
        }
        if !near(order[0], order[order.len() - 1]) {
            return Meeting::None;
        }
        order.pop();
        walls.pop();
        let directions = order.iter().map(|f| (f - p).normalize()).collect();
        Meeting::Ball(Corner::new(p, self.radius, directions, walls))
    }
}

impl Linked {
    fn end_alone(&mut self, l: StripEnd, flush: Option<&Flush>) {
        if let Some(flush) = flush {
            self.ends.insert(l, End::Flush(self.planes.len()));
            self.planes.push(flush.clone());
        } else {
            self.ends.insert(l, End::Open);
            self.open.push(l);
        }
    }
}

/// The primitive of the strips that hang together, with their corners.
fn joined(
    members: &[usize],
    strips: &[Option<Strip>],
    linked: &Linked,
    name: &dyn Fn(usize) -> Tag,
) -> Option<Primitive> {
    let place: BTreeMap<usize, usize> = members.iter().enumerate().map(|(k, i)| (*i, k)).collect();
    let mut used: Vec<usize> = Vec::new();
    let mut local = Vec::with_capacity(members.len());
    for i in members {
        local.push([0, 1].map(|k| match linked.ends.get(&(*i, k)) {
            Some(End::Strip(j)) => End::Strip(place[j]),
            Some(End::Corner(c)) => {
                let at = used.iter().position(|u| u == c).unwrap_or_else(|| {
                    used.push(*c);
                    used.len() - 1
                });
                End::Corner(at)
            }
            Some(End::Flush(f)) => End::Flush(*f),
            _ => End::Open,
        }));
    }
    let own: Vec<Strip> = members.iter().filter_map(|i| strips[*i].clone()).collect();
    let tags: Vec<Tag> = members.iter().map(|i| name(*i)).collect();
    let balls = used.iter().map(|c| linked.corners[*c].clone()).collect();
    metal::primitive(own, &local, &tags, balls, &linked.planes)
}
