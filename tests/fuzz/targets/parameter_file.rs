//! Any bytes as a parameter file: findings, or a design; never a panic.

#![no_main]

use libfuzzer_sys::fuzz_target;
use tailpattern::checks;
use tailpattern::design::Design;
use tailpattern::params::{self, Source};

fuzz_target!(|bytes: &[u8]| {
    let Ok(source) = Source::from_bytes("fuzz.yaml", bytes.to_vec()) else { return };
    let Ok(raw) = params::read(&source) else { return };
    if let Some(design) = Design::validate(raw).value {
        let _ = checks::fits_and_driveline(&design);
        let _ = tailpattern::place::place(&design);
    }
});
