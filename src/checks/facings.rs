//! Metal over machined facings: what stands over the end that a cutter faces is cut away with it, or keeps the cutter off.

use std::collections::BTreeMap;
use std::f64::consts::TAU;

use super::{Checks, Limit, Measurement, Sense, Unit};
use crate::design::Design;
use crate::faces::{Feature, Role};
use crate::housing::{Housing, sender_seat};
use solidwright::geometry::{Bounds, Frame, P3, V3};
use solidwright::solid::{Op, Step, Tag};

/// Room that a facing cutter needs over the whole face, mm: as much as a plug and its key (common practice, no source).
const ROOM: f64 = 20.0;

/// Height over the face at which metal is first looked for, and the spacing of the heights, mm.
const ABOVE: f64 = 0.25;
const STEP: f64 = 1.0;

/// Directions about the axis, and circles about it, at which metal is looked for.
const AROUND: u32 = 48;
const CIRCLES: u32 = 8;

/// Metal flush with the rim is beside the cutter, mm.
const BESIDE: f64 = 0.02;

const CHECK: &str = "metal over a machined facing";

/// A face that a cutter of its own width makes from outside.
struct Facing {
    tag: Tag,
    /// The middle of the face, z outwards.
    frame: Frame,
    radius: f64,
    /// Whether the model takes away what stands over it; else that metal is still there.
    cleared: bool,
}

/// The metal that reaches farthest over a facing.
struct Over {
    feature: Feature,
    /// From the rim inwards, mm.
    depth: f64,
    at: P3,
}

pub(super) fn check(design: &Design, housing: &Housing, out: &mut Checks) {
    let facings = facings(design, housing);
    let told =
        |facing: &Facing| facing.over(housing).iter().map(|over| facing.told(over)).collect::<Vec<_>>();
    let told: Vec<Measurement> = facings.iter().flat_map(told).collect();
    if told.is_empty() && !facings.is_empty() {
        let clear = Measurement::new(CHECK, "all facings", (0.0, Unit::Mm), Sense::AtMost, "");
        out.measurements.push(clear.fails_by(&none()));
    }
    out.measurements.extend(told);
}

fn none() -> Limit {
    let source = "a facing is cut from outside, over its whole width".to_owned();
    Limit { value: 0.0, source, given: false }
}

/// The facings of plugs, bolts and sender.
fn facings(design: &Design, housing: &Housing) -> Vec<Facing> {
    let plugs = housing.bores.iter().filter_map(|bore| {
        let Role::PlugHole(own) = Role::of(&bore.tag) else { return None };
        let radius = design.plugs().get(own.number - 1)?.diameter().get() / 2.0;
        let frame = Frame::from_z(bore.point, bore.axis);
        Some(Facing { tag: Feature::Plugs.cut(Role::PlugFace(own)), frame, radius, cleared: false })
    });
    let face = design.gearbox_face();
    let bolts = face.bolt_holes().iter().enumerate().filter_map(|(i, hole)| {
        let spot = hole.spot_face()?;
        let seat = face.flange_thickness().get() - spot.depth.get();
        let middle = P3::new(seat, hole.y().get(), hole.z().get());
        let tag = Feature::GearboxFace.cut(Role::BoltSpotFace(i + 1));
        let radius = spot.diameter.get() / 2.0;
        Some(Facing { tag, frame: Frame::from_z(middle, V3::x()), radius, cleared: true })
    });
    let sender = design.sender_boss().map(|boss| {
        let (seat, axis) = sender_seat(boss);
        let tag = Feature::SenderBoss.cut(Role::SpotFace);
        Facing { tag, frame: Frame::from_z(seat, axis), radius: boss.faced().get() / 2.0, cleared: true }
    });
    plugs.chain(bolts).chain(sender).collect()
}

impl Facing {
    /// What stands over it, by feature.
    fn over(&self, housing: &Housing) -> Vec<Over> {
        let Self { frame, radius, .. } = self;
        let around = [(-1.0, -1.0), (-1.0, 1.0), (1.0, -1.0), (1.0, 1.0)];
        let corners = |(x, y): (f64, f64)| [0.0, ROOM].map(|z| frame.point(x * radius, y * radius, z));
        let room = Bounds::around(around.into_iter().flat_map(corners));
        let steps = || housing.solid.tree().steps().iter().filter(|s| s.primitive.bounds().meets(&room));
        let adds = |s: &&Step| matches!(s.op, Op::Add | Op::Restore);
        let mut others: BTreeMap<Feature, Vec<&Step>> = BTreeMap::new();
        for step in steps().filter(adds).filter(|s| self.is_other(s)) {
            others.entry(Feature::of_body(&step.primitive)).or_default().push(step);
        }
        let own = |s: &&Step| s.primitive.patches().iter().any(|p| p.tag == self.tag);
        let cuts: Vec<&Step> = steps().filter(|s| !adds(s) && !own(s) && s.op != Op::Keep).collect();
        let left = |p: P3| {
            if self.cleared {
                !cuts.iter().any(|s| s.primitive.contains(p))
            } else {
                housing.solid.tree().contains(p)
            }
        };
        let one = |(feature, steps): (&Feature, &Vec<&Step>)| {
            let metal = |p: P3| steps.iter().any(|s| s.primitive.contains(p)) && left(p);
            let (depth, at) = self.reached(metal)?;
            Some(Over { feature: *feature, depth, at })
        };
        others.iter().filter_map(one).collect()
    }

