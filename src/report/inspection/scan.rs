//! What a scan shows: for the terminal, as JSON, and as the page with the deviation map.

use serde_json::{Value, json};

use super::articles::{by_axis, scanned_contraction_text};
use super::core::{CoreReport, core_text, wall_word};
use super::plan::bare;
use super::set_up::{set_up_figures, set_up_text};
use crate::design::Design;
use crate::inspection::{
    BestShift, ByAxis, DeviationMap, FaceDeviation, ItemVerdict, ScanFit, ScannedWall, at_least,
};
use crate::report::columns::{self, Align};
use crate::report::document::html::escaped;
use crate::report::page;
use crate::units::Units;
use crate::words::fixed;

/// What a scan shows.
#[derive(Clone, Debug, PartialEq)]
pub struct ScanReport {
    /// Its file.
    pub file: String,
    /// Its triangles.
    pub triangles: usize,
    /// Triangles that were left out, since they hang together with nothing.
    pub strays: usize,
    /// Where it lies.
    pub fit: ScanFit,
    /// How far it is off.
    pub deviations: DeviationMap,
    /// Walls, the thinnest first.
    pub walls: Vec<ScannedWall>,
    /// The least wall, mm, and where that is from.
    pub least_wall: (f64, String),
    /// Expanded uncertainty of a scanned place, mm.
    pub uncertainty: f64,
}

/// What a scan of a raw casting tells besides.
#[derive(Clone, Debug, PartialEq)]
pub struct ScannedCasting {
    /// Its best set-up, in the scan's own axes.
    pub best: BestShift,
    /// How far its core lay off.
    pub core: CoreReport,
    /// The contraction that the pattern was made with, along X, Y and Z, and the one found.
    pub contraction: ([f64; 3], ByAxis),
}

impl ScanReport {
    /// The verdict on a wall: its two sides are uncertain apart from each other.
    pub fn verdict(&self, wall: &ScannedWall) -> ItemVerdict {
        at_least(wall.found, self.uncertainty * std::f64::consts::SQRT_2, self.least_wall.0)
    }

    /// Whether no scanned wall is too thin or undecided.
    pub fn serves(&self) -> bool {
        self.walls.iter().all(|w| self.verdict(w) == ItemVerdict::Conforms)
    }

    /// Faces by their greatest deviation.
    fn worst_faces(&self) -> Vec<&FaceDeviation> {
        let mut all: Vec<&FaceDeviation> = self.deviations.faces.iter().filter(|f| f.scanned > 0.0).collect();
        let size = |f: &FaceDeviation| f.range[0].abs().max(f.range[2].abs());
        all.sort_by(|a, b| size(b).total_cmp(&size(a)));
        all
    }
}

fn share(x: f64) -> String {
    format!("{} %", fixed(100.0 * x, 0))
}

/// Two rows of figures after a first line: faces and walls.
const SHOWN: usize = 12;

/// Where the scan lies, in a sentence.
fn lies(units: Units, told: &ScanReport) -> String {
    let strays = match told.strays {
        0 => String::new(),
        n => format!(" without {n} that hang together with nothing"),
    };
    format!(
        "Scan {}: {} triangles{strays}; half of it lies within {} of the nominal faces.",
        told.file,
        told.triangles,
        bare(units, told.fit.median)
    )
}

/// What is said of the walls, in a sentence.
fn walls_told(told: &ScanReport) -> String {
    let count = |v: ItemVerdict| told.walls.iter().filter(|w| told.verdict(w) == v).count();
    if told.walls.is_empty() {
        return "No wall was scanned on both of its sides.".to_owned();
    }
    match (count(ItemVerdict::DoesNotConform), count(ItemVerdict::Undecided)) {
        (0, 0) => "Every wall that was scanned on both sides is thick enough.".to_owned(),
        (thin, unsure) => {
            format!(
                "Thinnest walls by face: {thin} too thin, {unsure} nearer to the limit than the uncertainty."
            )
        }
    }
}

