//! The room of a side core in its half: an upright block from the parting plane to the height of what holds the half there.

use super::region::LEAN;
use super::site::Site;
use crate::faces::{Feature, Role};
use solidwright::geometry::{Frame, P2, P3, V2, V3};
use solidwright::solid::{Primitive, PrimitiveError, Tag, polygon};

/// How far the room reaches beyond what holds, mm.
const MARGIN: f64 = 2.0;

/// How far it reaches over the highest of that, into the metal and the sand, mm: the next one is tried where its end only just touches a face. No
/// round numbers, so that its end lies in no face of the casting.
pub(super) const OVER: [f64; 3] = [1.37, 2.71, 4.93];

/// Length of the print beside the metal, as a share of the core's height, and its least and greatest, mm (common practice, no source).
const PRINT: f64 = 0.4;
const PRINTS: (f64, f64) = (12.0, 40.0);

/// A side is taken for sand where no more than this share of the strip beyond it is metal.
const MOST_METAL: f64 = 0.35;

/// A room turned about the pull must be smaller by this factor than one square to the shaft.
const TURNED: f64 = 1.4;

/// Directions of its sides that are tried, over a quarter turn.
const TURNS: u32 = 6;

/// The room of a side core, in the half's own coordinates.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Column {
    /// One of its sides runs along this.
    u: V2,
    /// Its extent along that at the parting plane.
    along: (f64, f64),
    /// Its extent to the side there.
    aside: (f64, f64),
    /// The height of the parting plane.
    base: f64,
    /// Its own height over that.
    height: f64,
}

/// Faces of a side core's print: its sides and its end.
pub(super) fn print_faces() -> [Tag; 2] {
    [Role::SideCoreSide, Role::SideCoreSeat].map(|role| Feature::CorePrint.formed(role))
}

impl Column {
    /// Rooms for a core that frees a place, the smallest first; `metal` tells whether a place is in the casting or its prints.
    pub(super) fn all_for(site: &Site, base: f64, metal: impl Fn(P3) -> bool) -> Vec<Self> {
        let corners: Vec<P3> = site.parts.iter().flat_map(|held| held.part.corners.map(|c| c.p)).collect();
        let highest = corners.iter().map(|p| p.z).fold(base, f64::max);
        // A pattern maker sets a print square to the shaft where that is not much larger.
        let cost = |(k, room): &(u32, Self)| room.plan_area() * if *k == 0 { 1.0 } else { TURNED };
        let turned = |k: u32| {
            let (s, c) = (0.5 * std::f64::consts::PI * f64::from(k) / f64::from(TURNS)).sin_cos();
            let least = Self {
                u: V2::new(c, s),
                along: (f64::INFINITY, f64::NEG_INFINITY),
                aside: (f64::INFINITY, f64::NEG_INFINITY),
                base,
                height: highest + OVER[0] - base,
            };
            Some((k, least.around(&corners).with_print(&metal)?))
        };
        let mut out: Vec<(u32, Self)> = (0..TURNS).filter_map(turned).collect();
        out.sort_by(|a, b| cost(a).total_cmp(&cost(b)));
        out.into_iter().map(|of| of.1).collect()
    }

    /// So wide that it holds some places at its end as well.
    fn around(mut self, places: &[P3]) -> Self {
        for p in places {
            let (u, v) = self.local(*p);
            self.along = (self.along.0.min(u), self.along.1.max(u));
            self.aside = (self.aside.0.min(v), self.aside.1.max(v));
        }
        self.wider(MARGIN + self.height * LEAN.tan())
    }

    /// Wider by a length on all four sides.
    fn wider(self, by: f64) -> Self {
        let grown = |(lo, hi): (f64, f64)| (lo - by, hi + by);
        Self { along: grown(self.along), aside: grown(self.aside), ..self }
    }

    /// With room for prints on the sides that lie in the sand; `None` where none does.
    fn with_print(self, metal: impl Fn(P3) -> bool) -> Option<Self> {
        let print = (PRINT * self.height).clamp(PRINTS.0, PRINTS.1);
        let in_sand = |at: &dyn Fn(f64, f64) -> (f64, f64)| {
            let shares = |n: u32| (0..n).map(move |k| (f64::from(k) + 0.5) / f64::from(n));
            let places =
                shares(12).flat_map(|a| shares(3).flat_map(move |b| shares(3).map(move |c| (a, b, c))));
            let inside = places.filter(|(a, b, c)| {
                let (u, v) = at(*a, *b * print);
                metal(self.at(u, v, self.base + c * self.height))
            });
            inside.count() as f64 <= MOST_METAL * 108.0
        };
        let ((u0, u1), (v0, v1)) = (self.along, self.aside);
        let low_u = in_sand(&|a, out| (u0 - out, v0 + a * (v1 - v0)));
        let high_u = in_sand(&|a, out| (u1 + out, v0 + a * (v1 - v0)));
        let low_v = in_sand(&|a, out| (u0 + a * (u1 - u0), v0 - out));
        let high_v = in_sand(&|a, out| (u0 + a * (u1 - u0), v1 + out));
        let by = |sand: bool| if sand { print } else { 0.0 };
        let out = Self {
            along: (u0 - by(low_u), u1 + by(high_u)),
            aside: (v0 - by(low_v), v1 + by(high_v)),
            ..self
        };
        (low_u || high_u || low_v || high_v).then_some(out)
    }

