//! From a sound design to files: builds, meshes, writes, and says what came out.

use std::path::{Path, PathBuf};
use std::time::Instant;

use serde_json::{Value, json};

use super::{Exit, colour, complain, say};
use crate::design::Design;
use crate::drawing;
use crate::export::step::{StepInfo, step};
use crate::export::{files, sidecar, stl};
use crate::finding::{Code, Finding, Findings};
use crate::housing::{self, Housing};
use crate::mesh::{Mesh, triangulate};
use crate::report::{joints, terminal};

/// A part whose values are legal but that can't be made.
const IMPOSSIBLE: Code = Code::new("G001", "the part cannot be made");

/// A fault of a writer or the mesher.
const UNWRITABLE: Code = Code::new("G002", "a file of the part cannot be made");

/// What to produce and where.
#[derive(Debug)]
pub(super) struct Order<'a> {
    /// The parameter file, which no result may replace.
    pub(super) input: &'a Path,
    /// Folder that takes the files of this part.
    pub(super) folder: PathBuf,
    /// Greatest distance between mesh and exact surface, mm.
    pub(super) chord: f64,
    /// Whether to list all fillets.
    pub(super) fillets: bool,
    /// Whether to draw the part.
    pub(super) picture: bool,
    pub(super) measured: Option<&'a Path>,
    pub(super) tree: Option<&'a Path>,
    pub(super) timing: Option<&'a Path>,
}

/// Seconds spent on each step.
#[derive(Debug, Default)]
struct Times {
    build: f64,
    step: f64,
    mesh: f64,
    stl: f64,
    picture: f64,
}

fn timed<T>(seconds: &mut f64, work: impl FnOnce() -> T) -> T {
    let start = Instant::now();
    let out = work();
    *seconds = start.elapsed().as_secs_f64();
    out
}

fn impossible(code: Code, subject: &str, message: String) -> Exit {
    let mut findings = Findings::default();
    findings.push(Finding::error(code, subject, message));
    complain(&terminal::findings(&findings, None, colour()));
    Exit::Impossible
}

/// Builds the design and writes its files; nothing is written unless all of them could be made.
pub(super) fn produce(design: &Design, order: &Order) -> Exit {
    let [step_file, stl_file, picture_file] =
        ["finished.step", "finished.stl", "finished.png"].map(|name| order.folder.join(name));
    let own = [Some(&step_file), Some(&stl_file), order.picture.then_some(&picture_file)];
    let asked = [order.measured, order.tree, order.timing];
    let targets: Vec<&Path> =
        own.into_iter().flatten().map(PathBuf::as_path).chain(asked.into_iter().flatten()).collect();
    if let Err(error) = files::test_distinct(order.input, &targets) {
        complain(&format!("error: {error}\n"));
        return Exit::BadInput;
    }
    let mut times = Times::default();
    let housing = match timed(&mut times.build, || housing::build(design)) {
        Ok(housing) => housing,
        Err(error) => return impossible(IMPOSSIBLE, &error.subject(), error.to_string()),
    };
    let step_bytes = match timed(&mut times.step, || step(&housing.brep, &info(design, &housing))) {
        Ok(bytes) => bytes,
        Err(error) => return impossible(UNWRITABLE, "finished.step", error.to_string()),
    };
    let mesh = match timed(&mut times.mesh, || triangulate(&housing.brep, order.chord)) {
        Ok(mesh) => mesh,
        Err(error) => return impossible(UNWRITABLE, "finished.stl", error.to_string()),
    };
    let stl_bytes = match timed(&mut times.stl, || stl(&mesh)) {
        Ok(bytes) => bytes,
        Err(error) => return impossible(UNWRITABLE, "finished.stl", error.to_string()),
    };
    let draw =
        || order.picture.then(|| drawing::eight_views(&housing.brep, &mesh, design.name())).transpose();
    let picture = match timed(&mut times.picture, draw) {
        Ok(picture) => picture,
        Err(error) => return impossible(UNWRITABLE, "finished.png", error.to_string()),
    };
    let measured = || {
        let mut figures = sidecar::measured(&housing, "finished.step", design.name());
        figures["fillets"] = joints::list(&housing.joints);
        figures["sharp_edged"] = json!(housing.sharp_edged);
        figures
    };
    let mut all = vec![(step_file.as_path(), step_bytes), (stl_file.as_path(), stl_bytes)];
    all.extend(picture.map(|bytes| (picture_file.as_path(), bytes)));
    all.extend(order.measured.map(|path| (path, text(&measured()))));
    all.extend(order.tree.map(|path| (path, text(&sidecar::tree(&housing.tree)))));
    all.extend(order.timing.map(|path| (path, text(&timing(&times)))));
    // All targets are looked at before the first is touched.
    let tested = all.iter().try_for_each(|(path, _)| files::test_target(path));
    let written =
        tested.and_then(|()| all.iter().try_for_each(|(path, bytes)| files::write_atomic(path, bytes)));
    if let Err(error) = written {
        complain(&format!("error: {error}\n"));
        return Exit::FileTrouble;
    }
    say(&summary(design, &housing, &mesh, order.chord, &times));
    say(&joints::table(&housing.joints, design.units(), order.fillets));
    say(&joints::sharp_edges(&housing.sharp_edged));
    for (path, bytes) in &all {
        say(&format!("  {}  {}\n", path.display(), size(bytes.len())));
    }
    Exit::Done
}

