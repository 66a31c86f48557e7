//! The tree of a file: what was written, each node with its span, before any name is looked up.

use super::vocabulary::{Charge, Mark, Market, MaterialPhase, Microbe, Product, Role};
use crate::diagnostic::{Level, Span};
use crate::quantity::{Exact, Unit};
use smol_str::SmolStr;

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
            Item::Use(_) | Item::Maker(_) | Item::Rate(_) | Item::Broken(_) => None,
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
            Item::Broken(span) => *span,
        }
    }
}

/// A name, where it is declared or used.
#[derive(Clone, Debug, PartialEq, Eq)]
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
pub struct Range {
    /// The lower end, where there is one.
    pub low: Option<Expression>,
    /// The upper end, where there is one.
    pub high: Option<Expression>,
    /// Where the range stands.
    pub span: Span,
}

/// A field of a substance or material, with the source of that one fact where it has its own.
#[derive(Clone, Debug)]
pub struct Fact<T> {
    /// The field.
    pub field: T,
    /// `source "…"` after it.
    pub source: Option<Text>,
    /// The whole field.
    pub span: Span,
}

/// `use …`.
#[derive(Clone, Debug)]
pub struct Use {
    /// What is used.
    pub target: UseTarget,
    /// The whole statement.
    pub span: Span,
}

/// What a `use` names.
#[derive(Clone, Debug)]
pub enum UseTarget {
    /// A file, relative to the one that says so.
    Path(Text),
    /// A file of the shelf, without `shelf/`.
    Shelf(Name),
}

impl UseTarget {
    /// Where the path stands.
    #[must_use]
    pub fn span(&self) -> Span {
        match self {
            UseTarget::Path(text) => text.span,
            UseTarget::Shelf(name) => name.span,
        }
    }
}

/// `let NAME = EXPR`.
#[derive(Clone, Debug)]
pub struct Let {
    /// The name.
    pub name: Name,
    /// What it stands for.
    pub value: Expression,
    /// The whole statement.
    pub span: Span,
}

/// `substance NAME { … }`.
#[derive(Clone, Debug)]
pub struct Substance {
    /// Its name.
    pub name: Name,
    /// Its fields.
    pub facts: Vec<Fact<SubstanceField>>,
    /// The whole block.
    pub span: Span,
}

/// A field of a substance.
#[derive(Clone, Debug)]
pub enum SubstanceField {
    /// `inci "…"`.
    Inci(Text),
    /// `us "…"`.
    UsName(Text),
    /// `ci "…"`.
    ColourIndex(Text),
    /// `cas "…"`.
    Cas(Text),
    /// `molar-mass …`.
    MolarMass(Quantity),
    /// `acid pKa …`.
    Acid(Vec<Number>),
    /// `base pKa …`.
    Base(Vec<Number>),
    /// `ampholyte pKa … charge …`.
    Ampholyte(Vec<Number>, Number),
    /// `strong acid`.
    StrongAcid,
    /// `strong base`.
    StrongBase,
    /// `ion …`.
    Ion(Number),
    /// `neutral`.
    Neutral,
    /// `salt of X with N Y`.
    Salt {
        /// The acid or base it is a salt of.
        of: Name,
        /// How many counter-ions one of it has.
        count: Number,
        /// The counter-ion.
        with: Name,
    },
    /// `hydrolyses to X`.
    HydrolysesTo(Name),
    /// `water P`.
    Water(Expression),
    /// `dissolves in X up to P`.
    Dissolves(Dissolves),
    /// `preserves from P free`.
    Preserves(Expression),
    /// `spoils with metals`.
    SpoilsWithMetals,
    /// `allergen`, `fragrance`, `colourant`, `nano`.
    Mark(Mark),
    /// `charge …`.
    Charge(Charge),
    /// `source "…"` for the whole block.
    Source(Text),
}

