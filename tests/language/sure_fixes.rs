//! What `check --fix` makes, and what it only offers: nothing that may change a weight, a percentage or a meaning.

#![allow(clippy::disallowed_methods, reason = "tests read and write files of their own")]

use crate::common::mend::{fixed, of_code, told, with_fix};
use tempfile::tempdir;

/// A sound formula of the shelf, with one line to be changed.
fn lotion(line: &str) -> String {
    format!(
        "use shelf/all\nformula lotion {{\n  version  \"1\"\n  product  leave-on face\n  makes    100 g\n  scale    0.001 g\n  \
         pH       4.5 to 5.5\n  phase A {{\n    water  q.s.\n    {line}\n    phenoxyethanol-ethylhexylglycerin  1 %\n  }}\n}}\n"
    )
}

fn safe(one: &serde_json::Value) -> Option<bool> {
    one["fix"]["safe"].as_bool()
}

/// Gluconic and glycolic acid, maleic and malic acid, squalene and squalane, sorbitan and sorbitol: one letter or two
/// apart, and other things. CAS numbers by the European Commission's cosmetic ingredient database, from memory.
#[test]
fn a_near_name_is_offered_and_never_put_in() {
    let dir = tempdir().unwrap();
    for (written, known) in [
        ("gluconic-acid", "glycolic-acid"),
        ("maleic-acid", "malic-acid"),
        ("squalene", "squalane"),
        ("sorbitan", "sorbitol"),
        ("glycerine", "glycerin"),
    ] {
        let declared = format!(
            "substance water {{ inci \"Aqua\" }}\nmaterial water {{ role solvent }}\nsubstance {known} {{ inci \"Named\" neutral }}\n\
             material {known} {{ role humectant }}\n"
        )
        .replace("\" neutral }", "\" }");
        let formula = |in_line: &str, in_step: &str| {
            format!(
                "{declared}formula a {{\n  version \"1\"\n  product stock\n  makes 100 g\n  scale 0.01 g\n  phase A {{\n    \
                 water q.s.\n    {in_line} 3 %\n  }}\n  steps {{ \"Stir {{{in_step}}} into {{water}}.\" }}\n}}\n"
            )
        };
        let substance = format!("{declared}material drops {{ contains {written} 10 % active, water remainder }}\n");
        let figure = format!("let {known} = 3 %\nlet more = (2 * {written})\n");
        for (code, text) in [
            ("name-unknown", formula(written, known)),
            ("step-unknown-name", formula(known, written)),
            ("name-unknown", substance),
            ("name-unknown", figure),
        ] {
            let found = of_code(&told(dir.path(), &text), code);
            assert_eq!(found.len(), 1, "{written}: {found:#?}");
            assert_eq!(fixed(dir.path(), &text), None, "{written} is left alone");
            // What the shelf has under that very name is no slip: where it stands is told.
            if found[0]["help"].as_str().unwrap().starts_with("The shelf has it") {
                continue;
            }
            assert_eq!(safe(&found[0]), Some(false), "{written}: {found:#?}");
            assert!(found[0]["help"].as_str().unwrap().contains(known), "{found:#?}");
            let taken = with_fix(&text, &found[0]);
            assert_eq!(of_code(&told(dir.path(), &taken), code).len(), 0, "{taken}");
        }
    }
}

/// The name of a line in capitals is its own and no other's.
#[test]
fn capitals_in_a_step_are_mended() {
    let dir = tempdir().unwrap();
    let text =
        lotion("glycerin  3 %").replace("  }\n}", "  }\n  steps { \"Stir {Glycerin}, {water} and the rest.\" }\n}");
    assert_eq!(fixed(dir.path(), &text), Some(text.replace("{Glycerin}", "{glycerin}")));
}

