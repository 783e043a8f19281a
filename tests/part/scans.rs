//! Scans made from the part's own mesh, moved and bent by known fields: where they lie, how far they are off and how thick their walls are
//! comes back within a stated bound.

use nalgebra::Rotation3;
use solidwright::geometry::{P3, V3};
use solidwright::mesh::triangulate;
use solidwright::probe::Probe;
use solidwright::solid::Solid;
use tailpattern::design::Design;
use tailpattern::faces::Feature;
use tailpattern::forms::Product;
use tailpattern::housing;
use tailpattern::inspection::{self, Placement, STYLUS, Scan, ScanFault};
use tailpattern::params::{self, Source};

use crate::inspection::{RawCasting, raw_casting};

/// Chord error of the scans' meshes, mm.
const CHORD: f64 = 0.02;

fn demo() -> Design {
    design(include_str!("../../params/demo_mm.yaml"))
}

fn design(text: &str) -> Design {
    let source = Source::from_bytes("a file", text.as_bytes().to_vec()).expect("text");
    Design::validate(params::read(&source).expect("a tree")).value.expect("a design")
}

/// The mesh of a solid, each corner moved by where it lies and whether its triangle's face is of the cavity.
fn scan(solid: &Solid, change: impl Fn(P3, bool) -> P3) -> Scan {
    let mesh = triangulate(solid, CHORD).expect("a mesh");
    let of = |t: usize| {
        let inside = Feature::of(&solid.brep().faces[mesh.face_of[t] as usize].tag) == Feature::Cavity;
        mesh.corners(t).map(|p| change(p, inside))
    };
    Scan { triangles: (0..mesh.triangles.len()).map(of).collect() }
}

/// Somewhere, any way round.
fn away(seed: f64) -> Placement {
    Placement {
        turn: Rotation3::from_euler_angles(1.1 * seed, -0.7 + seed, 2.3 * seed),
        shift: V3::new(400.0 * seed, -900.0, 120.0),
    }
}

/// A scan that is only moved lies on the part within the chord error of its own mesh, and so do all deviations; inches, mirror images and
/// other things are told as such.
#[test]
fn a_moved_scan_comes_back() {
    let design = demo();
    let housing = housing::build(&design).expect("a housing");
    let probe = Probe::new(&housing.solid, 0.1).expect("a probe");
    for seed in [0.0, 1.0, 2.0] {
        let lies = away(seed);
        let moved = scan(&housing.solid, |p, _| lies.moved(p));
        let fit = inspection::fitted(&moved, &probe).expect("a fit");
        for p in [P3::origin(), P3::new(330.0, 40.0, 60.0), P3::new(200.0, -50.0, -90.0)] {
            let off = (fit.by.moved(lies.moved(p)) - p).norm();
            assert!(off < CHORD, "seed {seed}: {off} mm off");
        }
        let found = inspection::deviations(&moved, &fit, &probe);
        assert!(found.overall < CHORD && found.scanned > 0.99, "{} {}", found.overall, found.scanned);
    }
    let refused = |change: &dyn Fn(P3) -> P3| {
        inspection::fitted(&scan(&housing.solid, |p, _| change(p)), &probe).expect_err("refused")
    };
    let inches = refused(&|p| P3::from(p.coords / 25.4));
    assert!(matches!(inches, ScanFault::Unit(_, "inches")), "{inches}");
    let mirrored = refused(&|p| away(1.0).moved(P3::new(p.x, -p.y, p.z)));
    assert!(matches!(mirrored, ScanFault::Mirrored(..)), "{mirrored}");
    let half = refused(&|p| P3::from(p.coords * 0.5));
    assert!(matches!(half, ScanFault::Size(..)), "{half}");
    let ball = |t: [f64; 3]| P3::from(V3::from(t).normalize() * 160.0);
    let corners = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0], [-1.0, 0.0, 0.0], [0.0, -1.0, 0.0]];
    let few = Scan { triangles: vec![[ball(corners[0]), ball(corners[1]), ball(corners[2])]] };
    assert!(matches!(inspection::fitted(&few, &probe), Err(ScanFault::TooFew(1))), "too few");
}

/// A raw casting scanned as if it were finished, and a finished part scanned as a raw casting, lying anywhere and bent by half a millimetre:
/// each is told, and each by its own form is taken. The stock that is told is that of the plan.
#[test]
fn a_scan_of_the_other_form_is_told() {
    told_of_the_other_form(include_str!("../../params/demo_mm.yaml"), &[0.0, 1.0]);
}

/// The same of a long housing of iron and of one in which much else is different.
#[test]
fn scans_of_other_files_in_the_other_form_are_told() {
    told_of_the_other_form(include_str!("../../params/long_iron.yaml"), &[1.0]);
    told_of_the_other_form(include_str!("../../params/two_mounts.yaml"), &[2.0]);
}

