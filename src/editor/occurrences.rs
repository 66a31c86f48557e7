//! Every name of every file with the declaration it means, as the resolver means it.
//!
//! A file is surveyed once for each text of it; what a name means is asked of the names of the session when somebody
//! wants to know, so that nothing has to be kept right while other files change.

use super::surveys::{Surveys, home_files, shelf_files};
use crate::diagnostic::{FileId, Place, Span};
use crate::model::DeclId;
use crate::resolve::{NameSet, Scopes};
use crate::shelf::{self, ShelfKind};
use crate::syntax::survey::{Mark, MarkKind, NameRole, Survey, SurveyedStatement};
use crate::syntax::tree::{
    Batch, Formula, FormulaStatement, FrozenPlan, Item, Material, MaterialField, Name, Variant, VariantStatement,
};
use crate::syntax::{Context, cut_name};
use crate::workspace::Sources;
use smol_str::SmolStr;
use std::sync::Arc;

/// So many formulas may be variants one of the other, as far as names are looked for.
const MOST_BASES: usize = 100;

/// What a name stands for.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Meaning {
    /// A declaration of a file, or of the shelf.
    Declared(DeclId),
    /// A figure of a formula and its variants.
    Let(DeclId, SmolStr),
    /// A phase of a formula and its variants, or of the plan of a batch.
    Phase(DeclId, SmolStr),
    /// What the plan of a batch writes down and no file has any more; a substance where it is true.
    Planned(DeclId, SmolStr, bool),
}

/// A name where it stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Occurrence {
    /// Where.
    pub place: Place,
    /// In which way it is meant.
    pub role: NameRole,
}

/// The names of a session.
pub struct Names<'a> {
    /// The files.
    pub sources: &'a Sources,
    /// What they see.
    pub scopes: &'a Scopes<'a>,
    /// What stands in them.
    pub surveys: &'a Surveys,
}

/// A name at a place, and what stands around it.
struct Asked<'a> {
    file: FileId,
    text: &'a str,
    statement: &'a SurveyedStatement,
    survey: &'a Survey,
    /// The declaration at file level that it stands in.
    item: Option<DeclId>,
}

