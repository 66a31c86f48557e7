//! The amounts of a formula's lines: expressions over each other, targets over strengths.

use super::definition::{Definition, LineDef};
use super::name_set::NameSet;
use super::names::names_in;
use super::ring::ring_fault;
use super::{Figure, Resolver, graph};
use crate::diagnostic::{Code, Diagnostic, FileId, Place, Sureness};
use crate::model::{AmountIs, DeclId, Line, LineAmount, LineMaterial, Target, Used};
use crate::quantity::{Dimension, Exact, Interval};
use crate::syntax::tree::{Amount, AmountKind, Expression, Item, Name};
use crate::syntax::{IndexedName, nearest_of};
use smol_str::SmolStr;

/// What an expression of a formula rests on.
#[derive(Clone, Copy, PartialEq, Eq, Hash)]
enum Node {
    Line(usize),
    Let(usize),
}

/// The figures of a formula, as far as they are worked out.
pub(super) struct Figures<'d, 's> {
    resolver: &'d Resolver<'s>,
    definition: &'d Definition<'s>,
    lets: Vec<Option<Figure>>,
    lets_used: Vec<bool>,
    lines: Vec<LineFigure>,
}

#[derive(Clone)]
enum LineFigure {
    IndexedName(Figure),
    Filling,
    AtBench,
    Unknown,
}

/// What a name in an expression of a formula stands for.
enum NameMeaning {
    Let(usize),
    Lines(Vec<usize>),
    FileLevel,
}

impl<'d, 's> Figures<'d, 's> {
    pub(super) fn new(resolver: &'d Resolver<'s>, definition: &'d Definition<'s>) -> Figures<'d, 's> {
        Figures {
            resolver,
            definition,
            lets: vec![None; definition.lets.len()],
            lets_used: vec![false; definition.lets.len()],
            lines: vec![LineFigure::Unknown; definition.lines.len()],
        }
    }

    fn meaning(&self, name: &SmolStr, written_at: usize) -> NameMeaning {
        if let Some(at) = self.definition.lets.iter().rposition(|(_, declared, _)| declared.name.text == *name) {
            return NameMeaning::Let(at);
        }
        let name = self.definition.current(name, written_at);
        let lines: Vec<usize> = self
            .definition
            .lines
            .iter()
            .enumerate()
            .filter(|(_, line)| line.name.text == name)
            .map(|(at, _)| at)
            .collect();
        if lines.is_empty() { NameMeaning::FileLevel } else { NameMeaning::Lines(lines) }
    }

    fn expressions_of(&self, node: Node) -> Option<(&'s Expression, usize)> {
        match node {
            Node::Let(at) => {
                self.definition.lets.get(at).map(|(_, declared, written_at)| (&declared.value, *written_at))
            }
            Node::Line(at) => {
                let (_, amount, written_at) = self.definition.lines.get(at)?.amount?;
                match &amount.kind {
                    AmountKind::AsSupplied(figure) | AmountKind::Active(figure) | AmountKind::Of(figure, _) => {
                        Some((figure, written_at))
                    }
                    AmountKind::QuantumSatis | AmountKind::QuantumSatisToPh => None,
                }
            }
        }
    }

    fn rests_on(&self, node: Node) -> Vec<Node> {
        let mut below = Vec::new();
        if let Some((expression, written_at)) = self.expressions_of(node) {
            names_in(expression, &mut |name| match self.meaning(&name.text, written_at) {
                NameMeaning::Let(at) => below.push(Node::Let(at)),
                NameMeaning::Lines(lines) => below.extend(lines.into_iter().map(Node::Line)),
                NameMeaning::FileLevel => {}
            });
        }
        below
    }

