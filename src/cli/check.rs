//! `check`: measures the part that a parameter file describes, and compares it with limits.

use std::io::{self, IsTerminal};
use std::path::{Path, PathBuf};

use clap::Args;
use clap::builder::PossibleValuesParser;
use serde_json::Value;

use super::files::Hold;
use super::working::Working;
use super::{Exit, colour, complain, files, say};
use crate::cautions;
use crate::checks::{self, Checks, Feeding, Histogram, Verdict};
use crate::design::{Design, Form};
use crate::export::maps::{self, CastingMap};
use crate::finding::{Hindrance, Scope};
use crate::forms::Product;
use crate::housing;
use crate::report::{checks as report, driveline_report, feeding};
use crate::rigging::{Rigging, rigging};

/// Check walls, holes, clearances, fits, driveline, casting and trial print; exit code 1 if any check fails.
#[derive(Debug, Args)]
#[allow(clippy::struct_excessive_bools, reason = "each is a switch of its own")]
pub(super) struct Check {
    /// Parameter file
    #[arg(required_unless_present = "schema")]
    file: Option<PathBuf>,
    /// Forms to check, separated by commas. The default is all three
    #[arg(long = "form", value_name = "NAME", value_delimiter = ',',
        value_parser = PossibleValuesParser::new(["finished", "casting", "trial-print"]))]
    forms: Vec<String>,
    /// Write all findings to this file
    #[arg(long, value_name = "FILE.json")]
    json: Option<PathBuf>,
    /// Write the finished part, coloured by its wall thickness, to this file
    #[arg(long, value_name = "FILE.ply")]
    wall_map: Option<PathBuf>,
    /// Write the casting, coloured by the largest ball that fits inside, to this file
    #[arg(long, value_name = "FILE.ply")]
    hot_spot_map: Option<PathBuf>,
    /// Write the casting, coloured by its modulus (volume over cooling surface), to this file
    #[arg(long, value_name = "FILE.ply")]
    modulus_map: Option<PathBuf>,
    /// Print the JSON Schema of the output of --json and exit
    #[arg(long, exclusive = true)]
    schema: bool,
    /// Show a histogram of wall thickness
    #[arg(long)]
    histogram: bool,
    /// Show all figures and tables of fits, driveline and feeding, not only the most important
    #[arg(long)]
    sums: bool,
    /// List every finding with its place and source, every check that passed, and what is not checked
    #[arg(long)]
    all: bool,
}

impl Check {
    pub(super) fn run(&self) -> Exit {
        match self.checked() {
            Ok(exit) | Err(exit) => exit,
        }
    }

    fn checked(&self) -> Result<Exit, Exit> {
        let Some(file) = &self.file else {
            say(report::SCHEMA);
            return Ok(Exit::Done);
        };
        if let Some((option, form)) = self.out_of_place() {
            let form = form.name();
            complain(&format!(
                "error: {option} is about the {form}, which --form leaves out; add {form} to --form\n"
            ));
            return Err(Exit::BadInput);
        }
        let (design, _) = files::design(file, hold)?;
        let targets = [&self.json, &self.wall_map, &self.hot_spot_map, &self.modulus_map];
        let targets: Vec<&Path> = targets.into_iter().flatten().map(PathBuf::as_path).collect();
        files::test_targets(file, &design.named_files(), &targets)?;
        let working = Working::on("making the solid of the finished part");
        let finished = housing::build(&design).map_err(|error| Hindrance::from(&error));
        let made = finished.and_then(|finished| self.measured(&Product::new(&design, &finished), &working));
        drop(working);
        let Made { found, walls, advised, placed, files } = made.map_err(|why| {
            complain(&format!("error: {why}\n"));
            Exit::before(&why)
        })?;
        files::write(file, &design.named_files(), &files)?;
        let colourful = colour() && io::stdout().is_terminal();
        let units = design.units();
        if self.all {
            say(&report::text(&found, units, colourful));
        } else {
            say(&report::screen(&found, units, colourful));
        }
        if self.sums || self.all {
            say(&driveline_report::text(&found.driveline, units, self.sums));
            if let Some(advised) = &advised {
                say(&format!("\n{}", feeding::text(&design, advised, placed.as_ref(), self.sums)));
            }
        } else {
            say(&driveline_report::pointer(&found.driveline));
        }
        if let Some(walls) = &walls {
            say(&report::histogram(walls));
        }
        say(&format!("\n{}{}", report::not_computed(), cautions::lines(&cautions::of_check(&design))));
        Ok(ended(&found))
    }
}

