//! The Sobol sequence: its points fill a box more evenly than random points.
//!
//! Direction numbers: Joe, Kuo, *Constructing Sobol sequences with better two-dimensional projections* (2008), the table
//! `new-joe-kuo-6.21201`, its first ten dimensions, from memory; tests/reference compares the points with scipy's.

/// Dimensions that the table holds.
pub const DIMENSIONS: usize = 10;

/// Bits of a point.
const BITS: usize = 32;

/// Degree and inner coefficients of the primitive polynomial, first direction numbers; the first dimension has none.
const TABLE: [(usize, u32, &[u32]); DIMENSIONS - 1] = [
    (1, 0, &[1]),
    (2, 1, &[1, 3]),
    (3, 1, &[1, 3, 1]),
    (3, 2, &[1, 1, 1]),
    (4, 1, &[1, 1, 3, 3]),
    (4, 4, &[1, 3, 5, 13]),
    (5, 2, &[1, 1, 5, 5, 17]),
    (5, 4, &[1, 1, 5, 5, 5]),
    (5, 7, &[1, 1, 7, 11, 19]),
];

/// Direction numbers of a dimension, from 0.
fn directions(dimension: usize) -> [u32; BITS] {
    let mut v = [0_u32; BITS];
    let Some(row) = dimension.checked_sub(1) else {
        return std::array::from_fn(|i| 1 << (BITS - 1 - i));
    };
    let (degree, inner, first) = TABLE[row];
    for i in 0..BITS {
        v[i] = if i < degree {
            first[i] << (BITS - 1 - i)
        } else {
            let recurring = (1..degree).filter(|k| (inner >> (degree - 1 - k)) & 1 == 1);
            recurring.fold(v[i - degree] ^ (v[i - degree] >> degree), |x, k| x ^ v[i - k])
        };
    }
    v
}

/// Coordinates 0 to 1 of a point in a dimension, both from 0; every bit is flipped where `shift` has a one. The
/// points come in the order of Gray's code, as scipy's do.
pub fn coordinate(dimension: usize, point: u32, shift: u32) -> f64 {
    let v = directions(dimension);
    let gray = point ^ (point >> 1);
    let bits = (0..BITS).filter(|i| (gray >> i) & 1 == 1).fold(0, |x, i| x ^ v[i]);
    f64::from(bits ^ shift) / 4_294_967_296.0
}

#[cfg(test)]
mod tests {
    use super::*;

    /// First points in two dimensions, as printed in texts on the sequence (Gray's order).
    #[test]
    fn first_points() {
        let points: Vec<[f64; 2]> = (0..8).map(|i| [0, 1].map(|d| coordinate(d, i, 0))).collect();
        let wanted = [
            [0.0, 0.0],
            [0.5, 0.5],
            [0.75, 0.25],
            [0.25, 0.75],
            [0.375, 0.375],
            [0.875, 0.875],
            [0.625, 0.125],
            [0.125, 0.625],
        ];
        // All are sums of powers of two: not a bit may differ.
        let bits = |p: &[f64; 2]| p.map(f64::to_bits);
        assert!(points.iter().map(bits).eq(wanted.iter().map(bits)), "{points:?}");
    }

    /// Of the first 2^k points one lies in each of 2^k even slices, in every dimension and after every shift.
    #[test]
    fn every_slice_holds_one_point() {
        for (dimension, shift) in (0..DIMENSIONS).flat_map(|d| [(d, 0), (d, 0x9E37_79B9)]) {
            let mut slices = [0_u8; 256];
            for i in 0..256 {
                slices[(coordinate(dimension, i, shift) * 256.0) as usize] += 1;
            }
            assert!(slices.iter().all(|n| *n == 1), "dimension {dimension}, shift {shift}");
        }
    }
}
