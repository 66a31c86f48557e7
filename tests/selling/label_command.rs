//! `stillroom label` through the real command line: its forms, its refusals, and labels drawn true to the millimetre.

use super::jar::formula;
use crate::common::repository::run_in;
use crate::common::{Folder, folder, valid_by};
use serde_json::Value;

const OIL: &str = "squalane q.s.";
const LIFE: &str = "lasts 12 months because \"trial 3\"\n  function \"Softens the skin\"";

/// A workshop with one file.
fn shop(text: &str) -> Folder {
    folder(&[("a.still", text.as_bytes())])
}

fn run(shop: &Folder, arguments: &str) -> (i32, String, String) {
    let words: Vec<&str> = arguments.split(' ').collect();
    run_in(shop.dir.path(), &words)
}

fn oil(market: &str) -> Folder {
    shop(&formula(market, LIFE, OIL))
}

#[test]
fn text_begins_with_what_can_be_pasted() {
    let (code, out, err) = run(&oil("eu"), "label a.still");
    assert_eq!((code, err.as_str()), (0, ""), "{out}");
    let pasted: Vec<&str> = out.lines().take_while(|line| !line.is_empty()).collect();
    assert_eq!(
        pasted,
        [
            "Balm",
            "Softens the skin",
            "Ingredients: Squalane",
            "Best used before the end of ____",
            "Batch ____",
            "Mill Lane Soaps, 1 Mill Lane, Hillham",
            "30 g",
        ]
    );
}

#[test]
fn json_is_valid_by_its_schema_and_one_document_for_several() {
    let both = formula("eu", LIFE, OIL)
        + &formula("us", LIFE, OIL).split("formula f").nth(1).map(|rest| format!("formula g{rest}")).unwrap();
    let shop = shop(&both);
    let json = |arguments: &str| -> Value { serde_json::from_str(&run(&shop, arguments).1).unwrap() };
    let one = json("label a.still --formula f --format json");
    valid_by("docs/schema/label.json", &one);
    assert_eq!((&one["schema"], &one["formula"]), (&"stillroom.label/1".into(), &"f".into()));
    let all = json("label a.still --format json");
    valid_by("docs/schema/labels.json", &all);
    assert_eq!((&all["schema"], all["labels"].as_array().unwrap().len()), (&"stillroom.labels/1".into(), 2));
}

/// The keys that the design names stand in the JSON; what is more, later programs may add.
#[test]
fn json_has_the_keys_of_the_design() {
    let (_, out, _) = run(&oil("eu"), "label a.still --format json");
    let json: Value = serde_json::from_str(&out).unwrap();
    for key in [
        "schema",
        "formula",
        "title",
        "version",
        "batch",
        "batch_code",
        "on",
        "basis",
        "labels",
        "cautions",
        "diagnostics",
    ] {
        assert!(json.get(key).is_some(), "{key}");
    }
    for key in [
        "market",
        "text",
        "entries",
        "may_contain",
        "order",
        "unproven",
        "settles",
        "undisclosed",
        "nameless",
        "notes",
        "statements",
        "net",
        "durability",
        "items",
    ] {
        assert!(json["labels"][0].get(key).is_some(), "{key}");
    }
    for key in ["text", "needed", "figure_mm", "letters_in"] {
        assert!(json["labels"][0]["net"].get(key).is_some(), "{key}");
    }
}

#[test]
fn html_stands_by_itself_and_lets_no_text_become_an_element() {
    let shop = shop(&formula("eu", &LIFE.replace("Softens", "<script src='x'>&"), OIL));
    let (code, out, _) = run(&shop, "label a.still --format html");
    assert_eq!(code, 0);
    assert!(out.starts_with("<!DOCTYPE html>") && out.trim_end().ends_with("</html>"));
    // The one script is the page's own, which copies the text.
    assert!(out.contains("&lt;script src='x'&gt;&amp;") && out.matches("<script").count() == 1, "{out}");
    assert!(!out.contains("http:") && !out.contains("https:") && out.contains("@media print"), "nothing is fetched");
}

/// The sizes of type in a drawing, in mm.
fn sizes(svg: &str) -> Vec<f64> {
    svg.split("font-size=\"").skip(1).map(|rest| rest.split('"').next().unwrap().parse().unwrap()).collect()
}