    /// How far metal reaches over it from the rim, mm, and where it does.
    fn reached(&self, metal: impl Fn(P3) -> bool) -> Option<(f64, P3)> {
        let heights = (0..).map(|k| ABOVE + STEP * f64::from(k)).take_while(|h| *h < ROOM);
        let ways =
            heights.flat_map(|h| (0..AROUND).map(move |k| (h, TAU * f64::from(k) / f64::from(AROUND))));
        let point =
            |(height, turn): (f64, f64), r: f64| self.frame.point(r * turn.cos(), r * turn.sin(), height);
        let circle = |k: u32| (self.radius - BESIDE) * f64::from(k) / f64::from(CIRCLES);
        // The innermost circle that meets metal on each way, and the innermost of these.
        let first = |way: (f64, f64)| {
            let inner = (0..=CIRCLES).find(|k| metal(point(way, circle(*k))))?;
            Some((inner, way))
        };
        let found: Vec<(u32, (f64, f64))> = ways.filter_map(first).collect();
        let inner = found.iter().map(|(inner, _)| *inner).min()?;
        let exactly = |way: (f64, f64)| {
            let (mut bare, mut reached) = (circle(inner.saturating_sub(1)), circle(inner));
            for _ in 0..12 {
                let middle = f64::midpoint(bare, reached);
                if metal(point(way, middle)) {
                    reached = middle;
                } else {
                    bare = middle;
                }
            }
            (self.radius - reached, point(way, reached))
        };
        let deepest = found.into_iter().filter(|(k, _)| *k == inner).map(|(_, way)| exactly(way));
        deepest.reduce(|best, other| if other.0 > best.0 { other } else { best })
    }

    /// Whether a step adds metal that does not belong to it: of a seat that is cut into its feature, fillets and the shell it stands on do.
    fn is_other(&self, step: &Step) -> bool {
        let (feature, patches) = (Feature::of_body(&step.primitive), step.primitive.patches());
        if !self.cleared {
            return !patches.iter().any(|p| p.tag == self.tag);
        }
        let fillet = patches.iter().any(|p| Role::of(&p.tag).is_fillet());
        !fillet && feature != Feature::of(&self.tag) && feature != Feature::Shell
    }

    fn told(&self, over: &Over) -> Measurement {
        let Over { feature, depth, at } = over;
        let what = format!("{}, under {feature}", self.tag);
        let hint = if self.cleared {
            let own = if Feature::of(&self.tag) == Feature::SenderBoss {
                "turn or move `sender_boss`, or make it higher"
            } else {
                "move the bolt, or make its `spot_face.diameter` smaller"
            };
            format!("the cutter takes that metal off {feature}: {own}, or move {feature}")
        } else {
            format!(
                "the cutter that faces the boss would cut into {feature}: move the plug along the shaft (`station`), turn its `clock`, give it a \
                 smaller `diameter`, or move {feature}, until the whole face is free from outside"
            )
        };
        let made = Measurement::new(CHECK, what, (*depth, Unit::Mm), Sense::AtMost, hint);
        let made = made.at([*at], [self.tag.to_string()]);
        if self.cleared { made.warns_by(&none()) } else { made.fails_by(&none()) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::Verdict;
    use crate::housing;

    /// The smallest file with a drain plug M12, whose boss is 26.4 mm wide, at a station.
    fn told(station: f64, height: f64) -> Vec<(String, f64, Verdict)> {
        let plug = format!(
            "plugs:\n  - {{kind: drain, station: {station}, clock: 180, height: {height}, thread: M12}}\n"
        );
        let text = include_str!("../../params/minimal.yaml");
        let text = text.replace("diameter: 200\n", "diameter: 200\n    thickness: 12\n") + &plug;
        let design = Design::of_text(&text);
        let mut out = Checks::default();
        check(&design, &housing::build(&design).expect("a part"), &mut out);
        out.measurements.iter().map(|m| (m.what.clone(), m.value, m.verdict())).collect()
    }

    /// The flange of the smallest file is 12 mm thick and reaches beyond the plug's face: by hand its back lies within the face.
    #[test]
    fn the_flange_reaches_over_a_plug_s_face() {
        let found = told(22.0, 75.0);
        let [(what, depth, Verdict::Fail)] = &found[..] else { panic!("{found:?}") };
        assert_eq!(what, "plugs/drain plug 1 face, under gearbox_face");
        assert!((depth - (12.0 - (22.0 - 13.2))).abs() < 0.05, "{depth}");
        let found = told(60.0, 75.0);
        assert!(matches!(&found[..], [(what, _, Verdict::Pass)] if what == "all facings"), "{found:?}");
    }
}
