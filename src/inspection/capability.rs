//! Several articles: whether the process keeps the limits, and whether it stands still.
//!
//! - `Pp`, `Ppk` from the standard deviation of all values; `Cp`, `Cpk` from the mean moving range of two, divided by d₂ = 1.128
//!   (chart of individuals; D. C. Montgomery, *Introduction to Statistical Quality Control*, chapters 6 and 8, from memory).
//! - Confidence limits of `Pp` and `Cp` by the χ² distribution of the variance (ibid. chapter 8), those of `Ppk` and `Cpk`
//!   by A. F. Bissell, Applied Statistics 39 (1990), p. 331 (from memory). The moving range counts as so many degrees of freedom as
//!   its variance tells (J. D. Cryer and T. P. Ryan, Journal of Quality Technology 22 (1990), p. 187, from memory).
//!
//! Indices suppose a normal distribution; those of geometric tolerances, which cannot be below zero, err on the safe side or not
//! as the shape of theirs differs from it.

use statrs::distribution::{ChiSquared, ContinuousCDF, Normal};

use super::characteristic::{Characteristic, CharacteristicKind, MeasuringSheet, SizeLimits};
use super::judging::JudgedArticle;

/// Confidence of the limits of indices: two-sided.
pub const CONFIDENCE: f64 = 0.95;

/// Least number of articles that indices are taken from.
pub const LEAST_ARTICLES: usize = 3;

/// Mean range of two normal values, in standard deviations: 2 / √π, 1.128 in tables.
const RANGE_OF_TWO: f64 = std::f64::consts::FRAC_2_SQRT_PI;

/// An index with its confidence limits.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Index {
    /// Its value.
    pub value: f64,
    /// Its lower and upper confidence limits.
    pub within: [f64; 2],
}

/// What several articles tell of a characteristic.
#[derive(Clone, Debug, PartialEq)]
pub struct Capability {
    /// The characteristic.
    pub number: usize,
    /// Its limits, mm.
    pub limits: SizeLimits,
    /// The articles' places in their list, with their values, mm.
    pub values: Vec<(usize, f64)>,
    /// The mean, mm.
    pub mean: f64,
    /// Standard deviation of all, mm.
    pub overall: f64,
    /// Standard deviation by the moving range, mm.
    pub within: f64,
    /// Limits of the run chart: the mean less and plus three such deviations, mm.
    pub control: [f64; 2],
    /// `Pp`, where there are two limits.
    pub pp: Option<Index>,
    /// `Ppk`.
    pub ppk: Option<Index>,
    /// `Cp`, where there are two limits.
    pub cp: Option<Index>,
    /// `Cpk`.
    pub cpk: Option<Index>,
}

impl Capability {
    /// Places of articles beyond the limits of the run chart.
    pub fn beyond_control(&self) -> Vec<usize> {
        let [low, high] = self.control;
        self.values.iter().filter(|(_, v)| *v < low || *v > high).map(|(k, _)| *k).collect()
    }
}

/// What articles tell of every characteristic that enough of them have a value of.
pub fn capabilities(sheet: &MeasuringSheet, articles: &[JudgedArticle]) -> Vec<Capability> {
    sheet.characteristics.iter().filter_map(|c| of_characteristic(c, articles)).collect()
}

fn of_characteristic(c: &Characteristic, articles: &[JudgedArticle]) -> Option<Capability> {
    let value = |(k, a): (usize, &JudgedArticle)| {
        let found = a.found(c.number)?.found?;
        Some((k, 0.5 * (found.outer[0] + found.outer[1])))
    };
    let values: Vec<(usize, f64)> = articles.iter().enumerate().filter_map(value).collect();
    // A zone has no lower limit: nothing is better than zero.
    let limits = match c.kind {
        CharacteristicKind::Geometric(_) => SizeLimits { least: None, ..c.limits },
        _ => c.limits,
    };
    (values.len() >= LEAST_ARTICLES).then(|| capability(c.number, limits, values))
}

