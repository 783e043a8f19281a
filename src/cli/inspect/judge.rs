//! `inspect judge`: reads what was measured, and says whether the part is right.

use std::path::{Path, PathBuf};

use clap::Args;

use super::{Measured, on_sheet, working};
use crate::cautions;
use crate::cli::files::{self, test_targets, write};
use crate::cli::{Exit, complain, say};
use crate::design::Design;
use crate::inspection::{
    self, ArticleReadings, Articles, ItemVerdict, JudgedArticle, JudgingRules, MeasuringSheet, ReadingFault,
};
use crate::report::inspection as report;

/// Judge readings of sizes and probed points: conforms, does not conform, undecided within the uncertainty; and what it does to
/// the function. Exit code 1 unless everything was measured and conforms.
#[derive(Debug, Args)]
pub(super) struct Judge {
    /// Parameter file
    file: PathBuf,
    /// Readings: the CSV files of `inspect plan`, filled in; sizes, probed points, or both
    #[arg(required = true)]
    readings: Vec<PathBuf>,
    /// What was measured
    #[arg(long, value_name = "NAME", value_enum, default_value_t = Measured::Finished)]
    form: Measured,
    /// Expanded uncertainty (k = 2) of a probed point, in mm. The default is that of a coordinate machine in a workshop
    #[arg(long, value_name = "MM", value_parser = uncertainty)]
    point_uncertainty: Option<f64>,
    /// Write all values and verdicts to this file
    #[arg(long, value_name = "FILE.json")]
    json: Option<PathBuf>,
    /// List every characteristic, not only those that do not conform
    #[arg(long)]
    all: bool,
}

/// An uncertainty of the command line.
fn uncertainty(text: &str) -> Result<f64, String> {
    let value: f64 = text.parse().map_err(|_| "not a number".to_owned())?;
    if value > 0.0 && value <= 1.0 { Ok(value) } else { Err("it is above 0 and at most 1 mm".to_owned()) }
}

impl Judge {
    pub(super) fn judged(&self) -> Result<Exit, Exit> {
        let (design, _) = files::design(&self.file, self.form.hold())?;
        let targets: Vec<&Path> = self.json.iter().map(PathBuf::as_path).collect();
        let mut inputs = design.named_files();
        inputs.extend(self.readings.iter().cloned());
        test_targets(&self.file, &inputs, &targets)?;
        let sheet = on_sheet(&design, self.form, &working(), |prepared| Ok(prepared.sheet))?;
        let articles = read(&self.readings, &sheet)?;
        let mut rules = JudgingRules::of(&design);
        rules.of_point = self.point_uncertainty.unwrap_or(rules.of_point);
        let judged = all_of(&self.readings, &sheet, rules, &articles)?;
        self.tell(&design, &sheet, rules, &judged, &inputs)
    }

    fn tell(
        &self,
        design: &Design,
        sheet: &MeasuringSheet,
        rules: JudgingRules,
        judged: &[JudgedArticle],
        read: &[PathBuf],
    ) -> Result<Exit, Exit> {
        if let Some(path) = &self.json {
            let figures = report::figures(design, sheet, rules, judged);
            let text = format!("{figures:#}\n");
            write(&self.file, read, &[(path.as_path(), text.as_bytes())])?;
        }
        for article in judged {
            say(&report::text(design, sheet, article, self.all));
        }
        say(&cautions::lines(&cautions::of_build(&[self.form.form()])));
        let right = judged.iter().all(|a| a.verdict() == ItemVerdict::Conforms);
        Ok(if right { Exit::Done } else { Exit::Failed })
    }
}

/// Judges all articles; tells what hinders.
pub(super) fn all_of(
    readings: &[PathBuf],
    sheet: &MeasuringSheet,
    rules: JudgingRules,
    articles: &Articles,
) -> Result<Vec<JudgedArticle>, Exit> {
    let judged = |(name, article): &(String, ArticleReadings)| {
        inspection::judge(sheet, rules, name, article).map_err(|faults| {
            let exit = refuse(readings, name, &faults);
            complain("nothing was judged\n");
            exit
        })
    };
    articles.iter().map(judged).collect()
}

/// Tells the faults of an article.
pub(super) fn refuse(readings: &[PathBuf], name: &str, faults: &[ReadingFault]) -> Exit {
    let files: Vec<String> = readings.iter().map(|p| p.display().to_string()).collect();
    complain(&report::faults(&format!("{}, article {name}", files.join(", ")), faults));
    Exit::BadInput
}

/// Reads all files; tells every fault with its file and line.
pub(super) fn read(readings: &[PathBuf], sheet: &MeasuringSheet) -> Result<Articles, Exit> {
    let mut articles = Articles::new();
    let mut wrong = false;
    for path in readings {
        let text = std::fs::read(path).map_err(|error| files::unreadable(path, &error))?;
        let Ok(text) = String::from_utf8(text) else {
            complain(&format!("error: {}: this is not text in UTF-8; save it as CSV\n", path.display()));
            return Err(Exit::BadInput);
        };
        if let Err(faults) = inspection::read(&text, sheet, &mut articles) {
            complain(&report::faults(&path.display().to_string(), &faults));
            wrong = true;
        }
    }
    if wrong { Err(Exit::BadInput) } else { Ok(articles) }
}
