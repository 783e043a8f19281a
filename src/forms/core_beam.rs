//! The core as a beam on its prints: what the metal's lift or its own weight does to it, and the chaplets that it needs.
//!
//! The load lies on the part of the core that metal surrounds, by the round part of each section about the shaft; its prints are free
//! supports at their middles. Only that round part bears, with the vent taken off, so that the stress is rather too high where
//! hollows of pads stand on it.

use super::prints::{cored, radius_at};
use super::{Casting, Settings};
use crate::standards::core_prints::{SAND_BENDING, SAND_CORE, molten_density, round_section_modulus};
use crate::words::counted;

/// Stations at which the stress is asked.
const STATIONS: usize = 200;

/// Most spans into which chaplets divide a core.
const MOST_SPANS: usize = 12;

/// The core as a beam.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct CoreBeam {
    /// The load on the covered part, N: the larger of its net lift and its weight.
    pub(super) load: f64,
    /// Whether that acts upwards.
    pub(super) lifts: bool,
    /// Greatest bending stress, N/mm².
    pub(super) stress: f64,
    /// Where it is, from the gearbox face of the finished part, mm, unscaled.
    pub(super) station: f64,
    /// How many chaplets, evenly along the core, bring the stress within what sand bears.
    pub(super) chaplets: usize,
    /// First and last station of the covered part, mm, unscaled.
    pub(super) ends: [f64; 2],
}

/// A chaplet that a core needs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Chaplet {
    /// From the gearbox face of the finished part, mm, unscaled.
    pub station: f64,
    /// What it must bear, N.
    pub force: f64,
    /// Whether it stands on the core, which metal lifts; otherwise under it.
    pub on_top: bool,
}

/// Most that one chaplet bears, N: a head of 40 mm in green sand of 0.05 N/mm² (practice, from memory).
const MOST_FORCE: f64 = 60.0;

/// A beam with small loads along it.
#[derive(Clone, Debug)]
struct Beam {
    /// Supports; `None` where an end hangs free, and the other one holds it without turning.
    supports: [Option<f64>; 2],
    /// Stations and loads, N, in the order of their stations.
    loads: Vec<(f64, f64)>,
}

impl Beam {
    /// Bending moment at a station between the ends of the loads, N mm: of a beam on two supports from its front reaction, of one
    /// that hangs on one end from the loads beyond the station (statics).
    fn moment(&self, x: f64) -> f64 {
        let about = |wanted: fn(f64, f64) -> bool| {
            self.loads
                .iter()
                .filter(|(at, _)| wanted(*at, x))
                .map(|(at, load)| load * (at - x).abs())
                .sum::<f64>()
        };
        let (before, behind) = (about(|at, x| at < x), about(|at, x| at > x));
        match self.supports {
            [Some(a), Some(b)] => {
                let front = self.loads.iter().map(|(at, load)| load * (b - at)).sum::<f64>() / (b - a);
                front * (x - a) - before
            }
            [Some(_), None] => behind,
            [None, Some(_)] => before,
            [None, None] => f64::INFINITY,
        }
    }
}

impl CoreBeam {
    /// The beam of a casting's core, whose covered part ends at `ends`; `missing` are the ends at which there is no print. The metal
    /// bears the covered part with the force `buoyancy`, N; the prints bear `bearing`, N.
    pub(super) fn of(
        casting: &Casting,
        ends: [f64; 2],
        missing: [bool; 2],
        buoyancy: f64,
        bearing: f64,
    ) -> Option<Self> {
        let settings = &casting.settings;
        let lengths = settings.print_lengths;
        let middle = [ends[0] - 0.5 * lengths[0], ends[1] + 0.5 * lengths[1]];
        let supports = [0, 1].map(|k| (!missing[k]).then_some(middle[k]));
        let weight = buoyancy * SAND_CORE / molten_density(settings.family);
        let lift = buoyancy - weight;
        let load = lift.max(weight);
        let at = |k: usize| ends[0] + (ends[1] - ends[0]) * (k as f64 + 0.5) / STATIONS as f64;
        let radius = |x: f64| cored(&casting.moulded).filter_map(|p| radius_at(p, x)).fold(0.0, f64::max);
        let sections: Vec<(f64, f64)> = (0..STATIONS).map(|k| (at(k), radius(at(k)))).collect();
        let area: f64 = sections.iter().map(|(_, r)| r * r).sum();
        let loads = sections.iter().map(|(x, r)| (*x, load * r * r / area)).collect();
        let beam = Beam { supports, loads };
        let stress = |(x, r): &(f64, f64)| {
            let modulus = round_section_modulus(2.0 * r * settings.scale.radial(), settings.vent);
            // Lengths of the beam grow by the contraction as well.
            (modulus > 0.0).then(|| (beam.moment(*x).abs() * settings.scale.axial() / modulus, *x))
        };
        let (stress, station) = sections.iter().filter_map(stress).max_by(|a, b| a.0.total_cmp(&b.0))?;
        // In even spans on even supports the moment falls with the square of their number (from wL²/8 over each).
        let spans = (1..=MOST_SPANS).find(|n| stress / (n * n) as f64 <= SAND_BENDING);
        // What is beyond the bearing of the prints is for chaplets too.
        let needed = (spans.unwrap_or(MOST_SPANS) - 1).max(usize::from(load > bearing));
        let each = (load / MOST_FORCE).ceil() as usize;
        let chaplets = if needed == 0 { 0 } else { needed.max(each.saturating_sub(1)).min(MOST_SPANS - 1) };
        Some(Self { load, lifts: lift > weight, stress, station, chaplets, ends })
    }

