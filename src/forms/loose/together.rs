//! Which places of a half get a loose piece together: as few pieces as leave nothing held.

use std::collections::{BTreeMap, BTreeSet};

use super::super::{FormError, Piece};
use super::site::Site;
use super::{Boundary, DRESSED, LooseHalf, LoosePiece, P3, StillHeld};

/// How many sets of places may get no piece together before each gets one of its own.
const MOST_REFUSED: usize = 4;

/// How many ways to share the places out are tried where some leave a place without a piece.
const MOST_SHARINGS: usize = 3;

/// Places by their numbers, in order.
type Places = Vec<usize>;

/// What a half has parted off for the places of one feature.
struct PartedOff {
    main: Piece,
    /// The number of that half.
    stage: usize,
    pieces: Vec<(Piece, LoosePiece)>,
    standing: Vec<Boundary>,
    held: Vec<StillHeld>,
}

impl PartedOff {
    /// What is not wanted: area that holds still, then pieces.
    fn cost(&self) -> f64 {
        self.held.iter().map(|held| held.area).sum::<f64>() * 1e6 + self.pieces.len() as f64
    }
}

/// Where a half stood before.
struct Start {
    main: Piece,
    stage: usize,
    pieces: usize,
    held: usize,
}

fn keep_better(best: &mut Option<PartedOff>, parted: PartedOff) {
    if best.as_ref().is_none_or(|best| parted.cost() < best.cost()) {
        *best = Some(parted);
    }
}

impl LooseHalf<'_> {
    /// Parts off pieces for the places of one feature. Places that share a pull get one piece, unless that leaves another place without
    /// one. Where it does, the places that stay alone are tried before: their pieces are then drawn last, when the hollow is widest.
    pub(super) fn part_off_group(&mut self, group: &[Site], dowels: &[P3]) -> Result<(), FormError> {
        let mut banned: BTreeSet<Places> = BTreeSet::new();
        let draws: Vec<Vec<[i64; 3]>> = group.iter().map(|site| self.draws(site)).collect();
        let mut best: Option<PartedOff> = None;
        for sharing in 1..=MOST_SHARINGS {
            let start = self.start();
            // The last one has a piece for each place.
            let together = if sharing < MOST_SHARINGS {
                self.part_off_together(group, &draws, &banned, dowels)?
            } else {
                vec![]
            };
            self.part_off_rest(group, &together, dowels)?;
            let first = self.back_to(start);
            let done = first.held.is_empty() || together.is_empty();
            keep_better(&mut best, first);
            if !done {
                let start = self.start();
                self.part_off_rest(group, &together, dowels)?;
                for set in &together {
                    self.part_off_set(group, set, dowels)?;
                }
                let second = self.back_to(start);
                keep_better(&mut best, second);
            }
            if best.as_ref().is_some_and(|best| best.held.is_empty()) || done {
                break;
            }
            banned.extend(together);
        }
        if let Some(PartedOff { main, stage, pieces, standing, held }) = best {
            self.main = main;
            self.parted.stage = stage;
            self.pieces.extend(pieces);
            self.standing.extend(standing);
            self.still_held.extend(held);
        }
        Ok(())
    }

    fn start(&self) -> Start {
        Start {
            main: self.main.clone(),
            stage: self.parted.stage,
            pieces: self.pieces.len(),
            held: self.still_held.len(),
        }
    }

    /// Takes back what was parted off since.
    fn back_to(&mut self, start: Start) -> PartedOff {
        PartedOff {
            stage: std::mem::replace(&mut self.parted.stage, start.stage),
            main: std::mem::replace(&mut self.main, start.main),
            pieces: self.pieces.split_off(start.pieces),
            standing: self.standing.split_off(start.pieces),
            held: self.still_held.split_off(start.held),
        }
    }

    /// One piece for a set of places, or one for each.
    fn part_off_set(&mut self, group: &[Site], set: &Places, dowels: &[P3]) -> Result<(), FormError> {
        let own: Vec<&Site> = set.iter().filter_map(|k| group.get(*k)).collect();
        if self.piece_for(&Site::joined(&own), dowels)?.is_some() {
            for site in own {
                self.part_off_alone(site, dowels)?;
            }
        }
        Ok(())
    }

    /// A piece for each place that is in no set.
    fn part_off_rest(&mut self, group: &[Site], sets: &[Places], dowels: &[P3]) -> Result<(), FormError> {
        let alone = |k: &usize| !sets.iter().any(|set| set.contains(k));
        for site in (0..group.len()).filter(alone).filter_map(|k| group.get(k)) {
            self.part_off_alone(site, dowels)?;
        }
        Ok(())
    }

    fn part_off_alone(&mut self, site: &Site, dowels: &[P3]) -> Result<(), FormError> {
        if site.area > DRESSED
            && let Some(why) = self.piece_for(site, dowels)?
        {
            self.still_held.push(StillHeld {
                upper: self.upper,
                features: site.features(&self.traced.boundary),
                area: site.area,
                at: self.traced.half.vector(site.at()),
                why,
            });
        }
        Ok(())
    }

    /// Parts off one piece for all the places, or for as many as share a pull, as often as that goes. Tells the sets that got one.
    fn part_off_together(
        &mut self,
        group: &[Site],
        draws: &[Vec<[i64; 3]>],
        banned: &BTreeSet<Places>,
        dowels: &[P3],
    ) -> Result<Vec<Places>, FormError> {
        let (mut made, mut refused): (Vec<Places>, BTreeSet<Places>) = (vec![], banned.clone());
        let mut left: Places = (0..group.len()).collect();
        while refused.len() < banned.len() + MOST_REFUSED {
            let sets = sharing_a_pull(&left, draws);
            let Some(set) = sets.into_iter().find(|set| set.len() > 1 && !refused.contains(set)) else {
                break;
            };
            let own: Vec<&Site> = set.iter().filter_map(|k| group.get(*k)).collect();
            if self.piece_for(&Site::joined(&own), dowels)?.is_some() {
                refused.insert(set);
            } else {
                left.retain(|k| !set.contains(k));
                made.push(set);
            }
        }
        Ok(made)
    }

    /// The pulls along which a piece for a place would leave its sand, as far as the mesh tells, in thousandths.
    fn draws(&self, site: &Site) -> Vec<[i64; 3]> {
        let free = self.ways(site).all.iter().filter(|way| way.held <= DRESSED);
        free.map(|way| way.draw.map(|x| (x * 1e3).round() as i64).into()).collect()
    }
}

