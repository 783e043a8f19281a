//! The contraction found on raw castings, against the one that the pattern was made with.
//!
//! It follows from the stretch that puts a casting's places onto the nominal one ([`super::casting_fit`]). Nominal is the casting without
//! contraction and the pattern larger by the assumed one; so a casting that is larger than nominal has contracted less. Several
//! articles of one pattern share its errors, so that their mean is not taken for more certain than a single one is; their scatter
//! counts as well.

use super::casting_fit::casting_fit;
use super::characteristic::MeasuringSheet;
use super::machining::Machining;
use super::readings::{ArticleReadings, ReadingFault};
use super::uncertainty::COVERAGE;
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
    let fit = casting_fit(sheet, machining, cast, article)?;
    let of = |axis: usize| {
        let (larger, stretch) = (1.0 + assumed[axis], fit.stretch[axis]?);
        let value = larger * (1.0 + stretch.value) - 1.0;
        Some(FoundContraction { value, uncertainty: larger * stretch.uncertainty })
    };
    Ok([0, 1, 2].map(of))
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
