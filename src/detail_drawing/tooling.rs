//! Pattern and core box: section along the shaft with the parting line, what is seen of the halves, sizes with contraction,
//! dowels, draft.

use solidwright::geometry::{P2, P3, Stretch, V2, V3};
use solidwright::mesh::MeshError;
use solidwright::probe::Probe;

use super::DrawError;
use super::cast_sizes::{core_stations, pattern_stations};
use super::extents::{ROUND, extent, heights, meets};
use super::numbers::{length, plain};
use super::pad_views::{Way, cutting_letters, cutting_plane};
use super::subject::{OVER, cut_tag, hatched, isometric, line, looking};
use crate::design::{Design, Form};
use crate::drafting::{
    Annotated, CHORD, Callout, CalloutLine, CutView, Direction, Entity, Layer, Margin, Rect, SeenLines,
    Shape, Span, Stop, Webs, bounds, section, view,
};
use crate::forms::{Casting, FormPieces, LoosePiece, Piece};
use crate::units::{Mm, Units};

/// From one hatching line to the next, mm on paper: of the first piece and of the others, so that they are told apart.
const HATCHINGS: [f64; 2] = [2.2, 3.6];

/// Sine of the angle beyond which a direction lies askew to the axes.
const ASKEW: f64 = 1e-6;

/// Between the two views of a loose piece, mm on paper.
const LOOSE_GAP: f64 = 8.0;

/// What comes in two halves and is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tooling {
    /// The pattern with its core prints.
    Pattern,
    /// The box in which the core is made.
    CoreBox,
}

impl Tooling {
    /// As a form of the part.
    pub const fn form(self) -> Form {
        match self {
            Self::Pattern => Form::Pattern,
            Self::CoreBox => Form::CoreBox,
        }
    }
}

/// A form in two halves, and how it is looked at.
pub(super) struct Halves<'a> {
    pub(super) design: &'a Design,
    pub(super) casting: &'a Casting,
    pub(super) made: &'a FormPieces,
    pub(super) which: Tooling,
    /// In which the upper half is lifted off.
    pub(super) up: V3,
    pub(super) scale: Stretch,
}

/// All views, without a scale.
pub(super) struct HalvesViews {
    /// The section along the shaft, square to the parting plane: of each piece that it meets.
    cuts: Vec<CutView>,
    /// From ahead, with the parting plane level.
    end: (Direction, SeenLines),
    /// The outside of the upper half from above.
    outside: (Direction, SeenLines),
    /// The outside of the lower half from below.
    underside: SeenLines,
    /// The flat side of the lower half from above.
    lower: (Direction, SeenLines),
    /// The flat side of the upper half from below.
    upper: (Direction, SeenLines),
    /// What is seen of the pattern's upper half or the box's lower one from ahead and above.
    pub(super) picture: SeenLines,
    /// The loose pieces, each from above and from the side.
    pub(super) loose: Vec<[(Direction, SeenLines); 2]>,
    /// How long each piece is along X, Y and Z, or where the halves part askew along the shaft, across it and up, mm, without contraction.
    pub(super) sizes: Vec<V3>,
}

impl<'a> Halves<'a> {
    pub(super) fn of(design: &'a Design, casting: &'a Casting, made: &'a FormPieces, which: Tooling) -> Self {
        let up = made.split.unwrap_or(casting.settings.up);
        Self { design, casting, made, which, up, scale: casting.settings.scale }
    }

    pub(super) fn units(&self) -> Units {
        self.design.units()
    }

    /// Whether the halves part in no plane of the files' axes.
    pub(super) fn is_askew(&self) -> bool {
        self.up.y.abs().min(self.up.z.abs()) > ASKEW
    }

    /// The upper half and the lower one.
    fn both(&self) -> Result<[&'a Piece; 2], DrawError> {
        match self.made.pieces.as_slice() {
            [upper, lower, ..] => Ok([upper, lower]),
            _ => Err(DrawError::Empty),
        }
    }

