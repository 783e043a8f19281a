//! The limits of the checks, and the source of each.

use crate::design::Design;
use crate::forms::MissingMetal;
use crate::standards::bolts::{EDGE_DISTANCE, EDGE_SOURCE};
use crate::standards::core_prints::SAND_BEARING;
use crate::standards::cored_holes::{CoreHold, SMALLEST_CORED};
use crate::standards::hot_spots::WARN_RATIO;
use crate::standards::materials::{Family, LONG_WALL, least_wall};
use crate::units::{Deg, Mm, Units};

/// A limit.
#[derive(Clone, Debug, PartialEq)]
pub struct Limit {
    /// Its value, in the unit of what it limits.
    pub value: f64,
    /// Its source.
    pub source: String,
    /// Whether the parameter file sets it.
    pub given: bool,
}

/// Sources that name lengths: these are told in the file's unit, whatever the rule was printed in.
struct Rules(Units);

impl Rules {
    fn oil_wall(&self) -> String {
        let wall = self.0.to_places(4.0, 0);
        format!(
            "{wall}, or less where the least wall that fills a casting of this length is less: common practice"
        )
    }

    fn gap(&self) -> String {
        let gaps = self.0.between([8.0, 15.0], 0);
        format!("close gaps of less than {gaps} between bosses: foundry trade page, read")
    }

    fn socket(&self) -> String {
        let (more, room) = (self.0.to_places(1.0, 0), self.0.to_places(1.5, 1));
        format!("outside of a socket 1.35 of the flats and {more}, with {room} of room: practice, uncertain")
    }

    fn cored(&self) -> String {
        format!("{}, and the wall's thickness; practice, no source", self.0.to_places(SMALLEST_CORED, 0))
    }
}

/// All limits of a design; lengths in mm.
#[derive(Clone, Debug, PartialEq)]
pub struct Limits {
    /// Thickness of a cast wall.
    pub wall: Limit,
    /// Wall between cavity and outside in the worst case.
    pub oil_wall: Limit,
    /// Metal beside a machined face.
    pub machined_wall: Limit,
    /// The same, below which a warning is given; the file's own wall counts here too.
    pub machined_wall_soft: Limit,
    /// The same in the worst case.
    pub machined_wall_worst: Limit,
    /// Metal under a blind hole.
    pub floor: Limit,
    /// Gap between features.
    pub gap: Limit,
    /// Room around a bolt's head.
    pub head_room: Limit,
    /// Engagement of threads, in diameters.
    pub engagement: Limit,
    /// Hole's centre to an edge, in diameters of the hole; of the bolt if the file gives it.
    pub edge_distance: Limit,
    /// Largest ball in the casting, in walls.
    pub hot_spot: Limit,
    /// Depth of the finished part's metal outside the casting.
    pub lacking: Limit,
    /// The same, worth a warning.
    pub lacking_soft: Limit,
    /// Stock left in the worst case.
    pub stock_left: Limit,
    /// Preferred room beside the sender on its path in.
    pub sender_way: Limit,
    /// Room around a socket on its path.
    pub socket_way: Limit,
    /// Free turn of a spanner, degrees.
    pub swing: Limit,
    /// Modulus of a lump, as a multiple of the modulus of the shell's wall.
    pub lump: Limit,
    /// Greatest ratio by which a wall may thicken over a short distance.
    pub section_change: Limit,
    /// Depth of a cored hole, in its widths.
    pub cored_depth: Limit,
    /// Width of a cored hole; the wall's thickness where that is more.
    pub cored_width: Limit,
    /// Metal at an edge where two faces meet.
    pub thin_edge: Limit,
    /// Draft of cast walls, degrees.
    pub draft: Limit,
    /// Area that cannot be drawn, mm².
    pub undercut: Limit,
    /// Pressure on core prints, megapascals.
    pub bearing: Limit,
    /// Wall of the print.
    pub print_wall: Limit,
    /// Share of a printed surface that overhangs.
    pub overhang: Limit,
}

