//! Published tables and the formulas that go with them: each row or column names where it was taken from.
//!
//! Tags in the source notes: *read* = the value was read in the named document or a page quoting it; *from memory* = the
//! document is named, its text was not seen; *derived* = follows from geometry or arithmetic;
//! *practice* = common shop practice, so a value from it may be overridden and is never the cause of an error.
//! A function that refuses such a value says so with a typed error for the caller to turn into a warning.

pub mod cast_letters;
pub mod casting_tolerance;
pub mod core_prints;
pub mod cored_holes;
pub mod feeding;
pub mod gating;
pub mod general_tolerance;
pub mod hot_spots;
pub mod machining_allowance;
pub mod materials;
pub mod printing;
pub mod properties;

pub mod fit_names;
pub mod inch_fits;
pub mod limits_and_fits;
#[cfg(test)]
mod limits_and_fits_formulas;
mod limits_and_fits_tables;

pub mod mating_materials;
pub mod plain_bearing;
pub mod press_fit;

pub mod lip_seal;
pub mod oil;
pub mod seals;

pub mod worked;

pub mod beam;
pub mod bolt_group;
pub mod bolt_strength;
pub mod bolts;
pub mod drills;
pub mod gasket;
pub mod notch;
pub mod thread_engagement;
pub mod threads;
pub mod torsion;

pub mod position;
pub mod stack;
pub mod stack_trials;

pub mod cardan;
pub mod propshaft;
pub mod slip_yoke;

pub mod crossed_helical;
pub mod pattern_trials;
pub mod speedometer;

#[cfg(test)]
mod published_examples;
