//! From a form to its files: each piece as STEP and STL, all together as 3MF and GLB, pictures.

use std::time::Instant;

use rayon::prelude::*;

use super::advice::{Advice, with_rigging};
use super::captions::captions;
use super::naming::{Naming, stem};
use super::paint;
use crate::checks::Feeding;
use crate::design::Form;
use crate::drawing::{self, MarkedPlaces, PictureError, Shown};
use crate::forms::{
    FormError, HELD_APART, LoosePiece, MissingMetal, Piece, Product, Settings, SideCore, StillHeld, Undercut,
};
use crate::rigging::{Rigging, RiggingError};
use crate::units::Units;
use solidwright::export::step::step_stretched;
use solidwright::export::{Body, Paint, glb, stl, threemf};
use solidwright::geometry::{P3, Stretch, V3};
use solidwright::mesh::{Mesh, triangulate};
use solidwright::solid::{MassProperties, Solid, Tag};

/// How files are made.
#[derive(Debug, Clone, Copy)]
pub struct FileSettings<'a> {
    /// Greatest distance between mesh and exact surface, mm.
    pub chord: f64,
    /// SHA-256 of the parameter file, in hexadecimal.
    pub hash: &'a str,
    /// Whether each form is drawn in eight shaded views, as a file.
    pub picture: bool,
}

