//! Reads the files named and everything they use.

use super::alone::stands_alone;
use super::disk::{World, joined};
use super::kept::KeptFiles;
use super::plain::unread;
use super::source::{Source, Sources, UseOutcome};
use crate::diagnostic::{Code, Diagnostic, FileId, Place, Span};
use crate::shelf;
use crate::syntax::tree::{BatchEntry, Item, UseTarget};
use crate::syntax::{self, MAX_FILE, Parsed};
use rayon::prelude::*;
use std::cell::OnceCell;
use std::collections::HashMap;
use std::path::{Component, Path, PathBuf};

/// A named path that could not be opened.
#[derive(Clone, Debug)]
pub struct OpenFailure {
    /// The path as it was named.
    pub path: String,
    /// Why.
    pub reason: String,
    /// Whether it was named, and not only used by another.
    pub named: bool,
    /// The number of the file, where it got one.
    pub file: Option<FileId>,
}

/// What was loaded, and what could not be.
#[derive(Debug, Default)]
pub struct Loaded {
    /// The files.
    pub sources: Sources,
    /// The paths named that could not be opened.
    pub failures: Vec<OpenFailure>,
}

impl Loaded {
    /// The same, its files told of as they are seen from a folder.
    #[must_use]
    pub fn seen_from(mut self, folder: Option<PathBuf>) -> Loaded {
        self.sources.seen_from = folder;
        self
    }
}

/// A file to be read.
struct Wanted {
    absolute: PathBuf,
    root: PathBuf,
    named: bool,
    /// The path as it was named.
    shown: Option<String>,
    /// The text, where it is not to be read from disk.
    given: Option<Vec<u8>>,
    /// The file as it stood, where it did not change.
    kept: Option<Source>,
}

/// Loads files by path, and one text by hand where `given` has one (standard input, as the path `-`).
#[must_use]
pub fn load(world: &dyn World, paths: &[PathBuf], given: Option<(PathBuf, Vec<u8>)>) -> Loaded {
    load_again(world, paths, given, &mut KeptFiles::default())
}

/// As [`load`], where some files are known from before.
#[must_use]
pub fn load_again(
    world: &dyn World,
    paths: &[PathBuf],
    given: Option<(PathBuf, Vec<u8>)>,
    kept: &mut KeptFiles<'_>,
) -> Loaded {
    let (mut loader, mut wave) = Loader::asked(world, paths, given, kept);
    while !wave.is_empty() {
        wave = loader.read_wave(wave);
    }
    loader.settle_roots();
    loader.loaded
}

/// As [`load`], but nothing that the files `use` is looked at: for what bears on the text of each alone.
#[must_use]
pub fn load_alone(world: &dyn World, paths: &[PathBuf], given: Option<(PathBuf, Vec<u8>)>) -> Loaded {
    let mut kept = KeptFiles::default();
    let (mut loader, wave) = Loader::asked(world, paths, given, &mut kept);
    let read = wave.into_iter().map(|(id, wanted)| read_one(world, loader.kept, id, wanted)).collect();
    loader.loaded.sources.files = loader.sources_of(read);
    loader.loaded
}

/// Where a file lies that was named. What was opened for this program already, as `/dev/stdin`, is read here and now: it
/// can be read once, and no path leads to it but the one that was named. Any other pipe or device is refused: nobody may
/// ever write into it.
fn found(world: &dyn World, path: &Path) -> std::io::Result<(PathBuf, Option<Vec<u8>>)> {
    world.size(path)?;
    if world.is_file(path)? {
        return Ok((world.canonical(path)?, None));
    }
    if world.canonical(path).is_ok() {
        return Err(std::io::Error::other("it is a pipe or a device, and no file; what a pipe gives is read as `-`"));
    }
    let (folder, name) = (path.parent().unwrap_or(path), path.file_name().unwrap_or_default());
    let folder = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
    Ok((world.canonical(folder)?.join(name), Some(world.read(path)?)))
}

