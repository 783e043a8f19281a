//! The trial print: the finished part with wider holes, cut across so that its pieces fit on the bed.

use super::{FormError, FormPieces, Piece, shape};
use crate::design::Design;
use crate::faces::{Feature, Role};
use crate::housing::{self, Housing};
use crate::standards::printing::hole_oversize;
use crate::units::Mm;
use solidwright::geometry::{Bounds, Frame, P2, P3, Stretch, V2, V3};
use solidwright::solid::{Finish, Op, Primitive, PrimitiveError, SolidTree, cylinder, rounded_rectangle};

/// Settings of the printer; lengths in mm.
#[derive(Clone, Copy, Debug)]
struct Printer {
    bed: [f64; 3],
    margin: f64,
    /// Linear shrink.
    shrink: f64,
    dowel: f64,
    clearance: f64,
    wall: f64,
    half_section: bool,
}

impl Printer {
    fn of(design: &Design) -> Self {
        let p = design.trial_print();
        Self {
            bed: p.bed().map(Mm::get),
            margin: p.margin().get(),
            shrink: p.shrink(),
            dowel: p.peg().get(),
            clearance: p.clearance().get(),
            wall: p.wall().get(),
            half_section: p.half_section(),
        }
    }
}

impl Printer {
    /// Scale of the print, which compensates the shrink.
    fn factor(&self) -> f64 {
        1.0 / (1.0 - self.shrink)
    }
}

/// The caution in every file.
pub const PROVES_GEOMETRY_ONLY: &str =
    "Trial print: proves geometry only. Never press a bushing into it, torque bolts in it or run it.";

/// Builds the pieces, each with its place on the bed.
///
/// # Errors
/// [`FormError::Bed`] if no cut helps; see there.
pub fn trial_print(design: &Design, finished: &Housing) -> Result<FormPieces, FormError> {
    let printer = Printer::of(design);
    let factor = printer.factor();
    let mut tree = SolidTree::new();
    for step in finished.solid.tree().steps() {
        let widened = || housing::widened(&step.primitive, &|d| hole_oversize(d) / factor);
        let made = if step.op == Op::Cut { widened() } else { Ok(step.primitive.clone()) };
        tree.push(step.op, made.map_err(shape("trial print"))?);
    }
    let brep = finished.solid.brep();
    // To the outermost places of round rims: that is what has to lie on the bed.
    let [x, y, z] = [V3::x(), V3::y(), V3::z()].map(|axis| brep.along(axis));
    let bounds = Bounds::around([P3::new(x.0, y.0, z.0), P3::new(x.1, y.1, z.1)]);
    let off = Off { holes: holes(finished), features: features(finished) };
    let mut avoid = Vec::new();
    loop {
        let cuts = cuts(design, &bounds, &printer, factor, &avoid, &off)?;
        match cut_up(design, &tree, &bounds, &printer, &cuts) {
            // A lump that a cut would detach stays whole if the cut avoids it.
            Err(FormError::Apart { smaller, .. }) if !cuts.is_empty() && avoid.len() < MOST_AVOIDED => {
                avoid.extend(smaller.iter().map(|b| (b.min.x - 0.5, b.max.x + 0.5)));
            }
            // A cut that all but touches a face is moved off it.
            Err(error) if avoid.len() < MOST_AVOIDED => match touched(&cuts, &error) {
                Some(cut) => avoid.push((cut - ASIDE, cut + ASIDE)),
                None => return Err(error),
            },
            other => return other,
        }
    }
}

/// How far a cut moves off a face that it all but touches, mm.
const ASIDE: f64 = 0.25;

/// The cut at which a piece has no boundary.
fn touched(cuts: &[f64], error: &FormError) -> Option<f64> {
    let FormError::Solid { source, .. } = error else { return None };
    let at = source.place()?;
    cuts.iter().copied().find(|cut| (cut - at.x).abs() < ASIDE)
}

/// What cuts keep off where that costs no further piece, as stretches of the shaft axis.
struct Off {
    holes: Vec<(f64, f64)>,
    features: Vec<(f64, f64)>,
}

