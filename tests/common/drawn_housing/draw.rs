//! Numbers as people write them: round ones in the file's own unit.

use super::random::Random;

const INCH: f64 = 25.4;

/// Where the numbers of a file come from.
pub struct Draw {
    seed: u64,
    random: Random,
    pub inch: bool,
}

impl Draw {
    pub fn new(seed: u64) -> Self {
        let mut random = Random::new(seed);
        let inch = random.unit() < 0.3;
        Self { seed, random, inch }
    }

    /// Numbers of their own for a part of the file: what it draws moves nothing else.
    pub fn aside(&self, part: u64) -> Self {
        let random = Random::new(self.seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) ^ part);
        Self { random, ..*self }
    }

    /// Whether something of this share of all files is so here.
    pub fn chance(&mut self, share: f64) -> bool {
        self.random.unit() < share
    }

    pub fn pick<T: Copy>(&mut self, from: &[T]) -> T {
        from[self.random.below(from.len())]
    }

    /// A whole number, both ends included.
    pub fn count(&mut self, least: usize, most: usize) -> usize {
        least + self.random.below(most - least + 1)
    }

    /// Anywhere between two numbers.
    pub fn between(&mut self, least: f64, most: f64) -> f64 {
        least + (most - least) * self.random.unit()
    }

    /// A length in mm between two others, round in the file's unit: the longer the room, the rounder.
    pub fn length(&mut self, least: f64, most: f64) -> f64 {
        let grid = self.grid(most - least);
        let at = self.between(least, most);
        self.nearest(at, least, most, grid)
    }

    /// A round length a little above another.
    pub fn above(&mut self, least: f64, room: f64) -> f64 {
        self.length(least, least + room)
    }

    /// The roundest length near one that follows from others.
    pub fn near(&mut self, at: f64) -> f64 {
        let grid = self.grid(0.08 * at.abs());
        round(at, grid)
    }

    fn grid(&mut self, room: f64) -> f64 {
        let grids: [f64; 4] =
            if self.inch { [INCH / 2.0, INCH / 4.0, INCH / 8.0, INCH / 16.0] } else { [10.0, 5.0, 1.0, 0.5] };
        // People take the coarse steps where there is room for them, but not always.
        let fine = if self.inch { 3 } else { 2 };
        let rough = grids.iter().position(|g| room >= 4.0 * g).unwrap_or(3);
        if rough < fine && self.chance(0.45) { grids[self.count(rough + 1, fine)] } else { grids[rough] }
    }

    /// On the coarsest grid no finer than asked that has a line in the range; its middle if none has.
    fn nearest(&self, at: f64, least: f64, most: f64, grid: f64) -> f64 {
        let finer = if self.inch { INCH / 64.0 } else { 0.1 };
        for step in [grid, grid / 2.0, grid / 4.0, finer] {
            let low = (least / step - 1e-9).ceil() * step;
            let high = (most / step + 1e-9).floor() * step;
            if low <= high {
                return round(at, step).clamp(low, high);
            }
        }
        0.5 * (least + most)
    }

    /// A clock angle near a direction: mostly that itself, else a few degrees or a round angle off.
    pub fn clock(&mut self, about: f64) -> f64 {
        let off = match self.count(0, 9) {
            0..=3 => 0.0,
            4 => self.pick(&[15.0, -15.0]),
            5 => self.pick(&[30.0, -30.0]),
            6 => self.pick(&[45.0, -45.0]),
            _ => self.between(-60.0, 60.0).round(),
        };
        (about + off).rem_euclid(360.0)
    }

    /// A screw and its nominal diameter in mm; people stay with their unit's.
    pub fn screw(&mut self, least: f64, most: f64) -> Screw {
        const METRIC: [Screw; 4] = [("M6", 6.0), ("M8", 8.0), ("M10", 10.0), ("M12", 12.0)];
        const UNIFIED: [Screw; 5] = [
            ("1/4-20", 6.35),
            ("5/16-18", 7.9375),
            ("3/8-16", 9.525),
            ("7/16-14", 11.1125),
            ("1/2-13", 12.7),
        ];
        let all: &[Screw] = if self.inch { &UNIFIED } else { &METRIC };
        let fit: Vec<Screw> = all.iter().copied().filter(|s| s.1 >= least && s.1 <= most).collect();
        if fit.is_empty() { all[0] } else { self.pick(&fit) }
    }
}

/// A screw's name and its nominal diameter in mm.
pub type Screw = (&'static str, f64);

fn round(at: f64, step: f64) -> f64 {
    (at / step).round() * step
}

/// The text of a parameter file as it grows.
pub struct Page {
    text: String,
    depth: usize,
    inch: bool,
}

impl Page {
    pub fn new(inch: bool) -> Self {
        Self { text: String::new(), depth: 0, inch }
    }

    pub fn text(self) -> String {
        self.text
    }

    /// `key: value` as it stands.
    pub fn word(&mut self, key: &str, value: impl std::fmt::Display) {
        let indent = "  ".repeat(self.depth);
        self.text.push_str(&format!("{indent}{key}: {value}\n"));
    }

    /// A length in mm, written in the file's unit.
    pub fn mm(&mut self, key: &str, mm: f64) {
        let number = if self.inch { mm / INCH } else { mm };
        self.word(key, plain(number));
    }

    /// A length that may be left to its default.
    pub fn some_mm(&mut self, key: &str, mm: Option<f64>) {
        if let Some(mm) = mm {
            self.mm(key, mm);
        }
    }

    pub fn deg(&mut self, key: &str, degrees: f64) {
        self.word(key, format!("{} deg", plain(degrees)));
    }

    pub fn section(&mut self, key: &str, fill: impl FnOnce(&mut Self)) {
        let indent = "  ".repeat(self.depth);
        let before = self.text.len();
        self.text.push_str(&format!("{indent}{key}:\n"));
        let head = self.text.len();
        self.depth += 1;
        fill(self);
        self.depth -= 1;
        if self.text.len() == head {
            // Nothing in it: every key is left to its default.
            self.text.truncate(before);
        }
    }

    /// A list of sections.
    pub fn list<T>(&mut self, key: &str, items: &[T], mut fill: impl FnMut(&mut Self, &T)) {
        if items.is_empty() {
            return;
        }
        self.section(key, |page| {
            for item in items {
                let at = page.text.len() + 2 * page.depth;
                page.depth += 1;
                fill(page, item);
                page.depth -= 1;
                page.text.replace_range(at..at + 2, "- ");
            }
        });
    }
}

/// At most six decimals, none that say nothing.
fn plain(number: f64) -> String {
    let text = format!("{number:.6}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}
