//! `inspect scan`: a scanned mesh on the exact part.

use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};

use super::{Measured, Prepared, assumed_contraction, on_sheet, targets, told, working};
use crate::cautions;
use crate::checks::Limits;
use crate::cli::files::{self, test_targets, write};
use crate::cli::{Exit, complain, say};
use crate::design::Design;
use crate::export::maps;
use crate::finding::Hindrance;
use crate::inspection::{self, ArticleReadings, Machining, STYLUS, Scan as Scanned, ScanFit};
use crate::report::inspection::{self as report, CoreReport, ScanReport, ScannedCasting};
use crate::report::page::scene;
use crate::units::MM_PER_INCH;
use solidwright::probe::Probe;

/// Put a scanned mesh onto the exact part: where it lies, how far each face is off, walls between scanned outside and inside; of a
/// raw casting the set-up, the core's shift and the contraction as well. Exit code 1 if a scanned wall is too thin or cannot be
/// decided, or no set-up of a casting serves or can be looked for.
#[derive(Debug, Args)]
pub(super) struct Scan {
    /// Parameter file
    file: PathBuf,
    /// The scan: an STL or PLY file, lying anywhere
    #[arg(value_name = "SCAN")]
    mesh: PathBuf,
    /// What was scanned
    #[arg(long, value_name = "NAME", value_enum, default_value_t = Measured::Finished)]
    form: Measured,
    /// Unit of the scan's coordinates; the files themselves do not say it
    #[arg(long, value_name = "UNIT", value_enum, default_value_t = ScanUnit::Mm)]
    unit: ScanUnit,
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

/// Unit of a scan's coordinates.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
enum ScanUnit {
    /// Millimetres
    Mm,
    /// Centimetres
    Cm,
    /// Metres
    M,
    /// Inches
    Inch,
}

impl ScanUnit {
    /// Millimetres in one.
    const fn millimetres(self) -> f64 {
        match self {
            Self::Mm => 1.0,
            Self::Cm => 10.0,
            Self::M => 1e3,
            Self::Inch => MM_PER_INCH,
        }
    }
}

/// What is told of a scan.
struct Told {
    report: ScanReport,
    casting: Option<ScannedCasting>,
    page: Option<String>,
    /// Whether all that could be judged serves.
    right: bool,
}

impl Scan {
    pub(super) fn looked_at(&self) -> Result<Exit, Exit> {
        let (design, _) = files::design(&self.file, self.form.hold())?;
        let mut read = design.named_files();
        read.push(self.mesh.clone());
        let written: Vec<&Path> =
            [&self.page, &self.json].into_iter().flatten().map(PathBuf::as_path).collect();
        test_targets(&self.file, &read, &written)?;
        let scan = inspection::read_scan(&self.mesh, self.unit.millimetres()).map_err(|e| {
            complain(&format!("error: {e}\n"));
            Exit::BadInput
        })?;
        let (scan, strays) = scan.without_strays();
        let working = working();
        let told = on_sheet(&design, self.form, &working, |prepared| {
            working.now("putting the scan onto the part");
            self.told(&design, &scan, strays, &prepared)
        })?;
        self.written(&read, &told)?;
        let casting = told.casting.as_ref();
        say(&report::whole_text(design.units(), &told.report, casting, self.all));
        say(&cautions::lines(&cautions::of_build(&[self.form.form()])));
        Ok(if told.right { Exit::Done } else { Exit::Failed })
    }

