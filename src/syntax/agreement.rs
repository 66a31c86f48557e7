//! The grammar's own `file` and the text cut into statements, held together: on every example, as it is and with slips
//! of the pen put into it.

use super::cut::{BracketFault, Cut, Entry, EntryKind, ParseState, SyntaxTree};
use super::invisible::unseen_in;
use super::statement::Memo;
use super::{Grammar, Rule};
use pest::Parser as _;
use proptest::prelude::*;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::{Arc, OnceLock};

/// What a slip puts in: whatever bears on where a statement ends, and whatever breaks one.
const PIECES: &[&str] = &[
    "{",
    "}",
    "(",
    ")",
    "\"",
    ",",
    "#",
    "=",
    "\n",
    "\r\n",
    " ",
    "x",
    "1",
    "%",
    "é",
    "\\",
    "{\n",
    "}\n",
    "\n\n",
    "phase B {",
    "formula b {\n",
    "water 3 %\n",
    "role humectant,",
    "\"a\"",
    "# c\n",
    "group a = b,\n",
    "(1 %\n",
];

/// Files with little in them are enough: slips fall on all of it sooner.
const LARGEST: usize = 6_000;

fn texts() -> &'static [String] {
    static TEXTS: OnceLock<Vec<String>> = OnceLock::new();
    TEXTS.get_or_init(|| {
        let root = Path::new(env!("CARGO_MANIFEST_DIR"));
        let mut folders: Vec<PathBuf> = ["examples", "src/shelf", "tests"].iter().map(|name| root.join(name)).collect();
        let mut texts = Vec::new();
        while let Some(folder) = folders.pop() {
            for path in fs::read_dir(&folder).unwrap().map(|entry| entry.unwrap().path()) {
                match path.extension() {
                    _ if path.is_dir() => folders.push(path),
                    Some(extension) if extension == "still" => texts.push(fs::read_to_string(&path).unwrap()),
                    _ => {}
                }
            }
        }
        assert!(texts.len() > 20, "{} texts", texts.len());
        // What nobody sees is no part of the grammar.
        texts.retain(|text: &String| unseen_in(text).is_empty());
        texts.sort();
        texts
    })
}

/// The text that entries make, end to end.
fn joined(entries: &[Entry], text: &str, at: &mut usize, out: &mut String) {
    for entry in entries {
        let (start, end) = (*at, *at + entry.length as usize);
        let block = entry.statement().and_then(|statement| Some((statement, statement.block.as_ref()?)));
        if let Some((statement, block)) = block {
            let head = start + statement.head as usize;
            out.push_str(&text[start..head]);
            *at = head;
            joined(&block.entries, text, at, out);
            out.push_str(&text[*at..end]);
            assert_eq!(end - *at, usize::from(block.closed));
        } else {
            out.push_str(&text[start..end]);
        }
        *at = end;
    }
}

/// The rules and texts of all nodes of sound statements; none where any statement is not.
fn nodes(entries: &[Entry], text: &str, start: usize) -> Option<Vec<(Rule, String)>> {
    let mut all = Vec::new();
    let mut at = start;
    for entry in entries {
        match &entry.what {
            EntryKind::Stray => return None,
            EntryKind::Blank | EntryKind::Comment => {}
            EntryKind::Statement(statement) => {
                let ParseState::Sound(parse) = &statement.reading else { return None };
                let head = at + statement.head as usize;
                let of_head = parse.nodes(&text[at..head], 0).all();
                all.extend(of_head.map(|node| (node.as_rule(), node.as_str().to_string())));
                if statement.crowded {
                    return None;
                }
                if let Some(block) = &statement.block {
                    all.extend(nodes(&block.entries, text, head)?);
                }
            }
        }
        at += entry.length as usize;
    }
    Some(all)
}

/// Rules that are a whole block, of which the statements have the opening alone; and comments between statements.
fn is_of_the_whole(rule: Rule) -> bool {
    use Rule::{batch, container, formula, maker, material, phase, plan, rule_item, steps, stock, substance, variant};
    matches!(
        rule,
        Rule::file | Rule::variant_phase | Rule::EOI | Rule::comment | batch | container | formula | maker | material
    ) || matches!(rule, phase | plan | rule_item | steps | stock | substance | variant)
}

/// What the grammar makes of a whole file, with the same left out.
fn whole(text: &str) -> Option<Vec<(Rule, String)>> {
    let pairs = Grammar::parse(Rule::file, text).ok()?.flatten();
    let pairs = pairs.filter(|pair| !is_of_the_whole(pair.as_rule()));
    Some(pairs.map(|pair| (pair.as_rule(), pair.as_str().to_string())).collect())
}

fn assert_agrees(text: &str, memo: &Memo) {
    let cut = Cut::new(text, memo);
    let mut out = String::new();
    joined(&cut.entries, text, &mut 0, &mut out);
    assert_eq!(out, text, "nothing is lost");
    let unclosed = |fault: &BracketFault| !matches!(fault, BracketFault::ClosesNothing(_));
    let by_statement = nodes(&cut.entries, text, 0).filter(|_| !cut.faults.iter().any(unclosed));
    let by_statement =
        by_statement.map(|all| all.into_iter().filter(|(rule, _)| !is_of_the_whole(*rule)).collect::<Vec<_>>());
    assert_eq!(by_statement, whole(text), "{text}");
}

/// A slip: where it is, in thousandths of the text; how many bytes go; what comes.
fn slip() -> impl Strategy<Value = (usize, usize, &'static str)> {
    let piece = prop_oneof![Just(""), prop::sample::select(PIECES)];
    (0..1000usize, prop_oneof![3 => Just(0usize), 3 => Just(1), 1 => 0..40usize], piece)
}

fn boundary(text: &str, at: usize) -> usize {
    (at..).find(|at| text.is_char_boundary((*at).min(text.len()))).unwrap_or(0).min(text.len())
}

#[test]
fn every_example_reads_by_statement_as_it_does_whole() {
    let memo = Memo::default();
    texts().iter().for_each(|text| assert_agrees(text, &memo));
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 250, ..ProptestConfig::default() })]

    #[test]
    fn slips_are_read_by_statement_as_whole_and_a_kept_tree_is_the_tree_cut_anew(
        number in 0..10_000usize,
        slips in prop::collection::vec(slip(), 1..5),
    ) {
        let short: Vec<&String> = texts().iter().filter(|text| text.len() <= LARGEST).collect();
        let text = short[number % short.len()];
        let memo: Arc<Memo> = Arc::default();
        let mut tree = SyntaxTree::new(text.clone(), Arc::clone(&memo));
        for (place, gone, piece) in slips {
            let start = boundary(tree.text(), place * tree.text().len() / 1000);
            let end = boundary(tree.text(), start + gone);
            prop_assert!(tree.edit(start..end, piece));
            prop_assert_eq!(format!("{:?}", tree.cut()), format!("{:?}", Cut::new(tree.text(), &memo)));
            assert_agrees(tree.text(), &memo);
        }
    }
}
