//! What holds the pattern in the sand, and its loose pieces.

use super::forms::{built, variant};
use crate::{drawn_housing, nesting};
use solidwright::geometry::{Frame, P3, V3};
use solidwright::solid::Solid;
use tailpattern::design::Design;
use tailpattern::faces::{Feature, Role};
use tailpattern::forms;
use tailpattern::housing::sender_seat;
use tailpattern::params::{self, Source};

/// A housing drawn from the schema.
pub(super) fn drawn(seed: u64) -> Design {
    let source = Source::from_bytes("drawn", drawn_housing::drawn(seed).into_bytes()).expect("text");
    Design::validate(params::read(&source).expect("a tree")).value.expect("a design")
}

/// The sender's spot face passes through the parting plane. What of it faces down above that is found on the finished part as large as
/// by membership, asked every quarter of a millimetre of its plane. On the castings that end is stood upright, and does not hold; in both
/// units alike. Walls that only touch the parting plane are no undercuts.
#[test]
fn undercuts_do_not_hang_on_the_mesh() {
    let design = variant("solid_pads", &[]);
    let part = built(&design);
    let (seat, axis) = sender_seat(design.sender_boss().expect("a boss"));
    let Frame { x, y, .. } = Frame::from_z(seat, axis);
    let on_face = |k: i32| {
        let step = |n: i32| 0.25 * (f64::from(n) - 199.5);
        let p = seat + x * step(k % 400) + y * step(k / 400);
        let metal = |out: f64| part.solid.tree().contains(p + axis * out);
        p.z > 0.0 && metal(-0.01) && !metal(0.01)
    };
    let counted = (0..160_000).filter(|k| on_face(*k)).count() as f64 * 0.25 * 0.25;
    let is_spot = |u: &forms::Undercut| Role::of(&u.tag) == Role::SpotFace && u.under.is_none();
    let all = forms::undercuts(&part.solid, V3::z()).expect("a mesh");
    let told: f64 = all.iter().filter(|u| is_spot(u)).map(|u| u.area).sum();
    assert!(counted > 300.0 && (told - counted).abs() < 4.0, "{told} mm² told, {counted} counted");
    let found = |file: &str| {
        let design = variant(file, &[]);
        let cast = forms::casting(&design, &built(&design)).expect("a casting");
        forms::drawing(&cast).expect("a drawing").undercuts
    };
    let [mm, inch] = ["demo_mm", "demo_inch"].map(found);
    assert!(!mm.iter().any(is_spot), "{mm:#?}");
    let [mm, inch] = [mm, inch].map(|all| all.iter().map(|u| u.area).sum::<f64>());
    assert!((mm - inch).abs() < 0.5, "{mm} and {inch} mm²");
    let iron = found("long_iron");
    assert!(iron.iter().all(|u| u.holder() != Feature::MountPad), "{iron:#?}");
}

/// A sender boss that crosses the parting plane askew: its end is stood upright and its shallow lips are filled down to the plane, so that the
/// pattern needs two loose pieces at most, where it took four.
#[test]
fn an_oblique_boss_takes_two_loose_pieces_at_most() {
    for file in ["demo_mm", "demo_inch", "solid_pads", "pulse_sender"] {
        let design = variant(file, &[]);
        let cast = forms::casting(&design, &built(&design)).expect("a casting");
        assert_eq!(cast.missing, vec![], "{file}: the finished part is held");
        let held = forms::drawing(&cast).expect("a drawing").undercuts;
        let made = forms::pattern_in_pieces(&cast, &held).expect("pieces");
        assert!(made.loose.len() <= 2, "{file}: {:#?}", made.loose);
        assert!(made.still_held.is_empty(), "{file}: {:#?}", made.still_held);
        let faces = &cast.moulded.casting.solid.brep().faces;
        let blocks = faces.iter().any(|f| Role::of(&f.tag) == Role::LaidOn);
        assert_eq!(
            blocks,
            !cast.faired.is_empty() || !cast.laid_on.is_empty(),
            "{file}: what is added is told"
        );
    }
}

