//! A record written at a terminal: asked for step by step, each answer on the disk before the next question.

use super::draft::Draft;
use super::talk::Talk;
use super::write_down::{NewEntry, Written, batches, plan_for, unopened, write_down};
use crate::cli::Failure;
use std::path::Path;
use stillroom::batch::View;
use stillroom::batch::writing::{quoted, statement};
use stillroom::diagnostic::FileId;
use stillroom::render::{BenchJson, shown_path};
use stillroom::session::Report;
use stillroom::sheet::BatchOrder;
use stillroom::syntax::parse;
use stillroom::syntax::tree::{AmountKind, Batch, BatchEntry, FrozenPlan, Item};
use stillroom::workspace::{Disk, World as _, unread};

const MENU: &str = "
What happened?
  1 weighed    2 added     3 reading
  4 topped up  5 waited    6 heat
  7 lot        8 the end   9 note
Enter alone, or q: done. A whole statement may be typed too.
";

/// Asks until she is done. `stamp` puts the day and the initials of the command line to a statement.
///
/// # Errors
/// A record that there is not, or that cannot be read.
pub fn converse(
    talk: &mut Talk<'_>,
    path: &Path,
    batch: Option<&str>,
    stamp: &dyn Fn(String) -> Result<String, Failure>,
) -> Result<(), Failure> {
    let Some(batch) = which(talk, path, batch)? else { return Ok(()) };
    loop {
        let bench = with_batch(path, &batch, |report, batch, draft| {
            if let Some(advice) = next_addition(report, batch) {
                talk.say(&format!("\n{advice}\n"));
            }
            Choices::of(report, batch, draft)
        })?;
        talk.say(MENU);
        let Some(answer) = talk.ask("> ").filter(|answer| answer != "q") else { return Ok(()) };
        let Some(said) = said(talk, &bench, &answer) else { continue };
        let entry = NewEntry { path, batch: Some(&batch), begin: None, statement: Some(stamp(said)?) };
        match write_down(&entry) {
            Ok(Written::Recorded(recorded)) => {
                talk.say(&recorded.told.clone().and("Recorded:\n").and(recorded.lines()))
            }
            Ok(Written::Refused(told)) => talk.say(&told.and("Nothing was written.\n")),
            // A disk may have room again in a minute, and she is still there.
            Err(failure) => talk.say(&format!("{failure}\n")),
        }
    }
}

/// What to do next, as the bench would say it: the one place where advice comes in. `None` says nothing.
fn next_addition(report: &Report<'_>, batch: &Batch) -> Option<String> {
    let named = report.resolver.sources.files.iter().filter(|source| source.named);
    let mut records = named.flat_map(|source| report.resolver.batches_of(source));
    let record = records.find(|record| record.name == batch.name.text)?;
    let view = View::of(&report.resolver, &record)?;
    Some(BenchJson::new(&record, &view, Vec::new()).next_line())
}

/// Reads the file anew, and looks at a batch of it.
fn with_batch<T>(
    path: &Path,
    name: &str,
    style: impl FnOnce(&Report<'_>, &Batch, &Draft<'_>) -> T,
) -> Result<T, Failure> {
    let unread = |error: std::io::Error| unopened(path, &unread(&error));
    let target = Disk.canonical(path).map_err(unread)?;
    let draft = Draft { path: &target, bytes: Disk.read(&target).map_err(unread)? };
    let session = draft.session();
    let report = session.check(&BatchOrder::default());
    let source = report.resolver.sources.files.first();
    let batch = source.and_then(|source| batches(source).find(|batch| batch.name.text == name));
    let Some(batch) = batch else {
        return Err(Failure(format!("`{}` has no batch `{name}` any more.", shown_path(path))));
    };
    Ok(style(&report, batch, &draft))
}

