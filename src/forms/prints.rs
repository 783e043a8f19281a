//! The prints on which a core lies: their shapes on the core, and in the pattern that leaves their seats in the sand.

use super::Settings;
use crate::faces::{Feature, Role};
use crate::housing::{AsCastHousing, Housing};
use solidwright::geometry::{Frame, P2, P3, Surface, V3};
use solidwright::solid::{Op, Primitive, PrimitiveError, Profile, Segment, SolidTree, polygon};
use std::f64::consts::TAU;

/// How far prints reach into the body they hold, mm.
pub(super) const ROOT: f64 = 1.0;

/// Places about a print's wall at which metal is looked for.
const CLOCKS: u32 = 72;

/// Half millimetres that a print reaches in at most, beyond [`ROOT`].
const DEEPEST: u32 = 120;

/// Core prints: bodies, and where the casting ends between them.
pub(super) struct Prints {
    pub(super) bodies: Vec<Primitive>,
    /// First and last station of the casting.
    pub(super) ends: [f64; 2],
    /// Bodies over the pads from which cores emerge, from the pad's face outwards.
    pub(super) over: Vec<Primitive>,
    /// Bearing area of the prints, seen from above, mm².
    pub(super) bearing: f64,
    /// The end at which no core emerges.
    pub(super) missing: Option<&'static str>,
}

/// Room about a print before the contraction, which enlarges everything else: along the shaft and across it, mm.
#[derive(Clone, Copy)]
struct Room {
    along: f64,
    across: f64,
}

/// Prints at both ends of the cavity and over each opening; each face lies outside the core's by a clearance, square to it
/// and in the sand, that is after the contraction.
pub(super) fn prints(
    moulded: &AsCastHousing,
    settings: &Settings,
    clearance: f64,
) -> Result<Prints, PrimitiveError> {
    joining(None, moulded, settings, clearance)
}

/// The same on a pattern, where each round print reaches so far in that the pattern's outside holds it all about: a lump that stands before a face
/// leaves a gap between that face and a print that only starts where the casting ends.
pub(super) fn prints_of_pattern(
    moulded: &AsCastHousing,
    settings: &Settings,
    outside: &SolidTree,
) -> Result<Prints, PrimitiveError> {
    joining(Some(outside), moulded, settings, settings.print_clearance)
}

/// How far a round print reaches in from the end of the casting, until metal lies all about its wall, mm. Where it never does, the print only
/// starts at the end.
fn root(body: &SolidTree, end: f64, sense: f64, radius: f64) -> f64 {
    let rim = |k: u32| {
        let (sin, cos) = (TAU * f64::from(k) / f64::from(CLOCKS)).sin_cos();
        (radius * cos, radius * sin)
    };
    let held =
        |depth: f64| (0..CLOCKS).map(rim).all(|(y, z)| body.contains(P3::new(end - sense * depth, y, z)));
    let depths = (0..=DEEPEST).map(|k| 0.5 * f64::from(k));
    depths.map(|depth| depth + ROOT).find(|depth| held(*depth)).map_or(ROOT, |depth| depth + ROOT)
}

/// Prints that join a body, if one is given, and reach in by [`ROOT`] otherwise.
fn joining(
    body: Option<&SolidTree>,
    moulded: &AsCastHousing,
    settings: &Settings,
    clearance: f64,
) -> Result<Prints, PrimitiveError> {
    let housing = &moulded.casting;
    let room =
        Room { along: clearance / settings.scale.axial(), across: clearance / settings.scale.radial() };
    let bounds = housing.solid.brep().bounds();
    let ends = [bounds.min.x, bounds.max.x];
    let mut out = Prints { bodies: vec![], ends, over: vec![], bearing: 0.0, missing: None };
    for (k, sense) in [(0, -1.0), (1, 1.0)] {
        let station = ends[k] + sense * 0.5;
        let radius = cored(moulded).filter_map(|p| radius_at(p, station)).fold(0.0, f64::max);
        if radius > 0.0 {
            let length = settings.print_lengths[k];
            let root = body.map_or(ROOT, |body| root(body, ends[k], sense, radius + room.across));
            out.bodies.push(end_print(ends[k], sense, root, (radius, length), room, settings)?);
            out.bearing += 2.0 * radius * length;
        } else {
            out.missing = Some(["front", "rear"][k]);
        }
    }
    for p in cored(moulded) {
        if let Some((print, over)) = opening_print(housing, settings, p, room)? {
            out.bodies.push(print);
            out.over.push(over);
        }
    }
    Ok(out)
}

/// The cuts of the casting that cores make.
pub(super) fn cored(moulded: &AsCastHousing) -> impl Iterator<Item = &Primitive> {
    let steps = moulded.casting.solid.tree().steps().iter();
    steps.filter(|s| s.op == Op::Cut).map(|s| &s.primitive)
}

