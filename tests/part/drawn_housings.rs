//! Housings drawn whole from the schema: whether they cover it, and whether the rules accept most of them.

use std::collections::BTreeSet;

use crate::drawn_housing::drawn;
use solidwright::mesh::triangulate;
use solidwright::solid::fillet::{FilletFailure, Joint, JointState};
use tailpattern::checks;
use tailpattern::design::Design;
use tailpattern::faces::Feature;
use tailpattern::forms;
use tailpattern::housing;
use tailpattern::params::reference::{About, Entry};
use tailpattern::params::{self, Source, entries};

/// Sections that say nothing of the part's shape, or that only `check` reads.
const OTHER: [&str; 5] = ["mating", "vehicle", "surroundings", "limits", "forms"];

/// All keys that hold a value, by their paths; items of lists share one path.
fn keys(entries: &[Entry], above: &str, out: &mut BTreeSet<String>) {
    for entry in entries {
        let path = format!("{above}{}", entry.key);
        match &entry.about {
            About::Section(inner) | About::List { of: inner, .. } => keys(inner, &format!("{path}."), out),
            About::Choice(words) => out.extend(words.iter().map(|(word, _)| format!("{path}: {word}"))),
            _ => {
                out.insert(path);
            }
        }
    }
}

/// The same of a drawn file.
fn written(text: &str, known: &BTreeSet<String>, out: &mut BTreeSet<String>) {
    let mut above: Vec<(usize, &str)> = Vec::new();
    for line in text.lines() {
        let bare = line.trim_start_matches([' ', '-']);
        let depth = line.len() - bare.len();
        let Some((key, value)) = bare.split_once(':') else { continue };
        above.retain(|(d, _)| *d < depth);
        above.push((depth, key));
        let path: Vec<&str> = above.iter().map(|(_, key)| *key).collect();
        let path = path.join(".");
        let chosen = format!("{path}: {}", value.trim());
        out.insert(if known.contains(&chosen) { chosen } else { path });
    }
}

#[test]
fn every_key_and_every_word_of_the_shape_is_drawn() {
    let mut wanted = BTreeSet::new();
    let shape: Vec<Entry> = entries().into_iter().filter(|e| !OTHER.contains(&e.key)).collect();
    keys(&shape, "", &mut wanted);
    let mut found = BTreeSet::new();
    (1..=600).for_each(|seed| written(&drawn(seed), &wanted, &mut found));
    let missing: Vec<_> = wanted.difference(&found).collect();
    assert!(missing.is_empty(), "never drawn in 600 files: {missing:#?}");
}

#[test]
fn a_seed_gives_one_file_and_another_seed_another() {
    let all: BTreeSet<String> = (1..=50).map(drawn).collect();
    assert_eq!(all.len(), 50, "no two alike");
    assert!((1..=50).all(|seed| all.contains(&drawn(seed))), "the same again");
}

/// The design of a drawn file; none where it can't be read or a rule refuses it.
fn design(seed: u64) -> Option<Design> {
    let source = Source::from_bytes("drawn.yaml", drawn(seed).into_bytes()).ok()?;
    Design::validate(params::read(&source).ok()?).value
}

#[test]
fn rules_accept_most() {
    let accepted = (1..=600).filter(|seed| design(*seed).is_some()).count();
    assert!(accepted >= 450, "{accepted} of 600");
}

/// Whatever is refused is refused for a reason: a mount pad behind the shell once left no design and no error.
#[test]
fn no_file_is_refused_without_a_reason() {
    let silent = |seed: &u64| {
        let source = Source::from_bytes("drawn.yaml", drawn(*seed).into_bytes()).expect("a text");
        let Ok(raw) = params::read(&source) else { return false };
        Design::validate(raw).findings.iter().any(|finding| finding.code().id() == "D194")
    };
    assert_eq!((1..=600).find(silent), None);
}

