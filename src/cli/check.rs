//! `check`: parameter file to findings about the part.

use std::io::{self, IsTerminal};
use std::path::{Path, PathBuf};

use clap::Args;
use clap::builder::PossibleValuesParser;

use super::{Exit, colour, complain, files, say};
use crate::checks::{self, Verdict, thickness_map};
use crate::design::Form;
use crate::export::ply;
use crate::housing::{self, Housing};
use crate::probe::Probe;
use crate::report::{checks as report, sums};

/// Check walls, holes, clearances, fits, driveline, casting and print; exit code 1 when anything fails.
#[derive(Debug, Args)]
pub(super) struct Check {
    /// Parameter file
    file: PathBuf,
    /// Forms to check, separated by commas; without it finished, casting and trial-print
    #[arg(long = "form", value_name = "NAME", value_delimiter = ',',
        value_parser = PossibleValuesParser::new(["finished", "casting", "trial-print"]))]
    forms: Vec<String>,
    /// Write all findings to this file
    #[arg(long, value_name = "FILE.json")]
    json: Option<PathBuf>,
    /// Write the finished part, coloured by its wall thickness, to this file
    #[arg(long, value_name = "FILE.ply")]
    wall_map: Option<PathBuf>,
    /// Show how wall thickness is spread over the surface
    #[arg(long)]
    histogram: bool,
    /// Show all figures and tables of fits and driveline, not only the leading ones
    #[arg(long)]
    sums: bool,
    /// List every pass, not only those nearest to their limits
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
        let (design, _) = files::design(&self.file)?;
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
        let found = checks::check(&design, &finished, &forms).map_err(|error| {
            complain(&format!("error: {error}\n"));
            Exit::Impossible
        })?;
        let mut out: Vec<(&Path, Vec<u8>)> = Vec::new();
        if let Some(path) = &self.json {
            let mut figures = report::figures(&found);
            figures["part"] = design.name().into();
            out.push((path, format!("{figures:#}\n").into_bytes()));
        }
        if let Some(path) = &self.wall_map {
            out.push((path, map(&finished)?));
        }
        let out: Vec<(&Path, &[u8])> = out.iter().map(|(path, bytes)| (*path, bytes.as_slice())).collect();
        files::write(&self.file, &out)?;
        let colourful = colour() && io::stdout().is_terminal();
        say(&report::text(&found, design.units(), self.all, colourful));
        say(&sums::text(&found.sums, design.units(), self.sums));
        if self.histogram {
            say(&report::histogram(&found.histogram));
        }
        Ok(if found.count(Verdict::Fail) > 0 { Exit::Failed } else { Exit::Done })
    }
}

/// The coloured mesh: red to 3 mm, over yellow and green, to blue from 10 mm; grey where there is no wall.
fn map(finished: &Housing) -> Result<Vec<u8>, Exit> {
    const CHORD: f64 = 0.15;
    let probe = Probe::new(&finished.brep, CHORD).map_err(|error| {
        complain(&format!("error: {error}\n"));
        Exit::Impossible
    })?;
    let coloured: Vec<_> =
        thickness_map(&probe).into_iter().map(|(t, wall)| (t, wall.map_or([190, 190, 190], shade))).collect();
    Ok(ply(&coloured, "wall thickness by ball: red 3 mm and less, blue 10 mm and more, grey no wall"))
}

fn shade(thickness: f64) -> [u8; 3] {
    let share = ((thickness - 3.0) / 7.0).clamp(0.0, 1.0);
    let ramp = |center: f64| ((1.5 - (share * 3.0 - center).abs() * 1.5).clamp(0.0, 1.0) * 255.0) as u8;
    [ramp(0.25), ramp(1.5), ramp(2.75)]
}
