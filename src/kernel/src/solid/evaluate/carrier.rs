//! The curves on which edges may lie: primitive's edges of the primitives, cuts between halves, intersections.

use std::collections::BTreeMap;
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};

use rayon::prelude::*;

use super::error::EvaluateError;
use super::plain_curves::PlainCurves;
use super::surface_set::SurfaceSet;
use crate::geometry::intersect::{Branch, SurfacePart, SurveyBudget, TraceError, Traced, intersect};
use crate::geometry::{
    Bounds, Circle, ContactCurve, CreaseCurve, Curve, Ellipse, Frame, Line, P3, Surface, V3,
};
use crate::solid::patch::PrimitiveCurve;
use crate::tolerance::{BOX_MARGIN, CURVE_ON_SURFACE, SAME, SAME_DIRECTION};

/// Where the parameter range of a closed curve is taken to start, radians.
const ODD_START: f64 = 0.7123;

/// The shape of a carrier.
#[derive(Clone, Debug)]
pub(super) enum CarrierCurve {
    /// Line (always with a range), circle or ellipse.
    Plain(Curve),
    /// Followed point by point.
    Traced(Box<Traced>),
    /// Where a ball touches a wall.
    Contact(Arc<ContactCurve>),
    /// A crease of a filleted body.
    Crease(Arc<CreaseCurve>),
}

/// A curve with the surfaces it lies on.
#[derive(Clone, Debug)]
pub(super) struct Carrier {
    pub(super) shape: CarrierCurve,
    /// Range of a line; whole curves have none.
    pub(super) range: Option<(f64, f64)>,
    /// Surfaces (cutting ones too), sorted.
    pub(super) surfaces: Vec<usize>,
    pub(super) bounds: Bounds,
}

impl Carrier {
    fn plain(curve: Curve, range: Option<(f64, f64)>, mut surfaces: Vec<usize>) -> Self {
        surfaces.sort_unstable();
        surfaces.dedup();
        let mut out = Self { shape: CarrierCurve::Plain(curve), range, surfaces, bounds: Bounds::empty() };
        out.rebound();
        out
    }

    fn contact(contact: Arc<ContactCurve>, mut surfaces: Vec<usize>) -> Self {
        surfaces.sort_unstable();
        surfaces.dedup();
        Self { bounds: *contact.bounds(), shape: CarrierCurve::Contact(contact), range: None, surfaces }
    }

    fn crease(crease: Arc<CreaseCurve>, mut surfaces: Vec<usize>) -> Self {
        surfaces.sort_unstable();
        Self { bounds: *crease.bounds(), shape: CarrierCurve::Crease(crease), range: None, surfaces }
    }

    fn rebound(&mut self) {
        self.bounds = match &self.shape {
            CarrierCurve::Traced(t) => *t.bounds(),
            CarrierCurve::Contact(r) => *r.bounds(),
            CarrierCurve::Crease(c) => *c.bounds(),
            CarrierCurve::Plain(c) => curve_bounds(c, self.range),
        };
    }

    pub(super) fn point(&self, t: f64) -> P3 {
        match &self.shape {
            CarrierCurve::Plain(c) => c.point(t),
            CarrierCurve::Traced(c) => c.point(t),
            CarrierCurve::Contact(c) => c.point(t),
            CarrierCurve::Crease(c) => c.point(t),
        }
    }

    pub(super) fn derivative(&self, t: f64) -> V3 {
        match &self.shape {
            CarrierCurve::Plain(c) => c.derivative(t),
            CarrierCurve::Traced(c) => c.derivative(t),
            CarrierCurve::Contact(c) => c.derivative(t),
            CarrierCurve::Crease(c) => c.derivative(t),
        }
    }

    /// The period of the parameter of a closed curve.
    pub(super) fn period(&self) -> Option<f64> {
        match &self.shape {
            CarrierCurve::Plain(c) => (c.period() > 0.0).then(|| c.period()),
            CarrierCurve::Traced(c) => c.is_closed().then(|| c.length()),
            CarrierCurve::Contact(_) | CarrierCurve::Crease(_) => None,
        }
    }

