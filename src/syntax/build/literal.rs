//! Numbers, quantities, expressions and ranges.

use super::{Builder, exact_or_none};
use crate::diagnostic::{Code, Diagnostic, FileId, Place, Span, Sureness};
use crate::quantity::{Dimension, Exact, ForeignUnit, Unit, is_put_together, reading};
use crate::syntax::near::{is_one_slip, nearest, or_list};
use crate::syntax::statement::{Node, Nodes, Parse};
use crate::syntax::tree::{Expression, Makes, Number, Operator, Quantity, Scale, WrittenRange};
use crate::syntax::words::LOOSE_MEASURES;
use crate::syntax::{Rule, cut};
use std::borrow::Cow;

/// Digits a literal may have, in all and after the point.
const MAX_DIGITS: usize = 28;
/// Digits a literal may have before the point.
const MAX_WHOLE_DIGITS: usize = 15;

impl Builder {
    /// A bare number, without a sign.
    pub(super) fn number(&mut self, node: &Node<'_>) -> Number {
        Number { value: self.figure_value(node, false, ""), span: node.span() }
    }

    /// A number in a list, with a sign or without, where a comma without a blank after it may stand between two figures.
    pub(super) fn listed_number(&mut self, node: &Node<'_>) -> Number {
        let Some((first, second)) = node.as_str().split_once(',') else { return self.signed_number(node) };
        let (first, second, span) = (shorten(first), shorten(second), node.span());
        let message = format!("`{first},{second}` may be one figure, {first}.{second}, or two, {first} and {second}.");
        self.faults.push(
            self.fault(Code::DecimalComma, span, message)
                .help(format!("Write `{first}.{second}`, or `{first}, {second}`, whichever is meant.")),
        );
        Number { value: None, span }
    }

    /// A bare number that may have a sign: a charge.
    pub(super) fn signed_number(&mut self, node: &Node<'_>) -> Number {
        Number { value: self.figure_value(node, true, ""), span: node.span() }
    }

    fn figure_value(&mut self, node: &Node<'_>, signed: bool, unit: &str) -> Option<Exact> {
        let raw = node.as_str();
        let span = node.span();
        // Nearly every figure is plain digits: none is to be taken out, and nothing can be wrong with it.
        if raw.len() <= MAX_WHOLE_DIGITS && raw.bytes().all(|byte| byte.is_ascii_digit() || byte == b'.') {
            return exact_or_none(raw);
        }
        let place = Place { file: self.file, span };
        let digits: String = raw.chars().filter(|c| *c != '_' && *c != '+' && *c != '-').collect();
        if digits.contains(',') {
            self.faults.push(decimal_comma(place, raw, unit));
            return None;
        }
        if !signed && raw.starts_with('-') {
            self.faults.push(
                Diagnostic::new(Code::AmountNegative, place, format!("`{}` is below nought.", shorten(raw)))
                    .help("Take the sign away: nothing here can be less than nothing."),
            );
            return None;
        }
        let (whole, decimals) = digits.split_once('.').unwrap_or((&digits, ""));
        let significant = digits.replace('.', "").trim_start_matches('0').len();
        let whole = whole.trim_start_matches('0');
        if significant > MAX_DIGITS || decimals.len() > MAX_DIGITS || whole.len() > MAX_WHOLE_DIGITS {
            let how = if whole.len() > MAX_WHOLE_DIGITS && significant <= MAX_DIGITS {
                format!("`{}` is too large a figure: it has {} digits before the point.", shorten(raw), whole.len())
            } else {
                format!(
                    "`{}` is too long a figure: {} digits.",
                    shorten(raw),
                    digits.len() - usize::from(digits.contains('.'))
                )
            };
            self.faults.push(Diagnostic::new(Code::NumberTooLong, place, how).help(
                "A figure may have 28 digits and 28 decimals, and must be under 1 000 000 000 000 000. No scale reads further.",
            ));
            return None;
        }
        let sign = if raw.starts_with('-') { "-" } else { "" };
        exact_or_none(&format!("{sign}{digits}"))
    }

