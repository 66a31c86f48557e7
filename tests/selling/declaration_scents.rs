//! Rules of scents, allergens and salts, one by one at their edges. The numbers are those of the project's list of rules: S
//! scents, A allergens, F salts.

use crate::declaration::declared_in;
use crate::declaration_case::{DAY, formula, label, names, notes, part, point, share};
use stillroom::label::{DeclaredBasis, NoteCode};
use stillroom::quantity::Exact;
use stillroom::syntax::vocabulary::Market::{Ca, Eu, Uk, Us};

/// A scent of which so much is linalool, at so much of the product.
fn scented(linalool: &str, of: &str) -> (String, String) {
    let more = format!("material perfume {{ contains linalool {linalool}, scent-base remainder  role fragrance }}");
    (more, format!("sunflower-oil q.s.\nbeeswax 12 %\nperfume {of}"))
}

#[test]
fn s1_a_scent_is_one_entry_at_the_weight_of_all_that_is_in_it() {
    let more = "material one { contains linalool 0.001 %, scent-base remainder  role fragrance }\n\
                material two { contains scent-base 40 %, water remainder  role fragrance }\n\
                material taste { contains glycerin 100 %  role flavour }\n\
                material both { contains betaine 100 %  role fragrance, flavour }";
    let lines = "sunflower-oil q.s.\none 0.5 %\ntwo 0.25 %\ntaste 0.2 %";
    let eu = label(more, "", lines, Eu);
    assert_eq!(names(&eu), ["Helianthus Annuus Seed Oil", "Parfum", "Aroma"]);
    assert_eq!(share(&eu, "Parfum"), point("3/4"));
    let us = label(more, "", lines, Us);
    assert_eq!(names(&us)[1..], ["Fragrance", "Flavor"]);
    // What is both is named by both in the United States.
    assert_eq!(names(&label(more, "", "sunflower-oil q.s.\nboth 1 %", Us))[1], "Fragrance/Flavor");
}

#[test]
fn s1_a_scent_of_a_premix_is_a_scent() {
    let more = "material perfume { contains linalool 4 %, scent-base remainder  role fragrance }\n\
                formula in-oil {\nproduct stock\nmakes 100 g\nversion \"1\"\nphase A {\nperfume 50 %\nbeeswax 50 %\n}\n}";
    let text = formula(more, "", "sunflower-oil q.s.\nin-oil 1 %");
    let found = declared_in(&text, Eu, DAY);
    assert_eq!(names(&found), ["Helianthus Annuus Seed Oil", "Cera Alba", "Parfum", "Linalool"]);
    assert_eq!(share(&found, "Linalool"), point("1/50"));
}

#[test]
fn a1_an_allergen_is_named_above_its_threshold_and_not_at_it() {
    // 0.1 % of 1 % is 0.001 %; a hair more is above.
    for (product, at, above) in
        [("leave-on body", "0.1 %", "0.1001 %"), ("rinse-off body", "1 %", "1.0001 %"), ("baby", "0.1 %", "0.1001 %")]
    {
        for market in [Eu, Uk] {
            let header = format!("product {product}");
            let (more, lines) = scented(at, "1 %");
            let found = label(&more, &header, &lines, market);
            assert!(found.named.is_empty(), "{product}");
            assert_eq!(notes(&found).last(), Some(&(NoteCode::AllergenAtThreshold, "Linalool")));
            let (more, lines) = scented(above, "1 %");
            assert_eq!(label(&more, &header, &lines, market).named, ["Linalool"], "{product}");
        }
    }
}

#[test]
fn a2_all_sources_count_together_and_by_the_name_of_the_group() {
    // 0.0006 % in the scent, 0.0005 % that an oil brings.
    let more = "material perfume { contains geranial 0.06 %, scent-base remainder  role fragrance }\n\
                material oil { contains sunflower-oil 100 %  brings neral 0.005 %  role emollient }";
    let found = label(more, "", "beeswax q.s.\noil 10 %\nperfume 1 %", Eu);
    assert_eq!(found.named, ["Citral"]);
    assert_eq!(share(&found, "Citral"), point("11/10000"));
    assert_eq!(found.entries.last().unwrap().substances, ["geranial", "neral"]);
    let less = more.replace("0.005 %", "0.004 %");
    assert!(label(&less, "", "beeswax q.s.\noil 10 %\nperfume 1 %", Eu).named.is_empty(), "0.001 % together");
}

