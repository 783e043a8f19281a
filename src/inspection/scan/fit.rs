//! Where a scan lies: first the principal axes of both surfaces, each way round and with tries about the longest one, then places of the scan
//! onto the exact faces by least squares that pay little heed to what lies far off.
//!
//! Inches, metres and mirrored scans are told by what would make them lie better.

use nalgebra::{Matrix3, Rotation3};
use rayon::prelude::*;

use super::read::Scan;
use crate::inspection::least_squares::median;
use crate::inspection::placement::{Placement, onto_surfaces};
use crate::units::MM_PER_INCH;
use crate::words::fixed;
use solidwright::geometry::{P3, V3};
use solidwright::probe::Probe;

/// Why a scan cannot be put onto the part.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ScanFault {
    /// It is in another unit.
    #[error("the scan is {0} times as large as the part: it seems to be in {1}; name its unit with `--unit`")]
    Unit(String, &'static str),
    /// It is of another size.
    #[error(
        "the scan is {0} mm across and the part {1} mm: it is another part, or much more than the part was scanned"
    )]
    Size(String, String),
    /// It is mirrored.
    #[error(
        "the scan is mirrored: nearly all of its mirror image lies within {0} mm of the part, of itself within {1} mm"
    )]
    Mirrored(String, String),
    /// It does not lie on the part anywhere.
    #[error("the scan does not lie on this part: at best half of it is within {0} mm")]
    Elsewhere(String),
    /// There is too little of it.
    #[error("the scan has {0} triangles: too few to say where it lies")]
    TooFew(usize),
    /// The raw casting was scanned for the finished part.
    #[error(
        "{count} of {of} machined surfaces have about {stock} mm of metal left over the finished size, as before machining: was the raw casting scanned? Its scan goes with `--form casting`"
    )]
    RawCasting {
        /// The surfaces that stand out.
        count: usize,
        /// All surfaces that were looked at.
        of: usize,
        /// The stock of the middle one, mm.
        stock: String,
    },
    /// The finished part was scanned for the raw casting.
    #[error(
        "all {0} scanned surfaces that are to be machined lie at the finished size, where the raw casting has stock to machine off: was the machined part scanned? Its scan goes with `--form finished`"
    )]
    Machined(usize),
}

/// Which way the triangles of a scan look.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Facing {
    /// Out of the metal.
    Outward,
    /// Into it.
    Inward,
    /// Some out and some in, so that it tells nothing.
    #[default]
    Mixed,
}

/// Where a scan lies.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ScanFit {
    /// From the scan's axes to the part's.
    pub by: Placement,
    /// Half of the places lie nearer to the part than this, mm.
    pub median: f64,
    /// All but one in two hundred lie nearer to it than this, mm.
    pub most: f64,
    /// Places used.
    pub places: usize,
    /// Which way its triangles look.
    pub facing: Facing,
}

/// Places for the tries, for the first fit, and for the last one.
const TRIED: usize = 160;
const FITTED: usize = 4000;

/// Half of the scan must lie nearer to the part than this, mm.
const ON_THE_PART: f64 = 3.0;

/// A scan of which nearly all lies nearer than this, mm, is not tried as its mirror image.
const SOUND: f64 = 1.0;

/// How much nearer a mirrored scan must lie to be taken for the part's mirror image.
const MIRRORED: f64 = 0.4;

/// Places spread over a scan by area: one from each of equal shares, and their first and second moments.
struct Spread {
    places: Vec<P3>,
    /// Normals of their triangles.
    normals: Vec<V3>,
    middle: P3,
    /// Principal axes, longest first.
    axes: [V3; 3],
    /// Root mean square distances from the middle along them, mm.
    reach: [f64; 3],
}

impl Spread {
    fn of(triangles: &[[P3; 3]], count: usize) -> Self {
        let area = |t: &[P3; 3]| 0.5 * (t[1] - t[0]).cross(&(t[2] - t[0])).norm();
        let centre = |t: &[P3; 3]| P3::from((t[0].coords + t[1].coords + t[2].coords) / 3.0);
        let total: f64 = triangles.iter().map(area).sum();
        let share = total / count as f64;
        let (mut sum, mut next, mut places) = (0.0, 0.5 * share, Vec::with_capacity(count));
        let mut normals = Vec::with_capacity(count);
        let mut first = V3::zeros();
        for t in triangles {
            let own = area(t);
            sum += own;
            first += centre(t).coords * own;
            // Of a large triangle several places, along its middle line.
            let parts = ((sum - next) / share).floor().max(0.0) as usize + usize::from(sum > next);
            for k in 0..parts.min(count) {
                let along = (k as f64 + 0.5) / parts as f64;
                let edge = t[1] + (t[2] - t[1]) * along;
                places.push(P3::from((t[0].coords + edge.coords * 2.0) / 3.0));
                normals.push((t[1] - t[0]).cross(&(t[2] - t[0])));
                next += share;
            }
        }
        let middle = P3::from(first / total.max(f64::MIN_POSITIVE));
        let mut scatter = Matrix3::zeros();
        for t in triangles {
            let off = centre(t) - middle;
            scatter += off * off.transpose() * (area(t) / total.max(f64::MIN_POSITIVE));
        }
        let eigen = scatter.symmetric_eigen();
        let mut order = [0, 1, 2];
        order.sort_by(|a, b| eigen.eigenvalues[*b].total_cmp(&eigen.eigenvalues[*a]));
        let axes = order.map(|k| V3::from(eigen.eigenvectors.column(k)));
        let reach = order.map(|k| eigen.eigenvalues[k].max(0.0).sqrt());
        Self { places, normals, middle, axes, reach }
    }

