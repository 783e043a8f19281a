//! What has been parted off a half already. Several orders in which pieces are made may be tried for the places of one feature, and the first
//! pieces of two orders are often the same: the solids of a piece and of what it leaves take longest of all.

use super::region::Region;
use solidwright::solid::Solid;

/// A piece and what it leaves of the half.
#[derive(Clone, Debug)]
pub(super) struct Parted {
    /// The number of what it leaves.
    pub(super) stage: usize,
    /// The piece and the rest, or why one of them has no boundary.
    pub(super) solids: Result<(Solid, Solid), String>,
}

/// What has been parted off a half, whichever pieces were parted off before.
#[derive(Debug, Default)]
pub(super) struct PartedStore {
    /// The number of the half as it is.
    pub(super) stage: usize,
    /// By the number of the half before, and the room of the piece.
    known: Vec<(usize, Region, Parted)>,
}

impl PartedStore {
    /// The piece in a room of the half as it is; made if that has not been tried.
    pub(super) fn of(
        &mut self,
        room: Region,
        make: impl FnOnce() -> Result<(Solid, Solid), String>,
    ) -> Parted {
        let tried = |(before, own, _): &&(usize, Region, Parted)| *before == self.stage && *own == room;
        if let Some((_, _, parted)) = self.known.iter().find(tried) {
            return parted.clone();
        }
        // The half as it was is number nought.
        let parted = Parted { stage: self.known.len() + 1, solids: make() };
        self.known.push((self.stage, room, parted.clone()));
        parted
    }
}
