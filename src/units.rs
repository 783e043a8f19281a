//! Typed quantities, and the only place where units are converted.
//!
//! A parameter file speaks millimetres or inches and degrees; the model speaks millimetres and, inside
//! `geometry` alone, radians. One inch is 25.4 mm exactly (international inch, 1959).

mod read;
mod sentence;

use std::fmt;
use std::ops::{Add, Div, Mul, Neg, Sub};

use crate::words::{fixed, place};

pub use read::{
    QuantityError, parse_angle, parse_density, parse_length, parse_measure, parse_percent, parse_plain,
};

/// Millimetres in one inch, exact by definition.
pub const MM_PER_INCH: f64 = 25.4;

/// Kilograms in one pound, exact by definition.
const KG_PER_POUND: f64 = 0.453_592_37;

macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident, $unit:literal) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
        pub struct $name(f64);

        impl $name {
            /// Wraps a plain number that is already in this unit.
            pub const fn new(value: f64) -> Self {
                Self(value)
            }

            /// The plain number in this unit.
            pub const fn get(self) -> f64 {
                self.0
            }

            /// The smaller of two.
            #[must_use]
            pub fn min(self, other: Self) -> Self {
                Self(self.0.min(other.0))
            }

            /// The larger of two.
            #[must_use]
            pub fn max(self, other: Self) -> Self {
                Self(self.0.max(other.0))
            }

            /// The size without its sign.
            #[must_use]
            pub fn abs(self) -> Self {
                Self(self.0.abs())
            }
        }

        impl Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0 + other.0)
            }
        }

        impl Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self(self.0 - other.0)
            }
        }

        impl Neg for $name {
            type Output = Self;
            fn neg(self) -> Self {
                Self(-self.0)
            }
        }

        impl Mul<f64> for $name {
            type Output = Self;
            fn mul(self, factor: f64) -> Self {
                Self(self.0 * factor)
            }
        }

        impl Div<f64> for $name {
            type Output = Self;
            fn div(self, divisor: f64) -> Self {
                Self(self.0 / divisor)
            }
        }

        impl Div for $name {
            type Output = f64;
            fn div(self, other: Self) -> f64 {
                self.0 / other.0
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                write!(f, "{} {}", plain(self.0), $unit)
            }
        }
    };
}

quantity! {
    /// A length in millimetres.
    Mm, "mm"
}
quantity! {
    /// An angle in degrees.
    Deg, "deg"
}
quantity! {
    /// A mass in kilograms.
    Kg, "kg"
}
quantity! {
    /// A stress or pressure in megapascals (newtons per square millimetre).
    MPa, "MPa"
}
quantity! {
    /// A density in kilograms per cubic metre.
    KgPerM3, "kg/m³"
}
quantity! {
    /// A part of a whole in percent.
    Percent, "%"
}

impl Percent {
    /// The same as a share: 0.013 for 1.3 %.
    pub const fn share(self) -> f64 {
        self.0 / 100.0
    }
}

impl Mm {
    /// A length given in inches.
    ///
    /// Ten inches are 254 mm, a whole number: by that road a decimal inch mostly lands on the very number that the
    /// millimetres of a drawing would be read as.
    pub const fn inches(value: f64) -> Self {
        Self(value * (10.0 * MM_PER_INCH) / 10.0)
    }

    /// The same length in inches.
    pub const fn to_inches(self) -> f64 {
        self.0 / MM_PER_INCH
    }
}

impl Deg {
    /// The same angle in radians, for `geometry`.
    pub const fn to_radians(self) -> f64 {
        self.0.to_radians()
    }

    /// Sine and cosine; exact at every quarter turn, so that a hole straight up lies straight up.
    pub fn sin_cos(self) -> (f64, f64) {
        let turn = self.0.rem_euclid(360.0);
        match turn {
            0.0 => (0.0, 1.0),
            90.0 => (1.0, 0.0),
            180.0 => (0.0, -1.0),
            270.0 => (-1.0, 0.0),
            _ => turn.to_radians().sin_cos(),
        }
    }

    /// Tangent.
    pub fn tan(self) -> f64 {
        self.to_radians().tan()
    }
}

