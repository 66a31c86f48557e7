//! What comes of a formula with another material in a line's place, as plain text.

use super::ph::{Ph, PhAdjuster};
use super::screen::shown_data;
use super::swaps_json::{FaultJson, FormulaSwapsJson, OutcomeJson, SwapJson, SwapsJson};
use std::fmt::Write as _;

/// The answer for a terminal: of each formula the candidates, clean ones first, each with the line that swaps it in.
#[must_use]
pub fn swaps_text(answer: &SwapsJson) -> String {
    let answer = &shown_data(answer);
    let formulas: Vec<String> = answer.formulas.iter().map(|of| formula(&answer.material, of)).collect();
    formulas.join("\n")
}

fn formula(material: &str, of: &FormulaSwapsJson) -> String {
    let mut out = format!("{material} in {} ({})\n", of.formula, of.file);
    let _ = writeln!(out, "  now: {}", facts(&of.now).join("; "));
    if !of.own_faults.is_empty() {
        let _ = writeln!(out, "  {} of its own stay as they are, whatever is swapped.", counted(&of.own_faults));
    }
    if of.candidates.is_empty() {
        out.push_str("\nNothing else does what it does.\n");
        return out;
    }
    let (clean, faulty): (Vec<&SwapJson>, Vec<&SwapJson>) = of.candidates.iter().partition(|one| one.clean);
    let (notes, faulty): (Vec<&SwapJson>, Vec<&SwapJson>) =
        faulty.into_iter().partition(|one| one.faults.iter().all(|fault| fault.level == "note"));
    for (title, group) in
        [("Clean: the check finds nothing new", clean), ("With something to note", notes), ("With faults", faulty)]
    {
        if !group.is_empty() {
            let _ = writeln!(out, "\n{title}");
        }
        group.into_iter().for_each(|one| candidate(&mut out, one));
    }
    if of.untried > 0 {
        let _ = writeln!(out, "\n{} more do it too, and are further off: they were not tried.", of.untried);
    }
    out
}

fn candidate(out: &mut String, of: &SwapJson) {
    let title = of.title.as_ref().map(|title| format!(": {title}")).unwrap_or_default();
    let _ = writeln!(out, "  {}{title}\n    {}", of.name, of.why);
    let facts = facts(&of.outcome);
    if !facts.is_empty() {
        let _ = writeln!(out, "    {}", facts.join("; "));
    }
    for fault in &of.faults {
        let _ = writeln!(out, "    {} [{}] {}", fault.level, fault.code, fault.message);
    }
    let to_use = of.to_use.as_ref().map(|to_use| format!("   # and in the file: {to_use}")).unwrap_or_default();
    let _ = writeln!(out, "    -> {}{to_use}", of.statement);
}

/// Amount, usage left, pH with the dose, cost: what is known of them.
fn facts(of: &OutcomeJson) -> Vec<String> {
    let amount = match &of.percent {
        Some(percent) => format!("{percent} % as supplied"),
        None => "weighed at the bench".to_string(),
    };
    let left = of.usage_left.as_ref().map(|left| match left.strip_prefix('-') {
        Some(over) => format!("{over} % over its usage"),
        None => format!("{left} % left to the top of its usage"),
    });
    let ph = of.ph.as_ref().and_then(ph_words);
    let cost = of.cost.as_ref().map(|cost| format!("{} {} in 100 g ({})", cost.in_100_g, cost.currency, cost.price));
    std::iter::once(amount).chain([left, ph, cost].into_iter().flatten()).collect()
}

/// `pH 3.21 foreseen, 4.40 g of sodium-hydroxide-10 in 100 g to the middle`.
fn ph_words(of: &Ph) -> Option<String> {
    let before = format!("pH {:.2} foreseen", of.before?);
    let dose = |one: &PhAdjuster| Some(format!("{:.2} g of {} in 100 g to the middle", one.grams_mid?, one.material));
    let doses: Vec<String> = of.adjusters.iter().filter_map(dose).collect();
    Some(std::iter::once(before).chain(doses).collect::<Vec<_>>().join(", "))
}

/// `1 error and 2 warnings`.
fn counted(faults: &[FaultJson]) -> String {
    let count = |level: &str| faults.iter().filter(|fault| fault.level == level).count();
    let words = ["error", "warning", "note"].into_iter().filter_map(|level| match count(level) {
        0 => None,
        1 => Some(format!("1 {level}")),
        many => Some(format!("{many} {level}s")),
    });
    words.collect::<Vec<_>>().join(" and ")
}
