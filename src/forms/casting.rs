//! The casting: the finished part with stock, draft, and small holes solid.

use super::stock::stock_report;
use super::{FormError, Made, Piece, Settings, StockRow};
use crate::design::Design;
use crate::geometry::Stretch;
use crate::housing::{self, AsCast, Housing, Moulded};

/// The casting, with what the other forms need of it.
#[derive(Debug)]
pub struct Casting {
    /// As made.
    pub moulded: Moulded,
    /// Stock on each machined face.
    pub stock: Vec<StockRow>,
    /// What it was made by.
    pub settings: Settings,
}

/// Builds the casting.
///
/// # Errors
/// [`FormError::Casting`].
pub fn casting(design: &Design, finished: &Housing) -> Result<Casting, FormError> {
    let settings = Settings::of(design);
    let allowance = super::stock::Allowance::of(design, finished, &settings);
    let stock = |size, normal| allowance.of_face(size, normal);
    let mould = AsCast {
        up: settings.up,
        draft: settings.draft,
        core_draft: settings.core_draft,
        stock: &stock,
        cored_above: settings.cored_above,
    };
    let moulded = housing::build_as_cast(design, &mould).map_err(|e| FormError::Casting(Box::new(e)))?;
    let stock = stock_report(&moulded.stocked, &allowance);
    Ok(Casting { moulded, stock, settings })
}

impl Casting {
    /// The casting as a form of one piece.
    pub fn made(&self) -> Made {
        let housing = &self.moulded.casting;
        let piece = Piece {
            name: "casting".to_owned(),
            stem: "casting".to_owned(),
            tree: housing.tree.clone(),
            brep: housing.brep.clone(),
            report: housing.report.clone(),
            scale: Stretch::NONE,
            bed: None,
        };
        let loose = &self.moulded.loose;
        let notes = if loose.is_empty() {
            vec![]
        } else {
            vec![format!(
                "askew to the parting plane, drafted along their own axes as loose pieces are: {}",
                loose.join(", ")
            )]
        };
        Made { pieces: vec![piece], notes }
    }
}
