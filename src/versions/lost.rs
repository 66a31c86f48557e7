//! Versions of formulas that are gone from the files: found again in git for the batches that were made by them.

use super::state::Past;
use super::walk::{CommitStep, walk};
use crate::batch::writing::freeze;
use crate::diagnostic::FileId;
use crate::model::{Batch, DeclId};
use crate::resolve::{NameSet, Resolver};
use crate::session::{FormulaReport, Report, check};
use crate::sheet::BatchOrder;
use crate::syntax::tree::{Item, Use, UseTarget};
use crate::workspace::{Commit, GitError, Loaded, Repository, Source, excuse_what_is_gone, give_plan, joined, load};
use rustc_hash::FxHashMap;
use smol_str::SmolStr;
use std::collections::BTreeSet;
use std::ops::ControlFlow;
use std::path::{Path, PathBuf};

/// A batch that is held against a formula as it stood at a commit.
#[derive(Debug)]
pub struct Recovered {
    /// The batch.
    pub batch: String,
    /// The formula.
    pub formula: String,
    /// Its version then.
    pub version: Option<String>,
    /// The commit.
    pub commit: Commit,
}

/// What became of the batches whose formula is gone.
#[derive(Debug, Default)]
pub struct Recovery {
    /// Those that are held against what git has.
    pub found: Vec<Recovered>,
    /// Why git could not say it of others, in sentences.
    pub unanswered: Vec<String>,
}

/// Gives every batch whose formula is gone, or of another version now, and that has no plan of its own, the plan of the
/// formula as it stood in git. What is not found there stays as it is, and the check tells of it.
pub fn recover(loaded: &mut Loaded) -> Recovery {
    recover_for(loaded, &|_| true)
}

/// The same for those batches alone that `wanted` says.
pub fn recover_for(loaded: &mut Loaded, wanted: &dyn Fn(DeclId) -> bool) -> Recovery {
    let mut recovery = Recovery::default();
    let mut unanswered: Vec<(GitError, Vec<SmolStr>)> = Vec::new();
    let mut given: Vec<(DeclId, String, Recovered)> = Vec::new();
    for alike in alike(loaded, lost(loaded, wanted)) {
        match plans_of(loaded, &alike) {
            Ok(plans) => {
                for (batch, plan) in alike.iter().zip(plans) {
                    given.extend(plan.and_then(|plan| Some((batch.id, plan.text.clone(), plan.recovered(batch)?))));
                }
            }
            Err(error) => {
                let names = alike.iter().map(|batch| batch.name.clone());
                match unanswered.iter_mut().find(|(known, _)| *known == error) {
                    Some((_, batches)) => batches.extend(names),
                    None => unanswered.push((error, names.collect())),
                }
            }
        }
    }
    given.sort_by_key(|(id, ..)| *id);
    let mut files: BTreeSet<FileId> = BTreeSet::new();
    for (id, plan, recovered) in given {
        let Some(source) = loaded.sources.home_mut(id.file) else { continue };
        if give_plan(source, id.item as usize, &plan) {
            recovery.found.push(recovered);
            files.insert(id.file);
        }
    }
    for file in files {
        loaded.sources.home_mut(file).into_iter().for_each(excuse_what_is_gone);
    }
    recovery.unanswered = unanswered.iter().map(|(error, batches)| without_answer(error, batches)).collect();
    recovery
}

/// Whether a batch is held against nothing in the files: only then is there anything to be looked for in git.
#[must_use]
pub fn is_any_lost(loaded: &Loaded) -> bool {
    !lost(loaded, &|_| true).is_empty()
}

/// So many batches are named before the others are counted.
const NAMED: usize = 5;