    /// A figure with its unit.
    pub(super) fn quantity(&mut self, node: Node<'_>) -> Quantity {
        let span = node.span();
        let mut inner = node.into_inner();
        let Some(number) = inner.next() else {
            return Quantity { value: None, unit: Unit::None, span, number: span };
        };
        let number_span = number.span();
        let word = inner.next();
        // Only a temperature can be below nought.
        let dimension = word.as_ref().and_then(|word| Unit::from_word(word.as_str())).map(Unit::dimension);
        let signed = dimension == Some(Dimension::Temperature);
        let mut value = self.figure_value(&number, signed, word.as_ref().map_or("", Node::as_str));
        let unit = match word {
            None => Unit::None,
            Some(word) => match self.unit(&word, &number, value.as_ref()) {
                Some(unit) => unit,
                None => {
                    value = None;
                    Unit::None
                }
            },
        };
        Quantity { value, unit, span, number: number_span }
    }

    /// A volume whose unit is spelled otherwise, where no volume may stand: that it is one is the fault, and to be told
    /// how it is spelled would lead nowhere.
    pub(super) fn loose_volume(&mut self, node: Node<'_>) -> Option<Quantity> {
        let mut inner = node.into_inner();
        let (number, word) = (inner.next()?, inner.next().filter(|_| node.as_rule() == Rule::quantity)?);
        let (written, span) = (word.as_str(), node.span());
        let Some(ForeignUnit::Same(unit)) = reading(written).filter(|_| Unit::from_word(written).is_none()) else {
            return None;
        };
        let unit = Unit::from_word(unit).filter(|unit| unit.dimension() == Dimension::Volume)?;
        let value = self.figure_value(&number, false, written);
        Some(Quantity { value, unit, span, number: number.span() })
    }

    /// A unit without a figure of its own: what work is paid by.
    pub(super) fn lone_unit(&mut self, node: &Node<'_>) -> Option<Unit> {
        let word = node.as_str();
        let known = Unit::from_word(word);
        if known.is_none() {
            let (span, place) = (node.span(), self.place_of(node.span()));
            let fault = self.fault(Code::UnknownUnit, span, format!("`{}` is no unit.", shorten(word)));
            self.faults.push(match reading(word) {
                Some(ForeignUnit::Same(unit)) => {
                    fault.help(format!("It is written `{unit}` here.")).fix(place, unit, Sureness::Safe)
                }
                _ => fault.help("Work is paid by the hour or the minute: `18 EUR per h`, `0.30 EUR per min`."),
            });
        }
        known
    }

