//! The core that forms the cavity, its prints, and the box in which it is made.

use super::core_beam::{Chaplet, CoreBeam};
use super::split::block;
use super::{Casting, FormError, FormPieces, Piece, Settings, shape};
use crate::faces::{Feature, Role};
use crate::housing::{AsCastHousing, Housing};
use crate::standards::core_prints::{buoyancy, core_lift, molten_density};
use crate::units::Mm;
use crate::words::place;
use solidwright::geometry::{Bounds, Frame, P2, P3, Surface, V3};
use solidwright::solid::{
    Op, Primitive, PrimitiveError, Profile, Segment, Solid, SolidTree, cylinder, polygon,
};
use std::collections::BTreeSet;

/// How far prints reach into the body they hold, mm.
pub(super) const ROOT: f64 = 1.0;

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
            out.bodies.push(end_print(ends[k], sense, (radius, length), room, settings)?);
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
        P2::new(0.0, -ROOT),
        P2::new(wall, -ROOT),
        P2::new(wall, cone(wall)),
        P2::new(tip, end),
        P2::new(0.0, end),
    ];
    let (root, front) = (Role::PrintRoot, sense < 0.0);
    let side = if front { Role::PrintFront } else { Role::PrintRear };
    let cone = if front { Role::FrontEnd } else { Role::RearEnd };
    let tags = [root, side, cone, cone, root].map(|role| Feature::CorePrint.formed(role));
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

/// The core: the cavity and all other cored hollows, with prints and a vent.
///
/// # Errors
/// See [`FormError`].
pub fn core(casting: &Casting) -> Result<FormPieces, FormError> {
    let made = shape("core");
    let prints = prints(&casting.moulded, &casting.settings, 0.0).map_err(&made)?;
    let settings = &casting.settings;
    // The lift is that of the core without its vent, because no metal enters the vent.
    let solid = unvented(casting, &prints)?;
    let load = Load::of(casting, &prints, solid.solid.mass().volume)?;
    let mut notes = vec![load.text(settings)];
    notes.extend(load.beam(casting, &prints).map(|beam| beam.text(settings)));
    if let Some(end) = prints.missing {
        notes.push(format!(
            "NO PRINT at the {end}: no cored hole reaches there, so the core hangs on its other prints; core a bore there \
             (`casting.stock.cored_above`) or hold it with chaplets"
        ));
    }
    if settings.vent <= 0.0 {
        return Ok(FormPieces::new(vec![solid.clone()], notes));
    }
    let span = solid.solid.brep().bounds().min.x - 50.0;
    let tag = Feature::Core.formed(Role::Vent);
    let frame = Frame::from_zx(P3::new(span, 0.0, 0.0), V3::x(), V3::z());
    let length = 2.0 * reach(casting) + 100.0;
    let radius = 0.5 * settings.vent / settings.scale.radial();
    let mut tree = solid.solid.tree().clone();
    tree.cut(
        cylinder(Feature::Core.name(), frame, radius, length, &[tag.clone(), tag.clone(), tag])
            .map_err(&made)?,
    );
    notes.push(format!(
        "vent of {} along the shaft; carry it out through both prints",
        settings.units.alone(Mm::new(settings.vent))
    ));
    Ok(FormPieces::new(vec![Piece::of("core", tree, settings.scale)?.whole()?], notes))
}

/// The chaplets that a casting's core needs, in the order of their stations; none where its prints hold it.
///
/// # Errors
/// If there is no core.
pub fn chaplets_needed(casting: &Casting) -> Result<Vec<Chaplet>, FormError> {
    let prints = prints(&casting.moulded, &casting.settings, 0.0).map_err(shape("core"))?;
    let solid = unvented(casting, &prints)?;
    let load = Load::of(casting, &prints, solid.solid.mass().volume)?;
    Ok(load.beam(casting, &prints).map_or_else(Vec::new, |beam| beam.needed()))
}

/// Radius of the round part of a casting's core at a station, mm; zero where there is none.
pub fn core_radius(casting: &Casting, station: f64) -> f64 {
    cored(&casting.moulded).filter_map(|p| radius_at(p, station)).fold(0.0, f64::max)
}

