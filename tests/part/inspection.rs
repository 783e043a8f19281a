//! First article: measuring sheets, and verdicts on synthetic readings whose errors are known.

use solidwright::geometry::{Frame, P3, V3};
use solidwright::probe::Probe;
use tailpattern::design::Design;
use tailpattern::faces::{Feature, Role};
use tailpattern::forms::Product;
use tailpattern::housing::{self, Housing};
use tailpattern::inspection::{
    self, ArticleReadings, AxisRule, CharacteristicKind, ElementShape, ItemVerdict, JudgedArticle,
    JudgedItem, JudgingRules, LineUp, MeasuringSheet, OverallVerdict, ProbePlan, STYLUS, Served,
};
use tailpattern::params::{self, Source};

use crate::synthetic_article::{Error, Errors, Machine, anywhere, readings};

/// The raw casting of a part, and how it is measured.
pub(crate) struct RawCasting<'a> {
    /// Its measuring sheet.
    pub(crate) casting: MeasuringSheet,
    /// What is machined of it.
    pub(crate) machining: inspection::Machining,
    /// Its exact faces.
    pub(crate) probe: Probe<'a>,
    /// Where it is probed.
    pub(crate) plan: ProbePlan,
}

/// The raw casting of a part with its measuring sheet.
pub(crate) fn raw_casting<'a>(
    product: &'a Product,
    (design, housing): (&Design, &Housing),
    finished: &MeasuringSheet,
) -> RawCasting<'a> {
    let made = product.casting().expect("a casting");
    let casting = inspection::casting(design, finished, &housing.solid, made).expect("a sheet");
    let machining = inspection::machining(made, finished, &casting);
    let probe = Probe::new(&made.moulded.casting.solid, 0.15).expect("a probe");
    let plan = inspection::probe_plan(&casting, &probe, STYLUS);
    RawCasting { casting, machining, probe, plan }
}

pub(crate) fn demo() -> (Design, Housing, MeasuringSheet) {
    changed_demo(str::to_owned)
}

/// The demonstration with a changed text.
pub(crate) fn changed_demo(change: impl Fn(&str) -> String) -> (Design, Housing, MeasuringSheet) {
    let text = change(include_str!("../../params/demo_mm.yaml"));
    let source = Source::from_bytes("a file", text.as_bytes().to_vec()).expect("text");
    let design = Design::validate(params::read(&source).expect("a tree")).value.expect("a design");
    let housing = housing::build(&design).expect("a housing");
    let sheet = inspection::finished(&design, &housing);
    (design, housing, sheet)
}

/// H7 from 30 to 50 mm: +0.025 and 0; h6 from 120 to 180 mm: 0 and −0.025; H8 from 50 to 80 mm: +0.046 and 0; H13 from 10 to
/// 18 mm: +0.27 and 0 (ISO 286-2, tables for H and h); in ten-thousandths here.
#[test]
fn sizes_have_the_limits_of_the_standards() {
    let (_, _, sheet) = demo();
    let limits = |what: &str| {
        let c = sheet
            .characteristics
            .iter()
            .find(|c| c.kind == CharacteristicKind::Diameter && c.what.contains(what));
        let c = c.expect("a diameter");
        let nominal = c.nominal.expect("a size");
        let off = |l: Option<f64>| ((l.expect("a limit") - nominal) * 1e4).round() as i32;
        [c.limits.least, c.limits.greatest].map(off)
    };
    assert_eq!(limits("bushing seat"), [0, 250], "H7");
    assert_eq!(limits("register"), [-250, 0], "h6");
    assert_eq!(limits("seal counterbore"), [0, 460], "H8");
    assert_eq!(limits("bolt hole 3"), [0, 2700], "H13");
}

