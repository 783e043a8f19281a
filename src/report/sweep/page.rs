//! The sweep on one self-contained page: summary, plots, the table of effects, cautions, and a card with a picture for
//! each row that can be clicked. Nothing is loaded from the network, and without its few lines of script the page works as well.

use super::bands::bands;
use super::cards;
use super::curves::curves;
use super::plot::{Plot, with_spots};
use super::words::{
    chief_effects, counts, is_linear, none_works, number, set, set_and_warns, slopes, stretch,
};
use crate::checks::form_of;
use crate::design::Form;
use crate::report::document::html::escaped;
use crate::sweep::answers::Answers;
use crate::sweep::cards::RowCard;
use crate::sweep::effects::Effect;
use crate::sweep::goal::{Goal, Objective};
use crate::words::counted;

/// Effects in the table.
const EFFECTS: usize = 40;

/// Rows of the front in the table.
const FRONT: usize = 40;

const STYLE: &str = ":root{color-scheme:light dark;--ink:#1d2329;--dim:#545d67;--paper:#fff;--card:#fff;--line:#d6d3cc;--accent:#14577d;--fail:#a3200d}\
@media (prefers-color-scheme:dark){:root{--ink:#e8e6e1;--dim:#aaa9a4;--paper:#17191b;--card:#1f2225;--line:#3b3f43;--accent:#8cc4e6;--fail:#ff9d8b}\
svg.plot{filter:invert(.9) hue-rotate(180deg)}}a{color:var(--accent)}\
body{font:16px/1.5 sans-serif;color:var(--ink);background:var(--paper);max-width:62rem;margin:2rem auto;padding:0 1rem}\
h1,h2,p{overflow-wrap:anywhere}h1{font-size:1.6rem}h2{font-size:1.2rem;margin-top:2.2rem}figure{margin:1.5rem 0;overflow-x:auto}svg{max-width:100%;height:auto}.bands svg{min-width:36rem}table{display:block;overflow-x:auto}\
figcaption{color:var(--dim)}table{border-collapse:collapse;font-size:.9rem}\
th,td{border-bottom:1px solid var(--line);padding:.25rem .7rem;text-align:left;vertical-align:top}\
td.n{text-align:right;font-variant-numeric:tabular-nums}.caution{border-left:4px solid var(--fail);padding-left:1rem}";

const CAUTIONS: [&str; 4] = [
    "Driveline parts can hurt people. This program draws shapes; it certifies nothing.",
    "A row that passes every check is a shape within limits, not an approval. Have a licensed engineer look at the part \
     before it carries load, and follow the local rules for changed vehicles.",
    "Between two rows nothing was checked. What the tables call feasible ends somewhere between the last feasible row and \
     the next; `tailpattern solve` finds where.",
    "Changes for one unit are those of a plane laid through all rows; a margin that bends is shown as a curve instead, the least over all other parameters.",
];

/// The page; `shown` are the rows that can be looked at one by one.
pub fn page(answers: &Answers, plots: &[Plot], shown: &[RowCard]) -> String {
    let file = answers.identity["file"].as_str().unwrap_or_default();
    let title = format!("Sweep of {}", escaped(file));
    let mut out = format!(
        "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<meta name=\"viewport\" content=\"width=device-width\">\n<title>{title}</title>\n\
         <style>{STYLE}{}</style>\n</head>\n<body>\n<main>\n<h1>{title}</h1>\n<p>{}</p>\n",
        cards::STYLE,
        escaped(&format!(
            "{}: {}{}",
            counted(answers.rows, "row"),
            counts(answers),
            if answers.is_whole() { "" } else { "; the sweep is not complete" }
        ))
    );
    out.push_str(&varied(answers));
    out.push_str(&ranges(answers));
    out.push_str(&bands(answers, shown));
    out.push_str(&best(answers, shown));
    for plot in plots {
        let svg = with_spots(&plot.svg, &plot.spots, shown).replacen("<svg ", "<svg class=\"plot\" ", 1);
        let more = if plot.spots.is_empty() {
            ""
        } else {
            " Click a dot or a cell for its row, where it has a picture."
        };
        out.push_str(&format!(
            "<figure>\n{svg}\n<figcaption>{}{more}</figcaption>\n</figure>\n",
            escaped(&plot.caption)
        ));
    }
    out.push_str(&effects(answers, shown));
    out.push_str("<h2>Cautions</h2>\n<div class=\"caution\">\n");
    out.extend(CAUTIONS.map(|c| format!("<p>{}</p>\n", escaped(c))));
    out.push_str("</div>\n");
    out.push_str(&format!(
        "<p>Parameter file {}, SHA-256 {}; {}.</p>\n",
        escaped(file),
        answers.identity["sha256"].as_str().unwrap_or_default(),
        answers.identity["program"].as_str().unwrap_or_default()
    ));
    out.push_str(&cards::cards(answers, shown));
    out.push_str(&format!("</main>\n<script>{}</script>\n</body>\n</html>\n", cards::SCRIPT));
    out
}

