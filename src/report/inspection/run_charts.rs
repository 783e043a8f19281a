//! Run charts of several articles, as a page that opens without a network.

use super::articles::{ArticlesReport, articles_text, named, value_of};
use crate::design::Design;
use crate::inspection::{Capability, MeasuringSheet};
use crate::report::document::html::escaped;

const WIDTH: f64 = 640.0;
const HEIGHT: f64 = 150.0;
/// Room left of the chart for names of lines.
const LEFT: f64 = 110.0;

const STYLE: &str = "body{font-family:sans-serif;max-width:60rem;margin:1rem auto;padding:0 1rem;color:#222;background:#fff}\
h1{font-size:1.5rem}h2{font-size:1.05rem;margin:1.6rem 0 .3rem}svg{max-width:100%;height:auto}\
pre{overflow-x:auto;font-size:.8rem}p{margin:.3rem 0}";

/// The page: a chart for each characteristic, and the table of the terminal.
pub fn run_charts(design: &Design, sheet: &MeasuringSheet, told: &ArticlesReport) -> String {
    let units = design.units();
    let title = escaped(&format!("{}: articles", design.name()));
    let charts: String = told
        .capabilities
        .iter()
        .map(|c| chart(&|v| value_of(units, sheet, c.number, v), &named(sheet, c.number), told, c))
        .collect();
    let lines = if charts.is_empty() {
        String::new()
    } else {
        "Red lines: limits. Dashed: the mean less and plus three standard deviations by the moving range; a point beyond them has a cause of its own. ".to_owned()
    };
    format!(
        "<!DOCTYPE html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"><title>{title}</title><meta name=\"viewport\" content=\"width=device-width\"><style>{STYLE}</style></head>\n\
         <body><h1>{title}</h1>\n<p>{lines}Lengths in {}.</p>\n{charts}<h2>Figures</h2>\n<pre>{}</pre>\n</body></html>\n",
        units.words(),
        escaped(&articles_text(design, sheet, told))
    )
}

/// From the least to the greatest of what a chart shows, with some room.
fn range(c: &Capability) -> [f64; 2] {
    let lines = c.limits.least.into_iter().chain(c.limits.greatest).chain(c.control);
    let all = c.values.iter().map(|(_, v)| *v).chain(lines);
    let [low, high] = all.fold([f64::INFINITY, f64::NEG_INFINITY], |[l, h], v| [l.min(v), h.max(v)]);
    let room = (0.06 * (high - low)).max(1e-6);
    [low - room, high + room]
}

fn chart(shown: &dyn Fn(f64) -> String, what: &str, told: &ArticlesReport, c: &Capability) -> String {
    let [low, high] = range(c);
    let y = |v: f64| HEIGHT * (high - v) / (high - low);
    let count = told.names.len().max(2) as f64 - 1.0;
    let x = |k: usize| LEFT + 10.0 + (WIDTH - LEFT - 20.0) * k as f64 / count;
    let line = |name: &str, v: f64, colour: &str, dash: &str| {
        let at = y(v);
        format!(
            "<line x1=\"{LEFT}\" x2=\"{WIDTH}\" y1=\"{at:.1}\" y2=\"{at:.1}\" stroke=\"{colour}\"{dash}/>\
             <text x=\"{}\" y=\"{:.1}\" text-anchor=\"end\" font-size=\"11\" fill=\"{colour}\">{name} {}</text>",
            LEFT - 4.0,
            at.clamp(10.0, HEIGHT - 2.0) + 3.0,
            shown(v)
        )
    };
    let dashed = " stroke-dasharray=\"5 4\"";
    let mut out = line("mean", c.mean, "#555", "");
    for (name, v) in [("least", c.limits.least), ("greatest", c.limits.greatest)] {
        out += &v.map_or(String::new(), |v| line(name, v, "#b83216", ""));
    }
    for v in c.control {
        let at = y(v);
        out += &format!(
            "<line x1=\"{LEFT}\" x2=\"{WIDTH}\" y1=\"{at:.1}\" y2=\"{at:.1}\" stroke=\"#2a6f97\"{dashed}/>"
        );
    }
    let points: Vec<String> = c.values.iter().map(|(k, v)| format!("{:.1},{:.1}", x(*k), y(*v))).collect();
    out += &format!("<polyline points=\"{}\" fill=\"none\" stroke=\"#2a6f97\"/>", points.join(" "));
    let beyond = c.beyond_control();
    for (k, v) in &c.values {
        let colour = if beyond.contains(k) { "#b83216" } else { "#2a6f97" };
        let name = told.names.get(*k).map_or("", String::as_str);
        out += &format!(
            "<circle cx=\"{:.1}\" cy=\"{:.1}\" r=\"3.5\" fill=\"{colour}\"><title>article {}: {}</title></circle>",
            x(*k),
            y(*v),
            escaped(name),
            shown(*v)
        );
    }
    let title = escaped(&format!("{}, {what}", c.number));
    format!(
        "<h2>{title}</h2>\n<svg viewBox=\"0 0 {WIDTH} {HEIGHT}\" width=\"{WIDTH}\" role=\"img\" aria-label=\"run chart of {title}\">{out}</svg>\n"
    )
}
