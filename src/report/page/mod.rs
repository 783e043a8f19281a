//! The report: one page about one part, for the builder who designs it and for all to whom it is passed on.
//!
//! The page is made of [`PageSection`]s with stable names and of a scene, the data of its 3D view. Written to a file it holds
//! both; `watch` sends them piece by piece as they are made anew. The script stands in `viewer`, as plain modules.
//!
//! Holds afterwards: the page loads nothing, and its policy forbids it to; equal input gives equal bytes.

mod bundle;
mod chapters;
mod faults;
mod findings;
mod pack;
mod parameters;
pub mod scene;
mod stress_plot;
mod summary;

use std::fmt::Write as _;

use serde_json::{Map, Value};

pub use faults::faults;
pub use summary::Tally;

use super::document::Paper;
use super::document::html::escaped;
use crate::checks::{Checks, Part};
use crate::design::Form;
use crate::export::form_files::{FormFiles, FormFilesError};
use crate::finding::Findings;
use crate::forms::{Product, title};
use crate::params::Source;
use crate::units::Units;

/// What became of the files of each form.
pub type MadeFiles = Vec<(Form, Result<FormFiles, FormFilesError>)>;

/// A dimensioned drawing for the page.
#[derive(Clone, Debug)]
pub struct DrawnSheet {
    /// What is drawn.
    pub form: Form,
    /// Its sheet as SVG, or why there is none.
    pub svg: Result<String, String>,
}

/// What a report is made from.
#[derive(Clone, Copy)]
pub struct PartReport<'a> {
    /// The part and its forms.
    pub product: &'a Product<'a>,
    /// The checks, in groups.
    pub groups: &'a [(Part, Checks)],
    /// The files of all forms, with those of their sheets.
    pub forms: &'a MadeFiles,
    /// Dimensioned drawings.
    pub drawings: &'a [DrawnSheet],
    /// The parameter file.
    pub source: &'a Source,
    /// Its SHA-256, in hexadecimal.
    pub hash: &'a str,
    /// What was found wrong or unusual in the file.
    pub warnings: &'a Findings,
}

/// A part of the page that can be made and replaced by itself.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PageSection {
    /// Its place.
    pub slot: Slot,
    /// What stands there.
    pub html: String,
}

/// The places of the page, in the order of reading.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Slot {
    /// What the part is.
    Head,
    /// The verdict.
    Verdict,
    /// The worst findings, and what is not computed.
    Worst,
    /// All findings.
    Findings,
    /// Places in the vehicle.
    Placing,
    /// Fits, driveline, speedometer.
    Fits,
    /// Stock of the casting.
    Stock,
    /// Fillets.
    Fillets,
    /// Forms with their sheets.
    Forms,
    /// Drawings.
    Drawings,
    /// Parameters.
    Parameters,
    /// Cautions.
    Cautions,
    /// Files.
    Files,
}

impl Slot {
    /// All below the first screen.
    const BELOW: [Self; 10] = [
        Self::Findings,
        Self::Placing,
        Self::Fits,
        Self::Stock,
        Self::Fillets,
        Self::Forms,
        Self::Drawings,
        Self::Parameters,
        Self::Cautions,
        Self::Files,
    ];

    /// The name of its element.
    pub const fn id(self) -> &'static str {
        match self {
            Self::Head => "head",
            Self::Verdict => "verdict",
            Self::Worst => "worst",
            Self::Findings => "findings",
            Self::Placing => "placing",
            Self::Fits => "fits",
            Self::Stock => "stock",
            Self::Fillets => "fillets",
            Self::Forms => "forms",
            Self::Drawings => "drawings",
            Self::Parameters => "parameters",
            Self::Cautions => "cautions",
            Self::Files => "files",
        }
    }

    const fn heading(self) -> &'static str {
        match self {
            Self::Head | Self::Verdict | Self::Worst => "",
            Self::Findings => "Findings",
            Self::Placing => "Placing in the vehicle",
            Self::Fits => "Fits, driveline, speedometer",
            Self::Stock => "Casting: stock and draft",
            Self::Fillets => "Fillets",
            Self::Forms => "Forms and their sheets",
            Self::Drawings => "Drawings",
            Self::Parameters => "Parameters",
            Self::Cautions => "Cautions",
            Self::Files => "Files",
        }
    }
}

/// All sections.
pub fn sections(report: &PartReport) -> Vec<PageSection> {
    let one = |slot: Slot| {
        let html = match slot {
            Slot::Head => summary::head(report),
            Slot::Verdict => summary::verdict(report),
            Slot::Worst => summary::worst(report),
            Slot::Findings => findings::section(report),
            Slot::Placing => chapters::placing(report),
            Slot::Fits => chapters::fits(report),
            Slot::Stock => chapters::stock(report),
            Slot::Fillets => chapters::fillets(report),
            Slot::Forms => chapters::forms(report),
            Slot::Drawings => chapters::drawings(report),
            Slot::Parameters => parameters::section(report),
            Slot::Cautions => chapters::cautions(report),
            Slot::Files => chapters::files(report),
        };
        PageSection { slot, html }
    };
    [Slot::Head, Slot::Verdict, Slot::Worst].into_iter().chain(Slot::BELOW).map(one).collect()
}

