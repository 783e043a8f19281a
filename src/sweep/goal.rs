//! Goals for a part, and the rows that reach them best.

use super::moving::Moving;
use super::row::{Measured, SweepRow};
use crate::checks::form_of;
use crate::design::Form;

/// A quantity to minimise or maximise.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Goal {
    /// The least mass, kg.
    Mass,
    /// The least volume, mm³.
    Volume,
    /// The largest least margin over all measurements of part and casting that change in the sweep and can fail the part, as a
    /// share of the limit. One that stays the same in all rows would hide the others wherever it is the least.
    Margin,
    /// The largest least margin of one check, in its own unit.
    Check(String),
}

impl Goal {
    /// Reads `mass`, `volume`, `margin`, or `margin:CHECK`.
    ///
    /// # Errors
    /// The valid forms.
    pub fn parse(text: &str) -> Result<Self, String> {
        match text {
            "mass" => Ok(Self::Mass),
            "volume" => Ok(Self::Volume),
            "margin" => Ok(Self::Margin),
            _ => text
                .strip_prefix("margin:")
                .map(|check| Self::Check(check.to_owned()))
                .ok_or_else(|| "write mass, volume, margin, or margin:CHECK".to_owned()),
        }
    }

    /// In words, with its unit.
    pub fn words(&self) -> String {
        match self {
            Self::Mass => "least mass, kg".to_owned(),
            Self::Volume => "least volume, mm³".to_owned(),
            Self::Margin => "most room to the nearest limit, as a share of that limit".to_owned(),
            Self::Check(check) => format!("largest margin of `{check}`"),
        }
    }

    /// Whether less is better.
    pub fn is_least(&self) -> bool {
        matches!(self, Self::Mass | Self::Volume)
    }

    /// A row's value for the goal.
    pub fn of(&self, row: &SweepRow, moving: &Moving) -> Option<f64> {
        match self {
            Self::Mass => row.mass,
            Self::Volume => row.volume,
            Self::Margin => {
                // The print is no part of the design under study; it counts where nothing else was measured. Checks that only
                // warn count where none can fail.
                let of_part = |m: &Measured| form_of(&m.check) != Some(Form::TrialPrint);
                let least = row.least_of(|m| moving.counts(m) && of_part(m));
                let least = least.or_else(|| row.least_of(|m| moving.counts(m)));
                let warns = || row.least_room(|m| moving.counts(m));
                least.map(|l| l.1).or_else(warns)
            }
            Self::Check(check) => {
                let all = row.measured.iter().filter(|m| m.check == *check).filter_map(Measured::room);
                all.min_by(f64::total_cmp)
            }
        }
    }

    /// The same, with the sign chosen so that larger is better.
    fn score(&self, row: &SweepRow, moving: &Moving) -> Option<f64> {
        self.of(row, moving).map(|x| if self.is_least() { -x } else { x })
    }
}

/// A row that is best, or Pareto-optimal.
#[derive(Clone, Debug, PartialEq)]
pub struct Objective {
    /// Its number.
    pub index: u64,
    /// The values that it sets.
    pub values: Vec<f64>,
    /// Its value for each goal.
    pub has: Vec<f64>,
    /// Its warnings from measurements that change in the sweep, the farthest beyond its limit first, up to a fixed
    /// number.
    pub warns: Vec<String>,
}

impl Objective {
    fn new(row: &SweepRow, has: Vec<f64>, moving: &Moving) -> Self {
        /// Greatest number of warnings listed.
        const TOLD: usize = 3;
        let beyond = |m: &&Measured| m.verdict == "warn" && moving.number(m).is_some();
        let mut all: Vec<&Measured> = row.measured.iter().filter(beyond).collect();
        let share = |m: &Measured| m.margin_share().unwrap_or(0.0);
        all.sort_by(|a, b| share(a).total_cmp(&share(b)));
        let warns = all.into_iter().take(TOLD).map(|m| format!("{}, {}", m.check, m.what)).collect();
        Self { index: row.index, values: row.values.clone(), has, warns }
    }
}

/// The feasible row that reaches a goal best; of equal ones the first.
#[derive(Clone, Debug)]
pub struct Best {
    /// The goal.
    pub goal: Goal,
    /// The row, if any is feasible.
    pub row: Option<Objective>,
    score: f64,
}

impl Best {
    /// Without any row yet.
    pub fn new(goal: Goal) -> Self {
        Self { goal, row: None, score: f64::NEG_INFINITY }
    }

    /// Takes a feasible row.
    pub fn take(&mut self, row: &SweepRow, moving: &Moving) {
        let (Some(score), Some(has)) = (self.goal.score(row, moving), self.goal.of(row, moving)) else {
            return;
        };
        if score > self.score {
            self.score = score;
            self.row = Some(Objective::new(row, vec![has], moving));
        }
    }
}

