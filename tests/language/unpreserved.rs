//! Water with nothing to preserve it: the sheet says which exemption it goes by, in every form it is printed in.
//!
//! The limits are the design's own, each common practice, no source.

use crate::common::{diagnostics, sheet_of};
use stillroom::diagnostic::{Code, Diagnostic, Level};
use stillroom::render::{Sheet, markdown, text};
use stillroom::sheet::BatchOrder;

fn sheet(head: &str, lines: &str) -> Sheet {
    let product = if head.contains("product") { "" } else { "product leave-on body" };
    let formula = format!(
        "use shelf/all\nmaterial spirit {{ contains ethanol 100 % }}\nformula f {{\n  version \"1\"\n  {product}\n  makes 200 g\n  scale 0.01 g\n  {head}\n  \
         phase A {{\n    {lines}\n  }}\n}}\n"
    );
    sheet_of(&formula, "f", &BatchOrder::default())
}

#[test]
fn the_sheet_says_which_exemption_holds() {
    for (head, lines, why) in [
        ("product stock", "water q.s.\n citric-acid 20 %", "this is a stock for the bench"),
        ("", "water q.s.\n spirit 25 %", "ethanol is 25 % of the water phase, 20 % or more"),
        ("", "water q.s.\n spirit 20 %", "ethanol is 20 % of the water phase, 20 % or more"),
        // A fifth of the batch is oil, so that 16 g of 80 are a fifth.
        ("", "water q.s.\n spirit 16 %\n polysorbate-20 4 %\n sunflower-oil 20 %", "ethanol is 20 % of the water"),
        ("pH 2.6 to 3.0", "water q.s.\n glycerin 5 %", "all of the window, up to pH 3, is at 3 or under"),
        ("pH 10.0 to 10.5", "water q.s.\n glycerin 5 %", "all of the window, from pH 10, is at 10 or over"),
        (
            "water-activity 0.75",
            "water q.s.\n honey 70 %  allow usage-over because \"a test\"",
            "its water activity of 0.75 is 0.75 or under",
        ),
    ] {
        let sheet = sheet(head, lines);
        let said = sheet.unpreserved.clone().unwrap_or_else(|| panic!("{head} {lines}: nothing is said"));
        assert!(said.starts_with("No preservative is in it and none is asked for: "), "{said}");
        assert!(said.contains(why), "{said}");
        assert!(markdown(&sheet).contains(&said), "{}", markdown(&sheet));
        assert!(text(&sheet).contains(&said), "{}", text(&sheet));
        assert!(serde_json::to_string(&sheet).unwrap().contains(&said));
    }
}

#[test]
fn it_says_nothing_where_no_exemption_is_called_on() {
    for (what, head, lines) in [
        ("no water", "", "sunflower-oil q.s.\n tocopherol 0.5 %"),
        ("preserved all the same", "pH 2.6 to 3.0", "water q.s.\n phenoxyethanol 0.9 %"),
        ("a preserved stock", "product stock", "water q.s.\n phenoxyethanol 0.9 %"),
        (
            "allowed, which is said as that",
            "allow no-preservative because \"used within the hour\"",
            "water q.s.\n glycerin 5 %",
        ),
    ] {
        let sheet = sheet(head, lines);
        assert_eq!(sheet.unpreserved, None, "{what}");
        assert!(!markdown(&sheet).contains("none is asked for"), "{what}");
        assert!(!text(&sheet).contains("none is asked for"), "{what}");
    }
}

fn soap(more: &str) -> Vec<Diagnostic> {
    let text = format!(
        "use shelf/all\n\nformula f {{\n  title \"F\"\n  version \"1\"\n  product rinse-off\n  makes 200 g\n  scale 0.01 g\n  \
         phase A {{\n    water q.s.\n    liquid-potash-soap 60 %\n{more}  }}\n}}\n"
    );
    diagnostics(&text).into_iter().filter(|fault| fault.code == Code::NoPreservative).collect()
}

/// A soap may stand at pH 10 by itself: that it has no preservative is a warning, and no acid preservative is named to it.
#[test]
fn a_soap_is_warned_of_and_no_acid_preservative_is_named_to_it() {
    for more in ["", "    lavender-oil 0.5 %\n"] {
        let faults = soap(more);
        let [fault] = &faults[..] else { panic!("{faults:#?}") };
        assert_eq!(fault.level, Level::Warning, "{fault:#?}");
        let help = fault.help.as_deref().unwrap();
        for acid in ["benzoate", "benzoic", "sorbate", "sorbic", "paraben", "dehydroacetic"] {
            assert!(!help.contains(acid), "{help}");
        }
    }
    // What is no soap is an error still.
    let plain = "use shelf/all\n\nformula f {\n  title \"F\"\n  version \"1\"\n  product rinse-off\n  makes 200 g\n  scale 0.01 g\n  \
                 phase A {\n    water q.s.\n    glycerin 20 %\n  }\n}\n";
    let faults = diagnostics(plain);
    assert!(
        faults.iter().any(|fault| fault.code == Code::NoPreservative && fault.level == Level::Error),
        "{faults:#?}"
    );
}
