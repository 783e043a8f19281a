//! A shipped parameter file with some of its digits changed: a sound solid or a named refusal, never a panic.

#![no_main]

use libfuzzer_sys::fuzz_target;
use tailpattern::design::Design;
use tailpattern::housing;
use tailpattern::params::{self, Source};

const FILES: [&str; 3] = [
    include_str!("../../../params/minimal.yaml"),
    include_str!("../../../params/short_lugs.yaml"),
    include_str!("../../../params/demo_mm.yaml"),
];

fuzz_target!(|bytes: &[u8]| {
    let [which, rest @ ..] = bytes else { return };
    let mut text = FILES[usize::from(*which) % FILES.len()].as_bytes().to_vec();
    let digits: Vec<usize> = (0..text.len()).filter(|i| text[*i].is_ascii_digit()).collect();
    for change in rest.chunks_exact(3).take(8) {
        let at = digits[(usize::from(change[0]) * 256 + usize::from(change[1])) % digits.len()];
        text[at] = b'0' + change[2] % 10;
    }
    let Ok(source) = Source::from_bytes("fuzz.yaml", text) else { return };
    let Ok(raw) = params::read(&source) else { return };
    if let Some(design) = Design::validate(raw).value {
        let _ = housing::build(&design);
    }
});