/// A spot face cuts two fillets that run on into each other: the first one's surface, continued past its end, passes the
/// corner of the cut with the second one 2 µm beside it.
#[test]
fn a_cut_beside_the_end_of_a_fillet_closes() {
    let part = housing::build(&design(133).expect("a design")).expect("a housing");
    let sharp: Vec<_> = part.joints.iter().filter(|j| j.made == 0.0).collect();
    assert!(sharp.is_empty(), "{sharp:#?}");
}

/// In each a hole is cut into what fillets fill: under a pad nearer to the flange than the ball is wide (239), a hair beside a
/// wall to which the ball comes (253), and far behind a corner of fillets whose feet lie nearly in a plane (379).
#[test]
fn holes_in_what_fillets_fill_close() {
    for seed in [239, 253, 379] {
        let part = housing::build(&design(seed).expect("a design")).expect("a housing");
        let lost: Vec<_> = part.joints.iter().filter(|j| j.failure == Some(FilletFailure::NoWay)).collect();
        assert!(lost.is_empty(), "{seed}: {lost:#?}");
    }
}

/// In each a path turns more tightly than the ball, and the creases there were lost: on a sheet that a crease leaves and comes back to
/// within a step (31), beside points in which three sheets meet within a tenth of a millimetre of a crease's end (65), where the fold
/// ends with its path (159), and where a machined face cuts a crease beside its end (83, 313). The joints of all these keep the
/// ball asked for.
#[test]
fn creases_beside_their_ends_are_found() {
    for seed in [31, 65, 83, 159, 313] {
        let part = housing::build(&design(seed).expect("a design")).expect("a housing");
        let lost: Vec<_> = part.joints.iter().filter(|j| j.failure == Some(FilletFailure::Tight)).collect();
        assert!(lost.is_empty(), "{seed}: {lost:#?}");
        assert!(part.joints.len() > 150, "{seed}: {} joints", part.joints.len());
    }
}

/// A housing all of whose joints keep the ball asked for.
fn with_every_joint_whole(seed: u64) -> housing::Housing {
    let part = housing::build(&design(seed).expect("a design")).expect("a housing");
    let lost: Vec<_> = part.joints.iter().filter(|j| j.state() != JointState::Whole).collect();
    assert!(lost.is_empty(), "{seed}: {lost:#?}");
    part
}

/// In each a ball fails at a place: paths meet too flatly (433), or the solid does not close (381). A little metal there keeps the radius
/// of all other joints. A path that ran over a sharp edge (229) had metal too, until edges at which grown bodies only touch were told
/// as such; its joints are whole without any.
#[test]
fn a_place_where_a_ball_fails_is_filled() {
    assert!(with_every_joint_whole(229).filled_places.is_empty(), "229: nothing needs filling");
    for seed in [381, 433] {
        let part = with_every_joint_whole(seed);
        assert!(!part.filled_places.is_empty(), "{seed}: nothing was filled");
        let sharp = housing::build_sharp(&design(seed).expect("a design")).expect("a sharp housing");
        let volume = |h: &housing::Housing| h.solid.report().mass.volume;
        let more = volume(&part) / volume(&sharp) - 1.0;
        assert!((0.0..0.2).contains(&more), "{seed}: fillets add a little metal, not {more}");
    }
}

/// One face of 297 is a lens of a tenth of a micrometre between two creases: points on its edges fell together, and no mesh was made.
#[test]
fn a_sliver_of_a_face_is_filled_with_triangles() {
    let part = housing::build(&design(297).expect("a design")).expect("a housing");
    let chord = 0.05;
    let mesh = triangulate(&part.solid, chord).expect("a mesh");
    let mass = part.solid.report().mass;
    let off = (mesh.volume() - mass.volume).abs();
    assert!(off < chord * mass.area, "no triangle strays by more than the chord: {off} mm³");
}

