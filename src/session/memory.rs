//! What came of the formulas and records of a session, as long as what they rest on stays as it was.

use super::carried::{Shift, Stood};
use super::findings::Told;
use super::moved::Mover;
use super::run::Stand;
use super::settled::Settled;
use crate::check::CheckOptions;
use crate::diagnostic::{Diagnostic, FileId};
use crate::model::{DeclId, Formula, Line};
use crate::resolve::{EXCUSED, KnownScopes, Made, Resolved, Resolver};
use crate::sheet::BatchOrder;
use crate::shelf;
use crate::syntax::Cuts;
use crate::syntax::tree::Item;
use crate::workspace::Source;
use rustc_hash::{FxHashMap, FxHashSet};
use smol_str::SmolStr;
use std::sync::Arc;

/// A file as all that can be seen from it: each file it reaches, with the number of its last change, and what became of
/// each `use`.
pub(super) type State = Vec<(FileId, u64)>;

/// What came of a formula.
pub(super) struct KnownFormula {
    state: Arc<State>,
    pub resolved: Arc<Resolved>,
    pub settled: Arc<Settled>,
    /// The declarations that it uses, of those that nothing may use.
    pub uses: Vec<DeclId>,
    /// Whether a name in it that is not known was excused.
    excused: bool,
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
    /// What was told of each file.
    pub told: Told,
    /// The names of each file.
    pub scopes: KnownScopes,
    /// What was made of declarations that see nothing that has changed since.
    pub made: Arc<Made>,
}

/// What is carried over a change: formulas that only stand elsewhere now, and what the checks came to of others.
type CarriedOver = (FxHashMap<DeclId, KnownFormula>, FxHashMap<DeclId, Carried>);

/// Whether nothing has changed that the declarations of a file see: those of the shelf see nothing else.
fn stays(stay: &FxHashSet<FileId>, file: FileId) -> bool {
    (file.0 as usize) < shelf::FILES.len() || stay.contains(&file)
}

/// What came of a formula that a change has not touched.
struct Carried {
    formula: Arc<Formula>,
    /// What was wrong in it, before any check.
    faults: Vec<Diagnostic>,
    settled: Settled,
    uses: Vec<DeclId>,
    excused: bool,
}

impl KnownFormula {
    /// What came of the formula, which only stands elsewhere now; none where that cannot be said.
    fn moved(&self, mover: &Mover<'_>, state: &Arc<State>) -> Option<KnownFormula> {
        let shift = mover.shift;
        shift.begin();
        let formula = Arc::new(mover.formula(&self.resolved.formula)?);
        let faults = shift.faults(&self.resolved.faults)?;
        let mut settled = self.settled.moved(|fault| shift.fault(fault.clone()), |place| shift.moved(place))?;
        let (state, uses) = (Arc::clone(state), shift.ids(&self.uses)?);
        let excused = self.excused;
        if !shift.has_moved() && mover.keeps_premixes(&self.resolved.formula) {
            let (resolved, settled) = (Arc::clone(&self.resolved), Arc::clone(&self.settled));
            return Some(KnownFormula { state, resolved, settled, uses, excused });
        }
        settled.formula = Arc::clone(&formula);
        let (resolved, settled) = (Arc::new(Resolved { formula, faults }), Arc::new(settled));
        Some(KnownFormula { state, resolved, settled, uses, excused })
    }

    /// What the checks came to, to be gone by where the formula is made anew and is as it was.
    fn carried(&self, shift: &Shift) -> Option<Carried> {
        let faults = shift.faults(&self.resolved.faults)?;
        let settled = self.settled.moved(|fault| shift.fault(fault.clone()), |place| shift.moved(place))?;
        let (formula, uses) = (Arc::clone(&self.resolved.formula), shift.ids(&self.uses)?);
        Some(Carried { formula, faults, settled, uses, excused: self.excused })
    }
}

/// The names that stand for something else since a change than they did before, or stood for nothing, or do now.
struct Names {
    names: Vec<SmolStr>,
    /// Whether one of them is a name of the shelf.
    on_shelf: bool,
    /// Whether others than before are names of declarations that did not parse.
    broken: bool,
}

impl Names {
    fn of(shift: &Shift, scopes: &KnownScopes) -> Names {
        let (file, _) = shift.of();
        let (names, broken) = scopes.differing(file, |before, now| shift.is_same_item(before, now));
        let on_shelf =
            !names.is_empty() && shelf::ENTRIES.iter().any(|entry| names.iter().any(|name| name == entry.name));
        Names { names, on_shelf, broken }
    }

