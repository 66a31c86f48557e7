//! What changed between two versions: each kind of edit is shown in its own terms and nothing else is, and two texts
//! that mean the same show nothing. What a maker changes in a formula is common practice, no source.

use crate::common;
use crate::common::folder;
use serde_json::Value;
use stillroom::render::{DiffJson, diff_markdown, diff_text};
use stillroom::session::check;
use stillroom::sheet::BatchOrder;
use stillroom::versions::{Compared, FormulaMeaning, Status, compared};

const BASE: &str = r#"
substance water { inci "Aqua" }
substance tartaric-acid {
  inci        "Tartaric Acid"
  cas         "87-69-4"
  molar-mass  150.09 g/mol
  acid        pKa 3.04, 4.37
}
substance sodium-hydroxide {
  inci        "Sodium Hydroxide"
  molar-mass  40.00 g/mol
  strong base
}
substance betaine { inci "Betaine" }
substance glycerol { inci "Glycerin" }
substance keeper { inci "Phenoxyethanol" }
material water { role solvent }
material acid-70 {
  contains  tartaric-acid 70 % active, water remainder
  caution   "Corrosive as supplied: gloves and eye protection."
  use       1 % to 20 %
}
material base-10 {
  contains  sodium-hydroxide 10 %, water remainder
  role      ph-adjuster
  caution   "Caustic: goggles and gloves."
}
material glycerol {
  role  humectant
  use   1 % to 10 %
}
material betaine { role humectant }
material keeper {
  role      preservative
  works in  pH 3 to 8
}
let acid = 7 %
rule house {
  limit  glycerol to 9 %
  level  warning
}
formula gel-stock {
  product  stock
  makes    100 g
  phase A {
    water     q.s.
    glycerol  20 %
  }
}
formula tonic {
  title    "Tonic"
  version  "1.0"
  product  leave-on face
  makes    12 x 30 mL plus 4 %
  density  1.02 g/mL
  scale    0.01 g
  meter    0.05
  pH       3.6 to 4.0
  warning  "Keep out of the eyes."
  phase A "Water" {
    water     q.s.  hold back 25 %
    acid-70   acid active
    glycerol  4 %  because "it does not sting"
    base-10   q.s. to pH  from water
  }
  phase B "Cool" {
    cool to 40 °C
    betaine    2 %
    gel-stock  10 %
    keeper     0.8 %
  }
  steps {
    "Mix {glycerol} into {water}."
    "Bring to {pH} with {base-10}."
    "Stir in {keeper}."
  }
  ensure glycerol + betaine at most 8 %
}
"#;

/// The formula of a name before and after, in full.
fn held(before: &str, after: &str) -> Vec<Compared> {
    let side = |text: &str| {
        let folder = folder(&[("tonic.still", text.as_bytes())]);
        let loaded = folder.load();
        let report = check(&loaded.sources, &BatchOrder::default(), false);
        let faults: Vec<_> = loaded.sources.files.iter().flat_map(|file| &file.faults).collect();
        assert!(faults.is_empty(), "{faults:#?}");
        report
            .formulas
            .iter()
            .map(|found| FormulaMeaning::in_full(&report, found, &BatchOrder::default()))
            .collect::<Vec<_>>()
    };
    compared(side(before), side(after))
}

fn tonic(before: &str, after: &str) -> Compared {
    held(before, after).into_iter().find(|one| one.name() == "tonic").unwrap()
}

/// A change as one line: `kind what [about] in PHASE: old -> new unit`.
fn line(change: &Value) -> String {
    let text = |key: &str| change[key].as_str().unwrap_or("-").to_string();
    let about = change["about"].as_str().map(|about| format!(" [{about}]")).unwrap_or_default();
    let phase = change["phase"].as_str().map(|phase| format!(" in {phase}")).unwrap_or_default();
    let unit = change["unit"].as_str().map(|unit| format!(" {unit}")).unwrap_or_default();
    format!("{} {}{about}{phase}: {} -> {}{unit}", text("kind"), text("what"), text("old"), text("new"))
}

