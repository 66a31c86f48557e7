//! The header lines of cost and price, worked out.

use super::figure::{Evaluator, Lookup};
use super::name_set::NameSet;
use super::{Bounds, Resolver, bounds};
use crate::diagnostic::{Code, Diagnostic, FileId, Place, Span};
use crate::model::{DeclId, Fee, FeeAmount, Labour, Packing, Pricing, Selling, Shade, StatedLine, Substance};
use crate::quantity::{Currency, Dimension, Exact, Money, Unit};
use crate::syntax::tree::{self, Expression, FeeOf, HeaderField, Item, Name, Quantity};
use crate::syntax::vocabulary::{Mark, Role};

/// The base units of what is named in a unit of time.
const SECONDS: &[Dimension] = &[Dimension::Time];

impl Resolver<'_> {
    /// Fills one of the header lines of cost and price in.
    pub(super) fn fill_selling(
        &self,
        evaluator: &Evaluator<'_>,
        (field, place): (&HeaderField, Place),
        selling: &mut Selling,
        names: &mut Lookup<'_>,
        faults: &mut Vec<Diagnostic>,
    ) {
        let stated = |value: Option<Exact>| value.map(|value| StatedLine { value, place });
        match field {
            HeaderField::MayContain(shades) => selling.may_contain = self.shades(evaluator.file, shades, faults),
            HeaderField::PackedIn(containers) => selling.packed_in = self.packing(evaluator.file, containers, faults),
            HeaderField::Loss(loss) => {
                selling.loss = stated(evaluator.under_the_whole(loss, ("`loss`", "A loss"), names, faults));
            }
            HeaderField::Vat(vat) => {
                let figure = evaluator.want(vat, "`vat`", &[Dimension::Percent], names, faults);
                selling.vat = stated(evaluator.within(&Bounds::tax(), vat.span(), figure, faults));
            }
            HeaderField::Labour(labour) => selling.labour.extend(evaluator.labour(labour, place, names, faults)),
            HeaderField::Fee(fee) => {
                let (figure, of, because) = &**fee;
                let what = match of {
                    FeeOf::Batch => {
                        let money = evaluator.want_money(figure, "`fee`", names, faults);
                        if let (Expression::Quantity(share), Some(fault)) = (figure, faults.last_mut())
                            && share.unit == Unit::Percent
                        {
                            let written = share.span.of(evaluator.text);
                            *fault =
                                fault.clone().help(format!("Write `fee {written} of price` for a share of the price."));
                        }
                        money.map(FeeAmount::Batch)
                    }
                    FeeOf::Each => evaluator.want_money(figure, "`fee … each`", names, faults).map(FeeAmount::Each),
                    FeeOf::Price => {
                        let share = evaluator.under_the_whole(figure, ("`fee … of price`", "A fee"), names, faults);
                        share.map(FeeAmount::OfPrice)
                    }
                };
                let because = because.as_ref().map(|because| because.value.clone());
                selling.fees.extend(what.map(|what| Fee { what, because, place }));
            }
            HeaderField::Margin(margin) => {
                let figure = evaluator.under_the_whole(margin, ("`margin`", "A margin"), names, faults);
                selling.price = figure.map(|figure| StatedLine { value: Pricing::Margin(figure), place });
            }
            HeaderField::SellsAt(price) => {
                let money = evaluator.want_money(price, "`sells at`", names, faults);
                if money.as_ref().is_some_and(|money| money.amount.is_zero()) {
                    faults.push(bounds::zero(place, "A price"));
                }
                let money = money.filter(|money| money.amount.is_positive());
                selling.price = money.map(|money| StatedLine { value: Pricing::Price(money), place });
            }
            _ => {}
        }
    }

    /// `may contain …`: a material or a substance each.
    fn shades(&self, file: FileId, names: &[Name], faults: &mut Vec<Diagnostic>) -> Vec<Shade> {
        let mut shades: Vec<Shade> = Vec::new();
        for name in once_each(file, names, "`may contain`", faults) {
            let is_material = |id: &DeclId| matches!(self.scopes.item(*id), Some(Item::Material(_)));
            let material = self.scopes.find(file, NameSet::Weighable, &name.text).filter(is_material);
            let substances = match material {
                Some(id) => {
                    self.mark_used(id);
                    self.colourants_of(id)
                }
                None => self.look_up(file, NameSet::Substance, name, faults).into_iter().collect(),
            };
            if !substances.is_empty() && !self.colours(material, &substances) {
                faults.push(no_colourant(Self::place(file, name), &name.text));
                continue;
            }
            if material.is_some() || !substances.is_empty() {
                shades.push(Shade { name: name.text.clone(), place: Self::place(file, name), material, substances });
            }
        }
        shades
    }

    /// Whether what is named in a range of shades is a colourant: by its mark or number, or by what the material is there for.
    fn colours(&self, material: Option<DeclId>, substances: &[DeclId]) -> bool {
        let colours =
            |substance: &Substance| substance.marks.contains(&Mark::Colourant) || substance.colour_index.is_some();
        let material = material.and_then(|id| self.material(id));
        material.is_some_and(|material| material.roles.contains(&Role::Colourant))
            || substances.iter().any(|id| self.substance(*id).is_some_and(|substance| colours(&substance)))
    }

    /// What of a material colours.
    fn colourants_of(&self, id: DeclId) -> Vec<DeclId> {
        let Some(material) = self.material(id) else { return Vec::new() };
        let all: Vec<DeclId> = material.contains.iter().map(|part| part.substance).collect();
        let is_marked =
            |id: &DeclId| self.substance(*id).is_some_and(|substance| substance.marks.contains(&Mark::Colourant));
        let marked: Vec<DeclId> = all.iter().copied().filter(is_marked).collect();
        if marked.is_empty() { all } else { marked }
    }

    /// `packed in …`.
    fn packing(&self, file: FileId, names: &[Name], faults: &mut Vec<Diagnostic>) -> Vec<Packing> {
        let mut packing: Vec<Packing> = Vec::new();
        let mut filled: Option<&Name> = None;
        for name in once_each(file, names, "`packed in`", faults) {
            let Some(id) = self.look_up(file, NameSet::Container, name, faults) else { continue };
            let place = Self::place(file, name);
            if self.container(id).is_some_and(|container| container.holds.is_some())
                && let Some(first) = filled.replace(name)
            {
                let message =
                    format!("`{}` and `{}` both hold something: one piece is filled once.", first.text, name.text);
                faults.push(
                    Diagnostic::new(Code::HeaderTwice, place, message)
                        .and(Self::place(file, first), "the other stands here")
                        .help("Name the one that is filled; a box around it has no `holds`."),
                );
                continue;
            }
            packing.push(Packing { id, name: name.text.clone(), place });
        }
        packing
    }
}