    /// The parameter range that roots are sought in.
    pub(super) fn span(&self) -> (f64, f64) {
        match (&self.shape, self.range) {
            (CarrierCurve::Traced(c), _) => (0.0, c.length()),
            (CarrierCurve::Contact(c), _) => (0.0, c.length()),
            (CarrierCurve::Crease(c), _) => c.range(),
            // A little beyond its ends, where vertices like to lie.
            (CarrierCurve::Plain(_), Some(r)) => (r.0 - BOX_MARGIN, r.1 + BOX_MARGIN),
            // From an odd angle, so that no vertex lies just on the border of the range.
            (CarrierCurve::Plain(c), None) => (ODD_START, ODD_START + c.period()),
        }
    }

    /// The parameter of `p` if the curve passes within `within` of it.
    pub(super) fn param(&self, p: P3, within: f64) -> Option<f64> {
        if self.bounds.distance(p) > within {
            return None;
        }
        match &self.shape {
            CarrierCurve::Traced(c) => c.param(p, within),
            CarrierCurve::Contact(c) => c.param(p, within),
            CarrierCurve::Crease(c) => c.param(p, within),
            CarrierCurve::Plain(c) => {
                let t = c.param(p);
                let inside = self.range.is_none_or(|r| t > r.0 - within && t < r.1 + within);
                (inside && (c.point(t) - p).norm() <= within).then_some(t)
            }
        }
    }

    /// Whether parameter `t` lies in a stretch, which may run on beyond the period of a closed curve.
    pub(super) fn covers(&self, range: (f64, f64), t: f64) -> bool {
        let t = self.period().map_or(t, |period| range.0 + (t - range.0).rem_euclid(period));
        range.0 <= t && t <= range.1
    }

    /// Where a primitive's edge with its range lies on this carrier, which is the same curve.
    fn stretch(
        &self,
        curve: &PrimitiveCurve,
        (a, b): (f64, f64),
        edge: (usize, usize),
    ) -> Option<KnownRange> {
        let PrimitiveCurve::Plain(curve) = curve else {
            return Some(KnownRange { range: (a, b), edge, along: true });
        };
        let CarrierCurve::Plain(own) = &self.shape else { return None };
        let middle = 0.5 * (a + b);
        let at = own.param(curve.point(middle));
        let along = own.derivative(at).dot(&curve.derivative(middle)) > 0.0;
        let half = 0.5 * (b - a);
        Some(KnownRange { range: (at - half, at + half), edge, along })
    }

    /// Length per unit of parameter, roughly (greatest).
    pub(super) fn speed(&self) -> f64 {
        match &self.shape {
            CarrierCurve::Plain(c) => c.derivative_bounds().0,
            CarrierCurve::Traced(_) => 1.0,
            CarrierCurve::Contact(c) => c.derivative_bounds().0,
            CarrierCurve::Crease(c) => c.derivative_bounds().0,
        }
    }
}

fn curve_bounds(c: &Curve, range: Option<(f64, f64)>) -> Bounds {
    let round = |f: &Frame, a: f64, b: f64| {
        let half = V3::from_fn(|k, _| (f.x[k] * a).hypot(f.y[k] * b));
        Bounds { min: f.origin - half, max: f.origin + half }
    };
    let b = match c {
        Curve::Line(_) | Curve::Spline(_) => {
            let r = range.unwrap_or((0.0, 0.0));
            Bounds::around([c.point(r.0), c.point(r.1)])
        }
        Curve::Circle(c) => round(&c.frame, c.radius, c.radius),
        Curve::Ellipse(c) => round(&c.frame, c.major, c.minor),
    };
    b.grown(BOX_MARGIN)
}

/// The carriers of a surface set and what the intersections told on the way.
#[derive(Default)]
pub(super) struct Carriers {
    pub(super) list: Vec<Carrier>,
    /// Vertices known without intersecting, and crossings of branches of one pair.
    pub(super) vertices: Vec<(P3, Vec<usize>)>,
    /// Points where two surfaces touch without crossing.
    pub(super) touches: Vec<(P3, [usize; 2])>,
    /// Points where two surfaces touch in a way that was not solved.
    pub(super) unsolved: Vec<(P3, [usize; 2])>,
    /// Stretches of each carrier that are edges of a primitive.
    pub(super) known: BTreeMap<usize, Vec<KnownRange>>,
    /// The carriers that a further one may be the same as.
    plain: PlainCurves,
}

/// A stretch of a carrier that is an edge of a primitive.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct KnownRange {
    /// In the carrier's parameter, rising.
    pub(super) range: (f64, f64),
    /// Step and primitive's edge.
    pub(super) edge: (usize, usize),
    /// Whether the primitive's edge runs the carrier's way.
    pub(super) along: bool,
}

