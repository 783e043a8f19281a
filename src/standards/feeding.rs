//! Feeders: their modulus, the feed metal they give, necks, how far they reach, and chills in their place.
//!
//! All of it is a first estimate for talks with a foundry, which decides.

use super::materials::Family;
use std::f64::consts::PI;

/// Modulus of a feeder, in moduli of the lump that it feeds: it freezes last if it is a fifth greater (foundry page on feeders,
/// read; Wlodawer, *Directional Solidification of Steel Castings*, has lump, neck and feeder as 1 : 1.1 : 1.2, from memory).
pub const FEEDER: f64 = 1.2;

/// The same for the neck between them (Wlodawer, from memory). Metal between two lumps that is no thicker than this chain
/// asks for freezes too early to feed one from the other.
pub const NECK: f64 = 1.1;

/// Height of a side feeder in its diameters (article on risers, read).
pub const HEIGHT: f64 = 1.5;

/// Share of a cylindrical feeder's metal that leaves it (Campbell, *Castings*: 14 per cent, from memory).
pub const EFFICIENCY: f64 = 0.14;

/// How far from a feeder's edge a wall is fed, in thicknesses of the wall (article on risers: 4 to 5, read).
pub const REACH: f64 = 4.5;

/// Thickness of an iron chill in thicknesses of the lump that it touches: half to one (practice, no source).
pub const CHILL: [f64; 2] = [0.5, 1.0];

/// Shrinkage of a melt to the solid that a feeder makes good, as a share of the volume: 5 per cent are taken for aluminium with
/// 7 per cent of silicon, of which lists give 4 to 6, where pure aluminium has 6.6 to 7; 3 per cent for iron, in which growing
/// graphite makes good a part of it (all from memory).
pub const fn shrinkage(family: Family) -> f64 {
    match family {
        Family::Aluminium => 0.05,
        Family::Iron => 0.03,
    }
}

/// Modulus of a cylinder that cools on all sides, in its diameter's unit: height over diameter `aspect` (derived).
pub fn cylinder_modulus(diameter: f64, aspect: f64) -> f64 {
    diameter * aspect / (2.0 + 4.0 * aspect)
}

/// Diameter of the cylinder with a modulus: the inverse of [`cylinder_modulus`].
pub fn diameter_of_modulus(modulus: f64, aspect: f64) -> f64 {
    modulus * (2.0 + 4.0 * aspect) / aspect
}

/// Volume of a cylinder (geometry).
pub fn cylinder_volume(diameter: f64, aspect: f64) -> f64 {
    0.25 * PI * diameter.powi(3) * aspect
}

/// Diameter of the cylinder with a volume (geometry).
pub fn diameter_of_volume(volume: f64, aspect: f64) -> f64 {
    (volume / (0.25 * PI * aspect)).cbrt()
}

/// Least volume of a feeder that makes good the shrinkage of a lump and of itself from the share of its metal that leaves
/// it: of a feeder F for a volume V, ε F = β (F + V) (Campbell, *Castings*, from memory). `None` where it would need more than it gives.
pub fn feed_volume(volume: f64, shrinkage: f64, efficiency: f64) -> Option<f64> {
    (efficiency > shrinkage).then(|| volume * shrinkage / (efficiency - shrinkage))
}

/// A side feeder for a lump: lengths in mm, volume in mm³.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Feeder {
    /// Diameter.
    pub diameter: f64,
    /// Height.
    pub height: f64,
    /// Diameter of a round neck, whose modulus is that of a long bar.
    pub neck: f64,
    /// Volume, without the neck.
    pub volume: f64,
    /// Whether the feed metal asks for more than the modulus does.
    pub by_feed_metal: bool,
}

impl Feeder {
    /// Diameter of a round neck for a lump's modulus: that of a long bar is a quarter of its diameter.
    pub fn neck_for(modulus: f64) -> f64 {
        4.0 * NECK * modulus
    }

    /// The least feeder for a lump's modulus and volume that is also of a least height, mm and mm³: as high as it must be to stand over what
    /// it feeds, it is slimmer than [`Self::of`].
    pub fn standing(modulus: f64, volume: f64, least_height: f64, family: Family) -> Self {
        let wanted = feed_volume(volume, shrinkage(family), EFFICIENCY).unwrap_or(f64::INFINITY);
        let aspect = |d: f64| HEIGHT.max(least_height / d);
        let freezes_last = |d: f64| cylinder_modulus(d, aspect(d)) >= FEEDER * modulus;
        let holds_enough = |d: f64| cylinder_volume(d, aspect(d)) >= wanted;
        let least = |enough: &dyn Fn(f64) -> bool, most: f64| {
            let (mut low, mut high) = (0.0, most);
            for _ in 0..60 {
                let middle = 0.5 * (low + high);
                (low, high) = if enough(middle) { (low, middle) } else { (middle, high) };
            }
            high
        };
        let by_modulus = least(&freezes_last, diameter_of_modulus(FEEDER * modulus, HEIGHT));
        let by_volume = least(&holds_enough, diameter_of_volume(wanted, HEIGHT));
        let diameter = by_modulus.max(by_volume);
        let aspect = aspect(diameter);
        Self {
            diameter,
            height: aspect * diameter,
            neck: Self::neck_for(modulus),
            volume: cylinder_volume(diameter, aspect),
            by_feed_metal: by_volume > by_modulus,
        }
    }

