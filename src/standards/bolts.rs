//! Bolts of the flange and the pads: heads, washers, spanners, clearance holes, and the room they need.

use super::threads::Thread;
use crate::units::Mm;

/// What goes with a bolt of one nominal diameter, coarse or fine.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bolt {
    /// Nominal diameter as threads are named, such as `M10` or `3/8`.
    pub name: &'static str,
    /// Clearance holes: close, normal, loose. ISO 273 fine, medium, coarse; ASME B18.2.8.
    pub clearance: [Mm; 3],
    /// Width of the hexagon across flats.
    pub flats: Mm,
    /// Across corners, the greatest: of the greatest flats (ISO 4014, geometry); ASME B18.2.1 greatest.
    pub corners: Mm,
    /// Height of the hexagon head: ISO 4014 nominal, ASME B18.2.1 greatest.
    pub head: Mm,
    /// Head and key of a socket screw, ISO 4762.
    pub socket: Option<[Mm; 2]>,
    /// Plain washer: outside and thickness; ISO 7089, and ASME B18.21.1 type A, narrow.
    pub washer: Option<[Mm; 2]>,
    /// Where the row was taken from.
    pub source: &'static str,
}

/// A thread without a row here.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("no bolt {0} is in the table; it has M6 to M12 and 1/4 to 1/2")]
pub struct UnknownBolt(pub String);

const ISO: &str = "ISO 273, 4014, 4762, read; corners by geometry; washer (ISO 7089) from memory";
const INCH: &str = "ASME B18.2.1, B18.2.8, read; close holes from memory, and the normal one of 1/2; washer (ASME B18.21.1) from memory";

/// Corners of a hexagon over its flats: 2 / √3 (geometry).
const CORNERS: f64 = 1.154_700_538_379_251_5;

const fn metric(
    name: &'static str,
    clearance: [f64; 3],
    [flats, head]: [f64; 2],
    socket: [f64; 2],
    washer: [f64; 2],
) -> Bolt {
    Bolt {
        name,
        clearance: [Mm::new(clearance[0]), Mm::new(clearance[1]), Mm::new(clearance[2])],
        flats: Mm::new(flats),
        corners: Mm::new(flats * CORNERS),
        head: Mm::new(head),
        socket: Some([Mm::new(socket[0]), Mm::new(socket[1])]),
        washer: Some([Mm::new(washer[0]), Mm::new(washer[1])]),
        source: ISO,
    }
}

/// Clearance holes in sixty-fourths of an inch, the hexagon and the washer in inches; 64 by definition.
const fn inch(name: &'static str, clearance: [f64; 3], hex: [f64; 3], washer: [f64; 2]) -> Bolt {
    Bolt {
        name,
        clearance: [
            Mm::inches(clearance[0] / 64.0),
            Mm::inches(clearance[1] / 64.0),
            Mm::inches(clearance[2] / 64.0),
        ],
        flats: Mm::inches(hex[0]),
        corners: Mm::inches(hex[1]),
        head: Mm::inches(hex[2]),
        socket: None,
        washer: Some([Mm::inches(washer[0]), Mm::inches(washer[1])]),
        source: INCH,
    }
}

/// The table; which columns were read and which are from memory stands in each row.
pub static BOLTS: &[Bolt] = &[
    metric("M6", [6.4, 6.6, 7.0], [10.0, 4.0], [10.0, 5.0], [12.0, 1.6]),
    metric("M8", [8.4, 9.0, 10.0], [13.0, 5.3], [13.0, 6.0], [16.0, 1.6]),
    metric("M10", [10.5, 11.0, 12.0], [16.0, 6.4], [16.0, 8.0], [20.0, 2.0]),
    metric("M12", [13.0, 13.5, 14.5], [18.0, 7.5], [18.0, 10.0], [24.0, 2.5]),
    inch("1/4", [17.0, 18.0, 19.0], [0.438, 0.505, 0.163], [0.625, 0.065]),
    inch("5/16", [21.0, 22.0, 23.0], [0.500, 0.577, 0.211], [0.688, 0.065]),
    inch("3/8", [25.0, 26.0, 27.0], [0.562, 0.650, 0.243], [0.812, 0.065]),
    inch("7/16", [29.0, 30.0, 31.0], [0.625, 0.722, 0.291], [0.922, 0.065]),
    inch("1/2", [34.0, 36.0, 39.0], [0.750, 0.866, 0.323], [1.062, 0.095]),
];

/// The bolt of a thread.
///
/// # Errors
/// For a thread whose diameter is not in the table.
pub fn of_thread(thread: &Thread) -> Result<&'static Bolt, UnknownBolt> {
    let diameter = thread.name.split('-').next().unwrap_or_default();
    let found = BOLTS.iter().find(|bolt| bolt.name == diameter);
    found.ok_or_else(|| UnknownBolt(thread.name.to_owned()))
}

/// Radius to keep free around a bolt's axis for a socket: half its outside, about 1.35 W + 1 mm, and 1.5 mm of room (practice,
/// uncertain; ISO 2725-1 should take its place).
pub fn socket_radius(flats: Mm) -> Mm {
    (flats * 1.35 + Mm::new(1.0)) / 2.0 + Mm::new(1.5)
}

/// Least distance of a hole's centre from a free edge, in diameters of the hole (EN 1993-1-8, read through a page: [`EDGE_SOURCE`]).
pub const EDGE_DISTANCE: f64 = 1.2;

/// Where it is from.
pub const EDGE_SOURCE: &str = "1.2 of the hole's diameter: EN 1993-1-8 table 3.3, through a page; that castings bear it too is common practice";

#[cfg(test)]
mod tests {
    use super::*;
    use crate::standards::threads::THREADS;

    /// A hexagon's corners: geometry; the rest a property of the tables.
    #[test]
    fn every_thread_has_its_bolt_and_agrees_with_it() {
        for thread in THREADS {
            let bolt = of_thread(thread).expect("in the table");
            assert!((bolt.clearance[1] - thread.clearance).abs() < Mm::new(1e-9), "{}", thread.name);
            assert!(thread.diameter < bolt.clearance[0], "{}", thread.name);
            assert!(
                bolt.clearance[0] < bolt.clearance[1] && bolt.clearance[1] < bolt.clearance[2],
                "{}",
                bolt.name
            );
            // A hexagon's corners lie at most 1.1547 of its flats apart; the inch table rounds.
            assert!((1.152..1.158).contains(&(bolt.corners / bolt.flats)), "{}", bolt.name);
            assert!(bolt.clearance[2] < bolt.flats, "the head covers the loosest hole of {}", bolt.name);
            let washer = bolt.washer.expect("a washer")[0];
            assert!(
                washer > bolt.flats && washer < bolt.flats * 1.5,
                "a washer is wider than {}'s head",
                bolt.name
            );
        }
        let odd = Thread { name: "M7", ..THREADS[0] };
        assert_eq!(of_thread(&odd), Err(UnknownBolt("M7".into())), "none");
    }

    /// No outside value: two rules of practice agree.
    #[test]
    fn a_socket_clears_its_bolt() {
        for bolt in BOLTS {
            assert!(socket_radius(bolt.flats) > bolt.corners / 2.0 + Mm::new(1.5), "{}", bolt.name);
        }
    }
}
