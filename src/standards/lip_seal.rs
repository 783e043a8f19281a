//! What a rotary lip seal asks of the bore it is pressed into and of the journal it runs on.
//!
//! The depth of the counterbore in use is in [`super::seals`].

use std::f64::consts::PI;

use super::limits_and_fits::{Deviations, FitError, ToleranceClass};
use crate::units::{Deg, Mm};

/// Why there is no value.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum SealError {
    /// Not a bore of the table.
    #[error("{0} is outside the table of seal presses, which is for bores over 0 up to 500 mm")]
    Bore(Mm),
    /// Not a width that seals have.
    #[error("{0} is no width of a seal here; 7 to 20 mm are tabled")]
    Width(Mm),
    /// Not a journal of the table.
    #[error("{0} is outside the table of lead-ins, which is for journals over 20 up to 70 mm")]
    Journal(Mm),
    /// No limits of size.
    #[error(transparent)]
    Fit(#[from] FitError),
}

/// Outside of a seal.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Casing {
    /// Bare metal.
    Metal,
    /// Rubber over metal.
    Rubber,
}

/// Upper end of a row (bore, mm), and lower and upper deviation of the seal's outside, mm: metal, rubber.
/// DIN 3760:1996 by several seal pages, read; one of them gives rubber of 180 to 300 mm +0.30 instead of +0.25.
const PRESSES: [(f64, [f64; 2], [f64; 2]); 6] = [
    (50.0, [0.10, 0.20], [0.15, 0.30]),
    (80.0, [0.13, 0.23], [0.20, 0.35]),
    (120.0, [0.15, 0.25], [0.20, 0.35]),
    (180.0, [0.18, 0.28], [0.25, 0.45]),
    (300.0, [0.20, 0.30], [0.25, 0.45]),
    (500.0, [0.23, 0.35], [0.30, 0.55]),
];

/// Lower and upper deviation of a seal's outside from its nominal bore (DIN 3760:1996 by seal pages, read).
///
/// # Errors
/// Bores outside 0 to 500 mm.
pub fn outside(bore: Mm, casing: Casing) -> Result<Deviations, SealError> {
    let d = bore.get();
    let row = PRESSES.iter().find(|(end, ..)| d > 0.0 && d <= *end).ok_or(SealError::Bore(bore))?;
    let [lower, upper] = if casing == Casing::Metal { row.1 } else { row.2 };
    Ok(Deviations { lower: Mm::new(lower), upper: Mm::new(upper) })
}

fn of_class(class: &str, size: Mm) -> Result<Deviations, SealError> {
    Ok(class.parse::<ToleranceClass>()?.deviations(size)?)
}

/// Deviations of the bore: H8 (trade guide to DIN 3760, read; ISO 6194-1, from memory).
///
/// # Errors
/// Bores outside 0 to 500 mm.
pub fn bore_deviations(bore: Mm) -> Result<Deviations, SealError> {
    of_class("H8", bore)
}

/// Deviations of the journal: h11 (read).
///
/// # Errors
/// Journals outside 0 to 500 mm.
pub fn journal_deviations(journal: Mm) -> Result<Deviations, SealError> {
    of_class("h11", journal)
}

/// Depths of a counterbore that a seal's width asks for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Depths {
    /// Least depth of full diameter: 0.85 of the width (trade guide, read; it rounds 10.2 up to 10.3 for 12 mm).
    pub full: Mm,
    /// Least depth to the shoulder: width + 0.3 (trade guide, read).
    pub shoulder: Mm,
    /// The same by ISO 6194-1, from memory: width + 0.9 up to 10 mm, + 1.2 above.
    pub shoulder_iso: Mm,
    /// Largest radius in the corner: 0.5 up to 10 mm, 0.7 above (trade guide, read; ISO 6194-1 0.5 and 0.75, from memory).
    pub corner_radius: Mm,
    /// Length of the lead-in, range: ISO 6194-1, from memory.
    pub lead_in: [Mm; 2],
}