/// Why a form has no files.
#[derive(Debug, thiserror::Error)]
pub enum FormFilesError {
    /// It can't be made.
    #[error(transparent)]
    Form(#[from] FormError),
    /// The finished part can't be machined from it.
    #[error("the casting does not hold the finished part: {}", .0.iter().map(|metal| metal.named(*.1)).collect::<Vec<_>>().join("; "))]
    NotHeld(Vec<MissingMetal>, Units),
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

impl FormFilesError {
    /// Whether the program is at fault, not the design.
    pub fn is_internal(&self) -> bool {
        match self {
            Self::Form(error) => error.is_internal(),
            Self::NotHeld(..) | Self::Rule(_) => false,
            Self::File { .. } => true,
        }
    }
}

/// A piece as it was written.
#[derive(Debug, Clone)]
pub struct PieceFigures {
    /// For people.
    pub name: String,
    /// Its files' name without what follows the dot.
    pub stem: String,
    /// Mass properties of its image under the scale, at unit density.
    pub mass: MassProperties,
    /// Volume of its solid, unscaled, mm³.
    pub unscaled_volume: f64,
    /// Factors that its files are written with.
    pub scale: Stretch,
    /// Its extent along the shaft, to the right and up, as it is written, mm.
    pub extent: V3,
    /// Number of faces.
    pub faces: usize,
    /// Number of triangles.
    pub triangles: usize,
    /// The names of its faces, each with the number of its triangles, in the order in which the STL file holds them.
    pub triangles_of_faces: Vec<(String, usize)>,
}

/// The names of a solid's faces, each with the number of its triangles; a mesh holds them face by face.
fn triangles_of_faces(solid: &Solid, mesh: &Mesh) -> Vec<(String, usize)> {
    let mut counts = vec![0; solid.brep().faces.len()];
    mesh.face_of.iter().for_each(|face| counts[*face as usize] += 1);
    solid.brep().faces.iter().map(|face| face.tag.to_string()).zip(counts).collect()
}

/// Seconds spent on each kind of file.
#[derive(Debug, Clone, Copy, Default)]
pub struct Seconds {
    /// STEP.
    pub step: f64,
    /// The mesh.
    pub mesh: f64,
    /// STL.
    pub stl: f64,
    /// 3MF and GLB.
    pub packed: f64,
    /// The pictures.
    pub picture: f64,
    /// The sheet.
    pub sheet: f64,
}

/// The files of a form.
#[derive(Debug, Clone)]
pub struct FormFiles {
    /// The form.
    pub form: Form,
    /// Names and bytes.
    pub files: Vec<(String, Vec<u8>)>,
    /// The pieces.
    pub pieces: Vec<PieceFigures>,
    /// Remarks for the one who makes it.
    pub notes: Vec<String>,
    /// Centres of the dowel holes between its halves, unscaled, mm.
    pub dowels: Vec<P3>,
    /// The direction in which its halves come apart, where that is not the mould's.
    pub split: Option<V3>,
    /// Faces of its pieces that cannot be drawn.
    pub undrawn: Vec<Undercut>,
    /// Faces that hold it by so little that they are dressed by hand.
    pub to_dress: Vec<Undercut>,
    /// Its loose pieces, in the order in which they are drawn.
    pub loose: Vec<LoosePiece>,
    /// Places that hold a half, and get no loose piece.
    pub still_held: Vec<StillHeld>,
    /// Its side cores.
    pub side_cores: Vec<SideCore>,
    /// Whether its views show it turned about the shaft, its parting level.
    pub turned: bool,
    /// Two views of its pieces, apart from each other, as PNG.
    pub views: Vec<u8>,
    /// Whether faces are marked in pictures, because they cannot be drawn.
    pub marked: bool,
    /// Feeders and gates, of the casting only.
    pub advised: Option<Feeding>,
    /// The same placed about the casting, or why that is not possible.
    pub rigging: Option<Result<Rigging, RiggingError>>,
    /// The casting with them, as PNG; nothing where there is none.
    pub poured_views: Vec<u8>,
    /// The time it took.
    pub seconds: Seconds,
}

/// The files of some forms, in the order asked for; a form that fails costs no other.
pub fn form_files(
    product: &Product,
    wanted: &[Form],
    settings: &FileSettings,
) -> Vec<(Form, Result<FormFiles, FormFilesError>)> {
    product.prepare(wanted);
    let advice = Advice::shared(product, wanted);
    let files = |form: &Form| (*form, of_form_advised(product, *form, settings, advice.as_ref()));
    wanted.par_iter().map(files).collect()
}

/// The files of one form.
///
/// # Errors
/// See [`FormFilesError`].
pub fn of_form(product: &Product, form: Form, settings: &FileSettings) -> Result<FormFiles, FormFilesError> {
    of_form_advised(product, form, settings, None)
}

/// The same with what is recommended about the casting, if that is known.
fn of_form_advised(
    product: &Product,
    form: Form,
    settings: &FileSettings,
    advice: Option<&Advice>,
) -> Result<FormFiles, FormFilesError> {
    let design = product.design();
    let known = |stem: &str| match advice {
        Some(known) => Ok(known.clone()),
        None => Advice::of(design, product.casting()?).map_err(|e| failed(stem, "stl", &e)),
    };
    let rules: Vec<String> =
        design.against_form(form).map(|f| format!("{} {}", f.code(), f.message())).collect();
    if !rules.is_empty() {
        return Err(FormFilesError::Rule(rules.join("; ")));
    }
    if matches!(form, Form::Pattern | Form::Core | Form::CoreBox)
        && let Some(error) = product.core_apart()
    {
        return Err(error.into());
    }
    if matches!(form, Form::Casting | Form::Pattern | Form::Core | Form::CoreBox) {
        let deep = product.casting()?.missing.iter().filter(|l| l.is_deep()).cloned().collect::<Vec<_>>();
        if !deep.is_empty() {
            return Err(FormFilesError::NotHeld(deep, design.units()));
        }
    }
    let mut made = product.pieces(form)?;
    if form == Form::Pattern && design.casting().mould().feeders_and_gates() {
        with_rigging(product, known("pattern")?.placed, &mut made)?;
    }
    // Faces that can't be drawn are coloured where the pattern maker looks for them; not those that are only dressed by hand.
    let undrawn: Vec<Undercut> = match form {
        Form::Casting => {
            let drawing = product.drawing()?;
            let held = |u: &&Undercut| drawing.needs_a_piece(u.holder());
            drawing.undercuts.iter().filter(held).cloned().collect()
        }
        _ => made.undrawn.clone(),
    };
    let held_at = match form {
        Form::Casting => product.casting()?.held_points(&undrawn)?,
        _ => std::mem::take(&mut made.held_at),
    };
    if form == Form::Casting {
        // The casting is told with its best parting.
        product.partings()?;
    }
    let held = made.still_held.iter().map(|held| held.text(design.units()));
    let cores = made.side_cores.iter().map(|core| core.text(design.units()));
    let naming = Naming { design, form, hash: settings.hash };
    let out = FormFiles {
        form,
        files: vec![],
        pieces: vec![],
        notes: made.notes.iter().cloned().chain(cores).chain(held).collect(),
        dowels: made.dowels.clone(),
        split: made.split,
        undrawn: undrawn.clone(),
        to_dress: made.to_dress.clone(),
        loose: made.loose.clone(),
        still_held: made.still_held.clone(),
        side_cores: made.side_cores.clone(),
        turned: false,
        views: vec![],
        marked: !undrawn.is_empty(),
        advised: None,
        rigging: None,
        poured_views: vec![],
        seconds: Seconds::default(),
    };
    let mut writer = Writer { naming, settings, out };
    let mut meshed = Vec::with_capacity(made.pieces.len());
    for piece in &made.pieces {
        meshed.push(writer.piece(piece)?);
    }
    writer.packed(&meshed, &undrawn)?;
    writer.pictures(&meshed, &undrawn, held_at)?;
    if form == Form::Casting {
        let Advice { advised, placed } = known("casting")?;
        if let Ok(placed) = &placed {
            writer.poured(&meshed, placed)?;
        }
        (writer.out.advised, writer.out.rigging) = (Some(advised), Some(placed));
    }
    Ok(writer.out)
}

/// A piece with its mesh as it is written.
struct Meshed<'a> {
    piece: &'a Piece,
    /// Unscaled.
    own: Mesh,
    /// In the part's frame, as it is written.
    placed: Mesh,
    /// As it lies on its bed, if it has one.
    lying: Mesh,
}

/// Room between pieces that lie side by side on a bed, mm.
const APART: f64 = 10.0;

/// Colour of a face that can't be drawn from the sand.
fn undrawn_paint() -> Paint {
    Paint::of_bytes("can't be drawn", [214, 40, 40])
}

fn failed(stem: &str, kind: &str, error: &dyn std::fmt::Display) -> FormFilesError {
    FormFilesError::File { file: format!("{stem}.{kind}"), message: error.to_string() }
}

fn timed<T>(seconds: &mut f64, work: impl FnOnce() -> T) -> T {
    let start = Instant::now();
    let out = work();
    *seconds += start.elapsed().as_secs_f64();
    out
}

/// Gathers the files of a form.
struct Writer<'a> {
    naming: Naming<'a>,
    settings: &'a FileSettings<'a>,
    out: FormFiles,
}