fn info(design: &Design, housing: &Housing) -> StepInfo {
    StepInfo {
        id: design.name().to_owned(),
        name: design.name().to_owned(),
        description: design.description().unwrap_or_default().to_owned(),
        form: "finished".to_owned(),
        file_stem: "finished".to_owned(),
        properties: Some(housing.report.mass),
        ..StepInfo::default()
    }
}

fn text(value: &Value) -> Vec<u8> {
    format!("{value:#}\n").into_bytes()
}

fn timing(times: &Times) -> Value {
    json!({
        "build_s": times.build,
        "step_s": times.step,
        "mesh_s": times.mesh,
        "stl_s": times.stl,
        "picture_s": times.picture,
        "peak_rss_mb": peak_memory(),
    })
}

/// Greatest memory in use so far, MB (10⁶ bytes), where the system tells it.
fn peak_memory() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|l| l.starts_with("VmHWM:"))?;
    let kib: f64 = line.split_whitespace().nth(1)?.parse().ok()?;
    Some(kib * 1024.0 / 1e6)
}

fn size(bytes: usize) -> String {
    if bytes < 100_000 {
        format!("{:.1} kB", bytes as f64 / 1e3)
    } else {
        format!("{:.2} MB", bytes as f64 / 1e6)
    }
}

fn summary(design: &Design, housing: &Housing, mesh: &Mesh, chord: f64, times: &Times) -> String {
    let (brep, mass) = (&housing.brep, &housing.report.mass);
    let weight = mass.volume * 1e-9 * design.casting().density().get();
    let c = mass.centroid;
    let (whole, pieces) = joints::whole(&housing.joints);
    let invented = if design.invented() { " (invented)" } else { "" };
    format!(
        "{}{invented}, finished\n  \
         {} faces, {} edges, one closed solid, checked\n  \
         volume {:.3} cm³, mass {weight:.3} kg ({}), centre of mass x {:.2} y {:.2} z {:.2} mm\n  \
         fillets: {whole} of {pieces} pieces of joint made whole\n  \
         mesh {} triangles within {chord} mm\n  \
         solid {:.1} ms, STEP {:.1} ms, mesh {:.1} ms, STL {:.1} ms\n",
        design.name(),
        brep.faces.len(),
        brep.edges.len(),
        mass.volume / 1e3,
        design.casting().alloy().name,
        c.x,
        c.y,
        c.z,
        mesh.triangles.len(),
        times.build * 1e3,
        times.step * 1e3,
        times.mesh * 1e3,
        times.stl * 1e3,
    )
}