/// A failure stands whatever else is not known; a fault of the program is no verdict.
fn ended(found: &Checks) -> Exit {
    if found.count(Verdict::Fail) > 0 {
        Exit::Failed
    } else if found.program_faults.is_empty() {
        Exit::Done
    } else {
        Exit::ProgramFault
    }
}

/// What a check found, and the files that it writes.
struct Made<'a> {
    found: Checks,
    walls: Option<Histogram>,
    advised: Option<Feeding>,
    placed: Option<Rigging>,
    files: Vec<(&'a Path, Vec<u8>)>,
}

impl Check {
    fn checks(&self, form: Form) -> bool {
        match form {
            Form::Finished | Form::Casting | Form::TrialPrint => {
                self.forms.is_empty() || self.forms.iter().any(|name| name == form.name())
            }
            _ => false,
        }
    }

    /// The results about a form that is not to be checked, as options of the command line.
    fn out_of_place(&self) -> Option<(&'static str, Form)> {
        let asked = [
            (self.histogram, "--histogram", Form::Finished),
            (self.wall_map.is_some(), "--wall-map", Form::Finished),
            (self.hot_spot_map.is_some(), "--hot-spot-map", Form::Casting),
            (self.modulus_map.is_some(), "--modulus-map", Form::Casting),
        ];
        asked
            .into_iter()
            .find(|(asked, _, form)| *asked && !self.checks(*form))
            .map(|(_, name, form)| (name, form))
    }

    /// Makes the forms, measures them and draws the maps; else says why that is impossible.
    fn measured(&self, product: &Product, working: &Working) -> Result<Made<'_>, Hindrance> {
        let forms: Vec<Form> = Form::ALL.into_iter().filter(|form| self.checks(*form)).collect();
        if forms.contains(&Form::Casting) {
            working.now("making the solid of the casting");
            // An error is reported with the checks.
            let _ = product.casting();
        }
        working.now("measuring");
        // Without a casting there is nothing to feed; why there is none is told with the checks.
        let (found, advised) = checks::check_and_advise(product, &forms).map_err(|e| Hindrance::from(&e))?;
        // The metal of feeders and gates is that of the solids that `build` places. It is only told by these options.
        let told = self.sums || self.all || self.json.is_some();
        let placed = advised.as_ref().filter(|_| told).and_then(|advised| {
            let casting = product.casting().ok()?;
            rigging(product.design(), casting, advised).ok()
        });
        // Measuring the thickness everywhere takes time, so it is done only for these options.
        let probe = self.histogram || self.wall_map.is_some();
        let probe = probe.then(|| maps::probe(&product.finished().solid)).transpose();
        let probe = probe.map_err(|e| Hindrance::from(&e))?;
        let walls = probe.as_ref().filter(|_| self.histogram).map(checks::histogram);
        let mut files: Vec<(&Path, Vec<u8>)> = Vec::new();
        if let Some(path) = &self.json {
            let mut figures = report::figures(&found, walls.as_ref());
            figures["part"] = product.design().name().into();
            figures["cautions"] = cautions::of_check(product.design()).into();
            figures["feeding"] =
                advised.as_ref().map_or(Value::Null, |a| feeding::figures(a, placed.as_ref()));
            files.push((path, format!("{figures:#}\n").into_bytes()));
        }
        working.now("drawing the maps");
        if let (Some(path), Some(probe)) = (&self.wall_map, &probe) {
            files.push((path, maps::walls(probe)));
        }
        let asked = [(&self.hot_spot_map, CastingMap::HotSpots), (&self.modulus_map, CastingMap::Modulus)];
        for (path, map) in asked {
            let Some(path) = path else { continue };
            let casting = product.casting().map_err(|e| Hindrance::from(&e))?;
            files.push((path, map.of(product.design(), casting).map_err(|e| Hindrance::from(&e))?));
        }
        Ok(Made { found, walls, advised, placed, files })
    }
}

/// An error of narrow scope becomes a failed check, and is an error here too; what is measured on the solid is reported
/// there; a named file that cannot be read is bad input.
pub(super) fn hold(_: &Design, scope: Scope) -> Hold {
    match scope {
        Scope::Everything | Scope::Surroundings => Hold::Stops,
        Scope::Core | Scope::TrialPrint | Scope::Mating | Scope::Vehicle => Hold::Reported,
        Scope::Limits => Hold::Measured,
    }
}
