//! The tree of a file: what was written, each node with its span, before any name is looked up.

mod batch;
mod declaration;
mod formula;
mod literal;
mod material;
mod phase;
mod rule;
mod shift;
mod store;

pub use batch::{Batch, BatchEntry, BatchStatement, FrozenPlan, FrozenPlanLine, PlanPhase, PlanPremix, Struck};
pub use declaration::{Container, ContainerField, Group, Let, Maker, MakerField, Rate, Use, UseTarget};
pub use formula::{
    Allow, Ensure, EnsureWhat, FeeOf, Formula, FormulaStatement, Header, HeaderField, Labour, Makes, Scale, Steps,
    Variant, VariantStatement,
};
pub use literal::{Expression, Name, Number, Operator, Quantity, Text, WrittenRange};
pub use material::{
    Avoid, Component, Dissolves, Fact, Material, MaterialField, PriceBreak, Strength, Substance, SubstanceField,
    WrittenGroups, WrittenMove, WrittenPh, WrittenUse,
};
pub use phase::{Amount, AmountKind, Line, Phase, PhaseStatement, Tail, Titrated};
pub use rule::{Condition, Rule, RuleBody, RuleBodyKind, RuleStatement};
pub use shift::Distance;
pub use store::{Planned, Stock, StockEntry};

use crate::diagnostic::Span;

/// A whole file.
#[derive(Clone, Debug, Default)]
pub struct File {
    /// The declarations in the order they stand.
    pub items: Vec<Item>,
}

/// A declaration at file level.
#[derive(Clone, Debug)]
pub enum Item {
    /// `use "path"` or `use shelf/NAME`.
    Use(Use),
    /// `let NAME = EXPR`.
    Let(Let),
    /// `substance NAME { … }`.
    Substance(Substance),
    /// `material NAME { … }`.
    Material(Material),
    /// `formula NAME { … }`.
    Formula(Formula),
    /// `variant NAME of FORMULA { … }`.
    Variant(Variant),
    /// `group NAME = …`.
    Group(Group),
    /// `rule NAME { … }`.
    Rule(Rule),
    /// `batch NAME { … }`.
    Batch(Batch),
    /// `maker { … }`.
    Maker(Maker),
    /// `container NAME { … }`.
    Container(Container),
    /// `rate 1 EUR = 1.08 USD on DATE`.
    Rate(Rate),
    /// `planned NAME …`.
    Planned(Planned),
    /// `stock { … }`.
    Stock(Stock),
    /// Something that did not parse; its fault has been told.
    Broken(Span),
}

impl Item {
    /// The name the item declares, where it declares one.
    #[must_use]
    pub fn name(&self) -> Option<&Name> {
        match self {
            Item::Let(item) => Some(&item.name),
            Item::Substance(item) => Some(&item.name),
            Item::Material(item) => Some(&item.name),
            Item::Formula(item) => Some(&item.name),
            Item::Variant(item) => Some(&item.name),
            Item::Group(item) => Some(&item.name),
            Item::Rule(item) => Some(&item.name),
            Item::Batch(item) => Some(&item.name),
            Item::Container(item) => Some(&item.name),
            Item::Use(_) | Item::Maker(_) | Item::Rate(_) | Item::Planned(_) | Item::Stock(_) | Item::Broken(_) => None,
        }
    }

    /// The stretch of text the item takes up.
    #[must_use]
    pub fn span(&self) -> Span {
        match self {
            Item::Use(item) => item.span,
            Item::Let(item) => item.span,
            Item::Substance(item) => item.span,
            Item::Material(item) => item.span,
            Item::Formula(item) => item.span,
            Item::Variant(item) => item.span,
            Item::Group(item) => item.span,
            Item::Rule(item) => item.span,
            Item::Batch(item) => item.span,
            Item::Maker(item) => item.span,
            Item::Container(item) => item.span,
            Item::Rate(item) => item.span,
            Item::Planned(item) => item.span,
            Item::Stock(item) => item.span,
            Item::Broken(span) => *span,
        }
    }
}
