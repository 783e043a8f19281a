//! A shift-box pad that no view shows square, or whose outline is free: where its face lies, its outline and its opening in words and tables.

use solidwright::geometry::P2;

use super::main_section::pad_is_level;
use super::numbers::{degrees, length};
use super::subject::Subject;
use super::tables::table;
use crate::design::{PadFace, Rectangle, ShiftBoxPad};
use crate::drafting::{Direction, SheetContent};
use crate::faces::{Feature, plain_names};
use crate::housing::shift_box_face;
use crate::units::Mm;

/// The pad, if the view from above has no dimensions of it.
pub(super) fn undimensioned<'a>(subject: &Subject<'a>) -> Option<&'a ShiftBoxPad> {
    let square = |pad: &&ShiftBoxPad| pad_is_level(subject) && matches!(pad.outline(), PadFace::Rectangle(_));
    subject.design.shift_box_pad().filter(|pad| !square(pad))
}

/// What is told of it beside the view.
pub(super) fn label(subject: &Subject, pad: &ShiftBoxPad) -> Vec<String> {
    vec![
        plain_names::feature(Feature::ShiftBoxPad).to_owned(),
        format!(
            "height {}, clock {}, tilt {}",
            show(subject, pad.height()),
            degrees(pad.clock()),
            degrees(pad.tilt())
        ),
        "outline and opening in the tables".to_owned(),
    ]
}

/// The middle of the side of its outline that is seen farthest to the left, mm on the part.
pub(super) fn leftmost(pad: &ShiftBoxPad, from: &Direction) -> Option<P2> {
    let corners: Vec<[f64; 2]> = match pad.outline() {
        PadFace::Polygon(corners) => corners.iter().map(|(at, _)| *at).collect(),
        PadFace::Rectangle(outline) => {
            let [x, y] = [outline.length, outline.width].map(|size| 0.5 * size.get());
            vec![[-x, -y], [x, -y], [x, y], [-x, y]]
        }
    };
    let face = shift_box_face(pad);
    let next = corners.iter().cycle().skip(1);
    let middles = corners.iter().zip(next).map(|(a, b)| {
        let [along, across] = [0, 1].map(|k| 0.5 * (a[k] + b[k]));
        from.point(face.point(along, across, 0.0))
    });
    middles.min_by(|a, b| a.x.total_cmp(&b.x))
}

/// Rows of the table of further features: the face, its outline, its opening.
pub(super) fn rows(subject: &Subject) -> Vec<Vec<String>> {
    let Some(pad) = undimensioned(subject) else { return vec![] };
    let name = plain_names::feature(Feature::ShiftBoxPad);
    let row = |what: &str, size: String| vec![format!("{name}, {what}"), size];
    let middle = shift_box_face(pad).origin;
    let [x, y, z] = [middle.x, middle.y, middle.z].map(|at| length(subject.units, at));
    let face = format!(
        "middle at X {x} Y {y} Z {z}; {} from the shaft axis, clock {}, tilt {}",
        show(subject, pad.height()),
        degrees(pad.clock()),
        degrees(pad.tilt()),
    );
    let rectangle = |r: &Rectangle| {
        let [along, across, radius] = [r.length, r.width, r.corner_radius].map(|size| show(subject, size));
        format!("{along} along × {across} across R{radius}, about the middle")
    };
    let outline = match pad.outline() {
        PadFace::Rectangle(outline) => rectangle(outline),
        PadFace::Polygon(corners) => format!("{} corners, see their table", corners.len()),
    };
    let opening = pad.opening().map(|opening| row("opening", rectangle(&opening)));
    [row("face", face), row("outline", outline)].into_iter().chain(opening).collect()
}

/// The corners of a free outline.
pub(super) fn corner_table(subject: &Subject) -> Option<SheetContent> {
    let pad = undimensioned(subject)?;
    let PadFace::Polygon(corners) = pad.outline() else { return None };
    let row = |(k, ([along, across], radius)): (usize, &([f64; 2], f64))| {
        let sizes = [*along, *across, *radius].map(|mm| length(subject.units, mm));
        std::iter::once((k + 1).to_string()).chain(sizes).collect()
    };
    let rows: Vec<Vec<String>> = corners.iter().enumerate().map(row).collect();
    let title = "Shift-box pad, corners before rounding: from the middle of its face, along it aft, across it clockwise seen from behind";
    Some(table(title, &["corner", "along", "across", "radius"], &rows))
}

fn show(subject: &Subject, size: Mm) -> String {
    length(subject.units, size.get())
}