    /// Looks at all of it.
    pub(super) fn views(&self) -> Result<HalvesViews, DrawError> {
        let [upper, lower] = self.both()?;
        // Meshed once, and looked at from all sides.
        let [upper, lower] = [Probe::new(&upper.solid, CHORD)?, Probe::new(&lower.solid, CHORD)?];
        let across = V3::x().cross(&self.up);
        let ways = if self.is_askew() { [V3::x(), across, self.up] } else { [V3::x(), V3::y(), V3::z()] };
        let (main, end) = (looking(V3::x(), self.up)?, looking(across, self.up)?);
        let (above, below) = (looking(V3::x(), -across)?, looking(V3::x(), across)?);
        let seen = |probes: &[&Probe], from: Direction| {
            let mut seen = SeenLines::default();
            for probe in probes {
                let one = view(probe, &from);
                seen.visible.extend(one.visible);
                seen.smooth.extend(one.smooth.into_iter().chain(one.round));
            }
            (from, seen)
        };
        // Side cores are no part of the pattern: their prints are, and what lies in these would be hatched over them.
        let is_core = |piece: &&Piece| self.made.side_cores.iter().any(|core| core.name == piece.name);
        let own = self.made.pieces.iter().filter(|piece| !is_core(piece));
        let met = own.filter(|piece| meets(&piece.solid, main.eye()));
        let cut = |piece: &Piece| section(&piece.solid, P3::origin(), main, &cut_tag());
        Ok(HalvesViews {
            cuts: met.map(cut).collect::<Result<_, _>>()?,
            end: seen(&[&upper, &lower], end),
            outside: seen(&[&upper], above),
            underside: match self.which {
                Tooling::Pattern => seen(&[&lower], below).1,
                // A box is a block there.
                Tooling::CoreBox => SeenLines::default(),
            },
            lower: seen(&[&lower], above),
            upper: seen(&[&upper], below),
            picture: {
                let half = if self.which == Tooling::Pattern { &upper } else { &lower };
                let SeenLines { visible, smooth, .. } = seen(&[half], isometric(self.up)?).1;
                let placed = |shape: Shape| shape.placed(self.scale.radial(), V2::zeros());
                let [visible, smooth] = [visible, smooth].map(|s| s.into_iter().map(placed).collect());
                SeenLines { visible, smooth, ..SeenLines::default() }
            },
            loose: self
                .loose()
                .map(|(_, piece)| {
                    let probe = Probe::new(&piece.solid, CHORD)?;
                    Ok::<_, MeshError>([seen(&[&probe], above), seen(&[&probe], main)])
                })
                .collect::<Result<_, _>>()?,
            sizes: self.made.pieces.iter().map(|piece| extent(piece, &ways)).collect::<Result<_, _>>()?,
        })
    }

    /// The loose pieces of the pattern, in the order in which they are drawn.
    fn loose(&self) -> impl Iterator<Item = (&'a LoosePiece, &'a Piece)> {
        let piece = |loose: &LoosePiece| self.made.pieces.iter().find(|p| p.name == loose.name);
        let of = move |loose: &'a LoosePiece| Some((loose, piece(loose)?));
        self.made.loose.iter().filter_map(of).collect::<Vec<_>>().into_iter()
    }

    /// A loose piece from above, and from the side beside it, with its sizes.
    pub(super) fn loose_piece(&self, views: &HalvesViews, number: usize, factor: f64) -> Option<Annotated> {
        let [(_, above), (_, side)] = views.loose.get(number)?;
        let seen = |lines: &SeenLines| Annotated::new(self.seen(lines, true, factor), factor);
        let (mut plan, mut side) = (seen(above)?, seen(side)?);
        let across = |v: &Annotated| [v.view.low, P2::new(v.view.high.x, v.view.low.y)];
        let up = |v: &Annotated| [P2::new(v.view.high.x, v.view.low.y), v.view.high];
        plan.distances(Margin::Bottom, vec![self.size(factor, across(&plan))]);
        plan.distances(Margin::Right, vec![self.size(factor, up(&plan))]);
        side.distances(Margin::Right, vec![self.size(factor, up(&side))]);
        let [own, other] = [plan.content.bounds()?, side.content.bounds()?];
        let by = V2::new(own.high.x - other.low.x + LOOSE_GAP, plan.view.low.y - side.view.low.y);
        plan.content.put(side.content, by);
        plan.view = plan.view.union(side.view.moved(by));
        Some(plan)
    }

