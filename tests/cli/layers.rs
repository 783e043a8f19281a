//! The modules of both crates stand in layers, in the order of their `lib.rs`: each may use only those above it there.
//! The kernel stands above the whole program and does not know it. Only the module of faces reads names of faces as text.
//! Within the kernel's `solid` the modules of each folder stand in levels, the groups of its `mod.rs`: each may use only those
//! of levels above its own there.

#![allow(clippy::unwrap_used, reason = "a test may")]

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use tailpattern::faces::Feature;

/// The modules in the order in which a crate's `lib.rs` names them.
fn order(src: &Path) -> Vec<String> {
    let text = fs::read_to_string(src.join("lib.rs")).unwrap();
    let name = |line: &str| {
        let rest = line.trim().strip_prefix("pub ").unwrap_or(line.trim());
        Some(rest.strip_prefix("mod ")?.strip_suffix(';')?.to_owned())
    };
    text.lines().filter_map(name).collect()
}

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// The sources of the program and of the kernel.
fn sources() -> [PathBuf; 2] {
    ["src", "src/kernel/src"].map(|folder| root().join(folder))
}

/// All Rust files of a crate below a folder, sorted; not those of a crate within.
fn files(folder: &Path) -> Vec<PathBuf> {
    let mut out = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() && !path.join("Cargo.toml").exists() {
            out.extend(files(&path));
        } else if path.extension().is_some_and(|e| e == "rs") {
            out.push(path);
        }
    }
    out.sort();
    out
}

/// A text without its line comments.
fn code(text: &str) -> String {
    text.lines().map(|l| l.split("//").next().unwrap_or_default()).collect::<Vec<_>>().join("\n")
}

/// The first names after `crate::`, those in braces too: `crate::{a::b, c}` gives a and c.
fn names_after_crate(text: &str) -> Vec<String> {
    names_after("crate::", text)
}

/// The same after another path.
fn names_after(prefix: &str, text: &str) -> Vec<String> {
    let word =
        |s: &str| s.trim().chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect::<String>();
    let mut out = Vec::new();
    for (at, _) in text.match_indices(prefix) {
        let rest = text[at + prefix.len()..].trim_start();
        let Some(list) = rest.strip_prefix('{') else {
            out.push(word(rest));
            continue;
        };
        let (mut depth, mut start) = (0_usize, 0);
        for (i, c) in list.char_indices() {
            match c {
                '{' => depth += 1,
                '}' if depth > 0 => depth -= 1,
                ',' if depth == 0 => {
                    out.push(word(&list[start..i]));
                    start = i + 1;
                }
                '}' => {
                    out.push(word(&list[start..i]));
                    break;
                }
                _ => {}
            }
        }
    }
    out.retain(|name| !name.is_empty());
    out
}

/// Upward uses of one text of a module, each as a sentence.
fn upward(order: &[String], module: &str, text: &str) -> Vec<String> {
    let place = |name: &str| order.iter().position(|m| m == name);
    let own = place(module).unwrap_or_else(|| panic!("{module} is not in lib.rs"));
    let above = |name: &String| place(name).is_some_and(|other| other > own);
    names_after_crate(&code(text))
        .iter()
        .filter(|name| above(name))
        .map(|name| format!("{module} uses {name}, which stands below it in lib.rs"))
        .collect()
}

/// Checks a crate. Gives what it found wrong and how many paths it looked at.
fn look(src: &Path) -> (Vec<String>, usize) {
    let order = order(src);
    assert!(order.len() > 5, "lib.rs names its modules: {order:?}");
    let (mut faults, mut uses) = (Vec::new(), 0);
    for path in files(src) {
        let inner = path.strip_prefix(src).unwrap().to_path_buf();
        let first = inner.components().next().unwrap().as_os_str().to_string_lossy().into_owned();
        let module = first.strip_suffix(".rs").unwrap_or(&first);
        if matches!(module, "lib" | "main") {
            continue;
        }
        let text = fs::read_to_string(&path).unwrap();
        uses += names_after_crate(&code(&text)).len();
        faults.extend(upward(&order, module, &text).into_iter().map(|f| format!("{}: {f}", path.display())));
    }
    (faults, uses)
}

/// The levels of a folder's modules, by the text of its `mod.rs`: groups of `mod` lines with blank lines between. Modules
/// of tests stand in none.
fn levels(text: &str) -> BTreeMap<String, usize> {
    let mut out = BTreeMap::new();
    for (level, group) in text.split("\n\n").enumerate() {
        let mut test_only = false;
        for line in group.lines() {
            let words: Vec<&str> = line.trim_end_matches(';').split_whitespace().collect();
            if let [.., "mod", name] = words[..]
                && line.ends_with(';')
                && !test_only
            {
                out.insert(name.to_owned(), level);
            }
            test_only = line == "#[cfg(test)]";
        }
    }
    out
}

