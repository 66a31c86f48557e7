//! Names looked up from a file, with the fault of one that is not known; and figures at file level.

use super::figure::{Evaluator, Figure};
use super::name_set::NameSet;
use super::ring::ring_fault;
use super::{Resolver, graph};
use crate::diagnostic::{Code, Diagnostic, FileId, Place, Span, Sureness};
use crate::model::DeclId;
use crate::shelf;
use crate::syntax::tree::{Expression, Item, Name};
use crate::syntax::{nearest, nearest_of};
use rustc_hash::FxHashMap;
use std::collections::BTreeMap;
use std::sync::Arc;

/// What brings the whole shelf.
const USE_ALL: &str = "use shelf/all";

/// The names of one file that the shelf has, and that want one line only, as one fault.
#[must_use]
pub fn want_the_shelf_once(all: Vec<Diagnostic>) -> Vec<Diagnostic> {
    let wants = |fault: &Diagnostic| {
        let fix = fault.fix.as_ref().filter(|_| fault.code == Code::NameUnknown)?;
        fix.replacement.starts_with(USE_ALL).then_some(fix.place.file)
    };
    let mut kept: Vec<Diagnostic> = Vec::with_capacity(all.len());
    let mut firsts: BTreeMap<FileId, (usize, usize)> = BTreeMap::new();
    for fault in all {
        match wants(&fault) {
            Some(file) => match firsts.get_mut(&file) {
                Some((_, more)) => *more += 1,
                None => {
                    firsts.insert(file, (kept.len(), 0));
                    kept.push(fault);
                }
            },
            None => kept.push(fault),
        }
    }
    for (at, more) in firsts.into_values().filter(|(_, more)| *more > 0) {
        let Some(fault) = kept.get_mut(at) else { continue };
        let first = fault.message.split('`').nth(1).unwrap_or_default().to_string();
        let names = if more == 1 { "one more name".to_string() } else { format!("{more} more names") };
        fault.message = format!("`{first}` and {names} are not known here: this file uses nothing.");
        fault.help = Some(format!("The shelf has them: write `{USE_ALL}` at the top of the file."));
    }
    kept
}

impl<'s> Resolver<'s> {
    /// A name as a place.
    #[must_use]
    pub fn place(file: FileId, name: &Name) -> Place {
        Place { file, span: name.span }
    }

    /// What a name stands for; tells of one that is unknown, unless a fault already told explains it.
    pub fn look_up(&self, file: FileId, set: NameSet, name: &Name, faults: &mut Vec<Diagnostic>) -> Option<DeclId> {
        let found = self.scopes.find(file, set, &name.text);
        match found {
            Some(id) => self.mark_used(id),
            None => faults.extend(self.unknown(file, set, name)),
        }
        found
    }

    /// The fault of an unknown name; none where another fault explains it.
    #[must_use]
    pub fn unknown(&self, file: FileId, set: NameSet, name: &Name) -> Option<Diagnostic> {
        if self.scopes.is_excused(file, &name.text) {
            return None;
        }
        let visible = self.scopes.may_be_meant(file, set);
        self.unknown_beside(file, set, name, &nearest_of(&name.text, visible.iter()))
    }

