//! Random articles about their limits: how often the judge errs, and to which side.

use std::fmt;

use rand::rngs::ChaCha8Rng;
use rand::{RngExt, SeedableRng};
use rayon::prelude::*;
use solidwright::geometry::V3;
use tailpattern::faces::{Feature, Role};
use tailpattern::inspection::{self, ItemVerdict, JudgedArticle, MeasuringSheet, ProbePlan};

use crate::inspection::{changed_demo, element, plan, rules};
use crate::synthetic_article::{Error, Errors, Machine, anywhere, readings};

/// Random articles about their limits, measured with noise: none passes that is out by more than the stated uncertainty, and
/// few of those that are well within are refused. 2,000 articles are run by `inspection_trials`; the normal run takes fewer.
#[test]
fn no_article_passes_that_is_out_by_more_than_the_uncertainty() {
    let outcome = trials(60);
    assert_eq!(outcome.items.wrongly_passed, 0, "{outcome}");
    assert!(outcome.items.judged() > 300, "{outcome}");
    assert!(outcome.items.passed * 5 > outcome.items.judged(), "{outcome}");
    assert!(outcome.items.rejected * 15 > outcome.items.judged(), "{outcome}");
    assert!(outcome.articles.passed * 5 > outcome.articles.judged(), "{outcome}");
    assert!(outcome.by_one * 20 > outcome.articles.judged(), "{outcome}");
}

/// The same with 2,000 articles: some minutes. It prints what came out.
#[test]
#[ignore = "takes minutes; part of `tests/run --all`"]
#[allow(clippy::print_stdout, reason = "the figures are what it is run for")]
fn inspection_trials() {
    let outcome = trials(2000);
    println!("{outcome}");
    assert_eq!(outcome.items.wrongly_passed, 0, "{outcome}");
    assert_eq!(outcome.articles.wrongly_passed, 0, "{outcome}");
    assert_eq!(outcome.articles.wrongly_rejected, 0, "{outcome}");
    assert!(outcome.items.rejected_in_doubt * 100 < outcome.items.judged(), "{outcome}");
    // Else the rule is not tried where it counts.
    assert!(outcome.articles.passed * 5 > outcome.articles.judged(), "{outcome}");
    assert!(outcome.by_one * 20 > outcome.articles.judged(), "{outcome}");
}

/// Verdicts, counted.
#[derive(Clone, Copy, Debug, Default)]
struct Count {
    passed: usize,
    rejected: usize,
    undecided: usize,
    /// Passed though out by more than the stated uncertainty.
    wrongly_passed: usize,
    /// Passed though out by less than that.
    passed_in_doubt: usize,
    /// Rejected though within the limits by more than the stated uncertainty.
    wrongly_rejected: usize,
    /// Rejected though within the limits by less than that.
    rejected_in_doubt: usize,
}

impl Count {
    /// A verdict on a value that is beyond its limit by so much, below zero within it.
    fn of(verdict: ItemVerdict, beyond: f64, uncertainty: f64) -> Self {
        let (passed, rejected) = (verdict == ItemVerdict::Conforms, verdict == ItemVerdict::DoesNotConform);
        Self {
            passed: usize::from(passed),
            rejected: usize::from(rejected),
            undecided: usize::from(verdict == ItemVerdict::Undecided),
            wrongly_passed: usize::from(passed && beyond > uncertainty),
            passed_in_doubt: usize::from(passed && beyond > 0.0 && beyond <= uncertainty),
            wrongly_rejected: usize::from(rejected && -beyond > uncertainty),
            rejected_in_doubt: usize::from(rejected && beyond < 0.0 && -beyond <= uncertainty),
        }
    }

    /// The verdict on an article, its worst one. It is out by more than the uncertainty if any characteristic is, and within by more than that if
    /// all of them are.
    fn of_article(verdicts: &[(ItemVerdict, f64, f64)]) -> Self {
        let worst = verdicts.iter().map(|v| v.0).min().expect("a verdict");
        let most =
            |of: &dyn Fn(&(ItemVerdict, f64, f64)) -> f64| verdicts.iter().map(of).fold(f64::MIN, f64::max);
        let (beyond, out, within) = (most(&|v| v.1), most(&|v| v.1 - v.2), most(&|v| v.1 + v.2));
        let (passed, rejected) = (worst == ItemVerdict::Conforms, worst == ItemVerdict::DoesNotConform);
        Self {
            passed: usize::from(passed),
            rejected: usize::from(rejected),
            undecided: usize::from(worst == ItemVerdict::Undecided),
            wrongly_passed: usize::from(passed && out > 0.0),
            passed_in_doubt: usize::from(passed && beyond > 0.0 && out <= 0.0),
            wrongly_rejected: usize::from(rejected && within < 0.0),
            rejected_in_doubt: usize::from(rejected && beyond < 0.0 && within >= 0.0),
        }
    }