impl Carriers {
    /// The primitives' primitive's edges that pass a parameter of a carrier.
    pub(super) fn known_at(&self, carrier: usize, t: f64) -> impl Iterator<Item = KnownRange> {
        let c = &self.list[carrier];
        self.known.get(&carrier).into_iter().flatten().copied().filter(move |k| c.covers(k.range, t))
    }

    pub(super) fn collect(set: &SurfaceSet) -> Result<Self, EvaluateError> {
        let mut out = Self::default();
        out.own(set);
        out.seams(set)?;
        out.pairs(set)?;
        Ok(out)
    }

    /// Edges and vertices that the primitives bring along.
    fn own(&mut self, set: &SurfaceSet) {
        for (step, s) in set.tree.steps().iter().enumerate() {
            let ids = &set.surface_of[step];
            for (number, e) in s.primitive.edges.iter().enumerate() {
                let surfaces: Vec<usize> = e.patches.iter().map(|p| ids[*p]).collect();
                let own = match &e.curve {
                    PrimitiveCurve::Plain(curve) => {
                        let range = if matches!(curve, Curve::Line(_)) { e.range } else { None };
                        Carrier::plain(curve.clone(), range, surfaces)
                    }
                    PrimitiveCurve::Contact(contact) => Carrier::contact(contact.clone(), surfaces),
                    PrimitiveCurve::Crease(crease) => Carrier::crease(crease.clone(), surfaces),
                };
                if !own.bounds.meets(&set.reach) {
                    continue;
                }
                let carrier = self.add_own(own);
                let whole = self.list[carrier].period().map(|period| (0.0, period));
                if let Some(range) = e.range.or(whole) {
                    let known = self.list[carrier].stretch(&e.curve, range, (step, number));
                    self.known.entry(carrier).or_default().extend(known);
                }
            }
            for v in s.primitive.vertices.iter().filter(|v| set.reach.contains(v.point)) {
                let surfaces = v.patches.iter().map(|p| ids[*p]).collect();
                self.vertices.push((v.point, surfaces));
            }
        }
    }

    fn seams(&mut self, set: &SurfaceSet) -> Result<(), EvaluateError> {
        for i in 0..set.entries.len() {
            if let Some(host) = set.entries[i].seam_of {
                let within = set.entries[host].boxes.iter().map(|b| b.intersection(&set.reach));
                let boxes: Vec<Bounds> = within.filter(|b| !b.is_empty()).collect();
                if !boxes.is_empty() {
                    self.take(PairIntersection::between(set, host, i, &boxes, &boxes)?);
                }
            }
        }
        Ok(())
    }

    /// All pairs whose boxes meet, intersected side by side and taken in order. Of surfaces that touch in a way that is not solved the first
    /// two in order are told: what comes behind them is not looked at any more, since such a pair costs as much as hundreds of others.
    fn pairs(&mut self, set: &SurfaceSet) -> Result<(), EvaluateError> {
        let real: Vec<usize> = (0..set.entries.len()).filter(|i| set.entries[*i].seam_of.is_none()).collect();
        let first_failed = AtomicUsize::new(usize::MAX);
        let found: Vec<Result<Vec<PairIntersection>, EvaluateError>> = real
            .par_iter()
            .enumerate()
            .map(|(k, &i)| {
                if k > first_failed.load(Ordering::Relaxed) {
                    return Ok(vec![]);
                }
                let meeting = |j: &usize| set.meeting_boxes(i, *j).map(|boxes| (*j, boxes));
                let behind = |j: &usize| *j > i && set.entries[*j].seam_of.is_none();
                let partners = set.meeting(&set.entries[i].bounds).filter(behind);
                let partners = partners.filter_map(|j| meeting(&j));
                let made: Result<Vec<PairIntersection>, EvaluateError> =
                    partners.map(|(j, (a, b))| PairIntersection::between(set, i, j, &a, &b)).collect();
                if made.is_err() {
                    first_failed.fetch_min(k, Ordering::Relaxed);
                }
                made
            })
            .collect();
        for row in found {
            row?.into_iter().for_each(|pair| self.take(pair));
        }
        Ok(())
    }

    fn take(&mut self, found: PairIntersection) {
        for carrier in found.carriers {
            self.add(carrier);
        }
        self.vertices.extend(found.vertices);
        self.touches.extend(found.touches);
        self.unsolved.extend(found.unsolved);
    }