#[test]
fn a_comma_that_may_stand_between_thousands_is_asked_about() {
    let dir = tempdir().unwrap();
    for (from, written, readings) in [
        ("100 g", "2,000 g", ["2000 g", "2.000 g"]),
        ("100 g", "12,500 g", ["12500 g", "12.500 g"]),
        ("100 g", "125,000 g", ["125000 g", "125.000 g"]),
        ("3 %", "5,000 ppm", ["5000 ppm", "5.000 ppm"]),
        ("3 %", "1,250 %", ["1250 %", "1.250 %"]),
    ] {
        let text = lotion("glycerin  3 %").replace(from, written);
        let found = of_code(&told(dir.path(), &text), "decimal-comma");
        assert_eq!(found.len(), 1, "{written}");
        for reading in readings {
            assert!(found[0]["message"].as_str().unwrap().contains(reading), "{found:#?}");
            assert!(found[0]["help"].as_str().unwrap().contains(reading), "{found:#?}");
            let mended = text.replace(written, reading);
            assert_eq!(of_code(&told(dir.path(), &mended), "decimal-comma").len(), 0, "{mended}");
        }
        assert_eq!(safe(&found[0]), None, "neither is surer than the other: {found:#?}");
        assert_eq!(fixed(dir.path(), &text), None, "{written}");
    }
}

#[test]
fn a_comma_that_can_be_nothing_else_becomes_the_point() {
    let dir = tempdir().unwrap();
    for (from, written) in [
        ("3 %", "0,5 %"),
        ("3 %", "0,125 %"),
        ("3 %", "2,25 %"),
        ("3 %", "2,5000 %"),
        ("100 g", "12,5 g"),
        ("100 g", "1250,125 g"),
    ] {
        let text = lotion("glycerin  3 %").replace(from, written);
        assert_eq!(fixed(dir.path(), &text), Some(text.replace(written, &written.replace(',', "."))), "{written}");
    }
}

/// `pKa 3,4` may be one acid strength or two.
#[test]
fn a_comma_in_a_list_of_figures_is_asked_about() {
    let dir = tempdir().unwrap();
    let text = "substance a {\n  inci \"A\"\n  acid  pKa 3,4\n}\n";
    let found = of_code(&told(dir.path(), text), "decimal-comma");
    assert!(found[0]["help"].as_str().unwrap().contains("`3.4`, or `3, 4`"), "{found:#?}");
    assert_eq!((safe(&found[0]), fixed(dir.path(), text)), (None, None));
    for mended in ["3.4", "3, 4"] {
        assert_eq!(of_code(&told(dir.path(), &text.replace("3,4", mended)), "decimal-comma").len(), 0);
    }
}

/// The prefixes by the International System of Units (BIPM, 9th edition, 2019, table 7); the grain as the 7000th part
/// of the pound (international yard and pound agreement, 1959). Both signs for micro: U+00B5 and U+03BC.
#[test]
fn a_unit_of_another_size_is_told_in_one_of_ours() {
    let dir = tempdir().unwrap();
    for (written, right) in [
        ("5 \u{b5}g", "0.005 mg"),
        ("5 \u{3bc}g", "0.005 mg"),
        ("5 ug", "0.005 mg"),
        ("5 mcg", "0.005 mg"),
        ("250 ng", "0.00025 mg"),
        ("5 cg", "50 mg"),
        ("5 dg", "500 mg"),
        ("5 dag", "50 g"),
        ("2 grains", "129.59782 mg"),
        ("5 ‰", "0.5 %"),
        ("5 ppb", "0.005 ppm"),
        ("5 g/kg", "0.5 %"),
        ("5 cL", "50 mL"),
        ("5 dl", "500 mL"),
        ("5 \u{3bc}L", "0.005 mL"),
        ("5 mmol/L", "0.005 mol/L"),
        ("5 mg/L", "0.005 g/L"),
    ] {
        let text = lotion(&format!("glycerin  {written}"));
        let found = of_code(&told(dir.path(), &text), "unknown-unit");
        assert_eq!(found.len(), 1, "{written}");
        let help = found[0]["help"].as_str().unwrap();
        assert!(help.starts_with(&format!("Write `{right}`")), "{written}: {help}");
        assert_eq!((safe(&found[0]), fixed(dir.path(), &text)), (Some(false), None), "{written}");
        let taken = with_fix(&text, &found[0]);
        assert_eq!(taken, text.replace(written, right));
        assert_eq!(of_code(&told(dir.path(), &taken), "unknown-unit").len(), 0, "{written}");
    }
}

