//! `place`: hard points of the vehicle to stations of the housing.

use std::path::{Path, PathBuf};

use clap::Args;

use super::{Exit, complain, files, say};
use crate::design::Design;
use crate::params::{self, Source};
use crate::place;
use crate::report::place as report;

/// Place the housing's features by the vehicle's hard points, and tell what moves against the old housing.
#[derive(Debug, Args)]
pub(super) struct Place {
    /// Parameter file
    file: PathBuf,
    /// Write the values into a copy of the file; remarks stay
    #[arg(long, value_name = "FILE.yaml")]
    write: Option<PathBuf>,
    /// Draw the side view to this file
    #[arg(long, value_name = "FILE.svg")]
    svg: Option<PathBuf>,
    /// Also plan a first prototype welded up from the old housing: cuts, turns, jig
    #[arg(long)]
    weld_up: bool,
}

impl Place {
    pub(super) fn run(&self) -> Exit {
        match self.placed() {
            Ok(exit) | Err(exit) => exit,
        }
    }

    fn placed(&self) -> Result<Exit, Exit> {
        let (design, source) = files::design(&self.file)?;
        let bad = |error: &dyn std::error::Error| {
            complain(&format!("error: {}: {error}\n", self.file.display()));
            Exit::BadInput
        };
        let placed = place::place(&design).map_err(|e| bad(&e))?;
        say(&report::text(&placed, design.units()));
        let plan = if self.weld_up { Some(place::weld_up(&design).map_err(|e| bad(&e))?) } else { None };
        let mut out: Vec<(&Path, Vec<u8>)> = Vec::new();
        let mut told = String::new();
        if let Some(path) = &self.svg {
            out.push((path, place::side_view(&design, &placed).into_bytes()));
        }
        if let (Some(path), Some(source)) = (&self.write, &source) {
            out.push((path, self.copy(source, &placed, &mut told)?.into_bytes()));
        }
        let out: Vec<(&Path, &[u8])> = out.iter().map(|(path, bytes)| (*path, bytes.as_slice())).collect();
        files::write(&self.file, &design.named_files(), &out)?;
        say(&told);
        if let Some(plan) = plan {
            say("\n");
            say(&report::weld_up(&plan, design.units()));
        }
        Ok(Exit::Done)
    }

    /// The file's text with the placed values; what is wrong with the part that it then describes is told.
    fn copy(&self, source: &Source, placed: &place::Placed, told: &mut String) -> Result<String, Exit> {
        let raw = params::read(source).map_err(|_| Exit::BadInput)?;
        let (text, edits) = place::written(source, &raw.file, placed);
        *told = report::edits(&edits);
        let name = self.write.as_ref().map(|p| p.display().to_string()).unwrap_or_default();
        let Ok(new) = Source::from_bytes(name, text.clone().into_bytes()) else { return Ok(text) };
        if let Ok(raw) = params::read(&new) {
            let outcome = Design::validate(raw);
            if outcome.value.is_none() {
                complain("the copy needs more changes before it builds:\n");
            }
            files::tell(&outcome.findings, Some(&new));
        }
        Ok(text)
    }
}
