//! A record written at a terminal: asked for step by step, each answer on the disk before the next question.

use super::clock::Moment;
use super::draw::Drawn;
use super::on_hand;
use super::talk::Talk;
use crate::cli::Failure;
use crate::cli::input::day;
use crate::cli::locked_folder::keeper;
use std::path::Path;
use stillroom::batch::View;
use stillroom::batch::writing::{last_entry, quoted, statement};
use stillroom::diagnostic::FileId;
use stillroom::keeping::{Draft, NewEntry, OffPlan, Written, batches, pick, plan_for, unopened, write_down};
use stillroom::render::{BenchJson, shown, shown_path};
use stillroom::session::Report;
use stillroom::sheet::BatchOrder;
use stillroom::syntax::parse;
use stillroom::syntax::tree::{AmountKind, Batch, BatchEntry, FrozenPlan, FrozenPlanLine, Item};
use stillroom::workspace::{Disk, World as _, unread};

const MENU: &str = "
What happened?
  1 weighed     2 added        3 reading
  4 topped up   5 waited       6 heat
  7 lot         8 the end      9 note
  0 strike out  10 calibrated  11 removed  12 sold
Enter alone, or q: done. A whole statement may be typed too.
";

/// What is asked about, and by whose clock.
pub struct Asked<'a> {
    /// The record, as it was named.
    pub path: &'a Path,
    /// The batch; the only one where none is named.
    pub batch: Option<&'a str>,
    /// Puts the day and the initials of the command line to a statement.
    pub stamp: &'a dyn Fn(String) -> Result<String, Failure>,
    /// The day and the hour now; none where they were said with the command.
    pub clock: &'a dyn Fn() -> Option<Moment>,
}

/// Asks until she is done.
///
/// # Errors
/// A record that there is not, or that cannot be read.
pub fn converse(talk: &mut Talk<'_>, asked: &Asked<'_>) -> Result<(), Failure> {
    let path = asked.path;
    let Some(batch) = which(talk, path, asked.batch)? else { return Ok(()) };
    loop {
        let bench = with_batch(path, &batch, |report, batch, draft| {
            if let Some(advice) = next_addition(report, batch) {
                talk.say(&format!("\n{advice}\n"));
            }
            Choices::of(report, batch, draft)
        })?;
        talk.say(MENU);
        let Some(answer) = talk.ask("> ").filter(|answer| answer != "q") else { return Ok(()) };
        let Some(Said { statement, when }) = said(talk, asked, &bench, &answer) else { continue };
        let off = with_batch(path, &batch, |report, batch, _| OffPlan::of(report, batch, &statement))?;
        if off.is_some_and(|off| talk.ask(&off.question()).as_deref() != Some("1")) {
            talk.say("Nothing was written.\n");
            continue;
        }
        let now = (asked.clock)().filter(|_| when);
        let statement = match now.map(|now| stamp_of(talk, &now)) {
            Some(stamp) => format!("{statement}{stamp}"),
            None => statement,
        };
        let entry = NewEntry {
            path,
            batch: Some(&batch),
            begin: None,
            statement: Some((asked.stamp)(statement)?),
            asked_back: true,
            version: None,
        };
        let mut drawn = Drawn::default();
        match write_down(&keeper(), &entry, &mut drawn) {
            Ok(Written::Recorded(recorded)) => talk.say(&drawn.all.and("Recorded:\n").and(recorded.lines())),
            Ok(Written::Refused) => talk.say(&drawn.all.and("Nothing was written.\n")),
            // A disk may have room again in a minute, and she is still there.
            Err(why) => talk.say(&format!("{}\n", Failure::from(why))),
        }
    }
}

