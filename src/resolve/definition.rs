//! A formula as it stands, or a variant with its changes carried out on its base: still text, not yet figures.

use super::name_set::NameSet;
use super::substance::twice;
use super::{Resolver, capital};
use crate::diagnostic::{Code, Diagnostic, FileId, Place, Span, Sureness};
use crate::model::DeclId;
use crate::syntax::nearest;
use crate::syntax::tree::{
    Allow, Amount, Ensure, Expression, FormulaStatement, Header, HeaderField, Item, Let, Line, Name, Phase,
    PhaseStatement, Steps, Tail, Text, Titrated, VariantStatement,
};
use smol_str::SmolStr;

/// So many variants may rest one on the other, and so many premixes stand one in the other. No recipe comes near it;
/// without it a file could be written whose figures fill the memory.
pub const MAX_CHAIN: usize = 100;

/// A formula before its figures.
#[derive(Clone)]
pub struct Definition<'s> {
    /// Which declaration.
    pub id: DeclId,
    /// Its name.
    pub name: &'s Name,
    /// The header lines in force.
    pub header: Vec<(FileId, &'s Header)>,
    /// Its phases.
    pub phases: Vec<PhaseDef<'s>>,
    /// Its lines, by phase.
    pub lines: Vec<LineDef<'s>>,
    /// Its steps, and how many swaps had been made when they were written.
    pub steps: Option<(FileId, &'s Steps, usize)>,
    /// Its ensures, likewise.
    pub ensures: Vec<(FileId, &'s Ensure, usize)>,
    /// Its figures, likewise.
    pub lets: Vec<(FileId, &'s Let, usize)>,
    /// What it allows, with the key of the line it speaks of.
    pub allows: Vec<AllowDef<'s>>,
    /// Each material swapped for another, in order.
    pub renames: Vec<(SmolStr, SmolStr)>,
    /// Each material that a variant took out, with where it says so.
    pub removed: Vec<(SmolStr, Place)>,
    /// The formulas it is a variant of, the nearest first.
    pub bases: Vec<DeclId>,
    /// Whether a statement did not parse.
    pub incomplete: bool,
    /// Whether its base cannot be reached, so that most of it is unknown.
    pub unbased: bool,
    /// How many variants lie between it and the formula at the bottom.
    pub depth: usize,
    /// The statements that did not parse: what they name counts as used.
    pub broken: Vec<(FileId, Span)>,
    next_key: usize,
}

/// A phase before its figures.
#[derive(Clone)]
pub struct PhaseDef<'s> {
    /// Its name.
    pub name: SmolStr,
    /// Its title.
    pub title: Option<&'s Text>,
    /// `heat to T`.
    pub heat: Option<(FileId, &'s Expression)>,
    /// `cool to T`.
    pub cool: Option<(FileId, &'s Expression)>,
}

/// A line before its figures.
#[derive(Clone)]
pub struct LineDef<'s> {
    /// A number of its own, kept through all changes.
    pub key: usize,
    /// The file its name stands in.
    pub file: FileId,
    /// What it weighs.
    pub name: Name,
    /// The whole line, or the statement of a variant that changed it.
    pub whole: Span,
    /// The number of its phase.
    pub phase: usize,
    /// Its amount.
    pub amount: Option<(FileId, &'s Amount, usize)>,
    /// What is held back.
    pub hold_back: Option<(FileId, &'s Expression, Span, usize)>,
    /// Where an adjuster's weight comes from.
    pub from: Option<(FileId, &'s Name, usize)>,
    /// What a beaker test of it showed.
    pub titrated: Option<(FileId, &'s Titrated)>,
    /// Why.
    pub because: Option<&'s Text>,
}

/// An `allow` before its line has a place.
#[derive(Clone)]
pub struct AllowDef<'s> {
    /// Its file.
    pub file: FileId,
    /// What it says.
    pub allow: &'s Allow,
    /// The key of the line it speaks of.
    pub line: Option<usize>,
    /// Whether it stands in a phase with no line before it.
    pub stray: bool,
}

impl<'s> Definition<'s> {
    fn empty(id: DeclId, name: &'s Name) -> Definition<'s> {
        Definition {
            id,
            name,
            header: Vec::new(),
            phases: Vec::new(),
            lines: Vec::new(),
            steps: None,
            ensures: Vec::new(),
            lets: Vec::new(),
            allows: Vec::new(),
            renames: Vec::new(),
            removed: Vec::new(),
            bases: Vec::new(),
            incomplete: false,
            unbased: false,
            depth: 0,
            broken: Vec::new(),
            next_key: 0,
        }
    }

    /// A name as it is after the swaps made since it was written.
    #[must_use]
    pub fn current(&self, name: &SmolStr, written_at: usize) -> SmolStr {
        let mut name = name.clone();
        for (old, new) in self.renames.get(written_at..).unwrap_or_default() {
            if name == *old {
                name = new.clone();
            }
        }
        name
    }

    /// Notes a statement that did not parse, and whether it may have held lines.
    fn break_at(&mut self, file: FileId, span: Span, lines: bool) {
        self.incomplete |= lines;
        self.broken.push((file, span));
    }

    fn key(&mut self) -> usize {
        self.next_key += 1;
        self.next_key
    }

    fn phase_number(&mut self, name: &Name, title: Option<&'s Text>) -> usize {
        if let Some(at) = self.phases.iter().position(|phase| phase.name == name.text) {
            return at;
        }
        self.phases.push(PhaseDef { name: name.text.clone(), title, heat: None, cool: None });
        self.phases.len() - 1
    }

    fn add_phase(&mut self, file: FileId, phase: &'s Phase, faults: &mut Vec<Diagnostic>) {
        let number = self.phase_number(&phase.name, phase.title.as_ref());
        let mut last: Option<usize> = None;
        let (mut heat, mut cool) = (None, None);
        for statement in &phase.statements {
            match statement {
                PhaseStatement::Heat(at) => {
                    note_twice(file, &mut heat, at.span(), "`heat`", faults);
                    self.with_phase(number, |phase| phase.heat = Some((file, at)));
                }
                PhaseStatement::Cool(at) => {
                    note_twice(file, &mut cool, at.span(), "`cool`", faults);
                    self.with_phase(number, |phase| phase.cool = Some((file, at)));
                }
                PhaseStatement::Allow(allow) => {
                    self.allows.push(AllowDef { file, allow, line: last, stray: last.is_none() });
                }
                PhaseStatement::Line(line) => last = Some(self.add_line(file, line, number)),
                PhaseStatement::Broken(span, name) => {
                    self.break_at(file, *span, true);
                    if let Some(name) = name {
                        let key = self.key();
                        self.lines.push(LineDef {
                            key,
                            file,
                            name: name.clone(),
                            whole: *span,
                            phase: number,
                            amount: None,
                            hold_back: None,
                            from: None,
                            titrated: None,
                            because: None,
                        });
                        last = Some(key);
                    }
                }
            }
        }
    }

    fn with_phase(&mut self, number: usize, change: impl FnOnce(&mut PhaseDef<'s>)) {
        if let Some(phase) = self.phases.get_mut(number) {
            change(phase);
        }
    }

    fn add_line(&mut self, file: FileId, line: &'s Line, phase: usize) -> usize {
        let key = self.key();
        let mut made = LineDef {
            key,
            file,
            name: line.material.clone(),
            whole: line.span,
            phase,
            amount: Some((file, &line.amount, self.renames.len())),
            hold_back: None,
            from: None,
            titrated: None,
            because: None,
        };
        made.take_tail(file, &line.tail, self.renames.len());
        self.lines.push(made);
        if let Some(allow) = &line.tail.allow {
            self.allows.push(AllowDef { file, allow, line: Some(key), stray: false });
        }
        key
    }

    fn formula_statement(&mut self, file: FileId, statement: &'s FormulaStatement, faults: &mut Vec<Diagnostic>) {
        let at = self.renames.len();
        match statement {
            FormulaStatement::Header(header) => self.header.push((file, header)),
            FormulaStatement::Phase(phase) => {
                if self.phases.iter().any(|known| known.name == phase.name.text) {
                    let place = Place { file, span: phase.name.span };
                    let message = format!("Phase `{}` stands twice in this formula.", phase.name.text);
                    faults.push(
                        Diagnostic::new(Code::NameTaken, place, message)
                            .help("Give each phase a name of its own, or put the lines together."),
                    );
                }
                self.add_phase(file, phase, faults);
            }
            FormulaStatement::Steps(steps) => {
                if let Some((_, first, _)) = self.steps {
                    faults.push(steps_twice(file, steps, first));
                }
                self.steps = Some((file, steps, at));
            }
            FormulaStatement::Ensure(ensure) => self.ensures.push((file, ensure, at)),
            FormulaStatement::Allow(allow) => self.allows.push(AllowDef { file, allow, line: None, stray: false }),
            FormulaStatement::Let(declared) => self.lets.push((file, declared, at)),
            FormulaStatement::Broken(span, block) => self.break_at(file, *span, *block),
        }
    }
}

impl<'s> LineDef<'s> {
    /// What is written again after an amount takes the place of what was there.
    fn take_tail(&mut self, file: FileId, tail: &'s Tail, at: usize) {
        if let Some(held_back) = &tail.hold_back {
            let (held, span) = &**held_back;
            self.hold_back = Some((file, held, *span, at));
        }
        if let Some(from) = &tail.from {
            self.from = Some((file, from, at));
        }
        if let Some(titrated) = &tail.titrated {
            self.titrated = Some((file, titrated));
        }
        if let Some(because) = &tail.because {
            self.because = Some(because);
        }
    }
}

impl<'s> Resolver<'s> {
    /// A formula or variant before its figures; a variant needs the definition of its base.
    pub(super) fn definition(
        &self,
        id: DeclId,
        base: Option<&Definition<'s>>,
        faults: &mut Vec<Diagnostic>,
    ) -> Option<Definition<'s>> {
        match self.scopes.item(id)? {
            Item::Formula(declared) => {
                let mut made = Definition::empty(id, &declared.name);
                for statement in &declared.statements {
                    made.formula_statement(id.file, statement, faults);
                }
                header_twice(&made.header, faults);
                self.let_clashes(&made.lets, faults);
                Some(made)
            }
            Item::Variant(declared) => {
                let depth = base.map_or(0, |base| base.depth + 1);
                if depth == MAX_CHAIN + 1 {
                    faults.push(too_many_variants(id.file, &declared.base));
                }
                let base = base.filter(|_| depth <= MAX_CHAIN);
                let mut made = base.cloned().unwrap_or_else(|| Definition::empty(id, &declared.name));
                made.depth = depth;
                if let Some(base) = base {
                    made.bases.insert(0, base.id);
                } else {
                    made.incomplete = true;
                    made.unbased = true;
                }
                made.unbased |= base.is_some_and(|base| base.unbased);
                made.id = id;
                made.name = &declared.name;
                self.vary(&mut made, &declared.statements, faults);
                Some(made)
            }
            _ => None,
        }
    }

    fn vary(&self, made: &mut Definition<'s>, statements: &'s [VariantStatement], faults: &mut Vec<Diagnostic>) {
        let file = made.id.file;
        let mut header: Vec<(FileId, &'s Header)> = Vec::new();
        let mut lets: Vec<(FileId, &'s Let, usize)> = Vec::new();
        if statements.iter().any(changes_what_is_weighed) {
            // What was titrated was the base, and this is another batch.
            made.lines.iter_mut().for_each(|line| line.titrated = None);
        }
        for statement in statements {
            let at = made.renames.len();
            match statement {
                VariantStatement::Set(line) => self.set(made, line, faults),
                VariantStatement::Swap { old, new, amount, tail, span } => {
                    self.swap(made, (old, new), amount.as_ref(), tail, *span, faults);
                }
                VariantStatement::Remove(name) => {
                    if let Some((_, first)) = made.removed.iter().find(|(removed, _)| *removed == name.text)
                        && first.file == file
                        && !made.lines.iter().any(|line| line.name.text == name.text)
                    {
                        let message = format!("`{}` is removed already.", name.text);
                        let fault = Diagnostic::new(Code::NameUnknown, Self::place(file, name), message);
                        faults.push(fault.and(*first, "removed here").help("Take this `remove` out."));
                    } else if self.has_line(made, name, Changed::Removed, faults) {
                        made.lines.retain(|line| line.name.text != name.text);
                        made.removed.push((name.text.clone(), Self::place(file, name)));
                    }
                }
                VariantStatement::Phase(phase) => made.add_phase(file, phase, faults),
                VariantStatement::Header(line) => header.push((file, line)),
                VariantStatement::Steps(steps) => {
                    let own = made.steps.filter(|(_, first, _)| {
                        statements.iter().any(|s| matches!(s, VariantStatement::Steps(s) if std::ptr::eq(s, *first)))
                    });
                    if let Some((_, first, _)) = own {
                        faults.push(steps_twice(file, steps, first));
                    }
                    made.steps = Some((file, steps, at));
                }
                VariantStatement::Ensure(ensure) => made.ensures.push((file, ensure, at)),
                VariantStatement::Allow(allow) => made.allows.push(AllowDef { file, allow, line: None, stray: false }),
                VariantStatement::Let(declared) => lets.push((file, declared, at)),
                VariantStatement::Broken(span) => made.break_at(file, *span, true),
            }
        }
        header_twice(&header, faults);
        self.let_clashes(&lets, faults);
        let said = |field: &HeaderField| header.iter().any(|(_, line)| line.field.word() == field.word());
        made.header.retain(|(_, line)| !said(&line.field));
        made.header.extend(header);
        // A figure of the variant takes the place of the base's of the same name.
        made.lets.retain(|(_, base, _)| !lets.iter().any(|(_, own, _)| own.name.text == base.name.text));
        made.lets.extend(lets);
        made.lines.sort_by_key(|line| line.phase);
    }

    /// Whether the formula has a line of that name; tells where it has none.
    fn has_line(&self, made: &mut Definition<'s>, name: &Name, change: Changed, faults: &mut Vec<Diagnostic>) -> bool {
        if made.lines.iter().any(|line| line.name.text == name.text) {
            if let Some(id) = self.scopes.find(made.id.file, NameSet::Weighable, &name.text) {
                self.mark_used(id);
            }
            return true;
        }
        if made.broken.is_empty() && !made.unbased {
            let place = Self::place(made.id.file, name);
            let fault =
                Diagnostic::new(Code::NameUnknown, place, format!("The base has no line `{}` to change.", name.text));
            let near = nearest(&name.text, made.lines.iter().map(|line| line.name.text.as_str()));
            let phase = made.phases.first().map_or("A", |phase| phase.name.as_str());
            faults.push(match (near.as_slice(), change) {
                ([only], _) => fault.help(format!("Did you mean `{only}`?")).fix(place, *only, Sureness::NeedsALook),
                ([first, ..], _) => fault.help(format!("Did you mean `{first}`?")),
                ([], Changed::Removed | Changed::Swapped) => fault.help(its_lines(made)),
                ([], Changed::Set) => {
                    fault.help(format!("A new line is added in its phase: `phase {phase} {{ add {} … }}`.", name.text))
                }
            });
        }
        made.incomplete = true;
        false
    }

    /// `set`: the material's amount in the whole formula. Where several lines have it, the first keeps it alone.
    fn set(&self, made: &mut Definition<'s>, line: &'s Line, faults: &mut Vec<Diagnostic>) {
        if !self.has_line(made, &line.material, Changed::Set, faults) {
            return;
        }
        let (file, at) = (made.id.file, made.renames.len());
        let mut first = true;
        made.lines.retain_mut(|known| {
            if known.name.text != line.material.text {
                return true;
            }
            if !std::mem::take(&mut first) {
                return false;
            }
            known.file = file;
            known.name = line.material.clone();
            known.whole = line.span;
            known.amount = Some((file, &line.amount, at));
            known.take_tail(file, &line.tail, at);
            true
        });
    }

    fn swap(
        &self,
        made: &mut Definition<'s>,
        (old, new): (&'s Name, &'s Name),
        amount: Option<&'s Amount>,
        tail: &'s Tail,
        span: Span,
        faults: &mut Vec<Diagnostic>,
    ) {
        if !self.has_line(made, old, Changed::Swapped, faults) {
            return;
        }
        made.renames.push((old.text.clone(), new.text.clone()));
        let (file, at) = (made.id.file, made.renames.len());
        for line in made.lines.iter_mut().filter(|line| line.name.text == old.text) {
            line.file = file;
            line.name = new.clone();
            line.whole = span;
            if let Some(amount) = amount {
                line.amount = Some((file, amount, at));
            }
            line.take_tail(file, tail, at);
        }
    }

    /// Figures of a formula that share their name with another, or with something of the file.
    fn let_clashes(&self, lets: &[(FileId, &'s Let, usize)], faults: &mut Vec<Diagnostic>) {
        for (at, (file, declared, _)) in lets.iter().enumerate() {
            let name = &declared.name;
            let earlier = lets.iter().take(at).find(|(_, other, _)| other.name.text == name.text);
            let first = match earlier {
                Some((file, other, _)) => Some(Self::place(*file, &other.name)),
                None => {
                    self.scopes.find(*file, NameSet::Weighable, &name.text).and_then(|id| self.scopes.name_place(id))
                }
            };
            if let Some(first) = first {
                let fault = Diagnostic::new(
                    Code::NameTaken,
                    Self::place(*file, name),
                    format!("`{}` is taken already.", name.text),
                );
                faults.push(
                    fault
                        .label("declared again here")
                        .and(first, "declared here first")
                        .help("Give one of the two another name."),
                );
            }
        }
    }
}

/// Whether a statement of a variant makes another batch of it.
fn changes_what_is_weighed(statement: &VariantStatement) -> bool {
    match statement {
        VariantStatement::Set(_) | VariantStatement::Swap { .. } | VariantStatement::Remove(_) => true,
        VariantStatement::Let(_) => true,
        VariantStatement::Phase(phase) => phase.statements.iter().any(|of| matches!(of, PhaseStatement::Line(_))),
        _ => false,
    }
}

/// What a variant does to a line of its base.
#[derive(Clone, Copy)]
enum Changed {
    Set,
    Swapped,
    Removed,
}

/// What lines there are to change.
fn its_lines(made: &Definition<'_>) -> String {
    let mut names: Vec<String> = made.lines.iter().map(|line| format!("`{}`", line.name.text)).collect();
    names.dedup();
    let more = names.len().saturating_sub(8);
    names.truncate(8);
    let rest = if more > 0 { format!(" and {more} more") } else { String::new() };
    format!("Its lines are {}{rest}.", names.join(", "))
}

/// A variant of a variant of a variant, and so on.
fn too_many_variants(file: FileId, base: &Name) -> Diagnostic {
    let place = Place { file, span: base.span };
    let message = format!("`{}` is a variant of a variant, and so on, more than {MAX_CHAIN} times.", base.text);
    Diagnostic::new(Code::ChainTooLong, place, message)
        .help("Make it a variant of a formula nearer to the beginning, and write here all that is different.")
}

/// Header lines that may stand once and stand twice.
fn header_twice(header: &[(FileId, &Header)], faults: &mut Vec<Diagnostic>) {
    for (at, (file, line)) in header.iter().enumerate() {
        let word = line.field.word();
        if matches!(line.field, HeaderField::Scale(_) | HeaderField::Warning(_)) {
            continue;
        }
        if let Some((_, first)) = header.iter().take(at).find(|(_, other)| other.field.word() == word) {
            let (place, first) = (Place { file: *file, span: line.span }, Place { file: *file, span: first.span });
            faults.push(
                Diagnostic::new(
                    Code::HeaderTwice,
                    place,
                    format!("{} stands twice in this formula.", capital(&format!("`{word}`"))),
                )
                .and(first, "it stands here first")
                .help("Keep one of the two."),
            );
        }
    }
}

/// Two blocks of steps in one formula.
fn steps_twice(file: FileId, steps: &Steps, first: &Steps) -> Diagnostic {
    let word = |steps: &Steps| {
        let span = Span { start: steps.span.start, end: steps.span.start + 5 };
        Place { file, span }
    };
    twice(word(steps), word(first), "`steps`")
}

fn note_twice(file: FileId, seen: &mut Option<Span>, span: Span, what: &str, faults: &mut Vec<Diagnostic>) {
    if let Some(first) = seen.replace(span) {
        faults.push(twice(Place { file, span }, Place { file, span: first }, what));
    }
}
