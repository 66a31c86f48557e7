//! Lines without a unit beside lines with one, and lines that have no amount: nothing of them is guessed, and while one is
//! not decided the formula cannot be weighed.

use crate::tables::checked;
use stillroom::bring::{Brought, Figures, Wishes, bring};
use stillroom::diagnostic::Level;

fn brought(table: &str, wishes: Wishes) -> Brought {
    bring(table.as_bytes(), &Wishes { name: "made".into(), ..wishes })
}

/// The errors of a text, by their codes; without those of what a table never says.
fn errors(text: &str) -> Vec<&'static str> {
    checked(text, |report| {
        let errors = report.diagnostics.iter().filter(|told| told.level == Level::Error);
        let codes = errors.map(|told| told.code.entry().name);
        codes.filter(|code| !matches!(*code, "no-preservative" | "batch-size-missing")).collect()
    })
}

/// Each line's exact percentage, in their order.
fn percent(text: &str) -> Vec<String> {
    checked(text, |report| {
        let lines = report.formulas[0].formula.lines.iter();
        lines.map(|line| line.percent.as_ref().map_or("?".into(), |it| it.to_fraction())).collect()
    })
}

/// The lines of the table that are not sure, but for its whole.
fn unsure(made: &Brought) -> Vec<usize> {
    made.unsure.iter().map(|unsure| unsure.line).filter(|line| *line > 0).collect()
}

/// The amount of a material as the text has it.
fn amount_of<'t>(text: &'t str, material: &str) -> Option<&'t str> {
    let line = text.lines().find_map(|line| line.trim_start().strip_prefix(material)?.strip_prefix(' '))?;
    line.split("  #").next().map(str::trim)
}

#[test]
fn a_figure_without_a_unit_is_percent_where_all_of_them_come_to_100() {
    let cases: [(&str, &[&str], &[usize]); 5] = [
        ("Water 70 %\nGlycerin 10\nShea butter 20\n", &["70", "10", "20"], &[2, 3]),
        (
            "Water 70 %\nGlycerin 10\nShea butter 15\nUrea 4 %\nPhenoxyethanol 1\n",
            &["70", "10", "15", "4", "1"],
            &[2, 3, 5],
        ),
        ("Phenoxyethanol 1 %\nWater 70\nGlycerin 29\n", &["1", "70", "29"], &[2, 3]),
        ("Water q.s.\nGlycerin 10 %\nUrea 5\n", &["85", "10", "5"], &[3]),
        ("Water 70 %\nGlycerin 20 %\nThing of the house 10\n", &["70", "20", "10"], &[3]),
    ];
    for (note, wanted, lines) in cases {
        let made = brought(note, Wishes::default());
        assert_eq!(percent(&made.text), wanted, "{note}{}", made.text);
        assert!(errors(&made.text).is_empty(), "{note}{:?}", errors(&made.text));
        assert_eq!(unsure(&made), lines, "{note}{:?}", made.unsure);
        for at in lines {
            let told = made.unsure.iter().find(|unsure| unsure.line == *at).unwrap();
            assert!(told.says.contains("has no unit, and is read as percent"), "{told:?}");
        }
        let marks = made.text.lines().filter(|line| line.contains("# Not sure: the figure has no unit")).count();
        assert_eq!(marks, lines.len(), "{}", made.text);
    }
}

#[test]
fn a_figure_without_a_unit_is_grams_beside_grams() {
    let made = brought("Niacinamide 5\nGlycerin 10\nWater 200 g\n", Wishes::default());
    assert_eq!(percent(&made.text), ["100/43", "200/43", "4000/43"], "{}", made.text);
    assert_eq!(unsure(&made), [1, 2], "{:?}", made.unsure);
    assert!(made.unsure.iter().all(|unsure| unsure.says.contains("is read as grams")), "{:?}", made.unsure);
    assert!(!made.text.contains("in percent"), "{}", made.text);
    let asked = Wishes { figures: Some(Figures::Percent), ..Wishes::default() };
    let made = brought("Niacinamide 5\nGlycerin 10\nWater 200 g\n", asked);
    assert_eq!(amount_of(&made.text, "niacinamide"), Some("5 %"), "{}", made.text);
    assert_eq!(amount_of(&made.text, "water"), Some("0 %"), "{}", made.text);
}