/// Why git could not say it, and of which batches.
fn without_answer(error: &GitError, batches: &[SmolStr]) -> String {
    let mut names: Vec<String> = batches.iter().take(NAMED).map(|name| format!("`{name}`")).collect();
    if let Some(more) = batches.len().checked_sub(NAMED).filter(|more| *more > 0) {
        names.push(format!("{more} more"));
    }
    let names = match names.split_last() {
        Some((last, [])) => last.clone(),
        Some((last, others)) => format!("{} and {last}", others.join(", ")),
        None => String::new(),
    };
    format!("{error} So what {names} was made by is not known from git.")
}

/// The plan of a batch's formula as it stood in git, as one statement; none where git does not have it. `source` is the
/// file of the record.
///
/// # Errors
/// A repository that cannot be read, or that was copied without its older commits.
pub fn lost_plan(loaded: &Loaded, batch: &Batch) -> Result<Option<(String, Recovered)>, GitError> {
    let plans = plans_of(loaded, std::slice::from_ref(batch))?;
    let plan = plans.into_iter().next().flatten();
    Ok(plan.and_then(|plan| Some((plan.text.clone(), plan.recovered(batch)?))))
}

/// The batches that ask git the same: those of one workspace, formula and version, each lot of them together.
fn alike(loaded: &Loaded, lost: Vec<Batch>) -> Vec<Vec<Batch>> {
    let mut all: Vec<Vec<Batch>> = Vec::new();
    let mut known: FxHashMap<(Option<&Path>, SmolStr, Option<SmolStr>), usize> = FxHashMap::default();
    for batch in lost {
        let Some(formula) = &batch.formula else { continue };
        let root = loaded.sources.home(batch.id.file).map(|source| source.root.as_path());
        let version = batch.version.as_ref().map(|version| version.text.clone());
        let at = *known.entry((root, formula.text.clone(), version)).or_insert(all.len());
        match all.get_mut(at) {
            Some(alike) => alike.push(batch),
            None => all.push(vec![batch]),
        }
    }
    all
}

impl Recovered {
    /// The formula as it stood: `` `serum` version 1 as it stood in git on 2026-11-20, in abc1234``.
    #[must_use]
    pub fn words(&self) -> String {
        let version = self.version.as_ref().map(|version| format!(" version {version}")).unwrap_or_default();
        let (day, short) = (&self.commit.day, self.commit.short());
        format!("`{}`{version} as it stood in git on {day}, in {short}", self.formula)
    }
}

/// The batches that have no sound plan, and whose formula is not there in the version that they name.
fn lost(loaded: &Loaded, wanted: &dyn Fn(DeclId) -> bool) -> Vec<Batch> {
    let has_plan = |item: &Item| match item {
        Item::Batch(batch) => batch.plan().is_some_and(|plan| !plan.is_faulty),
        _ => true,
    };
    let named = || loaded.sources.files.iter().filter(|source| source.named);
    if named().flat_map(|source| &source.tree.items).all(has_plan) {
        return Vec::new();
    }
    let resolver = Resolver::new(&loaded.sources, &mut Vec::new());
    let batches = named().flat_map(|source| resolver.batches_of(source));
    let batches = batches.filter(|batch| batch.plan.as_ref().is_none_or(|plan| plan.is_faulty) && wanted(batch.id));
    // The version that a formula has now, each made once.
    let mut versions: FxHashMap<DeclId, Option<SmolStr>> = FxHashMap::default();
    let mut is_lost = |batch: &Batch| {
        let Some(named) = &batch.formula else { return false };
        let Some(id) = resolver.scopes.find(batch.id.file, NameSet::Weighable, &named.text) else { return true };
        let now = versions.entry(id).or_insert_with(|| {
            let made = resolver.formulas(&[id], &mut Vec::new());
            made.first().and_then(|made| made.formula.version.clone())
        });
        batch.version.as_ref().is_some_and(|version| now.as_ref() != Some(&version.text))
    };
    batches.filter(|batch| is_lost(batch)).collect()
}

/// A plan found in git.
#[derive(Clone)]
struct CommittedPlan {
    text: String,
    version: Option<String>,
    commit: Commit,
}