    fn some(&self, count: usize) -> Vec<P3> {
        let step = (self.places.len() / count.max(1)).max(1);
        self.places.iter().step_by(step).copied().collect()
    }

    fn size(&self) -> f64 {
        self.reach[0].hypot(self.reach[1]).hypot(self.reach[2])
    }
}

/// Puts a scan onto the exact faces of a solid.
///
/// # Errors
/// [`ScanFault`].
pub fn fitted(scan: &Scan, probe: &Probe) -> Result<ScanFit, ScanFault> {
    const LEAST: usize = 100;
    if scan.triangles.len() < LEAST {
        return Err(ScanFault::TooFew(scan.triangles.len()));
    }
    let part: Vec<[P3; 3]> = (0..probe.mesh().triangles.len()).map(|t| probe.mesh().corners(t)).collect();
    let (own, other) = (Spread::of(&scan.triangles, FITTED), Spread::of(&part, FITTED));
    right_size(&own, &other)?;
    let best = tried(&own, &other, probe);
    let fit = refined(&own, best, probe);
    // The two sides of a housing differ by a boss or two only: what counts is what lies farthest off.
    if fit.most > SOUND {
        let mirror = |p: &P3| P3::new(p.x, -p.y, p.z);
        let mirrored: Vec<[P3; 3]> =
            scan.triangles.iter().map(|t| [mirror(&t[0]), mirror(&t[2]), mirror(&t[1])]).collect();
        let image = Spread::of(&mirrored, FITTED);
        let flipped = refined(&image, tried(&image, &other, probe), probe);
        if flipped.most < MIRRORED * fit.most {
            return Err(ScanFault::Mirrored(fixed(flipped.most, 2), fixed(fit.most, 2)));
        }
    }
    if fit.median > ON_THE_PART {
        return Err(ScanFault::Elsewhere(fixed(fit.median, 1)));
    }
    Ok(fit)
}

/// Whether the scan is about as large as the part.
fn right_size(own: &Spread, other: &Spread) -> Result<(), ScanFault> {
    const WIDE: f64 = 1.35;
    const NEAR: f64 = 1.2;
    let ratio = own.size() / other.size().max(f64::MIN_POSITIVE);
    let is = |wanted: f64| ratio / wanted < NEAR && wanted / ratio < NEAR;
    let units = [
        (1.0 / MM_PER_INCH, "inches"),
        (1e-3, "metres"),
        (0.1, "centimetres"),
        (1e3, "micrometres"),
        (MM_PER_INCH, "millimetres that were taken for inches"),
    ];
    if let Some((_, unit)) = units.iter().find(|(wanted, _)| is(*wanted)) {
        return Err(ScanFault::Unit(fixed(ratio, 4), unit));
    }
    if !(1.0 / WIDE..=WIDE).contains(&ratio) {
        let across = |s: &Spread| fixed(2.0 * s.size(), 0);
        return Err(ScanFault::Size(across(own), across(other)));
    }
    Ok(())
}

/// The best of the tries.
fn tried(own: &Spread, other: &Spread, probe: &Probe) -> Placement {
    const TURNS: usize = 12;
    const STEPS: usize = 3;
    const BEST: usize = 4;
    let places = own.some(TRIED);
    let starts: Vec<Placement> = (0..2 * TURNS)
        .map(|k| {
            let turn = std::f64::consts::TAU * (k / 2) as f64 / TURNS as f64;
            let back = k % 2 == 1;
            start(own, other, turn, back)
        })
        .collect();
    let mut scored: Vec<(f64, Placement)> = starts
        .par_iter()
        .map(|s| {
            let by = (0..STEPS).fold(*s, |by, _| step(&places, by, probe, 60.0));
            (mean(&places, &by, probe), by)
        })
        .collect();
    scored.sort_by(|a, b| a.0.total_cmp(&b.0));
    scored.truncate(BEST);
    let finer: Vec<(f64, Placement)> = scored
        .par_iter()
        .map(|(_, by)| {
            let by = (0..10).fold(*by, |by, _| step(&places, by, probe, 30.0));
            (mean(&places, &by, probe), by)
        })
        .collect();
    finer.into_iter().reduce(|a, b| if b.0 < a.0 { b } else { a }).map_or_else(Placement::none, |best| best.1)
}

