//! `check`: parameter file to findings about the part.

use std::io::{self, IsTerminal};
use std::path::{Path, PathBuf};

use clap::Args;
use clap::builder::PossibleValuesParser;

use super::files::Hold;
use super::{Exit, colour, complain, files, say};
use crate::checks::{self, Verdict, hot_spot_map, modulus_map, thickness_map};
use crate::design::{Design, Form};
use crate::finding::Scope;
use crate::forms;
use crate::housing::{self, Housing};
use crate::report::{checks as report, sums};
use solidwright::export::ply;
use solidwright::geometry::P3;
use solidwright::probe::Probe;

/// Check walls, holes, clearances, fits, driveline, casting and print; exit code 1 when anything fails.
#[derive(Debug, Args)]
#[allow(clippy::struct_excessive_bools, reason = "each is a switch of its own")]
pub(super) struct Check {
    /// Parameter file
    #[arg(required_unless_present = "schema")]
    file: Option<PathBuf>,
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
    /// Write the casting, coloured by the largest ball in it, to this file
    #[arg(long, value_name = "FILE.ply")]
    hot_spot_map: Option<PathBuf>,
    /// Write the casting, coloured by metal over cooling surface, to this file
    #[arg(long, value_name = "FILE.ply")]
    modulus_map: Option<PathBuf>,
    /// Print the JSON Schema of what --json writes, and end
    #[arg(long, exclusive = true)]
    schema: bool,
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
        let found = checks::check(&design, &finished, &forms).map_err(|error| {
            complain(&format!("error: {error}\n"));
            Exit::Impossible
        })?;
        // Thickness all over takes time, and only these ask for it.
        let probe = (self.histogram || self.wall_map.is_some()).then(|| probe(&finished)).transpose()?;
        let walls = probe.as_ref().filter(|_| self.histogram).map(checks::histogram);
        let mut out: Vec<(&Path, Vec<u8>)> = Vec::new();
        if let Some(path) = &self.json {
            let mut figures = report::figures(&found, walls.as_ref());
            figures["part"] = design.name().into();
            out.push((path, format!("{figures:#}\n").into_bytes()));
        }
        if let (Some(path), Some(probe)) = (&self.wall_map, &probe) {
            out.push((path, wall_map(probe)));
        }
        self.casting_maps(&design, &finished, &mut out)?;
        let out: Vec<(&Path, &[u8])> = out.iter().map(|(path, bytes)| (*path, bytes.as_slice())).collect();
        files::write(file, &design.named_files(), &out)?;
        let colourful = colour() && io::stdout().is_terminal();
        say(&report::text(&found, design.units(), self.all, colourful));
        say(&sums::text(&found.sums, design.units(), self.sums));
        if let Some(walls) = &walls {
            say(&report::histogram(walls));
        }
        Ok(if found.count(Verdict::Fail) > 0 { Exit::Failed } else { Exit::Done })
    }
}

impl Check {
    /// Maps of the casting that are asked for.
    fn casting_maps<'a>(
        &'a self,
        design: &Design,
        finished: &Housing,
        out: &mut Vec<(&'a Path, Vec<u8>)>,
    ) -> Result<(), Exit> {
        /// Longest side of the triangles, mm.
        const SIDE: f64 = 4.0;
        if self.hot_spot_map.is_none() && self.modulus_map.is_none() {
            return Ok(());
        }
        let casting = forms::casting(design, finished).map_err(|error| {
            complain(&format!("error: {error}\n"));
            Exit::Impossible
        })?;
        let probe = probe(&casting.moulded.casting)?;
        let wall = design.shell().thinnest().get();
        // From four walls down to one.
        let share = |(t, walls): ([P3; 3], Option<f64>)| (t, walls.map(|w| (4.0 - w) / 3.0));
        if let Some(path) = &self.hot_spot_map {
            let about = "largest ball in the casting: red 4 walls and more, blue 1 wall and less";
            out.push((path, coloured(hot_spot_map(&probe, wall, SIDE).into_iter().map(share), about)));
        }
        if let Some(path) = &self.modulus_map {
            let about = "modulus of the casting: red 4 times the wall's and more, blue the wall's and less";
            out.push((path, coloured(modulus_map(&probe, wall, SIDE).into_iter().map(share), about)));
        }
        Ok(())
    }
}

/// What a narrow rule stands against fails as a check; a named file that can't be read is bad input.
fn hold(_: &Design, scope: Scope) -> Hold {
    match scope {
        Scope::Everything | Scope::Surroundings => Hold::Stops,
        Scope::Core | Scope::TrialPrint | Scope::Mating | Scope::Vehicle => Hold::Aside,
    }
}

fn probe(finished: &Housing) -> Result<Probe<'_>, Exit> {
    Probe::new(&finished.solid, checks::CHORD).map_err(|error| {
        complain(&format!("error: {error}\n"));
        Exit::Impossible
    })
}

/// Red to 3 mm, over yellow and green, to blue from 10 mm; grey where there is no wall.
fn wall_map(probe: &Probe) -> Vec<u8> {
    let shares = thickness_map(probe).into_iter().map(|(t, wall)| (t, wall.map(|w| (w - 3.0) / 7.0)));
    coloured(shares, "wall thickness by ball: red 3 mm and less, blue 10 mm and more, grey no wall")
}

/// Small triangles by shares: red at 0, over yellow and green, to blue at 1; grey where there is none.
fn coloured(shares: impl Iterator<Item = ([P3; 3], Option<f64>)>, about: &str) -> Vec<u8> {
    let coloured: Vec<_> = shares.map(|(t, share)| (t, share.map_or([190, 190, 190], shade))).collect();
    ply(&coloured, about)
}

fn shade(share: f64) -> [u8; 3] {
    let share = share.clamp(0.0, 1.0);
    let ramp = |center: f64| ((1.5 - (share * 3.0 - center).abs() * 1.5).clamp(0.0, 1.0) * 255.0) as u8;
    [ramp(0.25), ramp(1.5), ramp(2.75)]
}