    /// Adds the carrier of a primitive's edge, and gives its number; the pieces of one contact curve are one carrier.
    fn add_own(&mut self, own: Carrier) -> usize {
        match &own.shape {
            CarrierCurve::Contact(contact) => {
                let same =
                    |c: &Carrier| matches!(&c.shape, CarrierCurve::Contact(r) if Arc::ptr_eq(r, contact));
                if let Some(at) = self.list.iter().position(same) {
                    let all = &mut self.list[at].surfaces;
                    all.extend(own.surfaces);
                    all.sort_unstable();
                    all.dedup();
                    return at;
                }
            }
            CarrierCurve::Crease(_) => {}
            _ => return self.add(own),
        }
        self.list.push(own);
        self.list.len() - 1
    }

    /// Adds a carrier, or joins it to one that is the same curve; gives its number.
    fn add(&mut self, carrier: Carrier) -> usize {
        let CarrierCurve::Plain(curve) = &carrier.shape else {
            self.list.push(carrier);
            return self.list.len() - 1;
        };
        let like = self.plain.like(curve).into_iter();
        let mut same = like.filter_map(|i| same_range(&self.list[i], &carrier).map(|range| (i, range)));
        match same.next() {
            None => {
                self.plain.note(curve, self.list.len());
                self.list.push(carrier);
                self.list.len() - 1
            }
            Some((number, range)) => {
                let old = &mut self.list[number];
                old.surfaces.extend(&carrier.surfaces);
                old.surfaces.sort_unstable();
                old.surfaces.dedup();
                if let (Some(r), Some(new)) = (old.range, range) {
                    old.range = Some((r.0.min(new.0), r.1.max(new.1)));
                    old.rebound();
                }
                number
            }
        }
    }
}

/// What two surfaces have in common.
#[derive(Default)]
struct PairIntersection {
    carriers: Vec<Carrier>,
    vertices: Vec<(P3, Vec<usize>)>,
    touches: Vec<(P3, [usize; 2])>,
    unsolved: Vec<(P3, [usize; 2])>,
}

impl PairIntersection {
    /// Intersects two surfaces; what lies far from all common boxes is left out.
    fn between(
        set: &SurfaceSet,
        i: usize,
        j: usize,
        a: &[Bounds],
        b: &[Bounds],
    ) -> Result<Self, EvaluateError> {
        let part = |i: usize, boxes| {
            let e = &set.entries[i];
            SurfacePart { surface: &e.surface, domain: e.domain, boxes }
        };
        let common: Vec<Bounds> = a
            .iter()
            .flat_map(|p| b.iter().map(move |q| p.intersection(q)))
            .filter(|c| !c.is_empty())
            .collect();
        let bodies = set.plain.near(&common.iter().fold(Bounds::empty(), |hull, c| hull.union(c)));
        if common.iter().all(|c| set.plain.settle(&bodies, c.center(), 0.5 * c.diagonal())) {
            return Ok(Self::default());
        }
        let smooth = set.touch_smoothly(i, j);
        let budget = if smooth { SurveyBudget::KNOWN_TOUCH } else { SurveyBudget::FULL };
        let found = match intersect(&part(i, a), &part(j, b), budget) {
            Ok(found) => found,
            // What they have in common there is the vertex, which is known.
            Err(_) if smooth => return Ok(Self::default()),
            Err(TraceError::TouchAlong { at } | TraceError::Lost { at }) => {
                return Err(set.tangent(at, [i, j]));
            }
        };
        let here = |p: &P3| common.iter().any(|c| c.contains(*p));
        let carriers = found.branches.into_iter().filter_map(|b| carrier(b, [i, j], &common));
        Ok(Self {
            carriers: carriers.filter(|c| common.iter().any(|b| b.meets(&c.bounds))).collect(),
            vertices: found.nodes.into_iter().filter(here).map(|p| (p, vec![i, j])).collect(),
            touches: found.touches.into_iter().filter(here).map(|p| (p, [i, j])).collect(),
            unsolved: found.unsolved.into_iter().map(|p| (p, [i, j])).collect(),
        })
    }
}

