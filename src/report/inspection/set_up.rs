//! The best set-up of a raw casting, for the machinist and as JSON.

use serde_json::{Value, json};

use super::core::{CoreReport, core_figures};
use super::plan::bare;
use crate::inspection::{BestShift, LeftOver};
use crate::report::columns::{self, Align};
use crate::units::Units;
use crate::words::{counted, fixed};

/// What to set at the machine, and what each face and wall then has.
pub fn set_up_text(units: Units, article: &str, best: &BestShift) -> String {
    let mut out = format!("Article {article}: {}\n", verdict(best));
    if best.is_machined() {
        out += "  most faces have hardly any stock: was the machined part measured? Then use `--form finished`\n";
    }
    let zero = best.by.inverse();
    let [x, y, z] = [zero.shift.x, zero.shift.y, zero.shift.z].map(|s| bare(units, s));
    let [a, b, c] = zero.turns().map(|t| fixed(t.to_degrees(), 4));
    out += &format!(
        "  set the work zero (middle of the finished gearbox face) to X {x}, Y {y}, Z {z} of the axes in which it was measured,\n  and turn its axes about X by {a}°, then about Y by {b}°, then about Z by {c}° of those axes; lengths in {}\n",
        units.words()
    );
    if !best.packing.is_empty() {
        let all = best.packing.iter().map(|p| format!("{} {}", p.name, bare(units, p.by)));
        out += &format!(
            "  or pack it on its targets by {}; below zero the support must be lower\n",
            all.collect::<Vec<_>>().join(", ")
        );
    }
    let heads = ["what is left", "planned", "at least", "least", "greatest", ""].map(str::to_owned).to_vec();
    let shown: Vec<&LeftOver> = best.left_over.iter().filter(|l| !l.wall || is_told(l)).collect();
    let rows = shown.iter().map(|l| row(units, l));
    let sides = [Align::Left, Align::Right, Align::Right, Align::Right, Align::Right, Align::Left];
    out += &columns::text(std::iter::once(heads).chain(rows), 2, &sides);
    let walls = best.left_over.iter().filter(|l| l.wall).count();
    let thinnest = best.left_over.iter().filter(|l| l.wall).map(|l| l.found[0]).reduce(f64::min);
    if let Some(thinnest) = thinnest {
        out += &format!(
            "  {} looked at, the thinnest {}; `--json` lists them all\n",
            counted(walls, "wall"),
            bare(units, thinnest)
        );
    }
    out
}

/// Whether a wall is told: it stands in the way, or keeps less than half of what it has above its least.
fn is_told(l: &LeftOver) -> bool {
    l.against > NOTHING || l.found[0] - l.least < 0.5 * (l.planned - l.least)
}

fn verdict(best: &BestShift) -> String {
    if best.serves {
        return format!(
            "every face cleans up; the least stock is {} % of what was planned",
            fixed(100.0 * best.share, 1)
        );
    }
    let names: Vec<&str> =
        best.left_over.iter().filter(|l| l.against > NOTHING).map(|l| l.name.as_str()).collect();
    format!(
        "no set-up serves: these stand against each other, and what one gains the others lose: {}",
        names.join("; ")
    )
}

/// A weight below this is none.
const NOTHING: f64 = 1e-6;

fn row(units: Units, l: &LeftOver) -> Vec<String> {
    let told = match (l.found[0] < l.least, l.against > NOTHING) {
        (true, _) if l.wall => "too thin".to_owned(),
        (true, _) => "does not clean up".to_owned(),
        (false, true) => format!("stands in the way of more ({} %)", fixed(100.0 * l.against, 1)),
        (false, false) => String::new(),
    };
    let [least, greatest] = l.found.map(|s| bare(units, s));
    vec![l.name.clone(), bare(units, l.planned), bare(units, l.least), least, greatest, told]
}

/// The same as JSON: lengths in mm, angles in degrees.
pub fn set_up_figures(article: &str, best: &BestShift, core: Option<&CoreReport>) -> Value {
    let left = |l: &LeftOver| {
        json!({
            "what": l.name, "wall": l.wall, "planned": l.planned, "at_least": l.least,
            "least": l.found[0], "greatest": l.found[1], "against": l.against,
        })
    };
    let zero = best.by.inverse();
    json!({
        "article": article,
        "serves": best.serves,
        "share": best.share,
        "work_zero": [zero.shift.x, zero.shift.y, zero.shift.z],
        "turns": zero.turns().map(f64::to_degrees),
        "packing": best.packing.iter().map(|p| json!({"target": p.name, "by": p.by})).collect::<Vec<_>>(),
        "core": core.map(core_figures),
        "left": best.left_over.iter().map(left).collect::<Vec<_>>(),
    })
}