    fn and(self, o: Self) -> Self {
        Self {
            passed: self.passed + o.passed,
            rejected: self.rejected + o.rejected,
            undecided: self.undecided + o.undecided,
            wrongly_passed: self.wrongly_passed + o.wrongly_passed,
            passed_in_doubt: self.passed_in_doubt + o.passed_in_doubt,
            wrongly_rejected: self.wrongly_rejected + o.wrongly_rejected,
            rejected_in_doubt: self.rejected_in_doubt + o.rejected_in_doubt,
        }
    }

    fn judged(&self) -> usize {
        self.passed + self.rejected + self.undecided
    }
}

impl fmt::Display for Count {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{}: passed {}, rejected {}, undecided {}; out by more than the uncertainty and passed {}, out by less and passed {}; \
             within by more than the uncertainty and rejected {}, within by less and rejected {}",
            self.judged(),
            self.passed,
            self.rejected,
            self.undecided,
            self.wrongly_passed,
            self.passed_in_doubt,
            self.wrongly_rejected,
            self.rejected_in_doubt
        )
    }
}

/// What came out of trials.
#[derive(Clone, Copy, Debug, Default)]
struct Outcome {
    articles: Count,
    items: Count,
    /// Articles by how they were made.
    by_quality: [Count; 4],
    /// Articles of which just one characteristic was rejected.
    by_one: usize,
}

impl fmt::Display for Outcome {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        writeln!(f, "articles {}\ncharacteristics {}", self.articles, self.items)?;
        writeln!(f, "rejected for one characteristic alone: {}", self.by_one)?;
        let rows = QUALITIES.iter().zip(self.by_quality);
        rows.into_iter().try_for_each(|(name, count)| writeln!(f, "  {name}: {count}"))
    }
}

/// The parts that articles are made of: as it is, and with datum B at its maximum material boundary.
struct Bench {
    sheets: [(MeasuringSheet, ProbePlan); 2],
}

impl Bench {
    fn new() -> Self {
        let of = |at_maximum: bool| {
            let (_, housing, sheet) = changed_demo(|text| {
                let key = format!(
                    "  tolerances:\n    register_at_maximum: {at_maximum}\n    flange_holes: 0.4 mm  "
                );
                text.replacen("  tolerances:", &key, 1)
            });
            let of = |feature, role| element(&sheet, feature, role);
            let mut used = vec![
                of(Feature::GearboxFace, Role::Face),
                of(Feature::GearboxFace, Role::Register),
                of(Feature::Tail, Role::BushingSeat),
                of(Feature::Tail, Role::SealCounterbore),
            ];
            used.extend((1..=6).map(|k| of(Feature::GearboxFace, Role::BoltHole(k))));
            let plan = plan(&housing, &sheet, &used);
            (sheet, plan)
        };
        Self { sheets: [of(false), of(true)] }
    }
}

/// The demonstration's tolerances of the seat's position and the counterbore's coaxiality, mm.
const SEAT_POSITION: f64 = 0.02;
const COAXIALITY: f64 = 0.02;

/// What was done to an article.
struct Truth {
    seat: (V3, f64),
    counterbore: (V3, f64),
    register: f64,
    holes: Vec<(V3, f64)>,
}

/// How well an article was made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Quality {
    /// Well within all limits.
    Good,
    /// Some characteristics near their limits or beyond.
    Middling,
    /// Many beyond.
    Poor,
    /// Well made but for one characteristic, which lies within a few hundredths about its limit.
    Edge(u64),
}

impl Quality {
    const fn of(seed: u64) -> Self {
        match (seed / 2) % 4 {
            0 => Self::Good,
            1 => Self::Middling,
            2 => Self::Poor,
            _ => Self::Edge((seed / 8) % 6),
        }
    }

