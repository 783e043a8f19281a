//! The box in which the core is made.

use super::core::unvented;
use super::prints::{Prints, cored, prints};
use super::split::{block, dowel_places, goes_on_turned, halves};
use super::undercuts::{Undercut, by_clock, undercuts, upwards};
use super::{Casting, FormError, FormPieces, Settings, shape, unmeshed};
use crate::faces::{Feature, Role};
use crate::housing::AsCastHousing;
use crate::units::{Mm, Units};
use crate::words::counted;
use solidwright::geometry::{Frame, P3, V3};
use solidwright::solid::{Primitive, PrimitiveError, SolidTree, cylinder};

/// Wall of a core box around the core, mm (common practice: wood or printed).
pub const BOX_WALL: f64 = 20.0;

/// The block of a core box: it holds the core with a wall around it.
struct Block {
    /// First and last station, mm.
    along: (f64, f64),
    /// Half its width across the shaft in the parting plane, mm.
    half: f64,
    /// Its lowest and highest place over the parting plane, mm.
    tall: (f64, f64),
}

impl Block {
    /// The least block around the core and its prints: only prints reach out of the casting.
    fn around(moulded: &AsCastHousing, prints: &Prints, settings: &Settings) -> Self {
        let (mut low, mut high) = (prints.ends[0], prints.ends[1]);
        let (mut up, mut across) = ((0.0f64, 0.0f64), 0.0f64);
        for p in prints.bodies.iter().chain(cored(moulded)) {
            let b = p.bounds();
            if p.patches().iter().any(|f| Feature::of(&f.tag) == Feature::CorePrint) {
                (low, high) = (low.min(b.min.x), high.max(b.max.x));
            }
            for k in 0..8 {
                let pick = |bit: usize, i: usize| if k >> bit & 1 == 0 { b.min[i] } else { b.max[i] };
                let corner = V3::new(pick(0, 0), pick(1, 1), pick(2, 2));
                let h = corner.dot(&settings.up);
                up = (up.0.min(h), up.1.max(h));
                across = across.max(corner.dot(&settings.across()).abs());
            }
        }
        Self {
            along: (low - BOX_WALL, high + BOX_WALL),
            half: across + BOX_WALL,
            tall: (up.0 - BOX_WALL, up.1 + BOX_WALL),
        }
    }

    /// A stretch of it.
    fn stretch(&self, settings: &Settings, from: f64, to: f64) -> Result<Primitive, PrimitiveError> {
        let tag = Feature::CoreBox.formed(Role::Outside);
        block(settings, (from, to), self.half, self.tall, &tag)
    }
}

/// The core box: a block around the core, in two halves.
///
/// # Errors
/// See [`FormError`].
pub fn core_box(casting: &Casting) -> Result<FormPieces, FormError> {
    let made = shape("core box");
    let prints = prints(&casting.moulded, &casting.settings, 0.0).map_err(&made)?;
    let split = Split::of(casting, &prints)?;
    // The box comes apart its own way; nothing else of it hangs on that.
    let settings = &Settings { up: split.up, ..casting.settings };
    let around = Block::around(&casting.moulded, &prints, settings);
    let (low, high) = around.along;
    let piece = |from: f64, to: f64| around.stretch(settings, from, to);
    let mut tree = SolidTree::new();
    tree.add(piece(low, high).map_err(&made)?);
    for p in cored(&casting.moulded) {
        tree.cut(p.clone());
    }
    // What lies beyond the casting's ends is no core but for the prints: it is filled again.
    tree.add(piece(low, prints.ends[0]).map_err(&made)?);
    tree.add(piece(prints.ends[1], high).map_err(&made)?);
    for p in &prints.over {
        tree.add(p.clone());
    }
    for p in &prints.bodies {
        tree.cut(p.clone());
    }
    if let Some(rod) = vent_rod(settings, low, high).map_err(&made)? {
        tree.cut(rod);
    }
    tree.keep(piece(low, high).map_err(&made)?);
    let bounds = tree.bounds();
    let dowels = dowel_places(&tree, &bounds, settings);
    let pieces = halves("core box", &tree, &bounds, settings, &dowels)?;
    let mut out = FormPieces::new(
        pieces,
        vec![
            "ram both halves of the core and paste them together, or cut the box open at a print to blow it"
                .to_owned(),
        ],
    );
    if settings.vent > 0.0 {
        out.notes.push(format!(
            "a rod of {} through both ends of the box forms the vent: lay it in before the core is made, and draw it along \
             the shaft before the box is opened",
            settings.units.alone(Mm::new(settings.vent))
        ));
    }
    if goes_on_turned(&dowels, settings.dowel) {
        out.notes.push("the dowels let a half go on turned by 180 degrees: mark both halves".to_owned());
    }
    out.dowels = dowels;
    out.notes.extend(split.text(settings.units));
    out.split = split.instead.map(|_| split.up);
    out.undrawn = split.undrawn;
    if !out.undrawn.is_empty() {
        let faces = out
            .undrawn
            .iter()
            .map(|u| format!("{} {}", u.tag, settings.units.area(u.area)))
            .collect::<Vec<_>>();
        out.notes.push(format!(
            "the core is held in its box by {}; make those walls loose, or turn the parting",
            faces.join(", ")
        ));
    }
    Ok(out)
}

