//! What the page of the bench asks, and what it makes of the answers: whoever types the figure in large type, act after
//! act, ends with a released batch; and each answer is one statement of the record and no more.

#![allow(clippy::disallowed_methods, reason = "tests read files of their own")]

use crate::common;
use crate::played::reads;
use std::fs;
use std::path::Path;
use stillroom::batch::writing::append;
use stillroom::batch::{Do, View};
use stillroom::model::{Batch, DeclId};
use stillroom::quantity::Exact;
use stillroom::render::BenchJson;
use stillroom::resolve::Resolver;
use stillroom::server::bench::{Kind, Question, Slot, Typed};
use stillroom::session::check;
use stillroom::sheet::BatchOrder;
use stillroom::syntax::tree::Item;

/// Looks at the only batch of a text that stands beside the examples.
fn with_batch<T>(text: &str, look: impl FnOnce(&Resolver<'_>, &Batch, Option<&str>) -> T) -> T {
    let examples = common::examples();
    let named: Vec<(String, Vec<u8>)> = examples
        .iter()
        .map(|path| (path.file_name().unwrap().to_string_lossy().into_owned(), fs::read(path).unwrap()))
        .collect();
    let mut files: Vec<(&str, &[u8])> = vec![("mine.still", text.as_bytes())];
    files.extend(named.iter().map(|(name, bytes)| (name.as_str(), bytes.as_slice())));
    let folder = common::folder(&files);
    let loaded = folder.load();
    let report = check(&loaded.sources, &BatchOrder::default(), false);
    let source = loaded.sources.files.iter().find(|source| source.named).unwrap();
    let item = source.tree.items.iter().position(|item| matches!(item, Item::Batch(_))).unwrap();
    let batch = report.resolver.batch(DeclId { file: source.id, item: item as u32 }).unwrap();
    let unfit = report.unfit(&batch);
    look(&report.resolver, &batch, unfit)
}

fn asked_of(resolver: &Resolver<'_>, batch: &Batch, unfit: Option<&str>) -> Question {
    let view = View::with(resolver, batch, None, unfit).unwrap();
    let bench = BenchJson::new(batch, &view, Vec::new());
    Question::of(batch, &view, &bench)
}

/// What is typed by whoever does as the page says; `times` is how many times too much goes in.
fn typed(question: &Question, reading: &str, times: i64) -> Typed {
    let figure = || question.figure.as_ref().map(|figure| figure.digits.clone()).unwrap_or_default();
    let mut typed = Typed::new();
    if let Some(material) = &question.material {
        typed.insert("material".to_string(), material.name.clone());
    }
    for field in question.fields.iter().filter(|field| !field.may_be_empty) {
        let text = match field.slot {
            Slot::Ph if question.what == Do::CheckMeter => figure(),
            Slot::Ph => reading.to_string(),
            Slot::Minutes => question.wait.as_ref().and_then(|wait| wait.minutes.clone()).unwrap_or("5".to_string()),
            Slot::Grams if times > 1 => (&Exact::parse(&figure()).unwrap() * &Exact::whole(times)).to_fixed(2),
            _ if field.value.is_empty() => figure(),
            _ => field.value.clone(),
        };
        typed.insert(field.slot.word().to_string(), text.replace('.', ","));
    }
    typed
}

/// The statement with which a text goes on, as `record` puts it there.
fn with_statement(text: &str, statement: &str) -> String {
    let parsed = stillroom::syntax::parse(stillroom::diagnostic::FileId(0), text);
    let batch =
        parsed.tree.items.iter().find_map(|item| if let Item::Batch(batch) = item { Some(batch) } else { None });
    append(text, batch.unwrap(), &[statement.to_string()]).unwrap().put_into(text)
}

/// Answers until nothing more is to be done; the sentences that were asked.
fn play(file: &str, formula: &str, times: i64) -> Vec<String> {
    let mut text = format!("use \"{file}\"\n\nbatch one {{\n  formula {formula}\n}}\n");
    let (mut told, mut over) = (Vec::new(), times);
    for _ in 0..90 {
        let (statement, ends) = with_batch(&text, |resolver, batch, unfit| {
            let question = asked_of(resolver, batch, unfit);
            let sentence = question.sentence();
            assert!(!question.why.contains("…`"), "{}", question.why);
            told.push(sentence);
            match question.what {
                Do::Done => return (String::new(), true),
                Do::Fill => {
                    let boxes = [("count", "1"), ("each", "20 g")];
                    let boxes = boxes.map(|(name, text)| (name.to_string(), text.to_string()));
                    return (Kind::Filled.entry(&Typed::from(boxes)).unwrap().statement, false);
                }
                Do::Stop => panic!("stop: {} after {told:#?}", question.why),
                _ => {}
            }
            let is_dose = question.what == Do::Add;
            let reading = match question.what {
                Do::Read => {
                    let view = View::of(resolver, batch).unwrap();
                    reads(resolver, &view.setting, batch).low.to_fixed(2)
                }
                _ => String::new(),
            };
            let more = if is_dose { std::mem::replace(&mut over, 1) } else { 1 };
            let entry = question.kind.unwrap().entry(&typed(&question, &reading, more));
            let entry = entry.unwrap_or_else(|wrong| panic!("{wrong:?} after {told:#?}"));
            (entry.statement, false)
        });
        if ends {
            return told;
        }
        let before = with_batch(&text, |_, batch, _| batch.events.len());
        text = with_statement(&text, &statement);
        let after = with_batch(&text, |_, batch, _| {
            assert!(batch.unread.is_empty(), "{statement}");
            batch.events.len()
        });
        assert_eq!(after, before + 1, "{statement}: {text}");
    }
    panic!("no end: {told:#?}");
}

#[test]
fn typing_what_is_asked_leads_to_release() {
    for (file, formula) in [
        ("acid-gel.still", "acid-gel"),
        ("cream.still", "day-cream"),
        ("lactic-serum.still", "lactic-serum"),
        ("balm.still", "calendula-balm"),
        ("toner.still", "toner"),
        ("stocks.still", "soda-10"),
    ] {
        let told = play(file, formula, 1);
        assert_eq!(told.last().map(String::as_str), Some("Nothing more is to be done."), "{formula}");
        assert!(told.iter().any(|sentence| sentence == "Fill the jars."), "{told:#?}");
    }
}

#[test]
fn an_overshoot_is_led_back_with_its_reason() {
    let told = play("acid-gel.still", "acid-gel", 2);
    assert!(told.iter().any(|sentence| sentence.starts_with("Add Mandelic acid powder ")), "{told:#?}");
}

/// The acts of a cream, as they are read aloud: heat, weigh, cool, the pH, the scale, the jars.
#[test]
fn the_acts_of_a_cream_read_aloud() {
    insta::assert_snapshot!("asked-of-a-cream", play("cream.still", "day-cream", 1).join("\n"));
}

/// Every state that the records of set-backs went through is asked about in a sentence with its figure.
#[test]
fn set_backs_are_asked_about_at_each_of_their_steps() {
    for name in ["gone-wrong/over-reserve.still", "gone-wrong/high-meter.still"] {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples").join(name);
        let text = fs::read_to_string(path).unwrap();
        let all = with_batch(&text, |_, batch, _| batch.events.len());
        for events in 0..=all {
            with_batch(&text, |resolver, batch, _| {
                let mut batch = batch.clone();
                batch.events.truncate(events);
                let question = asked_of(resolver, &batch, None);
                let has_figure = question.figure.is_some();
                let wants =
                    matches!(question.what, Do::Weigh | Do::Add | Do::TopUp | Do::Heat | Do::Cool | Do::CheckMeter);
                assert!(has_figure || !wants, "{name}, {events}: {question:?}");
                let has_form = question.kind.is_some();
                assert_eq!(has_form, !matches!(question.what, Do::Stop | Do::Fill | Do::Done), "{name}, {events}");
                if question.what == Do::Stop {
                    assert!(question.why.len() > 20, "{name}, {events}: {}", question.why);
                }
                if let Some(kind) = question.kind {
                    assert!(kind.entry(&typed(&question, "3.80", 1)).is_ok(), "{name}, {events}: {question:?}");
                }
            });
        }
    }
}
