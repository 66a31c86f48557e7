//! Rules, and what they share with an `ensure`.

use super::literal::{Expression, Name, Text, WrittenRange};
use crate::diagnostic::{Level, Span};
use crate::syntax::vocabulary::{Market, Product};
use smol_str::SmolStr;

/// `rule NAME { … }`.
#[derive(Clone, Debug)]
pub struct Rule {
    /// Its name.
    pub name: Name,
    /// Its statements.
    pub statements: Vec<RuleStatement>,
    /// The whole block.
    pub span: Span,
}

/// A statement of a rule.
#[derive(Clone, Debug)]
pub enum RuleStatement {
    /// What it asks.
    Body(RuleBody),
    /// When it applies.
    When(Condition),
    /// Where it applies, and who says so there where that is another than elsewhere.
    Market(Vec<(Market, Span)>, Option<Text>),
    /// To what it applies.
    Product(Vec<(Product, Span)>),
    /// From which date.
    From(SmolStr, Span),
    /// Until which date.
    Until(SmolStr, Span),
    /// How grave a breach is.
    Level(Level),
    /// Why.
    Because(Text),
    /// Who says so.
    Source(Text),
    /// Something that did not parse.
    Broken(Span),
}

/// What a rule or an `ensure` asks.
#[derive(Clone, Debug)]
pub struct RuleBody {
    /// What is asked.
    pub kind: RuleBodyKind,
    /// The whole body.
    pub span: Span,
}

/// The kinds of rule bodies.
#[derive(Clone, Debug)]
pub enum RuleBodyKind {
    /// `limit X to P [as Y]`.
    Limit {
        /// A substance or group.
        subject: Name,
        /// The most there may be.
        limit: Expression,
        /// `as acid` or `as NAME`.
        counted_as: Option<Name>,
    },
    /// `require pH RANGE`.
    RequirePh(WrittenRange),
    /// `require X RANGE`.
    Require(Name, WrittenRange),
    /// `forbid X`.
    Forbid(Name),
    /// `declare X above P`.
    Declare(Name, Expression),
    /// `print "…"`.
    Print(Text),
}

/// When a rule applies.
#[derive(Clone, Debug)]
pub enum Condition {
    /// `when pH RANGE`.
    Ph(WrittenRange),
    /// `when X above P`.
    Above(Name, Expression),
    /// `when X below P`.
    Below(Name, Expression),
    /// `when X RANGE`.
    Within(Name, WrittenRange),
}
