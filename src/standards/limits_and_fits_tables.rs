//! The tables of ISO 286-1: standard tolerances and fundamental deviations, sizes up to 500 mm.
//!
//! Read: tolerances IT6, 7, 8, 9 and 11 of 30 to 80 mm (catalogue tables); deviations m to u up to 180 mm, c to k above 180 mm and
//! those of holes K to U above 120 mm in a textbook that reprints the standard's tables (Narayana, Kannaiah, Reddy, *Machine
//! Drawing*, tables 15.2 and 15.3). The rest is from memory of ISO 286-1:1988, borne out by the formulas in the tests.

/// Standard tolerances and those deviations that keep one value over a main step of sizes, µm.
#[derive(Debug)]
pub(super) struct MainStep {
    /// Upper end of the step, which belongs to it, mm.
    pub(super) end: f64,
    /// IT4 to IT13.
    pub(super) it: [i16; 10],
    /// Upper deviation of shafts d, e, f, g, without its minus sign.
    pub(super) d_to_g: [i16; 4],
    /// Lower deviation of shafts k (grades 4 to 7), m, n, p.
    pub(super) k_to_p: [i16; 4],
}

/// Deviations that change within the main steps, µm.
#[derive(Debug)]
pub(super) struct FineStep {
    /// Upper end of the step, which belongs to it, mm.
    pub(super) end: f64,
    /// Upper deviation of shaft c, without its minus sign.
    pub(super) c: i16,
    /// Lower deviation of shafts r, s.
    pub(super) r_s: [i16; 2],
    /// Lower deviation of shaft t; none up to 24 mm.
    pub(super) t: Option<i16>,
    /// Lower deviation of shaft u.
    pub(super) u: i16,
}

const fn main(end: f64, it: [i16; 10], d_to_g: [i16; 4], k_to_p: [i16; 4]) -> MainStep {
    MainStep { end, it, d_to_g, k_to_p }
}

const fn fine(end: f64, c: i16, r_s: [i16; 2], t: Option<i16>, u: i16) -> FineStep {
    FineStep { end, c, r_s, t, u }
}

/// The main steps, smallest first.
pub(super) static MAIN: [MainStep; 13] = [
    main(3.0, [3, 4, 6, 10, 14, 25, 40, 60, 100, 140], [20, 14, 6, 2], [0, 2, 4, 6]),
    main(6.0, [4, 5, 8, 12, 18, 30, 48, 75, 120, 180], [30, 20, 10, 4], [1, 4, 8, 12]),
    main(10.0, [4, 6, 9, 15, 22, 36, 58, 90, 150, 220], [40, 25, 13, 5], [1, 6, 10, 15]),
    main(18.0, [5, 8, 11, 18, 27, 43, 70, 110, 180, 270], [50, 32, 16, 6], [1, 7, 12, 18]),
    main(30.0, [6, 9, 13, 21, 33, 52, 84, 130, 210, 330], [65, 40, 20, 7], [2, 8, 15, 22]),
    main(50.0, [7, 11, 16, 25, 39, 62, 100, 160, 250, 390], [80, 50, 25, 9], [2, 9, 17, 26]),
    main(80.0, [8, 13, 19, 30, 46, 74, 120, 190, 300, 460], [100, 60, 30, 10], [2, 11, 20, 32]),
    main(120.0, [10, 15, 22, 35, 54, 87, 140, 220, 350, 540], [120, 72, 36, 12], [3, 13, 23, 37]),
    main(180.0, [12, 18, 25, 40, 63, 100, 160, 250, 400, 630], [145, 85, 43, 14], [3, 15, 27, 43]),
    main(250.0, [14, 20, 29, 46, 72, 115, 185, 290, 460, 720], [170, 100, 50, 15], [4, 17, 31, 50]),
    main(315.0, [16, 23, 32, 52, 81, 130, 210, 320, 520, 810], [190, 110, 56, 17], [4, 20, 34, 56]),
    main(400.0, [18, 25, 36, 57, 89, 140, 230, 360, 570, 890], [210, 125, 62, 18], [4, 21, 37, 62]),
    main(500.0, [20, 27, 40, 63, 97, 155, 250, 400, 630, 970], [230, 135, 68, 20], [5, 23, 40, 68]),
];

/// The fine steps, smallest first.
pub(super) static FINE: [FineStep; 24] = [
    fine(3.0, 60, [10, 14], None, 18),
    fine(6.0, 70, [15, 19], None, 23),
    fine(10.0, 80, [19, 23], None, 28),
    fine(18.0, 95, [23, 28], None, 33),
    fine(24.0, 110, [28, 35], None, 41),
    fine(30.0, 110, [28, 35], Some(41), 48),
    fine(40.0, 120, [34, 43], Some(48), 60),
    fine(50.0, 130, [34, 43], Some(54), 70),
    fine(65.0, 140, [41, 53], Some(66), 87),
    fine(80.0, 150, [43, 59], Some(75), 102),
    fine(100.0, 170, [51, 71], Some(91), 124),
    fine(120.0, 180, [54, 79], Some(104), 144),
    fine(140.0, 200, [63, 92], Some(122), 170),
    fine(160.0, 210, [65, 100], Some(134), 190),
    fine(180.0, 230, [68, 108], Some(146), 210),
    fine(200.0, 240, [77, 122], Some(166), 236),
    fine(225.0, 260, [80, 130], Some(180), 258),
    fine(250.0, 280, [84, 140], Some(196), 284),
    fine(280.0, 300, [94, 158], Some(218), 315),
    fine(315.0, 330, [98, 170], Some(240), 350),
    fine(355.0, 360, [108, 190], Some(268), 390),
    fine(400.0, 400, [114, 208], Some(294), 435),
    fine(450.0, 440, [126, 232], Some(330), 490),
    fine(500.0, 480, [132, 252], Some(360), 540),
];

#[cfg(test)]
mod tests {
    use super::*;

    /// No outside value: a property of the table itself.
    #[test]
    fn steps_follow_each_other() {
        assert!(MAIN.windows(2).all(|w| w[0].end < w[1].end), "main steps");
        assert!(FINE.windows(2).all(|w| w[0].end < w[1].end), "fine steps");
        assert!(
            MAIN.iter().all(|m| FINE.iter().any(|f| (f.end - m.end).abs() < 0.1)),
            "main steps end with fine ones"
        );
    }

    /// No outside value: a property of the table itself.
    #[test]
    fn values_rise_with_size_and_along_the_letters() {
        for step in &MAIN {
            assert!(step.it.windows(2).all(|w| w[0] < w[1]), "{step:?}");
            assert!(step.d_to_g.windows(2).all(|w| w[0] > w[1]), "{step:?}");
            assert!(step.k_to_p.windows(2).all(|w| w[0] < w[1]), "{step:?}");
        }
        for pair in MAIN.windows(2) {
            let rise = |a: &[i16], b: &[i16]| a.iter().zip(b).all(|(a, b)| a <= b);
            assert!(rise(&pair[0].it, &pair[1].it), "{:?}", pair[1]);
            assert!(rise(&pair[0].d_to_g, &pair[1].d_to_g), "{:?}", pair[1]);
            assert!(rise(&pair[0].k_to_p, &pair[1].k_to_p), "{:?}", pair[1]);
        }
        for pair in FINE.windows(2) {
            assert!(pair[0].c <= pair[1].c && pair[0].u <= pair[1].u, "{:?}", pair[1]);
            assert!(pair[0].r_s[0] <= pair[1].r_s[0] && pair[0].r_s[1] <= pair[1].r_s[1], "{:?}", pair[1]);
        }
    }
}