/// Modulus of a lump that needs a feeder, as a multiple of the wall's.
const LUMP: f64 = 1.5;

const PRACTICE: &str = "common practice, no source";

impl Limits {
    /// The limits of a design: the file's, else the built-in ones.
    pub fn of(design: &Design) -> Self {
        let given = design.limits();
        let alloy = design.casting().alloy();
        let own = |value: f64, source: &str| Limit { value, source: source.to_owned(), given: false };
        let or = |given: Option<f64>, value: f64, source: &str| match given {
            Some(value) => Limit { value, source: "the parameter file's `limits`".to_owned(), given: true },
            None => own(value, source),
        };
        let mm = |given: Option<Mm>, value: f64, source: &str| or(given.map(Mm::get), value, source);
        let rules = Rules(design.units());
        let engagement = match alloy.family {
            Family::Aluminium => 1.5,
            Family::Iron => 1.25,
        };
        Self {
            wall: mm(
                given.wall,
                least_wall(alloy, design.overall_length()).get(),
                &format!("{}; {LONG_WALL}", alloy.wall_source),
            ),
            oil_wall: mm(
                given.oil_wall,
                least_wall(alloy, design.overall_length()).get().min(4.0),
                &rules.oil_wall(),
            ),
            machined_wall: mm(given.machined_wall, 1.5, PRACTICE),
            machined_wall_soft: mm(
                given.wall,
                3.0,
                "beside a bore or a drilled hole the casting is thicker, so filling sets no limit; common practice, no source",
            ),
            machined_wall_worst: mm(given.machined_wall_worst, 1.0, PRACTICE),
            floor: mm(given.floor, 2.0, PRACTICE),
            gap: mm(given.gap, 8.0, &rules.gap()),
            head_room: mm(given.head_room, 0.0, PRACTICE),
            engagement: or(
                given.engagement,
                engagement,
                "1.5 to 2 diameters in light metal, 1.25 in iron: shop rule, common practice, where no strength is known",
            ),
            edge_distance: or(given.edge_distance, EDGE_DISTANCE, EDGE_SOURCE),
            hot_spot: or(given.hot_spot, WARN_RATIO, PRACTICE),
            lacking: own(
                MissingMetal::DEEP,
                "half the tolerance of the finest sand casting: ISO 8062-3, DCTG 7, read",
            ),
            lacking_soft: own(
                0.0,
                "a shallow flaw is within the tolerance of the cast face; practice, no source",
            ),
            stock_left: mm(given.stock_left, 0.0, "the face must clean up; tolerance by ISO 8062-3"),
            sender_way: mm(given.sender_way, 3.0, PRACTICE),
            socket_way: mm(given.socket_way, 0.0, &rules.socket()),
            swing: or(
                given.swing.map(Deg::get),
                60.0,
                "an open spanner turns by 60 deg; practice, no source",
            ),
            lump: or(
                given.lump,
                LUMP,
                "1.5 times the modulus solidifies 2.25 times as long; practice, no source",
            ),
            section_change: or(
                given.section_change,
                2.0,
                "to 2:1 a fillet does, beyond it a taper of 4:1: design rules for castings, from memory",
            ),
            cored_depth: or(
                given.cored_depth,
                CoreHold::BothEnds.depth_ratio(),
                "a dry core held at both ends: 3 to 4; practice, no source",
            ),
            cored_width: mm(given.cored_width, SMALLEST_CORED, &rules.cored()),
            thin_edge: mm(given.thin_edge, 1.0, PRACTICE),
            draft: or(given.draft.map(Deg::get), 1.0, "1 to 3 degrees outside: foundry trade pages, read"),
            undercut: or(given.undercut, 0.0, "a face that looks against the pull holds the pattern"),
            bearing: or(given.bearing, SAND_BEARING, "bearing of green sand, common practice"),
            print_wall: own(design.trial_print().wall().get(), "`trial_print.wall`"),
            overhang: or(given.overhang, 0.25, PRACTICE),
        }
    }
}
