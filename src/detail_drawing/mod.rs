//! Dimensioned drawings: views and sections of the exact solid with dimensions, tolerances, tables and a title block, as
//! SVG, PDF and DXF.
//!
//! Views are arranged in first or third angle about the section along the shaft. Dimensions come from the parameter set
//! and stand in rows, ordinates and notes beside their view, so that no writing meets a line (tested).
//!
//! Pattern and core box are drawn as they are made, with contraction; the finished part and the casting without.
//!
//! Does not promise: a shift-box pad that leans, is turned about the shaft or has a free outline has its outline in the tables only.

mod cast_features;
mod cast_sizes;
mod casting;
mod details;
mod extents;
mod flange_view;
mod further;
mod holes;
mod layout;
mod main_section;
mod numbers;
mod pad_rows;
mod pad_views;
mod pdf;
mod subject;
mod symbols;
mod tables;
mod title_block;
mod tooling;
mod tooling_tables;

use solidwright::geometry::{P2, V2};
use solidwright::mesh::MeshError;

use crate::design::{Design, Form};
use crate::drafting::{
    Anchor, Annotated, Entity, LETTERS, Layer, Lettering, Margin, Page, SectionError, SeenLines, Shape,
    SheetContent, SheetScale, dxf, page_svg,
};
use crate::export::stem;
use crate::forms::{Casting, FormPieces, Product};
use crate::housing::Housing;
use crate::report::document::pdf::PdfError;
use crate::units::Units;
use crate::words::counted;

use layout::{Arranged, Order, ViewGroup};
use pad_views::{Way, above_is_spare, pad_view};
use subject::{Subject, Views};
use tooling::Halves;

pub use tooling::Tooling;

/// Room between a view and its caption, and the caption's height, mm.
const CAPTION: f64 = 7.0;
const CAPTION_LETTERS: f64 = 3.5;

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
    let (views, part) = (subject.views(None)?, finished.main_contour()?);
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
        let [above, below] = above_and_below(projection);
        let top = casting::top_view(&views, scale.factor()).ok_or(DrawError::Empty)?;
        let bottom = casting::bottom_view(&views, scale.factor()).ok_or(DrawError::Empty)?;
        let placed = [(front_side(projection), front), (above, captioned(top, "From above"))];
        let apart = Some((below, captioned(bottom, "From below")));
        let [tables, narrow] =
            tables::NOTES.map(|reach| casting::tables(&subject, &finished, (made, &targets), reach));
        Ok(Arranged {
            views: ViewGroup::all(&main, &placed, apart.as_ref(), &[])?,
            tables,
            narrow,
            picture: pictures(&views.picture, scale),
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
        let main = captioned(
            halves.main_section(&views, factor),
            "Section A–A, square to the parting plane; stations from datum A",
        )?;
        let lower =
            captioned(halves.flat_side(&views, false, factor), "Flat side of the lower half, from above")?;
        let upper =
            captioned(halves.flat_side(&views, true, factor), "Flat side of the upper half, from below")?;
        let end = captioned(halves.end_view(&views, factor), "From ahead, both halves")?;
        let end = (front_side(projection), end);
        let [tables, narrow] = tables::NOTES.map(|reach| halves.tables(&views, reach));
        let views_about = match which {
            Tooling::Pattern => {
                let outside = captioned(halves.outside(&views, factor), "Upper half from above")?;
                let under = captioned(halves.underside(&views, factor), "Lower half from below")?;
                let placed = [end, (above, outside)];
                let mut further = vec![vec![lower]];
                further.extend(loose_pieces(&halves, &views, scale));
                let whole = ViewGroup::all(&main, &placed, Some(&(below, under)), &further)?;
                // Where there is no room for it on a sheet that has some for all others, the files show that side.
                let less = ViewGroup::all(&main, &placed, None, &further)?;
                whole.into_iter().chain(less).collect()
            }
            Tooling::CoreBox => ViewGroup::all(&main, &[end, (above, lower)], Some(&(below, upper)), &[])?,
        };
        Ok(Arranged { views: views_about, tables, narrow, picture: pictures(&views.picture, scale) })
    })
}

