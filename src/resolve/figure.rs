//! Expressions worked out, with their dimensions.

use crate::diagnostic::{Code, Diagnostic, FileId, Place, Span};
use crate::quantity::{Dimension, Exact, Interval, Range, Unit};
use crate::syntax::tree::{Expression, Name, Operator, Quantity, WrittenRange};

/// A figure with its dimension, in the base unit of that dimension.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Figure {
    /// The figure.
    pub value: Exact,
    /// What it measures.
    pub dimension: Dimension,
    /// Which money, where it is money.
    pub currency: Option<[u8; 3]>,
}

impl Figure {
    /// A figure that is no money.
    #[must_use]
    pub fn new(value: Exact, dimension: Dimension) -> Figure {
        Figure { value, dimension, currency: None }
    }
}

/// What the pH window of a formula is called. One that runs down has a code of its own.
pub const WINDOW: &str = "`pH`";

/// Looks a name up while an expression is worked out; tells of what is wrong itself.
pub type Lookup<'l> = dyn FnMut(&Name, &mut Vec<Diagnostic>) -> Option<Figure> + 'l;

/// Works expressions of one file out.
pub struct Evaluator<'e> {
    /// The file the expressions stand in.
    pub file: FileId,
    /// The text of that file, to show figures as they were typed.
    pub text: &'e str,
}

