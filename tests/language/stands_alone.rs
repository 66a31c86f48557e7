//! A record stands alone: once its plan is frozen, nothing about its batch needs the formula, its materials, or git.

#![allow(clippy::disallowed_methods, reason = "tests read and write files of their own")]

use crate::common;
use crate::common::{Folder, folder};
use assert_cmd::Command;
use std::fs;
use stillroom::batch::Setting;
use stillroom::model::Composition;
use stillroom::resolve::Resolver;
use stillroom::session::check;
use stillroom::sheet::BatchOrder;
use stillroom::syntax::tree::{BatchEntry, Item};
use stillroom::workspace::{Disk, load};

/// Materials of our own, down to substances that nobody else describes.
const MATERIALS: &str = r#"use shelf/all

substance plum-acid {
  inci        "Prunus Domestica Acid"
  cas         "99999-01-6"
  molar-mass  134.1 g/mol
  acid        pKa 3.40, 5.11
  source      "our own titration"
}
substance plum-salt {
  inci        "Sodium Prunus Domestica"
  molar-mass  156.1 g/mol
  salt of plum-acid with 1 sodium
  source      "our own titration"
}
substance plum-lactone {
  inci        "Prunus Domestica Lactone"
  molar-mass  116.1 g/mol
  hydrolyses to plum-acid
  source      "our own titration"
}
substance plum-juice {
  inci   "Prunus Domestica Fruit Juice"
  water  88 %
  neutral
}
substance plum-sugar { inci "Prunus Domestica Sugar" }

material plum-acid-60 {
  contains  plum-acid 60 % active, plum-salt 4 %, plum-lactone 2 % to 3 %, water remainder
  role      exfoliant
  keeps     12 months
  caution   "Corrosive as supplied: gloves and eye protection."
}
material plum-extract {
  contains  plum-juice 90 %, plum-sugar
  role      humectant
  as supplied pH 4.2 at 10 %
}
material our-soda like sodium-hydroxide {
  contains  sodium-hydroxide 98.4 % active, water remainder
}
material glycerin like glycerin {
  contains  glycerin 99.5 % active, water remainder
}
material keeper like phenoxyethanol-ethylhexylglycerin { supplier "S-02" }

formula soda-10 {
  product  stock
  makes    100 g
  scale    0.01 g
  phase A {
    water     q.s.
    our-soda  10 % active
  }
}
formula soda-2 {
  product  stock
  makes    100 g
  scale    0.01 g
  phase A {
    water    q.s.
    soda-10  2 % of sodium-hydroxide
  }
}
"#;

const FORMULA: &str = r#"use "materials.still"

formula plum-rinse {
  title    "Plum rinse"
  version  "1.4"
  product  leave-on face
  makes    240 g
  scale    0.01 g
  meter    0.03
  pH       3.6 to 4.0

  phase A "Dissolve" {
    water         q.s.  hold back 45 %
    plum-acid-60  3 % active
    soda-2        q.s. to pH
    plum-extract  4 %
  }
  phase B "Finish" {
    glycerin  5 % of glycerin
    keeper    1 %
  }
}
"#;

const RECORD: &str =
    "use \"plum-rinse.still\"\n\nbatch pr-1 {\n  formula  plum-rinse version \"1.4\"\n  started  2026-11-20\n}\n";

const STATEMENTS: &[&str] = &[
    "lot plum-acid-60 \"PA 7\" assay 57.1 % opened 2026-06-01",
    "lot our-soda \"NA-22\" assay 97.2 %",
    "lot water \"still 3\"",
    "lot glycerin \"GL-3\"",
    "calibrated pH 4.01 reads 4.02",
    "weighed water 95.33 g",
    "weighed plum-acid-60 12.61 g",
    "weighed plum-extract 9.60 g",
    "reading pH 2.20",
    "added soda-2 70.00 g",
    "reading pH 3.35",
];

fn bench() -> Folder {
    folder(&[
        ("record.still", RECORD.as_bytes()),
        ("plum-rinse.still", FORMULA.as_bytes()),
        ("materials.still", MATERIALS.as_bytes()),
    ])
}

/// Exit code, standard output, standard error.
fn run(folder: &Folder, arguments: &[&str]) -> (i32, String, String) {
    let mut command = Command::cargo_bin("stillroom").unwrap();
    let output = command.current_dir(folder.dir.path()).args(arguments).output().unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    (output.status.code().unwrap(), text(output.stdout), text(output.stderr))
}

fn record(folder: &Folder, statement: &str) {
    let (code, out, err) = run(folder, &["record", "record.still", statement]);
    assert_eq!(code, 0, "{statement}: {out}{err}");
}

