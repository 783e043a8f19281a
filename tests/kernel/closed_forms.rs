//! Solids whose volume is known in closed form; the sources stand beside the shapes.

use crate::common::cases::Cases;
use crate::common::closed_forms as forms;

#[test]
fn elementary_solids() {
    Cases::from(forms::elementary_solids).hold();
}

#[test]
fn equal_crossing_cylinders() {
    Cases::from(forms::equal_crossing_cylinders).hold();
}

#[test]
fn drilled_sphere() {
    Cases::from(forms::drilled_sphere).hold();
}

#[test]
fn torus_cut_by_planes_and_cylinders() {
    Cases::from(forms::torus_cut_by_planes_and_cylinders).hold();
}

#[test]
fn prism_with_draft() {
    Cases::from(forms::prism_with_draft).hold();
}

#[test]
fn cylinder_through_cone() {
    Cases::from(forms::cylinder_through_cone).hold();
}
