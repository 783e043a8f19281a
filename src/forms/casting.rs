//! The casting: the finished part with stock, draft, and small holes solid.

use std::sync::OnceLock;

use super::hold::{MissingMetal, missing_metal};
use super::stock::stock_report;
use super::{FormError, FormPieces, Piece, Settings, StockRow, unmeshed};
use crate::design::Design;
use crate::housing::{self, AsCast, AsCastHousing, CastFillets, Housing};
use solidwright::geometry::{P3, Stretch};
use solidwright::solid::fillet::JointState;

/// The casting, with the data that the other forms need.
#[derive(Debug)]
pub struct Casting {
    /// The casting's housing.
    pub moulded: AsCastHousing,
    /// Stock on each machined face.
    pub stock: Vec<StockRow>,
    /// The settings it was made with.
    pub settings: Settings,
    /// Metal of the finished part outside the casting, by feature, largest first.
    pub missing: Vec<MissingMetal>,
    /// The pattern, or why it cannot be made.
    pub(super) pattern: Result<FormPieces, FormError>,
    /// Its core without a vent, or why it cannot be made; computed on first use.
    pub(super) core: OnceLock<Result<Piece, FormError>>,
}

/// Greatest number of places at which fillets are dropped so that the pattern closes.
const MOST_AVOIDED: usize = 4;

/// Ways to lay the fillets of a casting, and the number of the attempt at its draft, in the order in which they are tried while
/// metal of the finished part is outside.
const WAYS: [(CastFillets, usize); 6] = [
    (CastFillets::RounderEdges, 0),
    (CastFillets::LongEnds, 0),
    (CastFillets::EdgesAsDrawn, 0),
    (CastFillets::LongEndsLargerBalls, 1),
    (CastFillets::LargerBalls, 0),
    (CastFillets::LargestBalls, 0),
];

/// Builds the casting. Where its fillets leave metal of the finished part outside, they are laid in other ways, and the casting
/// that lacks least is taken.
///
/// # Errors
/// [`FormError::Casting`].
pub fn casting(design: &Design, finished: &Housing) -> Result<Casting, FormError> {
    let [first, others @ ..] = WAYS;
    let mut best = cast(design, finished, first)?;
    for way in others {
        if best.missing.is_empty() {
            break;
        }
        let Ok(next) = cast(design, finished, way) else { continue };
        let halved = next.pattern.is_ok() || best.pattern.is_err();
        if halved && lack(&next.missing) < lack(&best.missing) {
            best = next;
        }
    }
    Ok(best)
}

/// How bad it is that metal lacks: whether the part cannot be machined for it, and how much there is, mm³.
fn lack(missing: &[MissingMetal]) -> (bool, f64) {
    (missing.iter().any(MissingMetal::is_deep), missing.iter().map(|m| m.volume).sum())
}

/// The casting with its fillets laid in one way.
fn cast(
    design: &Design,
    finished: &Housing,
    (fillets, number): (CastFillets, usize),
) -> Result<Casting, FormError> {
    let settings = Settings::of(design);
    let allowance = super::stock::Allowance::of(design, finished, &settings);
    let stock = |size, normal| allowance.of_face(size, normal);
    let mould = AsCast {
        up: settings.up,
        draft: settings.draft,
        core_draft: settings.core_draft,
        stock: &stock,
        flange: settings.flange,
        cored_above: settings.cored_above,
        fillets,
    };
    let attempt = |number: usize, avoid: &[P3]| {
        let moulded = housing::build_as_cast(design, &mould, finished, number, avoid)
            .map_err(|e| FormError::Casting(Box::new(e)))?;
        let stock = stock_report(&moulded.stocked, &allowance);
        let pattern = super::pattern::halved(&moulded, &settings);
        Ok(Casting { moulded, stock, settings, missing: vec![], pattern, core: OnceLock::new() })
    };
    let held = |mut casting: Casting| {
        casting.missing =
            missing_metal(finished, &casting.moulded.casting).map_err(unmeshed("finished part"))?;
        Ok(casting)
    };
    let first = attempt(number, &[])?;
    if first.fault().is_none() {
        return held(first);
    }
    // The pattern's halves must be valid too, which they are not where the parting plane only just touches a fillet.
    // Slightly more draft moves the fillet off the plane; a smaller fillet might leave the finished part outside the
    // casting.
    let better = |next: &Casting| next.pattern.is_ok() && next.lost() <= first.lost();
    if let Some(next) = attempt(number + 1, &[]).ok().filter(better) {
        return held(next);
    }
    let mut avoid = Vec::new();
    let mut place = first.fault();
    while let Some(p) = place.filter(|_| avoid.len() < MOST_AVOIDED) {
        avoid.push(p);
        let Ok(next) = attempt(number, &avoid) else { break };
        if next.pattern.is_ok() {
            return held(next);
        }
        place = next.fault();
    }
    held(first)
}

impl Casting {
    /// Joints without the requested fillet.
    fn lost(&self) -> usize {
        self.moulded.casting.joints.iter().filter(|j| j.state() != JointState::Whole).count()
    }

    /// Where the pattern has no proper boundary.
    fn fault(&self) -> Option<P3> {
        match &self.pattern {
            Err(FormError::Solid { source, .. }) => source.place(),
            _ => None,
        }
    }

    /// The casting as a form of one piece.
    pub fn pieces(&self) -> FormPieces {
        let housing = &self.moulded.casting;
        let piece = Piece::from_solid("casting", housing.solid.clone(), Stretch::NONE);
        let loose: Vec<&str> = self.moulded.loose.iter().map(|feature| feature.name()).collect();
        let notes = if loose.is_empty() {
            vec![]
        } else {
            vec![format!(
                "askew to the parting plane, drafted along their own axes as loose pieces are: {}",
                loose.join(", ")
            )]
        };
        FormPieces::new(vec![piece], notes)
    }
}