/// All that can be asked of the record, one after the other; each must go well.
fn asked(folder: &Folder) -> Vec<String> {
    let questions: [&[&str]; 6] = [
        &["bench", "record.still", "--format", "json"],
        &["bench", "record.still"],
        &["sheet", "record.still", "--record", "pr-1"],
        &["sheet", "record.still", "--record", "pr-1", "--format", "json"],
        &["trace", "--format", "json", "PA 7", "record.still"],
        &["trace", "soda-2", "record.still"],
    ];
    let answers = questions.iter().map(|question| {
        let (code, out, err) = run(folder, question);
        assert_eq!(code, 0, "{question:?}: {err}");
        out
    });
    answers.collect()
}

fn rewrite(folder: &Folder, name: &str, changes: &[(&str, &str)]) {
    let path = folder.dir.path().join(name);
    let mut text = fs::read_to_string(&path).unwrap();
    for (from, to) in changes {
        assert!(text.contains(from), "{from}");
        text = text.replace(from, to);
    }
    fs::write(path, text).unwrap();
}

fn remove(folder: &Folder, name: &str) {
    fs::remove_file(folder.dir.path().join(name)).unwrap();
}

#[test]
fn what_a_plan_says_of_materials_of_ones_own() {
    let bench = bench();
    record(&bench, "weighed water 95.33 g");
    let text = fs::read_to_string(&bench.first).unwrap();
    assert_eq!(stillroom::syntax::format(&text), text, "a plan is laid out as the formatter does");
    insta::assert_snapshot!("stands_alone_plan", text);
}

#[test]
fn a_record_says_the_same_whatever_becomes_of_the_files_it_was_begun_from() {
    let bench = bench();
    for statement in STATEMENTS {
        record(&bench, statement);
    }
    let before = asked(&bench);
    // With no plan at all the formula says the same, with the assays of what went into a premix of a premix too.
    let typed = RECORD.replace("}\n", &format!("  size 240.00 g\n  {}\n}}\n", STATEMENTS.join("\n  ")));
    let by_formula = folder(&[
        ("record.still", typed.as_bytes()),
        ("plum-rinse.still", FORMULA.as_bytes()),
        ("materials.still", MATERIALS.as_bytes()),
    ]);
    let (by_formula, by_plan) = (asked(&by_formula), before.iter().map(|answer| without_digest(answer)));
    assert_eq!(by_formula.iter().map(|answer| without_digest(answer)).collect::<Vec<_>>(), by_plan.collect::<Vec<_>>());
    insta::assert_snapshot!("stands_alone_record", before[2]);
    let (code, _, err) = run(&bench, &["check", "record.still"]);
    assert_eq!(code, 0, "{err}");

    // Everything that bears on the batch changes: strengths, pKa, measured pH, how long a bottle keeps, the formula.
    rewrite(
        &bench,
        "materials.still",
        &[
            ("pKa 3.40, 5.11", "pKa 4.40"),
            ("molar-mass  134.1", "molar-mass  104.1"),
            ("plum-acid 60 % active", "plum-acid 30 % active"),
            ("with 1 sodium", "with 2 sodium"),
            ("pH 4.2 at 10 %", "pH 6.8 at 10 %"),
            ("keeps     12 months", "keeps     2 months"),
            ("sodium-hydroxide 98.4 %", "sodium-hydroxide 68.4 %"),
            ("glycerin 99.5 %", "glycerin 85 %"),
            ("water  88 %", "water  8 %"),
            ("soda-10  2 % of sodium-hydroxide", "soda-10  50 %"),
        ],
    );
    rewrite(
        &bench,
        "plum-rinse.still",
        &[
            ("\"1.4\"", "\"1.5\""),
            ("Plum rinse", "Another rinse"),
            ("3.6 to 4.0", "5.0 to 5.5"),
            ("3 % active", "2 % active"),
            ("0.03", "0.1"),
        ],
    );
    assert_eq!(asked(&bench), before, "changed");
    remove(&bench, "materials.still");
    let (code, out, err) = run(&bench, &["bench", "record.still"]);
    assert_eq!((code, out), (0, before[1].clone()), "the formula is at fault now, and the batch is not: {err}");
    remove(&bench, "plum-rinse.still");
    assert_eq!(asked(&bench), before, "gone");
    let (code, out, err) = run(&bench, &["check", "record.still"]);
    assert!(code == 0 && out.contains("[use-gone]"), "{out}{err}");
    // And without the `use`.
    rewrite(&bench, "record.still", &[("use \"plum-rinse.still\"\n\n", "")]);
    assert_eq!(asked(&bench), before, "nothing is used any more");
}