    /// The loose pieces of a half in a view of it: in place, by narrow lines with two dots, and with their names.
    fn loose_in_place(&self, upper: bool, views: &HalvesViews, out: &mut Annotated, factor: f64) {
        let all: Vec<_> = self.loose().zip(&views.loose).enumerate().collect();
        let own = || all.iter().filter(|(_, ((loose, _), _))| loose.upper == upper);
        for (_, (_, [(_, shapes), _])) in own() {
            let drawn = self.drawn(&shapes.visible, true, factor).into_iter();
            out.content.entities.extend(drawn.map(|e| Entity { layer: Layer::Phantom, ..e }));
        }
        for (k, (_, [(_, shapes), _])) in own() {
            let drawn = self.drawn(&shapes.visible, true, factor);
            let Some(bounds) = drawn.iter().filter_map(|e| bounds(&e.shape)).reduce(Rect::union) else {
                continue;
            };
            // As near to a long piece as its width allows: further off, nothing would tell to which piece a name belongs.
            let reach = 0.5 * bounds.size().x.min(bounds.size().y);
            let middle = bounds.low + bounds.size() * 0.5;
            out.label(middle, reach, &format!("loose piece {}", k + 1));
        }
    }

    /// A shape with contraction, on paper. Stations run to the right in all views but the one from ahead.
    fn placed(&self, shape: &Shape, along: bool, factor: f64) -> Shape {
        let even = shape.clone().placed(factor * self.scale.radial(), V2::zeros());
        even.stretched(if along { self.scale.axial() / self.scale.radial() } else { 1.0 })
    }

    /// A place with contraction, on paper.
    fn place(&self, p: P3, from: &Direction, factor: f64) -> P2 {
        let p = V3::new(p.x * self.scale.axial(), p.y * self.scale.radial(), p.z * self.scale.radial());
        P2::from(from.vector(p) * factor)
    }

    fn drawn(&self, shapes: &[Shape], along: bool, factor: f64) -> Vec<Entity> {
        let on = |s: &Shape| Entity { layer: Layer::Visible, shape: self.placed(s, along, factor) };
        shapes.iter().map(on).collect()
    }

    /// A view on paper, with narrow lines where flat faces run out in roundings.
    fn seen(&self, view: &SeenLines, along: bool, factor: f64) -> Vec<Entity> {
        let narrow = |e: Entity| Entity { layer: Layer::Smooth, ..e };
        let smooth = self.drawn(&view.smooth, along, factor).into_iter().map(narrow);
        self.drawn(&view.visible, along, factor).into_iter().chain(smooth).collect()
    }

    /// A size of what is made: the exact one is shown to a tenth of a millimetre or a hundredth of an inch, which no maker of
    /// patterns betters (common practice).
    pub(super) fn size(&self, factor: f64, ends: [P2; 2]) -> Span {
        let exact = (ends[1] - ends[0]).norm() / factor;
        let value = match self.units() {
            Units::Mm => (exact * 10.0).round() / 10.0,
            Units::Inch => Mm::inches((Mm::new(exact).to_inches() * 100.0).round() / 100.0).get(),
        };
        Span { ends, text: length(self.units(), value), value }
    }

    pub(super) fn angle(radians: f64) -> String {
        format!("{}°", plain(radians.to_degrees(), 2))
    }

    /// The draft that counts for the form's walls.
    fn draft(&self) -> f64 {
        match self.which {
            Tooling::Pattern => self.casting.settings.draft,
            Tooling::CoreBox => self.casting.settings.core_draft,
        }
    }

