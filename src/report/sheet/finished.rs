//! The finished part: for the machinist.

use super::{Facts, shared};
use crate::checks::{MachinedFit, line_up_limit, machined_fits};
use crate::design::Design;
use crate::faces::{Feature, Role};
use crate::housing::Bore;
use crate::report::document::{Block, Chapter, Column, Fact, TextCell, TextTable};
use crate::standards::general_tolerance::{CLASS, medium};
use crate::standards::threads::Thread;
use crate::units::{Mm, Units};
use crate::words::fixed;
use solidwright::geometry::{P3, Surface, V3};
use solidwright::solid::{BrepFace, Finish};

/// What the sheet says, and its sections.
pub(super) fn sections(facts: &Facts) -> (&'static str, Vec<Chapter>) {
    let lead = "The part as it leaves the machine. For the machinist, who machines the casting to it, and for the builder, who fits it.";
    let mass = facts.product.finished().solid.mass();
    let c = mass.centroid;
    let glance = vec![
        shared::scale(facts),
        shared::alloy(facts),
        Fact::new("Weight", facts.metal(mass.volume)),
        Fact::new("Centre of mass", facts.units.centre([c.x, c.y, c.z])),
        Fact::new(
            "Axes",
            "x runs aft along the shaft from the gearbox face, y to the right, z up; clock angles are seen from behind, 0 is up",
        ),
        Fact::new(
            "Datum",
            "the gearbox face and the register; bushing seat and seal counterbore are bored true to them",
        ),
        Fact::new(
            "General tolerance",
            format!("{CLASS} for machined lengths and diameters without limits of their own"),
        ),
    ];
    let sections = vec![
        Chapter::new("At a glance", [Block::Facts(glance)]),
        Chapter::new("The finished part", [shared::picture(facts, "The finished part")]),
        Chapter::new("Fits", fits(facts.design)),
        Chapter::new("True position", [Block::Facts(positions(facts))]),
        Chapter::new("Bores and holes", [Block::Table(bores(facts))]),
        Chapter::new("Machined flats", [Block::Table(flats(facts))]),
        shared::notes(facts, &[]),
    ];
    (lead, sections)
}

/// Diameters with their limits, and those whose limits the file does not give.
pub(super) fn fits(design: &Design) -> [Block; 2] {
    let fits = machined_fits(design);
    let missing = fits.iter().filter_map(|fit| fit.as_ref().err().cloned()).collect();
    [Block::Table(limits(design.units(), &fits)), lacking(missing)]
}

/// Diameters with their limits.
fn limits(units: Units, fits: &[Result<MachinedFit, String>]) -> TextTable {
    let show = |mm: Mm| units.show(Mm::new((mm.get() * 1e4).round() / 1e4));
    let row = |f: &MachinedFit| {
        let [least, greatest] = f.sizes.map(show);
        vec![
            TextCell::from(f.what.clone()),
            show(f.nominal).into(),
            f.class.clone().into(),
            least.into(),
            greatest.into(),
            f.note.clone().into(),
        ]
    };
    TextTable {
        caption: "Diameters that mate with other parts, at 20 °C".to_owned(),
        columns: vec![
            Column::words("where"),
            Column::numbers("nominal"),
            Column::words("fit"),
            Column::numbers("least"),
            Column::numbers("greatest"),
            Column::words("source"),
        ],
        rows: fits.iter().flatten().map(row).collect(),
        notes: vec![],
    }
}

/// Fits that the file does not give.
fn lacking(missing: Vec<String>) -> Block {
    let told = |reason: String| format!("Ask for the limits of {reason}.");
    Block::List(missing.into_iter().map(told).collect())
}

/// How true the machined features must lie: the tolerances of the file, and the limit that they serve.
fn positions(facts: &Facts) -> Vec<Fact> {
    let limit = line_up_limit(facts.design);
    let wanted = format!("within {} ({})", facts.units.show(Mm::new(limit.value)), limit.source);
    let mut out = vec![Fact::new("Line-up of bushing, seal, rail and sender", wanted)];
    let Some(t) = facts.design.mating().tolerances.as_ref() else { return out };
    let zone = |mm: Mm, of: &str| format!("Ø {} {of}", facts.length(mm.get()));
    out.push(Fact::new("Bushing seat", zone(t.bushing_seat, "about the register")));
    out.push(Fact::new(
        "Bore of the bushing",
        zone(t.bushing_wall, "about its outside, or about the register if bored in place"),
    ));
    out.push(Fact::new("Seal counterbore", zone(t.seal_bore, "about the bushing seat")));
    if facts.design.rail_tube().is_some() {
        out.push(Fact::new("Rail bore", zone(t.rail_bore, "about its true place from the register")));
    }
    if facts.design.sender_boss().is_some() {
        out.push(Fact::new("Sender bore", zone(t.sender_bore, "about its true place")));
    }
    let holes = if t.register_at_maximum {
        "about their true places, which may shift together by what the register departs from its maximum material boundary"
    } else {
        "about their true places"
    };
    out.push(Fact::new("Flange holes", zone(t.flange_holes, holes)));
    out
}

