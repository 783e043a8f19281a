//! The page's script: modules of `viewer`, joined into one, since a page that opens from disk can load no others.

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use sha2::{Digest as _, Sha256};

/// The modules, each after those that it imports.
const MODULES: [(&str, &str); 12] = [
    ("vectors.js", include_str!("viewer/vectors.js")),
    ("lengths.js", include_str!("viewer/lengths.js")),
    ("camera.js", include_str!("viewer/camera.js")),
    ("scene.js", include_str!("viewer/scene.js")),
    ("picking.js", include_str!("viewer/picking.js")),
    ("section.js", include_str!("viewer/section.js")),
    ("colours.js", include_str!("viewer/colours.js")),
    ("renderer.js", include_str!("viewer/renderer.js")),
    ("pointer.js", include_str!("viewer/pointer.js")),
    ("viewer.js", include_str!("viewer/viewer.js")),
    ("live.js", include_str!("viewer/live.js")),
    ("main.js", include_str!("viewer/main.js")),
];

/// The script as one module: imports are left out, and exports are plain names of the whole.
pub(super) fn script() -> String {
    let mut out = String::from("\n");
    for (name, text) in MODULES {
        out.push_str(&format!("// {name}\n"));
        for line in text.lines().filter(|line| !line.starts_with("import ")) {
            out.push_str(line.strip_prefix("export ").unwrap_or(line));
            out.push('\n');
        }
    }
    out
}

/// What a page's policy allows of a script with this text: nothing else runs.
pub(super) fn allowed(script: &str) -> String {
    format!("'sha256-{}'", STANDARD.encode(Sha256::digest(script.as_bytes())))
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    /// The names that a module has at its top level.
    fn names(text: &str) -> Vec<String> {
        let declared = |line: &str| {
            let line = line.strip_prefix("export ").unwrap_or(line);
            let rest = ["const ", "let ", "class ", "function ", "async function "]
                .into_iter()
                .find_map(|word| line.strip_prefix(word))?;
            Some(rest.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect::<String>())
        };
        text.lines().filter_map(declared).filter(|name| !name.is_empty()).collect()
    }

    #[test]
    fn modules_share_no_name_and_import_only_those_before() {
        let (mut known, mut before) = (BTreeSet::new(), Vec::new());
        for (name, text) in MODULES {
            for own in names(text) {
                assert!(known.insert(own.clone()), "{name}: {own} is declared twice");
            }
            for line in text.lines().filter(|line| line.starts_with("import ")) {
                let from = line.rsplit("./").next().unwrap_or_default().trim_end_matches("\";");
                assert!(before.contains(&from), "{name} imports {from}, which comes later");
                assert!(line.ends_with(';'), "{name}: an import stands on one line");
            }
            before.push(name);
        }
        assert!(known.len() > 40, "names are found: {}", known.len());
    }

    #[test]
    fn the_script_cannot_end_its_element() {
        assert!(!script().contains("</script"), "it would end the element");
        assert!(!script().contains("http"), "it loads nothing");
    }
}