/// A text without its digest: a plan keeps that of its formula, and without one the lots that were measured count.
fn without_digest(answer: &str) -> String {
    answer.lines().map(|line| line.split("sha256:").next().unwrap_or_default()).collect::<Vec<_>>().join("\n")
}

/// The batch goes on at the bench with the files gone as it does with them.
#[test]
fn a_record_is_written_on_with_the_files_gone() {
    let (with, without) = (bench(), bench());
    for statement in STATEMENTS {
        record(&with, statement);
        record(&without, statement);
        if without.dir.path().join("plum-rinse.still").exists() && statement.starts_with("weighed") {
            remove(&without, "plum-rinse.still");
            remove(&without, "materials.still");
        }
        let ask = |folder: &Folder| run(folder, &["bench", "record.still", "--format", "json"]).1;
        assert_eq!(ask(&with), ask(&without), "{statement}");
    }
    for (statement, wanted) in
        [("weighed watr 3 g", "Did you mean `water`?"), ("added squash-acid 3 g", "is not in the plan of this record")]
    {
        let (code, _, err) = run(&without, &["record", "record.still", statement]);
        assert!(code == 1 && err.contains(wanted), "{statement}: {err}");
    }
    record(&without, "lot soda-10 \"S10-3\"");
    record(&without, "added squash-acid 0.50 g because \"there was no plum acid left\"");
}

/// Materials and a premix of our own that are in no line of the formula; some of what they are made of is in its plan.
const CORRECTIVES: &str = r#"use shelf/all
use "materials.still"

substance quince-acid {
  inci        "Cydonia Oblonga Acid"
  molar-mass  150.1 g/mol
  acid        pKa 3.05
  source      "our own titration"
}
substance quince-salt {
  inci        "Sodium Cydonia Oblonga"
  molar-mass  172.1 g/mol
  salt of quince-acid with 1 sodium
  source      "our own titration"
}

material quince-acid-45 {
  contains  quince-acid 45 % active, quince-salt 3 %, plum-acid 1 %, water remainder
  keeps     180 d
}
material quince-syrup {
  contains  plum-sugar 60 % to 62 %, water remainder
  as supplied pH 4.6 at 10 %
}

formula quince-stock {
  product  stock
  makes    100 g
  scale    0.01 g
  phase A {
    water           q.s.
    quince-acid-45  4 % of quince-acid
    our-soda        1 %
    quince-syrup    5 %
  }
}
"#;

const CORRECTIONS: &[&str] = &[
    "lot quince-acid-45 \"QA 2\" assay 43.9 % opened 2026-06-01",
    "added quince-acid-45 1.50 g because \"it was past its window\"",
    "reading pH 3.10",
    "added quince-stock 4.20 g because \"there was no more of the acid\"",
    "reading pH 3.05",
];

/// The record of the other tests, written up to its corrections; its lines end as wanted.
fn corrected_bench(end: &str) -> Folder {
    let record_text = RECORD.replace("use ", "use \"correctives.still\"\nuse ").replace('\n', end);
    let folder = folder(&[
        ("record.still", record_text.as_bytes()),
        ("plum-rinse.still", FORMULA.as_bytes()),
        ("materials.still", MATERIALS.as_bytes()),
        ("correctives.still", CORRECTIVES.as_bytes()),
    ]);
    for statement in STATEMENTS {
        record(&folder, statement);
    }
    folder
}

/// Whether a text is another with whole lines put in.
fn is_longer_by_lines(longer: &str, text: &str) -> bool {
    let mut lines = longer.split_inclusive('\n');
    text.split_inclusive('\n').all(|line| lines.any(|other| other == line))
}

