//! Prisms: drafted walls, ends with sharp or rounded edges.

use std::f64::consts::{FRAC_PI_2, TAU};

use super::end_rounding::EndRounding;
use super::patch::{Part, Patch, PrimitiveCurve, PrimitiveEdge, PrimitiveVertex, sorted};
use super::primitive::{Primitive, Shape};
use super::primitive_error::PrimitiveError;
use super::profile::Profile;
use super::rounding::round_corners;
use super::segment::Segment;
use super::tag::{Finish, Tag};
use crate::geometry::{
    Bounds, Circle, Cone, Curve, Cylinder, Frame, Line, P2, Plane, Surface, Torus, V2, V3,
};
use crate::tolerance::{SAME_ANGLE, SNAP};

impl Primitive {
    /// Extrudes a closed profile in the frame's xy plane along +z from z = 0 to `height`. With a positive
    /// `draft` (radians) the section at height z is the profile offset inwards by `z·tan(draft)`.
    /// `ends` name the faces at the bottom and the top.
    ///
    /// # Errors
    /// A faulty profile, no height, or a draft that eats up an edge or a corner radius.
    pub fn prism(
        feature: &str,
        frame: Frame,
        segments: Vec<Segment>,
        height: f64,
        draft: f64,
        ends: [Tag; 2],
    ) -> Result<Self, PrimitiveError> {
        Self::rounded_prism(feature, frame, segments, height, draft, ends, [0.0; 2])
    }

    /// A prism whose edges around the bottom and the top are rounded by the given radii (zero: sharp).
    ///
    /// # Errors
    /// As [`Self::prism`]; and for a rounded edge where the outline has a corner or a radius that it eats up.
    pub fn rounded_prism(
        feature: &str,
        frame: Frame,
        segments: Vec<Segment>,
        height: f64,
        draft: f64,
        ends: [Tag; 2],
        radii: [f64; 2],
    ) -> Result<Self, PrimitiveError> {
        let profile = Profile::new(segments)
            .map_err(|source| PrimitiveError::Profile { feature: feature.to_owned(), source })?;
        if !(height > SNAP && height.is_finite()) {
            return Err(PrimitiveError::Height { feature: feature.to_owned(), height });
        }
        let slope = if draft == 0.0 { 0.0 } else { draft.tan() };
        let no_draft = || PrimitiveError::Draft {
            feature: feature.to_owned(),
            draft_deg: draft.to_degrees(),
            height,
            greatest_deg: greatest_draft(&profile, height, draft.signum()).to_degrees(),
        };
        profile.offset_checked(slope * height).ok_or_else(no_draft)?;
        let no_round =
            || PrimitiveError::Rounding { feature: feature.to_owned(), radius: radii[0].max(radii[1]) };
        let rounds = [EndRounding::new(radii[0], slope), EndRounding::new(radii[1], -slope)];
        if rounds[0].height + rounds[1].height > height - SNAP {
            return Err(no_round());
        }
        let shape = Shape::Prism { profile: profile.clone(), height, slope, rounds };
        let mut out = Self::empty(frame, shape);
        let builder = Builder { frame, profile: &profile, height, slope, rounds };
        builder.fill(&mut out, ends).ok_or_else(no_round)?;
        out.close();
        Ok(out)
    }
}

/// Radius of an outline's corner, in radii of the edge around the end: where they meet, the edge's ring must not meet itself.
pub(crate) const OUTLINE_CORNER: f64 = 2.2;

impl Primitive {
    /// Distance between the ends of a prism, mm.
    pub fn thickness(&self) -> Option<f64> {
        self.shape()?.1.map(|(height, _)| height)
    }

    /// The first formed end of a prism whose edges are sharp.
    pub fn formed_end(&self) -> Option<&Tag> {
        let sharp = self.shape()?.1.is_some() && self.rounds().iter().all(|r| *r <= 0.0);
        let mut ends = self.patches().iter().take(2);
        let formed = ends.find(|end| end.tag.finish == Finish::Formed)?;
        sharp.then_some(&formed.tag)
    }