    /// Works every figure out, each after those it rests on.
    pub(super) fn work_out(&mut self, lines: &mut [Line], faults: &mut Vec<Diagnostic>) {
        let roots = (0..self.lets.len()).map(Node::Let).chain((0..self.lines.len()).map(Node::Line));
        let order = graph::order(roots, |node| self.rests_on(node));
        let mut in_ring: Vec<Node> = Vec::new();
        for ring in &order.rings {
            faults.extend(self.ring(ring));
            in_ring.extend(ring);
        }
        for node in order.sorted {
            let ringed = in_ring.contains(&node);
            match node {
                Node::Let(at) if !ringed => {
                    let Some((file, declared, written_at)) = self.definition.lets.get(at).copied() else { continue };
                    let figure = self.evaluate(file, &declared.value, written_at, faults);
                    if let Some(slot) = self.lets.get_mut(at) {
                        *slot = figure;
                    }
                }
                Node::Line(at) if !ringed => {
                    let (Some(definition), Some(line)) = (self.definition.lines.get(at), lines.get_mut(at)) else {
                        continue;
                    };
                    self.line(at, definition, line, faults);
                }
                Node::Let(_) => {}
                Node::Line(at) => {
                    if let Some(line) = lines.get_mut(at) {
                        line.faulty = true;
                    }
                }
            }
        }
    }

    fn ring(&self, ring: &[Node]) -> Option<Diagnostic> {
        let mut places = Vec::new();
        for node in ring {
            places.push(match node {
                Node::Let(at) => self
                    .definition
                    .lets
                    .get(*at)
                    .map(|(file, declared, _)| Place { file: *file, span: declared.name.span })?,
                Node::Line(at) => {
                    self.definition.lines.get(*at).map(|line| Place { file: line.file, span: line.name.span })?
                }
            });
        }
        let text = |place| self.resolver.sources.at(place).to_string();
        let what = if ring.len() == 1 { "This amount rests on itself" } else { "Amounts rest on each other in a ring" };
        Some(ring_fault(Code::ExpressionCycle, what, &places, text)?.help("Give one of them a figure of its own."))
    }

    /// An expression of this formula.
    pub(super) fn evaluate(
        &mut self,
        file: FileId,
        expression: &Expression,
        written_at: usize,
        faults: &mut Vec<Diagnostic>,
    ) -> Option<Figure> {
        let evaluator = self.resolver.evaluator(file);
        let mut names = |name: &Name, faults: &mut Vec<Diagnostic>| self.figure(file, name, written_at, faults);
        evaluator.evaluate(expression, &mut names, faults)
    }

    /// A name in an expression of this formula.
    pub(super) fn figure(
        &mut self,
        file: FileId,
        name: &Name,
        written_at: usize,
        faults: &mut Vec<Diagnostic>,
    ) -> Option<Figure> {
        match self.meaning(&name.text, written_at) {
            NameMeaning::Let(at) => {
                if let Some(used) = self.lets_used.get_mut(at) {
                    *used = true;
                }
                self.lets.get(at).cloned().flatten()
            }
            NameMeaning::Lines(lines) => {
                let mut total: Option<Figure> = None;
                for at in lines {
                    match self.lines.get(at) {
                        Some(LineFigure::IndexedName(figure)) => match &mut total {
                            None => total = Some(figure.clone()),
                            Some(total) if total.dimension == figure.dimension => {
                                total.value = &total.value + &figure.value
                            }
                            Some(_) => return None,
                        },
                        Some(LineFigure::Filling) => {
                            faults.push(no_figure(
                                file,
                                name,
                                "is what fills the batch up: its figure rests on all the others",
                            ));
                            return None;
                        }
                        Some(LineFigure::AtBench) => {
                            faults.push(no_figure(
                                file,
                                name,
                                "is weighed at the bench: its figure is not known before",
                            ));
                            return None;
                        }
                        Some(LineFigure::Unknown) | None => return None,
                    }
                }
                total
            }
            NameMeaning::FileLevel => self.file_level(file, name, faults),
        }
    }

