//! Defaults fit what the file gives: over random sizes, no error and no failed check concerns keys that the file leaves
//! out. Covered are drain-back, oil feed of both kinds, dust lip, and the sender's screw, O-ring and fork.

use std::collections::BTreeSet;
use std::fmt::Write as _;

use crate::drawn_housing::Random;
use tailpattern::checks::{self, Part, Verdict};
use tailpattern::design::Design;
use tailpattern::finding::Severity;
use tailpattern::forms::Product;
use tailpattern::housing;
use tailpattern::params::reference::{Entry, Need};
use tailpattern::params::{self, Source, entries};

/// A file of random sizes, whose sections with defaults have their required keys and perhaps one or two others, and the
/// paths of those that it gives.
struct File {
    text: String,
    given: BTreeSet<String>,
    /// From the bushing's seat to the counterbore's wall or the cavity's, mm.
    room: f64,
}

impl File {
    /// A flow section: the required keys and, each in one of three files, the others.
    fn section(
        &mut self,
        random: &mut Random,
        indent: &str,
        path: &str,
        required: &[String],
        others: &[String],
    ) {
        let some = others.iter().filter(|_| random.below(3) == 0);
        let keys: Vec<&String> = required.iter().chain(some).collect();
        for key in &keys {
            self.given.insert(format!("{path}.{}", key.split(':').next().expect("a key")));
        }
        let keys: Vec<&str> = keys.iter().map(|key| key.as_str()).collect();
        let name = path.rsplit('.').next().expect("a name");
        writeln!(self.text, "{indent}{name}: {{{}}}", keys.join(", ")).expect("a string");
    }
}

fn file(seed: u64) -> File {
    let mut random = Random::new(seed);
    let r = &mut random;
    let bore = 30.0 + r.below(70) as f64 * 0.5;
    let length = 16 + r.below(35);
    let counterbore = bore + 4.0 + r.below(40) as f64 * 0.5;
    let ring = counterbore + 10.0 + r.below(20) as f64;
    let end = bore + 4.0 + r.below(50) as f64 * 0.5;
    let station = 170 + r.below(40);
    let mut file = File {
        text: format!(
            "units: mm\nhousing: {{name: Trial, invented: true, overall_length: 280}}\n\
             gearbox_face:\n  flange: {{diameter: 200}}\n  register: {{kind: spigot, diameter: 130, length: 5}}\n  \
             bolt_circles:\n    - {{diameter: 165, count: 6, size: M10}}\n\
             shell:\n  cavity:\n    - {{station: 0, diameter: 112}}\n    - {{station: 140, diameter: {end}}}\n    \
             - {{station: {station}, diameter: {end}}}\n\
             tail:\n  outside_diameter: {ring}\n  bushing: {{bore: {bore}, length: {length}}}\n  \
             seal: {{counterbore: {counterbore}, width: {}}}\n",
            5 + r.below(10)
        ),
        given: BTreeSet::new(),
        room: (counterbore.min(end) - bore) / 2.0,
    };
    let all = [
        "tail.bushing.bore",
        "tail.bushing.length",
        "tail.seal.counterbore",
        "tail.seal.width",
        "tail.outside_diameter",
    ];
    file.given.extend(all.map(str::to_owned));
    let mm = |key: &str, least: f64, r: &mut Random| format!("{key}: {}", least + r.below(12) as f64 * 0.25);
    let angle = |r: &mut Random| format!("angle: {} deg", 3 + r.below(20));
    let kind = ["slot", "hole"][r.below(2)];
    let mut others = vec![mm("width", 3.0, r)];
    if kind == "hole" {
        others.push(angle(r));
    }
    file.section(r, "  ", "tail.oil_feed", &[format!("kind: {kind}")], &others);
    let others = [mm("diameter", 3.0, r), "angle: 4 deg".to_owned()];
    file.section(r, "  ", "tail.drain_back", &["clock: 180 deg".to_owned()], &others);
    let kind = ["recess", "lip"][r.below(2)];
    let lip = counterbore + 5.0 + r.below(4) as f64 * 0.5;
    let others = [mm("depth", 0.5, r)];
    file.section(r, "  ", "tail.dust_lip", &[format!("kind: {kind}"), format!("diameter: {lip}")], &others);
    sender(r, &mut file);
    file
}

