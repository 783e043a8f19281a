//! How a sheet is filled: views in line with each other, further views, tables and a picture find room beside one another on
//! the smallest sheet of the standard; what room is left makes the further views larger and takes the picture.

use solidwright::geometry::{P2, V2};

use super::subject::Subject;
use super::{DrawError, Projection, title_block};
use crate::design::{Design, Form};
use crate::drafting::{Format, Margin, Page, Rect, Sheet, SheetContent, SheetScale, Standard};
use crate::report::sheet;
use crate::units::Units;

/// Room between views, between tables, and around everything within the frame, mm.
const BETWEEN: f64 = 12.0;
const GAP: f64 = 6.0;
const MARGIN: f64 = 6.0;

/// What rectangles that only touch may reach into each other, mm.
const TOUCH: f64 = 0.01;

/// What is put on a sheet.
pub(super) struct Order<'a> {
    pub(super) design: &'a Design,
    pub(super) form: Form,
    pub(super) projection: Projection,
    pub(super) source: &'a str,
    /// See [`title_block::Told`].
    pub(super) made_of: Option<(&'a str, f64)>,
}

impl<'a> Order<'a> {
    /// Of a part of the alloy.
    pub(super) fn of_metal(
        subject: &Subject<'a>,
        form: Form,
        projection: Projection,
        source: &'a str,
    ) -> Self {
        let casting = subject.design.casting();
        let mass = casting.mass(subject.solid.mass().volume);
        let made_of = Some((casting.alloy().title, mass));
        Self { design: subject.design, form, projection, source, made_of }
    }

    /// The smallest sheet on which all of it has room at no less than half size; else at any scale.
    pub(super) fn page(
        &self,
        arrange: impl Fn(SheetScale) -> Result<Arranged, DrawError>,
    ) -> Result<Page, DrawError> {
        let design = self.design;
        let standard = match design.units() {
            Units::Mm => Standard::Iso,
            Units::Inch => Standard::Asme,
        };
        let form = sheet::name(self.form);
        // Arranged once for each scale that is tried.
        let mut known: Vec<(SheetScale, Arranged)> = Vec::new();
        for least in [SheetScale { paper: 1, part: 2 }, SheetScale { paper: 1, part: 50 }] {
            let scales = || {
                SheetScale::ALL.into_iter().filter(move |s| s.factor() <= 1.0 && s.factor() >= least.factor())
            };
            for (format, scale) in standard.formats().into_iter().flat_map(|f| scales().map(move |s| (f, s)))
            {
                if !known.iter().any(|(s, _)| *s == scale) {
                    known.push((scale, arrange(scale)?));
                }
                let told = title_block::Told {
                    form,
                    format,
                    scale,
                    projection: self.projection,
                    source: self.source,
                    made_of: self.made_of,
                };
                let arranged = known.iter().find(|(s, _)| *s == scale);
                if let Some(content) = arranged.and_then(|(_, a)| a.on(design, format, &told)) {
                    return Ok(Page { format, scale, title: format!("{}: {form}", design.name()), content });
                }
            }
        }
        Err(DrawError::Room)
    }
}

/// What is to stand on a sheet, at one scale.
pub(super) struct Arranged {
    /// The views, in the arrangements that they may have, the best first.
    pub(super) views: Vec<ViewGroup>,
    /// Tables and notes, in their order.
    pub(super) tables: Vec<SheetContent>,
    /// The same with narrower notes, for gaps between views.
    pub(super) narrow: Vec<SheetContent>,
    /// A picture in all sizes that it may have, the largest first; left out where there is no room.
    pub(super) picture: Vec<SheetContent>,
}

/// Views in line with each other, and further ones.
pub(super) struct ViewGroup {
    in_line: InLine,
    /// Each in all sizes that it may have, the largest first.
    further: Vec<Vec<SheetContent>>,
}

impl ViewGroup {
    /// Views about the main one: with `apart` in line as well; with that one among the further views, where a sheet has no
    /// room for it in line; last with the first of `placed` among them too. Their captions tell from where they are seen (ISO 5456-2
    /// lets a view stand elsewhere that is named).
    ///
    /// # Errors
    /// [`DrawError::Empty`].
    pub(super) fn all(
        main: &SheetContent,
        placed: &[(Margin, SheetContent)],
        apart: Option<&(Margin, SheetContent)>,
        further: &[Vec<SheetContent>],
    ) -> Result<Vec<Self>, DrawError> {
        let mut out = Vec::new();
        if let Some(apart) = apart {
            let whole = [placed, std::slice::from_ref(apart)].concat();
            out.push(Self { in_line: InLine::about(main.clone(), whole)?, further: further.to_vec() });
        }
        let alone = |(_, content): &(Margin, SheetContent)| vec![content.clone()];
        let further: Vec<_> = apart.into_iter().map(alone).chain(further.iter().cloned()).collect();
        out.push(Self { in_line: InLine::about(main.clone(), placed.to_vec())?, further: further.clone() });
        if let [first, others @ ..] = placed {
            let further = std::iter::once(alone(first)).chain(further).collect();
            out.push(Self { in_line: InLine::about(main.clone(), others.to_vec())?, further });
        }
        Ok(out)
    }
}