/// Names of a list, each once: one that stands again is told of.
fn once_each<'n>(file: FileId, names: &'n [Name], what: &str, faults: &mut Vec<Diagnostic>) -> Vec<&'n Name> {
    let mut met: Vec<&Name> = Vec::new();
    for name in names {
        match met.iter().find(|known| known.text == name.text) {
            Some(first) => {
                let message = format!("`{}` stands twice in this {what}.", name.text);
                let fault = Diagnostic::new(Code::HeaderTwice, Place { file, span: name.span }, message);
                faults.push(fault.and(Place { file, span: first.span }, "it stands here first").help("Name it once."));
            }
            None => met.push(name),
        }
    }
    met
}

impl Evaluator<'_> {
    /// Money, as it is written.
    pub fn money(&self, quantity: &Quantity, what: &str, faults: &mut Vec<Diagnostic>) -> Option<Money> {
        let figure = self.quantity(quantity)?;
        match figure.currency {
            Some(code) => Some(Money { amount: figure.value, currency: Currency::new(code) }),
            None => {
                faults.push(self.mismatch(quantity.span, what, &[Dimension::Money], figure.dimension));
                None
            }
        }
    }

    /// The money of an expression, which may be reckoned and is never below nought.
    pub fn want_money(
        &self,
        expression: &Expression,
        what: &str,
        names: &mut Lookup<'_>,
        faults: &mut Vec<Diagnostic>,
    ) -> Option<Money> {
        let figure = self.evaluate(expression, names, faults)?;
        let Some(code) = figure.currency else {
            faults.push(self.mismatch(expression.span(), what, &[Dimension::Money], figure.dimension));
            return None;
        };
        let amount = self.within(&Bounds::money(), expression.span(), Some(figure.value), faults)?;
        Some(Money { amount, currency: Currency::new(code) })
    }

    /// A share that leaves something of the whole.
    fn under_the_whole(
        &self,
        expression: &Expression,
        (field, what): (&str, &str),
        names: &mut Lookup<'_>,
        faults: &mut Vec<Diagnostic>,
    ) -> Option<Exact> {
        let figure = self.want(expression, field, &[Dimension::Percent], names, faults);
        let share = self.within(&Bounds::share(), expression.span(), figure, faults)?;
        if share == Exact::HUNDRED {
            let message = format!("{what} of 100 % leaves nothing.");
            faults.push(
                Diagnostic::new(Code::FigureImpossible, self.place(expression.span()), message)
                    .help("Check the figure: it is less than the whole."),
            );
            return None;
        }
        Some(share)
    }

    fn labour(
        &self,
        labour: &tree::Labour,
        place: Place,
        names: &mut Lookup<'_>,
        faults: &mut Vec<Diagnostic>,
    ) -> Option<Labour> {
        let time = self.want(&labour.time, "`labour`", SECONDS, names, faults);
        let seconds = self.within(&Bounds::work(), labour.time.span(), time, faults);
        let pay = self.want_money(&labour.pay, "`labour … at`", names, faults);
        let (unit, span) = labour.per;
        let unit = unit?;
        if unit.dimension() != Dimension::Time {
            faults.push(self.paid_by(span, unit.dimension()));
            return None;
        }
        Some(Labour { seconds: seconds?, pay: pay?, per: unit.to_base(&Exact::ONE), place })
    }

    fn paid_by(&self, span: Span, found: Dimension) -> Diagnostic {
        let message = format!("Work is paid by a time, and `{}` is {}.", span.of(self.text), found.words());
        Diagnostic::new(Code::UnitMismatch, self.place(span), message)
            .help("Write the hour or the minute: `per h`, `per min`.")
    }
}

/// The fault of a price that comes about in two ways.
pub(super) fn priced_twice(place: Place, first: Place) -> Diagnostic {
    Diagnostic::new(Code::HeaderTwice, place, "`margin` and `sells at` both say what the price is.")
        .and(first, "the other stands here")
        .help("A price follows from `margin`, or `sells at` gives it: keep one of the two.")
}

/// A name in `may contain` that no shade can have for its colour.
fn no_colourant(place: Place, name: &str) -> Diagnostic {
    Diagnostic::new(Code::NameUnknown, place, format!("`{name}` is no colourant, and `may contain` names the colourants of a range."))
        .help("Take it out; or where it colours, write `colourant` into its substance, or `role colourant` into its material.")
}
