//! `sweep`: many variants of one parameter file, with tables, answers, plots and a page.

mod answers;
pub(super) mod plan;
mod progress;

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use clap::{Args, Subcommand, ValueEnum};

use self::progress::Meter;
use super::completions::Keys;
use super::{Exit, complain, say};
use crate::sweep::answers::Answers;
use crate::sweep::cards;
use crate::sweep::goal::Goal;
use crate::sweep::keep::keep;
use crate::sweep::merge::{self, MergeError};
use crate::sweep::pictures::{self, RowPictureError};
use crate::sweep::row::SweepRow;
use crate::sweep::run::{self, Job};
use crate::sweep::store::StoreError;
use crate::sweep::variant::Variant;
use crate::words::counted;

/// Vary numbers of a parameter file; write a table of all variants and evaluate it.
#[derive(Debug, Args)]
#[command(args_conflicts_with_subcommands = true, subcommand_negates_reqs = true)]
pub(super) struct Sweep {
    #[command(subcommand)]
    action: Option<Action>,
    /// Parameter file
    #[arg(required = true)]
    file: Option<PathBuf>,
    /// A number and its values: KEY=from..to/count, KEY=a,b,c or, with --sample, KEY=from..to. A unit may follow
    #[arg(long, value_name = "KEY=VALUES", value_parser = Keys::Numbers, hide_possible_values = true, allow_hyphen_values = true)]
    over: Vec<String>,
    /// A number that depends on others, in the file's units: KEY=sum, such as `shift_box_pad.station=mount_pad.offset+150`
    #[arg(long, value_name = "KEY=FORMULA", value_parser = Keys::Numbers, hide_possible_values = true)]
    link: Vec<String>,
    /// Draw this many samples from the ranges instead of a grid
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..))]
    sample: Option<u32>,
    /// Seed of the random samples
    #[arg(long, value_name = "S", default_value_t = 1, requires = "sample")]
    seed: u64,
    /// How samples are drawn: Latin hypercube, or Sobol points (not scrambled with --seed 0)
    #[arg(long, value_name = "METHOD", default_value = "latin", value_parser = ["latin", "sobol"], requires = "sample")]
    by: String,
    /// A check to make, by its name as `check` prints it, or `all` or `none`. Repeat the option for several checks
    #[arg(long, value_name = "NAME", default_value = "all", value_parser = Keys::Checks, hide_possible_values = true)]
    check: Vec<String>,
    /// Keep the parameter file and STEP file of variants with these verdicts, separated by commas
    #[arg(long, value_name = "VERDICT", value_delimiter = ',', value_parser = ["pass", "warn", "unchecked", "fail"])]
    keep: Vec<String>,
    /// Two objectives for the best and the Pareto-optimal rows: mass, volume, margin or margin:CHECK
    #[arg(long, value_name = "A,B", default_value = "mass,margin", value_parser = answers::goals)]
    goals: [Goal; 2],
    /// Rows to draw a picture of: those that the page shows by themselves, every row, or none
    #[arg(long, value_name = "ROWS", value_enum, default_value_t = Pictures::Shown)]
    pictures: Pictures,
    /// Folder for the results. The default is out/NAME-sweep
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// Resume the sweep in that folder, or begin one if the folder is empty
    #[arg(long)]
    resume: bool,
    /// Only this part of all rows, such as 2/5; join the parts with `sweep merge`
    #[arg(long, value_name = "I/N", value_parser = shard)]
    shard: Option<(u64, u64)>,
    /// Number of worker threads. The default is one for each core
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=1024))]
    threads: Option<u16>,
}

/// The rows of which pictures are drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum Pictures {
    /// The rows that the page shows by themselves
    Shown,
    /// Every row
    All,
    /// None
    None,
}

#[derive(Debug, Subcommand)]
enum Action {
    /// Join the folders of shards and report what is missing or duplicated
    Merge {
        /// Folders that `sweep --shard` made
        #[arg(required = true)]
        shards: Vec<PathBuf>,
        /// Folder for the whole sweep
        #[arg(long, value_name = "DIR")]
        out: PathBuf,
    },
    /// Evaluate a finished sweep again from its folder
    Answers {
        /// Folder that `sweep` or `sweep merge` made
        folder: PathBuf,
        /// Two goals, as for `sweep`
        #[arg(long, value_name = "A,B", default_value = "mass,margin", value_parser = answers::goals)]
        goals: [Goal; 2],
    },
}

/// Reads `i/n`, from 1.
fn shard(text: &str) -> Result<(u64, u64), String> {
    let parts = text.split_once('/').and_then(|(i, n)| Some((i.parse().ok()?, n.parse().ok()?)));
    parts
        .filter(|(i, n): &(u64, u64)| (1..=*n).contains(i))
        .ok_or_else(|| "write number/total, such as 3/8, with a number from 1 to the total".to_owned())
}

