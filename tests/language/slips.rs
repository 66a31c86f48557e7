//! The test of slips: what a maker's pen does wrong, done on purpose at every kind of place in every formula there is.
//!
//! `slips/table.rs` says beforehand which slips must be caught and by which code, and which may leave a good formula.
//! The share of each kind stands in `tests/language/snapshots/language__slips__kinds.snap`.

#![allow(clippy::disallowed_methods, reason = "tests read files of their own")]

mod amounts;
mod corpus;
mod edit;
mod limits;
mod lines;
mod names;
mod scales;
mod swaps;
mod table;
mod view;
mod window;

use corpus::{Case, Told, cases, more};
use edit::{Slip, made};
use rayon::prelude::*;
use stillroom::diagnostic::{Code, Level};
use stillroom::model::{LineAmount, LineMaterial};
use stillroom::quantity::Exact;
use stillroom::syntax::vocabulary::Role;
use table::{Kind, TABLE, Verdict};
use view::{View, views};

/// A slip that was made, and what became of it.
struct Made {
    kind: usize,
    caught: bool,
    right: bool,
    /// What is at fault with it, by the table.
    wrong: Option<String>,
}

/// Every slip that can be made in a file, by the number of its kind. What stands at a limit already is no slip to it.
fn slips_of(case: &Case) -> Vec<(usize, Slip)> {
    case.checked(&case.text, |loaded, report| {
        let mut all = Vec::new();
        for view in views(loaded, report) {
            for (at, kind) in TABLE.iter().enumerate() {
                let mut slips = (kind.slips)(&view);
                slips.retain(|slip| made(&case.text, slip) != case.text);
                all.extend(slips.into_iter().map(|slip| (at, slip)));
            }
        }
        all
    })
}

fn make(case: &Case, before: &Told, number: usize, slip: &Slip) -> Made {
    let kind = &TABLE[number];
    let new = more(before, &case.told(&made(&case.text, slip)));
    let grave = |(code, level): &&(&str, Level)| match kind.verdict {
        Verdict::Never(save) => *level != Level::Note && !save.contains(code),
        _ => true,
    };
    let caught = new.iter().any(|found| grave(&found));
    let right = new.iter().any(|(code, _)| kind.codes.contains(code));
    let as_said = match kind.verdict {
        Verdict::Must => caught && right,
        Verdict::May(_) => true,
        Verdict::Never(_) => !caught,
    };
    let wrong = || format!("{} in {}: {slip:?}\n  tells {new:?}", kind.name, case.name.display());
    Made { kind: number, caught, right, wrong: (!as_said).then(wrong) }
}

fn all_made() -> Vec<Made> {
    cases()
        .par_iter()
        .flat_map(|case| {
            let before = case.told(&case.text);
            let slips = slips_of(case);
            slips.par_iter().map(|(kind, slip)| make(case, &before, *kind, slip)).collect::<Vec<_>>()
        })
        .collect()
}

/// The table as it is kept: each kind with its places, how many were caught, and how many by a right code.
fn as_table(made: &[Made]) -> String {
    let mut table = String::from("| kind | said beforehand | places | caught | by a right code |\n");
    table.push_str("| --- | --- | --- | --- | --- |\n");
    for (number, kind) in TABLE.iter().enumerate() {
        let of_kind: Vec<&Made> = made.iter().filter(|made| made.kind == number).collect();
        let share = |which: fn(&Made) -> bool| {
            let count = of_kind.iter().filter(|made| which(made)).count();
            format!("{count} ({})", percent(count, of_kind.len()))
        };
        let said = match kind.verdict {
            Verdict::Must => "must be caught".to_string(),
            Verdict::May(why) => format!("may pass: {why}"),
            Verdict::Never([]) => "is no slip".to_string(),
            Verdict::Never(save) => format!("is no slip, save {}", save.join(", ")),
        };
        let (caught, right) = (share(|made| made.caught), share(|made| made.right));
        table.push_str(&format!("| {} | {said} | {} | {caught} | {right} |\n", kind.name, of_kind.len()));
    }
    table
}

fn percent(count: usize, of: usize) -> String {
    let share = Exact::ratio(count as i64 * 100, of.max(1) as i64);
    format!("{} %", share.to_fixed(0))
}

#[test]
fn slips_are_caught_as_the_table_says() {
    let made = all_made();
    println!("{}", as_table(&made));
    let wrong: Vec<&String> = made.iter().filter_map(|made| made.wrong.as_ref()).collect();
    for said in &wrong {
        println!("{said}");
    }
    let without: Vec<&str> =
        (0..TABLE.len()).filter(|at| !made.iter().any(|made| made.kind == *at)).map(|at| TABLE[at].name).collect();
    assert!(without.is_empty(), "no place for: {without:?}");
    assert!(wrong.is_empty(), "{} slips are not as the table says", wrong.len());
    insta::assert_snapshot!("kinds", as_table(&made));
}

#[test]
fn every_code_of_the_table_is_one() {
    let codes = TABLE.iter().flat_map(|kind: &Kind| kind.codes);
    let unknown: Vec<_> = codes.filter(|code| Code::from_name(code).is_none()).collect();
    assert!(unknown.is_empty(), "{unknown:?}");
}

#[test]
fn a_clean_formula_is_told_of_nothing() {
    for case in cases().iter().filter(|case| !case.is_plan()) {
        let told = case.told(&case.text);
        let grave: Vec<_> = told.keys().filter(|(_, level)| *level != Level::Note).collect();
        assert!(grave.is_empty(), "{}: {grave:?}", case.name.display());
    }
}

/// What the reference plans are told of is true of them. They were drawn at random for their arithmetic, so they hold
/// water back for nothing, put fifteen grams on a coarse scale, and give an exfoliating acid no window.
#[test]
fn a_reference_plan_is_told_of_what_is_true_of_it() {
    for case in cases().iter().filter(|case| case.is_plan()) {
        case.checked(&case.text, |loaded, report| {
            let views = views(loaded, report);
            for fault in report.diagnostics.iter().filter(|fault| fault.level != Level::Note) {
                let at = fault.primary.place.span;
                let true_of = |view: &View<'_>| is_true(view, fault.code, at);
                let owner = views.iter().any(true_of);
                assert!(owner, "{}: {}", case.name.display(), fault.message);
            }
        });
    }
}

/// Whether a fault is true of a formula, worked out anew from its lines and weights.
fn is_true(view: &View<'_>, code: Code, at: stillroom::diagnostic::Span) -> bool {
    let formula = view.formula;
    match code {
        Code::BelowScale => view.plan.is_some_and(|plan| {
            formula.lines.iter().zip(&plan.lines).any(|(line, weight)| {
                let light = weight.exact.as_ref().is_some_and(|exact| *exact < &weight.step * &Exact::whole(20));
                light && line.mark.span == at
            })
        }),
        Code::ReserveUnused => {
            let adjusted = formula.lines.iter().any(|line| line.amount == LineAmount::AtBench);
            let held = formula.lines.iter().filter_map(|line| line.hold_back.as_ref());
            !adjusted && held.into_iter().any(|held| held.place.span == at)
        }
        Code::PhWindowNone => {
            let exfoliates = formula.lines.iter().any(|line| match &line.material {
                Some(LineMaterial::Material(material)) => material.roles.contains(&Role::Exfoliant),
                _ => false,
            });
            exfoliates && formula.window.is_none() && formula.place.span == at
        }
        _ => false,
    }
}
