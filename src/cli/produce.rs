//! From a sound design to files: builds, meshes, writes, and says what came out.

use std::path::{Path, PathBuf};
use std::time::Instant;

use serde_json::{Value, json};

use super::files::{bad_target, write};
use super::forms::{self, Failure, Job, Output};
use super::{Exit, colour, complain, say};
use crate::design::{Design, Form};
use crate::drawing;
use crate::export::{files, sidecar};
use crate::finding::{Code, Finding, Findings};
use crate::forms::{Lacking, title};
use crate::housing::{self, Housing};
use crate::report::{joints, terminal};
use solidwright::export::step::step;
use solidwright::export::{Body, PackError, glb, stl, threemf};
use solidwright::mesh::{Mesh, triangulate};

/// A part whose values are legal but that can't be made.
const IMPOSSIBLE: Code = Code::new("G001", "the part cannot be made");

/// A fault of a writer or the mesher.
const UNWRITABLE: Code = Code::new("G002", "a file of the part cannot be made");

/// The finished part has metal that its casting lacks: it can't be machined from that casting.
const LACKING: Code = Code::new("G003", "the casting does not hold the finished part");

/// What to produce and where.
#[derive(Debug)]
pub(super) struct Order<'a> {
    /// The parameter file, which no result may replace.
    pub(super) input: &'a Path,
    /// Folder that takes the files of this part.
    pub(super) folder: PathBuf,
    /// Greatest distance between mesh and exact surface, mm.
    pub(super) chord: f64,
    /// What to make.
    pub(super) forms: &'a [Form],
    /// SHA-256 of the parameter file.
    pub(super) hash: String,
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
    packed: f64,
    picture: f64,
    forms: f64,
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

/// Builds the design and writes its files. A form that can't be made is told and costs no other; nothing is written
/// where the finished part can't be.
pub(super) fn produce(design: &Design, order: &Order) -> Exit {
    let mut times = Times::default();
    // Known bad targets are told before the work begins.
    let asked: Vec<&Path> = [order.measured, order.tree, order.timing].into_iter().flatten().collect();
    let usual = order.folder.join("finished.step");
    let early: Vec<&Path> = std::iter::once(usual.as_path()).chain(asked).collect();
    let named = design.named_files();
    let inputs = named.iter().map(PathBuf::as_path).chain([order.input]);
    if let Err(error) = inputs.into_iter().try_for_each(|read| files::test_distinct(read, &early)) {
        return bad_target(&error);
    }
    let housing = match timed(&mut times.build, || housing::build(design)) {
        Ok(housing) => housing,
        Err(error) => return impossible(IMPOSSIBLE, &error.subject(), error.to_string()),
    };
    let finished = match finished(design, order, &housing, &mut times) {
        Ok(output) => output,
        Err((file, message)) => return impossible(UNWRITABLE, file, message),
    };
    let (folder, chord, hash) = (order.folder.as_path(), order.chord, order.hash.as_str());
    let job = Job { design, finished: &housing, folder, chord, hash };
    let (mut others, mut failed) = (Vec::new(), Vec::new());
    let made = timed(&mut times.forms, || forms::outputs(&job, order.forms));
    for (form, outcome) in made.forms {
        match outcome {
            Ok(output) => others.push((form, output)),
            Err(failure) => failed.push((form, failure)),
        }
    }
    let measured = || {
        let mut figures = sidecar::measured(&housing, "finished.step", design.name());
        figures["fillets"] = joints::list(&housing.joints);
        figures["sharp_edged"] = json!(housing.sharp_edged);
        figures["forms"] =
            others.iter().map(|(form, o)| (form.name().to_owned(), o.figures.clone())).collect();
        figures
    };
    let mut all: Vec<(&Path, &[u8])> = Vec::new();
    let outputs = || finished.iter().chain(others.iter().map(|(_, output)| output));
    all.extend(outputs().flat_map(|o| &o.files).map(|(path, bytes)| (path.as_path(), bytes.as_slice())));
    let sidecars = [
        order.measured.map(|path| (path, text(&measured()))),
        order.tree.map(|path| (path, text(&sidecar::tree(housing.solid.tree())))),
        order.timing.map(|path| (path, text(&timing(&times)))),
    ];
    all.extend(sidecars.iter().flatten().map(|(path, bytes)| (*path, bytes.as_slice())));
    if let Err(exit) = write(order.input, &named, &all) {
        return exit;
    }
    outputs().for_each(|o| say(&o.text));
    for (path, bytes) in &all {
        say(&format!("  {}  {}\n", path.display(), size(bytes.len())));
    }
    say(&taken(&times, others.len()));
    let (failed, lacking) = (tell_failed(&failed), tell_lacking(&made.lacking));
    if failed == Exit::Done { lacking } else { failed }
}

