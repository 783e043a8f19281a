//! Chains of tolerances: a gap as a sum of dimensions, by worst case, by root sum of squares, and with shares.
//!
//! Random trials of the same chain are in [`super::stack_trials`].

use crate::units::Mm;

/// Why a chain has no sums.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum StackError {
    /// Nothing to add.
    #[error("a chain of tolerances without dimensions has no gap")]
    Empty,
    /// A number that is none.
    #[error(
        "{name}: tolerance {tolerance}, factor {factor}; the tolerance must be at least 0 and all numbers finite"
    )]
    Dimension {
        /// Of the dimension.
        name: String,
        /// As given.
        tolerance: Mm,
        /// As given.
        factor: f64,
    },
    /// A process that fits nothing.
    #[error("{name}: a capability of {capability} is none; it is above 0")]
    Capability {
        /// Of the dimension.
        name: String,
        /// As given.
        capability: f64,
    },
    /// Too few or too many trials.
    #[error("{0} trials; 1 to 100 million can be run")]
    Trials(u64),
}

/// How a dimension falls within its limits.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Spread {
    /// Bell-shaped; the tolerance is three standard deviations times the capability (Cp).
    Normal {
        /// Cp: 1 when the limits are three standard deviations off the middle.
        capability: f64,
    },
    /// Everywhere alike between the limits.
    Uniform,
    /// Most in the middle, none at the limits.
    Triangular,
}

/// One dimension of a chain.
#[derive(Clone, Debug, PartialEq)]
pub struct Dimension {
    /// What it is.
    pub name: String,
    /// How the gap moves with it: 1 or −1 along the chain, else a factor of geometry.
    pub factor: f64,
    /// Middle between its limits.
    pub middle: Mm,
    /// From the middle to either limit.
    pub tolerance: Mm,
    /// How it falls between them.
    pub spread: Spread,
}

impl Dimension {
    /// A dimension between two limits, three standard deviations to either side.
    pub fn between(name: &str, factor: f64, [least, greatest]: [Mm; 2]) -> Self {
        let spread = Spread::Normal { capability: 1.0 };
        let (middle, tolerance) = ((least + greatest) / 2.0, (greatest - least) / 2.0);
        Self { name: name.to_owned(), factor, middle, tolerance, spread }
    }

    /// Two features off each other's axis by a coaxiality (a diameter): half of it to either side, seen in one direction.
    pub fn coaxiality(name: &str, diameter: Mm) -> Self {
        let half = diameter / 2.0;
        Self::between(name, 1.0, [-half, half])
    }

    /// A part that floats in a clearance on the diameter: half of it to either side, anywhere.
    pub fn float(name: &str, clearance: Mm) -> Self {
        Self { spread: Spread::Uniform, ..Self::coaxiality(name, clearance) }
    }

    /// The same with another spread.
    #[must_use]
    pub fn spread(self, spread: Spread) -> Self {
        Self { spread, ..self }
    }

    /// What its limits move the gap by, mm.
    fn reach(&self) -> f64 {
        self.factor.abs() * self.tolerance.get()
    }

    /// Standard deviation of the gap from it alone, mm: `t / (3 Cp)`, `t / √3`, `t / √6` (derived).
    fn deviation(&self) -> f64 {
        let divisor = match self.spread {
            Spread::Normal { capability } => 3.0 * capability,
            Spread::Uniform => 3.0_f64.sqrt(),
            Spread::Triangular => 6.0_f64.sqrt(),
        };
        self.reach() / divisor
    }

    fn check(&self) -> Result<(), StackError> {
        let (factor, tolerance) = (self.factor, self.tolerance);
        let finite = factor.is_finite() && self.middle.get().is_finite() && tolerance.get().is_finite();
        if !finite || tolerance < Mm::new(0.0) {
            return Err(StackError::Dimension { name: self.name.clone(), tolerance, factor });
        }
        match self.spread {
            Spread::Normal { capability } if !(capability > 0.0 && capability.is_finite()) => {
                Err(StackError::Capability { name: self.name.clone(), capability })
            }
            _ => Ok(()),
        }
    }
}

/// What one dimension gives to the gap, as shares of the whole.
#[derive(Clone, Debug, PartialEq)]
pub struct Contribution {
    /// Of the dimension.
    pub name: String,
    /// Of the worst case.
    pub of_worst_case: f64,
    /// Of the variance.
    pub of_variance: f64,
}

/// A gap as the sum of dimensions times their factors.
#[derive(Clone, Debug, PartialEq)]
pub struct Stack {
    dimensions: Vec<Dimension>,
}

impl Stack {
    /// A chain of these dimensions.
    ///
    /// # Errors
    /// No dimension at all; one with a tolerance below zero, a number that is not finite, or no capability.
    pub fn new(dimensions: Vec<Dimension>) -> Result<Self, StackError> {
        if dimensions.is_empty() {
            return Err(StackError::Empty);
        }
        dimensions.iter().try_for_each(Dimension::check)?;
        Ok(Self { dimensions })
    }

    /// Its dimensions.
    pub fn dimensions(&self) -> &[Dimension] {
        &self.dimensions
    }

    /// The gap with every dimension in the middle.
    pub fn middle(&self) -> Mm {
        Mm::new(self.dimensions.iter().map(|d| d.factor * d.middle.get()).sum())
    }