fn carrier(branch: Branch, pair: [usize; 2], common: &[Bounds]) -> Option<Carrier> {
    Some(match branch {
        Branch::Closed(Curve::Line(line), range) => {
            let range = clipped(&line, range, common)?;
            Carrier::plain(Curve::Line(line), Some(range), pair.to_vec())
        }
        Branch::Closed(curve, _) => Carrier::plain(curve, None, pair.to_vec()),
        Branch::Traced(t) => {
            let (bounds, shape) = (*t.bounds(), CarrierCurve::Traced(t));
            let surfaces = vec![pair[0].min(pair[1]), pair[0].max(pair[1])];
            Carrier { shape, range: None, surfaces, bounds }
        }
    })
}

/// The hull of the line's parts inside the boxes.
fn clipped(line: &Line, range: Option<(f64, f64)>, boxes: &[Bounds]) -> Option<(f64, f64)> {
    let (lo, hi) = range.unwrap_or((f64::NEG_INFINITY, f64::INFINITY));
    let mut out: Option<(f64, f64)> = None;
    for b in boxes {
        let Some((s, t)) = b.grown(BOX_MARGIN).clip_line(line.origin, line.dir) else { continue };
        let (s, t) = (s.max(lo), t.min(hi));
        if s < t {
            out = Some(out.map_or((s, t), |(p, q)| (p.min(s), q.max(t))));
        }
    }
    out
}

/// `Some(range of b in a's parameter)` when the two plain curves are one.
#[allow(clippy::option_option, reason = "same curve or not, and then with a range or without")]
fn same_range(a: &Carrier, b: &Carrier) -> Option<Option<(f64, f64)>> {
    let (CarrierCurve::Plain(p), CarrierCurve::Plain(q)) = (&a.shape, &b.shape) else { return None };
    match (p, q) {
        (Curve::Line(l), Curve::Line(m)) => {
            if l.dir.cross(&m.dir).norm() > SAME_DIRECTION {
                return None;
            }
            let (s, t) = b.range?;
            let off = |t: f64| {
                let w = m.origin + m.dir * t - l.origin;
                ((w - l.dir * w.dot(&l.dir)).norm(), w.dot(&l.dir))
            };
            let ((d0, t0), (d1, t1)) = (off(s), off(t));
            let (r0, r1) = a.range?;
            let far = |t: f64| {
                let w = l.origin + l.dir * t - m.origin;
                (w - m.dir * w.dot(&m.dir)).norm()
            };
            let same = d0.max(d1) < SAME && far(r0).max(far(r1)) < SAME;
            same.then_some(Some((t0.min(t1), t0.max(t1))))
        }
        (Curve::Circle(c), Curve::Circle(d)) => same_circle(c, d).then_some(None),
        (Curve::Ellipse(c), Curve::Ellipse(d)) => same_ellipse(c, d).then_some(None),
        (Curve::Ellipse(c), Curve::Circle(d)) | (Curve::Circle(d), Curve::Ellipse(c)) => {
            let round = (c.major - d.radius).abs() < SAME && (c.minor - d.radius).abs() < SAME;
            (round && same_circle(&Circle { frame: c.frame, radius: d.radius }, d)).then_some(None)
        }
        _ => None,
    }
}

fn same_circle(c: &Circle, d: &Circle) -> bool {
    (c.radius - d.radius).abs() < SAME
        && (c.frame.origin - d.frame.origin).norm() < SAME
        && c.frame.z.cross(&d.frame.z).norm() * c.radius < SAME
}

fn same_ellipse(c: &Ellipse, d: &Ellipse) -> bool {
    let along = c.frame.x.cross(&d.frame.x).norm();
    (c.major - d.major).abs() < SAME
        && (c.minor - d.minor).abs() < SAME
        && (c.frame.origin - d.frame.origin).norm() < SAME
        && c.frame.z.cross(&d.frame.z).norm() * c.major < SAME
        && along * (c.major - c.minor) < SAME
}

/// Uneven shares of a carrier's span: a surface that holds it there holds all of it.
const UNEVEN: [f64; 4] = [0.12, 0.47, 0.81, 0.29];

/// The places of a carrier by which [`lie_on`] tells whether it lies on a surface.
pub(super) fn uneven_places(carrier: &Carrier) -> [P3; 4] {
    let (a, b) = carrier.span();
    UNEVEN.map(|k| carrier.point(a + (b - a) * k))
}

/// Whether the whole carrier lies on a surface, by its [`uneven_places`].
pub(super) fn lie_on(places: &[P3; 4], surface: &Surface) -> bool {
    places.iter().all(|p| surface.f(*p).abs() < CURVE_ON_SURFACE)
}
