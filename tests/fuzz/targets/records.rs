//! Records: statements put in by the functions that `record` uses, then the bench, the record as a document and the
//! trail. Nothing panics, nothing that stood there changes, and figures add up.
//!
//! The data are lines of what happened, in the words of the command, and after a parting the record they are put into.

use super::session::{adds_up, loaded, without_places};
use super::{parted, shell_words};
use stillroom::batch::View;
use stillroom::batch::trail::{Record, Records, compare, trace};
use stillroom::batch::writing::{Insertion, added_definitions, append, freeze, into_plan, says_something, statement};
use stillroom::diagnostic::FileId;
use stillroom::model::{Batch, Happened};
use stillroom::quantity::Exact;
use stillroom::render::{BenchJson, ComparisonJson, RecordJson, TraceJson};
use stillroom::session::{Report, acceptance, check};
use stillroom::sheet::BatchOrder;
use stillroom::syntax::parse;
use stillroom::syntax::tree::{self, BatchEntry, Item};

/// More statements show nothing new.
const STATEMENTS: usize = 8;

/// A small formula with water held back, and a batch of it that is open.
const BASE: &str = "\
use shelf/all

formula tonic {
  version \"1\"
  product leave-on face
  makes 100 g
  scale 0.01 g
  pH 3.6 to 4.0
  phase A {
    water q.s. hold back 20 %
    glycolic-acid-70 3 % active
    glycerin 4 %
    sodium-hydroxide-10 q.s. to pH
  }
  phase B {
    phenoxyethanol-ethylhexylglycerin 1 %
  }
}

batch t-1 {
  formula tonic version \"1\"
  started 2026-11-20
  size 100 g
}
";

/// Tries statements on a record.
pub fn records(data: &[u8]) {
    let Ok(data) = std::str::from_utf8(data) else { return };
    let (lines, record) = parted(data);
    let mut text = record.unwrap_or(BASE).to_string();
    for line in lines.into_iter().take(STATEMENTS) {
        let words = shell_words(line);
        let statement = statement(&words);
        if says_something(&statement) {
            text = recorded(text, statement);
        }
    }
    shown(&text);
}

/// The text with a statement in its first batch; as it was where that is refused.
fn recorded(text: String, statement: String) -> String {
    let now = loaded(text.as_bytes());
    let before = check(&now.sources, &BatchOrder::default(), false);
    let Some(source) = now.sources.files.first() else { return text };
    let (Some(batch), text) = (first_batch(&source.tree), source.text.clone()) else { return text };
    let name = batch.name.text.to_string();
    let mut statements: Vec<String> = plan_for(batch, &before).into_iter().collect();
    statements.push(statement);
    let Some(insertion) = append(&text, batch, &statements) else { return text };
    let with = insertion.put_into(&text);
    let Some(more) = accepted(&before, &with, &name, std::slice::from_ref(&insertion)) else { return text };
    kept(&text, &with, statements.len());
    let Some(more) = more else { return with };
    let with_more = more.put_into(&with);
    match accepted(&before, &with_more, &name, &[insertion, more]) {
        Some(_) => with_more,
        None => with,
    }
}

fn first_batch(tree: &tree::File) -> Option<&tree::Batch> {
    tree.items.iter().find_map(|item| if let Item::Batch(batch) = item { Some(batch) } else { None })
}

/// The plan that goes in with the first statement.
fn plan_for(batch: &tree::Batch, report: &Report<'_>) -> Option<String> {
    if batch.plan().is_some() {
        return None;
    }
    let named = batch.entries.iter().find_map(|entry| match &entry.entry {
        BatchEntry::Formula(name, _) => Some(name.text.as_str()),
        _ => None,
    })?;
    let found = report.formulas.iter().find(|found| found.formula.name == named && !found.is_blocked())?;
    freeze(&report.resolver, &found.formula)
}

/// None where what was put in is refused; else what is to go into the plan beside it, where there is something.
fn accepted(before: &Report<'_>, text: &str, batch: &str, put_in: &[Insertion]) -> Option<Option<Insertion>> {
    let loaded = loaded(text.as_bytes());
    let after = check(&loaded.sources, &BatchOrder::default(), false);
    let source = loaded.sources.files.first()?;
    if !acceptance(before, &after, source.id, batch, put_in).refused.is_empty() {
        return None;
    }
    let record = after.resolver.batches_of(source).into_iter().find(|record| record.name == batch)?;
    let more = added_definitions(&after.resolver, record.id).filter(|found| !found.statements.is_empty());
    Some(more.and_then(|more| into_plan(&source.text, first_batch(&source.tree)?, &more.statements)))
}

