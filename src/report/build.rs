//! The moulded forms and the trial print: built side by side, as files, text and figures.

use std::path::{Path, PathBuf};

use rayon::prelude::*;
use serde_json::{Value, json};

use crate::design::{Design, Form};
use crate::export;
use crate::forms::{self, Casting, Drawing, FormError, Lacking, Made, Piece, Undercut};
use crate::housing::Housing;
use crate::report::moulding;
use solidwright::export::step::{StepInfo, step_stretched};
use solidwright::export::{Body, Metadata, Paint, glb, stl, threemf};
use solidwright::geometry::V3;
use solidwright::mesh::{Mesh, triangulate};
use solidwright::solid::{MassProperties, Tag, measure_stretched};

/// What a form comes to.
#[derive(Debug, Default)]
pub(super) struct Output {
    /// Files and their bytes.
    pub(super) files: Vec<(PathBuf, Vec<u8>)>,
    /// For the terminal.
    pub(super) text: String,
    /// For `--measured`.
    pub(super) figures: Value,
}

/// Why a form has no files.
#[derive(Debug, thiserror::Error)]
pub(super) enum Failure {
    /// It can't be made.
    #[error(transparent)]
    Form(#[from] FormError),
    /// A rule of the parameter file stands against it, told at its line.
    #[error("not made: {0}")]
    Rule(String),
    /// A writer or the mesher can't cope with it.
    #[error("{file}: {message}")]
    File {
        /// The file.
        file: String,
        /// What is wrong.
        message: String,
    },
}

/// Where files go, how fine they are, and what they say.
#[derive(Debug, Clone, Copy)]
pub(super) struct Job<'a> {
    pub(super) design: &'a Design,
    pub(super) finished: &'a Housing,
    pub(super) folder: &'a Path,
    pub(super) chord: f64,
    /// SHA-256 of the parameter file.
    pub(super) hash: &'a str,
}

/// What became of the forms asked for.
pub(super) struct Outputs {
    /// All but the finished one, in the order asked for, or why there is none.
    pub(super) forms: Vec<(Form, Result<Output, Failure>)>,
    /// What the casting lacks of the finished part.
    pub(super) lacking: Vec<Lacking>,
}

/// Makes the forms; one that fails costs no other.
pub(super) fn outputs(job: &Job, wanted: &[Form]) -> Outputs {
    let casting = wanted.iter().any(|f| !matches!(f, Form::Finished | Form::TrialPrint)).then(|| {
        let casting = forms::casting(job.design, job.finished)?;
        let drawing = forms::drawing(&casting)?;
        Ok((casting, drawing))
    });
    let others: Vec<Form> = wanted.iter().copied().filter(|f| *f != Form::Finished).collect();
    let lacking = match &casting {
        Some(Ok((casting, _))) => casting.lacking.clone(),
        _ => vec![],
    };
    let forms = others
        .par_iter()
        .map(|form| match &casting {
            _ if job.design.against_form(*form).next().is_some() => {
                (*form, Err(ruled_out(job.design, *form)))
            }
            Some(Err(error)) if *form != Form::TrialPrint => (*form, Err(FormError::clone(error).into())),
            Some(Ok(moulded)) => (*form, one(job, *form, Some(moulded))),
            _ => (*form, one(job, *form, None)),
        })
        .collect();
    Outputs { forms, lacking }
}

/// The rules that stand against a form.
fn ruled_out(design: &Design, form: Form) -> Failure {
    let rules: Vec<String> =
        design.against_form(form).map(|f| format!("{} {}", f.code(), f.message())).collect();
    Failure::Rule(rules.join("; "))
}

