//! Words that a maker can use: what nobody sees is named, a name in capitals is told as that, no number of the system,
//! and paths from where she stands.

#![allow(clippy::disallowed_methods, reason = "tests read and write files of their own")]

use crate::common::mend::{fixed, of_code, run, told, with_fix};
use crate::common::valid_by;
use serde_json::Value;
use std::fs;
use tempfile::tempdir;

const LOTION: &str = "use shelf/all\n# A first lotion.\nformula lotion {\n  title    \"A lotion\"\n  version  \"1\"\n  product  leave-on face\n  \
                      makes    100 g\n  scale    0.001 g\n  pH       4.5 to 5.5\n  phase A {\n    water     q.s.\n    \
                      glycerin  3 %\n    phenoxyethanol-ethylhexylglycerin  1 %\n  }\n}\n";

#[test]
fn what_nobody_sees_is_named_and_mended() {
    let dir = tempdir().unwrap();
    let at = dir.path();
    assert_eq!(told(at, LOTION).len(), 0, "the lotion is sound");
    for (character, name) in [
        ('\u{a0}', "no-break space (U+00A0)"),
        ('\u{202f}', "narrow no-break space (U+202F)"),
        ('\u{2009}', "thin space (U+2009)"),
        ('\u{2003}', "an em space (U+2003)"),
        ('\u{3000}', "ideographic space (U+3000)"),
        ('\u{0c}', "form feed (U+000C)"),
    ] {
        for text in [
            LOTION.replace("3 %", &format!("3{character}%")),
            LOTION.replace("  glycerin", &format!("{character}{character}glycerin")),
            LOTION.replace("formula lotion", &format!("formula{character}lotion")),
        ] {
            let found = told(at, &text);
            assert_eq!(found.len(), 1, "told once, and nothing made up beside it: {found:#?}");
            assert!(found[0]["message"].as_str().unwrap().contains(name), "{found:#?}");
            assert_eq!(fixed(at, &text), Some(text.replace(character, " ")));
            assert_eq!(told(at, &with_fix(&text, &found[0])).len(), 0);
            assert_eq!(run(at, &["sheet", "a.still"]).0, 0, "sound once it is mended");
        }
    }
    for (character, name) in [
        ('\u{200b}', "zero-width space (U+200B)"),
        ('\u{200d}', "zero-width joiner (U+200D)"),
        ('\u{2060}', "word joiner (U+2060)"),
        ('\u{feff}', "byte-order mark (U+FEFF)"),
    ] {
        for text in [
            LOTION.replace("  glycerin", &format!("  gly{character}cerin")),
            LOTION.replace("100 g", &format!("1{character}00 g")),
            LOTION.replace("formula lotion", &format!("{character}formula lotion")),
        ] {
            let found = told(at, &text);
            assert_eq!(found.len(), 1, "{found:#?}");
            assert!(found[0]["message"].as_str().unwrap().contains(name), "{found:#?}");
            fs::write(at.join("a.still"), &text).unwrap();
            assert_eq!(run(at, &["sheet", "a.still"]).0, 1, "not weighed before it is mended");
            assert_eq!(fixed(at, &text).as_deref(), Some(LOTION));
        }
    }
}

/// What may have meant a line's end, a hyphen or another order is named, and taken out by hand.
#[test]
fn what_is_not_sure_is_named_and_left() {
    let dir = tempdir().unwrap();
    for (character, name) in
        [('\u{ad}', "soft hyphen"), ('\u{2028}', "line separator"), ('\u{202e}', "mark of the writing direction")]
    {
        let text = LOTION.replace("phenoxyethanol-", &format!("phenoxyethanol-{character}"));
        let found = told(dir.path(), &text);
        let named = found.iter().filter(|one| one["message"].as_str().unwrap().contains(name)).collect::<Vec<_>>();
        assert_eq!(named.len(), 1, "{found:#?}");
        assert_eq!(fixed(dir.path(), &text), None);
        assert_eq!(told(dir.path(), &with_fix(&text, named[0])).len(), 0);
    }
}