impl Names<'_> {
    /// The survey of a file.
    #[must_use]
    pub fn survey(&self, file: FileId) -> Arc<Survey> {
        self.surveys.of(self.sources, file)
    }

    /// The declaration at file level that an offset lies in.
    #[must_use]
    pub fn item_at(&self, file: FileId, offset: u32) -> Option<DeclId> {
        match self.sources.home(file) {
            Some(source) => {
                let holds = |item: &Item| item.span().start <= offset && offset <= item.span().end;
                let at = source.tree.items.iter().rposition(holds)?;
                Some(DeclId { file, item: u32::try_from(at).ok()? })
            }
            None => {
                let holds =
                    |entry: &shelf::ShelfEntry| entry.file == file.0 && entry.start <= offset && offset <= entry.end;
                let at = shelf::ENTRIES.iter().position(holds)?;
                Some(DeclId { file, item: u32::try_from(at).ok()? })
            }
        }
    }

    /// What the name at an offset stands for, and where it stands; nothing where no name stands there. A name may stand
    /// for several things at once: what is to be kept apart, or a material that has its substance by its name.
    #[must_use]
    pub fn at(&self, file: FileId, offset: u32) -> Option<(Mark, Vec<Meaning>)> {
        let survey = self.survey(file);
        let mark = *survey.mark_at(offset)?;
        if !mark.kind.is_name() {
            return None;
        }
        let number = survey.marks.iter().position(|other| *other == mark)?;
        Some((mark, self.meanings(file, &survey, number)))
    }

    /// What the name of a mark stands for.
    #[must_use]
    pub fn meanings(&self, file: FileId, survey: &Survey, number: usize) -> Vec<Meaning> {
        let Some(mark) = survey.marks.get(number).copied() else { return Vec::new() };
        let Some(statement) = survey.statement_of(number) else { return Vec::new() };
        let text = cut_name(mark.span.of(self.sources.text(file)));
        let asked = Asked { file, text, statement, survey, item: self.item_at(file, mark.span.start) };
        match mark.kind {
            MarkKind::Name(role) => self.meant(&asked, role),
            MarkKind::Loose => self.guessed(&asked),
            _ => Vec::new(),
        }
    }

    fn find(&self, asked: &Asked<'_>, set: NameSet) -> Option<Meaning> {
        self.scopes.find(asked.file, set, asked.text).map(Meaning::Declared)
    }

    fn meant(&self, asked: &Asked<'_>, role: NameRole) -> Vec<Meaning> {
        let one = match role {
            NameRole::DeclaresLet if asked.statement.context != Context::File => {
                asked.item.and_then(|item| self.own_figure(item, asked.text))
            }
            role if role.declares() => return self.declared(asked),
            NameRole::Like => self.like(asked),
            NameRole::Figure => {
                let own = asked.item.and_then(|item| self.own_figure(item, asked.text));
                own.or_else(|| self.find(asked, NameSet::Weighable))
            }
            NameRole::Step if asked.statement.context == Context::Plan => self.in_batch(asked, false),
            NameRole::Line | NameRole::Formula | NameRole::Step => self.find(asked, NameSet::Weighable),
            NameRole::BatchMaterial | NameRole::PlanWeighable => self.in_batch(asked, false),
            NameRole::PlanSubstance => self.in_batch(asked, true),
            NameRole::Substance if asked.statement.context == Context::Plan => self.in_batch(asked, true),
            NameRole::Substance => self.find(asked, NameSet::Substance),
            NameRole::CountedAs if asked.text == "acid" => None,
            NameRole::CountedAs => self.find(asked, NameSet::Substance),
            NameRole::Subject => self.find(asked, NameSet::Group).or_else(|| self.find(asked, NameSet::Substance)),
            NameRole::KeptApart => return self.kept_apart(asked),
            NameRole::Shade => self.material(asked).or_else(|| self.find(asked, NameSet::Substance)),
            NameRole::Container => self.find(asked, NameSet::Container),
            NameRole::Stocked => self.stocked(asked),
            NameRole::Phase => asked.item.and_then(|item| self.phase(item, asked.text)),
            // `water` and `oil`: what is meant is the liquid, and no declaration.
            _ => None,
        };
        one.into_iter().collect()
    }

    /// A declaration's own name. A material that does not say what it contains has its substance by its name.
    fn declared(&self, asked: &Asked<'_>) -> Vec<Meaning> {
        let Some(id) = asked.item else { return Vec::new() };
        let mut all = vec![Meaning::Declared(id)];
        if let Some(Item::Material(material)) = self.scopes.item(id)
            && takes_its_substance_from_its_name(material)
        {
            all.extend(self.find(asked, NameSet::Substance));
        }
        all
    }

    fn like(&self, asked: &Asked<'_>) -> Option<Meaning> {
        let own = asked.item.and_then(|id| self.scopes.item(id)).and_then(Item::name);
        let found = match own.is_some_and(|own| own.text == asked.text) {
            true => self.scopes.find_used(asked.file, NameSet::Weighable, asked.text),
            false => self.scopes.find(asked.file, NameSet::Weighable, asked.text),
        };
        found.map(Meaning::Declared)
    }

    fn material(&self, asked: &Asked<'_>) -> Option<Meaning> {
        let id = self.scopes.find(asked.file, NameSet::Weighable, asked.text)?;
        matches!(self.scopes.item(id), Some(Item::Material(_))).then_some(Meaning::Declared(id))
    }

    fn kept_apart(&self, asked: &Asked<'_>) -> Vec<Meaning> {
        let others = [NameSet::Substance, NameSet::Group].into_iter().filter_map(|set| self.find(asked, set));
        self.material(asked).into_iter().chain(others).collect()
    }

    /// What the store room holds: of what is counted in pieces a container, else what is weighed.
    fn stocked(&self, asked: &Asked<'_>) -> Option<Meaning> {
        let container = self.find(asked, NameSet::Container);
        let weighed = self.find(asked, NameSet::Weighable);
        let marks = asked.survey.marks_of(asked.statement);
        let amount = marks.iter().position(|mark| mark.kind == MarkKind::Number);
        let unit = amount.and_then(|amount| marks.get(amount + 1)).map(|mark| mark.kind);
        match (container, weighed) {
            (Some(container), Some(_)) if unit != Some(MarkKind::Unit) => Some(container),
            (container, weighed) => weighed.or(container),
        }
    }

    /// A name in a batch. What its plan names and does not write down was the shelf's.
    fn in_batch(&self, asked: &Asked<'_>, substance: bool) -> Option<Meaning> {
        let set = if substance { NameSet::Substance } else { NameSet::Weighable };
        let batch = asked.item.and_then(|id| match self.scopes.item(id) {
            Some(Item::Batch(batch)) => Some((id, batch)),
            _ => None,
        });
        let Some((id, plan)) = batch.and_then(|(id, batch): (DeclId, &Batch)| Some((id, batch.plan()?))) else {
            return self.find(asked, set);
        };
        let seen = self.scopes.find(asked.file, set, asked.text);
        if writes_down(plan, asked.text, substance) {
            let own = seen.filter(|found| self.sources.home(found.file).is_some()).map(Meaning::Declared);
            return own.or_else(|| Some(Meaning::Planned(id, asked.text.into(), substance)));
        }
        if names(plan, asked.text) || substance {
            let on_shelf = on_shelf(set, asked.text);
            return on_shelf.or(seen).map(Meaning::Declared);
        }
        seen.or_else(|| on_shelf(set, asked.text)).map(Meaning::Declared)
    }

    /// In a statement that does not parse: whatever is called so, a thing to weigh first.
    fn guessed(&self, asked: &Asked<'_>) -> Vec<Meaning> {
        let own = asked.item.and_then(|item| self.own_figure(item, asked.text));
        let sets =
            [NameSet::Weighable, NameSet::Substance, NameSet::Group, NameSet::Container, NameSet::Rule, NameSet::Batch];
        own.or_else(|| sets.into_iter().find_map(|set| self.find(asked, set))).into_iter().collect()
    }

    /// The formula itself and those that it is a variant of, the nearest first.
    pub fn bases(&self, id: DeclId) -> Vec<DeclId> {
        let mut chain: Vec<DeclId> = Vec::new();
        let mut next = Some(id);
        while let Some(id) = next.filter(|id| !chain.contains(id) && chain.len() <= MOST_BASES) {
            chain.push(id);
            next = match self.scopes.item(id) {
                Some(Item::Variant(variant)) => self.scopes.find(id.file, NameSet::Weighable, &variant.base.text),
                _ => None,
            };
        }
        chain
    }

    /// A figure of a formula: of its base, where that has it, since a variant's own takes its place.
    fn own_figure(&self, id: DeclId, name: &str) -> Option<Meaning> {
        let has = |id: &DeclId| self.scopes.item(*id).is_some_and(|item| figure_of(item, name).is_some());
        let owner = self.bases(id).into_iter().rfind(has)?;
        Some(Meaning::Let(owner, name.into()))
    }

    fn phase(&self, id: DeclId, name: &str) -> Option<Meaning> {
        let has = |id: &DeclId| self.scopes.item(*id).is_some_and(|item| phase_of(item, name).is_some());
        let owner = self.bases(id).into_iter().rfind(has)?;
        Some(Meaning::Phase(owner, name.into()))
    }

    /// Where a name is declared.
    #[must_use]
    pub fn declared_at(&self, meaning: &Meaning) -> Option<Place> {
        let (id, found) = match meaning {
            Meaning::Declared(id) => return self.scopes.name_place(*id),
            Meaning::Let(id, name) => (id, figure_of(self.scopes.item(*id)?, name)),
            Meaning::Phase(id, name) => (id, phase_of(self.scopes.item(*id)?, name)),
            Meaning::Planned(id, name, substance) => {
                let Item::Batch(batch) = self.scopes.item(*id)? else { return None };
                (id, written_down(batch.plan()?, name, *substance))
            }
        };
        found.map(|span| Place { file: id.file, span })
    }

    /// The whole declaration of a name.
    #[must_use]
    pub fn whole(&self, meaning: &Meaning) -> Option<Place> {
        match meaning {
            Meaning::Declared(id) => Some(Place { file: id.file, span: self.scopes.item(*id)?.span() }),
            _ => self.declared_at(meaning),
        }
    }

    /// The name that a meaning goes by.
    #[must_use]
    pub fn name_of(&self, meaning: &Meaning) -> Option<SmolStr> {
        match meaning {
            Meaning::Declared(id) => self.scopes.item(*id)?.name().map(|name| name.text.clone()),
            Meaning::Let(_, name) | Meaning::Phase(_, name) | Meaning::Planned(_, name, _) => Some(name.clone()),
        }
    }

    /// Whether the shelf has it.
    #[must_use]
    pub fn is_on_shelf(&self, meaning: &Meaning) -> bool {
        matches!(meaning, Meaning::Declared(id) if self.sources.home(id.file).is_none())
    }

    /// Every place in one file where a thing is named.
    #[must_use]
    pub fn in_file(&self, meaning: &Meaning, file: FileId) -> Vec<Occurrence> {
        let Some(name) = self.name_of(meaning) else { return Vec::new() };
        let survey = self.survey(file);
        let text = self.sources.text(file);
        let mut found = Vec::new();
        for (number, mark) in survey.marks.iter().enumerate() {
            if let MarkKind::Name(role) = mark.kind
                && cut_name(mark.span.of(text)) == name
                && self.meanings(file, &survey, number).contains(meaning)
            {
                found.push(Occurrence { place: Place { file, span: mark.span }, role });
            }
        }
        found
    }

    /// Every place where a thing is named, in all files of the session; of the shelf only where the shelf has it.
    #[must_use]
    pub fn everywhere(&self, meaning: &Meaning) -> Vec<Occurrence> {
        let on_shelf = shelf_files().filter(|_| self.is_on_shelf(meaning));
        on_shelf.chain(home_files(self.sources)).flat_map(|file| self.in_file(meaning, file)).collect()
    }
}

