//! Draws the sheets of all forms of housings drawn at random, and tells of each its sheet, its scale and how full it is, or why there is none.
//!
//! `cargo run --release --example drawn_sheets -- [FIRST] [LAST] [FORMS]`: every second seed from FIRST to LAST (1 to 61), so that an odd
//! first seed gives odd ones only; `FORMS` is a list as `draw` takes it (finished,casting,pattern,core-box).
//! What is refused by the design, or cannot be cast, is told and is no failure of a drawing.

#![allow(
    clippy::expect_used,
    clippy::print_stdout,
    reason = "an example may stop, and its table is what it is for"
)]

#[path = "../tests/common/drawn_housing.rs"]
#[allow(unreachable_pub, dead_code, reason = "shared with the tests")]
mod drawn_housing;

use std::time::Instant;

use solidwright::geometry::P2;
use tailpattern::design::{Design, Form};
use tailpattern::detail_drawing::{self, DrawError, Projection, Tooling};
use tailpattern::drafting::{Lettering, Page, Rect, chords};
use tailpattern::forms::Product;
use tailpattern::housing;
use tailpattern::params::{self, Source};

/// Side of the squares by which a sheet counts as filled, mm.
const SQUARE: f64 = 15.0;

/// Sheets made, with flaws, and not made.
#[derive(Default)]
struct Counts {
    made: usize,
    flawed: usize,
    failed: usize,
    share: f64,
}

fn main() {
    let mut args = std::env::args().skip(1);
    let mut seed = |otherwise: u64| args.next().map_or(otherwise, |text| text.parse().expect("a seed"));
    let (first, last) = (seed(1), seed(61));
    let forms = args.next().unwrap_or_else(|| "finished,casting,pattern,core-box".to_owned());
    println!("{:>4}  {:9}  {:8}  {:>5}  {:>6}  {:>5}", "seed", "form", "sheet", "scale", "filled", "s");
    let mut counts = Counts::default();
    for seed in (first..=last).step_by(2) {
        of_seed(seed, &forms, &mut counts);
    }
    let mean = 100.0 * counts.share / counts.made.max(1) as f64;
    println!(
        "{} sheets made, {} of them with flaws, {mean:.0} % filled on average; {} not made",
        counts.made, counts.flawed, counts.failed
    );
}

fn of_seed(seed: u64, forms: &str, counts: &mut Counts) {
    let source = Source::from_bytes("a file", drawn_housing::drawn(seed).into_bytes()).expect("a source");
    let design = params::read(&source).ok().and_then(|raw| Design::validate(raw).value);
    let Some(design) = design else { return println!("{seed:4}  refused by the design") };
    let housing = match housing::build(&design) {
        Ok(housing) => housing,
        Err(error) => return println!("{seed:4}  no housing: {error}"),
    };
    let product = Product::new(&design, &housing);
    let usual = Projection::usual(design.units());
    for form in forms.split(',') {
        let start = Instant::now();
        let page = match form {
            "finished" => Ok(detail_drawing::finished(&design, &housing, usual, "a test")),
            "casting" => cast(&product, Form::Casting, usual),
            "pattern" => cast(&product, Form::Pattern, usual),
            _ => cast(&product, Form::CoreBox, usual),
        };
        let seconds = start.elapsed().as_secs_f64();
        match page {
            Ok(Ok(page)) => told(seed, form, &page, seconds, counts),
            Err(reason) => println!("{seed:4}  {form:9}  not cast so: {reason}"),
            Ok(Err(error)) => {
                counts.failed += 1;
                println!("{seed:4}  {form:9}  FAILED: {error}");
            }
        }
    }
}

/// The sheet of a form; the reason where the form itself is not made.
fn cast(product: &Product, form: Form, projection: Projection) -> Result<Result<Page, DrawError>, String> {
    let casting = product.casting().map_err(|e| e.to_string())?;
    Ok(match form {
        Form::Casting => detail_drawing::casting(product, casting, projection, "a test"),
        Form::Pattern => {
            let made = product.pattern().map_err(|e| e.to_string())?;
            detail_drawing::tooling(product.design(), casting, (Tooling::Pattern, made), projection, "a test")
        }
        _ => {
            let made = product.core_box().map_err(|e| e.to_string())?;
            detail_drawing::tooling(product.design(), casting, (Tooling::CoreBox, made), projection, "a test")
        }
    })
}

fn told(seed: u64, form: &str, page: &Page, seconds: f64, counts: &mut Counts) {
    let flaws = page.flaws();
    let share = filled(page);
    counts.made += 1;
    counts.flawed += usize::from(!flaws.is_empty());
    counts.share += share;
    println!(
        "{seed:4}  {form:9}  {:8}  {:>5}  {:4.0} %  {seconds:5.1}",
        format!("{:?}", page.format),
        page.scale.text(),
        100.0 * share
    );
    for flaw in flaws {
        println!("        {flaw}");
    }
}

/// The share of squares of the drawing space with a line or writing in them.
fn filled(page: &Page) -> f64 {
    let (low, high) = page.format.space();
    let space = Rect::new(low, high).grown(-0.5 * SQUARE);
    let count = |length: f64| (length / SQUARE).ceil() as usize;
    let (across, up) = (count(space.size().x), count(space.size().y));
    let mut taken = vec![false; across * up];
    let mut put = |p: P2| {
        if space.contains(p) {
            let [i, j] = [(p.x - space.low.x) / SQUARE, (p.y - space.low.y) / SQUARE].map(|x| x as usize);
            taken[j * across + i] = true;
        }
    };
    let texts =
        page.content.writing().map(Lettering::bounds).flat_map(|r| [(r.low, P2::new(r.high.x, r.low.y))]);
    let lines = page.content.shapes().flat_map(|(_, shape)| chords(shape));
    for (a, b) in lines.chain(texts) {
        let steps = ((b - a).norm() / (0.5 * SQUARE)).ceil().max(1.0) as usize;
        (0..=steps).for_each(|k| put(a + (b - a) * (k as f64 / steps as f64)));
    }
    taken.iter().filter(|t| **t).count() as f64 / taken.len().max(1) as f64
}