impl CommittedPlan {
    fn recovered(self, batch: &Batch) -> Option<Recovered> {
        let formula = batch.formula.as_ref()?.text.to_string();
        Some(Recovered { batch: batch.name.to_string(), formula, version: self.version, commit: self.commit })
    }
}

/// The plans of batches of one formula and version: each out of the latest commit that had the version when the batch was
/// started; of the earliest that had it, where none had it then. The commits are gone through once for all of them.
fn plans_of(loaded: &Loaded, batches: &[Batch]) -> Result<Vec<Option<CommittedPlan>>, GitError> {
    let mut found: Vec<Option<CommittedPlan>> = batches.iter().map(|_| None).collect();
    let sources = || batches.iter().filter_map(|batch| loaded.sources.home(batch.id.file));
    let (Some(first), Some(source)) = (batches.first(), sources().next()) else { return Ok(found) };
    let Some(repository) = Repository::of(&source.absolute)? else { return Ok(found) };
    let Some(head) = repository.head()? else { return Ok(found) };
    let mut past = Past::new(watched(loaded, sources()));
    let mut waiting: Vec<usize> = (0..batches.len()).collect();
    walk::<GitError>(&repository, head, &mut past, |step: CommitStep| {
        let files: Vec<PathBuf> = step.now.keys().cloned().collect();
        if let Some((text, version)) = plan_at(&repository, &step.commit, &files, first) {
            let plan = CommittedPlan { text, version, commit: step.commit };
            waiting.retain(|number| {
                let Some(place) = found.get_mut(*number) else { return false };
                *place = Some(plan.clone());
                let started = batches.get(*number).and_then(|batch| batch.started.as_ref());
                started.is_some_and(|day| plan.commit.day.as_str() > day.as_str())
            });
        }
        Ok(if waiting.is_empty() { ControlFlow::Break(()) } else { ControlFlow::Continue(()) })
    })?;
    if found.iter().any(Option::is_none) && repository.is_shallow() {
        return Err(GitError::shallow());
    }
    Ok(found)
}

/// The files of some records, those of their session, and what they use that is gone.
fn watched<'l>(loaded: &'l Loaded, sources: impl Iterator<Item = &'l Source>) -> Vec<PathBuf> {
    let mut paths: BTreeSet<PathBuf> = BTreeSet::new();
    let mut met: BTreeSet<&Path> = BTreeSet::new();
    let mut root: Option<&Path> = None;
    for source in sources.filter(|source| met.insert(&source.absolute)) {
        root = Some(&source.root);
        let folder = source.absolute.parent().unwrap_or(&source.absolute);
        let used = source.tree.items.iter().filter_map(|item| match item {
            Item::Use(Use { target: UseTarget::Path(path), .. }) => Some(path),
            _ => None,
        });
        paths.extend(used.map(|path| joined(folder, Path::new(path.value.as_str()))));
    }
    let own = loaded.sources.files.iter().filter(|other| Some(other.root.as_path()) == root);
    paths.extend(own.map(|other| other.absolute.clone()));
    Vec::from_iter(paths)
}

/// The plan of a batch's formula as it stood at a commit, with its version; none where it was not there in the version
/// asked for, or an error bears on it.
fn plan_at(
    repository: &Repository,
    commit: &Commit,
    files: &[PathBuf],
    batch: &Batch,
) -> Option<(String, Option<String>)> {
    let name = &batch.formula.as_ref()?.text;
    let loaded = load(&repository.state(commit), files, None);
    let report: Report<'_> = check(&loaded.sources, &BatchOrder::default(), false);
    let wanted = |found: &&FormulaReport| {
        let version = found.formula.version.as_ref();
        found.formula.name == *name
            && batch.version.as_ref().is_none_or(|asked| version == Some(&asked.text))
            && !found.is_blocked()
    };
    let found = report.formulas.iter().find(wanted)?;
    let version = found.formula.version.as_ref().map(ToString::to_string);
    Some((freeze(&report.resolver, &found.formula)?, version))
}