/// Places after it are those of the file: a fault further down is marked where it stands.
#[test]
fn what_is_taken_out_moves_no_place() {
    let dir = tempdir().unwrap();
    let text = LOTION
        .replace("makes    100", "makes\u{a0}\u{200b}\u{a0}100")
        .replace("3 %", "3,5 %")
        .replace("  }\n}", "    urea\u{200b}  2 gg\n  }\n}\nmaterial Oil {\n  role emolient\n}");
    let found = told(dir.path(), &text);
    let words =
        |code: &str| of_code(&found, code).iter().map(|one| one["column"].as_u64().unwrap()).collect::<Vec<_>>();
    assert_eq!(words("decimal-comma"), [15]);
    assert_eq!(words("unknown-unit"), [14]);
    let oil = found.iter().find(|one| one["message"].as_str().unwrap().contains("`Oil`")).expect("the name");
    assert_eq!(with_fix(&text, oil), text.replace("material Oil", "material oil"));
    let inside = found.iter().find(|one| one["message"].as_str().unwrap().contains("`emolient`")).expect("the role");
    assert_eq!((&inside["line"], &inside["column"]), (&18.into(), &8.into()));
}

#[test]
fn quotes_and_comments_keep_their_blanks() {
    let dir = tempdir().unwrap();
    let text = LOTION.replace("A lotion", "A\u{a0}lotion\u{200b}").replace("first lotion", "first\u{202f}lotion");
    assert_eq!(told(dir.path(), &text).len(), 0);
    assert_eq!(fixed(dir.path(), &text), None);
    // A quote that is not closed may have all the rest in it.
    let open = text.replace("\u{200b}\"", "\u{200b}");
    let found = told(dir.path(), &open);
    assert!(found.iter().all(|one| !one["message"].as_str().unwrap().contains("nobody sees")), "{found:#?}");
}

#[test]
fn a_name_in_capitals_is_told_as_that() {
    let dir = tempdir().unwrap();
    let cases = [
        (
            LOTION.replace("glycerin  3", "Glycerin  3"),
            "`Glycerin` is no name: names are lower-case letters: `glycerin`.",
        ),
        (
            format!("use shelf/all\nmaterial Glycerin like glycerin {{ }}\n{LOTION}"),
            "names are lower-case letters: `glycerin`.",
        ),
        (format!("{LOTION}let Gum = 3 %\n"), "names are lower-case letters: `gum`."),
        (format!("{LOTION}group Acids = lactic-acid, Citric-Acid\n"), "names are lower-case letters: `acids`."),
        (LOTION.replace("3 %", "(2 * Gum)").replace("formula", "let gum = 1 %\nformula"), "lower-case letters: `gum`."),
    ];
    for (text, said) in cases {
        let found = told(dir.path(), &text);
        let one = found.iter().find(|one| one["message"].as_str().unwrap().ends_with(said));
        let one = one.unwrap_or_else(|| panic!("{said}: {found:#?}"));
        assert_eq!(one["fix"]["safe"], true, "{one:#?}");
        let mended = with_fix(&text, one);
        let after = told(dir.path(), &mended);
        assert!(after.iter().all(|other| !other["message"].as_str().unwrap().ends_with(said)), "{after:#?}");
    }
    let capital = LOTION.replace("glycerin  3", "Glycerin  3");
    assert_eq!(fixed(dir.path(), &capital).as_deref(), Some(LOTION));
    // With more than capitals to mend it may be another name, so it is offered.
    let joined = LOTION.replace("glycerin  3", "Citric_Acid  3");
    let found = told(dir.path(), &joined);
    assert_eq!((&found[0]["fix"]["replacement"], &found[0]["fix"]["safe"]), (&"citric-acid".into(), &false.into()));
    assert_eq!(fixed(dir.path(), &joined), None);
    // A long name is mended whole.
    let long = format!("A{}", "bcdefghij".repeat(6));
    let text = LOTION.replace("glycerin  3", &format!("{long}  3"));
    assert_eq!(fixed(dir.path(), &text), Some(text.replace(&long, &long.to_lowercase())));
}