struct Loader<'w, 'k, 't> {
    world: &'w dyn World,
    loaded: Loaded,
    /// The number of each file by its canonical path.
    known: HashMap<PathBuf, FileId>,
    /// The workspace of each folder met.
    roots: HashMap<PathBuf, PathBuf>,
    /// What is known from before.
    kept: &'k mut KeptFiles<'t>,
    /// The workspaces without git that a `use` has made larger.
    grown: Vec<PathBuf>,
}

impl<'w, 'k, 't> Loader<'w, 'k, 't> {
    /// A loader, and the files it is asked for.
    fn asked(
        world: &'w dyn World,
        paths: &[PathBuf],
        given: Option<(PathBuf, Vec<u8>)>,
        kept: &'k mut KeptFiles<'t>,
    ) -> (Loader<'w, 'k, 't>, Vec<(FileId, Wanted)>) {
        let (known, roots) = (HashMap::new(), HashMap::new());
        let mut loader = Loader { world, loaded: Loaded::default(), known, roots, grown: Vec::new(), kept };
        let mut wave = Vec::new();
        for path in paths {
            match found(world, path) {
                Ok((absolute, stream)) => {
                    let root = loader.root_of(&absolute);
                    let shown = path.to_string_lossy().into_owned();
                    loader.want(absolute, root, Some(shown), stream, &mut wave);
                }
                Err(error) => {
                    let path = path.to_string_lossy().into_owned();
                    let failure = OpenFailure { path, reason: unread(&error), named: true, file: None };
                    loader.loaded.failures.push(failure);
                }
            }
        }
        if let Some((folder, bytes)) = given {
            let absolute = folder.join("-");
            let root = loader.root_of(&absolute);
            let id = loader.reserve(&absolute);
            wave.push((id, Wanted { absolute, root, named: true, shown: None, given: Some(bytes), kept: None }));
        }
        (loader, wave)
    }

    /// The nearest folder upward with `.git`, else the folder of the file.
    fn root_of(&mut self, file: &Path) -> PathBuf {
        let folder = file.parent().unwrap_or(file).to_path_buf();
        if let Some(root) = self.roots.get(&folder) {
            return root.clone();
        }
        let root =
            folder.ancestors().find(|above| self.world.exists(&above.join(".git"))).unwrap_or(&folder).to_path_buf();
        self.roots.insert(folder, root.clone());
        root
    }

    fn reserve(&mut self, absolute: &Path) -> FileId {
        // Numbers go in the order in which files are first met, after the shelf's.
        let id = FileId(u32::try_from(shelf::FILES.len() + self.known.len()).unwrap_or(u32::MAX));
        self.known.insert(absolute.to_path_buf(), id);
        id
    }

    /// Asks for a file. `shown` is its path as it was named, none where another file uses it; `given` what was read of it.
    fn want(
        &mut self,
        absolute: PathBuf,
        root: PathBuf,
        shown: Option<String>,
        given: Option<Vec<u8>>,
        wave: &mut Vec<(FileId, Wanted)>,
    ) -> FileId {
        if let Some(id) = self.known.get(&absolute) {
            return *id;
        }
        let id = self.reserve(&absolute);
        let named = shown.is_some();
        let kept = if given.is_none() { self.kept.take(&absolute, id, named) } else { None };
        wave.push((id, Wanted { absolute, root, named, shown, given, kept }));
        id
    }

    /// Reads and parses a wave of files at once, and gives the files they use that are not yet known.
    fn read_wave(&mut self, wave: Vec<(FileId, Wanted)>) -> Vec<(FileId, Wanted)> {
        let (world, kept) = (self.world, &*self.kept);
        let read: Vec<Read> = match wave.len() {
            1 => wave.into_iter().map(|(id, wanted)| read_one(world, kept, id, wanted)).collect(),
            _ => wave.into_par_iter().map(|(id, wanted)| read_one(world, kept, id, wanted)).collect(),
        };
        let mut read = self.sources_of(read);
        let mut next = Vec::new();
        let asked: Vec<Vec<(usize, UseTarget)>> = read.iter().map(uses_of).collect();
        for (source, asked) in read.iter_mut().zip(asked) {
            // Asked once a file, and only where something is missing.
            let alone = OnceCell::new();
            for (item, target) in asked {
                let outcome = self.follow(source, &target, &alone, &mut next);
                source.uses.push((item, outcome));
            }
        }
        self.loaded.sources.files.append(&mut read);
        next
    }

