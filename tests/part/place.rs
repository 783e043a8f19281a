//! Features placed by hard points, values written into a copy, the plan of a weld-up.

use crate::edit;
use std::path::Path;

use tailpattern::design::Design;
use tailpattern::params::{self, Source};
use tailpattern::place::{self, Placed, WeldUpError};
use tailpattern::report;

fn text_of(file: &str, keys: &[&str]) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("params").join(format!("{file}.yaml"));
    let text = std::fs::read_to_string(path).expect("readable");
    keys.iter().fold(text, |text, key| {
        let (path, value) = key.split_once('=').expect("path=value");
        edit::set(&text, path, value)
    })
}

fn source(text: &str) -> Source {
    Source::from_bytes("test.yaml", text.as_bytes().to_vec()).expect("text")
}

fn design(text: &str) -> Design {
    let outcome = Design::validate(params::read(&source(text)).expect("a tree"));
    outcome.value.unwrap_or_else(|| panic!("{:#?}", outcome.findings))
}

fn wanted(placed: &Placed, key: &str) -> f64 {
    let found = placed.moves.iter().find(|m| m.key == key);
    found.unwrap_or_else(|| panic!("{key} is placed")).wanted.get()
}

/// By hand: the gearbox face stands at 285.75 + 368.3 = 654.05 of the vehicle, its kept shaft's joint 17 in further aft; a unit
/// of 21 1/4 in becomes one of 13 3/8 in, and the yoke stands 1 7/16 in off the seal.
#[test]
fn the_demonstration_is_where_its_vehicle_wants_it() {
    for file in ["demo_mm", "demo_inch"] {
        let design = design(&text_of(file, &[]));
        let placed = place::place(&design).expect("hard points");
        for (key, by_hand) in [
            ("housing.overall_length", 1085.85 - 654.05 - 55.5625 - 36.5125),
            ("mating.yoke.front", 339.725 + 36.5125 - 111.125),
            ("shift_box_pad.station", 771.525 - 654.05),
            ("mount_pad.base_station", 860.425 - 654.05),
            ("mount_pad.drop", 146.05 - 53.975),
            ("sender_boss.station", 228.6 + 14.2875 / 2.0),
        ] {
            let got = wanted(&placed, key);
            assert!((got - by_hand).abs() < 1e-3, "{file} {key}: {got} for {by_hand}");
        }
        assert_eq!(placed.not_placed, vec![], "{file}");
        let length = &placed.moves[0];
        let (old, new) = (length.donor.expect("an old one"), length.wanted);
        assert!((old.to_inches() - 21.25).abs() < 1e-9 && (new.to_inches() - 13.375).abs() < 1e-4, "{file}");
    }
}

/// A vehicle whose lever hole lies further back moves the pad by as much; the copy holds the new value, and nothing else of
/// it changes; placed again, nothing moves.
#[test]
fn a_copy_changes_its_values_only() {
    for (file, hole, station) in [("demo_mm", "781.525", "127.475"), ("demo_inch", "30.7687", "5.0187")] {
        let text = text_of(file, &[&format!("vehicle.hard_points.lever_hole={hole}")]);
        let placed = place::place(&design(&text)).expect("hard points");
        let raw = params::read(&source(&text)).expect("a tree");
        let (copy, edits) = place::written(&source(&text), &raw.file, &placed);
        let (beside, edits): (Vec<_>, Vec<_>) =
            edits.into_iter().partition(|e| matches!(e, place::Edit::Beside(_)));
        assert!(beside.contains(&place::Edit::Beside("mating.turning")), "{file}: {beside:?}");
        assert_eq!(edits.len(), placed.moves.len(), "{file}");
        let kept = edits.iter().filter(|e| **e == place::Edit::Kept).count();
        assert_eq!(kept + 1, edits.len(), "{file}: one value moves: {edits:?}");
        let changed: Vec<_> = text.lines().zip(copy.lines()).filter(|(a, b)| a != b).collect();
        assert_eq!(text.lines().count(), copy.lines().count(), "{file}");
        assert_eq!(changed.len(), 1, "{file}: {changed:?}");
        assert!(changed[0].1.trim_start().starts_with(&format!("station: {station}")), "{file}: {changed:?}");
        assert!(changed[0].1.contains("# where the lever wants to be"), "{file}: {changed:?}");
        let again = place::place(&design(&copy)).expect("hard points");
        let still = |m: &place::Move| (m.wanted - m.now.expect("in the file")).abs().get() < 1e-2;
        assert!(again.moves.iter().all(still), "{file}: {again:#?}");
    }
}

/// With an offset of 12 mm forward the mount stands 12 mm ahead of its base station, so that the vehicle wants it 12 mm further
/// aft; a copy moves the base station, and the offset stays.
#[test]
fn an_offset_mount_is_compared_where_it_stands() {
    let text = text_of("demo_mm", &["mount_pad.offset=-12"]);
    let placed = place::place(&design(&text)).expect("hard points");
    let mount = placed.moves.iter().find(|m| m.key == "mount_pad.base_station").expect("placed");
    let near = |a: f64, b: f64| (a - b).abs() < 1e-9;
    let now = mount.now.expect("in the file").get();
    assert!(near(now, 206.375 - 12.0), "it stands at {now}");
    assert!(near(mount.wanted.get(), 860.425 - 654.05), "the crossmember is where it was: {mount:?}");
    let raw = params::read(&source(&text)).expect("a tree");
    let (copy, _) = place::written(&source(&text), &raw.file, &placed);
    let again = place::place(&design(&copy)).expect("hard points");
    let mount = again.moves.iter().find(|m| m.key == "mount_pad.base_station").expect("placed");
    assert!(near(mount.now.expect("in the file").get(), 206.375), "{mount:?}");
    assert!(copy.contains("base_station: 218.375") && copy.contains("offset: -12"), "the base station moved");
}

