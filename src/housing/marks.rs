//! Marks cast on: part number, an arrow to the front and the alloy, raised on the shell where the mould's halves are drawn off.
//!
//! They are put on the part when it is made, on the line of the shell that lies highest or lowest in the mould: there a letter
//! stands along the pull. Where a mark has no room, or no sound solid comes of it, it is left out and told.

use super::strokes::{ARROW, GRID, strokes};
use super::{Housing, one_body};
use crate::design::{Design, MARK_DRAFT, Marks};
use crate::faces::{Feature, Role};
use crate::standards::cast_letters::ten_letters;
use crate::units::Units;
use solidwright::geometry::{Frame, P2, P3, V2, V3};
use solidwright::solid::{Primitive, PrimitiveError, SolidTree, rounded_rectangle};

/// Clear shell about a mark, mm: a moulder's finger passes, and no fillet runs up to it (practice).
const CLEAR: f64 = 4.0;

/// How deep a letter is rooted in the wall, as a share of it.
const ROOTED: f64 = 0.3;

/// Room between letters, in strokes: sand as wide as this stands (practice).
const BETWEEN: f64 = 1.5;

/// What a mark tells.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MarkOf {
    /// All of them in one line.
    All,
    /// The part's number.
    PartNumber,
    /// The alloy.
    Alloy,
    /// Which way is to the front.
    Arrow,
}

impl MarkOf {
    /// Its name for people.
    pub const fn name(self) -> &'static str {
        match self {
            Self::All => "arrow, part number and alloy",
            Self::PartNumber => "part number",
            Self::Alloy => "alloy",
            Self::Arrow => "arrow to the front",
        }
    }
}

/// A mark as it is cast on.
#[derive(Clone, Debug)]
pub struct CastMark {
    /// What it tells.
    pub of: MarkOf,
    /// Its signs.
    pub text: String,
    /// The stations between which it stands, mm.
    pub stations: (f64, f64),
    /// Whether it is on the upper half of the mould.
    pub upper: bool,
    /// The least draft of its walls against the pull, degrees.
    pub draft: f64,
    /// Its strokes.
    bodies: Vec<Primitive>,
}

/// The marks of a part.
#[derive(Clone, Debug, Default)]
pub struct CastMarks {
    /// Those that are there.
    pub made: Vec<CastMark>,
    /// Those that are not: no room, or no sound solid.
    pub left_out: Vec<MarkOf>,
}

impl CastMarks {
    /// What is told of them, in lines.
    pub fn lines(&self, units: Units) -> Vec<String> {
        let made = self.made.iter().map(|mark| {
            let (from, to) = mark.stations;
            let side = if mark.upper { "uppermost" } else { "lowest" };
            let text = mark.text.replace(ARROW, "<-");
            format!(
                "cast on: `{text}` ({}), from station {} on the shell's {side} line in the mould",
                mark.of.name(),
                units.between([from, to], 0)
            )
        });
        let left = self.left_out.iter().map(|of| format!("NOT CAST ON: {}: {}", of.name(), no_room()));
        made.chain(left).collect()
    }
}

/// Why a mark is not there.
pub fn no_room() -> String {
    format!(
        "the shell's uppermost and lowest line have no free stretch that is long enough, and straight, and whose taper \
         and draft together are at most {MARK_DRAFT}, so that letters draw; ask for a shorter number or lower letters, or \
         taper the shell less"
    )
}

/// A straight piece of the shell's line.
#[derive(Clone, Copy)]
struct Line {
    /// Its ends, as station and radius, mm.
    ends: [P2; 2],
    /// Away from the shaft.
    out: V3,
    upper: bool,
}

impl Line {
    fn length(&self) -> f64 {
        (self.ends[1] - self.ends[0]).norm()
    }

    /// Along it, aft.
    fn along(&self) -> V3 {
        let way = (self.ends[1] - self.ends[0]) / self.length();
        V3::x() * way.x + self.out * way.y
    }

    /// Square to it, out of the shell.
    fn normal(&self) -> V3 {
        let way = (self.ends[1] - self.ends[0]) / self.length();
        self.out * way.x - V3::x() * way.y
    }

    fn at(&self, s: f64) -> P3 {
        P3::new(self.ends[0].x, 0.0, 0.0) + self.out * self.ends[0].y + self.along() * s
    }

    fn station(&self, s: f64) -> f64 {
        self.at(s).x
    }

