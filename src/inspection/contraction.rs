//! The contraction found on raw castings, against the one that the pattern was made with.
//!
//! All places of a casting are put onto the exact faces of the nominal one by three shifts, three turns and a stretch along each
//! axis (least squares). Nominal is the casting without contraction and the pattern larger by the assumed one; so a casting that is
//! larger than nominal has contracted less. How uncertain that is follows from the faces: each is left out in turn (jackknife; B. Efron and
//! C. Stein, Annals of Statistics 9 (1981), p. 586, from memory), since places on one face err together. Several articles of one
//! pattern share its errors, so that their mean is not taken for more certain than a single one is; their scatter counts as well.

use std::collections::BTreeMap;

use nalgebra::{SMatrix, SVector};

use super::alignment::aligned;
use super::characteristic::MeasuringSheet;
use super::machining::Machining;
use super::placement::Placement;
use super::readings::{ArticleReadings, ReadingFault};
use super::uncertainty::COVERAGE;
use solidwright::geometry::{P3, V3};
use solidwright::probe::Probe;

/// A contraction as a share, with its expanded uncertainty (k = 2).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FoundContraction {
    /// The value.
    pub value: f64,
    /// Its expanded uncertainty.
    pub uncertainty: f64,
}

impl FoundContraction {
    /// Whether it differs from an assumed one for certain.
    pub fn differs_from(self, assumed: f64) -> bool {
        (self.value - assumed).abs() > self.uncertainty
    }
}

/// Contractions along X, Y and Z; none where the probed faces do not tell.
pub type ByAxis = [Option<FoundContraction>; 3];

type Row = SVector<f64, 9>;
type Normal = SMatrix<f64, 9, 9>;

/// Normal equations of one element.
#[derive(Clone, Copy)]
struct Equations {
    left: Normal,
    right: Row,
}

impl Equations {
    fn none() -> Self {
        Self { left: Normal::zeros(), right: Row::zeros() }
    }

    fn sum<'a>(all: impl Iterator<Item = &'a Self>) -> Self {
        all.fold(Self::none(), |sum, e| Self { left: sum.left + e.left, right: sum.right + e.right })
    }

    /// The unknowns, and for each stretch whether the equations tell it.
    fn solved(&self) -> (Row, [bool; 3]) {
        const UNDETERMINED: f64 = 1e-8;
        const PART: f64 = 1e-6;
        let eigen = self.left.symmetric_eigen();
        let most = eigen.eigenvalues.max();
        let (mut out, mut told) = (Row::zeros(), [true; 3]);
        for k in 0..9 {
            let (value, vector) = (eigen.eigenvalues[k], eigen.eigenvectors.column(k));
            if value > UNDETERMINED * most {
                out += vector * (vector.dot(&self.right) / value);
            } else {
                for (axis, told) in told.iter_mut().enumerate() {
                    *told &= vector[6 + axis] * vector[6 + axis] < PART;
                }
            }
        }
        (out, told)
    }
}

/// The contractions of one casting, of which the pattern was made larger by `assumed` along X, Y and Z. `cast` is the exact nominal
/// casting.
///
/// # Errors
/// Readings that cannot be meant.
pub fn contraction(
    sheet: &MeasuringSheet,
    machining: &Machining,
    cast: &Probe,
    assumed: [f64; 3],
    article: &ArticleReadings,
) -> Result<ByAxis, Vec<ReadingFault>> {
    const STEPS: usize = 12;
    const DONE: f64 = 1e-10;
    let mut by = aligned(sheet, machining, article)?.by;
    let mut stretch = V3::zeros();
    let lever = cast.brep().bounds().max.x.max(1.0);
    let mut equations = BTreeMap::new();
    let mut told = [false; 3];
    for _ in 0..STEPS {
        equations = linear(sheet, cast, article, &by, stretch, lever);
        let (step, known) = Equations::sum(equations.values()).solved();
        told = known;
        let turn = V3::new(step[3], step[4], step[5]) / lever;
        by = by.then(V3::new(step[0], step[1], step[2]), turn, P3::origin());
        stretch += V3::new(step[6], step[7], step[8]) / lever;
        if step.norm() < DONE {
            break;
        }
    }
    let spread = jackknife(&equations);
    let of = |axis: usize| {
        let larger = 1.0 + assumed[axis];
        let value = larger * (1.0 + stretch[axis]) - 1.0;
        told[axis]
            .then_some(FoundContraction { value, uncertainty: COVERAGE * larger * spread[axis] / lever })
    };
    Ok([0, 1, 2].map(of))
}