#[test]
fn a_figure_without_a_unit_is_not_guessed_where_it_cannot_be_told() {
    let cases = [
        ("Water 70 %\nShea butter 20 g\nGlycerin 10\n", "some are in percent and some in grams"),
        ("Water 70\nUrea 5\nShea butter 20 g\nPanthenol 2 %\nGlycerin 10\n", "some are in percent and some in grams"),
        ("Water 70 %\nUrea 3 %\nGlycerin 10\n", "the lines would come to 83 %"),
        ("Water q.s.\nUrea 3 %\nGlycerin 250\n", "the lines would come to 253 %"),
    ];
    for (note, why) in cases {
        let made = brought(note, Wishes::default());
        assert!(matches!(amount_of(&made.text, "glycerin"), Some("0 %" | "0 g")), "{note}{}", made.text);
        assert!(made.unsure.iter().any(|unsure| unsure.says.contains(why)), "{note}{:?}", made.unsure);
        assert!(errors(&made.text).contains(&"amount-zero"), "{note}{:?}", errors(&made.text));
    }
}

/// For whatever reason a line has no amount, an error stands on it, and no grams are scaled to make up for it.
#[test]
fn a_formula_with_a_line_that_has_no_amount_cannot_be_weighed() {
    let tables = [
        "Ingredient;g\nWater;70\nUrea;5 %\nGlycerin;10\n",
        "Ingredient;g\nWater;70\nUrea;5 drops\nGlycerin;10\n",
        "Ingredient;g\nWater;70\nUrea;\nGlycerin;10\n",
        "Ingredient;g\nWater;70\nUrea;some\nGlycerin;10\n",
        "Ingredient;g\nWater;70\nUrea;3 ml\nGlycerin;10\n",
        "Ingredient;g\nWater;70\nUrea;0\nGlycerin;10\n",
        "Ingredient;g\nWater;70\nThing of the house;5 drops\nGlycerin;10\n",
        "Ingredient;%\nWater;q.s.\nUrea;5 g\nGlycerin;10\n",
        "Ingredient;%\nWater;90\nCitric acid;q.s.\nGlycerin;10\n",
        "Ingredient;%\nWater;90\nCitric acid;q.s. to pH\nGlycerin;10\n",
        "Ingredient;%\nWater;q.s.\nUrea;1e5\nGlycerin;10\n",
        "Water 70 g\nThing of the house 5\nGlycerin 10 g\nShea butter 5 g\n",
        "Water 70 g\nThing, 5 g or so\nGlycerin 10 g\n",
        "Water 70 g or some more\nUrea 5 g\nGlycerin 10 g\n",
        "Water 70 parts\nUrea 5 g\nGlycerin 10 parts\n",
    ];
    for table in tables {
        let made = brought(table, Wishes::default());
        let marked = |line: &&str| line.contains("# Not sure:") && line.contains("nothing can be weighed until");
        assert_eq!(made.text.lines().filter(marked).count(), 1, "{table}{}", made.text);
        assert!(errors(&made.text).contains(&"amount-zero"), "{table}{:?}\n{}", errors(&made.text), made.text);
        assert_eq!(stillroom::syntax::format(&made.text), made.text);
        if !table.contains("parts") {
            assert!(!percent(&made.text).contains(&"25/2".into()), "{table}{}", made.text);
        }
        if table.starts_with("Ingredient;g") {
            assert_eq!(amount_of(&made.text, "glycerin"), Some("10 g"), "{table}{}", made.text);
            assert!(!made.text.contains("\n  makes"), "{}", made.text);
        }
    }
}

/// Once she decides, it can be weighed: the grams of the others are as they were.
#[test]
fn the_line_is_decided_by_its_amount_or_by_deleting_it() {
    let made = brought("Ingredient;g\nWater;70\nUrea;5 drops\nGlycerin;10\n", Wishes::default());
    let written = made.text.replace(" 0 g ", " 20 g ");
    assert_eq!(percent(&written), ["70", "20", "10"], "{written}");
    assert!(errors(&written).is_empty(), "{:?}", errors(&written));
    let deleted: Vec<&str> = made.text.lines().filter(|line| !line.contains("urea")).collect();
    assert_eq!(percent(&deleted.join("\n")), ["175/2", "25/2"]);
}

#[test]
fn lines_past_the_most_that_a_formula_has_keep_it_from_being_weighed() {
    let lines: String = (0..1003).map(|number| format!("Thing {number}x;1\n")).collect();
    let made = brought(&format!("Ingredient;g\n{lines}"), Wishes::default());
    assert!(errors(&made.text).contains(&"amount-zero"), "{:?}", errors(&made.text));
    assert_eq!(made.text.matches("at most; this one is kept").count(), 3);
}
