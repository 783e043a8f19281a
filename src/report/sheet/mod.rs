//! The sheet that goes with the files of a form: what whoever makes or uses it must know, on paper and as a page.
//!
//! One file tells what a form's sheet says (`finished`, `casting`, `pattern`, `core`, `trial_print`); `shared` has what
//! several of them say. Figures that the terminal prints too come from the same functions as there.

mod cast_solid;
mod casting;
mod cautions;
mod core;
mod finished;
mod pattern;
mod questions;
mod shared;
mod trial_print;

use super::document::pdf::{self, PdfError};
use super::document::{Block, Chapter, Column, Document, Paper, html};
use crate::design::{Design, Form};
use crate::export::form_files::FormFiles;
use crate::export::stem;
use crate::forms::{Product, title};
use crate::units::{Mm, Units};

/// What a sheet is made from.
struct Facts<'a> {
    product: &'a Product<'a>,
    design: &'a Design,
    files: &'a FormFiles,
    units: Units,
}

impl Facts<'_> {
    /// A length to a hundredth of a millimetre, in the file's unit.
    fn length(&self, mm: f64) -> String {
        self.units.rounded(mm, 2)
    }

    /// As [`Facts::long`], for a table.
    fn cell(&self, mm: f64) -> String {
        self.units.in_table(mm, 1)
    }

    /// A large length to a tenth of a millimetre.
    fn long(&self, mm: f64) -> String {
        self.units.rounded(mm, 1)
    }

    /// A length to a hundredth of a millimetre, or a ten-thousandth of an inch, as a bare number of the file's unit.
    fn bare(&self, mm: f64) -> String {
        match self.units {
            Units::Mm => self.units.bare(Mm::new((mm * 100.0).round() / 100.0)),
            Units::Inch => self.units.bare(Mm::new(mm)),
        }
    }

    /// One of two heads of columns, by the file's unit.
    fn head(&self, mm: &'static str, inch: &'static str) -> Column {
        Column::numbers(match self.units {
            Units::Mm => mm,
            Units::Inch => inch,
        })
    }

    /// The mass of a volume of the part's metal in mm³, as text.
    fn metal(&self, volume: f64) -> String {
        self.units.mass(self.design.casting().mass(volume))
    }
}

/// What the sheet of a form says. `hash` is the SHA-256 of the parameter file.
pub fn document(product: &Product, files: &FormFiles, hash: &str) -> Document {
    let design = product.design();
    let facts = Facts { product, design, files, units: design.units() };
    let (lead, own) = match files.form {
        Form::Finished => finished::sections(&facts),
        Form::Casting => casting::sections(&facts),
        Form::Pattern => pattern::pattern(&facts),
        Form::Core => core::sections(&facts),
        Form::CoreBox => pattern::core_box(&facts),
        Form::TrialPrint => trial_print::sections(&facts),
    };
    let mut sections = own;
    sections.push(questions::section(&facts));
    sections.push(cautions::section(files.form));
    sections.push(shared::files(&facts));
    let told = design.description().map(|told| format!(" {told}.")).unwrap_or_default();
    Document {
        title: format!("{}: {}", title(design), name(files.form)),
        lead: format!("{lead}{told}"),
        paper: Paper::of(facts.units),
        chapters: sections.into_iter().filter(|s: &Chapter| !s.blocks.is_empty()).collect(),
        foot: format!("tailpattern {}; parameter file sha256 {hash}", env!("CARGO_PKG_VERSION")),
    }
}

/// Diameters that mate with other parts, with their limits, and the limits to be asked for.
pub(super) fn fits(design: &Design) -> [Block; 2] {
    finished::fits(design)
}

/// What a form is called in running text.
pub fn name(form: Form) -> &'static str {
    match form {
        Form::Finished => "finished part",
        Form::Casting => "casting",
        Form::Pattern => "pattern",
        Form::Core => "core",
        Form::CoreBox => "core box",
        Form::TrialPrint => "trial print",
    }
}

/// The files of a form's sheet, with their names.
///
/// # Errors
/// See [`PdfError`].
pub fn files(product: &Product, files: &FormFiles, hash: &str) -> Result<[(String, Vec<u8>); 2], PdfError> {
    let (document, stem) = (document(product, files, hash), stem(files.form));
    let page = html::text(&document).into_bytes();
    Ok([(format!("{stem}.pdf"), pdf::bytes(&document)?), (format!("{stem}.html"), page)])
}