impl Sweep {
    pub(super) fn run(&self) -> Exit {
        let ended = match &self.action {
            Some(Action::Merge { shards, out }) => merged(shards, out, &self.goals),
            Some(Action::Answers { folder, goals }) => answers::gathered(folder, goals)
                .and_then(|gathered| answers::write(folder, &gathered))
                .map(|whole| if whole { Exit::Done } else { Exit::Failed }),
            None => self.swept(),
        };
        match ended {
            Ok(exit) | Err(exit) => exit,
        }
    }

    fn swept(&self) -> Result<Exit, Exit> {
        let plan = self.plan()?;
        let stem = self.file.as_deref().and_then(Path::file_stem).unwrap_or_default().to_string_lossy();
        let folder = self.out.clone().unwrap_or_else(|| PathBuf::from(format!("out/{stem}-sweep")));
        let (number, of) = self.shard.unwrap_or((1, 1));
        let range = run::shard(plan.rows(), number, of);
        let stop = Arc::new(AtomicBool::new(false));
        let asked = Arc::clone(&stop);
        // Without a handler Ctrl-C ends the program at once, and only the rows in progress are lost.
        let _handler = ctrlc::set_handler(move || asked.store(true, Ordering::Relaxed));
        let lost = AtomicBool::new(false);
        let at_once = match self.pictures {
            Pictures::All => true,
            // All rows of a small sweep are shown: drawing them with the row spares building them again.
            Pictures::Shown => plan.rows() <= cards::MOST as u64,
            Pictures::None => false,
        };
        let look = |row: &SweepRow, made: &Variant| {
            if self.keep.iter().any(|word| word == row.verdict.word())
                && let Err(error) = keep(&folder, row, made)
                && !lost.swap(true, Ordering::Relaxed)
            {
                complain(&format!("error: files of row {}: {error}\n", row.index));
                stop.store(true, Ordering::Relaxed);
            }
            if at_once && let Err(error) = pictures::keep(&folder, row.index, made) {
                no_picture(row.index, &error);
            }
        };
        let cores = std::thread::available_parallelism().map_or(1, usize::from);
        let threads = self.threads.map_or(cores, usize::from);
        let job = Job {
            plan: &plan,
            folder: &folder,
            range,
            resume: self.resume,
            threads,
            stop: &stop,
            look: &look,
        };
        let mut meter = Meter::new();
        let whole = run::run(&job, &mut |p| meter.show(p)).map_err(|e| told(&e))?;
        say(&meter.end());
        if lost.load(Ordering::Relaxed) {
            return Err(Exit::FileTrouble);
        }
        if !whole {
            complain("interrupted; continue with the same command and --resume\n");
            return Ok(Exit::Stopped);
        }
        if of == 1 {
            let gathered = answers::gathered(&folder, &self.goals)?;
            self.draw_missing(&job, &gathered);
            answers::write(&folder, &gathered)?;
        }
        say(&format!("  {}\n", if of == 1 { folder.join("sweep.html") } else { folder }.display()));
        Ok(Exit::Done)
    }

    /// Draws the rows that the page shows and that have no picture yet.
    fn draw_missing(&self, job: &Job, answers: &Answers) {
        let rows: Vec<u64> = match self.pictures {
            Pictures::Shown => cards::wanted(answers),
            Pictures::All => job.range.clone().collect(),
            Pictures::None => return,
        };
        let (plan, folder, threads, stop) = (job.plan, job.folder, job.threads, job.stop);
        pictures::make_missing(plan, folder, &rows, threads, stop, &mut no_picture);
    }
}

/// Tells that a row has no picture.
fn no_picture(row: u64, error: &RowPictureError) {
    complain(&format!("warning: row {row} has no picture: {error}\n"));
}

/// Prints why a sweep's folder cannot be used.
fn told(error: &StoreError) -> Exit {
    complain(&format!("error: {error}\n"));
    match error {
        StoreError::Taken(_) | StoreError::Other { .. } | StoreError::NoSweep(_) => Exit::BadInput,
        _ => Exit::FileTrouble,
    }
}

fn merged(shards: &[PathBuf], out: &Path, goals: &[Goal; 2]) -> Result<Exit, Exit> {
    let merged = merge::merge(shards, out).map_err(|error| match &error {
        MergeError::Store(error) => told(error),
        other => {
            complain(&format!("error: {other}\n"));
            Exit::BadInput
        }
    })?;
    say(&format!("{} of {} combined\n", merged.rows, counted(merged.wanted, "row")));
    say(&ranges("missing", &merged.missing));
    say(&ranges("duplicate and identical, kept once", &merged.doubled));
    if merged.rows > 0 {
        answers::write(out, &answers::gathered(out, goals)?)?;
    }
    let page = if merged.rows > 0 { out.join("sweep.html") } else { out.to_owned() };
    say(&format!("  {}\n", page.display()));
    Ok(if merged.is_whole() { Exit::Done } else { Exit::Failed })
}

/// A line that lists ranges of rows.
fn ranges(what: &str, ranges: &[(u64, u64)]) -> String {
    if ranges.is_empty() {
        return String::new();
    }
    let one = |(a, b): &(u64, u64)| if a == b { a.to_string() } else { format!("{a} to {b}") };
    format!("  {what}: rows {}\n", ranges.iter().map(one).collect::<Vec<_>>().join(", "))
}
