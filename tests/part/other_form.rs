//! A raw casting measured as if it were finished, and a finished part measured as a raw casting: told, and nothing is judged.

use tailpattern::forms::Product;
use tailpattern::inspection::{self, ArticleReadings, MeasuringSheet, SizeReading};

use crate::inspection::{RawCasting, demo, plan, raw_casting, rules};
use crate::synthetic_article::{Errors, Machine, anywhere, readings};

/// The places of an article under the names of another sheet, as far as that has them.
fn renamed(article: &ArticleReadings, from: &MeasuringSheet, to: &MeasuringSheet) -> ArticleReadings {
    let mut out = ArticleReadings::default();
    for (element, places) in &article.places {
        let name = &from.elements[*element].name;
        if let Some(k) = to.elements.iter().position(|e| e.name == *name) {
            out.places.insert(k, places.clone());
        }
    }
    out
}

fn sizes(of: impl Iterator<Item = (usize, f64)>) -> ArticleReadings {
    let reading = |value: f64| SizeReading { value, uncertainty: None, line: 2, confirmed: false };
    ArticleReadings { sizes: of.map(|(n, v)| (n, reading(v))).collect(), ..ArticleReadings::default() }
}

/// The casting's own places under the finished sheet and the other way round, wherever they lie and with a casting's roughness; each by
/// its own sheet is taken.
#[test]
fn each_form_is_told_from_the_other() {
    let (design, housing, finished) = demo();
    let product = Product::new(&design, &housing);
    let RawCasting { casting, machining, plan: raw_plan, .. } =
        raw_casting(&product, (&design, &housing), &finished);
    let plan = plan(&housing, &finished, &[]);
    for seed in 1..=4 {
        let machine = |noise: f64| Machine { lies: anywhere(seed), noise, seed };
        let raw = readings(&casting, &raw_plan, &Errors::new(), machine(0.15));
        let part = readings(&finished, &plan, &Errors::new(), machine(0.001));
        inspection::judge(&finished, rules(0.003), "1", &part).expect("the finished part is judged");
        inspection::best_shift(&casting, &machining, &[], &raw).expect("the casting is set up");
        let refused = |faults: Vec<inspection::ReadingFault>, word: &str| {
            assert!(faults.len() == 1 && faults[0].text.contains(word), "seed {seed}: {faults:?}");
        };
        let as_finished = renamed(&raw, &casting, &finished);
        let faults = inspection::judge(&finished, rules(0.003), "1", &as_finished).expect_err("refused");
        refused(faults, "was the raw casting measured?");
        let as_raw = renamed(&part, &finished, &casting);
        let faults = inspection::best_shift(&casting, &machining, &[], &as_raw).expect_err("refused");
        refused(faults, "was the machined part measured?");
    }
}

/// The same of sizes: the finished sizes on the casting's sheet, and bores of the casting on the finished sheet.
#[test]
fn sizes_of_the_other_form_are_told() {
    let (design, housing, finished) = demo();
    let product = Product::new(&design, &housing);
    let RawCasting { casting, .. } = raw_casting(&product, (&design, &housing), &finished);
    let says = |sheet: &MeasuringSheet, article: &ArticleReadings, word: &str| {
        let faults = inspection::judge(sheet, rules(0.003), "1", article).expect_err("refused");
        assert!(faults.len() == 1 && faults[0].text.contains(word), "{faults:?}");
    };
    let own = sizes(casting.characteristics.iter().filter_map(|c| Some((c.number, c.nominal?))));
    inspection::judge(&casting, rules(0.003), "1", &own).expect("cast sizes are judged");
    let machined = sizes(casting.finished_sizes.iter().map(|(n, v)| (*n, *v)));
    says(&casting, &machined, "was the machined part measured?");
    let bores = ["bushing seat", "seal counterbore", "stop bore"];
    let number = |what: &str| {
        let c = finished.characteristics.iter().find(|c| c.what == what && c.words() == "diameter");
        c.expect("a diameter").number
    };
    let raw = sizes(bores.iter().filter_map(|b| {
        let cast = casting.characteristics.iter().find(|c| c.what == format!("{b}, bore"))?;
        Some((number(b), cast.nominal?))
    }));
    assert_eq!(raw.sizes.len(), 3, "three bores");
    says(&finished, &raw, "was the raw casting measured?");
}