/// Where nobody can say what is meant, nothing is offered, and what it may be is told.
#[test]
fn a_unit_of_several_meanings_is_asked_about() {
    let dir = tempdir().unwrap();
    for (written, said) in
        [("gr", "a grain, 64.79891 mg"), ("ppt", "parts per trillion"), ("Mg", "tonnes"), ("ML", "cubic metres")]
    {
        let text = lotion(&format!("glycerin  5 {written}"));
        let found = of_code(&told(dir.path(), &text), "unknown-unit");
        assert!(found[0]["help"].as_str().unwrap().contains(said), "{found:#?}");
        assert_eq!((safe(&found[0]), fixed(dir.path(), &text)), (None, None), "{written}");
    }
    // Near by its letters to one that is a thousand times as much, and so not named beside it.
    for written in ["fg", "Tg", "ppq", "kg/mol", "zz"] {
        let text = lotion(&format!("glycerin  5 {written}"));
        let found = of_code(&told(dir.path(), &text), "unknown-unit");
        assert!(!found[0]["help"].as_str().unwrap().contains("Did you mean"), "{found:#?}");
    }
}

#[test]
fn another_spelling_of_the_same_size_is_mended() {
    let dir = tempdir().unwrap();
    for (from, written, right) in [
        ("100 g", "100 grams", "100 g"),
        ("100 g", "100 Kg", "100 kg"),
        ("scale    0.001 g", "density  1.01 g/cm³\n  scale    0.001 g", "density  1.01 g/mL\n  scale    0.001 g"),
        ("100 g", "100 cc", "100 mL"),
        ("100 g", "100 ml", "100 mL"),
        ("3 %", "3 percent", "3 %"),
        ("3 %", "30 PPM", "30 ppm"),
        ("3 %", "30 mg/kg", "30 ppm"),
        ("3 %", "3 % w/w", "3 %"),
    ] {
        let text = lotion("glycerin  3 %").replace(from, written);
        let now = fixed(dir.path(), &text);
        assert_eq!(now, Some(text.replace(written, right)), "{written}");
        assert_eq!(of_code(&told(dir.path(), &now.unwrap()), "unknown-unit").len(), 0, "{written}");
    }
}

/// What fills up, what is held back and what is asked for as active all change what is weighed.
#[test]
fn what_changes_a_weight_is_offered_only() {
    let dir = tempdir().unwrap();
    let total = lotion("glycerin  3 %").replace("water  q.s.", "water  90 %");
    let reserve = lotion("citric-acid-10  q.s. to pH").replace("100 g", "1000 g");
    let strength = lotion("panthenol-75  2 %").replace("  version", "  title  \"Panthenol 2 % lotion\"\n  version");
    for (code, text, mended) in [
        ("total-under-100", total.clone(), total.replace("90 %", "q.s.")),
        ("reserve-missing", reserve.clone(), reserve.replace("q.s.\n", "q.s.  hold back 1 %\n")),
        ("strength-ignored", strength.clone(), strength.replace("panthenol-75  2 %", "panthenol-75  2 % active")),
    ] {
        let found = of_code(&told(dir.path(), &text), code);
        assert_eq!(found.len(), 1, "{code}");
        assert_eq!((safe(&found[0]), fixed(dir.path(), &text)), (Some(false), None), "{code}: {found:#?}");
        assert_eq!(with_fix(&text, &found[0]), mended, "{code}");
        assert_eq!(of_code(&told(dir.path(), &mended), code).len(), 0, "{code}");
    }
}