#[test]
fn a_correction_with_something_of_our_own_stands_alone_too() {
    let bench = corrected_bench("\n");
    for statement in CORRECTIONS {
        let before = fs::read_to_string(&bench.first).unwrap();
        record(&bench, statement);
        let after = fs::read_to_string(&bench.first).unwrap();
        assert!(is_longer_by_lines(&after, &before), "{before}{after}");
        let laid_out = stillroom::syntax::format(&after);
        let plan = |text: &str| text.split("plan {").nth(1).unwrap().split("\n  }\n").next().unwrap().to_string();
        assert_eq!(plan(&laid_out), plan(&after), "laid out as the formatter does");
    }
    let text = fs::read_to_string(&bench.first).unwrap();
    insta::assert_snapshot!("stands_alone_corrections", text);
    // All of one statement is written at once, and told.
    let once = corrected_bench("\n");
    let (_, out, err) = run(&once, &["record", "record.still", CORRECTIONS[3]]);
    assert!(out.starts_with("    premix quince-stock ") && out.ends_with("no more of the acid\"\n"), "{out}");
    assert!(err.contains("The plan says now what `quince-stock` is made of."), "{err}");

    let asked = |folder: &Folder| {
        let mut all = asked(folder);
        for code in ["QA 2", "quince-stock"] {
            let (exit, out, err) = run(folder, &["trace", "--format", "json", code, "record.still"]);
            assert_eq!(exit, 0, "{err}");
            all.push(out);
        }
        all
    };
    let before = asked(&bench);
    assert!(before[0].contains("quince-acid") && before[0].contains("plum-sugar"), "{}", before[0]);
    let model = |folder: &Folder| {
        let loaded = folder.load();
        let report = check(&loaded.sources, &BatchOrder::default(), false);
        let batch = report.resolver.batches_of(&loaded.sources.files[0]).remove(0);
        comes_to(&report.resolver, &batch)
    };
    let made = model(&bench);
    rewrite(
        &bench,
        "correctives.still",
        &[
            ("pKa 3.05", "pKa 5.05"),
            ("molar-mass  150.1", "molar-mass  90.1"),
            ("quince-acid 45 % active", "quince-acid 15 % active"),
            ("60 % to 62 %", "10 % to 12 %"),
            ("pH 4.6 at 10 %", "pH 8.6 at 10 %"),
            ("keeps     180 d", "keeps     30 d"),
            ("4 % of quince-acid", "9 %"),
            ("with 1 sodium", "with 2 sodium"),
        ],
    );
    rewrite(&bench, "materials.still", &[("pKa 3.40, 5.11", "pKa 4.40"), ("sodium-hydroxide 98.4 %", "water 98.4 %")]);
    assert_eq!((asked(&bench), model(&bench)), (before.clone(), made.clone()), "changed");
    for file in ["correctives.still", "materials.still", "plum-rinse.still"] {
        remove(&bench, file);
    }
    assert_eq!((asked(&bench), model(&bench)), (before.clone(), made), "gone");
    let (code, out, err) = run(&bench, &["check", "record.still"]);
    assert!(code == 0 && out.contains("[use-gone]"), "{out}{err}");
    // What the plan says now it knows from then on.
    record(&bench, "added quince-acid-45 0.20 g because \"a little more\"");
    let text = fs::read_to_string(&bench.first).unwrap();
    assert_eq!(text.matches("contains quince-acid-45").count(), 1);
    // And all of it rests on the plan: with another acid there, the bench says something else.
    let bench_json = || run(&bench, &["bench", "record.still", "--format", "json"]);
    let (code, with, _) = bench_json();
    fs::write(&bench.first, text.replace("acid pKa 3.05", "acid pKa 6.05")).unwrap();
    let (still, without, _) = bench_json();
    assert!((code, still) == (0, 0) && with != without, "{with}");
}