/// Every loose piece is taken out of the sand, by exact membership: points of it, not nearer than rapping frees to the walls of the
/// hollow that both halves in one piece leave, stay in that hollow along the way that is told, and from its end down to the
/// parting plane, and meet no piece that is drawn later. The half has nothing over its pieces, and nothing is lost
/// between them but their room.
#[test]
fn loose_pieces_come_out_of_the_sand() {
    let mut proved = 0;
    let shipped = ["demo_mm", "long_iron", "pulse_sender", "short_lugs", "two_mounts"];
    let designs = shipped.map(|file| (file.to_owned(), variant(file, &[])));
    let drawn = [35, 81].map(|seed| (format!("seed {seed}"), drawn(seed)));
    for (file, design) in designs.into_iter().chain(drawn) {
        let cast = forms::casting(&design, &built(&design)).expect("a casting");
        let whole = forms::pattern(&cast).expect("halves");
        let held = forms::drawing(&cast).expect("a drawing").undercuts;
        let made = forms::pattern_in_pieces(&cast, &held).expect("pieces");
        let last = 2 + made.loose.len();
        assert_eq!(made.pieces.len(), last + made.side_cores.len(), "{file}");
        for (k, told) in made.loose.iter().enumerate() {
            let half = usize::from(!told.upper);
            let pull = if told.upper { cast.settings.up } else { -cast.settings.up };
            let piece = made.pieces[2 + k].solid.tree();
            let hollow = whole.pieces[half].solid.tree();
            let rest = made.pieces[half].solid.tree();
            let later: Vec<_> = made.pieces[2 + k + 1..last].iter().map(|p| p.solid.tree()).collect();
            let far = |d: V3| (1..).map(move |s| d * (0.5 * f64::from(s)));
            let mut asked = 0;
            for p in nesting::points(&nesting::bounds(&made.pieces[2 + k]), 4_000) {
                let around = [V3::x(), V3::y(), V3::z()].map(|d| [d * 0.5, d * -0.5]).concat();
                if !piece.contains(p) || !around.iter().all(|d| hollow.contains(p + d)) {
                    continue;
                }
                asked += 1;
                assert!(!rest.contains(p), "{file}: {} and its half share {p}", told.name);
                assert!(
                    far(pull).take(400).all(|d| !rest.contains(p + d)),
                    "{file}: the half lies over {} at {p}",
                    told.name
                );
                let steps = (told.travel / 0.5) as usize;
                let aside = far(told.draw).take(steps).map(|d| p + d);
                let down = far(-pull).take(400).map(|d| p + told.draw * told.travel + d);
                for q in aside.chain(down).filter(|q| q.coords.dot(&pull) > 0.1) {
                    assert!(hollow.contains(q), "{file}: {} meets sand at {q} from {p}", told.name);
                    assert!(
                        later.iter().all(|t| !t.contains(q)),
                        "{file}: {} meets another at {q}",
                        told.name
                    );
                }
            }
            assert!(asked > 20, "{file}: {asked} points of {}", told.name);
            proved += 1;
        }
        let gap: f64 = made.loose.iter().enumerate().map(|(k, _)| made.pieces[2 + k].solid.mass().area).sum();
        let volume = |pieces: &[forms::Piece]| pieces.iter().map(|p| p.solid.mass().volume).sum::<f64>();
        let lost = volume(&whole.pieces) - volume(&made.pieces);
        // Side cores have prints on the halves, and are proved by themselves.
        let all_there = !made.side_cores.is_empty() || lost > -1.0 && lost < 0.3 * gap + 1.0;
        assert!(all_there, "{file}: {lost} mm³ are in no piece");
    }
    assert!(proved >= 9, "{proved} pieces");
}

/// A wide plate on gussets overhangs on all sides of them: no piece of it has room to come out, and a side core forms it. Where there is no room for
/// that either, it is said, with its area.
#[test]
fn a_place_without_a_loose_piece_is_told() {
    let level = "casting.mould.parting_clock=0 deg";
    let design = variant("two_mounts", &[level]);
    let cast = forms::casting(&design, &built(&design)).expect("a casting");
    let held = forms::drawing(&cast).expect("a drawing").undercuts;
    let made = forms::pattern_in_pieces(&cast, &held).expect("pieces");
    let [plate] = made.side_cores.as_slice() else { panic!("{:#?}", made.side_cores) };
    assert_eq!(plate.features[0], Feature::SecondMountPad);
    assert!(plate.held > 20_000.0 && !plate.upper, "{plate:?}");
    assert!(made.still_held.is_empty() && made.undrawn.is_empty(), "{:#?}", made.undrawn);
    let own = drawn(87);
    let other = forms::casting(&own, &built(&own)).expect("a casting");
    let undercuts = forms::drawing(&other).expect("a drawing").undercuts;
    let left = forms::pattern_in_pieces(&other, &undercuts).expect("pieces");
    let [pad] = left.still_held.as_slice() else { panic!("{:#?}", left.still_held) };
    assert!(pad.features == [Feature::MountPad] && pad.area > 2_000.0 && !pad.upper, "{pad:?}");
    assert!(left.undrawn.iter().any(|u| u.holder() == Feature::MountPad), "still told as held");
    let design = variant("two_mounts", &[level, "casting.mould.loose_pieces=false"]);
    let cast = forms::casting(&design, &built(&design)).expect("a casting");
    assert_eq!(forms::pattern_in_pieces(&cast, &held).expect("halves").pieces.len(), 2, "not wanted");
}