    fn file_level(&self, file: FileId, name: &Name, faults: &mut Vec<Diagnostic>) -> Option<Figure> {
        let resolver = self.resolver;
        let found = resolver.scopes.find(file, NameSet::Weighable, &name.text);
        if let Some(id) = found {
            resolver.mark_used(id);
            if matches!(resolver.scopes.item(id), Some(Item::Let(_))) {
                return resolver.let_figure(id);
            }
        }
        let is_broken = self.definition.broken.iter().any(|(file, span)| {
            let text = span.of(resolver.sources.text(*file));
            text.split(|c: char| !c.is_ascii_alphanumeric() && c != '-').any(|word| word == name.text)
        });
        if is_broken || (found.is_none() && resolver.scopes.is_excused(file, &name.text)) {
            return None;
        }
        let place = Resolver::place(file, name);
        if let Some((_, removed)) = self.definition.removed.iter().find(|(removed, _)| *removed == name.text) {
            faults.push(still_reckoned(&self.definition.name.text, &name.text, *removed, place));
            return None;
        }
        let lines = self.definition.lines.iter().map(|line| line.name.text.as_str());
        let lets = self.definition.lets.iter().map(|(_, declared, _)| declared.name.text.as_str());
        let own: Vec<IndexedName> = lines.chain(lets).map(IndexedName::new).collect();
        let visible = resolver.scopes.may_be_meant(file, NameSet::Weighable);
        let near = nearest_of(&name.text, own.iter().chain(visible.iter()));
        let message = match found {
            Some(_) => format!("`{}` is no line of this formula, so it has no figure here.", name.text),
            None => format!("There is no figure and no line called `{}` here.", name.text),
        };
        let fault = Diagnostic::new(Code::NameUnknown, place, message);
        faults.push(match near.first() {
            Some(only) if found.is_none() => {
                fault.help(format!("Did you mean `{only}`?")).fix(place, *only, Sureness::NeedsALook)
            }
            _ => fault.help("Write the figure, or give the material a line."),
        });
        None
    }

