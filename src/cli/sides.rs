//! The two sides of a comparison: files on disk, or the same files as they stood at a revision.

use super::Failure;
use super::input::{CommandInput, here, named, not_opened};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use stillroom::diagnostic::FileId;
use stillroom::model::Formula;
use stillroom::render::{shown, shown_path};
use stillroom::resolve::{Resolver, declared};
use stillroom::session::{Report, Session};
use stillroom::sheet::BatchOrder;
use stillroom::syntax::tree::Item;
use stillroom::versions::{FormulaMeaning, MaterialMeaning, material_meaning, plan_and_made};
use stillroom::workspace::{Disk, GitError, Repository, Revision, Source, World};

/// One side: what each formula means, and the materials that stand in the files named.
#[derive(Clone, Debug, Default)]
pub struct Side {
    /// The formulas.
    pub formulas: Vec<FormulaMeaning>,
    /// The materials, each with its file.
    pub materials: Vec<(String, MaterialMeaning)>,
    /// The batches of files that were named, as they were to be and as they were made.
    pub batches: Vec<(FormulaMeaning, FormulaMeaning)>,
    /// The formulas of which something did not parse or is not known, so that what they mean is known in part only.
    pub faulty: Vec<String>,
}

impl Side {
    /// The formulas of files that were named, in full.
    pub fn of(session: &Session<'_>, order: &BatchOrder, with_batches: bool) -> Side {
        let report = session.check(order);
        let formulas = report.formulas.iter().map(|found| FormulaMeaning::in_full(&report, found, order)).collect();
        let is_incomplete = |formula: &Formula| !formula.total_known || formula.incomplete || formula.unbased;
        let faulty = report.formulas.iter().filter(|found| is_incomplete(&found.formula));
        let faulty = faulty.map(|found| found.formula.name.to_string()).collect();
        let named = session.sources().files.iter().filter(|source| source.named);
        let batches = if with_batches { batches(&report) } else { Vec::new() };
        let materials = named.flat_map(|source| materials_of(&report, source)).collect();
        Side { formulas, materials, batches, faulty }
    }

    /// One side more.
    pub fn join(&mut self, other: Side) {
        self.formulas.extend(other.formulas);
        self.materials.extend(other.materials);
        self.faulty.extend(other.faulty);
    }
}

fn batches(report: &Report<'_>) -> Vec<(FormulaMeaning, FormulaMeaning)> {
    let named = report.resolver.sources.files.iter().filter(|source| source.named);
    let all = named.flat_map(|source| report.resolver.batches_of(source));
    all.filter_map(|batch| plan_and_made(&report.resolver, &batch)).collect()
}

fn materials_of(report: &Report<'_>, source: &Source) -> Vec<(String, MaterialMeaning)> {
    let resolver: &Resolver<'_> = &report.resolver;
    let ids = declared(source, |item| matches!(item, Item::Material(_)));
    let file = |id: FileId| resolver.sources.path(id);
    ids.filter_map(|id| resolver.material(id))
        .map(|material| (file(material.id.file), material_meaning(resolver, &material)))
        .collect()
}

/// Files and folders as they stood at a revision, and as they are.
pub struct Since {
    /// As they stood.
    pub old: Session<'static>,
    /// As they are.
    pub new: Session<'static>,
}

/// Reads files and folders on both sides, one pair for each repository that they lie in.
///
/// # Errors
/// A path that is on neither side, or in no repository; a revision that is none; standard input.
pub fn since(paths: &[PathBuf], revision: &str) -> Result<Vec<Since>, Failure> {
    let mut both = Vec::new();
    for (repository, paths) in repositories(paths)? {
        let revision = repository.revision(revision).map_err(git)?;
        let old = before(revision, &paths)?;
        let mut files = Vec::new();
        for path in &paths {
            if Disk.exists(&full(path)?) {
                files.extend(listed(path)?);
            }
        }
        let new = Session::open(Disk, &files, None).seen_from(here());
        if let Some(failure) = new.loaded().failures.first() {
            return Err(Failure(not_opened(failure)));
        }
        both.push(Since { old, new });
    }
    Ok(both)
}

/// Files and folders as they stood at a revision, those of each repository together.
///
/// # Errors
/// As [`since`].
pub fn as_they_were(paths: &[PathBuf], revision: &str) -> Result<Vec<Session<'static>>, Failure> {
    let all = repositories(paths)?.into_iter();
    all.map(|(repository, paths)| before(repository.revision(revision).map_err(git)?, &paths)).collect()
}

/// The repositories that paths lie in, each with its paths.
fn repositories(paths: &[PathBuf]) -> Result<Vec<(Repository, Vec<PathBuf>)>, Failure> {
    let mut found: Vec<(Repository, Vec<PathBuf>)> = Vec::new();
    for path in paths {
        if path == Path::new("-") {
            return Err(Failure("`--since` reads files out of git, and standard input is none.".to_string()));
        }
        let own = Repository::of(&full(path)?).map_err(git)?.ok_or_else(|| in_no_repository(path))?;
        match found.iter_mut().find(|(known, _)| known.folder == own.folder) {
            Some((_, paths)) => paths.push(path.clone()),
            None => found.push((own, vec![path.clone()])),
        }
    }
    Ok(found)
}

fn before(revision: Revision, paths: &[PathBuf]) -> Result<Session<'static>, Failure> {
    let mut files = Vec::new();
    for path in paths {
        let full = full(path)?;
        let within = revision.stills_under(&full).map_err(git)?;
        let is_file = revision.blob(&full).map_err(git)?.is_some();
        if within.is_empty() && !is_file && !Disk.exists(&full) {
            return Err(Failure(format!("`{}` is not here, and was not there at that revision.", shown_path(path))));
        }
        files.extend(within.into_iter().map(|(path, _)| path));
        files.extend(is_file.then_some(full));
    }
    let revision = Arc::new(revision);
    let session = Session::open(Arc::clone(&revision), &files, None).seen_from(here());
    if let Some(harm) = revision.harm() {
        return Err(git(harm));
    }
    match session.loaded().failures.first() {
        Some(failure) => Err(Failure(not_opened(failure))),
        None => Ok(session),
    }
}

/// The files of a path on disk; a folder that has none is no fault, since it may have had some.
///
/// # Errors
/// A folder that cannot be looked into.
pub fn listed(path: &PathBuf) -> Result<Vec<PathBuf>, Failure> {
    let CommandInput { files, unread, .. } = named(std::slice::from_ref(path))?;
    match unread.first() {
        Some(failure) => Err(Failure(not_opened(failure))),
        None => Ok(files),
    }
}

/// A path from the root, links followed as far as it is there.
pub fn full(path: &Path) -> Result<PathBuf, Failure> {
    if let Ok(full) = Disk.canonical(path) {
        return Ok(full);
    }
    // What is gone has a folder that may still be there.
    let parent = path.parent().filter(|parent| !parent.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let name = path.file_name().ok_or_else(|| Failure(format!("`{}` is no file and no folder.", shown_path(path))))?;
    let parent = if Disk.exists(parent) { Disk.canonical(parent)? } else { full(parent)? };
    Ok(parent.join(name))
}

/// That a path has no history.
pub fn in_no_repository(path: &Path) -> Failure {
    Failure(format!(
        "`{}` lies in no git repository, so there is no earlier version to hold it against: `git init` begins one.",
        shown_path(path)
    ))
}

/// What git could not answer.
pub fn git(error: GitError) -> Failure {
    Failure(shown(&error.words).into_owned())
}
