//! Quantities read from text, each with its unit or in the one that the file counts in.

use super::{Deg, KgPerM3, Mm, Percent, Scale, Units};

/// Why a text is not a quantity.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum QuantityError {
    /// There is no number at the start of the text.
    #[error("it is not a number")]
    NotANumber,
    /// A comma stands where a point should be.
    #[error("it has a decimal comma")]
    DecimalComma,
    /// The number is infinite, not a number, or too large for any part.
    #[error("it is not a finite number")]
    NotFinite,
    /// The number is followed by a unit that does not belong to this kind of quantity.
    #[error("`{0}` is not a unit for it")]
    WrongUnit(String),
    /// A bare length, while the file does not say in which unit bare lengths are.
    #[error("it has no unit of its own and the file names none")]
    UnitUnknown,
}

/// Reads a length: `12.5`, `34.9 mm`, `1.375 in`, `3/8 in`, `1 3/8 in`, `2.5 cm`, `1.5"`.
///
/// A bare number takes the file's unit.
///
/// # Errors
/// When the text is no number, is not finite, carries a unit that is no length, or carries none while
/// `bare` is unknown.
pub fn parse_length(text: &str, bare: Option<Units>) -> Result<Mm, QuantityError> {
    let (number, unit) = split(text)?;
    match unit {
        "" => match bare {
            Some(Units::Mm) => Ok(Mm(number)),
            Some(Units::Inch) => Ok(Mm::inches(number)),
            None => Err(QuantityError::UnitUnknown),
        },
        "mm" => Ok(Mm(number)),
        "cm" => Ok(Mm(number * 10.0)),
        "in" | "inch" | "inches" | "\"" => Ok(Mm::inches(number)),
        other => Err(QuantityError::WrongUnit(other.to_owned())),
    }
}

/// Reads an angle in degrees: `15`, `15 deg`, `15°`.
///
/// # Errors
/// When the text is no number, is not finite, or carries another unit.
pub fn parse_angle(text: &str) -> Result<Deg, QuantityError> {
    match split(text)? {
        (number, "" | "deg" | "°" | "degrees") => Ok(Deg(number)),
        (_, other) => Err(QuantityError::WrongUnit(other.to_owned())),
    }
}

/// Reads a density: `2680` or `2680 kg/m3`.
///
/// # Errors
/// When the text is no number, is not finite, or carries another unit.
pub fn parse_density(text: &str) -> Result<KgPerM3, QuantityError> {
    match split(text)? {
        (number, "" | "kg/m3" | "kg/m^3" | "kg/m³") => Ok(KgPerM3(number)),
        (_, other) => Err(QuantityError::WrongUnit(other.to_owned())),
    }
}

/// Reads a percentage: `1.3` or `1.3 %`.
///
/// # Errors
/// When the text is no number, is not finite, or carries another unit.
pub fn parse_percent(text: &str) -> Result<Percent, QuantityError> {
    match split(text)? {
        (number, "" | "%") => Ok(Percent(number)),
        (_, other) => Err(QuantityError::WrongUnit(other.to_owned())),
    }
}
/// Reads a number with one of a scale's units, or bare in its first one; the value counts in the first.
///
/// # Errors
/// When the text is no number, is not finite, or carries another unit.
pub fn parse_measure(text: &str, scale: &Scale) -> Result<f64, QuantityError> {
    let (number, unit) = split(text)?;
    let found = if unit.is_empty() { Some((1.0, 0.0)) } else { scale.find(unit) };
    found
        .map(|(factor, offset)| converted(number, factor, offset))
        .ok_or_else(|| QuantityError::WrongUnit(unit.to_owned()))
}

/// A number in the first unit of its scale, without the binary digits that a conversion leaves behind: 383 K are 109.85 °C.
fn converted(number: f64, factor: f64, offset: f64) -> f64 {
    let value = number * factor + offset;
    let same = factor.to_bits() == 1.0_f64.to_bits() && offset.to_bits() == 0.0_f64.to_bits();
    let largest = (number * factor).abs().max(offset.abs());
    if same || largest <= 0.0 || !largest.is_finite() {
        return value;
    }
    // Thirteen digits, counted from the largest term.
    let step = 10.0_f64.powi(12 - largest.log10().floor() as i32);
    let rounded = (value * step).round() / step;
    if rounded.is_finite() { rounded } else { value }
}

/// Reads a plain number: `1.5`, `-2e3`.
///
/// # Errors
/// When the text is no number, is not finite, or carries a unit.
pub fn parse_plain(text: &str) -> Result<f64, QuantityError> {
    match split(text)? {
        (number, "") => Ok(number),
        (_, unit) => Err(QuantityError::WrongUnit(unit.to_owned())),
    }
}

