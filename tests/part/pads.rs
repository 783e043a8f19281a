//! Shapes that cast well: what a pad's hollow, a thinner barrel and a neck take, by hand.

use std::f64::consts::PI;

use solidwright::geometry::P3;
use solidwright::solid::Solid;
use tailpattern::design::Design;
use tailpattern::housing;
use tailpattern::params::{self, Source};

/// The shortest file with a mount pad, and more keys of that pad.
fn volume(more: &str) -> f64 {
    let pad = "\nmount_pad:\n  base_station: 165\n  drop: 84\n  outline: {length: 70, width: 60, corner_radius: 8}\n";
    made(format!("{}{pad}{more}", include_str!("../../params/minimal.yaml")))
}

/// The volume of a file's part without root fillets, mm³.
fn made(text: String) -> f64 {
    solid(text).mass().volume
}

/// A file's part without root fillets.
fn solid(text: String) -> Solid {
    let source = Source::from_bytes("a pad", text.into_bytes()).expect("text");
    let outcome = Design::validate(params::read(&source).expect("a tree"));
    let design = outcome.value.unwrap_or_else(|| panic!("{:#?}", outcome.findings));
    housing::build_sharp(&design).expect("a part").solid
}

/// A rectangle's room with rounded corners, drawn to a depth, its end rounded: the prism less the sliver between the rounding and
/// its corner. The sliver's section is (1 - π/4) r², its centroid (10 - 3π) / (12 - 3π) r off either wall; along the sides it is
/// a prism, about the four corners a turned body (the second theorem of Pappus and Guldin).
fn drawn(length: f64, width: f64, corner: f64, depth: f64, r: f64) -> f64 {
    let area = length * width - (4.0 - PI) * corner * corner;
    let centroid = (10.0 - 3.0 * PI) / (12.0 - 3.0 * PI) * r;
    let way = 2.0 * (length + width - 4.0 * corner) + 2.0 * PI * (corner - centroid);
    area * depth - (1.0 - PI / 4.0) * r * r * way
}

/// A pocket open at the face, with a floor of 6 mm below the widest place of the cavity over the pad.
#[test]
fn a_pocket_takes_its_room() {
    let upright = 1.25 * 3.0 + 84.0 * 1.5_f64.to_radians().tan();
    let pocket = "  hollow: {wall: 7, floor: 6, fillet: 3}\n";
    // The cavity is wider at the pad's front.
    let front = 56.0 + (34.0 - 56.0) * 130.0 / 170.0;
    let want = drawn(56.0, 46.0, upright, 84.0 - front - 6.0, 3.0);
    let taken = volume("") - volume(pocket);
    assert!((taken - want).abs() < 1e-6 * want, "{taken} for {want}");
}

/// A hollow open to the cavity takes what a deeper pocket would, less what the cavity has taken already: with the floor one
/// millimetre thinner it takes one more millimetre of its room.
#[test]
fn a_thinner_floor_takes_a_slice_more() {
    let upright = 1.25 * 3.0 + 84.0 * 1.5_f64.to_radians().tan();
    let hollow =
        |floor: f64| volume(&format!("  hollow: {{opens: inside, wall: 7, floor: {floor}, fillet: 3}}\n"));
    let slice = hollow(8.0) - hollow(7.0);
    let want = 56.0 * 46.0 - (4.0 - PI) * upright * upright;
    assert!((slice - want).abs() < 1e-5 * want, "{slice} for {want}");
}

/// With its collar a millimetre longer, the tail has a ring more between its barrel and its full diameter.
#[test]
fn a_barrel_takes_its_ring() {
    let minimal = include_str!("../../params/minimal.yaml");
    let whole = "  outside_diameter: 80\n";
    assert!(minimal.contains(whole), "the ring");
    let with = |collar: u32| {
        made(minimal.replace(whole, &format!("{whole}  barrel_diameter: 60\n  collar_length: {collar}\n")))
    };
    let (slice, want) = (with(19) - with(18), PI * (40.0_f64.powi(2) - 30.0_f64.powi(2)));
    assert!((slice - want).abs() < 1e-6 * want, "{slice} for {want}");
}

/// The same of the sender's boss and its head.
#[test]
fn a_neck_takes_its_ring() {
    let boss = "\nsender_boss:\n  station: 150\n  side_offset: 0\n  clock: 90 deg\n  diameter: 44\n  height: 90\n  \
                bore_steps: [{diameter: 20}]\n";
    let with = |head: u32| {
        let neck = format!("  neck: {{diameter: 32, head: {head}}}\n");
        made(format!("{}{boss}{neck}", include_str!("../../params/minimal.yaml")))
    };
    let (slice, want) = (with(21) - with(20), PI * (22.0_f64.powi(2) - 16.0_f64.powi(2)));
    assert!((slice - want).abs() < 1e-6 * want, "{slice} for {want}");
}

/// A rail tube behind the flange: the rail comes out of the gearbox, so its bore goes through the flange as well, unless the file has it
/// start behind the tube's front end.
#[test]
fn a_rail_bore_that_is_open_to_the_front_goes_through_the_flange() {
    let tube = "\nrail_tube:\n  y: 39\n  z: 67.5\n  bore: 16\n  from: 30\n  to: 120\n";
    let in_flange = |more: &str| {
        let part = solid(format!("{}{tube}{more}", include_str!("../../params/minimal.yaml")));
        part.tree().contains(P3::new(4.0, 39.0, 67.5))
    };
    assert!(!in_flange(""), "drilled from the front");
    assert!(in_flange("  bore_from: 34\n  bore_to: 120\n"), "drilled from the rear");
}
