//! `shift_box_pad.hollow` and `mount_pad.hollow`: a pad on walls instead of a block of solid metal.

use super::{PART_SIZE, PRACTICE, range};
use crate::params::kinds::{Choice, Length, Radius};
use crate::params::parameter::Parameter;
use crate::params::section_reader::{Section, SectionReader};
use crate::units::Mm;

/// The side on which a pad's hollow is open.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum HollowOpens {
    /// To the cavity: the core gives it.
    Inside,
    /// At the pad's face: the mould gives it.
    Outside,
}

/// The thinnest wall about a hollow that a file may ask for.
pub const LEAST_HOLLOW_WALL: Mm = Mm::new(3.0);

/// The hollow in a pad.
#[derive(Debug, Clone, PartialEq)]
pub struct RawPadHollow {
    /// Thickness of the walls.
    pub wall: Parameter<Mm>,
    /// Thickness of what closes the hollow.
    pub floor: Parameter<Mm>,
    /// Diameter of the bosses around tapped holes.
    pub boss_diameter: Parameter<Mm>,
    /// Metal below the drill's point.
    pub boss_floor: Parameter<Mm>,
    /// Radius of the fillets inside.
    pub fillet: Parameter<Mm>,
}

impl Section for RawPadHollow {
    fn read(s: &mut SectionReader<'_>) -> Self {
        Self {
            wall: s
                .key("wall", "Thickness of the walls, which follow the pad's outline.")
                .value(
                    Length(range(
                        LEAST_HOLLOW_WALL.get(),
                        40.0,
                        "thinner does not fill in a sand mould, thicker is a hot spot",
                    )),
                    "7.0",
                )
                .or_derive("shell.wall", "freezes together with the shell", PRACTICE),
            floor: s
                .key(
                    "floor",
                    "Thickness of the metal that closes the hollow: the plate at the pad's face or, for a hollow open \
                     there, what is left below the cavity. Stock on the face comes on top.",
                )
                .value(
                    Length(range(3.0, 60.0, "thinner does not fill in a sand mould, thicker is a block")),
                    "8.0",
                )
                .or_derive("shell.wall", "freezes together with the shell", PRACTICE),
            boss_diameter: s
                .key("boss_diameter", "Diameter of the boss around each tapped hole, inside the hollow.")
                .value(Length(range(8.0, 80.0, PART_SIZE)), "17.0")
                .or_derive(
                    "2 x thread diameter; less where the opening leaves less room, at least the thread and 5 mm",
                    "enough metal around the thread",
                    PRACTICE,
                ),
            boss_floor: s
                .key("boss_floor", "Metal between the drill's point and the boss's end.")
                .value(Length(range(1.0, 40.0, "thinner weeps, thicker is a hot spot")), "4.0")
                .or_assume(Mm::new(4.0), "keeps the thread closed", PRACTICE),
            fillet: s
                .key("fillet", "Radius of the fillets at the hollow's end; its upright corners have 1.25 times as much, and the draft.")
                .value(Radius(range(1.0, 25.0, "sand keeps no smaller radius; larger ones gather metal")), "3.5")
                .or_derive(
                    "half the hollow's wall, at least 3 mm",
                    "between 0.4 and 0.67 of equal walls, and sand does not hold a smaller radius",
                    "foundry trade pages, read",
                ),
        }
    }
}

/// The hollow in a mount pad, which may be open on either side.
#[derive(Debug, Clone, PartialEq)]
pub struct RawMountHollow {
    /// Where it is open.
    pub opens: Parameter<HollowOpens>,
    /// Its sizes.
    pub sizes: RawPadHollow,
}

impl Section for RawMountHollow {
    fn read(s: &mut SectionReader<'_>) -> Self {
        const OPENS: Choice<HollowOpens> = Choice(&[
            (
                "inside",
                HollowOpens::Inside,
                "to the cavity: the core gives it, and a plate closes it at the face",
            ),
            ("outside", HollowOpens::Outside, "at the face: the mould gives it, as a pocket below the shell"),
        ]);
        let opens =
            s.key("opens", "The side on which the hollow is open.").value(OPENS, "outside").or_assume(
                HollowOpens::Outside,
                "leaves the core as it is, and keeps oil out of the pad",
                PRACTICE,
            );
        Self { opens, sizes: RawPadHollow::read(s) }
    }
}