fn told_of_the_other_form(text: &str, seeds: &[f64]) {
    let design = design(text);
    let housing = housing::build(&design).expect("a housing");
    let finished = inspection::finished(&design, &housing);
    let product = Product::new(&design, &housing);
    let RawCasting { casting: cast_sheet, machining, plan: cast_plan, .. } =
        raw_casting(&product, (&design, &housing), &finished);
    let casting = &product.casting().expect("a casting").moulded.casting.solid;
    let [on_finished, on_casting] =
        [&housing.solid, casting].map(|solid| Probe::new(solid, 0.1).expect("a probe"));
    let plan = inspection::probe_plan(&finished, &on_finished, STYLUS);
    for seed in seeds {
        let lies = away(*seed);
        let field = |p: P3, _: bool| lies.moved(P3::new(p.x, p.y, p.z + 0.5 * (p.x / 330.0).powi(2)));
        let (part, raw) = (scan(&housing.solid, field), scan(casting, field));
        let by_finished = |scan: &Scan| {
            let fit = inspection::fitted(scan, &on_finished).expect("a fit");
            let places = inspection::readings_of(scan, &fit, &finished, &plan);
            inspection::right_form(&finished, None, &places)
        };
        let by_casting = |scan: &Scan| {
            let fit = inspection::fitted(scan, &on_casting).expect("a fit");
            let places = inspection::readings_of(scan, &fit, &cast_sheet, &cast_plan);
            inspection::right_form(&cast_sheet, Some(&machining), &places)
        };
        by_finished(&part).expect("the finished part is taken");
        by_casting(&raw).expect("the casting is taken");
        let told = by_finished(&raw).expect_err("refused");
        let ScanFault::RawCasting { stock, .. } = &told else { panic!("{told}") };
        let stock: f64 = stock.parse().expect("a number");
        let planned = machining.faces.iter().map(|f| f.planned);
        let [least, most] = [planned.clone().fold(f64::MAX, f64::min), planned.fold(0.0, f64::max)];
        assert!((least - 0.5..=most + 0.5).contains(&stock), "{stock} mm, planned {least} to {most}");
        let told = by_casting(&part).expect_err("refused");
        assert!(matches!(told, ScanFault::Machined(_)), "{told}");
    }
}

/// A casting that has bent by 1.2 mm at its end: at every place the deviation that is found is the known one, by the normal there, seen from
/// where the fit put it, within 0.05 mm but for 2 % of the places, and 0.1 mm root mean square. By hand: a place q comes to lie at bent(q), so the face's line
/// meets the scan at n · (fit(bent(p)) − p), to the first order of the field's slope.
#[test]
fn a_bend_is_found_at_every_place() {
    let design = demo();
    let housing = housing::build(&design).expect("a housing");
    let product = Product::new(&design, &housing);
    let solid = &product.casting().expect("a casting").moulded.casting.solid;
    let probe = Probe::new(solid, 0.1).expect("a probe");
    let length = solid.brep().bounds().max.x;
    let lies = away(1.0);
    let bent = |p: P3| P3::new(p.x, p.y, p.z + 1.2 * (p.x / length).powi(2));
    let scanned = scan(solid, |p, _| lies.moved(bent(p)));
    let fit = inspection::fitted(&scanned, &probe).expect("a fit");
    let found = inspection::deviations(&scanned, &fit, &probe);
    let (mut squares, mut count, mut worst) = (0.0_f64, 0.0_f64, 0.0_f64);
    for ((corners, deviation), (_, sample)) in found.map.iter().zip(probe.small_triangles(4.0)) {
        let Some(deviation) = deviation else { continue };
        assert!((corners[0] - sample.point).norm() < 6.0, "the map is in the order of the triangles");
        let p = sample.point;
        let wanted = (fit.by.moved(lies.moved(bent(p))) - p).dot(&sample.outward);
        // Beside an edge the line may meet the neighbouring face.
        let off = (deviation - wanted).abs();
        squares += off * off;
        count += 1.0;
        if off > 0.05 {
            worst += 1.0;
        }
    }
    let rms = (squares / count).sqrt();
    assert!(count > 3000.0 && rms < 0.1, "{rms} mm root mean square over {count}");
    assert!(worst < 0.02 * count, "{worst} of {count} are off by more than 0.05 mm");
}