#[test]
fn a_drawing_is_true_to_the_millimetre_and_no_letter_is_below_the_floor() {
    for (market, floor) in [("eu", 1.2), ("us", 1.59)] {
        for size in ["60x40mm", "100x70mm"] {
            let (code, svg, err) = run(&oil(market), &format!("label a.still --format svg --size {size}"));
            assert_eq!(code, 0, "{market} {size}: {err}");
            let (width, height) = size.trim_end_matches("mm").split_once('x').unwrap();
            assert!(
                svg.contains(&format!("width=\"{width}mm\" height=\"{height}mm\" viewBox=\"0 0 {width} {height}\""))
            );
            // A small o is 0.518 of the size of the type, or more.
            assert!(sizes(&svg).iter().all(|size| size * 0.518 >= floor - 0.000_6), "{market}: {:?}", sizes(&svg));
            assert!(svg.contains(">Balm</text>"), "text is text");
        }
    }
}

#[test]
fn what_does_not_fit_is_named_with_where_it_may_go() {
    let lines = format!("{OIL}\n    jojoba-oil 20 %\n    argan-oil 10 %\n    sunflower-oil 5 %\n    tocopherol 0.5 %");
    let shop = shop(&formula("eu", LIFE, &lines));
    let (code, svg, err) = run(&shop, "label a.still --format svg --size 46x26mm");
    assert_eq!(code, 1, "{err}");
    let told: String = err.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(told.contains("error [label-letters-small]") && told.contains("1.2 mm is the least"), "{told}");
    assert!(told.contains("ingredients (to the outer pack)") && told.contains("the floor is our own"), "{told}");
    assert!(svg.contains(">Balm</text>") && !svg.contains("Ingredients"), "{svg}");
    let (code, svg, err) = run(&shop, "label a.still --format svg --size 12x8mm");
    assert_eq!((code, svg.as_str()), (1, ""), "{err}");
    // The size that is proposed holds all of it.
    for (market, size) in [("eu", "46x26mm"), ("eu", "12x8mm"), ("us", "46x26mm"), ("us", "12x8mm")] {
        let shop = self::shop(&formula(market, LIFE, &lines));
        let (_, _, err) = run(&shop, &format!("label a.still --format svg --size {size}"));
        let told: String = err.split_whitespace().filter(|word| *word != "│").collect::<Vec<_>>().join(" ");
        let proposed = told.split(" mm holds it all").next().filter(|_| told.contains("holds it all"));
        let proposed = proposed.or_else(|| told.split("larger label, as ").nth(1)?.split(" mm").next()).expect(&told);
        let words: Vec<&str> = proposed.split(' ').collect();
        let larger = format!("{}mm", words[words.len() - 3..].concat());
        let (code, svg, err) = run(&shop, &format!("label a.still --format svg --size {larger}"));
        assert!(code == 0 && svg.contains("Ingredients"), "{market} {size} {larger}: {err}");
    }
}

#[test]
fn what_would_turn_a_line_around_is_shown_in_every_form() {
    let lines = LIFE.replace("the skin", "the \u{202e}evil\u{202c} skin");
    let shop = shop(&formula("eu", &format!("{lines}\n  warning \"A\u{2066}b\u{200b}\""), OIL));
    for format in ["text", "markdown", "html", "json", "svg --size 100x90mm"] {
        let (_, out, err) = run(&shop, &format!("label a.still --format {format}"));
        for hidden in ['\u{202e}', '\u{202c}', '\u{2066}', '\u{200b}'] {
            assert!(!out.contains(hidden) && !err.contains(hidden), "{format}: {out}");
        }
        assert!(out.replace('\\', "").contains("u{202e}") || out.contains("\\u202e"), "shown, not left out: {out}");
    }
}

#[test]
fn ends_of_a_range_that_look_alike_are_told_apart_or_are_one() {
    let range = |low: &str, high: &str| {
        let blend = format!(
            "material blend {{\n  contains squalane {low} % to {high} %, tocopherol remainder\n  role emollient\n}}\nformula f {{"
        );
        let text = formula("eu", LIFE, "blend q.s.").replace("formula f {", &blend);
        run(&shop(&text), "label a.still").1
    };
    let near = range("68.7501", "68.7502");
    assert!(near.contains("68.7501 to 68.7502 %"), "{near}");
    let nearer = range("68.750000001", "68.750000002");
    assert!(nearer.contains("68.75 %  Squalane") && !nearer.contains("68.75 to 68.75"), "{nearer}");
}