fn one(job: &Job, form: Form, moulded: Option<&(Casting, Drawing)>) -> Result<Output, Failure> {
    let made = match (form, moulded) {
        (Form::Casting, Some((c, _))) => c.made(),
        (Form::Pattern, Some((c, _))) => forms::pattern(c)?,
        (Form::Core, Some((c, _))) => forms::core(c)?,
        (Form::CoreBox, Some((c, _))) => forms::core_box(c)?,
        _ => forms::trial_print(job.design, job.finished)?,
    };
    // Faces that can't be drawn are coloured where the pattern maker looks for them.
    let shown = match (form, moulded) {
        (Form::Casting | Form::Pattern, Some((_, drawing))) => &drawing.undercuts,
        _ => &made.undrawn,
    };
    let mut out = written(job, form, &made, shown)?;
    if let (Form::Casting, Some((c, drawing))) = (form, moulded) {
        let partings = forms::best_parting(job.finished)?;
        out.text.push_str(&moulding::text(job.design, c, drawing, &partings));
        out.figures["moulding"] = moulding::figures(c, &drawing.undercuts, &partings);
    }
    Ok(out)
}

/// A piece with its mesh and properties as it is written.
struct Ready<'a> {
    piece: &'a Piece,
    /// In the part's frame.
    placed: Mesh,
    /// As it lies on its bed, if it has one.
    lying: Mesh,
}

fn written(job: &Job, form: Form, made: &Made, held: &[Undercut]) -> Result<Output, Failure> {
    let mut out =
        Output { text: format!("{}, {}\n", forms::title(job.design), form.name()), ..Output::default() };
    let mut ready = Vec::with_capacity(made.pieces.len());
    let mut figures = Vec::new();
    for piece in &made.pieces {
        let failed =
            |kind: &str, message: String| Failure::File { file: format!("{}.{kind}", piece.stem), message };
        let mass = measure_stretched(&piece.solid, &piece.scale);
        let mesh = triangulate(&piece.solid, job.chord).map_err(|e| failed("stl", e.to_string()))?;
        let placed = mesh.stretched(&piece.scale);
        let lying = piece.on_bed(&placed);
        let name = format!("{}, {}", job.design.name(), piece.name);
        let info = step_info(job.design, job.hash, form, [&name, &piece.name, &piece.stem], mass);
        let text =
            step_stretched(&piece.solid, &piece.scale, &info).map_err(|e| failed("step", e.to_string()))?;
        let bytes = stl(&lying, &header(form, job.hash)).map_err(|e| failed("stl", e.to_string()))?;
        let path = |kind: &str| job.folder.join(format!("{}.{kind}", piece.stem));
        out.files.push((path("step"), text));
        out.files.push((path("stl"), bytes));
        out.text.push_str(&format!(
            "  {}: {} faces, {:.3} cm³{}\n",
            piece.name,
            piece.solid.brep().faces.len(),
            mass.volume / 1e3,
            scale_text(piece)
        ));
        figures.push(json!({
            "name": piece.name,
            "file": format!("{}.step", piece.stem),
            "volume_mm3": mass.volume,
            "area_mm2": mass.area,
            "centroid_mm": [mass.centroid.x, mass.centroid.y, mass.centroid.z],
            "unscaled_volume_mm3": piece.solid.mass().volume,
            "scale": [piece.scale.axial(), piece.scale.radial()],
            "faces": piece.solid.brep().faces.len(),
        }));
        ready.push(Ready { piece, placed, lying });
    }
    out.files.extend(packed(job, form, &ready, held)?);
    for note in &made.notes {
        out.text.push_str(&format!("  note: {note}\n"));
    }
    out.figures = json!({ "pieces": figures, "notes": made.notes });
    Ok(out)
}

fn scale_text(piece: &Piece) -> String {
    let s = piece.scale;
    if s.is_none() {
        String::new()
    } else if s.is_uniform() {
        format!(", drawn {:.4} times as large", s.axial())
    } else {
        format!(", drawn {:.4} times as long and {:.4} times as wide", s.axial(), s.radial())
    }
}

/// Room between pieces that lie side by side on a bed, mm.
const APART: f64 = 10.0;