    /// Whether a formula is what it was whatever these names stand for: it has no name that is not known, none of them is
    /// written in it or in its bases, and none of them is one that a check looks for by itself, which are the shelf's.
    fn leave_alone(&self, known: &KnownFormula, shift: &Shift, resolver: &Resolver<'_>) -> bool {
        let formula = &known.resolved.formula;
        let all_known = || {
            let sound = |line: &Line| !line.faulty && line.near.is_empty();
            !known.excused && known.resolved.faults.is_empty() && formula.lines.iter().all(sound)
        };
        let is_written = |id: DeclId| {
            let now = shift.id(id).and_then(|id| Some((resolver.sources.home(id.file)?, resolver.scopes.item(id)?)));
            now.is_none_or(|(source, item)| {
                let (span, text) = (item.span(), item.span().of(&source.text));
                self.names.iter().any(|name| text.contains(name.as_str()))
                    || source.faults.iter().any(|fault| span.holds(fault.primary.place.span))
            })
        };
        let are_written = || std::iter::once(&formula.id).chain(&formula.bases).any(|id| is_written(*id));
        match (self.names.is_empty(), self.broken) {
            (true, false) => true,
            (true, true) => all_known(),
            (false, _) => !self.on_shelf && all_known() && !are_written(),
        }
    }
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
    pub fn look_at(&mut self, resolver: &Resolver<'_>, stand: &Stand<'_>) {
        let files = &resolver.sources.files;
        let numbers: FxHashMap<FileId, u64> =
            files.iter().zip(stand.versions).map(|(source, version)| (source.id, *version)).collect();
        let state = |source: &Source| {
            let reached = resolver.scopes.reached(source.id);
            reached.map(|file| Some((file, *numbers.get(&file)?))).collect::<Option<State>>()
        };
        let before = std::mem::take(&mut self.states);
        let now = |source: &Source| {
            let state = state(source)?;
            let same = before.get(&source.id).filter(|before| ***before == state);
            Some((source.id, same.map_or_else(|| Arc::new(state), Arc::clone)))
        };
        self.states = files.iter().filter_map(now).collect();
        let as_before = |file: &FileId| {
            let pair = before.get(file).zip(self.states.get(file));
            pair.is_some_and(|(before, now)| Arc::ptr_eq(before, now))
        };
        let stay: FxHashSet<FileId> = files.iter().map(|source| source.id).filter(as_before).collect();
        self.made.keep(|file| stay.contains(&file));
        let has_room = |source: &&Source| source.tree.items.iter().any(|item| matches!(item, Item::Stock(_)));
        let rooms = files.iter().filter(has_room).filter_map(|source| Some((source.id, *numbers.get(&source.id)?)));
        let rooms: State = rooms.collect();
        if rooms != self.rooms {
            self.records.clear();
            self.rooms = rooms;
        }
        let shifts = self.shifts(files, &numbers, stand.cuts);
        let (moved, carried) = self.carry(&shifts, resolver, &stay);
        self.carried = carried;
        let states = &self.states;
        let stands = |file: FileId, state: &Arc<State>| states.get(&file).is_some_and(|now| Arc::ptr_eq(now, state));
        self.formulas.retain(|id, known| stands(id.file, &known.state));
        self.records.retain(|file, known| stands(*file, &known.state));
        self.declarations.retain(|file, known| stands(*file, &known.state));
        self.formulas.extend(moved);
    }

    /// The changes since the last time that lie within formulas and records.
    fn shifts(
        &mut self,
        files: &[Source],
        numbers: &FxHashMap<FileId, u64>,
        cuts: &dyn Fn(&Source) -> Option<Cuts>,
    ) -> Vec<Shift> {
        let mut shifts = Vec::new();
        for source in files {
            let Some(version) = numbers.get(&source.id) else { continue };
            if self.stood.get(&source.id).is_some_and(|stood| stood.version == *version) {
                continue;
            }
            let now = Stood::new(source, *version, cuts(source));
            if let Some(stood) = self.stood.get(&source.id) {
                shifts.extend(Shift::between(stood, &now, source.id));
            }
            self.stood.insert(source.id, now);
        }
        self.stood.retain(|file, _| numbers.contains_key(file));
        shifts
    }

    /// Carries over what came of formulas that no change has touched, and nothing that they rest on: those that only stand
    /// elsewhere now, and of the others what the checks came to, to be gone by once they are made anew. `stay` are the
    /// files that see nothing that has changed.
    fn carry(&self, shifts: &[Shift], resolver: &Resolver<'_>, stay: &FxHashSet<FileId>) -> CarriedOver {
        let (mut moved, mut carried) = CarriedOver::default();
        let [shift] = shifts else { return (moved, carried) };
        let names = Names::of(shift, &self.scopes);
        // Premixes first: they stand less deep.
        let mut untouched: Vec<(&KnownFormula, DeclId, &Arc<State>)> =
            self.formulas.iter().filter_map(|(id, known)| self.untouched(shift, *id, known)).collect();
        untouched.sort_unstable_by_key(|(known, id, _)| (known.resolved.formula.depth, *id));
        for (known, id, state) in untouched {
            let premix = |premix: DeclId| {
                let (now, known) = (shift.id(premix)?, self.formulas.get(&premix)?);
                match self.states.get(&premix.file) {
                    Some(state) if Arc::ptr_eq(state, &known.state) => Some(Arc::clone(&known.resolved.formula)),
                    _ => moved.get(&now).map(|known: &KnownFormula| Arc::clone(&known.resolved.formula)),
                }
            };
            let mover = Mover { shift, premix: &premix, stays: &|file| stays(stay, file) };
            let is_sure = shift.same_trees && names.leave_alone(known, shift, resolver);
            match is_sure.then(|| known.moved(&mover, state)).flatten() {
                Some(known) => {
                    moved.insert(id, known);
                }
                None if shift.same_names => carried.extend(known.carried(shift).map(|carried| (id, carried))),
                None => {}
            }
        }
        (moved, carried)
    }

