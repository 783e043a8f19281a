//! A document as one page of HTML that opens without a network: no script, nothing loaded.

use std::fmt::Write as _;

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;

use super::{Align, Block, Chapter, Document, Fact, Picture, TextCell, TextTable, Tone};

/// Nothing may be loaded, whatever the page holds.
const POLICY: &str = "default-src 'none'; img-src data:; style-src 'unsafe-inline'";

const STYLE: &str = "\
:root{color-scheme:light dark;--ink:#1f2328;--dim:#59616b;--paper:#fff;--line:#d5d9de;--alarm:#a3200d;--tint:#f5f6f8}
@media (prefers-color-scheme:dark){:root{--ink:#e6e8eb;--dim:#a5adb8;--paper:#16191d;--line:#3a4149;--alarm:#ff9c8a;--tint:#20252b}}
*{box-sizing:border-box}
body{margin:0;background:var(--paper);color:var(--ink);font:16px/1.5 system-ui,'DejaVu Sans',sans-serif}
main{max-width:64rem;margin:0 auto;padding:1.5rem 1.25rem 3rem}
h1{font-size:1.7rem;line-height:1.25;margin:0 0 .5rem}
h2{font-size:1.2rem;margin:2.2rem 0 .6rem}
p{margin:.5rem 0;max-width:48rem}
ul,ol{margin:.5rem 0;padding-left:1.4rem;max-width:48rem}
li{margin:.25rem 0}
.lead{font-size:1.05rem}
figure{margin:1rem 0}
img{display:block;max-width:100%;height:auto;background:#fff;border:1px solid var(--line);border-radius:4px}
figcaption,.note,footer{color:var(--dim);font-size:.875rem}
.wide{overflow-x:auto;margin:1rem 0 .4rem}
table{border-collapse:collapse;font-size:.9rem;font-variant-numeric:tabular-nums}
caption{text-align:left;color:var(--dim);padding-bottom:.35rem}
th,td{padding:.32rem .9rem .32rem 0;border-bottom:1px solid var(--line);text-align:left;vertical-align:top}
thead th{border-bottom:2px solid var(--dim);white-space:nowrap}
tbody th{font-weight:normal}
.r{text-align:right;white-space:nowrap}
.facts th{color:var(--dim);padding-right:1.6rem;min-width:12rem}
.alarm{color:var(--alarm);font-weight:bold}
.cautions{border-left:4px solid var(--alarm);background:var(--tint);padding:.4rem 1rem;margin:.6rem 0}
footer{margin-top:2.5rem;border-top:1px solid var(--line);padding-top:.6rem;overflow-wrap:anywhere}
";

/// How it is printed, but for the paper.
const PRINT: &str = "\
@media print{:root{color-scheme:light;--ink:#000;--dim:#444;--paper:#fff;--line:#bbb;--alarm:#8a1a08;--tint:#fff}
body{font-size:9.5pt}main{max-width:none;padding:0}.wide{overflow:visible}table{font-size:8pt}.r{white-space:normal}th,td{padding-right:.6rem}h2{break-after:avoid}figure,tr,.cautions{break-inside:avoid}
thead{display:table-header-group}}
";

/// The page.
pub fn text(document: &Document) -> String {
    let title = escaped(&document.title);
    let paper = document.paper.name();
    let mut out = format!(
        "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
         <meta http-equiv=\"Content-Security-Policy\" content=\"{POLICY}\">\n<title>{title}</title>\n\
         <style>\n{STYLE}{PRINT}@page{{size:{paper};margin:16mm}}\n</style>\n</head>\n<body>\n<main>\n<h1>{title}</h1>\n\
         <p class=\"lead\">{}</p>\n",
        escaped(&document.lead)
    );
    document.chapters.iter().filter(|s| !s.blocks.is_empty()).for_each(|s| section(&mut out, s));
    // Writing to a String cannot fail, here and below.
    let _ = write!(out, "<footer>{}</footer>\n</main>\n</body>\n</html>\n", escaped(&document.foot));
    out
}

/// A chapter with its heading.
pub(in crate::report) fn section(out: &mut String, section: &Chapter) {
    let _ = write!(out, "<section>\n<h2>{}</h2>\n", escaped(&section.heading));
    section.blocks.iter().for_each(|b| block(out, b));
    out.push_str("</section>\n");
}

/// A part of a chapter.
pub(in crate::report) fn block(out: &mut String, block: &Block) {
    match block {
        Block::Text(text) => {
            let _ = writeln!(out, "<p>{}</p>", marked(text));
        }
        Block::List(items) => list(out, "ul", items),
        Block::Steps(items) => list(out, "ol", items),
        Block::Facts(facts) => self::facts(out, facts),
        Block::Table(table) => self::table(out, table),
        Block::Picture(picture) => self::picture(out, picture),
        Block::Cautions(items) => {
            out.push_str("<div class=\"cautions\">\n");
            list(out, "ul", items);
            out.push_str("</div>\n");
        }
    }
}

fn list(out: &mut String, kind: &str, items: &[String]) {
    let _ = writeln!(out, "<{kind}>");
    for item in items {
        let _ = writeln!(out, "<li>{}</li>", marked(item));
    }
    let _ = writeln!(out, "</{kind}>");
}

fn facts(out: &mut String, facts: &[Fact]) {
    out.push_str("<table class=\"facts\">\n<tbody>\n");
    for Fact { name, value } in facts {
        let (name, value) = (escaped(name), marked(value));
        let _ = writeln!(out, "<tr><th scope=\"row\">{name}</th><td>{value}</td></tr>");
    }
    out.push_str("</tbody>\n</table>\n");
}

/// A wide table scrolls in a region of its own, which the keyboard reaches too.
fn table(out: &mut String, table: &TextTable) {
    let caption = escaped(&table.caption);
    let class = |side| if side == Align::Right { " class=\"r\"" } else { "" };
    let _ = write!(
        out,
        "<div class=\"wide\" role=\"group\" aria-label=\"{caption}\" tabindex=\"0\">\n<table>\n<caption>{caption}</caption>\n\
         <thead>\n<tr>"
    );
    for column in &table.columns {
        let _ = write!(out, "<th scope=\"col\"{}>{}</th>", class(column.side), escaped(column.head.trim()));
    }
    out.push_str("</tr>\n</thead>\n<tbody>\n");
    for row in &table.rows {
        out.push_str("<tr>");
        for (k, (cell, column)) in row.iter().zip(&table.columns).enumerate() {
            let (text, class) = (toned(cell), class(column.side));
            let _ = if k == 0 {
                write!(out, "<th scope=\"row\"{class}>{text}</th>")
            } else {
                write!(out, "<td{class}>{text}</td>")
            };
        }
        out.push_str("</tr>\n");
    }
    out.push_str("</tbody>\n</table>\n</div>\n");
    for note in &table.notes {
        let _ = writeln!(out, "<p class=\"note\">{}</p>", marked(note));
    }
}

fn toned(cell: &TextCell) -> String {
    let text = marked(&cell.text);
    match cell.tone {
        Tone::Plain => text,
        Tone::Alarm => format!("<span class=\"alarm\">{text}</span>"),
    }
}

fn picture(out: &mut String, picture: &Picture) {
    let data = STANDARD.encode(&picture.png);
    let (alt, caption) = (escaped(&picture.alt), escaped(&picture.caption));
    let _ = writeln!(
        out,
        "<figure>\n<img src=\"data:image/png;base64,{data}\" alt=\"{alt}\">\n<figcaption>{caption}</figcaption>\n</figure>"
    );
}

/// A text with its keys and commands, which stand between backticks, as code. An odd backtick stays as it is.
pub(in crate::report) fn marked(words: &str) -> String {
    let words = escaped(words);
    let pieces: Vec<&str> = words.split('`').collect();
    if pieces.len().is_multiple_of(2) {
        return words;
    }
    let piece = |(k, text): (usize, &&str)| {
        if k % 2 == 0 { text.to_string() } else { format!("<code>{text}</code>") }
    };
    pieces.iter().enumerate().map(piece).collect()
}

/// A text between tags or within quotes.
pub fn escaped(words: &str) -> String {
    words.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}
