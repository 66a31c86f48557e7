//! Declarations as they stand further up or down in their file: every span moved by as much, and nothing else changed.
//!
//! Every field of every node is named here, so that one that is added later cannot be forgotten.

use super::{
    Allow, Amount, AmountKind, Ensure, EnsureWhat, Expression, FeeOf, Formula, FormulaStatement, Group, Header,
    HeaderField, Item, Labour, Let, Line, Makes, Name, Number, Operator, Phase, PhaseStatement, Quantity, RuleBody,
    RuleBodyKind, Scale, Steps, Tail, Text, Titrated, Use, UseTarget, Variant, VariantStatement, WrittenRange,
};
use crate::diagnostic::Span;
use crate::quantity::{Exact, Unit};
use crate::syntax::vocabulary::{Market, Product};
use smol_str::SmolStr;

/// How far something at the end of a text stands from where it stood: as far from that end as before.
#[derive(Clone, Copy, Debug)]
pub struct Distance {
    old_end: u32,
    new_end: u32,
}

impl Distance {
    /// Between where a text ended and where it ends.
    #[must_use]
    pub fn between(old_end: u32, new_end: u32) -> Distance {
        Distance { old_end, new_end }
    }

    fn moved(self, at: u32) -> u32 {
        self.new_end.saturating_sub(self.old_end.saturating_sub(at))
    }
}

impl Item {
    /// Moves a formula, a variant, or what has one line. False of all else, which is left as it was.
    #[must_use]
    pub fn shift(&mut self, by: Distance) -> bool {
        match self {
            Item::Use(item) => item.shift(by),
            Item::Let(item) => item.shift(by),
            Item::Formula(item) => item.shift(by),
            Item::Variant(item) => item.shift(by),
            Item::Group(item) => item.shift(by),
            Item::Broken(_)
            | Item::Substance(_)
            | Item::Material(_)
            | Item::Rule(_)
            | Item::Batch(_)
            | Item::Maker(_)
            | Item::Container(_)
            | Item::Rate(_)
            | Item::Planned(_)
            | Item::Stock(_) => return false,
        }
        true
    }
}

/// Something that stands in a text.
trait Shift {
    fn shift(&mut self, by: Distance);
}

impl Shift for Span {
    fn shift(&mut self, by: Distance) {
        *self = Span { start: by.moved(self.start), end: by.moved(self.end) };
    }
}

impl<T: Shift> Shift for Option<T> {
    fn shift(&mut self, by: Distance) {
        self.iter_mut().for_each(|inner| inner.shift(by));
    }
}

impl<T: Shift> Shift for Vec<T> {
    fn shift(&mut self, by: Distance) {
        self.iter_mut().for_each(|inner| inner.shift(by));
    }
}

impl<T: Shift> Shift for Box<T> {
    fn shift(&mut self, by: Distance) {
        (**self).shift(by);
    }
}

impl<A: Shift, B: Shift> Shift for (A, B) {
    fn shift(&mut self, by: Distance) {
        self.0.shift(by);
        self.1.shift(by);
    }
}

impl<A: Shift, B: Shift, C: Shift> Shift for (A, B, C) {
    fn shift(&mut self, by: Distance) {
        self.0.shift(by);
        self.1.shift(by);
        self.2.shift(by);
    }
}

/// What has no place.
macro_rules! placeless {
    ($($kind:ty),* $(,)?) => {
        $(impl Shift for $kind {
            fn shift(&mut self, _: Distance) {}
        })*
    };
}

placeless!(SmolStr, Exact, Unit, Market, Product, Operator, FeeOf, bool);

/// What is made of fields, all of them named.
macro_rules! fields {
    ($($kind:ident { $($field:ident),* $(,)? })*) => {
        $(impl Shift for $kind {
            fn shift(&mut self, by: Distance) {
                let $kind { $($field),* } = self;
                $($field.shift(by);)*
            }
        })*
    };
}

fields! {
    Name { text, span }
    Text { value, span }
    Number { value, span }
    Quantity { value, unit, span, number }
    WrittenRange { low, high, span }
    Phase { name, title, statements, span }
    Line { material, amount, tail, span }
    Tail { hold_back, from, titrated, because, allow }
    Titrated { sample, points, span }
    Amount { kind, span }
    Formula { name, statements, span }
    Header { field, span }
    Labour { time, pay, per }
    Makes { count, quantity, plus, span }
    Scale { step, max, span }
    Steps { steps, span }
    Ensure { what, span }
    Allow { code, because, span }
    Variant { name, base, statements, span }
    Let { name, value, span }
    Group { name, members, span }
    Use { target, span }
    RuleBody { kind, span }
}

/// What is one of several, each of them named with what is in it.
macro_rules! kinds {
    ($($kind:ident { $($variant:ident $(($($part:ident),*))? $({ $($field:ident),* })?),* $(,)? })*) => {
        $(impl Shift for $kind {
            fn shift(&mut self, by: Distance) {
                match self {
                    $($kind::$variant $(($($part),*))? $({ $($field),* })? => {
                        $($($part.shift(by);)*)?
                        $($($field.shift(by);)*)?
                    })*
                }
            }
        })*
    };
}

kinds! {
    Expression { Quantity(inner), Name(inner), Chain { first, rest, span }, Bracket { inner, span } }
    PhaseStatement { Heat(inner), Cool(inner), Allow(inner), Line(inner), Broken(span, name) }
    AmountKind { QuantumSatis, QuantumSatisToPh, AsSupplied(inner), Active(inner), Of(inner, name) }
    FormulaStatement {
        Header(inner), Phase(inner), Steps(inner), Ensure(inner), Allow(inner), Let(inner), Broken(span, is_line),
    }
    HeaderField {
        Title(inner), Version(inner), Product(inner), Market(inner), Makes(inner), Density(inner), Scale(inner),
        Meter(inner), Window(inner), Date(inner), WaterActivity(inner), Lasts(inner, because), Opened(inner),
        Function(inner), Directions(inner), Warning(inner), DeclareAsFormed, MayContain(inner), PackedIn(inner),
        Loss(inner), Labour(inner), Fee(inner), Margin(inner), SellsAt(inner), Vat(inner),
    }
    EnsureWhat { Body(inner), Sum(inner, range) }
    VariantStatement {
        Set(inner), Swap { old, new, amount, tail, span }, Remove(inner), Phase(inner), Header(inner), Steps(inner),
        Ensure(inner), Allow(inner), Let(inner), Broken(inner),
    }
    UseTarget { Path(inner), Shelf(inner) }
    RuleBodyKind {
        Limit { subject, limit, counted_as }, RequirePh(inner), Require(subject, range), Forbid(subject),
        Declare(subject, amount), Print(inner),
    }
}
