//! What comes of a formula with another material in a line's place, as JSON.

use super::ph::{Ph, ph};
use crate::diagnostic::Diagnostic;
use crate::quantity::Exact;
use crate::session::{Kept, Outcome, Swapped, Swaps};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What `shelf NAME --in PATH --format json` prints.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct SwapsJson {
    /// `stillroom.swaps/1`.
    pub schema: String,
    /// The material that was asked about.
    pub material: String,
    /// Each formula that has a line of it.
    pub formulas: Vec<FormulaSwapsJson>,
}

/// A formula, and what comes of it with each candidate.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct FormulaSwapsJson {
    /// The formula.
    pub formula: String,
    /// The file that has it, from where the command ran.
    pub file: String,
    /// As it is now.
    pub now: OutcomeJson,
    /// What is wrong with it by itself. No candidate is blamed for that.
    pub own_faults: Vec<FaultJson>,
    /// Each candidate that was tried: clean ones first, then by the gravest fault, then the nearest first.
    pub candidates: Vec<SwapJson>,
    /// How many more could stand in, that were not tried.
    pub untried: usize,
}

/// What comes of a formula with a material in it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct OutcomeJson {
    /// How much of the material there is, as supplied, in percent; null where it is weighed at the bench.
    pub percent: Option<String>,
    /// How much more there could be by its usage, as supplied, in percent; null where the usage has no upper end.
    pub usage_left: Option<String>,
    /// What the amount in 100 g of batch costs; null where no price is stated.
    pub cost: Option<CostJson>,
    /// What is foreseen of the pH, with the grams of 100 g of batch; null where there is nothing to foresee.
    pub ph: Option<Ph>,
}

/// What an amount costs.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct CostJson {
    /// In 100 g of batch.
    pub in_100_g: String,
    /// In which money, by its ISO 4217 code.
    pub currency: String,
    /// The price that it is worked out from, as it is written.
    pub price: String,
}

/// A candidate swapped in.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct SwapJson {
    /// Its name.
    pub name: String,
    /// What it is called, where that is known.
    pub title: Option<String>,
    /// Whether it has the same active, in another strength.
    pub same_active: bool,
    /// Why it could stand in: what both do, and then the facts.
    pub why: String,
    /// Whether nothing is wrong that was not wrong before.
    pub clean: bool,
    /// What is wrong then, and was not before.
    pub faults: Vec<FaultJson>,
    /// What comes of it.
    pub outcome: OutcomeJson,
    /// What its amount was kept by: `as written`, `active` or `within usage`.
    pub kept: String,
    /// The statement of a variant that swaps it in.
    pub statement: String,
    /// The `use` that the file needs besides; null where the name is known there.
    pub to_use: Option<String>,
}

/// A fault, in short.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct FaultJson {
    /// The code.
    pub code: String,
    /// `error`, `warning` or `note`.
    pub level: String,
    /// The fault in one sentence.
    pub message: String,
    /// What to do.
    pub help: Option<String>,
}

impl FormulaSwapsJson {
    /// What came of each candidate.
    #[must_use]
    pub fn new(swaps: &Swaps, file: String) -> FormulaSwapsJson {
        FormulaSwapsJson {
            formula: swaps.now.formula.name.to_string(),
            file,
            now: outcome(&swaps.now),
            own_faults: swaps.own_faults.iter().map(fault).collect(),
            candidates: swaps.tried.iter().map(swapped).collect(),
            untried: swaps.untried,
        }
    }
}

fn swapped(of: &Swapped) -> SwapJson {
    SwapJson {
        name: of.outcome.material.name.to_string(),
        title: of.outcome.material.title.as_ref().map(ToString::to_string),
        same_active: of.same_active,
        why: of.why.clone(),
        clean: of.is_clean(),
        faults: of.faults.iter().map(fault).collect(),
        outcome: outcome(&of.outcome),
        kept: match of.kept {
            Kept::AsWritten => "as written",
            Kept::Active => "active",
            Kept::WithinUsage => "within usage",
        }
        .to_string(),
        statement: of.statement.clone(),
        to_use: of.to_use.map(|file| format!("use shelf/{file}")),
    }
}

/// Digits of a percentage, and of money.
const DIGITS: u32 = 4;

fn outcome(of: &Outcome) -> OutcomeJson {
    let cost = of.price.as_ref().zip(of.percent.as_ref()).map(|(price, percent)| CostJson {
        // A percent is a gram in 100 g.
        in_100_g: (&price.per_gram * percent).to_significant(DIGITS),
        currency: price.currency.clone(),
        price: price.written.clone(),
    });
    OutcomeJson {
        percent: of.percent.as_ref().map(|percent| percent.to_significant(DIGITS)),
        usage_left: of.left.as_ref().map(|left| left.to_significant(DIGITS)),
        cost,
        ph: ph(&of.formula, of.outlook.as_ref(), &Exact::HUNDRED),
    }
}

fn fault(of: &Diagnostic) -> FaultJson {
    FaultJson {
        code: of.code.to_string(),
        level: of.level.word().to_string(),
        message: of.message.clone(),
        help: of.help.clone(),
    }
}
