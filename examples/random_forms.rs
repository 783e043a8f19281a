//! Changes numbers of the shipped parameter files at random within the schema's ranges and makes every form of those that
//! build; counts what came of each form. Anything but a sound solid is printed with its seed.
//!
//! `cargo run --release --example random_forms -- [COUNT] [FIRST_SEED]`

#![allow(clippy::print_stdout, clippy::expect_used, reason = "an example prints and may stop")]

#[path = "../tests/common/changed_params.rs"]
#[allow(unreachable_pub, dead_code, reason = "shared with the tests")]
mod changed_params;

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::time::Instant;

use changed_params::{Random, changed};
use tailpattern::design::Design;
use tailpattern::forms::{self, FormError, FormPieces};
use tailpattern::housing::{self, Housing};
use tailpattern::params::{self, Source};

/// Makes a form out of a casting.
type Maker = fn(&forms::Casting) -> Result<FormPieces, FormError>;

/// How often a form was made, and what it came to else, with the seeds.
#[derive(Default)]
struct Row {
    made: usize,
    failed: BTreeMap<String, Vec<u64>>,
    seconds: Vec<f64>,
}

impl Row {
    fn count(&mut self, seed: u64, seconds: f64, outcome: Result<(), &FormError>) {
        self.seconds.push(seconds);
        match outcome {
            Ok(()) => self.made += 1,
            Err(error) => {
                // The message up to the first number tells the kind.
                let text = error.to_string();
                let kind = text
                    .split(|c: char| c.is_ascii_digit() || c == '(')
                    .next()
                    .unwrap_or_default()
                    .to_owned();
                self.failed.entry(kind).or_default().push(seed);
            }
        }
    }
}

fn files() -> Vec<(PathBuf, String)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("params");
    let mut out: Vec<PathBuf> =
        fs::read_dir(folder).expect("params/").map(|e| e.expect("an entry").path()).collect();
    out.sort();
    out.into_iter().map(|p| (p.clone(), fs::read_to_string(p).expect("readable"))).collect()
}

fn design(text: &str) -> Option<Design> {
    let source = Source::from_bytes("random.yaml", text.as_bytes().to_vec()).ok()?;
    Design::validate(params::read(&source).ok()?).value
}

fn all_forms(design: &Design, finished: &Housing, seed: u64, rows: &mut BTreeMap<&'static str, Row>) {
    let mut count = |name: &'static str, start: Instant, outcome: Result<(), &FormError>| {
        rows.entry(name).or_default().count(seed, start.elapsed().as_secs_f64(), outcome);
    };
    let start = Instant::now();
    let casting = forms::casting(design, finished);
    count("casting", start, casting.as_ref().map(|_| ()));
    let start = Instant::now();
    let print = forms::trial_print(design, finished);
    count("trial print", start, print.as_ref().map(|_| ()));
    let Ok(casting) = casting else { return };
    let makers: [(&'static str, Maker); 3] =
        [("pattern", forms::pattern), ("core", forms::core), ("core box", forms::core_box)];
    for (name, make) in makers {
        let start = Instant::now();
        let made = make(&casting);
        count(name, start, made.as_ref().map(|_| ()));
    }
}

fn main() {
    let mut numbers = std::env::args().skip(1).map(|n| n.parse::<u64>().expect("a number"));
    let (count, first) = (numbers.next().unwrap_or(100), numbers.next().unwrap_or(0));
    let files = files();
    let mut rows: BTreeMap<&'static str, Row> = BTreeMap::new();
    let mut built = 0;
    for seed in first..first + count {
        let mut random = Random::new(seed);
        let (_, text) = &files[seed as usize % files.len()];
        let Some(design) = design(&changed(text, &mut random)) else { continue };
        let Ok(finished) = housing::build(&design) else { continue };
        built += 1;
        all_forms(&design, &finished, seed, &mut rows);
    }
    println!("{count} sets, {built} build");
    for (name, mut row) in rows {
        row.seconds.sort_by(f64::total_cmp);
        let at = |share: f64| row.seconds[((row.seconds.len() - 1) as f64 * share) as usize] * 1e3;
        println!(
            "{name}: {} of {} made; median {:.0} ms, 90 % {:.0} ms, most {:.0} ms",
            row.made,
            row.seconds.len(),
            at(0.5),
            at(0.9),
            at(1.0)
        );
        for (kind, seeds) in row.failed {
            println!("  {:4} {kind}, seeds {:?}", seeds.len(), &seeds[..seeds.len().min(6)]);
        }
    }
}
