//! What a beginner types who has not read the page, and what becomes of it when the help is followed to the letter: the
//! edit that the message carries where it carries one, or else what stands between backticks in its help. Each gives one
//! message; what it leads to is right, or has the next fault.

#![allow(clippy::disallowed_methods, reason = "tests write files of their own")]

use crate::common::mend::{self, run, with_fix};
use serde_json::Value;
use tempfile::tempdir;

/// A sound lotion of the shelf.
const LOTION: &str = "use shelf/all

formula lotion {
  version  \"1\"
  product  leave-on face
  market   eu
  makes    100 g
  scale    0.01 g
  meter    0.05
  pH       5.0 to 5.4

  phase A \"Water\" {
    water        q.s.
    glycerin     3 %
    niacinamide  3 %
    xanthan-gum  0.3 %
  }
  phase B \"Cool\" {
    phenoxyethanol-ethylhexylglycerin  0.9 %
  }
}
";

/// How a help is followed where the message carries no edit.
type Hand = fn(&str, &str) -> String;

/// By the edit alone.
const BY_EDIT: Hand = |text, help| panic!("no edit to follow: {help}\n{text}");

struct Slip {
    from: &'static str,
    to: &'static str,
    /// The code of the one message that comes of it.
    code: &'static str,
    /// What the message or its help says.
    says: &'static str,
    by_hand: Hand,
    /// The codes of the errors and warnings that are left once the help was followed, step by step, as often as it
    /// helps.
    then: &'static [&'static [&'static str]],
}

const fn slip(from: &'static str, to: &'static str, code: &'static str, says: &'static str) -> Slip {
    Slip { from, to, code, says, by_hand: BY_EDIT, then: &[&[]] }
}

const RIGHT: &[&str] = &[];

/// What stands between the backticks of a help, in order.
fn offered(help: &str) -> Vec<&str> {
    help.split('`').skip(1).step_by(2).collect()
}

/// What is told of a text, but for a window that nothing brings the pH to: of a batch with nothing to hold its pH that is
/// a vague note, and not what is tried here.
fn told(dir: &std::path::Path, text: &str) -> Vec<Value> {
    let all = mend::told(dir, text);
    all.into_iter().filter(|one| one["code"] != "ph-window-unreachable" || one["level"] != "note").collect()
}

fn grave(told: &[Value]) -> Vec<&str> {
    let told = told.iter().filter(|one| one["level"] != "note");
    told.map(|one| one["code"].as_str().unwrap()).collect()
}

fn followed(text: &str, fault: &Value, by_hand: Hand) -> String {
    match &fault["fix"] {
        Value::Null => by_hand(text, fault["help"].as_str().unwrap_or_default()),
        _ => with_fix(text, fault),
    }
}

/// Each step: one fault is told, its help is followed.
fn follow(slip: &Slip) {
    let dir = tempdir().unwrap();
    assert!(LOTION.contains(slip.from), "{}", slip.from);
    let mut text = LOTION.replace(slip.from, slip.to);
    let all = told(dir.path(), &text);
    assert_eq!(all.len(), 1, "one message for `{}`: {all:#?}", slip.to);
    let mut fault = all[0].clone();
    assert_eq!(fault["code"], slip.code, "{fault:#}");
    let said = format!("{} {}", fault["message"].as_str().unwrap(), fault["help"].as_str().unwrap_or_default());
    assert!(said.contains(slip.says), "{said}");
    for then in slip.then {
        let next = followed(&text, &fault, slip.by_hand);
        assert_ne!(next, text);
        let all = told(dir.path(), &next);
        assert_eq!(grave(&all), *then, "`{}` became\n{next}\n{all:#?}", slip.to);
        let Some(first) = all.iter().find(|one| one["level"] != "note") else { return };
        (fault, text) = (first.clone(), next);
    }
}

#[test]
fn the_lotion_is_sound() {
    let dir = tempdir().unwrap();
    assert_eq!(told(dir.path(), LOTION), Vec::<Value>::new());
}

#[test]
fn a_slip_of_a_beginner_is_one_message_and_mends_when_followed() {
    let all = [
        slip("pH       5.0 to 5.4", "pH       5.2", "syntax", "such as `pH 5 to 5.4`"),
        slip("pH       5.0 to 5.4", "pH       about 5.2", "syntax", "such as `pH 5 to 5.4`"),
        slip("pH       5.0 to 5.4", "pH       5.2 ± 0.2", "syntax", "`pH 5 to 5.4`"),
        slip("pH       5.0 to 5.4", "pH       5.0-5.4", "syntax", "`pH 5.0 to 5.4`"),
        slip("pH       5.0 to 5.4", "pH       5.0 – 5.4", "syntax", "`pH 5.0 to 5.4`"),
        slip("pH       5.0 to 5.4", "pH       between 5.0 and 5.4", "syntax", "`pH 5.0 to 5.4`"),
        slip("pH       5.0 to 5.4", "pH: 5.0 to 5.4", "syntax", "`pH 5.0 to 5.4`"),
        slip("xanthan-gum  0.3 %", "xanthan gum  0.3 %", "syntax", "`xanthan-gum 0.3 %`"),
        slip("xanthan-gum  0.3 %", "Xanthan Gum: 0.3%", "syntax", "`xanthan-gum 0.3%`"),
        slip("niacinamide  3 %", "Niacinamide  3 %", "syntax", "`niacinamide`"),
        slip("niacinamide  3 %", "3 % niacinamide", "syntax", "`niacinamide 3 %`"),
        slip("niacinamide  3 %", "niacinamide: 3 %,", "syntax", "`niacinamide 3 %`"),
        slip("product  leave-on face", "product  leave on face", "syntax", "`leave-on`"),
        slip("water        q.s.", "water: qs,", "syntax", "`water q.s.`"),
        slip("water        q.s.", "water        qs", "syntax", "`q.s.`"),
        slip("water        q.s.", "water        to 100 %", "syntax", "`water q.s.`"),
        slip("version  \"1\"", "version  1.0", "syntax", "`version \"1.0\"`"),
        slip("version  \"1\"", "version  \"1\"\n  title    Day lotion", "syntax", "`title \"Day lotion\"`"),
        slip("glycerin     3 %", "glycerin     3 g", "mixed-basis", "of 100 g, 3 g of `glycerin` is `3 %`"),
        // Its density on the shelf is 1.26 g/mL (the shelf's own source).
        Slip {
            by_hand: |text, help| {
                assert!(offered(help).contains(&"citric-acid-10 q.s. to pH"), "{help}");
                text.replace("citric-acid-10  q.s.", "citric-acid-10  q.s. to pH")
                    .replace("water        q.s.", "water        q.s.  hold back 5 %")
            },
            then: &[RIGHT],
            ..slip(
                "    glycerin     3 %\n",
                "    glycerin     3 %\n    citric-acid-10  q.s.\n",
                "qs-twice",
                "q.s. to pH",
            )
        },
        slip("    water        q.s.\n", "    heat 60 °C\n    water        q.s.\n", "syntax", "`heat to 60 °C`"),
        slip("    water        q.s.\n", "    heat 60\n    water        q.s.\n", "syntax", "`heat to 60 °C`"),
        Slip {
            then: &[&["mixed-basis"], RIGHT],
            ..slip("glycerin     3 %", "glycerin     2 ml", "unit-mismatch", "`2.52 g`")
        },
        Slip {
            then: &[&["unit-mismatch"], &["mixed-basis"], RIGHT],
            ..slip("glycerin     3 %", "glycerin     0.1 fl oz", "syntax", "`imp-fl-oz`")
        },
        // The next fault is that of a volume without a density, whose help says what to add.
        Slip {
            then: &[&["density-missing"]],
            ..slip("makes    100 g", "makes    8 fl oz", "syntax", "`makes 8 fl-oz`")
        },
        // An everyday name is the next fault.
        Slip { then: &[&["name-unknown"]], ..slip("xanthan-gum  0.3 %", "HEC          0.3 %", "syntax", "`hec`") },
        Slip { ..slip("use shelf/all\n\n", "", "name-unknown", "write `use shelf/all` at the top of the file") },
        slip("pH       5.0 to 5.4", "pH       5.2 to 5.22", "ph-window-narrow", "`pH 5.1 to 5.3`"),
    ];
    all.iter().for_each(follow);
}

/// A market means the same in capitals, and is told of as nothing.
#[test]
fn a_market_and_a_product_are_read_in_capitals() {
    let dir = tempdir().unwrap();
    for to in ["market   EU", "market   Eu"] {
        assert_eq!(told(dir.path(), &LOTION.replace("market   eu", to)), Vec::<Value>::new());
    }
    assert_eq!(told(dir.path(), &LOTION.replace("leave-on face", "Leave-on Face")), Vec::<Value>::new());
    let forbidden = LOTION.replace("glycerin     3 %", "glycerin     3 %\n    hydroquinone  1 %");
    let codes = |text: &str| grave(&told(dir.path(), text)).join(" ");
    assert_eq!(codes(&forbidden), codes(&forbidden.replace("market   eu", "market   EU")), "its rules are asked");
}

/// The window that is offered goes by the meter: a strip is good to half a unit.
#[test]
fn a_window_is_offered_by_the_meter() {
    let dir = tempdir().unwrap();
    for (meter, window) in
        [("0.05", "pH 5 to 5.4"), ("0.01", "pH 5 to 5.4"), ("0.2", "pH 4.8 to 5.6"), ("0.5", "pH 4.2 to 6.2")]
    {
        let text = LOTION.replace("5.0 to 5.4", "5.2").replace("meter    0.05", &format!("meter    {meter}"));
        let all = told(dir.path(), &text);
        assert!(all[0]["help"].as_str().unwrap().contains(&format!("`{window}`")), "{meter}: {all:#?}");
    }
}

/// A whole phase with commas at its lines' ends is one statement to the language: one message, and one edit for all.
#[test]
fn lines_with_commas_are_mended_together() {
    let dir = tempdir().unwrap();
    let lines = ["water        q.s.", "glycerin     3 %", "niacinamide  3 %"];
    let text = lines.iter().fold(LOTION.to_string(), |text, line| text.replace(line, &format!("{line},")));
    let all = told(dir.path(), &text);
    assert_eq!(all.len(), 1, "{all:#?}");
    assert_eq!(with_fix(&text, &all[0]), LOTION);
}

/// The names of the shelf are one message, however many there are, and those that are nowhere have their own.
#[test]
fn a_file_that_uses_nothing_is_told_so_once() {
    let dir = tempdir().unwrap();
    let text = LOTION.replace("use shelf/all\n\n", "").replace("    glycerin ", "    glycerinn ");
    let all = told(dir.path(), &text);
    assert_eq!(grave(&all), ["name-unknown"; 2], "{all:#?}");
    assert!(all[0]["message"].as_str().unwrap().contains("and 3 more names"), "{all:#?}");
    assert!(all[1]["help"].as_str().unwrap().contains("`glycerin`"), "{all:#?}");
    let both = with_fix(&with_fix(&text, &all[1]), &all[0]);
    assert_eq!(told(dir.path(), &both), Vec::<Value>::new(), "{both}");
}

/// Each of the three that are named, put in as it is written, suits: in a mild lotion, in an acid one and in one that
/// is rinsed off, with a cationic and with a solubiliser.
#[test]
fn three_preservatives_are_named_and_each_suits() {
    let dir = tempdir().unwrap();
    let without = LOTION.replace("phenoxyethanol-ethylhexylglycerin  0.9 %", "panthenol-75  1 %");
    let formulas = [
        without.clone(),
        without.replace("5.0 to 5.4", "4.6 to 4.9").replace("niacinamide  3 %", "urea  3 %"),
        without.replace("  pH       5.0 to 5.4\n", ""),
        without.replace("leave-on face", "rinse-off hair"),
        without.replace("xanthan-gum  0.3 %", "polysorbate-20  8 %"),
        without.replace("xanthan-gum  0.3 %", "cetrimonium-chloride-29  2 %"),
    ];
    for text in &formulas {
        let all = told(dir.path(), text);
        let of_it = all.iter().find(|one| one["code"] == "no-preservative").unwrap_or_else(|| panic!("{all:#?}"));
        let help = of_it["help"].as_str().unwrap();
        let named = help.split(" suit").next().unwrap();
        let named = named.replace(" or ", ", ");
        let ways: Vec<Vec<&str>> = named.split(", ").map(offered).collect();
        assert_eq!(ways.len(), 3, "{help}");
        let before: Vec<&str> = grave(&all).into_iter().filter(|code| *code != "no-preservative").collect();
        for way in &ways {
            let lines = way.join("\n    ");
            let text = text.replace("panthenol-75  1 %", &format!("panthenol-75  1 %\n    {lines}"));
            let after = told(dir.path(), &text);
            // What a preservative that works in part of the scale asks for, a pH, is the next fault.
            let new: Vec<&str> =
                grave(&after).into_iter().filter(|code| *code != "ph-window-none" && !before.contains(code)).collect();
            assert_eq!(new, RIGHT, "{lines}\n{after:#?}");
        }
    }
}

/// Weighed from a premix, a trace is no longer too little for the scale: one that belongs into the oil is thinned with
/// an oil. Where there is none, a finer scale is what is left.
#[test]
fn a_trace_is_thinned_with_what_it_goes_into() {
    let dir = tempdir().unwrap();
    let trace = LOTION.replace(
        "    xanthan-gum  0.3 %",
        "    xanthan-gum  0.3 %\n    jojoba-oil  3 %\n    polysorbate-80  3 %\n    tocopherol  0.1 %",
    );
    let below = |text: &str| {
        let all = told(dir.path(), text);
        let found = all.iter().find(|one| one["code"] == "below-scale");
        found.map(|one| one["help"].as_str().unwrap().to_string())
    };
    let help = below(&trace).expect("too little for the scale");
    assert!(help.contains("1 part in 2 with `jojoba-oil`"), "{help}");
    let stock = "formula thin {\n  version \"1\"\n  product stock\n  makes 20 g\n  scale 0.01 g\n  phase A {\n    \
                 tocopherol 50 %\n    jojoba-oil q.s.\n  }\n}\n";
    let thinned =
        trace.replace("    tocopherol  0.1 %", "    thin  0.2 %").replace("jojoba-oil  3 %", "jojoba-oil  2.9 %");
    assert_eq!(
        below(&format!("{stock}{thinned}").replacen(stock, "", 1).replacen(
            "use shelf/all\n",
            &format!("use shelf/all\n{stock}"),
            1
        )),
        None
    );
    let dry = LOTION
        .replace("    xanthan-gum  0.3 %", "    xanthan-gum  0.3 %\n    polysorbate-80  3 %\n    tocopherol  0.1 %");
    let help = below(&dry).expect("too little for the scale");
    assert!(!help.contains("premix") && help.contains("a scale that reads 0.001 g"), "{help}");
    assert_eq!(below(&dry.replace("scale    0.01 g", "scale    0.001 g")), None);
    let batch = help.split("make ").next().unwrap_or(&help).to_string() + &help;
    let grams = batch.split("ake ").nth(1).unwrap().split(" g").next().unwrap();
    assert_eq!(below(&dry.replace("makes    100 g", &format!("makes    {grams} g"))), None, "{help}");
}

/// A material taken out that the base's steps and promises still speak of: told at the `remove`, and the help mends it.
#[test]
fn what_is_removed_is_told_of_where_it_is_removed() {
    let dir = tempdir().unwrap();
    let base = LOTION.trim_end().trim_end_matches('}').to_string()
        + "  steps {\n    \"Sprinkle {xanthan-gum} into {glycerin}, stir into {water} with {niacinamide}.\"\n    \
           \"Add {phenoxyethanol-ethylhexylglycerin}; stir {glycerin} in.\"\n  }\n  ensure glycerin at most 5 %\n}\n";
    let variant = |body: &str| format!("{base}\nvariant plain of lotion {{\n  version  \"1\"\n{body}}}\n");
    // Steps of its own.
    let removed = variant("  remove  niacinamide\n");
    let all = told(dir.path(), &removed);
    assert_eq!(grave(&all), ["step-unknown-name"], "{all:#?}");
    assert_eq!(all[0]["line"], removed.lines().position(|line| line.contains("remove  ")).unwrap() + 1);
    let own = all[0]["help"].as_str().unwrap();
    let steps = offered(own).into_iter().find(|part| part.starts_with("steps {")).unwrap();
    let steps = steps.replace(
        "\"…\"",
        "\"Sprinkle {xanthan-gum} into {glycerin}, stir into {water}; add {phenoxyethanol-ethylhexylglycerin}.\"",
    );
    assert_eq!(told(dir.path(), &variant(&format!("  remove  niacinamide\n  {steps}\n"))), Vec::<Value>::new());
    // A promise of the base.
    let reckoned = variant(&format!(
        "  remove  glycerin\n  {}\n",
        steps.replace("{glycerin}", "a little water and {niacinamide}")
    ));
    let all = told(dir.path(), &reckoned);
    assert_eq!(grave(&all), ["name-unknown"], "{all:#?}");
    assert!(all[0]["help"].as_str().unwrap().contains("`swap glycerin for …`"), "{all:#?}");
    let swapped = reckoned
        .replace("remove  glycerin", "swap glycerin for propanediol")
        .replace("a little water", "{propanediol}");
    assert_eq!(told(dir.path(), &swapped), Vec::<Value>::new(), "{swapped}");
    // Slips in the `remove` itself, each mended by its edit, so that what is left is the steps.
    for (to, says) in [
        ("remove  Niacinamide", "`remove niacinamide`"),
        ("remove  niacinamide 3 %", "`remove niacinamide`"),
        ("remove  xanthan gum", "`remove xanthan-gum`"),
        ("remove  niacinamide, xanthan gum", "each by itself"),
        ("remove  niacinamid", "`niacinamide`"),
        ("swap glycerin with propanediol", "`swap glycerin for propanediol`"),
        ("niacinamide 2 %", "`set niacinamide 2 %`"),
    ] {
        let text = variant(&format!("  {to}\n"));
        let all = told(dir.path(), &text);
        assert_eq!(all.len(), 1, "{to}: {all:#?}");
        assert!(all[0]["help"].as_str().unwrap().contains(says), "{to}: {all:#?}");
        let next = told(dir.path(), &with_fix(&text, &all[0]));
        // Without the gum nothing hides how little is known of the pH of what is left.
        let left = ["step-unknown-name", "ph-window-unreachable"];
        assert!(grave(&next).iter().all(|code| left.contains(code)), "{to}: {next:#?}");
    }
    // What is no line of the base is answered with its lines.
    let all = told(dir.path(), &variant("  remove  zinc-oxide\n"));
    assert!(all[0]["help"].as_str().unwrap().starts_with("Its lines are `water`, `glycerin`"), "{all:#?}");
    let twice = told(
        dir.path(),
        &variant(
            "  remove  niacinamide\n  remove  niacinamide\n  steps { \"Stir {water}, {glycerin}, {xanthan-gum}, {phenoxyethanol-ethylhexylglycerin}.\" }\n",
        ),
    );
    assert!(twice[0]["message"].as_str().unwrap().contains("removed already"), "{twice:#?}");
}

/// An `allow` on a line quiets what is told because of that line, where the fault stands elsewhere too; one on the
/// formula speaks for one material, and not for those that come later.
#[test]
fn an_allow_speaks_of_what_it_stands_at() {
    let dir = tempdir().unwrap();
    let wide = LOTION.replace("5.0 to 5.4", "4.6 to 5.4");
    assert_eq!(grave(&told(dir.path(), &wide)), ["ph-window-partial"]);
    let on_line = wide.replace("niacinamide  3 %", "niacinamide  3 %  allow ph-window-partial because \"a trial\"");
    assert_eq!(told(dir.path(), &on_line), Vec::<Value>::new());
    let elsewhere = wide.replace("glycerin     3 %", "glycerin     3 %  allow ph-window-partial because \"a trial\"");
    assert_eq!(grave(&told(dir.path(), &elsewhere)), ["ph-window-partial", "allow-unused"]);
    let over = LOTION.replace("xanthan-gum  0.3 %", "xanthan-gum  3 %");
    let allowed =
        over.replace("  market   eu\n", "  market   eu\n  allow usage-over because \"the supplier agrees\"\n");
    assert_eq!(grave(&told(dir.path(), &over)), ["usage-over"]);
    assert_eq!(grave(&told(dir.path(), &allowed)), RIGHT);
    // The second material is not what the reason was written for.
    let two = allowed.replace("glycerin     3 %", "glycerin     60 %");
    let all = told(dir.path(), &two);
    assert_eq!(grave(&all), ["usage-over"; 2], "{all:#?}");
    let over = |one: &&Value| one["code"] == "usage-over";
    assert!(
        all.iter().filter(over).all(|one| one.to_string().contains("this allows one material, and 2 are told of")),
        "{all:#?}"
    );
    let each = two
        .replace("  allow usage-over because \"the supplier agrees\"\n", "")
        .replace("xanthan-gum  3 %", "xanthan-gum  3 %  allow usage-over because \"the supplier agrees\"");
    assert_eq!(grave(&told(dir.path(), &each)), ["usage-over"], "the glycerin is told of");
    // The size of the batch is the formula's, whatever line it shows at.
    let small = LOTION
        .replace("makes    100 g", "makes    10 g")
        .replace("  market   eu\n", "  market   eu\n  allow below-scale because \"for the feel only\"\n");
    assert_eq!(told(dir.path(), &small), Vec::<Value>::new());
}

/// What `check` prints for people: exit code, standard output, standard error.
fn printed(text: &str, arguments: &[&str]) -> String {
    let dir = tempdir().unwrap();
    std::fs::write(dir.path().join("a.still"), text).unwrap();
    run(dir.path(), &[&["check", "a.still"], arguments].concat()).1
}

/// Errors, then warnings, then notes, each with its message, its place and what to do; a note without its line. What
/// else bears on each, and the sources, stand in the long form only. Six faults fit on a screen of 36 lines.
#[test]
fn check_prints_in_short_and_the_errors_first() {
    let faulty = LOTION
        .replace("  version  \"1\"\n", "")
        .replace("glycerin     3 %", "glycerin     45 %")
        .replace("ethylhexylglycerin  0.9 %", "ethylhexylglycerin  1.2 %")
        .replace("5.0 to 5.4", "4.6 to 5.4");
    let short = printed(&faulty, &[]);
    let heads: Vec<&str> = short.lines().filter(|line| !line.starts_with(' ') && !line.is_empty()).collect();
    let expected = [
        "error [rule-broken] a.still:18:40",
        "warning [ph-window-partial] a.still:9:3",
        "warning [usage-over] a.still:13:18",
        "warning [usage-over] a.still:18:40",
        "note [version-missing] a.still:3:9",
        "note [ph-window-unreachable] a.still:9:3",
    ];
    assert_eq!(heads, expected, "{short}");
    assert!(short.contains("\n    glycerin     45 %\n                 ────\n  help: At most 40 %"), "{short}");
    assert!(!short.contains("formula lotion {") && !short.contains("shelf/humectants"), "{short}");
    assert!(short.lines().count() < 36, "{short}");
    for flag in ["--verbose", "-v"] {
        let long = printed(&faulty, &[flag]);
        assert!(long.starts_with("error [rule-broken]\n") && long.contains("[shelf/humectants.still:"), "{long}");
        assert!(long.find("warning [").unwrap() < long.find("note [").unwrap(), "{long}");
    }
}

/// What the label names is one message, with a row for each: what, as what, how much, and from where on.
#[test]
fn allergens_are_one_message_with_a_table() {
    let scented =
        LOTION.replace("xanthan-gum  0.3 %", "xanthan-gum  0.3 %\n    lavender-oil  0.4 %\n    polysorbate-20  4 %");
    let dir = tempdir().unwrap();
    let count = told(dir.path(), &scented).iter().filter(|one| one["code"] == "declare-allergen").count();
    assert!(count > 3, "{count}");
    for arguments in [&[][..], &["--verbose"]] {
        let out = printed(&scented, arguments);
        assert_eq!(out.matches("[declare-allergen]").count(), 1, "{out}");
        assert!(out.contains(&format!("names {count} allergens")), "{out}");
        let rows: Vec<&str> =
            out.lines().filter(|line| line.trim_start().starts_with('`') && line.contains(" %  ")).collect();
        assert_eq!(rows.len(), count, "{out}");
        assert!(rows.iter().any(|row| row.contains("Linalool") && row.trim_end().ends_with("0.001 %")), "{out}");
    }
}