/// By other means than the choice was made: each point lies on the exact boundary, clear of other faces, and a ball that is
/// moved back along the stylus stays clear of the part.
#[test]
fn points_lie_on_the_faces_and_a_stylus_reaches_them() {
    let (_, housing, sheet) = demo();
    let probe = Probe::new(&housing.solid, 0.15).expect("a probe");
    let plan = inspection::probe_plan(&sheet, &probe, STYLUS);
    assert!(plan.points.len() > 300, "{} points", plan.points.len());
    let missed: Vec<&str> = plan.out_of_reach.iter().map(|e| sheet.elements[*e].name.as_str()).collect();
    // The bushing's stop is a ledge 1.6 mm wide at the end of its seat: no ball of 3 mm rests on it clear of the wall.
    assert_eq!(missed, ["tail/bushing stop"], "not reached");
    let (mut planes, mut cylinders, mut cones) = (0, 0, 0);
    for p in &plan.points {
        let faces = &sheet.elements[p.element].faces;
        let near = probe.nearest(p.point, |_| true, 1.0).expect("near");
        assert!(near.distance < 1e-6 && faces.contains(&near.face), "{p:?}");
        assert!((p.normal.norm() - 1.0).abs() < 1e-12, "{p:?}");
        for k in 0..40 {
            let centre = p.point + p.normal * (STYLUS.ball + 0.02) + p.stylus * (2.5 * f64::from(k));
            // The stem is thinner than the ball, and the ball itself need only be free where it touches.
            let radius = if k == 0 { STYLUS.ball } else { STYLUS.stem };
            assert!(probe.nearest(centre, |_| true, 0.9 * radius).is_none(), "{p:?} at {k}");
        }
        match sheet.elements[p.element].shape {
            ElementShape::Plane { .. } | ElementShape::Drafted { .. } => planes += 1,
            ElementShape::Cylinder { .. } => cylinders += 1,
            ElementShape::Cone { .. } => cones += 1,
        }
    }
    assert!(planes > 100 && cylinders > 100, "{planes} and {cylinders}");
    assert_eq!(cones, 3 * 16, "three lead-ins, two circles of eight points each");
}

/// Numbers run without a gap, and every characteristic of the drawing's boxes is there once.
#[test]
fn numbers_run_without_a_gap() {
    let (_, _, sheet) = demo();
    let numbers: Vec<usize> = sheet.characteristics.iter().map(|c| c.number).collect();
    assert_eq!(numbers, (1..=sheet.characteristics.len()).collect::<Vec<_>>(), "numbers");
    let boxes =
        sheet.characteristics.iter().filter(|c| matches!(c.kind, CharacteristicKind::Geometric(_))).count();
    // Flatness of three faces, both pads square to the gearbox face, rear face, seal shoulder.
    assert_eq!(
        boxes,
        10 + 7,
        "the face, six bolt holes, seat, counterbore and sender; form and direction of faces"
    );
}

/// The plan of the demonstration, its points limited to some elements.
pub(crate) fn plan(housing: &Housing, sheet: &MeasuringSheet, of: &[usize]) -> ProbePlan {
    let probe = Probe::new(&housing.solid, 0.15).expect("a probe");
    let mut plan = inspection::probe_plan(sheet, &probe, STYLUS);
    plan.points.retain(|p| of.is_empty() || of.contains(&p.element));
    plan
}

pub(crate) fn element(sheet: &MeasuringSheet, feature: Feature, role: Role) -> usize {
    sheet.element_of(feature, role).expect("an element")
}

pub(crate) fn rules(of_point: f64) -> JudgingRules {
    JudgingRules { axes: AxisRule::LeastSquares, of_point }
}

/// The values of an article by what of its name and kind.
pub(crate) fn value(sheet: &MeasuringSheet, judged: &JudgedArticle, what: &str, word: &str) -> [f64; 2] {
    let c = sheet.characteristics.iter().find(|c| c.what.contains(what) && c.words().contains(word));
    let c = c.unwrap_or_else(|| panic!("{what}: {word}"));
    judged.found(c.number).and_then(|i| i.found).unwrap_or_else(|| panic!("{what} is measured")).outer
}

