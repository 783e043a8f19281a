//! Draws whole housings at random from the parameter schema, not from any file, and measures what becomes of each: the
//! solid without fillets, the solid with them, and on demand every form, the casting alone or the
//! pattern with its loose pieces; or only the rules, or only the first of these.
//!
//! `cargo run --release --example drawn_housings -- [COUNT] [--half work|report] [--rules|--sharp|--casting|--pattern|--forms] [--only SEED] [--keep DIR]
//! [--csv FILE] [--jobs N] [--cores N]`
//!
//! Seeds run from 1 to COUNT (1000). The half `work` holds the odd ones, on which the program may be mended; `report`, the
//! even ones, is for telling how good it is. `--keep` writes the files of all seeds measured that failed somewhere, or of
//! the one asked for. Times are those that one core worked on one housing, or as many as `--cores` tells. `--csv` is written row by row as they come.

#![allow(clippy::print_stdout, clippy::expect_used, reason = "an example prints and may stop")]

mod cast;
mod contact;
#[path = "../../tests/common/drawn_housing.rs"]
#[allow(unreachable_pub, dead_code, reason = "shared with the tests")]
mod drawn_housing;
mod measure;
mod outside;
mod pieces;
mod table;

use std::fs;
use std::io::Write;
use std::path::PathBuf;
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};

use measure::{Far, Row};

/// What the command line asks for.
struct Asked {
    count: u64,
    report: bool,
    far: Far,
    only: Option<u64>,
    keep: Option<PathBuf>,
    csv: Option<PathBuf>,
    jobs: usize,
    cores: usize,
}

impl Asked {
    fn read() -> Self {
        let mut asked = Self {
            count: 1000,
            report: true,
            far: Far::Solids,
            only: None,
            keep: None,
            csv: None,
            jobs: 1,
            cores: 1,
        };
        let mut args = std::env::args().skip(1);
        while let Some(arg) = args.next() {
            let mut value = || args.next().expect("a value behind the option");
            match arg.as_str() {
                "--half" => match value().as_str() {
                    "work" => asked.report = false,
                    "report" => asked.report = true,
                    other => panic!("`{other}` is no half: work or report"),
                },
                "--rules" => asked.far = Far::Rules,
                "--sharp" => asked.far = Far::Sharp,
                "--casting" => asked.far = Far::Casting,
                "--pattern" => asked.far = Far::Pattern,
                "--forms" => asked.far = Far::Forms,
                "--only" => asked.only = Some(value().parse().expect("a seed")),
                "--keep" => asked.keep = Some(value().into()),
                "--csv" => asked.csv = Some(value().into()),
                "--cores" => asked.cores = value().parse().expect("a number of cores"),
                "--jobs" => asked.jobs = value().parse().expect("a number of jobs"),
                other => asked.count = other.parse().expect("a number of seeds, or an option"),
            }
        }
        asked
    }

    fn seeds(&self) -> Vec<u64> {
        let odd = u64::from(!self.report);
        self.only.map_or_else(|| (1..=self.count).filter(|seed| seed % 2 == odd).collect(), |seed| vec![seed])
    }

    fn title(&self) -> String {
        let half = if self.report { "report (even seeds)" } else { "work (odd seeds)" };
        if let Some(seed) = self.only {
            return format!("drawn housing, seed {seed}");
        }
        let (count, jobs, cores) = (self.count, self.jobs, self.cores);
        format!("drawn housings, half {half} of seeds 1 to {count}, {jobs} at a time, each on {cores} cores")
    }

    fn keep(&self, row: &Row) {
        let wanted = self.only.is_some() || row.failed();
        if let Some(folder) = self.keep.as_ref().filter(|_| wanted) {
            fs::create_dir_all(folder).expect("the folder");
            fs::write(folder.join(format!("seed_{}.yaml", row.seed)), drawn_housing::drawn(row.seed))
                .expect("a file");
        }
    }
}

/// The rows of all seeds in order, each made on as many cores as asked for.
fn rows(asked: &Asked) -> Vec<Row> {
    let seeds = asked.seeds();
    let next = AtomicUsize::new(0);
    let csv = asked.csv.as_ref().map(|path| Mutex::new(fs::File::create(path).expect("the file of rows")));
    let write = |text: String| {
        if let Some(file) = &csv {
            file.lock().expect("the file of rows").write_all(text.as_bytes()).expect("a row");
        }
    };
    write(table::csv_head());
    let work = || {
        // A pool of its own, so that no worker takes a piece of another's housing while its clock runs.
        let pool = rayon::ThreadPoolBuilder::new().num_threads(asked.cores).build().expect("a thread");
        let mut rows = Vec::new();
        while let Some(&seed) = seeds.get(next.fetch_add(1, Ordering::Relaxed)) {
            let row = pool.install(|| measure::measure(seed, &drawn_housing::drawn(seed), asked.far));
            asked.keep(&row);
            write(table::csv_line(&row));
            rows.push(row);
        }
        rows
    };
    let mut rows: Vec<Row> = std::thread::scope(|scope| {
        let workers: Vec<_> = (0..asked.jobs.max(1)).map(|_| scope.spawn(work)).collect();
        workers.into_iter().flat_map(|w| w.join().expect("a worker's rows")).collect()
    });
    rows.sort_by_key(|row| row.seed);
    rows
}

fn main() {
    let asked = Asked::read();
    // What the program says of a panic would stand between the rows.
    std::panic::set_hook(Box::new(|_| {}));
    let rows = rows(&asked);
    print!("{}\n{}", asked.title(), table::table(&rows));
    if asked.only.is_some() {
        print!("{}", table::one(&rows[0]));
    }
    std::process::exit(i32::from(rows.iter().any(Row::faulty)));
}
