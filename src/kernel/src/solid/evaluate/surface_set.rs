//! The distinct surfaces of a tree, with the patches that lie on each.

use std::collections::BTreeSet;
use std::f64::consts::{FRAC_PI_2, PI, TAU};

use super::error::EvaluateError;
use super::face_extent::{FaceExtents, beyond_ends};
use super::uniform::PlainBodies;
use crate::geometry::{Bounds, Chart, Frame, P3, Plane, Surface};
use crate::solid::box_groups::BoxGroups;
use crate::solid::oriented_box::OrientedBox;
use crate::solid::patch::Part;
use crate::solid::tag::Tag;
use crate::solid::tree::{Op, SolidTree};
use crate::tolerance::{BOX_MARGIN, CANAL_END, CLOSED_TURN, KEPT_ABOUT, SAME_ANGLE, TANGENT, TANGENT_SNAP};

/// Where on a turned surface its halves are cut apart, radians from its frame's x axis. An odd angle, so that
/// the cut keeps off the vertices that symmetric parts have at round angles.
pub(in crate::solid) const SEAM_ANGLE: f64 = 0.618;

/// One distinct surface.
pub(super) struct SurfaceEntry {
    pub(super) surface: Surface,
    /// (step, patch) of each patch on it.
    pub(super) patches: Vec<(usize, usize)>,
    /// Boxes of the patches, grown by the margin.
    pub(super) boxes: Vec<Bounds>,
    pub(super) bounds: Bounds,
    /// For a cutting surface: the surface whose halves it cuts apart.
    pub(super) seam_of: Option<usize>,
    /// The cutting surfaces of this one.
    pub(super) seams: Vec<usize>,
    /// Ranges of u and v that hold all patches.
    pub(super) domain: ((f64, f64), (f64, f64)),
}

impl SurfaceEntry {
    /// A surface without patches so far.
    fn new(surface: Surface) -> Self {
        Self {
            surface,
            patches: vec![],
            boxes: vec![],
            bounds: Bounds::empty(),
            seam_of: None,
            seams: vec![],
            domain: ((0.0, 0.0), (0.0, 0.0)),
        }
    }

    /// Whether the grown box of some patch holds `p`.
    pub(super) fn near(&self, p: P3) -> bool {
        self.bounds.contains(p) && self.boxes.iter().any(|b| b.contains(p))
    }

    /// Whether some patch box comes within `reach` of `p`.
    pub(super) fn within(&self, p: P3, reach: f64) -> bool {
        self.bounds.distance(p) <= reach && self.boxes.iter().any(|b| b.distance(p) <= reach)
    }

    /// Whether some patch box meets the box.
    pub(super) fn meets(&self, b: &Bounds) -> bool {
        self.bounds.meets(b) && self.boxes.iter().any(|own| own.meets(b))
    }
}

/// All surfaces of a tree.
pub(super) struct SurfaceSet<'a> {
    pub(super) tree: &'a SolidTree,
    /// Outside this box there is no solid: what bodies are kept within, and a little more. Curves and vertices out there are not looked for.
    pub(super) reach: Bounds,
    /// Bodies that tell of balls deep within them.
    pub(super) plain: PlainBodies<'a>,
    pub(super) entries: Vec<SurfaceEntry>,
    /// Surface index of each patch of each step.
    pub(super) surface_of: Vec<Vec<usize>>,
    /// Pairs of a wall and of what a ball left, or of two such, that touch along an edge of a filleted body and meet
    /// nowhere else.
    rolled_on: BTreeSet<[usize; 2]>,
    /// Pairs that are known to touch at a vertex of a filleted body, where one runs on smoothly into the other.
    smooth_at: BTreeSet<[usize; 2]>,
    /// Box of each step's primitive along its own axes.
    oriented_boxes: Vec<Option<OrientedBox>>,
    /// How far the faces of each step's primitive reach.
    extents: Vec<FaceExtents>,
    /// The boxes of all surfaces.
    boxes: BoxGroups,
}