/// Partings are compared on a coarse mesh: what they hold is within a tenth of what the fine one tells, from which the report of the one that is
/// taken comes.
#[test]
fn partings_are_compared_by_nearly_the_true_areas() {
    for design in [variant("demo_mm", &[]), drawn(7), drawn(11)] {
        let part = built(&design);
        let whole = Solid::of(part.solid.tree().added()).expect("an outside");
        let compared = forms::best_parting(&part).expect("areas");
        assert_eq!(compared.len(), 36);
        for (clock, area) in compared.into_iter().step_by(12) {
            let (s, c) = clock.to_radians().sin_cos();
            let all = forms::undercuts(&whole, V3::new(0.0, s, c)).expect("a mesh");
            let traced: f64 = all.iter().map(|u| u.area).sum();
            assert!((area - traced).abs() < 0.1 * traced + 40.0, "{clock}: {area} mm², traced {traced}");
        }
    }
}

/// A gusset's wall under a plate, with a fillet that begins just at the wall's edge: all that stands under the fillet is in its shadow, as
/// counted by membership every millimetre of the wall. None of it was told, since no box of the fillet stood over the wall's own.
#[test]
fn a_wall_is_in_the_shadow_of_the_fillet_over_it() {
    let part = built(&drawn(7));
    let tree = part.solid.tree();
    let brep = part.solid.brep();
    let wall = brep.faces.iter().find(|f| f.tag.to_string() == "mount_pad/gusset 1 front").expect("a wall");
    let ends: Vec<_> = wall.loops.iter().flatten().map(|h| brep.edge_point(h.edge, 0.5)).collect();
    let x = ends[0].x;
    assert!(ends.iter().all(|p| (p.x - x).abs() < 1e-6), "it stands across the shaft");
    let shaded = |k: i32| {
        let p = P3::new(x, f64::from(k % 160) - 79.5, f64::from(-(k / 160)) - 0.5);
        let metal = |out: f64, down: f64| tree.contains(p + V3::new(-out, 0.0, -down));
        metal(-0.02, 0.0) && !metal(0.02, 0.0) && (1..160).any(|down| metal(0.02, 0.5 * f64::from(down)))
    };
    let counted = (0..160 * 120).filter(|k| shaded(*k)).count() as f64;
    let all = forms::undercuts(&part.solid, V3::z()).expect("a mesh");
    let own = all.iter().filter(|u| u.tag == wall.tag && u.under.is_some());
    let told: f64 = own.map(|u| u.area).sum();
    assert!(
        counted > 1000.0 && (told - counted).abs() < 0.05 * counted,
        "{told} mm² told, {counted} counted"
    );
}

/// The bodies of this housing have no boundary without its cuts, at a fillet to a plug that is cut off. Its partings are ranked by the part's own
/// faces, and the casting is written.
#[test]
fn partings_are_ranked_where_bodies_do_not_close_uncut() {
    let part = built(&drawn(125));
    assert!(
        solidwright::solid::Solid::of(part.solid.tree().added()).is_err(),
        "they close by now: choose another housing"
    );
    let ranked = forms::best_parting(&part).expect("ranked by its faces");
    let [least, most] = [f64::min, f64::max].map(|f| ranked.iter().map(|r| r.1).reduce(f).expect("angles"));
    // The cavity's ceiling would hold every half by some ten thousand square millimetres.
    assert!(ranked.len() == 36 && least < 0.5 * most && least < 10_000.0, "{ranked:?}");
}