    /// Whether each figure of the formula itself is used.
    pub(super) fn unused_lets(&self) -> impl Iterator<Item = (FileId, &'s Name)> + '_ {
        let own = self.definition.lets.iter().zip(&self.lets_used);
        own.filter(|((file, _, _), used)| !**used && *file == self.definition.id.file)
            .map(|((file, declared, _), _)| (*file, &declared.name))
    }

    /// Each name in an expression with what it stands for and where that stands.
    fn uses(&mut self, file: FileId, expression: &Expression, written_at: usize) -> Vec<Used> {
        let mut names = Vec::new();
        names_in(expression, &mut |name| names.push(name));
        let mut uses = Vec::new();
        for name in names {
            let place = match self.meaning(&name.text, written_at) {
                NameMeaning::Let(at) => {
                    self.definition.lets.get(at).map(|(file, declared, _)| Resolver::place(*file, &declared.name))
                }
                NameMeaning::Lines(lines) => lines.first().and_then(|at| self.definition.lines.get(*at)).map(|line| {
                    let amount = line.amount.map(|(file, amount, _)| Place { file, span: amount.span });
                    amount.unwrap_or_else(|| Resolver::place(line.file, &line.name))
                }),
                NameMeaning::FileLevel => {
                    let found = self.resolver.scopes.find(file, NameSet::Weighable, &name.text);
                    found.and_then(|id| self.resolver.scopes.name_place(id))
                }
            };
            let figure = self.figure(file, name, written_at, &mut Vec::new());
            if let (Some(place), Some(figure)) = (place, figure) {
                let mark = match figure.dimension {
                    Dimension::Percent => " %",
                    Dimension::Mass => " g",
                    Dimension::Parts => " parts",
                    _ => "",
                };
                uses.push(Used { name: name.text.clone(), value: figure.value, mark, place });
            }
        }
        uses.shrink_to_fit();
        uses
    }

    fn line(&mut self, at: usize, definition: &LineDef<'s>, line: &mut Line, faults: &mut Vec<Diagnostic>) {
        let before = faults.len();
        let amount = match definition.amount {
            Some((file, amount, written_at)) => self.amount(file, amount, written_at, line, faults),
            None => LineAmount::Unknown,
        };
        line.faulty |= faults.iter().skip(before).any(|fault| fault.level == crate::diagnostic::Level::Error);
        let figure = match &amount {
            LineAmount::Percent(value) => LineFigure::IndexedName(Figure::new(value.clone(), Dimension::Percent)),
            LineAmount::Weight(value) => LineFigure::IndexedName(Figure::new(value.clone(), Dimension::Mass)),
            LineAmount::Parts(value) => LineFigure::IndexedName(Figure::new(value.clone(), Dimension::Parts)),
            LineAmount::QuantumSatis => LineFigure::Filling,
            LineAmount::AtBench => LineFigure::AtBench,
            LineAmount::Unknown => LineFigure::Unknown,
        };
        line.amount = amount;
        if let Some(slot) = self.lines.get_mut(at) {
            *slot = figure;
        }
    }

    fn amount(
        &mut self,
        file: FileId,
        amount: &Amount,
        written_at: usize,
        line: &mut Line,
        faults: &mut Vec<Diagnostic>,
    ) -> LineAmount {
        let (expression, of) = match &amount.kind {
            AmountKind::QuantumSatis => return LineAmount::QuantumSatis,
            AmountKind::QuantumSatisToPh => return LineAmount::AtBench,
            AmountKind::AsSupplied(figure) => (figure, None),
            AmountKind::Active(figure) => (figure, Some(None)),
            AmountKind::Of(figure, name) => (figure, Some(Some(name))),
        };
        let place = line.mark;
        if let Expression::Name(name) = expression
            && of.is_none()
            && let NameMeaning::FileLevel = self.meaning(&name.text, written_at)
            && self.resolver.scopes.find(file, NameSet::Weighable, &name.text).is_none()
            && let Some(fault) = filling_word(Resolver::place(file, name), &name.text)
        {
            faults.push(fault);
            return LineAmount::Unknown;
        }
        let figure = self.evaluate(file, expression, written_at, faults);
        line.asked = figure.as_ref().map(|figure| figure.value.clone());
        line.uses = self.uses(file, expression, written_at);
        // The target is looked at even where the figure is not known: both may be at fault.
        let strength = of.map(|of| match of {
            None => self.resolver.active_strength(line, place, faults),
            Some(name) => self.resolver.strength_of(file, name, line, place, faults),
        });
        let Some(figure) = figure else { return LineAmount::Unknown };
        let wanted = [Dimension::Percent, Dimension::Mass, Dimension::Parts];
        if !wanted.contains(&figure.dimension) {
            let evaluator = self.resolver.evaluator(file);
            let fault = evaluator.mismatch(expression.span(), "An amount", &wanted, figure.dimension);
            faults.push(match figure.dimension {
                Dimension::Volume => weigh_it(fault, line, &figure.value),
                _ => fault,
            });
            return LineAmount::Unknown;
        }
        if let Some(fault) = no_amount(place, &figure.value, &line.name) {
            faults.push(fault);
            return LineAmount::Unknown;
        }
        let value = match strength {
            None => figure.value,
            Some(None) => return LineAmount::Unknown,
            Some(Some(target)) => match self.as_supplied(&figure, target, line, place, faults) {
                Some(value) => value,
                None => return LineAmount::Unknown,
            },
        };
        match figure.dimension {
            Dimension::Mass => LineAmount::Weight(value),
            Dimension::Parts => LineAmount::Parts(value),
            _ => {
                if value > Exact::HUNDRED {
                    let message = format!("`{}` at {value} % is more than the whole batch.", line.name);
                    faults.push(Diagnostic::new(Code::AmountOver100, place, message).help("Check the decimal point."));
                }
                LineAmount::Percent(value)
            }
        }
    }

    /// A target as the weight of the material as supplied: at the middle of a strength that is a range.
    fn as_supplied(
        &self,
        figure: &Figure,
        target: Target,
        line: &mut Line,
        place: Place,
        faults: &mut Vec<Diagnostic>,
    ) -> Option<Exact> {
        let middle = target.strength.middle();
        if figure.dimension == Dimension::Percent && figure.value > middle {
            faults.push(self.resolver.impossible(&figure.value, &target, line, place));
            return None;
        }
        let value = (&figure.value * &Exact::HUNDRED).over(&middle)?;
        if !target.strength.is_point() && figure.dimension == Dimension::Percent {
            let made = target.strength.times(&value.hundredth());
            let message = format!(
                "`{}` is {} strong, so {} % of it makes {}.",
                line.name,
                target.strength.percent_text(),
                value,
                made.percent_text()
            );
            let fault =
                Diagnostic::new(Code::StrengthRange, place, message).label("weighed at the middle of the range");
            faults.push(fault.help("Write the assay of the lot you have into the material to be exact."));
        }
        line.target = Some(Box::new(target));
        Some(value)
    }
}

/// A material that a variant takes out, and that a figure or a promise of its base rests on.
fn still_reckoned(variant: &str, name: &str, removed: Place, place: Place) -> Diagnostic {
    let message = format!("`{variant}` removes `{name}`, and another line still reckons with it.");
    Diagnostic::new(Code::NameUnknown, removed, message)
        .and(place, "it stands here")
        .help(format!("Swap it for what takes its place, `swap {name} for …`, or write that line without `{name}`."))
}

/// What a volume on a line would weigh.
fn weigh_it(fault: Diagnostic, line: &Line, millilitres: &Exact) -> Diagnostic {
    let density = match &line.material {
        Some(LineMaterial::Material(material)) => material.density.clone(),
        _ => None,
    };
    let grams = millilitres * density.as_ref().unwrap_or(&Exact::ONE);
    let grams = grams.to_significant(4);
    let place = fault.primary.place;
    let help = match density {
        Some(density) => format!("At its density of {density} g/mL that weighs `{grams} g`: write the weight."),
        None => format!(
            "Weigh it and write the weight: as heavy as water it would be `{grams} g`, and an oil is about a tenth lighter."
        ),
    };
    fault.help(help).fix(place, format!("{grams} g"), Sureness::NeedsALook)
}

/// `qs` and words of everyday for what fills up.
fn filling_word(place: Place, word: &str) -> Option<Diagnostic> {
    let sureness = match word {
        "qs" => Sureness::Safe,
        "rest" | "remainder" | "balance" | "fill" => Sureness::NeedsALook,
        _ => return None,
    };
    let message = match sureness {
        Sureness::Safe => "`q.s.` has its points.",
        Sureness::NeedsALook => "What fills up to 100 % is written `q.s.`.",
    };
    Some(Diagnostic::new(Code::Syntax, place, message).help("Write `q.s.`.").fix(place, "q.s.", sureness))
}

/// The fault of an amount that is nought or below.
fn no_amount(place: Place, value: &Exact, name: &str) -> Option<Diagnostic> {
    if value.is_zero() {
        let fault = Diagnostic::new(Code::AmountZero, place, format!("`{name}` has an amount of nought."));
        return Some(fault.help("Write the amount, or take the line out."));
    }
    value.is_negative().then(|| {
        let fault = Diagnostic::new(Code::AmountNegative, place, format!("`{name}` comes to {value}, below nought."));
        fault.help("Check the expression: nothing can be weighed in below nothing.")
    })
}

pub(super) fn no_figure(file: FileId, name: &Name, why: &str) -> Diagnostic {
    let place = Resolver::place(file, name);
    Diagnostic::new(Code::ExpressionCycle, place, format!("`{}` {why}.", name.text)).help("Write the figure itself.")
}

impl Resolver<'_> {
    /// What `active` speaks of in a line's thing, and how strong it is.
    pub(super) fn active_strength(&self, line: &Line, place: Place, faults: &mut Vec<Diagnostic>) -> Option<Target> {
        let parts = self.parts_of(line)?;
        let marked: Vec<&LineComponent> = parts.iter().filter(|part| part.active).collect();
        let candidates: Vec<&LineComponent> = match marked.is_empty() {
            false => marked,
            true => parts.iter().filter(|part| !self.substance(part.substance).is_some_and(|s| s.is_water())).collect(),
        };
        match candidates.as_slice() {
            [only] if !only.undisclosed && only.strength.high.is_positive() => {
                Some(Target { substance: only.substance, is: AmountIs::Active, strength: only.strength.clone() })
            }
            [_] | [] => {
                faults.push(self.missing(line, "its active", place));
                None
            }
            several => {
                let names: Vec<String> =
                    several.iter().map(|part| format!("`{}`", self.substance_name(part.substance))).collect();
                let message = format!("`active` could speak of {} in `{}`.", names.join(" or "), line.name);
                let first = several.first().map(|part| self.substance_name(part.substance)).unwrap_or_default();
                let fault = Diagnostic::new(Code::ActiveAmbiguous, place, message);
                let fault = match line.material.as_ref() {
                    Some(LineMaterial::Material(material)) => {
                        fault.and(material.place, "its `contains` marks none, or more than one, as `active`")
                    }
                    _ => fault,
                };
                faults.push(
                    fault.help(format!("Say which: `… of {first}`, or mark one component `active` in the material.")),
                );
                None
            }
        }
    }

