//! Bodies made ready for a ball, those near a place alone: what cuts them there comes with them.

use std::collections::BTreeSet;

use super::Prepared;
use solidwright::geometry::P3;
use solidwright::solid::fillet::{End, PlanPart};

impl Prepared {
    /// The same of the bodies near a place alone, with their numbers; `None` where that is hardly less.
    pub(in crate::housing) fn part_about(&self, at: P3, reach: f64) -> Option<(Self, Vec<usize>)> {
        let PlanPart { plan, numbers } = self.plan.part_about(&[at], reach, 0.0)?;
        let number = |i: &usize| numbers.iter().position(|n| n == i);
        let mut out = Self {
            plan,
            ends: self.ends.iter().filter_map(|(i, e)| Some((number(i)?, e.clone()))).collect(),
            short: self.short.iter().filter_map(number).collect(),
            closed: vec![],
            drawn: numbers.iter().filter_map(|i| self.drawn.get(*i)).cloned().collect(),
            trims: vec![],
            met: BTreeSet::new(),
            machined: self.machined.iter().filter(|p| p.bounds().distance(at) < reach).cloned().collect(),
            most: self.most,
            moulded: self.moulded,
        };
        out.trim();
        Some((out, numbers))
    }

    /// Takes over what a part of it has come to. Whether it does: not where the part gave something up elsewhere.
    pub(in crate::housing) fn take_over(&mut self, part: Self, numbers: Vec<usize>) -> bool {
        let ends: Vec<(usize, f64, &End)> = part.ends.iter().map(|(i, e)| (numbers[*i], e.over, e)).collect();
        let mut wider = vec![];
        for (n, (i, own)) in self.ends.iter().enumerate() {
            let of = |(j, over, e): &&(usize, f64, &End)| i == j && e.tag == own.tag && *over > own.over;
            wider.extend(ends.iter().find(of).map(|(_, over, _)| (n, *over)));
        }
        if !self.plan.take_over(PlanPart { plan: part.plan, numbers }) {
            return false;
        }
        for (n, over) in &wider {
            self.ends[*n].1.over = *over;
        }
        if !wider.is_empty() {
            self.trim();
        }
        true
    }
}
