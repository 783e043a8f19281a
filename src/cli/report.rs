//! `report`: everything about a part on one page.

use std::path::{Path, PathBuf};

use clap::Args;
use rayon::prelude::*;
use serde_json::Value;

use super::build::CHORD;
use super::check::hold;
use super::files::Loaded;
use super::produce::with_sheet;
use super::working::Working;
use super::{Exit, complain, draw, files, say};
use crate::cautions;
use crate::checks::{self, Checks, Part};
use crate::design::Form;
use crate::export::form_files::{FileSettings, form_files};
use crate::export::sha256;
use crate::finding::Hindrance;
use crate::forms::Product;
use crate::housing;
use crate::params::Source;
use crate::report::page::{self, DrawnSheet, MadeFiles, Tally, scene};
use crate::words::counted;

/// Write one page about the part that opens without a network: verdict, findings, 3D view, fits, placing, sheets, files.
#[derive(Debug, Args)]
pub(super) struct Report {
    /// Parameter file
    file: PathBuf,
    /// Folder for the page; it goes into a subfolder named after the parameter file
    #[arg(long, value_name = "DIR", default_value = "out")]
    out: PathBuf,
}

/// The name of the page.
const PAGE: &str = "report.html";

impl Report {
    pub(super) fn run(&self) -> Exit {
        match self.reported() {
            Ok(exit) | Err(exit) => exit,
        }
    }

    fn reported(&self) -> Result<Exit, Exit> {
        let Loaded { design, source, findings } = files::loaded(&self.file, hold)?;
        let Some(source) = source else { return Err(Exit::BadInput) };
        let stem = self.file.file_stem().unwrap_or(self.file.as_os_str());
        let target = self.out.join(stem).join(PAGE);
        files::test_targets(&self.file, &design.named_files(), &[&target])?;
        let working = Working::on("making the solid of the finished part");
        let stopped = |why: Hindrance| {
            complain(&format!("error: {why}\n"));
            Exit::before(&why)
        };
        let finished = housing::build(&design).map_err(|error| stopped(Hindrance::from(&error)))?;
        let product = Product::new(&design, &finished);
        let made = Made::of(&product, &source, &working).map_err(stopped)?;
        drop(working);
        let report = page::PartReport {
            product: &product,
            groups: &made.groups,
            forms: &made.forms,
            drawings: &made.drawings,
            source: &source,
            hash: &made.hash,
            warnings: &findings,
        };
        let text = page::page(&report, &page::sections(&report), &made.scene);
        let out: [(&Path, &[u8]); 1] = [(&target, text.as_bytes())];
        files::write(&self.file, &design.named_files(), &out)?;
        say(&format!(
            "{}\n  {}  {:.2} MB\n",
            counts(&made.groups),
            target.display(),
            text.len() as f64 / 1e6
        ));
        let forms: Vec<Form> = made.forms.iter().filter(|(_, m)| m.is_ok()).map(|(form, _)| *form).collect();
        say(&cautions::lines(&cautions::of_build(&forms)));
        Ok(ended(&made))
    }
}

/// The number of checks with each verdict, in a line.
pub(super) fn counts(groups: &[(Part, Checks)]) -> String {
    let Tally { fail, warn, pass, unmade, .. } = Tally::of(groups);
    format!("{fail} failed, {warn} warned, {pass} passed, {unmade} not checked")
}

/// A failure stands whatever else is not known; a form that cannot be made, and a fault of the program, are no verdict.
fn ended(made: &Made) -> Exit {
    let Tally { fail, faults, .. } = Tally::of(&made.groups);
    if fail > 0 {
        return Exit::Failed;
    }
    let missing: Vec<_> =
        made.forms.iter().filter_map(|(form, made)| made.as_ref().err().map(|e| (form, e))).collect();
    if missing.is_empty() {
        return if faults > 0 { Exit::ProgramFault } else { Exit::Done };
    }
    complain(&format!("{} not made:\n", counted(missing.len(), "form")));
    for (form, error) in &missing {
        complain(&format!("  {}: {error}\n", form.name()));
    }
    if missing.iter().all(|(_, error)| error.is_internal()) { Exit::ProgramFault } else { Exit::Impossible }
}

/// What a report is made from, beside the part itself.
pub(super) struct Made {
    pub(super) groups: Vec<(Part, Checks)>,
    pub(super) forms: MadeFiles,
    pub(super) drawings: Vec<DrawnSheet>,
    pub(super) scene: Value,
    pub(super) hash: String,
}

/// The forms that checks examine.
pub(super) const CHECKED: [Form; 3] = [Form::Finished, Form::Casting, Form::TrialPrint];

impl Made {
    fn of(product: &Product, source: &Source, working: &Working) -> Result<Self, Hindrance> {
        working.now("making the solid of the casting");
        product.prepare(&Form::ALL);
        working.now("measuring");
        let groups = checks::each(product, &Part::of(&CHECKED)).map_err(|e| Hindrance::from(&e))?;
        let walls = scene::walls(&product.finished().solid)?;
        working.now("making the forms with their files and sheets");
        let hash = sha256(source.text());
        let forms = all_files(product, &hash);
        let scenes = scenes(product);
        working.now("drawing it");
        let drawings = draw::sheets(product, source);
        Ok(Self {
            groups,
            forms,
            drawings,
            scene: page::whole_scene(scenes, Some(walls), product.design().units()),
            hash,
        })
    }
}

/// The files of all forms with those of their sheets.
pub(super) fn all_files(product: &Product, hash: &str) -> MadeFiles {
    let settings = FileSettings { chord: CHORD, hash, picture: false };
    let made = form_files(product, &Form::ALL, &settings);
    made.into_par_iter()
        .map(|(form, made)| (form, made.and_then(|made| with_sheet(product, made, hash))))
        .collect()
}

/// The 3D data of all forms that can be made; why others cannot is told with their files.
pub(super) fn scenes(product: &Product) -> Vec<Value> {
    Form::ALL.iter().filter_map(|form| scene::form(product, *form).ok()).collect()
}
