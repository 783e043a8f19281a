//! Sprue, runners and gates on the parting plane.

use super::bodies::{self, Block};
use super::contacts::Contact;
use super::footprint::Footprint;
use super::{GatingSystem, RiggingBody, RiggingError, SAND, Site};
use crate::checks::Gating;
use crate::faces::Feature;
use solidwright::geometry::{P2, V2};
use std::f64::consts::PI;

/// Widths of a gate, mm: a narrower one is taken where no wider one has room (practice, no source).
pub(super) const WIDTHS: [f64; 3] = [45.0, 30.0, 20.0];

/// Greatest number of gates on a side.
const MOST: usize = 5;

/// Gates on one side will do if they need be no thicker than this many walls; no gate is drawn thicker, since it would leave a hot spot
/// (practice, no source).
const THICK: f64 = 2.0;

/// How squarely a gate meets the casting: least cosine.
const SQUARE: f64 = 0.8;

/// How far a runner runs on beyond its last gate, mm: it takes up the first, cold metal (practice, no source).
const RUN_ON: f64 = 30.0;

/// How far the corners of a gate reach into the casting's metal, mm, and how deep its middle may for that on a sloping wall.
const INTO: f64 = 2.0;
const DEEPEST: f64 = 14.0;

/// Height of the metal in the basin over the sprue, mm, and its width in diameters of the sprue's top.
pub(super) const BASIN: f64 = 50.0;
pub(super) const BASIN_WIDE: f64 = 2.0;

/// Where a gate meets the casting, and how deep its end lies in the metal there.
#[derive(Clone, Copy)]
struct Gate {
    at: P2,
    into: f64,
}

/// Gates on one side of the shaft.
struct SideGates {
    /// 1 or -1 across the shaft.
    sign: f64,
    gates: Vec<Gate>,
    /// Where the runner's middle lies across the shaft.
    line: f64,
}

/// A gating system on the plane.
pub(super) struct Laid {
    sides: Vec<SideGates>,
    /// Where the sprue stands, at the rear end of the runner, or in the middle of the one that joins both sides.
    foot: P2,
    runner: f64,
    /// Width and thickness of a gate.
    gate: [f64; 2],
    /// Diameters of the sprue at its foot and top, and its height.
    sprue: [f64; 3],
}

/// A system of the given areas, with gates of the greatest width that has room. `None` where none has.
pub(super) fn lay(site: &Site, gating: &Gating, taken: &Footprint) -> Option<Laid> {
    WIDTHS.into_iter().find_map(|wide| of_width(site, gating, taken, wide))
}

/// A system with gates of one width: on the side with most room, or on both sides where those would be too thick; a runner
/// beside the casting, and a sprue at its rear end.
fn of_width(site: &Site, gating: &Gating, taken: &Footprint, wide: f64) -> Option<Laid> {
    let [foot, runners, gates] = gating.areas;
    let mut found: Vec<(f64, Vec<Gate>)> =
        [1.0, -1.0].into_iter().map(|sign| (sign, side(site, taken, sign, wide))).collect();
    found.retain(|(_, gates)| !gates.is_empty());
    found.sort_by_key(|(_, gates)| std::cmp::Reverse(gates.len()));
    let thick =
        |sides: &[(f64, Vec<Gate>)]| gates / (wide * sides.iter().map(|s| s.1.len()).sum::<usize>() as f64);
    if found.first().is_some_and(|_| thick(&found[..1]) <= THICK * gating.wall) {
        found.truncate(1);
    }
    if found.is_empty() {
        return None;
    }
    let (thick, runner) = (thick(&found).min(THICK * gating.wall), (runners / found.len() as f64).sqrt());
    let round = |area: f64| 2.0 * (area / PI).sqrt();
    let sprue = [round(foot), round(gating.top), gating.heads[0]];
    let xs = found.iter().flat_map(|s| s.1.iter().map(|g| g.at.x));
    let (first, last) = xs.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), x| (a.min(x), b.max(x)));
    let both = found.len() > 1;
    let rear = if both {
        taken.reach(V2::x(), |_| true) + SAND + 0.5 * runner.max(sprue[1])
    } else {
        last + 0.5 * wide + SAND + 0.5 * sprue[1]
    };
    let from = first - 0.5 * wide - RUN_ON - SAND;
    let line = |sign: f64| {
        let beside = taken.reach(V2::new(0.0, sign), |p| p.x > from && p.x < rear + 0.5 * runner + SAND);
        sign * (beside + SAND + 0.5 * runner.max(sprue[1]))
    };
    let sides: Vec<SideGates> =
        found.into_iter().map(|(sign, gates)| SideGates { sign, gates, line: line(sign) }).collect();
    let foot = P2::new(rear, if both { 0.0 } else { sides[0].line });
    Some(Laid { sides, foot, runner, gate: [wide, thick], sprue })
}

