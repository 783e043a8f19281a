//! From a design to its solid: one file a feature, each giving primitives for the solid tree.
//!
//! Order: everything that is added, then the cavity and the bores, then holes. Machining cutters start a little
//! outside the metal ([`CLEAR`]), so that a cut ends only where the part does.
//!
//! Holds afterwards: [`Housing::solid`] is one body without hollows.

mod as_cast;
mod bores;
mod error;
mod fillets;
mod flange;
mod flange_gussets;
mod frames;
mod hollow;
mod laid_on;
mod marks;
mod mount_pad;
mod pad;
mod pad_hollow;
mod plugs;
mod rail_tube;
mod ribs;
mod sender_boss;
mod shell;
mod shift_box_pad;
mod strokes;
mod tab;
mod tail;
mod tail_passages;
mod ways;

use std::collections::{BTreeMap, BTreeSet};
use std::sync::OnceLock;

pub use as_cast::{AsCast, CastFillets, LEAST_MOVED, Size, StockedFace, widened};
pub use bores::Bore;
pub use error::HousingError;
pub use hollow::Hollow;
pub use marks::{CastMark, CastMarks, MarkOf, no_room};
pub use sender_boss::{SenderStand, sender_seat, sender_stand};
pub use shift_box_pad::shift_box_face;

use crate::design::{Design, MountPad};
use crate::faces::Feature;
use solidwright::geometry::P3;
use solidwright::solid::fillet::{Demotion, FilledPlace, Joint};
use solidwright::solid::{Primitive, PrimitiveError, Solid, SolidError, SolidTree};

/// How far cutters start outside the metal, mm.
const CLEAR: f64 = 1.0;

/// Room that a spot-facing or counterboring cutter clears above its seat, mm: a bolt head and a socket's wall.
const CUTTER_ROOM: f64 = 20.0;

/// A housing as a solid.
#[derive(Clone, Debug)]
pub struct Housing {
    /// Its solid: one body.
    pub solid: Solid,
    /// Every machined bore and hole as the design asks for it.
    pub bores: Vec<Bore>,
    /// How each joint of cast faces came out.
    pub joints: Vec<Joint>,
    /// The bodies that the features add, without fillets.
    pub bodies: Vec<Primitive>,
    /// Features whose cast edges stay sharp though rounding was asked for: no room, or the solid does not close.
    pub sharp_edged: Vec<String>,
    /// Features whose edges are rounded more than asked, so that a fillet's ball gets round them; by how much at most, mm.
    pub rounder: BTreeMap<String, f64>,
    /// The features about each hollow that is filled, because the fillets around it close it off.
    pub filled: Vec<BTreeSet<Feature>>,
    /// Places that are filled with a little metal, because a ball can't roll there.
    pub filled_places: Vec<FilledPlace>,
    /// What features gave up for their fillets, in order, and why.
    pub demotions: Vec<Demotion>,
    /// Letters and signs cast on.
    pub marks: CastMarks,
    /// Which of these stay sharp because the solid does not close otherwise: its casting leaves the same ones sharp.
    plain: Plain,
}

/// Features whose edges are left sharp, because the solid does not close with rounded ones.
#[derive(Clone, Debug, PartialEq)]
enum Plain {
    Some(BTreeSet<Feature>),
    All,
}

impl Default for Plain {
    fn default() -> Self {
        Self::Some(BTreeSet::new())
    }
}

impl Plain {
    fn has(&self, feature: Feature) -> bool {
        match self {
            Self::Some(features) => features.contains(&feature),
            Self::All => true,
        }
    }
}

/// A housing as it leaves the mould.
#[derive(Debug)]
pub struct AsCastHousing {
    /// The casting: its tree first adds what the pattern gives, then cuts what cores give.
    pub casting: Housing,
    /// Machined faces and their stock.
    pub stocked: Vec<StockedFace>,
    /// Features that lie askew to the mould and are drafted along their own axes, as loose pieces are.
    pub loose: Vec<Feature>,
    /// Bodies whose inner corners have a larger radius than asked for, because draft takes so much of it down to their foot, and that
    /// radius, mm.
    pub inner_corners: Vec<(Feature, f64)>,
}