/// Splits `1 3/8 in` into its number and its unit, and works the fraction out.
fn split(text: &str) -> Result<(f64, &str), QuantityError> {
    let text = text.trim();
    let (first, rest) = leading_decimal(text)?;
    if let Some(after) = rest.strip_prefix('/') {
        let (divisor, unit) = leading_decimal(after)?;
        return finish(first / divisor, unit);
    }
    // A mixed number: whole, blank, fraction. Its sign covers both parts.
    let trimmed = rest.trim_start();
    if trimmed.len() < rest.len() && trimmed.starts_with(|c: char| c.is_ascii_digit()) {
        let (top, after) = leading_decimal(trimmed)?;
        let Some(after) = after.strip_prefix('/') else { return Err(QuantityError::NotANumber) };
        let (bottom, unit) = leading_decimal(after)?;
        // `1.25 7/8` is two numbers, not one.
        if text[..text.len() - unit.len()].contains(['.', 'e', 'E']) {
            return Err(QuantityError::NotANumber);
        }
        let part = top / bottom;
        return finish(if text.starts_with('-') { first - part } else { first + part }, unit);
    }
    finish(first, rest)
}

fn finish(number: f64, unit: &str) -> Result<(f64, &str), QuantityError> {
    let unit = unit.trim();
    if !number.is_finite() {
        return Err(QuantityError::NotFinite);
    }
    if unit.starts_with(',') && unit[1..].starts_with(|c: char| c.is_ascii_digit()) {
        return Err(QuantityError::DecimalComma);
    }
    // Thousands marks, sexagesimal numbers and the like: not a number, rather than an odd unit.
    if unit.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '.' | ':' | '_' | '-' | '+')) {
        return Err(QuantityError::NotANumber);
    }
    Ok((number, unit))
}

/// The decimal number at the start of a text, and what follows it.
fn leading_decimal(text: &str) -> Result<(f64, &str), QuantityError> {
    let bare = text.trim_start_matches(['+', '-', '.']).to_ascii_lowercase();
    if bare.starts_with("inf") || bare.starts_with("nan") {
        return Err(QuantityError::NotFinite);
    }
    let bytes = text.as_bytes();
    let digits = |from: usize| bytes[from..].iter().take_while(|b| b.is_ascii_digit()).count();
    let sign = usize::from(bytes.first().is_some_and(|b| matches!(b, b'+' | b'-')));
    let whole = digits(sign);
    let mut end = sign + whole;
    let mut decimals = 0;
    if bytes.get(end) == Some(&b'.') {
        decimals = digits(end + 1);
        end += 1 + decimals;
    }
    if whole + decimals == 0 {
        return Err(QuantityError::NotANumber);
    }
    if bytes.get(end).is_some_and(|b| matches!(b, b'e' | b'E')) {
        let exponent_sign = usize::from(bytes.get(end + 1).is_some_and(|b| matches!(b, b'+' | b'-')));
        let exponent = digits((end + 1 + exponent_sign).min(bytes.len()));
        if exponent > 0 {
            end += 1 + exponent_sign + exponent;
        }
    }
    let number = text[..end].parse::<f64>().map_err(|_| QuantityError::NotANumber)?;
    Ok((number, &text[end..]))
}
#[cfg(test)]
mod tests {
    use super::super::{
        ACCELERATION, AREA, FORCE, MASS, ROAD_SPEED, ROTATION, ROUGHNESS, STRESS, TEMPERATURE, TORQUE,
    };
    use super::*;

    fn length(text: &str) -> Result<f64, QuantityError> {
        parse_length(text, Some(Units::Mm)).map(Mm::get)
    }

    #[test]
    fn lengths_carry_their_own_unit() {
        for (text, mm) in [
            ("12.5", 12.5),
            ("34.9 mm", 34.9),
            ("34.9mm", 34.9),
            ("1.375 in", 34.925),
            ("3/8 in", 9.525),
            ("1 3/8 in", 34.925),
            ("-1 1/2 in", -38.1),
            ("1.5\"", 38.1),
            ("2.5 cm", 25.0),
            ("+.5", 0.5),
            ("1e2", 100.0),
            (" 7. ", 7.0),
        ] {
            assert_eq!(length(text), Ok(mm), "{text}");
        }
        assert_eq!(parse_length("2", Some(Units::Inch)), Ok(Mm::new(50.8)), "bare inches");
    }

