//! The facts of one declaration, each in words of the trade and with its source.

use super::source::{Sourced, of_block};
use super::{entry_of, file_text};
use crate::shelf::{self, FILES, ShelfKind};
use crate::syntax::expression_text;
use crate::syntax::tree::{
    Avoid, Component, Dissolves, Expression, Fact, Group, Item, Material, MaterialField, Number, Quantity, Rule,
    RuleStatement, Strength, Substance, SubstanceField, WrittenRange,
};
use crate::syntax::vocabulary::{Mark, MaterialPhase, Role};

/// What the shelf knows under one name.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NameFacts {
    /// What it is.
    pub kind: ShelfKind,
    /// Its name.
    pub name: &'static str,
    /// The file of the shelf that has it.
    pub file: &'static str,
    /// What it is called, where that is known: the name of a material, the INCI name of a substance.
    pub title: Option<String>,
    /// Everything that is known of it, in the order it stands.
    pub facts: Vec<KnownFact>,
}

/// One fact.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KnownFact {
    /// The field of the language that holds it.
    pub field: &'static str,
    /// What it is about.
    pub about: &'static str,
    /// What it says.
    pub says: String,
    /// Where it comes from.
    pub source: Option<Sourced>,
}

/// Everything the shelf knows under a number of its index.
#[must_use]
pub fn known(entry: u32) -> Option<NameFacts> {
    let place = entry_of(entry)?;
    let text = file_text(place);
    let facts = facts_of(shelf::item(entry)?, text)?;
    let title = facts.iter().find(|fact| matches!(fact.field, "name" | "inci")).map(|fact| fact.says.clone());
    let file = FILES.get(place.file as usize)?.name;
    Some(NameFacts { kind: place.kind, name: place.name, file, title, facts })
}

/// Everything that a declaration of a file with this text says, on the shelf or at home; none where it is no substance,
/// material, group or rule.
#[must_use]
pub fn facts_of(item: &Item, text: &str) -> Option<Vec<KnownFact>> {
    Some(match item {
        Item::Substance(substance) => of_substance(substance, text),
        Item::Material(material) => of_material(material, text),
        Item::Group(group) => of_group(group, text),
        Item::Rule(rule) => of_rule(rule, text),
        _ => return None,
    })
}

fn of_substance(substance: &Substance, text: &str) -> Vec<KnownFact> {
    let block = substance.facts.iter().find_map(|fact| match &fact.field {
        SubstanceField::Source(source) => Some(source.value.as_str()),
        _ => None,
    });
    let said = |fact: &Fact<SubstanceField>| substance_words(&fact.field, text);
    substance.facts.iter().filter_map(|fact| made(fact, said(fact)?, block)).collect()
}

fn of_material(material: &Material, text: &str) -> Vec<KnownFact> {
    let block = material.facts.iter().find_map(|fact| match &fact.field {
        MaterialField::Source(source) => Some(source.value.as_str()),
        _ => None,
    });
    let said = |fact: &Fact<MaterialField>| material_words(&fact.field, text);
    let like = material.like.as_ref().map(|like| KnownFact {
        field: "like",
        about: "like",
        says: like.text.to_string(),
        source: block.map(Sourced::new),
    });
    like.into_iter().chain(material.facts.iter().filter_map(|fact| made(fact, said(fact)?, block))).collect()
}

/// The field of the language, what it is about, and what it says.
type Words = (&'static str, &'static str, String);

/// A fact with its own source, else what the block's source says of its field.
fn made<T>(fact: &Fact<T>, (field, about, says): Words, block: Option<&str>) -> Option<KnownFact> {
    let source = match &fact.source {
        Some(own) => Some(Sourced::new(&own.value)),
        None => block.and_then(|block| of_block(block, field)),
    };
    Some(KnownFact { field, about, says, source })
}