/// A number as a person would write it: at most four decimals, no trailing zeros.
fn plain(value: f64) -> String {
    short(value, 4)
}

/// A number of at most so many decimals, at least one, without trailing zeros.
fn short(value: f64, decimals: usize) -> String {
    fixed(value, decimals.max(1)).trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// The unit of a bare length in a parameter file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Units {
    /// Millimetres.
    Mm,
    /// Inches.
    Inch,
}

impl Units {
    /// Its name in sentences.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Mm => "millimetres",
            Self::Inch => "inches",
        }
    }

    /// Its name in a parameter file.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Mm => "mm",
            Self::Inch => "in",
        }
    }

    /// A length written in this unit; an inch file also gets the millimetres.
    pub fn show(self, length: Mm) -> String {
        match self {
            Self::Mm => length.to_string(),
            Self::Inch => format!("{} in ({length})", self.bare(length)),
        }
    }

    /// As [`Units::show`], with so many decimals in millimetres and two more in inches, each rounded from the length itself: rounded
    /// one after the other, 1.9375 in would become 1.9374.
    pub fn rounded(self, mm: f64, decimals: u8) -> String {
        match self {
            Self::Mm => self.in_table(mm, decimals),
            Self::Inch => format!("{} ({})", self.in_table(mm, decimals), Self::Mm.in_table(mm, decimals)),
        }
    }

    /// As [`Units::rounded`], in this unit alone: for tables, whose columns of inches with millimetres beside them are too wide for a page.
    pub fn in_table(self, mm: f64, decimals: u8) -> String {
        let decimals = usize::from(decimals);
        match self {
            Self::Mm => format!("{} mm", short(mm, decimals)),
            Self::Inch => format!("{} in", short(Mm::new(mm).to_inches(), (decimals + 2).min(4))),
        }
    }

    /// A length given in mm, in this unit alone: with so many decimals, and two more in inches, but no more than four.
    pub fn to_places(self, mm: f64, decimals: usize) -> String {
        format!("{} {}", self.number(mm, decimals), self.name())
    }

    /// A range of lengths given in mm, as [`Units::to_places`] has one.
    pub fn between(self, [low, high]: [f64; 2], decimals: usize) -> String {
        format!("{} to {} {}", self.number(low, decimals), self.number(high, decimals), self.name())
    }

    /// The number of [`Units::to_places`].
    fn number(self, mm: f64, decimals: usize) -> String {
        match self {
            Self::Mm => fixed(mm, decimals),
            Self::Inch => fixed(Mm::new(mm).to_inches(), (decimals + 2).min(4)),
        }
    }

    /// An area given in mm²: in this unit, to a whole mm² or a hundredth of a square inch.
    pub fn area(self, square_mm: f64) -> String {
        match self {
            Self::Mm => format!("{} mm²", fixed(square_mm, 0)),
            Self::Inch => format!("{} in²", fixed(square_mm / (MM_PER_INCH * MM_PER_INCH), 2)),
        }
    }

    /// A volume given in mm³: in cm³ to a tenth, or cubic inches to a hundredth.
    pub fn volume(self, cubic_mm: f64) -> String {
        match self {
            Self::Mm => format!("{} cm³", fixed(cubic_mm / 1e3, 1)),
            Self::Inch => format!("{} in³", fixed(cubic_mm / MM_PER_INCH.powi(3), 2)),
        }
    }

    /// A place given in mm: in this unit, to a tenth of a millimetre or a hundredth of an inch.
    pub fn place(self, at: [f64; 3]) -> String {
        match self {
            Self::Mm => place(at, 1),
            Self::Inch => {
                let [x, y, z] = at.map(|value| fixed(value / MM_PER_INCH, 2));
                format!("({x}, {y}, {z}) in")
            }
        }
    }

    /// A length with this unit alone, to a ten-thousandth: for notes that stand on sheets.
    pub fn alone(self, length: Mm) -> String {
        format!("{} {}", self.bare(length), self.name())
    }

    /// A length given in mm: to a whole millimetre or a hundredth of an inch.
    pub fn near(self, mm: f64) -> String {
        match self {
            Self::Mm => format!("{} mm", fixed(mm, 0)),
            Self::Inch => format!("{} in", fixed(mm / MM_PER_INCH, 2)),
        }
    }

    /// A volume given in mm³, to a thousandth of a cm³ or of a cubic inch.
    pub fn fine_volume(self, cubic_mm: f64) -> String {
        match self {
            Self::Mm => format!("{:.3} cm³", cubic_mm / 1e3),
            Self::Inch => format!("{:.3} in³", cubic_mm / MM_PER_INCH.powi(3)),
        }
    }

    /// A small volume given in mm³: to a whole mm³, or a ten-thousandth of a cubic inch.
    pub fn small_volume(self, cubic_mm: f64) -> String {
        match self {
            Self::Mm => format!("{} mm³", fixed(cubic_mm, 0)),
            Self::Inch => format!("{} in³", fixed(cubic_mm / MM_PER_INCH.powi(3), 4)),
        }
    }

    /// A centre of mass given in mm: to a hundredth of a millimetre or a thousandth of an inch.
    pub fn centre(self, at: [f64; 3]) -> String {
        let [x, y, z] = at.map(|mm| match self {
            Self::Mm => fixed(mm, 2),
            Self::Inch => fixed(mm / MM_PER_INCH, 3),
        });
        format!("x {x} y {y} z {z} {}", self.name())
    }

    /// A mass given in kg to a thousandth; an inch file also gets pounds, before it (0.45359237 kg exactly: international pound, 1959).
    pub fn mass(self, kilograms: f64) -> String {
        match self {
            Self::Mm => format!("{kilograms:.3} kg"),
            Self::Inch => format!("{:.3} lb ({kilograms:.3} kg)", kilograms / KG_PER_POUND),
        }
    }

    /// A length as a bare number of this unit, to a ten-thousandth, as a parameter file has it.
    pub fn bare(self, length: Mm) -> String {
        plain(match self {
            Self::Mm => length.get(),
            Self::Inch => length.to_inches(),
        })
    }
}
/// A quantity of few uses: its name, and its units as written, with the factor and the offset that give the first one.
#[derive(Debug, PartialEq)]
pub struct Scale {
    /// What it measures.
    pub name: &'static str,
    /// Written unit, factor, offset: `value * factor + offset` counts in the first unit. A bare number takes the first.
    pub units: &'static [(&'static str, f64, f64)],
}

