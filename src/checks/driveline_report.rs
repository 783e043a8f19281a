//! Figures of fits and driveline without a limit, such as the bore to finish to and the gears to choose.

use super::Unit;

/// One figure.
#[derive(Clone, Debug, PartialEq)]
pub struct Figure {
    /// The part it belongs to, such as `bushing`.
    pub subject: &'static str,
    /// What it is.
    pub what: String,
    /// Least and greatest value; equal for a single value.
    pub range: [f64; 2],
    /// Its unit.
    pub unit: Unit,
    /// Whether it is shown without `--sums`.
    pub leading: bool,
    /// Its use or its source.
    pub note: String,
}

/// A table of choices.
#[derive(Clone, Debug, PartialEq)]
pub struct Table {
    /// What it belongs to.
    pub subject: &'static str,
    /// What it shows.
    pub title: String,
    /// Its columns after the first, which names the row.
    pub columns: Vec<(&'static str, Unit)>,
    /// Its rows: name, values.
    pub rows: Vec<(String, Vec<f64>)>,
}

/// The greatest stress of all load cases in one section of the housing, without notches, N/mm².
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SectionStress {
    /// Station of the section, mm.
    pub station: f64,
    /// In bending.
    pub bending: f64,
    /// In torsion.
    pub torsion: f64,
}

/// All figures and tables.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct DrivelineReport {
    /// Figures, in the order of the parts.
    pub figures: Vec<Figure>,
    /// Tables.
    pub tables: Vec<Table>,
    /// Stress along the housing, from the gearbox face aft.
    pub stress: Vec<SectionStress>,
}

impl DrivelineReport {
    /// Adds a figure.
    pub(super) fn add(
        &mut self,
        subject: &'static str,
        what: &str,
        value: f64,
        unit: Unit,
        note: impl Into<String>,
    ) {
        self.between(subject, what, [value; 2], unit, note);
    }

    /// Adds a figure between two ends.
    pub(super) fn between(
        &mut self,
        subject: &'static str,
        what: &str,
        range: [f64; 2],
        unit: Unit,
        note: impl Into<String>,
    ) {
        self.figures.push(Figure {
            subject,
            what: what.to_owned(),
            range,
            unit,
            leading: false,
            note: note.into(),
        });
    }

    /// Marks the last figure as one that is shown without `--sums`.
    pub(super) fn leading(&mut self) {
        if let Some(last) = self.figures.last_mut() {
            last.leading = true;
        }
    }
}