/// Angle of the bore's lead-in to its axis, range that the guide (10 to 20, read) and ISO 6194-1 (15 to 30, from memory) share.
pub const BORE_LEAD_IN: [Deg; 2] = [Deg::new(15.0), Deg::new(20.0)];

/// Depths for a seal of this width: the rules of [`super::seals::DEPTH_SOURCE`], one read and one from memory.
///
/// # Errors
/// Widths outside 7 to 20 mm.
pub fn depths(width: Mm) -> Result<Depths, SealError> {
    let b = width.get();
    if !(7.0..=20.0).contains(&b) {
        return Err(SealError::Width(width));
    }
    let narrow = b <= 10.0;
    let (radius, lead_in) = if narrow { (0.5, [0.7, 1.0]) } else { (0.7, [1.2, 1.5]) };
    Ok(Depths {
        full: width * 0.85,
        shoulder: width + Mm::new(0.3),
        shoulder_iso: super::seals::counterbore_depth(width),
        corner_radius: Mm::new(radius),
        lead_in: lead_in.map(Mm::new),
    })
}

/// By how much the nose of the journal is smaller than the journal, on the diameter, so that the lip slides on (ISO 6194-1, from memory).
///
/// # Errors
/// Journals outside 20 to 70 mm.
pub fn nose_reduction(journal: Mm) -> Result<Mm, SealError> {
    let rows = [(30.0, 2.5), (40.0, 3.0), (50.0, 3.5), (70.0, 4.0)];
    let d = journal.get();
    let row = rows.iter().find(|(end, _)| d > 20.0 && d <= *end);
    row.map(|(_, less)| Mm::new(*less)).ok_or(SealError::Journal(journal))
}

/// Least hardness of the journal, HRC: 45, and 55 with dirt or from 4 m/s on; case of 0.3 mm at least (read).
pub fn least_hardness(speed: f64, dirt: bool) -> f64 {
    if dirt || speed >= 4.0 { 55.0 } else { 45.0 }
}

/// Rubber of the lip.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Lip {
    /// Nitrile.
    Nbr,
    /// Hydrogenated nitrile.
    Hnbr,
    /// Polyacrylate.
    Acm,
    /// Silicone.
    Vmq,
    /// Fluorocarbon.
    Fkm,
}

impl Lip {
    /// Speed a lip of this rubber stands, m/s (DIN 3760's diagram, from memory; a fifth more or less).
    pub const fn speed_limit(self) -> f64 {
        match self {
            Self::Nbr => 12.0,
            Self::Hnbr => 20.0,
            Self::Acm => 18.0,
            Self::Vmq | Self::Fkm => 35.0,
        }
    }
}

impl Lip {
    /// Highest temperature of mineral gear oil that a lip of this rubber stands for long, °C (guides of seal makers, from
    /// memory; ten degrees more or less). Additives of gear oils harden nitrile sooner than engine oils do.
    pub const fn hottest_oil(self) -> f64 {
        match self {
            Self::Nbr => 100.0,
            Self::Hnbr => 130.0,
            Self::Acm => 125.0,
            Self::Vmq | Self::Fkm => 150.0,
        }
    }
}

/// Speed of a journal under the lip, m/s, at revolutions per minute (geometry).
pub fn lip_speed(journal: Mm, rpm: f64) -> f64 {
    PI * journal.get() * rpm / 60_000.0
}

/// Revolutions per minute at which a journal reaches a speed, m/s (geometry).
pub fn rpm_at(journal: Mm, speed: f64) -> f64 {
    60_000.0 * speed / (PI * journal.get())
}

/// Greatest offset of the journal from the bore (shaft to bore misalignment; trade rule, read).
pub const MOST_OFFSET: Mm = Mm::new(0.08);
/// Greatest dynamic runout, total indicated (trade rule, read).
pub const MOST_RUNOUT: Mm = Mm::new(0.13);
/// Greatest sum of both (trade rule, read).
pub const MOST_SUM: Mm = Mm::new(0.20);

