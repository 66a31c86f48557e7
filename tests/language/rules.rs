//! Rules of markets and of the house, against published limits. `tests/data/limits.json` holds the limits with the
//! annex and entry each stands in; that entry is the source of every check in the tables here.

use crate::common::folder;
use serde_json::Value;
use stillroom::diagnostic::{Code, Diagnostic, Level};
use stillroom::quantity::Exact;
use stillroom::session::check;
use stillroom::sheet::BatchOrder;

fn data() -> Value {
    serde_json::from_str(include_str!("../data/limits.json")).unwrap()
}

fn rows(name: &str) -> Vec<Value> {
    data()[name].as_array().unwrap().clone()
}

fn word<'v>(row: &'v Value, key: &str) -> &'v str {
    row[key].as_str().unwrap_or_else(|| panic!("{row} has no {key}"))
}

fn exact(text: &str) -> Exact {
    Exact::parse(text).unwrap()
}

/// What is told of a text on a day.
fn told(text: &str, on: Option<&str>) -> Vec<Diagnostic> {
    let folder = folder(&[("formula.still", text.as_bytes())]);
    let loaded = folder.load();
    let order = BatchOrder { on: on.map(Into::into), ..BatchOrder::default() };
    check(&loaded.sources, &order, false).diagnostics.to_vec()
}

fn codes(text: &str) -> Vec<String> {
    told(text, None).iter().map(|fault| fault.code.to_string()).collect()
}

fn remark(text: &str, on: Option<&str>) -> Option<String> {
    let folder = folder(&[("formula.still", text.as_bytes())]);
    let loaded = folder.load();
    let order = BatchOrder { on: on.map(Into::into), ..BatchOrder::default() };
    check(&loaded.sources, &order, false).formulas[0].remark.clone()
}

/// A formula of a base and one substance that is declared at home, by what `facts` says of it.
fn probe(market: &str, product: &str, facts: &str, percent: &str) -> String {
    format!(
        "substance base {{ inci \"Helianthus Annuus Seed Oil\" }}\nmaterial base {{ contains base 100 % }}\n\
         substance probe {{\n{facts}\n}}\nmaterial probe {{ contains probe 100 % }}\n\
         formula f {{\n  title \"F\"\n  version \"1\"\n  product {product}\n  market {market}\n  makes 100 g\n  \
         scale 0.001 g\n  phase A {{\n    base q.s.\n    probe {percent} %\n  }}\n}}\n"
    )
}

/// A formula of shelf materials.
fn formula(header: &str, lines: &str) -> String {
    format!(
        "use shelf/all\nformula f {{\n  title \"F\"\n  version \"1\"\n  makes 100 g\n  scale 0.01 g\n  {header}\n  \
         phase A {{\n    {lines}\n  }}\n}}\n"
    )
}

fn cas(number: &str) -> String {
    format!("  inci \"Something Declared At Home\"\n  cas \"{number}\"")
}

/// The decimals of a figure with a little added to its end.
fn just_over(limit: &str) -> String {
    let limit = exact(limit);
    (&limit + &(&limit * &Exact::ratio(1, 1000))).to_significant(12)
}

fn of_source(faults: &[Diagnostic], code: Code, source: &str) -> usize {
    faults.iter().filter(|fault| fault.code == code && fault.source.as_deref() == Some(source)).count()
}

#[test]
fn a_limit_is_kept_to_the_last_and_broken_just_over_it() {
    let limits = rows("limits");
    assert!(limits.len() >= 40);
    let mut problems = Vec::new();
    for row in &limits {
        let (id, limit, source) = (word(row, "id"), word(row, "limit_percent"), word(row, "source"));
        let day = row["effective_from"].as_str().unwrap_or("2026-11-25").max("2026-11-25");
        let at = |percent: &str| told(&probe("eu", word(row, "product"), &cas(word(row, "cas")), percent), Some(day));
        if of_source(&at(limit), Code::RuleBroken, source) != 0 {
            problems.push(format!("{id}: broken at the limit of {limit} %"));
        }
        let over = of_source(&at(&just_over(limit)), Code::RuleBroken, source);
        if over != 1 {
            problems.push(format!("{id}: told {over} times just over {limit} %"));
        }
    }
    assert!(problems.is_empty(), "{}", problems.join("\n"));
}

