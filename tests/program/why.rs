//! `why` of every number on the example sheets ends at that number, to the digit.

#![allow(clippy::disallowed_methods, reason = "tests read files of their own")]

use crate::common;
use crate::common::examples;
use stillroom::render::{WhyJson, sheet};
use stillroom::session::check;
use stillroom::sheet::BatchOrder;
use stillroom::why::{Derivation, why};
use stillroom::workspace::{Disk, load};

/// Asserts that a name has a derivation of that figure, and that its last step says the figure.
fn ends_at(derivations: &[Derivation], of: &str, result: &str, seen: &mut usize) {
    let found = derivations.iter().find(|derivation| derivation.of == of && derivation.result == result);
    let found = found.unwrap_or_else(|| panic!("{of} {result}: {derivations:#?}"));
    let last = &found.steps.last().unwrap().says;
    let figures = last.split(|c: char| !c.is_ascii_digit() && !matches!(c, '.' | '/' | '-'));
    assert!(figures.into_iter().any(|figure| figure == result), "{of}: the last step is «{last}», not {result}");
    assert!(found.steps.iter().any(|step| step.place.is_some()), "{of} rests on no place");
    *seen += 1;
}

#[test]
fn every_number_of_the_example_sheets_is_derived_to_the_digit() {
    let mut seen = 0;
    for path in examples() {
        let loaded = load(&Disk, std::slice::from_ref(&path), None);
        let order = BatchOrder::default();
        let report = check(&loaded.sources, &order, true);
        for formula in &report.formulas {
            let sheet = sheet(&loaded.sources, &report, formula, &order).unwrap();
            let ask = |name: &str| why(&report.resolver, formula, &order, name);
            let batch = ask("batch");
            ends_at(&batch, "the batch asked for", &sheet.asked_g, &mut seen);
            ends_at(&batch, "the batch as weighed", &sheet.total_g, &mut seen);
            for line in sheet.phases.iter().flat_map(|phase| &phase.lines).filter(|line| !line.at_bench) {
                let name = &line.material;
                let answers = ask(name);
                for (of, figure) in [
                    (format!("percent of `{name}`"), &line.percent),
                    (format!("exact grams of `{name}`"), &line.grams_exact),
                    (format!("grams of `{name}`"), &line.grams),
                    (format!("percent of `{name}` as weighed"), &line.as_weighed_percent),
                    (format!("percent of the batch held back of `{name}`"), &line.held_back_percent),
                    (format!("what is held back of `{name}`"), &line.held_back_g),
                    (format!("the first weighing of `{name}`"), &line.first_weighing_g),
                ] {
                    if let Some(figure) = figure {
                        ends_at(&answers, &of, figure, &mut seen);
                    }
                }
            }
            for active in &sheet.actives {
                let answers = ask(&active.substance);
                let of = format!("`{}` with its salts", active.substance);
                ends_at(&answers, &of, &active.target_percent, &mut seen);
                ends_at(&answers, &format!("{of} as weighed"), &active.as_weighed_percent, &mut seen);
            }
            for share in &sheet.substances {
                let answers = ask(&share.substance);
                for (low, high, how) in [
                    (&share.percent_low, &share.percent_high, ""),
                    (&share.as_weighed_low, &share.as_weighed_high, " as weighed"),
                ] {
                    let name = &share.substance;
                    let one = answers.iter().any(|answer| {
                        answer.of == format!("percent of the substance `{name}`{how}") && answer.result == *low
                    });
                    if one && low == high {
                        ends_at(&answers, &format!("percent of the substance `{name}`{how}"), low, &mut seen);
                    } else {
                        ends_at(&answers, &format!("least percent of the substance `{name}`{how}"), low, &mut seen);
                        ends_at(&answers, &format!("most percent of the substance `{name}`{how}"), high, &mut seen);
                    }
                }
            }
        }
    }
    assert!(seen > 800, "{seen} figures");
}

const TEXT: &str = r#"substance water { inci "Aqua" }
material water { role solvent }
substance urea { inci "Urea" }
material urea-solution {
  contains  urea 40 % active, water remainder
  use       up to 10 % active
}
let asked = 5 %
formula lotion {
  version  "1"
  makes    3 x 100 mL plus 5 %
  density  1.02 g/mL
  scale    0.1 g
  phase A {
    water          q.s.  hold back 20 g
    urea-solution  asked active
  }
}
"#;

fn told(name: &str) -> WhyJson {
    common::checked(TEXT, |loaded, report| {
        let found = why(&report.resolver, &report.formulas[0], &BatchOrder::default(), name);
        WhyJson::new(&loaded.sources, "lotion", name, &found)
    })
}

#[test]
fn a_derivation_names_each_place_it_rests_on() {
    insta::assert_snapshot!(told("urea-solution").text());
    insta::assert_snapshot!(told("water").markdown());
    insta::assert_snapshot!(told("batch").text());
}

/// The verdict is the check's own: what a premix brings counts, and water before the active does not mislead.
#[test]
fn the_verdict_on_usage_is_the_checks() {
    let text = r#"substance water { inci "Aqua" }
material water { role solvent }
substance urea { inci "Urea" }
material urea-syrup {
  contains  water 60 %, urea 40 %
  use       up to 3 % active
}
formula stock {
  product  stock
  makes    100 g
  scale    0.01 g
  phase A {
    urea-syrup  50 %
    water       q.s.
  }
}
formula lotion {
  product         leave-on body
  version         "1"
  makes           100 g
  scale           0.01 g
  water-activity  0.7
  phase A {
    water       q.s.
    urea-syrup  5 %
    stock       10 %
  }
}
"#;
    common::checked(text, |_, report| {
        let formula = report.formulas.iter().find(|one| one.formula.name == "lotion").unwrap();
        let found = why(&report.resolver, formula, &BatchOrder::default(), "urea-syrup");
        let usage = found.iter().find(|one| one.of == "usage of `urea-syrup`").unwrap();
        // 5 % and half of 10 % are 10 % of syrup, 40 % strong: 4 % of urea, over the 3 %.
        assert_eq!(usage.result, "over its usage");
        assert!(usage.steps.last().unwrap().says.starts_with("4 % is over"), "{:?}", usage.steps);
        let codes: Vec<String> = report.diagnostics.iter().map(|one| one.code.to_string()).collect();
        assert_eq!(codes, ["usage-over"]);
    });
}

#[test]
fn a_name_that_is_nowhere_has_no_answer() {
    assert!(told("ureas").figures.is_empty());
}