impl Writer<'_> {
    fn add(&mut self, stem: &str, kind: &str, bytes: Vec<u8>) {
        self.out.files.push((format!("{stem}.{kind}"), bytes));
    }

    /// STEP and STL of a piece.
    fn piece<'p>(&mut self, piece: &'p Piece) -> Result<Meshed<'p>, FormFilesError> {
        let (solid, scale, stem) = (&piece.solid, piece.scale, piece.stem.as_str());
        let mass =
            if self.naming.form == Form::Finished { *solid.mass() } else { solid.mass_stretched(&scale) };
        let chord = self.settings.chord;
        let mesh = timed(&mut self.out.seconds.mesh, || triangulate(solid, chord));
        let mesh = mesh.map_err(|e| failed(stem, "stl", &e))?;
        let placed = mesh.stretched(&scale);
        let lying = piece.on_bed(&placed);
        let info = self.naming.step_info(&piece.name, stem, scale, mass);
        let text = timed(&mut self.out.seconds.step, || step_stretched(solid, &scale, &info));
        self.add(stem, "step", text.map_err(|e| failed(stem, "step", &e))?);
        let bytes = timed(&mut self.out.seconds.stl, || stl(&lying, &self.naming.header()));
        self.add(stem, "stl", bytes.map_err(|e| failed(stem, "stl", &e))?);
        self.out.pieces.push(PieceFigures {
            name: piece.name.clone(),
            stem: piece.stem.clone(),
            mass,
            unscaled_volume: solid.mass().volume,
            scale,
            extent: extent(&placed),
            faces: solid.brep().faces.len(),
            triangles: mesh.triangles.len(),
            triangles_of_faces: triangles_of_faces(solid, &lying),
        });
        Ok(Meshed { piece, own: mesh, placed, lying })
    }

    /// One 3MF and one GLB with all pieces: in the 3MF those for a printer lie on its bed side by side, in the GLB all stand
    /// where they belong.
    fn packed(&mut self, meshed: &[Meshed], undrawn: &[Undercut]) -> Result<(), FormFilesError> {
        let painted = |tag: &Tag| {
            if undrawn.iter().any(|u| u.tag == *tag) { undrawn_paint() } else { paint::of(tag) }
        };
        let mut at = 0.0;
        let (mut lying, mut placed) = (Vec::new(), Vec::new());
        for m in meshed {
            let finished = self.naming.form == Form::Finished;
            let name = if finished { self.naming.design.name() } else { m.piece.name.as_str() };
            let solid = &m.piece.solid;
            placed.push(Body::painted(name, solid, &m.placed, painted).of_stretched(m.piece.scale));
            let mut body = Body::painted(name, solid, &m.lying, painted);
            if m.piece.bed.is_some() {
                let xs = || m.lying.vertices.iter().map(|p| p.x);
                let (lo, hi) = (xs().fold(f64::INFINITY, f64::min), xs().fold(f64::NEG_INFINITY, f64::max));
                body = body.moved(V3::new(at - lo, 0.0, 0.0));
                at += hi - lo + APART;
            }
            lying.push(body);
        }
        let scale = meshed.first().map_or(Stretch::NONE, |m| m.piece.scale);
        let data = self.naming.metadata(scale);
        let stem = stem(self.naming.form);
        let seconds = &mut self.out.seconds.packed;
        let packed = timed(seconds, || threemf(&lying, &data)).map_err(|e| failed(&stem, "3mf", &e))?;
        let seen = timed(seconds, || glb(&placed, &data)).map_err(|e| failed(&stem, "glb", &e))?;
        self.add(&stem, "3mf", packed);
        self.add(&stem, "glb", seen);
        Ok(())
    }

    /// The pictures of the casting with all that is poured with it, and its chills.
    fn poured(&mut self, of: &[Meshed], placed: &Rigging) -> Result<(), FormFilesError> {
        let solids = placed.bodies.iter().map(|b| &b.solid);
        let chord = self.settings.chord.max(RIGGING_CHORD);
        let meshes: Result<Vec<Mesh>, _> = solids.map(|solid| triangulate(solid, chord)).collect();
        let meshes = meshes.map_err(|e| failed(POURED, "png", &e))?;
        let casting = of.iter().map(|m| Shown::new(m.piece.solid.brep(), &m.own));
        let about = placed.bodies.iter().zip(&meshes).map(|(b, mesh)| Shown::new(b.solid.brep(), mesh));
        let shown: Vec<Shown> = casting.chain(about).collect();
        let refused = |e: PictureError| failed(POURED, "png", &e);
        // As the mould lies: feeders and sprue stand upright in it.
        let up = Settings::of(self.naming.design).up;
        let seconds = &mut self.out.seconds.picture;
        self.out.poured_views = timed(seconds, || drawing::both_ways(&shown, up, VIEWS)).map_err(refused)?;
        if self.settings.picture {
            let title =
                format!("{}, as poured: feeders, chills and gating as recommended", self.naming.title());
            let captions = captions(&title, self.naming.form, self.naming.design.units());
            let bytes =
                timed(seconds, || drawing::eight_views(&shown, V3::z(), captions)).map_err(refused)?;
            self.add(POURED, "png", bytes);
        }
        Ok(())
    }

    /// The pictures of the form: its pieces apart from each other, what cannot be drawn from the sand marked, where it holds the form.
    fn pictures(
        &mut self,
        of: &[Meshed],
        undrawn: &[Undercut],
        held_at: Vec<P3>,
    ) -> Result<(), FormFilesError> {
        let stem = stem(self.naming.form);
        let marked: Vec<Tag> = undrawn.iter().map(|u| u.tag.clone()).collect();
        // A box holds its core the other way round: there whole faces are marked.
        let drawn = matches!(self.naming.form, Form::Casting | Form::Pattern);
        let places = drawn.then(|| MarkedPlaces::new(held_at, HELD_APART));
        let shown = of.iter().map(|m| Shown {
            brep: m.piece.solid.brep(),
            mesh: &m.own,
            moved: m.piece.apart,
            marked: &marked,
            places: places.as_ref(),
        });
        let bodies: Vec<Shown> = shown.collect();
        let refused = |e: PictureError| failed(&stem, "png", &e);
        let seconds = &mut self.out.seconds.picture;
        // Halves that come apart askew hide each other, unless they are turned.
        let halved = matches!(self.naming.form, Form::Pattern | Form::CoreBox);
        let mould = Settings::of(self.naming.design).up;
        let up = if halved { self.out.split.unwrap_or(mould) } else { V3::z() };
        self.out.turned = up != V3::z();
        self.out.views = timed(seconds, || drawing::both_ways(&bodies, up, VIEWS)).map_err(refused)?;
        if self.settings.picture {
            let lies = if self.out.turned { ", its parting level" } else { "" };
            let title = format!("{}{lies}", self.naming.title());
            let captions = captions(&title, self.naming.form, self.naming.design.units());
            let bytes = timed(seconds, || drawing::eight_views(&bodies, up, captions)).map_err(refused)?;
            self.add(&stem, "png", bytes);
        }
        Ok(())
    }
}

