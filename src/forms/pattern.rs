//! The pattern: the casting's outside with core prints, in two halves, enlarged by the contraction.

use super::core::{Prints, prints};
use super::split::{dowel_places, halves};
use super::{Casting, FormError, FormPieces, Settings, shape};
use crate::housing::AsCastHousing;
use crate::words::counted;
use solidwright::solid::SolidTree;

/// Both halves of the pattern.
///
/// # Errors
/// See [`FormError`].
pub fn pattern(casting: &Casting) -> Result<FormPieces, FormError> {
    casting.pattern.clone()
}

/// Builds both halves.
pub(super) fn halved(moulded: &AsCastHousing, settings: &Settings) -> Result<FormPieces, FormError> {
    let tree = whole(moulded, settings)?;
    let bounds = tree.bounds();
    let dowels = dowel_places(&tree, &bounds, settings);
    let mut notes = Vec::new();
    if dowels.len() < 2 {
        notes.push(format!("room for {} only: pin the halves by hand", counted(dowels.len(), "dowel")));
    }
    let pieces = halves("pattern", &tree, &bounds, settings, &dowels)?;
    for piece in &pieces {
        let further = piece.solid.smaller_bodies().len();
        if further > 0 {
            notes.push(format!(
                "{}: {} apart from the rest, to be pegged on",
                piece.name,
                counted(further, "lump")
            ));
        }
    }
    Ok(FormPieces { dowels, ..FormPieces::new(pieces, notes) })
}

/// The whole pattern: the bodies that the casting's tree adds, without the cuts of its cores, and the prints.
pub(super) fn whole(moulded: &AsCastHousing, settings: &Settings) -> Result<SolidTree, FormError> {
    let mut tree = moulded.casting.solid.tree().added();
    let Prints { bodies, .. } =
        prints(moulded, settings, settings.print_clearance).map_err(shape("pattern"))?;
    for p in bodies {
        tree.add(p);
    }
    Ok(tree)
}