/// In each a trim took off more than what stands out beyond a machined end, or what it left did not join the rest: fillets far above the
/// end of a plug (7), fillets around a pad that a plug's face lies in (43), corners with draft beside the restored corner of a pad (125),
/// and metal between two plugs that stood apart, under a corner of fillets that claimed a place far behind it (183). A corner between
/// walls at an acute angle claimed what another ball reaches (283), and so did a strip behind the ball's feet (349). What stood out beyond a plug beside the flange left a
/// web (769). Now every joint keeps
/// the ball asked for.
#[test]
fn trims_take_no_fillet_away() {
    for seed in [7, 43, 125, 183, 283, 349, 769] {
        let part = with_every_joint_whole(seed);
        assert!(part.joints.len() > 50, "{seed}: {} joints", part.joints.len());
    }
}

/// Bosses of a plate stand flush with the sides of its gussets. When both ended at one height, their rounded edges touched all along a
/// quarter of a turn: 48 joints of 761 and 26 of 881 had smaller fillets, and places of 315 were filled. (881 has 81 joints; it had 103 when a ball rolled inside
/// the shell, too.)
#[test]
fn bosses_flush_with_gussets_cost_no_joint() {
    for (seed, least) in [(315, 150), (761, 150), (881, 75)] {
        let part = with_every_joint_whole(seed);
        assert!(part.joints.len() > least, "{seed}: {} joints", part.joints.len());
    }
}

/// The shell, and a rail tube drilled from the flange, were taken for parts of the flange, whose face they end in: balls larger than the
/// flange's rolled over ribs and bosses inside the shell (225, 413, 621), and a rail tube did not get the radius asked for (571).
/// Behind the shell's end, a step too low to be rounded was sharp to its ball (597). Now every joint keeps the ball asked for.
#[test]
fn balls_roll_over_the_shell_and_not_inside_it() {
    for seed in [225, 413, 571, 597, 621] {
        let part = with_every_joint_whole(seed);
        let radius = |a: &str, b: &str| {
            let between = |j: &&Joint| [a, b].iter().all(|n| j.faces.iter().any(|f| &*f.feature == *n));
            part.joints.iter().find(between).map(|j| j.made)
        };
        if seed == 571 {
            assert!(radius("rail_tube", "shell").is_some_and(|r| (r - 5.0).abs() < 0.1), "as the file says");
        }
    }
}

/// The ball on a shell comes to a rib's crest 0.6 µm beside the place where that runs on into its side: the vertex there was 0.03 µm off the
/// crest, and the ball's path could not be found (697).
#[test]
fn a_path_that_ends_beside_a_smooth_edge_is_found() {
    let part = with_every_joint_whole(697);
    assert!(part.joints.len() > 400, "{} joints", part.joints.len());
}

/// Slots cut into what fillets fill between plate and shell, which are nearly the ball's width apart. On one side of the gap a fillet claimed
/// what balls reach from the other side of it, 44 mm behind its own (813).
#[test]
fn fillets_in_a_gap_claim_nothing_beyond_it() {
    with_every_joint_whole(813);
}

/// Between plate and shell balls come to both sides of a gap that is a hair too narrow for them, and hold each other's places in it: what
/// they leave would end in a ridge between them. A rod in the middle of the gap keeps them off each other (923).
#[test]
fn balls_on_both_sides_of_a_gap_are_kept_apart() {
    assert!(!with_every_joint_whole(923).filled_places.is_empty(), "the gap is filled");
}

/// Of no outline of these lugs and their ring all pieces are longer than a millimetre (681): as bodies apart they lost 35 joints.
#[test]
fn lugs_with_short_pieces_between_them_are_one_plate() {
    with_every_joint_whole(681);
}