    const fn place(self) -> usize {
        match self {
            Self::Good => 0,
            Self::Middling => 1,
            Self::Poor => 2,
            Self::Edge(_) => 3,
        }
    }
}

/// What qualities are called in the table.
const QUALITIES: [&str; 4] = ["good", "middling", "poor", "one about its limit"];

impl Truth {
    fn drawn(seed: u64) -> Self {
        let quality = Quality::of(seed);
        let reach = match quality {
            Quality::Good | Quality::Edge(_) => 0.12,
            Quality::Middling => 0.4,
            Quality::Poor => 1.0,
        };
        let mut random = ChaCha8Rng::seed_from_u64(1000 + seed);
        let mut draw = |most: f64| most * (2.0 * random.random::<f64>() - 1.0);
        let turned = |size: f64, angle: f64| V3::new(0.0, size * angle.cos(), size * angle.sin());
        let seat_off = turned(reach * draw(0.02), draw(3.0));
        let counterbore_off = seat_off + turned(reach * draw(0.03), draw(3.0));
        let seat = (seat_off, 0.00625 + reach * draw(0.01));
        let counterbore = (counterbore_off, 0.0115 + reach * draw(0.016));
        let register = -0.00625 + reach * draw(0.01);
        let common = turned(reach * draw(0.2), draw(3.0));
        let mut hole = || (common + turned(reach * draw(0.12), draw(3.0)), 0.0675 + reach * draw(0.06));
        let holes = (0..6).map(|_| hole()).collect();
        let mut out = Self { seat, counterbore, register, holes };
        if let Quality::Edge(which) = quality {
            out.put_about_a_limit(which, seed % 2 == 1, draw(0.012), turned(1.0, draw(3.0)));
        }
        out
    }

    /// Puts one characteristic beyond its limit by so much, or within it: H7 of the seat, its position of the file's tolerance, H8 of the
    /// counterbore, its coaxiality, h6 of the register, the position of the holes.
    fn put_about_a_limit(&mut self, which: u64, at_maximum: bool, beyond: f64, way: V3) {
        let coaxial = self.counterbore.0 - self.seat.0;
        match which {
            0 => self.seat.1 = 0.0125 + 0.5 * beyond,
            1 => {
                self.seat.0 = way * (0.5 * (SEAT_POSITION + beyond));
                self.counterbore.0 = self.seat.0 + coaxial;
            }
            2 => self.counterbore.1 = 0.023 + 0.5 * beyond,
            3 => self.counterbore.0 = self.seat.0 + way * (0.5 * (COAXIALITY + beyond)),
            4 => self.register = 0.5 * beyond,
            _ => {
                let play = if at_maximum { (-self.register).max(0.0) } else { 0.0 };
                for (off, grown) in &mut self.holes {
                    *off = way * (0.5 * (0.4 + beyond) + *grown + play);
                }
            }
        }
    }

    fn errors(&self, sheet: &MeasuringSheet) -> Errors {
        let of = |feature, role| element(sheet, feature, role);
        let error = |(shift, radius): (V3, f64)| Error { shift, radius };
        let mut out = Errors::from([
            (of(Feature::Tail, Role::BushingSeat), error(self.seat)),
            (of(Feature::Tail, Role::SealCounterbore), error(self.counterbore)),
            (of(Feature::GearboxFace, Role::Register), error((V3::zeros(), self.register))),
        ]);
        for (k, hole) in self.holes.iter().enumerate() {
            out.insert(of(Feature::GearboxFace, Role::BoltHole(k + 1)), error(*hole));
        }
        out
    }