/// `dissolves in X up to P`.
#[derive(Clone, Debug)]
pub struct Dissolves {
    /// The solvent.
    pub solvent: Name,
    /// How much of it, in percent of the solvent's weight.
    pub limit: Range,
}

/// `material NAME [like OTHER] { … }`.
#[derive(Clone, Debug)]
pub struct Material {
    /// Its name.
    pub name: Name,
    /// The material whose fields it takes.
    pub like: Option<Name>,
    /// Its fields.
    pub facts: Vec<Fact<MaterialField>>,
    /// The statements that did not parse.
    pub broken: Vec<Span>,
    /// The whole block.
    pub span: Span,
}

/// A field of a material.
#[derive(Clone, Debug)]
pub enum MaterialField {
    /// `name "…"`.
    Name(Text),
    /// `contains …`.
    Contains(Vec<Component>),
    /// `role …`.
    Role(Vec<Role>),
    /// `phase …`.
    Phase(MaterialPhase),
    /// `use RANGE [active]`.
    Use(Range, Option<Span>),
    /// `works in pH RANGE`.
    WorksIn(Range),
    /// `stays below T`.
    StaysBelow(Expression),
    /// `needs T`.
    Needs(Expression),
    /// `dissolves in X up to P`.
    Dissolves(Dissolves),
    /// `hydrates TIME`.
    Hydrates(Expression),
    /// `hlb N`.
    Hlb(Expression),
    /// `required-hlb N`.
    RequiredHlb(Expression),
    /// `keeps N months`.
    Keeps(Expression),
    /// `protects against …`.
    Protects(Vec<Microbe>),
    /// `avoid with …`.
    Avoid(Avoid),
    /// `as supplied pH N at P`.
    AsSupplied(Number, Option<Expression>),
    /// `supplier "…"`.
    Supplier(Text),
    /// `caution "…"`.
    Caution(Text),
    /// `density D`.
    Density(Expression),
    /// `price …`.
    Price(Vec<PriceBreak>),
    /// `note "…"`.
    Note(Text),
    /// `source "…"` for the whole block.
    Source(Text),
}

/// One component of a material.
#[derive(Clone, Debug)]
pub struct Component {
    /// The substance.
    pub substance: Name,
    /// How much of it there is.
    pub strength: Strength,
    /// `active`.
    pub active: Option<Span>,
    /// The whole component.
    pub span: Span,
}

/// How much of a component a material has.
#[derive(Clone, Debug)]
pub enum Strength {
    /// A figure.
    Figure(Expression),
    /// A range.
    Range(Expression, Expression),
    /// What the others leave.
    Remainder(Span),
    /// No figure.
    Undisclosed,
}

/// `avoid with NAME [above P] [outside pH RANGE] because "…"`.
#[derive(Clone, Debug)]
pub struct Avoid {
    /// A material, substance, group, role or charge.
    pub with: Name,
    /// Above how much of it.
    pub above: Option<Expression>,
    /// Outside which pH.
    pub outside: Option<Range>,
    /// Why.
    pub because: Text,
}

/// `M per W`.
#[derive(Clone, Debug)]
pub struct PriceBreak {
    /// The price.
    pub price: Quantity,
    /// For how much.
    pub per: Quantity,
}

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
    Ensure(Ensure),
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
    Makes(Makes),
    /// `density D`.
    Density(Expression),
    /// `scale STEP [up to MAX]`.
    Scale(Scale),
    /// `meter P`.
    Meter(Expression),
    /// `pH RANGE`.
    Window(Range),
    /// `date D`.
    Date(SmolStr),
    /// `water-activity N`.
    WaterActivity(Expression),
    /// `lasts N months [because "…"]`.
    Lasts(Expression, Option<Text>),
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
        }
    }
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
#[allow(clippy::large_enum_variant, reason = "nearly every statement is a line")]
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