fn substance_words(field: &SubstanceField, text: &str) -> Option<Words> {
    let plain = |words: &str| words.to_string();
    Some(match field {
        SubstanceField::Inci(name) => ("inci", "INCI name", plain(&name.value)),
        SubstanceField::UsName(name) => ("us", "name in the United States", plain(&name.value)),
        SubstanceField::ColourIndex(number) => ("ci", "colour index", plain(&number.value)),
        SubstanceField::Cas(number) => ("cas", "CAS number", plain(&number.value)),
        SubstanceField::MolarMass(mass) => ("molar-mass", "molar mass", quantity(mass, text)),
        SubstanceField::Acid(pka) => ("acid", "in water", format!("an acid, pKa {}", figures(pka, text))),
        SubstanceField::AcidGroups(of) => {
            let (low, high) = &of.capacity;
            let ends = match low.span() == high.span() {
                true => expression_text(low, text),
                false => format!("{} to {}", expression_text(low, text), expression_text(high, text)),
            };
            let (first, last) = (of.first.span.of(text), of.last.span.of(text));
            ("acid", "in water", format!("a polymer with {ends} of acid groups, pKa {first} to {last}"))
        }
        SubstanceField::Base(pka) => {
            ("base", "in water", format!("a base, pKa {} of its conjugate acid", figures(pka, text)))
        }
        SubstanceField::Ampholyte(pka, charge) => {
            let charge = charge.span.of(text);
            let says = format!("acid and base, pKa {}, charge {charge} with all its protons", figures(pka, text));
            ("ampholyte", "in water", says)
        }
        SubstanceField::StrongAcid => ("strong", "in water", plain("a strong acid")),
        SubstanceField::StrongBase => ("strong", "in water", plain("a strong base")),
        SubstanceField::Ion(charge) => ("ion", "in water", format!("an ion of charge {}", charge.span.of(text))),
        SubstanceField::Neutral => ("neutral", "in water", plain("takes no part in the pH")),
        SubstanceField::Salt { of, count, with } => {
            ("salt", "salt of", format!("{}, with {} {}", of.text, count.span.of(text), with.text))
        }
        SubstanceField::BaseOf(metal, is_oxide) => {
            let (word, what) = if *is_oxide { ("oxide", "an oxide") } else { ("hydroxide", "a hydroxide") };
            (word, "in water", format!("a solid base, {what} of {}", metal.text))
        }
        SubstanceField::Binds(metal, log_k) => {
            ("binds", "holds", format!("{}, log K {}", metal.text, figures(log_k, text)))
        }
        SubstanceField::Precipitates(with, low, high) => {
            let with = with.as_ref().map_or("as hydroxide".to_string(), |with| format!("with {}", with.text));
            ("precipitates", "falls out", format!("{with}, pKsp {}", ends(low, high, text)))
        }
        SubstanceField::Moves(of) => {
            let (acids, bases) = (ends(&of.acids.0, &of.acids.1, text), ends(&of.bases.0, &of.bases.1, text));
            let share = expression_text(&of.share, text);
            ("moves", "moves the pKa", format!("of acids by {acids}, of bases by {bases}, at {share}"))
        }
        SubstanceField::HydrolysesTo(name) => ("hydrolyses", "turns in water to", plain(&name.text)),
        SubstanceField::Water(percent) => ("water", "water in it", expression_text(percent, text)),
        SubstanceField::Dissolves(limit) => ("dissolves", "dissolves", dissolves(limit, text)),
        SubstanceField::Preserves(least) => {
            ("preserves", "preserves", format!("from {} free", expression_text(least, text)))
        }
        SubstanceField::SpoilsWithMetals => ("spoils", "spoils", plain("with metals: it wants a chelator beside it")),
        SubstanceField::FeedsMicrobes => ("feeds", "feeds", plain("microbes, where it gets wet")),
        SubstanceField::Phototoxic(most) => {
            ("phototoxic", "phototoxic", format!("above {} of a leave-on product", expression_text(most, text)))
        }
        SubstanceField::Mark(mark) => (mark.word(), "on the label", plain(mark_words(*mark))),
        SubstanceField::Charge(charge) => ("charge", "charge", plain(charge.word())),
        SubstanceField::Source(_) => return None,
    })
}

