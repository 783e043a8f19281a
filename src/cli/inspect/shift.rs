//! `inspect shift`: how to set up a raw casting so that every face cleans up.

use std::path::{Path, PathBuf};

use clap::Args;

use super::{Measured, Prepared, judge, on_sheet, targets, told, working};
use crate::cautions;
use crate::checks::Limits;
use crate::cli::files::{self, test_targets, write};
use crate::cli::{Exit, say};
use crate::export::maps;
use crate::finding::Hindrance;
use crate::inspection::{self, ArticleReadings, BestShift, ReadingFault};
use crate::report::inspection::{self as report, CoreReport};

/// Find the set-up of a raw casting that leaves the most even stock on all faces to be machined and keeps the walls behind them, or the
/// faces that stand in the way. Exit code 1 if no set-up serves, or the core left a wall too thin
/// or undecided.
#[derive(Debug, Args)]
pub(super) struct Shift {
    /// Parameter file
    file: PathBuf,
    /// Probed points of the raw casting: the CSV file of `inspect plan --form casting`, filled in. It may lie anywhere; measured as
    /// it stands on its targets, the packing at each target is told as well
    #[arg(required = true)]
    readings: Vec<PathBuf>,
    /// Write the set-up to this file
    #[arg(long, value_name = "FILE.json")]
    json: Option<PathBuf>,
}

/// What is found of an article.
struct Found {
    name: String,
    best: BestShift,
    core: CoreReport,
}

impl Shift {
    pub(super) fn found(&self) -> Result<Exit, Exit> {
        let (design, _) = files::design(&self.file, Measured::Casting.hold())?;
        let mut read = design.named_files();
        read.extend(self.readings.iter().cloned());
        let written: Vec<&Path> = self.json.iter().map(PathBuf::as_path).collect();
        test_targets(&self.file, &read, &written)?;
        let best = on_sheet(&design, Measured::Casting, &working(), |prepared| self.best(prepared))?;
        if let Some(path) = &self.json {
            let figures: Vec<serde_json::Value> =
                best.iter().map(|f| report::set_up_figures(&f.name, &f.best, Some(&f.core))).collect();
            let text = format!("{:#}\n", serde_json::Value::from(figures));
            write(&self.file, &read, &[(path.as_path(), text.as_bytes())])?;
        }
        for found in &best {
            say(&report::set_up_text(design.units(), &found.name, &found.best));
            say(&report::core_text(design.units(), &found.core));
        }
        say(&cautions::lines(&cautions::of_build(&[Measured::Casting.form()])));
        Ok(if best.iter().all(|f| f.best.serves && f.core.serves()) { Exit::Done } else { Exit::Failed })
    }

    /// The best set-up of each article, and how far its core lay off.
    fn best(&self, prepared: Prepared) -> Result<Vec<Found>, Exit> {
        let Prepared { product, sheet, cast: Some(cast), .. } = prepared else { return Ok(vec![]) };
        let articles = judge::read(&self.readings, &sheet)?;
        let machining = inspection::machining(cast.made, &cast.finished, &sheet);
        let probe = maps::probe(&cast.made.moulded.casting.solid).map_err(|e| told(&Hindrance::from(&e)))?;
        // A casting without targets is set up all the same.
        let stands_on = targets(product)?.as_deref().unwrap_or_default();
        let of = |(name, article): (String, ArticleReadings)| {
            let faults = |faults: Vec<ReadingFault>| judge::refuse(&self.readings, &name, &faults);
            let best = inspection::best_shift(&sheet, &machining, stands_on, &article).map_err(faults)?;
            let core = inspection::core_shift(&sheet, &machining, &probe, &article).map_err(faults)?;
            let core = CoreReport::of(core, &probe, Limits::of(product.design()).oil_wall);
            Ok(Found { name, best, core })
        };
        articles.into_iter().map(of).collect()
    }
}