/// What may follow an amount.
#[derive(Clone, Debug, Default)]
pub struct Tail {
    /// `hold back AMOUNT`, with the span of the whole.
    pub hold_back: Option<(Expression, Span)>,
    /// `from MATERIAL`.
    pub from: Option<Name>,
    /// `because "…"`.
    pub because: Option<Text>,
    /// `allow CODE because "…"` on the same line.
    pub allow: Option<Allow>,
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
    Of(Expression, Name),
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
    Sum(Expression, Range),
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
    Ensure(Ensure),
    /// A further `allow`.
    Allow(Allow),
    /// A further `let`.
    Let(Let),
    /// Something that did not parse.
    Broken(Span),
}

/// `group NAME = A, B`.
#[derive(Clone, Debug)]
pub struct Group {
    /// Its name.
    pub name: Name,
    /// Its members.
    pub members: Vec<Name>,
    /// The whole statement.
    pub span: Span,
}

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
    /// Where it applies.
    Market(Vec<(Market, Span)>),
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
    RequirePh(Range),
    /// `require X RANGE`.
    Require(Name, Range),
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
    Ph(Range),
    /// `when X above P`.
    Above(Name, Expression),
    /// `when X below P`.
    Below(Name, Expression),
    /// `when X RANGE`.
    Within(Name, Range),
}

/// `batch NAME { … }`.
#[derive(Clone, Debug)]
pub struct Batch {
    /// Its name.
    pub name: Name,
    /// Its entries in the order of the bench.
    pub entries: Vec<BatchStatement>,
    /// The whole block.
    pub span: Span,
}

impl Batch {
    /// The plan frozen into it; the last, where there are several.
    #[must_use]
    pub fn plan(&self) -> Option<&FrozenPlan> {
        self.entries.iter().rev().find_map(|entry| match &entry.entry {
            BatchEntry::Plan(plan) => Some(plan),
            _ => None,
        })
    }
}

impl BatchEntry {
    /// The material that a statement speaks of.
    #[must_use]
    pub fn material(&self) -> Option<&Name> {
        match self {
            BatchEntry::Lot { material, .. }
            | BatchEntry::Weighed(material, _)
            | BatchEntry::Added(material, ..)
            | BatchEntry::ToppedUp { material, .. } => Some(material),
            _ => None,
        }
    }
}

/// A statement of a batch record, with its stamps.
#[derive(Clone, Debug)]
pub struct BatchStatement {
    /// What happened.
    pub entry: BatchEntry,
    /// `on DATE`.
    pub on: Option<SmolStr>,
    /// `at TIME`.
    pub at: Option<SmolStr>,
    /// `by "…"`.
    pub by: Option<Text>,
    /// The whole statement.
    pub span: Span,
}

/// What happened at the bench.
#[derive(Clone, Debug)]
pub enum BatchEntry {
    /// `formula NAME version "…"`.
    Formula(Name, Option<Text>),
    /// `started DATE`.
    Started(SmolStr),
    /// `size W`.
    Size(Quantity),
    /// `lot MATERIAL "…" …`.
    Lot {
        /// The material.
        material: Name,
        /// The lot's code.
        code: Text,
        /// Its assay.
        assay: Option<Quantity>,
        /// When it was opened.
        opened: Option<SmolStr>,
        /// When it expires.
        expires: Option<SmolStr>,
    },
    /// `calibrated pH A reads B`.
    Calibrated(Number, Number),
    /// `weighed MATERIAL W`.
    Weighed(Name, Quantity),
    /// `added MATERIAL W [because "…"]`.
    Added(Name, Quantity, Option<Text>),
    /// `removed W because "…"`.
    Removed(Quantity, Text),
    /// `reading pH …`.
    Reading {
        /// The reading, or the lower end of a strip's.
        low: Number,
        /// The upper end of a strip's.
        high: Option<Number>,
        /// `by strip`.
        by_strip: bool,
        /// `at T`.
        at: Option<Quantity>,
        /// `diluted A in B`.
        diluted: Option<(Number, Number)>,
    },
    /// `topped-up MATERIAL W`, `to W` of the whole, or both.
    ToppedUp {
        /// The material.
        material: Name,
        /// How much, or to which weight.
        weight: Quantity,
        /// Whether the weight is the whole batch's.
        to: bool,
        /// The weight of the whole, where how much went in is written beside it.
        whole: Option<Quantity>,
    },
    /// `waited T`.
    Waited(Quantity),
    /// `heated T`.
    Heated(Quantity),
    /// `cooled T`.
    Cooled(Quantity),
    /// `yield W`.
    Yield(Quantity),
    /// `filled N x Q [as "…"]`.
    Filled(Number, Quantity, Option<Text>),
    /// `retained N`.
    Retained(Number),
    /// `sold N [to "…"]`.
    Sold(Number, Option<Text>),
    /// `released`.
    Released,
    /// `rejected because "…"`.
    Rejected(Text),
    /// `observed "…"`.
    Observed(Text),
    /// `complaint "…"`.
    Complaint(Text),
    /// `note "…"`.
    Note(Text),
    /// `plan { … }`.
    Plan(FrozenPlan),
    /// Something that did not parse.
    Broken,
}

