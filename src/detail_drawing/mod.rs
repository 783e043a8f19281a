//! Dimensioned drawings: views and sections of the exact solid with dimensions, tolerances, tables and a title block, as
//! SVG, PDF and DXF.
//!
//! Views are arranged in first or third angle about the section along the shaft. Dimensions come from the parameter set
//! and stand in rows, ordinates and notes beside their view, so that no writing meets a line (tested).
//!
//! Pattern and core box are drawn as they are made, with contraction; the finished part and the casting without.
//!
//! Does not promise: a shift-box pad that leans or is turned about the shaft has its outline in the tables only.

mod casting;
mod details;
mod flange_view;
mod further;
mod holes;
mod main_section;

mod numbers;
mod pad_views;
mod pdf;
mod subject;
mod symbols;
mod tables;
mod title_block;
mod tooling;

use solidwright::geometry::{P2, V2};
use solidwright::mesh::MeshError;

use crate::design::{Design, Form};
use crate::drafting::{
    Anchor, Annotated, Format, LETTERS, Lettering, Margin, Page, Rect, SectionError, Sheet, SheetContent,
    SheetScale, Standard, dxf, page_svg,
};
use crate::export::stem;
use crate::forms::{Casting, FormPieces, Product};
use crate::housing::Housing;
use crate::report::document::pdf::PdfError;
use crate::report::sheet;
use crate::units::Units;
use crate::words::counted;

use pad_views::{Way, pad_view};
use subject::{Subject, Views};
use tooling::Halves;

pub use tooling::Tooling;

/// Room between views, mm.
const BETWEEN: f64 = 12.0;

/// Room between a view and its caption, and the caption's height, mm.
const CAPTION: f64 = 7.0;
const CAPTION_LETTERS: f64 = 3.5;

/// Room around everything within the frame, mm.
const MARGIN: f64 = 6.0;

/// How views stand about the main one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Projection {
    /// The view from a side stands on the side across.
    First,
    /// The view from a side stands on that side.
    Third,
}

impl Projection {
    /// What is usual with a unit: first angle in millimetres, third angle in inches.
    pub const fn usual(units: Units) -> Self {
        match units {
            Units::Mm => Self::First,
            Units::Inch => Self::Third,
        }
    }
}