/// Least length of a feature that a cut may leave on either side, mm: a thinner slice with its fillet breaks off in the hand
/// (common practice, no source).
const LEAST_REMAINDER: f64 = 12.0;

impl Off {
    /// Both ends of each feature, where a cut would leave a sliver of it.
    fn slivers(&self) -> Vec<(f64, f64)> {
        let ends = |&(a, b): &(f64, f64)| [(a, a + LEAST_REMAINDER), (b - LEAST_REMAINDER, b)];
        self.features.iter().flat_map(ends).collect()
    }
}

/// Stretches of the shaft axis occupied by pads and the sender's boss: a pad in one piece can be offered up to its partner.
fn features(finished: &Housing) -> Vec<(f64, f64)> {
    let brep = finished.solid.brep();
    let whole = [Feature::ShiftBoxPad, Feature::MountPad, Feature::SecondMountPad, Feature::SenderBoss];
    let zone = |feature: &Feature| {
        let faces = (0..brep.faces.len()).filter(|f| Feature::of(&brep.faces[*f].tag) == *feature);
        let spans = faces.map(|f| brep.bounds_of([f])).map(|b| (b.min.x, b.max.x));
        spans.reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)))
    };
    whole.iter().filter_map(zone).collect()
}

/// Stretches of the shaft axis occupied by machined holes and slots of pads and bosses, with a wall beside them.
fn holes(finished: &Housing) -> Vec<(f64, f64)> {
    const BESIDE: f64 = 5.0;
    let brep = finished.solid.brep();
    let about_shaft = [Feature::GearboxFace, Feature::Tail, Feature::Cavity];
    let cut = (0..brep.faces.len()).filter(|f| {
        let tag = &brep.faces[*f].tag;
        let own = !about_shaft.contains(&Feature::of(tag));
        own && tag.finish == Finish::Cut && ![Role::Face, Role::SpotFace, Role::End].contains(&Role::of(tag))
    });
    let zone = |face: usize| {
        let b = brep.bounds_of([face]);
        (b.min.x - BESIDE, b.max.x + BESIDE)
    };
    cut.map(zone).collect()
}

/// Greatest number of lumps that cuts avoid.
const MOST_AVOIDED: usize = 16;

/// The pieces between some cuts.
fn cut_up(
    design: &Design,
    tree: &SolidTree,
    bounds: &Bounds,
    printer: &Printer,
    cuts: &[f64],
) -> Result<FormPieces, FormError> {
    let factor = printer.factor();
    let mut notes = Vec::new();
    let mut pegs = Vec::new();
    for x in cuts {
        let places = peg_places(design, tree, *x, printer);
        if places.len() < 2 {
            notes.push(format!(
                "cut at {}: the wall takes no two dowels; line the pieces up by their outside",
                design.units().near(*x)
            ));
        }
        pegs.push(places);
    }
    let mut stations = vec![bounds.min.x - 5.0];
    stations.extend(cuts);
    stations.push(bounds.max.x + 5.0);
    let count = stations.len() - 1;
    let mut pieces = Vec::new();
    for i in 0..count {
        let name = format!("trial print {} of {count}", i + 1);
        let made = shape(&name);
        let mut own = tree.clone();
        own.push(Op::Keep, slab(stations[i], stations[i + 1], bounds, printer.half_section).map_err(&made)?);
        // Pegs stand on a piece's rear face, sockets lie in the next one's front face.
        if i > 0 {
            for p in &pegs[i - 1] {
                own.cut(peg(*p, SOCKET, 0.5 * p.diameter + printer.clearance).map_err(&made)?);
            }
        }
        if i + 1 < count {
            for p in &pegs[i] {
                own.add(peg(*p, PEG, 0.5 * p.diameter).map_err(&made)?);
            }
        }
        let mut piece = Piece::of(&name, own, Stretch::uniform(factor).unwrap_or(Stretch::NONE))?.whole()?;
        piece.bed = Some(lying(&piece));
        piece.apart = V3::x() * (APART * (bounds.max.x - bounds.min.x) * i as f64);
        pieces.push(piece);
    }
    Ok(FormPieces::new(pieces, notes))
}