/// Views in line with each other, and the rectangles that they take.
pub(super) struct InLine {
    content: SheetContent,
    taken: Vec<Rect>,
}

impl InLine {
    /// Views about the main one.
    ///
    /// # Errors
    /// [`DrawError::Empty`].
    fn about(main: SheetContent, placed: Vec<(Margin, SheetContent)>) -> Result<Self, DrawError> {
        let middle = main.bounds().ok_or(DrawError::Empty)?;
        let mut out = Self { content: main, taken: vec![middle] };
        for (side, content) in placed {
            let own = content.bounds().ok_or(DrawError::Empty)?;
            let by = match side {
                Margin::Top => V2::new(0.0, middle.high.y - own.low.y + BETWEEN),
                Margin::Bottom => V2::new(0.0, middle.low.y - own.high.y - BETWEEN),
                Margin::Left => V2::new(middle.low.x - own.high.x - BETWEEN, 0.0),
                Margin::Right => V2::new(middle.high.x - own.low.x + BETWEEN, 0.0),
            };
            out.taken.push(own.moved(by));
            out.content.put(content, by);
        }
        Ok(out)
    }

    fn bounds(&self) -> Option<Rect> {
        self.taken.iter().copied().reduce(Rect::union)
    }
}

/// Where the tables stand.
#[derive(Clone, Copy, Debug)]
enum Tables {
    /// In columns from the right edge, above the title block.
    Right,
    /// In columns beside the title block.
    Below,
}

/// A sheet that is being filled.
#[derive(Clone)]
struct Filled {
    space: Rect,
    taken: Vec<Rect>,
    content: SheetContent,
}

impl Arranged {
    /// All of it on a sheet, if it has room: of all ways to place it the one that leaves the least paper empty.
    fn on(&self, design: &Design, format: Format, told: &title_block::Told) -> Option<SheetContent> {
        let (low, high) = format.space();
        let corner = P2::new(high.x - title_block::SIZE.x, low.y);
        let title = Rect::new(corner, corner + title_block::SIZE);
        let space = Rect::new(low, high).grown(-MARGIN);
        let bare = Filled { space, taken: vec![title], content: SheetContent::default() };
        let found = self
            .views
            .iter()
            .find_map(|group| self.in_columns(&bare, group).or_else(|| self.in_gaps(&bare, group)))?;
        let mut out = found.content;
        out.entities.extend(Sheet { format, scale: told.scale }.frame());
        out.put(title_block::title_block(design, told), corner.coords);
        Some(out)
    }

    /// With the tables in columns: of all ways the one that fills most of the sheet.
    fn in_columns(&self, bare: &Filled, group: &ViewGroup) -> Option<Filled> {
        let with_tables =
            [Tables::Right, Tables::Below].into_iter().filter_map(|way| bare.tables(&self.tables, way));
        let with_views = with_tables.flat_map(|tables| tables.in_line(&group.in_line));
        fullest(with_views.filter_map(|views| views.with_further(&group.further, &self.picture)))
    }

    /// With the tables wherever views leave room for them, on sheets that have none for columns.
    fn in_gaps(&self, bare: &Filled, group: &ViewGroup) -> Option<Filled> {
        let with_views = bare.in_line(&group.in_line);
        let smallest: Vec<&SheetContent> = group.further.iter().filter_map(|sizes| sizes.last()).collect();
        let filled = |views: &Filled| {
            let beside =
                |with: &Filled| [&self.tables, &self.narrow].into_iter().find_map(|all| with.beside(all));
            let tables_first =
                beside(views).and_then(|with| with.with_further(&group.further, &self.picture));
            tables_first.or_else(|| beside(&views.with_all(&smallest)?)?.with_further(&[], &self.picture))
        };
        fullest(with_views.iter().filter_map(filled))
    }
}

