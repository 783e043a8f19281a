//! Which values of a parameter work: one band for each check that changes along it, the worst on top.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use super::cards::{Reach, linked};
use super::words::number;
use crate::checks::Verdict;
use crate::report::document::html::escaped;
use crate::sweep::answers::Answers;
use crate::sweep::cards::RowCard;
use crate::sweep::moving::Moving;
use crate::sweep::ranges::{Bin, Bins, Worst};
use crate::sweep::row::RowVerdict;

/// Greatest number of checks with a band of their own.
const MOST: usize = 14;

/// Width of the names, of all cells together, and height of a band, in units of the drawing.
const NAMES: f64 = 330.0;
const CELLS: f64 = 620.0;
const BAND: f64 = 22.0;

/// The bands of all parameters.
pub(super) fn bands(answers: &Answers, shown: &[RowCard]) -> String {
    answers.ranges.iter().map(|bins| of(bins, &answers.moving, answers.axes.len() > 1, shown)).collect()
}

/// One band: its name and a cell for each bin.
struct Band {
    name: String,
    cells: Vec<Cell>,
}

/// One bin's share of a band.
struct Cell {
    /// What a pointer over it shows.
    words: String,
    /// `None` where nothing is known.
    verdict: Option<Verdict>,
    /// The row that it stands for.
    row: Option<u64>,
}

/// The bins that hold rows, in the order of their values.
fn filled(bins: &Bins) -> Vec<(&Bin, f64)> {
    let mut all: Vec<(&Bin, f64)> =
        bins.bins.iter().filter_map(|b| b.values.map(|(low, high)| (b, f64::midpoint(low, high)))).collect();
    all.sort_by(|a, b| a.1.total_cmp(&b.1));
    all
}

/// All rows of a bin together: it works if some row of it does, with a warning if each of those has one, and is a gap where the program is
/// at fault in all.
fn all_checks(bin: &Bin) -> Option<Verdict> {
    if bin.feasible > 0 {
        Some(if warns(bin) { Verdict::Warn } else { Verdict::Pass })
    } else if bin.faults == bin.rows {
        None
    } else {
        Some(Verdict::Fail)
    }
}

/// Whether the best row of a bin warns.
fn warns(bin: &Bin) -> bool {
    bin.typical.is_some_and(|(verdict, _)| verdict == RowVerdict::Warn)
}

/// How many rows of a bin work.
fn working(bin: &Bin) -> String {
    match (bin.rows, bin.feasible) {
        (1, 0) => "does not work".to_owned(),
        (1, _) => "works".to_owned(),
        (rows, 1) => format!("1 of {rows} rows works"),
        (rows, feasible) => format!("{feasible} of {rows} rows work"),
    }
}

/// The measurements that fail or warn at some value: the one that fails at most values first, then the one that warns at most.
fn worst_first<'a>(bins: impl Iterator<Item = &'a Bin>) -> Vec<u32> {
    let mut counts: BTreeMap<u32, [usize; 2]> = BTreeMap::new();
    for (k, worst) in bins.flat_map(|bin| &bin.worst) {
        let [fails, warns] = counts.entry(*k).or_default();
        match worst.verdict {
            Verdict::Fail => *fails += 1,
            Verdict::Warn => *warns += 1,
            Verdict::Pass => {}
        }
    }
    counts.retain(|_, [fails, warns]| *fails + *warns > 0);
    let mut numbers: Vec<(u32, [usize; 2])> = counts.into_iter().collect();
    // Equal ones stay in the order of their numbers.
    numbers.sort_by_key(|(_, counts)| Reverse(*counts));
    numbers.into_iter().map(|(k, _)| k).collect()
}

fn of(bins: &Bins, moving: &Moving, others: bool, shown: &[RowCard]) -> String {
    let filled = filled(bins);
    if filled.len() < 2 {
        return String::new();
    }
    let value = |x: f64| format!("{} {}", number(x), bins.axis.shown);
    let summary = filled.iter().map(|(bin, x)| {
        let fault = if bin.faults > 0 { format!(", {} not known", bin.faults) } else { String::new() };
        let warning = if bin.feasible > 0 && warns(bin) { ", with warnings" } else { "" };
        let words = format!("{}: {}{warning}{fault}", value(*x), working(bin));
        Cell { words, verdict: all_checks(bin), row: bin.typical.map(|(_, row)| row) }
    });
    let mut out = vec![Band { name: "all checks".to_owned(), cells: summary.collect() }];
    let numbers = worst_first(filled.iter().map(|(bin, _)| *bin));
    let hidden = numbers.len().saturating_sub(MOST);
    let names = moving.names();
    for k in numbers.into_iter().take(MOST) {
        let Some((check, what)) = names.get(&k) else { continue };
        let cell = |(bin, x): &(&Bin, f64)| match bin.worst.get(&k) {
            Some(Worst { verdict, room, row }) => {
                let room = room.map_or_else(String::new, |r| format!(", margin {}", number(r)));
                let words = format!("{}: {}{room}", value(*x), verdict.word());
                Cell { words, verdict: Some(*verdict), row: Some(*row) }
            }
            None => Cell { words: format!("{}: not measured", value(*x)), verdict: None, row: None },
        };
        out.push(Band { name: format!("{check}: {what}"), cells: filled.iter().map(cell).collect() });
    }
    let ends = [filled.first(), filled.last()].map(|f| f.map_or_else(String::new, |(_, x)| value(*x)));
    let worst = if others { " The worst over all other parameters counts." } else { "" };
    let more = if hidden > 0 {
        format!(" {hidden} more checks warn or fail somewhere; they are in answers.json.")
    } else {
        String::new()
    };
    format!(
        "<h2>Which values of {} work</h2>\n<figure class=\"bands\">\n{}\n<figcaption>Green passes, yellow warns, red fails, a gap is not known. \
         Rest the pointer on a cell for its value, margin and row; click it for the row's picture.{worst}{more}</figcaption>\n</figure>\n",
        escaped(bins.axis.key.text()),
        drawn(&out, &ends, shown)
    )
}