    /// The section, with the parting line, and lengths of prints.
    pub(super) fn main_section(&self, views: &HalvesViews, factor: f64) -> Option<Annotated> {
        let mut entities = Vec::new();
        for (k, cut) in views.cuts.iter().enumerate() {
            entities.extend(self.drawn(&cut.view.visible, true, factor));
            let corners = |points: &Vec<P2>| {
                let chain = self.placed(&Shape::Chain(points.clone()), true, factor);
                if let Shape::Chain(points) = chain { points } else { vec![] }
            };
            let loops: Vec<Vec<P2>> = cut.cut.iter().map(corners).collect();
            entities.extend(hatched(&loops, &Webs::default(), HATCHINGS[k.min(1)]));
        }
        let mut out = Annotated::new(entities, factor)?;
        let frame = out.view;
        let [left, right] = [frame.low.x - OVER, frame.high.x + OVER].map(|x| P2::new(x, 0.0));
        out.content.entities.push(line(Layer::Phantom, left, right));
        out.distances(Margin::Bottom, self.lengths(&out, factor));
        out.ordinates(Margin::Top, P2::origin(), self.stations(factor));
        let [low, high] = [frame.low.y, frame.high.y].map(|y| P2::new(frame.high.x, y));
        let middle = P2::new(frame.high.x, 0.0);
        let mut right = vec![self.size(factor, [low, middle]), self.size(factor, [middle, high])];
        if self.which == Tooling::Pattern {
            let [_, behind] = self.print_sizes(views, factor);
            right.extend(behind);
        }
        out.distances(Margin::Right, right);
        let words = ["parting line".to_owned(), format!("draft {} from it", Self::angle(self.draft()))];
        let lines = words.into_iter().map(CalloutLine::Words).collect();
        out.notes(Margin::Left, vec![Callout { at: left, lines }]);
        Some(out)
    }

    /// Stations of what stands along the shaft, counted from datum A, the finished gearbox face.
    fn stations(&self, factor: f64) -> Vec<Stop> {
        let of = match self.which {
            Tooling::Pattern => pattern_stations(self.design, self.casting),
            Tooling::CoreBox => core_stations(self.design, self.casting),
        };
        let stop = |(x, radius): (f64, f64)| {
            let at = P2::new(x * self.scale.axial(), radius * self.scale.radial()) * factor;
            let span = self.size(1.0, [P2::origin(), P2::new(x * self.scale.axial(), 0.0)]);
            let sign = if x < 0.0 && span.value > 0.0 { "-" } else { "" };
            Stop { at, text: format!("{sign}{}", span.text), value: x.signum() * span.value }
        };
        of.into_iter().map(stop).collect()
    }

    /// Prints and casting between them along the shaft, and the whole.
    fn lengths(&self, out: &Annotated, factor: f64) -> Vec<Span> {
        let y = out.view.low.y;
        let cast = self.casting.moulded.casting.solid.brep().bounds();
        let ends = [cast.min.x, cast.max.x].map(|x| x * self.scale.axial() * factor);
        let stations = [out.view.low.x, ends[0], ends[1], out.view.high.x];
        let span = |a: f64, b: f64| self.size(factor, [P2::new(a, y), P2::new(b, y)]);
        let mut spans = vec![span(stations[0], stations[3])];
        if self.which == Tooling::Pattern {
            spans.extend(stations.windows(2).map(|w| span(w[0], w[1])));
        }
        spans
    }

