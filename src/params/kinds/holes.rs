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

    /// A bare number that is also the number of a metric thread: drawings write the hole of an M10 screw as 11.
    fn doubt(&self, text: &str, value: &HoleSize) -> Option<Doubt> {
        let HoleSize::Diameter(diameter) = value else { return None };
        let bare = text.trim();
        let thread = threads::find(&format!("M{bare}"))?;
        ((diameter.get() - thread.diameter.get()).abs() < SAME_NUMBER).then(|| Doubt {
            message: format!("taken as a hole of {bare} mm, into which an {} screw does not go", thread.name),
            meant: format!(
                "{} is the clearance hole of that screw, {} mm",
                thread.name,
                thread.clearance.get()
            ),
            hint: format!("write `{}` if the screw was meant, else `{bare} mm`", thread.name),
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
