//! Formulas and their variants.

use super::declaration::Let;
use super::literal::{Expression, Name, Number, Quantity, Text, WrittenRange};
use super::phase::{Amount, Line, Phase, Tail};
use super::rule::RuleBody;
use crate::diagnostic::Span;
use crate::quantity::Unit;
use crate::syntax::vocabulary::{Market, Product};
use smol_str::SmolStr;

/// `formula NAME { … }`.
#[derive(Clone, Debug)]
pub struct Formula {
    /// Its name.
    pub name: Name,
    /// Its statements, in order.
    pub statements: Vec<FormulaStatement>,
    /// The whole block.
    pub span: Span,
}

/// A statement of a formula.
#[derive(Clone, Debug)]
pub enum FormulaStatement {
    /// A header line.
    Header(Header),
    /// A phase.
    Phase(Phase),
    /// The steps.
    Steps(Steps),
    /// `ensure …`.
    Ensure(Box<Ensure>),
    /// `allow CODE because "…"`.
    Allow(Allow),
    /// `let NAME = EXPR`.
    Let(Let),
    /// Something that did not parse, and whether it has a block: a phase, or a line outside one.
    Broken(Span, bool),
}

/// A header line of a formula or variant.
#[derive(Clone, Debug)]
pub struct Header {
    /// What it says.
    pub field: HeaderField,
    /// The whole line.
    pub span: Span,
}

/// What a header line says.
#[derive(Clone, Debug)]
pub enum HeaderField {
    /// `title "…"`.
    Title(Text),
    /// `version "…"`.
    Version(Text),
    /// `product …`.
    Product(Vec<(Product, Span)>),
    /// `market …`.
    Market(Vec<(Market, Span)>),
    /// `makes …`.
    Makes(Box<Makes>),
    /// `density D`.
    Density(Expression),
    /// `scale STEP [up to MAX]`.
    Scale(Box<Scale>),
    /// `meter P`.
    Meter(Expression),
    /// `pH RANGE`.
    Window(Box<WrittenRange>),
    /// `date D`.
    Date(SmolStr),
    /// `water-activity N`.
    WaterActivity(Expression),
    /// `lasts N months [because "…"]`.
    Lasts(Expression, Option<Box<Text>>),
    /// `opened N months`.
    Opened(Expression),
    /// `function "…"`.
    Function(Text),
    /// `directions "…"`.
    Directions(Text),
    /// `warning "…"`.
    Warning(Text),
    /// `declare as formed`.
    DeclareAsFormed,
    /// `may contain A, B`.
    MayContain(Vec<Name>),
    /// `packed in A, B`.
    PackedIn(Vec<Name>),
    /// `loss P`.
    Loss(Expression),
    /// `labour TIME at M per UNIT`.
    Labour(Box<Labour>),
    /// `fee M [each] [because "…"]`, `fee P of price`.
    Fee(Box<(Expression, FeeOf, Option<Text>)>),
    /// `margin P`.
    Margin(Expression),
    /// `sells at M`.
    SellsAt(Expression),
    /// `vat P`.
    Vat(Expression),
}

impl HeaderField {
    /// The word that opens the line.
    #[must_use]
    pub fn word(&self) -> &'static str {
        match self {
            HeaderField::Title(_) => "title",
            HeaderField::Version(_) => "version",
            HeaderField::Product(_) => "product",
            HeaderField::Market(_) => "market",
            HeaderField::Makes(_) => "makes",
            HeaderField::Density(_) => "density",
            HeaderField::Scale(_) => "scale",
            HeaderField::Meter(_) => "meter",
            HeaderField::Window(_) => "pH",
            HeaderField::Date(_) => "date",
            HeaderField::WaterActivity(_) => "water-activity",
            HeaderField::Lasts(..) => "lasts",
            HeaderField::Opened(_) => "opened",
            HeaderField::Function(_) => "function",
            HeaderField::Directions(_) => "directions",
            HeaderField::Warning(_) => "warning",
            HeaderField::DeclareAsFormed => "declare as formed",
            HeaderField::MayContain(_) => "may contain",
            HeaderField::PackedIn(_) => "packed in",
            HeaderField::Loss(_) => "loss",
            HeaderField::Labour(_) => "labour",
            HeaderField::Fee(_) => "fee",
            HeaderField::Margin(_) => "margin",
            HeaderField::SellsAt(_) => "sells at",
            HeaderField::Vat(_) => "vat",
        }
    }
}

/// `labour TIME at M per UNIT`.
#[derive(Clone, Debug)]
pub struct Labour {
    /// How long.
    pub time: Expression,
    /// What is paid.
    pub pay: Expression,
    /// For each of these, with where it stands; none where it is no unit.
    pub per: (Option<Unit>, Span),
}

/// What a fee is paid for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FeeOf {
    /// The whole batch.
    Batch,
    /// Each container.
    Each,
    /// A share of the price.
    Price,
}

/// `makes [N x] QUANTITY [plus P]`.
#[derive(Clone, Debug)]
pub struct Makes {
    /// How many containers.
    pub count: Option<Number>,
    /// A weight or a volume.
    pub quantity: Quantity,
    /// What is made over it.
    pub plus: Option<Expression>,
    /// The whole value.
    pub span: Span,
}

/// `scale STEP [up to MAX]`.
#[derive(Clone, Debug)]
pub struct Scale {
    /// The step.
    pub step: Expression,
    /// The most it carries.
    pub max: Option<Expression>,
    /// The whole value.
    pub span: Span,
}

/// `steps { … }`.
#[derive(Clone, Debug)]
pub struct Steps {
    /// Each step.
    pub steps: Vec<Text>,
    /// The whole block.
    pub span: Span,
}

/// `ensure …`.
#[derive(Clone, Debug)]
pub struct Ensure {
    /// What is to hold.
    pub what: EnsureWhat,
    /// The whole statement.
    pub span: Span,
}

/// What an `ensure` asks.
#[derive(Clone, Debug)]
pub enum EnsureWhat {
    /// The body of a rule.
    Body(RuleBody),
    /// An expression over the lines, and the range it is to lie in.
    Sum(Expression, WrittenRange),
}

/// `allow CODE because "…"`.
#[derive(Clone, Debug)]
pub struct Allow {
    /// The code.
    pub code: Name,
    /// The reason.
    pub because: Option<Text>,
    /// The whole statement.
    pub span: Span,
}

/// `variant NAME of FORMULA { … }`.
#[derive(Clone, Debug)]
pub struct Variant {
    /// Its name.
    pub name: Name,
    /// What it is a variant of.
    pub base: Name,
    /// Its statements, in order.
    pub statements: Vec<VariantStatement>,
    /// The whole block.
    pub span: Span,
}

/// A statement of a variant.
#[derive(Clone, Debug)]
pub enum VariantStatement {
    /// `set MATERIAL AMOUNT`.
    Set(Line),
    /// `swap A for B [AMOUNT]`.
    Swap {
        /// The material that goes.
        old: Name,
        /// The material that comes.
        new: Name,
        /// Its amount, where it is not the old one's.
        amount: Option<Amount>,
        /// What is written again of the line.
        tail: Tail,
        /// The whole statement.
        span: Span,
    },
    /// `remove A`.
    Remove(Name),
    /// `phase X { add … }`.
    Phase(Phase),
    /// A header line again.
    Header(Header),
    /// Steps in place of the base's.
    Steps(Steps),
    /// A further `ensure`.
    Ensure(Box<Ensure>),
    /// A further `allow`.
    Allow(Allow),
    /// A further `let`.
    Let(Let),
    /// Something that did not parse.
    Broken(Span),
}
