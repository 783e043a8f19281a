//! What must lie inside what, and what must not meet, among the forms of one part; by exact membership of many points.

use rand::{RngExt, SeedableRng};
use rand_xoshiro::SplitMix64;
use solidwright::geometry::{Bounds, P3};
use solidwright::solid::SolidTree;
use solidwright::solid::fillet::JointState;
use tailpattern::design::Design;
use tailpattern::forms::{self, FormError, Piece};
use tailpattern::housing::Housing;

/// Points asked in each solid.
pub const POINTS: usize = 20_000;

/// Points within a solid's box, the same each time.
pub fn points(bounds: &Bounds, count: usize) -> Vec<P3> {
    let mut random = SplitMix64::seed_from_u64(1);
    (0..count)
        .map(|_| {
            let share: [f64; 3] = random.random();
            P3::from_slice(&[0, 1, 2].map(|i| bounds.min[i] + (bounds.max[i] - bounds.min[i]) * share[i]))
        })
        .collect()
}

/// A box around what is really there, not around the tools that make it.
pub fn bounds(piece: &Piece) -> Bounds {
    Bounds::around(piece.solid.brep().vertices.iter().copied())
}

pub fn bounds_of(housing: &Housing) -> Bounds {
    Bounds::around(housing.solid.brep().vertices.iter().copied())
}

/// A tree without the metal of fillets.
fn sharp(tree: &SolidTree) -> SolidTree {
    let mut out = SolidTree::new();
    for step in tree.steps() {
        // A filleted body stands as the bodies that it joins.
        for part in step.primitive.parts().into_iter().filter(|p| p.shape().is_some()) {
            out.push(step.op, part.clone());
        }
    }
    out
}

/// Finished within casting, casting within pattern, core outside casting; all exact. Where the casting could not take all
/// its fillets, which its table says, those of the finished part are left out. Tells the first thing that is not so.
///
/// # Errors
/// The first form that can't be made.
pub fn moulded_fault(design: &Design, finished: &Housing) -> Result<Option<String>, FormError> {
    let cast = forms::casting(design, finished)?;
    let core = forms::core(&cast)?;
    let pattern = forms::pattern(&cast)?;
    let casting: &SolidTree = cast.moulded.casting.solid.tree();
    let whole = cast.moulded.casting.joints.iter().all(|j| j.state() == JointState::Whole);
    let part = if whole { finished.solid.tree().clone() } else { sharp(finished.solid.tree()) };
    let (mut inside, mut cored) = (0, 0);
    for p in points(&bounds_of(finished), POINTS) {
        if part.contains(p) {
            inside += 1;
            if !casting.contains(p) {
                return Ok(Some(format!("finished but not cast at {p:.4}")));
            }
        }
        if casting.contains(p)
            && !pattern.pieces.iter().any(|half| half.solid.tree().contains(p))
            && !at_dowel(&pattern.pieces, p)
        {
            return Ok(Some(format!("cast but not in the pattern at {p:.4}")));
        }
    }
    let core = &core.pieces[0];
    for p in points(&bounds(core), POINTS) {
        if core.solid.tree().contains(p) {
            cored += 1;
            if casting.contains(p) {
                return Ok(Some(format!("core in the casting at {p:.4}")));
            }
        }
    }
    let few = inside < POINTS / 50 || cored < POINTS / 50;
    Ok(few.then(|| format!("{inside} points in the part and {cored} in the core are too few")))
}

/// Within the reach of a dowel's hole the pattern is hollow.
fn at_dowel(halves: &[Piece], p: P3) -> bool {
    let holes = halves.iter().flat_map(|half| half.solid.tree().steps());
    holes.filter(|s| s.op == solidwright::solid::Op::Cut).any(|s| s.primitive.contains(p))
}

/// The pieces of the trial print are the finished part but for wider holes, pegs and sockets, each in one body. Tells the
/// first thing that is not so.
///
/// # Errors
/// Where the print can't be made.
pub fn print_fault(design: &Design, finished: &Housing) -> Result<Option<String>, FormError> {
    let made = forms::trial_print(design, finished)?;
    let half = design.trial_print().half_section();
    let (mut inside, mut lost) = (0, 0);
    for p in points(&bounds_of(finished), POINTS) {
        let holders = made.pieces.iter().filter(|piece| piece.solid.tree().contains(p)).count();
        let there = finished.solid.tree().contains(p);
        if holders > 1 || (holders == 1 && !there) {
            return Ok(Some(format!(
                "{holders} pieces at {p:.4}, where the part has {}",
                usize::from(there)
            )));
        }
        if !half || p.y < 0.0 {
            inside += usize::from(there);
            lost += usize::from(there && holders == 0);
        }
    }
    if inside < 500 || lost * 100 >= inside {
        return Ok(Some(format!("{lost} of {inside} points are in no piece")));
    }
    let apart = made.pieces.iter().find(|piece| piece.solid.brep().bodies() != 1);
    Ok(apart.map(|piece| format!("{} is in several bodies", piece.name)))
}
