//! The whole folder as it is saved: one session, which reads anew what changed on the disk before it is asked.

use super::confined::Confined;
use crate::keeping::stills_under;
use crate::session::{FileChange, Session};
use crate::versions::{Recovered, is_any_lost, recover};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant, SystemTime};

/// What shows that a file was written: any writing of it changes one of these.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Stamp {
    size: u64,
    written: Option<SystemTime>,
    /// Which file it is, and when anything of it changed, where the system tells.
    own: (u64, i64, i64),
}

impl Stamp {
    /// None where there is no such file.
    fn of(path: &Path) -> Option<Stamp> {
        let there = path.metadata().ok()?;
        #[cfg(unix)]
        let own = {
            use std::os::unix::fs::MetadataExt as _;
            (there.ino(), there.ctime(), there.ctime_nsec())
        };
        #[cfg(not(unix))]
        let own = (0, 0, 0);
        Some(Stamp { size: there.len(), written: there.modified().ok(), own })
    }
}

/// The folder as it is saved.
pub struct Saved {
    session: Session<'static>,
    /// Each file that is looked at, as it was when it was read; none where it was not there.
    stamps: BTreeMap<PathBuf, Option<Stamp>>,
    /// The batches that are held against what git has.
    past: Vec<Recovered>,
    /// How often something has changed.
    changes: u64,
    /// When it was last looked at.
    looked: Option<Instant>,
}

impl Saved {
    /// A folder that was not looked at yet.
    pub fn of(world: &Confined) -> Saved {
        let session = Session::open(world.clone(), &[], None);
        Saved { session, stamps: BTreeMap::new(), past: Vec::new(), changes: 0, looked: None }
    }

    /// The session of the folder as it is on the disk now.
    pub fn session(&mut self, folder: &Path) -> &Session<'static> {
        self.looked = Some(Instant::now());
        let (files, _) = stills_under(folder);
        let used = self.session.sources().files.iter().map(|source| source.absolute.clone());
        let mut stamps: BTreeMap<PathBuf, Option<Stamp>> = used.map(|path| (path, None)).collect();
        stamps.extend(files.iter().map(|path| (path.clone(), None)));
        // What shows a change is looked at before the file is read: a file that is written in between is read again.
        for (path, stamp) in &mut stamps {
            *stamp = Stamp::of(path);
        }
        let is_new = |(path, stamp): &(&PathBuf, &Option<Stamp>)| self.stamps.get(*path) != Some(*stamp);
        let changed: Vec<FileChange> =
            stamps.iter().filter(is_new).map(|(path, _)| FileChange::OnDisk(path.clone())).collect();
        let gone = self.stamps.keys().any(|path| !stamps.contains_key(path));
        if !changed.is_empty() || gone {
            self.session.update(changed, Some(files));
            self.session.see_from(Some(folder.to_path_buf()));
            self.changes += 1;
            self.past = with_past(&mut self.session);
            for source in &self.session.sources().files {
                stamps.entry(source.absolute.clone()).or_insert_with(|| Stamp::of(&source.absolute));
            }
        }
        self.stamps = stamps;
        &self.session
    }

    /// The batches that are held against what git has, as they were when the session was last asked for.
    pub fn past(&self) -> &[Recovered] {
        &self.past
    }

    /// Whether it was not looked at for that long.
    pub fn is_older_than(&self, age: Duration) -> bool {
        self.looked.is_none_or(|looked| looked.elapsed() > age)
    }

    /// How often something has changed, as far as it is known.
    pub fn changes(&self) -> u64 {
        self.changes
    }
}

/// Gives the batches whose formula has moved on the plan that git has of it, as the commands do; and says which.
pub fn with_past(session: &mut Session<'static>) -> Vec<Recovered> {
    if !is_any_lost(session.loaded()) {
        return Vec::new();
    }
    // On a trial: where git has none, the session keeps what it knows of every formula.
    let mut trial = session.trial(BTreeMap::new());
    let recovered = recover(trial.loaded_mut()).found;
    if recovered.is_empty() {
        return recovered;
    }
    let found = std::mem::take(trial.loaded_mut());
    drop(trial);
    *session.loaded_mut() = found;
    recovered
}
