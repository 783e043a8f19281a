//! The casting: the finished part with stock, draft, and small holes solid.

use std::sync::OnceLock;

use super::built_up::{self, Tries};
use super::hold::{BarePlace, MissingMetal, missing_metal};
use super::loose::{FairedLips, ShallowLips, names};
use super::stock::stock_report;
use super::undercuts::TracedPattern;
use super::{FormError, FormPieces, Piece, Settings, StockRow, Undercut, unmeshed};
use crate::design::Design;
use crate::faces::Feature;
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
    /// What its fillets left outside and was laid on, by feature.
    pub laid_on: Vec<MissingMetal>,
    /// Features whose shallow lips are filled to the parting plane, and the area by which each held the pattern, mm².
    pub faired: Vec<FairedLips>,
    /// The places that lack metal.
    bare: Vec<BarePlace>,
    /// The pattern, or why it cannot be made.
    pub(super) pattern: Result<FormPieces, FormError>,
    /// Its core without a vent, or why it cannot be made; computed on first use.
    pub(super) core: OnceLock<Result<Piece, FormError>>,
    /// The pattern as it is drawn from the sand; traced on first use.
    traced: OnceLock<Result<TracedPattern, FormError>>,
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

/// Volume and depth of what lacks, mm³ and mm, that is laid on at once: other ways to lay the fillets take seconds each, and leave
/// as much as often as not.
const LITTLE: (f64, f64) = (300.0, 2.0);

/// Depth of what lacks, mm, from which a larger ball is not tried: it covers what a smaller one leaves beside its fillets, but no joint
/// that has lost its fillet. On a drawn housing three larger balls took two thirds of a minute and left 2 % less.
const LOST: f64 = 4.0;

/// How often what still lacks is laid on.
const MOST_LAID_ON: usize = 3;

/// Builds the casting. Where its fillets leave metal of the finished part outside, they are laid in other ways, and what the best of
/// these still lacks is laid on.
///
/// # Errors
/// [`FormError::Casting`].
pub fn casting(design: &Design, finished: &Housing) -> Result<Casting, FormError> {
    faired(holding(design, finished)?)
}

/// How much wider blocks under lips are where the solid does not close with them, mm.
const WIDER: [f64; 3] = [0.0, 0.09, 0.21];

/// The casting with the shallow lips of bodies askew to the mould filled to the parting plane; as it was where that does not close.
fn faired(mut casting: Casting) -> Result<Casting, FormError> {
    if casting.moulded.loose.is_empty() {
        return Ok(casting);
    }
    let lips = ShallowLips::of(&casting, &casting.moulded.loose)?;
    for (blocks, told) in WIDER.map(|more| lips.fairings(more)) {
        if blocks.is_empty() {
            break;
        }
        let Some(with) = casting.moulded.casting.with_added(&blocks) else { continue };
        if casting.takes_over(with, true) {
            casting.faired = told;
            break;
        }
    }
    Ok(casting)
}

/// The casting that holds the finished part, or lacks least.
fn holding(design: &Design, finished: &Housing) -> Result<Casting, FormError> {
    let [first, others @ ..] = WAYS;
    let mut best = cast(design, finished, first)?;
    let edges_as_drawn = best.moulded.casting.rounder.is_empty();
    for way in others {
        if best.missing.is_empty() {
            return Ok(best);
        }
        if is_little(&best.missing) {
            best = built_up(best, finished)?;
            if best.missing.is_empty() {
                return Ok(best);
            }
        }
        // Edges that no ball needs rounder are as drawn already.
        if way.0 == CastFillets::EdgesAsDrawn && edges_as_drawn {
            continue;
        }
        if way.0.share() > 1.0 && best.missing.iter().any(|m| m.depth > LOST) {
            continue;
        }
        let Ok(next) = cast(design, finished, way) else { continue };
        let halved = next.pattern.is_ok() || best.pattern.is_err();
        if halved && lack(&next.missing) < lack(&best.missing) {
            best = next;
        }
    }
    built_up(best, finished)
}

fn is_little(missing: &[MissingMetal]) -> bool {
    let volume: f64 = missing.iter().map(|m| m.volume).sum();
    volume <= LITTLE.0 && missing.iter().all(|m| m.depth <= LITTLE.1)
}

/// The casting with what it lacks laid on; as it was where that does not help, or costs the pattern its halves.
fn built_up(mut casting: Casting, finished: &Housing) -> Result<Casting, FormError> {
    let mut tries = Tries::default();
    for _ in 0..MOST_LAID_ON {
        if casting.missing.is_empty() {
            break;
        }
        let Some(laid) = built_up::laid_on(&casting.moulded.casting, &casting.bare, &mut tries) else {
            break;
        };
        let (missing, bare) = missing_metal(finished, &laid).map_err(unmeshed("finished part"))?;
        if lack(&missing) >= lack(&casting.missing) {
            break;
        }
        let halved = casting.pattern.is_ok();
        if !casting.takes_over(laid, halved) {
            break;
        }
        let told = std::mem::replace(&mut casting.missing, missing);
        casting.bare = bare;
        for lacking in told {
            if casting.laid_on.iter().all(|known| known.feature != lacking.feature) {
                casting.laid_on.push(lacking);
            }
        }
    }
    Ok(casting)
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
        Ok(Casting {
            moulded,
            stock,
            settings,
            missing: vec![],
            laid_on: vec![],
            faired: vec![],
            bare: vec![],
            pattern,
            core: OnceLock::new(),
            traced: OnceLock::new(),
        })
    };
    let held = |mut casting: Casting| {
        (casting.missing, casting.bare) =
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
    /// Takes over its solid with metal added, and the pattern of that; leaves both as they were where the pattern must have its halves
    /// and has not. Whether it has taken them over.
    fn takes_over(&mut self, with: Housing, must_halve: bool) -> bool {
        let before = std::mem::replace(&mut self.moulded.casting, with);
        let pattern = super::pattern::halved(&self.moulded, &self.settings);
        if must_halve && pattern.is_err() {
            self.moulded.casting = before;
            return false;
        }
        self.pattern = pattern;
        self.traced = OnceLock::new();
        true
    }

    /// The pattern as it is drawn from the sand.
    pub(super) fn traced(&self) -> Result<&TracedPattern, FormError> {
        self.traced.get_or_init(|| TracedPattern::of(self)).as_ref().map_err(Clone::clone)
    }

    /// Places of the pattern at which some undercuts hold it, [`HELD_APART`](super::HELD_APART) from each other.
    ///
    /// # Errors
    /// Why the pattern cannot be made.
    pub fn held_points(&self, by: &[Undercut]) -> Result<Vec<P3>, FormError> {
        Ok(self.traced()?.held_points(by))
    }

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
        let mut notes = if loose.is_empty() {
            vec![]
        } else {
            vec![format!("askew to the parting plane, and drafted along its own axis: {}", loose.join(", "))]
        };
        if !self.faired.is_empty() {
            let features: Vec<Feature> = self.faired.iter().map(|(feature, _)| *feature).collect();
            let area: f64 = self.faired.iter().map(|(_, area)| area).sum();
            notes.push(format!(
                "shallow lips of {} are filled down to the parting plane, so that {} need no loose piece",
                names(&features),
                self.settings.units.area(area)
            ));
        }
        for (feature, radius) in &self.moulded.inner_corners {
            notes.push(format!(
                "inner corners of {feature} are rounded by {} at its face: draft takes most of that down to its foot",
                self.settings.units.to_places(*radius, 2)
            ));
        }
        notes.extend(built_up::told(&self.laid_on, self.settings.units));
        FormPieces::new(vec![piece], notes)
    }
}
