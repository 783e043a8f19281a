//! A line on the terminal while a long step runs: what is being made, and for how long.

use std::time::Duration;

use indicatif::{ProgressBar, ProgressStyle};

/// The line.
const LINE: &str = "{spinner} {msg} … {elapsed}";

/// Shows the current step until it is dropped. Nothing is shown where errors do not go to a terminal. Drop it before
/// anything is printed.
pub(super) struct Working(ProgressBar);

impl Working {
    /// Begins with a step.
    pub(super) fn on(step: impl Into<String>) -> Self {
        let bar = ProgressBar::new_spinner();
        if let Ok(style) = ProgressStyle::with_template(LINE) {
            bar.set_style(style);
        }
        bar.set_message(step.into());
        if !bar.is_hidden() {
            bar.enable_steady_tick(Duration::from_millis(200));
        }
        Self(bar)
    }

    /// Goes on to another step.
    pub(super) fn now(&self, step: impl Into<String>) {
        self.0.set_message(step.into());
        self.0.reset_elapsed();
    }
}

impl Drop for Working {
    fn drop(&mut self) {
        self.0.finish_and_clear();
    }
}