/// The loose pieces, each by itself from above and from the side, a step larger than the views where there is room.
fn loose_pieces(halves: &Halves, views: &tooling::HalvesViews, scale: SheetScale) -> Vec<Vec<SheetContent>> {
    let scales = [scale.larger(1), Some(scale)];
    let sizes = |k: usize| {
        let at = |s: SheetScale| {
            let caption = format!("Loose piece {}, from above and from the side, {}", k + 1, s.text());
            Some(captioned(halves.loose_piece(views, k, s.factor())?, &caption))
        };
        scales.into_iter().flatten().filter_map(at).collect::<Vec<_>>()
    };
    (0..views.loose.len()).map(sizes).filter(|sizes| !sizes.is_empty()).collect()
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
    let top = pad_view(subject, &views.top, factor, Way::Above, above, true).ok_or(DrawError::Empty)?;
    let placed =
        [(front_side, captioned(front, "View on the gearbox face")), (above, captioned(top, "From above"))];
    let from_below = |is_cut: bool| {
        let bottom = pad_view(subject, &views.bottom, factor, Way::Below, below, is_cut);
        Ok::<_, DrawError>((below, captioned(bottom.ok_or(DrawError::Empty)?, "From below")))
    };
    let apart = if subject.design.mount_pad().is_some() { Some(from_below(false)?) } else { None };
    let main = captioned(main, "Section A–A");
    let details = details(subject, views, scale);
    let mut about = ViewGroup::all(&main, &placed, apart.as_ref(), &details)?;
    if above_is_spare(subject) {
        // As few views as tell the part (ISO 128-3, from memory), where a smaller sheet is enough for these.
        about.extend(ViewGroup::all(&main, &placed[..1], Some(&from_below(true)?), &details)?);
    }
    let [tables, narrow] = tables::NOTES.map(|reach| tables_of(subject, reach));
    Ok(Arranged { views: about, tables, narrow, picture: pictures(&views.picture, scale) })
}

/// The enlarged sections: two steps of the standard's scales larger than the views where there is room, else one.
fn details(subject: &Subject, views: &Views, scale: SheetScale) -> Vec<Vec<SheetContent>> {
    let scales: Vec<SheetScale> = [2, 1].into_iter().filter_map(|steps| scale.larger(steps)).collect();
    let tail = |s: &SheetScale| {
        let view = details::tail(subject, views, s.factor())?;
        Some(captioned(view, &format!("Tail of section A–A, {}", s.text())))
    };
    let axis = details::sender_axis(subject).unwrap_or_default();
    let sender = |s: &SheetScale| {
        let view = details::sender(subject, views, s.factor())?;
        let caption = format!("Section along the sender's axis, {}", s.text());
        Some(under(captioned(view, &caption), &axis))
    };
    let all = [scales.iter().filter_map(tail).collect(), scales.iter().filter_map(sender).collect()];
    all.into_iter().filter(|sizes: &Vec<SheetContent>| !sizes.is_empty()).collect()
}

/// A picture at the scales at which it may stand on a sheet, the largest first. Nothing is measured on it.
fn pictures(seen: &SeenLines, scale: SheetScale) -> Vec<SheetContent> {
    let scales = [scale.larger(1), Some(scale), scale.smaller(1)];
    let at = |s: SheetScale| {
        let on = |layer: Layer, shapes: &[Shape]| {
            let placed = |shape: &Shape| shape.clone().placed(s.factor(), V2::zeros());
            shapes.iter().map(|shape| Entity { layer, shape: placed(shape) }).collect::<Vec<_>>()
        };
        let lines =
            [(Layer::Visible, &seen.visible), (Layer::Smooth, &seen.smooth), (Layer::Smooth, &seen.round)];
        let lines = lines.into_iter().flat_map(|(layer, shapes)| on(layer, shapes)).collect();
        let view = Annotated::new(lines, s.factor())?;
        Some(captioned(view, &format!("Isometric view, {}", s.text())))
    };
    scales.into_iter().flatten().filter_map(at).collect()
}

/// A line of writing below everything.
fn under(mut content: SheetContent, text: &str) -> SheetContent {
    // In line with the caption, which was written last.
    let middle = content.texts.last().map(|caption| caption.at.x);
    if let Some((bounds, x)) = content.bounds().zip(middle) {
        let at = P2::new(x, bounds.low.y - LETTERS - 1.5);
        content.texts.push(Lettering::level(at, LETTERS, Anchor::Middle, text));
    }
    content
}

/// Tables and notes, these in columns of a width.
fn tables_of(subject: &Subject, reach: f64) -> Vec<SheetContent> {
    let mut all: Vec<SheetContent> = [
        tables::fit_table(subject),
        tables::hole_table(subject),
        further::further(subject),
        pad_rows::corner_table(subject),
    ]
    .into_iter()
    .flatten()
    .collect();
    all.extend(tables::told(&tables::notes(subject), Form::Finished, reach));
    all
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