/// A rail tube ends flush with the tail's machined face. Its end was as cast, and fillets between it and the tail, which stands out there until it
/// is cut, ran beside the cut: 1025 had no fillet at all after 4 s, and 1043 eight sharp joints.
#[test]
fn a_rail_tube_flush_with_the_tail_is_faced_with_it() {
    for (seed, least) in [(1025, 70), (1043, 75)] {
        let part = with_every_joint_whole(seed);
        assert!(part.joints.len() > least, "{seed}: {} joints", part.joints.len());
    }
}

/// A drain plug ends 5 mm under a pad's plate, among bosses and a wall: no ball gets in there, so that it is metal, and the cut at the plug's end left
/// a hollow in it. All bodies about it gave way, and with them all others of their ball: of 135 joints none was whole (841).
#[test]
fn a_machined_end_among_bosses_is_not_cut_into_a_hollow() {
    let part = with_every_joint_whole(841);
    assert!(part.joints.len() > 110, "{} joints", part.joints.len());
    assert_eq!(part.filled.len(), 1, "and it is told");
}

/// A hollow is told with the features about it, its size, its place and what to do: this one is 15's, as large as the sharp solid has it.
#[test]
fn a_hollow_is_told_with_its_size_and_place() {
    let error = housing::build(&design(15).expect("a design")).expect_err("a hollow");
    let housing::HousingError::Hollow(hollow) = &error else { panic!("{error}") };
    let size = hollow.size();
    assert!(hollow.volume > 0.0 && hollow.volume < size.x * size.y * size.z, "{error}");
    assert!(hollow.extent.contains(hollow.at) && !hollow.features.is_empty(), "{error}");
    assert!(error.to_string().contains("mm wide and"), "{error}");
}

/// The path of a smaller ball runs into a crease of a larger one. There is no vertex for it there; that was the end of the program.
#[test]
fn a_path_into_a_crease_of_an_earlier_ball_gives_way() {
    let part = housing::build(&design(621).expect("a design")).expect("a housing");
    let sharp: Vec<_> = part.joints.iter().filter(|j| j.made == 0.0).collect();
    assert!(sharp.is_empty(), "{sharp:#?}");
}

/// A sliver of a fillet lies beside the end of a fold, where an edge's end is known by the spine to 0.05 mm only. The step from there to the next
/// edge was taken by one node, with all of the canal's section below it: the volume was 0.118 mm³ off, and the area vectors of all faces did not
/// cancel.
#[test]
fn a_sliver_beside_a_fold_keeps_the_boundary_closed() {
    let housing = housing::build(&design(47).expect("a design")).expect("a housing");
    let mass = &housing.solid.report().mass;
    let open = mass.boundary_area_vector.norm();
    assert!(open < 1e-4, "{open:e} mm² of area vectors are left over");
    let apart = (mass.volume_by_axis.max() - mass.volume_by_axis.min()) / mass.volume;
    assert!(apart < 1e-8, "{:?}", mass.volume_by_axis);
}

/// The finished part's gussets have no room for the rounding that a ball asks for, their casting's had: it rounded their edges more, and left 35 mm³ of
/// the finished part outside.
#[test]
fn a_casting_rounds_no_edge_more_than_its_finished_part() {
    let design = design(123).expect("a design");
    let finished = housing::build(&design).expect("a housing");
    let casting = forms::casting(&design, &finished).expect("a casting");
    assert_eq!(casting.missing, vec![]);
    let told: Vec<_> = casting.laid_on.iter().map(|metal| metal.feature).collect();
    assert!(!told.contains(&Feature::GearboxFace), "{told:?}");
}

/// The opening of a pad takes away a vent plug with its boss. That is warned of by its rule, and is no second finding.
#[test]
fn a_plug_that_an_opening_takes_away_is_told_once() {
    let design = design(239).expect("a design");
    let housing = housing::build(&design).expect("a housing: its solid is sound");
    let lost =
        checks::holes_cut_of(&design, &housing).into_iter().filter(|m| m.check == "holes without a wall");
    let told: Vec<String> = lost.map(|m| m.what).collect();
    assert_eq!(told, ["all holes"]);
}
