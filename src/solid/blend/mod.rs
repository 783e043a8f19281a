//! Root fillets: what a ball can't reach when it rolls along the joints of a solid from outside.
//!
//! The ball's centre keeps the ball's radius off every primitive, so it stays outside the union of the primitives
//! grown by that radius ([`grow`]), whose boundary the evaluator finds like any other. Its inward edges are the
//! ways of the centre along two walls at once, its inward corners the places where the ball touches three
//! ([`network`]). Over each way lies a strip of a canal (a cylinder or torus where it is one exactly), over each
//! corner a piece of the ball ([`strip`]); what hangs together becomes one primitive ([`metal`]) to be added.
//! So fillets that meet, run through corners or over smooth joints of a wall need no special code, and the
//! ball, which no wall ever enters, proves that the new faces meet no old one except where they touch.

mod flush;
mod grow;
mod metal;
mod network;
mod strip;

use std::collections::{BTreeMap, BTreeSet};

pub(crate) use metal::Blend;
pub use network::Trouble;

use super::brep::Brep;
use super::evaluate::{EvaluateError, evaluate};
use super::primitive::Primitive;
use super::tag::Tag;
use super::tree::SolidTree;
use crate::geometry::P3;
#[cfg(test)]
mod tests;

use flush::Flush;
use metal::End;
use network::{Chain, Kind, Link};
use strip::{Corner, Strip};

/// What to do where two faces meet inwards.
#[derive(Clone, Debug)]
pub struct Wish {
    /// The ball's radius, mm.
    pub radius: f64,
    /// Name of the new face.
    pub tag: Tag,
}

/// How one joint came out.
#[derive(Clone, Debug)]
pub struct Joint {
    /// The two faces.
    pub faces: [Tag; 2],
    /// Radius asked for, mm.
    pub asked: f64,
    /// Radius made, mm; zero where the joint stays sharp.
    pub made: f64,
    /// Length of the ball's way, mm.
    pub length: f64,
    /// A point of the joint.
    pub at: P3,
    /// Why it was not made as asked.
    pub trouble: Option<Trouble>,
    /// Ends that had to be closed by a flat face.
    pub open_ends: usize,
    /// Which primitive fills it.
    pub metal: Option<usize>,
}

/// Shares of the asked radius that are tried for joints that can't take it.
const SHARES: [f64; 4] = [0.75, 0.5, 0.35, 0.2];

/// Fillets for the joints between primitives that are added to one another, and how each joint came out.
///
/// `wish` is asked for every pair of faces that meets inwards; `None` leaves the joint sharp without a word.
pub fn fillets(bodies: &[Primitive], wish: &dyn Fn(&Tag, &Tag) -> Option<Wish>) -> Fillets {
    let mut out = Fillets::default();
    let mut radii = wished_radii(bodies, wish);
    radii.sort_by(|a, b| b.total_cmp(a));
    for asked in radii {
        let everything = Round { bodies, wish, asked, radius: asked, only: None, but: None };
        let first = everything.roll();
        let failed: BTreeSet<[Tag; 2]> =
            first.joints.iter().filter(|j| j.made == 0.0).map(|j| j.faces.clone()).collect();
        let smaller = everything.smaller(failed);
        if smaller.is_empty() {
            out.take(first);
            continue;
        }
        let done: BTreeSet<[Tag; 2]> = smaller.iter().flat_map(|s| s.1.iter().cloned()).collect();
        out.take(Round { but: Some(&done), ..everything }.roll());
        for (share, faces) in smaller {
            let mut made = Round { radius: asked * share, only: Some(&faces), ..everything }.roll();
            for j in &mut made.joints {
                j.trouble = first.joints.iter().filter(|f| f.faces == j.faces).find_map(|f| f.trouble);
            }
            out.take(made);
        }
    }
    out
}

/// The metal of fillets, and how each joint came out.
#[derive(Debug, Default)]
pub struct Fillets {
    /// Primitives to be added.
    pub metal: Vec<Primitive>,
    /// Joints, in pieces where walls or radii change.
    pub joints: Vec<Joint>,
}

