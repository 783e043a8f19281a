//! Pockets that the pattern itself has: the mould gives them, not a core.

use super::AsCast;
use super::draft::{Drafted, Drawing, drawing};
use super::stock::REACH;
use solidwright::solid::{Primitive, PrimitiveError};

/// A pocket that the mould itself gives, from its mouth along its frame's z: as wide as it was at the mouth, narrower towards its
/// end, and long enough for the stock on the face about its mouth. One that lies in the mould cannot be drawn and stays.
///
/// # Errors
/// A draft that leaves nothing of it.
pub(super) fn drafted(p: &Primitive, mould: &AsCast) -> Result<Drafted, PrimitiveError> {
    let (drawing, _) = drawing(p.frame().z, mould.up);
    let Some((profile, Some((height, slope)))) = p.shape() else {
        return Ok(Drafted { pieces: vec![p.clone()], drawing, inner_corners: None });
    };
    let draft = if drawing == Drawing::Lying { 0.0 } else { mould.draft.max(slope.atan()) };
    let wide = profile.offset(-REACH * draft.tan()).unwrap_or_else(|| profile.clone());
    let base = p.frame().moved_to(p.frame().point(0.0, 0.0, -REACH));
    let ends = [0, 1].map(|k| p.patches()[k].tag.clone());
    let made = |rounds| {
        let outline = wide.segments().to_vec();
        Primitive::rounded_prism(p.feature(), base, outline, height + REACH, draft, ends.clone(), rounds)
    };
    let piece = made(p.rounds()).or_else(|_| made([0.0; 2]))?;
    Ok(Drafted { pieces: vec![piece], drawing, inner_corners: None })
}