/// Asks when it was: Enter is now, and so is a terminal that goes away; what happened is kept.
fn stamp_of(talk: &mut Talk<'_>, now: &Moment) -> String {
    let question = format!("When (Enter: {} {}; 0: not said): ", now.day, now.hour);
    loop {
        let Some(answer) = talk.ask(&question) else { return format!(" on {} at {}", now.day, now.hour) };
        let mut words = answer.split_whitespace();
        let (first, second) = (words.next().unwrap_or_default(), words.next());
        let is_hour = |text: &str| super::time(text).is_ok();
        match (first, second) {
            ("0", None) => return String::new(),
            (hour, None) if is_hour(hour) => return format!(" on {} at {hour}", now.day),
            (on, None) if day(on).is_ok() => return format!(" on {on}"),
            (on, Some(hour)) if day(on).is_ok() && is_hour(hour) && words.next().is_none() => {
                return format!(" on {on} at {hour}");
            }
            _ => talk.say("A time (14:05), a day (2026-11-28), or both; Enter alone for now.\n"),
        }
    }
}

/// What to do next, as the bench would say it: the one place where advice comes in. `None` says nothing.
fn next_addition(report: &Report<'_>, batch: &Batch) -> Option<String> {
    let named = report.resolver.sources.files.iter().filter(|source| source.named);
    let mut records = named.flat_map(|source| report.resolver.batches_of(source));
    let record = records.find(|record| record.name == batch.name.text)?;
    let view = View::with(&report.resolver, &record, None, report.unfit(&record))?;
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
    let keeper = keeper();
    let draft = Draft { keeper: &keeper, path: &target, bytes: Disk.read(&target).map_err(unread)? };
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
    let keeper = keeper();
    let draft = Draft { keeper: &keeper, path: &target, bytes: Disk.read(&target).map_err(unread)? };
    let session = draft.session();
    let Some(source) = session.sources().files.first() else { return Ok(None) };
    let several = batch.is_none() && batches(source).nth(1).is_some();
    if several {
        let names: Vec<String> = batches(source).map(|batch| batch.name.text.to_string()).collect();
        return Ok(talk.pick("Which batch", &names).and_then(|at| names.get(at).cloned()));
    }
    Ok(Some(pick(path, batch, source)?.name.text.to_string()))
}

/// What can be picked from: every line of the plan has its digit through the whole batch, in every list.
struct Choices {
    /// The lines that are weighed.
    weighed: Vec<Option<String>>,
    /// The lines that bring the pH to its window.
    adjusters: Vec<Option<String>>,
    /// The lines of which something waits for the end.
    waiting: Vec<Option<String>>,
    /// All lines.
    lots: Vec<Option<String>>,
    /// What has been weighed already, and what has a lot: marked in its list.
    done: Done,
    /// Whether anything was heated, so that some of it has evaporated.
    heated: bool,
    /// The last statement that can be struck out.
    last: Option<String>,
    /// The code of the batch.
    code: Option<String>,
}

#[derive(Default)]
struct Done {
    weighed: Vec<String>,
    lots: Vec<String>,
}

