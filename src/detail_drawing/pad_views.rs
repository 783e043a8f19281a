//! The views from above and from below: the pads' outlines and holes.

use solidwright::geometry::{P2, V2, V3};

use super::holes::holes;
use super::main_section::pad_is_level;
use super::numbers::{diameter, length, span};
use super::pad_rows;
use super::subject::{OVER, Subject, line, outside};
use crate::design::{MountPad, PadFace, PadHoles, Rectangle};
use crate::drafting::{
    Anchor, Annotated, Callout, CalloutLine, Direction, Layer, Lettering, Margin, SeenLines, Span, arrow,
};
use crate::faces::{Feature, Role, plain_names};
use crate::housing::Bore;
use crate::inspection::letter;

/// From where pads are looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Way {
    /// From above: the shift box's pad.
    Above,
    /// From below: the mount pads.
    Below,
}

impl Way {
    fn shows(self, feature: Feature) -> bool {
        match self {
            Self::Above => feature == Feature::ShiftBoxPad,
            Self::Below => matches!(feature, Feature::MountPad | Feature::SecondMountPad),
        }
    }
}

/// A pad as it is seen: its middle on paper, its outline.
struct Pad {
    middle: P2,
    outline: Rectangle,
}

/// Whether the view from above tells nothing that others do not: the part has no pad there, and no hole that is seen along its axis but
/// those of mounts, which the view from below has as well.
pub(super) fn above_is_spare(subject: &Subject) -> bool {
    let design = subject.design;
    let seen_along = |bore: &&Bore| bore.axis.cross(&V3::z()).norm() < 1e-9;
    design.shift_box_pad().is_none()
        && design.mount_pad().is_some()
        && subject.bores.iter().filter(seen_along).all(|bore| Way::Below.shows(Feature::of(&bore.tag)))
}

/// A view with dimensions of the pads; `away` is the side that looks away from the section. `is_cut`: it shows the section's plane.
pub(super) fn pad_view(
    subject: &Subject,
    (from, view): &(Direction, SeenLines),
    factor: f64,
    way: Way,
    away: Margin,
    is_cut: bool,
) -> Option<Annotated> {
    let mut out = Annotated::new(outside(view, factor), factor)?;
    let axis = [out.view.low.x - OVER, out.view.high.x + OVER].map(|x| P2::new(x, 0.0));
    out.content.entities.push(line(Layer::Centre, axis[0], axis[1]));
    out.content.entities.extend(subject.crosses(from, factor));
    let cut = is_cut.then(|| cutting_plane(&mut out, way));
    let pads = pads(subject, way, factor);
    let half = |pad: &Pad| V2::new(pad.outline.length.get(), pad.outline.width.get()) * (0.5 * factor);
    let up = if away == Margin::Top { 1.0 } else { -1.0 };
    let lengths: Vec<Span> = pads
        .iter()
        .map(|pad| {
            let (h, y) = (half(pad), up * half(pad).y);
            let ends = [-h.x, h.x].map(|x| pad.middle + V2::new(x, y));
            span(subject.units, ends, pad.outline.length.get())
        })
        .collect();
    let widths: Vec<Span> = pads
        .iter()
        .map(|pad| {
            let h = half(pad);
            let ends = [-h.y, h.y].map(|y| pad.middle + V2::new(h.x, y));
            span(subject.units, ends, pad.outline.width.get())
        })
        .collect();
    out.distances(away, lengths);
    out.distances(Margin::Right, widths);
    let notes = pads.iter().zip(told(subject, way)).map(|(pad, (feature, words))| {
        let h = half(pad);
        let at = pad.middle + V2::new(-h.x, 0.6 * h.y * up);
        let mut lines: Vec<CalloutLine> = words.into_iter().map(CalloutLine::Words).collect();
        lines.extend(subject.further_boxes(feature, Role::Face).into_iter().map(CalloutLine::Boxes));
        Callout { at, lines }
    });
    let leaning = pad_rows::undimensioned(subject).filter(|_| way == Way::Above).and_then(|pad| {
        let at = P2::from(pad_rows::leftmost(pad, from)?.coords * factor);
        let lines = pad_rows::label(subject, pad).into_iter().map(CalloutLine::Words).collect();
        Some(Callout { at, lines })
    });
    out.notes(Margin::Left, notes.chain(leaning).collect());
    for hole in holes(subject).iter().filter(|h| way.shows(Feature::of(&h.bore.tag))) {
        if hole.bore.axis.cross(&from.eye()).norm() < 1e-9 {
            let at = P2::from(from.point(hole.bore.point).coords * factor);
            out.label(at, hole.bore.radius * factor, &hole.name);
        }
    }
    if let Some(ends) = cut {
        cutting_letters(&mut out, ends);
    }
    Some(out)
}

