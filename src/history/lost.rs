//! Versions of formulas that are gone from the files: found again in git for the batches that were made by them.

use super::state::Past;
use super::walk::{Step, walk};
use crate::check::{FormulaReport, Report, check};
use crate::model::{Batch, DeclId};
use crate::plan::Order;
use crate::record::freeze;
use crate::resolve::{NameSet, Resolver};
use crate::syntax::tree::{BatchEntry, Item, UseTarget};
use crate::workspace::{Commit, GitError, Loaded, Repository, Source, give_plan, joined, load};
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

/// Gives every batch whose formula is gone, or of another version now, and that has no plan of its own, the plan of the
/// formula as it stood in git. What is not found there stays as it is, and the check tells of it.
pub fn recover(loaded: &mut Loaded) -> Vec<Recovered> {
    let mut found = Vec::new();
    for (id, batch) in lost(loaded) {
        let Some(source) = loaded.sources.home(id.file) else { continue };
        let Some((plan, recovered)) = lost_plan(loaded, source, &batch) else { continue };
        let Some(source) = loaded.sources.home_mut(id.file) else { continue };
        if give_plan(source, id.item as usize, &plan) {
            found.push(recovered);
        }
    }
    found
}

/// The plan of a batch's formula as it stood in git, as one statement; none where git does not have it. `source` is the
/// file of the record.
#[must_use]
pub fn lost_plan(loaded: &Loaded, source: &Source, batch: &Batch) -> Option<(String, Recovered)> {
    // Without git, or where it cannot be read, there is nothing to be found.
    let (plan, version, commit) = search(loaded, source, batch).ok()??;
    let formula = batch.formula.as_ref()?.text.to_string();
    Some((plan, Recovered { batch: batch.name.to_string(), formula, version, commit }))
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

/// The batches without a plan whose formula is not there in the version that they name.
fn lost(loaded: &Loaded) -> Vec<(DeclId, Batch)> {
    let has_plan = |item: &Item| match item {
        Item::Batch(batch) => batch.entries.iter().any(|entry| matches!(entry.entry, BatchEntry::Plan(_))),
        _ => true,
    };
    let named = || loaded.sources.files.iter().filter(|source| source.named);
    if named().flat_map(|source| &source.tree.items).all(has_plan) {
        return Vec::new();
    }
    let resolver = Resolver::new(&loaded.sources, &mut Vec::new());
    let batches = named().flat_map(|source| resolver.batches_of(source)).filter(|batch| batch.plan.is_none());
    let is_lost = |batch: &Batch| {
        let Some(named) = &batch.formula else { return false };
        let Some(id) = resolver.scopes.find(batch.id.file, NameSet::Thing, &named.text) else { return true };
        let made = resolver.formulas(&[id], &mut Vec::new());
        let now = made.first().and_then(|made| made.formula.version.clone());
        batch.version.as_ref().is_some_and(|version| now.as_ref() != Some(&version.text))
    };
    batches.filter(is_lost).map(|batch| (batch.id, batch)).collect()
}

type Plan = (String, Option<String>, Commit);

/// The plan of a batch's formula, out of the latest commit that had its version when the batch was started; of the
/// earliest that had it, where none had it then.
fn search(loaded: &Loaded, source: &Source, batch: &Batch) -> Result<Option<Plan>, GitError> {
    let Some(repository) = Repository::of(&source.absolute)? else { return Ok(None) };
    let Some(head) = repository.head()? else { return Ok(None) };
    let mut past = Past::new(watched(loaded, source));
    let mut found: Option<Plan> = None;
    walk::<GitError>(&repository, head, &mut past, |step: Step| {
        let files: Vec<PathBuf> = step.now.keys().cloned().collect();
        if let Some((plan, version)) = plan_at(&repository, &step.commit, &files, batch) {
            let was_there = batch.started.as_ref().is_none_or(|day| step.commit.day.as_str() <= day.as_str());
            found = Some((plan, version, step.commit));
            if was_there {
                return Ok(ControlFlow::Break(()));
            }
        }
        Ok(ControlFlow::Continue(()))
    })?;
    Ok(found)
}

/// The file of a record, the files of its session, and what it uses that is gone.
fn watched(loaded: &Loaded, source: &Source) -> Vec<PathBuf> {
    let own = loaded.sources.files.iter().filter(|other| other.root == source.root);
    let mut paths: Vec<PathBuf> = own.map(|other| other.absolute.clone()).collect();
    let folder = source.absolute.parent().unwrap_or(&source.absolute);
    for item in &source.tree.items {
        if let Item::Use(used) = item
            && let UseTarget::Path(path) = &used.target
        {
            paths.push(joined(folder, Path::new(path.value.as_str())));
        }
    }
    paths.sort();
    paths.dedup();
    paths
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
    let report: Report<'_> = check(&loaded.sources, &Order::default(), false);
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