/// Colour of a face that can't be drawn from the sand.
fn undrawn() -> Paint {
    Paint::Other { name: "can't be drawn".to_owned(), rgb: [214, 40, 40] }
}

/// One 3MF and one GLB with all pieces of a form: in the 3MF those for a printer lie on its bed side by side, in the GLB all
/// stand where they belong.
fn packed(
    job: &Job,
    form: Form,
    ready: &[Ready],
    held: &[Undercut],
) -> Result<Vec<(PathBuf, Vec<u8>)>, Failure> {
    let paint = |tag: &Tag| {
        let name = tag.to_string();
        if held.iter().any(|u| u.face == name) { undrawn() } else { Paint::of(tag) }
    };
    let mut at = 0.0;
    let mut lying = Vec::with_capacity(ready.len());
    let mut placed = Vec::with_capacity(ready.len());
    for r in ready {
        let (name, brep) = (&r.piece.name, r.piece.solid.brep());
        placed.push(Body::painted(name, brep, &r.placed, paint).of_stretched(r.piece.scale));
        let mut body = Body::painted(name, brep, &r.lying, paint);
        if r.piece.bed.is_some() {
            let xs = || r.lying.vertices.iter().map(|p| p.x);
            let (lo, hi) = (xs().fold(f64::INFINITY, f64::min), xs().fold(f64::NEG_INFINITY, f64::max));
            body = body.moved(V3::new(at - lo, 0.0, 0.0));
            at += hi - lo + APART;
        }
        lying.push(body);
    }
    let data = metadata(job.design, form, job.hash);
    let stem = form.name().replace('-', "_");
    let failed = |kind: &str, message: String| Failure::File { file: format!("{stem}.{kind}"), message };
    let path = |kind: &str| job.folder.join(format!("{stem}.{kind}"));
    let packed = threemf(&lying, &data).map_err(|e| failed("3mf", e.to_string()))?;
    let seen = glb(&placed, &data).map_err(|e| failed("glb", e.to_string()))?;
    Ok(vec![(path("3mf"), packed), (path("glb"), seen)])
}

/// What a packed file says of itself.
pub(super) fn metadata(design: &Design, form: Form, hash: &str) -> Metadata {
    let further = vec![
        ("form".to_owned(), form.name().to_owned()),
        ("parameter-file-sha256".to_owned(), hash.to_owned()),
        ("caution".to_owned(), caution(form).to_owned()),
    ];
    Metadata {
        title: format!("{}, {}", forms::title(design), form.name()),
        description: design.description().unwrap_or_default().to_owned(),
        further,
        ..export::metadata()
    }
}

fn caution(form: Form) -> &'static str {
    if form == Form::TrialPrint {
        forms::PROVES_GEOMETRY_ONLY
    } else {
        "Driveline part: not certified; have the design checked by a licensed engineer before it is used."
    }
}

/// The header of an STL file.
pub(super) fn header(form: Form, hash: &str) -> String {
    let start = |digits: usize| hash.get(..digits).unwrap_or(hash);
    if form == Form::TrialPrint {
        return format!("tailpattern trial print: proves geometry only; sha256 {}", start(20));
    }
    format!("tailpattern {} sha256 {}", form.name(), start(40))
}

/// What a STEP file says: which part, which piece of which form, where it comes from.
pub(super) fn step_info(
    design: &Design,
    hash: &str,
    form: Form,
    [name, solid, stem]: [&str; 3],
    mass: MassProperties,
) -> StepInfo {
    let own = design.description().map_or_else(String::new, |d| format!("{d}; "));
    StepInfo {
        id: name.to_owned(),
        name: name.to_owned(),
        description: format!("{own}form {}; parameter file sha256 {hash}; {}", form.name(), caution(form)),
        form: solid.to_owned(),
        file_stem: stem.to_owned(),
        properties: Some(mass),
        ..export::step_info()
    }
}
