//! What files say of themselves: program, part, form, where they come from, cautions.

use sha2::{Digest, Sha256};

use super::paint;
use crate::cautions;
use crate::design::{Design, Form};
use crate::forms;
use solidwright::export::Metadata;
use solidwright::export::step::StepInfo;
use solidwright::geometry::Stretch;
use solidwright::solid::MassProperties;

/// This program and its version, as files name it.
const PROGRAM: &str = concat!("tailpattern ", env!("CARGO_PKG_VERSION"));

/// What every STEP file of this program says, without a part's names and figures.
pub fn step_info() -> StepInfo {
    StepInfo {
        originating_system: PROGRAM.to_owned(),
        preprocessor: PROGRAM.to_owned(),
        paints: paint::paints(),
        ..StepInfo::default()
    }
}

/// What every packed file of this program says, without a part's texts. Its own names are written as `tailpattern:NAME`.
pub fn metadata() -> Metadata {
    Metadata { application: PROGRAM.to_owned(), prefix: "tailpattern".to_owned(), ..Metadata::default() }
}

/// SHA-256 of a parameter file's text, in hexadecimal. The text holds the file's bytes, so other programs compute the
/// same hash of the file.
pub fn sha256(bytes: impl AsRef<[u8]>) -> String {
    hex(&Sha256::digest(bytes))
}

/// Bytes as lower-case hexadecimal digits.
pub fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|b| format!("{b:02x}")).collect()
}

/// What the STEP file of a finished part says when it is written by itself, as row of a sweep: the same as among the
/// files of a form. `text` is the parameter file's, `note` tells where the part comes from.
pub fn finished_step_info(
    design: &Design,
    text: &str,
    note: &str,
    stem: &str,
    mass: MassProperties,
) -> StepInfo {
    let hash = sha256(text);
    let info =
        Naming { design, form: Form::Finished, hash: &hash }.step_info("finished", stem, Stretch::NONE, mass);
    StepInfo { description: format!("{note}; {}", info.description), ..info }
}

/// Whether a form holds the shrinkage of its material already, for whoever makes it; none for the finished part.
pub fn size(form: Form, scale: Stretch) -> Option<String> {
    let percent = |factor: f64| {
        let text = format!("{:.3}", (factor - 1.0) * 100.0);
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    };
    let (along, across) = (percent(scale.axial()), percent(scale.radial()));
    match form {
        Form::Finished => None,
        Form::Casting => Some("size as cast, without contraction".to_owned()),
        Form::Pattern | Form::Core | Form::CoreBox if along == across => {
            Some(format!("contraction of {along} % in all directions is in this file: do not add shrink"))
        }
        Form::Pattern | Form::Core | Form::CoreBox => Some(format!(
            "contraction of {along} % along the shaft and {across} % across it is in this file: do not add shrink"
        )),
        Form::TrialPrint => Some(format!(
            "shrinkage of the plastic of {along} % is in this file: do not scale it in the slicer"
        )),
    }
}

/// The name of the files that hold a whole form, without what follows the dot.
pub fn stem(form: Form) -> String {
    form.name().replace('-', "_")
}

/// A form of a design, made from a parameter file of this SHA-256: what its files say.
#[derive(Debug, Clone, Copy)]
pub(super) struct Naming<'a> {
    /// The design.
    pub(super) design: &'a Design,
    /// The form.
    pub(super) form: Form,
    /// SHA-256 of the parameter file, in hexadecimal.
    pub(super) hash: &'a str,
}

impl Naming<'_> {
    /// What a packed file says of itself.
    pub(super) fn metadata(&self, scale: Stretch) -> Metadata {
        let mut further = vec![
            ("form".to_owned(), self.form.name().to_owned()),
            ("parameter-file-sha256".to_owned(), self.hash.to_owned()),
            ("caution".to_owned(), self.caution().to_owned()),
        ];
        if let Some(remark) = size(self.form, scale) {
            let factor = |factor: f64| format!("{factor:.6}");
            further.push(("size".to_owned(), remark));
            further.push(("scale-along-shaft".to_owned(), factor(scale.axial())));
            further.push(("scale-across-shaft".to_owned(), factor(scale.radial())));
        }
        Metadata {
            title: self.title(),
            description: self.design.description().unwrap_or_default().to_owned(),
            further,
            ..metadata()
        }
    }

    /// The form's title.
    pub(super) fn title(&self) -> String {
        format!("{}, {}: {}", forms::title(self.design), self.form.name(), cautions::short(self.form))
    }

    fn caution(&self) -> &'static str {
        cautions::in_file(self.form)
    }

    /// The header of an STL file.
    pub(super) fn header(&self) -> String {
        let start = |digits: usize| self.hash.get(..digits).unwrap_or(self.hash);
        // The whole takes 80 bytes.
        format!("tailpattern {}: {}; sha256 {}", self.form.name(), cautions::short(self.form), start(20))
    }

    /// The name of a piece in a file that holds it alone: the finished part's is the design's.
    pub(super) fn piece(&self, piece: &str) -> String {
        let part = self.design.name();
        if self.form == Form::Finished { part.to_owned() } else { format!("{part}, {piece}") }
    }

    /// What a STEP file says: which part, which piece of which form, where it comes from.
    pub(super) fn step_info(
        &self,
        piece: &str,
        stem: &str,
        scale: Stretch,
        mass: MassProperties,
    ) -> StepInfo {
        let name = self.piece(piece);
        let finished = self.form == Form::Finished;
        // The finished part bears the design's name alone; the other names say form and half themselves.
        let form = finished.then(|| format!("form {piece}"));
        let size = size(self.form, scale);
        let own = self.design.description().map(str::to_owned);
        let hash = format!("parameter file sha256 {}", self.hash);
        let said = [own, form, size.clone(), Some(hash), Some(self.caution().to_owned())];
        let header = if finished { format!("{name}, {piece}") } else { name.clone() };
        StepInfo {
            id: name.clone(),
            name,
            description: said.into_iter().flatten().collect::<Vec<_>>().join("; "),
            form: piece.to_owned(),
            header: size.map_or(header.clone(), |size| format!("{header}; {size}")),
            file_stem: stem.to_owned(),
            properties: Some(mass),
            ..step_info()
        }
    }
}
