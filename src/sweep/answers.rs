//! The summary of all rows of a sweep, gathered row by row, so that memory does not grow with their number.

use std::path::Path;

use serde_json::{Value, json};

use super::axis::Axis;
use super::effects::{Effect, Effects};
use super::goal::{Best, Front, Goal, Objective};
use super::moving::Moving;
use super::ranges::Bins;
use super::row::{RowVerdict, SweepRow};
use super::store::{Folder, StoreError};

/// Cells of a map along each axis, at most.
const CELLS: usize = 60;

/// Approximate number of points kept for plots.
const POINTS: u64 = 1_500;

/// Number of axes that get a map for each pair.
const MAPPED: usize = 3;

/// Two axes, cut into cells.
#[derive(Clone, Debug)]
pub struct Map {
    /// Which axes: across and up.
    pub axes: [usize; 2],
    /// Number of cells.
    pub size: [usize; 2],
    /// The cells, by rows from the bottom.
    pub cells: Vec<MapCell>,
    bins: [Bins; 2],
}

/// A cell of a map.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct MapCell {
    /// Rows in it.
    pub rows: u64,
    /// Rows in which no check fails.
    pub feasible: u64,
    /// The best verdict, and the first row that has it.
    pub best: Option<(RowVerdict, u64)>,
}

/// A row's goals, for a plot.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// The row's number.
    pub index: u64,
    /// Its values of both goals.
    pub has: [f64; 2],
    /// Whether no check fails.
    pub feasible: bool,
}

/// The summary of a sweep.
#[derive(Clone, Debug)]
pub struct Answers {
    /// The identity of the sweep.
    pub identity: Value,
    /// The axes that were varied.
    pub axes: Vec<Axis>,
    /// The keys that were set: axes and links.
    pub keys: Vec<String>,
    /// The units in which their values are; empty where there is none.
    pub units: Vec<String>,
    /// Rows.
    pub rows: u64,
    /// Rows by their verdicts, in the order of [`RowVerdict::ALL`].
    pub verdicts: [u64; RowVerdict::ALL.len()],
    /// Each axis by its values.
    pub ranges: Vec<Bins>,
    /// The best row for each goal.
    pub best: Vec<Best>,
    /// The rows on the front of both goals.
    pub front: Front,
    /// How margins change with the parameters.
    pub effects: Vec<Effect>,
    /// Which measurements change.
    pub moving: Moving,
    /// Whether there were more measurements than are tracked.
    pub effects_cut_off: bool,
    /// Maps of axes.
    pub maps: Vec<Map>,
    /// A selection of rows by their goals.
    pub points: Vec<Point>,
}

impl Map {
    fn new(axes: &[Axis], pair: [usize; 2], sampled: bool) -> Self {
        let bins = pair.map(|k| {
            let mut bins = Bins::new(axes, k, sampled);
            bins.bins.truncate(CELLS);
            bins
        });
        let size = [bins[0].bins.len(), bins[1].bins.len()];
        Self { axes: pair, size, cells: vec![MapCell::default(); size[0] * size[1]], bins }
    }

    fn take(&mut self, axes: &[Axis], row: &SweepRow) {
        let [x, y] = [&self.bins[0], &self.bins[1]].map(|s| s.of(axes, row));
        let cell = &mut self.cells[y * self.size[0] + x];
        cell.rows += 1;
        cell.feasible += u64::from(row.verdict.is_feasible());
        let own = (row.verdict, row.index);
        cell.best = Some(cell.best.map_or(own, |best| best.min(own)));
    }
}

/// The units of the axes and of the linked values.
fn units(axes: &[Axis], identity: &Value) -> Vec<String> {
    let linked = identity["link_units"].as_array().into_iter().flatten();
    let linked = linked.map(|unit| unit.as_str().unwrap_or_default().to_owned());
    axes.iter().map(|axis| axis.shown.clone()).chain(linked).collect()
}

