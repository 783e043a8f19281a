//! Least margin of the checks nearest to failing, along one axis.

use plotters::coord::Shift;
use plotters::prelude::*;

use super::{
    BEYOND, COLOURS, FAINT, Figure, INK, LIMIT, Spot, label, legend, legend_height, roomy, text, tick,
};
use crate::checks::form_of;
use crate::design::Form;
use crate::report::sweep::words::number;
use crate::sweep::axis::AxisValues;
use crate::sweep::moving::Moving;
use crate::sweep::ranges::{Bin, Bins};

/// Greatest number of checks with a curve.
const CURVES: usize = COLOURS.len();

/// A check that never comes nearer to its limit is not shown beside those that do, mm.
const FAR: f64 = 12.0;

/// Margins along an axis.
pub(super) struct Margins<'a> {
    pub(super) bins: &'a Bins,
    /// Names of what is measured.
    pub(super) moving: &'a Moving,
    /// Whether other parameters vary too.
    pub(super) others: bool,
    /// Whether those of casting and trial print are shown, instead of the part's.
    pub(super) forms: bool,
}

/// A check's name and its margins by values, each with the row that has it.
type Curve = (String, Vec<(f64, f64, u64)>);

impl Margins<'_> {
    pub(super) fn is_worth_drawing(&self) -> bool {
        self.filled().len() > 1 && !self.curves().is_empty()
    }

    pub(super) fn caption(&self) -> String {
        let over = if self.others { ", the least over all other parameters" } else { "" };
        format!(
            "How far those measurements of {} that change along it and come nearest to failing stay inside their limits, along {}{over}; shaded where no \
             row passes all checks.",
            self.of(),
            label(&self.bins.axis)
        )
    }

    fn of(&self) -> &'static str {
        if self.forms { "casting and trial print" } else { "the part" }
    }

    /// Bins that have rows, by their middle values.
    fn filled(&self) -> Vec<(f64, &Bin)> {
        let all = self.bins.bins.iter().filter_map(|s| s.values.map(|(a, b)| (f64::midpoint(a, b), s)));
        let mut all: Vec<_> = all.collect();
        all.sort_by(|a, b| a.0.total_cmp(&b.0));
        all
    }

    /// The measurements that change along the axis and come nearest to their limits, nearest first.
    fn curves(&self) -> Vec<Curve> {
        let filled = self.filled();
        let curve = |(number, (check, what)): (u32, (&str, &str))| -> Curve {
            let at = |(x, s): &(f64, &Bin)| s.margins.get(&number).map(|(m, row)| (*x, *m, *row));
            (format!("{check}: {what}"), filled.iter().filter_map(at).collect())
        };
        let least = |c: &Curve| c.1.iter().map(|p| p.1).fold(f64::INFINITY, f64::min);
        let most = |c: &Curve| c.1.iter().map(|p| p.1).fold(f64::NEG_INFINITY, f64::max);
        let telling = |c: &Curve| c.1.len() > 1 && Moving::is(least(c), most(c)) && least(c) < FAR;
        let wanted = |(_, (check, _)): &(u32, (&str, &str))| {
            (form_of(check).unwrap_or(Form::Finished) != Form::Finished) == self.forms
        };
        let names = self.moving.names().into_iter().filter(wanted);
        let mut curves: Vec<Curve> = names.map(curve).filter(telling).collect();
        curves.sort_by(|a, b| least(a).total_cmp(&least(b)));
        curves.truncate(CURVES);
        curves
    }

    /// Ranges of values around bins in which no row is feasible.
    fn beyond(&self) -> Vec<(f64, f64)> {
        let filled = self.filled();
        let edge = |k: usize| match (k.checked_sub(1).and_then(|p| filled.get(p)), filled.get(k)) {
            (Some(a), Some(b)) => f64::midpoint(a.0, b.0),
            (None, Some(b)) => b.0,
            (Some(a), None) => a.0,
            (None, None) => 0.0,
        };
        let none = (0..filled.len()).filter(|k| filled[*k].1.feasible == 0);
        none.map(|k| (edge(k), edge(k + 1))).collect()
    }
}

impl Figure for Margins<'_> {
    fn draw<B: DrawingBackend>(&self, area: &DrawingArea<B, Shift>) -> Result<Vec<Spot>, String> {
        let curves = self.curves();
        let height = area.dim_in_pixel().1 as i32 - legend_height(curves.len()) as i32;
        let (upper, lower) = area.split_vertically(height);
        let values = || curves.iter().flat_map(|c| &c.1);
        let ends = |of: fn(&(f64, f64, u64)) -> f64| {
            values().map(of).fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), v| (a.min(v), b.max(v)))
        };
        let ((left, right), (low, high)) = (ends(|p| p.0), ends(|p| p.1));
        let (low, high) = roomy(low.min(0.0), high.max(0.0), 0.06);
        let mut chart = ChartBuilder::on(&upper);
        chart.margin(14).margin_right(28).x_label_area_size(50).y_label_area_size(70);
        chart.caption(format!("Margins of {} along {}", self.of(), self.bins.axis.key.text()), text(22));
        let mut chart = chart.build_cartesian_2d(left..right, low..high).map_err(|e| e.to_string())?;
        let shades =
            self.beyond().into_iter().map(|(a, b)| Rectangle::new([(a, low), (b, high)], BEYOND.filled()));
        chart.draw_series(shades).map_err(|e| e.to_string())?;
        chart
            .configure_mesh()
            .light_line_style(TRANSPARENT)
            .bold_line_style(FAINT)
            .axis_style(INK)
            .x_desc(label(&self.bins.axis))
            .y_desc("margin to failing, mm")
            .axis_desc_style(text(17))
            .label_style(text(15))
            .x_label_formatter(&|x| tick(*x, right - left))
            .y_label_formatter(&|y| tick(*y, high - low))
            .draw()
            .map_err(|e| e.to_string())?;
        let mut spots = Vec::new();
        for ((name, points), colour) in curves.iter().zip(COLOURS) {
            let line = LineSeries::new(points.iter().map(|p| (p.0, p.1)), colour.stroke_width(2));
            chart.draw_series(line).map_err(|e| e.to_string())?;
            if points.len() <= 60 || matches!(self.bins.axis.spread, AxisValues::List(_)) {
                let dots = points.iter().map(|p| Circle::new((p.0, p.1), 3, colour.filled()));
                chart.draw_series(dots).map_err(|e| e.to_string())?;
            }
            let unit = &self.bins.axis.shown;
            spots.extend(points.iter().map(|(x, margin, row)| {
                let words =
                    format!("{} {unit}: {name}, margin {} mm, row {row}", number(*x), number(*margin));
                Spot::dot(chart.backend_coord(&(*x, *margin)), *row, words)
            }));
        }
        let limit = [(left, 0.0), (right, 0.0)];
        let dashes = DashedLineSeries::new(limit, 8, 5, LIMIT.stroke_width(2));
        chart.draw_series(dashes).map_err(|e| e.to_string())?;
        let above = chart.backend_coord(&(right, 0.0));
        upper
            .draw_text("limit", &text(15).color(&LIMIT), (above.0 - 34, above.1 - 19))
            .map_err(|e| e.to_string())?;
        let entries: Vec<_> =
            curves.into_iter().zip(COLOURS).map(|((name, _), colour)| (colour, name)).collect();
        legend(&lower, &entries)?;
        Ok(spots)
    }
}
