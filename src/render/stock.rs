//! The store room as data: what is on hand, by material and lot, and what it follows from.

use super::trace::NotReadJson;
use crate::batch::trail::NotRead;
use crate::diagnostic::{FileId, Place};
use crate::quantity::Exact;
use crate::store::{Account, Kind, Lot, Moved, Movement, StoreRoom, Thing};
use crate::workspace::{LineIndex, Sources};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// What `stock --format json` prints.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct StockJson {
    /// `stillroom.stock/1`.
    pub schema: String,
    /// The day at whose end it stands so.
    pub on: String,
    /// What there is of each thing, by name.
    pub stock: BTreeMap<String, StockLevelJson>,
    /// The same with its lots and what it follows from, by name.
    pub things: Vec<StockThingJson>,
    /// What could not be counted, or not for sure.
    pub notes: Vec<String>,
    /// What could not be read, or not in full: something may be missing for it.
    pub not_read: Vec<NotReadJson>,
}

/// What there is of a thing.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct StockLevelJson {
    /// Grams, or pieces, as a fraction: last count and what came and went since; below nought where more went than came.
    pub exact: String,
    /// Whether it was ever counted.
    pub counted: bool,
    /// Whether more went than came, so that something was never written down: there is none of it then.
    pub below_nothing: bool,
}

/// A thing that is kept.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct StockThingJson {
    /// Its name.
    pub name: String,
    /// `material`, `premix` or `container`.
    pub kind: String,
    /// `g` or `pieces`.
    pub unit: String,
    /// What is on hand, as a fraction; none where more went than came.
    pub on_hand_exact: String,
    /// The same as it is printed: `880 g`.
    pub on_hand: String,
    /// By how much more went than came; nothing, where it did not.
    pub below_exact: String,
    /// The same as it is printed.
    pub below: String,
    /// What of it is past its day, as a fraction.
    pub past_exact: String,
    /// The same as it is printed.
    pub past: String,
    /// The day it was last counted.
    pub counted: Option<String>,
    /// Whether it was ever counted, bought or made: what was only used is not kept track of.
    pub kept: bool,
    /// What is left of each lot, the oldest first.
    pub lots: Vec<StockLotJson>,
    /// The last count, and what happened since.
    pub follows_from: Vec<MovedJson>,
}

/// What is left of a lot.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct StockLotJson {
    /// The code on it; none where nobody says it.
    pub lot: Option<String>,
    /// How much of it, as a fraction.
    pub exact: String,
    /// The same as it is printed.
    pub on_hand: String,
    /// The day it was bought or made.
    pub since: Option<String>,
    /// Its last day.
    pub expires: Option<String>,
    /// Whether that is past.
    pub past: bool,
    /// Where it was bought.
    pub from: Option<String>,
}

/// Something that happened to what is on hand.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct MovedJson {
    /// The day.
    pub on: Option<String>,
    /// `counted`, `bought`, `made`, `used` or `spent`.
    pub what: String,
    /// How much, as a fraction.
    pub exact: String,
    /// The same as it is printed.
    pub amount: String,
    /// The batch whose record says it.
    pub batch: Option<String>,
    /// As it is written.
    pub said: String,
    /// The file.
    pub file: String,
    /// The line of it.
    pub line: usize,
}

impl StockJson {
    /// The room as data, for the things that pass.
    #[must_use]
    pub fn new(sources: &Sources, room: &StoreRoom, not_read: &[NotRead], pass: &dyn Fn(&Thing) -> bool) -> StockJson {
        let mut lines = Lines { sources, known: BTreeMap::new() };
        let things = room.things.iter().filter(|(thing, _)| pass(thing));
        StockJson {
            schema: "stillroom.stock/1".to_string(),
            on: room.day.to_string(),
            stock: levels(room, pass),
            things: things.map(|(of, (kind, account))| thing(of, *kind, account, &room.day, &mut lines)).collect(),
            notes: room.notes.clone(),
            not_read: not_read.iter().map(NotReadJson::from).collect(),
        }
    }
}

