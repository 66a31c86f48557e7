//! The card: the figures of the sheet, nothing of price, supplier, lot or address, and the same bytes each time.

#![allow(clippy::disallowed_methods, reason = "tests read and write files of their own")]

use crate::common::folder;
use assert_cmd::Command;
use resvg::tiny_skia::Pixmap;
use std::path::Path;
use std::process::Output;

fn run(words: &[&str]) -> Output {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    Command::cargo_bin("stillroom").unwrap().current_dir(root).args(words).output().unwrap()
}

fn svg(words: &[&str]) -> String {
    let output = run(&[&["card"], words].concat());
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).unwrap()
}

/// What is read on a card, line by line, as an XML reader sees it.
fn read(svg: &str) -> Vec<String> {
    let tree = resvg::usvg::roxmltree::Document::parse(svg).unwrap();
    let texts = tree.descendants().filter(|node| node.has_tag_name("text"));
    texts.map(|node| node.text().unwrap_or_default().to_string()).collect()
}

#[test]
fn the_figures_are_those_of_the_sheet() {
    let path = "examples/acid-gel.still";
    let sheet: serde_json::Value = serde_json::from_slice(&run(&["sheet", path, "--format", "json"]).stdout).unwrap();
    let texts = read(&svg(&[path]));
    let mut seen = 0;
    for line in sheet["phases"].as_array().unwrap().iter().flat_map(|phase| phase["lines"].as_array().unwrap()) {
        let at = texts.iter().position(|text| *text == line["title"].as_str().unwrap()).unwrap();
        let wanted = match line["percent"].as_str() {
            // No percentage of this example has more than the four digits that are printed.
            Some(percent) => format!("{percent} %"),
            None => "to the pH".to_string(),
        };
        assert_eq!(texts[at + 1], wanted);
        seen += 1;
    }
    assert_eq!(seen, 7);
    let active = &sheet["actives"][0];
    assert_eq!(active["substance"], "hydroxyethylcellulose");
    let brought = format!("brings {} % Hydroxyethylcellulose", active["target_percent"].as_str().unwrap());
    assert!(texts.contains(&brought), "{texts:?}");
    assert!(texts.contains(&"Bring to pH 3.6 to 4.0".to_string()) && texts.contains(&"100 %".to_string()));
    let words = texts.join(" ");
    for caution in sheet["cautions"].as_array().unwrap() {
        let (of, said) = caution.as_str().unwrap().split_once(": ").unwrap();
        assert!(words.contains(of) && words.contains(said), "{caution}: {words}");
    }
    assert!(words.contains("This card is arithmetic, not a safety assessment."));
}

#[test]
fn without_figures_there_is_no_percentage() {
    let path = ["examples/for-sale.still", "--formula", "day-cream-sold"];
    // A name may have a strength in it, as `Glycerin, 99.5 %` has.
    let is_figure = |text: &&String| {
        let text = text.trim_start_matches("brings ");
        text.contains(" %") && text.starts_with(|letter: char| letter.is_ascii_digit())
    };
    assert!(read(&svg(&path)).iter().filter(is_figure).count() > 12);
    let texts = read(&svg(&[&path[..], &["--without-figures"]].concat()));
    assert_eq!(texts.iter().find(is_figure), None, "{texts:?}");
    assert!(texts.contains(&"Day cream for the face".to_string()));
    assert!(texts.contains(&"brings Panthenol".to_string()));
}

#[test]
fn nothing_of_price_supplier_lot_or_address_is_on_it() {
    for formula in ["calendula-balm-sold", "day-cream-sold"] {
        let svg = svg(&["examples/for-sale.still", "--formula", formula]).to_lowercase();
        for word in ["eur", "usd", "price", "cost", "hill", "mill lane", "s-04", "sb-11", "supplier", "lot ", "tin-30"]
        {
            assert!(!svg.contains(word), "{word} in {formula}");
        }
    }
}

#[test]
fn a_picture_has_the_size_that_is_said_and_is_the_same_each_time() {
    let words = ["card", "examples/acid-gel.still", "--format", "png"];
    let (one, other) = (run(&words), run(&words));
    assert!(one.status.success() && one.stdout == other.stdout);
    let pixels = Pixmap::decode_png(&one.stdout).unwrap();
    assert_eq!((pixels.width(), pixels.height()), (1240, 1748));
    let paper = pixels.pixel(0, 0).unwrap();
    let inked = pixels.pixels().iter().filter(|pixel| **pixel != paper).count();
    assert!(inked > 100_000, "{inked} of its pixels are not paper");
    assert_eq!(svg(&["examples/acid-gel.still"]), svg(&["examples/acid-gel.still"]));
}

#[test]
fn several_formulas_are_named_and_one_at_fault_is_not_drawn() {
    let several = run(&["card", "examples/for-sale.still"]);
    let told = String::from_utf8_lossy(&several.stderr);
    assert!(several.stdout.is_empty() && told.contains("`calendula-balm-sold`, `day-cream-sold`"), "{told}");
    let folder = folder(&[("a.still", b"use shelf/all\n\nformula a {\n  phase A {\n    water  50 %\n  }\n}\n")]);
    let wrong = run(&["card", &folder.first.to_string_lossy()]);
    assert!(wrong.stdout.is_empty() && wrong.status.code() == Some(1));
    assert!(String::from_utf8_lossy(&wrong.stderr).contains("error"));
}

/// What no letter of the program's fonts shows is drawn as a box: there is ink where it stands.
#[test]
fn what_the_letters_lack_is_a_box() {
    let picture = |title: &str| {
        let text = format!(
            "use shelf/all\n\nformula a {{\n  title \"{title}\"\n  product leave-on\n  phase A {{\n    squalane  100 %\n  }}\n}}\n"
        );
        let folder = folder(&[("a.still", text.as_bytes())]);
        let output = run(&["card", &folder.first.to_string_lossy(), "--format", "png"]);
        Pixmap::decode_png(&output.stdout).unwrap()
    };
    let ink = |pixels: &Pixmap| pixels.pixels().iter().filter(|pixel| pixel.red() < 100).count();
    assert!(ink(&picture("a 漢漢漢漢")) > ink(&picture("a")) + 1_000);
}

#[test]
fn a_name_that_asks_for_another_picture_is_refused() {
    let room = folder(&[("a.still", b"")]);
    let draw = |words: &[&str], out: &str| {
        let path = room.dir.path().join(out);
        let shown = path.display().to_string();
        let output = run(&[&["card", "examples/acid-gel.still", "--out", &shown], words].concat());
        (output.status.code(), String::from_utf8(output.stderr).unwrap().replace(&shown, out), path.exists())
    };
    for (words, out, write) in [
        (&[][..], "x.gif", "x.svg"),
        (&[][..], "x.jpeg", "x.svg"),
        (&["--format", "png"][..], "x.gif", "x.png"),
        (&["--format", "png"][..], "y.svg", "y.png"),
        (&["--format", "svg"][..], "y.png", "y.svg"),
    ] {
        let (code, told, there) = draw(words, out);
        assert!(code == Some(2) && !there, "{out}: {told}");
        assert!(told.contains(&format!("`{out}` is named as something else")) && told.contains(write), "{told}");
    }
    for (words, out) in [(&[][..], "a.svg"), (&[][..], "a.PNG"), (&["--format", "png"][..], "a")] {
        let (code, told, there) = draw(words, out);
        assert!(code == Some(0) && there, "{out}: {told}");
    }
}