/// `plan { … }`: the formula of a batch as it was resolved when the record began.
#[derive(Clone, Debug, Default)]
pub struct FrozenPlan {
    /// `title`, `version`, `pH …`, `scale …` and `meter …`, as the formula had them.
    pub header: Vec<Header>,
    /// The phases, each with the number of its first line.
    pub phases: Vec<(Name, usize)>,
    /// The lines.
    pub lines: Vec<PlanLine>,
    /// `premix NAME …`: the premixes, each by its own lines.
    pub premixes: Vec<PlanPremix>,
    /// `contains …` and `material …`, `substance …`: the materials and substances that are not the shelf's, as if each
    /// were declared in the file.
    pub declared: Vec<Item>,
    /// `digest "…"`: of the formula.
    pub digest: Option<Text>,
    /// `compiler "…"`: the version of the program that froze it.
    pub compiler: Option<Text>,
    /// `shelf "…"`: the edition of the shelf it rested on.
    pub shelf: Option<Text>,
    /// Whether something in it did not parse; its fault has been told.
    pub is_faulty: bool,
    /// The whole block.
    pub span: Span,
}

/// `premix NAME MATERIAL PERCENT AMOUNT, …` in a frozen plan.
#[derive(Clone, Debug)]
pub struct PlanPremix {
    /// Its name.
    pub name: Name,
    /// Its lines.
    pub parts: Vec<PlanLine>,
}

/// `MATERIAL PERCENT AMOUNT` in a frozen plan, or `MATERIAL q.s. to pH`.
#[derive(Clone, Debug)]
pub struct PlanLine {
    /// The material.
    pub material: Name,
    /// Its percentage as supplied; none for what is weighed at the bench.
    pub percent: Option<Quantity>,
    /// Its amount as the formula had it.
    pub amount: Amount,
    /// What followed.
    pub tail: Tail,
}

/// `maker { … }`.
#[derive(Clone, Debug)]
pub struct Maker {
    /// Each field: its word and its text.
    pub fields: Vec<(Name, Text)>,
    /// The whole block.
    pub span: Span,
}

/// `container NAME { … }`.
#[derive(Clone, Debug)]
pub struct Container {
    /// Its name.
    pub name: Name,
    /// `holds Q`.
    pub holds: Option<Quantity>,
    /// `price M`.
    pub price: Option<Quantity>,
    /// The whole block.
    pub span: Span,
}

/// `rate A = B on DATE`.
#[derive(Clone, Debug)]
pub struct Rate {
    /// The one side.
    pub of: Quantity,
    /// What it is worth.
    pub worth: Quantity,
    /// On which day.
    pub on: SmolStr,
    /// The whole statement.
    pub span: Span,
}
