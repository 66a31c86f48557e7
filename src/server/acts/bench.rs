//! What happened at the bench, written into the record: one statement, exactly as `record` writes it.

use crate::batch::writing::quoted;
use crate::diagnostic::Diagnostic;
use crate::keeping::{
    Against, Draft, FileVersion, Keeper, NewEntry, NotKept, OffPlan, Teller, Written, batches, write_down,
};
use crate::server::acts::FilledIn;
use crate::server::address;
use crate::server::bench::{Answer, Entry, Kind, Notice, Panel, Typed};
use crate::server::inside::Inside;
use crate::server::pages::bench::seen;
use crate::server::refusal::Refusal;
use crate::server::workroom::Workroom;
use crate::session::Report;
use crate::sheet::BatchOrder;
use crate::workspace::{Source, Sources, World as _};
use axum::http::StatusCode;

/// Writes down what was typed into a form of the bench.
///
/// # Errors
/// What is no batch of the folder, and a form that is none of the bench's.
pub fn write(
    workroom: &Workroom,
    file: &str,
    name: &str,
    version: Option<FileVersion>,
    typed: Typed,
) -> Result<FilledIn, Refusal> {
    let file = workroom.inside(file)?;
    let kind = typed.get("kind").and_then(|word| Kind::of(word));
    let kind = kind.ok_or_else(|| Refusal::wrong("The form does not say what happened."))?;
    let read = version.or_else(|| FileVersion::parse(typed.get("version")?));
    let read = read.ok_or_else(|| Refusal::wrong("The form does not say which version of the file it is about."))?;
    let bench = Bench { workroom, file: &file, name, kind };
    let entry = match kind.entry(&typed) {
        Ok(entry) => entry,
        Err(wrong) => {
            let answer = Answer { slot: Some(wrong.slot), ..bench.answer(Notice::Refused(vec![wrong.why]), typed) };
            return bench.page(StatusCode::BAD_REQUEST, answer);
        }
    };
    let is_sure = typed.get("sure").is_some_and(|sure| sure == "1");
    if !is_sure && entry.statement.split_whitespace().next() == Some("released") {
        let open = bench.open_error(&read).map(|error| {
            format!("An error is open in its record: {error} A batch with an open error should not go out. ")
        });
        let question = format!("{}{RELEASE}", open.unwrap_or_default());
        return bench.page(StatusCode::OK, bench.answer(Notice::Sure(question), typed));
    }
    let puts_in = matches!(kind, Kind::Weighed | Kind::Added | Kind::ToppedUp | Kind::Whole);
    if puts_in
        && !is_sure
        && let Some(question) = bench.asked_back(&read, &entry)
    {
        return bench.page(StatusCode::OK, bench.answer(Notice::Sure(question), typed));
    }
    bench.written(read, &entry, typed)
}

/// What a release is asked back with: a batch that is released may go to others, and one tap is soon done.
const RELEASE: &str = "Release the batch? It may go out then. Nothing is written until you say so once more.";

/// The batch that is written on, and what kind of statement.
struct Bench<'b> {
    workroom: &'b Workroom,
    file: &'b Inside,
    name: &'b str,
    kind: Kind,
}

