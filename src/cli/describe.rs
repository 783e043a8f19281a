//! `describe`: the parameter reference and the schema for editors.

use clap::Args;

use super::completions::Keys;
use super::{Exit, complain, say};
use crate::params::json_schema::json_schema;
use crate::params::reference_text::{overview, reference_text, required_text};

/// Print the commented parameter reference, or the schema for editors.
#[derive(Debug, Args)]
pub(super) struct Describe {
    /// Only this section or key, such as `tail.seal`. Without it the sections are listed
    #[arg(value_name = "SECTION|KEY", value_parser = Keys::All, hide_possible_values = true, conflicts_with_all = ["schema", "all", "required"])]
    path: Option<String>,
    /// Print every key of every section, as one file
    #[arg(long, conflicts_with_all = ["schema", "required"])]
    all: bool,
    /// Print the shortest file, with only what has no default, to be filled in
    #[arg(long, conflicts_with = "schema")]
    required: bool,
    /// Print the JSON Schema (draft 2020-12) that editors use for completion and hints
    #[arg(long)]
    schema: bool,
}

impl Describe {
    /// Prints the reference or the schema.
    pub(super) fn run(&self) -> Exit {
        if self.schema {
            say(&format!("{:#}\n", json_schema()));
            return Exit::Done;
        }
        if self.required {
            say(&required_text());
            return Exit::Done;
        }
        if self.path.is_none() && !self.all {
            say(&overview());
            return Exit::Done;
        }
        match reference_text(self.path.as_deref()) {
            Ok(text) => {
                say(&text);
                Exit::Done
            }
            Err(unknown) => {
                complain(&format!("error: {unknown}\n"));
                Exit::BadInput
            }
        }
    }
}
