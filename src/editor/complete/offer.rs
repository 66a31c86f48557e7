//! The names and words that there are of what the grammar expects.

use super::lines::{batch_lines, formula_lines};
use super::place::CursorPlace;
use super::{Proposal, ProposalKind};
use crate::diagnostic::{CATALOGUE, FileId, Level};
use crate::editor::hover::{about_field, about_keyword, about_listed, about_unit, known_facts};
use crate::editor::occurrences::{Meaning, Names};
use crate::lookup::{facts_of, files};
use crate::model::DeclId;
use crate::quantity::Unit;
use crate::resolve::NameSet;
use crate::syntax::Context;
use crate::syntax::survey::{MarkKind, NameRole};
use crate::syntax::tree::{FormulaStatement, Item, MaterialField, Name, VariantStatement};
use crate::syntax::vocabulary::{Borne, Charge, Doing, Market, MaterialPhase, Microbe, Product, Role};
use smol_str::SmolStr;

/// Near: what stands in the formula itself.
const OWN: u8 = 0;
/// What a maker declared, and the words of the list that is asked for.
const HOME: u8 = 1;
/// Words of the language.
const WORD: u8 = 2;
/// What the shelf has.
const SHELF: u8 = 3;
/// Formulas where something is weighed: a premix is a line now and then, a finished product never.
const FORMULAS: u8 = 4;

/// What is asked of, and where.
pub(super) struct Offers<'a> {
    pub names: &'a Names<'a>,
    pub file: FileId,
    pub offset: u32,
    pub place: &'a CursorPlace<'a>,
}

