//! Whatever the bytes of a parameter file, reading ends in a design or in named findings: no panic, no hang.

use proptest::prelude::*;
use tailpattern::design::Design;
use tailpattern::params::{self, Source};
use tailpattern::report::terminal;

const DEMO: &str = include_str!("../../params/solid_pads.yaml");

/// Reads, validates and renders; the findings must be there when the design is not.
fn swallow(bytes: Vec<u8>) {
    let findings = match Source::from_bytes("any.yaml", bytes) {
        Err(findings) => {
            assert!(terminal::findings(&findings, None, false).len() > 10, "text");
            findings
        }
        Ok(source) => {
            let (design, findings) = match params::read(&source) {
                Ok(raw) => {
                    let outcome = Design::validate(raw);
                    (outcome.value, outcome.findings)
                }
                Err(findings) => (None, findings),
            };
            let text = terminal::findings(&findings, Some(&source), true);
            assert_eq!(text.is_empty(), findings.is_empty(), "text for findings");
            if design.is_some() {
                return;
            }
            findings
        }
    };
    assert!(findings.has_errors(), "neither design nor error");
}

/// Pieces that steer a mutation towards the odd corners of YAML and of numbers.
const PIECES: &[&str] = &[
    ".nan",
    "-.inf",
    "1e999",
    "0",
    "-1",
    "1e-300",
    "\t",
    "\"",
    "'",
    "[",
    "]",
    "{",
    "}",
    "&a ",
    "*a",
    "!!str ",
    "---\n",
    "? ",
    ": ",
    "- ",
    "|\n",
    "#",
    "%YAML 9.9\n",
    "\u{feff}",
    "ü",
    "\r\n",
    "null",
    "~",
    "3/0 in",
    "1 1/2 in",
    "M10",
    "<<: ",
    "99999999999999999999",
    "in",
    "\u{0}",
    "- - - ",
    "5e-324",
    "\u{85}",
    "\u{2028}",
];

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn random_bytes(bytes in proptest::collection::vec(any::<u8>(), 0..400)) {
        swallow(bytes);
    }

    #[test]
    fn random_text(text in "[-a-z0-9:&*!?|>'\"%@`{}\\[\\],# \\n\\t.]{0,200}") {
        swallow(text.into_bytes());
    }

    #[test]
    fn mutated_demonstration(
        cuts in proptest::collection::vec((any::<prop::sample::Index>(), 0usize..30, 0..PIECES.len()), 1..6)
    ) {
        let mut text: Vec<char> = DEMO.chars().collect();
        for (at, width, piece) in cuts {
            let start = at.index(text.len());
            let end = (start + width).min(text.len());
            text.splice(start..end, PIECES[piece].chars());
        }
        swallow(text.into_iter().collect::<String>().into_bytes());
    }

    #[test]
    fn replaced_values(
        changes in proptest::collection::vec((any::<prop::sample::Index>(), -400.0..400.0f64, 0..PIECES.len()), 1..8)
    ) {
        let mut lines: Vec<String> = DEMO.lines().map(str::to_owned).collect();
        for (at, number, piece) in changes {
            let i = at.index(lines.len());
            let line = &lines[i];
            if let Some(colon) = line.find(": ").filter(|_| !line.trim_start().starts_with('#')) {
                let value = if piece % 3 == 0 { PIECES[piece].to_owned() } else { format!("{number:.3}") };
                lines[i] = format!("{}: {value}", &line[..colon]);
            }
        }
        swallow(lines.join("\n").into_bytes());
    }
}

#[test]
fn hostile_files_are_refused_soon() {
    let bomb: String = (0..60).map(|i| format!("a{i}: &a{i} [*a{0}, *a{0}]\n", i.max(1) - 1)).collect();
    let deep_flow = "[".repeat(500_000);
    let deep_map = "{a: ".repeat(200_000);
    let deep_block: String = (0..700).map(|i| format!("{}k:\n", " ".repeat(i))).collect();
    let unknown: String = (0..40_000).map(|i| format!("key_{i}: {i}\n")).collect();
    let long_list = format!("bolts:\n{}", "  - {y: 1, z: 2, size: M10}\n".repeat(30_000));
    for text in [bomb, deep_flow, deep_map, deep_block, unknown, long_list] {
        let start = std::time::Instant::now();
        let head: String = text.chars().take(20).collect();
        swallow(text.into_bytes());
        // Generous: the build machine may be slow and busy.
        assert!(start.elapsed().as_secs() < 10, "{head:?} took {:?}", start.elapsed());
    }
}