/// Why there is no drawing.
#[derive(Debug, thiserror::Error)]
pub enum DrawError {
    /// A section.
    #[error(transparent)]
    Section(#[from] SectionError),
    /// The solid cannot be meshed.
    #[error(transparent)]
    Mesh(#[from] MeshError),
    /// A direction of view is none.
    #[error("a direction from which to look has no length")]
    Direction,
    /// A view has no lines.
    #[error("a view is empty")]
    Empty,
    /// Not even the largest sheet has room.
    #[error("the views and tables fit on no sheet of the standard, not even at 1:50")]
    Room,
    /// The PDF.
    #[error(transparent)]
    Pdf(#[from] PdfError),
}

/// The finished part seen from all sides that its sheet shows; arranged in either way without being looked at again.
pub struct FinishedViews<'a> {
    subject: Subject<'a>,
    views: Views,
}

impl<'a> FinishedViews<'a> {
    /// Looks at the part.
    ///
    /// # Errors
    /// [`DrawError`].
    pub fn of(design: &'a Design, housing: &'a Housing) -> Result<Self, DrawError> {
        let subject = Subject::of(design, housing);
        let views = subject.views(design.sender_boss())?;
        Ok(Self { subject, views })
    }

    /// The sheet. `source` tells what the drawing was made from.
    ///
    /// # Errors
    /// [`DrawError`].
    pub fn page(&self, projection: Projection, source: &str) -> Result<Page, DrawError> {
        let sheet = Order::of_metal(&self.subject, Form::Finished, projection, source);
        sheet.page(|scale| finished_views(&self.subject, &self.views, projection, scale))
    }
}

/// Draws the finished part. `source` tells what the drawing was made from.
///
/// # Errors
/// [`DrawError`].
pub fn finished(
    design: &Design,
    housing: &Housing,
    projection: Projection,
    source: &str,
) -> Result<Page, DrawError> {
    FinishedViews::of(design, housing)?.page(projection, source)
}

/// Draws the casting, with the finished part's contour within it.
///
/// # Errors
/// [`DrawError`].
pub fn casting(
    product: &Product,
    made: &Casting,
    projection: Projection,
    source: &str,
) -> Result<Page, DrawError> {
    let finished = Subject::of(product.design(), product.finished());
    let subject = Subject::of(product.design(), &made.moulded.casting);
    let targets = product.datum_targets();
    let across = casting::listed(&targets);
    let (views, part) = (subject.views(None)?, finished.main_section()?);
    let sheet = Order::of_metal(&subject, Form::Casting, projection, source);
    sheet.page(|scale| {
        let (main, front) = (
            casting::main_section(&subject, &views, (made, &part), across, scale.factor()),
            casting::front_view(
                &subject,
                &views,
                (made, casting::listed(&targets)),
                scale.factor(),
                front_side(projection),
            ),
        );
        let title = if across.is_empty() {
            "Section A–A, with the finished contour"
        } else {
            "Section A–A, with the finished contour; targets B1, B2 and C1 projected"
        };
        let main = captioned(main.ok_or(DrawError::Empty)?, title);
        let front = captioned(front.ok_or(DrawError::Empty)?, "View on the gearbox face");
        let [above, _] = above_and_below(projection);
        let top = casting::top_view(&views, scale.factor()).ok_or(DrawError::Empty)?;
        let placed = vec![(front_side(projection), front), (above, captioned(top, "From above"))];
        Ok(Arranged {
            views: about(main, placed, vec![])?,
            tables: casting::tables(&subject, &finished, made, &targets),
        })
    })
}

/// On which side of the section the view on the gearbox face stands.
fn front_side(projection: Projection) -> Margin {
    match projection {
        Projection::First => Margin::Right,
        Projection::Third => Margin::Left,
    }
}

/// On which sides of the section the views from above and from below stand.
fn above_and_below(projection: Projection) -> [Margin; 2] {
    match projection {
        Projection::First => [Margin::Bottom, Margin::Top],
        Projection::Third => [Margin::Top, Margin::Bottom],
    }
}

/// Draws pattern or core box, sizes with contraction.
///
/// # Errors
/// [`DrawError`].
pub fn tooling(
    design: &Design,
    casting: &Casting,
    (which, made): (Tooling, &FormPieces),
    projection: Projection,
    source: &str,
) -> Result<Page, DrawError> {
    let halves = Halves::of(design, casting, made, which);
    let views = halves.views()?;
    let sheet = Order { design, form: which.form(), projection, source, made_of: None };
    sheet.page(|scale| {
        let factor = scale.factor();
        let captioned = |view: Option<Annotated>, caption: &str| {
            Ok::<_, DrawError>(captioned(view.ok_or(DrawError::Empty)?, caption))
        };
        let [above, below] = above_and_below(projection);
        let main =
            captioned(halves.main_section(&views, factor), "Section A–A, square to the parting plane")?;
        let lower =
            captioned(halves.flat_side(&views, false, factor), "Flat side of the lower half, from above")?;
        let upper =
            captioned(halves.flat_side(&views, true, factor), "Flat side of the upper half, from below")?;
        let end = captioned(halves.end_view(&views, factor), "From ahead, both halves")?;
        let mut placed = vec![(front_side(projection), end)];
        let mut further = vec![];
        match which {
            Tooling::Pattern => {
                placed.push((above, captioned(halves.outside(&views, factor), "Upper half from above")?));
                further.push(lower);
            }
            Tooling::CoreBox => placed.extend([(above, lower), (below, upper)]),
        }
        Ok(Arranged { views: about(main, placed, further)?, tables: halves.tables() })
    })
}

/// What is put on a sheet.
struct Order<'a> {
    design: &'a Design,
    form: Form,
    projection: Projection,
    source: &'a str,
    /// See [`title_block::Told`].
    made_of: Option<(&'a str, f64)>,
}

impl<'a> Order<'a> {
    /// Of a part of the alloy.
    fn of_metal(subject: &Subject<'a>, form: Form, projection: Projection, source: &'a str) -> Self {
        let casting = subject.design.casting();
        let mass = casting.mass(subject.solid.mass().volume);
        let made_of = Some((casting.alloy().title, mass));
        Self { design: subject.design, form, projection, source, made_of }
    }

    /// The smallest sheet on which all of it has room at no less than half size; else at any scale.
    fn page(&self, arrange: impl Fn(SheetScale) -> Result<Arranged, DrawError>) -> Result<Page, DrawError> {
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

/// A line about a sheet: its size, its scale, how views stand, and how many dimensions it has.
pub fn summary(page: &Page, projection: Projection) -> String {
    let angle = match projection {
        Projection::First => "first angle",
        Projection::Third => "third angle",
    };
    format!(
        "{}\n  {}, scale {}:{}, {angle}, {}\n",
        page.title,
        title_block::name(page.format),
        page.scale.paper,
        page.scale.part,
        counted(page.content.dimensions.len(), "dimension"),
    )
}

/// The files of a sheet, with their names.
///
/// # Errors
/// [`PdfError`].
pub fn files(page: &Page, form: Form) -> Result<Vec<(String, Vec<u8>)>, PdfError> {
    let stem = format!("{}-drawing", stem(form));
    Ok(vec![
        (format!("{stem}.svg"), page_svg(page).into_bytes()),
        (format!("{stem}.pdf"), pdf::pdf(page)?),
        (format!("{stem}.dxf"), dxf(page).into_bytes()),
    ])
}

/// Views at one scale, arranged about the main one, and what stands beside them.
struct Arranged {
    views: SheetContent,
    tables: SheetContent,
}

/// The views of the finished part.
fn finished_views(
    subject: &Subject,
    views: &Views,
    projection: Projection,
    scale: SheetScale,
) -> Result<Arranged, DrawError> {
    let factor = scale.factor();
    let (front_side, [above, below]) = (front_side(projection), above_and_below(projection));
    let main = main_section::main_section(subject, views, factor).ok_or(DrawError::Empty)?;
    let front = flange_view::flange_view(subject, views, factor, front_side).ok_or(DrawError::Empty)?;
    let top = pad_view(subject, &views.top, factor, Way::Above, above).ok_or(DrawError::Empty)?;
    let mut placed = vec![
        (front_side, captioned(front, "View on the gearbox face")),
        (above, captioned(top, "From above")),
    ];
    if subject.design.mount_pad().is_some() {
        let bottom = pad_view(subject, &views.bottom, factor, Way::Below, below).ok_or(DrawError::Empty)?;
        placed.push((below, captioned(bottom, "From below")));
    }
    let all = about(captioned(main, "Section A–A"), placed, details(subject, views, factor))?;
    Ok(Arranged { views: all, tables: tables_of(subject) })
}

/// Views about the main one, in line with it, and further ones where there is room.
fn about(
    main: SheetContent,
    placed: Vec<(Margin, SheetContent)>,
    further: Vec<SheetContent>,
) -> Result<SheetContent, DrawError> {
    let mut out = main;
    let main = out.bounds().ok_or(DrawError::Empty)?;
    let mut taken = vec![main];
    for (side, content) in placed {
        let own = content.bounds().ok_or(DrawError::Empty)?;
        let by = match side {
            Margin::Top => V2::new(0.0, main.high.y - own.low.y + BETWEEN),
            Margin::Bottom => V2::new(0.0, main.low.y - own.high.y - BETWEEN),
            Margin::Left => V2::new(main.low.x - own.high.x - BETWEEN, 0.0),
            Margin::Right => V2::new(main.high.x - own.low.x + BETWEEN, 0.0),
        };
        taken.push(own.moved(by));
        out.put(content, by);
    }
    for content in further {
        let own = content.bounds().ok_or(DrawError::Empty)?;
        let by = room_beside(&taken, own);
        taken.push(own.moved(by));
        out.put(content, by);
    }
    Ok(out)
}

impl Arranged {
    /// All of it on a sheet, if it has room: views, then tables, the title block below these.
    fn on(&self, design: &Design, format: Format, told: &title_block::Told) -> Option<SheetContent> {
        let (low, high) = format.space();
        let space = Rect::new(low, high).grown(-MARGIN);
        let [views, tables] = [self.views.bounds()?, self.tables.bounds()?];
        let column = tables.size().x.max(title_block::SIZE.x);
        let across = views.size().x + column + BETWEEN;
        let tallest = tables.size().y + BETWEEN + title_block::SIZE.y - MARGIN;
        let room = space.size();
        if across > room.x || views.size().y.max(tallest) > room.y {
            return None;
        }
        let mut out = SheetContent::default();
        let sheet = Sheet { format, scale: told.scale };
        out.entities.extend(sheet.frame());
        let middle = space.low + (room - views.size() - V2::new(column + BETWEEN, 0.0)) * 0.5;
        out.put(self.views.clone(), middle - views.low);
        out.put(
            self.tables.clone(),
            V2::new(space.high.x - column - tables.low.x, space.high.y - tables.high.y),
        );
        let corner = P2::new(high.x - title_block::SIZE.x, low.y);
        out.put(title_block::title_block(design, told), corner.coords);
        Some(out)
    }
}

/// Where a rectangle finds room beside others so that all together take the least area.
fn room_beside(taken: &[Rect], own: Rect) -> V2 {
    let size = own.size();
    let edges = |low: fn(&Rect) -> f64, high: fn(&Rect) -> f64, reach: f64| {
        let beside = |r: &Rect| [low(r), high(r) - reach, high(r) + BETWEEN, low(r) - BETWEEN - reach];
        taken.iter().flat_map(beside).collect::<Vec<f64>>()
    };
    let across = edges(|r| r.low.x, |r| r.high.x, size.x);
    let up = edges(|r| r.low.y, |r| r.high.y, size.y);
    let all = taken.iter().copied().reduce(Rect::union).unwrap_or(own);
    let places = across.iter().flat_map(|x| up.iter().map(|y| P2::new(*x, *y)));
    let free = places.map(|low| Rect::new(low, low + size)).filter(|r| {
        let room = r.grown(BETWEEN - 0.01);
        !taken.iter().any(|t| t.overlaps(&room))
    });
    let area = |r: &Rect| all.union(*r).size().x * all.union(*r).size().y;
    let best = free.min_by(|a, b| area(a).total_cmp(&area(b)));
    best.map_or(V2::new(all.high.x + BETWEEN, 0.0), |r| r.low - own.low)
}

/// The enlarged sections at twice the scale of the views.
fn details(subject: &Subject, views: &Views, factor: f64) -> Vec<SheetContent> {
    let factor = 2.0 * factor;
    let times = if factor >= 1.0 { format!("{factor:.0}:1") } else { format!("1:{:.0}", 1.0 / factor) };
    let tail = details::tail(subject, views, factor);
    let mut out: Vec<SheetContent> =
        tail.map(|tail| captioned(tail, &format!("Tail of section A–A, {times}"))).into_iter().collect();
    if let Some(sender) = details::sender(subject, views, factor) {
        let axis = details::sender_axis(subject).unwrap_or_default();
        let caption = format!("Section along the sender's axis, {times}");
        out.push(under(captioned(sender, &caption), &axis));
    }
    out
}

/// A line of writing below everything.
fn under(mut content: SheetContent, text: &str) -> SheetContent {
    if let Some(bounds) = content.bounds() {
        let at = P2::new(0.5 * (bounds.low.x + bounds.high.x), bounds.low.y - LETTERS - 1.5);
        content.texts.push(Lettering::level(at, LETTERS, Anchor::Middle, text));
    }
    content
}

fn tables_of(subject: &Subject) -> SheetContent {
    let mut all: Vec<SheetContent> =
        [tables::fit_table(subject), tables::hole_table(subject), further::further(subject)]
            .into_iter()
            .flatten()
            .collect();
    let reach =
        all.iter().filter_map(SheetContent::bounds).map(|b| b.high.x).fold(title_block::SIZE.x, f64::max);
    all.push(tables::paragraphs("Notes", &tables::notes(subject), reach));
    all.push(tables::paragraphs("Cautions", &tables::cautions_of(Form::Finished), reach));
    tables::stacked(all, 5.0)
}

/// A view with a caption below it.
fn captioned(view: Annotated, caption: &str) -> SheetContent {
    let mut out = view.content;
    if let Some(bounds) = out.bounds() {
        let at = P2::new(0.5 * (view.view.low.x + view.view.high.x), bounds.low.y - CAPTION);
        out.texts.push(Lettering::level(at, CAPTION_LETTERS, Anchor::Middle, caption));
    }
    out
}