/// Every machined bore and hole, with a point of its axis and the axis's direction.
fn bores(facts: &Facts) -> TextTable {
    let row = |b: &Bore| {
        let mut cells = vec![TextCell::from(b.tag.to_string()), facts.bare(2.0 * b.radius).into()];
        cells.push(thread(facts, Feature::of(&b.tag), Role::of(&b.tag)).unwrap_or_default().into());
        cells.extend([b.point.x, b.point.y, b.point.z].map(|x| TextCell::from(facts.bare(x))));
        cells.push(direction(b.axis).into());
        cells
    };
    TextTable {
        caption:
            "Every machined bore and hole: its diameter, a point of its axis, and the direction of the axis"
                .to_owned(),
        columns: vec![
            Column::words("face"),
            facts.head("Ø,\u{a0}mm", "Ø,\u{a0}in"),
            Column::words("thread"),
            facts.head("x,\u{a0}mm", "x,\u{a0}in"),
            facts.head("y,\u{a0}mm", "y,\u{a0}in"),
            facts.head("z,\u{a0}mm", "z,\u{a0}in"),
            Column::words("axis"),
        ],
        rows: facts.product.finished().bores.iter().map(row).collect(),
        notes: vec!["Tapped holes have the diameter of the tapping drill.".to_owned()],
    }
}

/// What is tapped, or for which screw a hole is wide.
fn thread(facts: &Facts, feature: Feature, role: Role) -> Option<String> {
    let design = facts.design;
    let blind = |t: &Thread, depth: Mm, drill: Mm| {
        let deep = [depth, drill].map(|x| facts.long(x.get()));
        format!("{}, {} deep, drilled {}", t.name, deep[0], deep[1])
    };
    match role {
        Role::TappedHole(_) => {
            let holes = pad_holes(design, feature)?;
            Some(blind(holes.thread(), holes.depth(), holes.drill_depth()))
        }
        Role::ScrewHole => {
            let screw = design.sender_boss()?.retaining_screw()?;
            Some(blind(screw.thread(), screw.depth(), screw.drill_depth()))
        }
        Role::PlugHole(plug) => {
            Some(format!("{}, through", design.plugs().get(plug.number.checked_sub(1)?)?.thread().name))
        }
        Role::BoltHole(n) => {
            let thread = design.gearbox_face().bolt_holes().get(n.checked_sub(1)?)?.size().thread()?;
            Some(format!("clears {}", thread.name))
        }
        _ => None,
    }
}

fn pad_holes(design: &Design, pad: Feature) -> Option<&crate::design::PadHoles> {
    match pad {
        Feature::ShiftBoxPad => design.shift_box_pad()?.holes(),
        Feature::MountPad => design.mount_pad()?.holes(),
        Feature::SecondMountPad => design.second_mount_pad()?.holes(),
        _ => None,
    }
}

/// A direction in words where it runs along an axis, else as a vector.
fn direction(d: V3) -> String {
    let axes = [(V3::x(), "along x"), (V3::y(), "along y"), (V3::z(), "along z")];
    let along = axes.into_iter().find(|(axis, _)| d.cross(axis).norm() < 1e-9);
    along.map_or_else(
        || format!("({}, {}, {})", fixed(d.x, 4), fixed(d.y, 4), fixed(d.z, 4)),
        |(_, words)| words.to_owned(),
    )
}

/// Where a face looks, in words where it is square to an axis, else as a vector.
fn side(d: V3) -> String {
    let sides = [
        (V3::x(), "aft (+x)"),
        (-V3::x(), "ahead (-x)"),
        (V3::y(), "right (+y)"),
        (-V3::y(), "left (-y)"),
        (V3::z(), "up (+z)"),
        (-V3::z(), "down (-z)"),
    ];
    let square = sides.into_iter().find(|(side, _)| (d - side).norm() < 1e-9);
    square.map_or_else(|| direction(d), |(_, words)| words.to_owned())
}

/// Every machined flat face: how far it lies from the axes' origin along its own normal.
fn flats(facts: &Facts) -> TextTable {
    let faces = facts.product.finished().solid.brep().faces.iter();
    let flat = |f: &BrepFace| match &f.surface {
        Surface::Plane(plane) if f.tag.finish == Finish::Cut => {
            let origin = plane.frame.origin;
            Some((f.tag.to_string(), f.outward(origin), origin))
        }
        _ => None,
    };
    let mut found: Vec<(String, V3, P3)> = faces.filter_map(flat).collect();
    found.sort_by(|a, b| a.0.cmp(&b.0));
    // A face in several pieces is told once.
    found.dedup_by(|a, b| a.0 == b.0 && (a.1 - b.1).norm() < 1e-9);
    let row = |(name, normal, origin): (String, V3, P3)| {
        let distance = origin.coords.dot(&normal);
        let within =
            medium(distance).map_or_else(|| "ask".to_owned(), |half| format!("±{}", facts.bare(half)));
        vec![TextCell::from(name), facts.bare(distance).into(), within.into(), side(normal).into()]
    };
    TextTable {
        caption: "Every flat machined face: its distance from the origin of the axes, and the direction in which it looks".to_owned(),
        columns: vec![
            Column::words("face"),
            facts.head("distance, mm", "distance, in"),
            facts.head("within, mm", "within, in"),
            Column::words("looks"),
        ],
        rows: found.into_iter().map(row).collect(),
        notes: vec![
            format!("Lengths are within {CLASS} where nothing else is said; what must line up has its own limits above."),
            "The origin is the centre of the gearbox face; a distance below zero lies against the direction.".to_owned(),
        ],
    }
}