/// For the terminal. `all` lists every face and wall, else the worst.
fn scan_text(units: Units, told: &ScanReport, all: bool) -> String {
    let d = &told.deviations;
    let mut out = format!(
        "{}\n  {} of the surface was scanned; deviations {} root mean square; lengths in {}\n",
        lies(units, told),
        share(d.scanned),
        bare(units, d.overall),
        units.words()
    );
    let count = if all { usize::MAX } else { SHOWN };
    let heads = ["face", "scanned", "least", "mean", "greatest"].map(str::to_owned).to_vec();
    let row = |f: &&FaceDeviation| {
        let [low, mean, high] = f.range.map(|x| bare(units, (x * 1e3).round() / 1e3));
        vec![f.name.clone(), share(f.scanned), low, mean, high]
    };
    let rows = told.worst_faces();
    let sides = [Align::Left, Align::Right];
    out += &columns::text(std::iter::once(heads).chain(rows.iter().take(count).map(row)), 2, &sides);
    if told.walls.is_empty() {
        out += "  no wall was scanned on both of its sides\n";
        return out;
    }
    out += &format!(
        "  thinnest walls by face; limit {} ({})\n",
        bare(units, told.least_wall.0),
        told.least_wall.1
    );
    let heads = ["wall from", "at X, Y, Z", "planned", "found", ""].map(str::to_owned).to_vec();
    let rows = told.walls.iter().take(count).map(|w| wall_row(units, told, w));
    out += &columns::text(std::iter::once(heads).chain(rows), 2, &sides);
    out
}

/// All that a scan tells, and of a casting its set-up, its core and its contraction.
pub fn whole_text(units: Units, told: &ScanReport, casting: Option<&ScannedCasting>, all: bool) -> String {
    let mut out = scan_text(units, told, all);
    if let Some(casting) = casting {
        out += &set_up_text(units, &told.file, &casting.best);
        out += &core_text(units, &casting.core);
        out += &scanned_contraction_text(&casting.contraction);
    }
    out
}

fn wall_row(units: Units, told: &ScanReport, w: &ScannedWall) -> Vec<String> {
    let rounded = |x: f64| bare(units, (x * 100.0).round() / 100.0);
    vec![
        w.name.clone(),
        [w.at.x, w.at.y, w.at.z].map(rounded).join(", "),
        rounded(w.planned),
        rounded(w.found),
        wall_word(told.verdict(w)).to_owned(),
    ]
}

/// The same as JSON; lengths in mm.
pub fn scan_figures(told: &ScanReport) -> Value {
    let by = told.fit.by;
    let face = |f: &FaceDeviation| json!({"face": f.name, "scanned": f.scanned, "least": f.range[0], "mean": f.range[1], "greatest": f.range[2]});
    let wall = |w: &ScannedWall| json!({"from": w.name, "at": [w.at.x, w.at.y, w.at.z], "planned": w.planned, "found": w.found});
    json!({
        "scan": told.file,
        "triangles": told.triangles,
        "left_out": told.strays,
        "median": told.fit.median,
        "shift": [by.shift.x, by.shift.y, by.shift.z],
        "turns": by.turns().map(f64::to_degrees),
        "root_mean_square": told.deviations.overall,
        "scanned": told.deviations.scanned,
        "faces": told.deviations.faces.iter().map(face).collect::<Vec<_>>(),
        "walls": told.walls.iter().map(wall).collect::<Vec<_>>(),
    })
}

/// What a scanned casting tells besides, as JSON.
pub fn scanned_casting_figures(c: &ScannedCasting) -> Value {
    let (assumed, found) = &c.contraction;
    let mut out = set_up_figures("1", &c.best, Some(&c.core));
    out["contraction"] = json!({"assumed": assumed, "found": by_axis(found)});
    out
}

/// The page with the deviation map on the exact faces. `form` is the form's part of the scene.
/// `casting` is what a raw casting tells besides.
pub fn scan_page(
    design: &Design,
    told: &ScanReport,
    casting: Option<&ScannedCasting>,
    form: Value,
) -> String {
    let units = design.units();
    let title = format!("{}: scan", design.name());
    let mut scene = page::whole_scene(vec![form], None, units);
    scene["deviations"] = page::scene::deviations(&told.deviations.map);
    let head = format!("<h1>{}</h1>\n", escaped(&title));
    let verdict = format!("<p>{}</p>\n<p>{}</p>\n", escaped(&lies(units, told)), escaped(&walls_told(told)));
    let tables = format!(
        "<pre style=\"overflow-x:auto\">{}</pre>\n",
        escaped(&whole_text(units, told, casting, true))
    );
    page::scan(&title, units, [head, verdict, tables], &scene)
}