impl<'a> SurfaceSet<'a> {
    pub(super) fn new(tree: &'a SolidTree) -> Self {
        let all = tree.steps().iter().fold(Bounds::empty(), |b, s| b.union(s.primitive.bounds()));
        let (center, size) = (all.center(), all.diagonal());
        let oriented_boxes = tree.steps().iter().map(|s| OrientedBox::of(&s.primitive)).collect();
        let mut out = Self {
            tree,
            reach: reach(tree, &all),
            plain: PlainBodies::of(tree),
            entries: vec![],
            surface_of: vec![],
            rolled_on: BTreeSet::new(),
            smooth_at: BTreeSet::new(),
            oriented_boxes,
            extents: tree.steps().iter().map(|s| FaceExtents::new(&s.primitive)).collect(),
            boxes: BoxGroups::default(),
        };
        for (step, s) in tree.steps().iter().enumerate() {
            let ids =
                (0..s.primitive.patches().len()).map(|patch| out.place(step, patch, center, size)).collect();
            out.surface_of.push(ids);
            out.note_rolled(step);
            out.note_smooth(step);
        }
        for i in 0..out.entries.len() {
            out.entries[i].domain = out.domain(i);
            out.add_seams(i);
        }
        out.boxes = BoxGroups::of(out.entries.iter().map(|e| e.bounds));
        out
    }

    /// The surfaces of which a patch may meet a box, in order.
    pub(super) fn meeting(&self, b: &Bounds) -> impl Iterator<Item = usize> {
        self.boxes.meeting(b)
    }

    /// The surfaces of which the box about all patches holds `p`, in order.
    pub(super) fn about(&self, p: P3) -> impl Iterator<Item = usize> {
        self.boxes.near(p, 0.0)
    }

    fn place(&mut self, step: usize, patch: usize, center: P3, size: f64) -> usize {
        let p = &self.tree.steps()[step].primitive.patches()[patch];
        let grown = p.bounds.grown(BOX_MARGIN);
        let near = if p.bounds.is_empty() { center } else { p.bounds.center() };
        let found = self.entries.iter().position(|e| e.surface.same_as(&p.surface, near, size).is_some());
        let i = found.unwrap_or_else(|| {
            self.entries.push(SurfaceEntry::new(p.surface.clone()));
            self.entries.len() - 1
        });
        let entry = &mut self.entries[i];
        entry.patches.push((step, patch));
        entry.boxes.push(grown);
        entry.bounds = entry.bounds.union(&grown);
        i
    }

    /// Takes down which surfaces a filleted body's ball has rolled on.
    fn note_rolled(&mut self, step: usize) {
        let primitive = &self.tree.steps()[step].primitive;
        let Some(body) = primitive.filleted_body() else { return };
        for e in &primitive.edges {
            if e.patches.iter().any(|p| body.is_rolled(*p)) {
                let [a, b] = e.patches.map(|p| self.surface_of[step][p]);
                self.rolled_on.insert([a.min(b), a.max(b)]);
            }
        }
    }

    /// Takes down which surfaces run on smoothly into each other at the vertices of a filleted body.
    fn note_smooth(&mut self, step: usize) {
        let primitive = &self.tree.steps()[step].primitive;
        if primitive.filleted_body().is_none() {
            return;
        }
        for v in &primitive.vertices {
            let ids: BTreeSet<usize> = v.patches.iter().map(|p| self.surface_of[step][*p]).collect();
            let normals: Vec<_> = ids.iter().map(|i| (*i, self.entries[*i].surface.grad(v.point))).collect();
            for (k, (i, n)) in normals.iter().enumerate() {
                for (j, m) in &normals[k + 1..] {
                    if n.cross(m).norm() < TANGENT {
                        self.smooth_at.insert([*i, *j]);
                    }
                }
            }
        }
    }

    /// Whether two surfaces are known to touch at a vertex of a filleted body, where curves in both of them are not told
    /// apart.
    pub(super) fn touch_smoothly(&self, i: usize, j: usize) -> bool {
        self.smooth_at.contains(&[i.min(j), i.max(j)])
    }