/// Name of the picture of the casting as poured, and chord error of what stands about it there, mm.
const POURED: &str = "casting_poured";
const RIGGING_CHORD: f64 = 0.2;

/// Size of the picture on a form's sheet, pixels: some 160 on an inch of paper.
const VIEWS: (u32, u32) = (1120, 500);

/// Extent of a mesh along the axes, mm.
fn extent(mesh: &Mesh) -> V3 {
    let (mut low, mut high) = (V3::repeat(f64::INFINITY), V3::repeat(f64::NEG_INFINITY));
    for p in &mesh.vertices {
        (low, high) = (low.inf(&p.coords), high.sup(&p.coords));
    }
    high - low
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::Design;
    use crate::faces::Feature;
    use crate::forms::{MadeForms, casting};
    use crate::housing;
    use solidwright::geometry::P3;

    /// A casting from which the part cannot be machined has no files, nor has what is made from it; a shallow flaw is no reason.
    #[test]
    fn a_casting_that_lacks_metal_has_no_files() {
        let design = Design::of_text(include_str!("../../params/minimal.yaml"));
        let finished = housing::build(&design).expect("a part");
        let settings = FileSettings { chord: 0.2, hash: "", picture: false };
        for (depth, refused) in [(0.5 * MissingMetal::DEEP, false), (2.0 * MissingMetal::DEEP, true)] {
            let mut made = casting(&design, &finished).expect("a casting");
            let (feature, at) = (Feature::Tail, P3::origin());
            made.missing =
                vec![MissingMetal { feature, faces: vec![], volume: 9.0, depth, at, radius: None }];
            let forms = MadeForms::of_casting(made);
            let product = Product::sharing(&design, &finished, &forms);
            for form in [Form::Casting, Form::Pattern, Form::Core, Form::CoreBox] {
                let got = of_form(&product, form, &settings);
                let not_held = matches!(&got, Err(FormFilesError::NotHeld(missing, _)) if missing.len() == 1);
                assert_eq!(not_held, refused, "{} with {depth} mm lacking", form.name());
            }
            assert!(of_form(&product, Form::Finished, &settings).is_ok(), "the part itself is made");
        }
    }
}