/// A record that is frozen by the very statement that corrects it, and one that was typed before it had a plan.
#[test]
fn a_plan_frozen_late_says_what_the_corrections_before_it_were_made_of() {
    let typed = RECORD.replace("use ", "use \"correctives.still\"\nuse ");
    let statements = [STATEMENTS, CORRECTIONS].concat();
    let (last, others) = statements.split_last().unwrap();
    let typed = typed.replace("}\n", &format!("  size 240.00 g\n  {}\n}}\n", others.join("\n  ")));
    let late = folder(&[
        ("record.still", typed.as_bytes()),
        ("plum-rinse.still", FORMULA.as_bytes()),
        ("materials.still", MATERIALS.as_bytes()),
        ("correctives.still", CORRECTIVES.as_bytes()),
    ]);
    let (_, out, err) = run(&late, &["record", "record.still", last]);
    assert!(out.contains("  plan {\n") && out.contains("contains quince-acid-45 "), "{out}{err}");
    assert!(err.contains("The plan of `plum-rinse` is frozen") && err.contains("`quince-acid-45`"), "{err}");
    let text = fs::read_to_string(&late.first).unwrap();
    assert!(is_longer_by_lines(&text, &typed), "{text}");
    let early = corrected_bench("\n");
    CORRECTIONS.iter().for_each(|statement| record(&early, statement));
    for file in ["correctives.still", "materials.still", "plum-rinse.still"] {
        remove(&late, file);
    }
    let bench = |folder: &Folder| run(folder, &["bench", "record.still", "--format", "json"]);
    let lines_apart = |(code, json, _): (i32, String, String)| {
        let mut json: serde_json::Value = serde_json::from_str(&json).unwrap();
        json.as_object_mut().unwrap().remove("diagnostics");
        (code, json)
    };
    assert_eq!(lines_apart(bench(&late)), lines_apart(bench(&early)));
    // By the files, with no plan at all, it comes to the same, with what the lots were measured at.
    let typed = typed.replace("}\n", &format!("  {last}\n}}\n"));
    let unplanned = folder(&[
        ("record.still", typed.as_bytes()),
        ("plum-rinse.still", FORMULA.as_bytes()),
        ("materials.still", MATERIALS.as_bytes()),
        ("correctives.still", CORRECTIVES.as_bytes()),
    ]);
    let by_files = lines_apart(bench(&unplanned));
    assert_eq!(by_files, lines_apart(bench(&early)));
    // And where a plan that was frozen then does not say it, as long as the files are there.
    record(&unplanned, "note \"frozen\"");
    let text = fs::read_to_string(&unplanned.first).unwrap();
    let is_of_correction = |line: &&str| {
        let words: Vec<&str> = line.split_whitespace().take(2).collect();
        matches!(words.as_slice(), ["premix" | "contains" | "material" | "substance", name] if name.starts_with("quince"))
    };
    let older: Vec<&str> = text.lines().filter(|line| !is_of_correction(line)).collect();
    assert!(older.len() + 7 == text.lines().count(), "{text}");
    fs::write(&unplanned.first, older.join("\n") + "\n").unwrap();
    assert_eq!(lines_apart(bench(&unplanned)).0, 0);
    record(&unplanned, "note \"whole\"");
    assert_eq!(fs::read_to_string(&unplanned.first).unwrap().lines().filter(is_of_correction).count(), 7);
    // With the first thing that is said of a new batch, too.
    let new = ["record", "other.still", "--new", "b", "--formula", "plum-rinse", "--from", "plum-rinse.still"];
    fs::write(early.dir.path().join("other.still"), "use \"correctives.still\"\n").unwrap();
    let (code, out, err) = run(&early, &[&new[..], &["added quince-syrup 1 g because \"thin\""]].concat());
    assert_eq!(code, 0, "{out}{err}");
    assert!(out.contains("    contains quince-syrup plum-sugar 60 % to 62 %, water remainder\n    material"), "{out}");
    assert_eq!(fs::read_to_string(early.dir.path().join("other.still")).unwrap().matches("plum-sugar inci").count(), 1);
}

#[test]
fn the_lines_of_a_correction_end_as_the_others_do() {
    let (crlf, plain) = (corrected_bench("\r\n"), corrected_bench("\n"));
    for statement in CORRECTIONS {
        record(&crlf, statement);
        record(&plain, statement);
    }
    let text = fs::read_to_string(&crlf.first).unwrap();
    assert_eq!(text.matches('\n').count(), text.matches("\r\n").count());
    assert_eq!(text.replace("\r\n", "\n"), fs::read_to_string(&plain.first).unwrap());
}

/// However a plan is laid out, what stands there stays.
#[test]
fn a_plan_in_any_layout_takes_in_what_a_correction_is_made_of() {
    let plans = [
        ("plan { water 100 % q.s. }", "plan { water 100 % q.s. \n    MORE\n}"),
        ("plan{ water 100 % q.s.\n digest \"}\" }", "plan{ water 100 % q.s.\n    MORE\n digest \"}\" }"),
        (
            "plan {\n\twater 100 % q.s.\n\n\t# of then\n\tdigest \"x\" # }\n  }",
            "plan {\n\twater 100 % q.s.\n\n\t# of then\n    MORE\n\tdigest \"x\" # }\n  }",
        ),
        ("plan { digest \"x\"\n water 100 % q.s.\n}", "plan { digest \"x\"\n water 100 % q.s.\n    MORE\n}"),
    ];
    for (before, after) in plans {
        let text = |plan: &str, end: &str| format!("use \"m.still\"\nbatch b {{\n  size 9 g\n  {plan}\n{end}}}\n");
        let materials = "use shelf/all\nmaterial ours { contains glycerin 50 %, water remainder }\n";
        let folder = folder(&[("record.still", text(before, "").as_bytes()), ("m.still", materials.as_bytes())]);
        record(&folder, "added ours 1 g because \"thin\"");
        let after = after.replace("MORE", "contains ours glycerin 50 %, water 50 %");
        let wanted = text(&after, "  added  ours 1 g because \"thin\"\n");
        assert_eq!(fs::read_to_string(&folder.first).unwrap(), wanted);
    }
}

