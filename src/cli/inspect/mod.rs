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
use crate::inspection::{self, MeasuringSheet, ProbePlan, STYLUS};
use solidwright::probe::Probe;
use solidwright::solid::Solid;

/// Chord error of the mesh that finds where to ask the exact faces, mm.
const CHORD: f64 = 0.15;

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

/// What is measured on a form, and where.
struct Prepared {
    sheet: MeasuringSheet,
    points: ProbePlan,
    steps: Vec<String>,
}

/// Makes the solid, and chooses what is measured on it.
fn prepared(design: &Design, measured: Measured) -> Result<Prepared, Exit> {
    let working = Working::on("making the solid of the finished part");
    let housing = housing::build(design).map_err(|error| impossible(&error))?;
    let told = |why: &Hindrance| {
        complain(&format!("error: {why}\n"));
        Exit::before(why)
    };
    let points = |sheet: &MeasuringSheet, solid: &Solid| {
        working.now("choosing probe points");
        let probe = Probe::new(solid, CHORD).map_err(|e| told(&Hindrance::from(&e)))?;
        Ok(inspection::probe_plan(sheet, &probe, STYLUS))
    };
    match measured {
        Measured::Finished => {
            let sheet = inspection::finished(design, &housing);
            let (points, steps) =
                (points(&sheet, &housing.solid)?, inspection::finished_steps(design, &sheet));
            Ok(Prepared { sheet, points, steps })
        }
        Measured::Casting => {
            working.now("making the solid of the casting");
            let product = Product::new(design, &housing);
            let made = product.casting().map_err(|e| told(&Hindrance::from(&e)))?;
            let sheet = inspection::casting(made);
            let (points, steps) =
                (points(&sheet, &made.moulded.casting.solid)?, inspection::casting_steps(&sheet));
            Ok(Prepared { sheet, points, steps })
        }
    }
}