/// The batch that is written on: the one named, the only one, or the one she picks.
fn which(talk: &mut Talk<'_>, path: &Path, batch: Option<&str>) -> Result<Option<String>, Failure> {
    let unread = |error: std::io::Error| unopened(path, &unread(&error));
    let target = Disk.canonical(path).map_err(unread)?;
    let draft = Draft { path: &target, bytes: Disk.read(&target).map_err(unread)? };
    let session = draft.session();
    let Some(source) = session.sources().files.first() else { return Ok(None) };
    let several = batch.is_none() && batches(source).nth(1).is_some();
    if several {
        let names: Vec<String> = batches(source).map(|batch| batch.name.text.to_string()).collect();
        return Ok(talk.pick("Which batch", &names).and_then(|at| names.get(at).cloned()));
    }
    super::write_down::pick(path, batch, source).map(|batch| Some(batch.name.text.to_string()))
}

/// What can be picked from.
struct Choices {
    /// The lines that are weighed, those that are not weighed yet first.
    weighed: Vec<String>,
    /// The lines that bring the pH to its window.
    adjusters: Vec<String>,
    /// The lines of which something waits for the end.
    waiting: Vec<String>,
    /// The lines without a lot first.
    lots: Vec<String>,
    /// Whether anything was heated, so that some of it has evaporated.
    heated: bool,
}

impl Choices {
    fn of(report: &Report<'_>, batch: &Batch, draft: &Draft<'_>) -> Choices {
        let own = batch.entries.iter().find_map(|entry| match &entry.entry {
            BatchEntry::Plan(plan) => Some(plan.clone()),
            _ => None,
        });
        let plan = own.or_else(|| to_be_frozen(report, batch, draft)).unwrap_or_default();
        let names = |pass: &dyn Fn(&stillroom::syntax::tree::FrozenPlanLine) -> bool| -> Vec<String> {
            plan.lines.iter().filter(|line| pass(line)).map(|line| line.material.text.to_string()).collect()
        };
        let is_adjuster =
            |line: &stillroom::syntax::tree::FrozenPlanLine| matches!(line.amount.kind, AmountKind::QuantumSatisToPh);
        let done = |wanted: &dyn Fn(&BatchEntry) -> Option<String>| -> Vec<String> {
            batch.entries.iter().filter_map(|entry| wanted(&entry.entry)).collect()
        };
        let were_weighed = done(&|entry| match entry {
            BatchEntry::Weighed(name, _) => Some(name.text.to_string()),
            _ => None,
        });
        let have_lots = done(&|entry| match entry {
            BatchEntry::Lot { material, .. } => Some(material.text.to_string()),
            _ => None,
        });
        Choices {
            weighed: first_without(names(&|line| !is_adjuster(line)), &were_weighed),
            adjusters: names(&is_adjuster),
            waiting: names(&|line| line.tail.hold_back.is_some()),
            lots: first_without(names(&|_| true), &have_lots),
            heated: batch.entries.iter().any(|entry| matches!(entry.entry, BatchEntry::Heated(_))),
        }
    }
}

/// The plan that the first thing that happens will freeze.
fn to_be_frozen(report: &Report<'_>, batch: &Batch, draft: &Draft<'_>) -> Option<FrozenPlan> {
    let (_, frozen) = plan_for(batch, draft, report)?.ok()?;
    let parsed = parse(FileId(u32::MAX), &format!("batch b {{\n{}\n}}\n", frozen.plan));
    parsed.tree.items.into_iter().find_map(|item| match item {
        Item::Batch(batch) => batch.entries.into_iter().find_map(|entry| match entry.entry {
            BatchEntry::Plan(plan) => Some(plan),
            _ => None,
        }),
        _ => None,
    })
}

/// Names in their order, those that are done after those that are not.
fn first_without(names: Vec<String>, done: &[String]) -> Vec<String> {
    let (after, mut first): (Vec<String>, Vec<String>) = names.into_iter().partition(|name| done.contains(name));
    first.extend(after);
    first
}