/// What a plan calls by a name keeps it; what files apart call alike gets a number.
#[test]
fn the_names_of_a_correction_leave_those_of_the_plan_as_they_are() {
    let home = "use shelf/all\nsubstance plum-acid {\n  inci \"One\"\n  acid pKa 3\n}\nmaterial plum { contains plum-acid \
                10 %, water remainder }\nformula f {\n  product stock\n  makes 100 g\n  scale 0.01 g\n  phase A {\n    \
                water q.s.\n    plum 10 %\n    glycerin 3 %\n  }\n}\n";
    let other = "use shelf/all\nsubstance plum-acid {\n  inci \"Two\"\n  acid pKa 5\n}\nmaterial glycerin like glycerin {\n  \
                 contains glycerin 86 % active, water remainder\n}\nmaterial plum { contains plum-acid 20 % active, water \
                 remainder }\nformula our-mix {\n  product stock\n  makes 100 g\n  scale 0.01 g\n  phase A {\n    water \
                 q.s.\n    plum 10 % of plum-acid\n    glycerin 5 %\n    betaine 5 %\n  }\n}\n";
    let bridge = "use \"other.still\"\nformula mix {\n  product stock\n  makes 100 g\n  scale 0.01 g\n  phase A {\n    our-mix \
                  50 %\n    water q.s.\n  }\n}\n";
    let record_text = "use \"f.still\"\nuse \"bridge.still\"\nbatch b {\n  formula f\n  size 100 g\n}\n";
    let work = folder(&[
        ("record.still", record_text.as_bytes()),
        ("f.still", home.as_bytes()),
        ("bridge.still", bridge.as_bytes()),
        ("other.still", other.as_bytes()),
    ]);
    let by_formula = first_comes_to(&work);
    record(&work, "added mix 2 g because \"thin\"");
    let text = fs::read_to_string(&work.first).unwrap();
    for wanted in [
        "contains plum plum-acid 10 %, water 90 %",
        "contains plum-2 plum-acid-2 20 % active, water 80 %",
        "contains glycerin-2 glycerin 86 % active, water 14 %",
        "substance plum-acid-2 inci \"Two\", acid pKa 5",
        "plum-2 50 % 10 % of plum-acid-2",
    ] {
        assert!(text.contains(wanted), "{wanted}: {text}");
    }
    assert_eq!(first_comes_to(&work), by_formula);
    let made = run(&work, &["bench", "record.still", "--format", "json"]).1;
    assert!(made.contains("\"plum-acid-2\""), "{made}");
    for file in ["f.still", "bridge.still", "other.still"] {
        remove(&work, file);
    }
    assert_eq!(first_comes_to(&work), by_formula);
    assert_eq!(run(&work, &["bench", "record.still", "--format", "json"]).1, made);
}

/// A refused statement writes nothing into the plan either, and a fault of a material is not carried into it.
#[test]
fn what_is_refused_or_not_known_leaves_the_plan_as_it_is() {
    let bench = corrected_bench("\n");
    let before = fs::read_to_string(&bench.first).unwrap();
    for statement in
        ["added quince-acid-45 1.50 mL because \"no\"", "added quince-acid-45 1.50 g", "weighed quince-syrup 3 g"]
    {
        let (code, out, err) = run(&bench, &["record", "record.still", statement]);
        assert!(code == 1 && out.is_empty() && err.ends_with("Nothing was written.\n"), "{statement}: {err}");
        assert_eq!(fs::read_to_string(&bench.first).unwrap(), before, "{statement}");
    }
    rewrite(&bench, "correctives.still", &[("quince-acid 45 %", "quince-acid 145 %")]);
    let (code, out, err) = run(&bench, &["record", "record.still", CORRECTIONS[1]]);
    assert_eq!((code, out.lines().count()), (0, 1), "{out}{err}");
    assert!(err.contains("What `quince-acid-45` is made of is not known in full"), "{err}");
    assert_eq!(fs::read_to_string(&bench.first).unwrap(), before.replace("\n}\n", &format!("\n{out}}}\n")));
}

