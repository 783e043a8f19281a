//! What the measured deviations do to the part's function: line-up, seal, gears, bolts. The line-up is judged always, whatever
//! tolerances the file has: it is what the part is for.

use super::characteristic::{Characteristic, CharacteristicKind, MeasuringSheet};
use super::elements::ElementShape;
use super::judging::JudgedArticle;
use crate::checks::{MeasuredBore, line_up_limit, measured_line_up, measured_play};
use crate::design::{BoltHole, Design};
use crate::faces::{Feature, Role};
use crate::standards::position::fixed_fastener;
use crate::units::Mm;
use crate::words::counted;

/// Whether a function is served.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Served {
    /// It is, even in the worst case of what was not measured.
    Yes,
    /// In the worst case of what was not measured it is not; by the root sum of squares it is.
    Likely,
    /// The housing's own share keeps the limit; the file does not tell what its partners add.
    Alone,
    /// The value lies nearer to the limit than its uncertainty.
    Undecided,
    /// It is not.
    No,
    /// There is no limit to compare with.
    Told,
}

impl Served {
    /// Its word.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Yes => "served",
            Self::Likely => "likely, not in the worst case",
            Self::Alone => "served by the housing alone",
            Self::Undecided => "undecided",
            Self::No => "not served",
            Self::Told => "",
        }
    }
}

/// What the part is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PartFunction {
    /// Bushing and seal in line with the gearbox's shaft.
    LineUp,
    /// The register in the gearbox.
    Register,
    /// The seal about the yoke.
    Seal,
    /// Bolts find their holes.
    Bolts,
    /// Speedometer gears mesh.
    Gears,
}

impl PartFunction {
    /// What is said of a part that does not serve it.
    pub const fn failed(self) -> &'static str {
        match self {
            Self::LineUp => "does not line up",
            Self::Register => "does not sit in the gearbox",
            Self::Seal => "does not seal",
            Self::Bolts => "does not bolt up",
            Self::Gears => "its gears do not mesh",
        }
    }
}

/// A function, and what the measured part does to it.
#[derive(Clone, Debug, PartialEq)]
pub struct FunctionEffect {
    /// Which function.
    pub function: PartFunction,
    /// The function.
    pub what: String,
    /// What was found, mm.
    pub value: f64,
    /// The limit, mm.
    pub limit: Option<f64>,
    /// What the value is, in words.
    pub note: String,
    /// Whether it is served.
    pub served: Served,
}

/// What an article is judged against.
struct Article<'a> {
    design: &'a Design,
    sheet: &'a MeasuringSheet,
    judged: &'a JudgedArticle,
}

impl Article<'_> {
    /// Value and uncertainty of a characteristic, mm: of a size the end on its side of maximum material.
    fn value(
        &self,
        feature: Feature,
        role: Role,
        is: impl Fn(&CharacteristicKind) -> bool,
    ) -> Option<(f64, f64)> {
        let element = self.sheet.element_of(feature, role)?;
        let wanted = |c: &&Characteristic| c.element == Some(element) && is(&c.kind);
        let number = self.sheet.characteristics.iter().find(wanted)?.number;
        let item = self.judged.found(number)?;
        let hole = matches!(self.sheet.elements[element].shape, ElementShape::Cylinder { hole: true, .. });
        let found = item.found?;
        Some((
            if hole && is(&CharacteristicKind::Diameter) { found.outer[0] } else { found.outer[1] },
            item.uncertainty,
        ))
    }

    fn zone(&self, feature: Feature, role: Role) -> Option<(f64, f64)> {
        self.value(feature, role, |kind| matches!(kind, CharacteristicKind::Geometric(_)))
    }

    fn size(&self, feature: Feature, role: Role) -> Option<(f64, f64)> {
        self.value(feature, role, |kind| *kind == CharacteristicKind::Diameter)
    }

    /// The zone about the register's axis that holds a bore, with its uncertainty, mm: by its tolerance, or evaluated without one.
    fn zone_about_register(&self, role: Role) -> Option<(f64, f64)> {
        let element = self.sheet.element_of(Feature::Tail, role)?;
        if let Some(c) = self.sheet.line_up.iter().find(|c| c.element == Some(element)) {
            let found = self.judged.evaluation.as_ref()?.found.get(&c.number)?;
            let doubt = self.judged.doubts.get(&c.number)?;
            return Some((found.outer[1], doubt.expanded));
        }
        let seat = self.zone(Feature::Tail, Role::BushingSeat)?;
        if role == Role::BushingSeat {
            return Some(seat);
        }
        // A counterbore's tolerance refers to the seat.
        let counterbore = self.zone(Feature::Tail, role)?;
        Some((seat.0 + counterbore.0, seat.1.hypot(counterbore.1)))
    }

    fn register(&self) -> Option<Mm> {
        self.size(Feature::GearboxFace, Role::Register).map(|(d, _)| Mm::new(d))
    }
}

