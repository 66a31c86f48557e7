//! Names, texts, figures, and what is reckoned from them.

use crate::diagnostic::Span;
use crate::quantity::{Exact, Unit};
use smol_str::SmolStr;

/// A name, where it is declared or used.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Name {
    /// The name.
    pub text: SmolStr,
    /// Where it stands.
    pub span: Span,
}

/// A string literal with its escapes resolved.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Text {
    /// What it says.
    pub value: SmolStr,
    /// Where it stands, quotes included.
    pub span: Span,
}

/// A figure without a unit.
#[derive(Clone, Debug)]
pub struct Number {
    /// The figure; `None` where it was at fault and the fault has been told.
    pub value: Option<Exact>,
    /// Where it stands.
    pub span: Span,
}

/// A figure with its unit.
#[derive(Clone, Debug)]
pub struct Quantity {
    /// The figure, in its unit; `None` where it or its unit was at fault and the fault has been told.
    pub value: Option<Exact>,
    /// The unit.
    pub unit: Unit,
    /// Where figure and unit stand.
    pub span: Span,
    /// Where the figure alone stands.
    pub number: Span,
}

/// `+`, `-`, `*` or `/`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Operator {
    /// `+`
    Plus,
    /// `-`
    Minus,
    /// `*`
    Times,
    /// `/`
    Over,
}

/// An expression.
#[derive(Clone, Debug)]
pub enum Expression {
    /// A figure.
    Quantity(Quantity),
    /// A `let`, or a line of the formula.
    Name(Name),
    /// `a + b - c` or `a * b / c`: flat, so that a long one is no deep one.
    Chain {
        /// The first operand.
        first: Box<Expression>,
        /// Each further operand with the sign before it.
        rest: Vec<(Operator, Expression)>,
        /// From the first to the last.
        span: Span,
    },
    /// An expression in brackets.
    Bracket {
        /// What the brackets hold.
        inner: Box<Expression>,
        /// Brackets included.
        span: Span,
    },
}

impl Expression {
    /// Where the expression stands.
    #[must_use]
    pub fn span(&self) -> Span {
        match self {
            Expression::Quantity(quantity) => quantity.span,
            Expression::Name(name) => name.span,
            Expression::Chain { span, .. } | Expression::Bracket { span, .. } => *span,
        }
    }
}

/// `LOW to HIGH`, `up to HIGH`, `at least LOW`, `at most HIGH`.
#[derive(Clone, Debug)]
pub struct WrittenRange {
    /// The lower end, where there is one.
    pub low: Option<Expression>,
    /// The upper end, where there is one.
    pub high: Option<Expression>,
    /// Where the range stands.
    pub span: Span,
}
