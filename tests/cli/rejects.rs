//! Each file of `tests/rejects` must give exactly the findings its comments name, no fewer and no more:
//! `# expect: CODE LINE:COLUMN`, one a line.

use std::fs;
use std::path::{Path, PathBuf};

use tailpattern::design::Design;
use tailpattern::finding::Findings;
use tailpattern::params;

fn files() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/rejects");
    let mut files: Vec<_> =
        fs::read_dir(folder).expect("tests/rejects").map(|entry| entry.expect("an entry").path()).collect();
    files.sort();
    files
}

fn expected(bytes: &[u8]) -> Vec<String> {
    let text = String::from_utf8_lossy(bytes);
    let mut expected: Vec<_> = text
        .lines()
        .filter_map(|line| line.trim_start().strip_prefix("# expect: "))
        .map(str::to_owned)
        .collect();
    expected.sort();
    expected
}

fn found(path: &Path) -> Vec<String> {
    let (source, raw) = params::load(path).expect("a readable file");
    let findings: Findings = match raw {
        Ok(raw) => {
            let outcome = Design::validate(raw);
            let folder = path.parent().expect("a folder");
            let mut all = outcome.findings;
            all.append(outcome.value.map(|d| d.in_folder(folder).test_named_files()).unwrap_or_default());
            all
        }
        Err(findings) => findings,
    };
    let mut found: Vec<_> = findings
        .iter()
        .map(|finding| match (finding.place(), source.as_ref()) {
            (Some(place), Some(source)) => {
                let (line, column) = source.line_column(place);
                format!("{} {line}:{column}", finding.code())
            }
            _ => format!("{} -", finding.code()),
        })
        .collect();
    found.sort();
    found
}

#[test]
fn every_fault_is_reported_at_its_place() {
    let files = files();
    assert!(files.len() >= 40, "only {} files", files.len());
    for path in files {
        let expected = expected(&fs::read(&path).expect("readable"));
        assert!(!expected.is_empty(), "{} names no finding", path.display());
        assert_eq!(found(&path), expected, "{}", path.display());
    }
}

#[test]
fn every_code_has_a_file_that_shows_it() {
    let shown: Vec<String> =
        files().iter().flat_map(|path| expected(&fs::read(path).expect("readable"))).collect();
    let rules = tailpattern::design::rules::CODES.iter().copied().flatten();
    for code in rules.chain(params::codes::ALL) {
        // A file of more than 1 MiB does not belong into the repository; `params::source` tests it.
        let shown = shown.iter().any(|line| line.starts_with(code.id()));
        assert!(shown || *code == params::codes::TOO_LARGE, "no file shows {code}: {}", code.title());
    }
}