impl Fillets {
    /// Appends another rolling's; no two share a group.
    fn take(&mut self, mut other: Self) {
        let before = self.metal.len();
        let group = self.metal.iter().filter_map(Primitive::roll).max().map_or(0, |g| g + 1);
        other.metal.iter_mut().for_each(|m| m.set_roll(group));
        other.joints.iter_mut().for_each(|j| j.metal = j.metal.map(|m| m + before));
        self.metal.extend(other.metal);
        self.joints.extend(other.joints);
    }

    /// Takes out a primitive: its joints stay sharp.
    pub fn remove(&mut self, metal: usize, why: Trouble) {
        self.metal.remove(metal);
        for j in &mut self.joints {
            match j.metal {
                Some(m) if m == metal => {
                    (j.metal, j.made, j.trouble) = (None, 0.0, Some(why));
                }
                Some(m) if m > metal => j.metal = Some(m - 1),
                _ => {}
            }
        }
    }
}

/// The different radii wished for between faces of different or the same primitives.
fn wished_radii(bodies: &[Primitive], wish: &dyn Fn(&Tag, &Tag) -> Option<Wish>) -> Vec<f64> {
    let tags: BTreeSet<&Tag> =
        bodies.iter().flat_map(super::primitive::Primitive::patches).map(|p| &p.tag).collect();
    let mut radii: Vec<f64> = Vec::new();
    for a in &tags {
        for b in &tags {
            if let Some(w) = wish(a, b)
                && !radii.iter().any(|r| (r - w.radius).abs() < 1e-9)
            {
                radii.push(w.radius);
            }
        }
    }
    radii
}

/// One ball rolled along all joints that wish for its radius.
#[derive(Clone, Copy)]
struct Round<'a> {
    bodies: &'a [Primitive],
    wish: &'a dyn Fn(&Tag, &Tag) -> Option<Wish>,
    asked: f64,
    radius: f64,
    /// Only these pairs of faces.
    only: Option<&'a BTreeSet<[Tag; 2]>>,
    /// All but these.
    but: Option<&'a BTreeSet<[Tag; 2]>>,
}

fn pair(a: &Tag, b: &Tag) -> [Tag; 2] {
    if a <= b { [a.clone(), b.clone()] } else { [b.clone(), a.clone()] }
}

