//! Two goals against each other, and the Pareto-optimal rows.

use plotters::coord::Shift;
use plotters::prelude::*;

use super::{COLOURS, FAINT, Figure, INK, LIMIT, Spot, legend, legend_height, roomy, text, tick};
use crate::report::sweep::words::number;
use crate::sweep::answers::Answers;
use crate::sweep::goal::Goal;

/// Colour of rows in which a check fails.
const INFEASIBLE: RGBColor = RGBColor(200, 200, 200);

/// The rows by their goals.
pub(super) struct Trade<'a> {
    pub(super) answers: &'a Answers,
}

impl Trade<'_> {
    pub(super) fn caption(&self) -> String {
        let [a, b] = [&self.answers.front.goals[0], &self.answers.front.goals[1]].map(Goal::words);
        format!("Rows by {a} and {b}; the line joins the Pareto-optimal ones.")
    }
}

impl Figure for Trade<'_> {
    fn draw<B: DrawingBackend>(&self, area: &DrawingArea<B, Shift>) -> Result<Vec<Spot>, String> {
        let entries = [
            (LIMIT, "front: Pareto-optimal rows".to_owned()),
            (COLOURS[0], "feasible: no check fails".to_owned()),
            (INFEASIBLE, "a check fails".to_owned()),
        ];
        let height = area.dim_in_pixel().1 as i32 - legend_height(entries.len()) as i32;
        let (upper, lower) = area.split_vertically(height);
        let front: Vec<(f64, f64)> = self.answers.front.rows.iter().map(|c| (c.has[0], c.has[1])).collect();
        let points = || self.answers.points.iter().map(|p| (p.has[0], p.has[1])).chain(front.iter().copied());
        let ends = |of: fn(&(f64, f64)) -> f64| {
            let all = points().map(|p| of(&p));
            let (a, b) = all.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), v| (a.min(v), b.max(v)));
            roomy(a, b, 0.05)
        };
        let ((left, right), (low, high)) = (ends(|p| p.0), ends(|p| p.1));
        let mut chart = ChartBuilder::on(&upper);
        chart.margin(14).margin_right(28).x_label_area_size(50).y_label_area_size(80);
        chart.caption("One goal against the other", text(22));
        let mut chart = chart.build_cartesian_2d(left..right, low..high).map_err(|e| e.to_string())?;
        let goals = &self.answers.front.goals;
        chart
            .configure_mesh()
            .light_line_style(TRANSPARENT)
            .bold_line_style(FAINT)
            .axis_style(INK)
            .x_desc(goals[0].words())
            .y_desc(goals[1].words())
            .axis_desc_style(text(17))
            .label_style(text(15))
            .x_label_formatter(&|v| tick(*v, right - left))
            .y_label_formatter(&|v| tick(*v, high - low))
            .draw()
            .map_err(|e| e.to_string())?;
        for (feasible, colour) in [(false, INFEASIBLE), (true, COLOURS[0])] {
            let own = self.answers.points.iter().filter(|p| p.feasible == feasible);
            let dots = own.map(|p| Circle::new((p.has[0], p.has[1]), 3, colour.filled()));
            chart.draw_series(dots).map_err(|e| e.to_string())?;
        }
        let line = LineSeries::new(front.iter().copied(), LIMIT.stroke_width(2));
        chart.draw_series(line).map_err(|e| e.to_string())?;
        let dots = front.iter().map(|p| Circle::new(*p, 5, LIMIT.filled()));
        chart.draw_series(dots).map_err(|e| e.to_string())?;
        legend(&lower, &entries)?;
        let rows = self.answers.points.iter().map(|p| (p.index, (p.has[0], p.has[1])));
        let best = self.answers.front.rows.iter().map(|c| (c.index, (c.has[0], c.has[1])));
        // Those of the front lie on top, as their dots do.
        let spot = |(row, at): (u64, (f64, f64))| {
            let words = format!(
                "{} {}, {} {}: row {row}",
                goals[0].words(),
                number(at.0),
                goals[1].words(),
                number(at.1)
            );
            Spot::dot(chart.backend_coord(&at), row, words)
        };
        Ok(rows.chain(best).map(spot).collect())
    }
}
