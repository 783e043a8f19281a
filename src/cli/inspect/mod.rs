//! `inspect`: what to measure on a part that comes back, and whether it is right. One file for each step.

mod judge;
mod plan;

use clap::{Args, Subcommand, ValueEnum};

use super::files::Hold;
use super::produce::impossible;
use super::working::Working;
use super::{Exit, complain};
use crate::design::{Design, Form, stops_form};
use crate::finding::{Hindrance, Scope};
use crate::forms::Product;
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
}

impl Inspect {
    pub(super) fn run(&self) -> Exit {
        let done = match &self.step {
            Step::Plan(plan) => plan.made(),
            Step::Judge(judge) => judge.judged(),
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

/// Makes the solid, and with it what follows from what is measured on it.
fn on_sheet<T>(
    design: &Design,
    measured: Measured,
    working: &Working,
    then: impl FnOnce(MeasuringSheet, &Solid) -> Result<T, Exit>,
) -> Result<T, Exit> {
    let housing = housing::build(design).map_err(|error| impossible(&error))?;
    match measured {
        Measured::Finished => then(inspection::finished(design, &housing), &housing.solid),
        Measured::Casting => {
            working.now("making the solid of the casting");
            let product = Product::new(design, &housing);
            let made = product.casting().map_err(|e| told(&Hindrance::from(&e)))?;
            then(inspection::casting(made), &made.moulded.casting.solid)
        }
    }
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