/// Pressure of the core on its prints in megapascals: the larger of its lift in the metal and its weight, over the
/// bearing area.
///
/// # Errors
/// If there is no core.
pub fn core_bearing(casting: &Casting) -> Result<f64, FormError> {
    let prints = prints(&casting.moulded, &casting.settings, 0.0).map_err(shape("core"))?;
    let solid = unvented(casting, &prints)?;
    Ok(Load::of(casting, &prints, solid.solid.mass().volume)?.pressure())
}

/// Volume of the core without its vent as its box forms it, contraction with it, mm³.
///
/// # Errors
/// If there is no core.
pub fn core_volume(casting: &Casting) -> Result<f64, FormError> {
    let prints = prints(&casting.moulded, &casting.settings, 0.0).map_err(shape("core"))?;
    let piece = unvented(casting, &prints)?;
    Ok(piece.solid.mass().volume * piece.scale.axial() * piece.scale.radial().powi(2))
}

/// The part of the core that metal surrounds.
fn covered(casting: &Casting, prints: &Prints) -> Result<SolidTree, PrimitiveError> {
    let wide = reach(casting);
    let face = Feature::CorePrint.formed(Role::Face);
    let mut tree = SolidTree::new();
    cored(&casting.moulded).for_each(|p| tree.add(p.clone()));
    tree.keep(block(&casting.settings, (prints.ends[0], prints.ends[1]), wide, (-wide, wide), &face)?);
    prints.over.iter().for_each(|p| tree.cut(p.clone()));
    Ok(tree)
}

/// A body of a core by its features and its middle.
fn told(core: &Solid, body: &Bounds) -> String {
    let brep = core.brep();
    let within = |f: &usize| {
        let face = brep.bounds_of([*f]);
        body.contains(face.min) && body.contains(face.max)
    };
    let features = (0..brep.faces.len()).filter(within).map(|f| Feature::of(&brep.faces[f].tag).name());
    let features: BTreeSet<&str> = features.collect();
    let features: Vec<&str> = features.into_iter().collect();
    let middle = body.min + (body.max - body.min) * 0.5;
    format!("{} near {}", features.join(" and "), place([middle.x, middle.y, middle.z], 1))
}

/// The core without its vent, of one body, made once and shared: its prints are the casting's own.
pub(super) fn unvented<'a>(casting: &'a Casting, prints: &Prints) -> Result<&'a Piece, FormError> {
    let made = || {
        let mut tree = covered(casting, prints).map_err(shape("core"))?;
        prints.bodies.iter().for_each(|p| tree.add(p.clone()));
        let core = Piece::of("core", tree, casting.settings.scale)?;
        let apart: Vec<String> =
            core.solid.smaller_bodies().iter().map(|body| told(&core.solid, body)).collect();
        if apart.is_empty() { Ok(core) } else { Err(FormError::CoreApart { apart }) }
    };
    casting.core.get_or_init(made).as_ref().map_err(Clone::clone)
}

/// A length that is certain to reach out of the casting, mm.
fn reach(casting: &Casting) -> f64 {
    2.0 * casting.moulded.casting.solid.tree().bounds().diagonal()
}

/// Forces on a core as large as it is made, contraction with it.
struct Load {
    /// Volume with prints, mm³.
    volume: f64,
    /// Lift less weight, N: metal lifts only the part of the core that it surrounds; prints lie in sand.
    lift: f64,
    /// Weight, N.
    weight: f64,
    /// Bearing area of the prints, mm².
    bearing: f64,
}

impl Load {
    fn of(casting: &Casting, prints: &Prints, volume: f64) -> Result<Self, FormError> {
        let settings = &casting.settings;
        let tree = covered(casting, prints).map_err(shape("core"))?;
        let covered = Piece::of("core", tree, settings.scale)?.solid.mass().volume;
        let molten = molten_density(settings.family);
        let (along, across) = (settings.scale.axial(), settings.scale.radial());
        let [covered, volume] = [covered, volume].map(|v| v * along * across * across);
        let weight = core_lift(volume, molten).1;
        let bearing = prints.bearing * along * across;
        Ok(Self { volume, lift: buoyancy(covered, molten) - weight, weight, bearing })
    }

