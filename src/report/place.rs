//! The placed features: a table of moves, and the plan of a weld-up.

use super::columns::{self, Align};
use super::document::{Block, Column, TextCell, TextTable};
use crate::place::{Edit, Move, Note, Placed, WeldUp};
use crate::units::{Mm, Units};

fn signed(length: Mm, units: Units) -> String {
    let length = Mm::new((length.get() * 1e4).round() / 1e4);
    let text = units.show(length);
    if length.get() > 0.0 { format!("+{text}") } else { text }
}

/// In the file, required, difference, on the old housing, move relative to it.
fn places(m: &Move, units: Units) -> [String; 5] {
    let moved = |from: Option<Mm>| from.map_or(String::new(), |f| signed(m.wanted - f, units));
    let shown = |value: Option<Mm>| value.map_or("-".to_owned(), |v| units.show(v));
    [shown(m.now), units.show(m.wanted), moved(m.now), shown(m.donor), moved(m.donor)]
}

/// The table of moves; nothing where no feature can be placed.
fn moves(placed: &Placed, units: Units) -> String {
    if placed.moves.is_empty() {
        return String::new();
    }
    let head = ["", "in the file", "required", "move by", "old housing", "moved from it"];
    let mut rows = vec![head.map(str::to_owned).to_vec()];
    for m in &placed.moves {
        let name = format!("{} ({})", m.what, m.key);
        rows.push(std::iter::once(name).chain(places(m, units)).collect());
    }
    columns::text(rows, 2, &[Align::Left, Align::Right]) + "\n"
}

/// The table: file, required, difference, old housing, move relative to it; then notes.
pub fn text(placed: &Placed, units: Units) -> String {
    let mut out = moves(placed, units);
    for m in &placed.moves {
        let beyond = match m.beyond {
            none if none.get() == 0.0 => String::new(),
            _ => format!(
                "; `{}` becomes {}, since the file moves it by {}",
                m.key,
                units.show(m.key_value()),
                signed(m.beyond, units)
            ),
        };
        out.push_str(&format!("  {}: from {}{beyond}\n", m.what, m.how));
    }
    for n in &placed.notes {
        out.push_str(&format!("  {}: {} ({})\n", n.what, note(n, units), n.remark));
    }
    for n in &placed.not_placed {
        out.push_str(&format!("not placed: {}, because `{}` is not given\n", n.what, n.key));
    }
    out
}

/// The same as parts of a document: the table of moves with where each comes from, notes, and what is not placed.
pub(super) fn blocks(placed: &Placed, units: Units) -> [Block; 2] {
    let row = |m: &Move| {
        let name = format!("{} (`{}`)", m.what, m.key);
        let cells = std::iter::once(name).chain(places(m, units)).chain([m.how.to_owned()]);
        cells.map(TextCell::from).collect()
    };
    let columns = vec![
        Column::words("what"),
        Column::numbers("in the file"),
        Column::numbers("required"),
        Column::numbers("move by"),
        Column::numbers("old housing"),
        Column::numbers("moved from it"),
        Column::words("from"),
    ];
    let table = TextTable {
        caption: "Stations that the vehicle requires".to_owned(),
        columns,
        rows: placed.moves.iter().map(row).collect(),
        notes: vec![],
    };
    let notes = placed.notes.iter().map(|n| format!("{}: {} ({})", n.what, note(n, units), n.remark));
    let lacking =
        placed.not_placed.iter().map(|n| format!("not placed: {}, because `{}` is not given", n.what, n.key));
    [Block::Table(table), Block::List(notes.chain(lacking).collect())]
}

fn note(n: &Note, units: Units) -> String {
    if n.angle { format!("{:.1}°", n.value) } else { units.show(Mm::new((n.value * 1e4).round() / 1e4)) }
}

/// What was written, what must be added by hand, and how many values stay.
pub fn edits(edits: &[Edit]) -> String {
    let line = |edit: &Edit| match edit {
        Edit::Written(text) => format!("  wrote {text}\n"),
        Edit::Kept | Edit::Beside(_) => String::new(),
        Edit::Absent(text) => format!("  add   {text}   (the file does not have this key)\n"),
    };
    let changes: String = edits.iter().map(line).collect();
    let beside: Vec<String> = edits
        .iter()
        .filter_map(|edit| if let Edit::Beside(key) = edit { Some(format!("`{key}`")) } else { None })
        .collect();
    let follow = if beside.is_empty() {
        String::new()
    } else {
        format!("  check whether these must move too: {}\n", beside.join(", "))
    };
    let changes = changes + &follow;
    match edits.iter().filter(|edit| **edit == Edit::Kept).count() {
        0 => changes,
        1 => format!("{changes}  1 value stays as it is\n"),
        kept => format!("{changes}  {kept} values stay as they are\n"),
    }
}

/// The plan of a weld-up.
pub fn weld_up(plan: &WeldUp, units: Units) -> String {
    let mut out =
        String::from("weld-up from the old housing, for the part as placed: a first prototype only\n");
    for (i, cut) in plan.cuts.iter().enumerate() {
        let [front, rear] = cut.diameters.map(|d| units.show(d));
        out.push_str(&format!("  joint {}, {}\n", i + 1, cut.what));
        out.push_str(&format!(
            "    cut at old stations {} and {}, saw on the waste side\n",
            units.show(cut.front),
            units.show(cut.rear)
        ));
        out.push_str(&format!(
            "    removes {} of length; outside diameters there {front} and {rear}\n",
            units.show(cut.removed)
        ));
        if cut.turned.get().abs() > 0.05 {
            out.push_str(&format!(
                "    turn the rear piece by {:.1}°, {} from behind\n",
                cut.turned.get().abs(),
                if cut.turned.get() > 0.0 { "clockwise" } else { "counter-clockwise" }
            ));
        }
        let step = (cut.diameters[0] - cut.diameters[1]).get().abs() / 2.0;
        if step > 1.0 {
            out.push_str(&format!(
                "    the ends differ by {} in radius: fit a ring or dress one end\n",
                units.show(Mm::new(step))
            ));
        }
    }
    if plan.cuts.is_empty() {
        out.push_str("  nothing to cut: the old housing has these lengths\n");
    }
    out.push_str("  the jig holds\n");
    for (what, value) in &plan.datums {
        out.push_str(&format!("    {what}: {}\n", units.show(*value)));
    }
    for (what, value) in plan.left.iter().filter(|(_, v)| v.get().abs() > 0.5) {
        out.push_str(&format!("  left over: {what} {}\n", units.show(*value)));
    }
    out.push_str(
        "  Caution: welded castings lose strength beside the weld and hide cracks and pores. Have the welds inspected (dye and\n  \
         pressure) before use, bore seat and counterbore after welding, and let a licensed engineer look at the part.\n",
    );
    out
}