/// What the resolver of a session makes of a batch: its composition, its lines with their phases.
fn comes_to(session: &Resolver<'_>, batch: &stillroom::model::Batch) -> String {
    let setting = Setting::of(session, batch).expect("a formula");
    let names = setting.resolver(session);
    let Composition { parts, brought, traces, undisclosed } =
        setting.formula.composition.clone().expect("a composition");
    let parts: Vec<String> = parts
        .iter()
        .chain(&brought)
        .chain(&traces)
        .map(|(id, share)| {
            format!("{} {} {}", names.substance_name(*id), share.low.to_fixed(20), share.high.to_fixed(20))
        })
        .collect();
    let lines: Vec<String> = setting
        .formula
        .lines
        .iter()
        .map(|line| {
            let percent = line.percent.as_ref().map(|percent| percent.to_fixed(20));
            format!("{} {} {percent:?} {:?}", line.phase, line.name, line.hold_back.as_ref().map(|held| &held.percent))
        })
        .collect();
    format!("{parts:#?}{:?}{lines:#?}", undisclosed.map(|of| (of.low.to_fixed(20), of.high.to_fixed(20))))
}

/// Every batch of the examples, by its formula and by the plan frozen of it, and by that plan alone.
#[test]
fn every_example_batch_is_the_same_by_its_formula_and_by_its_plan() {
    let mut count = 0;
    for path in common::examples() {
        let loaded = load(&Disk, std::slice::from_ref(&path), None);
        let report = check(&loaded.sources, &BatchOrder::default(), false);
        let source = loaded.sources.files.iter().find(|source| source.named).unwrap();
        for batch in report.resolver.batches_of(source) {
            let Some(Item::Batch(declared)) = report.resolver.scopes.item(batch.id) else { panic!("a batch") };
            let kept = declared.entries.iter().filter(|entry| !matches!(entry.entry, BatchEntry::Plan(_)));
            let statements: Vec<&str> = kept.map(|entry| entry.span.of(&source.text)).collect();
            let uses = source.tree.items.iter().filter(|item| matches!(item, Item::Use(_)));
            let uses: Vec<&str> = uses.map(|item| item.span().of(&source.text)).collect();
            let text = format!("{}\n\nbatch {} {{\n{}\n}}\n", uses.join("\n"), batch.name, statements.join("\n"));
            let work = folder(&[("record.still", stillroom::syntax::format(&text).as_bytes())]);
            for example in common::examples() {
                fs::copy(&example, work.dir.path().join(example.file_name().unwrap())).unwrap();
            }
            let seen = |work: &Folder| {
                let loaded = work.load();
                let report = check(&loaded.sources, &BatchOrder::default(), false);
                let batch = report.resolver.batches_of(&loaded.sources.files[0]).remove(0);
                let (code, json, err) = run(work, &["bench", "record.still", "--format", "json"]);
                assert_eq!(code, 0, "{err}");
                let mut json: serde_json::Value = serde_json::from_str(&json).unwrap();
                // A plan stands before what happened, so that lines have other numbers.
                json.as_object_mut().unwrap().remove("diagnostics");
                (comes_to(&report.resolver, &batch), json)
            };
            let by_formula = seen(&work);
            let (code, out, err) = run(&work, &["record", "record.still", "note", "frozen"]);
            assert_eq!(code, 0, "{out}{err}");
            assert!(fs::read_to_string(&work.first).unwrap().contains("\n  plan {\n"), "{out}{err}");
            assert_eq!(seen(&work), by_formula, "{}", batch.name);
            for example in common::examples() {
                remove(&work, example.file_name().unwrap().to_str().unwrap());
            }
            assert_eq!(seen(&work), by_formula, "{} alone", batch.name);
            count += 1;
        }
    }
    assert!(count >= 3, "{count} batches in the examples");
}

/// A plan as it was frozen before plans knew of phases, premixes and substances: with the files it comes to the same.
#[test]
fn an_older_plan_still_reads() {
    let plan = "  plan {
    scale 0.01 g
    meter 0.05
    pH 3.6 to 4
    water               71.15 %  q.s.  hold back 27 %
    propanediol         4 %      4 %
    mandelic-acid       2 %      2 %
    betaine             2 %      2 %
    soda-2              q.s. to pH
    gum-stock           20 %     0.5 % of hydroxyethylcellulose
    preservative-blend  0.85 %   0.85 %
    contains soda-2 water 98 %, sodium-hydroxide 2 %
    contains gum-stock hydroxyethylcellulose 2.5 %, glycerin 19.9 % to 19.94 %, water 76.16 % to 76.2 %, \
                sodium-phytate 0.5 %, phenoxyethanol 0.801 % to 0.819 %, ethylhexylglycerin 0.081 % to 0.099 %
    digest \"sha256:d31c\"
    compiler \"0.1.0\"
    shelf \"2026-11\"
  }
