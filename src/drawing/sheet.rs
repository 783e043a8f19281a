//! Where the views stand on the paper.

use solidwright::geometry::V3;
use solidwright::solid::Finish;

use super::Subject;
use super::bodies::{Faces, Look};
use super::canvas::{Canvas, Rgb};
use super::projection::{Axes, Eye, View};
use super::shade::{LINE, colour_of};
use super::text::{self, write};

/// Size of the sheet of eight views, pixels.
pub(super) const WIDTH: u32 = 1600;
pub(super) const HEIGHT: u32 = 1000;

/// Least room between views, pixels.
const GAP: f64 = 26.0;

/// Room for a name below a view, pixels.
const NAME: f64 = 34.0;

/// Size of the dots of which letters are made, pixels.
const DOT: i64 = 2;

/// Colours of the legend's patches are those of a face turned to the eye.
const PATCH_LIGHT: f64 = 0.9;

/// A rectangle on the paper: middle and size, pixels.
#[derive(Clone, Copy)]
struct Cell {
    x: f64,
    y: f64,
    width: f64,
    height: f64,
}

/// The grid of the sheet: four columns (front, left, rear, right), three rows (top, left, bottom).
struct Grid {
    scale: f64,
    columns: [(f64, f64); 4],
    rows: [(f64, f64); 3],
}

impl Grid {
    /// The largest common scale; what is left of the height goes to the upper and lower row, where the
    /// isometric views stand too. The first column has room for the `legend`, which stands below its view, pixels.
    fn new(size: V3, legend: f64) -> Self {
        let (paper_width, paper_height) = (f64::from(WIDTH), f64::from(HEIGHT));
        let room = paper_width - 5.0 * GAP;
        let alone = room / (2.0 * size.x + 2.0 * size.y);
        let across = if size.y * alone < legend { (room - legend) / (2.0 * size.x + size.y) } else { alone };
        let down = (paper_height - 3.0 * (NAME + GAP)) / (2.0 * size.y + size.z);
        let scale = across.min(down);
        let views = [size.y, size.x, size.y, size.x].map(|w| w * scale);
        let widths = [views[0].max(legend), views[1], views[2], views[3]];
        let gap = (paper_width - widths.iter().sum::<f64>()) / 5.0;
        let mut left = gap;
        let columns = widths.map(|w| {
            let middle = left + 0.5 * w;
            left += w + gap;
            (middle, w)
        });
        let middle_row = size.z * scale + NAME + GAP;
        let outer = 0.5 * (paper_height - middle_row);
        let row = |top: f64, height: f64| (top + 0.5 * (height - NAME), height - NAME - GAP);
        let rows = [row(0.0, outer), row(outer, middle_row), row(outer + middle_row, outer)];
        Self { scale, columns, rows }
    }

    fn cell(&self, column: usize, row: usize) -> Cell {
        let ((x, width), (y, height)) = (self.columns[column], self.rows[row]);
        Cell { x, y, width, height }
    }

    /// The two right columns of a row.
    fn wide_cell(&self, row: usize) -> Cell {
        let (a, b) = (self.cell(2, row), self.cell(3, row));
        let (left, right) = (a.x - 0.5 * a.width, b.x + 0.5 * b.width);
        Cell { x: 0.5 * (left + right), width: right - left, ..a }
    }
}

/// What is written on a sheet of eight views.
#[derive(Clone, Copy, Debug)]
pub struct Captions<'a> {
    /// The title.
    pub title: &'a str,
    /// What the colour of formed faces means.
    pub formed: &'a str,
    /// What the colour of cut faces means.
    pub cut: &'a str,
    /// Length of the bar, mm, and how it is written.
    pub bar: (f64, &'a str),
}

/// The sheet of eight views, of bodies that stand with `up` upwards.
pub(super) fn eight_views(subject: &Subject, apart: &Subject, up: V3, captions: Captions) -> Canvas {
    let (_, size) = View::Rear.axes().with_up(up).extent(&subject.mesh);
    let looks = looks(&subject.faces, captions);
    let grid = Grid::new(V3::new(size.z, size.x, size.y), legend_width(&looks));
    let mut canvas = Canvas::new(WIDTH, HEIGHT);
    let straight = [
        (View::Front, 0, 1),
        (View::Left, 1, 1),
        (View::Rear, 2, 1),
        (View::Right, 3, 1),
        (View::Top, 1, 0),
        (View::Bottom, 1, 2),
    ];
    for (view, column, row) in straight {
        place(&mut canvas, subject, (view, up), grid.cell(column, row), grid.scale);
    }
    let oblique = [(View::RearRightAbove, grid.wide_cell(0)), (View::FrontLeftBelow, grid.wide_cell(2))];
    let fits = oblique.map(|(view, cell)| fit(apart, view.axes().with_up(up), cell.width, cell.height));
    for (view, cell) in oblique {
        place(&mut canvas, apart, (view, up), cell, fits[0].min(fits[1]));
    }
    heading(&mut canvas, captions.title, &grid);
    legend(&mut canvas, &grid, &looks, captions.bar);
    canvas
}

