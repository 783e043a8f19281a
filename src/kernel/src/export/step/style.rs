//! Colours of faces.

use crate::solid::Brep;

use super::super::paint::{Paint, Paints};
use super::part21::{Id, List, Part21, Real, Text};

/// Writes the colour of each face that was written, paint by paint, and in the order of the faces.
pub(super) fn colours(file: &mut Part21, brep: &Brep, paints: &Paints, faces: &[Option<Id>], context: Id) {
    let mut styled = Vec::with_capacity(faces.len());
    for (number, paint) in paints.list.iter().enumerate() {
        let of_paint = brep.faces.iter().zip(faces).filter(|(f, _)| (paints.of)(&f.tag) == number);
        let mut style = None;
        for face in of_paint.filter_map(|(_, id)| *id) {
            let style = *style.get_or_insert_with(|| style_of(file, paint));
            styled.push(file.add(format_args!("STYLED_ITEM('',({style}),{face})")));
        }
    }
    let items = List(&styled);
    file.add(format_args!("MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION('',{items},{context})"));
}

/// The chain of entities from a colour to a style.
fn style_of(file: &mut Part21, paint: &Paint) -> Id {
    let [r, g, b] = paint.share.map(Real);
    let name = Text(&paint.name);
    let colour = file.add(format_args!("COLOUR_RGB({name},{r},{g},{b})"));
    let fill = file.add(format_args!("FILL_AREA_STYLE_COLOUR('',{colour})"));
    let fill = file.add(format_args!("FILL_AREA_STYLE('',({fill}))"));
    let fill = file.add(format_args!("SURFACE_STYLE_FILL_AREA({fill})"));
    let side = file.add(format_args!("SURFACE_SIDE_STYLE('',({fill}))"));
    let usage = file.add(format_args!("SURFACE_STYLE_USAGE(.BOTH.,{side})"));
    file.add(format_args!("PRESENTATION_STYLE_ASSIGNMENT(({usage}))"))
}
