//! What came of the formulas and records of a session, as long as what they rest on stays as it was.

use super::report::Checked;
use crate::check::CheckOptions;
use crate::diagnostic::{Diagnostic, FileId};
use crate::model::DeclId;
use crate::resolve::{Resolved, Resolver};
use crate::sheet::BatchOrder;
use crate::syntax::tree::Item;
use crate::workspace::Source;
use rustc_hash::FxHashMap;
use std::sync::Arc;

/// A file as all that can be seen from it: each file it reaches, with the number of its last change, and what became of
/// each `use`.
pub(super) type State = Vec<(FileId, u64)>;

/// What came of a formula.
#[derive(Clone)]
pub(super) struct KnownFormula {
    state: Arc<State>,
    pub resolved: Arc<Resolved>,
    pub checked: Checked,
    /// The declarations that it uses.
    pub uses: Vec<DeclId>,
}

/// What came of the records of a file.
#[derive(Clone)]
pub(super) struct KnownRecords {
    state: Arc<State>,
    pub found: Vec<Diagnostic>,
    pub uses: Vec<DeclId>,
}

/// What came of the formulas and records of a session.
#[derive(Default)]
pub(super) struct Memory {
    /// What the command asked for: of another question nothing is known.
    asked: Option<(BatchOrder, CheckOptions)>,
    formulas: FxHashMap<DeclId, KnownFormula>,
    records: FxHashMap<FileId, KnownRecords>,
    /// Each file that says anything of the store room, with the number of its last change: records of any file are held
    /// against it.
    rooms: State,
    /// Each file as it stands now.
    states: FxHashMap<FileId, Arc<State>>,
}

impl Memory {
    /// Forgets everything where something else is asked than the last time.
    pub fn asked_for(&mut self, order: &BatchOrder, asked: CheckOptions) {
        let same = self.asked.as_ref().is_some_and(|(before, options)| before == order && *options == asked);
        if !same {
            *self = Memory { asked: Some((order.clone(), asked)), ..Memory::default() };
        }
    }

    /// Looks at the files as they stand now, each with the number of its last change. Without numbers nothing is known.
    pub fn look_at(&mut self, resolver: &Resolver<'_>, versions: &[u64]) {
        let files = &resolver.sources.files;
        let numbers: FxHashMap<FileId, u64> =
            files.iter().zip(versions).map(|(source, version)| (source.id, *version)).collect();
        let state = |source: &Source| {
            let reached = resolver.scopes.reached(source.id);
            reached.map(|file| Some((file, *numbers.get(&file)?))).collect::<Option<State>>()
        };
        self.states = files.iter().filter_map(|source| Some((source.id, Arc::new(state(source)?)))).collect();
        let has_room = |source: &&Source| source.tree.items.iter().any(|item| matches!(item, Item::Stock(_)));
        let rooms = files.iter().filter(has_room).filter_map(|source| Some((source.id, *numbers.get(&source.id)?)));
        let rooms: State = rooms.collect();
        if rooms != self.rooms {
            self.records.clear();
            self.rooms = rooms;
        }
        let states = &self.states;
        self.formulas.retain(|id, known| states.get(&id.file) == Some(&known.state));
        self.records.retain(|file, known| states.get(file) == Some(&known.state));
    }

    /// What is known of a formula.
    pub fn formula(&self, id: DeclId) -> Option<&KnownFormula> {
        self.formulas.get(&id)
    }

    /// Keeps what came of a formula.
    pub fn keep_formula(&mut self, resolved: &Arc<Resolved>, checked: &Checked, uses: Vec<DeclId>) {
        let id = resolved.formula.id;
        let Some(state) = self.states.get(&id.file) else { return };
        let state = Arc::clone(state);
        self.formulas
            .insert(id, KnownFormula { state, resolved: Arc::clone(resolved), checked: checked.clone(), uses });
    }

    /// What is known of the records of a file.
    pub fn records(&self, file: FileId) -> Option<&KnownRecords> {
        self.records.get(&file)
    }

    /// Keeps what came of the records of a file.
    pub fn keep_records(&mut self, file: FileId, found: Vec<Diagnostic>, uses: Vec<DeclId>) {
        let Some(state) = self.states.get(&file) else { return };
        self.records.insert(file, KnownRecords { state: Arc::clone(state), found, uses });
    }
}