    fn side(&self) -> V2 {
        V2::new(-self.u.y, self.u.x)
    }

    /// A place along and to the side.
    fn local(&self, p: P3) -> (f64, f64) {
        let q = V2::new(p.x, p.y);
        (q.dot(&self.u), q.dot(&self.side()))
    }

    fn at(&self, along: f64, aside: f64, height: f64) -> P3 {
        let q = self.u * along + self.side() * aside;
        P3::new(q.x, q.y, height)
    }

    /// The same room of another height over what holds.
    pub(super) fn reaching(self, over: f64) -> Self {
        Self { height: self.height - OVER[0] + over, ..self }
    }

    /// Whether a place lies in it, or within a distance of its sides; places beyond its end do not.
    pub(super) fn holds(&self, p: P3, within: f64) -> bool {
        let (u, v) = self.local(p);
        let between = |x: f64, (lo, hi): (f64, f64)| x > lo - within && x < hi + within;
        between(u, self.along) && between(v, self.aside) && p.z < self.base + self.height + within
    }

    /// Whether it covers all of a place.
    pub(super) fn covers(&self, site: &Site) -> bool {
        site.parts.iter().all(|held| self.holds(held.part.middle().p, 0.0))
    }

    /// Whether any of a place lies at it.
    pub(super) fn is_at(&self, site: &Site) -> bool {
        site.parts.iter().any(|held| self.holds(held.part.middle().p, 1.0))
    }

    /// Whether it comes within a distance of another one, at the parting plane.
    pub(super) fn meets(&self, other: &Self, within: f64) -> bool {
        let apart = |a: &Self, b: &Self| {
            let corners = b.corners().map(|p| a.local(p));
            let beyond = |pick: fn(&(f64, f64)) -> f64, (lo, hi): (f64, f64)| {
                corners.iter().all(|c| pick(c) < lo - within) || corners.iter().all(|c| pick(c) > hi + within)
            };
            beyond(|c| c.0, a.along) || beyond(|c| c.1, a.aside)
        };
        !apart(self, other) && !apart(other, self)
    }

    fn corners(&self) -> [P3; 4] {
        let ((u0, u1), (v0, v1)) = (self.along, self.aside);
        [(u0, v0), (u1, v0), (u1, v1), (u0, v1)].map(|(u, v)| self.at(u, v, self.base))
    }

    fn plan_area(&self) -> f64 {
        (self.along.1 - self.along.0) * (self.aside.1 - self.aside.0)
    }

    /// Its length and width at the parting plane, and its height, mm.
    pub(super) fn size(&self) -> [f64; 3] {
        [self.along.1 - self.along.0, self.aside.1 - self.aside.0, self.height]
    }

    /// Cosine and sine of the angle between its length and the shaft.
    pub(super) fn turn(&self) -> [f64; 2] {
        [self.u.x, self.u.y]
    }

    /// It as a body, larger by a clearance on its sides and at its end; `vector` turns vectors of the half's own coordinates into those of the part.
    ///
    /// # Errors
    /// Where it is so narrow that the lean of its walls leaves nothing of its end.
    pub(super) fn body(
        &self,
        vector: impl Fn(V3) -> V3,
        clearance: f64,
    ) -> Result<Primitive, PrimitiveError> {
        let own = self.wider(clearance);
        let ((u0, u1), (v0, v1)) = (own.along, own.aside);
        let [side, seat] = print_faces();
        let outline = [(u0, v0), (u1, v0), (u1, v1), (u0, v1)].map(|(u, v)| P2::new(u, v));
        let frame = Frame::from_zx(
            P3::from(vector(V3::z() * self.base)),
            vector(V3::z()),
            vector(V3::new(self.u.x, self.u.y, 0.0)),
        );
        let plane = Feature::Parting.formed(Role::PartingPlane);
        let outline = polygon(&outline, std::slice::from_ref(&side));
        Primitive::prism(
            Feature::CorePrint.name(),
            frame,
            outline,
            self.height + clearance,
            LEAN,
            [plane, seat],
        )
    }
}
