//! Essential oils and other scents: the sum of them by what the product is, and those that burn in sunlight.

use super::contents::Ingredient;
use super::context::CheckContext;
use crate::diagnostic::{Code, Diagnostic, Place};
use crate::model::Formula;
use crate::quantity::Exact;
use crate::syntax::vocabulary::{Doing, Product, Role};

/// How much scent in all a kind of product bears, in percent, and how it is called. The first whose words are all among
/// the product's holds.
const MOST_SCENT: [(&[Product], (i64, i64), &str); 6] = [
    (&[Product::Baby], (1, 2), "for babies"),
    (&[Product::LeaveOn, Product::Eye], (1, 2), "around the eye"),
    (&[Product::LeaveOn, Product::Face], (1, 1), "that stays on the face"),
    (&[Product::LeaveOn, Product::Lip], (1, 1), "that stays on the lips"),
    (&[Product::LeaveOn], (3, 1), "that stays on"),
    (&[Product::RinseOff], (5, 1), "that is rinsed off"),
];
/// Where these stand written, for adults and for the very young; read as a habit and no law.
const DILUTIONS: &str = "common practice; compare R. Tisserand, R. Young, Essential Oil Safety, 2nd edition, 2014, on dilution by age and use";
/// How they are summed.
const FUROCOUMARINS: &str = "common practice; compare the IFRA Standards on oils with furocoumarins, which sum them so";

/// More scent in all than such a product bears. Perfume is for dabbing on, and is not asked.
pub fn over(context: &CheckContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    let formula = context.formula;
    if formula.is_stock() || is_perfume(formula) {
        return;
    }
    let is_such = |words: &[Product]| words.iter().all(|word| formula.products.contains(word));
    let Some((_, (whole, of), what)) = MOST_SCENT.iter().find(|(words, ..)| is_such(words)) else { return };
    let limit = Exact::ratio(*whole, *of);
    let scents: Vec<(&Ingredient<'_>, &Exact)> = context
        .ingredients()
        .iter()
        .filter(|ingredient| is_scent(ingredient))
        .filter_map(|ingredient| Some((ingredient, ingredient.percent.as_ref()?)))
        .collect();
    let sum: Exact = scents.iter().map(|(_, percent)| (*percent).clone()).sum();
    let Some((most, _)) = scents.iter().rev().max_by(|(_, a), (_, b)| a.cmp(b)).filter(|_| sum > limit) else { return };
    let message = format!("Scents come to {} %, and a product {what} bears {limit} % in all.", sum.to_significant(3));
    let fault = Diagnostic::new(Code::ScentOver, most.line.mark, message);
    let others = scents.iter().filter(|(scent, _)| scent.at != most.at);
    let fault = others.fold(fault, |fault, (scent, percent)| fault.and(scent.line.mark, format!("{percent} % more")));
    faults.push(
        fault
            .help(format!("Come down to {limit} % of essential oils and perfume together."))
            .source(Some(DILUTIONS.to_string())),
    );
}

/// What is there to scent: not what cools, as menthol does, and smells besides.
fn is_scent(ingredient: &Ingredient<'_>) -> bool {
    let first = ingredient.material.does.first();
    ingredient.has_role(Role::Fragrance) && first.is_none_or(|first| *first == Doing::Scents)
}

/// Whether a formula calls itself a perfume: such a one is scent for the most part, and what bears little of it elsewhere
/// says nothing of it.
pub(super) fn is_perfume(formula: &Formula) -> bool {
    const SAYS: [&str; 5] = ["perfume", "parfum", "cologne", "toilette", "extrait"];
    formula.texts.iter().filter(|said| said.is_name()).any(|said| {
        let text = said.text.to_lowercase();
        let mut words = text.split(|letter: char| !(letter.is_alphanumeric() || letter == '-'));
        words.any(|word| SAYS.contains(&word))
    })
}

/// An oil that burns skin in sunlight.
struct Burning<'a, 'f> {
    oil: &'a Ingredient<'f>,
    /// How much of its own limit it is, as a part of 1.
    of_limit: Exact,
    limit: Exact,
    place: Place,
}

/// Oils that burn skin in sunlight: the part that each is of its own limit, summed.
pub fn phototoxic(context: &CheckContext<'_, '_>, faults: &mut Vec<Diagnostic>) {
    let formula = context.formula;
    if !formula.products.contains(&Product::LeaveOn) {
        return;
    }
    let mut burning: Vec<Burning<'_, '_>> = Vec::new();
    for oil in context.ingredients() {
        let Some(percent) = &oil.percent else { continue };
        for part in &oil.material.contains {
            let Some((limit, place)) = context.resolver.phototoxic(part.substance) else { continue };
            let share = &percent.hundredth() * &part.strength.middle();
            let Some(of_limit) = share.over(&limit).filter(Exact::is_positive) else { continue };
            burning.push(Burning { oil, of_limit, limit, place });
        }
    }
    let sum: Exact = burning.iter().map(|burning| burning.of_limit.clone()).sum();
    let most = burning.iter().rev().max_by(|a, b| a.of_limit.cmp(&b.of_limit)).filter(|_| sum > Exact::ONE);
    let Some(most) = most else { return };
    let (times, limit) = (sum.to_significant(2), &most.limit);
    let message = match burning.len() {
        1 => format!("{} burns skin in sunlight: it is {times} times its limit of {limit} %.", most.oil.named()),
        _ => format!(
            "{} and what else burns skin in sunlight are {times} times their limits together.",
            most.oil.named()
        ),
    };
    let mut fault = Diagnostic::new(Code::PhototoxicOver, most.oil.line.mark, message);
    for other in &burning {
        fault = fault.rests_on(other.place);
        if other.oil.at != most.oil.at {
            fault = fault.and(other.oil.line.mark, format!("alone it may be {} %", other.limit));
        }
    }
    let help = match Exact::ONE.over(&sum) {
        Some(less) if burning.len() > 1 => format!(
            "Bring each down to {} % of what it is, or take oils that are freed of furocoumarins.",
            (&less * &Exact::HUNDRED).down_to_step(&Exact::ONE)
        ),
        _ => format!("Come down to {limit} %, or take an oil that is freed of furocoumarins."),
    };
    faults.push(fault.help(help).source(Some(FUROCOUMARINS.to_string())));
}
