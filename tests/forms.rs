//! The forms of every parameter file, by exact membership of many points: what must lie inside what, and what must not meet.

use std::path::{Path, PathBuf};

use tailpattern::design::Design;
use tailpattern::forms::{self, Piece};
use tailpattern::geometry::{Bounds, P3};
use tailpattern::housing::{self, Housing};
use tailpattern::params::{self, Source};
use tailpattern::solid::SolidTree;
use tailpattern::solid::blend::State;

/// Points asked in each solid.
const POINTS: usize = 20_000;

/// Points within a solid's box, the same each time.
fn points(bounds: &Bounds, count: usize) -> Vec<P3> {
    let mut state: u64 = 0x9e37_79b9_7f4a_7c15;
    let mut next = || {
        // Marsaglia's xorshift.
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        (state >> 11) as f64 / (1u64 << 53) as f64
    };
    (0..count)
        .map(|_| {
            let share = [next(), next(), next()];
            P3::from_slice(&[0, 1, 2].map(|i| bounds.min[i] + (bounds.max[i] - bounds.min[i]) * share[i]))
        })
        .collect()
}

/// All shipped parameter files, sorted.
fn parameter_files() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("params");
    let entries = std::fs::read_dir(folder).expect("the folder");
    let mut out: Vec<PathBuf> = entries.map(|e| e.expect("an entry").path()).collect();
    out.retain(|p| p.extension().is_some_and(|e| e == "yaml"));
    out.sort();
    assert!(out.len() >= 6, "{out:?}");
    out
}

fn design(path: &Path, change: &dyn Fn(String) -> String) -> Design {
    let text = change(std::fs::read_to_string(path).expect("readable"));
    let name = path.display().to_string();
    let source = Source::from_bytes(&name, text.into_bytes()).expect("text");
    let outcome = Design::validate(params::read(&source).expect("a tree"));
    outcome.value.unwrap_or_else(|| panic!("{name}: {:#?}", outcome.findings))
}

fn built(design: &Design) -> Housing {
    housing::build(design).unwrap_or_else(|e| panic!("{}: {e}", design.name()))
}

/// A box around what is really there, not around the tools that make it.
fn bounds(piece: &Piece) -> Bounds {
    Bounds::around(piece.brep.vertices.iter().copied())
}

fn bounds_of(housing: &Housing) -> Bounds {
    Bounds::around(housing.brep.vertices.iter().copied())
}

/// A tree without the metal of fillets.
fn sharp(tree: &SolidTree) -> SolidTree {
    let mut out = SolidTree::new();
    for step in tree.steps().iter().filter(|s| s.primitive.shape().is_some()) {
        out.push(step.op, step.primitive.clone());
    }
    out
}

/// Finished within casting, casting within pattern, core outside casting; all exact. Where the casting could not take all
/// its fillets, which its table says, those of the finished part are left out.
#[test]
fn what_lies_in_what() {
    for path in parameter_files() {
        let name = path.display().to_string();
        let design = design(&path, &|text| text);
        let finished = built(&design);
        let cast = forms::casting(&design, &finished).unwrap_or_else(|e| panic!("{name}: {e}"));
        let core = forms::core(&cast).unwrap_or_else(|e| panic!("{name}: {e}"));
        let pattern = forms::pattern(&cast).unwrap_or_else(|e| panic!("{name}: {e}"));
        let casting: &SolidTree = &cast.moulded.casting.tree;
        let whole = cast.moulded.casting.joints.iter().all(|j| j.state() == State::Whole);
        let part = if whole { finished.tree.clone() } else { sharp(&finished.tree) };
        let (mut inside, mut cored) = (0, 0);
        for p in points(&bounds_of(&finished), POINTS) {
            if part.contains(p) {
                inside += 1;
                assert!(casting.contains(p), "{name}: finished but not cast at {p:.4}");
            }
            if casting.contains(p) {
                let held =
                    pattern.pieces.iter().any(|half| half.tree.contains(p)) || at_dowel(&pattern.pieces, p);
                assert!(held, "{name}: cast but not in the pattern at {p:.4}");
            }
        }
        let core = &core.pieces[0];
        for p in points(&bounds(core), POINTS) {
            if core.tree.contains(p) {
                cored += 1;
                assert!(!casting.contains(p), "{name}: core in the casting at {p:.4}");
            }
        }
        assert!(inside > POINTS / 50 && cored > POINTS / 50, "{name}: {inside} and {cored} points");
    }
}

