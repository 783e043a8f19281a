//! Things that hang together, by joining two at a time.

/// Numbers from nought, each in a group that is known by its least member.
#[derive(Default)]
pub(in crate::solid) struct DisjointSets(Vec<usize>);

impl DisjointSets {
    /// `n` numbers, each alone.
    pub(in crate::solid) fn new(n: usize) -> Self {
        Self((0..n).collect())
    }

    /// The least member of a number's group.
    pub(in crate::solid) fn least(&mut self, mut i: usize) -> usize {
        while self.0[i] != i {
            self.0[i] = self.0[self.0[i]];
            i = self.0[i];
        }
        i
    }

    /// Makes one group of the groups of two numbers.
    pub(in crate::solid) fn join(&mut self, i: usize, j: usize) {
        let (a, b) = (self.least(i), self.least(j));
        self.0[a.max(b)] = a.min(b);
    }
}