    /// The files of a wave; what could not be read of them is kept in mind.
    fn sources_of(&mut self, read: Vec<Read>) -> Vec<Source> {
        let (sources, unread): (Vec<Source>, Vec<Option<OpenFailure>>) = read.into_iter().unzip();
        self.loaded.failures.extend(unread.into_iter().flatten());
        sources
    }

    fn follow(
        &mut self,
        source: &mut Source,
        target: &UseTarget,
        alone: &OnceCell<bool>,
        next: &mut Vec<(FileId, Wanted)>,
    ) -> UseOutcome {
        let place = Place { file: source.id, span: target.span() };
        match target {
            UseTarget::Shelf(name) => match shelf::file_by_name(&name.text) {
                Some(id) => UseOutcome::File(id),
                None => {
                    source.faults.push(shelf_not_found(place, &name.text));
                    UseOutcome::Failed
                }
            },
            UseTarget::Path(text) => match self.find(source, &text.value, place) {
                Ok((absolute, root)) => {
                    if root != source.root {
                        self.grown.push(root.clone());
                    }
                    UseOutcome::File(self.want(absolute, root, None, None, next))
                }
                Err(fault)
                    if fault.code == Code::UseNotFound
                        && self.is_gone(source, &text.value)
                        && *alone.get_or_init(|| stands_alone(&source.tree)) =>
                {
                    source.faults.push(gone(place, &text.value));
                    UseOutcome::Gone
                }
                Err(fault) => {
                    source.faults.push(*fault);
                    UseOutcome::Failed
                }
            },
        }
    }

    /// Without git, the workspace of a file is its folder, or what its folder and a file that it uses have in common:
    /// that folder. None where git says what the workspace is, where nothing is there to be used, and where the two have
    /// no folder in common.
    fn common_root(&self, source: &Source, wanted: &Path) -> Option<PathBuf> {
        let in_git = |folder: &Path| self.world.exists(&folder.join(".git"));
        if in_git(&source.root) || self.world.size(wanted).is_err() {
            return None;
        }
        let common = source.root.ancestors().find(|above| wanted.starts_with(above))?;
        let is_folder = common.components().any(|part| matches!(part, Component::Normal(_)));
        let mut between = wanted.ancestors().skip(1).take_while(|folder| *folder != common);
        (is_folder && !between.any(in_git)).then(|| common.to_path_buf())
    }

    /// Puts every file of a workspace that has grown into the largest it became.
    fn settle_roots(&mut self) {
        for source in &mut self.loaded.sources.files {
            let around = self.grown.iter().filter(|grown| source.root.starts_with(grown));
            if let Some(root) = around.min_by_key(|grown| grown.components().count()) {
                source.root.clone_from(root);
                source.path = within(&source.root, &source.absolute);
            }
        }
    }

    /// Whether there is nothing at all where a path leads.
    fn is_gone(&self, source: &Source, path: &str) -> bool {
        let folder = source.absolute.parent().unwrap_or(&source.root);
        !self.world.exists(&joined(folder, Path::new(path)))
    }