/// Length of a peg beyond the cut, and depth of its socket, mm.
const PEG: f64 = 6.0;
const SOCKET: f64 = 6.5;

/// How far pictures show a piece from the one ahead of it, in the length of the part.
const APART: f64 = 0.18;

/// A peg at a cut.
#[derive(Clone, Copy, Debug)]
struct Peg {
    at: P3,
    diameter: f64,
}

fn peg(p: Peg, length: f64, radius: f64) -> Result<Primitive, PrimitiveError> {
    let tag = Feature::Dowel.formed(if length > PEG { Role::Socket } else { Role::Peg });
    let root = if length > PEG { 1.0 } else { PEG };
    let frame = Frame::from_zx(p.at - V3::x() * root, V3::x(), V3::z());
    cylinder(Feature::Dowel.name(), frame, radius, root + length, &[tag.clone(), tag.clone(), tag])
}

/// The part between two stations; for a half section only its left half.
fn slab(from: f64, to: f64, bounds: &Bounds, half: bool) -> Result<Primitive, PrimitiveError> {
    let reach = 2.0 * bounds.diagonal();
    let tag = Feature::PrintCut.formed(Role::Face);
    let frame = Frame::from_zx(P3::new(from, 0.0, 0.0), V3::x(), V3::z());
    // x up, y to the left.
    let (center, width) = if half { (P2::new(0.0, 0.5 * reach), reach) } else { (P2::origin(), 2.0 * reach) };
    let outline = rounded_rectangle(center, V2::new(2.0 * reach, width), 0.0, &tag);
    Primitive::prism(Feature::PrintCut.name(), frame, outline, to - from, 0.0, [tag.clone(), tag])
}

/// Stations to cut at: as few as the bed's height allows, off the register, the bushing seat and the seal.
fn cuts(
    design: &Design,
    bounds: &Bounds,
    printer: &Printer,
    factor: f64,
    avoid: &[(f64, f64)],
    wish: &Off,
) -> Result<Vec<f64>, FormError> {
    let room = |k: usize| (printer.bed[k] - 2.0 * printer.margin) / factor;
    let (whole, tall) = (bounds.max.y - bounds.min.y, bounds.max.z - bounds.min.z);
    let wide = if printer.half_section { -bounds.min.y } else { whole };
    let fits = |a: f64, b: f64| wide <= a && tall <= b;
    let told = |mm: f64| design.units().to_places(mm, 1);
    if !fits(room(0), room(1)) && !fits(room(1), room(0)) {
        let half = -bounds.min.y;
        let halved = [[0, 1], [1, 0]].iter().any(|[a, b]| half <= room(*a) && tall <= room(*b));
        // Half a part that is too large as well is no way out.
        let or = if halved && !printer.half_section {
            ", or print the left half only (`half_section: true`)"
        } else {
            ""
        };
        let bed = |size: f64| told((size * factor + 2.0 * printer.margin).ceil());
        return Err(FormError::Bed(format!(
            "standing on end the part takes {} by {}, the bed gives {} by {} inside its margins; set `bed_length` and `bed_width` in \
             `trial_print` to at least {} by {}{or}",
            told(wide),
            told(tall),
            told(room(0)),
            told(room(1)),
            bed(wide),
            bed(tall)
        )));
    }
    let tail = design.tail();
    let flange = design.gearbox_face().flange_thickness().get();
    let kept =
        [(bounds.min.x - 1.0, flange + 2.0), (tail.bushing().front().get() - 3.0, tail.rear().get() + 1.0)];
    let off = |x: f64, zones: &[(f64, f64)]| zones.iter().all(|(a, b)| x < *a || x > *b);
    let free = |x: f64| off(x, &kept) && off(x, avoid);
    // A peg projects from each cut.
    let most = room(2) - PEG;
    let mut out = Vec::new();
    let mut start = bounds.min.x;
    while bounds.max.x - start > most {
        let left = ((bounds.max.x - start) / most).ceil();
        let wanted = start + (bounds.max.x - start) / left;
        let steps = (0..4000).map(|k| f64::from(k) * 0.1);
        let near = steps.flat_map(|d| [wanted - d, wanted + d]);
        let places: Vec<f64> = near
            .filter(|x| *x > start + 10.0 && *x - start <= most && *x < bounds.max.x - 10.0)
            .filter(|x| free(*x))
            .collect();
        // Beside pads and bosses, or at least with enough of them on either side and not through a hole, if that needs no
        // further piece.
        let enough = |x: &f64| bounds.max.x - x <= (left - 1.0) * most;
        let clear = |zones: &[(f64, f64)]| places.iter().find(|x| enough(x) && off(**x, zones));
        let whole = || clear(&[wish.slivers(), wish.holes.clone()].concat());
        let at = clear(&wish.features)
            .or_else(whole)
            .or_else(|| clear(&wish.slivers()))
            .or_else(|| clear(&wish.holes))
            .or(places.first())
            .copied();
        let Some(at) = at else {
            return Err(FormError::Bed(format!(
                "no cut between {} and {} keeps off the register, the bushing seat and the seal, and parts \
                 no lump from what holds it; give a taller `bed_height` in `trial_print`",
                told(start),
                told(start + most)
            )));
        };
        out.push(at);
        start = at;
    }
    Ok(out)
}