    /// Whether two surfaces are known to touch along a fillet's edge and to meet nowhere else.
    pub(super) fn meet_known(&self, i: usize, j: usize) -> bool {
        self.rolled_on.contains(&[i.min(j), i.max(j)])
    }

    /// The tag of a patch.
    pub(super) fn tag(&self, (step, patch): (usize, usize)) -> &Tag {
        &self.tree.steps()[step].primitive.patches()[patch].tag
    }

    /// The tag of the patch of a surface whose box is nearest to `p`, for messages.
    pub(super) fn nearest_tag(&self, surface: usize, p: P3) -> Tag {
        let e = &self.entries[self.entries[surface].seam_of.unwrap_or(surface)];
        let nearest =
            (0..e.patches.len()).min_by(|a, b| e.boxes[*a].distance(p).total_cmp(&e.boxes[*b].distance(p)));
        nearest.map_or_else(|| Tag::formed("solid", "face"), |i| self.tag(e.patches[i]).clone())
    }

    /// The error for two surfaces that touch in a way that is not solved.
    pub(super) fn tangent(&self, at: P3, pair: [usize; 2]) -> EvaluateError {
        EvaluateError::Tangent { tags: pair.map(|s| self.nearest_tag(s, at)), at }
    }

    /// Ranges of u and v, in the entry's own frame, that hold all its patches.
    fn domain(&self, i: usize) -> ((f64, f64), (f64, f64)) {
        let e = &self.entries[i];
        let whole = ((-PI, PI), (-FRAC_PI_2, FRAC_PI_2));
        match e.surface {
            Surface::Plane(_) => return ((0.0, 0.0), (0.0, 0.0)),
            Surface::Sphere(_) => return whole,
            _ if e.patches.is_empty() => return ((0.0, 0.0), (0.0, 0.0)),
            Surface::Canal(_) => {
                let (step, patch) = e.patches[0];
                let p = &self.tree.steps()[step].primitive.patches()[patch];
                return (p.u, p.v);
            }
            _ => {}
        }
        let mut u_arcs = Vec::new();
        let mut v_arcs = Vec::new();
        for (step, patch) in &e.patches {
            let p = &self.tree.steps()[*step].primitive.patches()[*patch];
            let mid = (0.5 * (p.u.0 + p.u.1), 0.5 * (p.v.0 + p.v.1));
            let (u, v) = e.surface.params(p.surface.point(mid.0, mid.1));
            u_arcs.push((u, 0.5 * (p.u.1 - p.u.0)));
            v_arcs.push((v, 0.5 * (p.v.1 - p.v.0)));
        }
        let v = if matches!(e.surface, Surface::Torus(_)) { arc_hull(&v_arcs) } else { span_hull(&v_arcs) };
        (arc_hull(&u_arcs), v)
    }

    /// Adds the planes that cut a surface of more than half a turn into halves.
    fn add_seams(&mut self, i: usize) {
        let surface = self.entries[i].surface.clone();
        let ((u0, u1), (v0, v1)) = self.entries[i].domain;
        let frame = *surface.frame();
        let half = PI + SAME_ANGLE;
        let wide = match surface {
            Surface::Plane(_) | Surface::Canal(_) => return,
            Surface::Sphere(_) => true,
            _ => u1 - u0 > half,
        };
        if wide {
            let normal = frame.radial(SEAM_ANGLE + FRAC_PI_2);
            let plane = Plane { frame: Frame::from_zx(frame.origin, normal, frame.z) };
            self.push_seam(i, Surface::Plane(plane));
        }
        if matches!(surface, Surface::Torus(_)) && v1 - v0 > half {
            self.push_seam(i, Surface::Plane(Plane { frame }));
        }
    }

    fn push_seam(&mut self, of: usize, surface: Surface) {
        let id = self.entries.len();
        let host = &mut self.entries[of];
        host.seams.push(id);
        let (boxes, bounds) = (host.boxes.clone(), host.bounds);
        let domain = ((0.0, 0.0), (0.0, 0.0));
        self.entries.push(SurfaceEntry {
            surface,
            patches: vec![],
            boxes,
            bounds,
            seam_of: Some(of),
            seams: vec![],
            domain,
        });
    }

