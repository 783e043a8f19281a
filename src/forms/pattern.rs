//! The pattern: the casting's outside with core prints, in two halves, larger by the contraction.

use super::core::{Prints, prints};
use super::split::{dowel_places, halves};
use super::{Casting, FormError, Made, shape};
use crate::solid::SolidTree;

/// Builds both halves of the pattern.
///
/// # Errors
/// See [`FormError`].
pub fn pattern(casting: &Casting) -> Result<Made, FormError> {
    let tree = whole(casting)?;
    let bounds = tree.bounds();
    let dowels = dowel_places(&tree, &bounds, &casting.settings);
    let mut notes = Vec::new();
    if dowels.len() < 2 {
        notes.push(format!("room for {} dowels only: pin the halves by hand", dowels.len()));
    }
    let pieces = halves("pattern", &tree, &bounds, &casting.settings, &dowels)?;
    Ok(Made { pieces, notes })
}

/// The whole pattern: what the casting's tree adds, without what its cores cut, and the prints.
pub(super) fn whole(casting: &Casting) -> Result<SolidTree, FormError> {
    let mut tree = casting.moulded.casting.tree.added();
    let Prints { bodies, .. } =
        prints(casting, casting.settings.print_clearance).map_err(shape("pattern"))?;
    for p in bodies {
        tree.add(p);
    }
    Ok(tree)
}
