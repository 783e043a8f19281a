//! The room that a loose piece takes up in its half: an upright prism, so that the half leaves the piece along its own pull.
//!
//! Nothing of the half may lie over the piece. So the room reaches from its seat, or from the parting plane, upwards past
//! everything, and grows wider on the way.

use crate::faces::{Feature, Role};
use solidwright::geometry::{Frame, P2, P3, V2, V3};
use solidwright::solid::{Primitive, PrimitiveError, Profile, Segment, polygon};

/// Lean of a loose piece's walls against its half, and of a side core's, radians: 1.5 degrees, as other walls of a pattern (common practice).
pub(super) const LEAN: f64 = 0.026;

/// How far the room of a piece without a seat begins below the parting plane, mm.
const BELOW: f64 = 10.0;

/// The dovetail by which a piece hangs in its half.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Dovetail {
    /// Its width at its neck, mm.
    pub width: f64,
    /// How far it reaches into the half, mm.
    pub depth: f64,
}

/// A dovetail's side leans by one in this many (woodworkers' practice, from memory: 1 in 6 for soft wood).
const DOVETAIL_SLOPE: f64 = 6.0;

/// Least metal about a dovetail, mm.
const AROUND: f64 = 4.0;

/// Least and greatest width of a dovetail, mm.
const WIDTHS: (f64, f64) = (6.0, 25.0);

/// The room of a piece in its half's own coordinates: a rectangle across the pull, and a seat.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Region {
    /// Across the pull, from the piece towards the hollow that the half leaves.
    pub(super) inwards: V2,
    /// Its extent along that.
    pub(super) along: (f64, f64),
    /// Its extent to the side.
    pub(super) aside: (f64, f64),
    /// Height of its seat over the parting plane, if it has one.
    pub(super) seat: Option<f64>,
    /// How far below the parting plane it begins if it has none, mm.
    pub(super) below: f64,
    /// The dovetail, and where its middle is to the side.
    pub(super) dovetail: Option<(Dovetail, f64)>,
}

impl Region {
    /// A room of no size yet, whose piece is drawn inwards.
    pub(super) fn towards(inwards: V2) -> Self {
        Self { inwards, along: (0.0, 0.0), aside: (0.0, 0.0), seat: None, below: BELOW, dovetail: None }
    }

    /// To the side.
    pub(super) fn side(&self) -> V2 {
        V2::new(-self.inwards.y, self.inwards.x)
    }

    /// A place along and to the side.
    pub(super) fn local(&self, p: P3) -> (f64, f64) {
        let q = V2::new(p.x, p.y);
        (q.dot(&self.inwards), q.dot(&self.side()))
    }

    /// Whether it holds a place, its dovetail apart.
    pub(super) fn contains(&self, p: P3) -> bool {
        let (u, v) = self.local(p);
        let within = |x: f64, (lo, hi): (f64, f64)| x >= lo && x <= hi;
        within(u, self.along) && within(v, self.aside) && self.seat.is_none_or(|seat| p.z >= seat)
    }

    /// A place of it in the half's own coordinates.
    pub(super) fn at(&self, along: f64, aside: f64, height: f64) -> P3 {
        let q = self.inwards * along + self.side() * aside;
        P3::new(q.x, q.y, height)
    }

    /// How large it is across the pull, mm².
    pub(super) fn plan_area(&self) -> f64 {
        (self.along.1 - self.along.0) * (self.aside.1 - self.aside.0)
    }

    /// Gives it the widest dovetail for which there is metal, as `inside` tells it of places in the half's own coordinates.
    pub(super) fn hang(&mut self, inside: impl Fn(P3) -> bool) {
        let base = self.seat.unwrap_or(0.0) + 1.0;
        let (lo, hi) = self.aside;
        let seam = self.along.1;
        let deep = |aside: f64, depth: f64| {
            [base, base + 4.0].iter().all(|h| {
                [0.5, 0.5 * depth, depth + AROUND].iter().all(|d| inside(self.at(seam + d, aside, *h)))
            })
        };
        let steps = ((hi - lo) / 1.0).floor() as usize;
        for depth in [8.0, 4.0] {
            let (mut from, mut run): (Option<f64>, Option<(f64, f64)>) = (None, None);
            for k in 0..=steps {
                let v = lo + k as f64;
                if deep(v, depth) {
                    let start = *from.get_or_insert(v);
                    if run.is_none_or(|(a, b)| v - start > b - a) {
                        run = Some((start, v));
                    }
                } else {
                    from = None;
                }
            }
            let room = run.map_or(0.0, |(a, b)| b - a) - 2.0 * AROUND - 2.0 * depth / DOVETAIL_SLOPE;
            if let Some((a, b)) = run.filter(|_| room >= WIDTHS.0) {
                let width = (0.6 * room).clamp(WIDTHS.0, WIDTHS.1);
                let dovetail = Dovetail { width, depth: depth.min(0.8 * width) };
                self.dovetail = Some((dovetail, 0.5 * (a + b)));
                return;
            }
        }
    }

    fn outline(&self) -> Vec<P2> {
        let ((u0, u1), (v0, v1)) = (self.along, self.aside);
        let mut out = vec![P2::new(u0, v0), P2::new(u1, v0)];
        if let Some((Dovetail { width, depth }, middle)) = self.dovetail {
            let (neck, end) = (0.5 * width, 0.5 * width + depth / DOVETAIL_SLOPE);
            out.extend([
                P2::new(u1, middle - neck),
                P2::new(u1 + depth, middle - end),
                P2::new(u1 + depth, middle + end),
                P2::new(u1, middle + neck),
            ]);
        }
        out.extend([P2::new(u1, v1), P2::new(u0, v1)]);
        out
    }

    /// It as a body, wider by a clearance on all sides; `vector` turns vectors of the half's own coordinates into those of the
    /// part, `top` is a height over everything.
    ///
    /// # Errors
    /// Where its dovetail has no room for the lean of its walls.
    pub(super) fn body(
        &self,
        vector: impl Fn(V3) -> V3,
        top: f64,
        clearance: f64,
    ) -> Result<Primitive, PrimitiveError> {
        let tag = Feature::Parting.formed(Role::LooseSide);
        let seat = Feature::Parting.formed(Role::LooseSeat);
        let mut outline: Vec<Segment> = polygon(&self.outline(), std::slice::from_ref(&tag));
        if clearance > 0.0
            && let Some(wide) = Profile::new(outline.clone()).ok().and_then(|p| p.offset(-clearance))
        {
            outline = wide.segments().to_vec();
        }
        let base = self.seat.map_or(-self.below, |seat| seat - clearance);
        let inwards = V3::new(self.inwards.x, self.inwards.y, 0.0);
        let origin = P3::from(vector(V3::z() * base));
        let frame = Frame::from_zx(origin, vector(V3::z()), vector(inwards));
        Primitive::prism(Feature::Parting.name(), frame, outline, top - base, -LEAN, [seat, tag])
    }
}