/// For each name that a `mod.rs` hands on from a module of its folder, that module.
fn handed_on(text: &str) -> BTreeMap<String, String> {
    let mut out = BTreeMap::new();
    for item in code(text).split(';') {
        let Some((_, path)) = item.split_once("use ") else { continue };
        let Some((module, names)) = path.trim().split_once("::") else { continue };
        for name in names.trim_matches(['{', '}']).split(',') {
            out.insert(name.trim().to_owned(), module.to_owned());
        }
    }
    out
}

/// Uses of modules of the same or a higher level, or of what stands in `mod.rs` itself, in the text of one module of a
/// folder. `paths` are the ways to write the folder's own path there.
fn against_levels(mod_rs: &str, module: &str, paths: &[String], text: &str) -> Vec<String> {
    let (levels, handed_on) = (levels(mod_rs), handed_on(mod_rs));
    let text = text.split("#[cfg(test)]\nmod ").next().unwrap_or_default();
    let text = code(text.split("#[cfg(test)]\n#[path").next().unwrap_or_default());
    let own = levels[module];
    let fault = |name: &String| {
        let used = handed_on.get(name).filter(|_| !levels.contains_key(name)).unwrap_or(name);
        match levels.get(used) {
            _ if used == module => None,
            Some(level) if *level < own => None,
            Some(_) => Some(format!("{module} uses {used}, which stands in no lower level")),
            None => Some(format!("{module} uses {name}, which stands in mod.rs itself")),
        }
    };
    paths.iter().flat_map(|path| names_after(path, &text)).filter_map(|name| fault(&name)).collect()
}

/// Checks the levels of a folder of the kernel. Gives what it found wrong and how many files it looked at.
fn look_at_levels(folder: &Path) -> (Vec<String>, usize) {
    let source = root().join("src/kernel/src");
    let mod_rs = fs::read_to_string(folder.join("mod.rs")).unwrap();
    let levels = levels(&mod_rs);
    let within = folder.strip_prefix(&source).unwrap();
    let whole: Vec<String> = within.iter().map(|c| c.to_string_lossy().into_owned()).collect();
    let whole = format!("crate::{}::", whole.join("::"));
    let (mut faults, mut read) = (Vec::new(), 0);
    for path in files(folder) {
        let inner: Vec<String> =
            path.strip_prefix(folder).unwrap().iter().map(|c| c.to_string_lossy().into_owned()).collect();
        let module = inner[0].trim_end_matches(".rs");
        if !levels.contains_key(module) || path.ends_with("tests.rs") {
            continue;
        }
        let text = fs::read_to_string(&path).unwrap();
        let ups = inner.len() - usize::from(path.ends_with("mod.rs"));
        assert!(ups <= 2 && !text.contains("super::super"), "{} says where it is", path.display());
        // From a file of a folder within this one, `super::` is that folder.
        let near = if ups == 1 { vec![whole.clone(), "super::".to_owned()] } else { vec![whole.clone()] };
        faults.extend(
            against_levels(&mod_rs, module, &near, &text).iter().map(|f| format!("{}: {f}", path.display())),
        );
        read += 1;
    }
    (faults, read)
}

#[test]
fn no_two_modules_of_the_kernels_solid_import_each_other() {
    let solid = root().join("src/kernel/src/solid");
    let mut read = 0;
    for folder in ["", "evaluate", "fillet", "validate"] {
        let (faults, count) = look_at_levels(&solid.join(folder));
        assert!(faults.is_empty(), "{}", faults.join("\n"));
        read += count;
    }
    assert!(read > 60, "the files are found: {read}");
}

#[test]
fn uses_against_the_levels_are_seen() {
    let mod_rs = "mod a;\n\nmod b;\npub mod c;\n\nmod d;\n\n#[cfg(test)]\nmod t;\n\npub use d::{D, E};\nuse a::A;\nstruct M;\n";
    let paths = ["super::".to_owned(), "crate::s::".to_owned()];
    let faults = |text: &str| against_levels(mod_rs, "b", &paths, text).len();
    assert_eq!(faults("use super::a::X; use crate::s::A;"), 0, "a lower level");
    assert_eq!(faults("use super::b::X; // super::d"), 0, "itself, and a comment");
    assert_eq!(faults("#[cfg(test)]\nmod tests { use super::d::X; }"), 0, "a test may");
    assert_eq!(faults("use super::c::X;"), 1, "the same level");
    assert_eq!(faults("use super::{a, d::X};"), 1, "a higher level in a list");
    assert_eq!(faults("use crate::s::E;"), 1, "a name handed on from there");
    assert_eq!(faults("use super::M;"), 1, "what stands in mod.rs");
}

#[test]
fn no_module_uses_one_below_it() {
    for src in sources() {
        let (faults, uses) = look(&src);
        assert!(uses > 50, "the paths are found: {uses}");
        assert!(faults.is_empty(), "{}", faults.join("\n"));
    }
}

#[test]
fn the_kernel_knows_nothing_of_the_program() {
    let kernel = root().join("src/kernel");
    let mut read = files(&kernel.join("src"));
    assert!(read.len() > 100, "the kernel's files are found: {}", read.len());
    read.push(kernel.join("Cargo.toml"));
    for path in read {
        let text = fs::read_to_string(&path).unwrap();
        assert!(!text.contains("tailpattern"), "{} names the program", path.display());
    }
}