/// Whether a material has its substance by its own name.
#[must_use]
pub fn takes_its_substance_from_its_name(material: &Material) -> bool {
    let says = |field: &MaterialField| matches!(field, MaterialField::Contains(_));
    material.like.is_none() && !material.facts.iter().any(|fact| says(&fact.field))
}

fn on_shelf(set: NameSet, name: &str) -> Option<DeclId> {
    let kind = match set {
        NameSet::Weighable => ShelfKind::Material,
        NameSet::Substance => ShelfKind::Substance,
        _ => return None,
    };
    let entry = shelf::find_anywhere(kind, name)?;
    let file = shelf::ENTRIES.get(entry as usize)?.file;
    Some(DeclId { file: FileId(file), item: entry })
}

fn written_down(plan: &FrozenPlan, name: &str, substance: bool) -> Option<Span> {
    let of_kind = |item: &&Item| matches!(item, Item::Substance(_)) == substance;
    let declared = plan.declared.iter().filter(of_kind).filter_map(Item::name);
    let premixes = plan.premixes.iter().filter(|_| !substance).map(|premix| &premix.name);
    declared.chain(premixes).find(|known| known.text == name).map(|known| known.span)
}

fn writes_down(plan: &FrozenPlan, name: &str, substance: bool) -> bool {
    written_down(plan, name, substance).is_some()
}