/// Views side by side, without names.
pub(super) fn side_by_side(subject: &Subject, views: &[Axes], size: (u32, u32)) -> Canvas {
    let mut canvas = Canvas::new(size.0, size.1);
    let (width, height) = (f64::from(size.0), f64::from(size.1) - GAP);
    let count = views.len() as f64;
    // All views with their full height first, then shrunk alike where they are too wide together.
    let tall: Vec<f64> = views.iter().map(|v| fit(subject, *v, f64::INFINITY, height)).collect();
    let wide = |view: Axes, scale: f64| view.extent(&subject.mesh).1.x * scale;
    let sum: f64 = views.iter().zip(&tall).map(|(v, s)| wide(*v, *s)).sum();
    let shrink = ((width - (count + 1.0) * GAP) / sum).clamp(0.0, 1.0);
    let gap = (width - sum * shrink) / (count + 1.0);
    let mut left = gap;
    for (view, scale) in views.iter().zip(tall) {
        let (scale, own) = (scale * shrink, wide(*view, scale * shrink));
        let at = ((left + 0.5 * own).round() as i64, i64::from(size.1 / 2));
        subject.draw(&mut canvas, &Eye::new(*view, &subject.mesh, scale, subject.fine), at);
        left += own + gap;
    }
    canvas
}

/// The scale at which a view fills a rectangle.
fn fit(subject: &Subject, view: Axes, width: f64, height: f64) -> f64 {
    let (_, size) = view.extent(&subject.mesh);
    (width / size.x).min(height / size.y)
}

/// A view in the middle of its cell, its name below it.
fn place(canvas: &mut Canvas, subject: &Subject, (view, up): (View, V3), cell: Cell, scale: f64) {
    let axes = view.axes().with_up(up);
    let eye = Eye::new(axes, &subject.mesh, scale, subject.fine);
    let at = (cell.x.round() as i64, cell.y.round() as i64);
    subject.draw(canvas, &eye, at);
    let below = (cell.y + 0.5 * axes.extent(&subject.mesh).1.y * scale).round() as i64;
    let left = at.0 - text::width(view.label(), DOT) / 2;
    write(canvas, view.label(), (left, below + 10), DOT, LINE);
}

/// The title in lines that end ahead of the top view; a word longer than that is cut.
fn heading(canvas: &mut Canvas, title: &str, grid: &Grid) {
    let (middle, length) = grid.columns[1];
    let most = (middle - 0.5 * length - 1.5 * GAP) as i64;
    let cut = |line: &str| -> String {
        (0..=line.chars().count())
            .rev()
            .map(|n| line.chars().take(n).collect::<String>())
            .find(|part| text::width(part, DOT) <= most)
            .unwrap_or_default()
    };
    let mut lines: Vec<String> = Vec::new();
    for word in title.split_whitespace() {
        match lines.last_mut() {
            Some(line) if text::width(&format!("{line} {word}"), DOT) <= most => *line += &format!(" {word}"),
            _ => lines.push(word.to_owned()),
        }
    }
    for (row, line) in (0_i64..).zip(&lines).take(8) {
        write(canvas, &cut(line), (GAP as i64, GAP as i64 + 22 * row), DOT, LINE);
    }
}

/// How far behind its patch's left side a text of the legend begins, pixels.
const BESIDE_PATCH: i64 = 42;

/// The colours that the legend explains.
fn looks<'a>(faces: &Faces, captions: Captions<'a>) -> Vec<(Look, &'a str)> {
    let all = [
        (Look::Marked, "CANNOT BE DRAWN"),
        (Look::Finish(Finish::Formed), captions.formed),
        (Look::Finish(Finish::Cut), captions.cut),
        (Look::Print, "CORE PRINTS"),
        (Look::Poured, "FEEDERS AND GATING"),
        (Look::Chill, "CHILLS"),
        (Look::Chaplet, "CHAPLETS"),
    ];
    let always = |look: Look| matches!(look, Look::Finish(_));
    all.into_iter().filter(|(look, _)| always(*look) || faces.any(*look)).collect()
}

/// Width of the legend, pixels.
fn legend_width(looks: &[(Look, &str)]) -> f64 {
    let longest = looks.iter().map(|(_, name)| text::width(name, DOT)).max().unwrap_or(0);
    (BESIDE_PATCH + longest) as f64
}

/// What the colours mean, and a bar to scale for the six straight views.
fn legend(canvas: &mut Canvas, grid: &Grid, looks: &[(Look, &str)], (bar, written): (f64, &str)) {
    let (left, step) = (GAP as i64, 26);
    let mut y = i64::from(HEIGHT) - step * (looks.len() as i64 + 2);
    for (look, name) in looks {
        canvas.rectangle((left, y), (30, 16), LINE);
        canvas.rectangle((left + 1, y + 1), (28, 14), patch(*look));
        write(canvas, name, (left + BESIDE_PATCH, y + 1), DOT, LINE);
        y += step;
    }
    let length = (bar * grid.scale).round() as i64;
    canvas.rectangle((left, y + 7), (length, 2), LINE);
    canvas.rectangle((left, y + 2), (2, 12), LINE);
    canvas.rectangle((left + length - 2, y + 2), (2, 12), LINE);
    write(canvas, written, (left + length + 12, y + 1), DOT, LINE);
}

fn patch(look: Look) -> Rgb {
    colour_of(look).map(|c| (f64::from(c) * PATCH_LIGHT) as u8)
}
