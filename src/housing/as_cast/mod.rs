//! The housing as it leaves the mould: stock on machined faces, small holes solid, draft from the parting plane.
//!
//! Works on the primitives that the features have made, whatever feature they are of: a face that is machined moves
//! outwards by its stock, every added body is replaced by one that can be drawn, every cut of the core by one that
//! leaves its box. Draft adds metal only, so the machined part stays inside.

mod draft;
mod hidden;
mod lying;
mod overhang;
mod pocket;
mod stock;
mod upright;

use super::Parts;
use crate::faces::Feature;
use solidwright::geometry::{P3, V3};
use solidwright::solid::{Primitive, PrimitiveError, Tag};

use draft::Drawing;
pub use stock::widened;

/// Draft that moves a wall by less than this is left out, mm: a wall of some millimetres.
pub const LEAST_MOVED: f64 = 0.15;

/// Freedoms of a casting. Round numbers of a design may make a wall all but touch a bore, or four faces all but meet in a
/// point; another attempt then keeps clear.
pub(super) struct Attempt {
    /// How far an inner end that lies in the parting plane reaches over it, mm.
    pub(super) over: f64,
    /// Draft beyond what is asked for, radians.
    pub(super) steeper: f64,
}

/// Attempts in their order; the most gives a tenth of a degree.
pub(super) const ATTEMPTS: [Attempt; 4] = [
    Attempt { over: 0.5, steeper: 0.0 },
    Attempt { over: 1.1, steeper: 4e-4 },
    Attempt { over: 1.9, steeper: 9e-4 },
    Attempt { over: 2.8, steeper: 1.7e-3 },
];

/// A size that stock and tolerance depend on, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Size {
    /// The flange, from its back to the gearbox face.
    Thickness(f64),
    /// A face square to the shaft, from the gearbox face.
    Length {
        /// Its station.
        station: f64,
        /// Whether it looks aft (1) or ahead (-1).
        aft: f64,
    },
    /// A face of a pad, from the shaft axis to the face's middle, square to the shaft; of the sender boss, along the boss
    /// from the point nearest to the shaft axis.
    Height(f64),
    /// A spigot or other round of this diameter.
    Round(f64),
    /// A bore of this diameter.
    Bore(f64),
}

impl Size {
    /// What it is the size of, in a word.
    pub const fn what(self) -> &'static str {
        match self {
            Self::Thickness(_) => "thickness",
            Self::Length { .. } => "length",
            Self::Height(_) => "height",
            Self::Round(_) => "round",
            Self::Bore(_) => "bore",
        }
    }

    /// Its value, mm.
    pub const fn get(self) -> f64 {
        match self {
            Self::Length { station, .. } => station.abs(),
            Self::Thickness(size) | Self::Height(size) | Self::Round(size) | Self::Bore(size) => size,
        }
    }
}

/// How a part is moulded.
pub struct AsCast<'a> {
    /// The direction in which the upper half of the mould is lifted; the parting plane holds the shaft axis.
    pub up: V3,
    /// Draft of outside walls, radians.
    pub draft: f64,
    /// Draft of walls that a core box gives, radians.
    pub core_draft: f64,
    /// Stock on a machined face, mm, square to it, by its size and outward normal.
    pub stock: &'a dyn Fn(Size, V3) -> f64,
    /// Thickness of the finished flange, mm.
    pub flange: f64,
    /// Machined holes below this diameter are cast solid, mm.
    pub cored_above: f64,
    /// How its fillets are laid.
    pub fillets: CastFillets,
}

/// How the fillets of a casting are laid.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum CastFillets {
    /// Edges are rounded more where a ball needs it, which takes metal off them.
    #[default]
    RounderEdges,
    /// Edges stay as drawn: the place is filled, or the ball is smaller.
    EdgesAsDrawn,
    /// Moreover, bodies are longer at all ends that are machined, and cut to the stock afterwards, as those of the finished part are:
    /// its fillets run up to such an end with their whole section.
    LongEnds,
    /// Edges stay as drawn, and all balls are larger: they meet other places, and what they leave holds the finished part's.
    LargerBalls,
    /// The same with still larger balls.
    LargestBalls,
    /// Larger balls and longer ends.
    LongEndsLargerBalls,
}

impl CastFillets {
    /// The radius of a ball, in radii of the finished part's.
    pub(crate) const fn share(self) -> f64 {
        match self {
            Self::RounderEdges | Self::EdgesAsDrawn | Self::LongEnds => 1.0,
            Self::LargerBalls => 1.05,
            Self::LongEndsLargerBalls => 1.1,
            Self::LargestBalls => 1.15,
        }
    }

    /// Whether bodies are longer at all ends that are machined.
    pub(super) const fn long_ends(self) -> bool {
        matches!(self, Self::LongEnds | Self::LongEndsLargerBalls)
    }
}

