//! Random solid trees from a seed, half of them snapped to a coarse grid so that coincidences are common.

use rand::{Rng, RngExt, SeedableRng};
use rand_xoshiro::SplitMix64;
use solidwright::geometry::{Frame, P2, P3, V2, V3};
use solidwright::solid::{
    Op, Primitive, Segment, SolidTree, Tag, circle, polygon, rounded_rectangle, turned,
};

/// Random numbers: same seed, same numbers, on any machine.
pub struct Dice(SplitMix64);

impl Dice {
    pub fn new(seed: u64) -> Self {
        Self(SplitMix64::seed_from_u64(seed))
    }

    pub fn unit(&mut self) -> f64 {
        self.0.random()
    }

    pub fn between(&mut self, a: f64, b: f64) -> f64 {
        a + (b - a) * self.unit()
    }

    pub fn below(&mut self, n: u64) -> u64 {
        self.0.next_u64() % n
    }
}

struct Maker {
    dice: Dice,
    grid: bool,
}

impl Maker {
    /// A length in the range, on the grid of 2 mm if snapped (at least 2).
    fn length(&mut self, a: f64, b: f64) -> f64 {
        let x = self.dice.between(a, b);
        if self.grid { (x / 2.0).round().max(1.0) * 2.0 } else { x }
    }

    fn place(&mut self) -> P3 {
        let mut one = || {
            let x = self.dice.between(-16.0, 16.0);
            if self.grid { (x / 4.0).round() * 4.0 } else { x }
        };
        P3::new(one(), one(), one())
    }

    fn frame(&mut self) -> Frame {
        let origin = self.place();
        if self.grid {
            let axes = [V3::x(), V3::y(), V3::z(), -V3::x(), -V3::y(), -V3::z()];
            return Frame::from_z(origin, axes[self.dice.below(6) as usize]);
        }
        loop {
            let mut one = || self.dice.between(-1.0, 1.0);
            let v = V3::new(one(), one(), one());
            if v.norm() > 0.2 && v.norm() < 1.0 {
                return Frame::from_z(origin, v);
            }
        }
    }

    fn primitive(&mut self, i: usize) -> Primitive {
        let name = format!("p{i}");
        let tag = Tag::formed(&name, "side");
        let frame = self.frame();
        let ends = || [Tag::formed(&name, "bottom"), Tag::formed(&name, "top")];
        let made = match self.dice.below(9) {
            0 | 1 => {
                let (r, h) = (self.length(2.0, 12.0), self.length(4.0, 30.0));
                turned(&name, frame, &[(0.0, 0.0), (r, 0.0), (r, h), (0.0, h)], &[tag])
            }
            2 => {
                let (r, s, h) = (self.length(2.0, 12.0), self.length(2.0, 12.0), self.length(4.0, 24.0));
                let s = if self.dice.below(4) == 0 { 0.0 } else { s };
                let mut points = vec![(0.0, 0.0), (r, 0.0)];
                if s > 0.0 {
                    points.push((s, h));
                }
                points.push((0.0, h));
                turned(&name, frame, &points, &[tag])
            }
            3 => {
                let r = self.length(3.0, 12.0);
                let (a, b) = (P2::new(0.0, -r), P2::new(0.0, r));
                let arc = Segment { from: a, to: b, arc: Some((P2::origin(), true)), tag: tag.clone() };
                Primitive::revolve(&name, frame, vec![arc, Segment { from: b, to: a, arc: None, tag }])
            }
            4 => {
                let minor = self.length(2.0, 5.0);
                let major = minor + self.length(2.0, 8.0);
                Primitive::revolve(&name, frame, circle(P2::new(major, 0.0), minor, &tag))
            }
            5 => self.stepped(&name, frame, &tag),
            6 | 7 => {
                let (a, b, h) = (self.length(4.0, 24.0), self.length(4.0, 24.0), self.length(4.0, 20.0));
                let (x, y) = (a / 2.0, b / 2.0);
                let points = [P2::new(-x, -y), P2::new(x, -y), P2::new(x, y), P2::new(-x, y)];
                Primitive::prism(&name, frame, polygon(&points, &[tag]), h, 0.0, ends())
            }
            _ => {
                let (a, b, h) = (self.length(8.0, 24.0), self.length(8.0, 24.0), self.length(4.0, 16.0));
                let r = self.length(1.0, 0.4 * a.min(b)).min(0.45 * a.min(b));
                let draft = [0.0, 2.0_f64, 3.0][self.dice.below(3) as usize].to_radians();
                Primitive::prism(
                    &name,
                    frame,
                    rounded_rectangle(P2::origin(), V2::new(a, b), r, &tag),
                    h,
                    draft,
                    ends(),
                )
            }
        };
        made.expect("the ranges above make sound primitives")
    }

    /// A turned profile with a step and a quarter-round corner.
    fn stepped(
        &mut self,
        name: &str,
        frame: Frame,
        tag: &Tag,
    ) -> Result<Primitive, solidwright::solid::PrimitiveError> {
        let inner = self.length(2.0, 6.0);
        let outer = inner + self.length(4.0, 8.0);
        let (low, high) = (self.length(3.0, 8.0), self.length(3.0, 8.0));
        let round = 1.5;
        let p = [
            P2::new(0.0, 0.0),
            P2::new(outer, 0.0),
            P2::new(outer, low - round),
            P2::new(outer - round, low),
            P2::new(inner, low),
            P2::new(inner, low + high),
            P2::new(0.0, low + high),
        ];
        let mut segments = polygon(&p, std::slice::from_ref(tag));
        segments[2].arc = Some((P2::new(outer - round, low - round), true));
        Primitive::revolve(name, frame, segments)
    }
}

/// A random tree of 2 to 10 primitives; odd seeds are snapped to the grid.
pub fn random_tree(seed: u64) -> SolidTree {
    let mut maker = Maker { dice: Dice::new(seed.wrapping_mul(0x5851_F42D_4C95_7F2D)), grid: seed % 2 == 1 };
    let n = 2 + maker.dice.below(9) as usize;
    let mut tree = SolidTree::new();
    for i in 0..n {
        let primitive = maker.primitive(i);
        let op = if i == 0 {
            Op::Add
        } else {
            match maker.dice.below(20) {
                0..=9 => Op::Add,
                10..=18 => Op::Cut,
                _ => Op::Keep,
            }
        };
        tree.push(op, primitive);
    }
    tree
}

/// Volume by counting `contains` at random points of the box, and its standard error.
pub fn counted_volume(tree: &SolidTree, seed: u64, points: u32) -> (f64, f64) {
    let b = tree.bounds();
    let size = b.max - b.min;
    let mut dice = Dice::new(seed ^ 0xABCD_EF01);
    let mut hits = 0_u32;
    for _ in 0..points {
        let p = P3::new(
            b.min.x + size.x * dice.unit(),
            b.min.y + size.y * dice.unit(),
            b.min.z + size.z * dice.unit(),
        );
        hits += u32::from(tree.contains(p));
    }
    let share = f64::from(hits) / f64::from(points);
    let whole = size.x * size.y * size.z;
    // One added hit and miss keep the error from being zero.
    let safe = (f64::from(hits) + 1.0) / (f64::from(points) + 2.0);
    (share * whole, (safe * (1.0 - safe) / f64::from(points)).sqrt() * whole)
}