    /// The least feeder for a lump's modulus and volume, mm and mm³.
    pub fn of(modulus: f64, volume: f64, family: Family) -> Self {
        let by_modulus = diameter_of_modulus(FEEDER * modulus, HEIGHT);
        let wanted = feed_volume(volume, shrinkage(family), EFFICIENCY).unwrap_or(f64::INFINITY);
        let by_volume = diameter_of_volume(wanted, HEIGHT);
        let diameter = by_modulus.max(by_volume);
        Self {
            diameter,
            height: HEIGHT * diameter,
            neck: Self::neck_for(modulus),
            volume: cylinder_volume(diameter, HEIGHT),
            by_feed_metal: by_volume > by_modulus,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn near(value: f64, want: f64, within: f64) {
        assert!((value - want).abs() <= within, "{value} for {want}");
    }

    /// A textbook's problem on risers (a page with its solution, read): a steel plate of 7.5 by 12.5 by 2 cm freezes in 1.6
    /// min; a riser as high as wide that freezes in 2.0 min is 4.7 cm wide and has 44 per cent of the plate's volume.
    #[test]
    fn a_riser_that_freezes_a_quarter_later() {
        let plate: f64 = 7.5 * 12.5 * 2.0;
        let modulus = plate / (2.0 * (7.5 * 12.5 + 12.5 * 2.0 + 7.5 * 2.0));
        near(modulus, 0.7, 1.5e-3);
        let diameter = diameter_of_modulus(modulus * (2.0f64 / 1.6).sqrt(), 1.0);
        near(diameter, 4.7, 0.02);
        near(cylinder_modulus(6.0, 1.0), 1.0, 1e-12);
        near(cylinder_volume(4.7, 1.0), 81.5, 0.1);
        near(cylinder_volume(4.7, 1.0) / plate, 0.44, 0.006);
    }

    /// A problem on side risers (question page, read): a plate of 10 by 10 by 4 cm has a modulus of 1.111 cm. The sides
    /// of a riser of 1.5 diameters give a modulus of 3/16 of its diameter (problem on a riser of that shape, read).
    #[test]
    fn moduli_of_a_plate_and_of_a_tall_riser() {
        near(400.0 / 360.0, 1.111, 5e-4);
        near(cylinder_modulus(1.0, 1.5), 0.1875, 1e-12);
        near(diameter_of_modulus(FEEDER * 1.1111, HEIGHT), 7.111, 1e-3);
    }

    /// With 14 per cent of a feeder's metal at hand, aluminium that shrinks by 7 per cent needs a feeder as large as the
    /// casting, and metal that shrinks by 3 per cent one of 0.27 (Campbell, *Castings*, from memory).
    #[test]
    fn feed_metal() {
        near(feed_volume(1.0, 0.07, 0.14).expect("a feeder"), 1.0, 1e-12);
        near(feed_volume(1.0, 0.03, 0.14).expect("a feeder"), 0.27, 0.003);
        assert_eq!(feed_volume(1.0, 0.15, 0.14), None);
        near(diameter_of_volume(cylinder_volume(31.0, HEIGHT), HEIGHT), 31.0, 1e-9);
    }

    /// A feeder that must be 150 mm high over a lump of 10 mm modulus: the least cylinder whose modulus is 12 mm has D h / (2 D + 4 h) =
    /// 12, so D = 48 h / (h - 24) (derived); where the height asks for nothing, it is that of [`Feeder::of`].
    #[test]
    fn a_tall_feeder_is_slimmer() {
        let tall = Feeder::standing(10.0, 1.0, 150.0, Family::Aluminium);
        near(tall.diameter, 48.0 * 150.0 / 126.0, 1e-6);
        near(tall.height, 150.0, 1e-9);
        let (low, usual) =
            (Feeder::standing(10.0, 1.0, 10.0, Family::Aluminium), Feeder::of(10.0, 1.0, Family::Aluminium));
        near(low.diameter, usual.diameter, 1e-6);
        let fed = Feeder::standing(5.0, 2e6, 300.0, Family::Aluminium);
        near(fed.volume, 2e6 * 5.0 / 9.0, 1.0);
        assert!(fed.by_feed_metal, "{fed:?}");
    }

    /// A compact lump asks for modulus, a large one of thin walls for feed metal.
    ///
    /// No outside value: the rule that is told at the type.
    #[test]
    fn the_larger_demand_decides() {
        let cube = 40.0f64.powi(3);
        let small = Feeder::of(40.0 / 6.0, 0.3 * cube, Family::Aluminium);
        assert!(!small.by_feed_metal, "{small:?}");
        near(cylinder_modulus(small.diameter, HEIGHT), FEEDER * 40.0 / 6.0, 1e-9);
        let large = Feeder::of(40.0 / 6.0, 10.0 * cube, Family::Aluminium);
        assert!(large.by_feed_metal && large.diameter > small.diameter, "{large:?}");
        near(large.volume, 10.0 * cube * 5.0 / 9.0, 1.0);
    }
}