#[test]
fn a_rule_waits_for_its_day() {
    let dated: Vec<Value> = rows("limits").into_iter().filter(|row| row["effective_from"].is_string()).collect();
    assert!(dated.len() >= 12);
    for row in dated {
        let from = word(&row, "effective_from");
        // The day before, as far as dates that begin a month need it.
        let before = format!("{}-12-31", from[..4].parse::<u32>().unwrap() - 1);
        let text = probe("eu", word(&row, "product"), &cas(word(&row, "cas")), &just_over(word(&row, "limit_percent")));
        let broken = |day: &str| of_source(&told(&text, Some(day)), Code::RuleBroken, word(&row, "source"));
        assert_eq!(broken(&before), 0, "{row}");
        assert_eq!(broken(from), 1, "{row}");
    }
}

#[test]
fn what_is_prohibited_is_told_of_at_any_strength() {
    let mut problems = Vec::new();
    for row in rows("prohibited") {
        let day = row["effective_from"].as_str().unwrap_or("2026-11-25").max("2026-11-25");
        let faults = told(&probe("eu", "leave-on face", &cas(word(&row, "cas")), "0.001"), Some(day));
        if of_source(&faults, Code::RuleForbids, word(&row, "source")) != 1 {
            problems.push(format!("{row}"));
        }
    }
    assert!(problems.is_empty(), "{}", problems.join("\n"));
}

#[test]
fn an_allergen_is_named_above_its_threshold_and_not_at_it() {
    let mut problems = Vec::new();
    for row in rows("fragrance_allergens") {
        let facts = match row["cas"].as_str() {
            Some(number) => cas(number),
            None => format!("  inci \"{}\"", word(&row, "inci").to_uppercase()),
        };
        for (product, threshold) in
            [("leave-on face", "leave_on_threshold_percent"), ("rinse-off body", "rinse_off_threshold_percent")]
        {
            let named = |percent: &str, day: Option<&str>| {
                let faults = told(&probe("eu", product, &facts, percent), day);
                let entry = format!("Annex III, entry {}", word(&row, "entry"));
                let named = faults.iter().filter(|fault| fault.code == Code::DeclareAllergen);
                named
                    .filter(|fault| fault.source.as_ref().unwrap().split(';').next().unwrap().ends_with(&entry))
                    .count()
            };
            let limit = word(&row, threshold);
            if (named(limit, None), named(&just_over(limit), None)) != (0, 1) {
                problems.push(format!("{}, {product}", word(&row, "label_as")));
            }
            if let Some(from) = row["required_for_new_products_from"].as_str() {
                // The footnotes of Regulation (EU) 2023/1545: what does not comply may be placed on the market until 31 July.
                assert_eq!(named("0.1", Some("2026-07-31")), 0, "{row}");
                assert_eq!(named("0.1", Some(from)), 1, "{row}");
            }
        }
    }
    assert!(problems.is_empty(), "{}", problems.join("\n"));
}