    /// This prism with its edges rounded around those ends that are formed; `None` where it is no prism, has no such
    /// end, or an edge has no room.
    #[must_use]
    pub fn with_rounded_ends(&self, radius: f64) -> Option<Self> {
        let (profile, Some(_)) = self.shape()? else { return None };
        let radii = [0, 1].map(|k| if self.patches()[k].tag.finish == Finish::Formed { radius } else { 0.0 });
        // Here the ring must not meet itself.
        let tight = |s: &Segment| s.arc.is_some_and(|(_, ccw)| ccw) && s.radius() < 2.1 * radius;
        let any = |r: [f64; 2]| r[0].max(r[1]) > 0.0;
        if !self.caps().is_empty()
            || !any(radii)
            || any(self.rounds())
            || profile.segments().iter().any(tight)
        {
            return None;
        }
        // A sharp corner of the outline would end the rounded edge in a point: it is rounded as well, a little more.
        let outline = round_corners(profile.segments(), &|_| OUTLINE_CORNER * radius);
        self.reshaped(outline, radii)
    }

    /// This prism with another outline and other radii of the edges around its ends, without its caps; `None` where it is no
    /// prism, or an edge has no room.
    pub(crate) fn reshaped(&self, outline: Vec<Segment>, radii: [f64; 2]) -> Option<Self> {
        let (_, Some((height, slope))) = self.shape()? else { return None };
        let ends = [0, 1].map(|k| self.patches()[k].tag.clone());
        Self::rounded_prism(self.feature(), *self.frame(), outline, height, slope.atan(), ends, radii).ok()
    }
}

/// A section of the prism: its outline at a height.
struct Level {
    z: f64,
    outline: Profile,
}

/// The rounded edge around one end.
struct Rim {
    bottom: bool,
    radius: f64,
    /// Height of the centres of its section.
    z: f64,
    /// Away from the solid at this end.
    away: V3,
    /// One at the top, minus one at the bottom.
    sense: f64,
    /// From the end's face to the wall's, radians.
    turn: f64,
}

struct Builder<'a> {
    frame: Frame,
    profile: &'a Profile,
    height: f64,
    slope: f64,
    rounds: [EndRounding; 2],
}