/// Sets of places for which one piece could do, the largest first: all of them, and those that can be drawn along one pull. `draws`
/// has the pulls of each place, by its number.
pub(super) fn sharing_a_pull(places: &[usize], draws: &[Vec<[i64; 3]>]) -> Vec<Vec<usize>> {
    let mut by_pull: BTreeMap<[i64; 3], Vec<usize>> = BTreeMap::new();
    for &place in places {
        for draw in draws.get(place).into_iter().flatten() {
            let set = by_pull.entry(*draw).or_default();
            if set.last() != Some(&place) {
                set.push(place);
            }
        }
    }
    let mut out: Vec<Vec<usize>> = by_pull.into_values().chain([places.to_vec()]).collect();
    out.sort_by(|a, b| b.len().cmp(&a.len()).then_with(|| a.cmp(b)));
    out.dedup();
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Four places in a row, of which the first two and the last two share a pull; all four together are tried before.
    #[test]
    fn sets_that_share_a_pull() {
        let (left, right, other) = ([-1000, 0, 0], [1000, 0, 0], [0, 1000, 0]);
        let draws = vec![vec![left], vec![left, other], vec![right], vec![right]];
        let sets = sharing_a_pull(&[0, 1, 2, 3], &draws);
        assert_eq!(sets, [vec![0, 1, 2, 3], vec![0, 1], vec![2, 3], vec![1]]);
        assert_eq!(sharing_a_pull(&[1, 3], &draws)[0], [1, 3]);
    }
}