impl Bench<'_> {
    /// The page after an answer; what was typed stays in its box.
    fn page(&self, status: StatusCode, answer: Answer) -> Result<FilledIn, Refusal> {
        let panel = match self.kind {
            Kind::Struck => Panel::Strike,
            kind => Panel::Of(kind),
        };
        let panel = Some(panel).filter(|_| answer.kind.is_some());
        let goes_to = answer.kind.is_none().then(|| address::batch(self.file.name(), self.name));
        Ok(FilledIn { page: seen(self.workroom, self.file, self.name, panel, answer)?, status, goes_to })
    }

    fn answer(&self, notice: Notice, typed: Typed) -> Answer {
        Answer { notice: Some(notice), kind: Some(self.kind), typed, slot: None }
    }

    fn keeper(&self) -> Keeper<'_> {
        self.workroom.keeper()
    }

    /// The question that a weight far off what is asked for is asked back with; none where it is not, or where the file is another
    /// one by now.
    fn asked_back(&self, read: &FileVersion, entry: &Entry) -> Option<String> {
        self.of_the_file(read, |report, source| {
            let batch = batches(source).find(|batch| batch.name.text == self.name)?;
            OffPlan::of(report, batch, &entry.statement).map(|off| off.asked_back())
        })
    }

    /// The error that stands against releasing the batch, where there is one and the file is the one that was read.
    fn open_error(&self, read: &FileVersion) -> Option<String> {
        self.of_the_file(read, |report, source| {
            let batch = report.resolver.batches_of(source).into_iter().find(|batch| batch.name == self.name)?;
            report.unfit(&batch).map(ToString::to_string)
        })
    }

    /// What a check says of the file as it was read; nothing where it is another one by now.
    fn of_the_file<T>(&self, read: &FileVersion, says: impl FnOnce(&Report<'_>, &Source) -> Option<T>) -> Option<T> {
        let bytes =
            self.workroom.world().read(self.file.path()).ok().filter(|bytes| FileVersion::of(bytes) == *read)?;
        let keeper = self.keeper();
        let draft = Draft { keeper: &keeper, path: self.file.path(), bytes };
        let session = draft.session();
        let report = session.check(&BatchOrder::default());
        says(&report, session.sources().files.first()?)
    }

    /// The statement with the day, the hour and the initials.
    fn stamped(&self, entry: &Entry, typed: &Typed) -> String {
        let mut text = entry.statement.clone();
        if entry.is_moment {
            let now = self.workroom.now();
            text.push_str(&format!(" on {} at {}", now.day, now.hour));
        }
        if let Some(by) = typed.get("by").map(|by| by.trim()).filter(|by| !by.is_empty()) {
            text.push_str(&format!(" by {}", quoted(by)));
        }
        text
    }

    fn written(&self, read: FileVersion, entry: &Entry, typed: Typed) -> Result<FilledIn, Refusal> {
        let new = NewEntry {
            path: self.file.path(),
            batch: Some(self.name),
            begin: None,
            statement: Some(self.stamped(entry, &typed)),
            asked_back: true,
            version: Some(read),
        };
        let mut told = Sentences::default();
        match write_down(&self.keeper(), &new, &mut told) {
            Ok(Written::Recorded(_)) => {
                let answer = Answer { notice: Some(Notice::Written(told.0)), ..Answer::default() };
                self.page(StatusCode::OK, answer)
            }
            Ok(Written::Refused) => self.page(StatusCode::BAD_REQUEST, self.answer(Notice::Refused(told.0), typed)),
            Err(NotKept { against: Against::Changed, .. }) => {
                let notice = Notice::Changed(entry.statement.clone());
                self.page(StatusCode::CONFLICT, self.answer(notice, typed))
            }
            Err(not_kept) => {
                let status = match not_kept.against {
                    Against::Busy => StatusCode::SERVICE_UNAVAILABLE,
                    Against::Disk => StatusCode::INTERNAL_SERVER_ERROR,
                    Against::Asked | Against::Changed => StatusCode::BAD_REQUEST,
                };
                self.page(status, self.answer(Notice::Refused(vec![not_kept.sentence]), typed))
            }
        }
    }
}

/// What is told of a statement, each in a sentence or two.
#[derive(Default)]
struct Sentences(Vec<String>);

impl Teller for Sentences {
    fn faults(&mut self, _: &Sources, faults: &[Diagnostic]) {
        self.0.extend(faults.iter().map(|fault| match &fault.help {
            Some(help) => format!("{} {help}", fault.message),
            None => fault.message.clone(),
        }));
    }

    fn words(&mut self, words: &str) {
        self.0.extend(words.lines().filter(|line| !line.trim().is_empty()).map(str::to_string));
    }
}
