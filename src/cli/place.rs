//! `place`: computes stations of the housing from the hard points of the vehicle.

use std::path::{Path, PathBuf};

use clap::Args;

use super::files::Hold;
use super::{Exit, complain, files, say};
use crate::cautions;
use crate::design::Design;
use crate::finding::Scope;
use crate::params::{self, Source};
use crate::place;
use crate::report::place as report;

/// Place the housing's features by the vehicle's hard points, and report what moves compared with the old housing.
#[derive(Debug, Args)]
pub(super) struct Place {
    /// Parameter file
    file: PathBuf,
    /// Write the values into a copy of the parameter file; its comments are kept
    #[arg(long, value_name = "FILE.yaml")]
    write: Option<PathBuf>,
    /// Write a drawing of the side view to this file
    #[arg(long, value_name = "FILE.svg")]
    svg: Option<PathBuf>,
    /// Also plan a first prototype welded from pieces of the old housing: cuts, rotations, jig
    #[arg(long)]
    weld_up: bool,
}

/// Whether what is placed, and where, hangs on it.
fn stops(scope: Scope) -> bool {
    match scope {
        Scope::Everything | Scope::Mating | Scope::Vehicle | Scope::Surroundings => true,
        Scope::Core | Scope::TrialPrint | Scope::Limits => false,
    }
}

fn hold(_: &Design, scope: Scope) -> Hold {
    if stops(scope) { Hold::Stops } else { Hold::Aside }
}

impl Place {
    pub(super) fn run(&self) -> Exit {
        match self.placed() {
            Ok(exit) | Err(exit) => exit,
        }
    }

    fn placed(&self) -> Result<Exit, Exit> {
        let (design, source) = files::design(&self.file, hold)?;
        let targets: Vec<&Path> =
            [&self.svg, &self.write].into_iter().flatten().map(PathBuf::as_path).collect();
        files::test_targets(&self.file, &design.named_files(), &targets)?;
        let bad = |error: &dyn std::error::Error| {
            complain(&format!("error: {}: {error}\n", self.file.display()));
            Exit::BadInput
        };
        let placed = place::place(&design).map_err(|e| bad(&e))?;
        say(&report::text(&placed, design.units()));
        let mut out: Vec<(&Path, Vec<u8>)> = Vec::new();
        let mut told = String::new();
        // Positions that make no valid housing are reported whether or not they are to be written; nothing is written
        // then.
        let copy = source.as_ref().map(|source| self.copy(source, &placed, &mut told)).transpose()?;
        let (copy, new) = copy.unzip();
        let plan = if self.weld_up {
            Some(place::weld_up(new.as_ref().unwrap_or(&design)).map_err(|e| bad(&e))?)
        } else {
            None
        };
        if let Some(path) = &self.svg {
            out.push((path, place::side_view(&design, &placed).into_bytes()));
        }
        if let (Some(path), Some(copy)) = (&self.write, copy) {
            out.push((path, copy.into_bytes()));
        }
        files::write(&self.file, &design.named_files(), &out)?;
        if self.write.is_some() {
            say(&told);
        }
        if let Some(plan) = plan {
            say("\n");
            say(&report::weld_up(&plan, design.units()));
        }
        say(&format!("\n{}", cautions::lines(&cautions::of_place(self.weld_up))));
        Ok(Exit::Done)
    }

    /// The file's text with the placed values, and its design, validated like the file itself: a text that describes
    /// no valid housing is refused.
    fn copy(
        &self,
        source: &Source,
        placed: &place::Placed,
        told: &mut String,
    ) -> Result<(String, Design), Exit> {
        let raw = params::read(source).map_err(|_| Exit::BadInput)?;
        let (text, edits) = place::written(source, &raw.file, placed);
        *told = report::edits(&edits);
        let name = self.write.as_ref().unwrap_or(&self.file).display();
        let named = if self.write.is_some() { name.to_string() } else { format!("{name} as placed") };
        let new = Source::from_bytes(named, text.clone().into_bytes()).map_err(|_| Exit::BadInput)?;
        let outcome = Design::validate(params::read(&new).map_err(|_| Exit::BadInput)?);
        let stopped = outcome.findings.stop(stops);
        if stopped || (self.write.is_some() && text != source.text()) {
            files::tell(&outcome.findings, Some(&new));
        }
        let Some(design) = outcome.value.filter(|_| !stopped) else {
            complain(&format!(
                "error: {}: the placed values and the rest of the file make no valid housing: change the file, or `vehicle.hard_points`{}\n",
                self.file.display(),
                if self.write.is_some() { "; nothing was written" } else { "" }
            ));
            return Err(Exit::Failed);
        };
        Ok((text, design))
    }
}
