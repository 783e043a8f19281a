//! What is recommended about a casting, for its sheet and for the pieces of its pattern.

use crate::checks::{Feeding, feeding};
use crate::design::{Design, Form};
use crate::forms::{Casting, FormError, FormPieces, Product, beside_pattern};
use crate::rigging::{Rigging, RiggingError, rigging};
use solidwright::mesh::MeshError;

/// What is recommended about the casting.
#[derive(Clone)]
pub(super) struct Advice {
    pub(super) advised: Feeding,
    pub(super) placed: Result<Rigging, RiggingError>,
}

impl Advice {
    /// Works it out.
    ///
    /// # Errors
    /// If the casting cannot be meshed.
    pub(super) fn of(design: &Design, casting: &Casting) -> Result<Self, MeshError> {
        let advised = feeding(design, casting)?;
        let placed = rigging(design, casting, &advised);
        Ok(Self { advised, placed })
    }

    /// That of a casting and a pattern that are both made, where both tell it. An error is reported by each of them.
    pub(super) fn shared(product: &Product, wanted: &[Form]) -> Option<Self> {
        let both = [Form::Casting, Form::Pattern].iter().all(|form| wanted.contains(form));
        let held = product.missing_metal().iter().all(|metal| !metal.is_deep());
        let told = both && held && product.design().casting().mould().feeders_and_gates();
        if told { Self::of(product.design(), product.casting().ok()?).ok() } else { None }
    }
}

/// Adds what is recommended about the casting to the pieces of its pattern.
pub(super) fn with_rigging(
    product: &Product,
    placed: Result<Rigging, RiggingError>,
    made: &mut FormPieces,
) -> Result<(), FormError> {
    let casting = product.casting()?;
    let placed = match placed {
        Ok(placed) => placed,
        Err(error) => {
            made.notes.push(format!("feeders and gates could not be placed: {error}"));
            return Ok(());
        }
    };
    for body in placed.bodies.iter().filter(|b| b.poured) {
        // What is only recommended must never cost the pattern.
        let (pieces, dressed) = match beside_pattern(casting, &body.name, &body.solid) {
            Ok(found) => found,
            Err(error) => {
                made.notes.push(format!(
                    "{} could not be made as a piece of the pattern ({error}): cut it into the sand by hand where the casting's sheet \
                     places it, or choose another place for it",
                    body.name
                ));
                continue;
            }
        };
        if pieces.is_empty() {
            made.notes.push(format!(
                "{}: nothing of it lies outside the pattern, so it is no piece of its own",
                body.name
            ));
        }
        made.pieces.extend(pieces);
        if !dressed {
            made.notes.push(format!("{}: its end is not cut to the pattern; dress it by hand", body.name));
        }
    }
    made.notes.push(
        "feeders, sprue, runners and gates are pieces of their own, a recommendation on which the foundry decides; chills and chaplets are metal and not among them"
            .to_owned(),
    );
    Ok(())
}