#[cfg(unix)]
#[test]
fn no_number_of_the_system_is_told() {
    let dir = tempdir().unwrap();
    let at = dir.path();
    fs::write(at.join("a.still"), LOTION).unwrap();
    std::os::unix::fs::symlink("ring.still", at.join("ring.still")).unwrap();
    let long = format!("{}.still", "a".repeat(300));
    for (path, said) in [
        ("a.still/b.still", "a part of its path is a file"),
        (long.as_str(), "does not take such a name"),
        ("ring.still", "links"),
        ("gone.still", "no such file"),
    ] {
        for command in
            [&["check", path][..], &["sheet", path], &["fmt", path], &["record", path, "note \"a\""], &["log", path]]
        {
            let (code, _, err) = run(at, command);
            assert_eq!(code, 2, "{command:?}: {err}");
            assert!(!err.contains("os error") && !err.contains(".rs"), "{command:?}: {err}");
            assert!(err.contains(said) || command[0] == "log", "{command:?}: {err}");
        }
        let text = format!("use \"{path}\"\n");
        let used = told(at, &text);
        fs::write(at.join("a.still"), LOTION).unwrap();
        assert!(!used[0]["message"].as_str().unwrap().contains("os error"), "{used:#?}");
    }
}

#[test]
fn paths_are_told_from_where_one_stands_and_to_code_hosts_from_the_root() {
    let dir = tempdir().unwrap();
    let root = dir.path().join("workshop");
    let (inner, beside) = (root.join("formulas/face care"), root.join("house"));
    for folder in [&inner, &beside, &root.join(".git")] {
        fs::create_dir_all(folder).unwrap();
    }
    let name = "crème 3 % #1.still";
    fs::write(inner.join(name), format!("use \"../../house/oils.still\"\n{LOTION}").replace("3 %", "3,5 %")).unwrap();
    fs::write(beside.join("oils.still"), "let oil = 0,5 %\n").unwrap();
    let from_root = format!("formulas/face care/{name}");
    let paths = |at: &std::path::Path, path: &str| {
        let (_, out, _) = run(at, &["check", path, "--format", "json"]);
        let json: Value = serde_json::from_str(&out).unwrap();
        json["diagnostics"]
            .as_array()
            .unwrap()
            .iter()
            .map(|one| one["file"].as_str().unwrap().to_string())
            .collect::<Vec<_>>()
    };
    assert_eq!(paths(&inner, name), [name, "../../house/oils.still"]);
    assert_eq!(paths(&beside, &format!("../{from_root}")), [&format!("../{from_root}"), "oils.still"]);
    assert_eq!(paths(&root, "formulas"), [from_root.as_str(), "house/oils.still"]);
    assert_eq!(paths(dir.path(), "workshop/house"), ["workshop/house/oils.still"]);
    let (_, human, _) = run(&inner, &["check", name]);
    assert!(human.contains(" ../../house/oils.still:1:11\n") && human.contains(&format!(" {name}:13:15\n")), "{human}");
    for (at, path) in [(&inner, name.to_string()), (&beside, format!("../{from_root}")), (&root, from_root.clone())] {
        let (_, out, _) = run(at, &["check", &path, "--format", "sarif"]);
        let json: Value = serde_json::from_str(&out).unwrap();
        valid_by("tests/data/sarif-2.1.0.json", &json);
        let results = json["runs"][0]["results"].as_array().unwrap();
        let places = results.iter().map(|one| &one["locations"][0]["physicalLocation"]["artifactLocation"]);
        let uris: Vec<&str> = places.clone().map(|place| place["uri"].as_str().unwrap()).collect();
        assert_eq!(uris, ["formulas/face%20care/cr%C3%A8me%203%20%25%20%231.still", "house/oils.still"]);
        assert!(places.into_iter().all(|place| place["uriBaseId"] == "%SRCROOT%"), "{json:#}");
        assert!(!out.contains(dir.path().to_str().unwrap()), "no path of this machine: {out}");
        let (_, out, _) = run(at, &["check", &path, "--format", "github"]);
        let encoded = from_root.replace('%', "%25");
        assert!(out.contains(&format!("::error file={encoded},line=13,")), "{out}");
        assert!(out.contains("::error file=house/oils.still,line=1,"), "{out}");
    }
}