impl Answers {
    /// Reads all rows of a sweep twice: the measurements that change must be known before the best rows can be found.
    ///
    /// # Errors
    /// If they cannot be read.
    pub fn gather(path: &Path, goals: [Goal; 2]) -> Result<Self, StoreError> {
        let mut folder = Folder::open(path)?;
        let identity = folder.identity.clone();
        let text = |a: &Value| Some(format!("{}={}", a["key"].as_str()?, a["values"].as_str()?));
        let parsed = |a: &Value| {
            let mut axis = Axis::parse(&text(a)?).ok()?;
            a["unit"].as_str()?.clone_into(&mut axis.shown);
            Some(axis)
        };
        let over = identity["over"].as_array().ok_or(StoreError::Foreign)?;
        let axes: Vec<Axis> = over.iter().map(parsed).collect::<Option<_>>().ok_or(StoreError::Foreign)?;
        let sampled = !identity["sample"].is_null();
        let wanted = identity["rows"].as_u64().unwrap_or(1);
        let shown = axes.len().min(MAPPED);
        let pairs = (0..shown).flat_map(|a| (a + 1..shown).map(move |b| [a, b]));
        let mut out = Self {
            ranges: (0..axes.len()).map(|k| Bins::new(&axes, k, sampled)).collect(),
            best: goals.iter().cloned().map(Best::new).collect(),
            maps: pairs.map(|pair| Map::new(&axes, pair, sampled)).collect(),
            front: Front::new(goals),
            keys: folder.keys.clone(),
            units: units(&axes, &identity),
            axes,
            identity,
            rows: 0,
            verdicts: [0; RowVerdict::ALL.len()],
            effects: vec![],
            moving: Moving::default(),
            effects_cut_off: false,
            points: vec![],
        };
        let mut effects = Effects::new(&out.axes);
        let stride = wanted.div_ceil(POINTS).max(1);
        while let Some(row) = folder.next_row()? {
            effects.take(&row);
        }
        (out.effects_cut_off, out.moving, out.effects) = (effects.cut_off, effects.moving(), effects.all());
        let mut folder = Folder::open(path)?;
        while let Some(row) = folder.next_row()? {
            out.take(&row, stride);
        }
        Ok(out)
    }

    fn take(&mut self, row: &SweepRow, stride: u64) {
        self.rows += 1;
        self.verdicts[row.verdict as usize] += 1;
        let (axes, moving) = (&self.axes, &self.moving);
        self.ranges.iter_mut().for_each(|r| r.take(axes, row, moving));
        self.maps.iter_mut().for_each(|m| m.take(axes, row));
        let feasible = row.verdict.is_feasible();
        if feasible {
            self.best.iter_mut().for_each(|b| b.take(row, moving));
            self.front.take(row, moving);
        }
        let [a, b] = [&self.front.goals[0], &self.front.goals[1]].map(|g| g.of(row, moving));
        if let (Some(a), Some(b), true) = (a, b, row.index.is_multiple_of(stride)) {
            self.points.push(Point { index: row.index, has: [a, b], feasible });
        }
    }

    /// Whether all rows of the sweep are there.
    pub fn is_whole(&self) -> bool {
        self.identity["rows"].as_u64() == Some(self.rows)
    }

    /// Rows in which no check fails.
    pub fn feasible(&self) -> u64 {
        let all = RowVerdict::ALL.iter().zip(self.verdicts);
        all.filter(|(v, _)| v.is_feasible()).map(|(_, n)| n).sum()
    }

    /// The whole summary, for programs.
    pub fn to_json(&self) -> Value {
        let values = |c: &Objective| {
            self.keys
                .iter()
                .cloned()
                .zip(c.values.iter().map(|v| json!(v)))
                .collect::<serde_json::Map<_, _>>()
        };
        let verdicts =
            RowVerdict::ALL.iter().zip(self.verdicts).map(|(v, n)| (v.word().to_owned(), json!(n)));
        let range = |bins: &Bins| {
            let stretch = |s: &super::ranges::FeasibleRange| json!({ "from": s.from, "to": s.to, "ended_below_by": s.below, "ended_above_by": s.above });
            json!({
                "key": bins.axis.key.text(),
                "unit": bins.axis.shown,
                "feasible": bins.stretches().iter().map(stretch).collect::<Vec<_>>(),
            })
        };
        let best = |b: &Best| {
            json!({
                "goal": b.goal.words(),
                "row": b.row.as_ref().map(|c| c.index),
                "has": b.row.as_ref().and_then(|c| c.has.first()),
                "values": b.row.as_ref().map(values),
                "warns": b.row.as_ref().map(|c| &c.warns),
            })
        };
        let effect = |e: &Effect| {
            let slopes = e.slopes.as_ref().map(|slopes| {
                let named = self.axes.iter().map(|a| a.key.text().to_owned());
                named.zip(slopes.iter().map(|s| json!(s))).collect::<serde_json::Map<_, _>>()
            });
            json!({
                "check": e.check, "what": e.what, "unit": e.unit, "rows": e.rows, "least_margin": e.least,
                "greatest_margin": e.most,
                "change_for_one_unit": slopes, "explained": e.explained,
            })
        };
        json!({
            "sweep": self.identity,
            "rows": self.rows,
            "verdicts": verdicts.collect::<serde_json::Map<_, _>>(),
            "ranges": self.ranges.iter().map(range).collect::<Vec<_>>(),
            "best": self.best.iter().map(best).collect::<Vec<_>>(),
            "front": {
                "goals": self.front.goals.iter().map(Goal::words).collect::<Vec<_>>(),
                "rows": self.front.rows.iter()
                    .map(|c| json!({ "row": c.index, "has": c.has, "values": values(c) })).collect::<Vec<_>>(),
            },
            "effects": self.effects.iter().map(effect).collect::<Vec<_>>(),
            "effects_cut_off": self.effects_cut_off,
        })
    }
}
