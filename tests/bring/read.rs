//! Figures, units, encodings and wishes, one by one.

use crate::tables::checked;
use stillroom::bring::{Brought, Figures, Wishes, bring};

fn brought(table: &str, wishes: Wishes) -> Brought {
    bring(table.as_bytes(), &Wishes { name: "made".into(), ..wishes })
}

/// The amount of a material as the text has it.
fn amount_of(text: &str, material: &str) -> Option<String> {
    let line = text.lines().map(str::trim_start).find(|line| line.starts_with(&format!("{material} ")))?;
    let amount = line.strip_prefix(material)?.split("  #").next()?;
    Some(amount.trim().to_string())
}

#[test]
fn an_amount_is_read_as_it_is_written() {
    let cases = [
        ("2,5 %", Some("2.5 %"), false),
        ("2.5%", Some("2.5 %"), false),
        ("% 2,5", Some("2.5 %"), false),
        ("ca. 2,5", Some("2.5 %"), true),
        ("~ 2.5 %", Some("2.5 %"), true),
        ("2-3 %", Some("2 %"), true),
        ("2 to 3", Some("2 %"), true),
        ("<0.1", Some("0.1 %"), true),
        ("max. 4 %", Some("4 %"), true),
        ("½ %", Some("0.5 %"), false),
        ("1 1/2 %", Some("1.5 %"), false),
        ("1½", Some("1.5 %"), false),
        ("3/4 %", Some("0.75 %"), false),
        ("2/3 %", Some("(2 / 3 * 1 %)"), true),
        ("10/20 %", Some("10 %"), true),
        ("+3 %", Some("3 %"), true),
        ("....4", Some("4 %"), false),
        ("500 ppm", Some("0.05 %"), false),
        ("2.5 % (half of it later)", Some("2.5 %"), true),
        ("0", Some("0 %"), true),
        ("-", Some("0 %"), true),
        ("-3", Some("0 %"), true),
        ("some", Some("0 %"), true),
        ("5 drops", Some("0 %"), true),
        ("3 ml", Some("0 %"), true),
        ("1e5", Some("0 %"), true),
        ("99999999999999999999999999999999999", Some("0 %"), true),
    ];
    for (written, amount, unsure) in cases {
        let table = format!("Ingredient;%\nWater;q.s.\nUrea;{written}\nGlycerin;5,0\n");
        let made = brought(&table, Wishes::default());
        assert_eq!(amount_of(&made.text, "urea").as_deref(), amount, "{written}\n{}", made.text);
        assert_eq!(made.unsure.iter().any(|unsure| unsure.line == 3), unsure, "{written}: {:?}", made.unsure);
        assert!(
            made.text.contains(written) || amount.is_some_and(|amount| amount.replace(' ', "") == written),
            "{written}"
        );
    }
}

#[test]
fn thousands_are_told_from_decimals_by_the_other_figures() {
    let cases = [
        ("1.000,5", "20,0", "1000.5"),
        ("1,000.5", "20.0", "1000.5"),
        ("1.000", "20,5", "1000"),
        ("1,000", "20.5", "1000"),
        ("1 000", "20,5", "1000"),
        ("1'000.5", "20.5", "1000.5"),
        ("0,125", "20", "0.125"),
    ];
    for (figure, other, value) in cases {
        let table = format!("Ingredient;g\nUrea;{figure}\nGlycerin;{other}\n");
        let made = brought(&table, Wishes::default());
        let sum = made.told.iter().find(|told| told.contains("come to")).unwrap();
        let other: f64 = other.replace(',', ".").parse().unwrap();
        let total = value.parse::<f64>().unwrap() + other;
        assert!(sum.contains(&format!("{total} g")), "{figure}: {sum}");
        assert!(made.unsure.is_empty(), "{figure}: {:?}", made.unsure);
    }
    let alone = brought("Ingredient;g\nUrea;1,000\nGlycerin;20\n", Wishes::default());
    assert!(alone.unsure.iter().any(|unsure| unsure.says.contains("it may be")), "{:?}", alone.unsure);
}

