//! The bench as it is seen: the act first, and below it what it rests on.

use super::act::{act, notice};
use super::entry::{Kind, Slot, Typed};
use super::jars::to_come;
use super::panels::{Panel, panels};
use super::question::Question;
use super::regions::{beaker, doubt, faults, readings, written};
use crate::batch::writing::quoted;
use crate::batch::{View, care};
use crate::model::Batch;
use crate::render::{BenchJson, SheetFill};
use crate::resolve::Resolver;
use crate::sheet::BatchOrder;
use maud::{Markup, html};

/// All that the page of a batch shows.
pub struct BenchSight<'a> {
    /// Its address: `/batch/FILE/NAME`.
    pub address: &'a str,
    /// The file that the record is in, as pages name it.
    pub file: &'a str,
    /// The version of the file that was read.
    pub version: &'a str,
    /// The record.
    pub batch: &'a Batch,
    /// Where the batch stands; none where it can be held against no formula.
    pub standing: Option<Standing<'a>>,
    /// What is told of the record, each with its level.
    pub faults: Vec<(&'static str, String)>,
    /// Every statement of the record but its plan, as it is written, in the order of the file.
    pub entries: Vec<String>,
    /// The last statement that can be struck out.
    pub last: Option<String>,
    /// The lots on hand of the material that is asked for.
    pub lots: Vec<LotOnHand>,
    /// The panel that stands open.
    pub panel: Option<Panel>,
    /// What came of the last answer.
    pub answer: Answer,
}

/// Where a batch stands.
pub struct Standing<'a> {
    /// What is in the beaker, and what is next.
    pub view: &'a View<'a>,
    /// The same, as `bench` prints it.
    pub bench: &'a BenchJson,
    /// What is asked.
    pub question: Question,
    /// The curve with the readings on it.
    pub curve: Option<Markup>,
    /// What the jars are filled with: `30 mL`.
    pub content: Option<String>,
    /// The same in a sentence.
    pub filling: Option<String>,
    /// What to take care of with the material that is asked for, by what it is said of, as on the sheet.
    pub care: Vec<(String, Vec<String>)>,
}

impl<'a> Standing<'a> {
    /// A batch as it stands. `curve` is drawn by whoever draws curves.
    #[must_use]
    pub fn of(batch: &Batch, view: &'a View<'a>, bench: &'a BenchJson) -> Standing<'a> {
        let question = Question::of(batch, view, bench);
        Standing { view, bench, question, curve: None, content: None, filling: None, care: Vec::new() }
    }

    /// The same, with what the sheet says to take care of with the material that is asked for.
    #[must_use]
    pub fn with_care(self, resolver: &Resolver<'_>, batch: &Batch) -> Standing<'a> {
        let material = self.question.material.as_ref();
        let care = material.map(|of| care(resolver, batch, &self.view.setting, &of.name)).unwrap_or_default();
        Standing { care, ..self }
    }

    /// The same, with what the sheet says of the jars.
    #[must_use]
    pub fn with_fill(self, resolver: &Resolver<'_>) -> Standing<'a> {
        let setting = &self.view.setting;
        let order = BatchOrder::default();
        let fill = SheetFill::of(setting.resolver(resolver), &setting.formula, &order, &setting.plan);
        Standing {
            content: fill.as_ref().map(|fill| fill.content.clone()),
            filling: fill.map(|fill| fill.words()),
            ..self
        }
    }
}

/// A lot in the store room.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LotOnHand {
    /// Its code.
    pub code: String,
    /// The day it is good until.
    pub expires: Option<String>,
    /// What is left, and since when: for people.
    pub words: String,
}

/// What came of the last answer.
#[derive(Clone, Debug, Default)]
pub struct Answer {
    /// What is said of it.
    pub notice: Option<Notice>,
    /// The kind of what was typed and is not written yet.
    pub kind: Option<Kind>,
    /// What was typed and is not written yet.
    pub typed: Typed,
    /// The box that is at fault.
    pub slot: Option<Slot>,
}

/// What is said of an answer.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Notice {
    /// It stands in the record; what else is to be told of it.
    Written(Vec<String>),
    /// It does not, and this is why.
    Refused(Vec<String>),
    /// It is asked back.
    Sure(String),
    /// The record has changed since it was read: nothing was written of this statement.
    Changed(String),
}

impl Notice {
    /// Its word, for the script.
    fn word(&self) -> &'static str {
        match self {
            Notice::Written(_) => "written",
            Notice::Refused(_) => "refused",
            Notice::Sure(_) => "sure",
            Notice::Changed(_) => "changed",
        }
    }
}

/// What the page holds below its heading.
#[must_use]
pub fn bench_body(sight: &BenchSight<'_>) -> Markup {
    html! {
        div.bench data-bench=(sight.address) data-file=(sight.file) data-version=(sight.version) data-events=(sight.batch.events.len())
            data-answer=[sight.word()] {
            div.at-hand {
                (act(sight))
                (panels(sight))
            }
            div.rests-on {
                @if let Some(standing) = &sight.standing {
                    (doubt(sight, standing))
                    (to_come(sight, standing))
                    (beaker(standing))
                    (readings(sight.batch, standing))
                }
                (faults(sight))
                (written(sight))
            }
        }
        (notice_of_network())
    }
}

/// What is shown where the program cannot be reached: it is in the page, as nothing can be fetched then.
fn notice_of_network() -> Markup {
    html! {
        template id="bench-offline" {
            p.said.warning role="alert" {
                span.level { "Not written yet" }
                ": the program cannot be reached. What you typed is still here; press “Write down” again in a moment."
            }
        }
    }
}

impl BenchSight<'_> {
    /// What was typed into a box of a form of this kind and not written yet; else what stands in it at first.
    pub(super) fn value<'v>(&'v self, kind: Kind, slot: Slot, first: &'v str) -> &'v str {
        let kept = self.answer.kind.filter(|typed| *typed == kind).and_then(|_| self.answer.typed.get(slot.word()));
        kept.map_or(first, String::as_str)
    }

    /// Whether this box is at fault.
    pub(super) fn is_wrong(&self, kind: Kind, slot: Slot) -> bool {
        self.answer.kind == Some(kind) && self.answer.slot == Some(slot)
    }

    /// Whether what could not be written stands in the record all the same: whoever lost the answer to a first try, or
    /// tapped twice, has written it.
    pub(super) fn stands(&self, statement: &str) -> bool {
        let words = |text: &str| text.split_whitespace().map(str::to_string).collect::<Vec<_>>();
        let wanted = words(statement);
        self.entries.last().is_some_and(|last| words(last).starts_with(&wanted))
            || wanted.first().is_some_and(|first| first == "struck")
                && self.batch.struck.iter().any(|of| {
                    let own = format!("struck {} because {}", of.statement, quoted(&of.because));
                    words(&own) == wanted
                })
    }

    /// What came of the last answer, for the script.
    fn word(&self) -> Option<&'static str> {
        match self.answer.notice.as_ref()? {
            Notice::Changed(statement) if self.stands(statement) => Some("written"),
            notice => Some(notice.word()),
        }
    }

    /// What is said of the last answer.
    pub(super) fn said(&self) -> Markup {
        notice(self)
    }
}