    /// Which of its pieces (halves, quarters of a torus) of a surface lies at the side `q` of an edge's point
    /// `p`, one bit a cut. Cuts that don't run along the edge are asked at `p`: `q` may lie beyond them.
    pub(super) fn half(&self, surface: usize, along: &[usize], p: P3, q: P3) -> u8 {
        let bit = |s: &usize| {
            let at = if along.contains(s) { q } else { p };
            u8::from(self.entries[*s].surface.f(at) > 0.0)
        };
        self.entries[surface].seams.iter().enumerate().fold(0, |bits, (k, s)| bits | bit(s) << k)
    }

    /// The flat map of a piece of a surface.
    pub(super) fn chart(&self, surface: usize, half: u8) -> Chart {
        let e = &self.entries[surface];
        let ((u0, u1), (v0, v1)) = e.domain;
        let (mut u, mut v) = (0.5 * (u0 + u1), 0.5 * (v0 + v1));
        for (k, s) in e.seams.iter().enumerate() {
            let upper = half >> k & 1 == 1;
            let seam = &self.entries[*s].surface;
            let cuts_ring = matches!(e.surface, Surface::Torus(_))
                && seam.frame().z.dot(&e.surface.frame().z).abs() > 0.5;
            if cuts_ring {
                v = if upper { FRAC_PI_2 } else { -FRAC_PI_2 };
            } else {
                u = SEAM_ANGLE + if upper { FRAC_PI_2 } else { -FRAC_PI_2 };
                if matches!(e.surface, Surface::Sphere(_)) {
                    v = 0.0;
                }
            }
        }
        let at = match &e.surface {
            Surface::Plane(s) => s.frame.origin,
            Surface::Cone(_) => e.surface.point(u, v.max(1.0)),
            _ => e.surface.point(u, v),
        };
        Chart::new(e.surface.clone(), at)
    }

    /// Whether two surfaces have patches of different primitives whose boxes meet; gives those boxes.
    pub(super) fn meeting_boxes(&self, i: usize, j: usize) -> Option<(Vec<Bounds>, Vec<Bounds>)> {
        let (a, b) = (&self.entries[i], &self.entries[j]);
        if !a.bounds.meets(&b.bounds) || self.meet_known(i, j) {
            return None;
        }
        let pick = |x: &SurfaceEntry, y: &SurfaceEntry| -> Vec<Bounds> {
            let meets = |k: usize| {
                let met = |l: &usize| {
                    x.boxes[k].meets(&y.boxes[*l])
                        && x.boxes[k].intersection(&y.boxes[*l]).meets(&self.reach)
                        && !self.keep_apart(x.patches[k].0, &y.boxes[*l])
                        && !self.keep_apart(y.patches[*l].0, &x.boxes[k])
                };
                (0..y.boxes.len()).filter(met).any(|l| !self.apart(x.patches[k], y.patches[l]))
            };
            (0..x.boxes.len()).filter(|k| meets(*k)).map(|k| x.boxes[k].intersection(&self.reach)).collect()
        };
        let own = pick(a, b);
        if own.is_empty() { None } else { Some((own, pick(b, a))) }
    }

    /// Whether a step's primitive keeps off a box, as told along its own axes.
    fn keep_apart(&self, step: usize, b: &Bounds) -> bool {
        self.oriented_boxes[step].as_ref().is_some_and(|own| own.clear_of(b))
    }

    /// Whether two patches need no intersecting: they are of one primitive, whose edges are known, or of a body and the
    /// filleted one that holds it.
    fn apart(&self, a: (usize, usize), b: (usize, usize)) -> bool {
        let steps = self.tree.steps();
        if a.0 == b.0 {
            let part = |(i, patch): (usize, usize)| steps[i].primitive.patches()[patch].part;
            return (part(a) == Part::Cap) == (part(b) == Part::Cap);
        }
        // A restored body lies within the filleted one before it: their faces touch, and never cross.
        let within = |(i, _): (usize, usize), (j, _): (usize, usize)| {
            steps[i].op == Op::Restore && j < i && steps[j].primitive.filleted_body().is_some()
        };
        within(a, b) || within(b, a)
    }