/// Known errors, no noise, the part anywhere on the machine: every value comes back within a micrometre. By hand: a position
/// is twice the shift, a coaxiality twice the shift of one against the other.
#[test]
fn known_errors_are_recovered() {
    let (_, housing, sheet) = demo();
    let plan = plan(&housing, &sheet, &[]);
    let of = |feature, role| element(&sheet, feature, role);
    let by = |x: f64, y: f64, z: f64, radius: f64| Error { shift: V3::new(x, y, z), radius };
    let seat = of(Feature::Tail, Role::BushingSeat);
    let errors = Errors::from([
        (seat, by(0.0, 0.03, 0.04, 0.010)),
        (of(Feature::Tail, Role::SealCounterbore), by(0.0, 0.03, 0.028, 0.005)),
        (of(Feature::Tail, Role::RearFace), by(0.21, 0.0, 0.0, 0.0)),
        (of(Feature::GearboxFace, Role::BoltHole(4)), by(0.0, -0.05, -0.05 * 3.0_f64.sqrt(), 0.06)),
        (of(Feature::GearboxFace, Role::Register), by(0.0, 0.0, 0.0, -0.01)),
        (of(Feature::MountPad, Role::Face), by(0.0, 0.0, -0.17, 0.0)),
        (of(Feature::MountPad, Role::TappedHole(2)), by(0.11, -0.07, 0.0, 0.0)),
    ]);
    for seed in [1, 2, 3] {
        let machine = Machine { lies: anywhere(seed), noise: 0.0, seed };
        let article = readings(&sheet, &plan, &errors, machine);
        // Values are corrected for what noise does to them: here there is none.
        let judged = inspection::judge(&sheet, rules(1e-5), "1", &article).expect("judged");
        let expect = |what: &str, word: &str, wanted: f64| {
            let found = value(&sheet, &judged, what, word);
            for f in found {
                assert!((f - wanted).abs() < 1e-3, "seed {seed}, {what} {word}: {f} for {wanted}");
            }
        };
        expect("bushing seat", "diameter", 49.2125 + 0.020);
        expect("bushing seat", "position", 0.1);
        expect("seal counterbore", "coaxiality", 0.024);
        expect("seal counterbore", "diameter", 61.9125 + 0.010);
        expect("rear face", "distance", 339.725 + 0.21);
        expect("F4", "position", 0.2);
        expect("F4", "diameter", 11.12);
        expect("register", "diameter", 146.05 - 0.020);
        expect("mount pad, face", "distance", 92.075 + 0.17);
        expect("M2", "along X", 219.86875 + 0.11);
        expect("M2", "along Y", -23.01875 - 0.07);
        expect("gearbox face", "perpendicularity", 0.0);
        expect("E1", "position", 0.0);
    }
}

/// ASME Y14.5M-1994's table of position at maximum material (from memory of its figure 5-9): a hole that is larger than its
/// least size by so much may lie off by so much more. The hole of 11.0 at least with a zone of 0.4, drilled 11.12, may lie
/// 0.52 off: at 0.5 it conforms with the bonus and would not without.
#[test]
fn a_larger_hole_may_lie_further_off() {
    let (_, housing, sheet) = demo();
    let plan = plan(&housing, &sheet, &[]);
    let hole = element(&sheet, Feature::GearboxFace, Role::BoltHole(4));
    let say = |radius: f64, off: f64| {
        // Hole 4 lies at clock 210: radially outwards is (−1/2, −√3/2).
        let shift = V3::new(0.0, -0.5, -0.5 * 3.0_f64.sqrt()) * (0.5 * off);
        let errors = Errors::from([(hole, Error { shift, radius })]);
        let machine = Machine { lies: Frame::world(), noise: 0.0, seed: 1 };
        let article = readings(&sheet, &plan, &errors, machine);
        let judged = inspection::judge(&sheet, rules(0.002), "1", &article).expect("judged");
        let c = sheet.characteristics.iter().find(|c| c.what.starts_with("F4") && c.words() == "position");
        judged.found(c.expect("a position").number).expect("an item").verdict
    };
    assert_eq!(say(0.06, 0.50), ItemVerdict::Conforms, "0.12 of bonus");
    assert_eq!(say(0.06, 0.54), ItemVerdict::DoesNotConform, "beyond the bonus");
    assert_eq!(say(0.01, 0.50), ItemVerdict::DoesNotConform, "0.02 of bonus");
}

