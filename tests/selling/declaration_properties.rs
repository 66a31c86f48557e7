//! Declarations of formulas made up at random: their entries add to 100 %, swapping two lines or two phases changes
//! nothing, splitting a line changes nothing, and what is proven holds of every batch that could be made.

use crate::declaration::{assert_adds_to_100, declared_anyway, declared_of_batch};
use proptest::prelude::*;
use stillroom::label::Declaration;
use stillroom::quantity::Exact;
use stillroom::syntax::vocabulary::Market::{self, Au, Eu, Uk, Us};

/// Materials of every kind: whole, dissolved, on a range, undisclosed, named by weight, scents, colourants, and impurities.
const MATERIALS: &[(&str, &str)] = &[
    ("glycerin", ""),
    ("shea-butter", ""),
    ("lavender-oil", ""),
    ("pink-clay", ""),
    ("rose-water", "material rose-water {\ncontains rosa-damascena-flower-water 100 %\nrole solvent\n}"),
    ("syrup", "material syrup {\ncontains glycerin 40 %, water remainder\nrole humectant\n}"),
    (
        "blend",
        "material blend {\ncontains phenoxyethanol 85 % to 91 %, ethylhexylglycerin remainder\nrole preservative\n}",
    ),
    ("secret", "material secret {\ncontains betaine 20 %, panthenol, allantoin\nrole active\n}"),
    ("oils", "material oils {\ncontains in order helianthus-annuus-seed-oil, squalane, tocopherol\nrole emollient\n}"),
    ("crude", "material crude {\ncontains urea 100 %, linalool 200 ppm trace\nrole humectant\n}"),
    (
        "perfume",
        "material perfume {\ncontains linalool 1 % to 12 %, limonene 0.5 %, coumarin remainder\nrole fragrance\n}",
    ),
    ("taste", "material taste {\ncontains citral 3 %, helianthus-annuus-seed-oil remainder\nrole flavour\n}"),
    ("rust", "material rust {\ncontains iron-oxide-red 60 %, ricinus-communis-seed-oil remainder\nrole colourant\n}"),
];

/// Which materials, and hundredths of a percent of each; and how much is held back for an adjuster, where there is one.
fn a_formula() -> impl Strategy<Value = (Vec<(usize, u32)>, Option<u32>)> {
    let line = (0..MATERIALS.len(), prop_oneof![1..30_u32, 90..110_u32, 100..700_u32]);
    let lines = prop::collection::vec(line, 2..8).prop_map(|mut lines| {
        lines.sort_unstable();
        lines.dedup_by_key(|(material, _)| *material);
        lines
    });
    (lines, prop::option::of(1..12_u32))
}

fn formula(lines: &[String], held_back: Option<u32>) -> String {
    let declared: Vec<&str> = MATERIALS.iter().map(|(_, declared)| *declared).collect();
    let mut all: Vec<String> = lines.to_vec();
    let mut header = "";
    if let Some(held_back) = held_back {
        header = "pH 4.0 to 4.6\n";
        all.push("lactic-acid-80 2 %".into());
        all.push("sodium-hydroxide-10 q.s. to pH".into());
        all.insert(0, format!("water q.s. hold back {held_back} %"));
    } else {
        all.push("water q.s.".into());
    }
    let middle = all.len() / 2;
    // Two phases, so that a line may move from one to the other.
    format!(
        "use shelf/all\n{}\nformula f {{\ntitle \"A case\"\nversion \"1\"\nproduct leave-on body\nmakes 1000 g\nscale 0.001 g\n\
         {header}phase A {{\n{}\n}}\nphase B {{\n{}\n}}\n}}\n",
        declared.join("\n"),
        all[..middle].join("\n"),
        all[middle..].join("\n")
    )
}

fn written(lines: &[(usize, u32)]) -> Vec<String> {
    lines.iter().map(|(at, hundredths)| format!("{} {}", MATERIALS[*at].0, percent(*hundredths))).collect()
}

fn percent(hundredths: u32) -> String {
    format!("{}.{:02} %", hundredths / 100, hundredths % 100)
}

fn alike(one: &Declaration, other: &Declaration) -> Result<(), TestCaseError> {
    prop_assert_eq!(one.text(), other.text());
    prop_assert_eq!(&one.entries, &other.entries);
    prop_assert_eq!(&one.unproven, &other.unproven);
    prop_assert_eq!(&one.settles, &other.settles);
    prop_assert_eq!(&one.undisclosed, &other.undisclosed);
    prop_assert_eq!(&one.notes, &other.notes);
    Ok(())
}