/// Whether a line of a plan names a material.
fn names(plan: &FrozenPlan, name: &str) -> bool {
    let lines = plan.lines.iter().chain(plan.premixes.iter().flat_map(|premix| &premix.parts));
    lines.into_iter().any(|line| line.material.text == name)
}

/// Where a formula or a variant gives a figure a name.
fn figure_of(item: &Item, name: &str) -> Option<Span> {
    let of_formula = |formula: &Formula| {
        formula.statements.iter().find_map(|statement| match statement {
            FormulaStatement::Let(declared) if declared.name.text == name => Some(declared.name.span),
            _ => None,
        })
    };
    let of_variant = |variant: &Variant| {
        variant.statements.iter().find_map(|statement| match statement {
            VariantStatement::Let(declared) if declared.name.text == name => Some(declared.name.span),
            _ => None,
        })
    };
    match item {
        Item::Formula(formula) => of_formula(formula),
        Item::Variant(variant) => of_variant(variant),
        _ => None,
    }
}

/// Where a formula, a variant or the plan of a batch opens a phase.
fn phase_of(item: &Item, name: &str) -> Option<Span> {
    let is_it = |known: &Name| (known.text == name).then_some(known.span);
    match item {
        Item::Formula(formula) => formula.statements.iter().find_map(|statement| match statement {
            FormulaStatement::Phase(phase) => is_it(&phase.name),
            _ => None,
        }),
        Item::Variant(variant) => variant.statements.iter().find_map(|statement| match statement {
            VariantStatement::Phase(phase) => is_it(&phase.name),
            _ => None,
        }),
        Item::Batch(batch) => batch.plan()?.phases.iter().find_map(|phase| is_it(&phase.name)),
        _ => None,
    }
}
