//! Marks cast on: signs that have a letter, strokes that leave sand between them.

use super::{Verdicts, above, error, warning};
use crate::finding::Code;
use crate::params::schema::{File, MARK_SIGNS, RawMarks};
use crate::standards::cast_letters::{LETTERS_SOURCE, raised};

const CLOSED: Code = Code::new("D220", "letters of a mark that close up");
const SIGN: Code = Code::new("D221", "sign that cannot be cast on");

const LOW: Code = Code::new("D222", "letters that stand out little");

pub(super) const CODES: &[Code] = &[CLOSED, SIGN, LOW];

/// Widest stroke, as a share of a letter's height: within an E, the sand is then as wide as a stroke at least (derived from the letters'
/// grid: three eighths of what a stroke leaves of the height).
const WIDEST: f64 = 0.25;

pub(super) fn check(file: &File, out: &mut Verdicts) {
    if let Some(marks) = &file.casting.marks {
        closed(marks, out);
        sign(marks, out);
        low(marks, out);
    }
}

fn closed(marks: &RawMarks, out: &mut Verdicts) -> Option<()> {
    let (stroke, widest) = (marks.stroke.get()?, marks.height.get()? * WIDEST);
    if above(stroke, widest) {
        let (own, limit) = (out.mm(stroke), out.mm(widest));
        out.add(
            error(CLOSED, &marks.stroke, format!("the strokes are {own} wide"))
                .allowed(format!("at most {limit}, a quarter of the letters' height"))
                .because("the sand within the letters would be narrower than a stroke and break off"),
        );
    }
    Some(())
}

fn sign(marks: &RawMarks, out: &mut Verdicts) -> Option<()> {
    let number = marks.part_number.get()?;
    let odd = number.chars().find(|sign| !MARK_SIGNS.contains(*sign))?;
    out.add(
        error(SIGN, &marks.part_number, format!("`{odd}` has no letter of straight strokes"))
            .allowed("figures, capitals, hyphen, point, stroke and space".to_owned())
            .hint("write it in capitals, or leave the sign out"),
    );
    Some(())
}

fn low(marks: &RawMarks, out: &mut Verdicts) -> Option<()> {
    let (own, usual) = (marks.raised.get()?, raised(marks.height.get()?));
    if above(usual, own) {
        let (own, usual) = (out.mm(own), out.mm(usual));
        out.add(
            warning(LOW, &marks.raised, format!("the letters stand out by {own}"))
                .allowed(format!("{usual} for letters of this height ({LETTERS_SOURCE})"))
                .because("they may not be readable after blasting and paint"),
        );
    }
    Some(())
}