    /// A formula that a change has not touched, and nothing that it rests on: with its number now, and what it sees.
    fn untouched<'m>(
        &'m self,
        shift: &Shift,
        id: DeclId,
        known: &'m KnownFormula,
    ) -> Option<(&'m KnownFormula, DeclId, &'m Arc<State>)> {
        let now = shift.id(id)?;
        let state = self.states.get(&now.file).filter(|state| !Arc::ptr_eq(state, &known.state))?;
        let (file, before) = shift.of();
        let is_same = |(one, other): (&(FileId, u64), &(FileId, u64))| {
            one == other || one.0 == other.0 && one.0 == file && one.1 == before
        };
        let same_state = state.len() == known.state.len() && known.state.iter().zip(state.iter()).all(is_same);
        let formula = &known.resolved.formula;
        let stays = |ids: &[DeclId]| ids.iter().all(|id| shift.id(*id).is_some());
        (same_state && stays(&formula.rests_on) && stays(&formula.bases)).then_some((known, now, state))
    }

    /// What the checks came to of a formula that was made anew and is as it was, with the declarations that it uses.
    pub fn carried(&mut self, resolved: &Resolved) -> Option<(Settled, Vec<DeclId>)> {
        let Carried { formula, faults, mut settled, mut uses, excused } = self.carried.remove(&resolved.formula.id)?;
        // Text that did not parse elsewhere may have changed how this was read, or which names are known.
        let (before, now) = (&formula.lines, &resolved.formula.lines);
        let is_same = |(one, other): (&Line, &Line)| {
            one.name == other.name && one.percent == other.percent && one.amount == other.amount
        };
        let same_lines = before.len() == now.len() && before.iter().zip(now).all(is_same);
        settled.formula = Arc::clone(&resolved.formula);
        uses.extend(excused.then_some(EXCUSED));
        (same_lines && faults == resolved.faults).then_some((settled, uses))
    }

    /// What is known of a formula.
    pub fn formula(&self, id: DeclId) -> Option<&KnownFormula> {
        self.formulas.get(&id)
    }

    /// Keeps what came of a formula.
    pub fn keep_formula(
        &mut self,
        resolver: &Resolver<'_>,
        resolved: &Arc<Resolved>,
        settled: &Arc<Settled>,
        uses: Vec<DeclId>,
    ) {
        let id = resolved.formula.id;
        let Some(state) = self.states.get(&id.file) else { return };
        let state = Arc::clone(state);
        let (resolved, settled) = (Arc::clone(resolved), Arc::clone(settled));
        let excused = uses.contains(&EXCUSED);
        let uses = worth_knowing(resolver, uses);
        self.formulas.insert(id, KnownFormula { state, resolved, settled, uses, excused });
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
    pub fn keep_declarations(
        &mut self,
        resolver: &Resolver<'_>,
        file: FileId,
        found: Vec<Diagnostic>,
        uses: Vec<DeclId>,
    ) {
        let Some(state) = self.states.get(&file) else { return };
        self.declarations
            .insert(file, KnownRecords { state: Arc::clone(state), found, uses: worth_knowing(resolver, uses) });
    }

    /// Keeps what came of the records of a file.
    pub fn keep_records(&mut self, resolver: &Resolver<'_>, file: FileId, found: Vec<Diagnostic>, uses: Vec<DeclId>) {
        let Some(state) = self.states.get(&file) else { return };
        self.records
            .insert(file, KnownRecords { state: Arc::clone(state), found, uses: worth_knowing(resolver, uses) });
    }
}

/// Of the declarations that something uses, those of which it is asked whether anything does.
fn worth_knowing(resolver: &Resolver<'_>, mut uses: Vec<DeclId>) -> Vec<DeclId> {
    let is_asked =
        |id: &DeclId| matches!(resolver.sources.item(id.file, id.item), Some(Item::Let(_) | Item::Material(_)));
    uses.retain(is_asked);
    uses.sort_unstable();
    uses.dedup();
    uses.shrink_to_fit();
    uses
}
