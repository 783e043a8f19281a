//! `inspect plan`: writes the measuring sheet and the probe points.

use std::path::{Path, PathBuf};

use clap::Args;

use super::{Measured, Prepared, on_sheet, targets, told, working};
use crate::cautions;
use crate::cli::files::{self, test_targets, write};
use crate::cli::{Exit, complain, say};
use crate::design::Design;
use crate::export::{maps, sha256, stem};
use crate::finding::Hindrance;
use crate::inspection::{self, MeasuringSheet, ProbePlan, STYLUS};
use crate::report::document::{html, pdf};
use crate::report::inspection as report;
use crate::words::counted;

/// Write the measuring sheet: numbered characteristics, instruments, set-up, probe points.
#[derive(Debug, Args)]
pub(super) struct Plan {
    /// Parameter file
    file: PathBuf,
    /// Folder for the results; the files go into a subfolder named after the parameter file
    #[arg(long, value_name = "DIR", default_value = "out")]
    out: PathBuf,
    /// What is measured
    #[arg(long, value_name = "NAME", value_enum, default_value_t = Measured::Finished)]
    form: Measured,
}

/// What the sheet tells.
struct Chosen {
    sheet: MeasuringSheet,
    points: ProbePlan,
    steps: Vec<String>,
}

impl Plan {
    pub(super) fn made(&self) -> Result<Exit, Exit> {
        let form = self.form.form();
        let (design, source) = files::design(&self.file, self.form.hold())?;
        let folder = self.out.join(self.file.file_stem().unwrap_or(self.file.as_os_str()));
        let name = stem(form);
        let ends =
            ["measuring.csv", "probe_points.csv", "probe_points.dxf", "measuring.html", "measuring.pdf"];
        let paths = ends.map(|end| folder.join(format!("{name}_{end}")));
        let targets: Vec<&Path> = paths.iter().map(PathBuf::as_path).collect();
        test_targets(&self.file, &design.named_files(), &targets)?;
        let Chosen { sheet, points, steps } = self.chosen(&design)?;
        let hash = source.as_ref().map_or_else(String::new, |s| sha256(s.text()));
        let document = report::document(&design, form, &sheet, &points, steps, &hash);
        let printed = pdf::bytes(&document).map_err(|error| {
            complain(&format!("error: {}: the sheet cannot be written: {error}\n", self.file.display()));
            Exit::ProgramFault
        })?;
        let units = design.units();
        let contents = [
            report::characteristics_csv(&sheet, units).into_bytes(),
            report::points_csv(&sheet, &points, units).into_bytes(),
            report::points_dxf(&sheet, &points, units).into_bytes(),
            html::text(&document).into_bytes(),
            printed,
        ];
        let all: Vec<(&Path, Vec<u8>)> = targets.iter().copied().zip(contents).collect();
        write(&self.file, &design.named_files(), &all)?;
        say(&format!(
            "{}\n  {}, {}\n",
            document.title,
            counted(sheet.characteristics.len(), "characteristic"),
            counted(points.points.len(), "probe point")
        ));
        for path in &paths {
            say(&format!("  {}\n", path.display()));
        }
        say(&cautions::lines(&cautions::of_build(&[form])));
        Ok(Exit::Done)
    }

    /// What is measured, and where it is probed.
    fn chosen(&self, design: &Design) -> Result<Chosen, Exit> {
        let working = working();
        on_sheet(design, self.form, &working, |Prepared { product, sheet, solid, cast }| {
            working.now("choosing probe points");
            let probe = maps::probe(solid).map_err(|e| told(&Hindrance::from(&e)))?;
            let points = inspection::probe_plan(&sheet, &probe, STYLUS);
            let steps = match cast {
                None => inspection::finished_steps(design, &sheet),
                Some(_) => inspection::casting_steps(&sheet, targets(product)?),
            };
            Ok(Chosen { sheet, points, steps })
        })
    }
}
