//! What several sheets say.

use super::Facts;
use crate::design::Form;
use crate::export::form_files::PieceFigures;
use crate::export::{size, stem};
use crate::faces::plain_names;
use crate::forms::{Casting, Drawing, Settings};
use crate::report::document::{Block, Chapter, Column, Fact, Picture, TextCell, TextTable};
use crate::report::moulding;
use crate::units::Units;
use crate::words::{counted, in_a_row};

/// The scale of the files: what is in them already.
pub(super) fn scale(facts: &Facts) -> Fact {
    let said = facts.files.pieces.first().and_then(|p| size(facts.files.form, p.scale));
    Fact::new("Scale", said.unwrap_or_else(|| "full size, as machined".to_owned()))
}

/// The alloy.
pub(super) fn alloy(facts: &Facts) -> Fact {
    let casting = facts.design.casting();
    Fact::new("Alloy", format!("{}, {}", casting.alloy().title, casting.density()))
}

/// The draft of outside walls.
pub(super) fn draft(facts: &Facts) -> Fact {
    Fact::new(
        "Draft",
        format!("{} outside, from the parting plane both ways", facts.design.casting().mould().draft()),
    )
}

/// Where halves part, and which way the upper one is lifted.
pub(super) fn parting(facts: &Facts, casting: &Casting) -> Fact {
    let up = facts.files.split.unwrap_or(casting.settings.up);
    let clock = moulding::clock_towards(up).round();
    let clock = if clock < 0.0 { clock + 360.0 } else { clock };
    let way =
        if clock == 0.0 { "up".to_owned() } else { format!("towards clock {clock} deg, seen from behind") };
    Fact::new("Parting", format!("the plane that holds the shaft axis; the upper half is lifted {way}"))
}

/// How much of the fillets is there.
pub(super) fn fillets(casting: &Casting) -> Fact {
    let (whole, all) = crate::report::joints::whole(&casting.moulded.casting.joints);
    Fact::new("Fillets", format!("{whole} of {all} joint segments at full radius"))
}

/// Features that need a loose piece or a core.
pub(super) fn loose(drawing: &Drawing, units: Units) -> Fact {
    let loose: Vec<&str> = moulding::holders(drawing).map(plain_names::feature).collect();
    let by_hand: f64 = moulding::to_dress(drawing).map(|place| place.area).sum();
    let mut said = if loose.is_empty() { "none needed".to_owned() } else { in_a_row(&loose) };
    if by_hand > 0.0 {
        said.push_str(&format!("; {} are dressed by hand", units.area(by_hand)));
    }
    Fact::new("Loose pieces or cores", said)
}

/// Joints whose fillets the pattern maker lays by hand or leaves smaller.
pub(super) fn short_fillets(facts: &Facts, casting: &Casting) -> Block {
    let rows = crate::report::joints::rows(&casting.moulded.casting.joints, facts.units, false);
    Block::Table(TextTable {
        caption: "Joints without the fillet asked for, to be laid by hand where there is room".to_owned(),
        columns: vec![Column::words("faces"), Column::words("fillet")],
        rows: rows.into_iter().map(|cells| cells.map(TextCell::from).to_vec()).collect(),
        notes: vec![],
    })
}

/// The picture of the form.
pub(super) fn picture(facts: &Facts, alt: &str) -> Block {
    let files = facts.files;
    let apart = if files.pieces.len() > 1 { " The pieces are drawn apart." } else { "" };
    let lies = if files.turned { " It is turned until its parting lies level." } else { "" };
    let red = match files.form {
        _ if !files.marked => "",
        Form::CoreBox | Form::Core => "; red: faces by which the core is held in its box",
        _ => "; red: what cannot be drawn from the sand",
    };
    let colours = match files.form {
        Form::Finished | Form::TrialPrint => "Grey: as cast; blue: machined",
        Form::Casting => "Grey: as cast; blue: to be machined",
        Form::Pattern | Form::Core | Form::CoreBox => {
            "Blue: what forms faces to be machined, and dowel holes; dark grey: core prints"
        }
    };
    Block::Picture(Picture {
        png: files.views.clone(),
        alt: format!("{alt}, seen from behind, right and above, and from ahead, left and below."),
        caption: format!(
            "Left: from behind, right and above. Right: from ahead, left and below.{lies}{apart} {colours}{red}."
        ),
    })
}

/// A section of remarks that come with the form, but for those that the sheet has told already.
pub(super) fn notes(facts: &Facts, told: &[String]) -> Chapter {
    let left = facts.files.notes.iter().filter(|note| !told.contains(note));
    Chapter::new("Notes", [Block::List(left.cloned().collect())])
}

/// Dowel holes between two halves.
pub(super) fn dowels(facts: &Facts, casting: &Casting) -> Vec<Block> {
    let up = facts.files.split.unwrap_or(casting.settings.up);
    let settings = &Settings { up, ..casting.settings };
    let row = |(k, at): (usize, &solidwright::geometry::P3)| {
        let at = settings.scale.point(*at);
        let across = at.coords.dot(&settings.across());
        vec![TextCell::from((k + 1).to_string()), facts.bare(at.x).into(), facts.bare(across).into()]
    };
    let rows: Vec<_> = facts.files.dowels.iter().enumerate().map(row).collect();
    let told = format!(
        "{} of {} in each half, {} deep as written; the diameter is that of the dowel, without contraction.",
        counted(rows.len(), "hole"),
        facts.length(settings.dowel),
        facts.length(settings.dowel_depth() * settings.scale.radial())
    );
    vec![
        Block::Text(told),
        Block::Table(TextTable {
            caption: "Dowel holes in the parting plane, as written; lengths from the middle of the finished gearbox face".to_owned(),
            columns: vec![
                Column::words("hole"),
                facts.head("along the shaft, mm", "along the shaft, in"),
                facts.head("across it, mm", "across it, in"),
            ],
            rows,
            notes: vec![],
        }),
    ]
}

/// The files that this sheet belongs to.
pub(super) fn files(facts: &Facts) -> Chapter {
    let row = |p: &PieceFigures| {
        let [along, across, up] = [p.extent.x, p.extent.y, p.extent.z].map(|x| facts.cell(x));
        vec![
            TextCell::from(p.name.clone()),
            along.into(),
            across.into(),
            up.into(),
            facts.units.volume(p.mass.volume).into(),
            format!("{0}.step, {0}.stl", p.stem).into(),
        ]
    };
    let stem = stem(facts.files.form);
    let together = format!(
        "All of it together: {stem}.3mf to print, {stem}.glb to look at. STEP, STL and 3MF are in millimetres; a STEP file holds \
         the exact solid, the others a mesh of it."
    );
    let table = TextTable {
        caption: "The files, with the size and the volume of what is in them as written".to_owned(),
        columns: vec![
            Column::words("piece"),
            Column::numbers("along the shaft"),
            Column::numbers("across"),
            Column::numbers("up"),
            Column::numbers("volume"),
            Column::words("files"),
        ],
        rows: facts.files.pieces.iter().map(row).collect(),
        notes: vec![],
    };
    Chapter::new("Files", [Block::Table(table), Block::Text(together)])
}
