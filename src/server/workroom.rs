//! What all pages share: the folder, and what is known of its files.

use super::confined::Confined;
use super::inside::Inside;
use super::live::LiveTexts;
use super::refusal::Refusal;
use super::saved::Saved;
use super::watch::Watch;
use crate::keeping::{Against, FileVersion, Keeper, Moment, NotKept, Patience};
use crate::render::shown;
use crate::session::Session;
use crate::sheet::BatchOrder;
use crate::versions::Recovered;
use crate::workspace::{World, unread};
use serde_json::json;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, OnceLock, PoisonError};
use std::time::Duration;

/// A folder that nothing was heard of is looked at so often all the same.
const UNWATCHED: Duration = Duration::from_secs(10);

/// A folder with formulas that is open.
pub struct Workroom {
    folder: PathBuf,
    world: Confined,
    clock: fn() -> Moment,
    saved: Mutex<Saved>,
    live: LiveTexts,
    watch: Watch,
    /// Where it is reached from the network, with the token; not there unless that was asked for.
    lan: OnceLock<String>,
}

/// The text of a file, with the version that was read.
pub struct FileText {
    /// Without a byte-order mark.
    pub text: String,
    /// Of all its bytes.
    pub version: FileVersion,
}

impl Workroom {
    /// A workroom on a folder, which is without links.
    pub fn of(folder: &Path, clock: fn() -> Moment) -> Workroom {
        let world = Confined::to(folder);
        let saved = Mutex::new(Saved::of(&world));
        let watch = Watch::on(folder);
        Workroom {
            folder: folder.to_path_buf(),
            world,
            clock,
            saved,
            live: LiveTexts::new(),
            watch,
            lan: OnceLock::new(),
        }
    }

    /// The folder, without links.
    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// The texts that are being written.
    pub fn live(&self) -> &LiveTexts {
        &self.live
    }

    /// The files as a text that is being written sees them.
    pub fn live_world(&self) -> Arc<dyn World + Send> {
        Arc::new(self.world.clone())
    }

    /// The files as pages may read them.
    pub fn world(&self) -> &Confined {
        &self.world
    }

    /// Who writes for the pages. Where another program writes for long, a page is told so, and asks again.
    pub fn keeper(&self) -> Keeper<'_> {
        Keeper { world: &self.world, seen_from: Some(self.folder.clone()), patience: Patience::GivesUp }
    }

    /// Why something was not written, as the page is told of it: where the file has changed, with what is in it now
    /// beside what was to be written.
    pub fn refusal(&self, why: NotKept, file: &Inside, yours: &str) -> Refusal {
        match why.against {
            Against::Asked => Refusal::wrong(why.sentence),
            Against::Busy => Refusal::busy(why.sentence),
            Against::Disk => Refusal::fault(why.sentence),
            Against::Changed => match self.read(file) {
                Ok(theirs) => Refusal::changed(why.sentence).with(json!({
                    "file": file.name(),
                    "yours": yours,
                    "theirs": theirs.text,
                    "version": theirs.version.digits(),
                })),
                // It is gone: what was to be written is all there is.
                Err(_) => Refusal::changed(why.sentence).with(json!({ "file": file.name(), "yours": yours })),
            },
        }
    }

    /// The day and the hour.
    pub fn now(&self) -> Moment {
        (self.clock)()
    }

    /// A file by its name in a request, which was decoded once.
    ///
    /// # Errors
    /// What is no `.still` file of the folder.
    pub fn inside(&self, name: &str) -> Result<Inside, Refusal> {
        Inside::of(&self.folder, name)
    }

    /// A file that is to be made, by its name in a request.
    ///
    /// # Errors
    /// What is no name of a `.still` file of the folder.
    pub fn inside_to_be(&self, name: &str) -> Result<Inside, Refusal> {
        Inside::to_be(&self.folder, name)
    }

    /// The name of a file as a page has it; none where it lies elsewhere.
    pub fn name_of(&self, path: &Path) -> Option<String> {
        Inside::name_of(&self.folder, path)
    }

    /// Reads a file, with its version.
    ///
    /// # Errors
    /// A file that cannot be read, or is no text.
    pub fn read(&self, file: &Inside) -> Result<FileText, Refusal> {
        let failed = |why: &str| Refusal::fault(format!("`{}` cannot be opened: {why}.", shown(file.name())));
        let bytes = self.world.read(file.path()).map_err(|error| failed(&unread(&error)))?;
        let version = FileVersion::of(&bytes);
        let text = String::from_utf8(bytes).map_err(|_| failed("it is not UTF-8"))?;
        let text = text.strip_prefix('\u{feff}').map(String::from).unwrap_or(text);
        Ok(FileText { text, version })
    }

    /// Looks at the whole folder as it is on the disk now. Only one page does at a time.
    pub fn saved<T>(&self, look: impl FnOnce(&Session<'static>) -> T) -> T {
        let mut saved = self.saved.lock().unwrap_or_else(PoisonError::into_inner);
        look(saved.session(&self.folder))
    }

    /// The version of a formula out of git that a batch is held against, in words; none where it is held against the files.
    pub fn held_against(&self, batch: &str) -> Option<String> {
        let saved = self.saved.lock().unwrap_or_else(PoisonError::into_inner);
        saved.past().iter().find(|found| found.batch == batch).map(Recovered::words)
    }

    /// Checks the whole folder before anybody asks, so that the first page does not wait for it.
    pub fn look_ahead(&self) {
        self.saved(|session| drop(session.check(&BatchOrder::default())));
    }

    /// How often something in the folder has changed since it was opened.
    pub fn changes(&self) -> u64 {
        let mut saved = self.saved.lock().unwrap_or_else(PoisonError::into_inner);
        // Not every disk tells the watch of a change, so that it is looked for now and then all the same.
        if self.watch.has_stirred() || saved.is_older_than(UNWATCHED) {
            saved.session(&self.folder);
        }
        saved.changes()
    }

    /// Says where it is reached from the network.
    pub fn is_open_to(&self, lan: String) {
        let _ = self.lan.set(lan);
    }

    /// Where it is reached from the network, with the token.
    pub fn lan(&self) -> Option<&str> {
        self.lan.get().map(String::as_str)
    }
}