    /// The core as a beam on its prints.
    fn beam(&self, casting: &Casting, prints: &Prints) -> Option<CoreBeam> {
        let missing = ["front", "rear"].map(|end| prints.missing == Some(end));
        let bearing = casting.settings.bearing * self.bearing;
        CoreBeam::of(casting, prints.ends, missing, self.lift + self.weight, bearing)
    }

    fn pressure(&self) -> f64 {
        self.lift.max(self.weight) / self.bearing.max(1e-9)
    }

    fn text(&self, settings: &Settings) -> String {
        let (metal, allowed) = (settings.family.name(), settings.bearing);
        let pressure = self.pressure();
        let verdict = if pressure <= allowed { "enough" } else { "TOO LITTLE: lengthen the prints" };
        let net = if self.lift >= 0.0 { "a net lift" } else { "a net weight" };
        format!(
            "the core with its prints and without a vent has {} and weighs {:.2} N; when {metal} covers it, buoyancy of {:.2} N leaves {net} of \
             {:.2} N; prints bear {pressure:.4} MPa of {allowed} ({verdict})",
            settings.units.volume(self.volume),
            self.weight,
            self.lift + self.weight,
            self.lift.abs()
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::Design;
    use crate::params::{self, Source};
    use solidwright::mesh::triangulate;
    use solidwright::probe::Probe;

    fn casting(text: &str) -> Casting {
        let source = Source::from_bytes("a file", text.as_bytes().to_vec()).expect("text");
        let design = Design::validate(params::read(&source).expect("a tree")).value.expect("a design");
        super::super::casting(&design, &crate::housing::build(&design).expect("a part")).expect("a casting")
    }

    /// The prints of the pattern and of the core, measured as they are written: the gap is the clearance that the file asks
    /// for, square to each wall, cone and end.
    #[test]
    fn the_fit_of_the_prints_is_the_same_all_round() {
        for text in [
            include_str!("../../params/minimal.yaml"),
            include_str!("../../params/demo_mm.yaml"),
            include_str!("../../params/long_iron.yaml"),
        ] {
            let casting = casting(text);
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

    /// A hollow that does not meet the cavity: pressure on the prints, core and core box are refused alike, with its place.
    #[test]
    fn a_core_in_two_bodies_is_told_before_anything_is_made_of_it() {
        let mut casting = casting(include_str!("../../params/minimal.yaml"));
        let tag = Feature::GearboxFace.formed(Role::Opening);
        let frame = Frame::from_zx(P3::new(40.0, 0.0, 150.0), V3::x(), V3::z());
        let hole = cylinder("gearbox_face", frame, 8.0, 30.0, &[tag.clone(), tag.clone(), tag]);
        let mut tree = casting.moulded.casting.solid.tree().clone();
        tree.cut(hole.expect("a hole"));
        casting.moulded.casting.solid = Solid::of(tree).expect("a solid");
        let errors = [
            core_bearing(&casting).expect_err("no prints"),
            core(&casting).expect_err("no core"),
            super::super::core_box(&casting).expect_err("no box"),
        ];
        for error in errors {
            let text = error.to_string();
            assert!(!error.is_internal() && text.contains("2 bodies"), "{text}");
            assert!(text.contains("gearbox_face near (55.0, 0.0, 150.0) mm"), "{text}");
        }
    }

    /// A fillet in the rear corner of the cavity leaves 40 mm of the mouth of a stop bore of 43 mm. Cast with its stock the bore is narrower than
    /// both, so the core goes on through it; taken for a bottom with stock, the mouth was closed by a web of metal across the bore.
    #[test]
    fn a_fillet_before_the_stop_bore_does_not_close_the_cavity() {
        let text = include_str!("../../params/minimal.yaml")
            .replace("diameter: 68", "diameter: 52")
            .replace("bore: 46", "bore: 46\n    stop_bore: 43");
        let casting = casting(&(text + "\ncasting:\n  fillets:\n    cavity: 6\n"));
        let tree = casting.moulded.casting.solid.tree();
        for k in 0..=280 {
            let at = P3::new(f64::from(k), 0.0, 0.0);
            assert!(!tree.contains(at), "metal on the shaft axis at {at}");
        }
        assert_eq!(core(&casting).expect("a core").pieces.len(), 1, "one core");
    }
}
