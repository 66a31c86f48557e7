//! A session that is asked again after files changed tells what a fresh one would of the same texts: after every one of
//! many edits, files broken and mended, renamed, taken away and put back, saved and not.

#![allow(clippy::disallowed_methods, reason = "tests read and write files of their own")]

use super::common;
use std::collections::BTreeMap;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};
use stillroom::model::Formula;
use stillroom::render::CheckJson;
use stillroom::session::{Report, Session, check, check_to_foresee};
use stillroom::sheet::BatchOrder;
use stillroom::workspace::{Disk, World, load};

/// Files in memory, under a folder that is a workspace.
#[derive(Clone, Default)]
struct Files(Arc<Mutex<BTreeMap<PathBuf, String>>>);

impl Files {
    fn get(&self, path: &Path) -> io::Result<String> {
        self.0.lock().unwrap().get(path).cloned().ok_or_else(|| io::ErrorKind::NotFound.into())
    }
}

impl World for Files {
    fn read(&self, path: &Path) -> io::Result<Vec<u8>> {
        self.get(path).map(String::into_bytes)
    }

    fn size(&self, path: &Path) -> io::Result<u64> {
        self.get(path).map(|text| text.len() as u64)
    }

    fn canonical(&self, path: &Path) -> io::Result<PathBuf> {
        if path == Path::new(ROOT) {
            return Ok(path.to_path_buf());
        }
        self.get(path).map(|_| path.to_path_buf())
    }

    fn exists(&self, path: &Path) -> bool {
        path == Path::new(ROOT).join(".git") || self.get(path).is_ok()
    }
}

const ROOT: &str = "/shop";

/// A small workspace in which files use one another, through a third too, with rules, premixes, a variant and a record.
const SHOP: [(&str, &str); 6] = [
    (
        "materials.still",
        "use shelf/all\n\nmaterial our-glycerin like glycerin {\n  price  8.90 EUR per 1 kg\n}\n\nmaterial our-acid like \
         lactic-acid-88 {\n  contains  lactic-acid 88.4 % active, water remainder\n  use  at most 5 % active\n}\n\n\
         material spare like betaine {\n  price  8.90 EUR per 1 kg\n}\n",
    ),
    (
        "house.still",
        "use \"materials.still\"\n\nrule mild {\n  product  leave-on\n  limit    lactic-acid to 3 %\n  because  \"we make \
         it mild\"\n}\n\nrule no-glycerin {\n  market  eu\n  require  glycerol 1 % to 6 %\n}\n",
    ),
    (
        "stocks.still",
        "use \"materials.still\"\n\nlet soda = 10 %\n\nformula soda-10 {\n  product stock\n  makes 100 g\n  phase a {\n    \
         sodium-hydroxide  soda\n    water  q.s.\n  }\n}\n\nformula syrup {\n  product stock\n  makes 100 g\n  phase a \
         {\n    our-glycerin  50 %\n    water  q.s.\n  }\n}\n",
    ),
    (
        "serum.still",
        "use \"stocks.still\"\nuse \"house.still\"\n\nlet acid = 4 %\n\nmaterial idle like urea {\n  price  1.00 EUR per \
         1 kg\n}\n\nformula serum {\n  version \"1\"\n  product leave-on\n  market eu\n  makes 50 g\n  pH 3.6 to 4.0\n\n  \
         phase a {\n    water  q.s.  hold back 12 %\n    our-acid  acid active\n    syrup  6 %\n    betaine  2 %\n    \
         soda-10  q.s. to pH\n  }\n\n  ensure lactic-acid at most 4 %\n}\n\nvariant strong of serum {\n  phase a {\n    \
         set betaine 1 %\n  }\n}\n",
    ),
    (
        "balm.still",
        "use \"materials.still\"\n\nformula balm {\n  product leave-on\n  makes 30 g\n\n  phase a {\n    jojoba-oil  q.s.\n    \
         beeswax  20 %\n    shea-butter  30 %\n  }\n}\n",
    ),
    (
        "records.still",
        "use \"serum.still\"\n\nbatch s-1 {\n  formula  serum version \"1\"\n  started  2026-11-14\n  size  50.00 g\n  \
         weighed  water 30.00 g\n  weighed  betaine 1.00 g\n  reading  pH 2.40\n  added  soda-10 2.00 g\n  reading  pH \
         3.80\n}\n",
    ),
];

/// Always the same numbers.
struct Numbers(u64);

impl Numbers {
    fn below(&mut self, limit: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 % limit.max(1) as u64) as usize
    }

    fn of<'a, T>(&mut self, all: &'a [T]) -> &'a T {
        &all[self.below(all.len())]
    }
}

