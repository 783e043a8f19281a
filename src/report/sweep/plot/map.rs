//! Where the part is feasible, over two axes.

use plotters::coord::Shift;
use plotters::prelude::*;

use super::{Entry, Figure, INK, Spot, colour, label, legend, legend_height, text, tick};
use crate::sweep::answers::{Map, MapCell};
use crate::sweep::axis::{Axis, AxisValues};
use crate::sweep::row::RowVerdict;

/// A map.
pub(super) struct Feasible<'a> {
    pub(super) map: &'a Map,
    pub(super) axes: &'a [Axis],
    pub(super) sampled: bool,
}

impl Feasible<'_> {
    pub(super) fn caption(&self) -> String {
        let [a, b] = self.map.axes.map(|k| label(&self.axes[k]));
        let how = if self.shares() {
            "by the share of rows in which no check fails"
        } else {
            "by what came of the row there"
        };
        format!("{b} over {a}, coloured {how}.")
    }

    /// Whether cells hold several rows, so that shares say more than a single verdict.
    fn shares(&self) -> bool {
        self.map.cells.iter().any(|c| c.rows > 1)
    }

    /// Where cells begin and end along an axis; the cells of a list are numbered in order.
    fn edges(&self, side: usize) -> Vec<f64> {
        let (axis, count) = (&self.axes[self.map.axes[side]], self.map.size[side]);
        let (low, high, from_low) = match &axis.spread {
            AxisValues::Range { from, to, .. } => (from.min(*to), from.max(*to), from < to),
            AxisValues::List(_) => (0.0, count as f64 - 1.0, true),
        };
        // A grid's values lie in the middle of their cells, including the first and last ones.
        let half = if self.sampled { 0.0 } else { (high - low) / (count.max(2) - 1) as f64 / 2.0 };
        let (low, high) = (low - half, high + half);
        let mut edges: Vec<f64> = (0..=count).map(|k| low + (high - low) * k as f64 / count as f64).collect();
        if !from_low && !self.sampled {
            edges.reverse();
        }
        edges
    }

    fn tick(&self, side: usize, x: f64, span: f64) -> String {
        match &self.axes[self.map.axes[side]].spread {
            AxisValues::List(values) => {
                let whole = (x - x.round()).abs() < 1e-6 && x.round() >= 0.0;
                let value = values.get(x.round().max(0.0) as usize).filter(|_| whole);
                value.map_or_else(String::new, |v| tick(*v, *v))
            }
            AxisValues::Range { .. } => tick(x, span),
        }
    }
}

/// What came of a cell, and which row stands for it.
fn told(cell: &MapCell, verdict: RowVerdict, row: u64) -> String {
    if cell.rows == 1 {
        return format!("{}, row {row}", verdict.word());
    }
    format!("no check fails in {} of {} rows; the best is row {row}", cell.feasible, cell.rows)
}

/// The colour of a share of feasible rows.
fn shade(share: f64) -> RGBColor {
    let (none, all) = (colour(RowVerdict::Fail), colour(RowVerdict::Pass));
    let mix = |a: u8, b: u8| (f64::from(a) + (f64::from(b) - f64::from(a)) * share).round() as u8;
    RGBColor(mix(none.0, all.0), mix(none.1, all.1), mix(none.2, all.2))
}

impl Figure for Feasible<'_> {
    fn draw<B: DrawingBackend>(&self, area: &DrawingArea<B, Shift>) -> Result<Vec<Spot>, String> {
        let shares = self.shares();
        let entries: Vec<Entry> = if shares {
            [0.0, 0.5, 1.0].map(|s| (shade(s), format!("{:.0} % of rows feasible", s * 100.0))).to_vec()
        } else {
            let there =
                |v: &RowVerdict| self.map.cells.iter().any(|c| c.best.is_some_and(|best| best.0 == *v));
            RowVerdict::ALL.into_iter().filter(there).map(|v| (colour(v), v.word().to_owned())).collect()
        };
        let height = area.dim_in_pixel().1 as i32 - legend_height(entries.len()) as i32;
        let (upper, lower) = area.split_vertically(height);
        let [x, y] = [self.edges(0), self.edges(1)];
        let ends = |e: &[f64]| {
            let (a, b) = (e.first().copied().unwrap_or(0.0), e.last().copied().unwrap_or(1.0));
            (a.min(b), a.max(b))
        };
        let ((left, right), (low, high)) = (ends(&x), ends(&y));
        let names = self.map.axes.map(|k| label(&self.axes[k]));
        let mut chart = ChartBuilder::on(&upper);
        chart.margin(14).margin_right(28).x_label_area_size(50).y_label_area_size(80);
        chart.caption("Where the part is feasible", text(22));
        let mut chart = chart.build_cartesian_2d(left..right, low..high).map_err(|e| e.to_string())?;
        chart
            .configure_mesh()
            .disable_mesh()
            .axis_style(INK)
            .x_desc(&names[0])
            .y_desc(&names[1])
            .axis_desc_style(text(17))
            .label_style(text(15))
            .x_label_formatter(&|v| self.tick(0, *v, right - left))
            .y_label_formatter(&|v| self.tick(1, *v, high - low))
            .draw()
            .map_err(|e| e.to_string())?;
        let filled = self.map.cells.iter().enumerate().filter(|(_, c)| c.rows > 0).map(|(k, cell)| {
            let (i, j) = (k % self.map.size[0], k / self.map.size[0]);
            let fill = match cell.best {
                Some((verdict, _)) if !shares => colour(verdict),
                _ => shade(cell.feasible as f64 / cell.rows as f64),
            };
            ([(x[i], y[j]), (x[i + 1], y[j + 1])], fill, cell)
        });
        // White between cells that are large enough.
        let apart = self.map.size.iter().all(|n| *n <= 30);
        let mut spots = Vec::new();
        for (corners, fill, cell) in filled {
            let whole = std::iter::once(Rectangle::new(corners, fill.filled()));
            chart.draw_series(whole).map_err(|e| e.to_string())?;
            let line = apart.then(|| Rectangle::new(corners, WHITE.stroke_width(1)));
            chart.draw_series(line).map_err(|e| e.to_string())?;
            if let Some((verdict, row)) = cell.best {
                let middle = [0, 1].map(|k| {
                    let of = |c: (f64, f64)| if k == 0 { c.0 } else { c.1 };
                    let (a, b) = (of(corners[0]), of(corners[1]));
                    self.tick(k, f64::midpoint(a, b), if k == 0 { right - left } else { high - low })
                });
                let words = format!(
                    "{} {}, {} {}: {}",
                    names[0],
                    middle[0],
                    names[1],
                    middle[1],
                    told(cell, verdict, row)
                );
                spots.push(Spot::cell(corners.map(|c| chart.backend_coord(&c)), row, words));
            }
        }
        legend(&lower, &entries)?;
        Ok(spots)
    }
}
