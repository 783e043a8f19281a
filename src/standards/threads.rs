//! Screw threads of housings: tapping drill and clearance hole, metric coarse and unified inch.

use crate::units::Mm;

/// One screw thread with the holes that go with it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Thread {
    /// Name as written in a parameter file, such as `M10` or `3/8-16`.
    pub name: &'static str,
    /// Nominal (major) diameter.
    pub diameter: Mm,
    /// Pitch.
    pub pitch: Mm,
    /// Tapping drill, the diameter to which a tapped hole is modelled.
    pub tap_drill: Mm,
    /// Clearance hole: ISO 273 medium, or ASME B18.2.8 normal.
    pub clearance: Mm,
    /// Where the row was taken from.
    pub source: &'static str,
}

const ISO: &str = "ISO 261/262 (pitch, tapping drill = d - P rounded to stock drills), ISO 273 medium; read";
const UNIFIED: &str = "ASME B1.1 tapping drill chart, ASME B18.2.8 normal clearance; read";
const UNIFIED_HALF: &str = "ASME B1.1 tapping drill chart, read; clearance ASME B18.2.8 normal, from memory";

const fn metric(name: &'static str, d: f64, pitch: f64, drill: f64, clearance: f64) -> Thread {
    Thread {
        name,
        diameter: Mm::new(d),
        pitch: Mm::new(pitch),
        tap_drill: Mm::new(drill),
        clearance: Mm::new(clearance),
        source: ISO,
    }
}

const fn unified(name: &'static str, d: f64, per_inch: f64, drill: f64, clearance: f64) -> Thread {
    Thread {
        name,
        diameter: Mm::inches(d),
        pitch: Mm::inches(1.0 / per_inch),
        tap_drill: Mm::inches(drill),
        clearance: Mm::inches(clearance),
        source: if d < 0.5 { UNIFIED } else { UNIFIED_HALF },
    }
}

/// All threads that a parameter file may name. Pitches, drills, clearance holes: read in the documents that each row names.
pub static THREADS: &[Thread] = &[
    metric("M6", 6.0, 1.0, 5.0, 6.6),
    metric("M8", 8.0, 1.25, 6.8, 9.0),
    metric("M10", 10.0, 1.5, 8.5, 11.0),
    metric("M12", 12.0, 1.75, 10.2, 13.5),
    unified("1/4-20", 0.25, 20.0, 0.201, 9.0 / 32.0),
    unified("1/4-28", 0.25, 28.0, 0.213, 9.0 / 32.0),
    unified("5/16-18", 0.3125, 18.0, 0.257, 11.0 / 32.0),
    unified("5/16-24", 0.3125, 24.0, 0.272, 11.0 / 32.0),
    unified("3/8-16", 0.375, 16.0, 0.3125, 13.0 / 32.0),
    unified("3/8-24", 0.375, 24.0, 0.332, 13.0 / 32.0),
    unified("7/16-14", 0.4375, 14.0, 0.368, 15.0 / 32.0),
    unified("7/16-20", 0.4375, 20.0, 25.0 / 64.0, 15.0 / 32.0),
    unified("1/2-13", 0.5, 13.0, 27.0 / 64.0, 9.0 / 16.0),
    unified("1/2-20", 0.5, 20.0, 29.0 / 64.0, 9.0 / 16.0),
];

/// The thread of this name; case does not matter.
pub fn find(name: &str) -> Option<&'static Thread> {
    THREADS.iter().find(|thread| thread.name.eq_ignore_ascii_case(name.trim()))
}

impl Thread {
    /// Whether it is a metric thread, not a unified one.
    pub fn is_metric(&self) -> bool {
        self.name.starts_with('M')
    }

    /// Whether it is of the fine series: a unified one with more threads to the inch than the other of its diameter (ASME B1.1, from memory).
    pub fn is_fine(&self) -> bool {
        !self.is_metric()
            && THREADS.iter().any(|other| other.diameter == self.diameter && other.pitch > self.pitch)
    }

    /// Stress area of a bolt of this thread, mm²: `π/4 (d − 0.9382 P)²` metric (ISO 898-1, read), `π/4 (d − 0.9743 P)²`
    /// unified (Machinery's Handbook, 31st ed., p. 1741, read).
    pub fn stress_area(&self) -> f64 {
        let less = if self.is_metric() { 0.9382 } else { 0.9743 };
        let d = self.diameter - self.pitch * less;
        0.25 * std::f64::consts::PI * d.get().powi(2)
    }

    /// Share of the full thread that a hole of this diameter leaves (Machinery's Handbook, read).
    pub fn share(&self, hole: Mm) -> f64 {
        (self.diameter - hole) / (self.pitch * 1.299)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Stress areas of ISO 898-1 and of the unified threads, read; the share of M8 and M10 is derived.
    #[test]
    fn t4_3_stress_areas_and_shares() {
        let thread = |name| find(name).expect("in the table");
        let area = |name| thread(name).stress_area();
        assert!((area("M10") - 57.99).abs() < 0.005, "{}", area("M10"));
        assert!((area("3/8-16") / 645.16 - 0.07749).abs() < 5e-6, "{}", area("3/8-16"));
        for (name, want) in [("M6", 20.1), ("M8", 36.6), ("M10", 58.0), ("M12", 84.3)] {
            assert!((area(name) - want).abs() < 0.05, "{name}: {}", area(name));
        }
        for (name, want) in [
            ("1/4-20", 0.0318),
            ("1/4-28", 0.0364),
            ("5/16-18", 0.0524),
            ("5/16-24", 0.0580),
            ("3/8-16", 0.0775),
            ("3/8-24", 0.0878),
            ("7/16-14", 0.1063),
            ("7/16-20", 0.1187),
            ("1/2-13", 0.1419),
            ("1/2-20", 0.1599),
        ] {
            assert!((area(name) / 645.16 - want).abs() < 1e-4, "{name}: {}", area(name) / 645.16);
        }
        assert!((thread("M10").share(Mm::new(8.5)) - 0.77).abs() < 0.005, "M10");
        assert!((thread("M8").share(Mm::new(6.8)) - 0.74).abs() < 0.005, "M8");
    }

    /// Machinery's Handbook's formula, read; the range is common practice.
    #[test]
    fn tapping_drill_leaves_60_to_85_percent_of_the_thread() {
        // Thread share = (d - drill) / (1.299 P), Machinery's Handbook.
        for thread in THREADS {
            let share = (thread.diameter - thread.tap_drill) / (thread.pitch * 1.299);
            assert!((0.60..=0.85).contains(&share), "{}: {share:.2}", thread.name);
        }
        let m10 = find("m10").expect("M10 is in the table");
        assert!(
            ((m10.diameter - m10.tap_drill) / (m10.pitch * 1.299) - 0.77).abs() < 0.005,
            "M10 with 8.5: 77 %"
        );
    }

    /// No outside value: a property of the table itself.
    #[test]
    fn clearance_hole_clears_the_screw() {
        for thread in THREADS {
            assert!(thread.clearance > thread.diameter, "{}", thread.name);
        }
    }
}