impl Builder<'_> {
    fn level(&self, z: f64, inset: f64) -> Option<Level> {
        Some(Level { z, outline: self.profile.offset_checked(inset)? })
    }

    /// Faces in order: bottom, top, walls, rounded edge of the bottom, of the top. `None` where a rounding has no room.
    fn fill(&self, out: &mut Primitive, [bottom_tag, top_tag]: [Tag; 2]) -> Option<()> {
        let (h, s) = (self.height, self.slope);
        let [b, t] = self.rounds;
        let bottom = self.level(0.0, b.inset)?;
        let low = self.level(b.height, s * b.height)?;
        let high = self.level(h - t.height, s * (h - t.height))?;
        let top = self.level(h, s * h + t.inset)?;
        self.push_cap(out, &bottom, bottom_tag);
        self.push_cap(out, &top, top_tag);
        let walls = out.patches.len();
        let n = self.profile.segments().len();
        for (i, s) in self.profile.segments().iter().enumerate() {
            let patch = self.side_patch(s, &low, &high, i);
            out.patches.push(Patch { segment: Some(i), ..patch });
        }
        let mut first = [walls; 2];
        for (k, (round, cap, level)) in [(b, &bottom, &low), (t, &top, &high)].into_iter().enumerate() {
            if round.radius > 0.0 {
                first[k] = out.patches.len();
                self.push_round(out, k, round, cap)?;
                let between: Vec<[usize; 2]> = (0..n).map(|i| [first[k] + i, walls + i]).collect();
                self.push_outline(out, level, &between, n);
            }
        }
        for (k, cap) in [&bottom, &top].into_iter().enumerate() {
            let between: Vec<[usize; 2]> = (0..n).map(|i| [k, first[k] + i]).collect();
            self.push_outline(out, cap, &between, n);
        }
        for i in 0..n {
            let (a, b) = (low.outline.segments()[i].from, high.outline.segments()[i].from);
            let (p, q) = (self.frame.point(a.x, a.y, low.z), self.frame.point(b.x, b.y, high.z));
            let line = Line { origin: p, dir: (q - p).normalize() };
            out.edges.push(PrimitiveEdge {
                curve: PrimitiveCurve::Plain(Curve::Line(line)),
                range: Some((0.0, (q - p).norm())),
                patches: [walls + (i + n - 1) % n, walls + i],
                forward: None,
            });
        }
        Some(())
    }

    fn push_cap(&self, out: &mut Primitive, level: &Level, tag: Tag) {
        let frame = self.frame.moved_to(self.frame.point(0.0, 0.0, level.z));
        let bounds = profile_bounds(&self.frame, &level.outline, level.z);
        let (surface, part) = (Surface::Plane(Plane { frame }), Part::Plain);
        out.patches.push(Patch { surface, tag, bounds, u: (0.0, 0.0), v: (0.0, 0.0), segment: None, part });
    }

    /// The edges of an outline and its corners, between two rows of faces.
    fn push_outline(&self, out: &mut Primitive, level: &Level, between: &[[usize; 2]], n: usize) {
        for (i, s) in level.outline.segments().iter().enumerate() {
            let (curve, range) = placed_segment(&self.frame, s, level.z);
            let curve = PrimitiveCurve::Plain(curve);
            out.edges.push(PrimitiveEdge { curve, range: Some(range), patches: between[i], forward: None });
            let before = between[(i + n - 1) % n];
            let mut patches = vec![before[0], before[1], between[i][0], between[i][1]];
            patches.sort_unstable();
            patches.dedup();
            out.vertices
                .push(PrimitiveVertex { point: self.frame.point(s.from.x, s.from.y, level.z), patches });
        }
    }

    /// The faces of a rounded edge and the arcs between them.
    fn push_round(&self, out: &mut Primitive, end: usize, round: EndRounding, cap: &Level) -> Option<()> {
        let first = out.patches.len();
        let segments = cap.outline.segments();
        let n = segments.len();
        let rim = self.rim(end, round);
        for (i, s) in segments.iter().enumerate() {
            let before = (i + n - 1) % n;
            let patch = self.rim_patch(&rim, s)?;
            out.patches.push(Patch { segment: Some(i), ..patch });
            if has_corner(&segments[before], s) {
                return None;
            }
            out.edges.push(self.rim_arc(&rim, s, [first + before, first + i]));
        }
        Some(())
    }

    fn rim(&self, end: usize, round: EndRounding) -> Rim {
        let bottom = end == 0;
        let lean = if bottom { self.slope } else { -self.slope };
        Rim {
            bottom,
            radius: round.radius,
            z: if bottom { round.radius } else { self.height - round.radius },
            away: if bottom { -self.frame.z } else { self.frame.z },
            sense: if bottom { -1.0 } else { 1.0 },
            turn: (-lean / (1.0 + lean * lean).sqrt()).acos(),
        }
    }

    /// The face of a rounded edge along one piece of the outline; `None` where it would meet itself.
    fn rim_patch(&self, rim: &Rim, s: &Segment) -> Option<Patch> {
        let bounds = segment_bounds(&self.frame, s, rim.z).grown(rim.radius);
        let (surface, u, v) = match s.arc {
            None => self.rim_cylinder(rim, s),
            Some((c, ccw)) => self.rim_torus(rim, s, c, ccw)?,
        };
        Some(Patch { surface, tag: s.tag.clone(), bounds, u, v, segment: None, part: Part::Plain })
    }

    fn rim_cylinder(&self, rim: &Rim, s: &Segment) -> Sided {
        let d = s.direction(0.0);
        let origin = self.frame.point(s.from.x, s.from.y, rim.z);
        let frame = Frame::from_zx(origin, self.frame.vector(d.x, d.y, 0.0), rim.away);
        let surface = Surface::Cylinder(Cylinder { frame, radius: rim.radius });
        // The wall looks to the right of the outline.
        (surface, sorted(0.0, rim.sense * rim.turn), (0.0, (s.to - s.from).norm()))
    }

    fn rim_torus(&self, rim: &Rim, s: &Segment, c: P2, ccw: bool) -> Option<Sided> {
        let major = s.radius();
        // A ring that reaches over its axis is sound on this side of it, as the offset solid needs it.
        if major <= SNAP {
            return None;
        }
        let (a, sweep) = s.sweep();
        let towards = self.frame.radial(a + 0.5 * sweep);
        let frame = Frame::from_zx(self.frame.point(c.x, c.y, rim.z), self.frame.z, towards);
        let surface = Surface::Torus(Torus { frame, major, minor: rim.radius });
        let start = rim.sense * FRAC_PI_2;
        let outer = if ccw { start - rim.sense * rim.turn } else { start + rim.sense * rim.turn };
        Some((surface, (-0.5 * sweep.abs(), 0.5 * sweep.abs()), sorted(start, outer)))
    }

    /// The arc across a rounded edge where a piece of the outline starts.
    fn rim_arc(&self, rim: &Rim, s: &Segment, patches: [usize; 2]) -> PrimitiveEdge {
        let f = s.direction(0.0);
        let center = self.frame.point(s.from.x, s.from.y, rim.z);
        let frame = Frame::from_zx(center, self.frame.vector(f.x, f.y, 0.0), rim.away);
        PrimitiveEdge {
            curve: PrimitiveCurve::Plain(Curve::Circle(Circle { frame, radius: rim.radius })),
            // From the end's face to the wall; the frame's y looks out of the prism at the top, into it at the bottom.
            range: Some(if rim.bottom { (-rim.turn, 0.0) } else { (0.0, rim.turn) }),
            patches,
            forward: None,
        }
    }

    /// The wall over profile segment `i` between two levels.
    fn side_patch(&self, s: &Segment, low: &Level, high: &Level, i: usize) -> Patch {
        let (a, b) = (&low.outline.segments()[i], &high.outline.segments()[i]);
        let bounds = segment_bounds(&self.frame, a, low.z).union(&segment_bounds(&self.frame, b, high.z));
        let (surface, u, v) = self.side_surface(s, a, b, (low.z, high.z));
        Patch { surface, tag: s.tag.clone(), bounds, u, v, segment: None, part: Part::Plain }
    }

    /// The wall's surface, by its section `s` at z = 0, and the ranges of its parameters between two sections.
    fn side_surface(&self, s: &Segment, a: &Segment, b: &Segment, heights: (f64, f64)) -> Sided {
        let frame = &self.frame;
        let Some((c, ccw)) = s.arc else {
            let d: V2 = s.direction(0.0);
            let normal = frame.vector(d.y, -d.x, self.slope);
            let origin = frame.point(s.from.x, s.from.y, 0.0);
            let plane = Plane { frame: Frame::from_zx(origin, normal, frame.vector(d.x, d.y, 0.0)) };
            return (Surface::Plane(plane), (0.0, 0.0), (0.0, 0.0));
        };
        let (from, sweep) = s.sweep();
        let middle = from + 0.5 * sweep;
        let u = (-0.5 * sweep.abs(), 0.5 * sweep.abs());
        let towards = frame.radial(middle);
        // Radius at height z is r + grow·z.
        let grow = if ccw { -self.slope } else { self.slope };
        if grow == 0.0 {
            let axis = Frame::from_zx(frame.point(c.x, c.y, 0.0), frame.z, towards);
            return (Surface::Cylinder(Cylinder { frame: axis, radius: s.radius() }), u, heights);
        }
        let half_angle = grow.abs().atan();
        let apex = frame.point(c.x, c.y, -s.radius() / grow);
        let axis = Frame::from_zx(apex, frame.z * grow.signum(), towards);
        let v = sorted(a.radius() / half_angle.sin(), b.radius() / half_angle.sin());
        (Surface::Cone(Cone { frame: axis, half_angle }), u, v)
    }
}

