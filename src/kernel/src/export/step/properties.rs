//! Validation properties: volume, area and centroid for the reader to compare with its own figures.
//!
//! Names as in the CAx-IF recommended practices for geometric validation properties, release 4.4.

use crate::solid::MassProperties;

use super::part21::{Id, List, Part21, Real};
use super::product::Part;

/// Writes the three properties of a part.
pub(super) fn validation(file: &mut Part21, measured: &MassProperties, part: &Part) {
    let square = derived_unit(file, part.millimetre, 2.0);
    let cube = derived_unit(file, part.millimetre, 3.0);
    let (volume, area) = (Real(measured.volume), Real(measured.area));
    let volume = file
        .add(format_args!("MEASURE_REPRESENTATION_ITEM('volume measure',VOLUME_MEASURE({volume}),{cube})"));
    property(file, part, "volume", volume);
    let area = file.add(format_args!(
        "MEASURE_REPRESENTATION_ITEM('surface area measure',AREA_MEASURE({area}),{square})"
    ));
    property(file, part, "surface area", area);
    let c = measured.centroid;
    let centre = file
        .add(format_args!("CARTESIAN_POINT('centre point',{})", List(&[Real(c.x), Real(c.y), Real(c.z)])));
    property(file, part, "centroid", centre);
}

/// A power of the millimetre.
fn derived_unit(file: &mut Part21, millimetre: Id, power: f64) -> Id {
    let element = file.add(format_args!("DERIVED_UNIT_ELEMENT({millimetre},{})", Real(power)));
    file.add(format_args!("DERIVED_UNIT(({element}))"))
}

fn property(file: &mut Part21, part: &Part, name: &str, item: Id) {
    let definition = file.add(format_args!(
        "PROPERTY_DEFINITION('geometric validation property','{name}',{})",
        part.definition
    ));
    let representation = file.add(format_args!("REPRESENTATION('{name}',({item}),{})", part.context));
    file.add(format_args!("PROPERTY_DEFINITION_REPRESENTATION({definition},{representation})"));
}