#[test]
fn a_sheet_is_tiled_and_holds_no_more_than_it_holds() {
    let shop = oil("eu");
    let (code, svg, _) = run(&shop, "label a.still --format svg --size 60x40mm --sheet a4 --copies 12");
    assert_eq!((code, svg.matches("<use ").count()), (0, 12));
    assert!(svg.contains("width=\"210mm\" height=\"297mm\""));
    let (_, svg, _) = run(&shop, "label a.still --format svg --size 60x40mm --sheet letter");
    assert_eq!(svg.matches("<use ").count(), 18);
    let (code, _, err) = run(&shop, "label a.still --format svg --size 60x40mm --sheet a4 --copies 22");
    assert!(code == 2 && err.contains("1 to 21"), "{err}");
}

#[test]
fn what_has_no_label_is_told_in_a_sentence() {
    let stock = shop(
        "use shelf/all\nformula base {\n  product stock\n  makes 100 g\n  scale 0.01 g\n  phase A {\n    glycerin q.s.\n  }\n}\n",
    );
    let (code, out, err) = run(&stock, "label a.still");
    assert_eq!((code, out.as_str(), err.lines().count()), (1, "", 1), "{err}");
    assert!(err.contains("`product stock`"), "{err}");
    let nowhere = shop(&formula("eu", LIFE, OIL).replace("  market eu\n", ""));
    let (code, out, err) = run(&nowhere, "label a.still");
    assert!(code == 1 && out.is_empty() && err.contains("--market eu"), "{err}");
    assert_eq!(run(&nowhere, "label a.still --market eu").0, 0);
    let faulty = shop(&formula("eu", LIFE, "squalane 120 %"));
    let (code, out, err) = run(&faulty, "label a.still");
    assert!(code == 1 && out.is_empty() && err.contains("error ["), "{err}");
    let drug = shop(&formula("us", "function \"Against acne\"", OIL));
    let (code, out, err) = run(&drug, "label a.still");
    assert!(code == 1 && out.is_empty() && err.contains("makes a drug of it there"), "{err}");
}

#[test]
fn arguments_that_lead_nowhere_are_told_of() {
    let shop = oil("eu, us");
    for (arguments, told) in [
        ("label a.still --format svg", "--size 60x40mm"),
        ("label a.still --format svg --size 60x40mm", "--market eu"),
        ("label a.still --size 60", "width and height"),
        ("label a.still --size 2x40mm", "from 5 to 1000 mm"),
        ("label a.still --size 99999999999999999999x40mm", "from 5 to 1000 mm"),
        ("label a.still --market mars", "`eu`"),
        ("label a.still --batch b-9", "the file has no batch of that name. It has none"),
        ("label a.still --batch nope", "`--batch nope`: the file has no batch of that name. It has none"),
        ("label a.still --batch 12x", "neither a batch of the file nor a size"),
        ("label a.still --format svg --market eu --size 300x400mm --sheet a4", "`--size 300x400mm`: not one label"),
        ("label a.still --format svg --market eu --size 60x40mm --sheet a4 --copies 0", "`--copies 0`: a sheet"),
        ("label a.still --size 60x40mm --sheet a4", "--format svg"),
        ("label a.still --formula g", "has no formula `g`"),
        ("label a.still --on soon", "year, month, day"),
    ] {
        let (code, out, err) = run(&shop, arguments);
        assert!(code == 2 && out.is_empty() && err.contains(told), "{arguments}: {code} {err}");
    }
}

fn batch(more: &str) -> Folder {
    let record = format!(
        "batch b-1 {{\n  formula f version \"1\"\n  started 2026-11-20\n  size 360 g\n  lot squalane \"S-1\"\n  weighed \
         squalane 360 g\n  filled 12 x 30 g as \"BC-7\"\n{more}}}\n"
    );
    shop(&(formula("eu", LIFE, OIL) + &record))
}

#[test]
fn a_batch_that_is_not_released_has_that_across_its_label_in_every_form() {
    for format in ["text", "markdown", "html", "json", "svg --size 60x40mm"] {
        let of = |more: &str| run(&batch(more), &format!("label a.still --batch b-1 --format {format}"));
        let (code, out, err) = of("");
        assert_eq!(code, 0, "{format}: {err}");
        assert!(out.contains("NOT RELEASED") && out.contains("10/2027") && out.contains("BC-7"), "{format}: {out}");
        let (_, out, _) = of("  released\n");
        assert!(!out.contains("NOT RELEASED"), "{format}: {out}");
    }
    let (code, out, err) = run(&batch("  rejected because \"specks\"\n"), "label a.still --batch b-1");
    assert!(code == 1 && out.is_empty() && err.contains("rejected (“specks”)"), "{err}");
}