/// What was edited, and the kinds of what follows.
fn told(one: &Compared) -> (Vec<String>, Vec<String>) {
    let json = serde_json::to_value(DiffJson::new(std::slice::from_ref(one), &[])).unwrap();
    let changes = json["formulas"][0]["changes"].as_array().unwrap().clone();
    let of = |follows: bool| changes.iter().filter(move |change| change["follows"] == follows);
    let mut kinds: Vec<String> = of(true).map(|change| change["kind"].as_str().unwrap().to_string()).collect();
    kinds.sort();
    kinds.dedup();
    (of(false).map(line).collect(), kinds)
}

/// An edit: what is replaced, by what, what is told of as edited, and the kinds of what follows.
struct Edit(&'static str, &'static str, &'static [&'static str], &'static [&'static str]);

/// Every kind of edit there is.
#[rustfmt::skip]
const EDITS: &[Edit] = &[
    Edit(r#"version  "1.0""#, r#"version  "1.1""#, &["version version: 1.0 -> 1.1"], &[]),
    Edit(r#"version  "1.0""#, "", &["version version: 1.0 -> -"], &["diagnostic-added"]),
    Edit(r#"title    "Tonic""#, r#"title    "Clear tonic""#, &["header title: Tonic -> Clear tonic"], &[]),
    Edit("leave-on face", "leave-on body", &["header product: face leave-on -> body leave-on"], &[]),
    Edit("product  leave-on face", "product  leave-on face\n  market eu", &["header market: - -> eu"],
        &["declaration", "statement"]),
    Edit("meter    0.05", "meter    0.05\n  margin 60 %", &["cost margin: - -> 60 %"], &[]),
    Edit("meter    0.05", "meter    0.05\n  loss 3 %", &["cost loss: - -> 3 %"], &[]),
    Edit("meter    0.05", "meter    0.05\n  labour 1.5 h at 18 EUR per h", &["cost labour: - -> 90 min at 18 EUR per h"], &["cost"]),
    Edit("meter    0.05", "meter    0.05\n  fee 0.20 EUR each", &["cost fee: - -> 0.2 EUR each"], &["cost"]),
    Edit("12 x 30 mL plus 4 %", "12 x 30 mL plus 5 %", &["header makes: 12 x 30 mL plus 4 % -> 12 x 30 mL plus 5 %"], &[]),
    Edit("1.02 g/mL", "1.03 g/mL", &["header density: 1.02 g/mL -> 1.03 g/mL"], &[]),
    Edit("scale    0.01 g", "scale    0.1 g", &["header scale: 0.01 g -> 0.1 g"], &[]),
    Edit("meter    0.05", "meter    0.02", &["header meter: 0.05 -> 0.02"], &[]),
    Edit("meter    0.05", "meter    0.05\n  date 2026-05-01", &["header date: - -> 2026-05-01"], &[]),
    Edit("meter    0.05", "meter    0.05\n  lasts 12 months", &["header lasts: - -> 12 months"], &[]),
    Edit("meter    0.05", "meter    0.05\n  opened 6 months", &["header opened: - -> 6 months"], &[]),
    Edit("meter    0.05", "meter    0.05\n  directions \"A few drops.\"", &["header directions: - -> A few drops."], &[]),
    Edit("meter    0.05", "meter    0.05\n  function \"Toner\"", &["header function: - -> Toner"], &[]),
    Edit("meter    0.05", "meter    0.05\n  declare as formed", &["header declare as formed: - -> yes"], &[]),
    Edit("meter    0.05", "meter    0.05\n  water-activity 0.6", &["header water-activity: - -> 0.6"], &[]),
    Edit("Keep out of the eyes.", "Not for the eyes.",
        &["statement warning: Keep out of the eyes. -> -", "statement warning: - -> Not for the eyes."], &[]),
    Edit("pH       3.6 to 4.0", "pH       3.8 to 4.2", &["ph-window pH: 3.6 to 4.0 -> 3.8 to 4.2"], &["adjuster"]),
    Edit("pH       3.6 to 4.0", "pH       at least 3.6", &["ph-window pH: 3.6 to 4.0 -> at least 3.6"],
        &["diagnostic-added", "diagnostic-gone"]),
    Edit("glycerol  4 %", "glycerol  5 %", &["amount glycerol in A: 4 -> 5 %"], &["adjuster", "amount", "composition"]),
    Edit("acid = 7 %", "acid = 8 %", &["active acid-70 [tartaric-acid] in A: 7 -> 8 %"],
        &["adjuster", "amount", "composition", "predicted-ph"]),
    Edit("contains  tartaric-acid 70 %", "contains  tartaric-acid 65 %", &["strength acid-70 [tartaric-acid]: 70 -> 65 %"],
        &["amount"]),
    Edit("contains  sodium-hydroxide 10 %", "contains  sodium-hydroxide 9 %", &["strength base-10 [sodium-hydroxide]: 10 -> 9 %"],
        &["adjuster"]),
    Edit("contains  tartaric-acid 70 %", "contains  tartaric-acid 65 to 70 %", &["strength acid-70 [tartaric-acid]: 70 -> 65 to 70 %"],
        &["amount", "composition", "diagnostic-added"]),
    Edit("hold back 25 %", "hold back 30 %", &["reserve water in A: 25 -> 30 %"], &["diagnostic-gone"]),
    Edit("base-10   q.s. to pH  from water", "base-10   q.s. to pH", &["adjuster base-10 [from] in A: water -> -"], &[]),
    Edit("base-10   q.s. to pH  from water", "base-10   12 %", &[
        "adjuster base-10 in A: q.s. to pH -> 12 %", "adjuster base-10 [from] in A: water -> -",
    ], &["amount", "composition", "diagnostic-added", "diagnostic-gone", "predicted-ph"]),
    Edit("it does not sting", "it is mild", &["statement glycerol [because] in A: it does not sting -> it is mild"], &[]),
    Edit("betaine    2 %\n", "", &["line-removed betaine in B: 2 -> - %"],
        &["adjuster", "amount", "composition", "diagnostic-added", "diagnostic-gone"]),
    Edit("keeper     0.8 %", "keeper     0.8 %\n    water 1 %", &["line-added water in B: - -> 1 %"], &["amount"]),
    Edit("    betaine    2 %\n    gel-stock  10 %", "    gel-stock  10 %\n    betaine    2 %", &["line-moved betaine in B: B -> B"], &[]),
    Edit("glycerol  4 %  because \"it does not sting\"", "glycerol  4 %  because \"it does not sting\"\n    betaine    2 %",
        &["line-added betaine in A: - -> 2 %"], &["adjuster", "amount", "composition", "diagnostic-added"]),
    Edit("phase B \"Cool\"", "phase B \"Cooled\"", &["header phase [title] in B: Cool -> Cooled"], &[]),
    Edit("cool to 40 °C", "cool to 35 °C", &["header phase [cool to] in B: 40 -> 35 °C"], &[]),
    Edit("cool to 40 °C", "heat to 40 °C", &[
        "header phase [heat to] in B: - -> 40 °C", "header phase [cool to] in B: 40 -> - °C",
    ], &[]),
    Edit("Stir in {keeper}.", "Stir in {keeper} slowly.", &["step 3: Stir in {keeper}. -> Stir in {keeper} slowly."], &[]),
    Edit("    \"Stir in {keeper}.\"\n", "    \"Stir in {keeper}.\"\n    \"Fill.\"\n", &["step 4: - -> Fill."], &[]),
    Edit("    \"Mix {glycerol} into {water}.\"\n", "", &["step 1: Mix {glycerol} into {water}. -> -"], &["diagnostic-added"]),
    Edit("use       1 % to 20 %", "use       1 % to 8 %", &["material acid-70 [use]: 1 % to 20 % -> 1 % to 8 %"], &["diagnostic-added"]),
    Edit("pH 3 to 8", "pH 4.5 to 8", &["material keeper [works in pH]: 3.0 to 8.0 -> 4.5 to 8.0"], &["diagnostic-added"]),
    Edit("Caustic: goggles and gloves.", "Caustic: goggles.", &["material base-10 [caution]: Caustic: goggles and gloves. -> Caustic: goggles."], &[]),
    Edit("pKa 3.04, 4.37", "pKa 3.22, 4.81", &["material tartaric-acid [in water]: acid, pKa 3.04, 4.37 -> acid, pKa 3.22, 4.81"],
        &["adjuster", "diagnostic-gone", "predicted-ph"]),
    Edit("acid        pKa 3.04, 4.37", "acid        pKa 3.04, 4.37\n  preserves   from 0.1 % free",
        &["material tartaric-acid [preserves]: - -> from 0.1 % free"], &[]),
    Edit("strong base", "strong base\n  spoils      with metals", &["material sodium-hydroxide [spoils]: - -> with metals"], &["diagnostic-added"]),
    Edit("inci \"Betaine\"", "inci \"Trimethylglycine\"", &["material betaine [inci]: Betaine -> Trimethylglycine"], &[]),
    Edit("glycerol  20 %", "glycerol  25 %", &["material gel-stock [glycerol]: 20 -> 25 %"], &["adjuster", "composition", "material"]),
    Edit("limit  glycerol to 9 %", "limit  glycerol to 5 %", &["rule house [rule]: limit glycerol to 9 %; level warning -> limit glycerol to 5 %; level warning"],
        &["diagnostic-added"]),
    Edit("at most 8 %", "at most 5 %", &["rule glycerol + betaine [ensure]: at most 8 % -> at most 5 %"], &["diagnostic-added"]),
    Edit("version  \"1.0\"", "version  \"1.0\"\n  allow line-twice because \"as it is\"", &["rule line-twice [allow]: - -> allowed"], &["diagnostic-added"]),
];

#[test]
fn every_kind_of_edit_is_shown_in_its_own_terms_and_nothing_else_is() {
    assert!(EDITS.len() >= 30);
    let mut problems = Vec::new();
    for Edit(old, new, edited, follows) in EDITS {
        assert_eq!(BASE.matches(old).count(), 1, "{old:?} stands once in the base");
        let after = BASE.replace(old, new);
        let (mut found, kinds) = told(&tonic(BASE, &after));
        let mut wanted: Vec<String> = edited.iter().map(ToString::to_string).collect();
        found.sort();
        wanted.sort();
        if found != wanted || kinds != *follows {
            problems.push(format!("{old} => {new}\n  edited {found:#?}\n  follows {kinds:?}"));
        }
        // Undone, it is the same with both sides changed over.
        let (back, _) = told(&tonic(&after, BASE));
        assert_eq!(back.len(), edited.len(), "{old} => {new}: {back:#?}");
    }
    assert!(problems.is_empty(), "{}", problems.join("\n\n"));
}

#[test]
fn two_texts_that_mean_the_same_show_nothing() {
    let swap = |old: &str, new: &str| {
        assert!(BASE.contains(old), "{old}");
        BASE.replace(old, new)
    };
    let reordered = {
        let (head, formulas) = BASE.split_at(BASE.find("formula gel-stock").unwrap());
        format!("{formulas}\n{head}")
    };
    let one_line: String = BASE.lines().map(str::trim).collect::<Vec<_>>().join("\n");
    for (why, after) in [
        ("declarations in another order", reordered),
        ("laid out otherwise", one_line),
        ("comments", swap("formula tonic {", "# The tonic.\nformula tonic {  # as sold")),
        ("a let put in its place", swap("acid-70   acid active", "acid-70   7 % active")),
        ("an expression", swap("glycerol  4 %", "glycerol  (2 % + 2 %)")),
        ("parts per million", swap("keeper     0.8 %", "keeper     8000 ppm")),
        ("what it comes to as supplied", swap("acid-70   acid active", "acid-70   10 %")),
        ("the substance named", swap("acid-70   acid active", "acid-70   7 % of tartaric-acid")),
        ("a unit of the header", swap("scale    0.01 g", "scale    10 mg")),
        ("the words of the product", swap("leave-on face", "face leave-on")),
        ("a range with its units", swap("use       1 % to 20 %", "use       1 to 20 %")),
        ("what fills up, as a figure", swap("water     q.s.  hold back", "water     73.2 %  hold back")),
        ("a unit in a rule", swap("limit  glycerol to 9 %", "limit  glycerol to 90000 ppm")),
        (
            "the comments gone from a source",
            swap(
                "substance betaine { inci \"Betaine\" }",
                "substance betaine {\n  inci \"Betaine\"\n  source \"a table\"\n}",
            ),
        ),
    ] {
        for one in held(BASE, &after) {
            assert_eq!(one.status, Status::Same, "{why}: {:#?}", one.changes);
        }
        assert_eq!(diff_text(&held(BASE, &after), &[]), "", "{why}");
        assert_eq!(diff_markdown(&held(BASE, &after), &[]), "", "{why}");
    }
}

/// A glycerin of one's own beside the shelf's inside a premix: two materials of one name, each held against itself.
#[test]
fn two_materials_of_one_name_are_kept_apart() {
    let files = |strength: &str| {
        let stock =
            "use shelf/all\nformula stock {\nproduct stock\nmakes 100 g\nphase A {\nwater q.s.\nglycerin 20 %\n}\n}\n";
        let own = format!(
            "use \"stock.still\"\nuse shelf/all\nmaterial glycerin like glycerin {{\ncontains glycerin {strength} % active, water remainder\n}}\n"
        );
        let gel = "use \"own.still\"\nformula gel {\nversion \"1\"\nmakes 100 g\nphase A {\nwater q.s.\nglycerin 5 %\nstock 10 %\n}\n}\n";
        let folder =
            folder(&[("gel.still", gel.as_bytes()), ("own.still", own.as_bytes()), ("stock.still", stock.as_bytes())]);
        let loaded = folder.load();
        let report = check(&loaded.sources, &BatchOrder::default(), false);
        report
            .formulas
            .iter()
            .map(|found| FormulaMeaning::in_full(&report, found, &BatchOrder::default()))
            .collect::<Vec<_>>()
    };
    let same = compared(files("86"), files("86"));
    assert_eq!(same[0].status, Status::Same, "{:#?}", same[0].changes);
    let (edits, _) = told(&compared(files("86"), files("85"))[0]);
    assert_eq!(edits, ["strength glycerin [glycerin]: 86 -> 85 %"]);
}

/// Grams that keep their proportions are percentages of another size.
#[test]
fn a_formula_by_weight_twice_as_large_means_the_same() {
    let by_weight = |water: &str, glycerol: &str| {
        format!(
            "substance water {{ inci \"Aqua\" }}\nsubstance glycerol {{ inci \"Glycerin\" }}\n\
             material water {{ role solvent }}\nmaterial glycerol {{ role humectant }}\n\
             formula f {{\nversion \"1\"\nmakes 100 g\nphase A {{\nwater {water}\nglycerol {glycerol}\n}}\n}}\n"
        )
    };
    let all = held(&by_weight("90 g", "10 g"), &by_weight("180 g", "20 g"));
    assert_eq!(all[0].status, Status::Same, "{:#?}", all[0].changes);
    let edited = held(&by_weight("90 g", "10 g"), &by_weight("90 g", "15 g"));
    let (edits, _) = told(&edited[0]);
    assert_eq!(edits, ["amount glycerol in A: 10 -> 100/7 %"]);
}

/// It weighs the same and is another job at the bench: the lines change, the composition does not.
#[test]
fn a_premix_written_out_changes_the_lines_and_not_the_composition() {
    let after = BASE.replace("gel-stock  10 %", "glycerol 2 %\n    water 8 %");
    let (edited, follows) = told(&tonic(BASE, &after));
    let mut edited = edited;
    edited.sort();
    assert_eq!(
        edited,
        [
            "line-added glycerol in B: - -> 2 %",
            "line-added water in B: - -> 8 %",
            "line-removed gel-stock in B: 10 -> - %",
        ]
    );
    assert!(!follows.contains(&"composition".to_string()) && !follows.contains(&"amount".to_string()), "{follows:?}");
}

/// A formula under another name is known by what is in it; a new one and one that is gone are no edits of each other.
#[test]
fn formulas_are_found_again_by_file_by_name_and_by_content() {
    let renamed = BASE.replace("formula tonic", "formula clear-tonic");
    let statuses = |after: &str| -> Vec<(String, Status)> {
        held(BASE, after).iter().map(|one| (one.name().to_string(), one.status)).collect()
    };
    assert_eq!(
        statuses(&renamed),
        [("gel-stock".to_string(), Status::Same), ("clear-tonic".to_string(), Status::Renamed)]
    );
    let and_edited = renamed.replace("glycerol  4 %", "glycerol  5 %").replace("betaine    2 %", "betaine    3 %");
    let all = held(BASE, &and_edited);
    let one = all.iter().find(|one| one.status == Status::Renamed).unwrap();
    let (edits, _) = told(one);
    assert_eq!(edits, ["amount glycerol in A: 4 -> 5 %", "amount betaine in B: 2 -> 3 %"]);
    let gone: String = BASE.split("formula tonic").next().unwrap().to_string();
    assert_eq!(statuses(&gone), [("gel-stock".to_string(), Status::Same), ("tonic".to_string(), Status::Removed)]);
    let other = format!(
        "{gone}\nformula rinse {{\nversion \"1\"\nproduct rinse-off hair\nmakes 100 g\nphase A {{\nbetaine 100 %\n}}\n}}\n"
    );
    let found = statuses(&other);
    assert!(found.contains(&("rinse".to_string(), Status::Added)), "{found:?}");
    assert!(found.contains(&("tonic".to_string(), Status::Removed)), "{found:?}");
}

/// An amount that is worked out from another line follows it; one that names a figure of the file is edited there.
#[test]
fn what_is_worked_out_from_a_line_follows_it() {
    let base = BASE.replace("betaine    2 %", "betaine    (glycerol / 2)");
    let (edited, _) = told(&tonic(&base, &base.replace("glycerol  4 %", "glycerol  5 %")));
    assert_eq!(edited, ["amount glycerol in A: 4 -> 5 %"]);
    let (edited, _) = told(&tonic(&base, &base.replace("(glycerol / 2)", "(glycerol / 4)")));
    assert_eq!(edited, ["amount betaine in B: 2 -> 1 %"]);
}

#[test]
fn the_text_and_the_markdown_read_well() {
    let after = BASE
        .replace("version  \"1.0\"", "version  \"1.1\"")
        .replace("glycerol  4 %", "glycerol  5 %")
        .replace("acid = 7 %", "acid = 8 %")
        .replace("contains  tartaric-acid 70 %", "contains  tartaric-acid 65 %")
        .replace("pH       3.6 to 4.0", "pH       3.8 to 4.2")
        .replace("Stir in {keeper}.", "Stir in {keeper}, and leave it for an hour before the last reading.")
        .replace("    betaine    2 %\n", "")
        .replace("at most 8 %", "at most 4 %");
    let all = held(BASE, &after);
    insta::assert_snapshot!("diff_text", diff_text(&all, &[]));
    insta::assert_snapshot!("diff_markdown", diff_markdown(&all, &[]));
    let json = serde_json::to_value(DiffJson::new(&all, &[])).unwrap();
    common::valid_by("docs/schema/diff.json", &json);
}