/// All of a report that can be told of, byte for byte.
fn told(report: &Report<'_>) -> String {
    let json = serde_json::to_string(&CheckJson::new(report.resolver.sources, &report.diagnostics)).unwrap();
    let formulas = report.formulas.iter().map(|one| {
        format!(
            "{} {:?} {:?} {:?} {:?} {:?} {:?}\n",
            one.formula.name, one.diagnostics, one.plan, one.allowed, one.remark, one.unpreserved, one.formula.lines
        )
    });
    json + &formulas.collect::<String>()
}

/// A text changed somewhere, so that a maker might have done it.
fn edited(numbers: &mut Numbers, text: &str, whole: &str) -> String {
    const NAMES: [&str; 10] =
        ["our-glycerin", "our-acid", "soda-10", "syrup", "serum", "betaine", "water", "lactic-acid", "idle", "spare"];
    const LINES: [&str; 8] = [
        "use \"balm.still\"",
        "use \"serum.still\"",
        "use \"gone.still\"",
        "use shelf/all",
        "let more = 2 %",
        "material extra like urea {\n}",
        "    urea  3 %",
        "  allow usage-over because \"tried\"",
    ];
    let lines: Vec<&str> = text.lines().collect();
    let at = numbers.below(lines.len());
    let mut changed: Vec<String> = lines.iter().map(ToString::to_string).collect();
    match numbers.below(9) {
        0 => return whole.to_string(),
        1 => drop((at < changed.len()).then(|| changed.remove(at))),
        2 => changed.insert(at.min(changed.len()), (*numbers.of(&LINES)).to_string()),
        3 => {
            let (old, new) = (*numbers.of(&NAMES), *numbers.of(&NAMES));
            return text.replacen(old, new, 1 + numbers.below(3));
        }
        4 => return text.replace(*numbers.of(&NAMES), "renamed"),
        5 | 6 => {
            let digits: Vec<usize> = text.match_indices(|c: char| c.is_ascii_digit()).map(|(at, _)| at).collect();
            let Some(at) = (!digits.is_empty()).then(|| *numbers.of(&digits)) else { return whole.to_string() };
            return format!("{}{}{}", &text[..at], numbers.below(10), &text[at + 1..]);
        }
        7 => {
            let signs: Vec<(usize, &str)> = text.match_indices(['{', '}', '"', '%', '\n']).collect();
            let Some((at, sign)) = (!signs.is_empty()).then(|| *numbers.of(&signs)) else { return whole.to_string() };
            return format!("{}{}", &text[..at], &text[at + sign.len()..]);
        }
        _ => drop(changed.get_mut(at).map(|line| line.insert_str(0, "# "))),
    }
    changed.join("\n") + "\n"
}

#[test]
fn a_session_tells_after_every_edit_what_a_fresh_one_does() {
    const STEPS: usize = 400;
    let files = Files::default();
    let path = |name: &str| Path::new(ROOT).join(name);
    let all: BTreeMap<PathBuf, String> = SHOP.iter().map(|(name, text)| (path(name), (*text).to_string())).collect();
    files.0.lock().unwrap().clone_from(&all);
    let paths: Vec<PathBuf> = SHOP.iter().map(|(name, _)| path(name)).collect();
    let order = BatchOrder::default();
    let mut session = Session::open(files.clone(), &paths, None);
    let mut unsaved: BTreeMap<PathBuf, String> = BTreeMap::new();
    let mut numbers = Numbers(0x5eed_1234_9876_abcd);
    let (mut clean, mut texts_seen) = (0, std::collections::BTreeSet::new());
    for step in 0..STEPS {
        let path = numbers.of(&paths).clone();
        let whole = &all[&path];
        let now = unsaved.get(&path).cloned().or_else(|| files.get(&path).ok()).unwrap_or_default();
        match numbers.below(10) {
            0 => {
                session.forget_text(&path);
                unsaved.remove(&path);
            }
            1 => {
                files.0.lock().unwrap().remove(&path);
                session.changed_on_disk(&path);
            }
            2 | 3 => {
                files.0.lock().unwrap().insert(path.clone(), edited(&mut numbers, &now, whole));
                session.changed_on_disk(&path);
            }
            // As an editor that was away for a while: everything is put back.
            4 if numbers.below(4) == 0 => {
                files.0.lock().unwrap().clone_from(&all);
                for path in &paths {
                    session.forget_text(path);
                }
                unsaved.clear();
            }
            _ => {
                let text = edited(&mut numbers, &now, whole);
                session.set_text(&path, &text);
                unsaved.insert(path.clone(), text);
            }
        }
        let fresh_files = Files::default();
        let mut texts = files.0.lock().unwrap().clone();
        texts.extend(unsaved.clone());
        fresh_files.0.lock().unwrap().clone_from(&texts);
        let loaded = load(&fresh_files, &paths, None);
        let fresh = check(&loaded.sources, &order, false);
        let again = session.check(&order);
        assert_eq!(told(&again), told(&fresh), "step {step}, after `{}` changed:\n{:#?}", path.display(), texts);
        assert_eq!(session.loaded().failures.len(), loaded.failures.len(), "step {step}");
        clean += usize::from(fresh.diagnostics.is_empty());
        texts_seen.insert(told(&fresh));
    }
    assert!(texts_seen.len() > STEPS / 3, "only {} different reports", texts_seen.len());
    assert!(clean < STEPS, "something is wrong now and then");
}

