//! What came of the formulas and records of a session, as long as what they rest on stays as it was.

use super::carried::{Shift, Stood};
use super::report::Checked;
use crate::check::CheckOptions;
use crate::diagnostic::{Diagnostic, FileId};
use crate::model::{DeclId, Formula, Line};
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

/// What came of the records or the other declarations of a file.
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
    /// What came of the other declarations of each file.
    declarations: FxHashMap<FileId, KnownRecords>,
    /// Each file that says anything of the store room, with the number of its last change: records of any file are held
    /// against it.
    rooms: State,
    /// Each file as it stands now.
    states: FxHashMap<FileId, Arc<State>>,
    /// Each file on disk with its text and items.
    stood: FxHashMap<FileId, Stood>,
    /// What the checks came to of formulas that a change has not touched, and that only stand elsewhere now.
    carried: FxHashMap<DeclId, Carried>,
}

/// What came of a formula that a change has not touched.
struct Carried {
    formula: Arc<Formula>,
    /// What was wrong in it, before any check.
    faults: Vec<Diagnostic>,
    checked: Checked,
    uses: Vec<DeclId>,
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
        let shifts = self.shifts(files, &numbers);
        self.carry(&shifts);
        let states = &self.states;
        self.formulas.retain(|id, known| states.get(&id.file) == Some(&known.state));
        self.records.retain(|file, known| states.get(file) == Some(&known.state));
        self.declarations.retain(|file, known| states.get(file) == Some(&known.state));
    }

    /// The changes since the last time that lie within formulas and records.
    fn shifts(&mut self, files: &[Source], numbers: &FxHashMap<FileId, u64>) -> Vec<Shift> {
        let mut shifts = Vec::new();
        for source in files {
            let Some(version) = numbers.get(&source.id) else { continue };
            match self.stood.get(&source.id) {
                Some(stood) if stood.version == *version => continue,
                Some(stood) => shifts.extend(Shift::between(stood, source)),
                None => {}
            }
            self.stood.insert(source.id, Stood::new(source, *version));
        }
        self.stood.retain(|file, _| numbers.contains_key(file));
        shifts
    }

    /// Carries over what the checks came to of formulas that no change has touched, and nothing that they rest on.
    fn carry(&mut self, shifts: &[Shift]) {
        self.carried.clear();
        let [shift] = shifts else { return };
        let (file, before) = shift.of();
        #[allow(clippy::iter_over_hash_type, reason = "what is carried over goes into a table by name: no order shows")]
        for (id, known) in &self.formulas {
            let Some(now) = shift.id(*id) else { continue };
            let Some(state) = self.states.get(&now.file).filter(|state| **state != known.state) else { continue };
            let is_same = |(one, other): (&(FileId, u64), &(FileId, u64))| {
                one == other || one.0 == other.0 && one.0 == file && one.1 == before
            };
            if state.len() != known.state.len() || !known.state.iter().zip(state.iter()).all(is_same) {
                continue;
            }
            let formula = &known.resolved.formula;
            let stays = |ids: &[DeclId]| ids.iter().all(|id| shift.id(*id).is_some());
            if !stays(&formula.rests_on) || !stays(&formula.bases) {
                continue;
            }
            let carried = || {
                let faults = shift.faults(&known.resolved.faults)?;
                let checked = known.checked.moved(|faults| shift.faults(faults))?;
                Some(Carried { formula: Arc::clone(formula), faults, checked, uses: shift.ids(&known.uses)? })
            };
            if let Some(carried) = carried() {
                self.carried.insert(now, carried);
            }
        }
    }

    /// What the checks came to of a formula that was made anew and is as it was, with the declarations that it uses.
    pub fn carried(&mut self, resolved: &Resolved) -> Option<(Checked, Vec<DeclId>)> {
        let Carried { formula, faults, checked, uses } = self.carried.remove(&resolved.formula.id)?;
        // Text that did not parse elsewhere may have changed how this was read, or which names are known.
        let (before, now) = (&formula.lines, &resolved.formula.lines);
        let is_same = |(one, other): (&Line, &Line)| {
            one.name == other.name && one.percent == other.percent && one.amount == other.amount
        };
        let same_lines = before.len() == now.len() && before.iter().zip(now).all(is_same);
        (same_lines && faults == resolved.faults).then_some((checked, uses))
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

    /// What is known of the other declarations of a file.
    pub fn declarations(&self, file: FileId) -> Option<&KnownRecords> {
        self.declarations.get(&file)
    }

    /// Keeps what came of the other declarations of a file.
    pub fn keep_declarations(&mut self, file: FileId, found: Vec<Diagnostic>, uses: Vec<DeclId>) {
        let Some(state) = self.states.get(&file) else { return };
        self.declarations.insert(file, KnownRecords { state: Arc::clone(state), found, uses });
    }

    /// Keeps what came of the records of a file.
    pub fn keep_records(&mut self, file: FileId, found: Vec<Diagnostic>, uses: Vec<DeclId>) {
        let Some(state) = self.states.get(&file) else { return };
        self.records.insert(file, KnownRecords { state: Arc::clone(state), found, uses });
    }
}
