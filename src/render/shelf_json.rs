//! What the shelf knows, as JSON.

use crate::lookup::{FileSummary, NameFacts, SearchHit, Sourced, StandIns, kind_word};
use crate::shelf::ShelfKind;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What `shelf --format json` prints.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct ShelfJson {
    /// `stillroom.shelf/1`.
    pub schema: String,
    /// The edition of the shelf.
    pub edition: String,
    /// The words that were asked for; empty for the list of files.
    pub asked: Vec<String>,
    /// The files of the shelf, where nothing was asked for.
    pub files: Vec<ShelfFileJson>,
    /// What has exactly the name that was asked for.
    pub known: Vec<KnownJson>,
    /// What the words lead to, where they are no name.
    pub found: Vec<FoundJson>,
    /// The names nearest to words that lead to nothing.
    pub nearest: Vec<String>,
}

/// A file of the shelf.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct ShelfFileJson {
    /// Its name, as `use shelf/NAME` has it.
    pub file: String,
    /// What it is about.
    pub about: String,
    /// How many substances it has.
    pub substances: usize,
    /// How many materials it has.
    pub materials: usize,
    /// How many groups it has.
    pub groups: usize,
    /// How many rules it has.
    pub rules: usize,
}

/// What is known under a name.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct KnownJson {
    /// `substance`, `material`, `group` or `rule`.
    pub kind: String,
    /// Its name.
    pub name: String,
    /// What it is called, where that is known.
    pub title: Option<String>,
    /// The file of the shelf that has it.
    pub file: String,
    /// Its facts, in the order they stand.
    pub facts: Vec<FactJson>,
    /// The materials that hold it, for a substance; null for anything else.
    pub held_by: Option<Vec<String>>,
    /// What could stand in for it, the nearest first, for a material; null for anything else.
    pub stand_ins: Option<Vec<StandInJson>>,
    /// How many more could stand in; null for anything but a material.
    pub more_stand_ins: Option<usize>,
}

/// A fact.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct FactJson {
    /// The field of the language that holds it.
    pub field: String,
    /// What it is about.
    pub about: String,
    /// What it says.
    pub says: String,
    /// Where it comes from; null for the members of a group.
    pub source: Option<String>,
    /// `published`, `computed`, `common practice` or `from memory`; null where there is no source.
    pub source_kind: Option<String>,
}

/// A material that could stand in for another.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct StandInJson {
    /// Its name.
    pub name: String,
    /// What it is called, where that is known.
    pub title: Option<String>,
    /// The file of the shelf that has it.
    pub file: String,
    /// Whether it has the same active, in another strength.
    pub same_active: bool,
    /// Why it stands where it stands: what both do, and then the facts that placed it.
    pub why: String,
    /// What would change.
    pub changes: Vec<ChangeJson>,
}

/// What would change with a stand-in.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct ChangeJson {
    /// What it is about.
    pub about: String,
    /// How it is; null where the shelf says nothing of it.
    pub from: Option<String>,
    /// How it would be; null where the shelf says nothing of it.
    pub to: Option<String>,
}

/// Something that words lead to.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct FoundJson {
    /// `substance`, `material`, `group` or `rule`.
    pub kind: String,
    /// Its name.
    pub name: String,
    /// What it is called, where that is known.
    pub title: Option<String>,
    /// The file of the shelf that has it.
    pub file: String,
}

impl From<&FileSummary> for ShelfFileJson {
    fn from(file: &FileSummary) -> ShelfFileJson {
        let count = |kind| file.counts.iter().find(|(known, _)| *known == kind).map_or(0, |(_, count)| *count);
        ShelfFileJson {
            file: file.name.to_string(),
            about: file.about.to_string(),
            substances: count(ShelfKind::Substance),
            materials: count(ShelfKind::Material),
            groups: count(ShelfKind::Group),
            rules: count(ShelfKind::Rule),
        }
    }
}

impl From<&SearchHit> for FoundJson {
    fn from(found: &SearchHit) -> FoundJson {
        FoundJson {
            kind: kind_word(found.kind).to_string(),
            name: found.name.to_string(),
            title: found.title.clone(),
            file: found.file.to_string(),
        }
    }
}

impl KnownJson {
    /// What is known under a name, with what holds it or what could stand in for it.
    #[must_use]
    pub fn new(known: &NameFacts, held_by: &[&str], stand_ins: &StandIns) -> KnownJson {
        let is_material = known.kind == ShelfKind::Material;
        KnownJson {
            kind: kind_word(known.kind).to_string(),
            name: known.name.to_string(),
            title: known.title.clone(),
            file: known.file.to_string(),
            facts: facts(known),
            held_by: (known.kind == ShelfKind::Substance).then(|| held_by.iter().map(ToString::to_string).collect()),
            stand_ins: is_material.then(|| nearest(stand_ins)),
            more_stand_ins: is_material.then_some(stand_ins.more),
        }
    }
}

fn facts(known: &NameFacts) -> Vec<FactJson> {
    let fact = |fact: &crate::lookup::KnownFact| FactJson {
        field: fact.field.to_string(),
        about: fact.about.to_string(),
        says: fact.says.clone(),
        source: fact.source.as_ref().map(|source| source.text.clone()),
        source_kind: fact.source.as_ref().map(|Sourced { kind, .. }| kind.words().to_string()),
    };
    known.facts.iter().map(fact).collect()
}

fn nearest(stand_ins: &StandIns) -> Vec<StandInJson> {
    let change = |change: &crate::lookup::Difference| ChangeJson {
        about: change.about.to_string(),
        from: change.from.clone(),
        to: change.to.clone(),
    };
    let one = |stand_in: &crate::lookup::StandIn| StandInJson {
        name: stand_in.name.to_string(),
        title: stand_in.title.clone(),
        file: stand_in.file.to_string(),
        same_active: stand_in.same_active,
        why: stand_in.why.clone(),
        changes: stand_in.changes.iter().map(change).collect(),
    };
    stand_ins.nearest.iter().map(one).collect()
}
