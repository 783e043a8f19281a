//! Tables and notes of pattern and core box: pieces, sizes, prints, dowels, loose pieces, machining stock.

use solidwright::geometry::{P2, P3, V3};

use super::cast_sizes::{Told, cast_sizes};
use super::casting::smoothed;
use super::numbers::{as_cast, diameter, length, plain};
use super::tables::{table, told};
use super::tooling::{Halves, HalvesViews, Tooling};
use crate::drafting::SheetContent;
use crate::faces::plain_names;
use crate::forms::{self, LoosePiece, Piece, PrintPlace, PrintSize, SideCore};
use crate::words::sentence;

impl Halves<'_> {
    /// Pieces, dowels, loose pieces, machining stock, notes and cautions in columns of a width.
    pub(super) fn tables(&self, views: &HalvesViews, reach: f64) -> Vec<SheetContent> {
        let mut all = vec![self.piece_table(&views.sizes)];
        let whose = match self.which {
            Tooling::Pattern => Told::Pattern,
            Tooling::CoreBox => Told::CoreBox,
        };
        all.extend(cast_sizes(self.design, self.casting, whose));
        all.extend(self.print_table());
        all.extend(self.dowel_table());
        all.extend(self.loose_table());
        if self.which == Tooling::Pattern {
            all.extend(self.stock_table());
        }
        all.extend(told(&self.notes(), self.which.form(), reach));
        all
    }

    fn shown(&self, mm: f64) -> String {
        length(self.units(), (mm * 100.0).round() / 100.0)
    }

    fn piece_table(&self, sizes: &[V3]) -> SheetContent {
        let row = |(piece, size): (&Piece, &V3)| {
            let by = [piece.scale.axial(), piece.scale.radial(), piece.scale.radial()];
            // Both extents across the shaft have the same contraction, whichever way they run.
            let [x, y, z] =
                [0, 1, 2].map(|i| self.size(1.0, [P2::origin(), P2::new(size[i] * by[i], 0.0)]).text);
            let volume = piece.solid.mass_stretched(&piece.scale).volume;
            vec![piece.name.clone(), x, y, z, self.units().volume(volume)]
        };
        let rows: Vec<Vec<String>> = self.made.pieces.iter().zip(sizes).map(row).collect();
        // Of halves that part askew, extents along the files' axes are of nothing that can be measured on a piece.
        let (title, heads) = if self.is_askew() {
            (
                "Pieces, with contraction; extents along the shaft, in the parting plane and square to it",
                ["X", "across", "up"],
            )
        } else {
            ("Pieces, with contraction; extents along the axes of the files", ["X", "Y", "Z"])
        };
        table(title, &["piece", heads[0], heads[1], heads[2], "volume"], &rows)
    }

    /// The core prints: as the pattern has them, with the room that they leave about the core's; in the box the core's own.
    fn print_table(&self) -> Option<SheetContent> {
        let of_pattern = self.which == Tooling::Pattern;
        let row = |print: &PrintSize| {
            let (name, factor) = match print.place {
                PrintPlace::Front => ("front", self.scale.axial()),
                PrintPlace::Rear => ("rear", self.scale.axial()),
                PrintPlace::Opening => ("over the opening", self.scale.radial()),
            };
            let show = |mm: f64| as_cast(self.units(), mm);
            let round = print.diameter.map(|d| format!("Ø{}", show(d * self.scale.radial())));
            let [wall, whole] = [print.wall, print.whole].map(|mm| show(mm * factor));
            let lean = match print.place {
                PrintPlace::Front | PrintPlace::Rear => format!("end {}", Self::angle(print.lean)),
                PrintPlace::Opening => format!("walls {}", Self::angle(print.lean)),
            };
            vec![name.to_owned(), round.unwrap_or_else(|| "as the opening".to_owned()), wall, whole, lean]
        };
        let sizes = forms::print_sizes(self.casting, of_pattern).unwrap_or_default();
        let mut rows: Vec<Vec<String>> = sizes.iter().map(row).collect();
        if of_pattern {
            rows.extend(self.made.side_cores.iter().map(|core| self.side_core_print(core)));
        }
        let title = if of_pattern && !self.made.side_cores.is_empty() {
            "Core prints of the pattern, with contraction; lengths from the casting, of side cores from the parting plane"
        } else if of_pattern {
            "Core prints of the pattern, with contraction; lengths from the casting"
        } else {
            "Core prints in the box, with contraction; lengths from the casting"
        };
        let heads = ["print", "size", "its wall", "with its end", "leans by"];
        (!rows.is_empty()).then(|| table(title, &heads, &rows))
    }

    /// The print of a side core in its half, with the room that it leaves about the core: length and width at the parting plane, and its depth from
    /// there.
    fn side_core_print(&self, core: &SideCore) -> Vec<String> {
        let [axial, radial] = [self.scale.axial(), self.scale.radial()];
        let [cos, sin] = core.turn;
        let along = [(axial * cos).hypot(radial * sin), (axial * sin).hypot(radial * cos), radial];
        let room = self.casting.settings.print_clearance;
        let whole = [2.0 * room, 2.0 * room, room];
        let [length, width, height] =
            [0, 1, 2].map(|k| as_cast(self.units(), core.size[k] * along[k] + whole[k]));
        let name = core.name.trim_start_matches("pattern, ");
        let lean = format!("walls {}", Self::angle(core.lean));
        vec![name.to_owned(), format!("{length} × {width}"), height.clone(), height, lean]
    }

    fn dowel_table(&self) -> Option<SheetContent> {
        let across = self.up.cross(&V3::x());
        // The hole fits its dowel in the files as they are written.
        let bore = diameter(self.units(), self.casting.settings.dowel);
        let row = |(k, p): (usize, &P3)| {
            let [x, y] = [p.x * self.scale.axial(), p.coords.dot(&across) * self.scale.radial()];
            vec![format!("D{}", k + 1), bore.clone(), self.shown(x), self.shown(y)]
        };
        let rows: Vec<Vec<String>> = self.made.dowels.iter().enumerate().map(row).collect();
        let title = "Dowels, with contraction; X from datum A, across in the parting plane from the shaft\u{2019}s axis";
        (!rows.is_empty()).then(|| table(title, &["dowel", "bore", "X", "across"], &rows))
    }

    fn loose_table(&self) -> Option<SheetContent> {
        let row = |piece: &LoosePiece| {
            let travel = self.shown(piece.travel * self.scale.radial());
            vec![
                piece.name.clone(),
                forms::half_name(piece.upper).to_owned(),
                forms::names(&piece.features).replace('_', " "),
                travel,
            ]
        };
        let rows: Vec<Vec<String>> = self.made.loose.iter().map(row).collect();
        let title = if self.made.still_held.is_empty() {
            "Loose pieces, in the order in which they are drawn; in the views by lines with two dots"
        } else {
            "Loose pieces; THE MOULD DOES NOT OPEN as it is, see the notes; in the views by lines with two dots"
        };
        (!rows.is_empty()).then(|| table(title, &["piece", "half", "frees", "drawn by"], &rows))
    }

    /// What of each machined face is in the pattern to be cut off the casting: faces of equal stock in one row.
    fn stock_table(&self) -> Option<SheetContent> {
        let mut rows: Vec<(String, Vec<String>)> = Vec::new();
        for row in &self.casting.stock {
            let Some(stock) = row.stock.map(|mm| self.shown(mm)) else { continue };
            let name = plain_names::face(&row.tag);
            match rows.iter_mut().find(|(known, _)| *known == stock) {
                Some((_, faces)) => faces.push(name),
                None => rows.push((stock, vec![name])),
            }
        }
        // As many names in a row as the table of loose pieces is wide.
        let lines = |(stock, faces): &(String, Vec<String>)| {
            let line = |(k, names): (usize, &[String])| {
                vec![if k == 0 { stock.clone() } else { String::new() }, names.join(", ")]
            };
            faces.chunks(4).enumerate().map(line).collect::<Vec<_>>()
        };
        let rows: Vec<Vec<String>> = rows.iter().flat_map(lines).collect();
        let title = "Machining stock in the pattern, as on the casting, square to each face";
        (!rows.is_empty()).then(|| table(title, &["stock", "machined faces"], &rows))
    }

    fn notes(&self) -> Vec<String> {
        let settings = &self.casting.settings;
        let percent = |factor: f64| format!("{} %", plain(100.0 * (factor - 1.0), 3));
        let contraction = format!(
            "Contraction {} along the shaft, {} across it is in all sizes of this sheet, stations and tables too: use no shrink rule.",
            percent(self.scale.axial()),
            percent(self.scale.radial())
        );
        let mut out = vec![contraction];
        let turned = self.up.cross(&settings.up).norm() > 1e-9;
        match self.which {
            Tooling::Pattern => {
                let taper = Self::angle(settings.print_taper);
                let room = self.shown(settings.print_clearance);
                out.push(format!(
                    "Draft {} both ways from the parting line; ends of prints lean by {taper}; the core\u{2019}s prints are {room} smaller on each side.",
                    Self::angle(settings.draft)
                ));
                out.push(
                    "Machining stock is in all sizes; the casting\u{2019}s drawing tells what is left of it."
                        .to_owned(),
                );
                out.extend(smoothed(self.casting));
            }
            Tooling::CoreBox => {
                out.push(format!(
                    "Draft {} both ways from the parting line.",
                    Self::angle(settings.core_draft)
                ));
                let wall = self.shown(forms::BOX_WALL * self.scale.radial());
                out.push(format!(
                    "Wall of the box about the core: {wall} or more, by agreement with its maker."
                ));
                if turned {
                    out.push("The box comes apart another way than the mould.".to_owned());
                }
            }
        }
        let held = self.made.still_held.iter().map(|held| held.text(self.units()));
        let told = self.made.notes.iter().cloned().chain(held);
        out.extend(told.map(|note| sentence(&note.replace('`', "").replace('_', " "))));
        out
    }
}