/// Radius of a body turned about the shaft at a station.
pub(super) fn radius_at(p: &Primitive, station: f64) -> Option<f64> {
    let (profile, None) = p.shape()? else { return None };
    let axis = p.frame();
    if !axis.is_about_x() {
        return None;
    }
    let z = (station - axis.origin.x) * axis.z.x;
    let at = profile.segments().iter().filter(|s| (s.from.y - z) * (s.to.y - z) < 0.0).map(|s| {
        let share = (z - s.from.y) / (s.to.y - s.from.y);
        s.from.x + (s.to.x - s.from.x) * share
    });
    let widest = at.fold(0.0, f64::max);
    (widest > 0.0).then_some(widest)
}

/// Radius of the flat tip of a print's end, mm: a plane that divides a cone just beside its tip leaves too sharp a
/// bend.
const TIP: f64 = 2.0;

/// A round print along the shaft, its end a flat cone so that it lifts out: wall, cone and tip of the core's print of that
/// radius and length, each moved outwards.
fn end_print(
    from: f64,
    sense: f64,
    root: f64,
    (radius, length): (f64, f64),
    room: Room,
    settings: &Settings,
) -> Result<Primitive, PrimitiveError> {
    let frame = Frame::from_zx(P3::new(from, 0.0, 0.0), V3::x() * sense, V3::z());
    let tip = TIP.min(0.5 * radius);
    let taper = settings.print_taper;
    let end = length + (radius - tip) * taper.tan() + room.along;
    let wall = radius + room.across;
    let cone = |r: f64| length + (radius - r) * taper.tan() + room.along / taper.cos();
    // Where the moved cone reaches the moved tip: tan(taper / 2) is (1 - cos) / sin.
    let tip = tip + room.along * (0.5 * taper).tan();
    let points = [
        P2::new(0.0, -root),
        P2::new(wall, -root),
        P2::new(wall, cone(wall)),
        P2::new(tip, end),
        P2::new(0.0, end),
    ];
    let (inner, front) = (Role::PrintRoot, sense < 0.0);
    let side = if front { Role::PrintFront } else { Role::PrintRear };
    let cone = if front { Role::FrontEnd } else { Role::RearEnd };
    let tags = [inner, side, cone, cone, inner].map(|role| Feature::CorePrint.formed(role));
    Primitive::revolve(Feature::CorePrint.name(), frame, polygon(&points, &tags))
}

/// The print over an opening in a pad, and the space over the pad's face there.
fn opening_print(
    housing: &Housing,
    settings: &Settings,
    p: &Primitive,
    room: Room,
) -> Result<Option<(Primitive, Primitive)>, PrimitiveError> {
    let Some((profile, Some((_, slope)))) = p.shape() else { return Ok(None) };
    let tag = &p.patches()[1].tag;
    let frame = *p.frame();
    let over_face = housing.solid.brep().faces.iter().find_map(|f| match &f.surface {
        Surface::Plane(plane)
            if Feature::of(&f.tag) == Feature::of(tag) && Role::of(&f.tag) == Role::Face =>
        {
            (plane.frame.z.cross(&frame.z).norm() < 1e-6)
                .then(|| (plane.frame.origin - frame.origin).dot(&frame.z))
        }
        _ => None,
    });
    let Some(height) = over_face.filter(|_| Role::of(tag) == Role::Opening) else { return Ok(None) };
    let section = |by: f64| profile.offset(by).unwrap_or_else(|| profile.clone());
    let name = |role| Feature::CorePrint.formed(role);
    let named = |outline: &Profile| -> Vec<_> {
        outline.segments().iter().map(|s| Segment { tag: name(Role::Opening), ..s.clone() }).collect()
    };
    let base = frame.moved_to(frame.point(0.0, 0.0, height - ROOT));
    let ends = [name(Role::PrintRoot), name(Role::OpeningEnd)];
    let (lo, hi) = profile.extent();
    let full = (0.5 * (hi - lo).min()).max(25.0);
    let made = |tall: f64, taper: f64, around: f64, above: f64| {
        let outline = named(&section(slope * (height - ROOT) - around / taper.cos()));
        Primitive::prism(Feature::CorePrint.name(), base, outline, tall + above, taper, ends.clone())
    };
    let (tall, taper) = print_of(settings, frame.z, full, |tall, taper| made(tall, taper, 0.0, 0.0).is_ok());
    let print = made(tall, taper, room.across, room.across)?;
    let wide = named(&section(slope * height - 2.0 * room.across - 5.0));
    let above = frame.moved_to(frame.point(0.0, 0.0, height));
    let over = Primitive::prism(
        Feature::CorePrint.name(),
        above,
        wide,
        tall + room.across + 60.0,
        0.0,
        [name(Role::Face), name(Role::Face)],
    )?;
    Ok(Some((print, over)))
}

/// Shares of the taper asked for that are tried for a print over an opening, the steepest first.
const TAPERS: [f64; 7] = [1.0, 0.9, 0.8, 0.7, 0.6, 0.5, 0.4];