    /// The zone that the worst hole of the pattern needs beyond its bonus, at the best move: by a net that closes in, so by other means
    /// than the judge's.
    fn pattern(&self, at_maximum: bool) -> f64 {
        let play = if at_maximum { (-self.register).max(0.0) } else { 0.0 };
        let radius = 0.5 * 185.7375;
        let worst = |y: f64, z: f64, turn: f64| {
            let of = |(k, (off, grown)): (usize, &(V3, f64))| {
                let clock = (60.0 - 60.0 * k as f64).to_radians();
                let turned = V3::new(0.0, -clock.sin(), clock.cos()) * (radius * turn);
                2.0 * (off - V3::new(0.0, y, z) - turned).norm() - (2.0 * grown).max(0.0)
            };
            self.holes.iter().enumerate().map(of).fold(f64::MIN, f64::max)
        };
        let (mut at, mut best) = ([0.0; 3], worst(0.0, 0.0, 0.0));
        let mut reach = [play, play, 0.004];
        for _ in 0..26 {
            let from = at;
            for k in 0..11 * 11 * 11 {
                let step = [k % 11, (k / 11) % 11, k / 121].map(|s| f64::from(s) / 5.0 - 1.0);
                let to = [0, 1, 2].map(|i| from[i] + reach[i] * step[i]);
                if to[0].hypot(to[1]) > play {
                    continue;
                }
                let value = worst(to[0], to[1], to[2]);
                if value < best {
                    (at, best) = (to, value);
                }
            }
            reach = reach.map(|r| 0.6 * r);
        }
        best
    }
}

fn trials(count: u64) -> Outcome {
    let bench = Bench::new();
    let of_point = 0.0016;
    let one = |seed: u64| {
        let at_maximum = seed % 2 == 1;
        let (sheet, plan) = &bench.sheets[usize::from(at_maximum)];
        let truth = Truth::drawn(seed);
        let machine = Machine { lies: anywhere(seed), noise: 0.5 * of_point, seed };
        let article = readings(sheet, plan, &truth.errors(sheet), machine);
        let judged = inspection::judge(sheet, rules(of_point), "1", &article).expect("judged");
        let verdicts = verdicts(sheet, &judged, &truth, at_maximum);
        let items = verdicts.iter().map(|v| Count::of(v.0, v.1, v.2)).fold(Count::default(), Count::and);
        let article = Count::of_article(&verdicts);
        let mut outcome = Outcome { articles: article, items, ..Outcome::default() };
        outcome.by_quality[Quality::of(seed).place()] = article;
        let rejected = verdicts.iter().filter(|v| v.0 == ItemVerdict::DoesNotConform).count();
        outcome.by_one = usize::from(rejected == 1);
        outcome
    };
    let all: Vec<Outcome> = (0..count).into_par_iter().map(one).collect();
    all.into_iter().fold(Outcome::default(), |a, b| Outcome {
        articles: a.articles.and(b.articles),
        items: a.items.and(b.items),
        by_quality: [0, 1, 2, 3].map(|k| a.by_quality[k].and(b.by_quality[k])),
        by_one: a.by_one + b.by_one,
    })
}

/// Verdict, how far beyond its limit it truly is, and the stated uncertainty: of each characteristic, and of the pattern as one.
fn verdicts(
    sheet: &MeasuringSheet,
    judged: &JudgedArticle,
    truth: &Truth,
    at_maximum: bool,
) -> Vec<(ItemVerdict, f64, f64)> {
    let single = [
        ("bushing seat", "diameter", 49.2125 + 2.0 * truth.seat.1),
        ("bushing seat", "position", 2.0 * truth.seat.0.norm()),
        ("seal counterbore", "diameter", 61.9125 + 2.0 * truth.counterbore.1),
        ("seal counterbore", "coaxiality", 2.0 * (truth.counterbore.0 - truth.seat.0).norm()),
        ("register", "diameter", 146.05 + 2.0 * truth.register),
    ];
    let mut out: Vec<(ItemVerdict, f64, f64)> = single
        .iter()
        .map(|(what, word, truth)| {
            let c = sheet.characteristics.iter().find(|c| c.what.contains(what) && c.words() == *word);
            let c = c.expect("a characteristic");
            let item = judged.found(c.number).expect("an item");
            let beyond = (c.limits.least.unwrap_or(f64::MIN) - truth)
                .max(truth - c.limits.greatest.unwrap_or(f64::MAX));
            (item.verdict, beyond, item.uncertainty)
        })
        .collect();
    let holes = sheet.characteristics.iter().filter(|c| c.what.starts_with('F') && c.words() == "position");
    let items: Vec<_> = holes.map(|c| judged.found(c.number).expect("an item")).collect();
    assert_eq!(items.len(), 6, "six holes");
    let verdict = items.iter().map(|i| i.verdict).min().expect("a hole");
    let uncertainty = items.iter().map(|i| i.uncertainty).fold(0.0, f64::max);
    out.push((verdict, truth.pattern(at_maximum) - 0.4, uncertainty));
    out
}
