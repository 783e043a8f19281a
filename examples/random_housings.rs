//! Changes a few numbers of the shipped parameter files, and does only that: every part stays a near relative of one of
//! them, so what is counted here says nothing of housings at large. `drawn_housings` draws whole ones.
//!
//! The numbers change at random within the schema's ranges; each part is built, and what came of it is counted. Anything but a sound solid, a finding or a named error is printed with its seed and its file kept.
//!
//! `cargo run --release --example random_housings -- [COUNT] [FIRST_SEED] [FOLDER]`

#![allow(clippy::print_stdout, clippy::expect_used, reason = "an example prints and may stop")]

#[path = "../tests/common/changed_params.rs"]
#[allow(dead_code, unreachable_pub, reason = "shared with the tests")]
mod changed_params;

use std::collections::BTreeMap;
use std::fs;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
use std::time::Instant;

use changed_params::{Random, changed};
use solidwright::solid::SolidError;
use solidwright::solid::evaluate::EvaluateError;
use solidwright::solid::fillet::JointState;
use tailpattern::design::Design;
use tailpattern::housing::{self, Housing, HousingError};
use tailpattern::params::{self, Source};

/// Seconds after which a build is called slow.
const SLOW: f64 = 5.0;

/// What one parameter set came to.
enum Outcome {
    /// Codes of the findings that refused it.
    Refused(Vec<String>),
    /// The kind of a named error.
    Impossible(&'static str),
    Solid(Box<Housing>),
    /// Neither: the program is at fault.
    Fault(String),
}

/// The kind of an error, and whether it may come from a parameter file at all.
fn kind(error: &HousingError) -> (&'static str, bool) {
    match error {
        HousingError::Shape(_) => ("a feature's own shape", true),
        HousingError::Apart { .. } => ("comes apart", true),
        HousingError::Hollow { .. } => ("closed hollow", true),
        HousingError::Solid(SolidError::Unsound(_)) => ("unsound solid", false),
        HousingError::Solid(SolidError::Boundary(e)) => match e {
            EvaluateError::Empty => ("nothing left", true),
            EvaluateError::Touching { .. } => ("faces touch", true),
            EvaluateError::TouchingEdge { .. } => ("touches itself along an edge", true),
            EvaluateError::TouchingPoint { .. } => ("touches itself in a point", true),
            EvaluateError::Tangent { .. } => ("runs in tangentially", true),
            EvaluateError::TooNear { .. } => ("faces too near", true),
            EvaluateError::Open { .. } => ("boundary does not close", false),
        },
    }
}

fn outcome(text: &str) -> Outcome {
    let codes = |findings: &tailpattern::finding::Findings| -> Vec<String> {
        findings.iter().map(|f| f.code().to_string()).collect()
    };
    let raw = match Source::from_bytes("random.yaml", text.as_bytes().to_vec()).and_then(|s| params::read(&s))
    {
        Ok(raw) => raw,
        Err(findings) => return Outcome::Refused(codes(&findings)),
    };
    let checked = Design::validate(raw);
    let Some(design) = checked.value else { return Outcome::Refused(codes(&checked.findings)) };
    match housing::build(&design) {
        Ok(housing) => Outcome::Solid(Box::new(housing)),
        Err(error) => match kind(&error) {
            (name, true) => Outcome::Impossible(name),
            (name, false) => Outcome::Fault(format!("{name}: {error}")),
        },
    }
}

/// The same, a panic being a fault too.
fn guarded(text: &str) -> Outcome {
    catch_unwind(AssertUnwindSafe(|| outcome(text))).unwrap_or_else(|panic| {
        let said = panic.downcast_ref::<String>().cloned();
        let said = said.or_else(|| panic.downcast_ref::<&str>().map(|s| (*s).to_owned()));
        Outcome::Fault(format!("panic: {}", said.unwrap_or_default()))
    })
}

/// What is counted over all sets.
#[derive(Default)]
struct Tally {
    refused: BTreeMap<String, usize>,
    impossible: BTreeMap<&'static str, Vec<u64>>,
    /// Seconds of each build that gave a solid.
    times: Vec<f64>,
    faults: usize,
    unnamed: usize,
    /// Sets that were refused.
    bad: usize,
    joints: usize,
    whole: usize,
    untold: usize,
    /// Joints not made whole, by reason.
    reasons: BTreeMap<String, usize>,
}

impl Tally {
    fn count(&mut self, seed: u64, outcome: Outcome, seconds: f64) -> Option<String> {
        match outcome {
            Outcome::Refused(codes) => {
                self.bad += 1;
                self.unnamed += usize::from(codes.is_empty());
                let none = codes.is_empty().then(|| "refused without a finding".to_owned());
                for code in codes {
                    *self.refused.entry(code).or_default() += 1;
                }
                none
            }
            Outcome::Impossible(name) => {
                self.impossible.entry(name).or_default().push(seed);
                None
            }
            Outcome::Solid(housing) => {
                self.times.push(seconds);
                self.joints(&housing);
                let (bodies, volume) = (housing.solid.brep().bodies(), housing.solid.mass().volume);
                let sound = bodies == 1 && volume > 0.0;
                self.faults += usize::from(!sound);
                let odd = (!sound).then(|| format!("{bodies} bodies, volume {volume}"));
                odd.or_else(|| (seconds > SLOW).then(|| format!("slow: {seconds:.1} s")))
            }
            Outcome::Fault(what) => {
                self.faults += 1;
                Some(what)
            }
        }
    }

