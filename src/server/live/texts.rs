//! The texts that are being written just now: each page has a session of its own, so that nothing that is not saved can
//! be seen by another.

use super::LiveText;
use crate::server::inside::Inside;
use crate::server::kept::Kept;
use crate::workspace::World;
use std::path::Path;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, Mutex, PoisonError};

/// So many texts keep what is known of their files, two of each page; one that comes back after as many others is read
/// anew.
const TEXTS: usize = 16;

/// The texts that are being written, by their page.
pub struct LiveTexts(Mutex<Kept<Arc<Written>>>);

/// The text of a page.
struct Written {
    text: Mutex<LiveText>,
    /// The number of the last letter that was typed: what is asked of one before it needs no answer.
    last: AtomicU64,
}

impl LiveTexts {
    /// None yet.
    pub fn new() -> LiveTexts {
        LiveTexts(Mutex::new(Kept::new(TEXTS)))
    }

    /// Asks about the text of a page; nothing where something newer was asked of it meanwhile.
    pub fn ask<T>(
        &self,
        (world, folder): (&Arc<dyn World + Send>, &Path),
        file: &Inside,
        (page, turn): (&str, u64),
        look: impl FnOnce(&mut LiveText) -> T,
    ) -> Option<T> {
        let written = self.of_page((world, folder), file, page);
        written.last.fetch_max(turn, Ordering::SeqCst);
        let mut text = written.text.lock().unwrap_or_else(PoisonError::into_inner);
        (written.last.load(Ordering::SeqCst) <= turn).then(|| look(&mut text))
    }

    fn of_page(&self, (world, folder): (&Arc<dyn World + Send>, &Path), file: &Inside, page: &str) -> Arc<Written> {
        let name = format!("{page}\n{}", file.name());
        let mut kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let written = kept.take(&name).unwrap_or_else(|| {
            let text = Mutex::new(LiveText::open(Arc::clone(world), file.path(), folder));
            Arc::new(Written { text, last: AtomicU64::new(0) })
        });
        kept.put(&name, Arc::clone(&written));
        written
    }
}