/// What the casting lacks of the finished part, a message a feature; a shallow flaw only warns. The forms are written all
/// the same.
fn tell_lacking(lacking: &[Lacking]) -> Exit {
    for l in lacking {
        let mut findings = Findings::default();
        let finding = if l.depth > Lacking::DEEP { Finding::error } else { Finding::warning };
        findings.push(finding(LACKING, &l.feature, l.to_string()));
        complain(&terminal::findings(&findings, None, colour()));
    }
    if lacking.iter().any(|l| l.depth > Lacking::DEEP) { Exit::Failed } else { Exit::Done }
}

/// Forms that could not be made; one message where several stand on the same.
fn tell_failed(failed: &[(Form, Failure)]) -> Exit {
    let mut reasons: Vec<(String, &Failure, Vec<&str>)> = Vec::new();
    for (form, failure) in failed {
        let text = failure.to_string();
        match reasons.iter_mut().find(|(known, ..)| *known == text) {
            Some((.., forms)) => forms.push(form.name()),
            None => reasons.push((text, failure, vec![form.name()])),
        }
    }
    for (text, failure, forms) in reasons {
        let code = if matches!(failure, Failure::File { .. }) { UNWRITABLE } else { IMPOSSIBLE };
        impossible(code, &forms.join(", "), text);
    }
    if failed.is_empty() { Exit::Done } else { Exit::Impossible }
}

/// How long it all took, and the memory.
fn taken(times: &Times, others: usize) -> String {
    let t = times;
    let all = t.build + t.step + t.mesh + t.stl + t.packed + t.picture + t.forms;
    let memory = peak_memory().map_or_else(String::new, |mb| format!(", peak memory {mb:.0} MB"));
    let forms = if others > 0 {
        format!(", {:.2} s of it for {others} further forms", t.forms)
    } else {
        String::new()
    };
    format!("  made in {all:.2} s{forms}{memory}\n")
}

/// The finished part's files and summary, `None` where it is not asked for; or the file that can't be made, and why.
fn finished(
    design: &Design,
    order: &Order,
    housing: &Housing,
    times: &mut Times,
) -> Result<Option<Output>, (&'static str, String)> {
    if !order.forms.contains(&Form::Finished) && !order.picture {
        return Ok(None);
    }
    let brep = housing.solid.brep();
    let mut out = Output::default();
    let mut add = |name: &str, bytes| out.files.push((order.folder.join(name), bytes));
    let names = [design.name(), "finished", "finished"];
    let info = forms::step_info(design, &order.hash, Form::Finished, names, housing.solid.mass());
    let bytes = timed(&mut times.step, || step(brep, &info)).map_err(|e| ("finished.step", e.to_string()))?;
    add("finished.step", bytes);
    let mesh = timed(&mut times.mesh, || triangulate(brep, order.chord));
    let mesh = mesh.map_err(|e| ("finished.stl", e.to_string()))?;
    let header = forms::header(Form::Finished, &order.hash);
    let bytes = timed(&mut times.stl, || stl(&mesh, &header)).map_err(|e| ("finished.stl", e.to_string()))?;
    add("finished.stl", bytes);
    let bodies = [Body::new(design.name(), brep, &mesh)];
    let data = forms::metadata(design, Form::Finished, &order.hash);
    let packed = timed(&mut times.packed, || Ok((threemf(&bodies, &data)?, glb(&bodies, &data)?)));
    let (threemf, glb) = packed.map_err(|e: PackError| ("finished.3mf", e.to_string()))?;
    add("finished.3mf", threemf);
    add("finished.glb", glb);
    if order.picture {
        let draw = || drawing::eight_views(brep, &mesh, design.name());
        let bytes = timed(&mut times.picture, draw).map_err(|e| ("finished.png", e.to_string()))?;
        add("finished.png", bytes);
    }
    out.text = summary(design, housing, &mesh, order.chord, times);
    out.text.push_str(&joints::table(&housing.joints, design.units(), order.fillets));
    out.text.push_str(&joints::sharp_edges(&housing.sharp_edged));
    out.text.push_str(&joints::rounder_edges(&housing.rounder, design.units()));
    Ok(Some(out))
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
        "packed_s": times.packed,
        "forms_s": times.forms,
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
    let (brep, mass) = (housing.solid.brep(), housing.solid.mass());
    let weight = mass.volume * 1e-9 * design.casting().density().get();
    let c = mass.centroid;
    let (whole, pieces) = joints::whole(&housing.joints);
    format!(
        "{}, finished\n  \
         {} faces, {} edges, one closed solid, checked\n  \
         volume {:.3} cm³, mass {weight:.3} kg ({}), centre of mass x {:.2} y {:.2} z {:.2} mm\n  \
         fillets: {whole} of {pieces} pieces of joint made whole\n  \
         mesh {} triangles within {chord} mm\n  \
         solid {:.1} ms, STEP {:.1} ms, mesh {:.1} ms, STL {:.1} ms\n",
        title(design),
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
