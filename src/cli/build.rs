//! `build`: turns a parameter file into solids and writes their files.

use std::path::PathBuf;

use clap::Args;
use clap::builder::{PossibleValue, PossibleValuesParser};

use super::files::Hold;
use super::produce::{Order, produce};
use super::{Exit, files, say};
use crate::design::{Design, Form, stops_form};
use crate::export::sha256;
use crate::finding::Scope;
use crate::params::Source;
use crate::report::terminal;
use crate::words::counted;

/// Build the housing and write its files.
#[derive(Debug, Args)]
pub(super) struct Build {
    /// Parameter file
    file: PathBuf,
    /// Folder for the results; the files go into a subfolder named after the parameter file
    #[arg(long, value_name = "DIR", default_value = "out")]
    out: PathBuf,
    /// Forms to build, separated by commas. The default is what the file lists under `forms`, or the finished part
    #[arg(long = "form", value_name = "NAME", value_parser = form_names(), value_delimiter = ',')]
    forms: Vec<String>,
    /// Largest distance between the mesh and the exact surface, in mm
    #[arg(long, value_name = "MM", default_value_t = CHORD, value_parser = chord)]
    chord: f64,
    /// Write a picture with eight shaded views of each form, such as `finished.png`, beside its other files
    #[arg(long)]
    picture: bool,
    /// Write measured figures (volume, area, mass, faces) to this file
    #[arg(long, value_name = "FILE.json")]
    measured: Option<PathBuf>,
    /// Write the solid tree to this file
    #[arg(long, value_name = "FILE.json")]
    tree: Option<PathBuf>,
    /// Write the time of each step to this file
    #[arg(long, value_name = "FILE.json")]
    timing: Option<PathBuf>,
    /// List the fillet of every joint, and where a feature had to take a smaller one, not only the joints that differ from what was asked for
    #[arg(long)]
    fillets: bool,
    /// List the trade defaults used for values that the file leaves out
    #[arg(long)]
    assumed: bool,
}

/// Chord error where none is asked for, mm.
pub(super) const CHORD: f64 = 0.05;

/// The name that selects all forms.
const ALL: &str = "all";

/// The names of the forms, and the name that selects all of them.
fn form_names() -> PossibleValuesParser {
    let all = PossibleValue::new(ALL).help("All of them");
    let form = |f: Form| PossibleValue::new(f.name()).help(f.about());
    Form::ALL.map(form).into_iter().chain([all]).collect::<Vec<_>>().into()
}

/// Reads a chord error: 0.001 to 5 mm.
fn chord(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(chord) if (0.001..=5.0).contains(&chord) => Ok(chord),
        _ => Err("it must be a number from 0.001 to 5 (a smaller chord error makes files too large to open)"
            .to_owned()),
    }
}

impl Build {
    /// Loads and validates the parameter file, then builds the forms.
    pub(super) fn run(&self) -> Exit {
        match files::design(&self.file, |design, scope| self.hold(design, scope)) {
            Ok((design, source)) => {
                self.say_assumed(&design);
                let forms = self.wanted(&design);
                produce(&design, &self.order(&forms, source.as_ref()))
            }
            Err(exit) => exit,
        }
    }

    /// A form that an error concerns is not made; errors about mating parts or the vehicle stop no form.
    /// What `check` measures on the solid is measured here as well, and told by what comes of it.
    fn hold(&self, design: &Design, scope: Scope) -> Hold {
        if scope == Scope::Limits {
            return Hold::Measured;
        }
        let hit = self.wanted(design).iter().any(|form| stops_form(scope, *form));
        if hit { Hold::Reported } else { Hold::Aside }
    }

    /// The forms named on the command line, else those in the file; each once, in order.
    fn wanted(&self, design: &Design) -> Vec<Form> {
        if self.forms.is_empty() {
            return design.forms().to_vec();
        }
        let asked = |f: &Form| self.forms.iter().any(|name| name == ALL || name == f.name());
        Form::ALL.into_iter().filter(asked).collect()
    }

    fn order<'a>(&'a self, forms: &'a [Form], source: Option<&Source>) -> Order<'a> {
        // The text holds the file's bytes, so other programs compute the same hash of the file.
        let hash = sha256(source.map_or("", Source::text));
        let stem = self.file.file_stem().unwrap_or(self.file.as_os_str());
        Order {
            input: &self.file,
            folder: self.out.join(stem),
            chord: self.chord,
            forms,
            hash,
            picture: self.picture,
            fillets: self.fillets,
            measured: self.measured.as_deref(),
            tree: self.tree.as_deref(),
            timing: self.timing.as_deref(),
        }
    }

    /// Prints the defaults taken: the whole list with `--assumed` or when there are few, else their number.
    fn say_assumed(&self, design: &Design) {
        const FEW: usize = 6;
        let assumed = design.assumed();
        if assumed.is_empty() {
            return;
        }
        if self.assumed || assumed.len() <= FEW {
            say(&format!("assumed ({}):\n{}", assumed.len(), terminal::assumed(assumed)));
        } else {
            say(&format!(
                "assumed: {} (list them with --assumed)\n",
                counted(assumed.len(), "trade default")
            ));
        }
    }
}