/// Within the reach of a dowel's hole the pattern is hollow.
fn at_dowel(halves: &[Piece], p: P3) -> bool {
    let holes = halves.iter().flat_map(|half| half.tree.steps());
    holes.filter(|s| s.op == tailpattern::solid::Op::Cut).any(|s| s.primitive.contains(p))
}

/// The pieces of the trial print are the finished part but for wider holes, pegs and sockets.
#[test]
fn pieces_of_the_trial_print_make_up_the_part() {
    for path in parameter_files() {
        let name = path.display().to_string();
        let design = design(&path, &|text| text);
        let finished = built(&design);
        let made = forms::trial_print(&design, &finished).unwrap_or_else(|e| panic!("{name}: {e}"));
        let (mut inside, mut lost) = (0, 0);
        for p in points(&bounds_of(&finished), POINTS) {
            let holders = made.pieces.iter().filter(|piece| piece.tree.contains(p)).count();
            assert!(holders <= 1, "{name}: {holders} pieces at {p:.4}");
            let there = finished.tree.contains(p);
            assert!(there || holders == 0, "{name}: printed but not in the part at {p:.4}");
            inside += usize::from(there);
            lost += usize::from(there && holders == 0);
        }
        assert!(inside > 500 && lost * 100 < inside, "{name}: {lost} of {inside} points are in no piece");
        for piece in &made.pieces {
            assert_eq!(piece.brep.bodies(), 1, "{name}: {} is in one piece", piece.name);
        }
    }
}

/// A stock asked for is the stock that is there, and the table says so.
#[test]
fn stock_is_as_asked() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("params/pulse_sender.yaml");
    let design = design(&path, &|text| text);
    let cast = forms::casting(&design, &built(&design)).expect("a casting");
    let seat = cast.stock.iter().find(|r| r.face == "tail/bushing seat").expect("the seat");
    assert_eq!(seat.stock, Some(3.0), "stock of the file");
    let brep = &cast.moulded.casting.brep;
    let radius = seat.casting.expect("cored") / 2.0;
    let there = brep.faces.iter().any(|f| match &f.surface {
        tailpattern::geometry::Surface::Cylinder(c) => {
            (c.radius - radius).abs() < 1e-9 && f.tag.to_string() == seat.face
        }
        _ => false,
    });
    assert!(there, "a cylinder of {radius} mm");
    let pad = cast.stock.iter().find(|r| r.face == "shift_box_pad/face").expect("the pad");
    assert_eq!(pad.stock, Some(4.5), "more on top");
}

#[test]
fn a_bed_too_small_is_told() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("params/minimal.yaml");
    let small = |text: String| text + "\ntrial_print:\n  bed_width: 100\n";
    let design = design(&path, &small);
    let error = forms::trial_print(&design, &built(&design)).expect_err("too small");
    assert!(error.to_string().contains("bed_width"), "{error}");
}

/// Draft of all walls and a turned parting plane leave every form sound.
#[test]
fn turned_partings_and_steep_drafts() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("params/two_mounts.yaml");
    for (clock, draft) in [(90, 1.5), (35, 1.0), (0, 4.0), (180, 0.0)] {
        let mould = format!(
            "\ncasting:\n  mould:\n    parting_clock: {clock}\n    draft: {draft}\n    core_draft: {draft}\n"
        );
        let design = design(&path, &|text| text + &mould);
        let finished = built(&design);
        let cast = forms::casting(&design, &finished).unwrap_or_else(|e| panic!("{clock} {draft}: {e}"));
        for made in [forms::pattern(&cast), forms::core(&cast), forms::core_box(&cast)] {
            made.unwrap_or_else(|e| panic!("{clock} {draft}: {e}"));
        }
    }
}