/// The statement that an answer leads to; none where she goes back.
fn said(talk: &mut Talk<'_>, bench: &Choices, answer: &str) -> Option<String> {
    let grams = |talk: &mut Talk<'_>| talk.figure("Grams: ");
    Some(match answer {
        "1" => format!("weighed {} {} g", material(talk, &bench.weighed)?, grams(talk)?),
        "2" => format!("added {} {} g", material(talk, &bench.adjusters)?, grams(talk)?),
        "3" => format!("reading pH {}", talk.figure("pH: ")?),
        "4" => topped_up(talk, bench)?,
        "5" => format!("waited {} min", talk.figure("Minutes: ")?),
        "6" => match talk.pick("Heat", &["heated to".to_string(), "cooled to".to_string()])? {
            0 => format!("heated {} °C", talk.figure("Degrees Celsius: ")?),
            _ => format!("cooled {} °C", talk.figure("Degrees Celsius: ")?),
        },
        "7" => format!("lot {} {}", material(talk, &bench.lots)?, quoted(&talk.ask("Code: ")?)),
        "8" => end(talk)?,
        "9" => format!("note {}", quoted(&talk.ask("Note: ")?)),
        digits if digits.bytes().all(|byte| byte.is_ascii_digit()) => {
            talk.say("One of the digits, or Enter alone when you are done.\n");
            return None;
        }
        // Anything else is a statement, or is told of as one.
        whole => statement(&[whole.to_string()]),
    })
}

/// The rest of the water. After heat the whole goes on the scale too: what evaporated, no sum knows.
fn topped_up(talk: &mut Talk<'_>, bench: &Choices) -> Option<String> {
    let material = material(talk, &bench.waiting)?;
    if !bench.heated {
        return Some(format!("topped-up {material} {} g", talk.figure("Grams: ")?));
    }
    let grams = talk.figure("Grams put in, or Enter: ").map(|grams| format!(" {grams} g"));
    let whole = talk.figure("The whole then weighs, in grams, or Enter: ").map(|whole| format!(" to {whole} g"));
    (grams.is_some() || whole.is_some())
        .then(|| format!("topped-up {material}{}{}", grams.unwrap_or_default(), whole.unwrap_or_default()))
}

/// How a batch ends.
fn end(talk: &mut Talk<'_>) -> Option<String> {
    let choices = ["yield", "filled", "observed", "released", "rejected"].map(str::to_string);
    Some(match talk.pick("The end", &choices)? {
        0 => format!("yield {} g", talk.figure("Grams: ")?),
        1 => {
            let (count, each) = (talk.figure("How many: ")?, talk.figure("Each, with its unit (30 mL): ")?);
            let code = talk.ask("Code on them, or Enter: ").map(|code| format!(" as {}", quoted(&code)));
            format!("filled {count} x {each}{}", code.unwrap_or_default())
        }
        2 => format!("observed {}", quoted(&talk.ask("What: ")?)),
        3 => "released".to_string(),
        _ => format!("rejected because {}", quoted(&talk.ask("Why: ")?)),
    })
}

/// A material of the plan; where there is no plan, by its name.
fn material(talk: &mut Talk<'_>, names: &[String]) -> Option<String> {
    match names {
        [] => talk.ask("Material: "),
        names => talk.pick("Which", names).and_then(|at| names.get(at).cloned()),
    }
}

#[cfg(test)]
mod tests {
    use super::{Talk, converse};
    use std::fs;

    const RECORD: &str = "batch b {\n  plan {\n    water   90 %  q.s.  hold back 5 %\n    betaine  10 %  10 %\n    \
                          soda-2   q.s. to pH\n  }\n}\n";

    /// What stands in the record after these answers, and what was said.
    fn after(answers: &str) -> (String, String) {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("record.still");
        fs::write(&path, RECORD).unwrap();
        let (mut input, mut out) = (answers.as_bytes(), Vec::new());
        let mut talk = Talk { input: &mut input, out: &mut out };
        converse(&mut talk, &path, None, &|text| Ok(format!("{text} by \"M.\""))).unwrap();
        let text = fs::read_to_string(&path).unwrap();
        let opened = RECORD.strip_suffix("}\n").unwrap();
        let new = text.strip_prefix(opened).unwrap().strip_suffix("}\n").unwrap();
        (new.to_string(), String::from_utf8(out).unwrap())
    }

