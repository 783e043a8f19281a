//! When a file is saved. Its folder is watched, since many programs save by putting a new file in the old one's place.

use std::cell::Cell;
use std::path::{Path, PathBuf};
use std::sync::mpsc::{self, Receiver};
use std::time::Duration;

use notify::{Event, EventKind, RecommendedWatcher, RecursiveMode, Watcher};

/// A save is over when nothing has come for this long.
const QUIET: Duration = Duration::from_millis(15);

/// Changes of one file.
pub(super) struct Changes {
    told: Receiver<()>,
    /// News that was seen but not waited for.
    seen: Cell<bool>,
    /// Ends the watch when it goes.
    _watcher: RecommendedWatcher,
}

impl Changes {
    /// Begins to watch.
    pub(super) fn of(file: &Path) -> notify::Result<Self> {
        let (tell, told) = mpsc::channel();
        let name = file.file_name().map(ToOwned::to_owned);
        let mut watcher = notify::recommended_watcher(move |event: notify::Result<Event>| {
            let Ok(event) = event else { return };
            let ours = event.paths.iter().any(|path| path.file_name() == name.as_deref());
            if ours && !matches!(event.kind, EventKind::Access(_)) {
                // Nobody listens any more only when the program ends.
                let _ = tell.send(());
            }
        })?;
        watcher.watch(&folder(file), RecursiveMode::NonRecursive)?;
        Ok(Self { told, seen: Cell::new(false), _watcher: watcher })
    }

    /// Waits for the next save; false if none can come any more.
    pub(super) fn wait(&self) -> bool {
        if !self.seen.take() && self.told.recv().is_err() {
            return false;
        }
        while self.told.recv_timeout(QUIET).is_ok() {}
        true
    }

    /// Whether the file has been saved since; [`Self::wait`] then returns at once.
    pub(super) fn pending(&self) -> bool {
        if self.told.try_recv().is_ok() {
            self.seen.set(true);
        }
        self.seen.get()
    }
}

fn folder(file: &Path) -> PathBuf {
    match file.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent.to_owned(),
        _ => PathBuf::from("."),
    }
}
