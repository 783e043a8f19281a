//! What is drawn, and the views of it that need no scale.

use solidwright::geometry::{P2, P3, V3};
use solidwright::probe::Probe;
use solidwright::solid::{Primitive, Solid, Tag};

use super::DrawError;
use super::symbols::{balloon, beside, tolerance};
use crate::design::{Design, SenderBoss};
use crate::drafting::{
    CHORD, CutView, Direction, Entity, Layer, SeenLines, Shape, SheetContent, Webs, cut_loops, hatching,
    section, view,
};
use crate::faces::{Feature, Role};
use crate::housing::{Bore, Housing, sender_stand};
use crate::inspection::{
    self, Characteristic, CharacteristicKind, GeometricTolerance, MeasuringSheet, further_tolerances,
    geometric_tolerance,
};
use crate::units::Units;

/// From one hatching line to the next on paper, mm.
const HATCHING: f64 = 2.2;

/// How far centre lines reach beyond what they belong to, mm on paper.
pub(super) const OVER: f64 = 3.5;

/// Cosine below which directions are square to each other, and sine below which they are one.
const SQUARE: f64 = 1e-9;

/// A part with its design.
pub(super) struct Subject<'a> {
    pub(super) design: &'a Design,
    pub(super) solid: &'a Solid,
    /// What its features add, without fillets.
    pub(super) bodies: &'a [Primitive],
    pub(super) bores: &'a [Bore],
    pub(super) units: Units,
    /// What is measured, for its numbers.
    pub(super) measured: MeasuringSheet,
}

/// All views, mm on the part.
pub(super) struct Views {
    pub(super) main: CutView,
    pub(super) front: (Direction, SeenLines),
    pub(super) top: (Direction, SeenLines),
    pub(super) bottom: (Direction, SeenLines),
    pub(super) sender: Option<CutView>,
    /// From ahead, above and the left, mm on the part.
    pub(super) picture: SeenLines,
}

pub(super) fn looking(right: V3, up: V3) -> Result<Direction, DrawError> {
    Direction::new(right, up).ok_or(DrawError::Direction)
}

/// From where the part is seen in three dimensions, all axes alike (ISO 5456-3): from ahead, from above along `up`, and from the
/// side from which the section is looked at.
pub(super) fn isometric(up: V3) -> Result<Direction, DrawError> {
    let near = V3::x().cross(&up);
    looking((V3::x() + near).normalize(), (V3::x() - near + up * 2.0).normalize())
}

/// The name of faces that a section cuts.
pub(super) fn cut_tag() -> solidwright::solid::Tag {
    Feature::PrintCut.formed(Role::Face)
}

impl<'a> Subject<'a> {
    pub(super) fn of(design: &'a Design, housing: &'a Housing) -> Self {
        let measured = inspection::finished(design, housing);
        let Housing { solid, bodies, bores, .. } = housing;
        Self { design, solid, bodies, bores, units: design.units(), measured }
    }

    /// The boxes of a face's geometric tolerance, with the number under which it is measured.
    pub(super) fn boxes(&self, feature: Feature, role: Role) -> Option<SheetContent> {
        Some(self.boxed(feature, role, &geometric_tolerance(self.design, feature, role)?))
    }

    /// The boxes of form and direction that a face has besides, each with its number.
    pub(super) fn further_boxes(&self, feature: Feature, role: Role) -> Vec<SheetContent> {
        let all = further_tolerances(self.design, feature, role);
        all.iter().map(|zone| self.boxed(feature, role, zone)).collect()
    }

    fn boxed(&self, feature: Feature, role: Role, zone: &GeometricTolerance) -> SheetContent {
        let boxes = tolerance(self.units, zone);
        let is = |c: &&Characteristic| c.kind == CharacteristicKind::Geometric(*zone);
        match self.numbered(feature, role, is) {
            Some(number) => beside(balloon(number), boxes),
            None => boxes,
        }
    }

    /// The number of a face's characteristic.
    pub(super) fn numbered(
        &self,
        feature: Feature,
        role: Role,
        is: impl Fn(&&Characteristic) -> bool,
    ) -> Option<usize> {
        let element = self.measured.element_of(feature, role)?;
        let mut of = self.measured.characteristics.iter().filter(|c| c.element == Some(element));
        Some(of.find(is)?.number)
    }

    /// The numbers of all characteristics of a face, as a range.
    pub(super) fn numbers(&self, tag: &Tag) -> String {
        let element = self.measured.elements.iter().position(|e| e.tag == *tag);
        let numbers = element.map(|e| self.measured.numbers_of(e)).unwrap_or_default();
        match numbers[..] {
            [] => String::new(),
            [one] => one.to_string(),
            [first, .., last] => format!("{first}–{last}"),
        }
    }

    /// The section along the shaft.
    pub(super) fn main_section(&self) -> Result<CutView, DrawError> {
        self.section(P3::origin(), looking(V3::x(), V3::z())?)
    }

    /// A section, with the ribs and webs in its plane.
    fn section(&self, at: P3, from: Direction) -> Result<CutView, DrawError> {
        let cut = section(self.solid, at, from, &cut_tag())?;
        Ok(cut.with_webs(self.solid, self.bodies, is_web, at, &cut_tag()))
    }