/// A raw casting of the nominal size, wherever it lies, keeps the planned stock on every face, and is set up in one way: two articles that
/// differ only by where they lie come to lie alike. A casting that is 9 mm short has no set-up, and the faces that hinder are
/// named. By hand: the gearbox face and the seal shoulder keep about 3.7 and 4.7 mm of stock, together less than 9.
#[test]
fn a_raw_casting_is_set_up_or_shown_to_be_short() {
    let (design, housing, finished) = demo();
    let product = Product::new(&design, &housing);
    let RawCasting { casting, machining, plan, .. } = raw_casting(&product, (&design, &housing), &finished);
    let targets = product.datum_targets().expect("a mesh").as_ref().expect("targets");
    let best = |lies: Frame, errors: &Errors| {
        let machine = Machine { lies, noise: 0.0, seed: 1 };
        let article = readings(&casting, &plan, errors, machine);
        inspection::best_shift(&casting, &machining, targets, &article).expect("a set-up")
    };
    let upright = best(Frame::world(), &Errors::new());
    assert!(upright.serves && upright.share > 0.9 && upright.gap < 1e-6, "{upright:#?}");
    assert!(upright.left_over.iter().filter(|l| !l.wall).count() > 8, "{upright:#?}");
    assert!(upright.left_over.iter().filter(|l| l.wall).count() > 2, "{upright:#?}");
    assert_eq!(upright.packing.len(), 6, "{upright:#?}");
    for seed in [1, 2] {
        let lies = anywhere(seed);
        let found = best(lies, &Errors::new());
        assert!((found.share - upright.share).abs() < 1e-7, "{} and {}", found.share, upright.share);
        for p in [P3::new(0.0, 0.0, 0.0), P3::new(300.0, 50.0, -80.0)] {
            let (there, here) = (found.by.moved(lies.point(p.x, p.y, p.z)), upright.by.moved(p));
            assert!((there - here).norm() < 1e-4, "seed {seed}, {p}: {there} and {here}");
        }
        assert!(found.packing.is_empty(), "it does not stand on its targets");
    }
    let face = element(&casting, Feature::GearboxFace, Role::Face);
    let short = Errors::from([(face, Error { shift: V3::new(9.0, 0.0, 0.0), radius: 0.0 })]);
    let found = best(anywhere(3), &short);
    assert!(!found.serves && found.share < 0.0, "{found:#?}");
    let hinders: Vec<&str> =
        found.left_over.iter().filter(|l| l.against > 1e-6).map(|l| l.name.as_str()).collect();
    assert!(hinders.contains(&"gearbox face") && hinders.len() > 1, "{hinders:?}");
    let total: f64 = found.left_over.iter().map(|l| l.against).sum();
    assert!((total - 1.0).abs() < 1e-9, "the weights of the proof: {total}");
}

/// Castings that contracted otherwise than assumed, by hand: a place at x is measured at x (1 + assumed) / (1 + true). Both contractions
/// come back, wherever the castings lie, within a millionth without noise and within the stated uncertainty with it; the copy of the
/// file has them, and its comments.
#[test]
fn a_contraction_is_found_and_corrected() {
    let (design, housing, finished) = demo();
    let product = Product::new(&design, &housing);
    let RawCasting { casting, machining, probe, plan } =
        raw_casting(&product, (&design, &housing), &finished);
    let (assumed, truth) = ([0.013; 3], [0.0105, 0.0085, 0.0085]);
    let found = |seed: u64, noise: f64| {
        let machine = Machine { lies: anywhere(seed), noise, seed };
        let mut shrunk = plan.clone();
        let larger = [0, 1, 2].map(|k| (1.0 + assumed[k]) / (1.0 + truth[k]));
        for p in &mut shrunk.points {
            for (k, by) in larger.iter().enumerate() {
                p.point[k] *= by;
            }
        }
        let article = readings(&casting, &shrunk, &Errors::new(), machine);
        inspection::contraction(&casting, &machining, &probe, assumed, &article).expect("found")
    };
    for (axis, of) in found(1, 0.0).iter().enumerate() {
        let of = of.expect("told");
        assert!((of.value - truth[axis]).abs() < 1e-6, "axis {axis}: {of:?}");
    }
    let all = [2, 3, 4].map(|seed| found(seed, 0.2));
    let mean = [0, 1, 2].map(|k| {
        let of: Vec<_> = all.iter().filter_map(|by| by[k]).collect();
        inspection::mean_contraction(&of).expect("a mean")
    });
    for (k, of) in mean.iter().enumerate() {
        assert!((of.value - truth[k]).abs() < of.uncertainty, "axis {k}: {of:?} for {}", truth[k]);
        assert!(of.uncertainty < 0.002, "axis {k}: {of:?}");
    }
    let text = include_str!("../../params/demo_mm.yaml");
    let source = Source::from_bytes("a file", text.as_bytes().to_vec()).expect("text");
    let raw = params::read(&source).expect("a tree");
    let certain = |value| Some(inspection::FoundContraction { value, uncertainty: 0.0002 });
    let (copy, _) = inspection::corrected(&source, &raw.file, [0.013; 2], [certain(0.0105), certain(0.0131)]);
    assert!(copy.contains("axial: 1.05 %"), "{copy}");
    assert_eq!(copy.replace("axial: 1.05 %", "axial: 1.3 %"), text, "nothing else has changed");
}