#[test]
fn a3_what_serves_otherwise_is_declared_once_whatever_its_share() {
    let found = label("", "", "water q.s.\nglycerin 2 %\nbenzyl-alcohol 0.0001 %", Eu);
    assert_eq!(names(&found), ["Aqua", "Glycerin", "Benzyl Alcohol"]);
    assert_eq!((found.named.as_slice(), part(&found, "Benzyl Alcohol")), (&["Benzyl Alcohol".to_string()][..], "free"));
    let more = "material perfume { contains benzyl-alcohol 20 %, scent-base remainder  role fragrance }";
    let both = label(more, "", "water q.s.\nglycerin 2 %\nbenzyl-alcohol 0.8 %\nperfume 1 %", Eu);
    assert_eq!(names(&both), ["Aqua", "Glycerin", "Parfum", "Benzyl Alcohol"]);
    assert_eq!(share(&both, "Benzyl Alcohol"), point("4/5"), "by what is not in Parfum");
}

#[test]
fn a4_a_whole_oil_counts_and_what_it_brings_beside_it() {
    let oil = |role: &str| {
        format!(
            "material lavender-oil {{ contains lavender 100 %  brings linalool 30 %, linalyl-acetate 40 %  role {role} }}"
        )
    };
    let lines = "sunflower-oil q.s.\nlavender-oil 0.5 %";
    let scent = label(&oil("fragrance"), "", lines, Eu);
    assert_eq!(names(&scent)[1..], ["Parfum", "Lavandula Oil/Extract", "Linalyl Acetate", "Linalool"]);
    let own = label(&oil("active"), "", lines, Eu);
    assert_eq!(names(&own)[1..], ["Lavandula Angustifolia Oil", "Linalyl Acetate", "Linalool"]);
    assert_eq!(notes(&own), [(NoteCode::AllergenUnderOwnName, "Lavandula Oil/Extract")]);
    // In the scent and beside it: the group is named out of the scent.
    let more = format!("{}\n{}", oil("active"), oil("fragrance").replace("material lavender-oil", "material scent"));
    let both = label(&more, "", &format!("{lines}\nscent 0.1 %"), Eu);
    assert!(both.named.contains(&"Lavandula Oil/Extract".to_string()), "{:?}", names(&both));
}

#[test]
fn a5_the_new_allergens_bind_from_the_first_of_august_2026_and_a6_not_in_great_britain() {
    let more = "material perfume { contains linalool 5 %, linalyl-acetate 5 %, scent-base remainder  role fragrance }";
    let text = formula(more, "", "sunflower-oil q.s.\nperfume 1 %");
    for (market, day, named) in [
        (Eu, "2026-07-31", &["Linalool"][..]),
        (Eu, "2026-08-01", &["Linalool", "Linalyl Acetate"]),
        (Uk, "2026-07-31", &["Linalool"]),
        (Uk, "2026-08-01", &["Linalool"]),
    ] {
        assert_eq!(declared_in(&text, market, day).named, named, "{market:?} {day}");
    }
}

#[test]
fn a7_the_united_states_have_no_rule_on_allergens_yet_and_other_markets_were_not_looked_at() {
    let (more, lines) = scented("5 %", "1 %");
    let us = label(&more, "", &lines, Us);
    assert_eq!(names(&us).last(), Some(&"Fragrance"));
    assert_eq!(notes(&us).last(), Some(&(NoteCode::AllergensNoRuleYet, "us")));
    let ca = label(&more, "", &lines, Ca);
    assert_eq!(notes(&ca).last(), Some(&(NoteCode::MarketNotChecked, "ca")));
    assert!(ca.named.is_empty());
}

#[test]
fn a8_a_range_that_may_be_above_is_named_and_not_sure() {
    let (more, lines) = scented("0.05 % to 0.11 %", "1 %");
    let found = label(&more, "", &lines, Eu);
    let linalool = found.entries.last().unwrap();
    assert_eq!((linalool.name.as_str(), linalool.sure), ("Linalool", false));
    // Up to the threshold and no further it is not named.
    let (more, lines) = scented("0.05 % to 0.1 %", "1 %");
    assert!(label(&more, "", &lines, Eu).named.is_empty());
}