/// Normal equations by element: distances from the exact faces, and how they change with shift, turn and stretch.
fn linear(
    sheet: &MeasuringSheet,
    cast: &Probe,
    article: &ArticleReadings,
    by: &Placement,
    stretch: V3,
    lever: f64,
) -> BTreeMap<usize, Equations> {
    const REACH: f64 = 25.0;
    let mut out = BTreeMap::new();
    for (element, places) in &article.places {
        let faces = &sheet.elements[*element].faces;
        let mut own = Equations::none();
        for place in places {
            let moved = by.moved(place.at);
            let p = P3::from(moved.coords + moved.coords.component_mul(&stretch));
            let Some(near) = cast.nearest(p, |f| faces.contains(&f), REACH) else { continue };
            let face = &cast.brep().faces[near.face];
            let foot = face.surface.closest(p);
            let along = face.outward(foot);
            let (off, around) = ((p - foot).dot(&along), p.coords.cross(&along) / lever);
            let longer = moved.coords.component_mul(&along) / lever;
            let row = Row::from([
                along.x, along.y, along.z, around.x, around.y, around.z, longer.x, longer.y, longer.z,
            ]);
            own.left += row * row.transpose();
            own.right -= row * off;
        }
        out.insert(*element, own);
    }
    out
}

/// Standard uncertainty of the stretches, times the lever, by leaving out each element in turn.
fn jackknife(equations: &BTreeMap<usize, Equations>) -> [f64; 3] {
    let n = equations.len() as f64;
    let all: Vec<Row> = equations
        .keys()
        .map(|out| Equations::sum(equations.iter().filter(|(e, _)| *e != out).map(|(_, q)| q)).solved().0)
        .collect();
    [6, 7, 8].map(|k| {
        let mean = all.iter().map(|r| r[k]).sum::<f64>() / n;
        let squares: f64 = all.iter().map(|r| (r[k] - mean) * (r[k] - mean)).sum();
        ((n - 1.0) / n * squares).sqrt()
    })
}

/// The mean of several articles' contractions along one axis.
pub fn mean_contraction(all: &[FoundContraction]) -> Option<FoundContraction> {
    let n = all.len() as f64;
    if all.is_empty() {
        return None;
    }
    let value = all.iter().map(|f| f.value).sum::<f64>() / n;
    let own = all.iter().map(|f| f.uncertainty).sum::<f64>() / n;
    let squares: f64 = all.iter().map(|f| (f.value - value) * (f.value - value)).sum();
    let scatter = if all.len() > 1 { (squares / (n - 1.0) / n).sqrt() } else { 0.0 };
    Some(FoundContraction { value, uncertainty: own.hypot(COVERAGE * scatter) })
}

/// One figure of two across the shaft, weighted by their certainty.
pub fn across(y: Option<FoundContraction>, z: Option<FoundContraction>) -> Option<FoundContraction> {
    const LEAST: f64 = 1e-9;
    let (Some(a), Some(b)) = (y, z) else { return y.or(z) };
    let weight = |f: &FoundContraction| 1.0 / f.uncertainty.max(LEAST).powi(2);
    let (p, q) = (weight(&a), weight(&b));
    let value = (p * a.value + q * b.value) / (p + q);
    // Two that contradict each other are as uncertain as they are apart.
    let apart = (a.value - b.value).abs();
    Some(FoundContraction { value, uncertainty: (1.0 / (p + q).sqrt()).max(0.5 * apart) })
}
