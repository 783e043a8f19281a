//! Cards of single rows: what a row sets, its verdict and its picture, opened by a click on whatever stands for the row. A card is
//! shown while it is the target of the page's address, which needs no script; Escape, which closes it too, is all that the script is for.

use base64::Engine;
use base64::engine::general_purpose::STANDARD;

use super::words::{number, settings};
use crate::report::document::html::escaped;
use crate::sweep::answers::Answers;
use crate::sweep::cards::RowCard;
use crate::sweep::pictures::SIZE;
use crate::words::counted;

/// Looks of the cards. The empty element that closing leads to is fixed, so that the page does not scroll.
pub(super) const STYLE: &str = ".card{display:none;position:fixed;right:1rem;bottom:1rem;box-sizing:border-box;width:min(34rem,calc(100vw - 2rem));\
max-height:calc(100vh - 2rem);overflow:auto;margin:0;padding:.8rem 1rem;background:var(--card);border:2px solid var(--accent);\
border-radius:6px;box-shadow:0 4px 24px #0005}.card:target{display:block}.card img{width:100%;height:auto}\
.card nav{display:flex;gap:1.2rem;justify-content:flex-end;padding-top:.4rem}.card p{margin:.2rem 0}#closed{position:fixed;top:0}\
svg a:hover rect,svg a:focus rect{stroke:var(--ink);stroke-width:2}svg.plot a:hover rect,svg.plot a:focus rect{stroke:#222}@media print{.card{display:none!important}}";

/// Closes a card by Escape, and goes back to what opened it.
pub(super) const SCRIPT: &str = "let from=null;\
addEventListener('click',(event)=>{const link=event.target.closest('a[href^=\"#row-\"]');if(link&&!link.closest('.card'))from=link});\
addEventListener('keydown',(event)=>{if(event.key==='Escape'&&location.hash.startsWith('#row-')){location.hash='#closed';from?.focus({preventScroll:true})}});";

/// How a link to a card can be reached.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Reach {
    /// With the keyboard too.
    ByKey,
    /// With a pointer only, where another link leads to the same rows by key.
    ByPointer,
}

/// Something that leads to a row's card, if that row has one.
pub(super) fn linked(row: u64, shown: &[RowCard], inner: &str, reach: Reach) -> String {
    if shown.binary_search_by_key(&row, |card| card.index).is_err() {
        return inner.to_owned();
    }
    let skipped = if reach == Reach::ByPointer { " tabindex=\"-1\"" } else { "" };
    format!("<a href=\"#row-{row}\"{skipped} aria-label=\"row {row}\">{inner}</a>")
}

/// All cards.
pub(super) fn cards(answers: &Answers, shown: &[RowCard]) -> String {
    let beside = |k: Option<usize>| k.and_then(|k| shown.get(k)).map(|card| card.index);
    let each = shown.iter().enumerate();
    let all: String =
        each.map(|(k, one)| card(answers, one, [beside(k.checked_sub(1)), beside(Some(k + 1))])).collect();
    format!("<span id=\"closed\"></span>\n{all}")
}

fn card(answers: &Answers, card: &RowCard, beside: [Option<u64>; 2]) -> String {
    let set = settings(answers, &card.values);
    let mut told = vec![card.verdict.word().to_owned()];
    told.extend(card.mass.map(|m| format!("{} kg", number(m))));
    let [fails, warns] = card.counts.map(|n| counted(u64::from(n), "check"));
    told.extend((card.counts[0] > 0).then(|| format!("{fails} beyond a limit")));
    told.extend((card.counts[1] > 0).then(|| format!("{warns} with a warning")));
    let reason = card.reason.as_ref().map_or_else(String::new, |r| format!("<p>{}</p>\n", escaped(r)));
    let picture = card.picture.as_ref().map_or_else(
        || format!("<p>{}</p>", without_picture(card)),
        |png| {
            let alt = escaped(&format!("The part of row {}, {set}: from behind, right and above, and from the left", card.index));
            let (width, height) = SIZE;
            let data = STANDARD.encode(png);
            format!("<img alt=\"{alt}\" width=\"{width}\" height=\"{height}\" src=\"data:image/png;base64,{data}\">")
        },
    );
    let [before, after] = beside.map(|row| row.map(|row| format!("href=\"#row-{row}\"")));
    let step =
        |to: Option<String>, name: &str| to.map_or_else(String::new, |to| format!("<a {to}>{name}</a>"));
    format!(
        "<figure class=\"card\" id=\"row-{}\">\n{picture}\n<figcaption><p><strong>Row {}: {}</strong></p>\n<p>{}</p>\n{reason}\
         </figcaption>\n<nav aria-label=\"Rows beside row {}\">{}{}<a href=\"#closed\">Close</a></nav>\n</figure>\n",
        card.index,
        card.index,
        escaped(&set),
        escaped(&told.join(", ")),
        card.index,
        step(before, "Row before"),
        step(after, "Next row")
    )
}

/// Why there is no picture, and how there will be one.
fn without_picture(card: &RowCard) -> &'static str {
    if card.mass.is_none() {
        "There is no part to show."
    } else {
        "No picture was drawn of this row. The same sweep with <code>--resume</code> draws what is shown here; \
         <code>--pictures all</code> draws every row."
    }
}
