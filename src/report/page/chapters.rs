//! The page's sections whose facts stand in tables and lists: the same as on the sheets and the terminal.

use std::fmt::Write as _;

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;

use super::{DrawnSheet, PartReport, stress_plot};
use crate::cautions;
use crate::checks::{Figure, SectionStress, Table};
use crate::design::{Design, Form};
use crate::export::sha256;
use crate::place;
use crate::report::document::html::{block, escaped, section};
use crate::report::document::{Block, Column, TextCell, TextTable};
use crate::report::{driveline_report, joints, moulding, sheet};

fn html(blocks: impl IntoIterator<Item = Block>) -> String {
    let mut out = String::new();
    blocks.into_iter().filter(|b| !b.is_empty()).for_each(|b| block(&mut out, &b));
    out
}

fn table(caption: &str, columns: Vec<Column>, rows: Vec<Vec<TextCell>>) -> Block {
    Block::Table(TextTable { caption: caption.to_owned(), columns, rows, notes: vec![] })
}

/// The dimensioned drawings as pictures, each in a frame that can be moved along where it is wider than the page.
pub(super) fn drawings(report: &PartReport) -> String {
    let mut out = String::new();
    for DrawnSheet { form, svg } in report.drawings {
        let name = sheet::name(*form);
        let _ = match svg {
            Ok(svg) => write!(
                out,
                "<figure>\n<div class=\"wide drawing\" role=\"group\" tabindex=\"0\" aria-label=\"Drawing of the {name}\">\n\
                 <img alt=\"Dimensioned drawing of the {name}\" src=\"data:image/svg+xml;base64,{}\">\n</div>\n\
                 <figcaption>The {name}. The command <code>draw</code> writes it as PDF and DXF.</figcaption>\n</figure>\n",
                STANDARD.encode(svg)
            ),
            Err(why) => writeln!(out, "<p>The {name} is not drawn: {}.</p>", escaped(why)),
        };
    }
    if out.is_empty() {
        out.push_str("<p>Not drawn yet.</p>\n");
    }
    out
}

/// Diameters with their limits, then all figures and tables of fits, driveline and speedometer, by the part they belong to.
pub(super) fn fits(report: &PartReport) -> String {
    let design = report.product.design();
    let mut out = driveline(design);
    out.push_str(&html(sheet::fits(design)));
    let sums = || report.groups.iter().map(|(_, checks)| &checks.driveline);
    let figures: Vec<&Figure> = sums().flat_map(|s| &s.figures).collect();
    let tables: Vec<&Table> = sums().flat_map(|s| &s.tables).collect();
    let mut subjects: Vec<&str> = Vec::new();
    for subject in figures.iter().map(|f| f.subject).chain(tables.iter().map(|t| t.subject)) {
        if !subjects.contains(&subject) {
            subjects.push(subject);
        }
    }
    for subject in subjects {
        let _ = write!(
            out,
            "<details class=\"group\">\n<summary><h3>{}</h3></summary>\n",
            escaped(&subject.replace('_', " "))
        );
        let rows = figures.iter().filter(|f| f.subject == subject).map(|f| {
            let value = driveline_report::value(f, design.units());
            vec![f.what.clone().into(), value.into(), f.note.clone().into()]
        });
        let columns =
            vec![Column::words("figure"), Column::numbers("value"), Column::words("use, or source")];
        out.push_str(&html([table(&format!("Figures of the {subject}"), columns, rows.collect())]));
        let tables = tables.iter().filter(|t| t.subject == subject);
        out.push_str(&html(tables.map(|t| Block::Table(driveline_report::text_table(t, design.units())))));
        out.push_str("</details>\n");
    }
    let stress: Vec<SectionStress> = sums().flat_map(|s| &s.stress).copied().collect();
    out.push_str(&stress_plot::drawn(&stress, design.units()));
    out
}

/// The driveline from the side, to scale, where the file tells it.
fn driveline(design: &Design) -> String {
    let Some(view) = place::driveline_view(design) else { return String::new() };
    format!(
        "<figure>\n<img class=\"drawn\" src=\"data:image/svg+xml;base64,{}\" alt=\"Driveline from the side, to scale: gearbox, housing, slip \
         yoke, propeller shaft at ride height; dashed, the shaft at full bump and full droop. The groups below give the \
         figures.\">\n<figcaption>Driveline from the side, to scale, ahead to the left; dashed: full bump and full \
         droop.</figcaption>\n</figure>\n",
        STANDARD.encode(view)
    )
}

