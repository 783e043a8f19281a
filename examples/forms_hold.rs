//! Builds every form of the parameter files named and holds them against each other, point by point; prints what is wrong.
//!
//! `cargo run --release --example forms_hold -- params/demo_mm.yaml …`

#![allow(clippy::print_stdout, reason = "an example prints")]

#[path = "../tests/common/nesting.rs"]
#[allow(unreachable_pub, dead_code, reason = "shared with the tests")]
mod nesting;

use std::process::ExitCode;

use tailpattern::design::Design;
use tailpattern::params::{self, Source};
use tailpattern::{forms, housing};

fn look(path: &str) -> Result<String, String> {
    let bytes = std::fs::read(path).map_err(|e| e.to_string())?;
    let source = Source::from_bytes(path, bytes).map_err(|f| format!("{f:?}"))?;
    let raw = params::read(&source).map_err(|f| format!("{f:?}"))?;
    let outcome = Design::validate(raw);
    let design = outcome.value.ok_or_else(|| format!("refused: {:?}", outcome.findings))?;
    let finished = housing::build(&design).map_err(|e| format!("finished: {e}"))?;
    let casting = forms::casting(&design, &finished).map_err(|e| e.to_string())?;
    forms::core_box(&casting).map_err(|e| e.to_string())?;
    let faults = [nesting::moulded_fault(&design, &finished), nesting::print_fault(&design, &finished)];
    let mut out = Vec::new();
    for fault in faults {
        out.extend(fault.unwrap_or_else(|e| Some(e.to_string())));
    }
    if out.is_empty() { Ok("holds".to_owned()) } else { Err(out.join("; ")) }
}

fn main() -> ExitCode {
    let mut faults = 0;
    for path in std::env::args().skip(1) {
        match look(&path) {
            Ok(text) => println!("{path}: {text}"),
            Err(text) => {
                faults += 1;
                println!("{path}: FAULT {text}");
            }
        }
    }
    if faults == 0 { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}