impl Evaluator<'_> {
    pub(super) fn place(&self, span: Span) -> Place {
        Place { file: self.file, span }
    }

    /// The figure of a quantity; none where its fault has been told.
    #[must_use]
    pub fn quantity(&self, quantity: &Quantity) -> Option<Figure> {
        let currency = if let Unit::Money(code) = quantity.unit { Some(code) } else { None };
        let value = quantity.unit.to_base(quantity.value.as_ref()?);
        Some(Figure { value, dimension: quantity.unit.dimension(), currency })
    }

    /// The figure of an expression; none where a fault has been told. Brackets nest at most
    /// [`MAX_NESTING`](crate::syntax::MAX_NESTING) deep, so the recursion is bounded.
    pub fn evaluate(
        &self,
        expression: &Expression,
        names: &mut Lookup<'_>,
        faults: &mut Vec<Diagnostic>,
    ) -> Option<Figure> {
        match expression {
            Expression::Quantity(quantity) => self.quantity(quantity),
            Expression::Name(name) => names(name, faults),
            Expression::Bracket { inner, .. } => self.evaluate(inner, names, faults),
            Expression::Chain { first, rest, .. } => {
                let mut total = self.evaluate(first, names, faults);
                let mut before = first.span();
                for (operator, operand) in rest {
                    let right = self.evaluate(operand, names, faults);
                    total = match (total, right) {
                        (Some(left), Some(right)) => {
                            self.apply(*operator, left, right, (before, operand.span()), faults)
                        }
                        _ => None,
                    };
                    before = before.to(operand.span());
                }
                total
            }
        }
    }

    fn apply(
        &self,
        operator: Operator,
        left: Figure,
        right: Figure,
        (left_span, right_span): (Span, Span),
        faults: &mut Vec<Diagnostic>,
    ) -> Option<Figure> {
        if operator == Operator::Over && right.value.is_zero() {
            let fault = Diagnostic::new(Code::DivisionByZero, self.place(right_span), "This divides by nought.");
            faults.push(fault.and(self.place(left_span), "what is divided").help("Check the figure after `/`."));
            return None;
        }
        let Some(dimension) = combine(operator, &left, &right) else {
            faults.push(self.clash(operator, &left, &right, left_span, right_span));
            return None;
        };
        let percent_of = operator == Operator::Times
            && (left.dimension == Dimension::Percent) != (right.dimension == Dimension::Percent)
            && dimension != Dimension::Percent;
        let value = match operator {
            Operator::Plus => &left.value + &right.value,
            Operator::Minus => &left.value - &right.value,
            Operator::Times if percent_of => (&left.value * &right.value).hundredth(),
            Operator::Times => &left.value * &right.value,
            Operator::Over => left.value.over(&right.value)?,
        };
        if value.is_oversized() {
            let place = self.place(left_span.to(right_span));
            let fault =
                Diagnostic::new(Code::NumberTooLong, place, "This figure grows past what can be carried exactly.");
            faults.push(fault.help("Write it in fewer steps or with fewer digits."));
            return None;
        }
        let currency = if dimension == Dimension::Money { left.currency.or(right.currency) } else { None };
        Some(Figure { value, dimension, currency })
    }

    fn clash(
        &self,
        operator: Operator,
        left: &Figure,
        right: &Figure,
        left_span: Span,
        right_span: Span,
    ) -> Diagnostic {
        let (how, joined) = match operator {
            Operator::Plus => ("cannot be added", "and"),
            Operator::Minus => ("cannot be taken from each other", "and"),
            Operator::Times => ("cannot be multiplied", "and"),
            Operator::Over => ("cannot be divided", "by"),
        };
        let words = |figure: &Figure| figure.dimension.words();
        let message = if operator == Operator::Over {
            format!("{} {how} {joined} {}.", capital(words(left)), words(right))
        } else {
            format!("{} {joined} {} {how}.", capital(words(left)), words(right))
        };
        let fault = Diagnostic::new(Code::UnitMismatch, self.place(right_span), message)
            .label(format!("this is {}", words(right)))
            .and(self.place(left_span), format!("this is {}", words(left)));
        let weight_and_volume = [left.dimension, right.dimension].contains(&Dimension::Volume)
            && [left.dimension, right.dimension].contains(&Dimension::Mass);
        fault.help(if weight_and_volume {
            "Weight and volume meet through a density: `30 mL * 1.03 g/mL`."
        } else {
            "Write both in the same kind of unit."
        })
    }

    /// A figure of one of the dimensions asked for, or a fault that says what was asked and what was found.
    pub fn want(
        &self,
        expression: &Expression,
        what: &str,
        wanted: &[Dimension],
        names: &mut Lookup<'_>,
        faults: &mut Vec<Diagnostic>,
    ) -> Option<Exact> {
        let figure = self.evaluate(expression, names, faults)?;
        if wanted.contains(&figure.dimension) {
            return Some(figure.value);
        }
        faults.push(self.mismatch(expression.span(), what, wanted, figure.dimension));
        None
    }

    /// The fault of a figure of the wrong dimension.
    #[must_use]
    pub fn mismatch(&self, span: Span, what: &str, wanted: &[Dimension], found: Dimension) -> Diagnostic {
        let place = self.place(span);
        let written = span.of(self.text);
        let asked: Vec<&str> = wanted.iter().map(|dimension| dimension.words()).collect();
        let message = format!("{what} takes {}, and `{written}` is {}.", asked.join(" or "), found.words());
        let fault = Diagnostic::new(Code::UnitMismatch, place, message);
        match (found, wanted.first()) {
            (Dimension::Plain, Some(first)) => fault.help(format!("Add the unit: `{written} {}`.", unit_of(*first))),
            (Dimension::Volume, Some(_)) => {
                fault.help("Weigh it and write the weight: the same volume of two materials does not weigh the same.")
            }
            (_, Some(first)) => fault.help(format!("Write it in `{}`.", unit_of(*first))),
            (_, None) => fault,
        }
    }

    /// The fault of a range that runs down. A pH window has a code of its own.
    fn reversed(&self, span: Span, from: &Exact, to: &Exact) -> Diagnostic {
        let message = format!("The range runs from {from} down to {to}.");
        Diagnostic::new(Code::Syntax, self.place(span), message).help("Write the lower figure first.")
    }

    /// From one figure to another, which is the higher one: else that is told.
    #[must_use]
    pub fn rising(&self, span: Span, from: Exact, to: Exact, faults: &mut Vec<Diagnostic>) -> Interval {
        if from <= to {
            return Interval::new(from, to);
        }
        faults.push(self.reversed(span, &from, &to));
        Interval::new(to, from)
    }

    /// Both ends of a range, each of one of the dimensions asked for. An end without a unit takes the other's.
    pub fn range(
        &self,
        range: &WrittenRange,
        what: &str,
        wanted: &[Dimension],
        names: &mut Lookup<'_>,
        faults: &mut Vec<Diagnostic>,
    ) -> Option<Range<Exact>> {
        let before = faults.len();
        let mut low = range.low.as_ref().map(|low| (low, self.evaluate(low, names, faults)));
        let high = range.high.as_ref().map(|high| (high, self.evaluate(high, names, faults)));
        if let (Some((Expression::Quantity(quantity), low)), Some((Expression::Quantity(unit), Some(_)))) =
            (&mut low, &high)
            && quantity.unit == Unit::None
            && unit.unit != Unit::None
        {
            *low = self.quantity(&Quantity { unit: unit.unit, ..quantity.clone() });
        }
        let mut ends = [None, None];
        for (slot, end) in ends.iter_mut().zip([&low, &high]) {
            let Some((expression, figure)) = end else { continue };
            match figure {
                Some(figure) if wanted.contains(&figure.dimension) => *slot = Some(figure.value.clone()),
                Some(figure) => faults.push(self.mismatch(expression.span(), what, wanted, figure.dimension)),
                None => return None,
            }
        }
        let [low, high] = ends;
        if let (Some(from), Some(to)) = (&low, &high)
            && from > to
            && what != WINDOW
        {
            faults.push(self.reversed(range.span, from, to));
        }
        (faults.len() == before).then_some(Range { low, high })
    }
}