#[test]
fn a9_no_name_of_an_allergen_has_a_blank_within_a_word() {
    let mut looked_at = 0;
    for file in stillroom::shelf::FILES.iter().filter(|file| file.name.starts_with("rules")) {
        for said in file.text.split("\"on the label as ").skip(1) {
            let name = said.split(['"', ';']).next().unwrap();
            assert!(!name.contains("/ ") && !name.contains("- ") && name.trim() == name, "{name}");
            looked_at += 1;
        }
    }
    assert!(looked_at > 100);
}

/// Lactic acid and soda, and the salt of both.
const LACTATE: &str = "substance sodium-lactate { inci \"Sodium Lactate\"  cas \"72-17-3\"  molar-mass 112.06 g/mol  \
                       salt of lactic-acid with 1 sodium }";

#[test]
fn f3_as_added_is_what_is_declared_unasked() {
    let found = label(LACTATE, "", "water q.s.\nlactic-80 5 % active\nsoda-10 8 %", Eu);
    assert_eq!(names(&found), ["Aqua", "Lactic Acid", "Sodium Hydroxide"]);
    assert_eq!((found.basis, found.not_formed), (DeclaredBasis::AsAdded, None));
}

#[test]
fn f3_as_formed_is_the_salt_and_what_is_left_over() {
    let lines = |soda: &str| format!("water q.s.\nlactic-80 9.008 % active\nsoda-10 {soda} %");
    // 0.1 mol of acid in 100 g, with half of it, all of it, and more than all of it in base.
    for (soda, rest, left) in [
        ("19.9985", vec!["Aqua", "Sodium Lactate", "Lactic Acid"], Some(("Lactic Acid", "563/125"))),
        ("39.997", vec!["Aqua", "Sodium Lactate"], None),
        ("49.997", vec!["Aqua", "Sodium Lactate", "Sodium Hydroxide"], Some(("Sodium Hydroxide", "1"))),
    ] {
        let found = label(LACTATE, "declare as formed", &lines(soda), Eu);
        assert_eq!(found.basis, DeclaredBasis::AsFormed);
        assert_eq!(names(&found), rest, "{soda}");
        if let Some((name, share_left)) = left {
            assert_eq!(share(&found, name), point(share_left));
        }
        let sum: Exact = found.entries.iter().map(|entry| entry.share.low.clone()).sum();
        assert_eq!(sum, Exact::HUNDRED, "{soda}");
    }
}