    fn unit(&mut self, node: &Node<'_>, number: &Node<'_>, value: Option<&Exact>) -> Option<Unit> {
        let raw = node.as_str();
        // `%w/v` and `% w/v` are one.
        let word: Cow<'_, str> = match raw.strip_prefix('%').map(str::trim_start) {
            Some("") => "%".into(),
            Some(of) => format!("% {of}").into(),
            None => raw.into(),
        };
        if let Some(unit) = Unit::from_word(&word) {
            return Some(unit);
        }
        let span = node.span();
        let place = Place { file: self.file, span };
        let fault = if LOOSE_MEASURES.contains(&word.to_lowercase().as_str()) {
            Diagnostic::new(
                Code::DropsAreNotAWeight,
                place,
                format!("`{}` is no weight: drops, spoons and cups differ from hand to hand.", shorten(&word)),
            )
            .help("Weigh it once on the scale and write the grams, or write it as a percentage of the batch.")
        } else if word == "% w/w" {
            Diagnostic::new(Code::UnknownUnit, place, "`% w/w` is written `%` here.")
                .help("A bare `%` is always weight in weight.")
                .fix(place, "%", Sureness::Safe)
        } else if word.starts_with(['e', 'E']) && word.len() == 1 {
            Diagnostic::new(Code::Syntax, place, "Figures are written out in full: no exponent.")
        } else {
            let whole = Span { start: number.span().start, end: span.end };
            let figure = ForeignFigure {
                number: number.as_str(),
                value,
                unit: place,
                whole: Place { file: self.file, span: whole },
            };
            unknown_unit(&word, &figure)
        };
        self.faults.push(fault);
        None
    }

    /// An expression: a figure, a name, brackets, or a chain of them.
    pub(super) fn expression(&mut self, node: Node<'_>) -> Expression {
        let span = node.span();
        match node.as_rule() {
            Rule::quantity => Expression::Quantity(self.quantity(node)),
            Rule::figure_name | Rule::name => Expression::Name(self.name(&node)),
            Rule::paren => {
                let inner = node.into_inner().find(|inner| inner.as_rule() != Rule::comment);
                match inner {
                    Some(inner) => Expression::Bracket { inner: Box::new(self.expression(inner)), span },
                    None => Expression::Quantity(missing(span)),
                }
            }
            _ => self.chain(node, span),
        }
    }

    fn chain(&mut self, node: Node<'_>, span: Span) -> Expression {
        let mut first = None;
        let mut rest = Vec::new();
        let mut operator = Operator::Plus;
        for inner in node.into_inner() {
            match (inner.as_rule(), inner.as_str()) {
                (Rule::comment, _) => {}
                (Rule::add_sign, "+") => operator = Operator::Plus,
                (Rule::add_sign, _) => operator = Operator::Minus,
                (Rule::times_sign, "*") => operator = Operator::Times,
                (Rule::times_sign, _) => operator = Operator::Over,
                _ => {
                    let operand = self.expression(inner);
                    match first {
                        None => first = Some(operand),
                        Some(_) => rest.push((operator, operand)),
                    }
                }
            }
        }
        match first {
            None => Expression::Quantity(missing(span)),
            Some(first) if rest.is_empty() => first,
            Some(first) => Expression::Chain { first: Box::new(first), rest, span },
        }
    }

    /// The first inner node as an expression.
    pub(super) fn only_expression(&mut self, node: Node<'_>) -> Expression {
        let span = node.span();
        match node.into_inner().next() {
            Some(inner) => self.expression(inner),
            None => Expression::Quantity(missing(span)),
        }
    }

    /// The first inner node as a quantity.
    pub(super) fn only_quantity(&mut self, node: Node<'_>) -> Quantity {
        let span = node.span();
        match node.into_inner().next() {
            Some(inner) => self.quantity(inner),
            None => missing(span),
        }
    }

    /// A range, or the range inside `pH …`.
    pub(super) fn range(&mut self, node: Node<'_>) -> WrittenRange {
        let span = node.span();
        let rule = node.as_rule();
        let mut inner = node.into_inner();
        match rule {
            Rule::range | Rule::ph_range | Rule::window => match inner.next() {
                Some(inner) => {
                    let range = self.range(inner);
                    WrittenRange { span, ..range }
                }
                None => WrittenRange { low: None, high: None, span },
            },
            Rule::at_least => WrittenRange { low: inner.next().map(|low| self.expression(low)), high: None, span },
            Rule::up_to | Rule::at_most => {
                WrittenRange { low: None, high: inner.next().map(|high| self.expression(high)), span }
            }
            _ => {
                let low = inner.next().map(|low| self.expression(low));
                let high = inner.next().map(|high| self.expression(high));
                WrittenRange { low, high, span }
            }
        }
    }

    /// `[N x] QUANTITY [plus P]`, from the nodes of a `makes` line or a `--batch` argument.
    pub(super) fn makes(&mut self, nodes: Nodes<'_>, span: Span) -> Makes {
        let mut makes = Makes { count: None, quantity: missing(span), plus: None, span };
        for node in nodes {
            match node.as_rule() {
                Rule::makes_count => makes.count = Some(self.number(&node)),
                Rule::quantity => makes.quantity = self.quantity(node),
                Rule::plus => makes.plus = Some(self.only_expression(node)),
                _ => {}
            }
        }
        makes
    }

    /// `STEP [up to MAX]`, from the nodes of a `scale` line or a `--scale` argument.
    pub(super) fn scale(&mut self, nodes: Nodes<'_>, span: Span) -> Scale {
        let mut figures = Vec::new();
        for node in nodes {
            figures.push(self.expression(node));
        }
        let mut figures = figures.into_iter();
        let step = figures.next().unwrap_or(Expression::Quantity(missing(span)));
        Scale { step, max: figures.next(), span }
    }
}