/// What two figures make together; none where they do not go together.
fn combine(operator: Operator, left: &Figure, right: &Figure) -> Option<Dimension> {
    use Dimension::{Density, Mass, Money, Percent, Plain, Volume};
    let same_money = left.currency == right.currency;
    match (operator, left.dimension, right.dimension) {
        (Operator::Plus | Operator::Minus, a, b) => (a == b && same_money).then_some(a),
        (Operator::Times, Percent, Percent) => None,
        (Operator::Times, a, Plain) | (Operator::Times, Plain, a) => Some(a),
        (Operator::Times, a @ (Mass | Volume | Money), Percent)
        | (Operator::Times, Percent, a @ (Mass | Volume | Money)) => Some(a),
        (Operator::Times, Volume, Density) | (Operator::Times, Density, Volume) => Some(Mass),
        (Operator::Over, a, Plain) => Some(a),
        (Operator::Over, Mass, Volume) => Some(Density),
        (Operator::Over, Mass, Density) => Some(Volume),
        (Operator::Over, a, b) => (a == b && same_money).then_some(Plain),
        _ => None,
    }
}

/// The unit a dimension is usually written in.
fn unit_of(dimension: Dimension) -> &'static str {
    match dimension {
        Dimension::Plain => "a number without a unit",
        Dimension::Percent => "%",
        Dimension::PercentWeightInVolume => "% w/v",
        Dimension::PercentByVolume => "% v/v",
        Dimension::Mass => "g",
        Dimension::Parts => "parts",
        Dimension::Volume => "mL",
        Dimension::Density => "g/mL",
        Dimension::MolarMass => "g/mol",
        Dimension::Molarity => "mol/L",
        Dimension::Molality => "mol/kg",
        Dimension::Temperature => "°C",
        Dimension::Time => "h",
        Dimension::Months => "months",
        Dimension::Money => "EUR",
    }
}

/// A word with a capital.
#[must_use]
pub fn capital(word: &str) -> String {
    let mut characters = word.chars();
    characters.next().map_or(String::new(), |first| first.to_uppercase().chain(characters).collect())
}
