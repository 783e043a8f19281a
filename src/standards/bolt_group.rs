//! Bolts that clamp a stiff part: what a force and a moment at the joint ask of each.
//!
//! Elastic method of textbooks: the part turns about the middle of its bolts, and each bolt carries in proportion to its
//! distance from there.

use std::f64::consts::TAU;

/// Bolts of one size, by their places in the joint's plane, mm.
#[derive(Clone, Debug, PartialEq)]
pub struct BoltGroup {
    /// From the middle of all.
    places: Vec<[f64; 2]>,
    /// The middle.
    middle: [f64; 2],
    /// How far the face reaches from the middle, at least, in both directions; zero where that is not known.
    reach: [f64; 2],
}

/// A force and moments at the middle of the bolts: newtons, newton millimetres.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct JointLoad {
    /// Pull off the face.
    pub pull: f64,
    /// Along the face, in both directions.
    pub shear: [f64; 2],
    /// Moment that opens the joint along the first direction, and along the second.
    pub bending: [f64; 2],
    /// Moment that turns the part in the joint's plane.
    pub twist: f64,
}

impl BoltGroup {
    /// Bolts at these places; `None` without any.
    pub fn new(places: &[[f64; 2]]) -> Option<Self> {
        if places.is_empty() {
            return None;
        }
        let count = places.len() as f64;
        let middle = [0, 1].map(|k| places.iter().map(|p| p[k]).sum::<f64>() / count);
        let places = places.iter().map(|p| [p[0] - middle[0], p[1] - middle[1]]).collect();
        Some(Self { places, middle, reach: [0.0; 2] })
    }

    /// The same on a face that reaches so far from the origin of the places: bolts in one row hold a moment across it, since the part
    /// tilts about the face's nearer edge.
    #[must_use]
    pub fn on_face(self, half: [f64; 2]) -> Self {
        let reach = [0, 1].map(|k| (half[k] - self.middle[k].abs()).max(0.0));
        Self { reach, ..self }
    }

    /// How many bolts.
    pub fn count(&self) -> f64 {
        self.places.len() as f64
    }

    fn squares(&self, direction: usize) -> f64 {
        self.places.iter().map(|p| p[direction] * p[direction]).sum()
    }

    /// The greatest distance between bolts that are neighbours about the origin of the places, along the circle of their mean distance
    /// from it, mm, and the places of both. A bolt alone is its own neighbour, all the way round.
    pub fn widest_spacing(&self) -> (f64, [[f64; 2]; 2]) {
        let place = |p: &[f64; 2]| [p[0] + self.middle[0], p[1] + self.middle[1]];
        let mut around: Vec<(f64, [f64; 2])> =
            self.places.iter().map(place).map(|p| (p[1].atan2(p[0]), p)).collect();
        around.sort_by(|a, b| a.0.total_cmp(&b.0));
        let next = |i: usize| around[(i + 1) % around.len()];
        let turn = |i: usize| {
            let turn = (next(i).0 - around[i].0).rem_euclid(TAU);
            if around.len() == 1 { TAU } else { turn }
        };
        let widest = (0..around.len()).max_by(|a, b| turn(*a).total_cmp(&turn(*b))).unwrap_or(0);
        let radius = around.iter().map(|(_, p)| p[0].hypot(p[1])).sum::<f64>() / self.count();
        (turn(widest) * radius, [around[widest].1, next(widest).1])
    }

    /// Mean distance from the middle, mm.
    pub fn mean_radius(&self) -> f64 {
        self.places.iter().map(|p| p[0].hypot(p[1])).sum::<f64>() / self.count()
    }

    /// Greatest pull on one bolt, N: `F/n + M1 a/Σa² + M2 b/Σb²`. Where the bolts stand in one row, a moment across it is held at the
    /// arm of the face's nearer edge, by all of them alike; infinite where no face is known.
    pub fn greatest_pull(&self, load: &JointLoad) -> f64 {
        let sums = [0, 1].map(|k| self.squares(k));
        let of = |moment: f64, arm: f64, (sum, reach): (f64, f64)| {
            if moment.abs() <= 0.0 {
                0.0
            } else if sum < 1e-6 {
                moment.abs() / (reach * self.count())
            } else {
                moment.abs() * arm.abs() / sum
            }
        };
        let by = [0, 1].map(|k| (sums[k], self.reach[k]));
        let one = |p: &[f64; 2]| of(load.bending[0], p[0], by[0]) + of(load.bending[1], p[1], by[1]);
        load.pull.max(0.0) / self.count() + self.places.iter().map(one).fold(0.0, f64::max)
    }