/// Fill of a verdict, told apart with any kind of colour vision by its lightness.
fn fill(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Pass => "#7fc8a9",
        Verdict::Warn => "#f0d060",
        Verdict::Fail => "#b83216",
    }
}

fn drawn(bands: &[Band], [low, high]: &[String; 2], shown: &[RowCard]) -> String {
    let height = BAND * (bands.len() as f64 + 1.0) + 6.0;
    let mut out = format!(
        "<svg viewBox=\"0 0 {} {height}\" width=\"{}\" font-family=\"sans-serif\" font-size=\"13\">\n",
        NAMES + CELLS,
        NAMES + CELLS
    );
    for (k, band) in bands.iter().enumerate() {
        let y = BAND * k as f64;
        let weight = if k == 0 { " font-weight=\"bold\"" } else { "" };
        let name: String = band.name.chars().take(48).collect();
        out.push_str(&format!(
            "<text x=\"0\" y=\"{}\" fill=\"currentColor\"{weight}>{}<title>{}</title></text>\n",
            y + 15.0,
            escaped(&name),
            escaped(&band.name)
        ));
        let width = CELLS / band.cells.len() as f64;
        for (i, cell) in band.cells.iter().enumerate() {
            let fill = cell.verdict.map_or("var(--paper)", fill);
            let row = cell.row.map_or_else(String::new, |row| format!(", row {row}"));
            let rect = format!(
                "<rect x=\"{:.2}\" y=\"{:.1}\" width=\"{:.2}\" height=\"{:.1}\" fill=\"{fill}\"><title>{}{row}</title></rect>",
                NAMES + width * i as f64,
                y + 2.0,
                width,
                BAND - 4.0,
                escaped(&cell.words)
            );
            // The keyboard reaches each value once, by the band of all checks.
            let reach = if k == 0 { Reach::ByKey } else { Reach::ByPointer };
            out.push_str(&cell.row.map_or_else(|| rect.clone(), |row| linked(row, shown, &rect, reach)));
            out.push('\n');
        }
    }
    let y = BAND * bands.len() as f64 + 15.0;
    out.push_str(&format!(
        "<text x=\"{NAMES}\" y=\"{y}\" fill=\"currentColor\">{}</text>\n<text x=\"{}\" y=\"{y}\" fill=\"currentColor\" text-anchor=\"end\">{}</text>\n</svg>",
        escaped(low),
        NAMES + CELLS,
        escaped(high)
    ));
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A bin whose rows all have a fault of the program is a gap, not a failure; one that works in some row works.
    #[test]
    fn a_fault_of_the_program_is_a_gap() {
        let bin = |rows: u64, feasible: u64, faults: u64| {
            let mut bin = Bin::default();
            (bin.rows, bin.feasible, bin.faults) = (rows, feasible, faults);
            bin
        };
        assert_eq!(all_checks(&bin(2, 0, 2)), None);
        assert_eq!(all_checks(&bin(2, 0, 1)), Some(Verdict::Fail));
        assert_eq!(all_checks(&bin(2, 1, 1)), Some(Verdict::Pass));
        let best = |verdict: RowVerdict| {
            let mut bin = bin(2, 1, 0);
            bin.typical = Some((verdict, 0));
            bin
        };
        assert_eq!(all_checks(&best(RowVerdict::Warn)), Some(Verdict::Warn), "no row is without a warning");
        assert_eq!(all_checks(&best(RowVerdict::Pass)), Some(Verdict::Pass), "another row may warn");
        let words =
            [(1, 1), (1, 0), (3, 1), (3, 0), (3, 3)].map(|(rows, feasible)| working(&bin(rows, feasible, 0)));
        assert_eq!(
            words,
            ["works", "does not work", "1 of 3 rows works", "0 of 3 rows work", "3 of 3 rows work"]
        );
    }

    /// By hand: 7 fails at two values; 3 fails at one and warns at two, 5 fails at one; 2 warns at three; 9 passes.
    #[test]
    fn the_worst_check_has_the_first_band() {
        use Verdict::{Fail, Pass, Warn};
        let values = [
            [(2, Warn), (3, Warn), (5, Pass), (7, Fail), (9, Pass)],
            [(2, Warn), (3, Fail), (5, Fail), (7, Pass), (9, Pass)],
            [(2, Warn), (3, Warn), (5, Pass), (7, Fail), (9, Pass)],
        ];
        let bins = values.map(|of| {
            let mut bin = Bin::default();
            bin.worst.extend(of.map(|(k, verdict)| (k, Worst { verdict, room: None, row: 0 })));
            bin
        });
        assert_eq!(worst_first(bins.iter()), [7, 3, 5, 2]);
    }
}
