//! An acid that only sets the pH is no reason for the statement of exfoliating acids, and a note says that it was set
//! aside. Source: FDA Guidance for Industry, Labeling for Cosmetics Containing Alpha Hydroxy Acids, January 2005.

use crate::common;
use crate::common::checked;
use stillroom::diagnostic::{Code, Level};

const GUIDANCE: &str = "Labeling for Cosmetics Containing Alpha Hydroxy Acids, January 2005";

/// What is told of statements in a formula, each with the text it is told at.
fn told(head: &str, lines: &str) -> Vec<(Code, String)> {
    let product = if head.contains("product") { "" } else { "product leave-on face" };
    let text = format!(
        "use shelf/all\n\
         formula our-citric {{\n  product stock\n  makes 100 g\n  scale 0.01 g\n  phase A {{\n    water q.s.\n    \
         citric-acid 20 %\n  }}\n}}\n\
         formula f {{\n  version \"1\"\n  {product}\n  {head}\n  makes 200 g\n  scale 0.01 g\n  pH 4.0 to 4.5\n  \
         phase A {{\n    water q.s.  hold back 10 %\n    sodium-benzoate 0.4 %\n    {lines}\n  }}\n}}\n"
    );
    checked(&text, |loaded, report| {
        let codes = [Code::RuleNeedsStatement, Code::AdjusterNotCounted];
        let of_statements = report.diagnostics.iter().filter(|fault| codes.contains(&fault.code));
        of_statements
            .map(|fault| {
                assert_eq!(fault.level, Level::Note);
                assert!(fault.source.as_ref().is_some_and(|source| source.contains(GUIDANCE)), "{:?}", fault.source);
                (fault.code, loaded.sources.at(fault.primary.place).to_string())
            })
            .collect()
    })
}

#[test]
fn an_acid_that_only_sets_the_ph_is_set_aside_and_said_to_be() {
    for (lines, at) in [
        ("citric-acid-50 q.s. to pH", "citric-acid-50"),
        ("our-citric q.s. to pH", "our-citric"),
        ("lactic-acid-20 q.s. to pH", "lactic-acid-20"),
    ] {
        assert_eq!(told("market us", lines), [(Code::AdjusterNotCounted, at.to_string())], "{lines}");
    }
}

#[test]
fn an_acid_with_an_amount_asks_for_the_statement() {
    let statement = |at: &str| vec![(Code::RuleNeedsStatement, at.to_string())];
    assert_eq!(told("market us", "citric-acid 0.5 %"), statement("0.5 %"));
    assert_eq!(told("market us", "citric-acid 0.5 %\n citric-acid-50 q.s. to pH"), statement("0.5 %"), "both");
    assert_eq!(told("market us", "glycolic-acid-70 3 % active\n citric-acid-50 q.s. to pH"), statement("3 % active"));
    assert_eq!(told("market us", "our-citric 2 %"), statement("2 %"), "through a premix");
}

#[test]
fn nothing_is_said_where_no_statement_is_in_question() {
    for (what, head, lines) in [
        ("no market", "", "citric-acid-50 q.s. to pH"),
        ("a market without such a rule", "market eu", "citric-acid-50 q.s. to pH"),
        ("a stock", "market us\n  product stock", "citric-acid-50 q.s. to pH"),
        ("a base", "market us", "sodium-hydroxide-10 q.s. to pH"),
        ("no acid at all", "market us", "glycerin 2 %"),
        ("its salt", "market us", "sodium-citrate-dihydrate 0.3 %"),
    ] {
        assert_eq!(told(head, lines), [], "{what}");
    }
}

/// A rule of the house with a threshold: what is in the lines too is not there as adjuster only.
#[test]
fn what_the_lines_bring_too_is_not_there_as_adjuster_only() {
    let text = |line: &str| {
        format!(
            "use shelf/all\nrule house {{\n  when citric-acid above 1 %\n  print \"Keep away from the eyes.\"\n}}\n\
             formula f {{\n  version \"1\"\n  product leave-on\n  makes 200 g\n  scale 0.01 g\n  pH 4.0 to 4.5\n  \
             phase A {{\n    water q.s.  hold back 10 %\n    sodium-benzoate 0.4 %\n{line}    \
             citric-acid-50 q.s. to pH\n  }}\n}}\n"
        )
    };
    assert_eq!(common::codes(&text("")), ["adjuster-not-counted"]);
    assert_eq!(common::codes(&text("    citric-acid 0.5 %\n    sodium-citrate 2 %\n")), [""; 0]);
    assert_eq!(common::codes(&text("    citric-acid 1.5 %\n    sodium-citrate 2 %\n")), ["rule-needs-statement"]);
}
