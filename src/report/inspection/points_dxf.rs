//! Probe points as DXF: points in space with their normals as lines, one layer for each element.
//!
//! The oldest ASCII form of the format that programs still read (its release 12, group codes from memory): a section of entities
//! alone. Places are in the file's unit, to a micrometre.

use crate::inspection::{MeasuringSheet, ProbePlan};
use crate::units::{Mm, Units};
use crate::words::fixed;
use solidwright::geometry::P3;

/// Length of the line that shows a normal, mm.
const NORMAL: f64 = 5.0;

/// The name of a layer: letters, digits and some signs, in capitals, as release 12 asks for.
fn layer(name: &str) -> String {
    let plain = |c: char| if c.is_ascii_alphanumeric() { c.to_ascii_uppercase() } else { '_' };
    name.chars().map(plain).collect()
}

/// Coordinates under the group codes of a place: 10, 20, 30 of the first, 11, 21, 31 of the second.
fn place(units: Units, p: P3, number: usize) -> String {
    let one = |(k, v): (usize, f64)| format!("{}\n{}\n", 10 * (k + 1) + number, fixed(in_unit(units, v), 6));
    [p.x, p.y, p.z].into_iter().enumerate().map(one).collect()
}

/// A length in the file's unit.
fn in_unit(units: Units, mm: f64) -> f64 {
    match units {
        Units::Mm => mm,
        Units::Inch => Mm::new(mm).to_inches(),
    }
}

/// The points of a plan.
pub fn points_dxf(plan: &MeasuringSheet, points: &ProbePlan, units: Units) -> String {
    let mut out = "0\nSECTION\n2\nENTITIES\n".to_owned();
    for p in &points.points {
        let layer = layer(&plan.elements[p.element].name);
        out += &format!("0\nPOINT\n8\n{layer}\n{}", place(units, p.point, 0));
        let tip = p.point + p.normal * NORMAL;
        out += &format!("0\nLINE\n8\n{layer}\n{}{}", place(units, p.point, 0), place(units, tip, 1));
    }
    out + "0\nENDSEC\n0\nEOF\n"
}
