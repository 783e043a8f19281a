//! The casting: the finished part with stock, draft, and small holes solid.

use std::sync::OnceLock;

use super::built_up::{self, Tries};
use super::hold::{Asked, BarePlaces, Lacking, MissingMetal};
use super::loose::{FairedLips, ShallowLips, names};
use super::stock::{Allowance, stock_report};
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
    /// How its fillets are laid.
    pub laid: CastFillets,
    /// Metal of the finished part outside the casting, by feature, largest first.
    pub missing: Vec<MissingMetal>,
    /// What its fillets left outside and was laid on, by feature.
    pub laid_on: Vec<MissingMetal>,
    /// Features whose shallow lips are filled to the parting plane, and the area by which each held the pattern, mm².
    pub faired: Vec<FairedLips>,
    /// The places that lack metal.
    bare: BarePlaces,
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

/// Ways with larger balls for what lacks but is shallow, the smallest balls first.
const LARGER: [(CastFillets, usize); 2] =
    [(CastFillets::LargerBalls, 0), (CastFillets::LongEndsLargerBalls, 1)];

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
        let Ok(with) = casting.moulded.casting.with_added(&blocks) else { continue };
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
    let asked = Asked::of(finished).map_err(unmeshed("finished part"))?;
    let first = Way::of(design, &asked, first);
    let mut best = first.cast(first.laid()?)?;
    let edges_as_drawn = best.moulded.casting.rounder.is_empty();
    // Whether plates have been tried on the best one.
    let mut is_tried = false;
    if is_shallow(&best.missing) {
        let held = LARGER
            .into_iter()
            .find_map(|larger| held_by(&Way::of(design, &asked, larger), best.pattern.is_ok()));
        if let Some(held) = held {
            return Ok(held);
        }
    }
    for way in others {
        if best.missing.is_empty() {
            return Ok(best);
        }
        if is_little(&best.missing) && !is_tried {
            best = built_up(best, &asked);
            is_tried = true;
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
        let way = Way::of(design, &asked, way);
        // What lacks as much is of no use, whatever its pattern: that is not parted.
        let Ok(laid) = way.laid() else { continue };
        if lack(&laid.missing) >= lack(&best.missing) {
            continue;
        }
        let Ok(next) = way.cast(laid) else { continue };
        let halved = next.pattern.is_ok() || best.pattern.is_err();
        if halved && lack(&next.missing) < lack(&best.missing) {
            best = next;
            is_tried = false;
        }
    }
    Ok(if is_tried { best } else { built_up(best, &asked) })
}

/// Whether what lacks is so shallow all over that plates over it would stand farther out of the part than it lies within: they would make the casting
/// less true than it is.
fn is_shallow(missing: &[MissingMetal]) -> bool {
    !missing.is_empty() && missing.iter().all(|m| m.depth < built_up::OVER)
}

/// The casting with its fillets laid in a way, if that holds all of the finished part, and has its pattern where one is needed.
fn held_by(way: &Way, halved: bool) -> Option<Casting> {
    let laid = way.laid().ok().filter(|laid| laid.missing.is_empty())?;
    let casting = way.cast(laid).ok()?;
    (casting.missing.is_empty() && (casting.pattern.is_ok() || !halved)).then_some(casting)
}

fn is_little(missing: &[MissingMetal]) -> bool {
    let volume: f64 = missing.iter().map(|m| m.volume).sum();
    volume <= LITTLE.0 && missing.iter().all(|m| m.depth <= LITTLE.1)
}

/// The casting with what it lacks laid on; as it was where that does not help, or costs the pattern its halves.
fn built_up(mut casting: Casting, asked: &Asked) -> Casting {
    let mut tries = Tries::default();
    for _ in 0..MOST_LAID_ON {
        if casting.missing.is_empty() {
            break;
        }
        let Some(laid) = built_up::laid_on(&casting.moulded.casting, &casting.bare.told, &mut tries) else {
            break;
        };
        let (missing, bare) = asked.still_lacking(&casting.bare, &laid);
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
    casting
}

/// How bad it is that metal lacks: whether the part cannot be machined for it, and how much there is, mm³.
fn lack(missing: &[MissingMetal]) -> (bool, f64) {
    (missing.iter().any(MissingMetal::is_deep), missing.iter().map(|m| m.volume).sum())
}

/// How a casting's fillets are laid.
struct Way<'a> {
    design: &'a Design,
    asked: &'a Asked<'a>,
    settings: Settings,
    allowance: Allowance,
    fillets: CastFillets,
    /// The number of the attempt at its draft.
    number: usize,
}

