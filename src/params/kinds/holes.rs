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

/// The screw of this nominal diameter, and the unit in which a number without one was read. Of inch screws, the coarse one.
fn bare_size(bare: &str, diameter: Mm) -> Option<(Units, &'static Thread)> {
    let same = |thread: &&Thread| (diameter - thread.diameter).get().abs() < SAME_NUMBER;
    if let Some(thread) = threads::find(&format!("M{bare}")) {
        return same(&thread).then_some((Units::Mm, thread));
    }
    // With a unit nothing is doubtful; and a millimetre file's 6.35 is no size of a screw.
    let number = bare.chars().all(|c| c.is_ascii_digit() || "./ ".contains(c));
    let in_mm = bare.parse::<f64>().is_ok_and(|v| (v - diameter.get()).abs() < SAME_NUMBER);
    if !number || in_mm {
        return None;
    }
    threads::THREADS
        .iter()
        .filter(|thread| !thread.is_metric())
        .find(same)
        .map(|thread| (Units::Inch, thread))
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

    /// A bare number that is also the nominal diameter of a screw in the unit it was read in: drawings write the hole of an M10 screw
    /// as 11, that of a 3/8 screw as 0.406.
    fn doubt(&self, text: &str, value: &HoleSize) -> Option<Doubt> {
        let HoleSize::Diameter(diameter) = value else { return None };
        let bare = text.trim();
        let (units, thread) = bare_size(bare, *diameter)?;
        let symbol = if units == Units::Inch { "in" } else { "mm" };
        let article = if thread.is_metric() { "an" } else { "a" };
        Some(Doubt {
            message: format!(
                "taken as a hole of {bare} {symbol}, into which {article} {} screw does not go",
                thread.name
            ),
            meant: format!(
                "{} is the clearance hole of that screw, {}",
                thread.name,
                units.show(thread.clearance)
            ),
            hint: format!("write `{}` if the screw was meant, else `{bare} {symbol}`", thread.name),
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

    fn doubted(text: &str, bare: Units) -> Option<String> {
        let hole = Hole(Range { least: 3.0, most: 40.0, reason: "a test" });
        let value = hole.read(text, Some(bare)).expect("a hole");
        hole.doubt(text, &value).map(|doubt| format!("{}; {}; {}", doubt.message, doubt.meant, doubt.hint))
    }

    #[test]
    fn a_bare_number_is_doubtful_where_it_is_the_size_of_a_screw_in_the_files_unit() {
        let told = doubted("3/8", Units::Inch).expect("the size of a screw");
        assert!(
            told.starts_with("taken as a hole of 3/8 in, into which a 3/8-16 screw does not go"),
            "{told}"
        );
        assert!(told.ends_with("write `3/8-16` if the screw was meant, else `3/8 in`"), "{told}");
        assert!(doubted("0.375", Units::Inch).is_some(), "the same in decimals");
        assert!(doubted("10", Units::Mm).is_some_and(|told| told.contains("an M10 screw")));
        for (text, bare) in [
            ("0.4", Units::Inch),
            ("3/8 in", Units::Inch),
            ("3/8-16", Units::Inch),
            ("6.35", Units::Mm),
            ("10 mm", Units::Mm),
        ] {
            assert_eq!(doubted(text, bare), None, "{text}");
        }
    }
}
