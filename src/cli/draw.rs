//! `draw`: dimensioned drawings of the finished part, its casting, pattern and core box.

use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};
use rayon::prelude::*;

use super::files::{Hold, test_targets, write};
use super::produce::impossible;
use super::working::Working;
use super::{Exit, complain, files, say};
use crate::cautions;
use crate::design::{Design, Form, stops_form};
use crate::detail_drawing::{self, DrawError, Projection, Tooling};
use crate::drafting::{Page, page_svg};
use crate::export::{sha256, stem};
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
    /// Forms to draw, separated by commas
    #[arg(long = "form", value_name = "NAME", value_enum, value_delimiter = ',', default_value = "finished")]
    forms: Vec<Choice>,
    /// Arrangement of the views. The default is first angle for files in millimetres, third angle for files in inches
    #[arg(long, value_name = "ANGLE", value_enum)]
    angle: Option<Angle>,
}

/// What can be asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum Choice {
    /// The machined part
    Finished,
    /// The part as it leaves the mould
    Casting,
    /// The pattern, with contraction
    Pattern,
    /// The core box, with contraction
    CoreBox,
    /// All of them
    All,
}

/// What can be drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Drawn {
    Finished,
    Casting,
    Pattern,
    CoreBox,
}

impl Drawn {
    const ALL: [Self; 4] = [Self::Finished, Self::Casting, Self::Pattern, Self::CoreBox];

    /// Those that stand in a report.
    const OF_REPORT: [Self; 2] = [Self::Finished, Self::Casting];

    const fn form(self) -> Form {
        match self {
            Self::Finished => Form::Finished,
            Self::Casting => Form::Casting,
            Self::Pattern => Form::Pattern,
            Self::CoreBox => Form::CoreBox,
        }
    }

    const fn choice(self) -> Choice {
        match self {
            Self::Finished => Choice::Finished,
            Self::Casting => Choice::Casting,
            Self::Pattern => Choice::Pattern,
            Self::CoreBox => Choice::CoreBox,
        }
    }
}

/// Why a form has no drawing.
#[derive(Debug, thiserror::Error)]
enum Undrawn {
    /// The form itself cannot be made.
    #[error(transparent)]
    Form(#[from] FormError),
    /// Its drawing.
    #[error("no drawing: {0}")]
    Drawing(#[from] DrawError),
}

impl Undrawn {
    fn exit(&self) -> Exit {
        match self {
            Self::Form(error) => Exit::before(&Hindrance::from(error)),
            Self::Drawing(_) => Exit::ProgramFault,
        }
    }
}

/// The sheets that could be made, each with its files.
struct Sheets {
    told: String,
    forms: Vec<Form>,
    files: Vec<(PathBuf, Vec<u8>)>,
    failed: Vec<(Form, Undrawn)>,
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
        let wanted = self.wanted();
        // Only what concerns the forms hinders them.
        let hold = |_: &Design, scope: Scope| {
            if wanted.iter().any(|drawn| stops_form(scope, drawn.form())) { Hold::Stops } else { Hold::Aside }
        };
        let (design, source) = files::design(&self.file, hold)?;
        let folder = self.out.join(self.file.file_stem().unwrap_or(self.file.as_os_str()));
        let name = |drawn: &Drawn| folder.join(format!("{}-drawing.pdf", stem(drawn.form())));
        let usual: Vec<PathBuf> = wanted.iter().map(name).collect();
        let targets: Vec<&Path> = usual.iter().map(PathBuf::as_path).collect();
        test_targets(&self.file, &design.named_files(), &targets)?;
        let working = Working::on("making the solid of the finished part");
        let housing = housing::build(&design).map_err(|error| impossible(&error, design.units()))?;
        working.now("drawing it");
        let source = source.as_ref().map_or_else(String::new, made_from);
        let made = self.sheets(&Product::new(&design, &housing), &wanted, &source, &folder);
        drop(working);
        write(&self.file, &design.named_files(), &made.files)?;
        say(&made.told);
        say(&cautions::lines(&cautions::of_build(&made.forms)));
        for (form, why) in &made.failed {
            complain(&format!("error: {}: {}: {why}\n", self.file.display(), form.name()));
        }
        Ok(made.failed.first().map_or(Exit::Done, |(_, why)| why.exit()))
    }

    /// The forms named, each once, in order.
    fn wanted(&self) -> Vec<Drawn> {
        let asked = |d: &Drawn| self.forms.iter().any(|c| *c == Choice::All || *c == d.choice());
        Drawn::ALL.into_iter().filter(asked).collect()
    }

    fn projection(&self, design: &Design) -> Projection {
        match self.angle {
            Some(Angle::First) => Projection::First,
            Some(Angle::Third) => Projection::Third,
            None => Projection::usual(design.units()),
        }
    }

    fn sheets(&self, product: &Product, wanted: &[Drawn], source: &str, folder: &Path) -> Sheets {
        let projection = self.projection(product.design());
        let one = |drawn: Drawn| {
            let page = page(product, drawn, projection, source)?;
            let files = detail_drawing::files(&page, drawn.form()).map_err(DrawError::from)?;
            Ok::<_, Undrawn>((detail_drawing::summary(&page, projection), files))
        };
        let mut out = Sheets { told: String::new(), forms: vec![], files: vec![], failed: vec![] };
        for drawn in wanted {
            match one(*drawn) {
                Ok((summary, files)) => {
                    out.told += &summary;
                    for (name, bytes) in files {
                        let path = folder.join(name);
                        out.told += &format!("  {}\n", path.display());
                        out.files.push((path, bytes));
                    }
                    out.forms.push(drawn.form());
                }
                Err(why) => out.failed.push((drawn.form(), why)),
            }
        }
        out
    }
}

/// What a drawing was made from: the file's name and the beginning of its hash.
fn made_from(source: &Source) -> String {
    let name = Path::new(source.name()).file_name().map_or(Path::new(source.name()), Path::new).display();
    let hash = sha256(source.text());
    format!("{name}, sha256 {}…, tailpattern {}", &hash[..12.min(hash.len())], env!("CARGO_PKG_VERSION"))
}

/// The sheet of a form.
fn page(product: &Product, drawn: Drawn, projection: Projection, from: &str) -> Result<Page, Undrawn> {
    let (design, finished) = (product.design(), product.finished());
    let tooling = |which: Tooling, made| {
        detail_drawing::tooling(design, product.casting()?, (which, made), projection, from)
            .map_err(Undrawn::from)
    };
    Ok(match drawn {
        Drawn::Finished => detail_drawing::finished(design, finished, projection, from)?,
        Drawn::Casting => detail_drawing::casting(product, product.casting()?, projection, from)?,
        Drawn::Pattern => tooling(Tooling::Pattern, product.pattern()?)?,
        Drawn::CoreBox => tooling(Tooling::CoreBox, product.core_box()?)?,
    })
}

/// The drawings of a report, in the usual arrangement.
pub(super) fn sheets(product: &Product, source: &Source) -> Vec<DrawnSheet> {
    let (projection, from) = (Projection::usual(product.design().units()), made_from(source));
    let svg = |drawn: Drawn| {
        let page = page(product, drawn, projection, &from).map_err(|error| error.to_string())?;
        Ok(page_svg(&page))
    };
    let made = |drawn: Drawn| DrawnSheet { form: drawn.form(), svg: svg(drawn) };
    Drawn::OF_REPORT.into_par_iter().map(made).collect()
}