/// Gates on one side, evenly over the rim that has room.
fn side(site: &Site, taken: &Footprint, sign: f64, wide: f64) -> Vec<Gate> {
    let way = V2::new(0.0, sign);
    let into = |c: &Contact| {
        let corners = |deep: f64| {
            [-0.48, 0.48].iter().all(|share| {
                let p = c.at + V2::new(share * wide, -sign * (deep - INTO));
                site.casting.contains(site.parting.place(p, 1.0))
            })
        };
        let steps = (0..).map(|k| 2.0 * INTO + f64::from(k)).take_while(|deep| *deep <= DEEPEST);
        steps.filter(|deep| corners(*deep)).map(|into| Gate { at: c.at, into }).next()
    };
    let free = |c: &&Contact| {
        let far = taken.reach(way, |p| (p.x - c.at.x).abs() < 0.5 * wide + SAND) + SAND;
        // The sender's boss and those of plugs are too small to run metal through.
        let stout = ![Feature::SenderBoss, Feature::Plugs].contains(&c.feature);
        stout
            && c.out.dot(&way) >= SQUARE
            && taken.strip_is_free(c.at + way * DEEPEST, P2::new(c.at.x, sign * far), 0.5 * wide + 0.5 * SAND)
    };
    let mut open: Vec<Gate> = site.contacts.iter().filter(free).filter_map(into).collect();
    open.sort_by(|a, b| a.at.x.total_cmp(&b.at.x).then(a.at.y.total_cmp(&b.at.y)));
    let mut close: Vec<Gate> = Vec::new();
    for gate in open {
        if close.last().is_none_or(|last| gate.at.x - last.at.x > wide + SAND) {
            close.push(gate);
        }
    }
    let most = close.len().min(MOST);
    // The first and the last, and evenly between them.
    (0..most).map(|k| close[if most > 1 { k * (close.len() - 1) / (most - 1) } else { 0 }]).collect()
}

impl Laid {
    /// The bars of all runners, in the lower half of the mould.
    fn runners(&self) -> Vec<Block> {
        let half = 0.5 * self.runner;
        let mut out = Vec::new();
        if self.sides.len() > 1 {
            let lines = self.sides.iter().map(|s| s.line);
            let (low, high) = lines.fold((0.0f64, 0.0f64), |(l, h), v| (l.min(v), h.max(v)));
            out.push(Block {
                low: P2::new(self.foot.x - half, low - half),
                high: P2::new(self.foot.x + half, high + half),
                thick: -self.runner,
            });
        }
        // A lone runner takes the whole foot of its sprue.
        let end = self.foot.x + if self.sides.len() > 1 { 0.0 } else { half };
        for side in &self.sides {
            let first = side.gates.iter().map(|g| g.at.x).fold(f64::INFINITY, f64::min);
            out.push(Block {
                low: P2::new(first - 0.5 * self.gate[0] - RUN_ON, side.line - half),
                high: P2::new(end, side.line + half),
                thick: -self.runner,
            });
        }
        out
    }

    /// The gates, in the upper half, each over most of its runner's width, with the volume of its end in the casting.
    fn gates(&self) -> Vec<(Block, f64)> {
        let one = |side: &SideGates, g: &Gate| {
            let (from, to) = (g.at.y - side.sign * g.into, side.line + side.sign * 0.4 * self.runner);
            let low = P2::new(g.at.x - 0.5 * self.gate[0], from.min(to));
            let high = P2::new(g.at.x + 0.5 * self.gate[0], from.max(to));
            (Block { low, high, thick: self.gate[1] }, g.into * self.gate[0] * self.gate[1])
        };
        self.sides.iter().flat_map(|side| side.gates.iter().map(move |g| one(side, g))).collect()
    }

    /// Metal of it all, without draft, mm³.
    pub(super) fn volume(&self) -> f64 {
        let runners: f64 = self.runners().iter().map(Block::volume).sum();
        // Two runners meet in half a square.
        let corners =
            if self.sides.len() > 1 { 0.5 * self.runner.powi(3) * self.sides.len() as f64 } else { 0.0 };
        let gates: f64 = self.gates().iter().map(|(gate, hidden)| gate.volume() - hidden).sum();
        let [foot, top, height] = self.sprue.map(|d| 0.5 * d);
        let sprue = PI * 2.0 * height / 3.0 * (foot * foot + foot * top + top * top);
        let basin = PI * (BASIN_WIDE * top).powi(2) * BASIN;
        runners - corners + gates + sprue + basin
    }

    /// Its solids.
    pub(super) fn bodies(&self, site: &Site) -> Result<Vec<RiggingBody>, RiggingError> {
        let mut out =
            vec![bodies::sprue(self.foot, self.sprue, site)?, bodies::runner(&self.runners(), site)?];
        for (k, (gate, hidden)) in self.gates().iter().enumerate() {
            out.push(bodies::gate(k + 1, gate, *hidden, site)?);
        }
        Ok(out)
    }

    /// What it is, for people.
    pub(super) fn told(&self, site: &Site) -> GatingSystem {
        let place = |p: P2| site.parting.place(p, 0.0);
        GatingSystem {
            sprue: place(self.foot),
            diameters: [self.sprue[0], self.sprue[1]],
            runners: self.sides.len(),
            runner: [self.runner; 2],
            gates: self.sides.iter().flat_map(|s| s.gates.iter().map(|g| place(g.at))).collect(),
            gate: self.gate,
        }
    }
}
