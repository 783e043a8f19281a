//! How far a sweep is: on a terminal a line that renews itself; at the end how fast it was.

use std::io::{self, IsTerminal};
use std::time::{Duration, Instant};

use super::super::complain;
use crate::sweep::run::Progress;

/// How often the line is renewed.
const EVERY: Duration = Duration::from_millis(500);

/// Counts rows and time.
pub(super) struct Meter {
    begun: Instant,
    shown: Option<Instant>,
    terminal: bool,
    last: Option<Progress>,
}

impl Meter {
    pub(super) fn new() -> Self {
        Self { begun: Instant::now(), shown: None, terminal: io::stderr().is_terminal(), last: None }
    }

    /// Takes how far it is, and shows it now and then.
    pub(super) fn show(&mut self, progress: Progress) {
        self.last = Some(progress);
        if !self.terminal || self.shown.is_some_and(|at| at.elapsed() < EVERY) {
            return;
        }
        self.shown = Some(Instant::now());
        let Progress { stored, made, wanted } = progress;
        let rate = made as f64 / self.begun.elapsed().as_secs_f64().max(1e-9);
        let left = if made > 0 {
            format!(", {} left", time((wanted - stored) as f64 / rate))
        } else {
            String::new()
        };
        complain(&format!("\r\x1b[K{stored} of {wanted} rows, {rate:.2} a second{left}"));
    }

    /// Ends the line; what was done.
    pub(super) fn end(&self) -> String {
        if self.terminal {
            complain("\r\x1b[K");
        }
        let Some(Progress { stored, made, wanted }) = self.last else { return String::new() };
        let seconds = self.begun.elapsed().as_secs_f64();
        let rate = made as f64 / seconds.max(1e-9);
        format!(
            "{stored} of {wanted} rows, {made} of them made now in {}, {rate:.2} a second\n",
            time(seconds)
        )
    }
}

fn time(seconds: f64) -> String {
    match seconds {
        s if s < 100.0 => format!("{s:.0} s"),
        s if s < 6000.0 => format!("{:.0} min", s / 60.0),
        s => format!("{:.1} h", s / 3600.0),
    }
}