fn sender(r: &mut Random, file: &mut File) {
    let bore = 14 + r.below(10);
    let diameter = bore + 16 + r.below(16);
    let kind = ["gear", "pulse"][r.below(2)];
    let height = 60 + r.below(30);
    write!(
        file.text,
        "sender_boss:\n  kind: {kind}\n  station: {}\n  side_offset: {}\n  clock: 270 deg\n  diameter: {diameter}\n  \
         height: {height}\n  bore_steps:\n    - {{diameter: {bore}}}\n",
        90 + r.below(40),
        r.below(25)
    )
    .expect("a string");
    for key in ["kind", "station", "side_offset", "clock", "diameter", "height", "bore_steps[].diameter"] {
        file.given.insert(format!("sender_boss.{key}"));
    }
    let thread = ["M5", "M6", "M8", "M10"][r.below(4)];
    let distance = 0.25 * (bore + diameter) as f64;
    let required = [format!("thread: {thread}"), format!("distance: {distance}")];
    file.section(r, "  ", "sender_boss.retaining_screw", &required, &["clock: 90 deg".to_owned()]);
    let required = ["width: 3.6".to_owned(), "depth: 1.5".to_owned()];
    file.section(r, "  ", "sender_boss.o_ring", &required, &["position: 4".to_owned()]);
    let required = ["depth: 14".to_owned(), format!("width: {}", bore + 3)];
    file.section(r, "  ", "sender_boss.fork", &required, &["thickness: 4".to_owned()]);
}

/// The paths of all keys that have a default.
fn with_default(entries: &[Entry], above: &str, out: &mut BTreeSet<String>) {
    for entry in entries {
        let mark = if entry.about.children().is_empty()
            || !matches!(entry.about, params::reference::About::List { .. })
        {
            ""
        } else {
            "[]"
        };
        let path = format!("{above}{}{mark}", entry.key);
        if matches!(entry.need, Need::Default { .. }) {
            out.insert(path.clone());
        }
        with_default(entry.about.children(), &format!("{path}."), out);
    }
}

/// A path without the numbers of its list items.
fn plain(path: &str) -> String {
    let mut parts = path.split('[');
    let first = parts.next().unwrap_or_default().to_owned();
    parts.fold(first, |out, part| out + "[]" + part.split_once(']').map_or("", |(_, rest)| rest))
}

#[test]
fn no_rule_is_broken_by_a_default() {
    let mut defaults = BTreeSet::new();
    with_default(&entries(), "", &mut defaults);
    let (mut good, mut faults) = (0, Vec::new());
    for seed in 0..4000 {
        let File { text, given, .. } = file(seed);
        let source = Source::from_bytes("trial", text.clone().into_bytes()).expect("text");
        let outcome = Design::validate(params::read(&source).expect("a tree"));
        good += usize::from(outcome.value.is_some());
        for finding in outcome.findings.iter().filter(|f| f.severity() == Severity::Error) {
            let subject = plain(finding.subject());
            if defaults.contains(&subject) && !given.contains(&subject) {
                faults.push(format!("seed {seed}: {}\n{text}", finding.in_a_line()));
            }
        }
    }
    assert!(good > 400, "{good} files are valid");
    assert!(
        faults.is_empty(),
        "{} faults, such as\n{}",
        faults.len(),
        faults[..3.min(faults.len())].join("\n")
    );
}

#[test]
fn no_check_fails_by_a_default() {
    let (mut made, mut faults) = (0, Vec::new());
    for seed in 0..4000 {
        let File { text, given, room } = file(seed);
        let tail = |key: &String| key.starts_with("tail.oil_feed.") || key.starts_with("tail.drain_back.");
        let all_defaults = given.iter().filter(|key| tail(key)).count() == 2;
        // Where the narrowest drain-back has no room, the bores that the file gives are at fault.
        if made == 24 || !all_defaults || room < 4.3 {
            continue;
        }
        let lines = text.lines().take_while(|line| !line.starts_with("sender"));
        let lines: Vec<&str> = lines.filter(|line| !line.contains("dust_lip")).collect();
        let source = Source::from_bytes("trial", lines.join("\n").into_bytes()).expect("text");
        let Some(design) = Design::validate(params::read(&source).expect("a tree")).value else { continue };
        let Ok(finished) = housing::build(&design) else { continue };
        made += 1;
        let found = checks::each(&Product::new(&design, &finished), &[Part::Walls]).expect("checks");
        let failed = found.iter().flat_map(|(_, c)| &c.measurements).filter(|m| m.verdict() == Verdict::Fail);
        let ours = |m: &&checks::Measurement| {
            ["drain", "oil feed"]
                .iter()
                .any(|word| m.what.contains(word) || m.faces.iter().any(|f| f.contains(word)))
        };
        faults.extend(
            failed
                .filter(ours)
                .map(|m| format!("seed {seed}: {} {} {} {:?}", m.check, m.what, m.value, m.faces)),
        );
    }
    assert_eq!(made, 24, "parts made");
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}