    /// The file that a path names, seen from the file that says so.
    fn find(&self, source: &Source, path: &str, place: Place) -> Result<(PathBuf, PathBuf), Box<Diagnostic>> {
        let folder = source.absolute.parent().unwrap_or(&source.root);
        let wanted = joined(folder, Path::new(path));
        let outside = || {
            Box::new(Diagnostic::new(Code::UseOutside, place, format!("`{path}` lies outside this workspace.")).help(
                "A file may use what lies in its own workspace only: copy the file in. Or put both under one \
                         folder, name it by its path from here, and make that folder the workspace: `git init` in it.",
            ))
        };
        if Path::new(path).is_absolute() {
            return Err(outside());
        }
        let root = match wanted.starts_with(&source.root) {
            true => source.root.clone(),
            false => self.common_root(source, &wanted).ok_or_else(outside)?,
        };
        let found = self.world.size(&wanted).and_then(|_| self.world.canonical(&wanted)).map_err(|error| {
            Box::new(
                Diagnostic::new(Code::UseNotFound, place, format!("`{path}` cannot be used: {}.", unread(&error)))
                    .help("The path is seen from the folder of this file."),
            )
        })?;
        if !found.starts_with(&root) {
            return Err(outside());
        }
        if !self.world.is_file(&found).unwrap_or(false) {
            let message = format!("`{path}` cannot be used: it is a pipe or a device, and no file.");
            let fault = Diagnostic::new(Code::UseNotFound, place, message);
            return Err(Box::new(fault.help("Only a file of text can be used: write what comes out of it to one.")));
        }
        Ok((found, root))
    }
}

/// Gives a batch a plan that its file does not have, as if it stood there; in memory alone. Its text comes after all
/// there is, so that every place stays where it was. False where it is no plan, or the item no batch.
pub fn give_plan(source: &mut Source, item: usize, plan: &str) -> bool {
    let text = format!("\nbatch given {{\n{plan}\n}}\n");
    let given = syntax::parse_slice(source.id, &text, source.text.len()).tree.items.pop();
    let plan = match given {
        Some(Item::Batch(given)) => given.entries.into_iter().find(|entry| matches!(entry.entry, BatchEntry::Plan(_))),
        _ => None,
    };
    let (Some(plan), Some(Item::Batch(batch))) = (plan, source.tree.items.get_mut(item)) else { return false };
    batch.entries.push(plan);
    source.text.push_str(&text);
    true
}

/// What a file uses and does not find is no fault any more once all its batches go by their own plans: asked once plans
/// have been given.
pub fn excuse_what_is_gone(source: &mut Source) {
    if !stands_alone(&source.tree) {
        return;
    }
    for (number, outcome) in &mut source.uses {
        let Some(Item::Use(used)) = source.tree.items.get(*number) else { continue };
        let (UseTarget::Path(path), UseOutcome::Failed) = (&used.target, &*outcome) else { continue };
        let place = Place { file: source.id, span: used.target.span() };
        let is_missing = |fault: &Diagnostic| fault.code == Code::UseNotFound && fault.primary.place == place;
        if let Some(fault) = source.faults.iter_mut().find(|fault| is_missing(fault)) {
            *fault = gone(place, &path.value);
            *outcome = UseOutcome::Gone;
        }
    }
}

fn gone(place: Place, path: &str) -> Diagnostic {
    let message = format!("`{path}` is gone, and every batch here goes by its own plan.");
    Diagnostic::new(Code::UseGone, place, message)
        .help("None of the plans needs it. To begin another batch of its formula, put the file back.")
}

fn shelf_not_found(place: Place, name: &str) -> Diagnostic {
    let names: Vec<&str> = shelf::FILES.iter().map(|file| file.name).collect();
    Diagnostic::new(Code::UseNotFound, place, format!("The shelf has no file `{name}`."))
        .help(format!("It has {}.", names.join(", ")))
}

fn uses_of(source: &Source) -> Vec<(usize, UseTarget)> {
    let items = source.tree.items.iter().enumerate();
    items
        .filter_map(|(at, item)| if let Item::Use(item) = item { Some((at, item.target.clone())) } else { None })
        .collect()
}

/// A file, and why it could not be read, where the system did not give it.
type Read = (Source, Option<OpenFailure>);