fn varied(answers: &Answers) -> String {
    let over = answers.identity["over"].as_array().into_iter().flatten();
    let rows = over.map(|a| {
        let field = |name: &str| text(a[name].as_str().unwrap_or_default());
        vec![field("key"), field("values"), field("unit")]
    });
    let links = answers.identity["link"].as_array().into_iter().flatten();
    let links = links
        .filter_map(|l| l.as_str()?.split_once('='))
        .map(|(k, v)| vec![text(k), text(&format!("= {v}")), text("")]);
    let mut out = table("What was varied", &["parameter", "values", "unit"], rows.chain(links));
    if let (Some(method), Some(seed)) =
        (answers.identity["sample"]["method"].as_str(), answers.identity["sample"]["seed"].as_u64())
    {
        let method = if method == "latin" { "a Latin hypercube" } else { "Sobol's points" };
        out.push_str(&format!("<p>Drawn by {}, seed {seed}.</p>\n", escaped(method)));
    }
    out
}

fn ranges(answers: &Answers) -> String {
    let rows = answers.ranges.iter().flat_map(|range| {
        let key = range.axis.key.text().to_owned();
        let stretches = range.stretches();
        let none = stretches.is_empty().then(|| vec![text(&key), text(&none_works(range))]);
        let some: Vec<_> =
            stretches.iter().map(|s| vec![text(&key), text(&stretch(s, &range.axis.shown))]).collect();
        none.into_iter().chain(some)
    });
    table("Rows in which no check fails", &["parameter", "from, to, and what ends it"], rows)
}

fn best(answers: &Answers, shown: &[RowCard]) -> String {
    let row = |c: &Objective| c.has.iter().map(|x| cell(*x)).collect::<Vec<_>>();
    let rows = answers.best.iter().filter_map(|b| {
        let choice = b.row.as_ref()?;
        let mut cells = vec![text(&b.goal.words())];
        cells.extend(row(choice));
        cells.extend([row_cell(choice.index, shown), text(&set_and_warns(answers, choice))]);
        Some(cells)
    });
    let mut out = table("Best rows", &["goal", "it has", "row", "it sets"], rows);
    let [a, b] = [&answers.front.goals[0], &answers.front.goals[1]].map(Goal::words);
    let rows = answers.front.rows.iter().take(FRONT).map(|choice| {
        let mut cells = row(choice);
        cells.extend([row_cell(choice.index, shown), text(&set(answers, choice))]);
        cells
    });
    out.push_str(&table("Pareto-optimal rows for both goals", &[&a, &b, "row", "it sets"], rows));
    if answers.front.rows.len() > FRONT {
        out.push_str(&format!("<p>… and {} more in answers.json.</p>\n", answers.front.rows.len() - FRONT));
    }
    out
}

/// Of the part first, then of the forms, which are not the part under study.
fn effects(answers: &Answers, shown: &[RowCard]) -> String {
    let forms = [("part", Form::Finished), ("casting", Form::Casting), ("trial print", Form::TrialPrint)];
    forms.map(|(name, form)| effects_on(answers, shown, name, form)).concat()
}

fn effects_on(answers: &Answers, shown: &[RowCard], name: &str, form: Form) -> String {
    let of_form = |e: &&Effect| form_of(&e.check).unwrap_or(Form::Finished) == form;
    let chief = chief_effects(answers, usize::MAX).into_iter().filter(of_form).take(EFFECTS);
    let rows = chief.map(|e| {
        vec![
            text(&e.check),
            text(&e.what),
            text(&format!("{} {}", number(e.least), if e.unit == "1" { "" } else { &e.unit })),
            if is_linear(e) {
                text(&slopes(answers, e))
            } else {
                format!("<td>not linear{}</td>", curves(answers, e, shown))
            },
        ]
    });
    let heads = ["check", "what", "least margin", "change of the margin for one unit"];
    let title = format!("What each parameter does to the margins of the {name} nearest to their limits");
    table(&title, &heads, rows)
}

/// The number of a row, which leads to its card where it has one.
fn row_cell(row: u64, shown: &[RowCard]) -> String {
    format!("<td class=\"n\">{}</td>", cards::linked(row, shown, &row.to_string(), cards::Reach::ByKey))
}

/// A table, or an empty string where it has no rows; the cells are already HTML.
fn table(title: &str, heads: &[&str], rows: impl Iterator<Item = Vec<String>>) -> String {
    let rows: Vec<String> = rows.map(|cells| format!("<tr>{}</tr>\n", cells.concat())).collect();
    if rows.is_empty() {
        return String::new();
    }
    let heads: String = heads.iter().map(|h| format!("<th>{}</th>", escaped(h))).collect();
    format!(
        "<h2>{}</h2>\n<table tabindex=\"0\">\n<tr>{heads}</tr>\n{}</table>\n",
        escaped(title),
        rows.concat()
    )
}

fn text(words: &str) -> String {
    format!("<td>{}</td>", escaped(words))
}

fn cell(x: f64) -> String {
    format!("<td class=\"n\">{}</td>", number(x))
}
