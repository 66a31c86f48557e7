//! From a commit back through those it was made from, past all that changed nothing.

use super::state::{FileStates, Past};
use crate::workspace::{Commit, GitError, Repository};
use rustc_hash::FxHashMap;
use std::collections::BinaryHeap;
use std::ops::ControlFlow;
use std::path::PathBuf;
use std::sync::Arc;

/// A commit that changed something of what is watched.
pub struct CommitStep {
    /// The commit.
    pub commit: Commit,
    /// The one it goes on from; none for the first.
    pub parent: Option<Commit>,
    /// What is watched, at the commit.
    pub now: Arc<FileStates>,
    /// What is watched, at the one before; empty for the first.
    pub before: Arc<FileStates>,
    /// What is watched, at each other commit that it brings together.
    pub others: Vec<Arc<FileStates>>,
}

/// A commit that waits for its turn: the youngest goes first, of two as young the one met first.
#[derive(PartialEq, Eq, PartialOrd, Ord)]
struct Waiting(i64, std::cmp::Reverse<usize>);

/// Walks back from a commit and gives every commit that changed something of what is watched to `each`, the youngest
/// first, until that says to stop. A commit that brings together what is the same as one of its parents changed nothing,
/// and the way goes on through that parent alone.
///
/// # Errors
/// A repository that cannot be read, or what `each` says.
pub fn walk<E: From<GitError>>(
    repository: &Repository,
    from: Commit,
    past: &mut Past,
    mut each: impl FnMut(CommitStep) -> Result<ControlFlow<()>, E>,
) -> Result<(), E> {
    let mut states: FxHashMap<String, Arc<FileStates>> = FxHashMap::default();
    let mut by_number: Vec<Commit> = Vec::new();
    let mut waiting: BinaryHeap<Waiting> = BinaryHeap::new();
    let mut met = rustc_hash::FxHashSet::default();
    let mut push = |commit: Commit, waiting: &mut BinaryHeap<Waiting>, by_number: &mut Vec<Commit>| {
        if met.insert(commit.id()) {
            waiting.push(Waiting(commit.seconds, std::cmp::Reverse(by_number.len())));
            by_number.push(commit);
        }
    };
    let mut state_of = |states: &mut FxHashMap<String, Arc<FileStates>>, commit: &Commit| {
        if let Some(known) = states.get(&commit.id()) {
            return Ok::<Arc<FileStates>, GitError>(Arc::clone(known));
        }
        let state = Arc::new(past.state(&repository.state(commit))?);
        states.insert(commit.id(), Arc::clone(&state));
        Ok(state)
    };
    push(from, &mut waiting, &mut by_number);
    while let Some(Waiting(_, number)) = waiting.pop() {
        let Some(commit) = by_number.get(number.0).cloned() else { continue };
        let now = state_of(&mut states, &commit)?;
        // Seldom asked for again, and then worked out again: a long history must fit into memory.
        states.remove(&commit.id());
        let parents = repository.parents(&commit)?;
        let mut of_parents = Vec::with_capacity(parents.len());
        let mut same = None;
        for parent in &parents {
            let state = state_of(&mut states, parent)?;
            if state == now {
                same = Some(parent);
                break;
            }
            of_parents.push(state);
        }
        if let Some(same) = same {
            push(same.clone(), &mut waiting, &mut by_number);
            continue;
        }
        let parent = parents.first().cloned();
        let mut of_parents = of_parents.into_iter();
        let before = of_parents.next().unwrap_or_default();
        let others = of_parents.collect();
        parents.into_iter().for_each(|parent| push(parent, &mut waiting, &mut by_number));
        if parent.is_none() && now.is_empty() {
            continue;
        }
        if each(CommitStep { commit, parent, now, before, others })?.is_break() {
            break;
        }
    }
    Ok(())
}

impl CommitStep {
    /// The files that changed, or whose used files did: those of before, and those of now. What is as it was in another
    /// commit that was brought in changed there, and is told of there.
    #[must_use]
    pub fn changed(&self) -> (Vec<PathBuf>, Vec<PathBuf>) {
        let of = |one: &FileStates, other: &FileStates| {
            let changed = one.iter().filter(|(path, key)| other.get(*path) != Some(key));
            let own =
                changed.filter(|(path, _)| self.others.iter().all(|brought| brought.get(*path) != self.now.get(*path)));
            own.map(|(path, _)| path.clone()).collect::<Vec<_>>()
        };
        (of(&self.before, &self.now), of(&self.now, &self.before))
    }
}
