//! Each sure edit alone: its fault is gone, no other takes its place, and no weight that was known changes.

use super::session::loaded;
use std::collections::BTreeMap;
use stillroom::diagnostic::{Code, Diagnostic, Fix, Level, Span, Sureness};
use stillroom::quantity::Exact;
use stillroom::session::{Report, check};
use stillroom::sheet::BatchOrder;

/// Faults of a text's own words.
const OF_TEXT: &[Code] = &[Code::Syntax, Code::NameUnknown, Code::NameReserved, Code::UnknownUnit, Code::UnitMismatch];

/// More edits of one text show nothing new.
const EDITS: usize = 6;

/// Tries a text.
pub fn fixes(data: &[u8]) {
    let loaded = loaded(data);
    let report = check(&loaded.sources, &BatchOrder::default(), false);
    let Some(source) = loaded.sources.files.first() else { return };
    let of_this = |fix: &&Fix| fix.place.file == source.id && fix.sureness == Sureness::Safe;
    let sure = report.diagnostics.iter().filter_map(|fault| Some((fault, fault.fix.as_ref().filter(of_this)?)));
    for (fault, fix) in sure.take(EDITS) {
        let range = fix.place.span.range();
        let (Some(before), Some(after)) = (source.text.get(..range.start), source.text.get(range.end..)) else {
            panic!("{}: the edit lies outside the text", fault.code);
        };
        let mended = [before, &fix.replacement, after].concat();
        mends(&report, fault, fix, &mended);
    }
}

fn mends(before: &Report<'_>, fault: &Diagnostic, fix: &Fix, mended: &str) {
    let loaded = loaded(mended.as_bytes());
    let after = check(&loaded.sources, &BatchOrder::default(), false);
    let start = fix.place.span.range().start;
    let edited = Span::new(start, start + fix.replacement.len());
    // A word in small letters is the word that stood there.
    let old = before.resolver.sources.at(fix.place);
    let rewords = old.to_lowercase() != fix.replacement.to_lowercase();
    let what = format!("{} with `{}`, which gave\n{mended}", fault.code, fix.replacement);
    for left in after.diagnostics.iter().filter(|left| left.primary.place.file == fix.place.file) {
        let span = left.primary.place.span;
        let here = span.start < edited.end && edited.start < span.end;
        // Anything may be `syntax`: said in other words it is another fault, which the first one hid.
        let here = here && (left.code != Code::Syntax || wording(&left.message) == wording(&fault.message));
        assert!(!here || left.code != fault.code, "not mended: {what}\n{left:#?}");
    }
    let had = weights(before);
    let has = weights(&after);
    for (formula, weights) in &had {
        assert_eq!(has.get(formula), Some(weights), "`{formula}` weighs something else: {what}");
    }
    let count = |report: &Report<'_>, code| report.diagnostics.iter().filter(|one| one.code == code).count();
    for new in after.diagnostics.iter().filter(|new| new.level == Level::Error && new.code != fault.code) {
        // What stands in a broken statement is judged once it is mended: its figures, and what names it twice. But an
        // edit that is sure writes no wrong word, name or unit; and what broke nothing hid nothing.
        let wrote = rewords && OF_TEXT.contains(&new.code) && edited.holds(new.primary.place.span);
        // A unit that is missing was missing before a comma became a point.
        let unit = new.code == Code::UnitMismatch && fault.code == Code::DecimalComma;
        let hidden = fault.level == Level::Error && (unit || !wrote);
        assert!(hidden || count(&after, new.code) <= count(before, new.code), "a new fault: {what}\n{new:#?}");
    }
}

/// A message without what it quotes.
fn wording(message: &str) -> String {
    message.split('`').step_by(2).collect()
}

/// What is weighed of each line of each formula whose weights are known.
fn weights(report: &Report<'_>) -> BTreeMap<String, Vec<Option<Exact>>> {
    let planned = report.formulas.iter().filter_map(|found| Some((found, found.plan.as_ref()?)));
    let weights = planned.map(|(found, plan)| {
        let lines = plan.lines.iter().map(|line| line.printed.clone());
        (found.formula.name.to_string(), lines.collect())
    });
    weights.collect()
}