    /// How much of a named substance a line's thing has, its salts counted as the substance.
    pub(super) fn strength_of(
        &self,
        file: FileId,
        name: &Name,
        line: &Line,
        place: Place,
        faults: &mut Vec<Diagnostic>,
    ) -> Option<Target> {
        let substance = self.look_up(file, NameSet::Substance, name, faults)?;
        let parts = self.parts_of(line)?;
        let mut strength = Interval::zero();
        let mut found = false;
        for part in &parts {
            let Some(factor) = self.counts_as(part.substance, substance) else { continue };
            found = true;
            let Some(factor) = factor.filter(|_| !part.undisclosed) else {
                faults.push(self.missing(line, &format!("`{}`", name.text), place));
                return None;
            };
            strength = &strength + &part.strength.times(&factor);
        }
        let target = Target { substance, is: AmountIs::Of, strength };
        if found && target.strength.high.is_positive() {
            return Some(target);
        }
        let undisclosed = match &line.material {
            Some(LineMaterial::Material(material)) => material.undisclosed.high.is_positive(),
            _ => false,
        };
        faults.push(match undisclosed {
            true => self.missing(line, &format!("`{}`", name.text), place),
            false => Diagnostic::new(
                Code::StrengthImpossible,
                place,
                format!("`{}` has no `{}` in it.", line.name, name.text),
            )
            .help("Name a substance that its `contains` lists."),
        });
        None
    }

