//! What no text of law settles is a caution of the labels that it bears on, and of no others: the open questions of the
//! label rules, by their numbers.

use super::jar::{formula, labels_of};
use stillroom::session::LabelOrder;

const DAY: &str = "2026-11-25";
const PLAIN: &str = "squalane q.s.\n    tocopherol 0.5 %";

/// The cautions of a label in a market, as one text.
fn cautions(market: &str, head: &str, lines: &str) -> String {
    of(&formula(market, head, lines))
}

fn of(text: &str) -> String {
    labels_of(text, None, DAY, &LabelOrder::default())["cautions"].to_string()
}

/// Whether a caution is told where it bears, and not where it does not.
fn bears(words: &str, on: &[(&str, &str)], not_on: &[(&str, &str)]) {
    for (market, lines) in on {
        assert!(cautions(market, "", lines).contains(words), "{market} {lines}: {}", cautions(market, "", lines));
    }
    for (market, lines) in not_on {
        assert!(!cautions(market, "", lines).contains(words), "{market} {lines}: {}", cautions(market, "", lines));
    }
}

#[test]
fn question_1_exactly_one_percent() {
    let one = "squalane q.s.\n    jojoba-oil 1 %";
    bears("at exactly 1 %", &[("eu", one), ("uk", one)], &[("us", one), ("eu", PLAIN)]);
}

#[test]
fn question_2_acid_and_base() {
    let both =
        "water q.s.\n    lactic-acid-80 2 %\n    sodium-hydroxide-10 3 %\n    phenoxyethanol-ethylhexylglycerin 0.9 %";
    bears("as they were added", &[("eu", both), ("us", both)], &[("eu", PLAIN)]);
}

#[test]
fn question_3_essential_oils() {
    let lavender = "squalane q.s.\n    lavender-oil 0.5 %";
    bears("an essential oil that scents", &[("eu", lavender), ("uk", lavender)], &[("us", lavender), ("eu", PLAIN)]);
    // A compound is a perfume whatever it brings.
    let compounds = [
        "substance our-perfume {\n  inci \"Parfum\"\n  fragrance\n}\nmaterial our-scent {\n  contains our-perfume 100 %\n  \
         brings linalool 2 %\n  role fragrance\n}\n",
        "material our-scent {\n  contains benzyl-alcohol 40 %, lavandula-angustifolia-oil 60 %\n  brings linalool 2 %\n  \
         role fragrance\n}\n",
    ];
    for compound in compounds {
        let text = formula("eu", "", "squalane q.s.\n    our-scent 0.5 %");
        let told = of(&text.replace("formula f {", &format!("{compound}formula f {{")));
        assert!(!told.contains("an essential oil"), "{told}");
    }
}

#[test]
fn questions_4_and_5_allergens() {
    let lavender = "squalane q.s.\n    lavender-oil 0.5 %";
    bears("the older list of 24", &[("uk", lavender)], &[("eu", lavender), ("uk", PLAIN)]);
    bears("none that is final was found", &[("us", lavender)], &[("eu", lavender), ("us", PLAIN)]);
}

#[test]
fn question_6_the_second_unit() {
    let text = |size: &str| formula("us", "", PLAIN).replace("makes 12 x 30 g", &format!("makes 12 x {size}"));
    assert!(of(&text("454 g")).contains("one pound or one pint"));
    assert!(of(&text("600 g")).contains("“1 lb. 5.16 oz.”"));
    assert!(of(&text("500 mL")).contains("“1 pt. 0.9 fl. oz.”"), "a volume is in pints");
    assert!(!of(&text("453 g")).contains("one pound or one pint"));
}

#[test]
fn question_7_what_a_mixture_carries_along() {
    let blend = "material rose-scent {\n  contains geraniol 20 %, squalane remainder\n  role fragrance\n}\n";
    let scented = formula("eu", "", "squalane q.s.\n    rose-scent 0.5 %") + blend;
    assert!(of(&scented).contains("as a carrier or a preservative"), "{}", of(&scented));
    bears("as a carrier or a preservative", &[], &[("eu", PLAIN)]);
}

/// W2 too: the language is the member state's, and nobody here translates.
#[test]
fn question_8_w2_languages_states_and_sorting_marks() {
    bears("National languages", &[("eu", PLAIN), ("uk", PLAIN)], &[("us", PLAIN)]);
    bears("Laws of single states", &[("us", PLAIN)], &[("eu", PLAIN)]);
    bears("The shelf has no rules of `ca`", &[("ca", PLAIN)], &[("eu", PLAIN)]);
}

#[test]
fn question_9_colours() {
    let mica = "squalane q.s.\n    iron-oxide-red 0.5 %";
    bears("Colours: the purity", &[("eu", mica)], &[("eu", PLAIN)]);
    bears("lot that is certified", &[("us", mica)], &[("us", PLAIN)]);
}

#[test]
fn question_10_what_is_whipped() {
    let whipped = formula("eu", "", PLAIN).replace("title \"Balm\"", "title \"Whipped butter\"");
    assert!(of(&whipped).contains("changes its volume"));
    let stepped =
        formula("eu", "", PLAIN).replace("  phase A {", "  steps {\n    \"Whip until light.\"\n  }\n  phase A {");
    assert!(of(&stepped).contains("changes its volume"), "{}", of(&stepped));
    bears("changes its volume", &[], &[("eu", PLAIN)]);
}

/// F5: the basis stands beside the line, and never on the jar.
#[test]
fn f5_the_basis_is_beside_the_line_and_not_on_the_jar() {
    let labels = labels_of(&formula("eu", "", PLAIN), None, DAY, &LabelOrder::default());
    assert_eq!(labels["basis"], "as added");
    assert!(!labels["labels"][0]["jar"].to_string().contains("as added"));
}

/// L: claims are the maker's; no percentage of natural origin and no index is printed.
#[test]
fn l4_no_claim_is_printed_that_the_maker_does_not_make() {
    let labels = labels_of(&formula("eu, us", "", PLAIN), None, DAY, &LabelOrder::default());
    for at in [0, 1] {
        let jar = labels["labels"][at]["jar"].to_string().to_lowercase();
        for claim in ["natural", "organic", "16128", "vegan", "hypoallergenic"] {
            assert!(!jar.contains(claim), "{jar}");
        }
    }
}

#[test]
fn a_batch_of_a_version_that_is_gone_says_that_its_header_is() {
    let record = "batch b-1 {\n  formula f version \"0\"\n  started 2026-11-20\n  size 360 g\n  plan {\n    version \"0\"\n    \
                  product leave-on body\n    market eu\n    scale 0.01 g\n    phase A\n    squalane 99.5 % q.s.\n    tocopherol 0.5 % \
                  0.5 %\n  }\n  weighed squalane 358.2 g\n  weighed tocopherol 1.8 g\n  filled 12 x 30 g as \
                  \"BC-7\"\n  released\n}\n";
    let text = formula("eu", "lasts 12 months because \"trial 3\"", PLAIN) + record;
    let eu = LabelOrder { market: Some(stillroom::syntax::vocabulary::Market::Eu), ..LabelOrder::default() };
    let labels = labels_of(&text, Some("b-1"), DAY, &eu);
    assert!(labels["cautions"].to_string().contains("is of another version now"), "{labels:#}");
    assert_eq!(labels["labels"][0]["durability"]["kind"], "missing");
}