    /// How far it leans against the parting plane, degrees.
    fn lean(&self) -> f64 {
        let way = self.ends[1] - self.ends[0];
        way.y.atan2(way.x).to_degrees().abs()
    }
}

/// A line of the shell, millimetre by millimetre.
struct Stretch {
    line: Line,
    /// Where the shell is plain and nothing stands on it or over it.
    free: Vec<bool>,
}

impl Stretch {
    /// Looks at a line, for letters in a wall.
    fn of(line: Line, marks: &Marks, wall: f64, tree: &SolidTree) -> Self {
        let half = 0.5 * marks.height.get() + CLEAR;
        let across = line.out.cross(&V3::x());
        let rows = half.ceil() as usize;
        let free = |s: usize| {
            let on = line.at(s as f64);
            let radius = on.coords.dot(&line.out);
            (0..=rows).all(|j| {
                let (sin, cos) = (half * (2.0 * j as f64 / rows as f64 - 1.0) / radius).sin_cos();
                let way = line.out * cos + across * sin;
                let p = P3::new(on.x, 0.0, 0.0) + way * radius;
                let metal = [0.3, ROOTED * wall + 0.5].iter().all(|h| tree.contains(p - way * *h));
                metal && [0.3, 2.0, 6.0, 15.0].iter().all(|h| !tree.contains(p + way * *h))
            })
        };
        let free = (0..=line.length().floor() as usize).map(free).collect();
        Self { line, free }
    }

    /// Where a mark of a length begins: in the middle of the longest free piece, if that is long enough. It is free no longer.
    fn take(&mut self, length: f64) -> Option<f64> {
        let mut best: Option<(usize, usize)> = None;
        let mut from = None;
        for (k, free) in self.free.iter().enumerate() {
            if !free {
                from = None;
                continue;
            }
            let start = *from.get_or_insert(k);
            if best.is_none_or(|(a, b)| k - start > b - a) {
                best = Some((start, k));
            }
        }
        let (a, b) = best.filter(|(a, b)| (b - a) as f64 >= length + 2.0 * CLEAR)?;
        let s = 0.5 * ((a + b) as f64 - length);
        for (k, free) in self.free.iter_mut().enumerate() {
            let k = k as f64;
            *free &= k < s - CLEAR || k > s + length + CLEAR;
        }
        Some(s)
    }
}

/// A line of signs and its sizes, mm.
struct Writing<'a> {
    marks: &'a Marks,
    signs: &'a [char],
    wall: f64,
}

impl Writing<'_> {
    fn stroke(&self) -> f64 {
        self.marks.stroke.get()
    }

    fn unit(&self) -> f64 {
        (self.marks.height.get() - self.stroke()) / GRID[1]
    }

    fn advance(&self) -> f64 {
        let own = GRID[0] * self.unit() + (1.0 + BETWEEN) * self.stroke();
        own.max(0.1 * (ten_letters(self.marks.height).get() + BETWEEN * self.stroke()))
    }

    fn length(&self) -> f64 {
        self.signs.len() as f64 * self.advance() - BETWEEN * self.stroke()
    }

    /// Its strokes on a line from `s` on.
    fn bodies(&self, line: &Line, s: f64) -> Result<Vec<Primitive>, PrimitiveError> {
        let (raised, half) = (self.marks.raised.get(), 0.5 * self.marks.height.get());
        let (unit, stroke) = (self.unit(), self.stroke());
        let (along, up) = (line.along(), line.normal().cross(&line.along()));
        let mut out = Vec::new();
        for (k, sign) in self.signs.iter().enumerate() {
            let left = s + k as f64 * self.advance() + 0.5 * stroke;
            for (a, b) in strokes(*sign).unwrap_or_default() {
                let on =
                    |p: &[f64; 2]| line.at(left + p[0] * unit) + up * (p[1] * unit + 0.5 * stroke - half);
                let (a, b) = (on(a), on(b));
                let middle = P3::from((a.coords + b.coords) * 0.5);
                let radius = middle.coords.dot(&line.out).max(half);
                let sag = radius - (radius * radius - half * half).sqrt();
                let depth = raised + sag + ROOTED * self.wall;
                let way = b - a;
                let straight = way.dot(&along).abs().max(way.dot(&up).abs()) > 0.999 * way.norm();
                let ends = if straight { stroke } else { 0.0 };
                let frame = Frame::from_zx(middle + line.normal() * raised, -line.normal(), way.normalize());
                let size = V2::new(way.norm() + ends, stroke);
                let side = Feature::Marks.formed(Role::Side);
                let outline = rounded_rectangle(P2::origin(), size, 0.0, &side);
                let caps = [Feature::Marks.formed(Role::Face), Feature::Marks.formed(Role::Base)];
                let draft = -MARK_DRAFT.to_radians();
                out.push(Primitive::prism(Feature::Marks.name(), frame, outline, depth, draft, caps)?);
            }
        }
        Ok(out)
    }
}

