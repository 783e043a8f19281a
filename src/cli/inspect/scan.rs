//! `inspect scan`: a scanned mesh on the exact part.

use std::path::{Path, PathBuf};

use clap::Args;

use super::{Measured, told, working};
use crate::cautions;
use crate::checks::Limits;
use crate::cli::files::{self, test_targets, write};
use crate::cli::produce::impossible;
use crate::cli::working::Working;
use crate::cli::{Exit, complain, say};
use crate::design::Design;
use crate::export::maps;
use crate::finding::Hindrance;
use crate::forms::Product;
use crate::housing;
use crate::inspection::{self, BestShift, STYLUS, Scan as Scanned};
use crate::report::inspection::{self as report, ScanReport};
use crate::report::page::scene;
use solidwright::solid::Solid;

/// Put a scanned mesh onto the exact part: where it lies, how far each face is off, walls between scanned outside and inside; of a
/// raw casting the set-up as well. Exit code 1 if a scanned wall is too thin or cannot be decided, or no set-up serves.
#[derive(Debug, Args)]
pub(super) struct Scan {
    /// Parameter file
    file: PathBuf,
    /// The scan: an STL or PLY file in millimetres, lying anywhere
    #[arg(value_name = "SCAN")]
    mesh: PathBuf,
    /// What was scanned
    #[arg(long, value_name = "NAME", value_enum, default_value_t = Measured::Finished)]
    form: Measured,
    /// Expanded uncertainty (k = 2) of a scanned place, in mm; the default is that of a good workshop scanner (common practice)
    #[arg(long, value_name = "MM", value_parser = super::uncertainty, default_value = "0.05")]
    point_uncertainty: f64,
    /// Write the page with the deviation map to this file
    #[arg(long, value_name = "FILE.html")]
    page: Option<PathBuf>,
    /// Write all figures to this file
    #[arg(long, value_name = "FILE.json")]
    json: Option<PathBuf>,
    /// List every face and wall, not only the worst
    #[arg(long)]
    all: bool,
}

impl Scan {
    pub(super) fn looked_at(&self) -> Result<Exit, Exit> {
        let (design, _) = files::design(&self.file, self.form.hold())?;
        let mut read = design.named_files();
        read.push(self.mesh.clone());
        let targets: Vec<&Path> =
            [&self.page, &self.json].into_iter().flatten().map(PathBuf::as_path).collect();
        test_targets(&self.file, &read, &targets)?;
        let scan = inspection::read_scan(&self.mesh).map_err(|e| {
            complain(&format!("error: {e}\n"));
            Exit::BadInput
        })?;
        let working = working();
        let housing = housing::build(&design).map_err(|error| impossible(&error))?;
        let product = Product::new(&design, &housing);
        let solid = match self.form {
            Measured::Finished => &housing.solid,
            Measured::Casting => {
                working.now("making the solid of the casting");
                &product.casting().map_err(|e| told(&Hindrance::from(&e)))?.moulded.casting.solid
            }
        };
        let report = self.report(&design, &scan, solid, &working)?;
        let best = match self.form {
            Measured::Finished => None,
            Measured::Casting => self.set_up(&design, &product, &housing, &scan, &report, &working)?,
        };
        self.written(&product, &read, &report, best.as_ref())?;
        say(&report::scan_text(design.units(), &report, self.all));
        if let Some(best) = &best {
            say(&report::set_up_text(design.units(), &report.file, best));
        }
        say(&cautions::lines(&cautions::of_build(&[self.form.form()])));
        let right = report.serves() && best.is_none_or(|b| b.serves);
        Ok(if right { Exit::Done } else { Exit::Failed })
    }

    /// Where the scan lies, and how far it is off.
    fn report(
        &self,
        design: &Design,
        scan: &Scanned,
        solid: &Solid,
        working: &Working,
    ) -> Result<ScanReport, Exit> {
        working.now("putting the scan onto the part");
        let probe = maps::probe(solid).map_err(|e| told(&Hindrance::from(&e)))?;
        let fit = inspection::fitted(scan, &probe).map_err(|why| {
            complain(&format!("error: {}: {why}\n", self.mesh.display()));
            Exit::BadInput
        })?;
        working.now("measuring deviations and walls");
        let limits = Limits::of(design);
        let limit = match self.form {
            Measured::Finished => limits.machined_wall,
            Measured::Casting => limits.wall,
        };
        Ok(ScanReport {
            file: files::file_name(&self.mesh),
            triangles: scan.triangles.len(),
            fit,
            deviations: inspection::deviations(scan, &fit.by, &probe),
            walls: inspection::scanned_walls(scan, &fit.by, &probe),
            least_wall: (limit.value, limit.source),
            uncertainty: self.point_uncertainty,
        })
    }

    /// Writes what was asked for.
    fn written(
        &self,
        product: &Product,
        read: &[PathBuf],
        report: &ScanReport,
        best: Option<&BestShift>,
    ) -> Result<(), Exit> {
        let mut out: Vec<(&Path, Vec<u8>)> = Vec::new();
        if let Some(path) = &self.page {
            let form = scene::form(product, self.form.form()).map_err(|e| told(&e))?;
            out.push((path, report::scan_page(product.design(), report, form).into_bytes()));
        }
        if let Some(path) = &self.json {
            let mut figures = report::scan_figures(report);
            figures["set_up"] =
                best.map_or(serde_json::Value::Null, |b| report::set_up_figures("1", b, None));
            out.push((path, format!("{figures:#}\n").into_bytes()));
        }
        write(&self.file, read, &out)
    }

    /// The set-up of a scanned casting, in the scan's own axes.
    fn set_up(
        &self,
        design: &Design,
        product: &Product,
        housing: &housing::Housing,
        scan: &Scanned,
        report: &ScanReport,
        working: &Working,
    ) -> Result<Option<BestShift>, Exit> {
        working.now("looking for the best set-up");
        let made = product.casting().map_err(|e| told(&Hindrance::from(&e)))?;
        let finished = inspection::finished(design, housing);
        let sheet = inspection::casting(design, &finished, &housing.solid, made)
            .map_err(|e| told(&Hindrance::from(&e)))?;
        let probe = maps::probe(&made.moulded.casting.solid).map_err(|e| told(&Hindrance::from(&e)))?;
        let plan = inspection::probe_plan(&sheet, &probe, STYLUS);
        let mut article = inspection::readings_of(scan, &report.fit.by, &sheet, &plan);
        let back = report.fit.by.inverse();
        for place in article.places.values_mut().flatten() {
            place.at = back.moved(place.at);
        }
        let machining = inspection::machining(made, &finished, &sheet);
        let targets =
            product.datum_targets().map_err(|e| told(&Hindrance::from(&e)))?.clone().unwrap_or_default();
        match inspection::best_shift(&sheet, &machining, &targets, &article) {
            Ok(best) => Ok(Some(best)),
            Err(faults) => {
                complain(&report::faults(&self.mesh.display().to_string(), &faults));
                complain("no set-up was looked for\n");
                Ok(None)
            }
        }
    }
}