/// The hole of the rod that forms the vent, through both ends of the box: the rod does not grow with the box.
fn vent_rod(settings: &Settings, low: f64, high: f64) -> Result<Option<Primitive>, PrimitiveError> {
    if settings.vent <= 0.0 {
        return Ok(None);
    }
    let tag = Feature::CoreBox.formed(Role::Vent);
    let frame = Frame::from_zx(P3::new(low - BOX_WALL, 0.0, 0.0), V3::x(), V3::z());
    let (radius, length) = (0.5 * settings.vent / settings.scale.radial(), high - low + 2.0 * BOX_WALL);
    cylinder(Feature::CoreBox.name(), frame, radius, length, &[tag.clone(), tag.clone(), tag]).map(Some)
}

/// By how much less of the core must be held for its box to come apart another way than the mould, mm²: all of it would look and be handled
/// otherwise.
const WORTH: f64 = 25.0;

/// How the box comes apart.
struct Split {
    /// The direction in which its upper half is lifted.
    up: V3,
    /// Faces of the core that its halves can't leave: each half of the box is drawn off its half of the core, as the sand is off the
    /// pattern.
    undrawn: Vec<Undercut>,
    /// Where another way than the mould's holds less: its clock angle, degrees, and the area that the mould's way would hold, mm².
    instead: Option<(f64, f64)>,
    /// How many ways were compared.
    compared: usize,
}

impl Split {
    /// The mould's way, unless another one holds clearly less of the core.
    fn of(casting: &Casting, prints: &Prints) -> Result<Self, FormError> {
        let piece = unvented(casting, prints)?;
        let at = |up: V3| undercuts(&piece.solid, up).map_err(unmeshed(&piece.name));
        let area = |list: &[Undercut]| list.iter().map(|u| u.area).sum::<f64>();
        let up = casting.settings.up;
        let usual = Self { up, undrawn: at(up)?, instead: None, compared: 1 };
        let held = area(&usual.undrawn);
        if held <= WORTH {
            return Ok(usual);
        }
        let clocks = by_clock(&piece.solid).map_err(unmeshed(&piece.name))?;
        let compared = clocks.len();
        let Some((clock, _)) = clocks.into_iter().min_by(|a, b| a.1.total_cmp(&b.1)) else {
            return Ok(usual);
        };
        let undrawn = at(upwards(clock))?;
        if area(&undrawn) + WORTH > held {
            return Ok(Self { compared, ..usual });
        }
        Ok(Self { up: upwards(clock), undrawn, instead: Some((clock, held)), compared })
    }

    /// What is told of the choice, where there was one.
    fn text(&self, units: Units) -> Option<String> {
        let left = units.area(self.undrawn.iter().map(|u| u.area).sum());
        let ways = counted(self.compared, "way");
        match self.instead {
            Some((clock, held)) => Some(format!(
                "the box comes apart at clock {clock:.0} deg, not as the mould parts: of {ways} compared, this one holds the core \
                 least, by {left} instead of {}",
                units.area(held)
            )),
            None if self.compared > 1 => Some(format!(
                "the box comes apart as the mould parts: of {ways} compared, none holds the core by clearly less than {left}"
            )),
            None => None,
        }
    }
}