/// A figure whose unit is none of the language.
struct ForeignFigure<'f> {
    number: &'f str,
    /// None where the number itself is at fault.
    value: Option<&'f Exact>,
    /// Where its unit stands.
    unit: Place,
    /// Where it stands with its unit.
    whole: Place,
}

/// The fault of a word that is no unit. A unit of another size is never offered for it: the figure in one of ours is.
fn unknown_unit(word: &str, figure: &ForeignFigure<'_>) -> Diagnostic {
    let (number, shown) = (shorten(figure.number), shorten(word));
    let fault = |message: String| Diagnostic::new(Code::UnknownUnit, figure.unit, message);
    match reading(word) {
        Some(ForeignUnit::Same(unit)) => fault(format!("`{shown}` is written `{unit}` here."))
            .help(format!("It is the same size: write `{number} {unit}`."))
            .fix(figure.unit, unit, Sureness::Safe),
        Some(ForeignUnit::Sized { unit, each }) => {
            let fault = fault(format!("`{shown}` is no unit here."));
            match figure.value.and_then(|value| written(&(value * &each))) {
                Some(value) => fault
                    .help(format!(
                        "Write `{value} {unit}`: 1 {shown} is {} {unit}.",
                        written(&each).unwrap_or_default()
                    ))
                    .fix(figure.whole, format!("{value} {unit}"), Sureness::NeedsALook),
                None => fault.help(format!("1 {shown} is {} {unit}.", written(&each).unwrap_or_default())),
            }
        }
        Some(ForeignUnit::Doubtful(said)) => fault(format!("`{shown}` is no unit.")).help(said),
        None if is_like_money(word) => unknown_money(word, figure),
        None => {
            let fault = fault(format!("`{shown}` is no unit."));
            let long = |word: &str| word.chars().count() > 2;
            // A short word is near to too much, and a unit that is put together near to one of another size.
            let near = match long(word) && !is_put_together(word) {
                true => nearest(word, Unit::words().filter(|known| long(known))),
                false => Vec::new(),
            };
            match near.as_slice() {
                [] => fault.help(
                    "Units are `%`, `ppm`, `g`, `mg`, `kg`, `oz`, `lb`, `parts`, `mL`, `L`, `fl-oz`, `°C`, `h`, `min` and the like.",
                ),
                [only] => {
                    fault.help(format!("Did you mean `{number} {only}`?")).fix(figure.unit, *only, Sureness::NeedsALook)
                }
                [first, ..] => fault.help(format!("Did you mean `{number} {first}`?")),
            }
        }
    }
}

/// Whether a word is meant for a currency: one in small letters, or three capitals that are no unit in small ones.
fn is_like_money(word: &str) -> bool {
    let is_code = word.len() == 3 && word.bytes().all(|byte| byte.is_ascii_alphabetic());
    let capitals = word.bytes().all(|byte| byte.is_ascii_uppercase());
    let known = matches!(Unit::from_word(&word.to_ascii_uppercase()), Some(Unit::Money(_)));
    is_code && (known || capitals && Unit::from_word(&word.to_ascii_lowercase()).is_none())
}

/// The fault of a word that is meant for a currency, and is none that is known.
fn unknown_money(word: &str, figure: &ForeignFigure<'_>) -> Diagnostic {
    let number = shorten(figure.number);
    let code = word.to_ascii_uppercase();
    if code != word {
        return Diagnostic::new(Code::UnknownUnit, figure.unit, format!("`{word}` is written `{code}` here."))
            .help(format!("It is the same money: write `{number} {code}`."))
            .fix(figure.unit, code, Sureness::Safe);
    }
    let fault = Diagnostic::new(Code::UnknownUnit, figure.unit, format!("`{word}` is no money known here."));
    let written = "Money is written in the three capitals of ISO 4217, such as `EUR` or `USD`.";
    match nearest(word, Unit::currencies().filter(|known| is_one_slip(word, known))).as_slice() {
        [] => fault.help(written),
        [only] => fault.help(format!("Did you mean `{number} {only}`? {written}")).fix(
            figure.unit,
            *only,
            Sureness::NeedsALook,
        ),
        several => {
            let near: Vec<&str> = several.iter().take(4).copied().collect();
            fault.help(format!("Did you mean {}? {written}", or_list(&near)))
        }
    }
}