    /// Where the scan lies, how far it is off, and of a casting how it is set up.
    fn told(
        &self,
        design: &Design,
        scan: &Scanned,
        strays: usize,
        prepared: &Prepared,
    ) -> Result<Told, Exit> {
        let probe = maps::probe(prepared.solid).map_err(|e| told(&Hindrance::from(&e)))?;
        let refused = |why| {
            complain(&format!("error: {}: {why}\nnothing was judged\n", self.mesh.display()));
            Exit::BadInput
        };
        let fit = inspection::fitted(scan, &probe).map_err(refused)?;
        let sheet = &prepared.sheet;
        let plan = inspection::probe_plan(sheet, &probe, STYLUS);
        let article = inspection::readings_of(scan, &fit, sheet, &plan);
        let machining = prepared.cast.as_ref().map(|c| inspection::machining(c.made, &c.finished, sheet));
        inspection::right_form(sheet, machining.as_ref(), &article).map_err(refused)?;
        let on = self.report(design, scan, strays, fit, &probe);
        let casting = match machining {
            None => None,
            Some(machining) => self.casting(design, &on, prepared, &machining, article, &probe)?,
        };
        let form = || scene::form(prepared.product, self.form.form()).map_err(|e| told(&e));
        let page = match &self.page {
            Some(_) => Some(report::scan_page(design, &on, casting.as_ref(), form()?)),
            None => None,
        };
        // A casting of which no set-up could be looked for is not known to serve.
        let right = on.serves()
            && (prepared.cast.is_none()
                || casting.as_ref().is_some_and(|c| c.best.serves && c.core.serves()));
        Ok(Told { report: on, casting, page, right })
    }

    /// Where the scan lies, and how far it is off.
    fn report(
        &self,
        design: &Design,
        scan: &Scanned,
        strays: usize,
        fit: ScanFit,
        probe: &Probe,
    ) -> ScanReport {
        let limits = Limits::of(design);
        let limit = match self.form {
            Measured::Finished => limits.machined_wall,
            Measured::Casting => limits.wall,
        };
        ScanReport {
            file: files::file_name(&self.mesh),
            triangles: scan.triangles.len(),
            strays,
            fit,
            deviations: inspection::deviations(scan, &fit, probe),
            walls: inspection::scanned_walls(scan, &fit, probe),
            least_wall: (limit.value, limit.source),
            uncertainty: self.point_uncertainty,
        }
    }

    /// Writes what was asked for.
    fn written(&self, read: &[PathBuf], told: &Told) -> Result<(), Exit> {
        let mut out: Vec<(&Path, Vec<u8>)> = Vec::new();
        if let Some((path, page)) = self.page.as_ref().zip(told.page.as_ref()) {
            out.push((path, page.clone().into_bytes()));
        }
        if let Some(path) = &self.json {
            let mut figures = report::scan_figures(&told.report);
            figures["casting"] =
                told.casting.as_ref().map_or(serde_json::Value::Null, report::scanned_casting_figures);
            out.push((path, format!("{figures:#}\n").into_bytes()));
        }
        write(&self.file, read, &out)
    }

    /// The set-up of a scanned casting in the scan's own axes, its core and its contraction.
    fn casting(
        &self,
        design: &Design,
        on: &ScanReport,
        prepared: &Prepared,
        machining: &Machining,
        mut article: ArticleReadings,
        probe: &Probe,
    ) -> Result<Option<ScannedCasting>, Exit> {
        let sheet = &prepared.sheet;
        let back = on.fit.by.inverse();
        for place in article.places.values_mut().flatten() {
            place.at = back.moved(place.at);
        }
        let stands_on = targets(prepared.product)?.as_deref().unwrap_or_default();
        let assumed = assumed_contraction(design);
        let found = inspection::best_shift(sheet, machining, stands_on, &article).and_then(|best| {
            let shift = inspection::core_shift(sheet, machining, probe, &article)?;
            let core = CoreReport::of(shift, probe, Limits::of(design).oil_wall);
            let found = inspection::contraction(sheet, machining, probe, assumed, &article)?;
            Ok(ScannedCasting { best, core, contraction: (assumed, found) })
        });
        Ok(match found {
            Ok(casting) => Some(casting),
            Err(faults) => {
                complain(&report::faults(&self.mesh.display().to_string(), &faults));
                complain("no set-up was looked for\n");
                None
            }
        })
    }
}