/// The indices of values between limits. There are at least three values.
pub fn capability(number: usize, limits: SizeLimits, values: Vec<(usize, f64)>) -> Capability {
    let n = values.len() as f64;
    let mean = values.iter().map(|(_, v)| v).sum::<f64>() / n;
    let squares: f64 = values.iter().map(|(_, v)| (v - mean) * (v - mean)).sum();
    let overall = (squares / (n - 1.0)).sqrt();
    let range = values.windows(2).map(|w| (w[1].1 - w[0].1).abs()).sum::<f64>() / (n - 1.0);
    let within = range / RANGE_OF_TWO;
    let freedom = of_moving_range(values.len());
    let both = |s: f64, freedom: f64| width(limits).map(|w| spread_index(w / (6.0 * s), freedom));
    let nearest = |s: f64, freedom: f64| {
        let up = limits.greatest.map(|g| (g - mean) / (3.0 * s));
        let down = limits.least.map(|l| (mean - l) / (3.0 * s));
        let least = up.into_iter().chain(down).reduce(f64::min)?;
        Some(placed_index(least, values.len(), freedom))
    };
    let of = |s: f64, freedom: f64| {
        if s > 0.0 { (both(s, freedom), nearest(s, freedom)) } else { (None, None) }
    };
    let ((pp, ppk), (cp, cpk)) = (of(overall, n - 1.0), of(within, freedom));
    let control = [mean - 3.0 * within, mean + 3.0 * within];
    Capability { number, limits, values, mean, overall, within, control, pp, ppk, cp, cpk }
}

fn width(limits: SizeLimits) -> Option<f64> {
    Some(limits.greatest? - limits.least?)
}

/// Degrees of freedom of the mean moving range of two: as many as a variance would need to scatter as much.
pub fn of_moving_range(count: usize) -> f64 {
    let n = count as f64;
    let variance = (0.826 * n - 1.082) / ((n - 1.0) * (n - 1.0));
    (0.5 / variance).max(1.0)
}

/// An index of the spread alone: its square goes with the inverse of a variance.
fn spread_index(value: f64, freedom: f64) -> Index {
    let tail = 0.5 * (1.0 - CONFIDENCE);
    let within = match ChiSquared::new(freedom) {
        Ok(chi) => [tail, 1.0 - tail].map(|p| value * (chi.inverse_cdf(p) / freedom).sqrt()),
        Err(_) => [0.0, f64::INFINITY],
    };
    Index { value, within }
}