/// Where the vehicle wants each feature, with the side view to scale.
pub(super) fn placing(report: &PartReport) -> String {
    let design = report.product.design();
    match place::place(design) {
        Err(error) => format!("<p>Not placed: {}.</p>\n", escaped(&error.to_string())),
        Ok(placed) => {
            let view = STANDARD.encode(place::side_view(design, &placed));
            format!(
                "<figure>\n<img class=\"drawn\" src=\"data:image/svg+xml;base64,{view}\" alt=\"Side view to scale: gearbox, housing, slip \
                 yoke and the vehicle's hard points; the old housing dashed. The table below gives the figures.\">\n<figcaption>Side view to scale, \
                 ahead to the left.</figcaption>\n</figure>\n{}",
                html(crate::report::place::blocks(&placed, design.units()))
            )
        }
    }
}

/// Stock on machined faces, and what of the casting cleans up.
pub(super) fn stock(report: &PartReport) -> String {
    match report.product.casting() {
        Ok(casting) => {
            let mut out = html([Block::Table(moulding::stock(report.product.design(), &casting.stock))]);
            if let Ok(drawing) = report.product.drawing() {
                let mut lines = moulding::drawing(casting, drawing, report.product.design().units());
                lines.extend(moulding::undrafted(drawing, casting.settings.units));
                out.push_str("<h3>Drawing from the sand</h3>\n");
                out.push_str(&html([Block::List(lines)]));
            }
            out
        }
        Err(error) => format!("<p>There is no casting: {}</p>\n", escaped(&error.to_string())),
    }
}

/// Fillets that do not have the radius asked for, on the part and on its casting.
pub(super) fn fillets(report: &PartReport) -> String {
    let units = report.product.design().units();
    let mut of = vec![("Finished part", &report.product.finished().joints)];
    if let Ok(casting) = report.product.casting() {
        of.push(("Casting", &casting.moulded.casting.joints));
    }
    let mut out = String::new();
    for (what, all) in of {
        let (whole, count) = joints::whole(all);
        let _ = writeln!(out, "<p>{what}: {whole} of {count} joint segments at full radius.</p>");
        let rows = joints::rows(all, units, false);
        let rows = rows.into_iter().map(|cells| cells.map(TextCell::from).to_vec()).collect();
        let columns = vec![Column::words("faces"), Column::words("fillet")];
        out.push_str(&html([table(&format!("{what}: joints without the fillet asked for"), columns, rows)]));
    }
    out
}

/// Each form with what its sheet says.
pub(super) fn forms(report: &PartReport) -> String {
    let mut out = String::new();
    for (form, made) in report.forms {
        match made {
            Ok(files) => {
                let sheet = sheet::document(report.product, files, report.hash);
                let _ = write!(
                    out,
                    "<details class=\"group sheet\" data-form=\"{}\">\n<summary><h3>{}</h3> <span class=\"count\">{}</span></summary>\n<p>{}</p>\n",
                    form.name(),
                    sheet::name(*form),
                    escaped(form.about()),
                    escaped(&sheet.lead)
                );
                sheet.chapters.iter().for_each(|chapter| section(&mut out, chapter));
                out.push_str("</details>\n");
            }
            Err(error) => {
                let _ = writeln!(
                    out,
                    "<p class=\"fault\">{}: not made: {}</p>",
                    sheet::name(*form),
                    escaped(&error.to_string())
                );
            }
        }
    }
    out
}

/// What can hurt, each once.
pub(super) fn cautions(report: &PartReport) -> String {
    let mut all = cautions::of_check(report.product.design());
    for caution in cautions::of_build(&Form::ALL).into_iter().chain(cautions::of_place(false)) {
        if !all.contains(&caution) {
            all.push(caution);
        }
    }
    html([Block::Cautions(all.into_iter().map(ToOwned::to_owned).collect())])
}

/// The files of all forms with their SHA-256, by which one tells whether a file at hand belongs to this report.
pub(super) fn files(report: &PartReport) -> String {
    let mut rows: Vec<Vec<TextCell>> = vec![vec![
        escaped_name(report.source.name()).into(),
        size(report.source.text().len()).into(),
        report.hash.into(),
    ]];
    let made = report.forms.iter().filter_map(|(_, made)| made.as_ref().ok());
    for (name, bytes) in made.flat_map(|files| &files.files) {
        rows.push(vec![name.clone().into(), size(bytes.len()).into(), sha256(bytes).into()]);
    }
    let columns = vec![Column::words("file"), Column::numbers("size"), Column::words("SHA-256")];
    let told = "The parameter file, and the files that `build --form all` writes for it with its usual chord error: a file whose \
                SHA-256 differs belongs to other values or to another version of the program.";
    html([Block::Text(told.to_owned()), table("Files of this part", columns, rows)])
}

/// The last part of a path: a page that is passed on tells nothing of its maker's folders.
fn escaped_name(path: &str) -> String {
    std::path::Path::new(path)
        .file_name()
        .map_or_else(|| path.to_owned(), |n| n.to_string_lossy().into_owned())
}

fn size(bytes: usize) -> String {
    format!("{:.1} kB", bytes as f64 / 1e3)
}
