//! `inspect judge`: reads what was measured, and says whether the part is right.

use std::path::{Path, PathBuf};

use clap::Args;

use super::{Measured, on_sheet, working};
use crate::cautions;
use crate::cli::files::{self, test_targets, write};
use crate::cli::{Exit, complain, say};
use crate::design::Design;
use crate::export::sha256;
use crate::inspection::{
    self, ArticleReadings, Articles, JudgedArticle, JudgingRules, MeasuringSheet, OverallVerdict,
    ReadingFault,
};
use crate::params::Source;
use crate::report::document::{html, pdf};
use crate::report::inspection as report;

/// Judge readings of sizes and probed points: conforms, does not conform, undecided within the uncertainty; and what it does to
/// the function. Exit code 1 unless everything was measured and conforms, and the part lines up.
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
    #[arg(long, value_name = "MM", value_parser = super::uncertainty)]
    point_uncertainty: Option<f64>,
    /// Write all values and verdicts to this file
    #[arg(long, value_name = "FILE.json")]
    json: Option<PathBuf>,
    /// Write the judgement as a sheet for the article's files, as PDF
    #[arg(long, value_name = "FILE.pdf")]
    pdf: Option<PathBuf>,
    /// The same as a page
    #[arg(long, value_name = "FILE.html")]
    page: Option<PathBuf>,
    /// List every characteristic, not only those that do not conform
    #[arg(long)]
    all: bool,
}

impl Judge {
    pub(super) fn judged(&self) -> Result<Exit, Exit> {
        let (design, source) = files::design(&self.file, self.form.hold())?;
        let targets: Vec<&Path> =
            [&self.json, &self.pdf, &self.page].into_iter().flatten().map(PathBuf::as_path).collect();
        let mut inputs = design.named_files();
        inputs.extend(self.readings.iter().cloned());
        test_targets(&self.file, &inputs, &targets)?;
        let sheet = on_sheet(&design, self.form, &working(), |prepared| Ok(prepared.sheet))?;
        let articles = read(&self.readings, &sheet)?;
        self.sizes_only(&articles)?;
        let mut rules = JudgingRules::of(&design);
        rules.of_point = self.point_uncertainty.unwrap_or(rules.of_point);
        let judged = all_of(&self.readings, &sheet, rules, &articles)?;
        self.written(&design, source.as_ref(), &sheet, rules, &judged, &inputs)?;
        Ok(self.tell(&design, &sheet, &judged))
    }

    /// A raw casting has no datum frame of machined faces: its points tell a set-up, not a verdict.
    fn sizes_only(&self, articles: &Articles) -> Result<(), Exit> {
        let probed = articles.iter().any(|(_, a)| !a.places.is_empty());
        if self.form == Measured::Finished || !probed {
            return Ok(());
        }
        complain(
            "error: a raw casting is judged by its sizes; `inspect shift` takes its probed points and finds the set-up, and `inspect articles --form casting` the contraction\nnothing was judged\n",
        );
        Err(Exit::BadInput)
    }

    /// Writes what was asked for.
    fn written(
        &self,
        design: &Design,
        source: Option<&Source>,
        sheet: &MeasuringSheet,
        rules: JudgingRules,
        judged: &[JudgedArticle],
        read: &[PathBuf],
    ) -> Result<(), Exit> {
        let mut out: Vec<(&Path, Vec<u8>)> = Vec::new();
        if let Some(path) = &self.json {
            let figures = report::figures(design, sheet, rules, judged);
            out.push((path, format!("{figures:#}\n").into_bytes()));
        }
        if self.pdf.is_some() || self.page.is_some() {
            let hash = source.map_or_else(String::new, |s| sha256(s.text()));
            let names: Vec<String> = self.readings.iter().map(|p| files::file_name(p)).collect();
            let form = self.form.form();
            let document = report::judgement_sheet(design, form, sheet, rules, judged, &names, &hash);
            if let Some(path) = &self.page {
                out.push((path, html::text(&document).into_bytes()));
            }
            if let Some(path) = &self.pdf {
                let bytes = pdf::bytes(&document).map_err(|error| {
                    complain(&format!("error: {}: the sheet cannot be written: {error}\n", path.display()));
                    Exit::ProgramFault
                })?;
                out.push((path, bytes));
            }
        }
        write(&self.file, read, &out)
    }

    fn tell(&self, design: &Design, sheet: &MeasuringSheet, judged: &[JudgedArticle]) -> Exit {
        for article in judged {
            say(&report::text(design, sheet, article, self.all));
        }
        say(&cautions::lines(&cautions::of_build(&[self.form.form()])));
        let passes =
            |a: &JudgedArticle| OverallVerdict::of(sheet, a, &inspection::effects(design, sheet, a)).passes();
        let right = judged.iter().all(passes);
        if right { Exit::Done } else { Exit::Failed }
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
        if path.is_dir() {
            complain(&format!(
                "error: {}: this is a folder; name the CSV files of readings in it\n",
                path.display()
            ));
            return Err(Exit::FileTrouble);
        }
        let text = std::fs::read(path).map_err(|error| files::unreadable(path, &error))?;
        let Ok(text) = String::from_utf8(text) else {
            complain(&format!(
                "error: {}: this is not text in UTF-8; save it as CSV in UTF-8\n",
                path.display()
            ));
            return Err(Exit::BadInput);
        };
        if let Err(faults) = inspection::read(&text, sheet, &mut articles) {
            complain(&report::faults(&path.display().to_string(), &faults));
            wrong = true;
        }
    }
    if wrong { Err(Exit::BadInput) } else { Ok(articles) }
}
