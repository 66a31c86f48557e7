//! Makers, containers and rates of exchange, made from their declarations.

use super::bounds::zero;
use super::substance::twice;
use super::{Bounds, Resolver, declared};
use crate::diagnostic::{Code, Diagnostic, FileId, Place, Span};
use crate::model::{CodePart, CodePattern, Container, ContainerPack, Content, DeclId, Maker, Rate};
use crate::quantity::{Currency, Dimension, Exact, Money, Unit};
use crate::syntax::tree::{self, ContainerField, Item, Name, Number, Quantity};
use crate::syntax::vocabulary::Market;
use smol_str::SmolStr;

impl Resolver<'_> {
    /// The container of a declaration.
    #[must_use]
    pub fn container(&self, id: DeclId) -> Option<Container> {
        let Some(Item::Container(declared)) = self.scopes.item(id) else { return None };
        Some(self.make_container(id, declared, &mut Vec::new()))
    }

    /// Every container of all files, in the order of the files.
    #[must_use]
    pub fn containers(&self) -> Vec<Container> {
        self.all(|item| matches!(item, Item::Container(_))).into_iter().filter_map(|id| self.container(id)).collect()
    }

    /// Every rate of exchange of all files whose figures are sound.
    #[must_use]
    pub fn rates(&self) -> Vec<Rate> {
        let rates = self.all(|item| matches!(item, Item::Rate(_)));
        let made = rates.into_iter().filter_map(|id| match self.scopes.item(id) {
            Some(Item::Rate(declared)) => self.make_rate(id, declared, &mut Vec::new()),
            _ => None,
        });
        made.collect()
    }

    /// Who makes what a file says: the maker that the file or one that it uses declares; else the only one there is.
    #[must_use]
    pub fn maker(&self, file: FileId) -> Option<Maker> {
        let all = self.all(|item| matches!(item, Item::Maker(_)));
        let near = self.scopes.reached(file).find_map(|reached| all.iter().find(|id| id.file == reached));
        let only = || if let [only] = all.as_slice() { Some(only) } else { None };
        let id = *near.or_else(only)?;
        let Some(Item::Maker(declared)) = self.scopes.item(id) else { return None };
        Some(make_maker(id, declared, &mut Vec::new()))
    }

    /// The declarations of a kind in all files on disk, in their order.
    pub(super) fn all(&self, pass: impl Fn(&Item) -> bool + Copy) -> Vec<DeclId> {
        self.sources.files.iter().flat_map(|source| declared(source, pass)).collect()
    }

    pub(super) fn check_maker(&self, id: DeclId, maker: &tree::Maker, faults: &mut Vec<Diagnostic>) {
        let _ = make_maker(id, maker, faults);
        let all = self.all(|item| matches!(item, Item::Maker(_)));
        let reached: Vec<FileId> = self.scopes.reached(id.file).collect();
        let other = all.iter().find(|other| match other.file == id.file {
            true => other.item < id.item,
            false => reached.contains(&other.file),
        });
        if let Some(other) = other
            && let Some(Item::Maker(first)) = self.scopes.item(*other)
        {
            let message = "There are two makers here, and one answers for all.";
            faults.push(
                Diagnostic::new(Code::HeaderTwice, opening(id.file, maker.span), message)
                    .and(opening(other.file, first.span), "the other stands here")
                    .help("Keep one of the two blocks."),
            );
        }
    }

    pub(super) fn check_container(&self, id: DeclId, container: &tree::Container, faults: &mut Vec<Diagnostic>) {
        let _ = self.make_container(id, container, faults);
    }

    fn make_container(&self, id: DeclId, declared: &tree::Container, faults: &mut Vec<Diagnostic>) -> Container {
        let evaluator = self.evaluator(id.file);
        let mut made = Container {
            id,
            name: declared.name.text.clone(),
            place: Self::place(id.file, &declared.name),
            holds: None,
            overfill: None,
            packs: Vec::new(),
        };
        let (mut holding, mut overfilling) = (None, None);
        for field in &declared.fields {
            match field {
                ContainerField::Holds(holds, span) => {
                    note_twice(id.file, &mut holding, *span, "`holds`", faults);
                    made.holds = self.content(id, holds, "`holds`", "A container", faults);
                }
                ContainerField::Overfill(overfill, span) => {
                    note_twice(id.file, &mut overfilling, *span, "`overfill`", faults);
                    let mut names =
                        |name: &Name, faults: &mut Vec<Diagnostic>| self.figure_at_file_level(id.file, name, faults);
                    let figure = evaluator.want(overfill, "`overfill`", &[Dimension::Percent], &mut names, faults);
                    made.overfill = evaluator.within(&Bounds::overfill(), overfill.span(), figure, faults);
                }
                ContainerField::Price(packs) => {
                    made.packs.extend(packs.iter().filter_map(|pack| self.container_pack(id, pack, faults)));
                }
            }
        }
        made
    }

    /// A weight or a volume over nought.
    pub(super) fn content(
        &self,
        id: DeclId,
        written: &Quantity,
        field: &str,
        what: &str,
        faults: &mut Vec<Diagnostic>,
    ) -> Option<Content> {
        let evaluator = self.evaluator(id.file);
        let figure = evaluator.quantity(written)?;
        let content = match figure.dimension {
            Dimension::Mass => Content::Grams(figure.value.clone()),
            Dimension::Volume => Content::Millilitres(figure.value.clone()),
            other => {
                faults.push(evaluator.mismatch(written.span, field, &[Dimension::Volume, Dimension::Mass], other));
                return None;
            }
        };
        if figure.value.is_zero() {
            faults.push(zero(Place { file: id.file, span: written.span }, what));
            return None;
        }
        Some(content)
    }

    fn container_pack(
        &self,
        id: DeclId,
        (price, count): &(Quantity, Option<Number>),
        faults: &mut Vec<Diagnostic>,
    ) -> Option<ContainerPack> {
        let money = self.evaluator(id.file).money(price, "`price`", faults);
        let before = faults.len();
        if let Some(count) = count {
            self.counted(id, count, "Containers are", faults);
        }
        let pieces = match count {
            Some(count) => count.value.clone(),
            None => Some(Exact::ONE),
        };
        let span = count.as_ref().map_or(price.span, |count| price.span.to(count.span));
        let sound = faults.len() == before;
        Some(ContainerPack { price: money?, count: pieces.filter(|_| sound)?, place: Place { file: id.file, span } })
    }

    pub(super) fn check_rate(&self, id: DeclId, rate: &tree::Rate, faults: &mut Vec<Diagnostic>) {
        let _ = self.make_rate(id, rate, faults);
    }

    fn make_rate(&self, id: DeclId, rate: &tree::Rate, faults: &mut Vec<Diagnostic>) -> Option<Rate> {
        let before = faults.len();
        let mut side = |money: &Quantity| -> Option<Money> {
            let found = self.evaluator(id.file).money(money, "`rate`", faults);
            self.not_nought(id, money, "A rate", faults);
            found.filter(|money| money.amount.is_positive())
        };
        let (of, worth) = (side(&rate.of), side(&rate.worth));
        if let (Unit::Money(of), Unit::Money(worth)) = (rate.of.unit, rate.worth.unit)
            && of == worth
        {
            let place = Place { file: id.file, span: rate.worth.span };
            let message = format!("A rate is of one money in another, and both are {}.", Currency::new(of));
            faults.push(
                Diagnostic::new(Code::UnitMismatch, place, message)
                    .help("Write what one is worth in the other: `rate 1 USD = 0.92 EUR on 2026-11-02`."),
            );
        }
        let place = Place { file: id.file, span: rate.span };
        let made = Rate { of: of?, worth: worth?, on: rate.on.clone(), place };
        (faults.len() == before).then_some(made)
    }
}

