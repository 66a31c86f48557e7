//! What is not dissolved, and polymers: where the pH of textbook solutions ends.

#![allow(clippy::disallowed_methods, reason = "tests read files of their own")]

use crate::foreseen::foreseen;
use proptest::prelude::*;
use stillroom::chemistry::Activity;
use stillroom::sheet::ph::Outlook;

const SUBSTANCES: &str = "\
substance water { inci \"Aqua\" }
substance benzoic-acid { molar-mass 122.12 g/mol
 acid pKa 4.202
 dissolves in water up to 0.34 % }
substance salicylic-acid { molar-mass 138.12 g/mol
 acid pKa 2.97
 dissolves in water up to 0.22 %
 dissolves in ethanol up to 30 % }
substance wholly-dissolved { molar-mass 138.12 g/mol
 acid pKa 2.97 }
substance ethanol { inci \"Alcohol\"
 cas \"64-17-5\"
 neutral }
substance sodium { ion +1 }
substance sodium-hydroxide { molar-mass 39.997 g/mol
 strong base }
substance tea { molar-mass 149.19 g/mol
 base pKa 7.762 }
substance carbomer { acid capacity 12.4 to 15.1 mmol/g pKa 4.5 to 6.5 }
substance gum-acid { acid capacity 2.4 mmol/g pKa 3 to 3.4 }
substance gum-salt { acid capacity 2.4 mmol/g pKa 3 to 3.4 with 1 sodium }
";

fn seen(lines: &str, window: &str) -> Outlook {
    let names = ["water", "benzoic-acid", "salicylic-acid", "wholly-dissolved", "ethanol", "sodium-hydroxide", "tea"];
    let names = names.into_iter().chain(["carbomer", "gum-acid", "gum-salt"]);
    let materials: Vec<String> = names.map(|name| format!("material {name} {{ role active }}")).collect();
    let lines: Vec<&str> = lines.split(", ").collect();
    let text = format!(
        "{SUBSTANCES}{}\nformula recipe {{\n product stock\n {window}\n phase A {{\n  {}\n }}\n}}\n",
        materials.join("\n"),
        lines.join("\n  ")
    );
    foreseen(&text)
}

fn ph(lines: &str) -> f64 {
    seen(lines, "").before.unwrap().ph
}

/// Sources: the pH of saturated solutions, 2.8 of benzoic acid and 2.4 of salicylic acid (The Merck Index, from memory).
#[test]
fn a_saturated_acid_has_the_ph_that_is_published_of_it() {
    for (acid, published) in [("benzoic-acid", 2.8), ("salicylic-acid", 2.4)] {
        let foreseen = ph(&format!("water q.s., {acid} 1 %"));
        assert!((foreseen - published).abs() < 0.15, "{acid}: {foreseen}");
    }
}

/// By hand: with the undissociated acid at S0 = 0.0145 mol/kg and a pKa of 2.97, pH 3.97 has ten times as much as salt,
/// by activities somewhat more.
#[test]
fn what_lies_undissolved_changes_nothing_until_base_dissolves_it() {
    let one = ph("water q.s., salicylic-acid 1 %");
    let five = ph("water q.s., salicylic-acid 5 %");
    assert!((one - five).abs() < 0.01, "{one} {five}");
    // Once all of it is salt it is dissolved, and as if it had been from the start.
    let salt = ph("water q.s., salicylic-acid 1 %, sodium-hydroxide 0.3 %");
    let known = ph("water q.s., wholly-dissolved 1 %, sodium-hydroxide 0.3 %");
    assert!((salt - known).abs() < 1e-9, "{salt} {known}");
    // Half of it as salt: what is free is no more than dissolves, so the pH is higher than without that.
    let half = ph("water q.s., salicylic-acid 2 %, sodium-hydroxide 0.29 %");
    let dissolved = ph("water q.s., wholly-dissolved 2 %, sodium-hydroxide 0.29 %");
    assert!(half > dissolved + 0.3, "{half} {dissolved}");
}

/// Alcohol takes up what water does not: with enough of it nothing lies undissolved.
#[test]
fn what_is_there_beside_water_takes_up_the_rest() {
    let thin = ph("water q.s., salicylic-acid 2 %");
    let some = ph("water q.s., salicylic-acid 2 %, ethanol 3 %");
    let enough = ph("water q.s., salicylic-acid 2 %, ethanol 20 %");
    let known = ph("water q.s., wholly-dissolved 2 %, ethanol 20 %");
    assert!(thin > some && thin > enough, "{thin} {some} {enough}");
    assert!((enough - known).abs() < 1e-9, "{enough} {known}");
}

/// Source: 1 g of carbomer is neutralised by about 0.4 g of sodium hydroxide (Handbook of Pharmaceutical Excipients, from
/// memory); a gel of 0.5 % takes 5 to 8 g of triethanolamine in a kilogram (common practice, no source).
#[test]
fn a_carbomer_takes_the_base_that_is_published() {
    let neutral = ph("water q.s., carbomer 0.5 %, sodium-hydroxide 0.2 %");
    assert!((5.7..7.5).contains(&neutral), "{neutral}");
    let gel = seen("water q.s.  hold back 10 %, carbomer 0.5 %, tea q.s. to pH", "pH 5.5 to 6.5");
    let per_kilogram = 10.0 * gel.adjusters[0].doses.middle.unwrap();
    assert!((5.0..8.0).contains(&per_kilogram), "{per_kilogram}");
    let range = gel.adjusters[0].ranges[1].unwrap();
    assert!(range.high.unwrap() / range.low.unwrap() < 10.0, "{range:?}");
}

/// By hand: a polymer whose groups are salts is the acid and its base.
#[test]
fn a_salt_of_a_polymer_is_its_acid_with_the_base() {
    // 2.4 mmol/g of 2 g are 4.8 mmol: 0.19199 g of sodium hydroxide.
    let salt = ph("water q.s., gum-salt 2 %");
    let made = ph("water q.s., gum-acid 2 %, sodium-hydroxide 0.1919856 %");
    assert!((salt - made).abs() < 0.05, "{salt} {made}");
    assert!(ph("water q.s., gum-acid 2 %") < 3.0);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    /// More base never lowers the pH, whatever lies undissolved; and a dose leads where it was worked out for.
    #[test]
    fn more_base_never_lowers_the_ph(acid in 1_u32..2000, base in 1_u32..400, more in 1_u32..200, alcohol in 1_u32..2000) {
        let of = |base: u32| {
            ph(&format!(
                "water q.s., salicylic-acid {}.{:02} %, ethanol {}.{:02} %, sodium-hydroxide {}.{:03} %",
                acid / 100, acid % 100, alcohol / 100, alcohol % 100, base / 1000, base % 1000
            ))
        };
        prop_assert!(of(base + more) >= of(base) - 1e-9);
        let lines = format!(
            "water q.s.  hold back 30 %, salicylic-acid {}.{:02} %, sodium-hydroxide q.s. to pH", acid / 100, acid % 100
        );
        let seen = seen(&lines, "pH 3.2 to 4.2");
        if let Some(dose) = seen.adjusters[0].doses.middle {
            let there = stillroom::chemistry::equilibrium(&seen.solution.adjusters[0].at(dose), Activity::Davies);
            prop_assert!((there.unwrap().ph - 3.7).abs() < 1e-6);
        } else {
            prop_assert!(false, "no dose: {lines}");
        }
    }
}
