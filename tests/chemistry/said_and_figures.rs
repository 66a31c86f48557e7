//! What a sheet says in words follows its figures, and neither says more than is known: over every formula of the examples,
//! of those the checker is judged by, and of the common types.

#![allow(clippy::disallowed_methods, reason = "tests read files of their own")]

use std::path::{Path, PathBuf};
use stillroom::model::LineAmount;
use stillroom::render::{Ph, PhAdjuster, markdown, sheet, text};
use stillroom::session::{FormulaReport, Report, check};
use stillroom::sheet::BatchOrder;
use stillroom::sheet::ph::Outlook;
use stillroom::workspace::{Disk, Loaded, load};

fn files() -> Vec<PathBuf> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut found = Vec::new();
    for folder in ["examples", "tests/judged/sound", "tests/judged/unsound", "tests/data/common-types"] {
        let entries = std::fs::read_dir(root.join(folder)).unwrap().map(|entry| entry.unwrap().path());
        found.extend(entries.filter(|path| path.extension().is_some_and(|extension| extension == "still")));
    }
    found.sort();
    found
}

/// Looks at every formula that has a sheet; says how many that were.
fn each(mut look: impl FnMut(&Loaded, &Report<'_>, &FormulaReport)) -> usize {
    let mut seen = 0;
    for file in files() {
        let loaded = load(&Disk, &[file], None);
        let report = check(&loaded.sources, &BatchOrder::default(), true);
        for found in &report.formulas {
            look(&loaded, &report, found);
            seen += 1;
        }
    }
    seen
}

/// A dose and its range, each as it is printed.
type Dose = (Option<f64>, Option<[Option<f64>; 2]>);

fn doses(of: &PhAdjuster) -> [Dose; 3] {
    [(of.grams_near, of.grams_near_range), (of.grams_mid, of.grams_mid_range), (of.grams_far, of.grams_far_range)]
}

#[test]
fn no_figure_is_printed_that_is_too_unsure_to_weigh_by() {
    let mut told = 0;
    let seen = each(|loaded, report, found| {
        let Some(sheet) = sheet(&loaded.sources, report, found, &BatchOrder::default()) else { return };
        let Some(ph) = &sheet.ph else { return };
        let name = &sheet.formula;
        assert!(ph.before.is_none() || ph.before_uncertainty.unwrap() <= 0.9, "{name}: {ph:#?}");
        for of in &ph.adjusters {
            let figures: Vec<f64> = doses(of).iter().filter_map(|(dose, _)| *dose).collect();
            for (dose, range) in doses(of) {
                let Some(dose) = dose.filter(|dose| *dose > 0.0) else { continue };
                let Some([Some(low), Some(high)]) = range else { panic!("{name}: {dose} g of no range") };
                assert!(low <= dose && dose <= high && high <= 10.0 * low, "{name}: {dose} g, {low} to {high}");
                told += 1;
            }
            let nothing_but_nought = !figures.is_empty() && figures.iter().all(|dose| *dose == 0.0);
            let most = doses(of).iter().filter_map(|(_, range)| range.as_ref()?[1]).fold(0.0, f64::max);
            assert!(!nothing_but_nought || most < 0.01 * sheet.batch_g.parse::<f64>().unwrap(), "{name}: {of:#?}");
        }
    });
    assert!(seen > 150 && told > 100, "{seen} formulas, {told} doses");
}

#[test]
fn what_is_said_of_a_start_and_of_a_dose_follows_the_figures() {
    let (mut vague, mut tests) = (0, 0);
    each(|loaded, report, found| {
        let Some(sheet) = sheet(&loaded.sources, report, found, &BatchOrder::default()) else { return };
        let Some(ph) = &sheet.ph else { return };
        let name = &sheet.formula;
        let outlook = found.outlook(&report.resolver);
        // A start has a figure or a reason why not, never both; the reason is what most of it comes from.
        assert_eq!(ph.model.is_some(), ph.before.is_some() != ph.why_vague.is_some(), "{name}: {ph:#?}");
        if let (Some(why), Some(outlook)) = (&ph.why_vague, &outlook) {
            names_the_largest(name, why, outlook);
            vague += 1;
        }
        // A dose has a figure, or leads away, or a beaker test takes its place.
        let has_figure = |of: &PhAdjuster| doses(of).iter().any(|(dose, _)| dose.is_some());
        let untold = ph.adjusters.iter().any(|of| !of.leads_away && !has_figure(of));
        let at_bench = found.formula.lines.iter().filter(|line| line.amount == LineAmount::AtBench).count();
        let unknown = at_bench > ph.adjusters.len();
        let window = ph.window.iter().any(Option::is_some);
        assert_eq!(!ph.beaker_test.is_empty(), window && (untold || unknown), "{name}: {ph:#?}");
        tests += usize::from(!ph.beaker_test.is_empty());
        for out in [markdown(&sheet), text(&sheet)] {
            let has = |words: &str| out.contains(words);
            assert!(!has("a trace of adjuster") && !has("Next to nothing"), "{name}: {out}");
            assert_eq!(has("Foreseen before adjustment"), ph.before.is_some(), "{name}: {out}");
            assert_eq!(has("A beaker test of 50 g"), !ph.beaker_test.is_empty(), "{name}: {out}");
            for of in &ph.adjusters {
                assert_eq!(has(&format!("Foreseen of {}:", of.material)), has_figure(of), "{name}: {out}");
            }
        }
    });
    assert!(vague > 20 && tests > 5, "{vague} vague, {tests} with a beaker test");
}

fn names_the_largest(name: &str, why: &str, outlook: &Outlook) {
    let parts = &outlook.before_parts;
    assert!(parts.all() > 0.9, "{name}: {parts:?}");
    let by_word = [
        ("no acid-base data", parts.missing),
        ("traces decide", parts.traces),
        ("its materials hold", parts.strengths),
        ("weak ground", parts.common.max(parts.models)),
    ];
    let largest = by_word.iter().map(|(_, off)| *off).fold(0.0, f64::max);
    let said = by_word.iter().find(|(word, _)| why.contains(word)).map(|(_, off)| *off);
    assert!(said == Some(largest), "{name}: {why} {parts:?}");
}

/// What a check says of the pH and of a dose is what the sheet has.
#[test]
fn what_a_check_says_is_what_the_sheet_has() {
    let mut compared = 0;
    each(|_, report, found| {
        let Some(outlook) = found.outlook(&report.resolver) else { return };
        let Ph { before, .. } =
            stillroom::render::ph(&found.formula, Some(&outlook), &stillroom::quantity::Exact::HUNDRED)
                .unwrap_or_else(|| panic!("{}: something is foreseen of it", found.formula.name));
        for fault in &found.diagnostics {
            let message = &fault.message;
            let after = |words: &str| message.split_once(words).map(|(_, rest)| rest.to_string());
            if let Some(rest) = after("The pH is foreseen at ") {
                let figures: Vec<f64> =
                    rest.split([' ', ',']).filter_map(|word| word.trim_end_matches([':', '.']).parse().ok()).collect();
                assert!((figures[0] - before.unwrap()).abs() <= 0.0501, "{message} {before:?}");
                assert!(figures[1] <= 0.9, "{message}");
                compared += 1;
            }
            if let Some(rest) = after(" takes about ") {
                let percent: f64 = rest.split(' ').next().unwrap().parse().unwrap();
                let near = |dose: Option<f64>| dose.is_some_and(|dose| (dose - percent).abs() <= 0.06 * dose);
                let is_one = outlook.adjusters.iter().any(|of| near(of.doses.near) || near(of.doses.middle));
                assert!(is_one, "{}: {message} {:?}", found.formula.name, outlook.adjusters);
                compared += 1;
            }
        }
    });
    assert!(compared > 3, "{compared}");
}