/// The scan's principal axes on the part's: the longest the same way or back, turned about it.
fn start(own: &Spread, other: &Spread, turn: f64, back: bool) -> Placement {
    let handed = |a: &[V3; 3]| Matrix3::from_columns(&[a[0], a[1], a[0].cross(&a[1])]);
    let from = handed(&own.axes);
    let long = if back { -other.axes[0] } else { other.axes[0] };
    let about = Rotation3::from_scaled_axis(long * turn);
    let to = handed(&[long, about * other.axes[1], V3::zeros()]);
    let rotation = Rotation3::from_matrix_unchecked(to * from.transpose());
    Placement { turn: rotation, shift: other.middle.coords - rotation * own.middle.coords }
}

/// One step onto the nearest faces.
fn step(places: &[P3], by: Placement, probe: &Probe, within: f64) -> Placement {
    let feet: Vec<Option<(P3, V3)>> = places
        .iter()
        .map(|p| {
            let q = by.moved(*p);
            probe.nearest(q, |_| true, within).map(|n| (n.point, probe.brep().faces[n.face].outward(n.point)))
        })
        .collect();
    // The feet stay where they are: one linear step.
    onto_surfaces(places, by, |k, p| {
        let (foot, along) = feet[k]?;
        Some(((p - foot).dot(&along), along, 1.0))
    })
}

/// Mean distance of the places from the part; far ones count as `FAR`, so that what was not made does not decide.
fn mean(places: &[P3], by: &Placement, probe: &Probe) -> f64 {
    const FAR: f64 = 20.0;
    let off = |p: &P3| probe.nearest(by.moved(*p), |_| true, FAR).map_or(FAR, |n| n.distance);
    places.iter().map(off).sum::<f64>() / places.len().max(1) as f64
}

/// Distances of the places from the part, sorted; far ones count as the reach.
fn sorted(places: &[P3], by: &Placement, probe: &Probe, reach: f64) -> Vec<f64> {
    let off = |p: &P3| probe.nearest(by.moved(*p), |_| true, reach).map_or(reach, |n| n.distance);
    let mut all: Vec<f64> = places.par_iter().map(off).collect();
    all.sort_by(f64::total_cmp);
    all
}

/// The last fit: all places, each by the foot on the exact face nearest to it; far ones weigh little (weights of Tukey's
/// biweight, from memory).
fn refined(own: &Spread, start: Placement, probe: &Probe) -> ScanFit {
    const STEPS: usize = 30;
    const DONE: f64 = 1e-7;
    const WITHIN: f64 = 15.0;
    // Residuals beyond this many medians weigh nothing (4.685 standard deviations; a median is 0.6745 of one).
    const BEYOND: f64 = 4.685 / 0.6745;
    const LEAST: f64 = 0.02;
    let mut by = start;
    for _ in 0..STEPS {
        let feet: Vec<Option<(P3, V3, f64)>> = own
            .places
            .par_iter()
            .map(|p| {
                let near = probe.nearest(by.moved(*p), |_| true, WITHIN)?;
                Some((near.point, probe.brep().faces[near.face].outward(near.point), near.distance))
            })
            .collect();
        let usual = median(feet.iter().flatten().map(|f| f.2).collect());
        let reach = BEYOND * usual.unwrap_or(WITHIN).max(LEAST);
        let next = onto_surfaces(&own.places, by, |k, p| {
            let (foot, along, off) = feet[k]?;
            let share = 1.0 - (off / reach).powi(2);
            (share > 0.0).then(|| ((p - foot).dot(&along), along, share * share))
        });
        let moved = (next.moved(own.middle) - by.moved(own.middle)).norm()
            + (next.turn.inverse() * by.turn).angle() * own.size();
        by = next;
        if moved < DONE {
            break;
        }
    }
    let all = sorted(&own.places, &by, probe, WITHIN);
    let at = |share: f64| all.get((share * all.len() as f64) as usize).copied().unwrap_or(WITHIN);
    ScanFit {
        by,
        median: at(0.5),
        most: at(0.995),
        places: own.places.len(),
        facing: facing(own, &by, probe),
    }
}

/// Which way a scan's triangles look that lie on the part.
fn facing(own: &Spread, by: &Placement, probe: &Probe) -> Facing {
    const ON: f64 = 1.0;
    const NEARLY_ALL: f64 = 0.95;
    let outward = |(p, normal): (&P3, &V3)| {
        let near = probe.nearest(by.moved(*p), |_| true, ON)?;
        Some((by.turn * normal).dot(&probe.brep().faces[near.face].outward(near.point)) > 0.0)
    };
    let all: Vec<bool> = own.places.par_iter().zip(&own.normals).filter_map(outward).collect();
    let out = all.iter().filter(|o| **o).count() as f64 / all.len().max(1) as f64;
    if all.is_empty() {
        Facing::Mixed
    } else if out > NEARLY_ALL {
        Facing::Outward
    } else if out < 1.0 - NEARLY_ALL {
        Facing::Inward
    } else {
        Facing::Mixed
    }
}