/// `acid_equivalents` of the data: what a salt or an ester counts for as the acid, or as retinol, zinc …
#[test]
fn salts_and_esters_are_counted_as_what_the_limit_names() {
    // Ingredient, its CAS number, product, the limit it counts under, the annex and entry.
    let cases = [
        ("Sodium Benzoate", "532-32-1", "leave-on face", "0.5", "Annex V, entry 1"),
        ("Potassium Sorbate", "24634-61-5", "leave-on face", "0.6", "Annex V, entry 4"),
        ("Sodium Dehydroacetate (anhydrous)", "4418-26-2", "leave-on face", "0.6", "Annex V, entry 13"),
        ("Sodium Salicylate", "54-21-7", "leave-on face", "0.5", "Annex V, entry 3"),
        ("Methylparaben", "99-76-3", "leave-on face", "0.4", "Annex V, entry 12"),
        ("Ethylparaben", "120-47-8", "leave-on face", "0.4", "Annex V, entry 12"),
        ("Propylparaben", "94-13-3", "leave-on face", "0.14", "Annex V, entry 12a"),
        ("Butylparaben", "94-26-8", "leave-on face", "0.14", "Annex V, entry 12a"),
        ("Retinyl Palmitate", "79-81-2", "leave-on face", "0.3", "Regulation (EU) 2024/996"),
        ("Retinyl Acetate", "127-47-9", "leave-on face", "0.3", "Regulation (EU) 2024/996"),
        ("Zinc Gluconate", "4468-02-4", "leave-on face", "1", "Annex III, entry 24"),
        ("Zinc PCA", "15454-75-8", "leave-on face", "1", "Annex III, entry 24"),
        ("Zinc Sulfate Heptahydrate", "7446-20-0", "leave-on face", "1", "Annex III, entry 24"),
        ("Chlorhexidine Digluconate", "18472-51-0", "leave-on face", "0.3", "Annex V, entry 42"),
    ];
    let factors = rows("acid_equivalents");
    for (name, number, product, limit, entry) in cases {
        let row = factors.iter().find(|row| word(row, "ingredient") == name).unwrap_or_else(|| panic!("{name}"));
        // The factors have four digits: a thousandth to either side of what they give.
        let most = exact(limit).over(&exact(word(row, "factor"))).unwrap();
        let broken = |thousandths: i64| {
            let percent = (&most * &Exact::ratio(thousandths, 1000)).to_significant(8);
            let faults = told(&probe("eu", product, &cas(number), &percent), None);
            let of_entry = |fault: &&Diagnostic| fault.source.as_ref().is_some_and(|source| source.contains(entry));
            faults.iter().filter(|fault| fault.code == Code::RuleBroken).filter(of_entry).count()
        };
        assert_eq!((broken(999), broken(1001)), (0, 1), "{name} under {entry}");
    }
}

/// Regulation (EC) No 1223/2009, Annex V, entry 12: 0.8 % for the sum of parabens, 0.4 % for each.
#[test]
fn a_group_is_summed_over_materials_and_premixes() {
    let text = |percent: &str| {
        let head = |product: &str| {
            format!("  title \"F\"\n  version \"1\"\n  product {product}\n  makes 100 g\n  scale 0.01 g\n")
        };
        format!(
            "use shelf/all\nsubstance ethyl-home {{ inci \"ethylPARABEN\" }}\n\
             material ethyl-home {{ contains ethyl-home 100 % }}\n\
             formula blend {{\n{}  phase A {{\n    ethyl-home 50 %\n    methylparaben 50 %\n  }}\n}}\n\
             formula f {{\n{}  market eu\n  phase A {{\n    glycerin q.s.\n    blend {percent} %\n  }}\n}}\n",
            head("stock"),
            head("leave-on face")
        )
    };
    let broken = |percent: &str| {
        let faults = told(&text(percent), None);
        faults
            .iter()
            .filter(|fault| fault.code == Code::RuleBroken)
            .map(|fault| fault.message.clone())
            .collect::<Vec<_>>()
    };
    // Half and half, the mean factor is 0.8695: 0.92 % of the blend is 0.79996 % as acid.
    assert_eq!(broken("0.85"), Vec::<String>::new());
    let sum = broken("0.93");
    assert!(sum.iter().any(|message| message.contains("eu-v-12-sum")), "{sum:?}");
}