    fn missing(&self, line: &Line, what: &str, place: Place) -> Diagnostic {
        let message =
            format!("How strong `{}` is in {what} is not known, so it cannot be weighed to a target.", line.name);
        let fault = Diagnostic::new(Code::StrengthMissing, place, message);
        let fault = match &line.material {
            Some(LineMaterial::Material(material)) => fault.and(material.place, "the material"),
            _ => fault,
        };
        fault.help("Ask the supplier for the strength (and check the molar masses, for a salt), or give the amount as supplied.")
    }

    fn impossible(&self, asked: &Exact, target: &Target, line: &Line, place: Place) -> Diagnostic {
        let most = target.strength.middle();
        let name = self.substance_name(target.substance);
        let message = format!("{asked} % of `{name}` cannot come from `{}`, which is {most} % strong.", line.name);
        let fault = Diagnostic::new(Code::StrengthImpossible, place, message);
        let fault = match &line.material {
            Some(LineMaterial::Material(material)) => fault.and(material.place, "the material"),
            _ => fault,
        };
        fault.help(format!("Even undiluted it gives {most} %: ask for less, or use a stronger material."))
    }

    /// The name of a substance.
    #[must_use]
    pub fn substance_name(&self, id: DeclId) -> String {
        self.substance(id).map(|substance| substance.name.to_string()).unwrap_or_default()
    }

    /// What a line's thing is made of; none where that is not known and its fault has been told.
    fn parts_of(&self, line: &Line) -> Option<Vec<LineComponent>> {
        match line.material.as_ref()? {
            LineMaterial::Material(material) if material.faulty => None,
            LineMaterial::Material(material) => Some(
                material
                    .contains
                    .iter()
                    .map(|component| LineComponent {
                        substance: component.substance,
                        strength: component.strength.clone(),
                        undisclosed: component.undisclosed,
                        active: component.active,
                    })
                    .collect(),
            ),
            LineMaterial::Premix(premix) => Some(
                premix
                    .composition
                    .as_ref()?
                    .parts
                    .iter()
                    .map(|(substance, strength)| LineComponent {
                        substance: *substance,
                        strength: strength.clone(),
                        undisclosed: false,
                        active: false,
                    })
                    .collect(),
            ),
        }
    }
}

/// A part of what a line weighs out.
struct LineComponent {
    substance: DeclId,
    strength: Interval,
    undisclosed: bool,
    active: bool,
}