/// Builds the casting of a design: stock on machined faces, small holes solid, draft, fillets.
///
/// Other forms of the casting may be found to have no boundary: another `attempt` at it, counted from 0,
/// differs by a trace of draft; at the last resort joints at the places to `avoid` take smaller fillets.
///
/// # Errors
/// See [`HousingError`].
pub fn build_as_cast(
    design: &Design,
    mould: &AsCast,
    finished: &Housing,
    attempt: usize,
    avoid: &[P3],
) -> Result<AsCastHousing, HousingError> {
    // A rounded edge of the casting would leave the sharp one of the finished part outside.
    let alike = build_with_edges(design, mould, finished, &finished.plain, (attempt, avoid));
    let rounded = || build_with_edges(design, mould, finished, &Plain::default(), (attempt, avoid));
    alike.or_else(|error| if finished.plain == Plain::default() { Err(error) } else { rounded() })
}

/// The casting with all edges rounded but for `plain` features.
fn build_with_edges(
    design: &Design,
    mould: &AsCast,
    finished: &Housing,
    plain: &Plain,
    (attempt, avoid): (usize, &[P3]),
) -> Result<AsCastHousing, HousingError> {
    let (joints, filled, marks) = (&finished.joints, &finished.filled_places, &finished.marks);
    let finished = Parts::of(design, plain)?;
    let built = |how: &as_cast::Attempt| {
        let cast = as_cast::Cast::of(&finished, &mould.steeper(how.steeper), how.over)?;
        let parts = Parts {
            added: cast.added,
            cut: cast.cored,
            pockets: cast.pockets,
            finished: joints.clone(),
            bodies: finished.added.clone(),
            filled: filled.clone(),
            laid: mould.fillets,
            ..Parts::default()
        };
        let casting = marks::stamped(parts.filleted(design, true, avoid)?, marks.clone());
        Ok(AsCastHousing {
            casting,
            stocked: cast.stocked,
            loose: cast.loose,
            inner_corners: cast.inner_corners,
        })
    };
    let all = &as_cast::ATTEMPTS;
    let (before, from) = all.split_at(attempt.min(all.len() - 1));
    built(&from[0]).or_else(|error| match &error {
        HousingError::Solid(SolidError::Boundary(_)) if before.is_empty() => {
            from[1..].iter().find_map(|how| built(how).ok()).ok_or(error)
        }
        _ => Err(error),
    })
}

/// Collects what the features add and cut.
#[derive(Debug, Default)]
struct Parts {
    added: Vec<Primitive>,
    cut: Vec<Primitive>,
    /// Hollows that the mould gives, not a core.
    pockets: Vec<Primitive>,
    drilled: Vec<Primitive>,
    bores: Vec<Bore>,
    sharp_edged: BTreeSet<Feature>,
    /// Of a casting: the joints of the finished part.
    finished: Vec<Joint>,
    /// Of a casting: the bodies of the finished part.
    bodies: Vec<Primitive>,
    /// Of a casting: places filled in the finished part.
    filled: Vec<FilledPlace>,
    /// What is wrong without any fillet, once that has been asked.
    own_fault: OnceLock<Option<HousingError>>,
    /// Of a casting: how its fillets are laid.
    laid: CastFillets,
}

impl Parts {
    /// What the features of a design add and cut.
    fn of(design: &Design, plain: &Plain) -> Result<Self, PrimitiveError> {
        let mut parts = Self::default();
        shell::make(design, &mut parts)?;
        flange::make(design, &mut parts)?;
        flange_gussets::make(design, &mut parts)?;
        tail::make(design, &mut parts)?;
        tail_passages::make(design, &mut parts)?;
        rail_tube::make(design, &mut parts)?;
        plugs::make(design, &mut parts)?;
        ribs::make(design, &mut parts)?;
        shift_box_pad::make(design, &mut parts)?;
        mount_pad::make(design, &mut parts)?;
        sender_boss::make(design, &mut parts)?;
        parts.sharp_edged = fillets::round_ends(design, &mut parts.added, &|f| plain.has(f));
        Ok(parts)
    }

