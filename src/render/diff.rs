//! What changed, as data: what JSON prints.

use crate::versions::{Change, Compared, FormulaMeaning, MaterialCompared};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What `diff --format json` prints.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct DiffJson {
    /// `stillroom.diff/1`.
    pub schema: String,
    /// Every formula of either side: those of now in their order, then those that are gone.
    pub formulas: Vec<FormulaDiffJson>,
    /// The materials that changed and that no formula here uses; what a formula uses is told of there.
    pub materials: Vec<MaterialDiffJson>,
}

/// A material before and now.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct MaterialDiffJson {
    /// Its name.
    pub material: String,
    /// The file it stands in.
    pub file: String,
    /// What changed.
    pub changes: Vec<DiffChangeJson>,
}

/// A formula before and now.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct FormulaDiffJson {
    /// Its name; of one that is gone, the name it had.
    pub formula: String,
    /// The name it had, where that was another.
    pub old_formula: Option<String>,
    /// The batch of it that is held against its plan; null where two formulas are held side by side.
    pub batch: Option<String>,
    /// The file it stands in, or stood in.
    pub file: String,
    /// `same`, `changed`, `added`, `removed` or `renamed`.
    pub status: String,
    /// Its version before.
    pub old_version: Option<String>,
    /// Its version now.
    pub new_version: Option<String>,
    /// Its digest before.
    pub old_digest: Option<String>,
    /// Its digest now.
    pub new_digest: Option<String>,
    /// What changed: first what was edited, then what follows from it.
    pub changes: Vec<DiffChangeJson>,
}

/// A change. Exact figures are reduced fractions; positions count from 1.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct DiffChangeJson {
    /// The kind: `line-added`, `amount`, `strength`, `ph-window` and so on.
    pub kind: String,
    /// Of what: a material, a substance, a word of the header, the number of a step, a code.
    pub what: String,
    /// Which side of it: the substance of a strength (after `brings`, where that is by nature) or of an active, the fact of a material.
    pub about: Option<String>,
    /// The phase it stands in.
    pub phase: Option<String>,
    /// What was; null where there was nothing.
    pub old: Option<String>,
    /// What is; null where there is nothing.
    pub new: Option<String>,
    /// The unit of both.
    pub unit: Option<String>,
    /// False for what someone edited, true for what follows from it.
    pub follows: bool,
    /// Its place among the lines or steps before.
    pub old_position: Option<usize>,
    /// Its place among those now.
    pub new_position: Option<usize>,
    /// The grams before, where a batch was asked for.
    pub old_g: Option<String>,
    /// The grams now, where a batch was asked for.
    pub new_g: Option<String>,
}

impl DiffJson {
    /// All that was held side by side.
    #[must_use]
    pub fn new(all: &[Compared], materials: &[MaterialCompared]) -> DiffJson {
        let material = |one: &MaterialCompared| MaterialDiffJson {
            material: one.name.clone(),
            file: one.file.clone(),
            changes: one.changes.iter().map(change_json).collect(),
        };
        DiffJson {
            schema: "stillroom.diff/1".to_string(),
            formulas: all.iter().map(formula).collect(),
            materials: materials.iter().map(material).collect(),
        }
    }
}

fn formula(one: &Compared) -> FormulaDiffJson {
    let version = |side: &Option<FormulaMeaning>| side.as_ref().and_then(|meaning| meaning.version.clone());
    let digest = |side: &Option<FormulaMeaning>| side.as_ref().map(|meaning| meaning.digest.clone());
    let old_name = one.old.as_ref().map(|meaning| meaning.name.clone());
    FormulaDiffJson {
        formula: one.name().to_string(),
        old_formula: old_name.filter(|name| name != one.name()),
        batch: one.new.as_ref().and_then(|meaning| meaning.batch.clone()),
        file: one.new.as_ref().or(one.old.as_ref()).map(|meaning| meaning.file.clone()).unwrap_or_default(),
        status: one.status.word().to_string(),
        old_version: version(&one.old),
        new_version: version(&one.new),
        old_digest: digest(&one.old),
        new_digest: digest(&one.new),
        changes: one.changes.iter().map(change_json).collect(),
    }
}

/// A change as data.
pub(super) fn change_json(change: &Change) -> DiffChangeJson {
    DiffChangeJson {
        kind: change.kind.word().to_string(),
        what: change.what.clone(),
        about: change.about.clone(),
        phase: change.phase.clone(),
        old: change.old.as_ref().map(crate::versions::Value::exact),
        new: change.new.as_ref().map(crate::versions::Value::exact),
        unit: change.unit.map(str::to_string),
        follows: change.follows,
        old_position: change.old_position,
        new_position: change.new_position,
        old_g: change.grams.0.clone(),
        new_g: change.grams.1.clone(),
    }
}
