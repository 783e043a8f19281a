//! `draw`: dimensioned drawings of the finished part and of its casting.

use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};
use rayon::prelude::*;

use super::files::{Hold, test_targets, write};
use super::produce::impossible;
use super::working::Working;
use super::{Exit, complain, files, say};
use crate::cautions;
use crate::design::{Design, Form, stops_form};
use crate::detail_drawing::{self, DrawError, Projection};
use crate::drafting::{Page, page_svg};
use crate::export::sha256;
use crate::finding::{Hindrance, Scope};
use crate::forms::{FormError, Product};
use crate::housing;
use crate::params::Source;
use crate::report::page::DrawnSheet;

/// Draw the part with dimensions: views, sections, tolerances, tables, as SVG, PDF and DXF.
#[derive(Debug, Args)]
pub(super) struct Draw {
    /// Parameter file
    file: PathBuf,
    /// Folder for the results; the files go into a subfolder named after the parameter file
    #[arg(long, value_name = "DIR", default_value = "out")]
    out: PathBuf,
    /// What to draw
    #[arg(long, value_name = "NAME", value_enum, default_value_t = Drawn::Finished)]
    form: Drawn,
    /// Arrangement of the views. The default is first angle for files in millimetres, third angle for files in inches
    #[arg(long, value_name = "ANGLE", value_enum)]
    angle: Option<Angle>,
}

/// What can be drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum Drawn {
    /// The machined part
    Finished,
    /// The part as it leaves the mould
    Casting,
}

impl Drawn {
    const fn form(self) -> Form {
        match self {
            Self::Finished => Form::Finished,
            Self::Casting => Form::Casting,
        }
    }
}

/// How views are arranged.
#[derive(Clone, Copy, Debug, ValueEnum)]
enum Angle {
    /// The view from a side stands on the side across
    First,
    /// The view from a side stands on that side
    Third,
}

impl Draw {
    pub(super) fn run(&self) -> Exit {
        match self.drawn() {
            Ok(exit) | Err(exit) => exit,
        }
    }

    fn drawn(&self) -> Result<Exit, Exit> {
        let form = self.form.form();
        // Only what concerns the form hinders it.
        let hold = |_: &Design, scope: Scope| if stops_form(scope, form) { Hold::Stops } else { Hold::Aside };
        let (design, source) = files::design(&self.file, hold)?;
        let folder = self.out.join(self.file.file_stem().unwrap_or(self.file.as_os_str()));
        let usual = folder.join(format!("{}-drawing.pdf", form.name()));
        test_targets(&self.file, &design.named_files(), &[usual.as_path()])?;
        let working = Working::on("making the solid of the finished part");
        let housing = housing::build(&design).map_err(|error| impossible(&error))?;
        working.now("drawing it");
        let projection = match self.angle {
            Some(Angle::First) => Projection::First,
            Some(Angle::Third) => Projection::Third,
            None => Projection::usual(design.units()),
        };
        let fault = |error: &dyn std::error::Error| {
            complain(&format!("error: {}: cannot be drawn: {error}\n", self.file.display()));
            Exit::ProgramFault
        };
        let source = source.as_ref().map_or_else(String::new, made_from);
        let page =
            page(&Product::new(&design, &housing), self.form, projection, &source).map_err(|error| {
                complain(&format!("error: {}: {error}\n", self.file.display()));
                Exit::before(&Hindrance::from(&error))
            })?;
        let page = page.map_err(|error| fault(&error))?;
        let made = detail_drawing::files(&page, form).map_err(|error| fault(&error))?;
        drop(working);
        let made: Vec<(PathBuf, Vec<u8>)> =
            made.into_iter().map(|(name, bytes)| (folder.join(name), bytes)).collect();
        let all: Vec<(&Path, &[u8])> =
            made.iter().map(|(path, bytes)| (path.as_path(), bytes.as_slice())).collect();
        write(&self.file, &design.named_files(), &all)?;
        say(&detail_drawing::summary(&page));
        for (path, _) in &made {
            say(&format!("  {}\n", path.display()));
        }
        say(&cautions::lines(&cautions::of_build(&[form])));
        Ok(Exit::Done)
    }
}

/// What a drawing was made from: the file's name and the beginning of its hash.
fn made_from(source: &Source) -> String {
    let name = Path::new(source.name()).file_name().map_or(Path::new(source.name()), Path::new).display();
    let hash = sha256(source.text());
    format!("{name}, sha256 {}…, tailpattern {}", &hash[..12.min(hash.len())], env!("CARGO_PKG_VERSION"))
}

/// The sheet of a part or of its casting: an error of its own where there is no casting.
fn page(
    product: &Product,
    drawn: Drawn,
    projection: Projection,
    from: &str,
) -> Result<Result<Page, DrawError>, FormError> {
    let (design, finished) = (product.design(), product.finished());
    Ok(match drawn {
        Drawn::Finished => detail_drawing::finished(design, finished, projection, from),
        Drawn::Casting => detail_drawing::casting(design, finished, product.casting()?, projection, from),
    })
}

/// The drawings of a report, in the usual arrangement.
pub(super) fn sheets(product: &Product, source: &Source) -> Vec<DrawnSheet> {
    let (projection, from) = (Projection::usual(product.design().units()), made_from(source));
    let svg = |drawn: Drawn| {
        let page = page(product, drawn, projection, &from).map_err(|error| error.to_string())?;
        page.map(|page| page_svg(&page)).map_err(|error| error.to_string())
    };
    let made = |drawn: Drawn| DrawnSheet { form: drawn.form(), svg: svg(drawn) };
    [Drawn::Finished, Drawn::Casting].into_par_iter().map(made).collect()
}