    /// Whether a patch of a surface comes near a point of it. What a ball left runs on beyond the ends of the ball's path,
    /// close to what follows it, but no face reaches there.
    pub(super) fn reaches(&self, entry: usize, p: P3) -> bool {
        let e = &self.entries[entry];
        let within = |&(step, patch): &(usize, usize)| {
            let primitive = &self.tree.steps()[step].primitive;
            let face = &primitive.patches()[patch];
            match primitive.filleted_body() {
                Some(b) if b.is_rolled(patch) => !beyond_ends(face, p, TANGENT_SNAP),
                // What a larger ball left: its range is told by points along its edges.
                Some(_) if matches!(face.surface, Surface::Canal(_)) => !beyond_ends(face, p, CANAL_END),
                _ => true,
            }
        };
        e.bounds.contains(p)
            && (0..e.boxes.len()).any(|k| e.boxes[k].contains(p) && e.patches.get(k).is_none_or(within))
    }

    /// How far from `p` the faces on a surface lie at least: a surface runs on beyond its faces, and where one runs on smoothly into
    /// another it stays close to that one's faces.
    pub(super) fn clearance(&self, entry: usize, p: P3) -> f64 {
        let e = &self.entries[entry];
        let off = e.surface.f(p).abs();
        let of = |k: usize| {
            let (step, patch) = e.patches[k];
            let sideways = self.extents[step].beyond(&self.tree.steps()[step].primitive, patch, p);
            off.max(e.boxes[k].distance(p)).max(sideways)
        };
        (0..e.patches.len()).map(of).min_by(f64::total_cmp).unwrap_or(off)
    }

    /// Whether all patches of the surfaces come from one and the same primitive, whose edges and vertices are
    /// known without intersecting.
    pub(super) fn one_primitive(&self, surfaces: impl IntoIterator<Item = usize>) -> bool {
        let mut step = None;
        for s in surfaces {
            if self.entries[s].seam_of.is_some() {
                return false;
            }
            for (of, patch) in &self.entries[s].patches {
                let cap = self.tree.steps()[*of].primitive.patches()[*patch].part == Part::Cap;
                if cap || *step.get_or_insert(*of) != *of {
                    return false;
                }
            }
        }
        true
    }
}

/// The box outside of which a tree has no solid, where it keeps what lies within some body; else the box about all its bodies.
fn reach(tree: &SolidTree, all: &Bounds) -> Bounds {
    let keeps = tree.steps().iter().any(|step| step.op == Op::Keep);
    let holds = if keeps { tree.bounds() } else { *all };
    holds.grown(KEPT_ABOUT)
}

/// The shortest interval that holds all arcs (middle, half width); the full turn when no gap is left.
fn arc_hull(arcs: &[(f64, f64)]) -> (f64, f64) {
    if arcs.iter().any(|a| a.1 >= PI - SAME_ANGLE) {
        return (-PI, PI);
    }
    let mut spans: Vec<(f64, f64)> = arcs
        .iter()
        .map(|(m, h)| {
            let lo = (m - h).rem_euclid(TAU);
            (lo, lo + 2.0 * h)
        })
        .collect();
    spans.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut reach = spans[0].1;
    let (mut gap, mut after) = (0.0, 0);
    for k in 1..=spans.len() {
        let next = if k == spans.len() { spans[0].0 + TAU } else { spans[k].0 };
        if next - reach > gap {
            gap = next - reach;
            after = k % spans.len();
        }
        if k < spans.len() {
            reach = reach.max(spans[k].1);
        }
    }
    if gap < CLOSED_TURN {
        return (-PI, PI);
    }
    let lo = spans[after].0;
    (lo, lo + TAU - gap)
}

fn span_hull(spans: &[(f64, f64)]) -> (f64, f64) {
    let lo = spans.iter().map(|(m, h)| m - h).fold(f64::INFINITY, f64::min);
    let hi = spans.iter().map(|(m, h)| m + h).fold(f64::NEG_INFINITY, f64::max);
    (lo, hi)
}