/// Whether an outline has a corner between two pieces.
fn has_corner(before: &Segment, s: &Segment) -> bool {
    let (d, f) = (before.direction(1.0), s.direction(0.0));
    let sine = d.x * f.y - d.y * f.x;
    sine.abs() > SAME_ANGLE || d.dot(&f) < 0.0
}

/// A surface with the ranges of its parameters.
type Sided = (Surface, (f64, f64), (f64, f64));

impl Profile {
    /// [`Profile::offset`], and the result doesn't cross itself.
    fn offset_checked(&self, by: f64) -> Option<Self> {
        if by == 0.0 {
            return Some(self.clone());
        }
        let out = self.offset(by)?;
        Self::new(out.segments().to_vec()).ok()
    }
}

/// Greatest draft (radians) of the sign for which the top still exists, by bisection.
fn greatest_draft(profile: &Profile, height: f64, sign: f64) -> f64 {
    let (mut lo, mut hi) = (0.0, FRAC_PI_2 * 0.99);
    for _ in 0..40 {
        let mid: f64 = 0.5 * (lo + hi);
        if profile.offset_checked(sign * mid.tan() * height).is_some() {
            lo = mid;
        } else {
            hi = mid;
        }
    }
    lo
}

/// The box around a profile placed at height z.
fn profile_bounds(frame: &Frame, profile: &Profile, z: f64) -> Bounds {
    profile.segments().iter().fold(Bounds::empty(), |b, s| b.union(&segment_bounds(frame, s, z)))
}