    /// The contour of that section alone.
    pub(super) fn main_contour(&self) -> Result<Vec<Vec<P2>>, DrawError> {
        Ok(cut_loops(self.solid, P3::origin(), looking(V3::x(), V3::z())?, &cut_tag())?)
    }

    /// All views; a section along the sender's axis where it is asked for.
    pub(super) fn views(&self, sender: Option<&SenderBoss>) -> Result<Views, DrawError> {
        let probe = Probe::new(self.solid, CHORD)?;
        let seen = |right: V3, up: V3| {
            let from = looking(right, up)?;
            Ok::<_, DrawError>((from, view(&probe, &from)))
        };
        let sender = sender.map(|boss| {
            let stand = sender_stand(boss);
            self.section(stand.foot, looking(stand.aft, stand.axis)?)
        });
        Ok(Views {
            main: self.main_section()?,
            front: seen(-V3::y(), V3::z())?,
            top: seen(V3::x(), V3::y())?,
            bottom: seen(V3::x(), -V3::y())?,
            picture: view(&probe, &isometric(V3::z())?),
            // A part that cannot be cut there is drawn without that section.
            sender: sender.and_then(Result::ok),
        })
    }

    /// Centre lines of the holes that are seen along their axes: crosses, each place once.
    pub(super) fn crosses(&self, from: &Direction, factor: f64) -> Vec<Entity> {
        let mut places: Vec<(P2, f64)> = Vec::new();
        for bore in self.bores.iter().filter(|b| b.axis.cross(&from.eye()).norm() < SQUARE) {
            let at = P2::from(from.point(bore.point).coords * factor);
            match places.iter_mut().find(|(p, _)| (*p - at).norm() < 0.01) {
                Some((_, radius)) => *radius = radius.max(bore.radius * factor),
                None => places.push((at, bore.radius * factor)),
            }
        }
        let mut out = Vec::new();
        for (at, radius) in places {
            let reach = radius + 0.6 * OVER;
            for way in [solidwright::geometry::V2::x(), solidwright::geometry::V2::y()] {
                out.push(line(Layer::Centre, at - way * reach, at + way * reach));
            }
        }
        out
    }
}

/// Whether a body is a rib, a gusset or a tie of a mount's plate.
fn is_web(body: &Primitive) -> bool {
    let gusset = |role: Role| matches!(role, Role::GussetCrest(_) | Role::GussetEdge(_) | Role::WallSide(_));
    Feature::of_body(body) == Feature::Ribs || body.patches().iter().any(|p| gusset(Role::of(&p.tag)))
}

/// A straight line on a layer.
pub(super) fn line(layer: Layer, a: P2, b: P2) -> Entity {
    Entity { layer, shape: crate::drafting::Shape::Line(a, b) }
}

/// A view on paper, with hidden lines, and narrow ones where faces run out in roundings over which the part falls off.
pub(super) fn outside(view: &SeenLines, factor: f64) -> Vec<Entity> {
    let all = [(Layer::Visible, &view.visible), (Layer::Hidden, &view.hidden), (Layer::Smooth, &view.round)];
    all.into_iter().flat_map(|(layer, shapes)| on(layer, shapes, factor)).collect()
}

/// A view of a cast body on paper: narrow lines as well where flat faces run out in roundings.
pub(super) fn cast_outside(view: &SeenLines, factor: f64) -> Vec<Entity> {
    [outside(view, factor), on(Layer::Smooth, &view.smooth, factor)].concat()
}

fn on(layer: Layer, shapes: &[Shape], factor: f64) -> Vec<Entity> {
    shapes.iter().map(|s| Entity { layer, shape: s.clone().placed(factor, V3::zeros().xy()) }).collect()
}

/// A section on paper, with hatching, without hidden lines.
pub(super) fn cut(section: &CutView, factor: f64) -> Vec<Entity> {
    cut_and_hatched(section, factor, HATCHING)
}

/// The same with hatching lines this far apart, mm on paper.
pub(super) fn cut_and_hatched(section: &CutView, factor: f64, apart: f64) -> Vec<Entity> {
    let mut out =
        outside(&SeenLines { visible: section.view.visible.clone(), ..SeenLines::default() }, factor);
    let cut = loops(&section.cut, factor);
    let webs = section.webs.moved(|points| on_paper(points, factor));
    let roots = webs.roots(&cut).into_iter();
    out.extend(roots.map(|shape| Entity { layer: Layer::Visible, shape }));
    out.extend(hatched(&cut, &webs, apart));
    out
}

/// The hatching of the inside of loops, but for webs.
pub(super) fn hatched(loops: &[Vec<P2>], webs: &Webs, apart: f64) -> impl Iterator<Item = Entity> {
    hatching(loops, webs, apart).into_iter().map(|shape| Entity { layer: Layer::Hatch, shape })
}

fn on_paper(points: &[P2], factor: f64) -> Vec<P2> {
    points.iter().map(|p| P2::from(p.coords * factor)).collect()
}

/// The loops of cut faces on paper.
pub(super) fn loops(cut: &[Vec<P2>], factor: f64) -> Vec<Vec<P2>> {
    cut.iter().map(|points| on_paper(points, factor)).collect()
}