fn read_one(world: &dyn World, kept: &KeptFiles<'_>, id: FileId, wanted: Wanted) -> Read {
    let Wanted { absolute, root, named, shown, given, kept: known } = wanted;
    if let Some(source) = known {
        return (source, None);
    }
    let path = within(&root, &absolute);
    let mut failure = None;
    let (text, parsed, readable) = match read_text(world, id, &absolute, given) {
        Ok(text) => {
            let parsed = kept.parse(&absolute, id, &text);
            (text, parsed, true)
        }
        Err(Unreadable { text, fault, reason }) => {
            let path = shown.unwrap_or_else(|| path.clone());
            failure = reason.map(|reason| OpenFailure { path, reason, named, file: Some(id) });
            (text, Parsed { faults: vec![*fault], ..Parsed::default() }, false)
        }
    };
    let source = Source {
        id,
        path,
        absolute,
        root,
        text,
        tree: parsed.tree,
        faults: parsed.faults,
        uses: Vec::new(),
        named,
        readable,
    };
    (source, failure)
}

/// The path of a file from the root of its workspace.
fn within(root: &Path, file: &Path) -> String {
    let relative = file.strip_prefix(root).unwrap_or(file);
    let parts: Vec<String> =
        relative.components().map(|part| part.as_os_str().to_string_lossy().into_owned()).collect();
    parts.join("/")
}

/// A file that cannot be read.
struct Unreadable {
    /// As much of the text as can be shown.
    text: String,
    /// What is wrong with it.
    fault: Box<Diagnostic>,
    /// Why the system did not give it, where that is so.
    reason: Option<String>,
}

/// The text of a file, or what is wrong with it and as much of the text as can be shown.
fn read_text(world: &dyn World, id: FileId, path: &Path, given: Option<Vec<u8>>) -> Result<String, Unreadable> {
    let start = Place { file: id, span: Span::new(0, 0) };
    let too_large = |size: Option<u64>| {
        let message = match size {
            Some(size) => format!("The file is {size} bytes long, over the limit of 16 MB."),
            // A stream, or a file that grew: it was not read to its end.
            None => "What was read here goes on past the limit of 16 MB.".to_string(),
        };
        let fault = Diagnostic::new(Code::FileTooLarge, start, message);
        let fault = fault.help("Formulas are text: split the file, and bring the parts together with `use`.");
        Unreadable { text: String::new(), fault: Box::new(fault), reason: None }
    };
    let unreadable = |error: std::io::Error| {
        let reason = unread(&error);
        let fault = Diagnostic::new(Code::UseNotFound, start, format!("The file cannot be read: {reason}."));
        Unreadable { text: String::new(), fault: Box::new(fault), reason: Some(reason) }
    };
    let limit = MAX_FILE as u64;
    let bytes = match given {
        Some(bytes) => bytes,
        None => {
            let size = world.size(path).map_err(unreadable)?;
            if size > limit {
                return Err(too_large(Some(size)));
            }
            world.read(path).map_err(unreadable)?
        }
    };
    if bytes.len() > MAX_FILE {
        return Err(too_large(None));
    }
    let text = String::from_utf8(bytes).map_err(|error| {
        let offset = error.utf8_error().valid_up_to();
        let bytes = error.into_bytes();
        let bad = bytes.get(offset).copied().unwrap_or(0);
        let before = String::from_utf8_lossy(bytes.get(..offset).unwrap_or_default()).into_owned();
        let end = before.len();
        let last = before.chars().next_back().map_or(0, char::len_utf8);
        let place = Place { file: id, span: Span::new(end.saturating_sub(last), end) };
        let message = format!("The byte {bad:#04x} at offset {offset} is not UTF-8.");
        let fault = Diagnostic::new(Code::NotUtf8, place, message)
            .help("Save the file as UTF-8: most editors have it under “save with encoding”.");
        Unreadable { text: before, fault: Box::new(fault), reason: None }
    })?;
    Ok(match text.strip_prefix('\u{feff}') {
        Some(rest) => rest.to_string(),
        None => text,
    })
}