/// `N`, or `N to N`.
fn ends(low: &Number, high: &Number, text: &str) -> String {
    let (low, high) = (low.span.of(text), high.span.of(text));
    if low == high { low.to_string() } else { format!("{low} to {high}") }
}

fn material_words(field: &MaterialField, text: &str) -> Option<Words> {
    let plain = |words: &str| words.to_string();
    let figure = |figure: &Expression| expression_text(figure, text);
    Some(match field {
        MaterialField::Name(name) => ("name", "name", plain(&name.value)),
        MaterialField::Contains(parts) => {
            let parts: Vec<String> = parts.iter().map(|part| component(part, text)).collect();
            ("contains", "contains", parts.join(", "))
        }
        MaterialField::Role(roles) => ("role", "role", joined(roles.iter().map(|role: &Role| role.word()))),
        MaterialField::Phase(phase) => ("phase", "phase", plain(phase_words(*phase))),
        MaterialField::Use(of) => {
            let what = if of.active.is_some() { "of its active" } else { "as supplied" };
            let products = match of.products.is_empty() {
                true => String::new(),
                false => format!(", in {}", joined(of.products.iter().map(|product| product.word()))),
            };
            ("use", "use", format!("{} {what}{products}", range(&of.range, text)))
        }
        MaterialField::WorksIn(of) => ("works", "works in", format!("pH {}", range(of, text))),
        MaterialField::StaysBelow(at) => ("stays", "stays below", figure(at)),
        MaterialField::Needs(at) => ("needs", "needs heat of", figure(at)),
        MaterialField::Dissolves(limit) => ("dissolves", "dissolves", dissolves(limit, text)),
        MaterialField::Hydrates(time) => ("hydrates", "hydrates in", figure(time)),
        MaterialField::Hlb(hlb) => ("hlb", "HLB", figure(hlb)),
        MaterialField::RequiredHlb(hlb) => ("required-hlb", "required HLB", figure(hlb)),
        MaterialField::Keeps(time) => ("keeps", "keeps", figure(time)),
        MaterialField::Protects(microbes) => {
            ("protects", "protects against", joined(microbes.iter().map(|microbe| microbe.word())))
        }
        MaterialField::Avoid(with) => ("avoid", "avoid with", avoid(with, text)),
        MaterialField::AsSupplied(of) => {
            let range = |low: &str, high: &str| if low == high { low.to_string() } else { format!("{low} to {high}") };
            let ph = range(of.low.span.of(text), of.high.span.of(text));
            let at = of.at.as_ref().map(|at| format!(" at {} in water", figure(at))).unwrap_or_default();
            let capacity = of.capacity.as_ref().map(|(low, high)| range(&figure(low), &figure(high)));
            let capacity = capacity.map(|of| format!(", capacity {of}")).unwrap_or_default();
            ("as", "pH as supplied", format!("{ph}{at}{capacity}"))
        }
        MaterialField::Supplier(name) => ("supplier", "supplier", plain(&name.value)),
        MaterialField::Caution(words) => ("caution", "caution", plain(&words.value)),
        MaterialField::Density(density) => ("density", "density", figure(density)),
        MaterialField::Price(breaks) => {
            let breaks =
                breaks.iter().map(|of| format!("{} per {}", quantity(&of.price, text), quantity(&of.per, text)));
            ("price", "price", breaks.collect::<Vec<_>>().join(", "))
        }
        MaterialField::Note(words) => ("note", "note", plain(&words.value)),
        MaterialField::Brings(parts) => {
            let parts: Vec<String> = parts.iter().map(|part| component(part, text)).collect();
            ("brings", "brings by nature", parts.join(", "))
        }
        MaterialField::Also(names) => ("also", "also called", joined(names.iter().map(|name| name.value.as_str()))),
        MaterialField::Does(doings) => ("does", "does", joined(doings.iter().map(|doing| doing.word()))),
        MaterialField::Melts(of) => ("melts", "melts", range(of, text)),
        MaterialField::Bears(borne, of) => ("bears", "bears", format!("{} of {}", range(of, text), borne.word())),
        MaterialField::TurnsRancid => ("turns", "turns", plain("rancid: highly unsaturated")),
        MaterialField::Source(_) => return None,
    })
}