    /// What the core maker and the moulder are told.
    pub(super) fn text(&self, settings: &Settings) -> String {
        let way = if self.lifts { "up, by the metal" } else { "down, by its weight before the metal comes" };
        let told = format!(
            "as a beam on its prints the core is bent {way}: {:.3} MPa at station {} under {:.1} N, of {SAND_BENDING} MPa that a sand core \
             bears (practice, from memory)",
            self.stress,
            settings.units.near(self.station * settings.scale.axial()),
            self.load
        );
        if self.chaplets == 0 {
            return format!("{told}; no chaplets needed");
        }
        let side = if self.lifts { "on top of it" } else { "under it" };
        format!(
            "{told}; set {} {side}, at {} {}, each for {:.0} N, or as near as the wall \
             there is plain (the casting's sheet tells where, or that there is no such place), or wires into the core: agree them with the foundry",
            counted(self.chaplets, "chaplet"),
            if self.chaplets == 1 { "station" } else { "stations" },
            self.places()
                .iter()
                .map(|x| settings.units.near(x * settings.scale.axial()))
                .collect::<Vec<_>>()
                .join(", "),
            self.load / (self.chaplets + 1) as f64
        )
    }

    /// The chaplets: even along the covered part, each with its share of the load.
    pub(super) fn needed(&self) -> Vec<Chaplet> {
        let force = self.load / (self.chaplets + 1) as f64;
        let one = |station| Chaplet { station, force, on_top: self.lifts };
        self.places().into_iter().map(one).collect()
    }

    /// Stations of the chaplets, mm, unscaled: they divide the covered part evenly.
    fn places(&self) -> Vec<f64> {
        let [from, to] = self.ends;
        (1..=self.chaplets).map(|k| from + (to - from) * k as f64 / (self.chaplets + 1) as f64).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Even load on two supports: wL²/8 in the middle (any textbook of statics, as Gere and Goodno, Mechanics of Materials, from
    /// memory); fixed at one end: wL²/2 there. A load of 100 N over the middle half of 400 mm: FL/4 (1 - 1/4).
    #[test]
    fn moments_of_simple_beams() {
        let near = |value: f64, want: f64| assert!((value - want).abs() < 1e-3 * want, "{value} for {want}");
        let even = |supports, (from, to): (f64, f64)| {
            let loads = (0..1000).map(|k| (from + (to - from) * (f64::from(k) + 0.5) / 1000.0, 0.1));
            Beam { supports, loads: loads.collect() }
        };
        near(even([Some(0.0), Some(400.0)], (0.0, 400.0)).moment(200.0), 100.0 * 400.0 / 8.0);
        near(even([Some(0.0), Some(400.0)], (100.0, 300.0)).moment(200.0), 100.0 * 400.0 / 4.0 * 0.75);
        near(even([Some(0.0), None], (0.0, 400.0)).moment(0.0), 100.0 * 400.0 / 2.0);
        near(even([None, Some(400.0)], (0.0, 400.0)).moment(400.0), 100.0 * 400.0 / 2.0);
    }

    /// A solid rod of 1.2 in radius on supports 50 in apart, under 24 lbf on each inch: 5.53 ksi (example 6b.2 of an open course page on
    /// beams, strengthandstiffness.com, read; no book with such an example was found).
    #[test]
    fn a_rod_under_even_load_has_the_stress_of_the_worked_example() {
        let (inch, pound) = (25.4, 4.448_221_615);
        let (length, load) = (50.0 * inch, 24.0 * 50.0 * pound);
        let loads = (0..1000).map(|k| (length * (f64::from(k) + 0.5) / 1000.0, load / 1000.0)).collect();
        let beam = Beam { supports: [Some(0.0), Some(length)], loads };
        let stress = beam.moment(0.5 * length) / round_section_modulus(2.0 * 1.2 * inch, 0.0);
        let ksi = stress * inch * inch / pound / 1000.0;
        assert!((ksi - 5.53).abs() < 0.005, "{ksi} ksi");
    }
}
