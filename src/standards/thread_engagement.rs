//! How deep a bolt must be screwed into a weaker metal, so that the bolt breaks before the thread strips.
//!
//! Shear area of the internal thread after FED-STD-H28/2B (a paraphrase in Machinery's Handbook, read).

use std::f64::consts::PI;

use super::threads::Thread;
use crate::units::{MPa, Mm};

/// A thread whose limits of size are not in the table.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("no limits of size of thread {0} are in the table")]
pub struct UnknownLimits(pub String);

/// The two limits of size that decide on stripping: the bolt's least outside and the nut's greatest pitch diameter.
///
/// Metric 6g and 6H (ISO 965-2), unified 2A and 2B (ASME B1.1): all from memory.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ThreadLimits {
    /// Least major diameter of the bolt.
    pub bolt_major: Mm,
    /// Greatest pitch diameter of the tapped hole.
    pub hole_pitch: Mm,
}

const LIMITS: [(&str, f64, f64); 14] = [
    ("M6", 5.794, 5.500),
    ("M8", 7.760, 7.348),
    ("M10", 9.732, 9.206),
    ("M12", 11.701, 11.063),
    ("1/4-20", 0.2408, 0.2224),
    ("1/4-28", 0.2425, 0.2311),
    ("5/16-18", 0.3026, 0.2817),
    ("5/16-24", 0.3042, 0.2902),
    ("3/8-16", 0.3643, 0.3401),
    ("3/8-24", 0.3667, 0.3528),
    ("7/16-14", 0.4258, 0.3972),
    ("7/16-20", 0.4281, 0.4104),
    ("1/2-13", 0.4876, 0.4565),
    ("1/2-20", 0.4906, 0.4731),
];

/// Limits of a thread.
///
/// # Errors
/// For a thread that is not in the table.
pub fn limits(thread: &Thread) -> Result<ThreadLimits, UnknownLimits> {
    let row = LIMITS.iter().find(|(name, ..)| *name == thread.name);
    let (_, major, pitch) = row.ok_or_else(|| UnknownLimits(thread.name.to_owned()))?;
    let length = |value| if thread.is_metric() { Mm::new(value) } else { Mm::inches(value) };
    Ok(ThreadLimits { bolt_major: length(*major), hole_pitch: length(*pitch) })
}

/// Shear area of the tapped thread on each millimetre of engagement, mm².
pub fn shear_area(thread: &Thread, limits: ThreadLimits) -> f64 {
    let (pitch, major) = (thread.pitch.get(), limits.bolt_major.get());
    // 0.57735 is the tangent of half the thread's angle.
    let thickness = 0.5 * pitch + 0.577_35 * (limits.bolt_major - limits.hole_pitch).get();
    PI / pitch * major * thickness
}

/// Length of engagement at which the tapped thread stands this bolt force, N.
///
/// # Errors
/// For a thread whose limits are not in the table.
pub fn engagement(thread: &Thread, force: f64, shear: MPa) -> Result<Mm, UnknownLimits> {
    Ok(Mm::new(force / (shear_area(thread, limits(thread)?) * shear.get())))
}

/// Engagement in bolt diameters by shop rule, least and preferred, in aluminium; in steel 1 (practice). Wire inserts the same least.
pub const IN_ALUMINIUM: [f64; 2] = [1.5, 2.0];

/// Depths of a blind tapped hole for an engagement: of the thread, two pitches more, and of the drill, half a diameter more (practice).
pub fn blind_hole(thread: &Thread, engagement: Mm) -> [Mm; 2] {
    let tapped = engagement + thread.pitch * 2.0;
    [tapped, tapped + thread.diameter * 0.5]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::standards::threads::{THREADS, find};

    fn thread(name: &str) -> &'static Thread {
        find(name).expect("in the table")
    }

    fn near(value: f64, want: f64, within: f64) {
        assert!((value - want).abs() <= within, "{value} for {want}");
    }

    /// Derived; limits of thread from memory, 356-T6 of 207 N/mm² read. The stress areas are the printed ones.
    #[test]
    fn t4_1_engagement_in_356() {
        let shear = MPa::new(0.6 * 207.0);
        near(shear.get(), 124.2, 1e-9);
        for (name, area, stress_area, ultimate, of_diameter, proof) in [
            ("M8", 16.829, 36.6, 14.01, 1.75, 10.16),
            ("M10", 21.477, 58.0, 17.39, 1.74, 12.61),
            ("M12", 26.117, 84.3, 20.79, 1.73, 15.07),
        ] {
            let thread = thread(name);
            near(shear_area(thread, limits(thread).expect("tabled")), area, 5e-4);
            let length = |stress| engagement(thread, stress * stress_area, shear).expect("tabled");
            near(length(800.0).get(), ultimate, 0.006);
            near(length(800.0) / thread.diameter, of_diameter, 0.005);
            near(length(580.0).get(), proof, 0.006);
        }
    }

    /// Derived; limits from memory: 3/8-16 of 120 ksi in a metal of 18 ksi.
    #[test]
    fn t4_2_engagement_of_3_8() {
        let thread = thread("3/8-16");
        near(shear_area(thread, limits(thread).expect("tabled")) / 25.4, 0.8281, 5e-5);
        let ksi = 6.894_757;
        let length = engagement(thread, 120.0 * ksi * 0.0775 * 645.16, MPa::new(18.0 * ksi)).expect("tabled");
        near(length.to_inches(), 0.624, 5e-4);
        near(length / thread.diameter, 1.66, 0.005);
    }

    /// The stripping rule bears the shop rule out: class 8.8 to its strength asks for 1.5 to 2 diameters of 356-T6.
    ///
    /// Shop rule: common practice; limits of size from memory.
    #[test]
    fn the_shop_rule_holds_for_coarse_threads() {
        for name in ["M6", "M8", "M10", "M12"] {
            let thread = thread(name);
            let length = engagement(thread, 800.0 * thread.stress_area(), MPa::new(124.2)).expect("tabled");
            assert!(
                (IN_ALUMINIUM[0]..IN_ALUMINIUM[1]).contains(&(length / thread.diameter)),
                "{name}: {length}"
            );
        }
    }

    /// Pitch diameter d − 0.6495 P: ISO 724, geometry.
    #[test]
    fn limits_lie_within_their_thread() {
        for thread in THREADS {
            let limits = limits(thread).expect("tabled");
            assert!(
                limits.hole_pitch < limits.bolt_major && limits.bolt_major < thread.diameter,
                "{}",
                thread.name
            );
            let pitch = thread.diameter - thread.pitch * 0.649_52;
            assert!(
                limits.hole_pitch > pitch && limits.hole_pitch < pitch + Mm::new(0.22),
                "{}",
                thread.name
            );
        }
        let odd = Thread { name: "M7", ..THREADS[0] };
        assert!(engagement(&odd, 1.0, MPa::new(1.0)).is_err(), "no limits");
    }

    /// Common practice.
    #[test]
    fn a_blind_hole_is_deeper_than_its_thread() {
        let [tapped, drilled] = blind_hole(thread("M10"), Mm::new(18.0));
        near(tapped.get(), 21.0, 1e-12);
        near(drilled.get(), 26.0, 1e-12);
    }
}