fn make_maker(id: DeclId, declared: &tree::Maker, faults: &mut Vec<Diagnostic>) -> Maker {
    let place = Place { file: id.file, span: declared.span };
    let (name, address, contact, country, code) = (None, None, None, None, None);
    let mut made = Maker { id, place, name, address, contact, country, responsible: Vec::new(), code };
    let mut met: Vec<(&str, Option<Market>, Span)> = Vec::new();
    for field in &declared.fields {
        let word = field.word.text.as_str();
        let (place, text) = (Place { file: id.file, span: field.span }, field.text.value.clone());
        if let Some((.., first)) = met.iter().find(|(known, market, _)| *known == word && *market == field.market) {
            let what = match field.market {
                Some(market) => format!("`responsible {}`", market.word()),
                None => format!("`{word}`"),
            };
            faults.push(twice(place, Place { file: id.file, span: *first }, &what));
        }
        met.push((word, field.market, field.span));
        match (word, field.market) {
            (_, Some(market)) => {
                made.responsible.retain(|(known, ..)| *known != market);
                made.responsible.push((market, text, place));
            }
            ("name", _) => made.name = Some(text),
            ("address", _) => made.address = Some(text),
            ("contact", _) => made.contact = Some(text),
            ("country", _) => made.country = Some(text),
            _ => made.code = code_pattern(&text, Place { file: id.file, span: field.text.span }, faults),
        }
    }
    made
}

/// The parts of `code "BC-{yy}{mm}{dd}"`.
fn code_pattern(text: &str, place: Place, faults: &mut Vec<Diagnostic>) -> Option<CodePattern> {
    let at_fault = |message: String| {
        let help = "Write the day with `{yy}` or `{yyyy}`, `{mm}` and `{dd}`, as in `\"BC-{yy}{mm}{dd}\"`.";
        Diagnostic::new(Code::Syntax, place, message).help(help)
    };
    let mut parts: Vec<CodePart> = Vec::new();
    let mut rest = text;
    while let Some((before, after)) = rest.split_once('{') {
        let Some((inside, after)) = after.split_once('}') else {
            faults.push(at_fault("A `{` of this code has no `}`.".to_string()));
            return None;
        };
        if !before.is_empty() {
            parts.push(CodePart::Text(SmolStr::new(before)));
        }
        parts.push(match inside {
            "yyyy" => CodePart::Year,
            "yy" => CodePart::ShortYear,
            "mm" => CodePart::Month,
            "dd" => CodePart::Day,
            _ => {
                faults.push(at_fault(format!("`{{{inside}}}` is no part of a day that a code can have.")));
                return None;
            }
        });
        rest = after;
    }
    if rest.contains('}') || parts.iter().any(|part| matches!(part, CodePart::Text(text) if text.contains('}'))) {
        faults.push(at_fault("A `}` of this code has no `{`.".to_string()));
        return None;
    }
    if !rest.is_empty() {
        parts.push(CodePart::Text(SmolStr::new(rest)));
    }
    if parts.iter().all(|part| matches!(part, CodePart::Text(_))) {
        faults.push(at_fault("This code says no day: every batch would have the same.".to_string()));
        return None;
    }
    Some(CodePattern { parts, place })
}

/// The word `maker` of a block.
fn opening(file: FileId, span: Span) -> Place {
    Place { file, span: Span { start: span.start, end: span.start + 5 } }
}

fn note_twice(file: FileId, seen: &mut Option<Span>, span: Span, what: &str, faults: &mut Vec<Diagnostic>) {
    if let Some(first) = seen.replace(span) {
        faults.push(twice(Place { file, span }, Place { file, span: first }, what));
    }
}