#[test]
fn the_water_takes_the_rest_only_where_that_is_wished_or_said() {
    let table = "Ingredient,%\nWater,80\nGlycerin,5\nUrea,5\n";
    let kept = brought(table, Wishes::default());
    assert_eq!(amount_of(&kept.text, "water").as_deref(), Some("80 %"));
    assert!(kept.unsure.iter().any(|unsure| unsure.says.contains("10 % missing")), "{:?}", kept.unsure);
    let rest = brought(table, Wishes { rest: true, ..Wishes::default() });
    assert_eq!(amount_of(&rest.text, "water").as_deref(), Some("q.s."));
    assert!(rest.text.contains("80"), "{}", rest.text);
    assert!(rest.told.iter().any(|told| told.contains("the rest, 90 %")), "{:?}", rest.told);
    let none = brought("Ingredient,%\nGlycerin,5\nUrea,5\n", Wishes { rest: true, ..Wishes::default() });
    assert!(none.unsure.iter().any(|unsure| unsure.says.contains("no line is plain water")), "{:?}", none.unsure);
    for words in [
        "q.s.",
        "qs to 100",
        "ad 100",
        "to 100 %",
        "rest",
        "remainder",
        "balance",
        "up to 100",
        "auf 100",
        "q.s.p. 100",
    ] {
        let made = brought(&format!("Ingredient;%\nWater;{words}\nGlycerin;5\n"), Wishes::default());
        assert_eq!(amount_of(&made.text, "water").as_deref(), Some("q.s."), "{words}: {}", made.text);
    }
}

#[test]
fn what_sets_the_ph_never_takes_the_rest() {
    let made = brought("Ingredient;%\nWater;90\nGlycerin;10\nSodium hydroxide 10 %;q.s.\n", Wishes::default());
    assert_eq!(amount_of(&made.text, "sodium-hydroxide-10").as_deref(), Some("0 %"), "{}", made.text);
    assert!(made.unsure.iter().any(|unsure| unsure.line == 4), "{:?}", made.unsure);
}

#[test]
fn figures_without_a_unit_are_what_they_are_said_to_be() {
    let table = "Ingredient,Amount\nWater,30\nGlycerin,10\n";
    let grams = brought(table, Wishes { figures: Some(Figures::Grams), ..Wishes::default() });
    assert_eq!(amount_of(&grams.text, "glycerin").as_deref(), Some("25 %"));
    let percent = brought(table, Wishes { figures: Some(Figures::Percent), ..Wishes::default() });
    assert_eq!(amount_of(&percent.text, "glycerin").as_deref(), Some("10 %"));
}

#[test]
fn percent_count_where_grams_stand_beside_them() {
    for rest in ["to 100", "qs", "q.s. to 100", "balance", "84", ""] {
        for batch in [50, 100, 200] {
            let grams = |percent: i32| f64::from(percent * batch) / 100.0;
            let (water, glycerin, urea) = (grams(84), grams(15), grams(1));
            let table = format!("Ingredient,%,grams\nWater,{rest},{water}\nGlycerin,15%,{glycerin}\nUrea,1%,{urea}\n");
            let made = brought(&table, Wishes::default());
            let water = if matches!(rest, "84" | "") { "84 %" } else { "q.s." };
            assert_eq!(amount_of(&made.text, "water").as_deref(), Some(water), "{table}{}", made.text);
            assert_eq!(amount_of(&made.text, "glycerin").as_deref(), Some("15 %"), "{table}{}", made.text);
            assert_eq!(amount_of(&made.text, "urea").as_deref(), Some("1 %"), "{table}{}", made.text);
            assert_eq!(made.unsure.iter().any(|unsure| unsure.line == 2), rest.is_empty(), "{:?}", made.unsure);
            let makes = format!("makes {batch} g");
            let is_made = |line: &str| line.split_whitespace().collect::<Vec<_>>().join(" ") == makes;
            assert!(made.text.lines().any(is_made), "{}", made.text);
        }
    }
    let by_grams = "Ingredient,%,grams\nWater,to 100,42\nGlycerin,15,7.5\nUrea,,0.5\n";
    for table in [by_grams, &by_grams.replace("15", "")] {
        let made = brought(table, Wishes { figures: Some(Figures::Grams), ..Wishes::default() });
        assert_eq!(amount_of(&made.text, "glycerin").as_deref(), Some("15 %"), "{table}{}", made.text);
        assert_eq!(amount_of(&made.text, "water").as_deref(), Some("84 %"), "{table}{}", made.text);
    }
    let table = "Ingredient,%,grams\nWater,84,42\nGlycerin,15,9.5\nUrea,1,0.5\n";
    let made = brought(table, Wishes::default());
    assert_eq!(amount_of(&made.text, "glycerin").as_deref(), Some("15 %"));
    let glycerin = made.text.lines().find(|line| line.contains("glycerin ")).unwrap();
    assert!(glycerin.contains("9.5 g would be 19 % of 50 g"), "{glycerin}");
    let lines: Vec<usize> = made.unsure.iter().map(|unsure| unsure.line).collect();
    assert_eq!(lines, [3], "{:?}", made.unsure);
    let grams = brought(table, Wishes { figures: Some(Figures::Grams), ..Wishes::default() });
    assert_eq!(amount_of(&grams.text, "glycerin").as_deref(), Some("(9.5 / 52 * 100 %)"));
}