/// FDA Guidance for Industry: Labeling for Cosmetics Containing Alpha Hydroxy Acids, January 2005.
#[test]
fn glycolic_acid_in_the_united_states_asks_for_the_sunburn_alert() {
    let gel = |header: &str, acid: &str| {
        formula(
            &format!("product leave-on face\n  {header}"),
            &format!("water q.s.\n    glycolic-acid-70 {acid} % active"),
        )
    };
    let faults = told(&gel("market us\n  pH 3.6 to 4.0", "6"), None);
    let told_of: Vec<&Diagnostic> = faults.iter().filter(|fault| fault.code == Code::RuleNeedsStatement).collect();
    assert_eq!(told_of.len(), 1);
    assert!(told_of[0].help.as_ref().unwrap().contains("Sunburn Alert: This product contains"));
    assert!(told_of[0].source.as_ref().unwrap().starts_with("FDA, Guidance for Industry"));
    // Cosmetic Ingredient Review: 10 % at pH 3.5 or over. An opinion, so a warning.
    let broken = |text: &str| -> Vec<Level> {
        told(text, None).iter().filter(|fault| fault.code == Code::RuleBroken).map(|fault| fault.level).collect()
    };
    assert_eq!(broken(&gel("market us\n  pH 3.5 to 4.0", "10")), []);
    assert_eq!(broken(&gel("market us\n  pH 3.5 to 4.0", "10.01")), [Level::Warning]);
    // A window is a promise: that any part of it misses is enough.
    assert_eq!(broken(&gel("market us\n  pH 3.4 to 4.0", "10")), [Level::Warning]);
    assert_eq!(broken(&gel("market us\n  pH at least 3.5", "10")), []);
    assert!(codes(&gel("market us", "6")).contains(&"rule-unproven".to_string()));
    // SCCNFP/0370/00: 4 % at pH 3.8 or over in the European Union, an opinion too.
    assert_eq!(broken(&gel("market eu\n  pH 3.8 to 4.0", "4")), []);
    assert_eq!(broken(&gel("market eu\n  pH 3.7 to 4.0", "4.1")), [Level::Warning, Level::Warning]);
    // No market, no rule of one.
    assert!(!codes(&gel("pH 3.0 to 4.0", "12")).iter().any(|code| code.starts_with("rule-")));
}

#[test]
fn a_market_without_rules_is_said_to_have_none_and_no_other_stands_in() {
    for market in ["ca", "au"] {
        let text = probe(market, "leave-on face", &cas("122-99-6"), "5");
        assert_eq!(codes(&text), ["market-unknown"], "{market}");
        assert_eq!(remark(&text, None), None);
    }
    let stock = probe("uk", "stock", &cas("122-99-6"), "5");
    assert_eq!(codes(&stock), [""; 0]);
    // A stock is not asked about the markets that are known either: Annex V, entry 29 allows 1 %.
    assert_eq!(codes(&probe("eu", "stock", &cas("122-99-6"), "5")), [""; 0]);
}

/// A house rule over its own formula.
fn house(rule: &str, header: &str, lines: &str) -> String {
    format!(
        "substance oil {{ inci \"Helianthus Annuus Seed Oil\" }}\nsubstance menthol {{ inci \"Menthol\" }}\n\
         material oil {{ role emollient }}\nmaterial menthol {{ role active }}\n\
         material mint {{\n  contains menthol 5 % to 15 %, oil remainder\n}}\n\
         material secret {{\n  contains oil, menthol\n}}\n\
         rule house {{\n  {rule}\n  source \"house rule\"\n}}\n\
         formula f {{\n  title \"F\"\n  version \"1\"\n  {header}\n  makes 100 g\n  scale 0.01 g\n  phase A {{\n    oil q.s.\n    \
         {lines}\n  }}\n}}\n"
    )
}

fn of_rules(text: &str) -> Vec<String> {
    told(text, None)
        .iter()
        .map(|fault| fault.code.to_string())
        .filter(|code| code.starts_with("rule-") || code == "declare-allergen" || code == "syntax")
        .collect()
}

#[test]
fn over_a_range_a_limit_holds_is_broken_or_cannot_be_shown() {
    let of = |lines: &str| of_rules(&house("limit menthol to 1 %", "product leave-on", lines));
    assert_eq!(of("mint 6.66 %"), [""; 0]);
    assert_eq!(of("mint 10 %"), ["rule-unproven"]);
    assert_eq!(of("mint 20 %"), ["rule-unproven"]);
    assert_eq!(of("mint 20.1 %"), ["rule-broken"]);
    assert_eq!(of("secret 2 %"), ["rule-unproven"]);
    assert_eq!(of("secret 1 %"), [""; 0]);
    let faults = told(&house("limit menthol to 1 %", "product leave-on", "mint 10 %"), None);
    let unproven = faults.iter().find(|fault| fault.code == Code::RuleUnproven).unwrap();
    assert!(unproven.help.as_ref().unwrap().contains("`mint` is known only as 5 % to 15 %"), "{unproven:?}");
    assert_eq!(unproven.source.as_deref(), Some("house rule"));
}

