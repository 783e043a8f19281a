//! `inspect`: what to measure on a part that comes back, and whether it is right. One file for each step.

mod articles;
mod judge;
mod plan;
mod scan;
mod shift;

use clap::{Args, Subcommand, ValueEnum};

use super::files::Hold;
use super::produce::impossible;
use super::working::Working;
use super::{Exit, complain};
use crate::design::{Design, Form, stops_form};
use crate::finding::{Hindrance, Scope};
use crate::forms::{Casting, Product, TargetsFound};
use crate::housing;
use crate::inspection::{self, MeasuringSheet};
use solidwright::solid::Solid;

/// First article: the measuring sheet, and the verdict on what was measured.
#[derive(Debug, Args)]
pub(super) struct Inspect {
    #[command(subcommand)]
    step: Step,
}

#[derive(Debug, Subcommand)]
enum Step {
    Plan(plan::Plan),
    Judge(judge::Judge),
    Shift(shift::Shift),
    Articles(articles::SeveralArticles),
    Scan(scan::Scan),
}

impl Inspect {
    pub(super) fn run(&self) -> Exit {
        let done = match &self.step {
            Step::Plan(plan) => plan.made(),
            Step::Judge(judge) => judge.judged(),
            Step::Shift(shift) => shift.found(),
            Step::Articles(articles) => articles.compared(),
            Step::Scan(scan) => scan.looked_at(),
        };
        match done {
            Ok(exit) | Err(exit) => exit,
        }
    }
}

/// What is measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum Measured {
    /// The machined part
    Finished,
    /// The part as it leaves the mould
    Casting,
}

impl Measured {
    const fn form(self) -> Form {
        match self {
            Self::Finished => Form::Finished,
            Self::Casting => Form::Casting,
        }
    }

    /// Only what concerns the form hinders it.
    fn hold(self) -> impl Fn(&Design, Scope) -> Hold {
        move |_, scope| if stops_form(scope, self.form()) { Hold::Stops } else { Hold::Aside }
    }
}

/// A form with what is measured on it.
struct Prepared<'a> {
    /// The part with all that is made of it.
    product: &'a Product<'a>,
    sheet: MeasuringSheet,
    solid: &'a Solid,
    /// The casting, if it is that which is measured.
    cast: Option<Cast<'a>>,
}

/// A casting with what is measured on the finished part.
struct Cast<'a> {
    made: &'a Casting,
    finished: MeasuringSheet,
}

/// The targets on which a casting stands, or why it has none.
fn targets<'a>(product: &'a Product) -> Result<&'a TargetsFound, Exit> {
    product.datum_targets().map_err(|e| told(&Hindrance::from(&e)))
}

/// What the pattern of a casting was made larger by along X, Y and Z.
fn assumed_contraction(design: &Design) -> [f64; 3] {
    let mould = design.casting().mould();
    let radial = mould.radial_contraction();
    [mould.axial_contraction(), radial, radial]
}

/// Makes the solid, and with it what follows from what is measured on it.
fn on_sheet<T>(
    design: &Design,
    measured: Measured,
    working: &Working,
    then: impl FnOnce(Prepared) -> Result<T, Exit>,
) -> Result<T, Exit> {
    let housing = housing::build(design).map_err(|error| impossible(&error, design.units()))?;
    let finished = inspection::finished(design, &housing);
    let product = &Product::new(design, &housing);
    match measured {
        Measured::Finished => then(Prepared { product, sheet: finished, solid: &housing.solid, cast: None }),
        Measured::Casting => {
            working.now("making the solid of the casting");
            let made = product.casting().map_err(|e| told(&Hindrance::from(&e)))?;
            working.now("looking for the walls that machining leaves");
            let sheet = inspection::casting(design, &finished, &housing.solid, made)
                .map_err(|e| told(&Hindrance::from(&e)))?;
            let solid = &made.moulded.casting.solid;
            then(Prepared { product, sheet, solid, cast: Some(Cast { made, finished }) })
        }
    }
}

/// An uncertainty of the command line.
fn uncertainty(text: &str) -> Result<f64, String> {
    let value: f64 = text.parse().map_err(|_| "not a number".to_owned())?;
    if value > 0.0 && value <= 1.0 { Ok(value) } else { Err("it is above 0 and at most 1 mm".to_owned()) }
}

/// Tells what hinders the work.
fn told(why: &Hindrance) -> Exit {
    complain(&format!("error: {why}\n"));
    Exit::before(why)
}

/// The line on the terminal with its first step.
fn working() -> Working {
    Working::on("making the solid of the finished part")
}
