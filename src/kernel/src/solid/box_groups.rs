//! Boxes in a row, looked through in groups of neighbours: what follows each other along a boundary lies together.

use crate::geometry::{Bounds, P3};

/// Boxes in a group.
const GROUP: usize = 8;

/// Boxes with the boxes about each few of them. Far less is read of them than of the large things that they stand for.
#[derive(Clone, Debug, Default)]
pub(in crate::solid) struct BoxGroups {
    boxes: Vec<Bounds>,
    groups: Vec<Bounds>,
}

impl BoxGroups {
    /// Boxes by their numbers.
    pub(in crate::solid) fn of(boxes: impl IntoIterator<Item = Bounds>) -> Self {
        let boxes: Vec<Bounds> = boxes.into_iter().collect();
        let around = |own: &[Bounds]| own.iter().fold(Bounds::empty(), |all, b| all.union(b));
        let groups = boxes.chunks(GROUP).map(around).collect();
        Self { boxes, groups }
    }

    /// The numbers of the boxes that come as near to a place as a distance, in order.
    pub(in crate::solid) fn near(&self, p: P3, within: f64) -> impl Iterator<Item = usize> {
        self.such(move |b| b.distance(p) <= within)
    }

    /// The numbers of the boxes that share a point with another one, in order.
    pub(in crate::solid) fn meeting(&self, other: &Bounds) -> impl Iterator<Item = usize> {
        self.such(move |b| b.meets(other))
    }

    /// The numbers of the boxes with a property, in order; what is about such a box has it too.
    fn such<T: Fn(&Bounds) -> bool + Copy>(&self, has: T) -> impl Iterator<Item = usize> + use<'_, T> {
        let groups = self.boxes.chunks(GROUP).zip(&self.groups).enumerate();
        groups.filter(move |(_, (_, around))| has(around)).flat_map(move |(g, (own, _))| {
            own.iter().enumerate().filter(move |(_, b)| has(b)).map(move |(k, _)| g * GROUP + k)
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn all_that_are_near_are_found_in_order() {
        let at = |k: usize| P3::new((k * k % 31) as f64, (k % 7) as f64, 0.0);
        let boxes: Vec<Bounds> = (0..50).map(|k| Bounds::around([at(k)]).grown(0.4)).collect();
        let groups = BoxGroups::of(boxes.iter().copied().chain([Bounds::empty()]));
        for (p, within) in [(P3::new(9.0, 2.0, 0.0), 0.0), (P3::new(4.3, 3.1, 1.0), 2.5)] {
            let wanted: Vec<usize> = (0..50).filter(|k| boxes[*k].distance(p) <= within).collect();
            assert_eq!(groups.near(p, within).collect::<Vec<_>>(), wanted, "{within} mm about {p}");
        }
        assert_eq!(groups.near(P3::origin(), 1e3).count(), 50, "what is empty is nowhere");
        let other = Bounds::around([P3::new(3.0, 1.0, -1.0), P3::new(12.0, 5.5, 1.0)]);
        let wanted: Vec<usize> = (0..50).filter(|k| boxes[*k].meets(&other)).collect();
        assert!(wanted.len() > 5 && groups.meeting(&other).eq(wanted), "those that meet a box");
    }
}