/// The effects of an article on the functions of the part; those without readings are left out.
pub fn effects(design: &Design, sheet: &MeasuringSheet, judged: &JudgedArticle) -> Vec<FunctionEffect> {
    let article = Article { design, sheet, judged };
    let all = line_up(&article).into_iter().chain(register(&article)).chain(seal(&article));
    all.chain(bolts(&article)).chain(gears(&article)).collect()
}

/// Bushing and seal in line with the gearbox's shaft: by the whole chain where the file has it, else by the housing's own share.
fn line_up(a: &Article) -> Vec<FunctionEffect> {
    let by_chain = chained_line_up(a);
    if by_chain.is_empty() { own_line_up(a) } else { by_chain }
}

/// Both bores of the line-up as they are named.
const LINE_UP: [(Role, &str); 2] = [
    (Role::BushingSeat, "bushing in line with the gearbox's shaft"),
    (Role::SealCounterbore, "seal in line with the gearbox's shaft"),
];

/// The housing's own share of the line-up, measured at both ends of each bore from the register's axis square to the gearbox face.
/// It alone must keep the whole limit, whatever its partners are.
fn own_line_up(a: &Article) -> Vec<FunctionEffect> {
    let limit = line_up_limit(a.design).value;
    let effect = |(role, what): (Role, &str)| {
        let (found, uncertainty) = a.zone_about_register(role)?;
        let (value, uncertainty) = (0.5 * found, 0.5 * uncertainty);
        let served = if value - uncertainty > limit {
            Served::No
        } else if value + uncertainty > limit {
            Served::Undecided
        } else {
            Served::Alone
        };
        let note = "off the register's axis, the housing alone: the file does not tell what gearbox, register's play and bushing add";
        Some(FunctionEffect {
            function: PartFunction::LineUp,
            what: what.to_owned(),
            value,
            limit: Some(limit),
            note: note.to_owned(),
            served,
        })
    };
    LINE_UP.into_iter().filter_map(effect).collect()
}

/// The line-up by the chain from the gearbox's shaft; nothing where the file does not have the chain.
fn chained_line_up(a: &Article) -> Vec<FunctionEffect> {
    let Some((seat, of_seat)) = a.zone(Feature::Tail, Role::BushingSeat) else { return vec![] };
    let rear = a.design.tail().bushing().rear();
    let bore = |zone: f64, uncertainty: f64, has_bushing: bool| MeasuredBore {
        station: rear,
        offset: [0.5 * (zone - uncertainty), 0.5 * (zone + uncertainty)].map(|o| Mm::new(o.max(0.0))),
        has_bushing,
    };
    let mut bores = vec![(LINE_UP[0].1, bore(seat, of_seat, true))];
    if let Some((counterbore, of_it)) = a.zone(Feature::Tail, Role::SealCounterbore) {
        let uncertainty = of_seat.hypot(of_it);
        bores.push((LINE_UP[1].1, bore(seat + counterbore, uncertainty, false)));
    }
    let limit = line_up_limit(a.design).value;
    let effect = |(what, bore): (&str, MeasuredBore)| {
        let stack = measured_line_up(a.design, a.register(), bore).ok()?;
        let worst = stack.limits()[1].get();
        let likely = (stack.middle() + stack.root_sum_square()).get();
        let served = if worst <= limit {
            Served::Yes
        } else if likely <= limit {
            Served::Likely
        } else {
            Served::No
        };
        let note = format!(
            "off at most; {likely:.3} by the root sum of squares; gearbox and bushing by their tolerances"
        );
        Some(FunctionEffect {
            function: PartFunction::LineUp,
            what: what.to_owned(),
            value: worst,
            limit: Some(limit),
            note,
            served,
        })
    };
    bores.into_iter().filter_map(effect).collect()
}

