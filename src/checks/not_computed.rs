//! What no check computes: a part within all limits may still fail by it.

/// A subject that is left to the engineer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NotComputed {
    /// Bending of the housing's walls by themselves, and true peaks at notches.
    Housing,
    /// Cracks after many loads of changing size.
    Fatigue,
    /// Natural frequencies of engine, gearbox and housing together.
    Vibration,
    /// Pores, cold shuts and cracks of the casting at hand.
    CastingDefects,
    /// Distortion by heat treatment and machining, and stress left by them.
    Distortion,
    /// How oil moves while the shaft turns: splash, foam, flow through the bushing.
    Oil,
    /// Rubber mount, crossmember and floor that carry the housing.
    Surroundings,
    /// Shafts, gears and bearings of the gearbox.
    Gearbox,
    /// Crash, a broken joint, a shaft that comes loose.
    Accidents,
    /// Corrosion, and unlike metals that touch.
    Corrosion,
}

impl NotComputed {
    /// All subjects, those that carry load first.
    pub const ALL: [Self; 10] = [
        Self::Housing,
        Self::Fatigue,
        Self::Vibration,
        Self::CastingDefects,
        Self::Distortion,
        Self::Oil,
        Self::Surroundings,
        Self::Gearbox,
        Self::Accidents,
        Self::Corrosion,
    ];

    /// In a few words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Housing => "bending of the housing's walls, true peaks at notches",
            Self::Fatigue => "fatigue under loads of changing size",
            Self::Vibration => "vibration of engine, gearbox and housing together",
            Self::CastingDefects => "pores, cold shuts and cracks of the casting at hand",
            Self::Distortion => "distortion by heat treatment and machining",
            Self::Oil => "splash, foam and flow of the oil",
            Self::Surroundings => "rubber mount, crossmember and floor",
            Self::Gearbox => "shafts, gears and bearings of the gearbox",
            Self::Accidents => "crash, and a joint that breaks",
            Self::Corrosion => "corrosion, and unlike metals that touch",
        }
    }
}