/// A file without tolerances leaves the gearbox face without a characteristic; it is a datum all the same, so it is probed, and what was
/// probed can be judged.
#[test]
fn a_part_without_tolerances_is_judged_all_the_same() {
    let text = include_str!("../../params/minimal.yaml");
    let source = Source::from_bytes("a file", text.as_bytes().to_vec()).expect("text");
    let design = Design::validate(params::read(&source).expect("a tree")).value.expect("a design");
    assert!(design.mating().tolerances.is_none(), "the file has no tolerances");
    let housing = housing::build(&design).expect("a housing");
    let sheet = inspection::finished(&design, &housing);
    let plan = plan(&housing, &sheet, &[]);
    let machine = Machine { lies: anywhere(5), noise: 0.001, seed: 5 };
    let article = readings(&sheet, &plan, &Errors::new(), machine);
    let judged = inspection::judge(&sheet, rules(0.002), "1", &article).expect("judged");
    let found = judged.items.iter().filter(|i| i.found.is_some()).count();
    assert!(found > 5, "{found} values");
    // Nobody takes sizes that conform for a part that lines up.
    let told = tailpattern::report::inspection::text(&design, &sheet, &judged, false);
    assert!(told.contains("not judged: where the bolt holes lie"), "{told}");
    let (design, _, sheet) = demo();
    let judged = JudgedArticle { items: vec![], ..judged };
    let told = tailpattern::report::inspection::text(&design, &sheet, &judged, false);
    assert!(!told.contains("not judged"), "{told}");
}

/// A file without tolerances of place has none that a seat out of place would exceed: the line-up's own limit of 0.127 mm (five
/// thousandths of an inch, common practice) is what it must keep all the same. By hand: a seat that is 0.2 mm out is out by more than
/// that, one that is 0.05 mm out is not, and one 0.127 mm out is undecided.
#[test]
fn a_seat_out_of_line_does_not_pass_without_tolerances() {
    let text = include_str!("../../params/minimal.yaml");
    let source = Source::from_bytes("a file", text.as_bytes().to_vec()).expect("text");
    let design = Design::validate(params::read(&source).expect("a tree")).value.expect("a design");
    let housing = housing::build(&design).expect("a housing");
    let sheet = inspection::finished(&design, &housing);
    let plan = plan(&housing, &sheet, &[]);
    let by_role = |role: Role, off: f64| {
        let at = element(&sheet, Feature::Tail, role);
        let shift = V3::new(0.0, 0.6, -0.8) * off;
        let machine = Machine { lies: anywhere(5), noise: 0.0, seed: 5 };
        let errors = Errors::from([(at, Error { shift, radius: 0.0 })]);
        let mut judged =
            inspection::judge(&sheet, rules(0.002), "1", &readings(&sheet, &plan, &errors, machine))
                .expect("judged");
        // Holes without a fit in the file and threads are not what is asked here.
        judged.items.retain(|i| i.verdict == ItemVerdict::Conforms);
        let effects = inspection::effects(&design, &sheet, &judged);
        let value = effects.iter().map(|e| e.value).fold(0.0, f64::max);
        (OverallVerdict::of(&sheet, &judged, &effects), value)
    };
    for role in [Role::BushingSeat, Role::SealCounterbore] {
        for (off, served, passes) in
            [(0.2, Served::No, false), (0.127, Served::Undecided, false), (0.05, Served::Alone, true)]
        {
            let (overall, value) = by_role(role, off);
            assert_eq!(overall.line_up, LineUp::Judged(served), "{role:?} {off}: {overall:?}");
            assert_eq!(overall.passes(), passes, "{role:?} {off}: {}", overall.words());
            assert!((value - off).abs() < 1e-4, "{role:?}: {value} for {off}");
        }
    }
    let (overall, _) = by_role(Role::BushingSeat, 0.2);
    assert_eq!(overall.words(), "conforms to the file, but does not line up");
}

/// Without points of seat and datums nobody knows whether the part lines up: sizes alone never pass.
#[test]
fn sizes_alone_do_not_tell_the_line_up() {
    let (design, _, sheet) = demo();
    let judged = inspection::judge(&sheet, rules(0.002), "1", &ArticleReadings::default()).expect("judged");
    let conforming = JudgedItem { found: None, number: 1, uncertainty: 0.0, verdict: ItemVerdict::Conforms };
    let judged = JudgedArticle { items: vec![conforming], ..judged };
    let overall = OverallVerdict::of(&sheet, &judged, &inspection::effects(&design, &sheet, &judged));
    assert_eq!(overall.line_up, LineUp::NotMeasured, "{overall:?}");
    assert!(!overall.passes() && overall.words().contains("was not measured"), "{}", overall.words());
}