impl Offers<'_> {
    fn plain(&self, label: &str, kind: ProposalKind) -> Proposal {
        Proposal::plain(label, kind, self.place.word)
    }

    /// A word of the language: what its field is, or what it says where it stands in a statement. None of a part of a
    /// unit that a strength alone may have.
    pub(super) fn word(&self, word: &'static str) -> Option<Proposal> {
        let CursorPlace { context, before, opener, .. } = *self.place;
        if word.contains('/') && self.is_in_a_line() {
            return None;
        }
        let opens = before.trim().is_empty();
        let about = if opens { about_field(context, word, "") } else { about_keyword(context, (opener, before), word) };
        let kind = if opens { ProposalKind::Field } else { ProposalKind::Word };
        let detail = about.as_deref().and_then(|about| about.lines().next()).map(|form| form.replace(['*', '`'], ""));
        // What a line goes on with most comes first, and `hold` goes on with `back` alone.
        let carries_on = !opens && self.is_in_a_line() && matches!(word, "active" | "of" | "hold");
        let insert = if carries_on && word == "hold" { "hold back" } else { word };
        Some(Proposal {
            detail: detail.unwrap_or_default(),
            documentation: about.unwrap_or_default(),
            rank: if carries_on { OWN } else { WORD },
            insert: insert.to_string(),
            ..self.plain(word, kind)
        })
    }

    /// Whether the cursor stands in a line: something weighed, and how much of it.
    fn is_in_a_line(&self) -> bool {
        let CursorPlace { context, opener, .. } = *self.place;
        match context {
            Context::Phase | Context::VariantPhase => !matches!(opener, "heat" | "cool" | "allow"),
            Context::Variant => matches!(opener, "set" | "swap"),
            Context::Plan => !matches!(opener, "contains" | "brings" | "material" | "substance" | "density"),
            _ => false,
        }
    }

    pub(super) fn of_kind(&self, kind: MarkKind) -> Vec<Proposal> {
        match kind {
            MarkKind::Name(role) => self.of_role(role),
            MarkKind::Listed => self.listed(),
            MarkKind::Unit => self.units(),
            MarkKind::Code => self.codes(),
            _ => Vec::new(),
        }
    }

    fn of_role(&self, role: NameRole) -> Vec<Proposal> {
        let weighables = |pass: fn(&Item) -> bool| self.seen(NameSet::Weighable, pass);
        match role {
            role if role.declares() => Vec::new(),
            NameRole::Like => weighables(|item| matches!(item, Item::Material(_))),
            NameRole::Line if self.asks_for_a_line() => self.line_names(),
            NameRole::Line | NameRole::PlanWeighable => self.weighed(),
            NameRole::BatchMaterial => self.own_first(),
            NameRole::Formula => weighables(|item| matches!(item, Item::Formula(_) | Item::Variant(_))),
            NameRole::Figure => self.figures(),
            NameRole::Stocked => [self.weighed(), self.seen(NameSet::Container, |_| true)].concat(),
            NameRole::Container => self.seen(NameSet::Container, |_| true),
            NameRole::Substance | NameRole::PlanSubstance => self.seen(NameSet::Substance, |_| true),
            NameRole::CountedAs => {
                let mut all = self.seen(NameSet::Substance, |_| true);
                all.push(Proposal {
                    detail: "each salt as its acid".into(),
                    rank: WORD,
                    ..self.plain("acid", ProposalKind::Word)
                });
                all
            }
            NameRole::Subject => {
                [self.seen(NameSet::Group, |_| true), self.seen(NameSet::Substance, |_| true)].concat()
            }
            NameRole::KeptApart => [
                self.words_of(Charge::MEANINGS, "charge"),
                self.words_of(Role::MEANINGS, "role"),
                weighables(|item| matches!(item, Item::Material(_))),
                self.seen(NameSet::Substance, |_| true),
                self.seen(NameSet::Group, |_| true),
            ]
            .concat(),
            NameRole::Solvent => ["water", "oil"].map(|word| self.plain(word, ProposalKind::Word)).to_vec(),
            NameRole::Shade => {
                [weighables(|item| matches!(item, Item::Material(_))), self.seen(NameSet::Substance, |_| true)].concat()
            }
            NameRole::Phase => self.phases(),
            NameRole::Step => self.step_names(),
            NameRole::StepPart => self.step_parts(),
            _ => Vec::new(),
        }
    }

    /// The names of a set that the file sees, with what is known of each.
    fn seen(&self, set: NameSet, pass: impl Fn(&Item) -> bool) -> Vec<Proposal> {
        let scopes = self.names.scopes;
        let found = scopes.visible(self.file, set).into_iter().filter_map(|name| {
            let id = scopes.find(self.file, set, name)?;
            let item = scopes.item(id).filter(|item| pass(item))?;
            Some(self.named(name, id, item))
        });
        found.collect()
    }

    fn named(&self, name: &str, id: DeclId, item: &Item) -> Proposal {
        let kind = match item {
            Item::Let(_) => ProposalKind::Figure,
            Item::Substance(_) => ProposalKind::Substance,
            Item::Formula(_) | Item::Variant(_) => ProposalKind::Formula,
            Item::Group(_) => ProposalKind::Group,
            Item::Container(_) => ProposalKind::Container,
            _ => ProposalKind::Material,
        };
        let home = self.names.sources.home(id.file).is_some();
        let mut found_by = name.to_string();
        if let Item::Material(material) = item {
            for fact in &material.facts {
                if let MaterialField::Also(called) = &fact.field {
                    called.iter().for_each(|called| found_by.push_str(&format!(" {}", called.value)));
                }
            }
        }
        Proposal {
            detail: self.strength(id, item),
            found_by,
            meaning: Some(Meaning::Declared(id)),
            rank: if home { HOME } else { SHELF },
            ..self.plain(name, kind)
        }
    }

    /// What a material holds, what a substance is called on a label, what a formula is called.
    fn strength(&self, id: DeclId, item: &Item) -> String {
        let text = self.names.sources.text(id.file);
        let of = |field: &str| {
            let facts = facts_of(item, text).unwrap_or_default();
            facts.into_iter().find(|fact| fact.field == field).map(|fact| fact.says).unwrap_or_default()
        };
        let said = match item {
            // What it takes over from the one it is like counts as its own.
            Item::Material(_) => {
                let facts = known_facts(self.names, id);
                let said = ["contains", "name"].into_iter().find_map(|field| facts.iter().find(|of| of.field == field));
                said.map(|fact| fact.says.clone()).unwrap_or_default()
            }
            Item::Substance(_) => of("inci"),
            Item::Group(_) => of("group"),
            Item::Let(declared) => declared.value.span().of(text).to_string(),
            Item::Variant(variant) => format!("of {}", variant.base.text),
            Item::Container(container) => container.span.of(text).split_whitespace().collect::<Vec<_>>().join(" "),
            _ => String::new(),
        };
        said.chars().take(120).collect()
    }

    /// The declaration that the cursor stands in, by where its block opens.
    fn item(&self) -> Option<DeclId> {
        self.names.item_at(self.file, self.place.word.start).or_else(|| self.names.item_at(self.file, self.offset))
    }

    /// Whether the name is that of a line that is there: after `set`, `remove`, `swap` and `from`.
    fn asks_for_a_line(&self) -> bool {
        let before = self.place.before.trim_end();
        let changes = self.place.context == Context::Variant && matches!(before, "set" | "remove" | "swap");
        changes || before.ends_with(" from")
    }

    /// Everything that can be weighed, formulas after all materials.
    fn weighed(&self) -> Vec<Proposal> {
        let mut all = self.seen(NameSet::Weighable, |item| !matches!(item, Item::Let(_)));
        for proposal in all.iter_mut().filter(|proposal| proposal.kind == ProposalKind::Formula) {
            proposal.rank = FORMULAS;
        }
        all
    }

    /// Everything that can be weighed, the lines of the batch first.
    fn own_first(&self) -> Vec<Proposal> {
        let mut all = self.line_names();
        let others = self.weighed().into_iter().filter(|of| !all.iter().any(|own| own.label == of.label));
        let others: Vec<Proposal> = others.collect();
        all.extend(others);
        all
    }

    /// The names of the lines of the formula that the cursor stands in and of its bases, or of the batch; in a variant
    /// that changes a line, of its bases alone.
    fn lines(&self) -> Vec<SmolStr> {
        let Some(id) = self.item() else { return Vec::new() };
        if let Some(Item::Batch(batch)) = self.names.scopes.item(id) {
            return batch_lines(self.names, id, batch);
        }
        let mut chain = self.names.bases(id);
        if self.place.context == Context::Variant && self.asks_for_a_line() {
            chain.retain(|base| *base != id);
        }
        formula_lines(self.names, &chain)
    }

    /// What a figure may be called: a figure of the formula, of the file, or a line of the formula.
    fn figures(&self) -> Vec<Proposal> {
        let mut all = self.seen(NameSet::Weighable, |item| matches!(item, Item::Let(_)));
        let Some(item) = self.item() else { return all };
        let scopes = self.names.scopes;
        for id in self.names.bases(item) {
            let mut lets: Vec<&Name> = Vec::new();
            match scopes.item(id) {
                Some(Item::Formula(formula)) => lets.extend(formula.statements.iter().filter_map(|statement| {
                    if let FormulaStatement::Let(declared) = statement { Some(&declared.name) } else { None }
                })),
                Some(Item::Variant(variant)) => lets.extend(variant.statements.iter().filter_map(|statement| {
                    if let VariantStatement::Let(declared) = statement { Some(&declared.name) } else { None }
                })),
                _ => {}
            }
            let own = lets.into_iter().map(|name| Proposal {
                meaning: Some(Meaning::Let(id, name.text.clone())),
                rank: OWN,
                ..self.plain(&name.text, ProposalKind::Figure)
            });
            all.extend(own);
        }
        all.extend(self.line_names());
        // A line's own amount cannot rest on itself.
        all.retain(|proposal| proposal.label != self.place.opener);
        all
    }

    fn line_names(&self) -> Vec<Proposal> {
        let scopes = self.names.scopes;
        let one = |name: &SmolStr| match scopes.find(self.file, NameSet::Weighable, name) {
            Some(id) => match scopes.item(id) {
                Some(item) => Proposal { rank: OWN, ..self.named(name, id, item) },
                None => Proposal { rank: OWN, ..self.plain(name, ProposalKind::Material) },
            },
            None => Proposal { rank: OWN, ..self.plain(name, ProposalKind::Material) },
        };
        self.lines().iter().map(one).collect()
    }

    /// What may stand in the braces of a step.
    pub(super) fn step_names(&self) -> Vec<Proposal> {
        let mut all = self.line_names();
        all.push(Proposal {
            detail: "the window of the formula".to_string(),
            rank: WORD,
            ..self.plain("pH", ProposalKind::Word)
        });
        all
    }

    /// What may follow the name in the braces of a step.
    pub(super) fn step_parts(&self) -> Vec<Proposal> {
        let parts = [("first", "the first weighing"), ("rest", "what is held back")];
        parts
            .map(|(word, detail)| Proposal { detail: detail.into(), rank: OWN, ..self.plain(word, ProposalKind::Word) })
            .to_vec()
    }

    /// The phases of the formulas that the one at the cursor is a variant of, and the next letter that is free.
    fn phases(&self) -> Vec<Proposal> {
        let mut known: Vec<String> = Vec::new();
        for id in self.item().map(|item| self.names.bases(item)).unwrap_or_default() {
            match self.names.scopes.item(id) {
                Some(Item::Formula(formula)) => known.extend(formula.statements.iter().filter_map(|statement| {
                    if let FormulaStatement::Phase(phase) = statement {
                        Some(phase.name.text.to_string())
                    } else {
                        None
                    }
                })),
                Some(Item::Variant(variant)) => known.extend(variant.statements.iter().filter_map(|statement| {
                    if let VariantStatement::Phase(phase) = statement {
                        Some(phase.name.text.to_string())
                    } else {
                        None
                    }
                })),
                _ => {}
            }
        }
        let next = ('A'..='Z').map(String::from).find(|letter| !known.contains(letter));
        let all = known.iter().chain(&next);
        all.map(|name| Proposal { rank: OWN, ..self.plain(name, ProposalKind::Phase) }).collect()
    }

    fn words_of(&self, list: &'static [(&'static str, &'static str)], opener: &str) -> Vec<Proposal> {
        let one = |(word, meaning): &(&'static str, &'static str)| Proposal {
            detail: (*meaning).to_string(),
            documentation: about_listed(opener, word).unwrap_or_default(),
            rank: HOME,
            ..self.plain(word, ProposalKind::Listed)
        };
        list.iter().map(one).collect()
    }

    /// The words of the list that the statement asks for.
    fn listed(&self) -> Vec<Proposal> {
        let opener = self.place.opener;
        match opener {
            "role" => self.words_of(Role::MEANINGS, opener),
            "does" => self.words_of(Doing::MEANINGS, opener),
            "product" | "use" => self.words_of(Product::MEANINGS, opener),
            "market" | "responsible" => self.words_of(Market::MEANINGS, opener),
            "protects" => self.words_of(Microbe::MEANINGS, opener),
            "phase" | "material" => self.words_of(MaterialPhase::MEANINGS, "phase"),
            "charge" | "substance" => self.words_of(Charge::MEANINGS, "charge"),
            "bears" => self.words_of(Borne::MEANINGS, opener),
            "level" => [Level::Error, Level::Warning, Level::Note]
                .map(|level| self.plain(level.word(), ProposalKind::Listed))
                .to_vec(),
            _ => Vec::new(),
        }
    }

    fn units(&self) -> Vec<Proposal> {
        let words = Unit::words().chain(Unit::currencies());
        let usual: &[&str] = match self.place.context {
            _ if self.is_in_a_line() => &["%", "g", "ppm", "parts"],
            Context::Batch => &["g", "mL", "°C", "min", "h"],
            _ => &["%", "g", "mL", "°C", "min", "months", "EUR"],
        };
        let one = |word: &str| {
            let about = about_unit(word).unwrap_or_default();
            let detail = about.split_once(": ").map_or("", |(_, said)| said).to_string();
            Proposal {
                detail,
                documentation: about,
                rank: if usual.contains(&word) { OWN } else { HOME },
                ..self.plain(word, ProposalKind::Unit)
            }
        };
        words.map(one).collect()
    }

    /// Units where the figure ends at the cursor: each with the blank before it.
    pub(super) fn units_behind_a_figure(&self) -> Vec<Proposal> {
        let spaced = |unit: Proposal| Proposal { insert: format!(" {}", unit.insert), ..unit };
        self.units().into_iter().map(spaced).collect()
    }

    /// The codes that may be allowed.
    fn codes(&self) -> Vec<Proposal> {
        let one = |entry: &crate::diagnostic::CatalogueEntry| {
            let sentence = entry.page.lines().skip(1).find(|line| !line.trim().is_empty()).unwrap_or_default();
            Proposal {
                detail: sentence.to_string(),
                documentation: entry.page.trim().to_string(),
                rank: WORD,
                ..self.plain(entry.name, ProposalKind::Code)
            }
        };
        CATALOGUE.iter().filter(|entry| entry.allowable).map(one).collect()
    }

    /// The files of the shelf, after `use`.
    pub(super) fn shelf_paths(&self) -> Vec<Proposal> {
        let one = |file: crate::lookup::FileSummary| Proposal {
            detail: file.about.to_string(),
            rank: WORD,
            ..self.plain(&format!("shelf/{}", file.name), ProposalKind::File)
        };
        files().into_iter().map(one).collect()
    }

    /// The other files of the session, as this one names them.
    pub(super) fn paths(&self) -> Vec<Proposal> {
        let Some(own) = self.names.sources.home(self.file) else { return Vec::new() };
        let Some(folder) = own.absolute.parent() else { return Vec::new() };
        let others = self.names.sources.files.iter().filter(|source| source.id != self.file);
        let named = others.map(|source| crate::workspace::seen_from(folder, &source.absolute));
        named.map(|path| Proposal { rank: HOME, ..self.plain(&path, ProposalKind::File) }).collect()
    }
}
