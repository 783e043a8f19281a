//! Threads, and holes named by them.

use super::{Doubt, Fault, Kind, Length, Range, codes, shorten};
use crate::params::reference::About;
use crate::standards::threads::{self, Thread};
use crate::units::{Mm, Units};

/// A screw thread of the table, such as `M10` or `3/8-16`.
#[derive(Debug, Clone, Copy)]
pub struct ThreadName;

impl Kind for ThreadName {
    type Value = &'static Thread;

    fn read(&self, text: &str, _: Option<Units>) -> Result<&'static Thread, Fault> {
        threads::find(text).ok_or_else(|| {
            Fault::new(codes::NOT_A_CHOICE, format!("`{}` is not a thread of the table", shorten(text)))
                .allowed(self.allowed(Units::Mm))
                .because("tapping drill and clearance hole come from the thread table")
        })
    }

    fn show(&self, value: &&'static Thread, _: Units) -> String {
        value.name.to_owned()
    }

    fn about(&self) -> About {
        About::Thread
    }
}

/// A through hole: clearance for a named screw, or a diameter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum HoleSize {
    /// The clearance hole of this thread (ISO 273 medium, ASME B18.2.8 normal).
    Clearance(&'static Thread),
    /// A plain diameter.
    Diameter(Mm),
}

impl HoleSize {
    /// The thread of the screw that goes through, where one is named.
    pub fn thread(self) -> Option<&'static Thread> {
        match self {
            Self::Clearance(thread) => Some(thread),
            Self::Diameter(_) => None,
        }
    }

    /// Diameter of the hole.
    pub fn diameter(self) -> Mm {
        match self {
            Self::Clearance(thread) => thread.clearance,
            Self::Diameter(diameter) => diameter,
        }
    }
}

/// Below this difference, in millimetres, a diameter and a thread's are the same number.
const SAME_NUMBER: f64 = 1e-9;

/// Reads a [`HoleSize`]; a diameter must lie in the range.
#[derive(Debug, Clone, Copy)]
pub struct Hole(pub Range);

impl Kind for Hole {
    type Value = HoleSize;

    fn read(&self, text: &str, bare: Option<Units>) -> Result<HoleSize, Fault> {
        if let Some(thread) = threads::find(text) {
            return Ok(HoleSize::Clearance(thread));
        }
        let screw_like = text.trim().starts_with(['M', 'm']) || text.contains('-');
        if screw_like {
            return ThreadName.read(text, bare).map(HoleSize::Clearance);
        }
        Length(self.0).read(text, bare).map(HoleSize::Diameter)
    }

    /// A bare number that is also the diameter of a screw: drawings write the hole of an M10 screw as 11, that of a 3/8 in screw as 13/32.
    fn doubt(&self, text: &str, value: &HoleSize) -> Option<Doubt> {
        let HoleSize::Diameter(diameter) = value else { return None };
        let bare = text.trim();
        // Only a number without a unit is read otherwise in the other unit.
        let reads = |units| self.read(text, Some(units)).as_ref() == Ok(value);
        let units = match [Units::Mm, Units::Inch].map(reads) {
            [true, false] => Units::Mm,
            [false, true] => Units::Inch,
            _ => return None,
        };
        let thread = threads::THREADS.iter().find(|thread| {
            thread.is_metric() == (units == Units::Mm)
                && !thread.is_fine()
                && (thread.diameter.get() - diameter.get()).abs() < SAME_NUMBER
        })?;
        let (name, unit) = (thread.name, units.name());
        let article = if thread.is_metric() { "an" } else { "a" };
        Some(Doubt {
            message: format!(
                "taken as a hole of {bare} {unit}, into which {article} {name} screw does not go"
            ),
            meant: format!("{name} is the clearance hole of that screw, {}", units.show(thread.clearance)),
            hint: format!("write `{name}` if the screw was meant, else `{bare} {unit}`"),
        })
    }

    fn show(&self, value: &HoleSize, units: Units) -> String {
        match value {
            HoleSize::Clearance(thread) => thread.name.to_owned(),
            HoleSize::Diameter(diameter) => units.show(*diameter),
        }
    }

    fn about(&self) -> About {
        About::Hole(self.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 3/8 in is the diameter of a screw (ASME B1.1), and so is 10 mm (ISO 261); their holes are 13/32 in and 11 mm (ISO 273; ASME B18.2.8,
    /// from memory). With its unit, a diameter is taken as it is written.
    #[test]
    fn a_screws_own_diameter_is_doubted_in_both_units() {
        let kind = Hole(Range { least: 1.0, most: 100.0, reason: "a test" });
        let told = |text: &str, mm: f64| kind.doubt(text, &HoleSize::Diameter(Mm::new(mm)));
        let inch = told("3/8", 9.525).expect("doubted");
        assert_eq!(inch.message, "taken as a hole of 3/8 in, into which a 3/8-16 screw does not go");
        assert!(inch.meant.contains("0.4063 in"), "{}", inch.meant);
        assert!(told("0.375", 9.525).is_some_and(|d| d.hint.contains("`0.375 in`")));
        let metric = told("10", 10.0).expect("doubted");
        assert_eq!(metric.message, "taken as a hole of 10 mm, into which an M10 screw does not go");
        for (text, mm) in [("11", 11.0), ("13/32", 10.31875), ("3/8 in", 9.525), ("10 mm", 10.0)] {
            assert_eq!(told(text, mm).map(|d| d.message), None, "{text}");
        }
    }
}
