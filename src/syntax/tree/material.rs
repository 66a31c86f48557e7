//! Substances and materials.

use super::literal::{Expression, Name, Number, Quantity, Text, WrittenRange};
use crate::diagnostic::Span;
use crate::syntax::vocabulary::{Borne, Charge, Doing, Mark, MaterialPhase, Microbe, Product, Role};

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
    /// `acid capacity … pKa … [with N ION]`.
    AcidGroups(WrittenGroups),
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
    /// `oxide of X` (true) or `hydroxide of X`.
    BaseOf(Name, bool),
    /// `binds X log K N, N`.
    Binds(Name, Vec<Number>),
    /// `precipitates as hydroxide pKsp N [to N]`, or `with X`.
    Precipitates(Option<Name>, Number, Number),
    /// `moves pKa of acids by N [to N], of bases by N [to N] at P`.
    Moves(WrittenMove),
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
    /// `feeds microbes`.
    FeedsMicrobes,
    /// `phototoxic above P`.
    Phototoxic(Expression),
    /// `allergen`, `fragrance`, `colourant`, `nano`.
    Mark(Mark),
    /// `charge …`.
    Charge(Charge),
    /// `source "…"` for the whole block.
    Source(Text),
}

/// `as supplied pH N [to N] [at P] [capacity C]`.
#[derive(Clone, Debug)]
pub struct WrittenPh {
    /// The pH, from here
    pub low: Number,
    /// to here.
    pub high: Number,
    /// The strength of the solution it was measured in.
    pub at: Option<Expression>,
    /// How much acid or base it holds that gives way, from the least to the most.
    pub capacity: Option<(Expression, Expression)>,
}

/// `acid capacity C pKa N to N [with N ION]`.
#[derive(Clone, Debug)]
pub struct WrittenGroups {
    /// How many acid groups there are, from the least to the most.
    pub capacity: (Expression, Expression),
    /// The pKa of the first group to come apart.
    pub first: Number,
    /// That of the last.
    pub last: Number,
    /// How many ions each group has, and which.
    pub with: Option<(Number, Name)>,
    /// The whole.
    pub span: Span,
}

/// `moves pKa of acids by N [to N], of bases by N [to N] at P`.
#[derive(Clone, Debug)]
pub struct WrittenMove {
    /// Of acids, from the least to the most.
    pub acids: (Number, Number),
    /// Of bases.
    pub bases: (Number, Number),
    /// How much of the solvent there is in it and water, in percent.
    pub share: Expression,
}

/// `dissolves in X up to P`.
#[derive(Clone, Debug)]
pub struct Dissolves {
    /// The solvent.
    pub solvent: Name,
    /// How much of it, in percent of the solvent's weight.
    pub limit: WrittenRange,
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
    /// `use RANGE [active] [in PRODUCT]`.
    Use(WrittenUse),
    /// `works in pH RANGE`.
    WorksIn(WrittenRange),
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
    /// `as supplied pH N [to N] [at P] [capacity C]`.
    AsSupplied(WrittenPh),
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
    /// `brings …`: what a whole has in it by nature.
    Brings(Vec<Component>),
    /// `also "…", "…"`.
    Also(Vec<Text>),
    /// `does …`.
    Does(Vec<Doing>),
    /// `melts RANGE`.
    Melts(WrittenRange),
    /// `bears WORD up to P`.
    Bears(Borne, WrittenRange),
    /// `turns rancid`.
    TurnsRancid,
    /// `source "…"` for the whole block.
    Source(Text),
}

/// `use RANGE [active] [in PRODUCT]`.
#[derive(Clone, Debug)]
pub struct WrittenUse {
    /// How much a finished product may have.
    pub range: WrittenRange,
    /// `active`.
    pub active: Option<Span>,
    /// The kinds of product it is for, all of them at once; none where it is for every other kind.
    pub products: Vec<Product>,
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
    pub outside: Option<WrittenRange>,
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