/// The data of the 3D view: forms that were made, the wall's thickness where it is known, and the unit in which lengths are told.
pub fn whole_scene(forms: Vec<Value>, walls: Option<Value>, units: Units) -> Value {
    let members = [
        ("forms", Value::Array(forms)),
        ("walls", walls.unwrap_or_default()),
        ("unit", Value::from(units.name())),
    ];
    members.into_iter().map(|(name, value)| (name.to_owned(), value)).collect::<Map<_, _>>().into()
}

/// How a page is opened.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mode {
    /// From a file: it asks for nothing.
    File,
    /// From `watch`, which it asks for what is new.
    Live,
}

/// The page of a report, with its scene.
pub fn page(report: &PartReport, sections: &[PageSection], scene: &Value) -> String {
    let design = report.product.design();
    document(&title(design), Paper::of(design.units()), sections, scene, Mode::File)
}

/// A page about a scan: head, verdict beside the 3D view, and findings.
pub fn scan(title: &str, units: Units, parts: [String; 3], scene: &Value) -> String {
    let slots = [Slot::Head, Slot::Verdict, Slot::Findings];
    let sections: Vec<PageSection> =
        slots.into_iter().zip(parts).map(|(slot, html)| PageSection { slot, html }).collect();
    document(title, Paper::of(units), &sections, scene, Mode::File)
}

/// The page without anything in it yet, for `watch`.
pub fn live_page(name: &str) -> String {
    document(name, Paper::A4, &[], &Value::Null, Mode::Live)
}

const STYLE: &str = include_str!("style.css");
const VIEW: &str = include_str!("view.html");

fn document(name: &str, paper: Paper, sections: &[PageSection], scene: &Value, mode: Mode) -> String {
    let script = bundle::script();
    let (connect, state) = match mode {
        Mode::File => ("", "file"),
        Mode::Live => ("; connect-src 'self'", "live"),
    };
    // A page that is filled later has the places of all chapters.
    let below: Vec<Slot> = Slot::BELOW
        .into_iter()
        .filter(|slot| mode == Mode::Live || sections.iter().any(|s| s.slot == *slot))
        .collect();
    let html = |slot: Slot| sections.iter().find(|s| s.slot == slot).map_or("", |s| s.html.as_str());
    let mut out = format!(
        "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
         <meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; img-src data:; style-src 'unsafe-inline'; script-src {}{connect}\">\n\
         <title>{}</title>\n<link rel=\"icon\" href=\"data:,\">\n<style>\n{STYLE}@page{{size:{};margin:14mm}}\n</style>\n</head>\n\
         <body data-mode=\"{state}\">\n<a class=\"skip\" href=\"#findings\">Go to the findings</a>\n\
         <div id=\"live\" role=\"status\" aria-live=\"polite\" hidden></div>\n<header id=\"head\">\n{}</header>\n<main>\n<div class=\"first\">\n\
         <section id=\"verdict\" aria-label=\"Verdict\">\n{}</section>\n{VIEW}\
         <section id=\"worst\" aria-label=\"Look at these first\">\n{}</section>\n</div>\n",
        bundle::allowed(&script),
        escaped(name),
        paper.name(),
        html(Slot::Head),
        html(Slot::Verdict),
        html(Slot::Worst),
    );
    out.push_str("<nav aria-label=\"Sections\">\n<ul>\n");
    for slot in &below {
        // Writing to a String cannot fail, here and below.
        let _ = writeln!(out, "<li><a href=\"#{}\">{}</a></li>", slot.id(), slot.heading());
    }
    out.push_str("</ul>\n</nav>\n");
    for slot in below {
        let id = slot.id();
        let _ = write!(
            out,
            "<section class=\"chapter\" aria-labelledby=\"{id}-heading\" id=\"{id}\">\n<h2 id=\"{id}-heading\">{}</h2>\n<div id=\"{id}-body\">\n{}</div>\n</section>\n",
            slot.heading(),
            html(slot)
        );
    }
    // No text within may end the element.
    let scene = scene.to_string().replace('<', "\\u003c");
    let _ = write!(
        out,
        "</main>\n<footer>tailpattern {}</footer>\n<script type=\"application/json\" id=\"scene\">{scene}</script>\n\
         <script type=\"module\">{script}</script>\n</body>\n</html>\n",
        env!("CARGO_PKG_VERSION")
    );
    out
}