#[test]
fn a_size_in_place_of_a_record_changes_the_net_quantity() {
    let (_, out, _) = run(&oil("eu"), "label a.still --batch 10x4g");
    assert!(out.contains("\n4 g\n") && out.contains("Not asked for: country of origin, nominal content"), "{out}");
}

#[test]
fn a_size_is_of_the_formula_that_is_named_and_of_no_premix_in_it() {
    let premix = "formula half {\n  title \"Half\"\n  product stock\n  version \"1\"\n  makes 100 g\n  scale 0.01 g\n  phase A \
                  {\n    squalane q.s.\n    tocopherol 5 %\n  }\n}\n";
    let head = format!("density 0.81 g/mL\n  {LIFE}");
    let shop = shop(&(formula("eu", &head, &format!("{OIL}\n    half 5 %")) + premix));
    let (code, out, err) = run(&shop, "label a.still --formula f --batch 12x30mL");
    assert!(code == 0 && !err.contains("density-missing") && out.contains("\n30 mL\n"), "{out}{err}");
}

#[test]
fn a_sound_formula_draws_nothing_of_the_label_from_a_check() {
    let shop = shop(&formula("eu", "", OIL));
    assert_eq!(run(&shop, "check a.still --strict").0, 0);
    let (_, _, err) = run(&shop, "label a.still");
    assert!(err.contains("label-life-missing"), "{err}");
}

#[test]
fn what_a_label_is_told_may_be_allowed_where_it_is_judgement() {
    let lines = "squalane q.s.\n    silk-mix 5 %";
    let silk = "material silk-mix {\n  contains squalane 60 %\n  role emollient\n}\n";
    let with = |head: &str| shop(&(formula("eu", &format!("{LIFE}\n  {head}"), lines) + silk));
    let (_, _, err) = run(&with(""), "label a.still");
    assert!(err.contains("label-undisclosed"), "{err}");
    let allowed = with("allow label-undisclosed because \"the supplier's list is in the file\"");
    let (code, out, err) = run(&allowed, "label a.still");
    assert!(code == 0 && !err.contains("label-undisclosed"), "{err}");
    assert!(out.contains("`label-undisclosed` is allowed: the supplier's list is in the file"), "{out}");
    assert_eq!(run(&allowed, "check a.still --strict").0, 0, "a check asks for no label");
    let idle = shop(&formula("eu", &format!("{LIFE}\n  allow label-undisclosed because \"why\""), OIL));
    assert!(run(&idle, "label a.still").2.contains("allow-unused"));
    let refused = shop(&formula("eu", "allow label-life-missing because \"why\"", OIL));
    assert!(run(&refused, "label a.still").2.contains("label-life-missing"));
}

/// The batch of version 1 whose formula has been brought to version 2 since.
fn raised(market: &str, plan: &str) -> Folder {
    let head = format!("{LIFE}\n  warning \"Keep away from eyes\"\n  directions \"Rub in\"");
    let now = formula(market, &head, OIL).replace("version \"1\"", "version \"2\"");
    let record = format!(
        "batch b-1 {{\n  formula f version \"1\"\n  started 2026-11-20\n  size 360 g\n  plan {{\n    title \"Balm\"\n    \
         version \"1\"\n    product leave-on body\n    market {market}\n    scale 0.01 g\n    phase A\n    {plan}\n  }}\n  \
         weighed squalane 360 g\n  filled 12 x 30 g as \"BC-7\"\n  released\n}}\n"
    );
    shop(&(now + &record))
}

#[test]
fn a_header_that_is_gone_leaves_blanks_and_is_told_of_in_every_form() {
    for market in ["eu", "uk", "us"] {
        for format in ["text", "markdown", "html", "json", "svg --size 100x90mm"] {
            let shop = raised(market, "squalane 100 % q.s.");
            let (code, out, err) = run(&shop, &format!("label a.still --batch b-1 --format {format}"));
            // In a page a blank stands in a frame.
            let out = out.replace("\\_", "_").replace("____</span>", "____");
            assert_eq!(code, 0, "{format}: {err}");
            for what in ["warnings", "directions"] {
                assert!(out.contains(&format!("____ {what} of version 1")), "{market} {format}: {out}");
            }
            assert_eq!(out.contains("____ function of version 1"), market != "us", "{market} {format}: {out}");
            assert!(!out.contains("Softens the skin"), "what version 2 says is not said of version 1: {out}");
            assert!(
                err.contains("label-header-gone") && err.contains("“Keep away from eyes”"),
                "{market} {format}: {err}"
            );
            assert!(!out.contains("Not asked for: precautions") && !out.contains(", precautions."), "{out}");
        }
    }
}