/// Of several ways to fill a sheet the one that leaves the least paper empty; of equal ones the first.
fn fullest(all: impl Iterator<Item = Filled>) -> Option<Filled> {
    let mut best: Option<(f64, Filled)> = None;
    for filled in all {
        let area = filled.area();
        if best.as_ref().is_none_or(|(most, _)| area > most + TOUCH) {
            best = Some((area, filled));
        }
    }
    best.map(|(_, filled)| filled)
}

impl Filled {
    /// The area that is taken, mm².
    fn area(&self) -> f64 {
        self.taken.iter().map(|r| r.size().x * r.size().y).sum()
    }

    fn put(&mut self, content: &SheetContent, own: Rect, by: V2) {
        self.taken.push(own.moved(by));
        self.content.put(content.clone(), by);
    }

    /// Whether a rectangle lies within the frame, clear of all others by a gap.
    fn is_free(&self, r: Rect, gap: f64) -> bool {
        let room = r.grown(gap - TOUCH);
        self.space.grown(TOUCH).union(r) == self.space.grown(TOUCH)
            && !self.taken.iter().any(|t| t.overlaps(&room))
    }

    /// With the tables in columns, filled downwards and from the right.
    fn tables(&self, all: &[SheetContent], way: Tables) -> Option<Self> {
        let title = self.taken[0];
        let sized: Vec<(&SheetContent, Rect)> = all.iter().filter_map(|t| Some((t, t.bounds()?))).collect();
        let tallest = sized.iter().map(|(_, r)| r.size().y).fold(title_block::SIZE.y, f64::max);
        let (mut right, top) = match way {
            Tables::Right => (self.space.high.x, self.space.high.y),
            Tables::Below => (title.low.x - GAP, self.space.low.y + tallest),
        };
        let mut out = self.clone();
        let mut left = sized.as_slice();
        while !left.is_empty() {
            let floor = if right > title.low.x - GAP { title.high.y + GAP } else { self.space.low.y };
            let mut depth = 0.0;
            let fits = |(_, r): &&(&SheetContent, Rect)| {
                let ends = depth + r.size().y;
                depth = ends + GAP;
                top - ends > floor - TOUCH
            };
            let count = left.iter().take_while(fits).count();
            if count == 0 {
                return None;
            }
            let width = left[..count].iter().map(|(_, r)| r.size().x).fold(0.0, f64::max);
            let mut y = top;
            for (table, own) in &left[..count] {
                out.put(table, *own, V2::new(right - width - own.low.x, y - own.high.y));
                y -= own.size().y + GAP;
            }
            right -= width + GAP;
            left = &left[count..];
        }
        (right > self.space.low.x).then_some(out)
    }

    /// With all tables in gaps, the largest first, each below the one before where it finds room there, else as far to the right and then
    /// as far up as it finds some.
    fn beside(&self, tables: &[SheetContent]) -> Option<Self> {
        let mut sized: Vec<(&SheetContent, Rect)> =
            tables.iter().filter_map(|t| Some((t, t.bounds()?))).collect();
        let area = |r: &Rect| r.size().x * r.size().y;
        sized.sort_by(|a, b| area(&b.1).total_cmp(&area(&a.1)));
        let mut out = self.clone();
        let mut column = f64::INFINITY;
        for (table, own) in sized {
            let in_column = |r: &Rect| (r.low.x - column).abs() < TOUCH;
            let better = |a: &Rect, b: &Rect| {
                let by_column = in_column(a).cmp(&in_column(b));
                by_column.then(a.high.x.total_cmp(&b.high.x)).then(a.high.y.total_cmp(&b.high.y))
            };
            let place = out.free_places(own, GAP).into_iter().max_by(better)?;
            column = place.low.x;
            out.put(table, own, place.low - own.low);
        }
        Some(out)
    }

    /// With the views at each place that is worth a trial.
    fn in_line(&self, views: &InLine) -> Vec<Self> {
        let Some(own) = views.bounds() else { return vec![] };
        let tables = self.taken[1..].iter().copied().reduce(Rect::union).unwrap_or(self.taken[0]);
        let beside = Rect { low: self.space.low, high: P2::new(tables.low.x - BETWEEN, self.space.high.y) };
        let above = Rect { low: P2::new(self.space.low.x, tables.high.y + BETWEEN), high: self.space.high };
        let share = |room: &Rect, x: f64, y: f64| {
            let free = room.size() - own.size();
            room.low + V2::new(free.x * x, free.y * y) - own.low
        };
        let shares = [(0.5, 0.5), (0.0, 0.5), (0.0, 1.0), (0.0, 0.0), (0.5, 1.0)];
        let places =
            [beside, above, self.space].into_iter().flat_map(|room| shares.map(|(x, y)| share(&room, x, y)));
        let mut out: Vec<(V2, Self)> = Vec::new();
        for by in places {
            let known = out.iter().any(|(b, _)| (b - by).norm() < TOUCH);
            if known || !views.taken.iter().all(|r| self.is_free(r.moved(by), BETWEEN)) {
                continue;
            }
            let mut one = self.clone();
            one.taken.extend(views.taken.iter().map(|r| r.moved(by)));
            one.content.put(views.content.clone(), by);
            out.push((by, one));
        }
        out.into_iter().map(|(_, one)| one).collect()
    }

