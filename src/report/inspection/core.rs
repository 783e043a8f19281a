//! How far the core of a raw casting lay off, and the cast walls that leaves: for the terminal and as JSON.

use serde_json::{Value, json};

use super::plan::bare;
use crate::checks::Limit;
use crate::inspection::{self, CastWall, CoreAt, CoreShift, ItemVerdict, at_least};
use crate::report::columns::{self, Align};
use crate::units::Units;
use crate::words::counted;
use solidwright::probe::Probe;

/// The core of a casting, with the walls between it and the outside.
#[derive(Clone, Debug, PartialEq)]
pub struct CoreReport {
    /// Its shift; none where the points do not tell it.
    pub shift: Option<CoreShift>,
    /// Walls that stay as cast, thinnest first.
    pub walls: Vec<CastWall>,
    /// The least that such a wall may have.
    pub limit: Limit,
}

impl CoreReport {
    /// A core with its walls. `cast` is the exact nominal casting.
    pub fn of(shift: Option<CoreShift>, cast: &Probe, limit: Limit) -> Self {
        let walls = shift.as_ref().map(|s| inspection::cast_walls(cast, s)).unwrap_or_default();
        Self { shift, walls, limit }
    }

    fn verdict(&self, wall: &CastWall) -> ItemVerdict {
        at_least(wall.left, wall.uncertainty, self.limit.value)
    }

    /// Whether every wall is thick enough for certain.
    pub fn serves(&self) -> bool {
        self.walls.iter().all(|w| self.verdict(w) == ItemVerdict::Conforms)
    }
}

/// What is said of a wall.
pub(super) const fn wall_word(verdict: ItemVerdict) -> &'static str {
    match verdict {
        ItemVerdict::DoesNotConform => "too thin",
        ItemVerdict::Undecided => "undecided",
        ItemVerdict::NotMeasured | ItemVerdict::Conforms => "",
    }
}

/// Walls that are listed where all of them are thick enough.
const SHOWN: usize = 3;

/// How far the core lay off the outside, and the thinnest walls.
pub fn core_text(units: Units, core: &CoreReport) -> String {
    let Some(shift) = &core.shift else {
        return "  core against outside: not told by these points\n".to_owned();
    };
    let rounded = |x: f64| bare(units, (x * 1e3).round() / 1e3);
    let at = |e: &CoreAt| {
        let [y, z] = e.shift.map(|s| format!("{} ±{}", rounded(s.value), rounded(s.uncertainty)));
        format!("Y {y}, Z {z}")
    };
    let [front, rear] = &shift.ends;
    let where_ = if shift.tilt_told {
        format!("{} at X {}, {} at X {}", at(front), rounded(front.station), at(rear), rounded(rear.station))
    } else {
        format!("{} (its places lie too close together to tell a tilt)", at(front))
    };
    let mut out = format!("  the core lies off the outside by {where_}\n");
    if core.walls.is_empty() {
        return out + "  no wall between core and outside stays as cast on both of its sides\n";
    }
    let heads = ["cast wall, by the core's shift", "at X, Y, Z", "planned", "left", "±", ""]
        .map(str::to_owned)
        .to_vec();
    let row = |w: &CastWall| {
        vec![
            w.name.clone(),
            [w.at.x, w.at.y, w.at.z].map(|x| bare(units, (x * 10.0).round() / 10.0)).join(", "),
            rounded(w.planned),
            rounded(w.left),
            rounded(w.uncertainty),
            wall_word(core.verdict(w)).to_owned(),
        ]
    };
    let told = core.walls.iter().enumerate();
    let told =
        told.filter(|(k, w)| *k < SHOWN || core.verdict(w) != ItemVerdict::Conforms).map(|(_, w)| row(w));
    out += &columns::text(std::iter::once(heads).chain(told), 2, &[Align::Left, Align::Right]);
    out += &format!(
        "  {} looked at; the least is {} ({})\n",
        counted(core.walls.len(), "wall"),
        rounded(core.limit.value),
        core.limit.source
    );
    out
}

/// The same as JSON; lengths in mm.
pub(super) fn core_figures(core: &CoreReport) -> Value {
    let at = |e: &CoreAt| {
        json!({
            "station": e.station,
            "shift": e.shift.map(|s| s.value),
            "uncertainty": e.shift.map(|s| s.uncertainty),
        })
    };
    let wall = |w: &CastWall| {
        json!({
            "between": w.name, "at": [w.at.x, w.at.y, w.at.z], "planned": w.planned, "left": w.left,
            "uncertainty": w.uncertainty, "verdict": core.verdict(w).words(),
        })
    };
    json!({
        "front": core.shift.as_ref().map(|s| at(&s.ends[0])),
        "rear": core.shift.as_ref().map(|s| at(&s.ends[1])),
        "tilt_told": core.shift.as_ref().map(|s| s.tilt_told),
        "least_wall": core.limit.value,
        "walls": core.walls.iter().map(wall).collect::<Vec<_>>(),
    })
}
