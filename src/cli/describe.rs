//! `describe`: the parameter reference and the schema for editors.

use clap::Args;

use super::{Exit, complain, say};
use crate::params::json_schema::json_schema;
use crate::params::reference_text::reference_text;

/// Print the commented parameter reference, or the schema for editors.
#[derive(Debug, Args)]
pub(super) struct Describe {
    /// Only this section or key, such as `tail.seal`
    #[arg(value_name = "SECTION|KEY", conflicts_with = "schema")]
    path: Option<String>,
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