    /// The same, where the names that may have been meant are known.
    pub(super) fn unknown_beside(&self, file: FileId, set: NameSet, name: &Name, near: &[&str]) -> Option<Diagnostic> {
        if name.text.is_empty() || self.scopes.is_excused(file, &name.text) {
            return None;
        }
        let what = match set {
            NameSet::Weighable => "material",
            NameSet::Substance => "substance",
            NameSet::Group => "group",
            NameSet::Rule => "rule",
            NameSet::Batch => "batch",
            NameSet::Container => "container",
        };
        let place = Self::place(file, name);
        let fault =
            Diagnostic::new(Code::NameUnknown, place, format!("There is no {what} called `{}` here.", name.text));
        let kind = match set {
            NameSet::Weighable => Some(shelf::ShelfKind::Material),
            NameSet::Substance => Some(shelf::ShelfKind::Substance),
            _ => None,
        };
        let found = kind.and_then(|kind| shelf::find_anywhere(kind, &name.text));
        if found.is_none()
            && let Some(offer) = self.offer(file, set, &name.text)
        {
            return Some(offer.told(fault, place));
        }
        let on_shelf = found.and_then(|entry| shelf::ENTRIES.get(entry as usize));
        let uses_nothing = self.uses_nothing(file);
        let shelf_near = || match kind.filter(|_| near.is_empty() && uses_nothing) {
            Some(kind) => {
                let named = shelf::ENTRIES.iter().filter(|entry| entry.kind == kind).map(|entry| entry.name);
                nearest(&name.text, named).into_iter().next()
            }
            None => None,
        };
        Some(match (near, on_shelf.and_then(|entry| shelf::FILES.get(entry.file as usize))) {
            (_, Some(_)) if uses_nothing => {
                let fault = fault.help(format!("The shelf has it: write `{USE_ALL}` at the top of the file."));
                fault.fix(self.top(file), format!("{USE_ALL}\n"), Sureness::NeedsALook)
            }
            (_, Some(file)) => {
                fault.help(format!("The shelf has it: write `use shelf/{}` at the top of the file.", file.name))
            }
            // What is near may be another thing: gluconic acid is not glycolic acid.
            ([only], None) => fault.help(format!("Did you mean `{only}`?")).fix(place, *only, Sureness::NeedsALook),
            ([_, ..], None) => fault.help(format!("Did you mean {}?", quoted(near))),
            ([], None) => match shelf_near() {
                Some(near) => fault.help(format!("Did you mean `{near}`, which the shelf has?")).fix(
                    place,
                    near,
                    Sureness::NeedsALook,
                ),
                None => fault
                    .help(format!("Declare it with `{what} {} {{ … }}`, or `use` the file that has it.", name.text)),
            },
        })
    }

    /// Whether a file has no `use` at all.
    fn uses_nothing(&self, file: FileId) -> bool {
        let source = self.sources.home(file);
        source.is_some_and(|source| !source.tree.items.iter().any(|item| matches!(item, Item::Use(_))))
    }

    /// Before the first character of a file, after a byte-order mark.
    fn top(&self, file: FileId) -> Place {
        let start = if self.sources.text(file).starts_with('\u{feff}') { 3 } else { 0 };
        Place { file, span: Span { start, end: start } }
    }

    /// Works every `let` at file level out, each after those it rests on.
    pub(super) fn work_lets_out(&mut self, faults: &mut Vec<Diagnostic>) {
        let mut all = Vec::new();
        for source in &self.sources.files {
            for (item, declared) in source.tree.items.iter().enumerate() {
                if matches!(declared, Item::Let(_)) {
                    all.push(DeclId { file: source.id, item: u32::try_from(item).unwrap_or(u32::MAX) });
                }
            }
        }
        let rests_on = |id: DeclId| -> Vec<DeclId> {
            let Some(Item::Let(declared)) = self.scopes.item(id) else { return Vec::new() };
            let mut below = Vec::new();
            names_in(&declared.value, &mut |name| {
                below.extend(self.scopes.find(id.file, NameSet::Weighable, &name.text).filter(|id| self.is_let(*id)));
            });
            below
        };
        let order = graph::order(all, rests_on);
        let mut in_ring: FxHashMap<DeclId, ()> = FxHashMap::default();
        for ring in &order.rings {
            in_ring.extend(ring.iter().map(|id| (*id, ())));
            faults.extend(self.let_ring(ring));
        }
        for id in order.sorted {
            let Some(Item::Let(declared)) = self.scopes.item(id) else { continue };
            let value = if in_ring.contains_key(&id) {
                names_in(&declared.value, &mut |name| {
                    if let Some(id) = self.scopes.find(id.file, NameSet::Weighable, &name.text) {
                        self.mark_used(id);
                    }
                });
                None
            } else {
                let evaluator = self.evaluator(id.file);
                let mut names =
                    |name: &Name, faults: &mut Vec<Diagnostic>| self.figure_at_file_level(id.file, name, faults);
                evaluator.evaluate(&declared.value, &mut names, faults)
            };
            Arc::make_mut(&mut self.lets).insert(id, value);
        }
    }