    #[test]
    fn bad_quantities_have_a_named_cause() {
        use QuantityError as E;
        for (text, cause) in [
            ("", E::NotANumber),
            ("abc", E::NotANumber),
            ("1,5", E::DecimalComma),
            (".nan", E::NotFinite),
            ("-.inf", E::NotFinite),
            ("1e999", E::NotFinite),
            ("1/0", E::NotFinite),
            ("12 kg", E::WrongUnit("kg".into())),
            ("12 deg", E::WrongUnit("deg".into())),
            ("1:30", E::NotANumber),
            ("1_000", E::NotANumber),
            ("3 4", E::NotANumber),
            ("1.25 7/8 in", E::NotANumber),
            ("1 7.5/8 in", E::NotANumber),
            ("1e", E::WrongUnit("e".into())),
            ("1 µ", E::WrongUnit("µ".into())),
        ] {
            assert_eq!(length(text), Err(cause), "{text}");
        }
        assert_eq!(parse_length("5", None), Err(E::UnitUnknown), "no unit anywhere");
    }

    #[test]
    fn angles_are_degrees() {
        for text in ["15", "15 deg", "15°"] {
            assert_eq!(parse_angle(text), Ok(Deg::new(15.0)), "{text}");
        }
        assert_eq!(parse_angle("1 rad"), Err(QuantityError::WrongUnit("rad".into())), "radians");
    }

    #[test]
    fn percentages_need_no_sign() {
        use QuantityError as E;
        for text in ["1.3", "1.3 %", "1.3%"] {
            assert_eq!(parse_percent(text), Ok(Percent::new(1.3)), "{text}");
        }
        assert_eq!(Percent::new(1.3).to_string(), "1.3 %", "as a file writes it");
        assert!((Percent::new(1.3).share() - 0.013).abs() < 1e-15, "as a share");
        for (text, cause) in [
            ("1.3 %%", E::WrongUnit("%%".into())),
            ("1.3 mm", E::WrongUnit("mm".into())),
            ("1,3 %", E::DecimalComma),
            (".inf", E::NotFinite),
            ("%", E::NotANumber),
        ] {
            assert_eq!(parse_percent(text), Err(cause), "{text}");
        }
    }

    #[test]
    fn measures_count_in_their_first_unit() {
        // SI Brochure, 9th ed. and NIST SP 811, appendix B: 1 lbf ft = 1.355 818 N m, 1 ksi = 6.894 757 MPa,
        // 1 lbf = 4.448 222 N, 1 in² = 645.16 mm² (from memory).
        for (text, scale, value) in [
            ("110", &TEMPERATURE, 110.0),
            ("230 °F", &TEMPERATURE, 110.0),
            ("-40 F", &TEMPERATURE, -40.0),
            ("100 lb ft", &TORQUE, 135.581_8),
            ("80 ksi", &STRESS, 551.580_6),
            ("100 mph", &ROAD_SPEED, 160.934_4),
            ("5500 rpm", &ROTATION, 5500.0),
            ("383.15 K", &TEMPERATURE, 110.0),
            ("110 C", &TEMPERATURE, 110.0),
            ("100 lbf·ft", &TORQUE, 135.581_8),
            ("100 lbft", &TORQUE, 135.581_8),
            ("100 ft-lb", &TORQUE, 135.581_8),
            ("1200 lbf in", &TORQUE, 135.581_8),
            ("50 N·m", &TORQUE, 50.0),
            ("50 Nm", &TORQUE, 50.0),
            ("1000 psi", &STRESS, 6.894_757),
            ("10 bar", &STRESS, 1.0),
            ("1 N/mm2", &STRESS, 1.0),
            ("16 kN", &FORCE, 16_000.0),
            ("100 lbf", &FORCE, 444.822_2),
            ("100 lb", &MASS, 45.359_237),
            ("14.709975 m/s2", &ACCELERATION, 1.5),
            ("3 g", &ACCELERATION, 3.0),
            ("6 um", &ROUGHNESS, 6.0),
            ("0.006 mm", &ROUGHNESS, 6.0),
            ("1 in2", &AREA, 645.16),
        ] {
            let read = parse_measure(text, scale).expect(text);
            assert!((read - value).abs() < 1e-4, "{text}: {read}");
        }
        // 383 K less 273.15, by hand.
        assert_eq!(parse_measure("383 K", &TEMPERATURE), Ok(109.85), "no tail of binary digits");
        assert_eq!(parse_measure("5 N", &MASS), Err(QuantityError::WrongUnit("N".into())), "a force");
        assert_eq!(parse_measure("hot", &TEMPERATURE), Err(QuantityError::NotANumber), "a word");
    }
}
