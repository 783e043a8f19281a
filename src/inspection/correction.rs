//! The corrected contraction, written into a copy of the parameter file; comments and layout are kept.

use super::contraction::FoundContraction;
use crate::params::{Origin, Parameter, Source, rewrite, schema};
use crate::units::Percent;
use crate::words::fixed;

/// What becomes of one contraction.
#[derive(Clone, Debug, PartialEq)]
pub enum Correction {
    /// It is corrected: its key, and the new value in percent.
    Corrected(&'static str, String),
    /// What was found does not differ from it for certain.
    Kept(&'static str),
    /// It was not found.
    NotFound(&'static str),
    /// The file leaves it to its default: the line to add.
    Absent(String),
}

/// The text with the corrected contractions along the shaft and across it, and what became of each.
pub fn corrected(
    source: &Source,
    file: &schema::File,
    assumed: [f64; 2],
    found: [Option<FoundContraction>; 2],
) -> (String, Vec<Correction>) {
    let contraction = &file.casting.contraction;
    let keys: [(&'static str, &Parameter<Percent>); 2] = [
        ("casting.contraction.axial", &contraction.axial),
        ("casting.contraction.radial", &contraction.radial),
    ];
    let (mut spots, mut out) = (Vec::new(), Vec::new());
    for (k, (key, slot)) in keys.into_iter().enumerate() {
        let Some(found) = found[k] else {
            out.push(Correction::NotFound(key));
            continue;
        };
        if !found.differs_from(assumed[k]) {
            out.push(Correction::Kept(key));
            continue;
        }
        let text = format!("{} %", fixed(100.0 * found.value, 2));
        match Some(slot).filter(|s| s.origin() == Origin::Given).and_then(Parameter::place) {
            Some(place) => {
                spots.push((place.start, place.end, text.clone()));
                out.push(Correction::Corrected(key, text));
            }
            None => out.push(Correction::Absent(format!("{key}: {text}"))),
        }
    }
    (rewrite(source.text(), spots), out)
}