/// A scan as scanners make them: a tenth of its triangles missing here and there, so that lines slip through, and loose bits of up to 6 mm
/// strewn about it. The bits are left out, and no line ends on the far side of a wall: what is found
/// is within 0.05 mm but for 0.5 % of the places, and no wall is told that is not there.
#[test]
fn gaps_and_loose_bits_spoil_nothing() {
    let design = demo();
    let housing = housing::build(&design).expect("a housing");
    let probe = Probe::new(&housing.solid, 0.1).expect("a probe");
    let lies = away(1.0);
    for turned in [false, true] {
        let mut scanned = scan(&housing.solid, |p, _| lies.moved(p));
        scanned.triangles =
            scanned.triangles.into_iter().enumerate().filter(|(k, _)| k % 10 != 3).map(|(_, t)| t).collect();
        let strewn: Vec<[P3; 3]> = scanned
            .triangles
            .iter()
            .step_by(200)
            .enumerate()
            .map(|(k, t)| {
                let at = t[0] + V3::new(1.0, -2.0, 1.5) * (1.0 + (k % 3) as f64);
                [at, at + V3::new(0.9, 0.0, 0.1), at + V3::new(0.0, 0.9, 0.2)]
            })
            .collect();
        let count = strewn.len();
        scanned.triangles.extend(strewn);
        if turned {
            scanned.triangles.iter_mut().for_each(|t| t.swap(1, 2));
        }
        let (scanned, left_out) = scanned.without_strays();
        assert!(left_out >= count, "{left_out} of {count}");
        let fit = inspection::fitted(&scanned, &probe).expect("a fit");
        let found = inspection::deviations(&scanned, &fit, &probe);
        // Beside an edge a line that slips through may meet a face behind that looks the same way.
        let all: Vec<f64> = found.map.iter().filter_map(|(_, d)| *d).collect();
        let far = all.iter().filter(|d| d.abs() > 0.05).count();
        assert!(far * 200 < all.len(), "inside out: {turned}: {far} of {}", all.len());
        assert!(found.scanned > 0.8 && found.scanned < 0.97, "the gaps are told: {}", found.scanned);
        let walls = inspection::scanned_walls(&scanned, &fit, &probe);
        assert!(walls.len() > 10 && walls.iter().all(|w| (w.found - w.planned).abs() < 0.1), "{walls:?}");
    }
}

/// The inside shifted by 0.6 mm against the outside, by hand: a wall from the cavity grows thinner by 0.6 mm times how far its normal leans
/// that way.
#[test]
fn walls_are_measured_between_outside_and_inside() {
    let design = demo();
    let housing = housing::build(&design).expect("a housing");
    let probe = Probe::new(&housing.solid, 0.1).expect("a probe");
    let lies = away(2.0);
    let core = V3::new(0.0, 0.6, 0.0);
    let scanned = scan(&housing.solid, |p, inside| lies.moved(if inside { p + core } else { p }));
    let fit = inspection::fitted(&scanned, &probe).expect("a fit");
    let walls = inspection::scanned_walls(&scanned, &fit, &probe);
    let cavity = walls.iter().find(|w| w.name.contains("cavity")).expect("a wall of the cavity");
    let near = probe.nearest(cavity.at, |_| true, 1.0).expect("on the part");
    let outward = probe.brep().faces[near.face].outward(cavity.at);
    let wanted = cavity.planned + core.dot(&outward);
    assert!((cavity.found - wanted).abs() < 0.06, "{cavity:?} for {wanted}");
    assert!(cavity.found < cavity.planned - 0.4, "the thin side is found: {cavity:?}");
}

/// A scan of the outside only, as one that stands on a table gives it: it is put onto the part, its deviations are right, what was not scanned
/// is told as such, and no wall is told, since the far side of none was seen. Only what a line straight out of the metal leaves
/// the part by is kept.
#[test]
fn a_scan_of_the_outside_only_tells_no_walls() {
    let design = demo();
    let housing = housing::build(&design).expect("a housing");
    let probe = Probe::new(&housing.solid, 0.1).expect("a probe");
    let lies = away(1.0);
    let is_outside = |t: &[P3; 3]| {
        let middle = P3::from((t[0].coords + t[1].coords + t[2].coords) / 3.0);
        let normal = (t[1] - t[0]).cross(&(t[2] - t[0]));
        normal.try_normalize(1e-12).is_some_and(|out| probe.ray(middle + out * 0.5, out, None).is_none())
    };
    let mut scanned = scan(&housing.solid, |p, _| p);
    let all = scanned.triangles.len();
    scanned.triangles.retain(is_outside);
    assert!(scanned.triangles.len() * 10 > all && scanned.triangles.len() < all, "a part of {all}");
    scanned.triangles.iter_mut().flatten().for_each(|p| *p = lies.moved(*p));
    let fit = inspection::fitted(&scanned, &probe).expect("a fit");
    for p in [P3::origin(), P3::new(330.0, 40.0, 60.0), P3::new(200.0, -50.0, -90.0)] {
        let off = (fit.by.moved(lies.moved(p)) - p).norm();
        assert!(off < 2.0 * CHORD, "{off} mm off");
    }
    let found = inspection::deviations(&scanned, &fit, &probe);
    assert!(found.overall < 2.0 * CHORD, "{}", found.overall);
    assert!(found.scanned > 0.2 && found.scanned < 0.9, "what was not scanned is told: {}", found.scanned);
    let walls = inspection::scanned_walls(&scanned, &fit, &probe);
    let thin = walls.iter().filter(|w| w.found < w.planned - 0.1).count();
    assert_eq!(thin, 0, "no wall is thinner than it is: {walls:?}");
}