#[test]
fn f4_what_does_not_follow_from_the_amounts_is_declared_as_added_and_the_label_says_why() {
    let lines = "water q.s.\nlactic-80 5 % active\nsoda-10 8 %";
    let why = |more: &str, lines: &str| {
        let found = label(more, "declare as formed", lines, Eu);
        assert_eq!(found.basis, DeclaredBasis::AsAdded);
        found.not_formed.unwrap()
    };
    assert_eq!(why("", lines), "no salt of `lactic-acid` with the base is declared");
    assert_eq!(why(LACTATE, "water q.s.\nlactic-80 5 % active"), "there is no strong base");
    assert_eq!(why(LACTATE, "water q.s.\nsoda-10 5 %"), "there is no acid");
    let citric = format!(
        "{LACTATE}\nsubstance citric-acid {{ inci \"Citric Acid\"  cas \"77-92-9\"  molar-mass 192.12 g/mol  acid pKa 3.13, \
         4.76, 6.40 }}\nmaterial citric-acid {{ role ph-adjuster }}"
    );
    assert_eq!(why(&citric, &format!("{lines}\ncitric-acid 1 %")), "more than one acid");
    assert_eq!(
        why(&citric, "water q.s.\ncitric-acid 2 %\nsoda-10 8 %"),
        "`citric-acid` is an acid of more than one step"
    );
    let potash = format!(
        "{LACTATE}\nsubstance potash {{ inci \"Potassium Hydroxide\"  cas \"1310-58-3\"  molar-mass 56.105 g/mol  strong base \
         }}\nmaterial potash {{ role ph-adjuster  caution \"Gloves.\" }}"
    );
    assert_eq!(why(&potash, &format!("{lines}\npotash 0.5 %")), "more than one strong base");
    assert_eq!(
        why(&potash, "water q.s.\nlactic-80 5 % active\npotash 1 %"),
        "no salt of `lactic-acid` with the base is declared",
        "that of sodium is not that of potassium"
    );
    let arginine = format!(
        "{LACTATE}\nsubstance arginine {{ inci \"Arginine\"  cas \"74-79-3\"  molar-mass 174.2 g/mol  base pKa 8.99 \
         }}\nmaterial arginine {{ role ph-adjuster }}"
    );
    assert_eq!(why(&arginine, &format!("{lines}\narginine 1 %")), "`arginine` is a weak base");
    let lactone = format!(
        "{LACTATE}\nsubstance gluconic-acid {{ inci \"Gluconic Acid\"  cas \"526-95-4\"  molar-mass 196.16 g/mol  acid pKa 3.86 \
         }}\nsubstance lactone {{ inci \"Gluconolactone\"  cas \"90-80-2\"  molar-mass 178.14 g/mol  hydrolyses to \
         gluconic-acid }}\nmaterial lactone {{ role exfoliant }}"
    );
    assert_eq!(why(&lactone, &format!("{lines}\nlactone 1 %")), "`lactone` is one that turns into an acid with time");
    let benzoate = format!(
        "{LACTATE}\nsubstance benzoic-acid {{ inci \"Benzoic Acid\"  cas \"65-85-0\"  molar-mass 122.12 g/mol  acid pKa 4.2 \
         }}\nsubstance benzoate {{ inci \"Sodium Benzoate\"  cas \"532-32-1\"  molar-mass 144.1 g/mol  salt of benzoic-acid \
         with 1 sodium }}\nmaterial benzoate {{ role preservative }}"
    );
    assert_eq!(why(&benzoate, &format!("{lines}\nbenzoate 0.5 %")), "`benzoate` is a salt of something else");
    let secret = format!("{LACTATE}\nmaterial secret {{ contains betaine 40 %, glycerin  role humectant }}");
    assert_eq!(why(&secret, &format!("{lines}\nsecret 1 %")), "not all that is in `secret` is told");
    // What smells is one entry, whatever is in it, and takes no part.
    let scented = format!("{citric}\nmaterial smell {{ contains citric-acid 100 %  role fragrance }}");
    let found = label(&scented, "declare as formed", &format!("{lines}\nsmell 0.1 %"), Eu);
    assert_eq!(found.basis, DeclaredBasis::AsFormed);
}

#[test]
fn f4_with_a_range_or_an_adjuster_the_salt_is_a_range_too() {
    let header = "pH 3.6 to 4.0\ndeclare as formed";
    let lines = "water q.s. hold back 20 %\nlactic-80 9.008 % active\nsoda-10 q.s. to pH\nglycerin 40 %";
    let found = label(LACTATE, header, lines, Eu);
    assert_eq!(found.basis, DeclaredBasis::AsFormed);
    // From none to 2 % of soda: 0.05 mol in 100 g, of 0.1 mol of acid.
    let (low, high) = share(&found, "Sodium Lactate");
    assert_eq!((low.as_str(), high.as_str()), ("0", "224120/39997"));
    assert_eq!(share(&found, "Lactic Acid").1, "1126/125");
    assert!(!names(&found).contains(&"Sodium Hydroxide"), "{:?}", names(&found));
}

#[test]
fn a_batch_says_which_of_its_lines_are_still_to_come() {
    let text = format!(
        "{}batch b {{\nformula f version \"1\"\nstarted 2026-11-20\nsize 1000 g\nweighed water 970 g\n}}\n",
        formula("", "", "water 97 %\nglycerin 3 %")
    );
    let waiting = crate::common::checked(&text, |loaded, report| {
        let source = loaded.sources.files.iter().find(|source| source.named).unwrap();
        let batch = report.resolver.batches_of(source).remove(0);
        stillroom::label::Jar::of_batch(&report.resolver, &batch).expect("what is in it").0.waiting
    });
    assert_eq!(waiting, ["glycerin"]);
}