impl AsCast<'_> {
    /// The same with more draft, where there is any.
    pub(super) fn steeper(&self, by: f64) -> Self {
        let more = |draft: f64| if draft > 0.0 { draft + by } else { draft };
        Self { draft: more(self.draft), core_draft: more(self.core_draft), ..*self }
    }
}

/// A machined face with its stock.
#[derive(Clone, Debug, PartialEq)]
pub struct StockedFace {
    /// The face.
    pub tag: Tag,
    /// Its size.
    pub size: Size,
    /// Stock, mm; `None` where the feature is cast solid.
    pub stock: Option<f64>,
    /// How much of it is there only so that the end stands upright in the mould, mm.
    pub put_out: f64,
}

/// The finished part, by membership: what lies beyond the end of a hole tells a bottom from a mouth.
pub(super) struct Metal<'a>(&'a Parts);

impl Metal<'_> {
    /// Whether there is metal at a point.
    fn at(&self, p: P3) -> bool {
        let inside = |list: &[Primitive]| list.iter().any(|q| q.contains(p));
        inside(&self.0.added) && !inside(&self.0.pockets) && !inside(&self.0.cut) && !inside(&self.0.drilled)
    }

    /// Whether a point lies in the cavity, or in another hollow that is cast whatever its size.
    fn hollow_at(&self, p: P3) -> bool {
        self.0.cut.iter().any(|q| !q.patches().iter().any(|f| stock::machined(&f.tag)) && q.contains(p))
    }
}

/// What became of the parts.
#[derive(Debug, Default)]
pub(super) struct Cast {
    /// Bodies to be added: what the pattern gives.
    pub added: Vec<Primitive>,
    /// Bodies to be cut: what cores give.
    pub cored: Vec<Primitive>,
    /// Pockets that the pattern itself has.
    pub pockets: Vec<Primitive>,
    /// Machined faces and their stock.
    pub stocked: Vec<StockedFace>,
    /// Features that lie askew to the mould, and are drafted along their own axes, as loose pieces are.
    pub loose: Vec<Feature>,
    /// Bodies whose inner corners have a larger radius than asked for, because draft takes so much of it, and that radius, mm.
    pub inner_corners: Vec<(Feature, f64)>,
}

impl Cast {
    /// The parts as cast; `over` is how far inner ends that lie in the parting plane reach over it, mm.
    ///
    /// # Errors
    /// A primitive that draft makes impossible.
    pub(super) fn of(parts: &Parts, mould: &AsCast, over: f64) -> Result<Self, PrimitiveError> {
        let mut out = Self::default();
        let mut thick = Vec::with_capacity(parts.added.len());
        for p in &parts.added {
            thick.push(stock::on_body(p, mould, &mut out.stocked)?);
        }
        let thick = hidden::drawn_back(&thick);
        let reaches = draft::reaches(&thick, mould.up);
        let overhangs = overhang::overhangs(&thick, mould.up, mould.draft, &mut out.stocked);
        for p in &thick {
            let p = overhang::put_out(p, &overhangs)?;
            let made = draft::body(&p, mould, over, &reaches)?;
            out.take(made, false);
        }
        for overhang in &overhangs {
            out.pockets.push(overhang.cut(mould.up)?);
        }
        for p in &parts.pockets {
            let made = pocket::drafted(p, mould)?;
            if made.drawing != Drawing::Standing {
                out.loose.extend(made.pieces.first().map(Feature::of_body));
            }
            out.pockets.extend(made.pieces);
        }
        let metal = Metal(parts);
        for p in parts.cut.iter().chain(&parts.drilled) {
            let known = out.stocked.len();
            let Some(hole) = stock::in_hole(p, mould, &metal, &mut out.stocked)? else { continue };
            match draft::core(&hole, mould) {
                Ok(made) => out.take(made, true),
                // Draft leaves nothing of a machined hole: it is drilled from the solid.
                Err(_) if out.stocked.len() > known => {
                    out.stocked[known..].iter_mut().for_each(|face| face.stock = None);
                }
                Err(error) => return Err(error),
            }
        }
        out.stocked.sort_by(|a, b| a.tag.cmp(&b.tag));
        out.stocked.dedup_by(|a, b| a.tag == b.tag);
        out.loose.sort();
        out.loose.dedup();
        Ok(out)
    }

    fn take(&mut self, made: draft::Drafted, core: bool) {
        if made.drawing == Drawing::Askew
            && let Some(p) = made.pieces.first()
        {
            self.loose.push(Feature::of_body(p));
        }
        if let (Some(radius), Some(p)) = (made.inner_corners, made.pieces.first()) {
            self.inner_corners.push((Feature::of_body(p), radius));
        }
        if core { self.cored.extend(made.pieces) } else { self.added.extend(made.pieces) }
    }
}
