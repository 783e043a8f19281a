//! What can go wrong with a form, and who decides: short, and about that form.

use crate::design::Form;
use crate::forms::PROVES_GEOMETRY_ONLY;
use crate::report::document::{Block, Chapter};

/// Of everything that becomes metal.
const NOT_CERTIFIED: &str = "Nothing here is certified. Have a licensed engineer check the part before it carries load, and follow \
     the local rules for changed vehicles.";

/// Of the metal part in the vehicle.
const ROTATING: &str = "A slip yoke turns in this part. Guard the propeller shaft, and have it balanced once it has its new length.";

/// Of bolts and bought parts.
const TORQUES: &str = "Take torque values, fits of bought parts and lubricants from the makers of gearbox, bushing, seal and bolts.";

/// Of castings.
const INSPECT: &str = "Look for cracks, cold shuts and porosity before machining, and try it for leaks before use; a housing that \
     fails can drop a turning shaft.";

/// Of what is made for the foundry.
const TOOLING: &str = "This is tooling, not a part. What is cast from it must be inspected, and checked by a licensed engineer, before \
     it carries load.";

/// Of a print in a vehicle.
const STILL: &str =
    "Try it with the vehicle on stands and the engine off; never turn the shaft while the print is in place.";

/// The section of a form's sheet.
pub(super) fn section(form: Form) -> Chapter {
    let said: &[&str] = match form {
        Form::Finished => &[NOT_CERTIFIED, ROTATING, TORQUES],
        Form::Casting => &[NOT_CERTIFIED, INSPECT],
        Form::Pattern | Form::Core | Form::CoreBox => &[TOOLING],
        Form::TrialPrint => &[PROVES_GEOMETRY_ONLY, STILL],
    };
    Chapter::new("Cautions", [Block::Cautions(said.iter().map(|s| (*s).to_owned()).collect())])
}