/// What there is of each thing. A container that bears the name of a material is told apart.
pub(super) fn levels(room: &StoreRoom, pass: &dyn Fn(&Thing) -> bool) -> BTreeMap<String, StockLevelJson> {
    let mut levels = BTreeMap::new();
    for (thing, (_, account)) in room.things.iter().filter(|(thing, _)| pass(thing)) {
        let level = StockLevelJson {
            exact: account.sum.to_fraction(),
            counted: account.counted.is_some(),
            below_nothing: account.is_below_nothing(),
        };
        let is_taken = levels.contains_key(thing.name.as_str());
        levels.insert(if is_taken { format!("{} (container)", thing.name) } else { thing.name.to_string() }, level);
    }
    levels
}

/// Grams, or how many, for a reader.
pub(super) fn amount(kind: Kind, amount: &Exact) -> String {
    if kind == Kind::Container { amount.to_string() } else { format!("{amount} g") }
}

/// What a thing is, in a word.
pub(super) fn kind_word(kind: Kind) -> &'static str {
    match kind {
        Kind::Material => "material",
        Kind::Premix => "premix",
        Kind::Container => "container",
    }
}

fn thing(of: &Thing, kind: Kind, account: &Account, day: &str, lines: &mut Lines<'_>) -> StockThingJson {
    let on_hand = account.on_hand();
    StockThingJson {
        name: of.name.to_string(),
        kind: kind_word(kind).to_string(),
        unit: if kind == Kind::Container { "pieces" } else { "g" }.to_string(),
        on_hand_exact: on_hand.to_fraction(),
        on_hand: amount(kind, &on_hand),
        below_exact: (&on_hand - &account.sum).to_fraction(),
        below: amount(kind, &(&on_hand - &account.sum)),
        past_exact: account.past(day).to_fraction(),
        past: amount(kind, &account.past(day)),
        counted: account.counted.as_ref().map(ToString::to_string),
        kept: account.is_kept(),
        lots: account.lots.iter().map(|of| lot(of, kind, day)).collect(),
        follows_from: account.follows_from.iter().map(|of| moved(of, kind, lines)).collect(),
    }
}

fn lot(of: &Lot, kind: Kind, day: &str) -> StockLotJson {
    let text = |text: &Option<smol_str::SmolStr>| text.as_ref().map(ToString::to_string);
    StockLotJson {
        lot: text(&of.code),
        exact: of.amount.to_fraction(),
        on_hand: amount(kind, &of.amount),
        since: text(&of.since),
        expires: text(&of.expires),
        past: of.is_past(Some(day)),
        from: text(&of.from),
    }
}

fn moved(of: &Moved, kind: Kind, lines: &mut Lines<'_>) -> MovedJson {
    let what = match of.what {
        Movement::Bought => "bought",
        Movement::Made => "made",
        Movement::Used => "used",
        Movement::Spent => "spent",
        Movement::Counted => "counted",
    };
    MovedJson {
        on: of.day.as_ref().map(ToString::to_string),
        what: what.to_string(),
        exact: of.amount.to_fraction(),
        amount: amount(kind, &of.amount),
        batch: of.batch.as_ref().map(ToString::to_string),
        said: of.said.clone(),
        file: lines.sources.path(of.place.file),
        line: lines.at(of.place),
    }
}

/// The lines of places, each file cut once.
struct Lines<'s> {
    sources: &'s Sources,
    known: BTreeMap<FileId, LineIndex<'s>>,
}

impl Lines<'_> {
    fn at(&mut self, place: Place) -> usize {
        let sources = self.sources;
        let index = self.known.entry(place.file).or_insert_with(|| LineIndex::new(sources.text(place.file)));
        index.line_column(place.span.start).0
    }
}