/// Places for pegs in the wall at a station, as thick as it allows; two on opposite sides, or none.
fn peg_places(design: &Design, tree: &SolidTree, x: f64, printer: &Printer) -> Vec<Peg> {
    let at = |offset: f64| {
        let x = Mm::new(x + offset);
        Some((design.shell().cavity_radius(x)?.get(), design.shell().outside_radius(x)?.get()))
    };
    let sections: Vec<_> = [-PEG, 0.0, SOCKET].into_iter().filter_map(at).collect();
    if sections.len() < 3 {
        return vec![];
    }
    let inner = sections.iter().map(|s| s.0).fold(0.0, f64::max);
    let outer = sections.iter().map(|s| s.1).fold(f64::INFINITY, f64::min);
    // Square to a taper the wall is thinner than across the shaft.
    let taper =
        (sections[0].1 - sections[2].1).abs().max((sections[0].0 - sections[2].0).abs()) / (PEG + SOCKET);
    let spare = (outer - inner) / taper.hypot(1.0) - 2.0 * (printer.wall + printer.clearance) - 0.05;
    let diameter = printer.dowel.min(spare);
    if diameter < 1.5 {
        return vec![];
    }
    let middle = 0.5 * (inner + outer);
    let solid = |p: P3| {
        let room = 0.5 * diameter + printer.clearance + 0.98 * printer.wall;
        let ring = (0..12).map(|k| {
            let (s, c) = (std::f64::consts::PI / 6.0 * f64::from(k)).sin_cos();
            V3::new(0.0, s * room, c * room)
        });
        (!printer.half_section || p.y < -room)
            && ring.chain([V3::zeros()]).all(|d| {
                [-PEG, -0.5 * PEG, 0.0, 0.5 * SOCKET, SOCKET + printer.wall]
                    .iter()
                    .all(|h| tree.contains(p + d + V3::x() * *h))
            })
    };
    let place = |clock: f64| {
        let (s, c) = clock.to_radians().sin_cos();
        P3::new(x, s * middle, c * middle)
    };
    // The half section is the left half.
    let sides = if printer.half_section { [340.0, 200.0] } else { [90.0, 270.0] };
    let mut out = Vec::new();
    for side in sides {
        let turned = (0..18).flat_map(|k| [side + 5.0 * f64::from(k), side - 5.0 * f64::from(k)]);
        if let Some(p) = turned.map(place).find(|p| solid(*p)) {
            out.push(Peg { at: p, diameter });
        }
    }
    out
}

/// The piece on the bed: standing on its front, which is flat except for a spigot; pegs point up.
fn lying(piece: &Piece) -> Frame {
    // Local z is the part's x; origin at the lowest point.
    Frame::from_zx(P3::new(piece.solid.brep().bounds().min.x, 0.0, 0.0), V3::x(), V3::z())
}