impl Scale {
    /// The unit in which its values are counted.
    pub fn base(&self) -> &'static str {
        self.units.first().map_or("", |unit| unit.0)
    }

    /// A pattern for all ways in which its units may be written.
    pub fn spellings(&self) -> String {
        let all: Vec<String> = self.units.iter().map(|unit| spellings(unit.0)).collect();
        all.join("|")
    }

    /// Factor and offset of a unit, however its parts are joined: `N m`, `N·m` and `Nm` are one unit, and so are `µm` and `um`,
    /// `mm²` and `mm2`, `°C` and `C`.
    fn find(&self, written: &str) -> Option<(f64, f64)> {
        let written = joined(written);
        self.units
            .iter()
            .find(|(name, ..)| joined(name) == written)
            .map(|(_, factor, offset)| (*factor, *offset))
    }
}

/// What may join the parts of a unit; all of it may be left out.
const JOINERS: &str = " ·⋅*.-";

/// Letters that mean the same, the plain one last.
const ALIKE: [&str; 2] = ["µμu", "²2"];

/// The letters that mean the same as one, itself among them.
fn alike(c: char) -> Option<&'static str> {
    ALIKE.into_iter().find(|letters| letters.contains(c))
}

/// A unit without what joins its parts, in plain letters.
fn joined(unit: &str) -> String {
    let kept = unit.chars().filter(|c| *c != '°' && !JOINERS.contains(*c));
    kept.map(|c| alike(c).and_then(|letters| letters.chars().last()).unwrap_or(c)).collect()
}

/// A pattern for the ways in which a unit may be written.
fn spellings(unit: &str) -> String {
    let pattern = |c: char| match (c, alike(c)) {
        (' ', _) => format!("[{JOINERS}]?"),
        ('°', _) => "°?".to_owned(),
        (_, Some(letters)) => format!("[{letters}]"),
        _ => c.to_string(),
    };
    unit.chars().map(pattern).collect()
}

