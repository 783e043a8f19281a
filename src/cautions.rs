//! What can hurt, told where the work is done: short, about what was made, and deferring to those who decide.
//!
//! They stand at the end of `build`, `check`, `place` and `solve`, in the check's JSON, in the headers of STL files, on
//! sheets of views, and on the sheets for pattern maker and machinist.

use crate::design::{Design, Form};
use crate::forms::PROVES_GEOMETRY_ONLY;

/// Of a metal part in the driveline.
pub const DRIVELINE_PART: &str =
    "Driveline part: not certified; have the design checked by a licensed engineer before it is used.";

const ENGINEER: &str = "this is a driveline part and nothing here is certified: a licensed engineer checks it before it carries \
                        load, and local rules for changed vehicles apply";
const INSPECTED: &str = "what is cast from these forms is inspected for cracks and porosity, and tried for leaks, before it is \
                         machined and before it is used";
const STILL: &str = "try a print with the vehicle on stands and the engine off; no shaft turns in it, no bushing is pressed into \
                     it, no bolt is tightened on it";
const PRESSING: &str = "pressing the bushing: support the ring around the seat, press straight with a stepped mandrel and a \
                        guard; a hammer cracks the casting and throws splinters";
const BORING: &str =
    "boring in place: clamp by register and gearbox face, never by the tail; no gloves near the turning tool";
const BALANCE: &str = "a propeller shaft of a new length is welded and balanced by a shop that does this, and runs behind a guard \
                       or loop that catches it";
const WELDING: &str = "welding takes the heat treatment out of a cast housing and may leave cracks: a welder qualified for castings \
                       does it, and it is crack-tested and its bores are machined afterwards";
const LIMIT: &str = "a value at the end of a range is just inside limits, not a recommendation: check the whole file with it, and \
                     have a licensed engineer look at it";
const PLACES: &str = "measure the vehicle again before metal is cut: places follow from the hard points in the file and nothing \
                      else; support the engine before the crossmember comes out";

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
const TRIED_STILL: &str =
    "Try it with the vehicle on stands and the engine off; never turn the shaft while the print is in place.";

/// Cautions on the sheet of a form, for those who make it and make something of it.
pub fn of_sheet(form: Form) -> &'static [&'static str] {
    match form {
        Form::Finished => &[NOT_CERTIFIED, ROTATING, TORQUES],
        Form::Casting => &[NOT_CERTIFIED, INSPECT],
        Form::Pattern | Form::Core | Form::CoreBox => &[TOOLING],
        Form::TrialPrint => &[PROVES_GEOMETRY_ONLY, TRIED_STILL],
    }
}

/// Cautions about forms that were built.
pub fn of_build(forms: &[Form]) -> Vec<&'static str> {
    let any = |wanted: &[Form]| wanted.iter().any(|form| forms.contains(form));
    let mut out = Vec::new();
    if any(&[Form::Finished]) {
        out.push(ENGINEER);
    }
    if any(&[Form::Casting, Form::Pattern, Form::Core, Form::CoreBox]) {
        out.push(INSPECTED);
    }
    if any(&[Form::TrialPrint]) {
        out.push(STILL);
    }
    out
}

/// Cautions about a part that was checked: those of the parts that its file names.
pub fn of_check(design: &Design) -> Vec<&'static str> {
    let mut out = vec![ENGINEER];
    if let Some(bushing) = &design.mating().bushing {
        out.push(PRESSING);
        if bushing.bored_in_place {
            out.push(BORING);
        }
    }
    if design.vehicle().propshaft.is_some() {
        out.push(BALANCE);
    }
    out
}

/// Cautions about places in the vehicle, and about cutting and welding the old housing.
pub fn of_place(weld_up: bool) -> Vec<&'static str> {
    let mut out = vec![PLACES];
    if weld_up {
        out.extend([WELDING, ENGINEER]);
    }
    out
}

/// Cautions about the end of a range.
pub fn of_solve() -> Vec<&'static str> {
    vec![LIMIT]
}

/// Cautions as they end a command's output.
pub fn lines(cautions: &[&str]) -> String {
    cautions.iter().map(|caution| format!("caution: {caution}\n")).collect()
}

/// The caution in a file about a form.
pub fn in_file(form: Form) -> &'static str {
    if form == Form::TrialPrint { PROVES_GEOMETRY_ONLY } else { DRIVELINE_PART }
}

/// The same where there is little room: the header of an STL file, a sheet of views.
pub fn short(form: Form) -> &'static str {
    match form {
        Form::Finished | Form::Casting => "not certified",
        Form::Pattern | Form::Core | Form::CoreBox => "tooling, not a part",
        Form::TrialPrint => "proves geometry only",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_made_is_what_is_warned_of() {
        assert_eq!(of_build(&[Form::TrialPrint]), [STILL], "a print alone");
        assert_eq!(of_build(&[Form::Core]), [INSPECTED], "tooling alone");
        assert_eq!(of_build(&Form::ALL).len(), 3, "all of it");
        assert!(of_place(true).contains(&WELDING) && !of_place(false).contains(&WELDING), "welding");
    }
}