/// The straight pieces of the shell on which letters would draw.
fn lines(design: &Design) -> Vec<Line> {
    let mould = design.casting().mould();
    let out = super::frames::clock(mould.parting_clock());
    let points: Vec<P2> =
        design.shell().outside().iter().map(|p| P2::new(p.x.get(), p.radius.get())).collect();
    let pieces = points.windows(2).filter(|pair| pair[1].x - pair[0].x > 1.0);
    let all = pieces.flat_map(|pair| {
        [(out, true), (-out, false)].map(|(out, upper)| Line { ends: [pair[0], pair[1]], out, upper })
    });
    let draws = |line: &Line| line.lean() + mould.draft().get() <= MARK_DRAFT.get();
    let mut all: Vec<Line> = all.filter(draws).collect();
    all.sort_by(|a, b| b.upper.cmp(&a.upper).then(b.length().total_cmp(&a.length())));
    all
}

/// Puts the marks that a design asks for on its finished part.
pub(super) fn marked(design: &Design, housing: Housing) -> Housing {
    let Some(marks) = design.casting().marks() else { return housing };
    let arrow = marks.arrow.then(|| ARROW.to_string());
    let alloy = marks.alloy.then(|| design.casting().alloy().mark.to_owned());
    let single = [
        (MarkOf::PartNumber, Some(marks.part_number.clone())),
        (MarkOf::Alloy, alloy),
        (MarkOf::Arrow, arrow.clone()),
    ];
    let single: Vec<(MarkOf, String)> =
        single.into_iter().filter_map(|(of, text)| Some((of, text?))).collect();
    let in_line: Vec<&str> = arrow
        .iter()
        .map(String::as_str)
        .chain(single.iter().filter(|(of, _)| *of != MarkOf::Arrow).map(|(_, text)| text.as_str()))
        .collect();
    let all = if single.len() > 1 { vec![(MarkOf::All, in_line.join(" "))] } else { vec![] };
    let together = with(design, marks, &housing, &all);
    let made = if all.is_empty() || !together.left_out.is_empty() {
        with(design, marks, &housing, &single)
    } else {
        together
    };
    stamped(housing, made)
}

/// Marks with a place on a part.
fn with(design: &Design, marks: &Marks, housing: &Housing, wanted: &[(MarkOf, String)]) -> CastMarks {
    let wall = design.shell().thinnest().get();
    let look = |line| Stretch::of(line, marks, wall, housing.solid.tree());
    let mut stretches: Vec<Stretch> = lines(design).into_iter().map(look).collect();
    let mut out = CastMarks::default();
    for (of, text) in wanted {
        let signs: Vec<char> = text.chars().collect();
        let writing = Writing { marks, signs: &signs, wall };
        let found = stretches.iter_mut().find_map(|stretch| {
            let s = stretch.take(writing.length())?;
            Some((stretch.line, s, writing.bodies(&stretch.line, s).ok()?))
        });
        let Some((line, s, bodies)) = found else {
            out.left_out.push(*of);
            continue;
        };
        let stations = (line.station(s), line.station(s + writing.length()));
        let draft = MARK_DRAFT.get() - line.lean();
        out.made.push(CastMark { of: *of, text: text.clone(), stations, upper: line.upper, draft, bodies });
    }
    out
}

/// A part with marks, each that leaves the solid sound.
pub(super) fn stamped(mut housing: Housing, marks: CastMarks) -> Housing {
    let mut kept = CastMarks { left_out: marks.left_out, ..CastMarks::default() };
    for mark in marks.made {
        let mut tree = housing.solid.tree().clone();
        mark.bodies.iter().for_each(|body| tree.add(body.clone()));
        match one_body(tree) {
            Ok(solid) => {
                housing.solid = solid;
                kept.made.push(mark);
            }
            Err(_) => kept.left_out.push(mark.of),
        }
    }
    housing.marks = kept;
    housing
}
