//! Rules of filament printing.

/// How much wider holes are drawn than they are to come out, mm on the diameter: the middles of ranges on a calculator page
/// (read), joined by straight lines. Other pages say 0.1 to 0.3 throughout.
const WIDER: [(f64, f64); 5] = [(2.5, 0.45), (5.0, 0.35), (10.0, 0.25), (20.0, 0.25), (30.0, 0.15)];

/// Compensation of a hole, mm on the diameter.
pub fn hole_oversize(diameter: f64) -> f64 {
    let (first, last) = (WIDER[0], WIDER[WIDER.len() - 1]);
    if diameter <= first.0 {
        return first.1;
    }
    let between = WIDER.windows(2).find(|w| diameter <= w[1].0);
    between.map_or(last.1, |w| w[0].1 + (w[1].1 - w[0].1) * (diameter - w[0].0) / (w[1].0 - w[0].0))
}

/// A length as drawn, for one to come out by a linear shrink (derived).
pub fn drawn_length(length: f64, shrink: f64) -> f64 {
    length / (1.0 - shrink)
}

/// A hole as drawn: `d / (1 − s) + c` (derived).
pub fn drawn_hole(diameter: f64, shrink: f64, oversize: f64) -> f64 {
    drawn_length(diameter, shrink) + oversize
}

/// Diameter of the corners of a regular polygon whose sides touch a circle: a hole made of straight sides (derived).
pub fn faceted_hole(diameter: f64, sides: u32) -> f64 {
    diameter / (std::f64::consts::PI / f64::from(sides)).cos()
}

/// Least number of pieces for a length on a bed with margins at both ends.
pub fn pieces(length: f64, bed: f64, margin: f64) -> usize {
    (length / (bed - 2.0 * margin)).ceil().max(1.0) as usize
}

#[cfg(test)]
mod tests {
    use super::*;

    /// ABS-like shrink of 0.7 % (derived).
    #[test]
    fn t9_1_length() {
        assert!((drawn_length(100.0, 0.007) - 100.705).abs() < 5e-4, "{}", drawn_length(100.0, 0.007));
    }

    /// A 10 mm hole, 0.3 % and 0.25 mm (derived).
    #[test]
    fn t9_2_hole() {
        assert!((drawn_hole(10.0, 0.003, 0.25) - 10.280).abs() < 5e-4, "{}", drawn_hole(10.0, 0.003, 0.25));
        assert!((hole_oversize(10.0) - 0.25).abs() < 1e-12, "the page's middle");
    }

    /// Thirty-two sides (derived).
    #[test]
    fn t9_3_facets() {
        assert!((faceted_hole(10.0, 32) - 10.0484).abs() < 5e-5, "{}", faceted_hole(10.0, 32));
    }

    /// A body of 360 mm in a printer of 250 with 5 mm margins (practice).
    #[test]
    fn t9_4_pieces() {
        assert_eq!(pieces(360.0, 250.0, 5.0), 2, "two pieces");
    }

    #[test]
    fn oversize_falls_with_the_diameter() {
        let all: Vec<f64> = (1..60).map(|d| hole_oversize(f64::from(d))).collect();
        assert!(all.windows(2).all(|w| w[0] >= w[1]) && all[58] > 0.1, "{all:?}");
    }
}