fn markets() -> impl Strategy<Value = Market> {
    prop_oneof![Just(Eu), Just(Uk), Just(Us), Just(Au)]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn swapping_two_lines_changes_no_declaration_and_entries_add_to_100(
        (lines, held_back) in a_formula(),
        market in markets(),
        swapped in any::<(prop::sample::Index, prop::sample::Index)>(),
        split in any::<prop::sample::Index>(),
    ) {
        let written = written(&lines);
        let text = formula(&written, held_back);
        let found = declared_anyway(&text, market, DAY);
        assert_adds_to_100(&found, &text);
        let mut other = written.clone();
        other.swap(swapped.0.index(written.len()), swapped.1.index(written.len()));
        alike(&found, &declared_anyway(&formula(&other, held_back), market, DAY))?;
        // A line in two, by way of a premix of it and what it is.
        let at = split.index(lines.len());
        let (material, hundredths) = lines[at];
        prop_assume!(hundredths >= 2 && hundredths % 2 == 0);
        let mut apart = written.clone();
        apart[at] = format!("{} {}\nhalf {}", MATERIALS[material].0, percent(hundredths / 2), percent(hundredths / 2));
        let premix = format!(
            "formula half {{\nproduct stock\nversion \"1\"\nmakes 100 g\nphase A {{\n{} 100 %\n}}\n}}\n",
            MATERIALS[material].0
        );
        let apart = format!("{}{premix}", formula(&apart, held_back));
        let apart = declared_anyway(&apart, market, DAY);
        alike(&found, &apart)?;
    }
}

const DAY: &str = "2026-11-25";

/// What the bench makes of a formula: every dose of adjuster is a batch, and each batch's own declaration lies within the
/// formula's and follows its order where that is proven.
#[test]
fn every_batch_lies_within_the_formula_and_keeps_to_its_order_where_that_is_proven() {
    let text = |record: &str| {
        let lines = ["glycerin 3 %".to_string(), "panthenol 1.2 %".to_string()];
        format!("{}{record}", formula(&lines, Some(8)))
    };
    let planned = declared_anyway(&text(""), Eu, DAY);
    assert!(planned.is_proven(), "{planned:#?}");
    for dose in [0, 5, 37, 80] {
        // A kilogram: the water less what is held back, then soda, then water up to it.
        let left = 80 - dose;
        let mut record = "batch b {\nformula f version \"1\"\nstarted 2026-11-20\nsize 1000 g\nweighed water 858 g\n\
                          weighed glycerin 30 g\nweighed panthenol 12 g\nweighed lactic-acid-80 20 g\n"
            .to_string();
        if dose > 0 {
            record.push_str(&format!("added sodium-hydroxide-10 {dose} g\n"));
        }
        if left > 0 {
            record.push_str(&format!("topped-up water {left} g\n"));
        }
        record.push_str("reading pH 4.2\nfilled 10 x 90 g as \"B\"\n}\n");
        let made = declared_of_batch(&text(&record), Eu, DAY);
        assert_adds_to_100(&made, &record);
        for entry in &made.entries {
            let within = planned.entries.iter().find(|planned| planned.name == entry.name).unwrap();
            assert!(within.share.low <= entry.share.low && entry.share.high <= within.share.high, "{entry:?}");
        }
        let bound = |found: &Declaration| -> Vec<String> {
            let those = found.entries.iter().filter(|entry| entry.share.low >= Exact::ONE);
            those.map(|entry| entry.name.clone()).collect()
        };
        let all: Vec<String> = planned.entries.iter().map(|entry| entry.name.clone()).collect();
        let places: Vec<usize> =
            bound(&made).iter().map(|name| all.iter().position(|known| known == name).unwrap()).collect();
        assert!(places.is_sorted(), "{dose} g: {places:?}");
    }
}

#[test]
fn a_spill_changes_no_declaration() {
    let text = |spilt: &str| {
        let lines = ["glycerin 3 %".to_string(), "panthenol 1.2 %".to_string()];
        format!(
            "{}batch b {{\nformula f version \"1\"\nstarted 2026-11-20\nsize 1000 g\nweighed water 858 g\nweighed glycerin 30 \
             g\nweighed panthenol 12 g\nweighed lactic-acid-80 20 g\nadded sodium-hydroxide-10 41.7 g\ntopped-up water 38.3 \
             g\n{spilt}reading pH 4.2\nfilled 10 x 90 g as \"B\"\n}}\n",
            formula(&lines, Some(8))
        )
    };
    let of = |spilt: &str| declared_of_batch(&text(spilt), Eu, DAY);
    let (whole, spilt) = (of(""), of("removed 33.7 g because \"spilt\"\n"));
    assert_eq!(whole.entries, spilt.entries);
    assert_eq!(whole.text(), spilt.text());
    let soda = whole.entries.iter().find(|entry| entry.name == "Sodium Hydroxide").expect("the adjuster that went in");
    assert_eq!(soda.share.low, Exact::ratio(417, 1000));
}
