//! Root fillets: what a ball can't reach when it rolls along the joints of a solid from outside.
//!
//! The ball's centre keeps the ball's radius off every primitive, so it stays outside the union of the primitives
//! grown by that radius ([`grow`]), whose boundary the evaluator finds like any other. Its inward edges are the
//! ways of the centre along two walls at once, its inward corners the places where the ball touches three
//! ([`network`]). Over each way lies a strip of a canal (a cylinder or torus where it is one exactly), over each
//! corner a piece of the ball ([`strip`]); what hangs together becomes one primitive ([`metal`]) to be added.
//! So fillets that meet, run through corners or over smooth joints of a wall need no special code, and the
//! ball, which no wall ever enters, proves that the new faces meet no old one except where they touch.

mod assemble;
mod flush;
mod grow;
mod metal;
mod network;
mod parallel;
mod strip;
#[cfg(test)]
mod tests;

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

pub(crate) use metal::Blend;
pub use network::Trouble;

use super::fillet::SAME_RADIUS;
use super::brep::Brep;
use super::evaluate::{EvaluateError, evaluate};
use super::primitive::Primitive;
use super::tag::Tag;
use super::tree::SolidTree;
use crate::geometry::P3;
use assemble::Assembly;
use network::{Kind, Link};
use strip::Strip;

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

/// How a joint came out, worst first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum State {
    /// Not made.
    Sharp,
    /// Made with a smaller radius.
    Smaller,
    /// Made with its radius, with a flat face at an end.
    FlatEnded,
    /// Made as asked.
    Whole,
}

impl Joint {
    /// How it came out.
    pub fn state(&self) -> State {
        if self.made == 0.0 {
            State::Sharp
        } else if self.made < self.asked - SAME_RADIUS * self.asked {
            State::Smaller
        } else if self.open_ends > 0 {
            State::FlatEnded
        } else {
            State::Whole
        }
    }
}

/// Most pairs of faces for which smaller balls are tried.
const MOST_SMALLER: usize = 12;

/// Shares of the asked radius that are tried for joints that can't take it.
const SHARES: [f64; 5] = [0.9, 0.75, 0.5, 0.35, 0.2];

/// Primitives that are added to one another, for a ball to roll on, with the solids grown from them so far: one for
/// each radius, however often a ball of it is rolled.
pub struct Ground<'a> {
    bodies: &'a [Primitive],
    /// By the bits of the radius; `None` where there is no proper boundary.
    grown: RefCell<BTreeMap<u64, Option<Rc<Brep>>>>,
}

impl<'a> Ground<'a> {
    /// The ground of some bodies.
    pub fn new(bodies: &'a [Primitive]) -> Self {
        Self { bodies, grown: RefCell::default() }
    }

