//! `inspect articles`: what several articles tell of the process and of the pattern.

use std::path::{Path, PathBuf};

use clap::Args;

use super::{Cast, Measured, Prepared, assumed_contraction, judge, on_sheet, told, working};
use crate::cautions;
use crate::cli::files::{self, test_targets, write};
use crate::cli::{Exit, complain, say};
use crate::design::Design;
use crate::export::maps;
use crate::finding::Hindrance;
use crate::forms::Casting;
use crate::inspection::{
    self, ArticleReadings, Articles, FoundContraction, JudgingRules, Machining, MeasuringSheet,
};
use crate::params::{self, Source};
use crate::report::inspection::{self as report, ArticlesReport, ContractionReport};

/// Compare several articles: capability with its confidence limits, run charts; of raw castings the contraction found, and the
/// pattern's correction in a copy of the parameter file.
#[derive(Debug, Args)]
pub(super) struct SeveralArticles {
    /// Parameter file
    file: PathBuf,
    /// Readings of several articles, in the order in which they were made: the column `article` tells them apart
    #[arg(required = true)]
    readings: Vec<PathBuf>,
    /// What was measured
    #[arg(long, value_name = "NAME", value_enum, default_value_t = Measured::Finished)]
    form: Measured,
    /// Write the run charts to this page
    #[arg(long, value_name = "FILE.html")]
    html: Option<PathBuf>,
    /// Write all figures to this file
    #[arg(long, value_name = "FILE.json")]
    json: Option<PathBuf>,
    /// Write a copy of the parameter file with the corrected contraction; needs `--form casting`
    #[arg(long, value_name = "FILE.yaml")]
    write: Option<PathBuf>,
}

impl SeveralArticles {
    pub(super) fn compared(&self) -> Result<Exit, Exit> {
        let (design, source) = files::design(&self.file, self.form.hold())?;
        let mut read = design.named_files();
        read.extend(self.readings.iter().cloned());
        let targets: Vec<&Path> =
            [&self.html, &self.json, &self.write].into_iter().flatten().map(PathBuf::as_path).collect();
        test_targets(&self.file, &read, &targets)?;
        if self.write.is_some() && self.form == Measured::Finished {
            complain(
                "error: `--write` needs `--form casting`: a machined part does not tell the contraction\n",
            );
            return Err(Exit::BadInput);
        }
        let compared = |prepared: Prepared| self.told(&design, source.as_ref(), &prepared);
        let Compared { sheet, told, copy } = on_sheet(&design, self.form, &working(), compared)?;
        let mut out: Vec<(&Path, Vec<u8>)> = Vec::new();
        if let Some(path) = &self.html {
            out.push((path, report::run_charts(&design, &sheet, &told).into_bytes()));
        }
        if let Some(path) = &self.json {
            let figures = report::articles_figures(&design, &sheet, &told);
            out.push((path, format!("{figures:#}\n").into_bytes()));
        }
        if let Some((path, copy)) = self.write.as_ref().zip(copy) {
            out.push((path, copy.into_bytes()));
        }
        write(&self.file, &read, &out)?;
        say(&report::articles_text(&design, &sheet, &told));
        say(&cautions::lines(&cautions::of_build(&[self.form.form()])));
        Ok(Exit::Done)
    }

    fn told(&self, design: &Design, source: Option<&Source>, prepared: &Prepared) -> Result<Compared, Exit> {
        let sheet = &prepared.sheet;
        let articles = judge::read(&self.readings, sheet)?;
        let rules = JudgingRules::of(design);
        let names = articles.iter().map(|(name, _)| name.clone()).collect();
        let mut told = ArticlesReport { names, capabilities: vec![], contraction: None };
        let mut copy = None;
        match &prepared.cast {
            None => {
                let judged = judge::all_of(&self.readings, sheet, rules, &articles)?;
                told.capabilities = inspection::capabilities(sheet, &judged);
            }
            Some(Cast { made, finished, .. }) => {
                let judged = self.sizes_of(sheet, rules, &articles)?;
                told.capabilities = inspection::capabilities(sheet, &judged);
                let machining = inspection::machining(made, finished, sheet);
                let (report, text) = self.contraction(design, source, sheet, made, &machining, &articles)?;
                told.contraction = report;
                copy = text;
            }
        }
        Ok(Compared { sheet: prepared.sheet.clone(), told, copy })
    }

    /// Raw castings have no datum frame of machined faces: only their readings of sizes are judged.
    fn sizes_of(
        &self,
        sheet: &MeasuringSheet,
        rules: JudgingRules,
        articles: &Articles,
    ) -> Result<Vec<inspection::JudgedArticle>, Exit> {
        let sizes = |a: &ArticleReadings| ArticleReadings {
            sizes: a.sizes.clone(),
            gauges: a.gauges.clone(),
            ..ArticleReadings::default()
        };
        let only: Articles = articles.iter().map(|(n, a)| (n.clone(), sizes(a))).collect();
        judge::all_of(&self.readings, sheet, rules, &only)
    }

    fn contraction(
        &self,
        design: &Design,
        source: Option<&Source>,
        sheet: &MeasuringSheet,
        made: &Casting,
        machining: &Machining,
        articles: &Articles,
    ) -> Result<(Option<ContractionReport>, Option<String>), Exit> {
        let probed: Vec<&(String, ArticleReadings)> =
            articles.iter().filter(|(_, a)| !a.places.is_empty()).collect();
        if probed.is_empty() {
            return Ok((None, None));
        }
        let assumed = assumed_contraction(design);
        let [axial, radial, _] = assumed;
        let cast = maps::probe(&made.moulded.casting.solid).map_err(|e| told(&Hindrance::from(&e)))?;
        let mut all = Vec::new();
        for (name, article) in probed {
            let found = inspection::contraction(sheet, machining, &cast, assumed, article)
                .map_err(|faults| judge::refuse(&self.readings, name, &faults))?;
            all.push((name.clone(), found));
        }
        let mean = [0, 1, 2].map(|k| {
            let of: Vec<FoundContraction> = all.iter().filter_map(|(_, by)| by[k]).collect();
            inspection::mean_contraction(&of)
        });
        let found = [mean[0], inspection::across(mean[1], mean[2])];
        let corrected = source.and_then(|source| {
            let raw = params::read(source).ok()?;
            Some(inspection::corrected(source, &raw.file, [axial, radial], found))
        });
        let (text, corrections) = corrected.unzip();
        let corrections = corrections.unwrap_or_default();
        Ok((Some(ContractionReport { assumed, articles: all, mean, corrections }), text))
    }
}

/// What is told, and what is written.
struct Compared {
    sheet: MeasuringSheet,
    told: ArticlesReport,
    copy: Option<String>,
}