/// The box around one placed segment; exact for arcs through the extremes of the circle in space.
fn segment_bounds(frame: &Frame, s: &Segment, z: f64) -> Bounds {
    let place = |p: P2| frame.point(p.x, p.y, z);
    let mut b = Bounds::around([place(s.from), place(s.to)]);
    if let Some((c, _)) = s.arc {
        let (a, sweep) = s.sweep();
        for k in 0..3 {
            // Extremes of x_k along the circle: at the angle of (x_k, y_k) and opposite.
            let t0 = frame.y[k].atan2(frame.x[k]);
            for t in [t0, t0 + std::f64::consts::PI] {
                let d = if sweep > 0.0 { (t - a).rem_euclid(TAU) } else { (a - t).rem_euclid(TAU) };
                if d <= sweep.abs() {
                    b.include(place(P2::new(c.x + s.radius() * t.cos(), c.y + s.radius() * t.sin())));
                }
            }
        }
    }
    b
}

/// The curve of a profile segment placed at height z and its parameter range.
fn placed_segment(frame: &Frame, s: &Segment, z: f64) -> (Curve, (f64, f64)) {
    match s.arc {
        None => {
            let (p, q) = (frame.point(s.from.x, s.from.y, z), frame.point(s.to.x, s.to.y, z));
            (Curve::Line(Line { origin: p, dir: (q - p).normalize() }), (0.0, (q - p).norm()))
        }
        Some((c, _)) => {
            let (a, sweep) = s.sweep();
            let circle = Circle { frame: frame.moved_to(frame.point(c.x, c.y, z)), radius: s.radius() };
            (Curve::Circle(circle), sorted(a, a + sweep))
        }
    }
}

#[cfg(test)]
mod tests {
    use std::f64::consts::PI;

    use super::*;
    use crate::solid::end_rounding::inset;
    use crate::solid::evaluate::evaluate;
    use crate::solid::validate::validate;
    use crate::solid::{SolidTree, circle, rounded_rectangle};

    fn tags() -> [Tag; 2] {
        ["bottom", "top"].map(|r| Tag::formed("block", r))
    }

    fn volume(p: Primitive) -> f64 {
        let mut tree = SolidTree::new();
        tree.add(p);
        validate(&evaluate(&tree).expect("a boundary")).expect("a sound solid").mass.volume
    }

    /// Pappus: a disc of radius R loses at its rounded rim the ring of section (1 − π/4)e², whose centroid lies
    /// (10 − 3π)/(12 − 3π)·e inside the sharp corner.
    #[test]
    fn a_disc_with_rounded_rims() {
        let (big, h, e) = (20.0, 12.0, 3.0);
        let side = Tag::formed("block", "side");
        let disc = Primitive::rounded_prism(
            "block",
            Frame::world(),
            circle(P2::origin(), big, &side),
            h,
            0.0,
            tags(),
            [e, e],
        );
        let inside = (10.0 - 3.0 * PI) / (12.0 - 3.0 * PI) * e;
        let want = PI * big * big * h - 2.0 * (1.0 - PI / 4.0) * e * e * 2.0 * PI * (big - inside);
        let got = volume(disc.expect("a disc"));
        assert!((got - want).abs() < 1e-9 * want, "{got} for {want}");
    }

    #[test]
    fn a_drafted_block_is_what_it_contains() {
        let side = Tag::formed("block", "side");
        let outline = rounded_rectangle(P2::origin(), V2::new(40.0, 24.0), 8.0, &side);
        for (draft, radii) in [(0.05, [1.5, 2.5]), (-0.05, [2.0, 0.0]), (0.0, [0.0, 3.0])] {
            let block = Primitive::rounded_prism(
                "block",
                Frame::world(),
                outline.clone(),
                15.0,
                draft,
                tags(),
                radii,
            )
            .expect("a block");
            // Sections at Gauss points (16 equal panels of two) as a second road to the volume.
            let n = 4000;
            let section = |z: f64| {
                let inset = inset(
                    15.0,
                    draft.tan(),
                    &[EndRounding::new(radii[0], draft.tan()), EndRounding::new(radii[1], -draft.tan())],
                    z,
                );
                let whole = Profile::new(outline.clone()).expect("an outline");
                whole.offset(inset).expect("a section").area()
            };
            let want: f64 = (0..n).map(|i| section(15.0 * (f64::from(i) + 0.5) / f64::from(n))).sum::<f64>()
                * 15.0
                / f64::from(n);
            let got = volume(block);
            assert!((got - want).abs() < 2e-5 * want, "{got} for {want} at draft {draft}");
        }
    }
}