    /// The tree of a body with its fillets, and of what cuts it those bodies that are `wanted`.
    fn filleted_tree(
        &self,
        prepared: &fillets::Prepared,
        rolled: &fillets::Rolled,
        wanted: &dyn Fn(&Primitive) -> bool,
    ) -> SolidTree {
        let wanted = |p: &&Primitive| wanted(p);
        let mut tree = SolidTree::new();
        rolled.bodies.iter().for_each(|p| tree.add(p.clone()));
        prepared.trims.iter().for_each(|p| tree.trim(p.clone()));
        rolled.spared.iter().for_each(|p| tree.restore(p.clone()));
        rolled.behind.iter().chain(&prepared.machined).for_each(|p| tree.add(p.clone()));
        self.pockets.iter().filter(wanted).for_each(|p| tree.trim(p.clone()));
        self.cut.iter().chain(&self.drilled).filter(wanted).for_each(|p| tree.cut(p.clone()));
        tree
    }

    /// The tree without fillets.
    fn tree(&self) -> SolidTree {
        let mut tree = SolidTree::new();
        self.added.iter().for_each(|p| tree.add(p.clone()));
        self.pockets.iter().for_each(|p| tree.trim(p.clone()));
        self.cut.iter().chain(&self.drilled).for_each(|p| tree.cut(p.clone()));
        tree
    }
}

/// Builds the solid of a design. Fillets and rounded edges that can't be joined to the rest are left out and say so.
///
/// # Errors
/// See [`HousingError`]; every case names features.
pub fn build(design: &Design) -> Result<Housing, HousingError> {
    let parts = Parts::of(design, &Plain::default())?;
    // Fails only where the solid has no boundary without any fillet.
    let made = parts.filleted(design, false, &[]).or_else(|error| with_sharp_edges(design, error))?;
    Ok(marks::marked(design, made))
}

/// Builds the solid of a design without any root fillet, its cast edges rounded where that gives a solid: what fillets
/// cost, and what they take away, is measured against it.
///
/// # Errors
/// See [`HousingError`]; every case names features.
pub fn build_sharp(design: &Design) -> Result<Housing, HousingError> {
    let without = |plain: &Plain| Parts::of(design, plain)?.sharp();
    without(&Plain::default()).or_else(|error| {
        if matches!(error, HousingError::Solid(SolidError::Boundary(_))) {
            without(&Plain::All).map_err(|_| error)
        } else {
            Err(error)
        }
    })
}

/// What [`build_sharp`] evaluates, with rounded edges: by it one can ask for metal where there is no boundary.
///
/// # Errors
/// A feature's own shape is impossible.
pub fn sharp_tree(design: &Design) -> Result<SolidTree, HousingError> {
    Ok(Parts::of(design, &Plain::default())?.tree())
}

/// The housing without the rounded edges at fault: those of the features that the error names, else all.
fn with_sharp_edges(design: &Design, error: HousingError) -> Result<Housing, HousingError> {
    let named = match &error {
        HousingError::Solid(e) => e.tags().iter().map(Feature::of).collect(),
        _ => BTreeSet::new(),
    };
    for plain in [Plain::Some(named), Plain::All] {
        let parts = Parts::of(design, &plain)?;
        if one_body(parts.tree()).is_ok() {
            return Ok(Housing { plain, ..parts.filleted(design, false, &[])? });
        }
    }
    Err(error)
}

/// A mount's pad by itself, without shell, fillets and neighbours: what its root is made of.
///
/// # Errors
/// The pad's own shape is impossible.
pub fn mount_alone(design: &Design, feature: Feature, pad: &MountPad) -> Result<SolidTree, HousingError> {
    let mut parts = Parts::default();
    mount_pad::one(design, feature, pad, &mut parts)?;
    Ok(parts.tree())
}

impl Parts {
    /// The housing without any root fillet.
    fn sharp(&self) -> Result<Housing, HousingError> {
        Ok(self.housing(one_body(self.tree())?, vec![]))
    }