";
    let record =
        |plan: &str| format!("use \"acid-gel.still\"\nbatch b {{\n  formula acid-gel\n  size 20 g\n{plan}}}\n");
    let folder = |plan: &str| {
        let folder = folder(&[("record.still", record(plan).as_bytes())]);
        for example in common::examples() {
            fs::copy(&example, folder.dir.path().join(example.file_name().unwrap())).unwrap();
        }
        folder
    };
    let substances = |folder: &Folder| {
        let loaded = folder.load();
        let report = check(&loaded.sources, &BatchOrder::default(), false);
        assert_eq!(report.diagnostics.iter().map(|fault| fault.message.clone()).collect::<Vec<_>>(), [""; 0]);
        let batch = report.resolver.batches_of(&loaded.sources.files[0]).remove(0);
        comes_to(&report.resolver, &batch).split("None").next().unwrap().to_string()
    };
    let old = folder(plan);
    let (by_plan, by_formula) = (substances(&old), substances(&folder("")));
    let parts = |text: &str| text.split(']').next().unwrap().to_string();
    assert_eq!(parts(&by_plan), parts(&by_formula));
    // It does not say what the home preservative is made of, so it does not stand alone, and the `use` stays a fault.
    remove(&old, "materials.still");
    remove(&old, "acid-gel.still");
    let (code, out, _) = run(&old, &["check", "record.still"]);
    assert!(code == 1 && out.contains("[use-not-found]"), "{out}");
}

/// What a plan declares is looked at as any declaration is, and no knot in it ties the program up.
#[test]
fn a_plan_at_fault() {
    let text = "batch b {
  formula f
  size 100 g
  plan {
    pH 3 to 4
    water 50 %  q.s.  hold back 30 %
    p0    50 %  50 %
    q     q.s. to pH  from water
    premix p0 p1 50 % 2 % active, water 50 % q.s.
    premix p1 p0 50 %, water 50 g q.s.
    premix q q 100 %
    contains weird a 80 %, b 90 %
    contains odd water 5 g
    material odd keeps 3 g, as supplied pH 6 at 5 g
    substance a salt of b with 1 a, acid pKa 3, acid pKa 4
    substance b salt of a with 1 b, hydrolyses to b, molar-mass 3 g
    phase Z
  }
  weighed water 20 g
  weighed p0 50 g
  added q 3 g
  reading pH 3.1
}
";
    let codes = common::codes(text);
    let wanted =
        ["unit-mismatch", "strength-over-100", "unit-mismatch", "unit-mismatch", "unit-mismatch", "header-twice"];
    assert_eq!(codes, [&wanted[..], &["unit-mismatch"]].concat());
    let folder = folder(&[("record.still", text.as_bytes())]);
    let (code, out, err) = run(&folder, &["bench", "record.still"]);
    assert!(code == 1 && out.contains("to pH"), "{out}{err}");
}

/// What the first batch of a folder comes to.
fn first_comes_to(work: &Folder) -> String {
    let loaded = work.load();
    let report = check(&loaded.sources, &BatchOrder::default(), false);
    let batch = report.resolver.batches_of(&loaded.sources.files[0]).remove(0);
    comes_to(&report.resolver, &batch)
}

/// A premix may mean the shelf's glycerin where its formula means one of its own: the plan keeps both apart.
#[test]
fn two_of_one_name_are_kept_apart() {
    let stock = "use shelf/all\nformula syrup {\n  product stock\n  makes 100 g\n  scale 0.1 g\n  phase A {\n    \
                 water q.s.\n    glycerin 40 %\n  }\n}\n";
    let formula = "use \"stock.still\"\nmaterial glycerin like glycerin {\n  contains glycerin 86 % active, water \
                   remainder\n}\nformula f {\n  product stock\n  makes 100 g\n  scale 0.01 g\n  phase A {\n    water \
                   q.s.\n    glycerin 10 %\n    syrup 20 %\n  }\n}\n";
    let text = "use \"f.still\"\nbatch b {\n  formula f\n  size 100 g\n}\n";
    let work = folder(&[
        ("record.still", text.as_bytes()),
        ("f.still", formula.as_bytes()),
        ("stock.still", stock.as_bytes()),
    ]);
    let by_formula = first_comes_to(&work);
    record(&work, "note frozen");
    let text = fs::read_to_string(&work.first).unwrap();
    assert!(text.contains("glycerin-2 40 %") && text.contains("contains glycerin-2 glycerin 99"), "{text}");
    assert_eq!(first_comes_to(&work), by_formula);
    remove(&work, "f.still");
    assert_eq!(first_comes_to(&work), by_formula);
}
