//! The stress along the housing as a drawing: bending and torsion over the station.

use crate::checks::SectionStress;
use crate::units::{Mm, Units};

/// Size of the drawing, and the room for its scales on the left and below.
const SIZE: [f64; 2] = [640.0, 220.0];
const LEFT: f64 = 56.0;
const BELOW: f64 = 36.0;
const EDGE: f64 = 12.0;

/// The drawing; nothing where no stress is known.
pub(super) fn drawn(stress: &[SectionStress], units: Units) -> String {
    let (Some(first), Some(last)) = (stress.first(), stress.last()) else { return String::new() };
    let most = stress.iter().map(|s| s.bending.max(s.torsion)).fold(0.0, f64::max);
    if last.station <= first.station || most <= 0.0 {
        return String::new();
    }
    let x = |station: f64| {
        LEFT + (SIZE[0] - LEFT - EDGE) * (station - first.station) / (last.station - first.station)
    };
    let y = |value: f64| SIZE[1] - BELOW - (SIZE[1] - BELOW - EDGE) * value / most;
    let line = |of: fn(&SectionStress) -> f64| {
        let points = stress.iter().map(|s| format!("{:.1},{:.1}", x(s.station), y(of(s))));
        points.collect::<Vec<String>>().join(" ")
    };
    let scale: String = [first.station, f64::midpoint(first.station, last.station), last.station]
        .map(|station| {
            let told = units.show(Mm::new(station.round()));
            format!(
                "<text x=\"{:.1}\" y=\"{:.1}\" text-anchor=\"middle\">{told}</text>\n",
                x(station).min(SIZE[0] - 30.0),
                SIZE[1] - 16.0
            )
        })
        .concat();
    format!(
        "<figure>\n<svg viewBox=\"0 0 {} {}\" role=\"img\" font-size=\"12\" fill=\"currentColor\" aria-label=\"Stress in bending and \
         in torsion along the housing; the table gives the figures\">\n\
         <polyline points=\"{LEFT},{EDGE} {LEFT},{:.1} {:.1},{:.1}\" fill=\"none\" stroke=\"currentColor\"/>\n\
         <text x=\"{:.1}\" y=\"{:.1}\" text-anchor=\"end\">{most:.1} MPa</text>\n<text x=\"{:.1}\" y=\"{:.1}\" text-anchor=\"end\">0</text>\n{scale}\
         <polyline class=\"bending\" points=\"{}\" fill=\"none\" stroke=\"#2a6f97\" stroke-width=\"2\"/>\n\
         <polyline class=\"torsion\" points=\"{}\" fill=\"none\" stroke=\"#b83216\" stroke-width=\"2\" stroke-dasharray=\"6 3\"/>\n</svg>\n\
         <figcaption>Greatest stress of all load cases by station, without notches: bending solid, torsion dashed.</figcaption>\n</figure>\n",
        SIZE[0],
        SIZE[1],
        SIZE[1] - BELOW,
        SIZE[0] - EDGE,
        SIZE[1] - BELOW,
        LEFT - 4.0,
        EDGE + 10.0,
        LEFT - 4.0,
        SIZE[1] - BELOW,
        line(|s| s.bending),
        line(|s| s.torsion),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The greatest stress stands at the top, none at the bottom, and a single section is no curve. By hand.
    #[test]
    fn stress_is_drawn_to_scale() {
        let at = |station: f64, bending: f64, torsion: f64| SectionStress { station, bending, torsion };
        let told = drawn(&[at(10.0, 8.0, 0.0), at(110.0, 4.0, 2.0)], Units::Mm);
        assert!(told.contains("class=\"bending\" points=\"56.0,12.0 628.0,98.0\""), "{told}");
        assert!(told.contains("class=\"torsion\" points=\"56.0,184.0 628.0,141.0\""), "{told}");
        assert!(told.contains(">8.0 MPa<") && told.contains(">110 mm<"), "{told}");
        assert!(drawn(&[], Units::Mm).is_empty() && drawn(&[at(1.0, 1.0, 1.0)], Units::Mm).is_empty());
        assert!(drawn(&[at(1.0, 0.0, 0.0), at(2.0, 0.0, 0.0)], Units::Mm).is_empty(), "no load");
    }
}