    /// Greatest force across one bolt, N: its share of the shear and `T r/Σr²` square to its arm, added as vectors.
    pub fn greatest_shear(&self, load: &JointLoad) -> f64 {
        let polar = self.squares(0) + self.squares(1);
        let one = |p: &[f64; 2]| {
            let turn = if polar > 0.0 { load.twist / polar } else { 0.0 };
            let [a, b] = [load.shear[0] / self.count(), load.shear[1] / self.count()];
            (a - turn * p[1]).hypot(b + turn * p[0])
        };
        self.places.iter().map(one).fold(0.0, f64::max)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn four() -> BoltGroup {
        BoltGroup::new(&[[0.0, 0.0], [60.0, 0.0], [0.0, 80.0], [60.0, 80.0]]).expect("bolts")
    }

    /// A page of exam questions on steel structures, read: 10 kN at 100 mm on four bolts 60 by 80 mm apart gives 2.5 kN, 5 kN and
    /// together 7.16 kN on the worst bolt.
    #[test]
    fn four_bolts_of_a_bracket() {
        let load = JointLoad { shear: [0.0, 10_000.0], twist: 1e6, ..JointLoad::default() };
        // The bolt on the load's side, 30 mm beside and 40 mm above the middle: 3 and 2.5 + 4 would be 7.16 with the arm of 30.
        let twist_only = JointLoad { twist: 1e6, ..JointLoad::default() };
        assert!((four().greatest_shear(&twist_only) - 5000.0).abs() < 1e-9);
        let told = four().greatest_shear(&load);
        let by_hand = (4000.0_f64).hypot(2500.0 + 3000.0);
        assert!((told - by_hand).abs() < 1e-9, "{told}");
        // The page takes the angle between both forces from the longer side.
        let other = JointLoad { shear: [10_000.0, 0.0], twist: 1e6, ..JointLoad::default() };
        let told = four().greatest_shear(&other);
        assert!((told - 7160.0).abs() < 5.0, "{told}");
    }

    /// By hand: of six bolts on a circle of 100 mm one is missing, which leaves 120 degrees: 2π 100 / 3.
    #[test]
    fn the_widest_spacing_is_where_a_bolt_is_missing() {
        let places: Vec<[f64; 2]> = (0..6)
            .map(|i| f64::from(i) * TAU / 6.0)
            .map(|angle| [100.0 * angle.cos(), 100.0 * angle.sin()])
            .collect();
        let spacing = |places: &[[f64; 2]]| BoltGroup::new(places).expect("bolts").widest_spacing();
        let (all, _) = spacing(&places);
        assert!((all - TAU * 100.0 / 6.0).abs() < 1e-9, "{all}");
        let (without, [a, b]) = spacing(&places[1..]);
        assert!((without - TAU * 100.0 / 3.0).abs() < 1e-9, "{without}");
        assert!(a[0] > 40.0 && b[0] > 40.0 && a[1] * b[1] < 0.0, "beside the gap: {a:?} {b:?}");
        let (alone, _) = spacing(&[[5.0, 0.0]]);
        assert!((alone - TAU * 5.0).abs() < 1e-12, "all the way round: {alone}");
    }

    /// By hand: 4 kN pull and 240 N m over 60 mm: 1 kN and 240 000 · 30 / (4 · 900) = 2 kN.
    #[test]
    fn pull_and_moment_add_on_the_outer_bolts() {
        let load = JointLoad { pull: 4000.0, bending: [240_000.0, 0.0], ..JointLoad::default() };
        assert!((four().greatest_pull(&load) - 3000.0).abs() < 1e-9);
        let row = BoltGroup::new(&[[0.0, 0.0], [50.0, 0.0]]).expect("bolts");
        let across = JointLoad { bending: [0.0, 1.0], ..JointLoad::default() };
        assert!(row.greatest_pull(&across).is_infinite(), "a row alone does not hold a moment across it");
        // By hand: 100 N m about an edge 25 mm off two bolts is 2 kN each.
        let across = JointLoad { bending: [0.0, 100_000.0], ..JointLoad::default() };
        assert!((row.on_face([60.0, 25.0]).greatest_pull(&across) - 2000.0).abs() < 1e-9);
        assert!(BoltGroup::new(&[]).is_none(), "no bolts");
    }
}