    /// With the further views, as large as there is room for, and the picture if there is any.
    fn with_further(&self, further: &[Vec<SheetContent>], picture: &[SheetContent]) -> Option<Self> {
        let mut sizes: Vec<usize> = further.iter().map(|all| all.len() - 1).collect();
        let chosen = |sizes: &[usize]| {
            further.iter().zip(sizes).filter_map(|(all, k)| all.get(*k)).collect::<Vec<_>>()
        };
        let mut best = self.with_all(&chosen(&sizes))?;
        for k in 0..sizes.len() {
            for larger in 0..sizes[k] {
                let tried: Vec<usize> =
                    sizes.iter().enumerate().map(|(i, s)| if i == k { larger } else { *s }).collect();
                if let Some(filled) = self.with_all(&chosen(&tried)) {
                    (best, sizes) = (filled, tried);
                    break;
                }
            }
        }
        Some(picture.iter().find_map(|one| best.with_all(&[one])).unwrap_or(best))
    }

    /// With all of some views, the largest first, each where all together take the least area.
    fn with_all(&self, views: &[&SheetContent]) -> Option<Self> {
        let mut sized: Vec<(&SheetContent, Rect)> =
            views.iter().filter_map(|v| Some((*v, v.bounds()?))).collect();
        let area = |r: &Rect| r.size().x * r.size().y;
        sized.sort_by(|a, b| area(&b.1).total_cmp(&area(&a.1)));
        let mut out = self.clone();
        for (view, own) in sized {
            let place = out.room_for(own)?;
            out.put(view, own, place);
        }
        Some(out)
    }

    /// Where a rectangle finds room beside others so that the views take the least area with it, in the middle of its gap.
    fn room_for(&self, own: Rect) -> Option<V2> {
        let all = self.taken.iter().copied().reduce(Rect::union).unwrap_or(own);
        let area = |r: &Rect| all.union(*r).size().x * all.union(*r).size().y;
        let best = self.free_places(own, BETWEEN).into_iter().min_by(|a, b| area(a).total_cmp(&area(b)))?;
        Some(self.centred(best).low - own.low)
    }

    /// Places for a rectangle beside others, with a gap between, or at the frame.
    fn free_places(&self, own: Rect, gap: f64) -> Vec<Rect> {
        let size = own.size();
        let places = |low: f64, high: f64, of: &dyn Fn(&Rect) -> [f64; 2], reach: f64| {
            let beside = |r: &Rect| {
                let [a, b] = of(r);
                [a, b - reach, b + gap, a - gap - reach]
            };
            let all = self.taken.iter().flat_map(beside).chain([low, high - reach]);
            let mut all: Vec<f64> =
                all.filter(|at| *at > low - TOUCH && *at < high - reach + TOUCH).collect();
            all.sort_by(f64::total_cmp);
            all.dedup_by(|a, b| (*a - *b).abs() < TOUCH);
            all
        };
        let across = places(self.space.low.x, self.space.high.x, &|r| [r.low.x, r.high.x], size.x);
        let up = places(self.space.low.y, self.space.high.y, &|r| [r.low.y, r.high.y], size.y);
        let places = across.iter().flat_map(|x| up.iter().map(|y| P2::new(*x, *y)));
        places.map(|low| Rect::new(low, low + size)).filter(|r| self.is_free(*r, gap)).collect()
    }

    /// A free rectangle moved into the middle of its gap, across and then up.
    fn centred(&self, r: Rect) -> Rect {
        let moved = |r: Rect, way: V2| {
            let far = |way: V2| {
                let (mut clear, mut stopped) = (0.0, 2000.0);
                while stopped - clear > 0.5 {
                    let middle = f64::midpoint(clear, stopped);
                    let swept = r.union(r.moved(way * middle));
                    if self.is_free(swept, BETWEEN) { clear = middle } else { stopped = middle }
                }
                clear
            };
            r.moved(way * (0.5 * (far(way) - far(-way))))
        };
        moved(moved(r, V2::x()), V2::y())
    }
}