    /// Fillets for the joints between primitives that are added to one another, and how each joint came out.
    ///
    /// `wish` is asked for every pair of faces that meets inwards; `None` leaves the joint sharp without a word. Pieces of
    /// joints at the places to `avoid` stay sharp: there the solid was found to have no boundary with them.
    pub fn fillets(&self, wish: &dyn Fn(&Tag, &Tag) -> Option<Wish>, avoid: &[P3]) -> Fillets {
        let mut out = Fillets::default();
        let mut radii = wished_radii(self.bodies, wish);
        radii.sort_by(|a, b| b.total_cmp(a));
        for asked in radii {
            let everything = Round { ground: self, wish, asked, radius: asked, only: None, but: None, avoid };
            let first = everything.roll();
            let failed: BTreeSet<[Tag; 2]> =
                first.joints.iter().filter(|j| j.made == 0.0).map(|j| j.faces.clone()).collect();
            // Where much fails, the joints run into one another: no smaller ball would mend that.
            let smaller = if failed.len() > MOST_SMALLER { vec![] } else { everything.smaller(failed) };
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

    /// The solid grown by a radius.
    fn grown(&self, radius: f64) -> Option<Rc<Brep>> {
        let mut known = self.grown.borrow_mut();
        known.entry(radius.to_bits()).or_insert_with(|| self.grow(radius).ok().map(Rc::new)).clone()
    }

    /// The grown solid. Where rounded ends of a body are at fault, that body grows with sharp ones: its own joints may
    /// then fail, but no others.
    fn grow(&self, radius: f64) -> Result<Brep, EvaluateError> {
        let mut plain: BTreeSet<usize> = BTreeSet::new();
        loop {
            let mut tree = SolidTree::new();
            for (i, b) in self.bodies.iter().enumerate() {
                match grow::grown(b, radius, plain.contains(&i)) {
                    Some(Ok(p)) => tree.add(p),
                    _ => return Err(EvaluateError::Empty),
                }
            }
            let error = match evaluate(&tree) {
                Ok(brep) => return Ok(brep),
                Err(error) => error,
            };
            let named = |b: &Primitive| b.patches().iter().any(|p| error.tags().contains(&p.tag));
            let rounded = |b: &Primitive| b.shape().is_some_and(|s| s.1.is_some());
            let before = plain.len();
            plain.extend(
                (0..self.bodies.len()).filter(|i| named(&self.bodies[*i]) && rounded(&self.bodies[*i])),
            );
            if plain.len() == before {
                return Err(error);
            }
        }
    }
}

/// The metal of fillets, and how each joint came out.
#[derive(Clone, Debug, Default)]
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
    let tags: BTreeSet<&Tag> = bodies.iter().flat_map(Primitive::patches).map(|p| &p.tag).collect();
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
    ground: &'a Ground<'a>,
    wish: &'a dyn Fn(&Tag, &Tag) -> Option<Wish>,
    asked: f64,
    radius: f64,
    /// Only these pairs of faces.
    only: Option<&'a BTreeSet<[Tag; 2]>>,
    /// Places where joints stay sharp.
    avoid: &'a [P3],
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

    fn roll(&self) -> Fillets {
        let Some(brep) = self.ground.grown(self.radius) else {
            return Fillets { metal: vec![], joints: self.all_failed() };
        };
        let links = network::links(&brep);
        let tag = |l: &Link, k: usize| &brep.faces[l.faces[k]].tag;
        let wanted: Vec<usize> = (0..links.len())
            .filter(|e| {
                let l = &links[*e];
                l.kind == Kind::Inward
                    && self.wished(tag(l, 0), tag(l, 1)).is_some()
                    && self.is_joint(&brep, *e, l)
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
                flat = [0, 1].map(|end| flush::find(s, end, self.ground.bodies));
            }
            let made = made.and_then(|s| self.rests(s)).and_then(|s| self.elsewhere(s));
            flats.push(flat);
            let faces = chain.faces.map(|f| brep.faces[f].tag.clone());
            let (a, b) = (brep.vertices[chain.ends(&brep)[0]], brep.edge_point(chain.edges[0].edge, 0.5));
            joints.push(Joint {
                faces: pair(&faces[0], &faces[1]),
                asked: self.asked,
                made: if made.is_ok() { self.radius } else { 0.0 },
                length: chain.edges.iter().map(|h| brep.edge_length(h.edge)).sum(),
                at: if chain.edges.len() > 1 { a } else { b },
                trouble: made.as_ref().err().copied(),
                open_ends: 0,
                metal: None,
            });
            strips.push(made.ok());
        }
        let name = |i: usize| {
            let [a, b] = chains[i].faces.map(|f| &brep.faces[f].tag);
            self.wished(a, b).unwrap_or_else(|| a.clone())
        };
        let (bodies, radius) = (self.ground.bodies, self.radius);
        let assembly =
            Assembly { bodies, radius, brep: &brep, links: &links, chains: &chains, flats: &flats };
        let metal = assembly.metal(strips, &mut joints, &name);
        Fillets { metal, joints }
    }

    /// Every joint that wishes for this radius, not made: the grown solid could not be found.
    fn all_failed(&self) -> Vec<Joint> {
        let mut tree = SolidTree::new();
        for b in self.ground.bodies {
            tree.add(b.clone());
        }
        let Ok(brep) = evaluate(&tree) else { return vec![] };
        let mut out: Vec<Joint> = Vec::new();
        for (e, l) in network::links(&brep).iter().enumerate().filter(|(_, l)| l.kind == Kind::Inward) {
            let [a, b] = l.faces.map(|f| &brep.faces[f].tag);
            let faces = pair(a, b);
            if self.wished(a, b).is_some() && !out.iter().any(|j| j.faces == faces) {
                let (at, trouble) = (brep.edge_point(e, 0.5), Some(Trouble::NoWay));
                let (asked, length) = (self.asked, brep.edge_length(e));
                out.push(Joint { faces, asked, made: 0.0, length, at, trouble, open_ends: 0, metal: None });
            }
        }
        out
    }

    /// A strip whose feet lie on the skin of the solid all along.
    fn rests(&self, s: Strip) -> Result<Strip, Trouble> {
        const STEP: f64 = 1e-4;
        let [a, b] = s.inner;
        for k in 0..9 {
            let t = a + (b - a) * (0.02 + 0.12 * f64::from(k));
            let (c, _) = s.path.at(t);
            for w in &s.walls {
                let d = w.towards(c);
                if !inside(self.ground.bodies, c + d * (self.radius + STEP))
                    || inside(self.ground.bodies, c + d * (self.radius - STEP))
                {
                    return Err(Trouble::OffWall);
                }
            }
            if !self.fills(&s, t) {
                return Err(Trouble::Gap);
            }
        }
        Ok(s)
    }

    /// A strip that keeps off the places to avoid.
    fn elsewhere(&self, s: Strip) -> Result<Strip, Trouble> {
        let near = s.bounds.grown(0.1 * self.radius);
        if self.avoid.iter().any(|p| near.contains(*p)) { Err(Trouble::NoBoundary) } else { Ok(s) }
    }

    /// Whether the ball touches a wall where an inward edge of the grown solid says so. Where it would rest on a sharp
    /// edge and beyond the end of a wall, or on two edges that meet, there is no joint.
    fn is_joint(&self, brep: &Brep, edge: usize, link: &Link) -> bool {
        let c = brep.edge_point(edge, 0.5);
        let walls = link.faces.map(|f| network::wall(brep, f, self.radius));
        match walls {
            [Some(_), Some(_)] => true,
            [Some(w), None] | [None, Some(w)] => {
                let behind = c + w.towards(c) * (self.radius + 1e-4);
                inside(self.ground.bodies, behind)
            }
            [None, None] => false,
        }
    }

    /// Whether, straight behind the ball, the walls meet where their surfaces do: else there is a gap between two
    /// features that the ball bridges, and the metal would end in the open.
    fn fills(&self, s: &Strip, t: f64) -> bool {
        const SLACK: f64 = 0.35;
        const STEP: f64 = 0.03;
        let (c, _) = s.path.at(t);
        let behind = s.junction(t).unwrap_or(s.triangle(t)[2]) - c;
        let (deep, ray) = (behind.norm(), behind.normalize());
        let slack = SLACK * self.radius;
        let mut at = self.radius;
        while at < deep + slack && !inside(self.ground.bodies, c + ray * at) {
            at += STEP * self.radius;
        }
        at < deep + slack
    }
}

/// Whether a point lies in any of the bodies.
fn inside(bodies: &[Primitive], p: P3) -> bool {
    bodies.iter().any(|b| b.contains(p))
}
