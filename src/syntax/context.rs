//! Where in a file a statement stands, and which words may open one there.

use super::Rule;
use super::fields;
use super::words::{HEADER, RESERVED};

/// Where in a file a statement stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Context {
    /// At file level.
    File,
    /// In a maker.
    Maker,
    /// In a container.
    Container,
    /// In the store room.
    Stock,
    /// In a substance.
    Substance,
    /// In a material.
    Material,
    /// In a formula.
    Formula,
    /// In a phase.
    Phase,
    /// In the steps.
    Steps,
    /// In a variant.
    Variant,
    /// In a phase of a variant.
    VariantPhase,
    /// In a rule.
    Rule,
    /// In a batch.
    Batch,
    /// In a plan.
    Plan,
}

impl Context {
    /// How many there are.
    pub const COUNT: usize = Context::Plan as usize + 1;

    /// The rule that parses a statement here.
    #[must_use]
    pub fn rule(self) -> Rule {
        match self {
            Context::File => Rule::in_file,
            Context::Maker => Rule::in_maker,
            Context::Container => Rule::in_container,
            Context::Stock => Rule::in_stock,
            Context::Substance => Rule::in_substance,
            Context::Material => Rule::in_material,
            Context::Formula => Rule::in_formula,
            Context::Phase => Rule::in_phase,
            Context::Steps => Rule::in_steps,
            Context::Variant => Rule::in_variant,
            Context::VariantPhase => Rule::in_variant_phase,
            Context::Rule => Rule::in_rule,
            Context::Batch => Rule::in_batch,
            Context::Plan => Rule::in_plan,
        }
    }

    /// Where the statements stand of a block that a word opens here; none where no such block stands here.
    #[must_use]
    pub fn of_block(self, word: &str) -> Option<Context> {
        Some(match (self, word) {
            (Context::File, "substance") => Context::Substance,
            (Context::File, "material") => Context::Material,
            (Context::File, "formula") => Context::Formula,
            (Context::File, "variant") => Context::Variant,
            (Context::File, "rule") => Context::Rule,
            (Context::File, "batch") => Context::Batch,
            (Context::File, "maker") => Context::Maker,
            (Context::File, "container") => Context::Container,
            (Context::File, "stock") => Context::Stock,
            (Context::Formula, "phase") => Context::Phase,
            (Context::Variant, "phase") => Context::VariantPhase,
            (Context::Formula | Context::Variant, "steps") => Context::Steps,
            (Context::Batch, "plan") => Context::Plan,
            _ => return None,
        })
    }

    /// The same by the rule that read what opens it.
    #[must_use]
    pub fn of_opening(self, opening: Rule) -> Option<Context> {
        Some(match opening {
            Rule::substance_opening => Context::Substance,
            Rule::material_opening => Context::Material,
            Rule::formula_opening => Context::Formula,
            Rule::variant_opening => Context::Variant,
            Rule::rule_opening => Context::Rule,
            Rule::batch_opening => Context::Batch,
            Rule::maker_opening => Context::Maker,
            Rule::container_opening => Context::Container,
            Rule::stock_opening => Context::Stock,
            Rule::phase_opening if self == Context::Variant => Context::VariantPhase,
            Rule::phase_opening => Context::Phase,
            Rule::steps_opening => Context::Steps,
            Rule::plan_opening => Context::Plan,
            _ => return None,
        })
    }

    /// The place in words: "in a phase".
    #[must_use]
    pub fn place(self) -> &'static str {
        match self {
            Context::File => "in a file",
            Context::Maker => "in a maker",
            Context::Container => "in a container",
            Context::Stock => "in a stock",
            Context::Substance => "in a substance",
            Context::Material => "in a material",
            Context::Formula => "in a formula",
            Context::Phase => "in a phase",
            Context::Steps => "in the steps",
            Context::Variant => "in a variant",
            Context::VariantPhase => "in a phase of a variant",
            Context::Rule => "in a rule",
            Context::Batch => "in a batch",
            Context::Plan => "in a plan",
        }
    }

    /// The words that open a statement here; empty where a name does.
    #[must_use]
    pub fn openers(self) -> Vec<&'static str> {
        match self {
            Context::File => fields::openers(fields::FILE),
            Context::Maker => fields::openers(fields::MAKER),
            Context::Container => fields::openers(fields::CONTAINER),
            Context::Stock => fields::openers(fields::STOCK),
            Context::Substance => fields::openers(fields::SUBSTANCE),
            Context::Material => fields::openers(fields::MATERIAL),
            Context::Formula => fields::openers(fields::FORMULA),
            Context::Phase | Context::Steps | Context::Plan => Vec::new(),
            Context::Variant => [&fields::openers(fields::VARIANT), HEADER].concat(),
            Context::VariantPhase => RESERVED.to_vec(),
            Context::Rule => fields::openers(fields::RULE),
            Context::Batch => fields::openers(fields::BATCH),
        }
    }
}
