//! How a raw casting came out of the mould, all at once: where it lies, by what it is larger than nominal along each axis, and how far its
//! core lay off the outside.
//!
//! All places are put onto the exact faces of the nominal casting by least squares: three shifts, three turns, a stretch along each axis, and
//! for the places that the core formed a shift and a tilt across the shaft. They are fitted together, since a core that lies off
//! looks like a stretch to bores that were probed on one side only, and the other way round. How uncertain each is follows from the faces: each is left
//! out in turn (jackknife; B. Efron and C. Stein, Annals of Statistics 9 (1981), p. 586, from memory), since places on one face err
//! together. A face that stays as cast is long, and its places err together only where they lie near each other: it counts as several
//! patches. Where the bores agree by chance that tells too little: the uncertainty is at least what the scatter of all places makes.

use std::collections::BTreeMap;

use nalgebra::{SMatrix, SVector};

use super::alignment::aligned;
use super::characteristic::MeasuringSheet;
use super::core_shift::is_cored;
use super::extremes::range;
use super::machining::Machining;
use super::placement::Placement;
use super::readings::{ArticleReadings, ReadingFault};
use super::uncertainty::COVERAGE;
use solidwright::geometry::{P3, V3};
use solidwright::probe::Probe;

/// Unknowns: shift, turn, stretch, core's shift, core's tilt; all as lengths.
const UNKNOWNS: usize = 13;
const STRETCH: usize = 6;
const CORE: usize = 9;
const TILT: usize = 11;

type Row = SVector<f64, UNKNOWNS>;
type Normal = SMatrix<f64, UNKNOWNS, UNKNOWNS>;

/// Places that err together: an element, and on faces that stay as cast a station and a quarter about the shaft.
type Patch = (usize, i64, [bool; 2]);

/// Length of a patch along the shaft, mm.
const PATCH: f64 = 50.0;

/// A value with its expanded uncertainty (k = 2).
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Uncertain {
    /// The value.
    pub value: f64,
    /// Its expanded uncertainty.
    pub uncertainty: f64,
}

/// Where the core lay at a station.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CoreAt {
    /// The station, mm.
    pub station: f64,
    /// Its shift to the right and up, mm.
    pub shift: [Uncertain; 2],
}

/// What the places of a casting tell.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct CastingFit {
    /// Stretch along X, Y, Z against the nominal casting; none where the faces do not tell it.
    pub(super) stretch: [Option<Uncertain>; 3],
    /// The core at both ends of its places.
    pub(super) core: [CoreAt; 2],
    /// Whether its places tell a shift, and a tilt.
    pub(super) core_told: [bool; 2],
}

/// Eigenvalues below this share of the greatest leave their unknowns undetermined.
const UNDETERMINED: f64 = 1e-8;

/// Normal equations of one patch.
#[derive(Clone, Copy)]
struct Equations {
    left: Normal,
    right: Row,
    /// Sum of the squared distances, mm², and how many.
    squares: f64,
    count: usize,
}

impl Equations {
    fn none() -> Self {
        Self { left: Normal::zeros(), right: Row::zeros(), squares: 0.0, count: 0 }
    }

    fn sum<'a>(all: impl Iterator<Item = &'a Self>) -> Self {
        all.fold(Self::none(), |sum, e| Self {
            left: sum.left + e.left,
            right: sum.right + e.right,
            squares: sum.squares + e.squares,
            count: sum.count + e.count,
        })
    }

    /// Standard uncertainty of a combination of the unknowns if all places scatter alike and apart from each other.
    fn scatter(&self, of: &dyn Fn(&Row) -> f64) -> f64 {
        let weights = Row::from_fn(|k, _| of(&Row::ith(k, 1.0)));
        let free = self.count.saturating_sub(UNKNOWNS).max(1) as f64;
        let inverse =
            self.left.pseudo_inverse(UNDETERMINED * self.left.norm()).unwrap_or_else(|_| Normal::zeros());
        (self.squares / free * weights.dot(&(inverse * weights)).max(0.0)).sqrt()
    }

    /// The unknowns, and whether the equations tell each of them.
    fn solved(&self) -> (Row, [bool; UNKNOWNS]) {
        const PART: f64 = 1e-6;
        let eigen = self.left.symmetric_eigen();
        let most = eigen.eigenvalues.max();
        let (mut out, mut told) = (Row::zeros(), [true; UNKNOWNS]);
        for k in 0..UNKNOWNS {
            let (value, vector) = (eigen.eigenvalues[k], eigen.eigenvectors.column(k));
            if value > UNDETERMINED * most {
                out += vector * (vector.dot(&self.right) / value);
            } else {
                for (axis, told) in told.iter_mut().enumerate() {
                    *told &= vector[axis] * vector[axis] < PART;
                }
            }
        }
        (out, told)
    }
}

/// The present state of the fit.
struct State {
    by: Placement,
    stretch: V3,
    /// The core's shift at the middle of its places, and at one half length behind it what comes on top, mm: along Y and Z.
    core: [f64; 2],
    tilt: [f64; 2],
}

/// Lengths that make all unknowns alike.
struct Scale {
    lever: f64,
    middle: f64,
    half: f64,
}

