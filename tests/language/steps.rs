//! Steps that speak of what is weighed first and of what is held back: no sheet gives two weights for one act.
//!
//! The figures are worked by hand: 100 g hold 20 % back, so of 90.00 g of water 70.00 g are weighed first.

use crate::common;
use stillroom::diagnostic::{Code, Diagnostic};
use stillroom::sheet::BatchOrder;

/// A formula with these lines and steps.
fn formula(lines: &str, steps: &[&str]) -> String {
    let steps: String = steps.iter().map(|step| format!("    \"{step}\"\n")).collect();
    format!(
        "use shelf/all\n\nformula rinse {{\n  title \"Rinse\"\n  version \"1\"\n  product stock\n  makes 100 g\n  scale 0.01 g\n  \
         pH 4 to 5\n  phase A {{\n{lines}  }}\n  steps {{\n{steps}  }}\n}}\n"
    )
}

const LINES: &str = "    water q.s. hold back 20 %\n    glycerin 10 %\n    citric-acid-10 q.s. to pH\n";

fn printed(lines: &str, steps: &[&str]) -> Vec<String> {
    common::sheet_of(&formula(lines, steps), "rinse", &BatchOrder::default()).steps
}

fn faults(lines: &str, steps: &[&str]) -> Vec<Diagnostic> {
    let all = common::diagnostics(&formula(lines, steps));
    all.into_iter().filter(|fault| matches!(fault.code, Code::StepUnknownName | Code::StepUnknownPart)).collect()
}

#[test]
fn first_and_rest_print_what_is_weighed_and_what_waits() {
    let steps = [
        "Weigh {water first}; add {glycerin}.",
        "Bring to {pH} with {citric-acid-10}.",
        "Top up with { water  rest }.",
    ];
    assert_eq!(
        printed(LINES, &steps),
        [
            "Weigh Purified water (70.00 g first); add Glycerin, 99.5 % (10.00 g).",
            "Bring to pH 4.0 to 5.0 with Citric acid, 10 % solution.",
            "Top up with Purified water (20.00 g held back, less the adjuster).",
        ]
    );
    assert_eq!(faults(LINES, &steps).len(), 0);
}

/// The name alone is the first weighing too: what waits is not on the scale yet.
#[test]
fn a_name_alone_prints_the_first_weighing_where_some_is_held_back() {
    assert_eq!(
        printed(LINES, &["Weigh {water}; add {glycerin}; bring to {pH} with {citric-acid-10}."]),
        [
            "Weigh Purified water (70.00 g first); add Glycerin, 99.5 % (10.00 g); bring to pH 4.0 to 5.0 with Citric acid, 10 % solution."
        ]
    );
}

/// Each name takes its own, and adjuster comes out of the water alone. Of two lines of water the sum is weighed first.
#[test]
fn several_reserves_are_each_their_own() {
    let lines = "    water q.s. hold back 20 %\n    rose-hydrosol 30 % hold back 5 %\n    water 10 %\n    \
                 citric-acid-10 q.s. to pH from water\n";
    let steps = ["{water first}, {rose-hydrosol first}", "{rose-hydrosol rest}, {water rest}", "{citric-acid-10}"];
    let [first, rest, _] = printed(lines, &steps).try_into().unwrap();
    // 60 % and 10 % of water less the 20 % that wait; 30 % less 5 %.
    assert!(first.contains("(50.00 g first)") && first.contains("(25.00 g first)"), "{first}");
    assert!(rest.contains("(5.00 g held back),") && rest.ends_with("(20.00 g held back, less the adjuster)"), "{rest}");
}

/// What a fault helps to is done, and then nothing is wrong.
#[test]
fn a_part_that_a_line_does_not_have_is_told_with_its_mend() {
    for (step, message, mend) in [
        (
            "{glycerin first}",
            "The step speaks of the first weighing of `glycerin`, and nothing of it is held back.",
            "{glycerin}",
        ),
        ("{glycerin rest}", "The step speaks of the rest of `glycerin`, and nothing of it is held back.", "{glycerin}"),
        ("{glycerin last}", "In `{glycerin last}` the word `last` says nothing of a line.", "{glycerin}"),
        ("{water frist}", "In `{water frist}` the word `frist` says nothing of a line.", "{water first}"),
    ] {
        let found = faults(LINES, &[step]);
        let [fault] = found.as_slice() else { panic!("{step}: {found:#?}") };
        assert_eq!((fault.code, fault.message.as_str()), (Code::StepUnknownPart, message));
        assert!(fault.help.as_ref().is_some_and(|help| help.contains(mend)), "{fault:#?}");
        assert_eq!(faults(LINES, &[mend]).len(), 0, "{mend}");
    }
    // Nothing near is offered: both words are.
    let found = faults(LINES, &["{water by and by}"]);
    assert!(found[0].help.as_ref().unwrap().contains("`{water first}`"), "{found:#?}");
}

/// A name that no line has is told of once, and what stood after it stays in its mend.
#[test]
fn an_unknown_name_keeps_its_part() {
    let found = faults(LINES, &["{watr first}"]);
    let [fault] = found.as_slice() else { panic!("{found:#?}") };
    assert_eq!(fault.code, Code::StepUnknownName);
    assert_eq!(fault.help.as_deref(), Some("Did you mean `{water first}`?"));
    let found = faults(LINES, &["{our rose water}"]);
    assert!(found[0].message.contains("`our rose water`"), "{found:#?}");
}

/// A variant that holds nothing back any more cannot keep a step that speaks of the rest.
#[test]
fn a_variant_without_the_reserve_is_told() {
    let steps = ["Weigh {water first}; add {glycerin}; bring to {pH} with {citric-acid-10}; top up with {water rest}."];
    let base = formula(LINES, &steps);
    let kept = format!("{base}\nvariant gentle of rinse {{\n  version \"1\"\n  set glycerin 5 %\n}}\n");
    assert!(!common::codes(&kept).iter().any(|code| code == "step-unknown-part"));
    let swapped = format!("{base}\nvariant roses of rinse {{\n  version \"1\"\n  swap water for rose-hydrosol\n}}\n");
    let found = common::sheet_of(&swapped, "roses", &BatchOrder::default()).steps;
    assert!(found[0].contains("Rose flower water (70.00 g first)"), "{found:?}");
    let lost = format!(
        "{base}\nvariant dry of rinse {{\n  version \"1\"\n  remove water\n  phase A {{ add water q.s. }}\n}}\n"
    );
    let lost: Vec<_> = common::diagnostics(&lost).into_iter().filter(|it| it.code == Code::StepUnknownPart).collect();
    assert_eq!(lost.len(), 2, "{lost:#?}");
}