impl Choices {
    fn of(report: &Report<'_>, batch: &Batch, draft: &Draft<'_>) -> Choices {
        let own = batch.entries.iter().find_map(|entry| match &entry.entry {
            BatchEntry::Plan(plan) => Some(plan.clone()),
            _ => None,
        });
        let plan = own.or_else(|| to_be_frozen(report, batch, draft)).unwrap_or_default();
        // Lines of one material are one.
        let mut lines: Vec<&FrozenPlanLine> = Vec::new();
        for line in &plan.lines {
            if !lines.iter().any(|known| known.material.text == line.material.text) {
                lines.push(line);
            }
        }
        let of = |pass: &dyn Fn(&FrozenPlanLine) -> bool| -> Vec<Option<String>> {
            let name = |line: &&FrozenPlanLine| {
                Some(*line).filter(|line| pass(line)).map(|line| line.material.text.to_string())
            };
            lines.iter().map(name).collect()
        };
        let is_adjuster = |line: &FrozenPlanLine| matches!(line.amount.kind, AmountKind::QuantumSatisToPh);
        let done = |wanted: &dyn Fn(&BatchEntry) -> Option<String>| -> Vec<String> {
            batch.entries.iter().filter_map(|entry| wanted(&entry.entry)).collect()
        };
        let text = report.resolver.sources.files.first().map_or("", |source| source.text.as_str());
        Choices {
            weighed: of(&|line| !is_adjuster(line)),
            adjusters: of(&is_adjuster),
            waiting: of(&|line| line.tail.hold_back.is_some()),
            lots: of(&|_| true),
            done: Done {
                weighed: done(&|entry| match entry {
                    BatchEntry::Weighed(name, _) => Some(name.text.to_string()),
                    _ => None,
                }),
                lots: done(&|entry| match entry {
                    BatchEntry::Lot { material, .. } => Some(material.text.to_string()),
                    _ => None,
                }),
            },
            heated: batch.entries.iter().any(|entry| matches!(entry.entry, BatchEntry::Heated(_))),
            last: last_entry(text, batch),
            code: batch.entries.iter().rev().find_map(|entry| match &entry.entry {
                BatchEntry::Code(code) => Some(code.value.to_string()),
                _ => None,
            }),
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

/// A statement, and whether it is to be asked when that was.
struct Said {
    statement: String,
    when: bool,
}

/// The statement that an answer leads to; none where she goes back.
fn said(talk: &mut Talk<'_>, asked: &Asked<'_>, bench: &Choices, answer: &str) -> Option<Said> {
    let statement = match answer {
        "0" => struck(talk, bench)?,
        "1" => {
            format!("weighed {} {} g", material(talk, &bench.weighed, &bench.done.weighed)?, talk.figure("Grams: ")?)
        }
        "2" => format!("added {} {} g", material(talk, &bench.adjusters, &[])?, talk.figure("Grams: ")?),
        "3" => format!("reading pH {}", talk.figure("pH: ")?),
        "4" => topped_up(talk, bench)?,
        "5" => format!("waited {} min", talk.figure("Minutes: ")?),
        "6" => match talk.pick("Heat", &["heated to".to_string(), "cooled to".to_string()])? {
            0 => format!("heated {} °C", talk.figure("Degrees Celsius: ")?),
            _ => format!("cooled {} °C", talk.figure("Degrees Celsius: ")?),
        },
        "7" => {
            let name = material(talk, &bench.lots, &bench.done.lots)?;
            let today = (asked.clock)().map(|now| now.day);
            format!("lot {name} {}", on_hand::lot(talk, asked.path, today.as_deref(), &name)?)
        }
        "8" => end(talk, bench.code.as_deref())?,
        "9" => format!("note {}", quoted(&talk.ask("Note: ")?)),
        "10" => {
            format!("calibrated pH {} reads {}", talk.figure("pH of the buffer: ")?, talk.figure("The meter reads: ")?)
        }
        "11" => format!("removed {} g because {}", talk.figure("Grams taken out: ")?, quoted(&talk.ask("Why: ")?)),
        "12" => sold(talk)?,
        digits if digits.bytes().all(|byte| byte.is_ascii_digit()) => {
            talk.say("One of the digits, or Enter alone when you are done.\n");
            return None;
        }
        // Anything else is a statement, or is told of as one. It has its stamps, or wants none.
        whole => return Some(Said { statement: statement(&[whole.to_string()]), when: false }),
    };
    // A lot is no moment.
    Some(Said { when: !statement.starts_with("lot "), statement })
}

/// The last statement struck out, with a reason.
fn struck(talk: &mut Talk<'_>, bench: &Choices) -> Option<String> {
    let Some(last) = &bench.last else {
        talk.say("There is nothing that could be struck out.\n");
        return None;
    };
    talk.say(&format!("{}\n", shown(last)));
    Some(format!("struck {last} because {}", quoted(&talk.ask("Struck out because: ")?)))
}

fn sold(talk: &mut Talk<'_>) -> Option<String> {
    let count = talk.figure("How many: ")?;
    let to = talk.ask("To whom, or Enter: ").map(|to| format!(" to {}", quoted(&to)));
    Some(format!("sold {count}{}", to.unwrap_or_default()))
}

/// The rest of the water. After heat the whole goes on the scale too: what evaporated, no sum knows.
fn topped_up(talk: &mut Talk<'_>, bench: &Choices) -> Option<String> {
    let material = material(talk, &bench.waiting, &[])?;
    if !bench.heated {
        return Some(format!("topped-up {material} {} g", talk.figure("Grams: ")?));
    }
    let grams = talk.figure("Grams put in, or Enter: ").map(|grams| format!(" {grams} g"));
    let whole = talk.figure("The whole then weighs, in grams, or Enter: ").map(|whole| format!(" to {whole} g"));
    (grams.is_some() || whole.is_some())
        .then(|| format!("topped-up {material}{}{}", grams.unwrap_or_default(), whole.unwrap_or_default()))
}

/// How a batch ends.
fn end(talk: &mut Talk<'_>, code: Option<&str>) -> Option<String> {
    let choices = ["yield", "filled", "observed", "released", "rejected"].map(str::to_string);
    Some(match talk.pick("The end", &choices)? {
        0 => format!("yield {} g", talk.figure("Grams: ")?),
        1 => {
            let (count, each) = (talk.figure("How many: ")?, talk.figure("Each, with its unit (30 mL): ")?);
            let asked = match code {
                Some(code) => talk.ask(&format!("Code on them, or Enter for {}: ", quoted(shown(code).as_ref()))),
                None => talk.ask("Code on them, or Enter: "),
            };
            let code = asked.or_else(|| code.map(str::to_string)).map(|code| format!(" as {}", quoted(&code)));
            format!("filled {count} x {each}{}", code.unwrap_or_default())
        }
        2 => format!("observed {}", quoted(&talk.ask("What: ")?)),
        3 => "released".to_string(),
        _ => format!("rejected because {}", quoted(&talk.ask("Why: ")?)),
    })
}

/// A material of the plan, those that are done marked; where there is no plan, by its name.
fn material(talk: &mut Talk<'_>, names: &[Option<String>], done: &[String]) -> Option<String> {
    if names.iter().flatten().next().is_none() {
        return talk.ask("Material: ");
    }
    let mark = |name: &String| if done.contains(name) { format!("{name}  (done)") } else { name.clone() };
    let marked: Vec<Option<String>> = names.iter().map(|name| name.as_ref().map(mark)).collect();
    talk.pick_of("Which", &marked).and_then(|at| names.get(at).cloned().flatten())
}

#[cfg(test)]
mod tests {
    use super::{Asked, Moment, Talk, converse};
    use std::fs;

    const RECORD: &str = "batch b {\n  plan {\n    water   90 %  q.s.  hold back 5 %\n    betaine  10 %  10 %\n    \
                          soda-2   q.s. to pH\n  }\n}\n";

    /// What stands in the record after these answers, and what was said; where there is no clock.
    fn after(answers: &str) -> (String, String) {
        after_at(answers, None)
    }

    fn after_at(answers: &str, now: Option<(&str, &str)>) -> (String, String) {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("record.still");
        fs::write(&path, RECORD).unwrap();
        let (mut input, mut out) = (answers.as_bytes(), Vec::new());
        let mut talk = Talk { input: &mut input, out: &mut out };
        let clock = || now.map(|(day, hour)| Moment { day: day.to_string(), hour: hour.to_string() });
        let stamp = |text: String| Ok(format!("{text} by \"M.\""));
        converse(&mut talk, &Asked { path: &path, batch: None, stamp: &stamp, clock: &clock }).unwrap();
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

    /// With a store room beside the record, the lot is one digit away, the oldest first; another is typed all the same.
    #[test]
    fn a_lot_on_hand_is_one_digit_away() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("record.still");
        let room = "use shelf/all\nstock {\n  bought betaine 10 g lot \"B-1\" on 2026-10-01 expires 2026-11-01\n  \
                    bought betaine 90 g lot \"B-2\" on 2026-10-02 expires 2027-10-01\n  \
                    bought betaine 90 g lot \"B-3\" on 2026-10-03\n}\n";
        fs::write(folder.path().join("store.still"), room).unwrap();
        for (answer, wanted) in [
            ("1", "lot  betaine \"B-2\" expires 2027-10-01"),
            ("2", "lot  betaine \"B-3\""),
            ("3", "lot  betaine \"B-1\" expires 2026-11-01"),
            ("X-7", "lot  betaine \"X-7\""),
            ("41", "lot  betaine \"41\""),
        ] {
            fs::write(&path, RECORD).unwrap();
            let answers = format!("7\n2\n{answer}\n");
            let (mut input, mut out) = (answers.as_bytes(), Vec::new());
            let mut talk = Talk { input: &mut input, out: &mut out };
            let clock = || Some(Moment { day: "2026-11-28".to_string(), hour: "14:05".to_string() });
            let asked = Asked { path: &path, batch: None, stamp: &Ok, clock: &clock };
            converse(&mut talk, &asked).unwrap();
            let said = String::from_utf8(out).unwrap();
            assert!(fs::read_to_string(&path).unwrap().contains(wanted), "{answer}: {said}");
            assert!(said.contains("  1 B-2: 90 g left, since 2026-10-02, to 2027-10-01\n"), "{said}");
        }
    }

    #[test]
    fn a_calibration_a_loss_and_a_sale_have_their_digits() {
        for (answers, wanted) in [
            ("10\n4.01\n4,19\n", "  calibrated  pH 4.01 reads 4.19  by \"M.\"\n"),
            ("11\n2\nspilt\n", "  removed  2 g because \"spilt\"  by \"M.\"\n"),
            ("12\n3\nthe shop\n", "  sold  3 to \"the shop\"  by \"M.\"\n"),
            ("12\n3\n\n", "  sold  3  by \"M.\"\n"),
        ] {
            assert_eq!(after(answers).0, wanted, "{answers}");
        }
    }

    #[test]
    fn the_last_entry_is_struck_with_one_digit_and_a_reason() {
        let (new, said) = after("3\n3.86\n3\n3.95\n0\ntyped twice\n");
        assert_eq!(
            new,
            "  reading  pH 3.86  by \"M.\"\n  struck   reading pH 3.95  by \"M.\" because \"typed twice\"  by \"M.\"\n"
        );
        assert!(said.contains("> reading pH 3.95 by \"M.\"\n"), "{said}");
        // The one before it is the last that can be struck out then.
        let (new, _) = after("3\n3.86\n3\n3.95\n0\na\n0\nb\n");
        assert_eq!(new.matches("struck ").count(), 2, "{new}");
        let (new, said) = after("0\n");
        assert_eq!(new, "");
        assert!(said.contains("There is nothing that could be struck out."), "{said}");
    }

    #[test]
    fn a_material_keeps_its_digit_once_it_is_weighed() {
        let twice = "size 20 g\n1\n2\n2\n1\n1\n17\n1\n2\n1\n1\n";
        let (new, said) = after(twice);
        let names: Vec<&str> = new.lines().filter_map(|line| line.trim().strip_prefix("weighed ")).collect();
        let names: Vec<&str> = names.iter().map(|name| name.split_whitespace().next().unwrap()).collect();
        assert_eq!(names, ["betaine", "water", "betaine"], "{said}");
        assert!(said.contains("  1 water\n  2 betaine\n") && said.contains("  1 water  (done)\n  2 betaine  (done)\n"));
        // In the list of all lines the adjuster has its own digit, and betaine the one it has everywhere.
        let (new, _) = after("7\n2\nB-1\n7\n3\nS-1\n");
        assert!(new.contains("betaine \"B-1\"") && new.contains("soda-2 \"S-1\""), "{new}");
    }

    #[test]
    fn a_weight_far_off_is_asked_back() {
        let (new, said) = after("size 20 g\n1\n2\n8.80\n\n");
        assert!(!new.contains("weighed"), "{new}");
        assert!(said.contains("8.80 g for 2.00 g: sure?"), "{said}");
        let (new, _) = after("size 20 g\n1\n2\n8.80\n1\n");
        assert!(new.contains("betaine 8.80 g"), "{new}");
        let (new, said) = after("size 20 g\n1\n2\n1.90\n");
        assert!(new.contains("betaine 1.90 g") && !said.contains("sure?"), "{said}");
        // Of the rest: 1 g is asked for still.
        let (_, said) = after("size 20 g\n1\n2\n1\n1\n1\n2\n1.5\n");
        assert!(said.contains("1.00 g for 2.00 g: sure?") && said.contains("1.50 g for 1.00 g: sure?"), "{said}");
    }

    /// An addition is held against what is asked for now, a top-up against what is still to go in.
    #[test]
    fn an_addition_and_a_top_up_far_off_are_asked_back() {
        const GEL: &str = "use shelf/all\nformula gel {\n  title \"Gel\"\n  version \"1\"\n  product stock\n  makes 200 g\n  \
                           scale 0.01 g\n  pH 3.6 to 4.0\n  phase A {\n    water q.s. hold back 20 %\n    lactic-acid-80 5 %\n    \
                           sodium-hydroxide-10 q.s. to pH\n  }\n}\nbatch b {\n  formula gel\n  size 200 g\n  \
                           weighed water 150 g\n  weighed lactic-acid-80 10 g\n  reading pH 2.10\n";
        let after = |more: &str, answers: &str| {
            let folder = tempfile::tempdir().unwrap();
            let path = folder.path().join("gel.still");
            fs::write(&path, format!("{GEL}{more}}}\n")).unwrap();
            let (mut input, mut out) = (answers.as_bytes(), Vec::new());
            let mut talk = Talk { input: &mut input, out: &mut out };
            converse(&mut talk, &Asked { path: &path, batch: None, stamp: &Ok, clock: &|| None }).unwrap();
            (fs::read_to_string(&path).unwrap(), String::from_utf8(out).unwrap())
        };
        let (text, said) = after("", "2\n300\n\n");
        assert!(said.contains("300.00 g for ") && said.contains(" g: sure? 1 yes"), "{said}");
        assert!(said.contains("Nothing was written.") && !text.contains("300 g"), "{text}");
        assert!(after("", "2\n300\n1\n").0.contains("sodium-hydroxide-10 300 g"));
        let (text, said) = after("", "2\n2\n");
        assert!(text.contains("sodium-hydroxide-10 2 g") && !said.contains("sure?"), "{said}");

        let inside = "  added sodium-hydroxide-10 20 g\n  reading pH 3.80\n";
        let (text, said) = after(inside, "4\n200\n\n");
        assert!(said.contains("200.00 g for 20.00 g: sure?") && !text.contains("topped-up"), "{said}");
        let (text, said) = after(inside, "4\n20\n");
        assert!(text.contains("water 20 g") && !said.contains("sure?"), "{said}");
    }

    #[test]
    fn enter_is_today_and_now() {
        let now = Some(("2026-11-28", "14:05"));
        for (answer, stamps) in [
            ("", "  on 2026-11-28  at 14:05"),
            ("0", ""),
            ("9:30\n09:30", "  on 2026-11-28  at 09:30"),
            ("2026-11-27", "  on 2026-11-27"),
            ("2026-11-27 23:10", "  on 2026-11-27  at 23:10"),
            ("2026-02-30\n0", ""),
        ] {
            let (new, said) = after_at(&format!("3\n3.40\n{answer}\n"), now);
            assert_eq!(new, format!("  reading  pH 3.40{stamps}  by \"M.\"\n"), "{answer}");
            assert!(said.contains("When (Enter: 2026-11-28 14:05; 0: not said): "), "{said}");
        }
        // Who closes the terminal has said what happened; a lot is no moment, and a whole statement has its own.
        assert_eq!(after_at("3\n3.4\n", now).0, "  reading  pH 3.4  on 2026-11-28  at 14:05  by \"M.\"\n");
        assert_eq!(after_at("7\n1\nW-1\n", now).0, "  lot  water \"W-1\"  by \"M.\"\n");
        assert_eq!(after_at("yield 19 g\n", now).0, "  yield  19 g  by \"M.\"\n");
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
