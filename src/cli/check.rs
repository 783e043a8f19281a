//! `check`: measures the part that a parameter file describes, and compares it with limits.

use std::fmt::Display;
use std::io::{self, IsTerminal};
use std::path::{Path, PathBuf};

use clap::Args;
use clap::builder::PossibleValuesParser;

use super::files::Hold;
use super::{Exit, colour, complain, files, say};
use crate::checks::{self, Verdict};
use crate::design::{Design, Form};
use crate::export::maps::{self, CastingMap};
use crate::finding::Scope;
use crate::forms::Product;
use crate::housing;
use crate::report::{checks as report, driveline_report};

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
    /// Show all figures and tables of fits and driveline, not only the most important
    #[arg(long)]
    sums: bool,
    /// List every check that passed, not only those closest to their limits
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
        let (design, _) = files::design(file, hold)?;
        let finished = housing::build(&design).map_err(|error| {
            complain(&format!("error: {}: {error}\n", error.subject()));
            Exit::Impossible
        })?;
        let asked = |f: &Form| match f {
            Form::Finished | Form::Casting | Form::TrialPrint => {
                self.forms.is_empty() || self.forms.iter().any(|name| name == f.name())
            }
            _ => false,
        };
        let forms: Vec<Form> = Form::ALL.into_iter().filter(asked).collect();
        let product = Product::new(&design, &finished);
        let found = checks::check(&product, &forms).map_err(|error| impossible(&error))?;
        // Measuring the thickness everywhere takes time, so it is done only for these options.
        let probe = self.histogram || self.wall_map.is_some();
        let probe = probe.then(|| maps::probe(&finished.solid)).transpose().map_err(|e| impossible(&e))?;
        let walls = probe.as_ref().filter(|_| self.histogram).map(checks::histogram);
        let mut out: Vec<(&Path, Vec<u8>)> = Vec::new();
        if let Some(path) = &self.json {
            let mut figures = report::figures(&found, walls.as_ref());
            figures["part"] = design.name().into();
            out.push((path, format!("{figures:#}\n").into_bytes()));
        }
        if let (Some(path), Some(probe)) = (&self.wall_map, &probe) {
            out.push((path, maps::walls(probe)));
        }
        self.casting_maps(&product, &mut out)?;
        let out: Vec<(&Path, &[u8])> = out.iter().map(|(path, bytes)| (*path, bytes.as_slice())).collect();
        files::write(file, &design.named_files(), &out)?;
        let colourful = colour() && io::stdout().is_terminal();
        say(&report::text(&found, design.units(), self.all, colourful));
        say(&driveline_report::text(&found.driveline, design.units(), self.sums));
        if let Some(walls) = &walls {
            say(&report::histogram(walls));
        }
        Ok(if found.count(Verdict::Fail) > 0 { Exit::Failed } else { Exit::Done })
    }
}

impl Check {
    /// Adds the requested maps of the casting.
    fn casting_maps<'a>(&'a self, product: &Product, out: &mut Vec<(&'a Path, Vec<u8>)>) -> Result<(), Exit> {
        let asked = [(&self.hot_spot_map, CastingMap::HotSpots), (&self.modulus_map, CastingMap::Modulus)];
        for (path, map) in asked {
            let Some(path) = path else { continue };
            let casting = product.casting().map_err(|error| impossible(&error))?;
            let bytes = map.of(product.design(), casting).map_err(|error| impossible(&error))?;
            out.push((path, bytes));
        }
        Ok(())
    }
}

/// Prints why something cannot be made.
fn impossible(error: &dyn Display) -> Exit {
    complain(&format!("error: {error}\n"));
    Exit::Impossible
}

/// An error of narrow scope becomes a failed check; a named file that cannot be read is bad input.
fn hold(_: &Design, scope: Scope) -> Hold {
    match scope {
        Scope::Everything | Scope::Surroundings => Hold::Stops,
        Scope::Core | Scope::TrialPrint | Scope::Mating | Scope::Vehicle => Hold::Aside,
    }
}