/// An index of spread and place.
fn placed_index(value: f64, count: usize, freedom: f64) -> Index {
    let z = Normal::standard().inverse_cdf(0.5 * (1.0 + CONFIDENCE));
    let half = z * (1.0 / (9.0 * count as f64) + value * value / (2.0 * freedom)).sqrt();
    Index { value, within: [value - half, value + half] }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Montgomery, *Introduction to Statistical Quality Control*, chapter 8, example of a confidence interval (from memory): limits 38 and 62,
    /// twenty values with a standard deviation of 1.75: 2.29, between 1.57 and 3.01; χ² of 19 degrees of freedom: 8.91 and 32.85.
    #[test]
    fn a_textbooks_confidence_interval() {
        let found = spread_index((62.0 - 38.0) / (6.0 * 1.75), 19.0).value;
        assert!((found - 2.29).abs() < 0.005, "{found}");
        // The book goes on with the rounded index.
        let index = spread_index(2.29, 19.0);
        let rounded = [index.value, index.within[0], index.within[1]].map(|x| (x * 100.0).round() / 100.0);
        assert!((rounded[0] - 2.29).abs() < 1e-9, "{index:?}");
        assert!((rounded[1] - 1.57).abs() < 1e-9 && (rounded[2] - 3.01).abs() < 1e-9, "{index:?}");
    }

    /// Published figures: viscosities of D. C. Montgomery, *Introduction to Statistical Quality Control*, p. 242, with what the R package
    /// `qcc` prints of them (its vignette "a quick tour", read): mean 33.52333, standard deviation 0.3415928, by the moving range
    /// 0.4261651, chart from 32.24484 to 34.80183. It divides the standard deviation by c₄ = 0.982316 of 15 values, which makes it
    /// unbiased and is not done here, and the moving range by 1.128, here 2 / √π, which is 0.03 % more.
    #[test]
    fn a_published_chart_of_single_values() {
        let values = [
            33.75, 33.05, 34.0, 33.81, 33.46, 34.02, 33.68, 33.27, 33.49, 33.20, 33.62, 33.00, 33.54, 33.12,
            33.84,
        ];
        let found = capability(1, SizeLimits::between(32.0, 35.0), values.into_iter().enumerate().collect());
        assert!((found.mean - 33.52333).abs() < 5e-6, "{found:?}");
        assert!((found.overall / 0.982_316 - 0.341_592_8).abs() < 5e-7, "{found:?}");
        assert!((found.within * RANGE_OF_TWO / 1.128 - 0.426_165_1).abs() < 5e-8, "{found:?}");
        for (limit, wanted) in found.control.into_iter().zip([32.24484, 34.80183]) {
            assert!((limit - wanted).abs() < 5e-4, "{limit} for {wanted}");
        }
    }

    /// Published figures: 125 piston rings (the same book's table 6.3), standard deviation 0.009785039 and mean 74.001176 (printed as 74.00118; of the data file, read), between two pairs
    /// of limits, with confidence limits of 95 % as the vignette of `qcc` prints them (read).
    #[test]
    fn published_confidence_limits() {
        let (s, mean) = (0.009_785_039, 74.001_176);
        let cases = [
            ([73.95, 74.05], [1.7033, 1.4914, 1.9148], [1.6632, 1.4481, 1.8783]),
            ([73.99, 74.01], [0.3407, 0.2983, 0.3830], [0.3006, 0.2312, 0.3700]),
        ];
        for ([low, high], cp, cpk) in cases {
            let spread = spread_index((high - low) / (6.0 * s), 124.0);
            let placed = placed_index((high - mean).min(mean - low) / (3.0 * s), 125, 124.0);
            for (found, wanted) in [(spread, cp), (placed, cpk)] {
                let found = [found.value, found.within[0], found.within[1]];
                for (f, w) in found.into_iter().zip(wanted) {
                    assert!((f - w).abs() < 1e-4, "{found:?} for {wanted:?}");
                }
            }
        }
    }

    /// NIST/SEMATECH e-Handbook of Statistical Methods, 6.1.6, its example (from memory): limits 8 and 20, mean 16, standard deviation 2: Cp
    /// 1.0, Cpk 0.6667. Values 16 − d, 16 and 16 + d, whose standard deviation is d.
    #[test]
    fn a_handbooks_indices() {
        let values = vec![(0, 14.0), (1, 16.0), (2, 18.0)];
        let found = capability(1, SizeLimits::between(8.0, 20.0), values);
        let [pp, ppk] = [found.pp, found.ppk].map(|i| i.expect("an index").value);
        assert!((found.mean - 16.0).abs() < 1e-12 && (found.overall - 2.0).abs() < 1e-12, "{found:?}");
        assert!((pp - 1.0).abs() < 1e-12 && (ppk - 0.6667).abs() < 5e-5, "{pp} and {ppk}");
    }

    /// By hand: values 1, 2, 4, 3 about limits 0 and 5. Mean 2.5, s = √(5/3), mean moving range 4/3, times √π / 2; Ppk = 2.5 / 3 s = Pp.
    #[test]
    fn indices_by_hand() {
        let values = vec![(0, 1.0), (1, 2.0), (2, 4.0), (3, 3.0)];
        let found = capability(1, SizeLimits::between(0.0, 5.0), values);
        let s = (5.0_f64 / 3.0).sqrt();
        let ppk = found.ppk.expect("an index").value;
        assert!((found.overall - s).abs() < 1e-12 && (ppk - 2.5 / (3.0 * s)).abs() < 1e-12, "{found:?}");
        assert!((found.pp.expect("an index").value - ppk).abs() < 1e-12, "{found:?}");
        assert!((found.within - 4.0 / 3.0 * 0.886_226_925).abs() < 1e-8, "{found:?}");
        let one = capability(1, SizeLimits::most(5.0), found.values.clone());
        assert!(one.pp.is_none() && one.ppk.is_some(), "one limit has no Pp: {one:?}");
    }
}
