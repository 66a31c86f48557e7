//! Text to diagnostics: no panic in any format, every place inside its text, and the same text told the same way twice;
//! what can be weighed adds up.

use super::session::{adds_up, loaded, places};
use stillroom::chemistry::Activity;
use stillroom::page::{PhDrawing, ph_svg};
use stillroom::render::{
    CheckJson, Style, WhyJson, github, human, markdown, ph_csv, ph_json, ph_text, sarif, sheet, text as as_text,
};
use stillroom::session::check;
use stillroom::sheet::BatchOrder;
use stillroom::sheet::ph::outlook;
use stillroom::why::{names, why};

/// Tries a text.
pub fn text(data: &[u8]) {
    let told = all_told(data);
    let again = all_told(data);
    for (one, other) in told.iter().zip(&again) {
        assert_eq!(one, other, "the same text told in two ways");
    }
    assert_eq!(told.len(), again.len(), "the same text told in two ways");
    weighed(data);
}

/// Everything that `check` could print.
fn all_told(data: &[u8]) -> Vec<String> {
    let loaded = loaded(data);
    let sources = &loaded.sources;
    let report = check(sources, &BatchOrder::default(), false);
    for fault in &report.diagnostics {
        assert!(!fault.message.is_empty(), "{fault:?}");
        for place in places(fault) {
            let (text, range) = (sources.text(place.file), place.span.range());
            assert!(text.get(range).is_some(), "{} is told of {:?}, outside its text", fault.code, place.span);
        }
    }
    let drawn = |colour, width| human(sources, &report.diagnostics, Style { colour, width }).as_str().to_string();
    let told = vec![
        drawn(false, 100),
        serde_json::to_string(&CheckJson::new(sources, &report.diagnostics)).unwrap(),
        github(sources, &report.diagnostics),
        drawn(true, 20),
        sarif(sources, &report.diagnostics).to_string(),
    ];
    // Colours are signs of control too, and JSON is made fit where it is printed.
    for text in [&told[0], &told[2]] {
        assert_eq!(text.chars().find(steers), None, "a sign that steers a terminal is printed raw:\n{text:?}");
    }
    told
}

/// Whether a sign does something to a terminal instead of being shown: controls, and what turns the line around.
fn steers(sign: &char) -> bool {
    let turns = matches!(sign, '\u{61c}' | '\u{200e}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}');
    turns || (sign.is_control() && *sign != '\n')
}

/// The sheet, the forecast and the derivations of every formula that may be weighed.
fn weighed(data: &[u8]) {
    let loaded = loaded(data);
    let order = BatchOrder::default();
    let report = check(&loaded.sources, &order, true);
    for found in report.formulas.iter().filter(|found| !found.is_blocked()) {
        let Some(plan) = &found.plan else { continue };
        adds_up(plan);
        let sheet = sheet(&loaded.sources, &report, found, &order).expect("a plan has a sheet");
        assert!(!markdown(&sheet).is_empty() && !as_text(&sheet).is_empty());
        serde_json::to_string(&sheet).unwrap();
        let foreseen = outlook(&report.resolver, &found.formula, Activity::Davies);
        if let Some(ph) = ph_json(&found.formula, foreseen.as_ref(), &plan.batch) {
            assert!(!ph_text(&ph).is_empty() && !ph_csv(&ph).is_empty());
        }
        if let Some(drawing) = PhDrawing::of(&found.formula, foreseen.as_ref(), &plan.batch, 0.0) {
            let picture = ph_svg(&drawing);
            assert!(picture.starts_with("<svg") && !picture.contains("NaN"));
        }
        if let Some(cost) = stillroom::cost::of(&report.resolver, &found.formula, &order, None) {
            priced(&cost);
        }
        for name in names(&report.resolver, &found.formula).iter().take(4) {
            let figures = why(&report.resolver, found, &order, name);
            // Not everything has a pH, a batch or a price.
            assert!(
                !figures.is_empty() || matches!(name.as_str(), "pH" | "batch" | "cost"),
                "`{name}` has no derivation"
            );
            let why = WhyJson::new(&loaded.sources, &sheet.formula, name, &figures);
            assert!(figures.is_empty() || !why.text().is_empty() && !why.markdown().is_empty());
        }
    }
}

/// The lines of a cost add to it exactly, and it is printed.
pub fn priced(cost: &stillroom::cost::Cost) {
    let lines: stillroom::quantity::Exact = cost.materials.lines.iter().filter_map(|line| line.cost.as_ref()).sum();
    assert_eq!(lines, cost.materials.sum.at);
    let json = stillroom::render::BatchCostJson::new(cost, Vec::new());
    assert!(!stillroom::render::cost_text(&json).is_empty() && !stillroom::render::cost_markdown(&json).is_empty());
    serde_json::to_string(&json).unwrap();
}