impl Round<'_> {
    fn wished(&self, a: &Tag, b: &Tag) -> Option<Tag> {
        let w = (self.wish)(a, b)?;
        let faces = pair(a, b);
        let here = (w.radius - self.asked).abs() < 1e-9
            && self.only.is_none_or(|o| o.contains(&faces))
            && self.but.is_none_or(|b| !b.contains(&faces));
        here.then_some(w.tag)
    }

    /// Pairs that a smaller ball takes whole, by the largest share that does.
    fn smaller(&self, mut failed: BTreeSet<[Tag; 2]>) -> Vec<(f64, BTreeSet<[Tag; 2]>)> {
        let mut out = Vec::new();
        for share in SHARES {
            if failed.is_empty() {
                break;
            }
            let made = Round { radius: self.asked * share, only: Some(&failed), ..*self }.roll().joints;
            let whole = |faces: &[Tag; 2]| {
                let mut own = made.iter().filter(|j| j.faces == *faces).peekable();
                own.peek().is_some() && own.all(|j| j.made > 0.0)
            };
            let (good, bad) = failed.into_iter().partition::<BTreeSet<_>, _>(whole);
            if !good.is_empty() {
                out.push((share, good));
            }
            failed = bad;
        }
        out
    }

    fn grown(&self) -> Result<Brep, EvaluateError> {
        let mut tree = SolidTree::new();
        for b in self.bodies {
            match grow::grown(b, self.radius) {
                Some(Ok(p)) => tree.add(p),
                _ => return Err(EvaluateError::Empty),
            }
        }
        evaluate(&tree)
    }

    fn roll(&self) -> Fillets {
        let Ok(brep) = self.grown() else {
            return Fillets { metal: vec![], joints: self.all_failed() };
        };
        let links = network::links(&brep);
        let tag = |l: &Link, k: usize| &brep.faces[l.faces[k]].tag;
        let wanted: Vec<usize> = (0..links.len())
            .filter(|e| {
                let l = &links[*e];
                // Between two edges that meet there is no joint: only their crossing is nearest to the ball.
                let joint = l.faces.iter().any(|f| network::wall(&brep, *f, self.radius).is_some());
                l.kind == Kind::Inward && joint && self.wished(tag(l, 0), tag(l, 1)).is_some()
            })
            .collect();
        let chains = network::chains(&brep, &links, &wanted);
        let mut joints = Vec::new();
        let mut strips = Vec::new();
        let mut flats = Vec::new();
        for chain in &chains {
            let mut made = network::strip(&brep, chain, self.radius);
            let mut flat = [None, None];
            if let Ok(s) = made.as_mut() {
                flat = [0, 1].map(|end| flush::find(s, end, self.bodies));
            }
            let made = made.and_then(|s| self.rests(s));
            flats.push(flat);
            let faces = chain.faces.map(|f| brep.faces[f].tag.clone());
            let (a, b) = (brep.vertices[chain.ends(&brep)[0]], brep.edge_point(chain.edges[0].edge, 0.5));
            joints.push(Joint {
                faces: pair(&faces[0], &faces[1]),
                asked: self.asked,
                made: if made.is_ok() { self.radius } else { 0.0 },
                length: chain.edges.iter().map(|h| length(&brep, h.edge)).sum(),
                at: if chain.edges.len() > 1 { a } else { b },
                trouble: made.as_ref().err().copied(),
                open_ends: 0,
                metal: None,
            });
            strips.push(made.ok());
        }
        let metal = self.assemble(&brep, &links, &chains, (strips, &flats), &mut joints);
        Fillets { metal, joints }
    }

    /// Every joint that wishes for this radius, not made: the grown solid could not be found.
    fn all_failed(&self) -> Vec<Joint> {
        let mut tree = SolidTree::new();
        for b in self.bodies {
            tree.add(b.clone());
        }
        let Ok(brep) = evaluate(&tree) else { return vec![] };
        let mut out: Vec<Joint> = Vec::new();
        for (e, l) in network::links(&brep).iter().enumerate().filter(|(_, l)| l.kind == Kind::Inward) {
            let [a, b] = l.faces.map(|f| &brep.faces[f].tag);
            let faces = pair(a, b);
            if self.wished(a, b).is_some() && !out.iter().any(|j| j.faces == faces) {
                let (at, trouble) = (brep.edge_point(e, 0.5), Some(Trouble::NoWay));
                let (asked, length) = (self.asked, length(&brep, e));
                out.push(Joint { faces, asked, made: 0.0, length, at, trouble, open_ends: 0, metal: None });
            }
        }
        out
    }

    /// A strip whose feet lie on the skin of the solid all along.
    fn rests(&self, s: Strip) -> Result<Strip, Trouble> {
        const STEP: f64 = 1e-4;
        let inside = |p: P3| self.bodies.iter().any(|b| b.contains(p));
        let [a, b] = s.inner;
        for k in 0..9 {
            let t = a + (b - a) * (0.02 + 0.12 * f64::from(k));
            let (c, _) = s.path.at(t);
            for w in &s.walls {
                let d = w.towards(c);
                if !inside(c + d * (self.radius + STEP)) || inside(c + d * (self.radius - STEP)) {
                    return Err(Trouble::OffWall);
                }
            }
        }
        Ok(s)
    }

    /// Links strips at the vertices of the grown solid, and makes one primitive of what hangs together.
    fn assemble(
        &self,
        brep: &Brep,
        links: &[Link],
        chains: &[Chain],
        (mut strips, flats): (Vec<Option<Strip>>, &[[Option<Flush>; 2]]),
        joints: &mut [Joint],
    ) -> Vec<Primitive> {
        let mut at: BTreeMap<usize, Vec<(usize, usize)>> = BTreeMap::new();
        for (i, chain) in chains.iter().enumerate().filter(|(i, _)| strips[*i].is_some()) {
            for (k, v) in chain.ends(brep).into_iter().enumerate() {
                at.entry(v).or_default().push((i, k));
            }
        }
        let mut sharp: BTreeMap<usize, usize> = BTreeMap::new();
        for (e, l) in links.iter().enumerate().filter(|(_, l)| l.kind != Kind::Smooth) {
            let _ = l;
            *sharp.entry(brep.edges[e].start).or_default() += 1;
            *sharp.entry(brep.edges[e].end).or_default() += 1;
        }
        let mut ends: BTreeMap<(usize, usize), End> = BTreeMap::new();
        let mut corners = Vec::new();
        let mut planes = Vec::new();
        let mut parent: Vec<usize> = (0..chains.len()).collect();
        for (v, list) in &at {
            let p = brep.vertices[*v];
            match self.meet(p, list, sharp[v], &strips) {
                Meeting::Pair => {
                    ends.insert(list[0], End::Strip(list[1].0));
                    ends.insert(list[1], End::Strip(list[0].0));
                }
                Meeting::Ball(corner) => {
                    for l in list {
                        ends.insert(*l, End::Corner(corners.len()));
                    }
                    corners.push(corner);
                }
                Meeting::None => {
                    for l in list {
                        if let Some(flush) = &flats[l.0][l.1] {
                            ends.insert(*l, End::Flush(planes.len()));
                            planes.push(flush.clone());
                            continue;
                        }
                        joints[l.0].open_ends += 1;
                        ends.insert(*l, End::Open);
                        // Off the end walls may be wanting: the flat face is put where both are there.
                        if let Some(s) = strips[l.0].as_mut() {
                            s.shorten(l.1, 0.5 * self.radius);
                        }
                    }
                    continue;
                }
            }
            for l in &list[1..] {
                let (a, b) = (root(&mut parent, list[0].0), root(&mut parent, l.0));
                parent[a.max(b)] = a.min(b);
            }
        }
        let mut groups: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
        for i in (0..chains.len()).filter(|i| strips[*i].is_some()) {
            groups.entry(root(&mut parent, i)).or_default().push(i);
        }
        let name = |i: usize| {
            let [a, b] = chains[i].faces.map(|f| &brep.faces[f].tag);
            self.wished(a, b).unwrap_or_else(|| a.clone())
        };
        let mut out = Vec::new();
        for members in groups.into_values() {
            match joined(&members, &strips, &ends, (&corners, &planes), &name) {
                Some(p) => {
                    members.iter().for_each(|i| joints[*i].metal = Some(out.len()));
                    out.push(p);
                }
                None => {
                    for i in members {
                        joints[i].made = 0.0;
                        joints[i].trouble = Some(Trouble::Tight);
                    }
                }
            }
        }
        out
    }

    /// How the strips that end in one vertex go on.
    fn meet(&self, p: P3, list: &[(usize, usize)], sharp: usize, strips: &[Option<Strip>]) -> Meeting {
        let ends: Vec<&Strip> = list.iter().filter_map(|(i, _)| strips[*i].as_ref()).collect();
        let feet: Vec<[P3; 2]> = list
            .iter()
            .zip(&ends)
            .map(|((_, k), s)| {
                let (a, b) = s.range;
                let t = s.triangle(if *k == 0 { a } else { b });
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

enum Meeting {
    Pair,
    Ball(Corner),
    None,
}

/// The primitive of the strips that hang together, with their corners.
fn joined(
    members: &[usize],
    strips: &[Option<Strip>],
    ends: &BTreeMap<(usize, usize), End>,
    (corners, planes): (&[Corner], &[Flush]),
    name: &dyn Fn(usize) -> Tag,
) -> Option<Primitive> {
    let place: BTreeMap<usize, usize> = members.iter().enumerate().map(|(k, i)| (*i, k)).collect();
    let mut used: Vec<usize> = Vec::new();
    let mut local = Vec::with_capacity(members.len());
    for i in members {
        local.push([0, 1].map(|k| match ends.get(&(*i, k)) {
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
    let balls = used.iter().map(|c| corners[*c].clone()).collect();
    metal::primitive(own, &local, &tags, balls, planes)
}

fn root(parent: &mut [usize], mut i: usize) -> usize {
    while parent[i] != i {
        parent[i] = parent[parent[i]];
        i = parent[i];
    }
    i
}

fn length(brep: &Brep, edge: usize) -> f64 {
    let at = |k: u32| brep.edge_point(edge, f64::from(k) / 16.0);
    (0..16).map(|k| (at(k + 1) - at(k)).norm()).sum()
}