/// What was recorded is so many statements at the end of the batch, and all else means what it meant.
fn kept(before: &str, after: &str, statements: usize) {
    let (before, after) = (parse(FileId(0), before), parse(FileId(0), after));
    let (Some(was), Some(is)) = (first_batch(&before.tree), first_batch(&after.tree)) else {
        panic!("the batch is gone");
    };
    let entries = |batch: &tree::Batch| batch.entries.iter().map(without_places).collect::<Vec<String>>();
    let (was, is) = (entries(was), entries(is));
    assert_eq!(was.len() + statements, is.len(), "another number of statements than were recorded");
    assert_eq!(is.get(..was.len()), Some(was.as_slice()), "what was recorded before has changed");
    let others = |file: &tree::File| {
        let batch = file.items.iter().position(|item| matches!(item, Item::Batch(_)));
        let others = file.items.iter().enumerate().filter(|(at, _)| Some(*at) != batch);
        others.map(|(_, item)| without_places(item)).collect::<Vec<String>>()
    };
    assert_eq!(others(&after.tree), others(&before.tree), "a statement reached beyond its batch");
}

/// All that can be shown of the batches of a text.
fn shown(text: &str) {
    let loaded = loaded(text.as_bytes());
    let report = check(&loaded.sources, &BatchOrder::default(), false);
    let Some(source) = loaded.sources.files.first() else { return };
    let mut records = Records::default();
    for batch in report.resolver.batches_of(source) {
        if let Some(view) = View::of(&report.resolver, &batch) {
            weighs(&batch, &view);
            let bench = BenchJson::new(&batch, &view, Vec::new());
            assert!(!bench.text().is_empty());
            serde_json::to_string(&bench).unwrap();
            let digest = view.setting.digest(&report.resolver, &batch);
            let record = RecordJson::new(&batch, &view, digest, Vec::new());
            assert!(!record.markdown().is_empty());
            serde_json::to_string(&record).unwrap();
        }
        if let Some(cost) = stillroom::cost::of_batch(&report.resolver, &batch, None, None) {
            super::text::priced(&cost);
        }
        records.all.push(Record { batch, file: "tried.still".to_string() });
    }
    let mut codes: Vec<String> = Vec::new();
    for record in &records.all {
        codes.push(record.batch.name.to_string());
        codes.extend(record.batch.lots.iter().flat_map(|lot| [lot.code.to_string(), lot.material.text.to_string()]));
    }
    for code in codes.iter().take(12) {
        let trail = trace(&records, code).unwrap_or_else(|| panic!("`{code}` is in a record and not found"));
        let json = TraceJson::new(&records, &trail, &[], &|_| None);
        assert!(!json.markdown().is_empty());
        serde_json::to_string(&json).unwrap();
    }
    if let Some(found) = compare(&records) {
        let json = ComparisonJson::new(&found, &[]);
        assert!(!json.markdown().is_empty());
        serde_json::to_string(&json).unwrap();
    }
}

/// The figures of a batch at the bench against its statements, added up here by other means.
fn weighs(batch: &Batch, view: &View<'_>) {
    adds_up(&view.setting.plan);
    let ledger = &view.ledger;
    for reserve in &ledger.reserves {
        let taken = reserve.used() + reserve.weighed_before();
        let rest = reserve.held_back() - &taken;
        assert_eq!(reserve.left(), rest.max(Exact::ZERO), "the reserve of `{}` does not add up", reserve.material);
        assert!(!reserve.over().is_negative(), "`{}` is over its reserve by less than nothing", reserve.material);
    }
    let gone_in = batch.events.iter().filter_map(|event| match &event.what {
        Happened::Weighed(_, grams) | Happened::Added(_, grams, _) => Some(grams.clone()),
        Happened::ToppedUp { grams, to: None, .. } => grams.clone(),
        _ => None,
    });
    let plain = batch.events.iter().all(|event| {
        !matches!(event.what, Happened::Removed(..)) && !matches!(event.what, Happened::ToppedUp { to: Some(_), .. })
    });
    if plain {
        assert_eq!(gone_in.sum::<Exact>(), ledger.weights.total(), "the beaker does not hold what went in");
    }
    assert!(!ledger.weights.total().is_negative(), "the beaker weighs less than nothing");
    for line in &ledger.lines {
        let entries: Exact = line.entries.iter().map(|entry| entry.grams.clone()).sum();
        assert_eq!(entries, line.weighed(), "`{}` is not what was weighed of it", line.name);
    }
}
