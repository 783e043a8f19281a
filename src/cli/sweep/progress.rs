//! Progress of a sweep: on a terminal a line that updates in place; at the end the rate.

use std::time::Instant;

use indicatif::{ProgressBar, ProgressStyle};

use crate::sweep::run::Progress;
use crate::words::counted;

/// The line while a sweep runs.
const LINE: &str = "{wide_bar} {pos} of {len} rows, {per_sec}, {eta} left";

/// Counts rows and time.
pub(super) struct Meter {
    begun: Instant,
    /// Hides itself where errors do not go to a terminal.
    bar: ProgressBar,
    last: Option<Progress>,
}

impl Meter {
    pub(super) fn new() -> Self {
        let bar = ProgressBar::new(0);
        if let Ok(style) = ProgressStyle::with_template(LINE) {
            bar.set_style(style);
        }
        Self { begun: Instant::now(), bar, last: None }
    }

    /// Records the progress and shows it.
    pub(super) fn show(&mut self, progress: Progress) {
        if self.last.is_none() {
            // Rows of an earlier run must not count towards this run's rate.
            self.bar.set_length(progress.wanted);
            self.bar.set_position(progress.stored);
            self.bar.reset_eta();
        }
        self.last = Some(progress);
        self.bar.set_position(progress.stored);
    }

    /// Ends the line and returns a summary.
    pub(super) fn end(&self) -> String {
        self.bar.finish_and_clear();
        let Some(Progress { stored, made, wanted }) = self.last else { return String::new() };
        let seconds = self.begun.elapsed().as_secs_f64();
        let rate = made as f64 / seconds.max(1e-9);
        format!(
            "{stored} of {}, {made} of them built now in {}, {rate:.2} rows/s\n",
            counted(wanted, "row"),
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