/// Fits a casting. `cast` is the exact nominal one.
///
/// # Errors
/// Readings that cannot be meant.
pub(super) fn casting_fit(
    sheet: &MeasuringSheet,
    machining: &Machining,
    cast: &Probe,
    article: &ArticleReadings,
) -> Result<CastingFit, Vec<ReadingFault>> {
    const STEPS: usize = 12;
    const DONE: f64 = 1e-10;
    let by = aligned(sheet, machining, article)?.by;
    let cored = article.places.iter().filter(|(e, _)| is_cored(&sheet.elements[**e]));
    let stations: Vec<f64> = cored.flat_map(|(_, all)| all.iter().map(|p| by.moved(p.at).x)).collect();
    let [first, last] = if stations.is_empty() { [0.0; 2] } else { range(stations.iter().copied()) };
    let scale = Scale {
        lever: cast.brep().bounds().max.x.max(1.0),
        middle: 0.5 * (first + last),
        half: (0.5 * (last - first)).max(1.0),
    };
    let mut state = State { by, stretch: V3::zeros(), core: [0.0; 2], tilt: [0.0; 2] };
    let mut equations = BTreeMap::new();
    let mut told = [false; UNKNOWNS];
    for _ in 0..STEPS {
        equations = linear(sheet, machining, cast, article, &state, &scale);
        let (step, known) = Equations::sum(equations.values()).solved();
        told = known;
        state = state.after(&step, &scale);
        if step.norm() < DONE {
            break;
        }
    }
    let all = Equations::sum(equations.values());
    let others: Vec<Row> = equations
        .keys()
        .map(|out| Equations::sum(equations.iter().filter(|(e, _)| *e != out).map(|(_, q)| q)).solved().0)
        .collect();
    let doubt = |of: &dyn Fn(&Row) -> f64| COVERAGE * spread(&others, of).max(all.scatter(of));
    let stretch = [0, 1, 2].map(|axis| {
        let k = STRETCH + axis;
        let uncertainty = doubt(&|r: &Row| r[k] / scale.lever);
        told[k].then_some(Uncertain { value: state.stretch[axis], uncertainty })
    });
    let tilts = told[TILT] && told[TILT + 1];
    let core_at = |station: f64, sense: f64| {
        let sense = if tilts { sense } else { 0.0 };
        let of = |k: usize| Uncertain {
            value: state.core[k] + sense * state.tilt[k],
            uncertainty: doubt(&|r: &Row| r[CORE + k] + sense * r[TILT + k]),
        };
        CoreAt { station, shift: [of(0), of(1)] }
    };
    let core = [core_at(first, -1.0), core_at(last, 1.0)];
    Ok(CastingFit { stretch, core, core_told: [told[CORE] && told[CORE + 1], tilts] })
}

impl State {
    fn after(&self, step: &Row, scale: &Scale) -> Self {
        let turn = V3::new(step[3], step[4], step[5]) / scale.lever;
        Self {
            by: self.by.then(V3::new(step[0], step[1], step[2]), turn, P3::origin()),
            stretch: self.stretch
                + V3::new(step[STRETCH], step[STRETCH + 1], step[STRETCH + 2]) / scale.lever,
            core: [0, 1].map(|k| self.core[k] + step[CORE + k]),
            tilt: [0, 1].map(|k| self.tilt[k] + step[TILT + k]),
        }
    }
}

/// Normal equations by patch: distances from the exact faces, and how they change with the unknowns.
fn linear(
    sheet: &MeasuringSheet,
    machining: &Machining,
    cast: &Probe,
    article: &ArticleReadings,
    state: &State,
    scale: &Scale,
) -> BTreeMap<Patch, Equations> {
    const REACH: f64 = 25.0;
    let mut out: BTreeMap<Patch, Equations> = BTreeMap::new();
    for (element, places) in &article.places {
        let faces = &sheet.elements[*element].faces;
        let cored = is_cored(&sheet.elements[*element]);
        let machined = machining.faces.iter().any(|f| f.element == *element);
        for place in places {
            let moved = state.by.moved(place.at);
            let p = P3::from(moved.coords + moved.coords.component_mul(&state.stretch));
            let share = if cored { (p.x - scale.middle) / scale.half } else { 0.0 };
            // Seen from the core, its places lie where they would without its shift.
            let core = |k: usize| if cored { state.core[k] + share * state.tilt[k] } else { 0.0 };
            let own_place = p - V3::new(0.0, core(0), core(1));
            let Some(near) = cast.nearest(own_place, |f| faces.contains(&f), REACH) else { continue };
            let face = &cast.brep().faces[near.face];
            let foot = face.surface.closest(own_place);
            let along = face.outward(foot);
            let off = (own_place - foot).dot(&along);
            let around = p.coords.cross(&along) / scale.lever;
            let longer = moved.coords.component_mul(&along) / scale.lever;
            let is = if cored { -1.0 } else { 0.0 };
            let row = Row::from_column_slice(&[
                along.x,
                along.y,
                along.z,
                around.x,
                around.y,
                around.z,
                longer.x,
                longer.y,
                longer.z,
                is * along.y,
                is * along.z,
                is * share * along.y,
                is * share * along.z,
            ]);
            let patch = if machined {
                (*element, 0, [false; 2])
            } else {
                (*element, (foot.x / PATCH).floor() as i64, [foot.y > 0.0, foot.z > 0.0])
            };
            let own = out.entry(patch).or_insert_with(Equations::none);
            own.left += row * row.transpose();
            own.right -= row * off;
            own.squares += off * off;
            own.count += 1;
        }
    }
    out
}

/// Standard uncertainty of a combination of the unknowns, by what it is with each patch left out.
fn spread(others: &[Row], of: &dyn Fn(&Row) -> f64) -> f64 {
    let n = others.len() as f64;
    let all: Vec<f64> = others.iter().map(of).collect();
    let mean = all.iter().sum::<f64>() / n;
    let squares: f64 = all.iter().map(|x| (x - mean) * (x - mean)).sum();
    ((n - 1.0) / n * squares).sqrt()
}