    fn housing(&self, solid: Solid, joints: Vec<Joint>) -> Housing {
        let (bores, sharp_edged) =
            (self.bores.clone(), self.sharp_edged.iter().map(ToString::to_string).collect());
        Housing {
            solid,
            bores,
            joints,
            bodies: self.added.clone(),
            sharp_edged,
            rounder: BTreeMap::new(),
            filled: vec![],
            filled_places: vec![],
            demotions: vec![],
            marks: CastMarks::default(),
            plain: Plain::default(),
        }
    }

    /// What is wrong with the solid without any fillet, asked once.
    fn own_fault(&self) -> Option<&HousingError> {
        self.own_fault.get_or_init(|| one_body(self.tree()).err()).as_ref()
    }

    /// Whether the solid without any fillet has a closed hollow.
    fn is_hollow(&self) -> bool {
        matches!(self.own_fault(), Some(HousingError::Hollow(_)))
    }

    /// All hollows: their walls have radii of their own.
    fn hollows(&self) -> Vec<Primitive> {
        self.cut.iter().chain(&self.pockets).cloned().collect()
    }

    /// The housing of a filleted solid, with what became of its joints.
    fn with_joints(
        &self,
        design: &Design,
        solid: Solid,
        rolled: fillets::Rolled,
        prepared: &fillets::Prepared,
    ) -> Housing {
        let mut joints = rolled.joints;
        joints.extend(fillets::sharp_joints(design, solid.brep(), &self.hollows(), &rolled.lost));
        let housing = self.housing(solid, joints);
        Housing {
            rounder: rolled.rounder,
            filled: rolled.filled,
            filled_places: prepared.filled(),
            demotions: prepared.demotions().to_vec(),
            ..housing
        }
    }

    /// The housing with as many fillets as it takes. A fault of the design is told as one; only what fillets bring about
    /// costs them: where no smaller ball helps, all joints stay sharp.
    fn filleted(&self, design: &Design, moulded: bool, avoid: &[P3]) -> Result<Housing, HousingError> {
        if let Some(housing) = self.rolled(design, moulded, avoid) {
            return Ok(housing);
        }
        let mut housing = self.sharp()?;
        housing.joints = fillets::sharp_joints(design, housing.solid.brep(), &self.hollows(), &[]);
        Ok(housing)
    }
}

/// The solid of a tree, if it is one body without hollows.
fn one_body(tree: SolidTree) -> Result<Solid, HousingError> {
    one_body_or_places(tree).map_err(|found| found.0)
}

/// The same with the places of all faults that were found.
fn one_body_or_places(tree: SolidTree) -> Result<Solid, Box<(HousingError, Vec<P3>)>> {
    let solid = Solid::or_places(tree).map_err(|found| Box::new((found.0.into(), found.1)))?;
    sole(solid).map_err(|error| {
        let places = error.place().into_iter().collect();
        Box::new((error, places))
    })
}

/// A solid, if it is one body without hollows.
fn sole(solid: Solid) -> Result<Solid, HousingError> {
    let (brep, report) = (solid.brep(), solid.report());
    let features = |keep: &dyn Fn(usize) -> bool| -> Vec<String> {
        let shells = brep.shells.iter().enumerate().filter(|(i, _)| keep(*i));
        let faces = shells.flat_map(|(_, s)| &s.faces);
        error::distinct(faces.map(|f| &*brep.faces[*f].tag.feature))
    };
    if brep.bodies() > 1 {
        let volume = |i: usize| report.shell_volumes.get(i).copied().unwrap_or(0.0);
        let largest = (0..brep.shells.len()).max_by(|a, b| volume(*a).total_cmp(&volume(*b)));
        let apart = features(&|i| Some(i) != largest && !brep.shells[i].void);
        return Err(HousingError::Apart { pieces: brep.bodies(), apart });
    }
    match Hollow::largest(&solid) {
        Some(hollow) => Err(HousingError::Hollow(Box::new(hollow))),
        None => Ok(solid),
    }
}