#[test]
fn what_is_not_told_is_not_placed() {
    assert!(place::place(&design(&text_of("minimal", &[]))).is_err(), "no hard points");
    let few = ["vehicle.hard_points={mounting_face: 0, gearbox_length: 300}"];
    let placed = place::place(&design(&text_of("minimal", &few))).expect("hard points");
    assert!(placed.moves.is_empty(), "{placed:#?}");
    let keys: Vec<_> = placed.not_placed.iter().map(|n| n.key).collect();
    for key in
        ["vehicle.hard_points.propshaft_flange", "mating.yoke", "shift_box_pad", "mount_pad", "vehicle.donor"]
    {
        assert!(keys.contains(&key), "{key}: {keys:?}");
    }
    let told = report::place::text(&placed, tailpattern::units::Units::Mm);
    assert!(told.starts_with("not placed"), "no head of an empty table: {told}");
}

/// By hand: 180.975 mm come out ahead of the shift box and 19.05 behind it, 200.025 in all, each with a weld gap of 3 mm, in the
/// middle of its plain stretch.
#[test]
fn the_old_housing_is_cut_in_two_places() {
    let plan = place::weld_up(&design(&text_of("demo_mm", &[]))).expect("a plan");
    let [ahead, behind] = &plan.cuts[..] else { panic!("{plan:#?}") };
    let near = |a: f64, b: f64| (a - b).abs() < 1e-9;
    assert!(
        near(ahead.removed.get(), 180.975) && near((ahead.rear - ahead.front).get(), 183.975),
        "{ahead:?}"
    );
    assert!(near(ahead.front.get() - 47.625, 244.475 - ahead.rear.get()), "in the middle: {ahead:?}");
    assert!(
        near(behind.removed.get(), 19.05) && near((behind.rear - behind.front).get(), 22.05),
        "{behind:?}"
    );
    // The mount stood 409.575 back, behind both cuts; the new one wants 206.375.
    let mount = plan.left.iter().find(|l| l.0.starts_with("mount, to be moved")).expect("the mount");
    assert!(near(mount.1.get(), 206.375 - (409.575 - 200.025)), "{mount:?}");
    let turned = design(&text_of("demo_mm", &["vehicle.donor.sender_clock=268 deg"]));
    assert!(near(place::weld_up(&turned).expect("a plan").cuts[1].turned.get(), -20.0), "turned");
}

#[test]
fn cuts_that_can_not_be_are_told() {
    let told = |keys: &[&str]| place::weld_up(&design(&text_of("demo_mm", keys))).expect_err("no plan");
    let short = "vehicle.donor_plain=[{from: 50, to: 150, front_diameter: 140, rear_diameter: 120}]";
    let text = text_of("demo_mm", &[]);
    let (head, tail) = text.split_once("  donor_plain:").expect("the key");
    let rest: String = tail.lines().skip_while(|l| !l.is_empty()).map(|l| format!("{l}\n")).collect();
    let text = edit::set(
        &format!("{head}{rest}"),
        short.split_once('=').expect("a key").0,
        short.split_once('=').expect("a value").1,
    );
    let error = place::weld_up(&design(&text)).expect_err("no stretch");
    assert!(matches!(error, WeldUpError::NoStretch { .. }), "{error}");
    assert!(matches!(told(&["vehicle.donor.shift_station=100"]), WeldUpError::Longer { .. }), "longer");
    let none = place::weld_up(&design(&text_of("minimal", &[]))).expect_err("no old housing");
    assert_eq!(none, WeldUpError::Missing("vehicle.donor"));
}

/// The shaft keeps its length in all positions, its rear joint is lifted as far as the axle, and with an axle that moves straight up
/// and down the rear joint keeps its station: plane geometry (textbook), not the formula of the travel.
#[test]
fn the_driveline_is_drawn_where_the_axle_is() {
    let design_of = |keys: &[&str]| design(&text_of("demo_mm", keys));
    let shaft = |p: &place::ShaftPosition| (p.rear[0] - p.front[0]).hypot(p.rear[1] - p.front[1]);
    let led = place::shaft_positions(&design_of(&[]));
    let [ride, bump, droop] = led[..] else { panic!("{led:?}") };
    let given = design_of(&[]);
    let (propshaft, suspension) = (given.vehicle().propshaft.as_ref(), given.vehicle().suspension.as_ref());
    let (propshaft, suspension) = (propshaft.expect("a shaft"), suspension.expect("a suspension"));
    assert!((ride.rear[0] - propshaft.rear_joint_station.get()).abs() < 1e-9, "{ride:?}");
    assert!((ride.rear[1] - propshaft.rear_joint_height.get()).abs() < 1e-9, "{ride:?}");
    for (there, lift) in [(bump, suspension.bump), (droop, -suspension.droop)] {
        assert!((shaft(&there) - shaft(&ride)).abs() < 1e-9, "{there:?}");
        assert!((there.rear[1] - ride.rear[1] - lift.get()).abs() < 1e-9, "{there:?}");
    }
    let without = text_of("demo_mm", &[])
        .lines()
        .filter(|l| !l.trim_start().starts_with("arm"))
        .collect::<Vec<_>>()
        .join("\n");
    for there in place::shaft_positions(&design(&without)) {
        assert!((there.rear[0] - ride.rear[0]).abs() < 1e-9, "{there:?}");
    }
    let view = place::driveline_view(&given).expect("a view");
    for words in ["full bump", "full droop", "propeller shaft at ride height", "pinion"] {
        assert!(view.contains(words), "{words}");
    }
    assert_eq!(
        place::driveline_view(&design(&text_of("minimal", &[]))),
        None,
        "nothing is known of its vehicle"
    );
}