#[test]
fn the_day_is_the_commands_then_the_formulas_then_the_shelfs() {
    let text = |date: &str| probe("eu", &format!("leave-on lip{date}"), &cas("5392-40-5"), "0.5");
    // Commission Regulation (EU) 2026/909: citral in lip products 0.11 % from 1 January 2027.
    let broken = |date: &str, on: Option<&str>| {
        told(&text(date), on).iter().filter(|fault| fault.code == Code::RuleBroken).count()
    };
    assert_eq!(broken("", None), 0);
    assert_eq!(broken("\n  date 2027-01-01", None), 1);
    assert_eq!(broken("\n  date 2027-01-01", Some("2026-12-31")), 0);
    let said = remark(&text(""), None).unwrap();
    assert!(said.starts_with("Rules of eu as on 2026-11-25 (the edition of the shelf); next, "), "{said}");
    assert!(said.contains("on 2027-01-01") && said.ends_with("This is no safety assessment."), "{said}");
    let said = remark(&text("\n  date 2027-07-01"), None).unwrap();
    assert!(said.contains("2027-07-01 (the formula's `date`); no later change is known"), "{said}");
    assert!(
        remark(&text(""), Some("2024-01-01"))
            .unwrap()
            .contains("(`--on`); next, 1 rule comes into force on 2024-07-31")
    );
}

#[test]
fn what_is_allowed_leaves_the_list_and_a_fault_of_the_total_keeps_rules_silent() {
    let allowed =
        house("limit menthol to 1 %", "product leave-on", "menthol 2 %  allow rule-broken because \"a trial\"");
    assert_eq!(of_rules(&allowed), [""; 0]);
    assert_eq!(codes(&allowed), ["material-unused", "material-unused"]);
    let over = house("limit menthol to 1 %", "product leave-on", "menthol 102 %");
    assert!(of_rules(&over).is_empty());
}

/// Two rules that bite on one line are told of apart; of one source only the strictest.
#[test]
fn of_one_source_only_the_strictest_limit_is_told() {
    // Annex III, entry 98: 0.5 % in body lotion, 2 % in others, 3 % in rinsed-off hair care.
    let faults = told(&probe("eu", "leave-on body", &cas("69-72-7"), "4"), None);
    let of_entry: Vec<&Diagnostic> = faults
        .iter()
        .filter(|fault| fault.code == Code::RuleBroken)
        .filter(|fault| fault.source.as_ref().unwrap().ends_with("Annex III, entry 98"))
        .collect();
    assert_eq!(of_entry.len(), 1);
    assert!(of_entry[0].message.contains("eu-iii-98-body-eye-lip"), "{}", of_entry[0].message);
}

/// `docs/markets.md` says how many rules there are; here they are counted. A rule of several markets is one of
/// each, and one of none too.
#[test]
fn the_page_of_markets_counts_right() {
    let page = include_str!("../../docs/markets.md");
    let files = [
        include_str!("../../src/shelf/rules-eu.still"),
        include_str!("../../src/shelf/rules-uk.still"),
        include_str!("../../src/shelf/rules-us.still"),
        include_str!("../../src/shelf/rules-standards.still"),
    ];
    let rules: Vec<&str> = files.iter().flat_map(|text| text.split("\nrule ").skip(1)).collect();
    let is_of = |rule: &&&str, market: &str| {
        let lines: Vec<&str> = rule.lines().filter_map(|line| line.trim().strip_prefix("market")).collect();
        let names = |line: &&str| line.split('"').next().unwrap().split([' ', ',']).any(|word| word == market);
        lines.is_empty() || lines.iter().any(names)
    };
    let count =
        |market: &str, word: &str| rules.iter().filter(|rule| is_of(rule, market) && rule.contains(word)).count();
    for (row, word) in [
        ("rules in all", "\n  source "),
        ("with a limit", "\n  limit "),
        ("that forbid", "\n  forbid "),
        ("that name an allergen on the label", "\n  declare "),
        ("with a statement for the label", "\n  print "),
        ("that require a pH", "\n  require "),
        ("that hold from a day on", "\n  from "),
        ("of level warning", "\n  level    warning"),
        ("of level note", "\n  level    note"),
        ("marked as not verified", "not verified"),
    ] {
        let wanted = format!("| {row} | {} | {} | {} |", count("eu", word), count("uk", word), count("us", word));
        assert!(page.contains(&wanted), "{wanted}");
    }
}