/// Offset of a sliding yoke from the seal's bore: half the coaxiality of bush and seal bore, and half the yoke's clearance in
/// the bush (practice).
pub fn yoke_offset(coaxiality: Mm, clearance: Mm) -> Mm {
    (coaxiality + clearance) / 2.0
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(value: f64, want: f64, within: f64) {
        assert!((value - want).abs() <= within, "{value} for {want}");
    }

    /// Derived; limits by rubber from memory.
    #[test]
    fn t3_1_lip_speeds() {
        near(lip_speed(Mm::new(38.0), 6000.0), 11.938, 5e-4);
        near(lip_speed(Mm::new(45.0), 4000.0), 9.425, 5e-4);
        near(rpm_at(Mm::new(38.0), Lip::Nbr.speed_limit()), 6031.0, 0.5);
        near(rpm_at(Mm::new(38.0), 14.0), 7036.0, 0.5);
    }

    /// Trade guide, read; ISO 6194-1 from memory. 11 mm is the designer's rounding up of 10.9.
    #[test]
    fn t3_2_depths_of_a_10_mm_seal() {
        let depths = depths(Mm::new(10.0)).expect("a width");
        near(depths.full.get(), 8.5, 1e-12);
        near(depths.shoulder.get(), 10.3, 1e-12);
        near(depths.shoulder_iso.get(), 10.9, 1e-12);
        near(depths.shoulder.max(depths.shoulder_iso).get().ceil(), 11.0, 1e-12);
    }

    /// The guide's rows, read: it prints 10.3 for 12 mm where 0.85 of it is 10.2.
    #[test]
    fn depths_of_the_guide() {
        for (b, full, shoulder) in [
            (7.0, 5.95, 7.3),
            (8.0, 6.8, 8.3),
            (10.0, 8.5, 10.3),
            (12.0, 10.3, 12.3),
            (15.0, 12.75, 15.3),
            (20.0, 17.0, 20.3),
        ] {
            let depths = depths(Mm::new(b)).expect("a width");
            near(depths.full.get(), full, 0.1 + 1e-9);
            near(depths.shoulder.get(), shoulder, 1e-12);
        }
    }

    /// A seal page's own example, read: rubber of 50 mm is made 50.15 to 50.30.
    #[test]
    fn rubber_of_50_is_50_15_to_50_30() {
        let [least, greatest] =
            outside(Mm::new(50.0), Casing::Rubber).expect("in the table").sizes(Mm::new(50.0));
        near(least.get(), 50.15, 1e-9);
        near(greatest.get(), 50.30, 1e-9);
    }

    /// Seal tables, read: H8 bores and h11 journals of every step of sizes.
    #[test]
    fn bores_and_journals_of_seal_tables() {
        for (size, hole, shaft) in [
            (25.0, 0.033, 0.130),
            (45.0, 0.039, 0.160),
            (60.0, 0.046, 0.190),
            (100.0, 0.054, 0.220),
            (150.0, 0.063, 0.250),
            (200.0, 0.072, 0.290),
            (300.0, 0.081, 0.320),
            (400.0, 0.089, 0.360),
            (500.0, 0.097, 0.400),
        ] {
            near(bore_deviations(Mm::new(size)).expect("in the table").upper.get(), hole, 1e-12);
            near(journal_deviations(Mm::new(size)).expect("in the table").lower.get(), -shaft, 1e-12);
        }
    }

    /// Geometry by hand; the hardness by a trade guide, read.
    #[test]
    fn runout_is_shared_out() {
        near(yoke_offset(Mm::new(0.05), Mm::new(0.09)).get(), 0.07, 1e-12);
        assert!(least_hardness(3.9, false) < least_hardness(4.0, false), "speed");
    }

    /// No outside value: what is read, shown or refused.
    #[test]
    fn outside_the_tables_the_range_is_told() {
        assert!(outside(Mm::new(500.1), Casing::Metal).is_err() && depths(Mm::new(6.9)).is_err(), "ends");
        assert!(nose_reduction(Mm::new(20.0)).is_err(), "a small journal");
        assert_eq!(nose_reduction(Mm::new(40.0)), Ok(Mm::new(3.0)), "the end belongs to the row");
    }
}