/// Where code reads the feature or role of a face as text, or compares with a text that begins with a feature's name.
fn reads_names(text: &str, features: &[&str]) -> Vec<String> {
    // Roles are read from tags, features from tags and bodies.
    let fields = [".role", ".feature.as_ref()"];
    let compared =
        ["== ", "== *", "!= ", "!= *", "starts_with(", "ends_with(", "contains(", "strip_prefix(", "| "];
    let compared = compared.map(|how| format!("{how}\""));
    let begins = |at: usize| {
        let rest = &text[at..];
        features.iter().any(|f| rest.strip_prefix(f).is_some_and(|r| r.starts_with(['"', '/'])))
    };
    let mut out = Vec::new();
    for (number, line) in text.lines().enumerate() {
        let mut faults: Vec<&str> = fields.into_iter().filter(|field| line.contains(field)).collect();
        let start = line.as_ptr() as usize - text.as_ptr() as usize;
        let named = |how: &&str| line.match_indices(*how).any(|(at, _)| begins(start + at + how.len()));
        faults.extend(compared.iter().map(String::as_str).filter(named));
        out.extend(faults.into_iter().map(|fault| format!("{}: `{fault}`", number + 1)));
    }
    out
}

#[test]
fn names_of_faces_are_compared_as_values() {
    let features: Vec<&str> = Feature::ALL.iter().map(|f| f.name()).collect();
    let src = root().join("src");
    let read: Vec<PathBuf> =
        files(&src).into_iter().filter(|path| !path.starts_with(src.join("faces"))).collect();
    assert!(read.len() > 200, "the program's files are found: {}", read.len());
    let of_file = |path: &PathBuf| {
        let faults = reads_names(&code(&fs::read_to_string(path).unwrap()), &features);
        faults.into_iter().map(|fault| format!("{}:{fault}", path.display())).collect::<Vec<_>>()
    };
    let faults: Vec<String> = read.iter().flat_map(of_file).collect();
    assert!(faults.is_empty(), "names of faces are read as text:\n{}", faults.join("\n"));
}

#[test]
fn readers_of_names_are_seen() {
    let faults = |text: &str| reads_names(text, &["tail", "sender_boss"]).len();
    assert_eq!(faults("let name = Feature::Tail.name();"), 0, "a value");
    assert_eq!(faults("if Role::of(tag) == Role::Rim {"), 0, "a value");
    assert_eq!(faults("if tag.role.as_ref() == \"rim\" {"), 1, "a role");
    assert_eq!(faults("if tag\n    .role.contains(\"bore\") {"), 1, "a role on a line of its own");
    assert_eq!(faults("if tag.feature.as_ref() == \"tail\" {"), 2, "a feature, and its name");
    assert_eq!(faults("if b.name.starts_with(\"sender_boss/\") {"), 1, "a name");
    assert_eq!(faults("if p.feature() == \"tail\" {"), 1, "a body's feature");
    assert_eq!(faults("matches!(f, \"shell\" | \"tail\")"), 1, "a pattern");
}

#[test]
fn upward_uses_are_seen() {
    let order: Vec<String> = ["a", "b", "c"].map(String::from).to_vec();
    let faults = |text: &str| upward(&order, "b", text).len();
    assert_eq!(faults("use crate::a::X;"), 0, "upwards in the text of lib.rs");
    assert_eq!(faults("use crate::b::X; // crate::c"), 0, "itself, and a comment");
    assert_eq!(faults("use crate::c::X;"), 1, "a use");
    assert_eq!(faults("fn f() { crate::c::g(); }"), 1, "a path");
    assert_eq!(faults("use crate::{a::{X, Y}, c::Z};"), 1, "a list");
    assert_eq!(faults("use crate::{\n    a,\n    c,\n};"), 1, "a list over lines");
}

/// Whoever reads a name should know which type it is: no two public types of the workspace share one. Values as read from a
/// parameter file are `Raw…`.
#[test]
fn no_two_public_types_share_a_name() {
    let mut found: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for path in sources().iter().flat_map(|folder| files(folder)) {
        let text = code(&fs::read_to_string(&path).unwrap());
        for line in text.lines() {
            let mut words = line.split_whitespace();
            if words.next() == Some("pub")
                && matches!(words.next(), Some("struct" | "enum" | "trait" | "type"))
            {
                let name: String =
                    words.next().unwrap_or_default().chars().take_while(|c| c.is_alphanumeric()).collect();
                // A macro's types have their names where it is called.
                if !name.is_empty() {
                    found.entry(name).or_default().push(path.display().to_string());
                }
            }
        }
    }
    assert!(found.len() > 300, "{} public types were found", found.len());
    let shared: Vec<_> = found.into_iter().filter(|(_, places)| places.len() > 1).collect();
    assert!(shared.is_empty(), "{shared:#?}");
}