    /// How far the gap goes to either side when every dimension is at its limit.
    pub fn worst_case(&self) -> Mm {
        Mm::new(self.dimensions.iter().map(Dimension::reach).sum())
    }

    /// Root sum of squares of the tolerances: the gap's own three standard deviations, if the tolerances are three of theirs.
    pub fn root_sum_square(&self) -> Mm {
        Mm::new(self.dimensions.iter().map(|d| d.reach().powi(2)).sum::<f64>().sqrt())
    }

    /// Standard deviation of the gap, by each dimension's spread.
    pub fn standard_deviation(&self) -> Mm {
        Mm::new(self.dimensions.iter().map(|d| d.deviation().powi(2)).sum::<f64>().sqrt())
    }

    /// Least and greatest gap in the worst case.
    pub fn limits(&self) -> [Mm; 2] {
        [self.middle() - self.worst_case(), self.middle() + self.worst_case()]
    }

    /// What each dimension gives, in their order. A chain without any tolerance gives zeros.
    pub fn contributions(&self) -> Vec<Contribution> {
        let (worst, variance) = (self.worst_case().get(), self.standard_deviation().get().powi(2));
        let share = |part: f64, whole: f64| if whole > 0.0 { part / whole } else { 0.0 };
        let of = |d: &Dimension| Contribution {
            name: d.name.clone(),
            of_worst_case: share(d.reach(), worst),
            of_variance: share(d.deviation().powi(2), variance),
        };
        self.dimensions.iter().map(of).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn chain(spread: Spread) -> Stack {
        let dimension = |(i, t): (usize, f64)| {
            let factor = if i % 2 == 0 { 1.0 } else { -1.0 };
            Dimension::between(&format!("d{i}"), factor, [Mm::new(10.0 - t), Mm::new(10.0 + t)])
                .spread(spread)
        };
        Stack::new([0.1, 0.2, 0.05, 0.1].into_iter().enumerate().map(dimension).collect()).expect("sound")
    }

    fn near(value: Mm, want: f64, within: f64) {
        assert!((value.get() - want).abs() <= within, "{value} for {want}");
    }

    /// Derived; the factor 1.5 read.
    #[test]
    fn t5_3_chain_of_four() {
        let stack = chain(Spread::Normal { capability: 1.0 });
        near(stack.worst_case(), 0.45, 1e-12);
        near(stack.root_sum_square(), 0.25, 1e-12);
        near(stack.standard_deviation() * 3.0, 0.25, 1e-12);
        near(chain(Spread::Uniform).standard_deviation() * 3.0, 0.4330, 5e-5);
        near(chain(Spread::Triangular).standard_deviation() * 3.0, 0.25 * 1.5_f64.sqrt(), 1e-12);
        near(chain(Spread::Normal { capability: 2.0 }).standard_deviation() * 3.0, 0.125, 1e-12);
        near(stack.middle(), 0.0, 1e-12);
    }

    /// No outside value: shares of a whole.
    #[test]
    fn shares_add_up() {
        let parts = chain(Spread::Uniform).contributions();
        let sum = |of: fn(&Contribution) -> f64| parts.iter().map(of).sum::<f64>();
        assert!((sum(|c| c.of_worst_case) - 1.0).abs() < 1e-12, "worst case");
        assert!((sum(|c| c.of_variance) - 1.0).abs() < 1e-12, "variance");
        assert!((parts[1].of_variance - 0.64).abs() < 1e-12, "0.04 of 0.0625: {:?}", parts[1]);
        let still = Stack::new(vec![Dimension::float("none", Mm::new(0.0))]).expect("sound");
        assert!(still.contributions()[0].of_variance.abs() < 1e-12, "nothing of nothing");
    }

    /// Coaxiality gives half of itself, clearance half to either side (practice).
    #[test]
    fn seal_offset_as_a_chain() {
        let parts = vec![
            Dimension::coaxiality("bush to seal bore", Mm::new(0.05)),
            Dimension::float("yoke", Mm::new(0.09)),
        ];
        let stack = Stack::new(parts).expect("sound");
        near(stack.worst_case(), 0.07, 1e-12);
        near(stack.limits()[0], -0.07, 1e-12);
        near(stack.limits()[1], 0.07, 1e-12);
    }

    /// By hand.
    #[test]
    fn a_lopsided_tolerance_moves_the_middle() {
        let parts = vec![
            Dimension::between("length", 1.0, [Mm::new(50.0), Mm::new(50.2)]),
            Dimension::between("ring", -2.0, [Mm::new(4.9), Mm::new(5.0)]),
        ];
        let stack = Stack::new(parts).expect("sound");
        near(stack.limits()[0], 40.0, 1e-9);
        near(stack.limits()[1], 40.4, 1e-9);
    }

    /// No outside value: what is read, shown or refused.
    #[test]
    fn unsound_chains_are_told() {
        let say = |d: Dimension| Stack::new(vec![d]).expect_err("unsound").to_string();
        assert_eq!(Stack::new(vec![]), Err(StackError::Empty), "empty");
        let sound = Dimension::float("a", Mm::new(1.0));
        assert!(
            say(Dimension { tolerance: Mm::new(-0.1), ..sound.clone() }).contains("at least 0"),
            "negative"
        );
        assert!(say(Dimension { factor: f64::NAN, ..sound.clone() }).contains("finite"), "no number");
        assert!(say(sound.spread(Spread::Normal { capability: 0.0 })).contains("above 0"), "capability");
    }
}