/// Shares of its full height that are tried for such a print.
const HEIGHTS: [f64; 4] = [1.0, 0.8, 0.6, 0.45];

/// Height and taper of the print over an opening whose axis is given. The core's own print says which taper its outline bears, so that the
/// walls about it are parallel to its own. A pad that leans in the mould needs its lean and the draft of a core's wall: where the
/// corners of the outline leave no room for that, the print is made lower; where no height does, the steepest one is taken.
fn print_of(settings: &Settings, axis: V3, full: f64, fits: impl Fn(f64, f64) -> bool) -> (f64, f64) {
    let lean = axis.dot(&settings.up).abs().min(1.0).acos();
    let wanted = settings.print_taper.min(lean + settings.core_draft);
    let steepest = |tall: f64| {
        let shares = TAPERS.map(|share| share * settings.print_taper).into_iter();
        shares.chain([settings.core_draft, 0.0]).find(|taper| fits(tall, *taper)).unwrap_or(0.0)
    };
    let mut best: Option<(f64, f64)> = None;
    for tall in HEIGHTS.map(|share| share * full + ROOT) {
        let taper = steepest(tall);
        if best.is_none_or(|b| taper > b.1) {
            best = Some((tall, taper));
        }
        if taper >= wanted {
            break;
        }
    }
    best.unwrap_or((full + ROOT, 0.0))
}

#[cfg(test)]
mod tests {
    use super::super::Casting;
    use super::*;
    use solidwright::mesh::triangulate;
    use solidwright::probe::Probe;
    use solidwright::solid::{Solid, cylinder};

    /// The prints of the pattern and of the core, measured as they are written: the gap is the clearance that the file asks
    /// for, square to each wall, cone and end.
    #[test]
    fn the_fit_of_the_prints_is_the_same_all_round() {
        for text in [
            include_str!("../../params/minimal.yaml"),
            include_str!("../../params/demo_mm.yaml"),
            include_str!("../../params/long_iron.yaml"),
        ] {
            let casting = Casting::of_text(text);
            let settings = &casting.settings;
            let solids = [0.0, settings.print_clearance].map(|clearance| {
                let made = prints(&casting.moulded, settings, clearance).expect("prints");
                made.bodies.into_iter().map(|print| {
                    let mut tree = SolidTree::new();
                    tree.add(print);
                    Solid::of(tree).expect("a print")
                })
            });
            let [core, pattern] = solids;
            for (core, pattern) in core.zip(pattern) {
                let around = Probe::new(&pattern, 0.05).expect("a probe");
                let of = |solid: &Solid, face: usize| Role::of(&solid.brep().faces[face].tag);
                let mesh = triangulate(&core, 0.05).expect("a mesh");
                for (k, face) in mesh.face_of.iter().enumerate() {
                    let role = of(&core, *face as usize);
                    if role == Role::PrintRoot {
                        continue;
                    }
                    let [a, b, c] = mesh.corners(k);
                    let middle = P3::from((a.coords + b.coords + c.coords) / 3.0);
                    let own = core.brep().faces[*face as usize].surface.closest(middle);
                    let near = around.nearest(own, |f| of(&pattern, f) == role, 50.0).expect("a face");
                    let [p, q] = [own, near.point].map(|p| settings.scale.point(p));
                    let gap = (p - q).norm();
                    assert!((gap - settings.print_clearance).abs() < 0.002, "{role:?} at {own}: {gap} mm");
                }
            }
        }
    }

    /// A lump stands 4 mm before the gearbox face: the casting begins there, and everywhere else the pattern has to go on from the print to
    /// the face. No outside source; the pattern's own bodies are asked.
    #[test]
    fn a_print_reaches_the_face_behind_a_lump() {
        let mut casting = Casting::of_text(include_str!("../../params/minimal.yaml"));
        let face = casting.moulded.casting.solid.brep().bounds().min.x;
        let tag = Feature::GearboxFace.formed(Role::Rim);
        let frame = Frame::from_zx(P3::new(face - 4.0, 0.0, 60.0), V3::x(), V3::z());
        let mut tree = casting.moulded.casting.solid.tree().clone();
        tree.add(
            cylinder("gearbox_face", frame, 3.0, 8.0, &[tag.clone(), tag.clone(), tag]).expect("a lump"),
        );
        casting.moulded.casting.solid = Solid::of(tree).expect("a solid");
        let whole = super::super::pattern::whole(&casting.moulded, &casting.settings).expect("a pattern");
        let radius = cored(&casting.moulded).filter_map(|p| radius_at(p, face - 4.5)).fold(0.0, f64::max);
        assert!(radius > 10.0, "a cored mouth: {radius}");
        for step in 0..60 {
            for clock in 0..36 {
                let (sin, cos) = f64::from(10 * clock).to_radians().sin_cos();
                let at = P3::new(face - 6.0 + 0.2 * f64::from(step), radius * cos, radius * sin);
                assert!(whole.contains(at), "a gap between print and casting at {at}");
            }
        }
    }
}
