//! The lines of a header in words that say the same only where they mean the same.

use super::meaning::{NamedText, PhaseMeaning};
use super::words;
use crate::model::Formula;

/// The header but the version, the pH and the warnings, which have kinds of their own.
#[must_use]
pub fn header(formula: &Formula) -> Vec<NamedText> {
    let mut all = Vec::new();
    let mut say = |what: &str, says: Option<String>| {
        all.extend(says.map(|says| NamedText { what: what.to_string(), about: None, says }));
    };
    let text = |text: &Option<smol_str::SmolStr>| text.as_ref().map(ToString::to_string);
    say("title", text(&formula.title));
    say("product", list(formula.products.iter().map(|product| product.word())));
    say("market", list(formula.markets.iter().map(|(market, _)| market.word())));
    say("makes", formula.makes.as_ref().map(words::makes));
    say("density", formula.density.as_ref().map(|density| format!("{} g/mL", words::figure(density))));
    let mut scales = formula.scales.clone();
    scales.sort_by(|a, b| (&a.step, &a.max).cmp(&(&b.step, &b.max)));
    let scales: Vec<String> = scales.iter().map(words::scale).collect();
    say("scale", (!scales.is_empty()).then(|| scales.join(", ")));
    say("meter", formula.meter.as_ref().map(words::figure));
    say("date", text(&formula.date));
    say("water-activity", formula.water_activity.as_ref().map(words::figure));
    let label = &formula.label;
    say("lasts", label.lasts.as_ref().map(words::duration));
    say("opened", label.opened.as_ref().map(words::duration));
    say("function", text(&label.function));
    say("directions", text(&label.directions));
    let shades: Vec<&str> = formula.selling.may_contain.iter().map(|shade| shade.name.as_str()).collect();
    say("may contain", (!shades.is_empty()).then(|| shades.join(", ")));
    say("declare as formed", label.as_formed.then(|| "yes".to_string()));
    all
}

/// The phases that hold lines, or that are brought to a temperature.
#[must_use]
pub fn phases(formula: &Formula) -> Vec<PhaseMeaning> {
    let phases = formula.phases.iter().map(|phase| PhaseMeaning {
        name: phase.name.to_string(),
        title: phase.title.as_ref().map(ToString::to_string),
        heat: phase.heat.as_ref().map(|(celsius, _)| celsius.clone()),
        cool: phase.cool.as_ref().map(|(celsius, _)| celsius.clone()),
    });
    phases.collect()
}

/// Words whose order means nothing.
fn list<'w>(words: impl Iterator<Item = &'w str>) -> Option<String> {
    let mut words: Vec<&str> = words.collect();
    words.sort_unstable();
    (!words.is_empty()).then(|| words.join(" "))
}
