//! A beam held at one end: how far a load moves it, and how fast it swings by itself.
//!
//! Timoshenko's beam, which bends and shears; plane sections stay plane. Textbook theory, from memory.

/// Where the formulas come from.
pub const BEAM_SOURCE: &str =
    "Timoshenko's beam; Cowper's share of a thin tube that shears: textbook theory, from memory";

/// A slice of a beam.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Slice {
    /// Distance of its middle from the held end, mm.
    pub station: f64,
    /// Its length, mm.
    pub length: f64,
    /// Elastic modulus times second moment, N mm².
    pub bending: f64,
    /// Shear modulus times the area that shears, N.
    pub shear: f64,
    /// Mass per length, t/mm.
    pub mass: f64,
}

/// A beam of slices, from its held end outwards.
#[derive(Clone, Debug, PartialEq)]
pub struct Cantilever {
    slices: Vec<Slice>,
}

/// Chosen; rounds in which the shape of the swing is found; the first already gives its frequency within a percent.
const ROUNDS: usize = 6;

impl Cantilever {
    /// A beam of slices in their order; `None` without any.
    pub fn new(slices: Vec<Slice>) -> Option<Self> {
        (!slices.is_empty()).then_some(Self { slices })
    }

    /// The same beam, so many times as long, with the same sections at the same shares of its length.
    #[must_use]
    pub fn stretched(&self, by: f64) -> Self {
        let longer = |s: &Slice| Slice { station: s.station * by, length: s.length * by, ..*s };
        Self { slices: self.slices.iter().map(longer).collect() }
    }

    /// How far a newton across the beam at a distance from the held end moves that place, mm/N:
    /// `∫ (a − x)² / EI dx + ∫ 1 / GAs dx`.
    pub fn compliance(&self, at: f64) -> f64 {
        let of = |s: &Slice| {
            let arm = at - s.station;
            if arm < 0.0 {
                return 0.0;
            }
            // The square's mean over the slice, not that at its middle.
            (arm * arm + s.length * s.length / 12.0) * s.length / s.bending + s.length / s.shear
        };
        self.slices.iter().map(of).sum()
    }

    /// Its lowest frequency across, Hz: Rayleigh's quotient of the shape under the inertia of the shape before it (Stodola and
    /// Vianello), which is never below the beam's true one.
    pub fn first_frequency(&self) -> f64 {
        let mut shape: Vec<f64> = self.slices.iter().map(|s| s.station * s.station).collect();
        let mut square = 0.0;
        for _ in 0..ROUNDS {
            let load: Vec<f64> = self.slices.iter().zip(&shape).map(|(s, y)| s.mass * s.length * y).collect();
            let moved = self.moved(&load);
            let work: f64 = load.iter().zip(&moved).map(|(q, y)| q * y).sum();
            let inertia: f64 = self.slices.iter().zip(&moved).map(|(s, y)| s.mass * s.length * y * y).sum();
            square = work / inertia;
            let greatest = moved.iter().fold(f64::MIN_POSITIVE, |known, y| known.max(y.abs()));
            shape = moved.iter().map(|y| y / greatest).collect();
        }
        square.sqrt() / std::f64::consts::TAU
    }

    /// Where a load on the middle of each slice, N, moves the middles, mm.
    fn moved(&self, load: &[f64]) -> Vec<f64> {
        // Shear force and moment at each middle, from the free end.
        let (mut shear, mut moment, mut beyond) = (0.0, 0.0, None::<f64>);
        let mut forces = vec![(0.0, 0.0); load.len()];
        for (i, s) in self.slices.iter().enumerate().rev() {
            moment += beyond.map_or(0.0, |x| shear * (x - s.station));
            forces[i] = (shear + 0.5 * load[i], moment);
            shear += load[i];
            beyond = Some(s.station);
        }
        let (mut slope, mut place) = (0.0, 0.0);
        let mut out = Vec::with_capacity(load.len());
        for (s, (shear, moment)) in self.slices.iter().zip(forces) {
            let (turn, slide) = (moment * s.length / s.bending, shear * s.length / s.shear);
            let half = 0.5 * s.length * (slope + 0.25 * turn) + 0.5 * slide;
            out.push(place + half);
            place += s.length * (slope + 0.5 * turn) + slide;
            slope += turn;
        }
        out
    }
}

/// Share of a thin round tube's area that shears: `2 (1 + ν) / (4 + 3 ν)` (Cowper 1966, from memory).
pub fn shearing_share(poisson: f64) -> f64 {
    2.0 * (1.0 + poisson) / (4.0 + 3.0 * poisson)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn even(count: usize, length: f64, shear: f64) -> Cantilever {
        let each = length / count as f64;
        let slice = |i: usize| Slice {
            station: (i as f64 + 0.5) * each,
            length: each,
            bending: 2.1e5 * 1e6,
            shear,
            mass: 7.85e-9 * 2000.0,
        };
        Cantilever::new((0..count).map(slice).collect()).expect("slices")
    }

    /// Textbooks, from memory: `F L³ / 3 EI` and, of a beam that shears, `F L / GAs` on top.
    #[test]
    fn an_even_beam_bends_as_in_textbooks() {
        let (length, bending) = (1200.0_f64, 2.1e11);
        let stiff = even(40, length, 1e18);
        assert!((stiff.compliance(length) / (length.powi(3) / 3.0 / bending) - 1.0).abs() < 1e-9, "bends");
        let soft = even(40, length, 1e6);
        let more = soft.compliance(length) - stiff.compliance(length);
        assert!((more / (length / 1e6) - 1.0).abs() < 1e-6, "shears: {more}");
        let longer = stiff.stretched(1.5).compliance(1.5 * length);
        assert!((longer / stiff.compliance(length) - 1.5_f64.powi(3)).abs() < 1e-9, "cube of the length");
    }

    /// Textbooks, from memory: the first frequency of an even beam held at one end is `1.87510² / 2π √(EI / m L⁴)`.
    #[test]
    fn an_even_beam_swings_as_in_textbooks() {
        let (length, bending, mass) = (1200.0_f64, 2.1e11, 1.57e-5);
        let wanted = 1.875_104_f64.powi(2) / std::f64::consts::TAU * (bending / mass / length.powi(4)).sqrt();
        let found = even(100, length, 1e18).first_frequency();
        assert!((found / wanted - 1.0).abs() < 5e-4, "{found} for {wanted}");
        assert!(even(100, length, 1e6).first_frequency() < found, "what shears is slower");
    }
}