    /// The core prints' sizes across, ahead and behind, as they are cut: halfway between the casting's end and the pattern's. Prints are round
    /// about the shaft's axis; one that the section shows of another shape has none here.
    fn print_sizes(&self, views: &HalvesViews, factor: f64) -> [Option<Span>; 2] {
        let cast = self.casting.moulded.casting.solid.brep().bounds();
        let chords: Vec<[P2; 2]> = views
            .cuts
            .iter()
            .flat_map(|cut| &cut.cut)
            .flat_map(|points| (0..points.len()).map(|k| [points[k], points[(k + 1) % points.len()]]))
            .collect();
        let ends = chords.iter().flatten().map(|p| p.x);
        let (first, last) =
            (ends.clone().fold(f64::INFINITY, f64::min), ends.fold(f64::NEG_INFINITY, f64::max));
        // The ends of prints lean: what is measured lies nearer to the casting than to them.
        [(cast.min.x, first), (cast.max.x, last)].map(|(root, end)| {
            let at = |share: f64| heights(&chords, root + share * (end - root));
            let ([low, high], other) = (at(0.25)?, at(0.4)?);
            let is_round = (low + high).abs() < ROUND && (other[1] - high).abs() < ROUND;
            let x = (root + 0.25 * (end - root)) * self.scale.axial() * factor;
            let ends = [low, high].map(|y| P2::new(x, y * self.scale.radial() * factor));
            let span = self.size(factor, ends);
            is_round.then(|| Span { text: format!("Ø{}", span.text), ..span })
        })
    }

    /// From ahead: the parting plane, the width.
    pub(super) fn end_view(&self, views: &HalvesViews, factor: f64) -> Option<Annotated> {
        let mut out = Annotated::new(self.seen(&views.end.1, false, factor), factor)?;
        let frame = out.view;
        let ends = [frame.low.x - OVER, frame.high.x + OVER].map(|x| P2::new(x, 0.0));
        out.content.entities.push(line(Layer::Phantom, ends[0], ends[1]));
        let mut spans = vec![self.size(factor, [frame.low, P2::new(frame.high.x, frame.low.y)])];
        if self.which == Tooling::Pattern {
            let [ahead, _] = self.print_sizes(views, factor);
            // The same circle seen from ahead.
            let across = |span: Span| Span { ends: span.ends.map(|p| P2::new(p.y, 0.0)), ..span };
            spans.extend(ahead.map(across));
        }
        out.distances(Margin::Bottom, spans);
        Some(out)
    }

    /// The outside of the pattern's lower half from below.
    pub(super) fn underside(&self, views: &HalvesViews, factor: f64) -> Option<Annotated> {
        let mut out = Annotated::new(self.seen(&views.underside, true, factor), factor)?;
        axis(&mut out);
        Some(out)
    }

    /// The outside of the pattern's upper half from above.
    pub(super) fn outside(&self, views: &HalvesViews, factor: f64) -> Option<Annotated> {
        let mut out = Annotated::new(self.seen(&views.outside.1, true, factor), factor)?;
        axis(&mut out);
        let cut = cutting_plane(&mut out, Way::Above);
        self.loose_in_place(true, views, &mut out, factor);
        cutting_letters(&mut out, cut);
        Some(out)
    }

    /// The flat side of the lower half from above, or of the upper one from below, with the dowels.
    pub(super) fn flat_side(&self, views: &HalvesViews, upper: bool, factor: f64) -> Option<Annotated> {
        let (from, shapes) = if upper { &views.upper } else { &views.lower };
        let mut out = Annotated::new(self.seen(shapes, true, factor), factor)?;
        axis(&mut out);
        // The pattern has it on the outside of its upper half.
        let cut = (!upper && self.which == Tooling::CoreBox).then(|| cutting_plane(&mut out, Way::Above));
        let reach = 0.5 * self.casting.settings.dowel * factor;
        let places: Vec<P2> = self.made.dowels.iter().map(|p| self.place(*p, from, factor)).collect();
        for at in &places {
            for way in [V2::x(), V2::y()] {
                out.content.line(Layer::Centre, at - way * (reach + 1.5), at + way * (reach + 1.5));
            }
        }
        for (k, at) in places.iter().enumerate() {
            out.label(*at, reach + 1.5, &format!("D{}", k + 1));
        }
        if !upper {
            self.loose_in_place(false, views, &mut out, factor);
        }
        if let Some(ends) = cut {
            cutting_letters(&mut out, ends);
        }
        Some(out)
    }
}

/// The shaft's axis through a view.
fn axis(out: &mut Annotated) {
    let ends = [out.view.low.x - OVER, out.view.high.x + OVER].map(|x| P2::new(x, 0.0));
    out.content.entities.push(line(Layer::Centre, ends[0], ends[1]));
}