/// A figure with all its decimals; none where no number of them is enough.
fn written(figure: &Exact) -> Option<String> {
    figure.decimals().map(|decimals| figure.to_fixed(decimals))
}

/// The fault of a comma where a point belongs. Three digits after it may be thousands, and then nothing is sure.
fn decimal_comma(place: Place, raw: &str, unit: &str) -> Diagnostic {
    let mended = raw.replace(',', ".");
    let with_unit = |figure: &str| format!("{} {unit}", shorten(figure)).trim_end().to_string();
    let shown = shorten(raw);
    if may_be_thousands(raw) {
        let (thousands, decimal) = (with_unit(&raw.replace(',', "")), with_unit(&mended));
        let message = format!("`{shown}` may be {thousands} or {decimal}: a comma is written for both.");
        return Diagnostic::new(Code::DecimalComma, place, message)
            .help(format!("Write `{thousands}`, or `{decimal}`, whichever is meant."));
    }
    let fault = Diagnostic::new(Code::DecimalComma, place, format!("`{shown}` has a decimal comma."));
    fault.help(format!("Write the decimal point: `{}`. In a list, put a blank after the comma.", shorten(&mended))).fix(
        place,
        mended,
        Sureness::Safe,
    )
}

/// One to three digits, of which the first is no nought, before the comma, and exactly three after it.
fn may_be_thousands(raw: &str) -> bool {
    let Some((whole, decimals)) = raw.trim_start_matches(['+', '-']).split_once(',') else { return false };
    let digits = |text: &str| text.bytes().all(|byte| byte.is_ascii_digit());
    digits(whole)
        && digits(decimals)
        && decimals.len() == 3
        && (1..=3).contains(&whole.len())
        && !whole.starts_with('0')
}

/// A quantity whose fault has been told.
fn missing(span: Span) -> Quantity {
    Quantity { value: None, unit: Unit::None, span, number: span }
}

/// A long figure, cut for a message.
fn shorten(text: &str) -> String {
    if text.chars().count() <= 40 {
        return text.to_string();
    }
    let head: String = text.chars().take(24).collect();
    format!("{head}…")
}

fn argument<T>(
    text: &str,
    rule: Rule,
    make: impl FnOnce(&mut Builder, Nodes<'_>, Span) -> T,
) -> Result<T, Vec<Diagnostic>> {
    let file = FileId(u32::MAX);
    let span = Span::new(0, text.len());
    let unreadable = || {
        let place = Place { file, span };
        vec![Diagnostic::new(Code::Syntax, place, format!("`{}` cannot be read.", shorten(text)))]
    };
    let parse = cut::nests_within_limit(text).then(|| Parse::new(rule, text)).flatten().ok_or_else(unreadable)?;
    let mut builder = Builder::new(file, text, &[]);
    let made = make(&mut builder, parse.nodes(text, 0), span);
    if builder.faults.is_empty() { Ok(made) } else { Err(builder.faults) }
}

/// Reads a batch as the command line has it: `372g`, `12x30mL`, `12x30mL plus 4%`.
///
/// # Errors
/// What cannot be read, as diagnostics without a file.
pub fn batch_argument(text: &str) -> Result<Makes, Vec<Diagnostic>> {
    argument(text, Rule::batch_argument, |builder, nodes, span| builder.makes(nodes, span))
}

/// Reads a scale as the command line has it: `0.01g`, `0.01g up to 600g`.
///
/// # Errors
/// What cannot be read, as diagnostics without a file.
pub fn scale_argument(text: &str) -> Result<Scale, Vec<Diagnostic>> {
    argument(text, Rule::scale_argument, |builder, nodes, span| builder.scale(nodes, span))
}