    fn let_ring(&self, ring: &[DeclId]) -> Option<Diagnostic> {
        let places: Vec<Place> = ring.iter().filter_map(|id| self.scopes.name_place(*id)).collect();
        Some(
            ring_fault(Code::ExpressionCycle, "Figures rest on each other in a ring", &places, |place| {
                self.sources.at(place).to_string()
            })?
            .help("Give one of them a figure of its own."),
        )
    }

    /// An evaluator for a file's expressions.
    #[must_use]
    pub fn evaluator(&self, file: FileId) -> Evaluator<'_> {
        Evaluator { file, text: self.sources.text(file) }
    }

    fn is_let(&self, id: DeclId) -> bool {
        matches!(self.scopes.item(id), Some(Item::Let(_)))
    }

    /// The figure of a `let`, once it is worked out.
    #[must_use]
    pub fn let_figure(&self, id: DeclId) -> Option<Figure> {
        self.lets.get(&id).cloned().flatten()
    }

    /// A name in an expression outside a formula: a `let` of the file.
    pub fn figure_at_file_level(&self, file: FileId, name: &Name, faults: &mut Vec<Diagnostic>) -> Option<Figure> {
        let Some(id) = self.scopes.find(file, NameSet::Weighable, &name.text) else {
            if !self.scopes.is_excused(file, &name.text) {
                faults.push(self.unknown_figure(file, name));
            }
            return None;
        };
        self.mark_used(id);
        if self.is_let(id) {
            return self.let_figure(id);
        }
        let place = Self::place(file, name);
        let message =
            format!("`{}` is no figure here: a material's percentage is known inside a formula only.", name.text);
        faults.push(
            Diagnostic::new(Code::NameUnknown, place, message)
                .help("Move the `let` into the formula, or write the figure."),
        );
        None
    }

    /// The fault of a figure's name that is unknown.
    #[must_use]
    pub fn unknown_figure(&self, file: FileId, name: &Name) -> Diagnostic {
        let place = Self::place(file, name);
        let fault =
            Diagnostic::new(Code::NameUnknown, place, format!("There is no figure called `{}` here.", name.text));
        if let Some(offer) = self.offer(file, NameSet::Weighable, &name.text) {
            return offer.told(fault, place);
        }
        let visible = self.scopes.may_be_meant(file, NameSet::Weighable);
        let near = nearest_of(&name.text, visible.iter());
        match near.as_slice() {
            [] => fault.help(format!("Give it with `let {} = …`, or write the figure.", name.text)),
            [only] => fault.help(format!("Did you mean `{only}`?")).fix(place, *only, Sureness::NeedsALook),
            _ => fault.help(format!("Did you mean {}?", quoted(&near))),
        }
    }
}

/// Calls `each` with every name in an expression.
pub fn names_in<'x>(expression: &'x Expression, each: &mut dyn FnMut(&'x Name)) {
    match expression {
        Expression::Quantity(_) => {}
        Expression::Name(name) => each(name),
        Expression::Bracket { inner, .. } => names_in(inner, each),
        Expression::Chain { first, rest, .. } => {
            names_in(first, each);
            for (_, operand) in rest {
                names_in(operand, each);
            }
        }
    }
}

/// Names as `a` or `b`.
#[must_use]
pub fn quoted(names: &[&str]) -> String {
    names.iter().map(|name| format!("`{name}`")).collect::<Vec<_>>().join(" or ")
}