#[test]
fn the_column_of_units_counts_row_by_row() {
    for heading in ["Unit", "Einheit", "UoM", ""] {
        let table =
            format!("Ingredient,Qty,{heading}\nWater,80,g\nUrea,500,mg\nGlycerin,0.0195,kg\nPropanediol,2,tsp\n");
        let made = brought(&table, Wishes::default());
        assert_eq!(amount_of(&made.text, "urea").as_deref(), Some("0.5 g"), "{table}{}", made.text);
        assert_eq!(amount_of(&made.text, "glycerin").as_deref(), Some("19.5 g"), "{table}{}", made.text);
        assert_eq!(amount_of(&made.text, "propanediol").as_deref(), Some("0 g"), "{}", made.text);
        let lines: Vec<usize> = made.unsure.iter().map(|unsure| unsure.line).collect();
        assert_eq!(lines, [5], "{:?}", made.unsure);
        assert!(!made.told.iter().any(|told| told.contains("No unit")), "{:?}", made.told);
    }
}

#[test]
fn a_line_with_an_amount_that_is_not_read_is_told() {
    let made = brought(
        "SOME 5 % OF A GOOD THING OR OTHER AND MORE OF IT THAN THAT\nUrea 60 %\nGlycerin 40 %\n",
        Wishes::default(),
    );
    assert!(made.unsure.iter().any(|unsure| unsure.line == 1), "{:?}\n{}", made.unsure, made.text);
}

#[test]
fn bytes_are_read_in_the_encoding_they_are_in() {
    let table = "Zutat;%\nWasser;60\nBlütenöl;40\n";
    let utf16 = |big: bool| {
        let units = table.encode_utf16();
        units.flat_map(|unit| if big { unit.to_be_bytes() } else { unit.to_le_bytes() }).collect::<Vec<u8>>()
    };
    let latin: Vec<u8> = table.chars().map(|letter| u8::try_from(u32::from(letter)).unwrap()).collect();
    let marked = [&[0xef, 0xbb, 0xbf], table.as_bytes()].concat();
    let windows = table.replace('\n', "\r\n").into_bytes();
    for bytes in [table.as_bytes().to_vec(), utf16(false), utf16(true), latin, marked, windows] {
        let made = bring(&bytes, &Wishes { name: "made".into(), ..Wishes::default() });
        assert!(made.text.contains("name  \"Blütenöl\""), "{}", made.text);
        assert!(made.text.contains("bluetenoel  40 %"), "{}", made.text);
    }
}

#[test]
fn what_hides_is_shown() {
    let made = brought("Ingredient;%\nUrea\u{202e};60\nGly\u{200b}cerin;40\n", Wishes::default());
    assert!(made.text.contains("<U+202E>") && made.text.contains("<U+200B>"), "{}", made.text);
    assert!(!made.text.contains(['\u{202e}', '\u{200b}']));
    assert_eq!(checked(&made.text, |report| report.formulas.len()), 1);
}