/// The play of the register in the gearbox.
fn register(a: &Article) -> Option<FunctionEffect> {
    let found = a.register()?;
    let play = measured_play(a.design, Some(found)).ok()?.get();
    let note = "greatest play, its mate at the fit's limit; half of it is lost from the line-up".to_owned();
    Some(FunctionEffect {
        function: PartFunction::Register,
        what: "register in the gearbox".to_owned(),
        value: play,
        limit: None,
        note,
        served: Served::Told,
    })
}

/// The offset of the seal from the bushing, before the yoke's play.
fn seal(a: &Article) -> Option<FunctionEffect> {
    let (zone, uncertainty) = a.zone(Feature::Tail, Role::SealCounterbore)?;
    let limit = a.design.mating().seal.as_ref().map(|_| crate::standards::lip_seal::MOST_OFFSET.get());
    let value = 0.5 * (zone + uncertainty);
    let served = match limit {
        Some(limit) if value <= limit => Served::Yes,
        Some(_) => Served::No,
        None => Served::Told,
    };
    let note = "offset of the counterbore from the seat, without the yoke's play".to_owned();
    Some(FunctionEffect {
        function: PartFunction::Seal,
        what: "seal about the yoke".to_owned(),
        value,
        limit,
        note,
        served,
    })
}

/// Whether each bolt finds its hole: told of the one with the least room.
fn bolts(a: &Article) -> Option<FunctionEffect> {
    let t = a.design.mating().tolerances.as_ref()?;
    let play = measured_play(a.design, a.register()).ok()?;
    // A shift that the drawing grants from the register's axis is lost here: the register centres the part.
    let shifted = a.judged.evaluation.as_ref().map_or(0.0, |e| e.pattern.widens());
    let left = |(k, hole): (usize, &BoltHole)| {
        let thread = hole.size().thread()?;
        let role = Role::BoltHole(k + 1);
        let (position, of_position) = a.zone(Feature::GearboxFace, role)?;
        let position = position + shifted;
        let (size, of_size) = a.size(Feature::GearboxFace, role).unwrap_or((hole.diameter().get(), 0.0));
        let room = fixed_fastener(Mm::new(size - of_size), thread.diameter).get();
        // A bolt through clearance holes in both parts has the gearbox's clearance as well.
        let other =
            if t.through_bolts { fixed_fastener(hole.diameter(), thread.diameter).get() } else { 0.0 };
        Some((k + 1, room + other - position - of_position - t.gearbox_holes.get() - play.get()))
    };
    let holes = a.design.gearbox_face().bolt_holes();
    let all: Vec<(usize, f64)> = holes.iter().enumerate().filter_map(left).collect();
    let (number, value) = all.iter().copied().min_by(|a, b| a.1.total_cmp(&b.1))?;
    Some(FunctionEffect {
        function: PartFunction::Bolts,
        what: format!("bolts of the gearbox face: F{number} has the least room"),
        value,
        limit: Some(0.0),
        note: format!(
            "{} measured; the gearbox's holes and the register at their worst",
            counted(all.len(), "hole")
        ),
        served: if value >= 0.0 { Served::Yes } else { Served::No },
    })
}

/// How far the speedometer's gears stand from where they should.
fn gears(a: &Article) -> Option<FunctionEffect> {
    let boss = a.design.sender_boss().filter(|_| a.design.mating().speedometer.is_some())?;
    let element = a.sheet.element_of(Feature::SenderBoss, Role::BoreStep(1))?;
    let fitted = a.judged.evaluation.as_ref()?.fitted.get(&element)?.round()?;
    // Distance of two skew lines: the shaft's axis and the sender's.
    let axis = fitted.squares.frame;
    let common = solidwright::geometry::V3::x().cross(&axis.z).normalize();
    let distance = axis.origin.coords.dot(&common).abs();
    let value = distance - boss.side_offset().get().abs();
    let note = "change of the centre distance; above zero the backlash grows".to_owned();
    Some(FunctionEffect {
        function: PartFunction::Gears,
        what: "speedometer gears".to_owned(),
        value,
        limit: None,
        note,
        served: Served::Told,
    })
}
