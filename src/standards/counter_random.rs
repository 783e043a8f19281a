//! Random numbers that depend on a key and a counter alone, so that the thousandth is the same whoever asks for it, and when.
//!
//! Philox 4×32 with ten rounds: Salmon, Moraes, Dror, Shaw, *Parallel random numbers: as easy as 1, 2, 3* (2011); its constants
//! and the known answers in the tests are from memory.

const MULTIPLIERS: [u32; 2] = [0xD251_1F53, 0xCD9E_8D57];
const WEYL: [u32; 2] = [0x9E37_79B9, 0xBB67_AE85];
const ROUNDS: usize = 10;

#[inline]
fn product(a: u32, b: u32) -> [u32; 2] {
    let wide = u64::from(a) * u64::from(b);
    [(wide >> 32) as u32, wide as u32]
}

/// Four random words of a counter under a key.
#[inline]
pub fn philox(counter: [u32; 4], key: [u32; 2]) -> [u32; 4] {
    let (mut c, mut k) = (counter, key);
    for _ in 0..ROUNDS {
        let [high0, low0] = product(MULTIPLIERS[0], c[0]);
        let [high1, low1] = product(MULTIPLIERS[1], c[2]);
        c = [high1 ^ c[1] ^ k[0], low1, high0 ^ c[3] ^ k[1], low0];
        k = [k[0].wrapping_add(WEYL[0]), k[1].wrapping_add(WEYL[1])];
    }
    c
}

/// Two numbers, even over 0 to 1 with neither end, of a seed, the number of a sample and the number of what is drawn in it.
#[inline]
pub fn uniform_pair(seed: u64, sample: u64, draw: u32) -> [f64; 2] {
    let counter = [sample as u32, (sample >> 32) as u32, draw, 0];
    let [a, b, c, d] = philox(counter, [seed as u32, (seed >> 32) as u32]);
    [unit(a, b), unit(c, d)]
}

/// 52 bits of two words, and half a step more: never 0, never 1.
#[inline]
fn unit(high: u32, low: u32) -> f64 {
    let bits = (u64::from(high) << 20) | u64::from(low >> 12);
    (bits as f64 + 0.5) / (1_u64 << 52) as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Known answers published with the method, from memory.
    #[test]
    fn known_answers() {
        for (counter, key, want) in [
            ([0; 4], [0; 2], [0x6627_E8D5, 0xE169_C58D, 0xBC57_AC4C, 0x9B00_DBD8]),
            ([u32::MAX; 4], [u32::MAX; 2], [0x408F_276D, 0x41C8_3B0E, 0xA20B_C7C6, 0x6D54_51FD]),
            (
                [0x243F_6A88, 0x85A3_08D3, 0x1319_8A2E, 0x0370_7344],
                [0xA409_3822, 0x299F_31D0],
                [0xD16C_FE09, 0x94FD_CCEB, 0x5001_E420, 0x2412_6EA1],
            ),
        ] {
            assert_eq!(philox(counter, key), want, "{counter:x?}");
        }
    }

    #[test]
    fn numbers_fill_the_unit_evenly() {
        let mut counts = [0_u32; 10];
        for sample in 0..50_000 {
            for x in uniform_pair(7, sample, 3) {
                assert!(x > 0.0 && x < 1.0, "{x}");
                counts[(x * 10.0) as usize] += 1;
            }
        }
        // 100 000 numbers, 10 000 to a tenth, standard deviation 95.
        assert!(counts.iter().all(|n| n.abs_diff(10_000) < 480), "{counts:?}");
        assert!(unit(u32::MAX, u32::MAX) < 1.0 && unit(0, 0) > 0.0, "ends");
    }
}