/// The ends of the section's plane with arrows that point as the section is looked at: from above up on paper, from below down. Told
/// are the feet of both arrows, for [`cutting_letters`], which comes after all dimensions.
pub(super) fn cutting_plane(out: &mut Annotated, seen: Way) -> [P2; 2] {
    let towards = match seen {
        Way::Above => V2::y(),
        Way::Below => -V2::y(),
    };
    let ends = [(out.view.low.x, -1.0), (out.view.high.x, 1.0)].map(|(x, way)| {
        let [near, far] = [OVER, OVER + 6.0].map(|reach| P2::new(x + way * reach, 0.0));
        let tip = far + towards * 7.0;
        out.content.line(Layer::Visible, near, far);
        out.content.line(Layer::Dimension, far, tip);
        out.content.arrows.push(arrow(tip, towards));
        far
    });
    out.view.low.x -= OVER + 8.0;
    out.view.high.x += OVER + 8.0;
    ends
}

/// The letters at the ends of the section's plane, each where no line of a dimension runs: beside its arrow, below the plane's end, within
/// the arrow, above its tip; beside it where all are taken.
pub(super) fn cutting_letters(out: &mut Annotated, ends: [P2; 2]) {
    for (foot, way) in ends.into_iter().zip([-1.0, 1.0]) {
        let letter =
            |(x, y): (f64, f64)| Lettering::level(foot + V2::new(way * x, y), 3.5, Anchor::Middle, "A");
        let places = [(2.5, 2.0), (2.5, -4.5), (-2.5, 2.0), (-2.5, -4.5), (0.0, 8.5)].map(letter);
        let free = places.iter().find(|letter| out.is_clear(&letter.bounds())).unwrap_or(&places[0]).clone();
        out.content.texts.push(free);
    }
}

/// The pads that a view shows square, with rectangular outlines.
fn pads(subject: &Subject, way: Way, factor: f64) -> Vec<Pad> {
    let design = subject.design;
    match way {
        Way::Above => {
            let pad = design.shift_box_pad().filter(|_| pad_is_level(subject));
            let seen = pad.and_then(|pad| match pad.outline() {
                PadFace::Rectangle(outline) => {
                    let middle = P2::new(pad.station().get(), pad.side_offset().get()) * factor;
                    Some(Pad { middle, outline: *outline })
                }
                PadFace::Polygon(_) => None,
            });
            seen.into_iter().collect()
        }
        // Seen from below the right side of the part lies below on paper.
        Way::Below => mounts(subject)
            .map(|pad| {
                let middle = P2::new(pad.station().get(), -pad.side_offset().get()) * factor;
                Pad { middle, outline: pad.outline() }
            })
            .collect(),
    }
}

fn mounts<'a>(subject: &Subject<'a>) -> impl Iterator<Item = &'a MountPad> {
    named_mounts(subject).map(|(_, pad)| pad)
}

fn named_mounts<'a>(subject: &Subject<'a>) -> impl Iterator<Item = (Feature, &'a MountPad)> {
    let design = subject.design;
    let all = [(Feature::MountPad, design.mount_pad()), (Feature::SecondMountPad, design.second_mount_pad())];
    all.into_iter().filter_map(|(feature, pad)| Some((feature, pad?)))
}

/// What is said of each pad.
fn told(subject: &Subject, way: Way) -> Vec<(Feature, Vec<String>)> {
    let units = subject.units;
    let corner = |r: &Rectangle| format!("corners R{}", length(units, r.corner_radius.get()));
    let tapped = |holes: Option<&PadHoles>, letter: &str| {
        holes.map(|h| format!("{}× {} ({letter}1 …)", h.positions().len(), h.thread().name))
    };
    match way {
        Way::Above => {
            let Some(pad) = subject.design.shift_box_pad() else { return vec![] };
            let PadFace::Rectangle(outline) = pad.outline() else { return vec![] };
            let mut out = vec![plain_names::feature(Feature::ShiftBoxPad).to_owned(), corner(outline)];
            if let Some(opening) = pad.opening() {
                let [along, across, r] =
                    [opening.length, opening.width, opening.corner_radius].map(|x| length(units, x.get()));
                out.push(format!("opening {along} × {across} R{r}"));
            }
            out.extend(tapped(pad.holes(), "S"));
            let dowels = pad.dowels();
            out.extend(
                dowels
                    .first()
                    .map(|d| format!("{}× dowel {}", dowels.len(), diameter(units, d.diameter.get()))),
            );
            vec![(Feature::ShiftBoxPad, out)]
        }
        Way::Below => named_mounts(subject)
            .map(|(feature, pad)| {
                let mut out = vec![plain_names::feature(feature).to_owned(), corner(&pad.outline())];
                out.extend(tapped(pad.holes(), letter(feature)));
                (feature, out)
            })
            .collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A line of a dimension beside the right end moves the letter there below the plane's end, and the left one stays.
    #[test]
    fn letters_of_the_section_keep_off_dimensions() {
        let sides = [line(Layer::Visible, P2::new(0.0, -20.0), P2::new(100.0, 20.0))];
        let mut out = Annotated::new(sides.to_vec(), 0.5).expect("a view");
        let ends = cutting_plane(&mut out, Way::Above);
        out.content.line(Layer::Dimension, ends[1] + V2::new(-5.0, 3.3), ends[1] + V2::new(20.0, 3.3));
        cutting_letters(&mut out, ends);
        let feet: Vec<V2> = out.content.texts.iter().zip(ends).map(|(t, end)| t.at - end).collect();
        assert_eq!(feet, [V2::new(-2.5, 2.0), V2::new(2.5, -4.5)]);
    }
}