/// Newtons in a pound-force: 0.45359237 kg × 9.80665 m/s² (exact, NIST SP 811, from memory).
const POUND_FORCE: f64 = 0.453_592_37 * STANDARD_GRAVITY;

/// Standard acceleration of gravity, m/s² (ISO 80000-3).
pub const STANDARD_GRAVITY: f64 = 9.806_65;

/// Newton metres in a pound-force foot.
const POUND_FOOT: f64 = POUND_FORCE * 12.0 * MM_PER_INCH / 1000.0;

/// Megapascals in a pound-force on a square inch.
const POUND_PER_SQUARE_INCH: f64 = POUND_FORCE / (MM_PER_INCH * MM_PER_INCH);

/// Temperatures, degrees Celsius.
pub static TEMPERATURE: Scale = Scale {
    name: "temperature",
    units: &[("°C", 1.0, 0.0), ("°F", 5.0 / 9.0, -160.0 / 9.0), ("K", 1.0, ABSOLUTE_ZERO)],
};

/// Absolute zero, °C; exact by definition of the Celsius scale.
pub const ABSOLUTE_ZERO: f64 = -273.15;

/// Torques, newton metres.
pub static TORQUE: Scale = Scale {
    name: "torque",
    units: &[
        ("N m", 1.0, 0.0),
        ("kN m", 1000.0, 0.0),
        ("lbf ft", POUND_FOOT, 0.0),
        ("lb ft", POUND_FOOT, 0.0),
        ("ft lbf", POUND_FOOT, 0.0),
        ("ft lb", POUND_FOOT, 0.0),
        ("lbf in", POUND_FOOT / 12.0, 0.0),
        ("in lbf", POUND_FOOT / 12.0, 0.0),
    ],
};
/// Stresses and pressures, megapascals.
pub static STRESS: Scale = Scale {
    name: "stress or pressure",
    units: &[
        ("MPa", 1.0, 0.0),
        ("N/mm²", 1.0, 0.0),
        ("GPa", 1000.0, 0.0),
        ("kPa", 0.001, 0.0),
        ("bar", 0.1, 0.0),
        ("psi", POUND_PER_SQUARE_INCH, 0.0),
        ("ksi", 1000.0 * POUND_PER_SQUARE_INCH, 0.0),
    ],
};
/// Forces, newtons.
pub static FORCE: Scale = Scale {
    name: "force",
    units: &[("N", 1.0, 0.0), ("kN", 1000.0, 0.0), ("lbf", POUND_FORCE, 0.0), ("kgf", STANDARD_GRAVITY, 0.0)],
};
/// Masses, kilograms.
pub static MASS: Scale = Scale {
    name: "mass",
    units: &[("kg", 1.0, 0.0), ("lb", 0.453_592_37, 0.0), ("lbs", 0.453_592_37, 0.0), ("t", 1000.0, 0.0)],
};
/// Accelerations, and loads as multiples of the weight.
pub static ACCELERATION: Scale = Scale {
    name: "multiple of the weight",
    units: &[("g", 1.0, 0.0), ("m/s²", 1.0 / STANDARD_GRAVITY, 0.0)],
};
/// Heights of roughness, micrometres.
pub static ROUGHNESS: Scale = Scale {
    name: "roughness",
    units: &[("µm", 1.0, 0.0), ("mm", 1000.0, 0.0), ("µin", MM_PER_INCH / 1000.0, 0.0)],
};
/// Areas, square millimetres.
pub static AREA: Scale = Scale {
    name: "area",
    units: &[("mm²", 1.0, 0.0), ("cm²", 100.0, 0.0), ("in²", MM_PER_INCH * MM_PER_INCH, 0.0)],
};
/// Road speeds, kilometres an hour.
pub static ROAD_SPEED: Scale =
    Scale { name: "road speed", units: &[("km/h", 1.0, 0.0), ("mph", 1.609_344, 0.0)] };
/// Revolutions a minute.
pub static ROTATION: Scale = Scale {
    name: "speed of rotation",
    units: &[("rpm", 1.0, 0.0), ("1/min", 1.0, 0.0), ("rev/min", 1.0, 0.0)],
};

#[cfg(test)]
mod tests;
