//! `build`: parameter file to solid to files.

use std::path::PathBuf;

use clap::{Args, ValueEnum};
use sha2::{Digest, Sha256};

use super::produce::{Order, produce};
use super::{Exit, colour, complain, say};
use crate::design::{Design, Form};
use crate::params;
use crate::report::terminal;

/// Build the housing and write its files.
#[derive(Debug, Args)]
pub(super) struct Build {
    /// Parameter file
    file: PathBuf,
    /// Folder for the results; files go into a folder below it, named after the parameter file
    #[arg(long, value_name = "DIR", default_value = "out")]
    out: PathBuf,
    /// Forms to build, separated by commas; without it, the finished part and those that the file's `forms` ask for
    #[arg(long = "form", value_name = "NAME", value_enum, value_delimiter = ',')]
    forms: Vec<Wanted>,
    /// Largest distance between the mesh and the exact surface, in mm
    #[arg(long, value_name = "MM", default_value_t = 0.05, value_parser = chord)]
    chord: f64,
    /// Write a picture with eight shaded views, `finished.png`, beside the other files
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
    /// List every joint of cast faces with the fillet made there, not only those that are not as asked
    #[arg(long)]
    fillets: bool,
    /// List the trade defaults that stand in for values the file does not give
    #[arg(long)]
    assumed: bool,
}

/// A form of the part.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Wanted {
    /// The machined part
    Finished,
    /// As it leaves the mould: stock, draft, small holes solid
    Casting,
    /// The pattern in two halves, with prints, larger by the contraction
    Pattern,
    /// The core with its prints
    Core,
    /// The core box in two halves
    CoreBox,
    /// Pieces for a 3D printer, to try the fit
    TrialPrint,
    /// All of them
    All,
}

impl Wanted {
    /// The forms meant.
    fn forms(self) -> Vec<Form> {
        match self {
            Self::Finished => vec![Form::Finished],
            Self::Casting => vec![Form::Casting],
            Self::Pattern => vec![Form::Pattern],
            Self::Core => vec![Form::Core],
            Self::CoreBox => vec![Form::CoreBox],
            Self::TrialPrint => vec![Form::TrialPrint],
            Self::All => Form::ALL.to_vec(),
        }
    }
}

/// Reads a chord error: 0.001 to 5 mm.
fn chord(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(chord) if (0.001..=5.0).contains(&chord) => Ok(chord),
        _ => Err("it must be a number from 0.001 to 5 (finer makes files no program opens)".to_owned()),
    }
}

impl Build {
    /// Load, validate, build.
    pub(super) fn run(&self) -> Exit {
        let (source, raw) = match params::load(&self.file) {
            Ok(loaded) => loaded,
            Err(error) => {
                complain(&format!("error: {}: {error}\n", self.file.display()));
                return Exit::FileTrouble;
            }
        };
        let raw = match raw {
            Ok(raw) => raw,
            Err(findings) => {
                complain(&terminal::findings(&findings, source.as_ref(), colour()));
                return Exit::BadInput;
            }
        };
        let outcome = Design::validate(raw);
        complain(&terminal::findings(&outcome.findings, source.as_ref(), colour()));
        match outcome.value {
            Some(design) => {
                self.say_assumed(&design);
                let mut forms: Vec<Form> = self.forms.iter().flat_map(|w| w.forms()).collect();
                if forms.is_empty() {
                    forms = design.forms().to_vec();
                }
                forms.sort();
                forms.dedup();
                produce(&design, &self.order(&forms))
            }
            None => Exit::BadInput,
        }
    }

    fn order<'a>(&'a self, forms: &'a [Form]) -> Order<'a> {
        // Of the bytes themselves, so that it is what other programs make of the file.
        let bytes = std::fs::read(&self.file).unwrap_or_default();
        let hash = Sha256::digest(&bytes).iter().map(|b| format!("{b:02x}")).collect();
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

    /// Defaults taken: all of them when asked for or when few, else how many.
    fn say_assumed(&self, design: &Design) {
        const FEW: usize = 6;
        let assumed = design.assumed();
        if assumed.is_empty() {
            return;
        }
        if self.assumed || assumed.len() <= FEW {
            say(&format!("assumed ({}):\n{}", assumed.len(), terminal::assumed(assumed)));
        } else {
            say(&format!("assumed: {} trade defaults (list them with --assumed)\n", assumed.len()));
        }
    }
}