#[test]
fn another_question_is_answered_anew() {
    let paths = common::examples();
    let session = Session::open(Disk, &paths, None);
    let loaded = load(&Disk, &paths, None);
    let order = BatchOrder::default();
    let dated = BatchOrder { on: Some("2031-01-01".into()), ..BatchOrder::default() };
    for order in [&order, &dated, &order] {
        assert_eq!(told(&session.check(order)), told(&check(&loaded.sources, order, false)));
        let foreseen = session.check_to_foresee(order);
        assert_eq!(told(&foreseen), told(&check_to_foresee(&loaded.sources, order)));
        assert!(foreseen.formulas.iter().any(|one| one.unadjusted.is_some()), "what is foreseen is kept");
        let sheets = session.check_for_sheet(order);
        assert_eq!(told(&sheets), told(&check(&loaded.sources, order, true)));
    }
}

#[test]
fn a_text_that_is_not_saved_lies_over_the_disk() {
    let shop = common::folder(&[("a.still", b"use \"b.still\"\n\nlet a = b\n"), ("b.still", b"let b = 3 %\n")]);
    let mut session = Session::open(Disk, std::slice::from_ref(&shop.first), None);
    let codes = |session: &Session<'_>| -> Vec<String> {
        session.check(&BatchOrder::default()).diagnostics.iter().map(|fault| fault.code.to_string()).collect()
    };
    assert!(codes(&session).is_empty(), "{:?}", codes(&session));
    let used = shop.dir.path().join("b.still");
    session.set_text(&used, "let c = 3 %\n");
    assert_eq!(codes(&session), ["name-unknown"]);
    std::fs::write(&used, "let d = 3 %\n").unwrap();
    session.changed_on_disk(&used);
    assert_eq!(codes(&session), ["name-unknown"], "what is not saved stays before what is");
    assert!(session.sources().files.iter().any(|source| source.text == "let c = 3 %\n"));
    std::fs::write(&used, "let b = 3 %\n").unwrap();
    session.forget_text(&used);
    assert!(codes(&session).is_empty());
    std::fs::remove_file(&used).unwrap();
    session.changed_on_disk(&used);
    assert_eq!(codes(&session), ["use-not-found"]);
    session.set_text(&used, "let b = 4 %\n");
    assert!(codes(&session).is_empty(), "a file that is not saved yet can be used");
}

#[test]
fn what_did_not_change_is_kept() {
    let files = Files::default();
    let path = |name: &str| Path::new(ROOT).join(name);
    let all = SHOP.iter().map(|(name, text)| (path(name), (*text).to_string()));
    files.0.lock().unwrap().extend(all);
    let paths: Vec<PathBuf> = SHOP.iter().map(|(name, _)| path(name)).collect();
    let order = BatchOrder::default();
    let mut session = Session::open(files.clone(), &paths, None);
    let made = |session: &Session<'_>| {
        let formulas = session.check(&order).formulas;
        formulas.into_iter().map(|one| (one.formula.name.to_string(), one.formula.clone())).collect::<BTreeMap<_, _>>()
    };
    let kept = |old: &BTreeMap<String, Arc<Formula>>, new: &BTreeMap<String, Arc<Formula>>| -> Vec<String> {
        old.iter().filter(|(name, formula)| Arc::ptr_eq(formula, &new[*name])).map(|(name, _)| name.clone()).collect()
    };
    let first = made(&session);
    assert_eq!(first.len(), 5, "{:?}", first.keys());
    let balm = SHOP[4].1.replace("20 %", "21 %");
    session.set_text(&path("balm.still"), &balm);
    let second = made(&session);
    assert_eq!(kept(&first, &second), ["serum", "soda-10", "strong", "syrup"]);
    session.set_text(&path("stocks.still"), &SHOP[2].1.replace("50 %", "51 %"));
    let third = made(&session);
    assert_eq!(kept(&second, &third), ["balm"], "what uses a file that changed is made anew");
}
