//! A formula of each kind checks without an error or a warning, is weighed, and teaches.

use crate::tables::checked;
use stillroom::bring::Kind;
use stillroom::diagnostic::Level;

#[test]
fn each_kind_checks_and_is_weighed() {
    for kind in Kind::ALL {
        let text = kind.formula("my first one");
        checked(&text, |report| {
            let wrong: Vec<_> = report.diagnostics.iter().filter(|told| told.level != Level::Note).collect();
            assert!(wrong.is_empty(), "{kind:?}: {wrong:#?}");
            let formula = &report.formulas[0];
            assert_eq!(formula.formula.name, "my-first-one", "{kind:?}");
            assert_eq!(formula.formula.title.as_deref(), Some("My first one"), "{kind:?}");
            assert!(formula.plan.is_some(), "{kind:?}");
        });
        assert!(text.matches("# ").count() >= 4 && text.contains("common practice, no source"), "{kind:?}");
        assert_eq!(stillroom::syntax::format(&text), text, "{kind:?}");
    }
}

#[test]
fn a_name_that_is_none_or_taken_is_made_one() {
    for (given, name) in
        [("Day Cream!", "day-cream"), ("heat", "heat-formula"), ("water", "water-formula"), ("…", "formula")]
    {
        checked(&Kind::Balm.formula(given), |report| {
            assert_eq!(report.formulas[0].formula.name, name);
            assert!(report.diagnostics.iter().all(|told| told.level == Level::Note), "{given}");
        });
    }
}