/// The Pareto-optimal rows: feasible ones to which no other is better in one of two goals without being worse in the other; of
/// equal ones the first.
#[derive(Clone, Debug)]
pub struct Front {
    /// The goals.
    pub goals: [Goal; 2],
    /// The rows, by the first goal, its best first.
    pub rows: Vec<Objective>,
    scores: Vec<[f64; 2]>,
}

impl Front {
    /// Without any row yet.
    pub fn new(goals: [Goal; 2]) -> Self {
        Self { goals, rows: vec![], scores: vec![] }
    }

    /// Adds a feasible row. The first score falls along the front and the second rises.
    pub fn take(&mut self, row: &SweepRow, moving: &Moving) {
        let scores = [&self.goals[0], &self.goals[1]].map(|g| g.score(row, moving));
        let [Some(a), Some(b)] = scores else { return };
        // Those before it are at least as good in the first goal; the last of them is the best in the second.
        let at = self.scores.partition_point(|s| s[0] >= a);
        if at > 0 && self.scores[at - 1][1] >= b {
            return;
        }
        // An equal one in the first goal, worse in the second, stands just before.
        let from = if at > 0 && self.scores[at - 1][0] <= a { at - 1 } else { at };
        let worse = self.scores[from..].iter().take_while(|s| s[1] <= b).count();
        let has = self.goals.iter().filter_map(|g| g.of(row, moving)).collect();
        let choice = Objective::new(row, has, moving);
        self.scores.splice(from..from + worse, [[a, b]]);
        self.rows.splice(from..from + worse, [choice]);
    }
}

#[cfg(test)]
mod tests {
    use super::super::row::RowVerdict;
    use super::*;
    use rand::rngs::ChaCha8Rng;
    use rand::{RngExt, SeedableRng};

    fn row(index: u64, mass: f64, volume: f64) -> SweepRow {
        SweepRow {
            index,
            values: vec![],
            verdict: RowVerdict::Pass,
            counts: [0; 4],
            volume: Some(volume),
            mass: Some(mass),
            fault: None,
            measured: vec![],
        }
    }

    /// Against the definition, every pair of 400 rows, many of them equal in one goal or both.
    #[test]
    fn the_front_is_pareto_optimal() {
        let coarse = |x: f64| (x * 12.0).floor();
        let mut random = ChaCha8Rng::seed_from_u64(3);
        let rows: Vec<SweepRow> = (0..400)
            .map(|i| {
                let [a, b]: [f64; 2] = random.random();
                row(i, coarse(a) + 3.0, coarse(b) + 15.0 - coarse(a))
            })
            .collect();
        let mut front = Front::new([Goal::Mass, Goal::Volume]);
        for row in &rows {
            front.take(row, &Moving::default());
        }
        let pair = |r: &SweepRow| (r.mass.unwrap_or(0.0), r.volume.unwrap_or(0.0));
        let bettered = |r: &SweepRow| {
            let (a, b) = pair(r);
            rows.iter().any(|o| {
                let (x, y) = pair(o);
                x <= a && y <= b && (x < a || y < b || o.index < r.index)
            })
        };
        let mut wanted: Vec<u64> = rows.iter().filter(|r| !bettered(r)).map(|r| r.index).collect();
        let mut found: Vec<u64> = front.rows.iter().map(|c| c.index).collect();
        wanted.sort_unstable();
        found.sort_unstable();
        assert_eq!(found, wanted, "by the definition");
        assert!(found.len() > 3, "a front of some length");
    }

    fn measured(check: &str, what: &str, margin: f64) -> Measured {
        Measured {
            check: check.to_owned(),
            what: what.to_owned(),
            value: Some(4.0 + margin),
            unit: "mm".to_owned(),
            sense: "at least".to_owned(),
            limit: Some(4.0),
            margin: Some(margin),
            verdict: "pass".to_owned(),
            to_fail: Some(margin),
        }
    }

    /// One margin stays the least in all rows: only that of the wall tells which row is best.
    #[test]
    fn what_stays_the_same_does_not_decide() {
        let rows: Vec<SweepRow> = [0.5, 0.9, 0.7]
            .iter()
            .zip(0..)
            .map(|(wall, index)| SweepRow {
                measured: vec![measured("wall", "shell", *wall), measured("seal", "press", 0.01)],
                ..row(index, 1.0, 1.0)
            })
            .collect();
        let moving = Moving::new([("wall", "shell")].into_iter());
        for (goal, wanted) in [(Goal::Margin, 0.9 / 4.0), (Goal::Check("wall".to_owned()), 0.9)] {
            let mut best = Best::new(goal);
            for r in &rows {
                best.take(r, &moving);
            }
            let best = best.row.expect("a row");
            assert_eq!(best.index, 1);
            assert!((best.has[0] - wanted).abs() < 1e-12, "{:?}", best.has);
        }
        let mut none = Best::new(Goal::parse("margin:no such").expect("a goal"));
        for r in &rows {
            none.take(r, &moving);
        }
        assert_eq!(none.row, None);
        assert_eq!(
            Goal::Margin.of(&rows[0], &Moving::default()),
            Some(0.01 / 4.0),
            "where nothing changes, all count"
        );
    }
}
