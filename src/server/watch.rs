//! A watch on the folder, so that pages that ask whether anything has changed cost nothing while nothing has.

use notify::{Event, RecommendedWatcher, RecursiveMode, Watcher as _};
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

/// A watch on a folder.
pub struct Watch {
    stirred: Arc<AtomicBool>,
    /// None where the system gives none: then something may always have changed.
    watcher: Option<RecommendedWatcher>,
}

impl Watch {
    /// Watches a folder and all under it.
    pub fn on(folder: &Path) -> Watch {
        let stirred = Arc::new(AtomicBool::new(true));
        let heard = Arc::clone(&stirred);
        let told = move |event: notify::Result<Event>| {
            // To be read is no change; what the watch itself could not make out may be one.
            if event.is_ok_and(|event| event.kind.is_access()) {
                return;
            }
            heard.store(true, Ordering::Release);
        };
        let watcher = notify::recommended_watcher(told).and_then(|mut watcher| {
            watcher.watch(folder, RecursiveMode::Recursive)?;
            Ok(watcher)
        });
        Watch { stirred, watcher: watcher.ok() }
    }

    /// Whether anything may have changed since this was last asked.
    pub fn has_stirred(&self) -> bool {
        self.stirred.swap(false, Ordering::AcqRel) || self.watcher.is_none()
    }
}
