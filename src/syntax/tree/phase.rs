//! Phases, and the lines in them.

use super::formula::Allow;
use super::literal::{Expression, Name, Number, Quantity, Text};
use crate::diagnostic::Span;

/// `phase NAME ["title"] { … }`.
#[derive(Clone, Debug)]
pub struct Phase {
    /// Its name.
    pub name: Name,
    /// Its title.
    pub title: Option<Text>,
    /// Its statements, in order.
    pub statements: Vec<PhaseStatement>,
    /// The whole block.
    pub span: Span,
}

/// A statement of a phase.
#[derive(Clone, Debug)]
pub enum PhaseStatement {
    /// `heat to T`.
    Heat(Expression),
    /// `cool to T`.
    Cool(Expression),
    /// `allow CODE because "…"`, for the line before it.
    Allow(Allow),
    /// A line.
    Line(Line),
    /// Something that did not parse, with the name it seems to begin with.
    Broken(Span, Option<Name>),
}

/// `MATERIAL AMOUNT …`.
#[derive(Clone, Debug)]
pub struct Line {
    /// What is weighed.
    pub material: Name,
    /// How much.
    pub amount: Amount,
    /// What follows the amount.
    pub tail: Tail,
    /// The whole line.
    pub span: Span,
}

/// What may follow an amount. Few lines have any of it, so that each stands apart.
#[derive(Clone, Debug, Default)]
pub struct Tail {
    /// `hold back AMOUNT`, with the span of the whole.
    pub hold_back: Option<Box<(Expression, Span)>>,
    /// `from MATERIAL`.
    pub from: Option<Box<Name>>,
    /// `titrated 50 g: 0.40 g to pH 5.2`.
    pub titrated: Option<Box<Titrated>>,
    /// `because "…"`.
    pub because: Option<Box<Text>>,
    /// `allow CODE because "…"` on the same line.
    pub allow: Option<Box<Allow>>,
}

/// `titrated 50 g: 0.40 g to pH 5.2, 0.52 g to pH 5.6`.
#[derive(Clone, Debug)]
pub struct Titrated {
    /// How much of the batch was in the beaker.
    pub sample: Quantity,
    /// What had gone in, from the first gram on, and the pH that was read.
    pub points: Vec<(Quantity, Number)>,
    /// The whole of it.
    pub span: Span,
}

/// The amount of a line.
#[derive(Clone, Debug)]
pub struct Amount {
    /// What it is.
    pub kind: AmountKind,
    /// Where it stands.
    pub span: Span,
}

/// What kind of amount a line has.
#[derive(Clone, Debug)]
pub enum AmountKind {
    /// `q.s.`.
    QuantumSatis,
    /// `q.s. to pH`.
    QuantumSatisToPh,
    /// A figure of the material as supplied.
    AsSupplied(Expression),
    /// A figure of the material's active.
    Active(Expression),
    /// A figure of a named substance.
    Of(Expression, Box<Name>),
}