    #[test]
    fn digits_and_figures_make_statements() {
        for (answers, wanted) in [
            ("1\n2\n0,40\n", "  weighed  betaine 0.40 g  by \"M.\"\n"),
            ("2\n3.2\n", "  added  soda-2 3.2 g  by \"M.\"\n"),
            ("4\n1.42\n", "  topped-up  water 1.42 g  by \"M.\"\n"),
            ("5\n30\n", "  waited  30 min  by \"M.\"\n"),
            ("6\n2\n40\n", "  cooled  40 °C  by \"M.\"\n"),
            ("7\n1\nstill 41\n", "  lot  water \"still 41\"  by \"M.\"\n"),
            ("8\n2\n5\n30 mL\nB-1\n", "  filled  5 x 30 mL as \"B-1\"  by \"M.\"\n"),
            ("9\nIt is \"thick\".\n", "  note  \"It is \\\"thick\\\".\"  by \"M.\"\n"),
            ("yield 19 g\nq\nreleased\n", "  yield  19 g  by \"M.\"\n"),
        ] {
            assert_eq!(after(answers).0, wanted, "{answers}");
        }
    }

    #[test]
    fn after_heat_the_whole_is_weighed_too() {
        let heated = "6\n1\n75\n4\n";
        for (answers, wanted) in [
            ("1.42\n20\n", "  topped-up  water 1.42 g to 20 g  by \"M.\"\n"),
            ("\n20\n", "  topped-up  water to 20 g  by \"M.\"\n"),
            ("1.42\n\n", "  topped-up  water 1.42 g  by \"M.\"\n"),
            ("\n\n", ""),
        ] {
            let (new, _) = after(&format!("{heated}{answers}"));
            let rest = new.split_once("by \"M.\"\n").map_or("", |(_, rest)| rest);
            assert_eq!(
                rest.split_whitespace().collect::<Vec<_>>(),
                wanted.split_whitespace().collect::<Vec<_>>(),
                "{answers}"
            );
        }
    }

    #[test]
    fn each_answer_is_kept_though_the_terminal_is_closed_at_the_next() {
        let (new, _) = after("1\n1\n8.83\n1\n1\n");
        assert_eq!(new, "  weighed  water 8.83 g  by \"M.\"\n");
    }

    #[test]
    fn a_wrong_answer_is_told_and_asked_again() {
        let (new, said) = after("1\n7\n\n0\n42\n3\nfour\n3\n3.5\n");
        assert_eq!(new, "  reading  pH 3.5  by \"M.\"\n");
        assert_eq!(said.matches("Nothing was written.").count(), 1, "{said}");
    }

    #[test]
    fn what_was_said_is_shown_without_what_is_unseen() {
        let (new, said) = after("9\nred \u{1b}[31m\u{202e}\nweighed wa\u{9b}2Jter 1 g\n");
        assert!(new.contains("red \u{1b}[31m\u{202e}"), "the record keeps it: {new:?}");
        assert!(said.contains("red \\u{1b}[31m\\u{202e}") && said.contains("wa\\u{9b}2Jter"), "{said}");
        assert!(!said.contains(['\u{1b}', '\u{202e}', '\u{9b}']), "{said:?}");
    }

    #[test]
    fn more_than_nine_are_paged() {
        let names: Vec<String> = (1..=20).map(|number| format!("m{number}")).collect();
        let (mut input, mut out) = (&b"0\n0\n2\n"[..], Vec::new());
        let mut talk = Talk { input: &mut input, out: &mut out };
        assert_eq!(talk.pick("Which", &names), Some(19));
        assert_eq!(talk.pick("Which", &names), None);
    }
}
