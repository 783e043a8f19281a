//! `mating.fasteners`: the bolts that go into the housing and through its gearbox face.

use super::section::section;
use super::{PRACTICE, range};
use crate::params::kinds::{Choice, Factor, Measure};
use crate::standards::bolt_strength::BoltClass;
use crate::units::TORQUE;

const CLASS: Choice<BoltClass> = Choice(&[
    ("class_8.8", BoltClass::C8_8, "quenched and tempered, the common bolt; grade 5 in inches"),
    ("class_10.9", BoltClass::C10_9, "high strength; grade 8 in inches"),
    ("class_12.9", BoltClass::C12_9, "highest strength"),
]);

section! {
    /// The bolts that go into the housing's threads and through its gearbox face.
    pub struct FastenersKeys => Fasteners {
        /// Class of the bolts that are screwed into the housing: mount, shift box, sender.
        class: BoltClass = |k| k.value(CLASS, "class_8.8").or_assume(BoltClass::C8_8, "the common bolt", PRACTICE);
        /// Class of the bolts through the gearbox face.
        face_class: BoltClass = |k| k.value(CLASS, "class_8.8").or_assume(BoltClass::C8_8, "the common bolt", PRACTICE);
        /// Friction in the thread and under the head, as tightened.
        friction: f64 = |k| k.value(Factor(range(0.06, 0.4, "greased to dry steel")), "0.12").or_assume(
            0.12, "lightly oiled steel", PRACTICE);
        /// By how much the clamp load scatters when tightened with a torque wrench: greatest over least.
        scatter: f64 = |k| k.value(Factor(range(1.0, 4.0, "ways to tighten a bolt")), "1.6").or_assume(
            1.6, "torque wrench: VDI 2230, from memory", PRACTICE);
        /// Friction between the faces that the bolts clamp.
        joint_friction: f64 = |k| k.value(Factor(range(0.02, 0.8, "oily gasket to blasted steel")), "0.1").or_assume(
            0.1, "a gasket or an oily machined face", PRACTICE);
    } optional {
        /// Tightening torque of the bolts through the gearbox face; nine tenths of the bolt's yield if left out.
        face_torque: f64 = |k| k.value(Measure(&TORQUE, range(0.5, 500.0, "bolts of housings")), "40 N m").optional();
        /// Tightening torque of the mount's bolts; nine tenths of the bolt's yield if left out.
        mount_torque: f64 = |k| k.value(Measure(&TORQUE, range(0.5, 500.0, "bolts of housings")), "40 N m").optional();
    }
}