    fn joints(&mut self, housing: &Housing) {
        for j in &housing.joints {
            self.joints += 1;
            if j.state() == JointState::Whole {
                self.whole += 1;
            } else if let Some(trouble) = j.failure {
                let reason = format!("{trouble:?}, {}", if j.made > 0.0 { "smaller" } else { "sharp" });
                *self.reasons.entry(reason).or_default() += 1;
            } else {
                self.untold += 1;
            }
        }
    }

    fn show(&mut self, count: usize) {
        let share = |n: usize, of: usize| 100.0 * n as f64 / of.max(1) as f64;
        let line = |n: usize, of: usize, what: &str| println!("{n:7}  {:6.2} %  {what}", share(n, of));
        line(self.bad, count, "refused by rules, each by named findings");
        for (code, n) in &self.refused {
            println!("             {code} x{n}");
        }
        line(self.impossible.values().map(Vec::len).sum(), count, "impossible parts, each by a named error");
        for (name, seeds) in &self.impossible {
            let some: Vec<String> = seeds.iter().take(12).map(ToString::to_string).collect();
            println!("             {name} x{} (seeds {})", seeds.len(), some.join(" "));
        }
        line(self.times.len(), count, "sound closed solids");
        line(self.faults + self.unnamed, count, "panics, faults of the program, refusals without a name");
        line(self.whole, self.joints, &format!("of {} pieces of joint made whole", self.joints));
        line(self.untold, self.joints, "neither, and without a reason");
        for (reason, n) in &self.reasons {
            println!("             {reason} x{n}");
        }
        self.times.sort_by(f64::total_cmp);
        let at = |q: f64| self.times.get(((self.times.len() as f64 - 1.0) * q).round() as usize).copied();
        let ms = |q: f64| at(q).unwrap_or(f64::NAN) * 1e3;
        println!(
            "build of sound solids: median {:.0} ms, 90 % {:.0} ms, 99 % {:.0} ms, most {:.0} ms",
            ms(0.5),
            ms(0.9),
            ms(0.99),
            ms(1.0)
        );
    }
}

/// The shipped parameter files, in order.
fn shipped() -> Vec<String> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("params");
    let mut paths: Vec<PathBuf> =
        fs::read_dir(folder).expect("params").map(|e| e.expect("an entry").path()).collect();
    paths.sort();
    paths.iter().map(|p| fs::read_to_string(p).expect("a text")).collect()
}

fn main() {
    let mut args = std::env::args().skip(1);
    let count = args.next().map_or(500, |n| n.parse().expect("a number of sets"));
    let first: u64 = args.next().map_or(1, |n| n.parse().expect("a seed"));
    let folder = args.next().map(PathBuf::from);
    let texts = shipped();
    let mut tally = Tally::default();
    for seed in (first..).take(count) {
        let mut random = Random::new(seed);
        let base = random.below(texts.len());
        let text = changed(&texts[base], &mut random);
        let start = Instant::now();
        let outcome = guarded(&text);
        let told = tally.count(seed, outcome, start.elapsed().as_secs_f64());
        if let Some(what) = told {
            println!("seed {seed}: {what}");
            if let Some(folder) = &folder {
                fs::create_dir_all(folder).expect("the folder");
                fs::write(folder.join(format!("seed_{seed}.yaml")), &text).expect("a file");
            }
        }
    }
    println!("{count} parameter sets, seeds from {first}");
    tally.show(count);
    let untold = tally.untold + tally.faults + tally.unnamed;
    std::process::exit(i32::from(untold > 0));
}