/// A group says what is in it; what it groups stands in the sources of the rules that speak of it.
fn of_group(group: &Group, text: &str) -> Vec<KnownFact> {
    let written = group.span.of(text);
    let members = written.split_once('=').map_or("", |(_, members)| members);
    let says = members.split_whitespace().collect::<Vec<_>>().join(" ");
    vec![KnownFact { field: "group", about: "groups", says, source: None }]
}

/// A rule is shown as it is written, a statement a line, under the source of the whole.
fn of_rule(rule: &Rule, text: &str) -> Vec<KnownFact> {
    let source = rule.statements.iter().find_map(|statement| match statement {
        RuleStatement::Source(source) => Some(Sourced::new(&source.value)),
        _ => None,
    });
    let written = rule.span.of(text);
    let body = written.split_once('{').map_or("", |(_, body)| body);
    let lines = body.lines().map(str::trim).filter(|line| !line.is_empty() && !line.starts_with(['#', '}']));
    lines
        .filter(|line| !line.starts_with("source "))
        .map(|line| {
            let says = line.split_whitespace().collect::<Vec<_>>().join(" ");
            KnownFact { field: "rule", about: "says", says, source: source.clone() }
        })
        .collect()
}

fn component(part: &Component, text: &str) -> String {
    let name = &part.substance.text;
    let active = match (&part.active, &part.trace) {
        (Some(_), _) => " (its active)",
        (None, Some(_)) => " (a trace)",
        (None, None) => "",
    };
    match &part.strength {
        Strength::Figure(figure) => format!("{name} {}{active}", expression_text(figure, text)),
        Strength::Range(low, high) => {
            format!("{name} {} to {}{active}", expression_text(low, text), expression_text(high, text))
        }
        Strength::Remainder(_) => format!("{name} for the rest{active}"),
        Strength::Undisclosed => format!("{name}, how much is not disclosed{active}"),
        Strength::InOrder(at, all) => format!("{name}, number {at} of {all} by weight"),
    }
}

fn avoid(avoid: &Avoid, text: &str) -> String {
    let above = avoid.above.as_ref().map(|above| format!(" above {}", expression_text(above, text)));
    let outside = avoid.outside.as_ref().map(|outside| format!(" outside pH {}", range(outside, text)));
    let (above, outside) = (above.unwrap_or_default(), outside.unwrap_or_default());
    format!("{}{above}{outside}: {}", avoid.with.text, avoid.because.value)
}

fn dissolves(limit: &Dissolves, text: &str) -> String {
    format!("in {0}, {1} of the weight of the {0}", limit.solvent.text, range(&limit.limit, text))
}

/// A range as it is written; percentages keep the unit at both ends.
fn range(range: &WrittenRange, text: &str) -> String {
    let figure = |figure: &Expression| expression_text(figure, text);
    match (&range.low, &range.high) {
        (Some(low), Some(high)) => format!("{} to {}", figure(low), figure(high)),
        (None, Some(high)) => format!("up to {}", figure(high)),
        (Some(low), None) => format!("at least {}", figure(low)),
        (None, None) => String::new(),
    }
}

fn quantity(quantity: &Quantity, text: &str) -> String {
    expression_text(&Expression::Quantity(quantity.clone()), text)
}

fn figures(list: &[Number], text: &str) -> String {
    joined(list.iter().map(|number| number.span.of(text)))
}

fn joined<'w>(words: impl Iterator<Item = &'w str>) -> String {
    words.collect::<Vec<_>>().join(", ")
}

fn mark_words(mark: Mark) -> &'static str {
    match mark {
        Mark::Allergen => "a fragrance allergen, named where the law asks for it",
        Mark::Fragrance => "goes under the fragrance",
        Mark::Colourant => "a colourant",
        Mark::Nano => "a nanomaterial",
    }
}

fn phase_words(phase: MaterialPhase) -> &'static str {
    match phase {
        MaterialPhase::Either => "water or oil",
        other => other.word(),
    }
}