/// What has come of a way before the pattern is parted.
struct Laid {
    moulded: AsCastHousing,
    missing: Vec<MissingMetal>,
    bare: BarePlaces,
}

impl<'a> Way<'a> {
    fn of(design: &'a Design, asked: &'a Asked, (fillets, number): (CastFillets, usize)) -> Self {
        let settings = Settings::of(design);
        let allowance = Allowance::of(design, asked.finished(), &settings);
        Self { design, asked, settings, allowance, fillets, number }
    }

    fn moulded(&self, number: usize, avoid: &[P3]) -> Result<AsCastHousing, FormError> {
        let settings = &self.settings;
        let stock = |size, normal| self.allowance.of_face(size, normal);
        let mould = AsCast {
            up: settings.up,
            draft: settings.draft,
            core_draft: settings.core_draft,
            stock: &stock,
            flange: settings.flange,
            cored_above: settings.cored_above,
            fillets: self.fillets,
        };
        housing::build_as_cast(self.design, &mould, self.asked.finished(), number, avoid)
            .map_err(|e| FormError::Casting(Box::new(e)))
    }

    /// The casting's solid, and what it lacks.
    fn laid(&self) -> Result<Laid, FormError> {
        Ok(self.with_lack(self.moulded(self.number, &[])?))
    }

    fn with_lack(&self, moulded: AsCastHousing) -> Laid {
        let (missing, bare) = self.asked.lacking(&moulded.casting);
        Laid { moulded, missing, bare }
    }

    /// The casting with its pattern; with another solid where the pattern's halves are not valid.
    fn cast(&self, Laid { moulded, missing, bare }: Laid) -> Result<Casting, FormError> {
        let held = |casting: Casting, (missing, bare): Lacking| Ok(Casting { missing, bare, ..casting });
        let held_anew = |casting: Casting| {
            let lacking = self.asked.lacking(&casting.moulded.casting);
            held(casting, lacking)
        };
        let first = self.halved(moulded);
        if first.fault().is_none() {
            return held(first, (missing, bare));
        }
        // The pattern's halves must be valid too, which they are not where the parting plane only just touches a fillet.
        // Slightly more draft moves the fillet off the plane; a smaller fillet might leave the finished part outside the
        // casting.
        let attempt = |number: usize, avoid: &[P3]| self.moulded(number, avoid).map(|made| self.halved(made));
        let better = |next: &Casting| next.pattern.is_ok() && next.lost() <= first.lost();
        if let Some(next) = attempt(self.number + 1, &[]).ok().filter(better) {
            return held_anew(next);
        }
        let mut avoid = Vec::new();
        let mut place = first.fault();
        while let Some(p) = place.filter(|_| avoid.len() < MOST_AVOIDED) {
            avoid.push(p);
            let Ok(next) = attempt(self.number, &avoid) else { break };
            if next.pattern.is_ok() {
                return held_anew(next);
            }
            place = next.fault();
        }
        held(first, (missing, bare))
    }

    /// The casting of a solid, with its pattern; what it lacks is not looked for yet.
    fn halved(&self, moulded: AsCastHousing) -> Casting {
        let stock = stock_report(&moulded.stocked, &self.allowance);
        let pattern = super::pattern::halved(&moulded, &self.settings);
        Casting {
            moulded,
            stock,
            settings: self.settings,
            laid: self.fillets,
            missing: vec![],
            laid_on: vec![],
            faired: vec![],
            bare: BarePlaces::default(),
            pattern,
            core: OnceLock::new(),
            traced: OnceLock::new(),
        }
    }
}

impl Casting {
    /// The casting of a text that has no errors, for tests.
    #[cfg(test)]
    pub(crate) fn of_text(text: &str) -> Self {
        let design = Design::of_text(text);
        casting(&design, &crate::housing::build(&design).expect("a part")).expect("a casting")
    }

    /// Takes over its solid with metal added, and the pattern of that; leaves both as they were where the pattern must have its halves
    /// and has not, or where these cannot be meshed. Whether it has taken them over.
    fn takes_over(&mut self, with: Housing, must_halve: bool) -> bool {
        let casting = std::mem::replace(&mut self.moulded.casting, with);
        let pattern = super::pattern::halved(&self.moulded, &self.settings);
        let pattern = std::mem::replace(&mut self.pattern, pattern);
        let traced = std::mem::take(&mut self.traced);
        let taken = !must_halve || self.pattern.is_ok() && self.traced().is_ok();
        if !taken {
            self.moulded.casting = casting;
            self.pattern = pattern;
            self.traced = traced;
        }
        taken
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
